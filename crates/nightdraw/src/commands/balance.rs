//! `nightdraw balance`: a week of driving against a week of standing.

use std::fmt::Write;

use battery::balance::{Balance, Household, KEPT, Week, balance};
use measure::{
    Uncertain,
    quantity::{Ampere, AmpereHour},
    range::{self, Range},
};
use picture::words::{self, rough};
use tongue::{Message, figure, say};

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
            say::cli::balance_too_long(
                figure(week.minutes_per_trip.to_string()),
                figure(week.trips.to_string()),
            ),
            say::cli::balance_too_long_hint(),
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
        let _ = writeln!(text, "\n{}", say::cli::balance_not_driven());
    }
    text
}

fn loss(text: &mut String, balance: &Balance) {
    let loss = balance.loss;
    let _ = writeln!(
        text,
        "{:<15}{}",
        say::cli::balance_takes(),
        rough::<AmpereHour>(loss.total_ah())
    );
    for (what, ah) in [
        (say::cli::balance_draw(), loss.draw_ah),
        (say::cli::balance_self_discharge(), loss.self_discharge_ah),
        (say::cli::balance_starts(), loss.starts_ah),
        (say::cli::balance_engine_off(), loss.loads_ah),
    ] {
        if ah > 0.0 {
            let _ = writeln!(text, "  {what:<16} {}", rough::<AmpereHour>(ah));
        }
    }
    let _ = writeln!(
        text,
        "{:<15}{}",
        say::cli::balance_gives(),
        say::cli::balance_at_three_quarters(rough::<AmpereHour>(balance.gain_ah))
    );
}

/// Room for more, or what would hold the charge.
fn holders(text: &mut String, balance: &Balance) {
    if balance.room_a > 0.0 {
        let _ = writeln!(
            text,
            "{:<15}{}",
            say::cli::balance_room(),
            say::cli::balance_room_more(rough::<Ampere>(balance.room_a))
        );
    } else {
        let _ = writeln!(
            text,
            "{:<15}{}",
            say::cli::balance_hold(),
            say::cli::balance_holders(
                rough::<Ampere>(balance.maintainer_a),
                figure(format!("{:.0}", balance.panel_w))
            )
        );
    }
}

fn added(text: &mut String, added_a: f64, balance: &Balance, after: &Balance) {
    let level = if after.settles_at.p50 > 0.0 {
        say::cli::balance_settles_at(words::percent(after.settles_at.p50))
    } else {
        say::cli::balance_runs_empty()
    };
    let fits = if balance.fits(added_a) {
        say::cli::balance_fits(level)
    } else {
        say::cli::balance_fits_not(level)
    };
    let with = say::cli::balance_with(Ampere(added_a));
    let _ = writeln!(text, "{with}   {fits}");
}

fn verdict(balance: &Balance) -> Message {
    let q = balance.settles_at;
    let range = say::cli::balance_range(words::percent(q.p95), words::percent(q.p05));
    let level = words::percent(q.p50);
    let sure = words::percent(balance.p_holds);
    if q.p50 >= KEPT {
        say::cli::balance_keeps(level, range)
    } else if q.p50 >= 0.5 {
        say::cli::balance_low(level, range)
    } else {
        match balance.weeks_to_half {
            Some(weeks) => say::cli::balance_not_within(sure, words::hours(weeks * 168.0)),
            None => say::cli::balance_not(sure),
        }
    }
}
