//! What `nightdraw read` and `nightdraw listen` are told.

use std::{fmt, path::PathBuf};

use clap::{Args, ValueEnum};
use measure::{
    quantity::{Ampere, Quantity, Second},
    range,
};
use tongue::{figure, say};
use trace::readers::ReadOptions;

use crate::failure::Failure;

/// Read one log of current against time.
///
/// Takes delimited text (comma, semicolon, tab or blanks; decimal point or
/// comma; with or without header), also gzip or zstd. It detects what it can
/// and says on stderr what it took. `-` reads standard input.
#[derive(Debug, Args)]
pub(crate) struct ReadArguments {
    /// The log, or - for standard input
    pub(crate) file: String,
    #[command(flatten)]
    pub(crate) columns: ColumnArguments,
    /// Kind of file, where the content does not show it
    #[arg(long, value_enum, default_value_t = LogFormat::Auto, help_heading = "Columns")]
    pub(crate) format: LogFormat,
    #[command(flatten)]
    pub(crate) limit: LimitArgument,
    #[command(flatten)]
    pub(crate) meter: MeterArguments,
    /// A fuse was pulled then; repeat it for each, with its name if you like: "21:14 F12"
    #[arg(long, value_name = "TIME [NAME]", help_heading = "Measuring")]
    pub(crate) pulled: Vec<String>,
    /// A fuse was put back then
    #[arg(long, value_name = "TIME [NAME]", help_heading = "Measuring")]
    pub(crate) put_back: Vec<String>,
    /// Leave out what comes before: a clock time (22:10) or a time from the start (90min)
    #[arg(
        long,
        value_name = "TIME",
        allow_hyphen_values = true,
        help_heading = "Measuring"
    )]
    pub(crate) from: Option<String>,
    /// Leave out what comes after
    #[arg(
        long,
        value_name = "TIME",
        allow_hyphen_values = true,
        help_heading = "Measuring"
    )]
    pub(crate) to: Option<String>,
    /// Only the levels, without interpretation
    #[arg(long, help_heading = "Measuring")]
    pub(crate) segments_only: bool,
    /// Penalty for each change, in ampere squared; otherwise from the noise
    #[arg(
        long,
        value_name = "A²",
        allow_hyphen_values = true,
        help_heading = "Measuring"
    )]
    pub(crate) penalty: Option<f64>,
    /// Ordinary least squares without spike protection
    #[arg(long, help_heading = "Measuring")]
    pub(crate) plain: bool,
    /// Write one JSON document to stdout
    #[arg(long, help_heading = "Output")]
    pub(crate) json: bool,
    /// Draw the trace into this file
    #[arg(
        long,
        value_name = "OUT.svg",
        conflicts_with = "segments_only",
        help_heading = "Output"
    )]
    pub(crate) svg: Option<PathBuf>,
}

/// Watch a log while it is being written.
///
/// Takes what `nightdraw read` takes as text, line by line as it arrives, and
/// says what changes: each step, when the vehicle falls asleep and at what
/// draw, whether that is too much, and when the source falls silent. At the end
/// of the stream, or at Ctrl-C, it prints what `nightdraw read` would.
/// Lines that cannot be read are left out; a source that starts again goes on;
/// samples without a time take that of their arrival, unless --interval is given.
///
/// With --job the bench page shows it while it comes in, everything is kept as
/// it arrives, and at the end it becomes an entry of the job; what was cut off,
/// even by a lost supply, is taken up by the next one. In a terminal a line such
/// as "F12 out" and Enter marks the moment.
#[derive(Debug, Args)]
pub(crate) struct ListenArguments {
    /// The source, or - for standard input
    #[arg(required_unless_present = "virtual_van")]
    pub(crate) file: Option<String>,
    /// Listen to the invented van of the demo instead, so many times faster than real
    #[arg(long, value_name = "SPEED", conflicts_with = "file", value_parser = speed)]
    pub(crate) virtual_van: Option<f64>,
    /// Kept job that it is for, by number
    #[arg(long, value_name = "NUMBER", help_heading = "Keeping")]
    pub(crate) job: Option<i64>,
    /// Where it is measured
    #[arg(
        long,
        value_name = "NODE",
        default_value = "battery",
        requires = "job",
        help_heading = "Keeping"
    )]
    pub(crate) node: String,
    /// Folder of the kept jobs
    #[arg(long, value_name = "DIR", help_heading = "Keeping")]
    pub(crate) data: Option<PathBuf>,
    /// Ring the terminal's bell at each step
    #[arg(long, help_heading = "Output")]
    pub(crate) bell: bool,
    #[command(flatten)]
    pub(crate) columns: ColumnArguments,
    #[command(flatten)]
    pub(crate) limit: LimitArgument,
    /// Write one JSON document to stdout at the end; what changes goes to stderr
    #[arg(long, help_heading = "Output")]
    pub(crate) json: bool,
    /// Keep what is received in this new file, as it arrives
    #[arg(long, value_name = "OUT.csv", help_heading = "Output")]
    pub(crate) save: Option<PathBuf>,
}

/// Fastest virtual van: a night in four seconds.
const FASTEST: f64 = 10_000.0;

const SLOWEST: f64 = 0.1;

/// That is no speed of the virtual van.
#[derive(Debug)]
pub(crate) struct NoSpeed;

impl fmt::Display for NoSpeed {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let number = |limit: f64| figure(limit.to_string());
        say::cli::speed(number(SLOWEST), number(FASTEST)).fmt(f)
    }
}

impl std::error::Error for NoSpeed {}

fn speed(text: &str) -> Result<f64, NoSpeed> {
    match text.parse::<f64>() {
        Ok(speed) if (SLOWEST..=FASTEST).contains(&speed) => Ok(speed),
        _ => Err(NoSpeed),
    }
}

/// Kind of file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum LogFormat {
    /// Whatever the content shows
    Auto,
    /// Raw 32-bit floats, little-endian; needs --interval and --unit
    F32le,
}

/// Which column is what.
#[derive(Debug, Args)]
pub(crate) struct ColumnArguments {
    /// Time column, by name or number from 1
    #[arg(long, value_name = "COLUMN", help_heading = "Columns")]
    pub(crate) time: Option<String>,
    /// Current column, by name or number from 1
    #[arg(long, value_name = "COLUMN", help_heading = "Columns")]
    pub(crate) current: Option<String>,
    /// Voltage column, by name or number from 1
    #[arg(long, value_name = "COLUMN", help_heading = "Columns")]
    pub(crate) voltage: Option<String>,
    /// Unit of the current, where the source does not say: A, mA, uA
    #[arg(long, help_heading = "Columns")]
    pub(crate) unit: Option<String>,
    /// Time from one sample to the next, where the source has no time: 100ms
    #[arg(
        long,
        value_name = "TIME",
        allow_hyphen_values = true,
        help_heading = "Columns"
    )]
    pub(crate) interval: Option<Second>,
}

impl ColumnArguments {
    /// The same for the reader.
    ///
    /// # Errors
    /// When the unit is none of current.
    pub(crate) fn options(&self) -> Result<ReadOptions, Failure> {
        if let Some(unit) = &self.unit
            && Ampere::in_unit(1.0, unit).is_none()
        {
            return Err(Failure::usage(
                say::cli::no_current_unit(unit),
                say::cli::no_current_unit_hint(),
            ));
        }
        Ok(ReadOptions {
            time: self.time.clone(),
            current: self.current.clone(),
            voltage: self.voltage.clone(),
            unit: self.unit.clone(),
            interval_s: self.interval.map(Quantity::base),
            ..ReadOptions::default()
        })
    }
}

/// The meter that wrote the log.
#[derive(Debug, Args)]
pub(crate) struct MeterArguments {
    /// The meter that wrote the log, as a class or as its accuracy: clamp-low, dmm-10A, 2%+5@1mA
    #[arg(long, value_name = "METER", help_heading = "Meter")]
    pub(crate) instrument: Option<String>,
    /// How it was connected: clamp or in-line; a class of meter says it itself
    #[arg(long, value_enum, requires = "instrument", help_heading = "Meter")]
    pub(crate) how: Option<LogHow>,
    /// The clamp was held off the cable from then to then, such as 22:10..22:12; repeat it for each
    #[arg(long, value_name = "FROM..TO", help_heading = "Meter")]
    pub(crate) zero: Vec<String>,
    /// Column of a second current whose zero does not creep, such as a shunt's, to take the clamp's zero out
    #[arg(
        long,
        value_name = "COLUMN",
        conflicts_with = "zero",
        help_heading = "Meter"
    )]
    pub(crate) reference: Option<String>,
}

/// How a meter that logs ampere is connected.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum LogHow {
    /// A clamp around the cable
    Clamp,
    /// In the circuit
    InLine,
}

/// What the draw is held against.
#[derive(Debug, Args)]
pub(crate) struct LimitArgument {
    /// Limit for the draw
    #[arg(
        long,
        value_name = "CURRENT",
        allow_hyphen_values = true,
        default_value = "50mA",
        help_heading = "Measuring"
    )]
    pub(crate) limit: Ampere,
}

impl LimitArgument {
    /// The limit in ampere.
    ///
    /// # Errors
    /// When no limit can be set there.
    pub(crate) fn ampere(&self) -> Result<f64, Failure> {
        range::LIMIT
            .check(self.limit.0)
            .map_err(|error| Failure::usage(error.message(), say::cli::limit_hint()))
    }
}
