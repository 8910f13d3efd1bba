//! Everything a trace says, as plain values.

use measure::Uncertain;

use crate::{Source, Trace};

/// What the vehicle was doing during a segment.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum State {
    /// Modules at work.
    Awake,
    /// On the way down, step by step.
    Settling,
    /// At the settled level.
    Asleep,
    /// A return from sleep that falls back to sleep.
    WakeUp,
    /// Not enough to tell.
    Unknown,
}

/// One level of the optimal piecewise-constant fit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Segment {
    /// First sample, zero-based.
    pub first: usize,
    /// Last sample, inclusive.
    pub last: usize,
    /// Time of the first sample.
    pub start_s: f64,
    /// Time at which the next segment starts (of the last sample, for the last segment).
    pub end_s: f64,
    /// Level in ampere; uncertainty respects autocorrelation.
    pub level: Uncertain,
    /// What the vehicle was doing.
    pub state: State,
}

/// The settled draw.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Settled {
    /// Since when.
    pub since_s: f64,
    /// How much, ampere.
    pub draw: Uncertain,
}

/// Why there is no settled draw yet.
#[derive(Debug, Clone, PartialEq)]
pub struct NotSettled {
    /// One sentence.
    pub reason: String,
    /// When it should be, where that can be told.
    pub expected_at_s: Option<f64>,
}

/// Returns from sleep.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct WakeUps {
    /// How many.
    pub count: usize,
    /// Time from one to the next, for three or more.
    pub period_s: Option<Uncertain>,
    /// Mean duration; `None` without any.
    pub mean_duration_s: Option<f64>,
    /// Charge above the settled level, all together.
    pub extra_charge_ah: f64,
}

/// Whether a figure lies above the limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Exceeds {
    /// Above, with at least 97.5 % probability.
    Yes,
    /// Below, with at least 97.5 % probability.
    No,
    /// Too close or not known.
    Unsure,
}

/// The trace against a limit.
#[derive(Debug, Clone, PartialEq)]
pub struct LimitVerdict {
    /// The limit, ampere.
    pub limit_a: f64,
    /// Above or not.
    pub exceeds: Exceeds,
    /// Why, one sentence.
    pub because: String,
}

/// Settings of [`analyse`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AnalyseOptions {
    /// Limit for the draw, ampere.
    pub limit_a: f64,
    /// Penalty per change; `None` takes it from the noise.
    pub penalty: Option<f64>,
    /// Ordinary least squares without spike protection.
    pub plain: bool,
}

impl Default for AnalyseOptions {
    fn default() -> Self {
        // 50 mA: trade rule, common practice.
        Self { limit_a: 0.050, penalty: None, plain: false }
    }
}

/// Everything a trace says.
#[derive(Debug, Clone, PartialEq)]
pub struct Analysis {
    /// Where it came from.
    pub source: Source,
    /// First to last sample.
    pub duration_s: f64,
    /// Standard deviation of the noise, ampere.
    pub noise_a: f64,
    /// Smallest step of the record, ampere; 0 when none shows.
    pub resolution_a: f64,
    /// Penalty per change, ampere².
    pub penalty: f64,
    /// Penalised cost reached, ampere².
    pub cost: f64,
    /// The levels; they tile the trace.
    pub segments: Vec<Segment>,
    /// The settled draw, if it settled.
    pub settled: Option<Settled>,
    /// Why not, if it did not.
    pub not_settled: Option<NotSettled>,
    /// Returns from sleep.
    pub wake_ups: WakeUps,
    /// Time-weighted mean over the whole window, ampere.
    pub average: Uncertain,
    /// Charge over the whole window, ampere-hour.
    pub charge_ah: Uncertain,
    /// Asleep with its wake-ups, as it would go on, ampere.
    pub long_run: Option<Uncertain>,
    /// Against the limit.
    pub verdict: LimitVerdict,
}

/// Segments the trace and reads sleep, wake-ups and averages from it.
pub fn analyse(_trace: &Trace, _options: &AnalyseOptions) -> Analysis {
    unimplemented!()
}
