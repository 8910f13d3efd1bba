//! What the commands about the battery share: its label and its health.

use battery::{Cranking, Label};
use measure::{
    Uncertain,
    quantity::Quantity,
    range::{self, OutOfRange, Range},
};

use tongue::say;

use crate::{cli::LabelArguments, failure::Failure};

/// The label, each figure within what is possible.
pub(crate) fn label(arguments: &LabelArguments) -> Result<Label, Failure> {
    let cranking_a = checked(range::CRANKING, arguments.cranking.map(Quantity::base))?;
    Ok(Label {
        chemistry: arguments.chemistry,
        capacity_ah: checked(range::CAPACITY, arguments.capacity.map(Quantity::base))?,
        reserve_min: checked(range::RESERVE, arguments.reserve.map(|time| time.0 / 60.0))?,
        cranking: cranking_a.map(|current_a| Cranking {
            current_a,
            standard: arguments.standard,
        }),
    })
}

/// The health typed in, taken as it is, or that of a battery of unknown age.
pub(crate) fn health(typed: Option<f64>) -> Result<Uncertain, Failure> {
    Ok(match checked(range::HEALTH, typed)? {
        Some(health) => Uncertain::exact(health),
        None => battery::capacity::expected_health(None),
    })
}

/// A figure that may be missing, within its range.
pub(crate) fn checked(range: Range, value: Option<f64>) -> Result<Option<f64>, Failure> {
    value.map(|value| within(range, value)).transpose()
}

/// A figure within its range.
pub(crate) fn within(range: Range, value: f64) -> Result<f64, Failure> {
    range.check(value).map_err(|error| out_of_range(&error))
}

pub(crate) fn out_of_range(error: &OutOfRange) -> Failure {
    Failure::input("out-of-range", error.message(), say::cli::check_number())
}

/// The label tells neither capacity nor cranking current.
pub(crate) fn nothing_on_the_label(unknown: battery::Unknown) -> Failure {
    Failure::usage(
        say::battery::no_forecast(unknown.missing),
        say::cli::label_hint(),
    )
}
