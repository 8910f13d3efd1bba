//! `nightdraw park`: how long a battery can stand.

use std::fmt::Write;

use battery::{Cranking, Forecast, Label, Parking, forecast};
use measure::{
    Quantiles, Uncertain,
    quantity::{Ampere, Celsius, Quantity},
    range::{self, OutOfRange},
};

use crate::{
    cli::ParkArguments,
    failure::Failure,
    output::{print, print_json},
};

pub(crate) fn run(arguments: &ParkArguments) -> Result<(), Failure> {
    let parking = parking(arguments)?;
    let forecast = forecast(&parking).map_err(|unknown| {
        Failure::usage(
            unknown.missing,
            "give --capacity 60Ah or --cranking 540A from the label",
        )
    })?;
    if arguments.json {
        print_json(&job::contract::park(&forecast))
    } else {
        print(&page(&parking, &forecast))
    }
}

fn parking(arguments: &ParkArguments) -> Result<Parking, Failure> {
    let ParkArguments {
        capacity,
        cranking,
        engine_needs,
        ..
    } = arguments;
    let checked = |range: range::Range, value: Option<f64>| {
        value
            .map(|value| range.check(value))
            .transpose()
            .map_err(out_of_range)
    };
    let capacity_ah = checked(range::CAPACITY, capacity.map(Quantity::base))?;
    let cranking_a = checked(range::CRANKING, cranking.map(Quantity::base))?;
    let engine_needs_a = checked(range::CRANKING, engine_needs.map(Quantity::base))?;
    let draw_a = range::DRAW.check(arguments.draw.0).map_err(out_of_range)?;
    let temperature_c = range::TEMPERATURE
        .check(arguments.temperature.0)
        .map_err(out_of_range)?;
    let charge = range::SHARE
        .check(arguments.charge.0 * 100.0)
        .map_err(out_of_range)?
        / 100.0;
    let health = match checked(HEALTH, arguments.health)? {
        Some(health) => Uncertain::exact(health),
        None => battery::capacity::expected_health(None),
    };
    Ok(Parking {
        label: Label {
            chemistry: arguments.chemistry,
            capacity_ah,
            reserve_min: None,
            cranking: cranking_a.map(|current_a| Cranking {
                current_a,
                standard: arguments.standard,
            }),
        },
        health,
        // What a person types here is taken as it is; the battery's own spread is the forecast's.
        charge: Uncertain::exact(charge),
        draw: Uncertain::exact(draw_a),
        temperature_c,
        engine_needs_a,
    })
}

/// A battery with a twentieth of its capacity left is scrap by any practice.
pub(crate) const HEALTH: range::Range = range::Range {
    name: "health",
    low: 0.05,
    high: 1.2,
    unit: "(1 is as new)",
};

pub(crate) fn out_of_range(error: OutOfRange) -> Failure {
    Failure::input(
        "out-of-range",
        error.to_string(),
        "check the number and its unit",
    )
}

fn page(parking: &Parking, forecast: &Forecast) -> String {
    let mut text = String::new();
    let draw = Ampere(parking.draw.value);
    let temperature = Celsius(parking.temperature_c);
    // Writing to a string cannot fail.
    match &forecast.hours_to_no_start {
        Some(hours) => {
            let _ = writeln!(
                text,
                "At {draw} and {temperature} it should start for about {}; 9 times of 10 between {} and {}.",
                duration(hours.p50),
                duration(hours.p05),
                duration(hours.p95)
            );
        }
        None => {
            let _ = writeln!(text, "At {draw} and {temperature} no end is in sight.");
        }
    }
    if let Some(hours) = &forecast.hours_to_half {
        let _ = writeln!(text, "Half charge after {}.", span(hours));
    }
    let _ = writeln!(
        text,
        "Self-discharge counts for {}.",
        Ampere(forecast.self_discharge_a)
    );
    if let Some(risk) = &forecast.freezing_risk {
        let _ = writeln!(text, "{risk}");
    }
    if let Some(hours) = forecast.recharge_h {
        let _ = writeln!(
            text,
            "Recharging what is missing now takes about {}.",
            duration(hours)
        );
    }
    text
}

fn span(hours: &Quantiles) -> String {
    format!(
        "about {} ({} to {})",
        duration(hours.p50),
        duration(hours.p05),
        duration(hours.p95)
    )
}

/// Hours in the unit a person would use.
pub(crate) fn duration(hours: f64) -> String {
    match hours {
        h if h < 1.5 => format!("{:.0} minutes", h * 60.0),
        h if h < 72.0 => format!("{h:.0} hours"),
        h if h < 24.0 * 60.0 => format!("{:.0} days", h / 24.0),
        h => format!("{:.0} months", h / 24.0 / 30.4),
    }
}
