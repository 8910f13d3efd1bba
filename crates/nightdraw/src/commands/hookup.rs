//! `nightdraw hookup`: how to connect an instrument, and what that is worth.

use std::fmt::Write;

use battery::keeper::{Hold, KEEPERS, KEEPS_V, Keeper};
use harness::{fuse, hookup};
use job::contract::HookUpAnswer;
use measure::{
    How, Uncertain,
    conductor::Lead,
    estimate::{Estimate, FuseAnswer, HookUp, InputFuse, NoEstimate},
    hookup::MeterFuse,
    instrument::Instrument,
    quantity::{Ampere, Second, Volt},
    range::{self, Range},
    spec,
};
use picture::words;

use crate::{
    cli::HookupArguments,
    commands::park::{duration, out_of_range},
    failure::Failure,
    output::{print, print_json},
};

const SHUNT: Range = Range {
    name: "shunt resistance",
    low: 1e-6,
    high: 100.0,
    unit: "Ω",
};
const MELTING: Range = Range {
    name: "melting integral",
    low: 1e-6,
    high: 1e6,
    unit: "A²s",
};
/// Tolerance of a shunt nobody has stated, relative (common practice).
const SHUNT_SHARE: f64 = 0.01;

pub(crate) fn run(arguments: &HookupArguments) -> Result<(), Failure> {
    let hook_up = hook_up(arguments)?;
    let draw_a = range::NORMAL_DRAW
        .check(arguments.draw.0)
        .map_err(out_of_range)?;
    let wake_a = range::DRAW
        .check(arguments.wake_up.0.abs())
        .map_err(out_of_range)?;
    let estimate = hook_up
        .estimate(draw_a, wake_a)
        .map_err(|why| refuse(arguments, why))?;
    let keeper = keeper(arguments)?.map(|keeper| (keeper, keeper.hold(draw_a, wake_a)));
    let answer = HookUpAnswer {
        hook_up: &hook_up,
        wake_a,
        estimate: &estimate,
        // Nothing is to be put in for airbag work.
        steps: if arguments.airbag_work {
            &[]
        } else {
            hookup::steps(arguments.how)
        },
        settings: hookup::settings(arguments.airbag_work),
        keeper,
    };
    if arguments.json {
        print_json(&job::contract::hook_up(&answer))
    } else if arguments.airbag_work {
        print(&format!("{}\n", answer.settings.why))
    } else {
        print(&page(&answer))
    }
}

fn hook_up(arguments: &HookupArguments) -> Result<HookUp, Failure> {
    let kind = arguments.how.instrument();
    let instrument = match &arguments.instrument {
        Some(text) => spec::instrument(kind, text)
            .map_err(|error| Failure::input("instrument", error.message, error.hint))?,
        None => Instrument::generic(kind),
    };
    let fuse = match arguments.meter_fuse {
        Some(rating) => Some(InputFuse {
            rating_a: range::FUSE_RATING.check(rating.0).map_err(out_of_range)?,
            melting_a2s: arguments
                .melting
                .map(|i2t| MELTING.check(i2t))
                .transpose()
                .map_err(out_of_range)?,
        }),
        None => None,
    };
    Ok(HookUp {
        how: arguments.how,
        instrument,
        cables: arguments.cables,
        resistance: resistance(arguments)?,
        bypass: Lead::BYPASS,
        fuse,
    })
}

/// Resistance of the fuse or shunt whose voltage is read.
fn resistance(arguments: &HookupArguments) -> Result<Option<Uncertain>, Failure> {
    match arguments.how {
        How::Millivolt => {
            let Some(rating) = arguments.fuse else {
                return Ok(None);
            };
            let rating_a = range::FUSE_RATING.check(rating.0).map_err(out_of_range)?;
            let known = fuse::resistance(arguments.fuse_family, rating_a, None);
            Ok(known.map(|known| known.ohm))
        }
        How::Shunt => {
            let Some(shunt) = arguments.shunt else {
                return Ok(None);
            };
            let ohm = SHUNT.check(shunt.0).map_err(out_of_range)?;
            Ok(Some(Uncertain::rectangular(ohm, SHUNT_SHARE * ohm)))
        }
        How::Clamp | How::InLine => Ok(None),
    }
}

fn keeper(arguments: &HookupArguments) -> Result<Option<&'static Keeper>, Failure> {
    let Some(id) = &arguments.keeper else {
        return Ok(None);
    };
    if arguments.airbag_work {
        return Err(Failure::input(
            "airbag-work",
            "airbag work needs a dead supply, and a memory-keeping supply keeps the airbag unit live",
            "leave --keeper out",
        ));
    }
    let known: Vec<&str> = KEEPERS.iter().map(|one| one.id).collect();
    Keeper::find(id).map(Some).ok_or_else(|| {
        Failure::input(
            "keeper",
            format!("'{id}' is no supply known here"),
            format!("write one of {}", known.join(", ")),
        )
    })
}

fn refuse(arguments: &HookupArguments, why: NoEstimate) -> Failure {
    match (why, arguments.how) {
        (NoEstimate::NoResistance, How::Shunt) => Failure::usage(
            "a voltage across a shunt tells no current without its resistance",
            "add --shunt 1mohm",
        ),
        (NoEstimate::NoResistance, _) => Failure::usage(
            "millivolts across a fuse tell no current without its rating",
            "add --fuse 15A",
        ),
        (NoEstimate::Unsuited, how) => Failure::usage(
            format!("the instrument cannot be read as {how}"),
            "name another --instrument",
        ),
    }
}

fn page(answer: &HookUpAnswer<'_>) -> String {
    let mut text = String::new();
    figures(&mut text, answer);
    let _ = writeln!(text, "\nSteps");
    let mut said = Vec::new();
    for (number, step) in answer.steps.iter().enumerate() {
        let _ = writeln!(
            text,
            "{:>3}. {}  [{}]",
            number + 1,
            step.text,
            step.supply.words()
        );
        // The same caution is said at the first step it belongs to.
        let caution = step.caution().text;
        if !said.contains(&caution) {
            said.push(caution);
            for line in wrapped(caution, 76) {
                let _ = writeln!(text, "       {line}");
            }
        }
    }
    let _ = writeln!(text, "\nSettings: {}", answer.settings.why);
    if let Some((keeper, hold)) = &answer.keeper {
        let _ = writeln!(text, "{}", keeps(keeper, hold, answer.wake_a));
    }
    text
}

fn figures(text: &mut String, answer: &HookUpAnswer<'_>) {
    let estimate = answer.estimate;
    // Writing to a string cannot fail.
    let _ = writeln!(
        text,
        "reading        {}",
        words::plus_minus::<Ampere>(estimate.reading)
    );
    for part in &estimate.parts {
        let _ = writeln!(
            text,
            "  within ±{:<9} {}",
            short(part.half_width_a),
            part.what
        );
    }
    if let Some(floor_a) = estimate.floor_a {
        let _ = writeln!(text, "sees from      {}", short(floor_a));
    }
    if let Some(range_a) = estimate.range_a.filter(|r| *r < estimate.reading.value) {
        let _ = writeln!(text, "too small      it shows up to {}", short(range_a));
    }
    in_series(text, answer.hook_up.how, estimate, answer.wake_a);
    if let Some(fuse) = &estimate.fuse {
        let _ = writeln!(text, "meter's fuse   {}", fuse_words(fuse, answer.wake_a));
    }
    if estimate.in_series.is_none() {
        let _ = writeln!(
            text,
            "supply         untouched; nothing is put into the circuit"
        );
    }
}

fn in_series(text: &mut String, how: How, estimate: &Estimate, wake_a: f64) {
    let Some(series) = estimate.in_series else {
        return;
    };
    let _ = writeln!(
        text,
        "burden         {} at the vehicle; {} when {} flow",
        volts(series.burden_v.value),
        volts(series.wake_burden_v.value),
        Ampere(wake_a)
    );
    let stolen = Uncertain::new(
        1.0 - series.shown_beside_bypass.value,
        series.shown_beside_bypass.u,
    );
    let _ = writeln!(
        text,
        "bypass left on it steals {:.0} to {:.0} %; the meter shows about {}",
        (stolen.interval95().0 * 100.0).max(0.0),
        (stolen.interval95().1 * 100.0).min(100.0),
        short(estimate.reading.value * series.shown_beside_bypass.value)
    );
    if how != How::InLine {
        return;
    }
    let _ = writeln!(
        text,
        "check          clamp on post: the reading falls to about {} ({:.1} %)",
        short(estimate.reading.value * series.shown_clamp_on_post.value),
        series.shown_clamp_on_post.value * 100.0
    );
}

fn fuse_words(fuse: &FuseAnswer, wake_a: f64) -> String {
    let rating = Ampere(fuse.rating_a);
    let wake = Ampere(wake_a);
    let surge = fuse.one_second_a.map_or(String::new(), |ampere| {
        format!("; {} melt it within a second", short(ampere))
    });
    match fuse.at_wake {
        MeterFuse::Holds => format!("{rating} holds a wake-up of {wake}{surge}"),
        MeterFuse::Blows {
            within_s: Some(seconds),
        } => format!(
            "{rating} BLOWS at a wake-up of {wake} within {}, and the supply breaks{surge}",
            Second(seconds)
        ),
        MeterFuse::Blows { within_s: None } => {
            format!("{rating} BLOWS at a wake-up of {wake}, and the supply breaks")
        }
    }
}

fn keeps(keeper: &Keeper, hold: &Hold, wake_a: f64) -> String {
    let first = if hold.hours > 0.0 {
        format!(
            "A {} holds this draw for about {}",
            keeper.what,
            duration(hold.hours)
        )
    } else {
        format!(
            "A {} cannot hold this draw: it gives {} at most before it falls below {}",
            keeper.what,
            short(hold.most_a),
            Volt(KEEPS_V)
        )
    };
    let second = if hold.survives_waking() {
        format!(
            "a wake-up of {} leaves {}",
            Ampere(wake_a),
            volts(hold.under_wake_v)
        )
    } else {
        format!(
            "a wake-up of {} takes it down to {}, and the settings are lost",
            Ampere(wake_a),
            volts(hold.under_wake_v)
        )
    };
    format!("{first}; {second}.")
}

/// An ampere in two digits, which is what such an estimate is worth.
fn short(ampere: f64) -> String {
    Ampere(two_digits(ampere)).to_string()
}

fn volts(volt: f64) -> String {
    Volt(two_digits(volt)).to_string()
}

fn two_digits(value: f64) -> f64 {
    if value == 0.0 || !value.is_finite() {
        return value;
    }
    let scale = 10.0_f64.powf(1.0 - value.abs().log10().floor());
    (value * scale).round() / scale
}

fn wrapped(text: &str, width: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in text.split_whitespace() {
        let full = lines
            .last()
            .is_some_and(|line| !line.is_empty() && line.len() + 1 + word.len() > width);
        if full {
            lines.push(String::new());
        }
        if let Some(line) = lines.last_mut() {
            if !line.is_empty() {
                line.push(' ');
            }
            line.push_str(word);
        }
    }
    lines
}
