//! Chooses the next test and decides whether the search is over.

use harness::{FeedTree, caution};
use measure::Instrument;

use super::{
    Excluded, Plan, PlanOptions, Proposal, TestKind,
    candidates::{self, Candidate, Finder},
    words,
};
use crate::{Belief, LoadModels};

/// Alternatives shown at most.
pub(super) const ALTERNATIVES: usize = 8;

/// How often one test may be done when no other is left (from memory: a third
/// reading settles what two leave open).
const REPEATS: usize = 3;

/// The next test, its rivals, and whether the search is over.
///
/// Without a total read asleep, that is asked for first. After that every allowed and
/// useful test is ranked by expected information per effective minute, and the first
/// place goes to the one that ends soonest by looking ahead, except that
/// the alternator's cable, audio and other memory-keeping circuits wait, in this
/// order, until they are suspected for themselves. The search is over when loads named with
/// [`PlanOptions::sure_from`] explain the draw down to the limit, when the draw is
/// within the limit anyway, or when no allowed test tells apart what is left.
pub fn plan(
    tree: &FeedTree,
    models: &LoadModels,
    belief: &Belief,
    tools: &[Instrument],
    options: &PlanOptions,
) -> Plan {
    let mut finder = Finder {
        tree,
        models,
        tools,
        options,
        found: Vec::new(),
        excluded: Vec::new(),
    };
    finder.run();
    let Finder {
        found, excluded, ..
    } = finder;
    let planner = Planner {
        tree,
        models,
        belief,
        options,
    };
    planner.plan(found, excluded, candidates::total(tools))
}

pub(super) struct Planner<'a> {
    pub(super) tree: &'a FeedTree,
    pub(super) models: &'a LoadModels,
    pub(super) belief: &'a Belief,
    pub(super) options: &'a PlanOptions,
}

impl Planner<'_> {
    fn plan(&self, found: Vec<Candidate>, mut excluded: Vec<Excluded>, total: Candidate) -> Plan {
        let (again, new): (Vec<_>, Vec<_>) = found
            .into_iter()
            .partition(|candidate| self.times_done(candidate) > 0);
        let mut ranked = self.rank(new, &mut excluded);
        if ranked.is_empty() {
            let few = again.into_iter().filter(|c| self.times_done(c) < REPEATS);
            ranked = self.rank(few.collect(), &mut excluded);
        }
        self.look_ahead(&mut ranked);
        let mut proposals: Vec<Proposal> = ranked.iter().map(|s| self.proposal(s)).collect();
        proposals.truncate(ALTERNATIVES + 1);
        let sure = self.named();
        if let Some(first) = self.before_all(&total) {
            proposals.truncate(ALTERNATIVES);
            return Plan {
                because: first.why.clone(),
                next: Some(first),
                alternatives: proposals,
                excluded,
                culprits: sure,
                done: false,
            };
        }
        if let Some(because) = self.is_over(&sure) {
            return Plan {
                next: None,
                alternatives: self.confirmations(&sure, &total),
                excluded,
                culprits: sure,
                done: true,
                because,
            };
        }
        if proposals.is_empty() {
            let left = self.left_over();
            return Plan {
                next: None,
                alternatives: vec![self.total_proposal(&total)],
                because: format!("no allowed test tells apart what is left: {left}"),
                excluded,
                culprits: sure,
                done: true,
            };
        }
        let next = proposals.remove(0);
        Plan {
            because: next.why.clone(),
            next: Some(next),
            alternatives: proposals,
            excluded,
            culprits: sure,
            done: false,
        }
    }

    fn times_done(&self, candidate: &Candidate) -> usize {
        let done = self.options.done_tests.iter();
        done.filter(|(kind, nodes)| *kind == candidate.kind && *nodes == candidate.nodes)
            .count()
    }

    /// Loads named as at fault: those that are so with near certainty, and those
    /// that probably are and alone draw more than the whole vehicle may.
    fn named(&self) -> Vec<usize> {
        self.belief
            .culprits
            .iter()
            .filter_map(|culprit| Some((culprit, culprit.node?)))
            .filter(|&(culprit, node)| {
                let alone = self.belief.nodes[node].draw.p05 > self.options.limit_a;
                culprit.p_fault >= self.options.sure_from || alone
            })
            .map(|(_, node)| node)
            .filter(|node| !self.options.resolved.contains(node))
            .collect()
    }

    /// Sleep, then the total.
    fn before_all(&self, total: &Candidate) -> Option<Proposal> {
        if self.options.asleep_now == Some(false) {
            return Some(Proposal {
                kind: TestKind::WaitForSleep,
                node: None,
                nodes: Vec::new(),
                tool: None,
                minutes: self.options.wait_min,
                wake_chance: 0.0,
                floor_a: None,
                bits: 0.0,
                why: format!(
                    "the vehicle is awake: readings taken now would blame what is about to switch off, \
                     about {} more",
                    words::duration(self.options.wait_min)
                ),
                caution: Some(
                    caution::for_test(caution::TestKind::WaitForSleep)
                        .text
                        .into(),
                ),
                outcomes: Vec::new(),
            });
        }
        self.belief
            .total
            .is_none()
            .then(|| self.total_proposal(total))
    }

    fn is_over(&self, sure: &[usize]) -> Option<String> {
        let total = self.belief.total?;
        let limit = self.options.limit_a;
        let all = self.belief.nodes.first()?;
        let elsewhere = self
            .belief
            .culprits
            .iter()
            .find(|c| c.node.is_none() && c.p_fault >= self.options.sure_from);
        if sure.is_empty() && elsewhere.is_none() {
            // One-sided 95 %.
            return (total.value + 1.645 * total.u <= limit).then(|| {
                format!(
                    "the vehicle draws {} asleep, within the limit of {}",
                    words::current(total.value),
                    words::current(limit)
                )
            });
        }
        let over = |belief: &crate::NodeBelief| (belief.mean_a - belief.normal_a).max(0.0);
        let explained: f64 = sure
            .iter()
            .filter_map(|&node| self.belief.nodes.get(node))
            .map(over)
            .sum();
        let outside = elsewhere.map_or(0.0, |_| over(&self.belief.elsewhere));
        let left = all.mean_a - explained - outside;
        (left <= limit).then(|| {
            let mut names: Vec<String> = sure
                .iter()
                .map(|&node| self.tree.node(node).id.0.clone())
                .collect();
            if elsewhere.is_some() {
                names.push("something outside the listed circuits".into());
            }
            format!(
                "{} explains {} of {}; without it {} would be left, within the limit of {}",
                names.join(" and "),
                words::current(explained + outside),
                words::current(all.mean_a),
                words::current(left.max(0.0)),
                words::current(limit)
            )
        })
    }
}
