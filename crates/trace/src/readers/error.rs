//! What can be wrong with a log, in words its owner can act on.

use std::fmt;

use tongue::{Message, figure, say};

use super::told::told;

/// The column of a file that has values only; see [`ReadError::NoUnit`].
pub(super) const OF_SAMPLES: &str = "of samples";

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
        what: Message,
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
        reason: Message,
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
        message: Message,
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
        reason: Message,
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
    fn about_columns(&self) -> Message {
        match self {
            Self::NoCurrent { columns } => say::trace::error_no_current(list(columns)),
            Self::TwoCurrents { columns } => {
                say::trace::error_two_currents(columns.join(", "), count_word(columns.len()))
            }
            Self::VoltageOnly { columns } => say::trace::error_voltage_only(columns.join(", ")),
            Self::NoSuchColumn {
                option,
                name,
                columns,
            } => say::trace::error_no_column(list(columns), name, *option),
            Self::NoTime { columns } => say::trace::error_no_time(list(columns)),
            _ => Message::default(),
        }
    }

    /// One sentence: what is wrong, and where.
    pub fn message(&self) -> Message {
        self.said(|line| say::trace::at_line(line.to_string()))
    }

    /// The same, where the place is said as `at` has it.
    fn said(&self, at: fn(u64) -> Message) -> Message {
        let n = |number: u64| number.to_string();
        match self {
            Self::Io { message } => say::trace::error_io(message),
            Self::Compressed { message } => say::trace::error_compressed(message),
            Self::Empty => say::trace::error_empty(),
            Self::HeaderOnly { line } => say::trace::error_header_only(at(*line)),
            Self::Binary { line } => say::trace::error_binary(at(*line)),
            Self::Unsupported { what } => say::trace::error_unsupported(what),
            Self::LineTooLong { line } => say::trace::error_line_too_long(at(*line)),
            Self::NotATable { line } => say::trace::error_no_table(at(*line)),
            Self::DecimalComma { line, names, cells } => {
                say::trace::error_decimal_comma(at(*line), cells.to_string(), names.to_string())
            }
            Self::TextInNumbers {
                line,
                reason,
                skipped,
                rows,
            } => say::trace::error_text_in_numbers(at(*line), told(reason), n(*rows), n(*skipped)),
            Self::TimeBackwards { line, by_s, .. } => {
                say::trace::error_time_backwards(at(*line), figure(by_s))
            }
            Self::NoUnit { column } if column == OF_SAMPLES => {
                say::trace::error_no_unit(say::trace::of_samples())
            }
            Self::NoUnit { column } => say::trace::error_no_unit(column),
            Self::BadOption { option, reason } => say::trace::error_option(*option, reason),
            Self::NoCurrent { .. }
            | Self::TwoCurrents { .. }
            | Self::VoltageOnly { .. }
            | Self::NoSuchColumn { .. }
            | Self::NoTime { .. } => self.about_columns(),
            Self::Parquet { message } => say::trace::error_parquet(message),
            Self::InRows(error) => error.said(|row| say::trace::at_row(row.to_string())),
            Self::SpoiltRow { line, text } => say::trace::error_spoilt_row(at(*line), text),
            Self::TooLong { max_rows } => say::trace::error_too_long(n(*max_rows)),
            Self::EmptyWindow { reason } => reason.clone(),
        }
    }

    /// What to do about it.
    pub fn hint(&self) -> Message {
        match self {
            Self::Io { .. } => say::trace::hint_io(),
            Self::Compressed { .. } => say::trace::hint_compressed(),
            Self::Empty | Self::HeaderOnly { .. } => say::trace::hint_empty(),
            Self::Binary { .. } => say::trace::hint_binary(),
            Self::Unsupported { what } if !is_parquet(what) => say::trace::hint_unsupported(),
            Self::Unsupported { .. } if cfg!(feature = "parquet") => {
                say::trace::hint_parquet_packed()
            }
            Self::Unsupported { .. } => say::trace::hint_parquet_feature(),
            Self::Parquet { .. } => say::trace::hint_parquet(),
            Self::InRows(error) => error.hint(),
            Self::LineTooLong { .. } => say::trace::hint_line_too_long(),
            Self::NotATable { .. } => say::trace::hint_no_table(),
            Self::DecimalComma { .. } => say::trace::hint_decimal_comma(),
            Self::TextInNumbers { .. } => say::trace::hint_text_in_numbers(),
            Self::TimeBackwards {
                local_clock: true, ..
            } => say::trace::hint_clock_back(),
            Self::TimeBackwards { .. } => say::trace::hint_time_backwards(),
            Self::NoUnit { .. } => say::trace::hint_no_unit(),
            Self::BadOption { .. } => say::trace::hint_option(),
            Self::NoCurrent { .. } => say::trace::hint_no_current(),
            Self::TwoCurrents { .. } => say::trace::hint_two_currents(),
            Self::VoltageOnly { .. } => say::trace::hint_voltage_only(),
            Self::NoSuchColumn { .. } => say::trace::hint_no_column(),
            Self::NoTime { .. } => say::trace::hint_no_time(),
            Self::SpoiltRow { .. } => say::trace::hint_spoilt_row(),
            Self::TooLong { .. } => say::trace::hint_too_long(),
            Self::EmptyWindow { .. } => say::trace::hint_window(),
        }
    }
}

impl fmt::Display for ReadError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.message().fmt(f)
    }
}

impl std::error::Error for ReadError {}

fn is_parquet(what: &Message) -> bool {
    *what == say::trace::what_parquet()
}

fn list(columns: &[String]) -> Message {
    if columns.is_empty() {
        say::trace::no_columns()
    } else {
        Message::plain(columns.join(", "))
    }
}

fn count_word(n: usize) -> Message {
    match n {
        2 => say::trace::two(),
        3 => say::trace::three(),
        4 => say::trace::four(),
        _ => Message::plain(n.to_string()),
    }
}

#[cfg(test)]
mod tests {
    use tongue::{Lang, speak};

    use super::*;

    #[test]
    fn an_error_has_two_languages() {
        let back = ReadError::TimeBackwards {
            line: 12345,
            by_s: "0.5".to_owned(),
            local_clock: false,
        };
        let garbled = ReadError::TextInNumbers {
            line: 3,
            reason: "`x` is not a number".to_owned(),
            skipped: 2,
            rows: 3,
        };
        let samples = ReadError::NoUnit {
            column: OF_SAMPLES.to_owned(),
        };
        let in_rows = |error: &ReadError| ReadError::InRows(Box::new(error.clone()));
        for (error, en, de) in [
            (
                back.clone(),
                "line 12345: time runs backwards by 0.5 s",
                "Zeile 12345: die Zeit läuft um 0,5 s rückwärts",
            ),
            (
                in_rows(&back),
                "row 12345: time runs backwards by 0.5 s",
                "Zeile 12345: die Zeit läuft um 0,5 s rückwärts",
            ),
            (
                garbled,
                "line 3: `x` is not a number; 2 of 3 rows could not be read",
                "Zeile 3: `x` ist keine Zahl; 2 von 3 Zeilen waren nicht lesbar",
            ),
            (
                in_rows(&ReadError::HeaderOnly { line: 0 }),
                "the file holds names or comments but no row of values (last looked at: row 0)",
                "die Datei enthält Namen oder Kommentare, aber keine Zeile mit Werten (zuletzt angesehen: Zeile 0)",
            ),
            (
                samples,
                "column of samples has no unit",
                "Spalte mit den Messwerten hat keine Einheit",
            ),
            (
                ReadError::NoCurrent { columns: vec![] },
                "no column could be the current; the file has no columns",
                "keine Spalte kommt als Strom infrage; die Datei hat keine Spalten",
            ),
        ] {
            assert_eq!(error.to_string(), en);
            assert_eq!(error.message().english(), en);
            assert_eq!(speak(Lang::De, || error.to_string()), de);
        }
    }
}
