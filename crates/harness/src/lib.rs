//! The vehicle's power distribution as a feed tree: cables, fuses, loads;
//! fuse families and their resistance; load families; pasted fuse lists.

pub mod behaviour;
pub mod calibrate;
pub mod caution;
pub mod family;
pub mod fuse;
mod fuse_line;
pub mod fuse_list;
mod fuse_split;
mod fuse_table;
pub mod hookup;
pub mod refine;
pub mod template;
mod tree;

use std::fmt;

pub use tree::{FeedTree, TreeError};

/// Name of a node. The root is always `battery`.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct NodeId(pub String);

impl NodeId {
    /// The root.
    pub fn battery() -> Self {
        Self("battery".into())
    }
}

impl fmt::Display for NodeId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.0)
    }
}

/// What a node is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum NodeKind {
    /// The root.
    Battery,
    /// A cable that a clamp fits around.
    Cable,
    /// A fuse.
    Fuse,
    /// Something that draws.
    Load,
}

/// A node as a person describes it.
#[derive(Debug, Clone, PartialEq)]
pub struct NodeSpec {
    /// Its name, unique in the tree.
    pub id: NodeId,
    /// What feeds it.
    pub from: NodeId,
    /// What it is.
    pub kind: NodeKind,
    /// Words for people: "Radio / BT".
    pub label: Option<String>,
    /// Fuse rating, ampere.
    pub rating_a: Option<f64>,
    /// Fuse family, as written.
    pub fuse: Option<String>,
    /// Whether its test points can be probed without pulling it.
    pub in_place: bool,
    /// Load family, as written.
    pub family: Option<String>,
    /// Whether losing its supply loses stored settings.
    pub keeps_settings: bool,
    /// Chance that it is at fault; otherwise from the family.
    pub prior: Option<f64>,
    /// Normal settled draw, ampere; otherwise from the family.
    pub normal_a: Option<f64>,
}

impl NodeSpec {
    /// A node with nothing known but name, feed and kind.
    pub fn new(id: &str, from: &str, kind: NodeKind) -> Self {
        Self {
            id: NodeId(id.into()),
            from: NodeId(from.into()),
            kind,
            label: None,
            rating_a: None,
            fuse: None,
            in_place: false,
            family: None,
            keeps_settings: false,
            prior: None,
            normal_a: None,
        }
    }
}

/// Longest name in bytes that is compared with others.
const LONGEST_NAME: usize = 80;

/// The candidate whose name is nearest to `text` (edit distance, case aside),
/// if it is near enough to be a slip of the finger: at most a third of its
/// letters, and at least one (common practice).
pub fn closest<'a, T>(text: &str, candidates: impl Iterator<Item = (&'a str, T)>) -> Option<T> {
    // Whoever writes a novel where a name belongs has made no slip; and comparing it would take long.
    if text.len() > LONGEST_NAME {
        return None;
    }
    let text = text.to_lowercase();
    let allowed = (text.chars().count() / 3).max(1);
    candidates
        .filter(|(name, _)| name.len() <= LONGEST_NAME)
        .map(|(name, item)| (edit_distance(&text, &name.to_lowercase()), item))
        .min_by_key(|(distance, _)| *distance)
        .filter(|(distance, _)| *distance <= allowed)
        .map(|(_, item)| item)
}

/// Fewest insertions, deletions, substitutions and swaps of neighbours
/// (Damerau 1964, "A technique for computer detection and correction of
/// spelling errors"; restricted form, from memory).
fn edit_distance(a: &str, b: &str) -> usize {
    let a: Vec<char> = a.chars().collect();
    let b: Vec<char> = b.chars().collect();
    let mut older = Vec::new();
    let mut old: Vec<usize> = (0..=b.len()).collect();
    for i in 1..=a.len() {
        let mut row = vec![i];
        for j in 1..=b.len() {
            let substituted = old[j - 1] + usize::from(a[i - 1] != b[j - 1]);
            let mut best = substituted.min(old[j] + 1).min(row[j - 1] + 1);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                let swapped: usize = older[j - 2];
                best = best.min(swapped + 1);
            }
            row.push(best);
        }
        older = std::mem::replace(&mut old, row);
    }
    old[b.len()]
}
