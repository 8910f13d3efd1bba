//! `nightdraw balance`: a week of driving against a week of standing.

use std::fmt::Write;

use battery::{
    Label,
    balance::{Balance, Household, KEPT, Week, balance},
};
use measure::{
    Uncertain,
    quantity::{Ampere, AmpereHour},
    range::{self, Range},
};
use picture::words;

use crate::{
    cli::BalanceArguments,
    commands::park::{HEALTH, out_of_range},
    failure::Failure,
    output::{print, print_json},
};

const TRIPS: Range = Range {
    name: "number of trips",
    low: 0.0,
    high: 500.0,
    unit: "a week",
};
const TRIP: Range = Range {
    name: "length of a trip",
    low: 0.0,
    high: 1440.0,
    unit: "min",
};
const WEEKLY: Range = Range {
    name: "charge used with the engine off",
    low: 0.0,
    high: 1000.0,
    unit: "Ah a week",
};
const SPARE: Range = Range {
    name: "current left over while driving",
    low: 0.0,
    high: 300.0,
    unit: "A",
};
/// More than that is no parked vehicle.
const PARKED_DRAW: Range = Range {
    name: "draw while parked",
    low: 0.0,
    high: 100.0,
    unit: "A",
};

pub(crate) fn run(arguments: &BalanceArguments) -> Result<(), Failure> {
    let household = household(arguments)?;
    let answer = answer(&household)?;
    let with = match arguments.add {
        Some(added) => {
            let added_a = PARKED_DRAW.check(added.0).map_err(out_of_range)?;
            let draw = household.draw.plus(Uncertain::exact(added_a));
            Some((added_a, self::answer(&Household { draw, ..household })?))
        }
        None => None,
    };
    if arguments.json {
        let mut document = job::contract::balance(&answer);
        if let Some((added_a, with)) = &with {
            document["with_added"] = job::contract::balance(with);
            document["fits"] = (*added_a <= answer.room_a).into();
        }
        return print_json(&document);
    }
    print(&page(&household, &answer, with.as_ref()))
}

fn answer(household: &Household) -> Result<Balance, Failure> {
    balance(household).map_err(|unknown| {
        Failure::input(
            "insufficient",
            unknown.to_string(),
            "give --capacity 60Ah from the label",
        )
    })
}

fn household(arguments: &BalanceArguments) -> Result<Household, Failure> {
    let check = |range: Range, value: f64| range.check(value).map_err(out_of_range);
    let week = Week {
        trips: check(TRIPS, arguments.trips)?,
        minutes_per_trip: check(TRIP, arguments.trip.0 / 60.0)?,
        spare_a: check(SPARE, arguments.spare.0)?,
        loads_ah: check(WEEKLY, arguments.loads.0)?,
    };
    if week.trips * week.minutes_per_trip > 7.0 * 1440.0 {
        return Err(Failure::input(
            "out-of-range",
            format!(
                "{} trips of {} min are longer than a week",
                week.trips, week.minutes_per_trip
            ),
            "give the trips of one week and the length of one trip",
        ));
    }
    Ok(Household {
        label: Label {
            chemistry: arguments.chemistry,
            capacity_ah: Some(check(range::CAPACITY, arguments.capacity.0)?),
            ..Label::default()
        },
        health: match arguments.health {
            Some(health) => Uncertain::exact(check(HEALTH, health)?),
            None => battery::capacity::expected_health(None),
        },
        draw: Uncertain::exact(check(PARKED_DRAW, arguments.draw.0)?),
        temperature_c: check(range::TEMPERATURE, arguments.temperature.0)?,
        week,
    })
}

fn page(household: &Household, balance: &Balance, with: Option<&(f64, Balance)>) -> String {
    let mut text = String::new();
    // Writing to a string cannot fail.
    let _ = writeln!(text, "{}\n", verdict(balance));
    let loss = balance.loss;
    let _ = writeln!(
        text,
        "a week takes   {}",
        AmpereHour(round(loss.total_ah()))
    );
    for (what, ah) in [
        ("parked draw", loss.draw_ah),
        ("self-discharge", loss.self_discharge_ah),
        ("starts", loss.starts_ah),
        ("engine off", loss.loads_ah),
    ] {
        if ah > 0.0 {
            let _ = writeln!(text, "  {what:<16} {}", AmpereHour(round(ah)));
        }
    }
    let _ = writeln!(
        text,
        "driving gives  {} at three quarters of charge",
        AmpereHour(round(balance.gain_ah))
    );
    if balance.room_a > 0.0 {
        let _ = writeln!(
            text,
            "room for       {} more while parked",
            Ampere(round(balance.room_a))
        );
    } else {
        let _ = writeln!(
            text,
            "would hold it  a maintainer of {}, or a solar panel of {:.0} W in winter",
            Ampere(round(balance.maintainer_a)),
            balance.panel_w
        );
    }
    if let Some((added_a, after)) = with {
        let fits = if *added_a <= balance.room_a {
            "fits"
        } else {
            "does not fit"
        };
        let level = if after.settles_at.p50 > 0.0 {
            format!("settles at about {}", words::percent(after.settles_at.p50))
        } else {
            "runs empty in time".into()
        };
        let _ = writeln!(
            text,
            "with {} more   {fits}: the battery then {level}",
            Ampere(*added_a)
        );
    }
    if household.week.trips == 0.0 {
        let _ = writeln!(
            text,
            "\nNot driven at all: nightdraw park says how long it can stand."
        );
    }
    text
}

fn verdict(balance: &Balance) -> String {
    let q = balance.settles_at;
    let range = format!(
        "9 times of 10 between {} and {}",
        words::percent(q.p05),
        words::percent(q.p95)
    );
    let sure = words::percent(balance.p_holds);
    if q.p50 >= KEPT {
        format!(
            "It holds its charge and settles at about {} ({range}).",
            words::percent(q.p50)
        )
    } else if q.p50 >= 0.5 {
        format!(
            "It settles low, at about {} ({range}); below three quarters a lead battery ages fast.",
            words::percent(q.p50)
        )
    } else {
        let weeks = balance.weeks_to_half.map_or(String::new(), |weeks| {
            format!(", from full to half in about {}", span(weeks))
        });
        format!("It does not hold its charge (chance that it does: {sure}){weeks}.")
    }
}

fn span(weeks: f64) -> String {
    super::park::duration(weeks * 168.0)
}

/// Two digits are what such an estimate is worth.
fn round(value: f64) -> f64 {
    if value == 0.0 {
        return 0.0;
    }
    let scale = 10.0_f64.powf(1.0 - value.abs().log10().floor());
    (value * scale).round() / scale
}
