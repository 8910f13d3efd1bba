//! Which test to do next, and why.
//!
//! Every test that is allowed and can see something is scored by the
//! information it is expected to give about where the fault lies, in bit per
//! effective minute: hands-on minutes, plus the chance to wake the vehicle times
//! the minutes until it sleeps again.

mod candidates;
mod choose;
mod expected;
mod explain;
mod meaning;
mod rank;
mod score;
pub mod search;
mod words;

pub use choose::plan;
use tongue::Message;

/// A load is named as the culprit from this probability on (from memory: one wrong in twenty).
pub const SURE_FROM: f64 = 0.95;
/// A load, or the wiring of its fuse, is said to be what draws from this probability on (from memory).
pub const PART_FROM: f64 = 0.8;

/// A kind of test, in the contract's words.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum TestKind {
    /// Clamp around a cable.
    Clamp,
    /// Ammeter in series.
    InLine,
    /// Millivolts across a fuse in place.
    Millivolt,
    /// Pull one fuse and watch the total.
    Pull,
    /// Pull several fuses together.
    PullGroup,
    /// Take a cable off.
    Detach,
    /// Unplug the load itself.
    Unplug,
    /// Wait until the vehicle sleeps.
    WaitForSleep,
    /// Put back what is out and watch the total.
    PutBack,
    /// Read the total again after a find.
    Remeasure,
}

impl TestKind {
    /// The contract's word.
    pub fn as_str(self) -> &'static str {
        match self {
            Self::Clamp => "clamp",
            Self::InLine => "in-line",
            Self::Millivolt => "millivolt",
            Self::Pull => "pull",
            Self::PullGroup => "pull-group",
            Self::Detach => "detach",
            Self::Unplug => "unplug",
            Self::WaitForSleep => "wait-for-sleep",
            Self::PutBack => "put-back",
            Self::Remeasure => "remeasure",
        }
    }
}

/// What is allowed and known around the tests.
#[derive(Debug, Clone, PartialEq)]
pub struct PlanOptions {
    /// Limit of the settled draw, ampere.
    pub limit_a: f64,
    /// Whether the person accepts that stored settings are lost.
    pub allow_settings_loss: bool,
    /// Minutes until the vehicle sleeps again after it was woken.
    pub resleep_min: f64,
    /// Whether it sleeps now; `None` when nobody has said.
    pub asleep_now: Option<bool>,
    /// Minutes still to wait for sleep when it does not sleep now.
    pub wait_min: f64,
    /// Minutes between the two totals of a pull, in which a meter's zero may wander.
    pub apart_min: f64,
    /// Tests already done (kind and nodes), not proposed again.
    pub done_tests: Vec<(TestKind, Vec<usize>)>,
    /// Leaves already repaired or unplugged.
    pub resolved: Vec<usize>,
    /// A load is named as the culprit from this probability on; usually [`SURE_FROM`].
    pub sure_from: f64,
    /// Tests that are expected to give less than this, in bit, are not worth a step (from memory).
    pub least_bits: f64,
    /// Whether several fuses may be out at once.
    pub pull_groups: bool,
    /// Whether a fuse may be bridged by a fused lead, to read its current there: that keeps
    /// settings, and is proposed when nothing else is left.
    pub bypass: bool,
    /// Whether what is pulled stays out until the search is over: most modules wake when their
    /// supply comes back, not when it goes.
    pub leave_out: bool,
    /// Nodes that are out now: nothing can be read there, and putting one back is a test.
    pub out: Vec<usize>,
    /// Loads that one pull alone makes as good as sure, with their chance of a fault by all other readings
    /// ([`PlanOptions::expect`]): what was expected there is not asked for once more.
    pub expected: Vec<(usize, f64)>,
    /// Where the last test was made, if one was: the way to another box costs time.
    pub at: Option<usize>,
    /// What tests cost on this vehicle, where somebody knows better than what is usual.
    pub stated: Vec<StatedCost>,
}

/// What one test costs on this vehicle.
#[derive(Debug, Clone, PartialEq)]
pub struct StatedCost {
    /// What kind.
    pub kind: TestKind,
    /// Where.
    pub node: usize,
    /// Hands-on minutes, access included.
    pub minutes: f64,
    /// Chance that it wakes the vehicle.
    pub wake_chance: f64,
    /// Whether it must not be done.
    pub forbidden: bool,
}

impl Default for PlanOptions {
    /// 50 mA is the trade's rule; 15 min to sleep again is common practice.
    fn default() -> Self {
        Self {
            limit_a: 0.05,
            allow_settings_loss: false,
            resleep_min: 15.0,
            asleep_now: None,
            wait_min: 15.0,
            apart_min: candidates::SETTLE_MIN,
            done_tests: Vec::new(),
            resolved: Vec::new(),
            sure_from: SURE_FROM,
            least_bits: 0.02,
            pull_groups: true,
            bypass: false,
            leave_out: false,
            out: Vec::new(),
            expected: Vec::new(),
            at: None,
            stated: Vec::new(),
        }
    }
}

/// What a test may show and what it would then mean.
#[derive(Debug, Clone, PartialEq)]
pub struct Outcome {
    /// What is seen.
    pub seen: Message,
    /// The current that stands for, ampere, when it is one: for those who would
    /// rather say what another quantity shows.
    pub seen_a: Option<f64>,
    /// How likely.
    pub p: f64,
    /// The chance of a fault at the place that it would leave, where the test is about one place.
    pub p_fault: Option<f64>,
    /// What it would mean.
    pub means: Message,
}

/// A test worth doing.
#[derive(Debug, Clone, PartialEq)]
pub struct Proposal {
    /// What kind.
    pub kind: TestKind,
    /// Where, if at one node.
    pub node: Option<usize>,
    /// All nodes concerned.
    pub nodes: Vec<usize>,
    /// Which instrument, by position in the list of tools.
    pub tool: Option<usize>,
    /// Hands-on minutes, access included.
    pub minutes: f64,
    /// Chance that it wakes the vehicle.
    pub wake_chance: f64,
    /// Smallest current the meter sees there, ampere.
    pub floor_a: Option<f64>,
    /// Expected information about the fault, bit.
    pub bits: f64,
    /// One sentence with its numbers.
    pub why: Message,
    /// The caution for this step.
    pub caution: Option<Message>,
    /// What each outcome would mean.
    pub outcomes: Vec<Outcome>,
}

/// A test that was not considered.
#[derive(Debug, Clone, PartialEq)]
pub struct Excluded {
    /// What kind.
    pub kind: TestKind,
    /// Where.
    pub node: Option<usize>,
    /// Why not.
    pub reason: Message,
}

/// The next step and its rivals.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// What to do now; `None` when done or stuck.
    pub next: Option<Proposal>,
    /// Best first, at most 8, the next one not among them.
    pub alternatives: Vec<Proposal>,
    /// What was left out and why.
    pub excluded: Vec<Excluded>,
    /// Leaves named as at fault.
    pub culprits: Vec<usize>,
    /// Whether the job of finding is over.
    pub done: bool,
    /// Why it is, or is not, in one sentence.
    pub because: Message,
}
