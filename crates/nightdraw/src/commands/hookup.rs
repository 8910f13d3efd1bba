//! `nightdraw hookup`: how to connect an instrument, and what that is worth.

use std::fmt::{Display, Write};

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
use tongue::{Message, fixed, say};

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
            say::cli::hookup_airbag(),
            say::cli::hookup_airbag_hint(),
        ));
    }
    let known: Vec<&str> = KEEPERS.iter().map(|one| one.id).collect();
    Keeper::find(id).map(Some).ok_or_else(|| {
        Failure::input(
            "keeper",
            say::cli::hookup_keeper(id),
            say::cli::hookup_keeper_hint(known.join(", ")),
        )
    })
}

fn refuse(arguments: &HookupArguments, why: NoEstimate) -> Failure {
    match (why, arguments.how) {
        (NoEstimate::NoResistance, How::Shunt) => Failure::usage(
            say::cli::hookup_no_shunt(),
            say::cli::hookup_no_shunt_hint(),
        ),
        (NoEstimate::NoResistance, _) => Failure::usage(
            say::cli::hookup_no_rating(),
            say::cli::hookup_no_rating_hint(),
        ),
        (NoEstimate::Unsuited, how) => Failure::usage(
            say::cli::hookup_unsuited(how.as_str()),
            say::cli::hookup_unsuited_hint(),
        ),
    }
}

fn page(answer: &HookUpAnswer) -> String {
    let mut text = String::new();
    figures(&mut text, answer);
    let _ = writeln!(text, "\n{}", say::cli::hookup_steps());
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
    let _ = writeln!(
        text,
        "\n{}",
        say::cli::hookup_settings(&answer.settings.why)
    );
    if let Some((keeper, hold)) = &answer.keeper {
        let _ = writeln!(text, "{}", keeps(keeper, hold, answer.wake_a));
    }
    text
}

fn figures(text: &mut String, answer: &HookUpAnswer) {
    let estimate = &answer.estimate;
    row(
        text,
        say::cli::hookup_reading(),
        words::plus_minus::<Ampere>(estimate.reading),
    );
    for part in &estimate.parts {
        let width = say::cli::hookup_within(rough::<Ampere>(part.half_width_a));
        // Writing to a string cannot fail.
        let _ = writeln!(text, "  {width:<17} {}", part.what);
    }
    if let Some(floor_a) = estimate.floor_a {
        row(text, say::cli::hookup_sees(), rough::<Ampere>(floor_a));
    }
    if let Some(range_a) = estimate.range_a.filter(|r| *r < estimate.reading.value) {
        row(
            text,
            say::cli::hookup_too_small(),
            say::cli::hookup_shows_up_to(rough::<Ampere>(range_a)),
        );
    }
    in_series(text, answer.hook_up.how, estimate, answer.wake_a);
    for (name, fuse) in [
        (say::cli::hookup_meter_fuse(), &estimate.fuse),
        (say::cli::hookup_bypass_fuse(), &estimate.bypass_fuse),
    ] {
        if let Some(fuse) = fuse {
            row(text, name, fuse_words(fuse, answer.wake_a));
        }
    }
    if estimate.in_series.is_none() {
        row(
            text,
            say::cli::hookup_supply(),
            say::cli::hookup_untouched(),
        );
    }
}

/// A label in its column, and what it says.
fn row(text: &mut String, label: Message, said: impl Display) {
    // Writing to a string cannot fail.
    let _ = writeln!(text, "{label:<15}{said}");
}

fn in_series(text: &mut String, how: How, estimate: &Estimate, wake_a: f64) {
    let Some(series) = estimate.in_series else {
        return;
    };
    row(
        text,
        say::cli::hookup_burden(),
        say::cli::hookup_burden_is(
            Ampere(wake_a),
            rough::<Volt>(series.burden_v.value),
            rough::<Volt>(series.wake_burden_v.value),
        ),
    );
    let stolen = Uncertain::new(
        1.0 - series.shown_beside_bypass.value,
        series.shown_beside_bypass.u,
    );
    row(
        text,
        say::cli::hookup_bypass_left(),
        say::cli::hookup_steals(
            fixed((stolen.interval95().1 * 100.0).min(100.0), 0),
            fixed((stolen.interval95().0 * 100.0).max(0.0), 0),
            rough::<Ampere>(estimate.reading.value * series.shown_beside_bypass.value),
        ),
    );
    if how != How::InLine {
        return;
    }
    row(
        text,
        say::cli::hookup_check(),
        say::cli::hookup_on_post(
            rough::<Ampere>(estimate.reading.value * series.shown_clamp_on_post.value),
            fixed(series.shown_clamp_on_post.value * 100.0, 1),
        ),
    );
}

fn fuse_words(fuse: &FuseAnswer, wake_a: f64) -> Message {
    let rating = Ampere(fuse.rating_a);
    let wake = Ampere(wake_a);
    let surge = fuse
        .one_second_a
        .map(|ampere| say::cli::hookup_melts(rough::<Ampere>(ampere)));
    let (said, surge) = match fuse.at_wake {
        MeterFuse::Holds => (say::cli::hookup_holds(rating, wake), surge),
        MeterFuse::Blows {
            within_s: Some(seconds),
        } => (
            say::cli::hookup_blows_within(rating, Second(seconds), wake),
            surge,
        ),
        MeterFuse::Blows { within_s: None } => (say::cli::hookup_blows(rating, wake), None),
    };
    Message::joined([Some(said), surge].into_iter().flatten().collect(), "; ")
}

fn keeps(keeper: &Keeper, hold: &Hold, wake_a: f64) -> String {
    let first = if hold.hours > 0.0 {
        say::cli::hookup_keeps(&keeper.what, words::hours(hold.hours))
    } else {
        say::cli::hookup_keeps_not(rough::<Ampere>(hold.most_a), &keeper.what, Volt(KEEPS_V))
    };
    let under_wake = rough::<Volt>(hold.under_wake_v);
    let second = if hold.survives_waking() {
        say::cli::hookup_wake_leaves(under_wake, Ampere(wake_a))
    } else {
        say::cli::hookup_wake_loses(under_wake, Ampere(wake_a))
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
