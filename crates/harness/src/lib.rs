//! The vehicle's power distribution as a feed tree: cables, fuses, loads;
//! fuse families and their resistance; load families; pasted fuse lists.

use std::fmt;

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
    /// Fuse family (see [`fuse`]), as written.
    pub fuse: Option<String>,
    /// Whether its test points can be probed without pulling it.
    pub in_place: bool,
    /// Load family (see [`family`]), as written.
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
