//! Current against time: log readers, exact level segmentation, sleep and
//! wake states, the settled draw and the long-run average.
//!
//! No I/O but the readers, which take a [`std::io::Read`]; nothing asks the
//! clock.

mod analysis;
mod average;
mod batches;
mod between;
pub mod envelope;
mod meter;
mod model;
pub mod noise;
pub mod readers;
mod running;
pub mod segment;
mod states;
mod steps;
mod verdict;
mod voltage;
mod zero;

pub use analysis::{
    AnalyseOptions, Analysis, ENVELOPE_COLUMNS, Exceeds, Levels, LimitVerdict, Moment, NotSettled,
    Segment, Settled, State, WakeUp, WakeUps, analyse, interpret, segment_only,
};
pub use between::{Between, between};
pub use envelope::{Column, Envelope, Pyramid};
pub use meter::Meter;
pub use model::{Gap, SkippedRow, Source, TimeAxis, Trace};
pub use running::Running;
pub use steps::{Act, Step, Way, step_at};
pub use voltage::{Finding, FindingKind};
pub use zero::{Zero, ZeroError, ZeroReading};
