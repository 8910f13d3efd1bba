//! `nightdraw park`: how long a battery can stand.

use std::fmt::Write;

use battery::{Forecast, NIGHTS, Night, Parking, forecast_over, usual_nights};
use measure::{
    Quantiles, Uncertain,
    quantity::{Ampere, Celsius, Quantity},
    range,
};
use picture::words;
use tongue::{Message, say};

use crate::{
    cli::ParkArguments,
    commands::battery::{checked, health, label, nothing_on_the_label, within},
    failure::Failure,
    output::{print, print_json},
};

/// Nights that may be named: nobody knows the weather further ahead.
const MOST_NIGHTS: usize = 31;

pub(crate) fn run(arguments: &ParkArguments) -> Result<(), Failure> {
    let parking = parking(arguments)?;
    let nights = nights(arguments, parking.temperature_c)?;
    let forecast = forecast_over(&parking, &nights).map_err(nothing_on_the_label)?;
    if arguments.json {
        print_json(&job::contract::park(&forecast))
    } else {
        print(&page(&parking, &forecast))
    }
}

fn parking(arguments: &ParkArguments) -> Result<Parking, Failure> {
    let charge = within(range::SHARE, arguments.charge.0 * 100.0)? / 100.0;
    Ok(Parking {
        label: label(&arguments.label)?,
        health: health(arguments.health)?,
        // What a person types here is taken as it is; the battery's own spread is the forecast's.
        charge: Uncertain::exact(charge),
        draw: Uncertain::exact(within(range::DRAW, arguments.draw.0)?),
        temperature_c: within(range::TEMPERATURE, arguments.temperature.0)?,
        engine_needs_a: checked(range::CRANKING, arguments.engine_needs.map(Quantity::base))?,
    })
}

fn nights(arguments: &ParkArguments, temperature_c: f64) -> Result<Vec<Night>, Failure> {
    if arguments.nights.len() > MOST_NIGHTS {
        return Err(Failure::input(
            "out-of-range",
            say::cli::park_too_many(arguments.nights.len().to_string(), MOST_NIGHTS.to_string()),
            say::cli::park_too_many_hint(),
        ));
    }
    let lows = arguments
        .nights
        .iter()
        .map(|night| within(range::TEMPERATURE, night.0))
        .collect::<Result<Vec<f64>, Failure>>()?;
    Ok(if lows.is_empty() {
        usual_nights(&[temperature_c; NIGHTS])
    } else {
        usual_nights(&lows)
    })
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
                "{}",
                say::cli::park_starts(
                    draw,
                    words::hours(hours.p95),
                    words::hours(hours.p05),
                    words::hours(hours.p50),
                    temperature
                )
            );
        }
        None => {
            let _ = writeln!(text, "{}", say::cli::park_no_end(draw, temperature));
        }
    }
    if let Some(hours) = &forecast.hours_to_half {
        let _ = writeln!(text, "{}", say::cli::park_half(span(hours)));
    }
    let _ = writeln!(
        text,
        "{}",
        say::cli::park_self_discharge(Ampere(forecast.self_discharge_a))
    );
    if let Some(risk) = &forecast.freezing_risk {
        let _ = writeln!(text, "{risk}");
    }
    if let Some(hours) = forecast.recharge_h {
        let _ = writeln!(text, "{}", say::cli::park_recharge(words::hours(hours)));
    }
    coming(&mut text, forecast);
    text
}

/// The chance of no start after each coming night, parked this evening.
fn coming(text: &mut String, forecast: &Forecast) {
    let _ = writeln!(text, "\n{}", say::cli::park_this_evening());
    for (at, coming) in forecast.nights.iter().enumerate() {
        let _ = writeln!(
            text,
            "  {} {:<3} {:>6}  {:>9}  {}",
            say::cli::park_night(),
            at + 1,
            tongue::number(&Celsius(coming.night.temperature_c).to_string()),
            words::percent(coming.p_no_start),
            say::cli::park_charge(words::percent(coming.charge.p50))
        );
    }
}

fn span(hours: &Quantiles) -> Message {
    say::cli::about(
        words::hours(hours.p95),
        words::hours(hours.p05),
        words::hours(hours.p50),
    )
}
