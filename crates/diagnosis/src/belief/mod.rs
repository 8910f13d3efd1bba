//! From readings to a posterior over every draw in the feed tree.

mod answers;
mod crossing;
mod grid;
mod reading;
mod shared;
mod solve;

use std::sync::Arc;

use harness::FeedTree;
use measure::{Quantiles, Uncertain};

pub(crate) use reading::anything;
pub use solve::{believe, believe_shared};

/// One reading, already turned into a current with its uncertainty.
#[derive(Debug, Clone, PartialEq)]
pub struct Evidence {
    /// The caller's number for it, given back in warnings.
    pub tag: usize,
    /// Whether the vehicle was asleep; readings taken awake are set apart.
    pub asleep: bool,
    /// What was read.
    pub kind: EvidenceKind,
}

/// What a reading says.
#[derive(Debug, Clone, PartialEq)]
pub enum EvidenceKind {
    /// The current through one node.
    Direct {
        /// Where.
        node: usize,
        /// How much, ampere.
        current: Uncertain,
        /// `Some(floor)`: the meter showed nothing, and shows nothing below `floor` ampere.
        below_floor: Option<f64>,
    },
    /// The total fell by this much when the supply of these nodes was cut.
    Step {
        /// What was cut, together.
        nodes: Vec<usize>,
        /// Total before minus total after, ampere.
        step: Uncertain,
    },
}

/// An error that several readings have in common: the scale of one meter, the zero of one
/// clamp, the resistance of fuses of one kind.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SharedError {
    /// By how much it shifts each reading when it has the size of its own standard
    /// uncertainty, ampere, with its sign; the reading by its place in the list of evidence.
    /// These are parts of the readings' uncertainties, not additions to them.
    pub parts: Vec<(usize, f64)>,
}

/// Settings of [`believe`].
#[derive(Debug, Clone, PartialEq)]
pub struct BeliefOptions {
    /// Chance that a reading is worthless (slipped probe, wrong range, a
    /// module that woke): from memory.
    pub outlier_chance: f64,
    /// Chance that something not in the tree draws too much: from memory.
    pub elsewhere_prior: f64,
    /// Smallest grid step, ampere.
    pub step_a: f64,
    /// Largest current considered, ampere.
    pub reach_a: f64,
    /// Most cells of the common grid.
    pub max_cells: usize,
    /// A load is listed as a culprit from this probability on: more likely
    /// than not.
    pub culprit_from: f64,
    /// A reading is named in a warning from this chance to be worthless on (from memory).
    pub doubt_from: f64,
    /// Nodes of which somebody wants to know what pulling them together would show:
    /// [`Belief::groups`] tells.
    pub groups: Vec<Vec<usize>>,
}

impl Default for BeliefOptions {
    fn default() -> Self {
        Self {
            outlier_chance: 0.02,
            elsewhere_prior: 0.02,
            step_a: 0.0005,
            reach_a: 30.0,
            max_cells: 2048,
            culprit_from: 0.5,
            doubt_from: 0.2,
            groups: Vec::new(),
        }
    }
}

/// What is believed of one node.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NodeBelief {
    /// Its draw, ampere.
    pub draw: Quantiles,
    /// Mean draw, ampere.
    pub mean_a: f64,
    /// Mean draw it would have were all loads below it healthy, ampere.
    pub normal_a: f64,
    /// Chance that some load at or below it is at fault.
    pub p_fault: f64,
}

/// A load named as at fault.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Culprit {
    /// The leaf; `None` for something outside the tree.
    pub node: Option<usize>,
    /// How likely.
    pub p_fault: f64,
    /// Its mean draw, ampere.
    pub mean_a: f64,
}

/// Readings that cannot all be right.
#[derive(Debug, Clone, PartialEq)]
pub struct Disagreement {
    /// The readings concerned, most doubtful first, with the chance that each is worthless.
    pub doubts: Vec<(usize, f64)>,
}

/// Posterior over the whole tree.
#[derive(Debug, Clone, PartialEq)]
pub struct Belief {
    /// By node number; 0 is the battery, so the whole vehicle.
    pub nodes: Vec<NodeBelief>,
    /// Draw outside the tree: parasitic wiring, circuits nobody listed.
    pub elsewhere: NodeBelief,
    /// The total as read asleep (weighted mean of the readings not in doubt).
    pub total: Option<Uncertain>,
    /// The part of `total` that no reading below the battery has found: total
    /// minus the innermost measured branches. A branch inside which another one
    /// was measured does not count itself, because its remainder is not found
    /// either. Readings in doubt do not count. Without any such branch it is the
    /// whole total; without a total, `None`.
    pub unaccounted: Option<Uncertain>,
    /// Mean draw above normal, ampere, whole vehicle.
    pub excess_a: f64,
    /// Most likely first.
    pub culprits: Vec<Culprit>,
    /// Readings that disagree, if any.
    pub disagreement: Option<Disagreement>,
    /// Tags of readings taken awake and therefore not used.
    pub set_apart: Vec<usize>,
    /// Tags of pulled groups that cross others in more than two parts, or whose parts
    /// could draw too many different amounts to try them all: used on one of their nodes
    /// only, the rest of the step being taken from what the other readings say of it.
    /// Other groups that cross are exact to a thousandth in every probability.
    pub approximated: Vec<usize>,
    /// Tags of readings that say nothing: not a number, or of no node.
    pub unused: Vec<usize>,
    /// Natural logarithm of the evidence, densities in 1/A.
    pub log_evidence: f64,
    /// Grid step used, ampere.
    pub step_a: f64,
    /// By node: what the planner needs to know of its draw; `None` where a pulled group crosses it.
    pub(crate) views: Vec<Option<Arc<View>>>,
    /// Independent errors shared by readings over which the posterior was integrated; 0 when
    /// no readings share enough of theirs to matter, or when groups cross.
    pub shared_errors: usize,
    /// The joint draw of each of [`BeliefOptions::groups`], exact like everything else;
    /// `None` where it crosses a reading or another group, or is no group.
    pub groups: Vec<Option<GroupBelief>>,
}

impl Belief {
    /// The same belief about the nodes of a coarser tree, which are the first nodes here, with the same numbers; what is
    /// finer here hangs below its leaves. Groups stay as they are.
    pub fn told_of(mut self, coarser: &FeedTree, options: &BeliefOptions) -> Self {
        self.nodes.truncate(coarser.len());
        self.views.truncate(coarser.len());
        self.culprits.retain(|culprit| culprit.node.is_none());
        let leaves = coarser.leaves().iter();
        let leaves = leaves.filter_map(|&leaf| Some((leaf, self.nodes.get(leaf)?)));
        let named = leaves.filter(|(_, belief)| belief.p_fault >= options.culprit_from);
        self.culprits.extend(named.map(|(leaf, belief)| Culprit {
            node: Some(leaf),
            p_fault: belief.p_fault,
            mean_a: belief.mean_a,
        }));
        self.culprits
            .sort_by(|a, b| b.p_fault.total_cmp(&a.p_fault).then(a.node.cmp(&b.node)));
        self
    }
}

/// The joint draw of some nodes, and so the step that pulling them together would make.
#[derive(Debug, Clone, PartialEq)]
pub struct GroupBelief {
    /// The joint draw, ampere.
    pub draw: Quantiles,
    /// Chance that some load at or below one of them is at fault.
    pub p_fault: f64,
    /// Distribution by grid step, with and without a fault.
    pub(crate) view: Arc<View>,
}

/// Distribution of a node's draw, with and without a fault at or below it, by grid step.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct View {
    /// P(nothing at fault below, steps).
    pub(crate) quiet: Vec<f64>,
    /// P(something at fault below, steps); the last cell holds everything beyond.
    pub(crate) fault: Vec<f64>,
}
