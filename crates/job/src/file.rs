//! Job files: TOML in, TOML out.
//!
//! The form is that of the contract, with a few tables of our own:
//!
//! ```toml
//! format = 1
//! invented = true                 # a demonstration
//! rehearsal = "seed=7 …"          # a rehearsal on this virtual vehicle
//! settings_may_be_lost = false    # the owner agreed that stored settings may go
//! pulled_stay_out = false         # what is pulled stays out until a refit entry
//! [vehicle]
//! name = "Bread van"
//! plate = "…"
//! owner = "…"
//! notes = "delivery rounds, camera fitted in spring"
//! [battery]
//! reserve = "110min"              # reserve capacity at 25 A
//! age = "4 years"
//! engine_needs = "180A"
//! [complaint]
//! text = "dead after two nights"
//! [[recording]]                   # a recording that entries name, so that the file stands alone
//! file = "night.csv"
//! data = "…"                      # base64 of Recording::to_bytes
//! ```
//!
//! Unknown keys are refused with the nearest known one, and every amount
//! carries its unit. A reading across a shunt names the shunt's resistance:
//! `how = "shunt"`, `value = "2.1mV"`, `shunt = "1mohm"`. In a `trace` entry
//! `node` may be left out and is then the battery.

mod amount;
mod base64;
mod battery_entries;
mod entries;
mod fields;
mod read;
mod usage;
pub mod words;
mod write;

pub use entries::entry_from_fields;
pub use fields::{FieldError, FieldErrors};

use tongue::Message;

use crate::{Entry, Job};

/// The format that this version writes, and the newest that it reads.
pub const FORMAT: u64 = 1;

/// Why a job file cannot be read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{message}")]
pub struct FileError {
    /// Line, counted from 1, where known.
    pub line: Option<usize>,
    /// One sentence.
    pub message: Message,
    /// What to do.
    pub hint: Message,
}

/// Reads a job file.
///
/// # Errors
/// When the text is no TOML, a value is impossible, or the feed tree is none.
pub fn parse(text: &str) -> Result<Job, FileError> {
    read::read(text, read::Part::Whole)
}

/// Writes a job file that reads back as the same job, bit for bit (a negative
/// zero becomes a zero).
pub fn write(job: &Job) -> String {
    write::job(job)
}

/// Writes everything but entries and recordings.
pub fn header_to_toml(job: &Job) -> String {
    write::header(job)
}

/// Reads what [`header_to_toml`] wrote.
///
/// # Errors
/// As [`parse`]; entries and recordings are refused.
pub fn header_from_toml(text: &str) -> Result<Job, FileError> {
    read::read(text, read::Part::Header)
}

/// Writes one entry alone: its fields, without a table head.
pub fn entry_to_toml(entry: &Entry) -> String {
    write::entry(entry)
}

/// Reads what [`entry_to_toml`] wrote. Whether it fits a job is left to [`Job::check`].
///
/// # Errors
/// When the text is no TOML, a field is missing or unknown, or a value is impossible.
pub fn entry_from_toml(text: &str) -> Result<Entry, FileError> {
    read::read_entry(text)
}
