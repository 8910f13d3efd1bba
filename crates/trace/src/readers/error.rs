//! What can be wrong with a log, in words its owner can act on.

use std::fmt;

/// Why a log could not be read.
///
/// [`ReadError::message`] says what is wrong and where, [`ReadError::hint`]
/// what to do about it, [`ReadError::kind`] is a stable name for scripts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ReadError {
    /// The operating system could not deliver the bytes.
    Io {
        /// What it said.
        message: String,
    },
    /// The compressed stream is damaged.
    Compressed {
        /// What the decoder said.
        message: String,
    },
    /// Not one byte, or blank lines only.
    Empty,
    /// Names or comments, but no row.
    HeaderOnly {
        /// The last line looked at.
        line: u64,
    },
    /// Not text.
    Binary {
        /// Line in which that showed.
        line: u64,
    },
    /// A known kind of file that is not read here.
    Unsupported {
        /// Which.
        what: String,
    },
    /// A line without end.
    LineTooLong {
        /// Where it starts.
        line: u64,
    },
    /// Text, but no rows of numbers.
    NotATable {
        /// First line that was tried.
        line: u64,
    },
    /// The comma is delimiter and decimal mark at once.
    DecimalComma {
        /// First row.
        line: u64,
        /// Names in the header.
        names: usize,
        /// Cells in a row.
        cells: usize,
    },
    /// A number column that is mostly something else.
    TextInNumbers {
        /// First such line.
        line: u64,
        /// Why that line was not taken.
        reason: String,
        /// How many rows could not be read.
        skipped: u64,
        /// Of how many.
        rows: u64,
    },
    /// A stamp earlier than the one before.
    TimeBackwards {
        /// Line of the earlier stamp.
        line: u64,
        /// By how many seconds, rounded for reading.
        by_s: String,
        /// Whether the stamps are local clock times, which daylight saving sets back.
        local_clock: bool,
    },
    /// The current column has no unit and none was given.
    NoUnit {
        /// Its name or number.
        column: String,
    },
    /// A unit, format or other option that means nothing here.
    BadOption {
        /// Which option.
        option: &'static str,
        /// What is wrong with it.
        reason: String,
    },
    /// Nothing that could be a current.
    NoCurrent {
        /// The columns there are.
        columns: Vec<String>,
    },
    /// Several columns, none better than the others.
    TwoCurrents {
        /// Which.
        columns: Vec<String>,
    },
    /// Only voltage was recorded.
    VoltageOnly {
        /// The voltage columns.
        columns: Vec<String>,
    },
    /// A column was asked for that the file has not.
    NoSuchColumn {
        /// Option that asked.
        option: &'static str,
        /// What it asked for.
        name: String,
        /// What there is.
        columns: Vec<String>,
    },
    /// No time column and no interval.
    NoTime {
        /// The columns there are.
        columns: Vec<String>,
    },
    /// A Parquet file that could not be decoded.
    Parquet {
        /// What the decoder said.
        message: String,
    },
    /// Trouble at one row of a file that has no lines.
    InRows(Box<Self>),
    /// A line of another kind between the rows.
    SpoiltRow {
        /// Where.
        line: u64,
        /// The line, shortened.
        text: String,
    },
    /// More samples than this program takes at once.
    TooLong {
        /// The limit.
        max_rows: u64,
    },
    /// `from` and `to` leave nothing.
    EmptyWindow {
        /// What was asked and what there is.
        reason: String,
    },
}

impl ReadError {
    /// Stable lowercase name of the kind of trouble.
    pub fn kind(&self) -> &'static str {
        match self {
            Self::Io { .. } => "io",
            Self::Compressed { .. } => "compressed",
            Self::Empty => "empty",
            Self::HeaderOnly { .. } => "header-only",
            Self::Binary { .. } => "binary",
            Self::Unsupported { .. } => "unsupported",
            Self::LineTooLong { .. } => "line-too-long",
            Self::NotATable { .. } => "not-a-table",
            Self::DecimalComma { .. } => "decimal-comma",
            Self::TextInNumbers { .. } => "text-in-numbers",
            Self::TimeBackwards { .. } => "time-backwards",
            Self::NoUnit { .. } => "no-unit",
            Self::BadOption { .. } => "bad-option",
            Self::NoCurrent { .. } => "no-current",
            Self::TwoCurrents { .. } => "two-currents",
            Self::VoltageOnly { .. } => "voltage-only",
            Self::NoSuchColumn { .. } => "no-such-column",
            Self::NoTime { .. } => "no-time",
            Self::Parquet { .. } => "parquet",
            Self::InRows(error) => error.kind(),
            Self::SpoiltRow { .. } => "spoilt-row",
            Self::TooLong { .. } => "too-long",
            Self::EmptyWindow { .. } => "empty-window",
        }
    }

    /// Line of the file, counted from 1, where the trouble is at one line.
    pub fn line(&self) -> Option<u64> {
        match self {
            Self::HeaderOnly { line }
            | Self::Binary { line }
            | Self::LineTooLong { line }
            | Self::NotATable { line }
            | Self::DecimalComma { line, .. }
            | Self::TextInNumbers { line, .. }
            | Self::TimeBackwards { line, .. }
            | Self::SpoiltRow { line, .. } => Some(*line),
            _ => None,
        }
    }

    /// What is wrong with the columns; empty for other errors.
    fn about_columns(&self) -> String {
        match self {
            Self::NoCurrent { columns } => format!(
                "no column could be the current; the file has {}",
                list(columns)
            ),
            Self::TwoCurrents { columns } => format!(
                "{} columns could be the current: {}",
                count_word(columns.len()),
                columns.join(", ")
            ),
            Self::VoltageOnly { columns } => format!(
                "the file holds only voltage ({}), no current",
                columns.join(", ")
            ),
            Self::NoSuchColumn {
                option,
                name,
                columns,
            } => {
                format!(
                    "--{option} {name}: there is no such column; the file has {}",
                    list(columns)
                )
            }
            Self::NoTime { columns } => format!(
                "no column could be the time; the file has {}",
                list(columns)
            ),
            _ => String::new(),
        }
    }

    /// One sentence: what is wrong, and where.
    pub fn message(&self) -> String {
        match self {
            Self::Io { message } => format!("the log could not be read: {message}"),
            Self::Compressed { message } => format!("the compressed log is damaged: {message}"),
            Self::Empty => "the file is empty".to_owned(),
            Self::HeaderOnly { line } => format!(
                "the file holds names or comments but no row of values (last looked at: line {line})"
            ),
            Self::Binary { line } => {
                format!("line {line}: this is a binary file, not a log in text")
            }
            Self::Unsupported { what } => format!("this is {what}, which is not read here"),
            Self::LineTooLong { line } => format!(
                "line {line}: the line does not end within a million characters, so this is not a log in rows"
            ),
            Self::NotATable { line } => {
                format!("no rows of numbers were found from line {line} on")
            }
            Self::DecimalComma { line, names, cells } => {
                format!(
                    "line {line}: the row has {cells} cells under {names} names, so the comma seems to separate columns and decimals alike"
                )
            }
            Self::TextInNumbers {
                line,
                reason,
                skipped,
                rows,
            } => {
                format!("line {line}: {reason}; {skipped} of {rows} rows could not be read")
            }
            Self::TimeBackwards { line, by_s, .. } => {
                format!("line {line}: time runs backwards by {by_s} s")
            }
            Self::NoUnit { column } => format!("column {column} has no unit"),
            Self::BadOption { option, reason } => format!("--{option}: {reason}"),
            Self::NoCurrent { .. }
            | Self::TwoCurrents { .. }
            | Self::VoltageOnly { .. }
            | Self::NoSuchColumn { .. }
            | Self::NoTime { .. } => self.about_columns(),
            Self::Parquet { message } => {
                format!("the Parquet file could not be read: {message}")
            }
            Self::InRows(error) => error.message().replacen("line ", "row ", 1),
            Self::SpoiltRow { line, text } => {
                format!(
                    "line {line}: `{text}` is not a row of this table but a line of another output, so the rows around it cannot be trusted"
                )
            }
            Self::TooLong { max_rows } => format!("the log has more than {max_rows} samples"),
            Self::EmptyWindow { reason } => reason.clone(),
        }
    }

    /// What to do about it.
    pub fn hint(&self) -> String {
        match self {
            Self::Io { .. } => "check that the file is there and can be read",
            Self::Compressed { .. } => "copy the file again from the logger, or unpack it by hand and read what comes out",
            Self::Empty | Self::HeaderOnly { .. } => "check that the logger was recording and that the export had finished",
            Self::Binary { .. } => "export the log as CSV from the logger's own program; for raw 32-bit floats say --format f32le with --interval",
            Self::Unsupported { what } if what.contains("Parquet") && !cfg!(feature = "parquet") => {
                "export or convert it to CSV first, or build Nightdraw with `--features parquet`"
            }
            Self::Unsupported { what } if what.contains("Parquet") => {
                "unpack it, and read it with `nightdraw read` when it is complete"
            }
            Self::Parquet { .. } => "write it again, plain or packed with snappy, gzip, zstd or lz4, or convert it to CSV",
            Self::InRows(error) => return error.hint(),
            Self::Unsupported { .. } => "export or convert it to CSV first",
            Self::LineTooLong { .. } => "export the log as CSV, one row a sample",
            Self::NotATable { .. } => "the log should have one row a sample, such as `12.5,0.043`, with `,` `;` tab or blanks between the columns",
            Self::DecimalComma { .. } => "export again with `;` or tab between the columns, or with a decimal point",
            Self::TextInNumbers { .. } => "choose another column with --current or --time, or remove the lines that are not measurements",
            Self::TimeBackwards { local_clock: true, .. } => {
                "if the clock was put back (end of daylight saving, or set by hand), cut the file at that line and read the parts, or log in UTC"
            }
            Self::TimeBackwards { .. } => "if two logs were joined, cut the file at that line; if the column is not the time, choose with --time or give --interval",
            Self::NoUnit { .. } => "say which with --unit A, --unit mA or --unit uA",
            Self::BadOption { .. } => "see `--help` for what it takes",
            Self::NoCurrent { .. } => "choose with --current NAME or --current 2",
            Self::TwoCurrents { .. } => "choose with --current",
            Self::VoltageOnly { .. } => {
                "to find a draw, log current; if this column is a clamp or shunt output that stands for ampere, say so with --current NAME --unit A"
            }
            Self::NoSuchColumn { .. } => "columns go by name or by number, the first is 1",
            Self::NoTime { .. } => "choose with --time NAME, or give the time between samples, such as --interval 100ms",
            Self::SpoiltRow { .. } => "record one channel at a time, or use the analog output with --interval",
            Self::TooLong { .. } => "cut the log into parts, or thin it out before",
            Self::EmptyWindow { .. } => "choose --from and --to inside the log",
        }
        .to_owned()
    }
}

impl fmt::Display for ReadError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message())
    }
}

impl std::error::Error for ReadError {}

fn list(columns: &[String]) -> String {
    if columns.is_empty() {
        "no columns".to_owned()
    } else {
        columns.join(", ")
    }
}

fn count_word(n: usize) -> String {
    match n {
        2 => "two".to_owned(),
        3 => "three".to_owned(),
        4 => "four".to_owned(),
        _ => n.to_string(),
    }
}
