//! Log files as they are uploaded: reading them, and which questions a file
//! leaves open.

use std::io::Read;

use trace::{
    Trace,
    readers::{self, ReadError, ReadOptions},
};

use crate::form::{Typed, sentence};

/// What the person answered about a file.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct Answers {
    pub(crate) current: Option<String>,
    pub(crate) unit: Option<String>,
    pub(crate) interval_s: Option<f64>,
}

/// Why a file could not be read, and what could be asked.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Trouble {
    pub(crate) message: String,
    /// Columns to choose the current from.
    pub(crate) columns: Vec<String>,
    pub(crate) ask_unit: bool,
    pub(crate) ask_interval: bool,
}

impl Answers {
    /// From the form that asked.
    pub(crate) fn from_typed(typed: &Typed) -> Result<Self, String> {
        let some = |name: &str| Some(typed.get(name).to_owned()).filter(|text| !text.is_empty());
        let interval_s = match typed.amount("interval") {
            None => None,
            Some(text) => match text.parse::<measure::quantity::Second>() {
                Ok(time) if time.0 > 0.0 => Some(time.0),
                Ok(_) => return Err(tongue::say::web::file_above_zero().into()),
                Err(error) => return Err(sentence(&error.to_string())),
            },
        };
        Ok(Self {
            current: some("current"),
            unit: some("unit"),
            interval_s,
        })
    }
}

impl Trouble {
    /// Whether answering would help.
    pub(crate) fn is_a_question(&self) -> bool {
        !self.columns.is_empty() || self.ask_unit || self.ask_interval
    }
}

/// Reads a log.
pub(crate) fn read(input: impl Read, answers: &Answers) -> Result<Trace, Trouble> {
    let options = ReadOptions {
        current: answers.current.clone(),
        unit: answers.unit.clone(),
        interval_s: answers.interval_s,
        ..ReadOptions::default()
    };
    readers::read(input, &options).map_err(|error| trouble(&error))
}

fn trouble(error: &ReadError) -> Trouble {
    let columns = match error {
        ReadError::TwoCurrents { columns } | ReadError::NoCurrent { columns } => columns.clone(),
        ReadError::NoSuchColumn {
            option: "current",
            columns,
            ..
        } => columns.clone(),
        _ => Vec::new(),
    };
    Trouble {
        message: sentence(&error.message()),
        columns,
        ask_unit: matches!(
            error,
            ReadError::NoUnit { .. } | ReadError::BadOption { option: "unit", .. }
        ),
        ask_interval: matches!(
            error,
            ReadError::NoTime { .. }
                | ReadError::BadOption {
                    option: "interval",
                    ..
                }
        ),
    }
}
