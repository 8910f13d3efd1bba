//! Log files of many loggers as one [`Trace`].
//!
//! [`read`] takes any [`std::io::Read`]: delimited text in the dialects that
//! loggers and spreadsheets write, the CSV and analog text of sigrok's tools,
//! WAV, and raw 32-bit floats, with the feature `parquet` Parquet too; gzip and zstd are unpacked by content. What was
//! detected stands in [`Source::assumptions`](crate::Source::assumptions), one
//! sentence each. Memory is bounded by the samples, never by the bytes of the
//! file: text goes by in blocks of a million bytes.
//!
//! How the parts divide: `blocks` delivers whole lines, `dialect` finds
//! delimiter, decimal mark and header from the first of them, `columns` and `quantities` decide
//! what is time and current, `rows` turns lines into numbers, `axis` makes a
//! time axis of the stamps, `table` drives them. `follow` uses the same parts line by
//! line, for a log that is still being written.

mod analog;
mod axis;
mod blocks;
mod cells;
mod clock;
#[cfg(feature = "parquet")]
mod columnar;
mod columns;
mod dialect;
mod error;
mod follow;
mod label;
mod number;
mod preamble;
mod quantities;
mod rows;
mod stamps;
mod summer;
mod table;
mod told;
mod wave;
mod window;

pub use blocks::{Unpacked, unpack};
pub use error::ReadError;
pub use follow::{Follower, HEAD_LINES, Line, RawColumns, RawSample};
pub use stamps::Stamps;
pub use told::told;
pub use window::Edge;

use std::io::Read;

use tongue::say;

use crate::Trace;

/// Samples that are read at most unless told otherwise: 3.2 GB of currents.
pub const MAX_ROWS: u64 = 400_000_000;

/// What the reader is told; everything else it detects.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ReadOptions {
    /// Time column, by name or by number from 1.
    pub time: Option<String>,
    /// Current column (or channel), by name or by number from 1.
    pub current: Option<String>,
    /// Voltage column (or channel), by name or by number from 1.
    pub voltage: Option<String>,
    /// Unit of the current: `A`, `mA`, `uA`. Overrides what the file says.
    pub unit: Option<String>,
    /// Seconds between samples; stamps in the file are not used then.
    pub interval_s: Option<f64>,
    /// Kind of file.
    pub format: Format,
    /// Most samples to take; `None` for [`MAX_ROWS`].
    pub max_rows: Option<u64>,
}

impl ReadOptions {
    fn max_rows(&self) -> u64 {
        self.max_rows.unwrap_or(MAX_ROWS)
    }

    fn check(&self) -> Result<(), ReadError> {
        if let Some(interval) = self.interval_s
            && !(interval.is_finite() && interval > 0.0)
        {
            return Err(ReadError::BadOption {
                option: "interval",
                reason: say::trace::option_interval(),
            });
        }
        if let Some(unit) = &self.unit {
            quantities::current_unit(unit)?;
        }
        Ok(())
    }
}

/// Kind of file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Hash)]
pub enum Format {
    /// Whatever the content shows.
    #[default]
    Auto,
    /// Raw 32-bit floats, little-endian; needs an interval and a unit.
    F32Le,
}

/// Reads a log to its end.
///
/// Currents come out in ampere, voltages in volt, times in seconds from the
/// first sample. Rows that cannot be read are left out and counted, as long as
/// they are few (at most ten or one in a hundred, and fewer than the others);
/// rows without a value (`nan`, empty) may be many.
///
/// # Errors
/// [`ReadError`] says what and where; in particular time that runs backwards,
/// no unit, no or several possible currents, and anything that is not a log.
pub fn read(input: impl Read, options: &ReadOptions) -> Result<Trace, ReadError> {
    options.check()?;
    if options.format == Format::F32Le {
        return wave::raw(input, options);
    }
    let (head, rest) = blocks::head(Box::new(input), 12)?;
    let input = std::io::Cursor::new(head.clone()).chain(rest);
    if head.starts_with(b"RIFF") {
        return wave::wav(input, options);
    }
    #[cfg(feature = "parquet")]
    if head.starts_with(b"PAR1") {
        return columnar::read(input, options);
    }
    let mut blocks = blocks::Blocks::open(input)?;
    match table::detect(&mut blocks)? {
        Some(dialect) => table::read(blocks, &dialect, options),
        None => analog::read(blocks, options),
    }
}
