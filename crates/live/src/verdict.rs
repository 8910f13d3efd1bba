//! What can be said at a moment, and in what words.

use measure::Uncertain;
use measure::quantity::{Ampere, Second};
use tongue::{Message, say};
use trace::Exceeds;

/// What the vehicle is doing, as far as the stream tells.
#[derive(Debug, Clone, PartialEq)]
pub enum State {
    /// Too little was received.
    TooEarly,
    /// Modules at work.
    Awake,
    /// On the way down; at its present level it would count as asleep at this time.
    ComingDown {
        /// From the first sample, where it can be told.
        asleep_at_s: Option<f64>,
    },
    /// It was asleep and has stepped down, as when a fuse is pulled; the lower level is not yet old enough to count.
    SteppedDown {
        /// The settled draw before, ampere.
        from: Uncertain,
        /// When the lower level would count as asleep, from the first sample.
        asleep_at_s: Option<f64>,
    },
    /// At the settled level.
    Asleep {
        /// The settled draw, ampere.
        draw: Uncertain,
        /// Since when.
        since_s: f64,
    },
    /// It slept and something is at work.
    WokenUp {
        /// The settled draw before, ampere.
        draw: Uncertain,
    },
    /// The record says nothing about sleep.
    Unclear {
        /// Why, one sentence.
        reason: Message,
    },
}

impl State {
    /// In words; `amount` writes an uncertain current, `now_s` is the time of the last sample.
    pub fn words(&self, now_s: f64, amount: &dyn Fn(Uncertain) -> String) -> Message {
        let written = |current: Uncertain| tongue::amount(amount(current));
        let wait = |at_s: f64| tongue::amount(waiting(at_s - now_s));
        match self {
            Self::TooEarly => say::live::too_early(),
            Self::Awake => say::live::awake(),
            Self::ComingDown {
                asleep_at_s: Some(at_s),
            } if *at_s > now_s => say::live::coming_down_until(wait(*at_s)),
            Self::SteppedDown {
                from,
                asleep_at_s: Some(at_s),
            } if *at_s > now_s => say::live::stepped_down_until(written(*from), wait(*at_s)),
            Self::SteppedDown { from, .. } => say::live::stepped_down(written(*from)),
            Self::ComingDown { .. } => say::live::coming_down(),
            Self::Asleep { draw, .. } => say::live::asleep(written(*draw)),
            Self::WokenUp { draw } => say::live::woken(written(*draw)),
            Self::Unclear { reason } => reason.clone(),
        }
    }

    /// Whether a person would call it the same; levels are not looked at.
    pub(crate) fn is_like(&self, other: &Self) -> bool {
        std::mem::discriminant(self) == std::mem::discriminant(other)
    }
}

/// Minutes, or seconds below two of them.
fn waiting(seconds: f64) -> String {
    if seconds < 120.0 {
        Second((seconds / 10.0).ceil() * 10.0).to_string()
    } else {
        format!("{:.0} min", (seconds / 60.0).ceil())
    }
}

/// A level that lasts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Level {
    /// Ampere.
    pub value: Uncertain,
    /// Since when; a level that is older than the window of the watch counts from the window's start.
    pub since_s: f64,
}

/// A step from one level to the next.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Step {
    /// Time of the first sample after it, from the first of the stream.
    pub at_s: f64,
    /// After minus before, ampere.
    pub change: Uncertain,
    /// Level after it when it was found, ampere.
    pub to: Uncertain,
}

impl Step {
    /// `step of −388 ± 4 mA to 24 mA`; `amount` writes an uncertain current.
    pub fn words(&self, amount: &dyn Fn(Uncertain) -> String) -> Message {
        let sign = if self.change.value < 0.0 {
            "\u{2212}"
        } else {
            "+"
        };
        let size = amount(Uncertain::new(self.change.value.abs(), self.change.u));
        let to = tongue::amount(amount(self.to));
        say::live::step(tongue::amount(format!("{sign}{size}")), to)
    }
}

/// What can be said now.
#[derive(Debug, Clone, PartialEq)]
pub struct Verdict {
    /// Samples taken.
    pub samples: u64,
    /// Time of the last sample, from the first of the stream; zero before it.
    pub time_s: f64,
    /// The last sample, ampere.
    pub last_a: Option<f64>,
    /// Seconds since it arrived.
    pub age_s: Option<f64>,
    /// Whether samples have stopped coming.
    pub stalled: bool,
    /// The level it is at.
    pub level: Option<Level>,
    /// What the vehicle is doing.
    pub state: State,
    /// The last step.
    pub step: Option<Step>,
    /// The settled draw with its wake-ups against the limit.
    pub exceeds: Exceeds,
}

/// Something that a person who does not look should be told.
#[derive(Debug, Clone, PartialEq)]
pub enum Change {
    /// The first sample came.
    First {
        /// Ampere.
        current_a: f64,
    },
    /// Another state, or another level asleep.
    State {
        /// When it showed, from the first sample.
        at_s: f64,
        /// The state since then.
        state: State,
    },
    /// Another answer to whether the draw is too much.
    Limit {
        /// When it showed, from the first sample.
        at_s: f64,
        /// The answer.
        exceeds: Exceeds,
        /// Why, one sentence.
        because: Message,
    },
    /// A step.
    Step(Step),
    /// Samples have stopped coming.
    Stalled {
        /// For how long, in seconds.
        for_s: f64,
    },
    /// Samples come again.
    Resumed {
        /// After how long, in seconds.
        after_s: f64,
    },
}

impl Change {
    /// Time from the first sample at which it showed, where it is about a sample.
    pub fn at_s(&self) -> Option<f64> {
        match self {
            Self::First { .. } => Some(0.0),
            Self::State { at_s, .. } | Self::Limit { at_s, .. } => Some(*at_s),
            Self::Step(step) => Some(step.at_s),
            Self::Stalled { .. } | Self::Resumed { .. } => None,
        }
    }

    /// In words, without the time; `amount` writes an uncertain current.
    pub fn words(&self, amount: &dyn Fn(Uncertain) -> String) -> Message {
        match self {
            Self::First { current_a } => {
                say::live::first(tongue::amount(Ampere(*current_a).to_string()))
            }
            Self::State { at_s, state } => state.words(*at_s, amount),
            Self::Limit {
                exceeds, because, ..
            } => match exceeds {
                Exceeds::Yes => say::live::too_much(because),
                Exceeds::No => say::live::in_order(because),
                Exceeds::Unsure => say::live::not_sure(because),
            },
            Self::Step(step) => step.words(amount),
            Self::Stalled { for_s } => say::live::stalled(tongue::amount(format!("{for_s:.0} s"))),
            Self::Resumed { after_s } => {
                say::live::resumed(tongue::amount(Second(after_s.round()).to_string()))
            }
        }
    }
}
