//! Which jobs there are.

use std::fmt;

use jiff::Timestamp;

/// Number of a job, counted from 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct JobId(pub(crate) i64);

impl JobId {
    /// The job people call `number`.
    pub fn from_number(number: i64) -> Self {
        Self(number)
    }

    /// Its number.
    pub fn number(self) -> i64 {
        self.0
    }
}

impl fmt::Display for JobId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

/// One line of the list of jobs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct JobSummary {
    /// Which.
    pub id: JobId,
    /// The vehicle's name.
    pub name: String,
    /// When it was taken in.
    pub created: Timestamp,
    /// When it last changed.
    pub updated: Timestamp,
    /// How many entries it has, struck ones included.
    pub entries: usize,
    /// Whether it is an invented demonstration.
    pub invented: bool,
    /// Grows with each change.
    pub revision: u64,
}
