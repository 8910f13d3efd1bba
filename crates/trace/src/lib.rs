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
mod model;
pub mod noise;
pub mod readers;
pub mod segment;
mod states;
mod steps;
mod verdict;

pub use analysis::{
    AnalyseOptions, Analysis, ENVELOPE_COLUMNS, Exceeds, Levels, LimitVerdict, Moment, NotSettled,
    Segment, Settled, State, WakeUp, WakeUps, analyse, segment_only,
};
pub use between::{Between, between};
pub use envelope::{Column, Envelope, Pyramid};
pub use model::{Gap, SkippedRow, Source, TimeAxis, Trace};
pub use steps::{Step, step_at};
