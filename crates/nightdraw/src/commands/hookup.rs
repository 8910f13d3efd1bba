//! `nightdraw hookup`: how to connect an instrument, and what that is worth.

use std::fmt::Write;

use battery::keeper::{Hold, KEEPERS, KEEPS_V, Keeper};
use job::{HookUpAnswer, HookUpQuestion};
use measure::{
    How, Instrument, Uncertain,
    estimate::{Estimate, FuseAnswer, InputFuse, NoEstimate},
    hookup::MeterFuse,
    quantity::{Ampere, Quantity, Second, Volt},
    range, spec,
};
use picture::words::{self, rough};

use crate::{
    cli::HookupArguments,
    commands::battery::{checked, within},
    failure::Failure,
    output::{print, print_json},
};

pub(crate) fn run(arguments: &HookupArguments) -> Result<(), Failure> {
    let keeper = keeper(arguments)?;
    let mut answer = question(arguments)?
        .answer()
        .map_err(|why| refuse(arguments, why))?;
    if let Some(keeper) = keeper {
        answer = answer.with_keeper(keeper.id);
    }
    if arguments.json {
        print_json(&job::contract::hook_up(&answer))
    } else if arguments.airbag_work {
        print(&format!("{}\n", answer.settings.why))
    } else {
        print(&page(&answer))
    }
}

fn question(arguments: &HookupArguments) -> Result<HookUpQuestion, Failure> {
    let kind = arguments.how.instrument();
    let instrument = match &arguments.instrument {
        Some(text) => spec::instrument(kind, text)
            .map_err(|error| Failure::input("instrument", error.message, error.hint))?,
        None => Instrument::generic(kind),
    };
    let fuse_a = checked(range::FUSE_RATING, arguments.fuse.map(Quantity::base))?;
    let melting_a2s = checked(range::MELTING, arguments.melting)?;
    let meter_a = checked(range::FUSE_RATING, arguments.meter_fuse.map(Quantity::base))?;
    Ok(HookUpQuestion {
        how: arguments.how,
        instrument,
        draw_a: within(range::NORMAL_DRAW, arguments.draw.0)?,
        wake_a: within(range::DRAW, arguments.wake_up.0.abs())?,
        fuse: fuse_a.map(|rating_a| (rating_a, arguments.fuse_family)),
        shunt_ohm: checked(range::SHUNT, arguments.shunt.map(Quantity::base))?,
        cables: arguments.cables,
        meter_fuse: meter_a.map(|rating_a| InputFuse {
            rating_a,
            melting_a2s,
        }),
        bypass_fuse_a: checked(
            range::FUSE_RATING,
            arguments.bypass_fuse.map(Quantity::base),
        )?,
        airbag_work: arguments.airbag_work,
    })
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

fn page(answer: &HookUpAnswer) -> String {
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
        let caution = step.caution();
        if !said.contains(&caution) {
            said.push(caution);
            for line in wrapped(&caution.text.to_string(), 76) {
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

fn figures(text: &mut String, answer: &HookUpAnswer) {
    let estimate = &answer.estimate;
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
            rough::<Ampere>(part.half_width_a),
            part.what
        );
    }
    if let Some(floor_a) = estimate.floor_a {
        let _ = writeln!(text, "sees from      {}", rough::<Ampere>(floor_a));
    }
    if let Some(range_a) = estimate.range_a.filter(|r| *r < estimate.reading.value) {
        let _ = writeln!(
            text,
            "too small      it shows up to {}",
            rough::<Ampere>(range_a)
        );
    }
    in_series(text, answer.hook_up.how, estimate, answer.wake_a);
    for (name, fuse) in [
        ("meter's fuse ", &estimate.fuse),
        ("bypass's fuse", &estimate.bypass_fuse),
    ] {
        if let Some(fuse) = fuse {
            let _ = writeln!(text, "{name}  {}", fuse_words(fuse, answer.wake_a));
        }
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
        rough::<Volt>(series.burden_v.value),
        rough::<Volt>(series.wake_burden_v.value),
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
        rough::<Ampere>(estimate.reading.value * series.shown_beside_bypass.value)
    );
    if how != How::InLine {
        return;
    }
    let _ = writeln!(
        text,
        "check          clamp on post: the reading falls to about {} ({:.1} %)",
        rough::<Ampere>(estimate.reading.value * series.shown_clamp_on_post.value),
        series.shown_clamp_on_post.value * 100.0
    );
}

fn fuse_words(fuse: &FuseAnswer, wake_a: f64) -> String {
    let rating = Ampere(fuse.rating_a);
    let wake = Ampere(wake_a);
    let surge = fuse.one_second_a.map_or(String::new(), |ampere| {
        format!("; {} melt it within a second", rough::<Ampere>(ampere))
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
            words::hours(hold.hours)
        )
    } else {
        format!(
            "A {} cannot hold this draw: it gives {} at most before it falls below {}",
            keeper.what,
            rough::<Ampere>(hold.most_a),
            Volt(KEEPS_V)
        )
    };
    let second = if hold.survives_waking() {
        format!(
            "a wake-up of {} leaves {}",
            Ampere(wake_a),
            rough::<Volt>(hold.under_wake_v)
        )
    } else {
        format!(
            "a wake-up of {} takes it down to {}, and the settings are lost",
            Ampere(wake_a),
            rough::<Volt>(hold.under_wake_v)
        )
    };
    format!("{first}; {second}.")
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
