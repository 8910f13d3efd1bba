//! The parts of a circuit that an unplugged load tells apart: what hangs behind the fuse, and the wiring to it.
//!
//! A fuse list ends at the fuse, and a fuse that is pulled cuts the supply of both. Only once somebody has unplugged a load does
//! it matter which of the two draws, so only then are they nodes of their own:
//!
//! * Behind a fuse that stands for the one thing it feeds, the belief has a load and a wiring, the search has the fuse.
//!   So long as one of both is at fault, the fuse is, whichever it is.
//! * A fuse whose loads are listed gets its wiring beside them, for the search as well: all loads may be unplugged in vain.

use std::collections::BTreeSet;

use diagnosis::{Belief, BeliefOptions};
use harness::{FeedTree, NodeId, NodeKind, NodeSpec, family::WIRING};
use tongue::say;

use super::warnings::Warnings;
use crate::{EntryKind, Job, Part};

/// From this chance on one part is said to be at fault (from memory: its circuit is found, and this says where in it to look first).
const LIKELY: f64 = diagnosis::plan::PART_FROM;
/// Below it the other part is not meant (more likely well than not).
const UNLIKELY: f64 = 0.5;

/// The feed tree of a job as it is searched, and as it is believed in.
pub(super) struct Trees {
    /// The nodes that the job lists, and the wiring of fuses whose loads are listed.
    pub(super) search: FeedTree,
    /// The same nodes with the same numbers, then the parts of circuits that are a fuse alone.
    pub(super) parts: FeedTree,
    split: Vec<Split>,
    /// How many nodes the job's list makes, the battery included.
    listed: usize,
}

/// A fuse alone, its load and its wiring, by their numbers among the parts.
struct Split {
    fuse: usize,
    load: usize,
    wiring: usize,
}

impl Trees {
    pub(super) fn of(job: &Job, warnings: &mut Warnings) -> Self {
        let listed = FeedTree::build(job.nodes.clone()).unwrap_or_else(|error| {
            // Job files refuse such a tree; a job made otherwise is assessed without one.
            warnings.add(
                "feed-tree",
                say::job::feed_tree_unusable(error.sentence()),
                [],
            );
            FeedTree::battery_alone()
        });
        Self::with_parts(job, listed)
    }

    /// The trees of a job whose nodes make the tree `listed`.
    pub(super) fn with_parts(job: &Job, listed: FeedTree) -> Self {
        let fuses = unplugged_behind(job, &listed);
        let (alone, shared): (Vec<usize>, Vec<usize>) =
            fuses.iter().partition(|&&fuse| listed.is_leaf(fuse));
        let nodes = listed.len();
        if fuses.is_empty() {
            return Self {
                search: listed.clone(),
                parts: listed,
                split: Vec::new(),
                listed: nodes,
            };
        }
        let mut specs = job.nodes.clone();
        for fuse in shared {
            let wiring = wiring_of(&specs, listed.node(fuse));
            specs.push(wiring);
        }
        let given = specs.len();
        for &fuse in &alone {
            let fuse = listed.node(fuse);
            let load = load_of(&specs, fuse);
            specs.push(load);
            let wiring = wiring_of(&specs, fuse);
            specs.push(wiring);
        }
        let search = FeedTree::build(specs[..given].to_vec()).unwrap_or(listed);
        let parts = FeedTree::build(specs.clone()).unwrap_or_else(|_| search.clone());
        let added = specs[given..].chunks_exact(2).zip(alone);
        let split = added.filter_map(|(added, fuse)| {
            Some(Split {
                fuse,
                load: parts.index(&added[0].id)?,
                wiring: parts.index(&added[1].id)?,
            })
        });
        let split = split.collect();
        Self {
            search,
            parts,
            split,
            listed: nodes,
        }
    }

    /// A belief about the parts, told of the tree that is searched.
    pub(super) fn told(&self, belief: Belief) -> Belief {
        if self.split.is_empty() {
            return belief;
        }
        belief.told_of(&self.search, &BeliefOptions::default())
    }

    /// The nodes that are searched, for nodes among the parts; each once.
    pub(super) fn searched(&self, nodes: &[usize]) -> Vec<usize> {
        let mut out: Vec<usize> = Vec::new();
        for &node in nodes {
            let node = if node < self.search.len() {
                Some(node)
            } else {
                self.parts.parent(node)
            };
            out.extend(node.filter(|node| !out.contains(node)));
        }
        out
    }

    /// The node that a job's file knows for a leaf of the search, and which part of its circuit is at fault, where
    /// `parts` tells.
    pub(super) fn at_fault(&self, leaf: usize, parts: &Belief) -> (NodeId, Option<Part>) {
        if !self.is_listed(leaf) {
            let fuse = self.search.parent(leaf).unwrap_or(FeedTree::ROOT);
            return (self.search.node(fuse).id.clone(), Some(Part::Wiring));
        }
        let told = self.search.parent(leaf).is_some_and(|fuse| {
            let mut beside = self.search.children(fuse).iter();
            beside.any(|&node| !self.is_listed(node))
        });
        if told {
            return (self.search.node(leaf).id.clone(), Some(Part::Load));
        }
        let p = |node: usize| parts.nodes.get(node).map_or(0.0, |node| node.p_fault);
        let part = self
            .split
            .iter()
            .find(|split| split.fuse == leaf)
            .and_then(|split| match (p(split.load), p(split.wiring)) {
                (load, wiring) if load >= LIKELY && wiring < UNLIKELY => Some(Part::Load),
                (load, wiring) if wiring >= LIKELY && load < UNLIKELY => Some(Part::Wiring),
                _ => None,
            });
        (self.search.node(leaf).id.clone(), part)
    }

    /// Whether a node of the search is in the job's own list.
    pub(super) fn is_listed(&self, node: usize) -> bool {
        node < self.listed
    }
}

/// The leaves that lose their supply when what `node` feeds is unplugged: all but the wiring.
pub(super) fn unplugged(parts: &FeedTree, node: usize) -> Vec<usize> {
    let below = parts.leaves_below(node).iter().copied();
    below
        .filter(|&leaf| parts.node(leaf).family.as_deref() != Some(WIRING))
        .collect()
}

/// The fuses behind which something was unplugged, ascending.
fn unplugged_behind(job: &Job, listed: &FeedTree) -> Vec<usize> {
    let fuses: BTreeSet<usize> = job
        .standing()
        .filter_map(|(_, entry)| match &entry.kind {
            EntryKind::Unplug { node, .. } => listed.supplying_fuse(listed.index(node)?),
            _ => None,
        })
        .collect();
    fuses.into_iter().collect()
}

/// What hangs behind a fuse that stands for it: all that is known of the fuse but what makes it a fuse.
fn load_of(specs: &[NodeSpec], fuse: &NodeSpec) -> NodeSpec {
    NodeSpec {
        label: Some(fuse.label.clone().unwrap_or_else(|| fuse.id.0.clone())),
        family: fuse.family.clone(),
        keeps_settings: fuse.keeps_settings,
        prior: fuse.prior,
        normal_a: fuse.normal_a,
        ..NodeSpec::new(&free(specs, &fuse.id, "load"), &fuse.id.0, NodeKind::Load)
    }
}

fn wiring_of(specs: &[NodeSpec], fuse: &NodeSpec) -> NodeSpec {
    NodeSpec {
        family: Some(WIRING.into()),
        ..NodeSpec::new(&free(specs, &fuse.id, WIRING), &fuse.id.0, NodeKind::Load)
    }
}

/// A name for a part of `fuse` that no node has.
fn free(specs: &[NodeSpec], fuse: &NodeId, part: &str) -> String {
    let mut name = format!("{fuse} {part}");
    while specs.iter().any(|spec| spec.id.0 == name) {
        name.push('\'');
    }
    name
}
