//! Whether a pull found what was expected there, or a draw may have gone by itself just then.

use harness::FeedTree;

use super::PlanOptions;
use crate::{Belief, BeliefOptions, Evidence, EvidenceKind, LoadModels, believe};

/// Chance that a draw goes by itself during one pull (from memory: one fault in ten comes and
/// goes; if so, it does about once in an hour, and a pull takes some three minutes).
const GOES_DURING_A_PULL: f64 = 0.005;

impl PlanOptions {
    /// Works out what all other readings say of every load that is out and named by one pull
    /// alone: one more belief for each, in which errors that readings share count as their own.
    pub fn expect(
        mut self,
        tree: &FeedTree,
        models: &LoadModels,
        evidence: &[Evidence],
        belief: &Belief,
        usual: &BeliefOptions,
    ) -> Self {
        let named = belief.culprits.iter().filter_map(|culprit| {
            let sure = culprit.p_fault >= self.sure_from;
            let node = culprit.node.filter(|_| sure)?;
            let mut out = self.out.iter();
            out.any(|&out| tree.is_at_or_below(node, out))
                .then_some(node)
        });
        self.expected = named
            .filter_map(|node| {
                let rest = without_its_pull(tree, evidence, node)?;
                let before = believe(tree, models, &rest, usual);
                Some((node, before.nodes.get(node)?.p_fault))
            })
            .collect();
        self
    }

    /// Whether a fault at a load was so likely by all other readings that its pull needs no
    /// second look: the chance that the draw went by itself just then stays within what
    /// naming it wrongly may.
    pub(super) fn was_expected(&self, leaf: usize) -> bool {
        let known = self.expected.iter().find(|(node, _)| *node == leaf);
        known.is_some_and(|(_, p)| p / (p + GOES_DURING_A_PULL) >= self.sure_from)
    }
}

/// The readings without the one pull at or above a node; `None` where it is not one.
fn without_its_pull(tree: &FeedTree, evidence: &[Evidence], node: usize) -> Option<Vec<Evidence>> {
    let covers = |one: &Evidence| match &one.kind {
        EvidenceKind::Step { nodes, .. } => nodes.iter().any(|&at| tree.is_at_or_below(node, at)),
        EvidenceKind::Direct { .. } => false,
    };
    let rest: Vec<Evidence> = evidence
        .iter()
        .filter(|one| !covers(one))
        .cloned()
        .collect();
    (rest.len() + 1 == evidence.len()).then_some(rest)
}
