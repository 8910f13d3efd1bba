//! Tests as the entries that tell of them, and back.

use std::slice;

use harness::{FeedTree, NodeId, NodeKind};
use job::EntryKind;
use measure::instrument::How;
use rehearsal::fleet::Action;

use crate::command::command;

/// How a remark tells what was done, so that it can be done again.
pub(crate) const MARK: (&str, &str) = (" [rehearsal: ", "]");

/// The entries of something cut, whose supply is back after the look at the meter.
pub(crate) fn back_at_once(cut: EntryKind, nodes: Vec<NodeId>) -> Vec<EntryKind> {
    let back = EntryKind::Refit {
        nodes,
        before_a: None,
        after_a: None,
    };
    vec![cut, back]
}

/// Whether an entry puts back at once what the one before it pulled.
pub(crate) fn puts_back(kind: &EntryKind, next: &EntryKind) -> bool {
    match (kind, next) {
        (
            EntryKind::Pull { nodes, .. },
            EntryKind::Refit {
                nodes: back,
                before_a: None,
                ..
            },
        ) => nodes == back,
        (
            EntryKind::Unplug { node, .. },
            EntryKind::Refit {
                nodes: back,
                before_a: None,
                ..
            },
        ) => back.as_slice() == slice::from_ref(node),
        _ => false,
    }
}

/// What was done, as an entry tells it; `at_once`: the next one puts back what it pulled.
pub(crate) fn action_of(kind: &EntryKind, at_once: bool, tree: &FeedTree) -> Option<Action> {
    let places = |nodes: &[NodeId]| -> Option<Vec<usize>> {
        nodes.iter().map(|node| tree.index(node)).collect()
    };
    match kind {
        EntryKind::Draw { node, how, .. } => match how {
            How::Clamp => Some(Action::Clamp(tree.index(node)?)),
            How::InLine => Some(Action::InLine),
            How::Millivolt => Some(Action::Millivolt(tree.index(node)?)),
            How::Shunt => None,
        },
        EntryKind::Pull { nodes, .. } => match places(nodes)? {
            nodes if !at_once => Some(Action::TakeOut(nodes)),
            nodes => match nodes[..] {
                [node] if tree.node(node).kind == NodeKind::Load => Some(Action::Unplug(node)),
                _ => Some(Action::Pull(nodes)),
            },
        },
        EntryKind::Unplug { node, .. } => Some(Action::Unplug(tree.index(node)?)),
        EntryKind::Refit {
            nodes,
            before_a: Some(_),
            ..
        } => Some(Action::PutBack(places(nodes)?)),
        EntryKind::Refit { before_a: None, .. } => Some(Action::Restore),
        EntryKind::Repair {
            node: Some(node), ..
        } => Some(Action::Repair(tree.index(node)?)),
        EntryKind::Repair { node: None, .. } => Some(Action::RepairOutside),
        EntryKind::Note { text } => {
            let (_, marked) = text.rsplit_once(MARK.0)?;
            command(marked.strip_suffix(MARK.1)?, tree).ok()
        }
        _ => None,
    }
}
