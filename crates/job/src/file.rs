//! Job files: TOML in, TOML out.

use crate::Job;

/// Why a job file cannot be read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{message}")]
pub struct FileError {
    /// Line, counted from 1, where known.
    pub line: Option<usize>,
    /// One sentence.
    pub message: String,
    /// What to do.
    pub hint: String,
}

/// Reads a job file.
///
/// # Errors
/// When the text is no TOML, a value is impossible, or the feed tree is none.
pub fn parse(_text: &str) -> Result<Job, FileError> {
    unimplemented!()
}

/// Writes a job file that reads back as the same job, bit for bit.
pub fn write(_job: &Job) -> String {
    unimplemented!()
}
