//! A fuse list taken into a tree that is there already.
//!
//! A job may begin with three cables, or with forty fuses of which only the
//! numbers are known. Whatever is learned later is pasted in: a heading that
//! names a node which is there hangs its fuses on that node, and a position
//! that is there gets what was missing. No node goes away or changes its name,
//! so every reading taken before still belongs where it was taken.

use crate::{
    NodeId, NodeKind, NodeSpec,
    family::{Families, folded},
    fuse_list::{self, FuseList, LineProblem},
};

/// What became of a list.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Refined {
    /// The nodes, the earlier ones first and in their order; fit for
    /// [`FeedTree::build`](crate::FeedTree::build) if they were before.
    pub nodes: Vec<NodeSpec>,
    /// Names of new nodes.
    pub added: Vec<NodeId>,
    /// Names of nodes that were there and now say more.
    pub filled: Vec<NodeId>,
    /// What could not be used as it stands, by line.
    pub problems: Vec<LineProblem>,
}

/// Takes a pasted list into `nodes`, guessing from the built-in families.
pub fn refine(nodes: &[NodeSpec], text: &str) -> Refined {
    let FuseList {
        nodes: listed,
        problems,
    } = fuse_list::read_with(text, Families::built_in());
    let mut refined = Refined {
        nodes: nodes.to_vec(),
        problems,
        ..Refined::default()
    };
    // Name of a cable in the list, and of the node it stands for.
    let mut feeds: Vec<(NodeId, NodeId)> = Vec::new();
    for spec in listed {
        if spec.kind == NodeKind::Cable {
            let id = refined.feed(&spec);
            feeds.push((spec.id, id));
        } else {
            let feed = feeds.iter().find(|(listed, _)| *listed == spec.from);
            let from = feed.map_or(spec.from.clone(), |(_, known)| known.clone());
            refined.fuse(NodeSpec { from, ..spec });
        }
    }
    // A cable that a list without headings implies, and that nothing hangs on.
    let idle = |node: &NodeSpec, all: &[NodeSpec]| !all.iter().any(|each| each.from == node.id);
    let all = refined.nodes.clone();
    let added = refined.added.clone();
    refined.nodes.retain(|node| {
        !(node.id.0 == fuse_list::MAIN && added.contains(&node.id) && idle(node, &all))
    });
    refined
        .added
        .retain(|id| refined.nodes.iter().any(|node| node.id == *id));
    refined
}

impl Refined {
    /// The node that a heading names: one that is there, or a new cable.
    fn feed(&mut self, cable: &NodeSpec) -> NodeId {
        let words = cable.label.as_deref().map(folded).unwrap_or_default();
        let named = |node: &NodeSpec| {
            node.id == cable.id
                || (!words.is_empty() && folded(&node.id.0) == words)
                || node
                    .label
                    .as_deref()
                    .is_some_and(|label| folded(label) == words)
        };
        match self.nodes.iter_mut().find(|node| named(node)) {
            Some(node) => {
                // What feeds fuses is no load, whatever it was taken for.
                if node.kind == NodeKind::Load {
                    node.kind = NodeKind::Cable;
                }
                node.id.clone()
            }
            None => {
                self.added.push(cable.id.clone());
                self.nodes.push(cable.clone());
                cable.id.clone()
            }
        }
    }

    /// A fuse: new, or one that is there and now says more.
    fn fuse(&mut self, spec: NodeSpec) {
        let same = |node: &&mut NodeSpec| node.id.0.eq_ignore_ascii_case(&spec.id.0);
        let Some(node) = self.nodes.iter_mut().find(same) else {
            self.added.push(spec.id.clone());
            self.nodes.push(spec);
            return;
        };
        let before = node.clone();
        if let Some(label) = spec.label {
            // Words that were only guessed from are guessed from again.
            node.label = Some(label);
            node.family = spec.family;
        }
        node.rating_a = spec.rating_a.or(node.rating_a);
        node.fuse = spec.fuse.or(node.fuse.take());
        node.in_place |= spec.in_place;
        node.keeps_settings |= spec.keeps_settings;
        if *node != before {
            self.filled.push(before.id);
        }
    }
}
