//! Current against time: log readers, exact level segmentation, sleep and
//! wake states, the settled draw and the long-run average.
//!
//! No I/O but the readers, which take a [`std::io::Read`]; nothing asks the
//! clock.

mod analysis;
mod model;
pub mod segment;

pub use analysis::{AnalyseOptions, Analysis, Exceeds, LimitVerdict, NotSettled, Segment, Settled, State, WakeUps, analyse};
pub use model::{Gap, SkippedRow, Source, TimeAxis, Trace};
