//! What Nightdraw says of a job: plain values, each with its reasons.

use std::sync::Arc;

use battery::{Forecast, Judgement};
use harness::{NodeId, NodeKind};
use measure::{Quantiles, Uncertain};
use tongue::{Message, say};
use trace::{Analysis, Exceeds};

use crate::EntryId;

/// Chance from which on the search names what is at fault ([`diagnosis::PlanOptions::sure_from`]).
const NAMED_FROM: f64 = diagnosis::plan::SURE_FROM;

/// Everything Nightdraw makes of one job.
#[derive(Debug, Clone, PartialEq)]
pub struct Assessment {
    /// Settled total draw, ampere.
    pub total: Option<Uncertain>,
    /// Draw that counts for parking: long-run average when a trace tells it, else the settled total.
    pub long_run: Option<Uncertain>,
    /// The limit in force, ampere.
    pub limit_a: f64,
    /// Whether the draw exceeds it.
    pub exceeds: Exceeds,
    /// One sentence that says where the job stands.
    pub summary: Message,
    /// Every node, root first, parents before children.
    pub nodes: Vec<NodeAssessment>,
    /// Part of the total that no measured branch accounts for, ampere.
    pub unaccounted: Option<Uncertain>,
    /// Nodes that are at fault, most probable first.
    pub culprits: Vec<Culprit>,
    /// What no listed circuit feeds, where a fault there is likelier than not.
    pub outside: Option<Outside>,
    /// Whether the culprits explain the excess, so that nothing is left to test.
    pub done: bool,
    /// Why it is done, or why nothing more can be told apart; empty otherwise.
    pub done_because: Message,
    /// What to do next.
    pub next: Option<Proposal>,
    /// The best other choices, best first, at most eight.
    pub alternatives: Vec<Proposal>,
    /// Tests that were not considered, with the reason.
    pub excluded: Vec<Excluded>,
    /// How long it can stand.
    pub forecast: Option<Forecast>,
    /// Why there is no forecast, when there is none.
    pub forecast_missing: Option<Message>,
    /// The battery.
    pub battery: Judgement,
    /// Cause of the complaint, most probable first; sums to one.
    pub cause: Vec<Odds>,
    /// Whether the draw explains the complaint.
    pub explanation: Option<Explanation>,
    /// The newest standing recording at the battery.
    pub trace: Option<TraceFinding>,
    /// How many other finished jobs sharpened the chances it began with.
    pub learned_from: u64,
    /// Fuses whose resistance other readings have taught. The draws of nodes use the
    /// same knowledge, through the error that fuses of a family have in common.
    pub fuses: Vec<CalibratedFuse>,
    /// What the person should know about the entries.
    pub warnings: Vec<Warning>,
}

/// A fuse whose resistance is known from use.
#[derive(Debug, Clone, PartialEq)]
pub struct CalibratedFuse {
    /// Which.
    pub node: NodeId,
    /// Its cold resistance, ohm.
    pub ohm: Uncertain,
    /// What the table says, ohm.
    pub table_ohm: Uncertain,
    /// The part of its relative uncertainty that its family still shares.
    pub shared_u: f64,
    /// The entries that taught it.
    pub entries: Vec<EntryId>,
}

/// One node of the feed tree.
#[derive(Debug, Clone, PartialEq)]
pub struct NodeAssessment {
    /// Its name.
    pub id: NodeId,
    /// What feeds it; `None` for the root.
    pub parent: Option<NodeId>,
    /// What it is.
    pub kind: NodeKind,
    /// Words for people.
    pub label: String,
    /// Whether losing its supply loses stored settings.
    pub keeps_settings: bool,
    /// Settled draw, ampere.
    pub draw: Quantiles,
    /// Mean of the posterior, ampere.
    pub mean_a: f64,
    /// Mean under the prior: what would be normal here, ampere.
    pub normal_a: f64,
    /// Probability that some load at or below it is at fault.
    pub p_fault: f64,
    /// Standing entries that were read at this node.
    pub entries: Vec<EntryId>,
}

/// A node found at fault.
#[derive(Debug, Clone, PartialEq)]
pub struct Culprit {
    /// Which.
    pub node: NodeId,
    /// How probable.
    pub p_fault: f64,
    /// Which part of its circuit, where unplugging told.
    pub part: Option<Part>,
}

impl Culprit {
    /// What is at fault, where its circuit is called `name`: the circuit, or its wiring.
    pub fn place(&self, name: impl Into<Message>) -> Message {
        match self.part {
            Some(Part::Wiring) => say::job::wiring_of(name.into()),
            Some(Part::Load) | None => name.into(),
        }
    }
}

/// A draw that no listed circuit carries: wired past the fuses, or not on the list.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Outside {
    /// How probable it is that there is a fault.
    pub p_fault: f64,
    /// Mean draw there, ampere.
    pub mean_a: f64,
}

/// A part of a circuit that unplugging tells from the other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Part {
    /// What the fuse feeds.
    Load,
    /// The wiring between the fuse and what it feeds.
    Wiring,
}

impl Part {
    /// A stable word for programs.
    pub fn as_str(self) -> &'static str {
        match self {
            Self::Load => "load",
            Self::Wiring => "wiring",
        }
    }
}

/// A test that could be done.
#[derive(Debug, Clone, PartialEq)]
pub struct Proposal {
    /// Contract word: `clamp`, `millivolt`, `pull`, …
    pub kind: String,
    /// Where, when it is one place.
    pub node: Option<NodeId>,
    /// Where, when it is several.
    pub nodes: Vec<NodeId>,
    /// Short imperative headline: "Measure millivolts across F12".
    pub headline: Message,
    /// How it is done, one or two sentences.
    pub how: Message,
    /// Minutes, waits included.
    pub minutes: f64,
    /// Chance that it wakes the vehicle.
    pub wake_chance: f64,
    /// Smallest draw it can see, ampere; `None` where that has no meaning.
    pub floor_a: Option<f64>,
    /// Why, one sentence with its numbers.
    pub why: Message,
    /// The caution that applies to this step.
    pub caution: Option<Message>,
    /// What each outcome would mean.
    pub outcomes: Vec<Outcome>,
}

/// One possible outcome of a test.
#[derive(Debug, Clone, PartialEq)]
pub struct Outcome {
    /// What would be seen: "above 60 mA".
    pub seen: Message,
    /// The current that stands for, ampere: read at the place, or by which the total falls or
    /// rises; `None` where it is no single one.
    pub seen_a: Option<f64>,
    /// How probable.
    pub p: f64,
    /// The chance of a fault at the place that it would leave, where the test is about a place.
    pub p_fault: Option<f64>,
    /// What it would mean.
    pub means: Message,
}

/// A test that is not considered.
#[derive(Debug, Clone, PartialEq)]
pub struct Excluded {
    /// Contract word.
    pub kind: String,
    /// Where.
    pub node: Option<NodeId>,
    /// Why not.
    pub reason: Message,
}

impl Excluded {
    /// The test in the words of the trade; as it is where we have none.
    pub fn test(&self) -> Message {
        match self.kind.as_str() {
            "clamp" => say::job::test_clamp(),
            "in-line" => say::job::test_in_line(),
            "millivolt" => say::job::test_millivolt(),
            "pull" => say::job::test_pull(),
            "pull-group" => say::job::test_pull_group(),
            "detach" => say::job::test_detach(),
            "unplug" => say::job::test_unplug(),
            "wait-for-sleep" => say::job::test_wait_for_sleep(),
            "put-back" => say::job::test_put_back(),
            "remeasure" => say::job::test_remeasure(),
            other => Message::plain(other),
        }
    }
}

/// Odds of one cause of the complaint.
#[derive(Debug, Clone, PartialEq)]
pub struct Odds {
    /// Contract word: `weak-battery`, `poor-charging`, `usage`, `steady-draw`, `intermittent-draw`.
    pub hypothesis: String,
    /// Probability.
    pub p: f64,
    /// What speaks for it.
    pub speaks_for: Vec<Message>,
    /// What speaks against it.
    pub speaks_against: Vec<Message>,
    /// Cheap check that would move it most.
    pub cheap_check: Option<Message>,
    /// Minutes of that check, and the minutes it is expected to save on the way to a
    /// correct repair; `None` without a check, or when only its details are left to read.
    pub check_worth: Option<CheckWorth>,
}

/// What a check of the cause takes and saves.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CheckWorth {
    /// Hands-on minutes.
    pub minutes: f64,
    /// Minutes it is expected to save, its own not counted.
    pub saves_min: f64,
}

impl Assessment {
    /// What is named as at fault past all listed circuits, once the search is over.
    pub fn outside_named(&self) -> Option<Outside> {
        let sure = |outside: &Outside| outside.p_fault >= NAMED_FROM;
        self.outside.filter(sure).filter(|_| self.done)
    }

    /// The cause whose check is expected to save most beyond its own minutes;
    /// `None` when no check saves more than it takes.
    pub fn most_worthwhile_check(&self) -> Option<&Odds> {
        let net = |odds: &&Odds| {
            odds.check_worth
                .map_or(f64::NEG_INFINITY, |worth| worth.saves_min - worth.minutes)
        };
        self.cause
            .iter()
            .filter(|odds| odds.cheap_check.is_some() && net(odds) > 0.0)
            .max_by(|a, b| net(a).total_cmp(&net(b)))
    }
}

/// The measured draw beside the draw that the complaint needs.
#[derive(Debug, Clone, PartialEq)]
pub struct Explanation {
    /// Average draw that would explain the complaint, ampere.
    pub needed_a: Quantiles,
    /// One sentence.
    pub sentence: Message,
}

/// What a recording says.
#[derive(Debug, Clone, PartialEq)]
pub struct TraceFinding {
    /// The entry.
    pub entry: EntryId,
    /// Where it was recorded.
    pub node: NodeId,
    /// The analysis.
    pub analysis: Arc<Analysis>,
}

/// Something the person should know.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Warning {
    /// Stable word for programs: `readings-disagree`.
    pub code: String,
    /// One sentence.
    pub message: Message,
    /// Entries it is about.
    pub entries: Vec<EntryId>,
}
