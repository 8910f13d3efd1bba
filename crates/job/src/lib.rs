//! The job, its append-only entries, and [`assess`]: everything Nightdraw says
//! is a pure function of the job.
//!
//! Knows every calculating room; does no I/O and never asks the time.

pub mod advice;
mod assess;
mod assessment;
mod check;
pub mod contract;
mod describe;
mod entry;
pub mod file;
mod model;
pub mod recording;

pub use advice::{HookUpAnswer, HookUpQuestion};
pub use assess::{
    assess, assess_with,
    lesson::{NothingLearned, lesson},
};
pub use assessment::{
    Assessment, CalibratedFuse, CheckWorth, Culprit, Excluded, Explanation, NodeAssessment, Odds,
    Outcome, Outside, Part, Proposal, TraceFinding, Warning,
};
pub use describe::{describe, describe_kind};
pub use diagnosis::{History, history::Tally};
pub use entry::{Entry, EntryId, EntryKind, Shown, Speed};
pub use model::{BatteryCard, Complaint, Job, Usage, Vehicle};
pub use recording::{Recording, RecordingError};
