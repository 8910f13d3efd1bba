//! Figures as SVG text, drawn from an assessment.

mod style;

use job::{Assessment, Job};
use trace::{Analysis, Trace};

pub use style::Style;

/// Part of a recording to show, seconds from its start.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TraceView {
    /// From.
    pub from_s: f64,
    /// To.
    pub to_s: f64,
}

/// Something that happened during a recording.
#[derive(Debug, Clone, PartialEq)]
pub struct Mark {
    /// Seconds from the start of the recording.
    pub at_s: f64,
    /// A few words.
    pub label: String,
}

/// What the picture of the nights ahead may know beside the assessment.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct NightsOptions {
    /// Hour of the day at which the parking starts (0 ..< 24), for night shading.
    pub start_hour: Option<f64>,
    /// Hours after which the owner found it dead.
    pub complaint_h: Option<f64>,
}

/// Where the current goes.
pub fn flow(_job: &Job, _assessment: &Assessment, _style: &Style) -> String {
    String::new()
}

/// The trace.
pub fn trace(
    _trace: &Trace,
    _analysis: Option<&Analysis>,
    _marks: &[Mark],
    _view: Option<TraceView>,
    _style: &Style,
) -> String {
    String::new()
}

/// Entries of the job that fall into a recording.
pub fn marks(_job: &Job, _trace: &Trace) -> Vec<Mark> {
    Vec::new()
}

/// The nights ahead.
pub fn nights(_assessment: &Assessment, _options: &NightsOptions, _style: &Style) -> String {
    String::new()
}

/// The odds of each cause.
pub fn odds(_assessment: &Assessment, _style: &Style) -> String {
    String::new()
}
