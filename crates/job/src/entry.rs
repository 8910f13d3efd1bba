//! Entries: what was seen or done, when, with which instrument.

use std::fmt;

use battery::{CrankingStandard, drops::DropPlace};
use harness::NodeId;
use jiff::Timestamp;
use measure::instrument::How;

/// Number of an entry, counted from 1 as people do.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct EntryId(usize);

impl EntryId {
    /// The entry at a zero-based position.
    pub fn from_index(index: usize) -> Self {
        Self(index + 1)
    }

    /// The entry people call number `number`; `None` for 0.
    pub fn from_number(number: usize) -> Option<Self> {
        (number > 0).then_some(Self(number))
    }

    /// Zero-based position.
    pub fn index(self) -> usize {
        self.0 - 1
    }

    /// Number as people count.
    pub fn number(self) -> usize {
        self.0
    }
}

impl fmt::Display for EntryId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

/// What the instrument showed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Shown {
    /// A current, ampere.
    Current(f64),
    /// A voltage across a fuse, volt.
    Drop(f64),
    /// A voltage across a shunt of known resistance.
    Shunt {
        /// Volt.
        drop_v: f64,
        /// Ohm.
        shunt_ohm: f64,
    },
}

/// Engine speed and load during a charging test.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Speed {
    /// Idling.
    Idle,
    /// Raised, about 2000/min.
    Raised,
    /// Raised with heavy consumers on.
    Loaded,
}

/// One entry.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// When it was seen or done.
    pub at: Timestamp,
    /// With which instrument, by its name in the job.
    pub instrument: Option<String>,
    /// What.
    pub kind: EntryKind,
}

/// What was seen or done.
#[derive(Debug, Clone, PartialEq)]
pub enum EntryKind {
    /// A current read at a node.
    Draw {
        /// Where.
        node: NodeId,
        /// How.
        how: How,
        /// What was shown.
        shown: Shown,
        /// Whether the vehicle was asleep.
        asleep: bool,
    },
    /// Fuses pulled together, with the total on both sides of the pull, asleep.
    Pull {
        /// Which.
        nodes: Vec<NodeId>,
        /// Total before, ampere; `None` where a recording tells the step.
        before_a: Option<f64>,
        /// Total after, once settled again, ampere; `None` where a recording tells the step.
        after_a: Option<f64>,
    },
    /// Fuses put back, with the total on both sides where it was read, asleep.
    Refit {
        /// Which.
        nodes: Vec<NodeId>,
        /// Total before, ampere.
        before_a: Option<f64>,
        /// Total after, once settled again, ampere.
        after_a: Option<f64>,
    },
    /// What a fuse feeds unplugged while its wiring stays supplied, with the total on both sides, asleep.
    Unplug {
        /// The load, or a fuse that stands for the one thing it feeds.
        node: NodeId,
        /// Total before, ampere; `None` where a recording tells the step.
        before_a: Option<f64>,
        /// Total after, once settled again, ampere; `None` where a recording tells the step.
        after_a: Option<f64>,
    },
    /// Open-circuit voltage after rest.
    RestVoltage {
        /// Volt.
        voltage_v: f64,
        /// Hours of rest.
        rested_h: Option<f64>,
        /// Temperature.
        temperature_c: Option<f64>,
    },
    /// Analyser result.
    Analyser {
        /// Cranking current shown, ampere.
        current_a: f64,
        /// Standard it was set to.
        standard: CrankingStandard,
    },
    /// Load test.
    LoadTest {
        /// Volt at the end of the load.
        voltage_v: f64,
        /// Load, ampere.
        load_a: Option<f64>,
        /// Seconds under load.
        after_s: Option<f64>,
        /// Temperature.
        temperature_c: Option<f64>,
    },
    /// A battery standing alone, disconnected, between two rested voltages.
    StandAlone {
        /// Volt at the start.
        before_v: f64,
        /// Volt at the end.
        after_v: f64,
        /// Hours between them.
        hours: f64,
        /// Temperature.
        temperature_c: Option<f64>,
    },
    /// Internal resistance as an analyser shows it.
    Resistance {
        /// Ohm.
        ohm: f64,
        /// Temperature.
        temperature_c: Option<f64>,
    },
    /// Hydrometer readings of the cells.
    Gravity {
        /// Lowest cell.
        lowest: f64,
        /// Highest cell.
        highest: f64,
        /// Temperature.
        temperature_c: Option<f64>,
    },
    /// Voltage lost in a cable of starter or alternator.
    Drop {
        /// Where.
        place: DropPlace,
        /// Volt.
        drop_v: f64,
        /// Current that flowed, ampere.
        current_a: Option<f64>,
    },
    /// Charging voltage.
    Charging {
        /// Volt at the battery.
        voltage_v: f64,
        /// Engine speed and load.
        at_speed: Speed,
        /// Alternating part, volt.
        ripple_v: Option<f64>,
        /// Temperature.
        temperature_c: Option<f64>,
    },
    /// A recording of the current at a node.
    Trace {
        /// File name; the key into [`crate::Job::recordings`].
        file: String,
        /// Where it was recorded.
        node: NodeId,
        /// When the clamp was held off the cable, each `FROM..TO` as [`trace::Trace::span`] reads it: a time of day, a date
        /// and time, or an offset from the start. Its zero is taken out of the recording.
        zero: Vec<String>,
    },
    /// A repair.
    Repair {
        /// Where.
        node: Option<NodeId>,
        /// What was done.
        text: String,
    },
    /// An earlier entry struck out.
    Strike {
        /// Which.
        entry: EntryId,
    },
    /// A remark.
    Note {
        /// The remark.
        text: String,
    },
}

impl EntryKind {
    /// The word for this kind in job files.
    pub fn word(&self) -> &'static str {
        match self {
            Self::Draw { .. } => "draw",
            Self::Pull { .. } => "pull",
            Self::Refit { .. } => "refit",
            Self::Unplug { .. } => "unplug",
            Self::RestVoltage { .. } => "rest-voltage",
            Self::Analyser { .. } => "analyser",
            Self::LoadTest { .. } => "load-test",
            Self::StandAlone { .. } => "stand-alone",
            Self::Resistance { .. } => "resistance",
            Self::Gravity { .. } => "gravity",
            Self::Drop { .. } => "drop",
            Self::Charging { .. } => "charging",
            Self::Trace { .. } => "trace",
            Self::Repair { .. } => "repair",
            Self::Strike { .. } => "strike",
            Self::Note { .. } => "note",
        }
    }
}
