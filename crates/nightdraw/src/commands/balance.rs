//! `nightdraw balance`: a week of driving against a week of standing.

use std::fmt::Write;

use battery::balance::{Balance, Household, KEPT, Week, balance};
use measure::{
    Uncertain,
    quantity::{Ampere, AmpereHour},
    range::{self, Range},
};
use picture::words::{self, rough};

use crate::{
    cli::BalanceArguments,
    commands::battery::{health, label, nothing_on_the_label, within},
    failure::Failure,
    output::{print, print_json},
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
            let added_a = within(PARKED_DRAW, added.0)?;
            Some((added_a, self::answer(&household.with_added(added_a))?))
        }
        None => None,
    };
    if arguments.json {
        let mut document = job::contract::balance(&answer);
        if let Some((added_a, with)) = &with {
            document["with_added"] = job::contract::balance(with);
            document["fits"] = answer.fits(*added_a).into();
        }
        return print_json(&document);
    }
    print(&page(&household, &answer, with.as_ref()))
}

fn answer(household: &Household) -> Result<Balance, Failure> {
    balance(household).map_err(nothing_on_the_label)
}

fn household(arguments: &BalanceArguments) -> Result<Household, Failure> {
    let week = Week {
        trips: within(range::TRIPS, arguments.trips)?,
        minutes_per_trip: within(range::TRIP, arguments.trip.0 / 60.0)?,
        spare_a: within(range::SPARE, arguments.spare.0)?,
        loads_ah: within(range::WEEKLY, arguments.loads.0)?,
    };
    if !week.fits_a_week() {
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
        label: label(&arguments.label)?,
        health: health(arguments.health)?,
        draw: Uncertain::exact(within(PARKED_DRAW, arguments.draw.0)?),
        temperature_c: within(range::TEMPERATURE, arguments.temperature.0)?,
        week,
    })
}

fn page(household: &Household, balance: &Balance, with: Option<&(f64, Balance)>) -> String {
    let mut text = String::new();
    // Writing to a string cannot fail.
    let _ = writeln!(text, "{}\n", verdict(balance));
    loss(&mut text, balance);
    holders(&mut text, balance);
    if let Some((added_a, after)) = with {
        added(&mut text, *added_a, balance, after);
    }
    if household.week.trips == 0.0 {
        let _ = writeln!(
            text,
            "\nNot driven at all: nightdraw park says how long it can stand."
        );
    }
    text
}

fn loss(text: &mut String, balance: &Balance) {
    let loss = balance.loss;
    let _ = writeln!(
        text,
        "a week takes   {}",
        rough::<AmpereHour>(loss.total_ah())
    );
    for (what, ah) in [
        ("parked draw", loss.draw_ah),
        ("self-discharge", loss.self_discharge_ah),
        ("starts", loss.starts_ah),
        ("engine off", loss.loads_ah),
    ] {
        if ah > 0.0 {
            let _ = writeln!(text, "  {what:<16} {}", rough::<AmpereHour>(ah));
        }
    }
    let _ = writeln!(
        text,
        "driving gives  {} at three quarters of charge",
        rough::<AmpereHour>(balance.gain_ah)
    );
}

/// Room for more, or what would hold the charge.
fn holders(text: &mut String, balance: &Balance) {
    if balance.room_a > 0.0 {
        let _ = writeln!(
            text,
            "room for       {} more while parked",
            rough::<Ampere>(balance.room_a)
        );
    } else {
        let _ = writeln!(
            text,
            "would hold it  a maintainer of {}, or a solar panel of {:.0} W in winter",
            rough::<Ampere>(balance.maintainer_a),
            balance.panel_w
        );
    }
}

fn added(text: &mut String, added_a: f64, balance: &Balance, after: &Balance) {
    let fits = if balance.fits(added_a) {
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
        Ampere(added_a)
    );
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
            format!(
                ", from full to half in about {}",
                words::hours(weeks * 168.0)
            )
        });
        format!("It does not hold its charge (chance that it does: {sure}){weeks}.")
    }
}
