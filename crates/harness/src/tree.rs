//! The feed tree: who feeds whom, from the battery down to every load.

use std::{cmp::Reverse, collections::BTreeMap, collections::BinaryHeap, fmt};

use measure::range::{self, OutOfRange};
use tongue::{Message, say};

use crate::{NodeId, NodeKind, NodeSpec, closest};

/// Longest way from the battery to a node, in feeds: far beyond any vehicle,
/// and short enough that walking the tree by recursion is safe (common practice).
const MAX_DEPTH: usize = 64;

/// A vehicle's power distribution, checked: one root, no loops, every number
/// possible.
///
/// Nodes are numbered; 0 is the implied root `battery`, parents come before
/// their children, and otherwise the order of the description is kept.
#[derive(Debug, Clone, PartialEq)]
pub struct FeedTree {
    specs: Vec<NodeSpec>,
    parents: Vec<Option<usize>>,
    children: Vec<Vec<usize>>,
    leaves_below: Vec<Vec<usize>>,
    index: BTreeMap<NodeId, usize>,
}

/// Why a description is not a feed tree.
#[derive(Debug, Clone, PartialEq)]
pub enum TreeError {
    /// Nodes that feed one another in a circle.
    Loop {
        /// The nodes of one circle, each fed from the next.
        ids: Vec<NodeId>,
    },
    /// A feed that does not exist.
    UnknownFrom {
        /// The node that names it.
        id: NodeId,
        /// The missing feed.
        from: NodeId,
        /// An existing node with a similar name.
        suggestion: Option<NodeId>,
    },
    /// Two nodes of one name.
    DuplicateId(NodeId),
    /// A described node called `battery`, which is implied.
    ReservedId,
    /// A node without a name.
    EmptyId {
        /// Which node of the description, counted from 1.
        position: usize,
    },
    /// A second node of kind battery.
    SecondBattery(NodeId),
    /// More feeds above a node than any vehicle has.
    TooDeep(NodeId),
    /// A load that feeds another node.
    FedFromLoad {
        /// The node fed.
        id: NodeId,
        /// The load named as its feed.
        from: NodeId,
    },
    /// An impossible number.
    OutOfRange {
        /// The node.
        id: NodeId,
        /// The number and its limits.
        problem: OutOfRange,
    },
}

impl TreeError {
    /// What is the matter, without what to do.
    pub fn message(&self) -> Message {
        match self {
            Self::Loop { ids } => {
                let feeds = ids.iter().map(|id| say::harness::tree_fed_from(&id.0));
                let back = ids.first().map_or_else(say::harness::tree_itself, |first| {
                    say::harness::tree_last(&first.0)
                });
                let chain = feeds.chain([back]).collect();
                say::harness::tree_loop(Message::joined(chain, " "))
            }
            Self::UnknownFrom { id, from, .. } => say::harness::tree_unknown_from(&from.0, &id.0),
            Self::DuplicateId(id) => say::harness::tree_duplicate(&id.0),
            Self::ReservedId => say::harness::tree_reserved(),
            Self::EmptyId { position } => say::harness::tree_empty_id(position.to_string()),
            Self::SecondBattery(id) => say::harness::tree_second_battery(&id.0),
            Self::TooDeep(id) => say::harness::tree_too_deep(&id.0, MAX_DEPTH.to_string()),
            Self::FedFromLoad { id, from } => say::harness::tree_fed_from_load(&from.0, &id.0),
            Self::OutOfRange { id, problem } => {
                say::harness::tree_out_of_range(&id.0, problem.message())
            }
        }
    }

    /// What to do about it, where that is more than to look at the number.
    pub fn hint(&self) -> Option<Message> {
        Some(match self {
            Self::Loop { .. } => say::harness::tree_loop_hint(),
            Self::UnknownFrom {
                suggestion: Some(near),
                ..
            } => say::harness::tree_unknown_from_near(&near.0),
            Self::UnknownFrom { from, .. } => say::harness::tree_unknown_from_hint(&from.0),
            Self::DuplicateId(_) => say::harness::tree_duplicate_hint(),
            Self::ReservedId => say::harness::tree_reserved_hint(),
            Self::EmptyId { .. } => say::harness::tree_empty_id_hint(),
            Self::SecondBattery(_) => say::harness::tree_second_battery_hint(),
            Self::TooDeep(_) => say::harness::tree_too_deep_hint(),
            Self::FedFromLoad { from, .. } => say::harness::tree_fed_from_load_hint(&from.0),
            Self::OutOfRange { .. } => return None,
        })
    }

    /// Both in one sentence.
    pub fn sentence(&self) -> Message {
        let parts = [Some(self.message()), self.hint()];
        Message::joined(parts.into_iter().flatten().collect(), "; ")
    }
}

impl fmt::Display for TreeError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.sentence().fmt(f)
    }
}

impl std::error::Error for TreeError {}

impl FeedTree {
    /// The number of the root, `battery`.
    pub const ROOT: usize = 0;

    /// Checks a description and puts it in order. No nodes at all make a tree
    /// of the battery alone, which is then its own leaf.
    ///
    /// # Errors
    /// The first fault found; see [`TreeError`].
    pub fn build(specs: Vec<NodeSpec>) -> Result<Self, TreeError> {
        let given = check_names(&specs)?;
        for spec in &specs {
            check_feed(spec, &given, &specs)?;
            check_numbers(spec)?;
        }
        let order = topological(&specs, &given)?;
        Ok(Self::assemble(specs, &order))
    }

    /// The tree of a vehicle of which nothing is described: the battery alone,
    /// which is then its own leaf.
    pub fn battery_alone() -> Self {
        Self::assemble(Vec::new(), &[])
    }

    /// Numbers the nodes in `order`, a permutation in which feeds come first.
    fn assemble(specs: Vec<NodeSpec>, order: &[usize]) -> Self {
        let root = NodeId::battery();
        let mut index = BTreeMap::from([(root.clone(), Self::ROOT)]);
        let mut sorted = vec![NodeSpec::new(&root.0, &root.0, NodeKind::Battery)];
        let mut parents = vec![None];
        let mut children = vec![Vec::new()];
        let mut slots: Vec<Option<NodeSpec>> = specs.into_iter().map(Some).collect();
        for &given in order {
            let Some(spec) = slots.get_mut(given).and_then(Option::take) else {
                continue;
            };
            let number = sorted.len();
            let parent = index.get(&spec.from).copied().unwrap_or(Self::ROOT);
            children[parent].push(number);
            children.push(Vec::new());
            parents.push(Some(parent));
            index.insert(spec.id.clone(), number);
            sorted.push(spec);
        }
        let mut leaves_below: Vec<Vec<usize>> = vec![Vec::new(); sorted.len()];
        for node in (0..sorted.len()).rev() {
            if children[node].is_empty() {
                leaves_below[node].push(node);
            }
            // Children come in any order after their parent, so sort here once.
            leaves_below[node].sort_unstable();
            if let Some(parent) = parents[node] {
                let below = leaves_below[node].clone();
                leaves_below[parent].extend(below);
            }
        }
        Self {
            specs: sorted,
            parents,
            children,
            leaves_below,
            index,
        }
    }

    /// How many nodes there are, the battery included; never 0.
    #[expect(clippy::len_without_is_empty, reason = "a tree always holds its root")]
    pub fn len(&self) -> usize {
        self.specs.len()
    }

    /// The description of node `i`. The root has a made-up one, fed from itself.
    ///
    /// # Panics
    /// Like a slice, when `i` is not below [`len`](Self::len); so do all methods
    /// that take a node number.
    pub fn node(&self, i: usize) -> &NodeSpec {
        &self.specs[i]
    }

    /// All nodes with their numbers, parents first.
    pub fn nodes(&self) -> impl ExactSizeIterator<Item = (usize, &NodeSpec)> {
        self.specs.iter().enumerate()
    }

    /// What feeds node `i`; `None` for the root.
    pub fn parent(&self, i: usize) -> Option<usize> {
        self.parents[i]
    }

    /// What node `i` feeds directly, ascending.
    pub fn children(&self, i: usize) -> &[usize] {
        &self.children[i]
    }

    /// Whether node `i` feeds no described node. A childless fuse stands for
    /// whatever it feeds.
    pub fn is_leaf(&self, i: usize) -> bool {
        self.children[i].is_empty()
    }

    /// All leaves, ascending.
    pub fn leaves(&self) -> &[usize] {
        &self.leaves_below[Self::ROOT]
    }

    /// The leaves at or below node `i`, ascending; a leaf gives itself.
    pub fn leaves_below(&self, i: usize) -> &[usize] {
        &self.leaves_below[i]
    }

    /// The number of the node called `id`.
    pub fn index(&self, id: &NodeId) -> Option<usize> {
        self.index.get(id).copied()
    }

    /// An existing node with a name similar to `id`, for a hint.
    pub fn closest(&self, id: &NodeId) -> Option<&NodeId> {
        closest(
            &id.0,
            self.index.keys().map(|known| (known.0.as_str(), known)),
        )
    }

    /// The way from the battery to node `i`, both included.
    pub fn path(&self, i: usize) -> Vec<usize> {
        let mut path: Vec<usize> = self.upwards(i).collect();
        path.reverse();
        path
    }

    /// Node `i`, its feed, the feed of that, and so on up to the battery.
    pub fn upwards(&self, i: usize) -> impl Iterator<Item = usize> {
        std::iter::successors(Some(i), |&node| self.parents[node])
    }

    /// Whether `below` is `above` or is fed through it.
    pub fn is_at_or_below(&self, below: usize, above: usize) -> bool {
        self.upwards(below).any(|node| node == above)
    }

    /// The nearest fuse at or above node `i`.
    pub fn supplying_fuse(&self, i: usize) -> Option<usize> {
        self.upwards(i)
            .find(|&node| self.specs[node].kind == NodeKind::Fuse)
    }

    /// Whether anything at or below node `i` loses stored settings with its supply.
    pub fn keeps_settings_below(&self, i: usize) -> bool {
        self.specs[i].keeps_settings
            || self.children[i]
                .iter()
                .any(|&child| self.keeps_settings_below(child))
    }
}

/// Position by name, every name being present, allowed and unique.
fn check_names(specs: &[NodeSpec]) -> Result<BTreeMap<&NodeId, usize>, TreeError> {
    let mut given = BTreeMap::new();
    for (at, spec) in specs.iter().enumerate() {
        if spec.id.0.trim().is_empty() {
            return Err(TreeError::EmptyId { position: at + 1 });
        }
        if spec.id == NodeId::battery() {
            return Err(TreeError::ReservedId);
        }
        if spec.kind == NodeKind::Battery {
            return Err(TreeError::SecondBattery(spec.id.clone()));
        }
        if given.insert(&spec.id, at).is_some() {
            return Err(TreeError::DuplicateId(spec.id.clone()));
        }
    }
    Ok(given)
}

fn check_feed(
    spec: &NodeSpec,
    given: &BTreeMap<&NodeId, usize>,
    specs: &[NodeSpec],
) -> Result<(), TreeError> {
    let root = NodeId::battery();
    if spec.from == root {
        return Ok(());
    }
    let Some(&feed) = given.get(&spec.from) else {
        let names = given.keys().copied().chain(std::iter::once(&root));
        let others = names.filter(|name| **name != spec.id);
        return Err(TreeError::UnknownFrom {
            id: spec.id.clone(),
            from: spec.from.clone(),
            suggestion: closest(&spec.from.0, others.map(|name| (name.0.as_str(), name))).cloned(),
        });
    };
    if specs[feed].kind == NodeKind::Load && spec.from != spec.id {
        return Err(TreeError::FedFromLoad {
            id: spec.id.clone(),
            from: spec.from.clone(),
        });
    }
    Ok(())
}

fn check_numbers(spec: &NodeSpec) -> Result<(), TreeError> {
    let bounds = [
        (range::FUSE_RATING, spec.rating_a),
        (range::PROBABILITY, spec.prior),
        (range::NORMAL_DRAW, spec.normal_a),
    ];
    for (bound, value) in bounds {
        if let Some(value) = value {
            bound
                .check(value)
                .map_err(|problem| TreeError::OutOfRange {
                    id: spec.id.clone(),
                    problem,
                })?;
        }
    }
    Ok(())
}

/// Feeds first; among the nodes that are ready, the earliest described first
/// (Kahn's algorithm with a heap, n log n).
fn topological(
    specs: &[NodeSpec],
    given: &BTreeMap<&NodeId, usize>,
) -> Result<Vec<usize>, TreeError> {
    let mut fed: Vec<Vec<usize>> = vec![Vec::new(); specs.len()];
    let mut depth = vec![1_usize; specs.len()];
    let mut ready = BinaryHeap::new();
    for (at, spec) in specs.iter().enumerate() {
        match given.get(&spec.from) {
            Some(&feed) => fed[feed].push(at),
            None => ready.push(Reverse(at)),
        }
    }
    let mut order = Vec::with_capacity(specs.len());
    let mut placed = vec![false; specs.len()];
    while let Some(Reverse(at)) = ready.pop() {
        placed[at] = true;
        order.push(at);
        if depth[at] > MAX_DEPTH {
            return Err(TreeError::TooDeep(specs[at].id.clone()));
        }
        for &next in &fed[at] {
            depth[next] = depth[at] + 1;
            ready.push(Reverse(next));
        }
    }
    match placed.iter().position(|done| !done) {
        None => Ok(order),
        Some(start) => Err(TreeError::Loop {
            ids: circle(specs, given, start),
        }),
    }
}

/// The circle that going from feed to feed from `start` ends in.
fn circle(specs: &[NodeSpec], given: &BTreeMap<&NodeId, usize>, start: usize) -> Vec<NodeId> {
    let mut seen = Vec::new();
    let mut at = start;
    loop {
        if let Some(first) = seen.iter().position(|&earlier| earlier == at) {
            return seen[first..]
                .iter()
                .map(|&node: &usize| specs[node].id.clone())
                .collect();
        }
        seen.push(at);
        // Every node on the way has a described feed, else it would have been placed.
        match given.get(&specs[at].from) {
            Some(&feed) => at = feed,
            None => return Vec::new(),
        }
    }
}
