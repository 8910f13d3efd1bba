//! Options about the battery: its label, `park` and `balance`.

use clap::Args;
use measure::quantity::{Ampere, AmpereHour, Celsius, Second, Share};

/// What is printed on the battery.
#[derive(Debug, Clone, Args)]
#[command(next_help_heading = "Battery label")]
pub(crate) struct LabelArguments {
    /// Rated capacity, 20-hour
    #[arg(long, value_name = "CHARGE", allow_hyphen_values = true)]
    pub(crate) capacity: Option<AmpereHour>,
    /// Rated cranking current
    #[arg(long, value_name = "CURRENT", allow_hyphen_values = true)]
    pub(crate) cranking: Option<Ampere>,
    /// Standard of the cranking current: en, sae, iec, din, jis
    #[arg(long, default_value = "en")]
    pub(crate) standard: battery::CrankingStandard,
    /// Reserve capacity: minutes at 25 A
    #[arg(long, value_name = "TIME", allow_hyphen_values = true)]
    pub(crate) reserve: Option<Second>,
    /// Chemistry: flooded, efb, agm, gel, lifepo4
    #[arg(long, default_value = "flooded")]
    pub(crate) chemistry: battery::Chemistry,
}

/// How long a battery can stand before the engine no longer cranks.
#[derive(Debug, Args)]
pub(crate) struct ParkArguments {
    /// State of charge now
    #[arg(
        long,
        value_name = "SHARE",
        default_value = "100%",
        allow_hyphen_values = true
    )]
    pub(crate) charge: Share,
    /// Draw while parked, long-run average
    #[arg(long, value_name = "CURRENT", allow_hyphen_values = true)]
    pub(crate) draw: Ampere,
    /// Temperature while parked; with --nights the mean of the time ahead
    #[arg(
        long,
        value_name = "TEMPERATURE",
        default_value = "20C",
        allow_hyphen_values = true
    )]
    pub(crate) temperature: Celsius,
    /// Temperature at the end of each coming night, such as 2C,-5C,1C; otherwise
    /// a week of nights at --temperature
    #[arg(
        long,
        value_name = "TEMPERATURES",
        value_delimiter = ',',
        allow_hyphen_values = true
    )]
    pub(crate) nights: Vec<Celsius>,
    /// What is left of the rated capacity, 0 to 1 (1 as new); otherwise that of a battery of unknown age
    #[arg(long, value_name = "FRACTION", allow_hyphen_values = true)]
    pub(crate) health: Option<f64>,
    /// Current the engine needs to crank
    #[arg(long, value_name = "CURRENT", allow_hyphen_values = true)]
    pub(crate) engine_needs: Option<Ampere>,
    /// Write one JSON document to stdout
    #[arg(long)]
    pub(crate) json: bool,
    #[command(flatten)]
    pub(crate) label: LabelArguments,
}

/// Whether a week of driving makes up for a week of standing.
///
/// Says what a usual week takes from the battery and what driving gives back,
/// at which charge it settles, how much a camera or tracker may draw, and which
/// maintainer or solar panel would hold it.
#[derive(Debug, Args)]
pub(crate) struct BalanceArguments {
    /// Draw while parked, long-run average
    #[arg(long, value_name = "CURRENT", allow_hyphen_values = true)]
    pub(crate) draw: Ampere,
    /// Trips in a usual week
    #[arg(long, value_name = "N", allow_hyphen_values = true)]
    pub(crate) trips: f64,
    /// Length of a usual trip
    #[arg(long, value_name = "TIME", allow_hyphen_values = true)]
    pub(crate) trip: Second,
    /// Used with the engine off, per week: lamps, radio, heater
    #[arg(
        long,
        value_name = "CHARGE",
        default_value = "0Ah",
        allow_hyphen_values = true
    )]
    pub(crate) loads: AmpereHour,
    /// Something to be added, such as a camera: does it fit?
    #[arg(long, value_name = "CURRENT", allow_hyphen_values = true)]
    pub(crate) add: Option<Ampere>,
    /// Current left over for the battery while driving
    #[arg(
        long,
        value_name = "CURRENT",
        default_value = "25A",
        allow_hyphen_values = true
    )]
    pub(crate) spare: Ampere,
    /// Usual temperature
    #[arg(
        long,
        value_name = "TEMPERATURE",
        default_value = "10C",
        allow_hyphen_values = true
    )]
    pub(crate) temperature: Celsius,
    /// What is left of the rated capacity, 0 to 1 (1 as new); otherwise that of a battery of unknown age
    #[arg(long, value_name = "FRACTION", allow_hyphen_values = true)]
    pub(crate) health: Option<f64>,
    /// Write one JSON document to stdout
    #[arg(long)]
    pub(crate) json: bool,
    #[command(flatten)]
    pub(crate) label: LabelArguments,
}
