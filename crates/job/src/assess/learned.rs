//! What finished jobs have to say about a proposed test, in words.

use diagnosis::{Belief, History, history::Told, model::family_of};
use harness::{FeedTree, NodeId, NodeSpec, family::Families};
use tongue::{Message, amount, say};

use super::steps::Steps;
use crate::Proposal;

/// Adds to each proposal why earlier jobs speak for it, where they do.
pub(super) fn tell(steps: &mut Steps, tree: &FeedTree, belief: &Belief, history: &History) {
    if history.jobs == 0 {
        return;
    }
    let proposals = steps.next.iter_mut().chain(&mut steps.alternatives);
    for proposal in proposals {
        if let Some(words) = words(proposal, tree, belief, history) {
            let why = std::mem::take(&mut proposal.why);
            proposal.why = Message::joined(vec![why.open(), words], "; ");
        }
    }
}

/// Of the circuits that a test concerns, the most suspect one that has
/// something in its past decides.
fn words(
    proposal: &Proposal,
    tree: &FeedTree,
    belief: &Belief,
    history: &History,
) -> Option<Message> {
    let below = |id: &NodeId| match tree.index(id) {
        // Of the whole vehicle there is nothing to tell.
        Some(FeedTree::ROOT) | None => Vec::new(),
        Some(node) => tree.leaves_below(node).to_vec(),
    };
    let leaves: Vec<usize> = proposal.nodes.iter().flat_map(below).collect();
    let p_fault = |leaf: usize| belief.nodes.get(leaf).map_or(0.0, |node| node.p_fault);
    let (leaf, told) = leaves
        .iter()
        .filter_map(|&leaf| Some((leaf, told(tree.node(leaf), history)?)))
        .max_by(|a, b| p_fault(a.0).total_cmp(&p_fault(b.0)))?;
    let spec = tree.node(leaf);
    let place = (leaves.len() > 1).then_some(&spec.id);
    Some(sentence(told, spec, place))
}

fn told(spec: &NodeSpec, history: &History) -> Option<Told> {
    let family = family_of(spec, Families::built_in());
    history.told(family, spec.label.as_deref())
}

/// "3 of your 7 finished jobs were a boot lamp, 2 of them 'Load bay lamps'".
fn sentence(told: Told, spec: &NodeSpec, place: Option<&NodeId>) -> Message {
    let kind = &family_of(spec, Families::built_in()).name;
    let count = |n: u64| amount(n.to_string());
    let mut text = vec![match (told.of_family, told.jobs) {
        (_, 1) => say::job::taught_by_one(kind),
        (1, jobs) => say::job::taught_one_of(count(jobs), kind),
        (of_family, jobs) => say::job::taught_some_of(count(of_family), count(jobs), kind),
    }];
    if let (Some(label), true) = (&spec.label, told.of_circuit > 0) {
        text.push(match (told.of_circuit, told.of_family) {
            (1, 1) => say::job::taught_that_time(label),
            (of_circuit, of_family) if of_circuit == of_family => say::job::taught_each_time(label),
            (1, _) => say::job::taught_one_circuit(label),
            (of_circuit, _) => say::job::taught_circuit(count(of_circuit), label),
        });
    }
    let text = Message::joined(text, ", ");
    match place {
        Some(place) => Message::joined(vec![text, say::job::taught_hangs_here(&place.0)], "; "),
        None => text,
    }
}
