//! `nightdraw read`: one log of current against time.

use std::{fmt::Write, fs};

use measure::{
    Uncertain,
    quantity::{Ampere, AmpereHour, Second},
};
use picture::{Style, words};
use trace::{
    AnalyseOptions, Analysis, Exceeds, Trace,
    readers::{Format, ReadOptions},
};

use crate::{
    cli::{LogFormat, ReadArguments},
    commands::read_log,
    failure::{Failure, file_failure},
    output::{print, print_json, remark},
    plot::plot,
};

pub(crate) fn run(arguments: &ReadArguments) -> Result<(), Failure> {
    let trace = window(
        read_log(&arguments.file, &read_options(arguments)?)?,
        arguments,
    )?;
    let options = analyse_options(arguments)?;
    if arguments.segments_only {
        return segments_only(&trace, &options, arguments.json);
    }
    let analysis = trace::analyse(&trace, &options);
    if let Some(path) = &arguments.svg {
        let name = path.display().to_string();
        let svg = picture::trace(&trace, Some(&analysis), &[], None, &Style::wide().alone());
        fs::write(path, svg).map_err(|error| file_failure("write", &name, &error))?;
        remark(&format!("nightdraw: picture written to {name}"));
    }
    if arguments.json {
        print_json(&job::contract::analysis(&analysis))
    } else {
        print(&page(&trace, &analysis))
    }
}

fn read_options(arguments: &ReadArguments) -> Result<ReadOptions, Failure> {
    Ok(ReadOptions {
        format: match arguments.format {
            LogFormat::Auto => Format::Auto,
            LogFormat::F32le => Format::F32Le,
        },
        ..arguments.columns.options()?
    })
}

fn analyse_options(arguments: &ReadArguments) -> Result<AnalyseOptions, Failure> {
    let limit_a = arguments.limit.ampere()?;
    if arguments
        .penalty
        .is_some_and(|penalty| !(penalty.is_finite() && penalty >= 0.0))
    {
        return Err(Failure::usage(
            "the penalty must be a number, zero or more",
            "",
        ));
    }
    Ok(AnalyseOptions {
        limit_a,
        penalty: arguments.penalty,
        plain: arguments.plain,
    })
}

fn window(trace: Trace, arguments: &ReadArguments) -> Result<Trace, Failure> {
    if arguments.from.is_none() && arguments.to.is_none() {
        return Ok(trace);
    }
    trace
        .window(arguments.from.as_deref(), arguments.to.as_deref())
        .map_err(|error| Failure::input(error.kind(), error.message(), error.hint()))
}

fn segments_only(trace: &Trace, options: &AnalyseOptions, json: bool) -> Result<(), Failure> {
    let levels = trace::segment_only(trace, options);
    if json {
        return print_json(&job::contract::levels(&levels));
    }
    let mut text = String::new();
    for segment in &levels.segments {
        let _ = writeln!(
            text,
            "{:>12} to {:>12}  {}",
            Second(segment.start_s).to_string(),
            Second(segment.end_s).to_string(),
            words::plus_minus::<Ampere>(segment.level)
        );
    }
    print(&text)
}

/// Verdict first, then the picture, then the figures.
pub(crate) fn page(trace: &Trace, analysis: &Analysis) -> String {
    let mut text = String::new();
    // Writing to a string cannot fail.
    let _ = writeln!(text, "{}\n", verdict(analysis));
    if let Some(plot) = plot(trace) {
        let _ = writeln!(text, "{plot}");
    }
    let current = |value: Uncertain| words::plus_minus::<Ampere>(value);
    let mut line = |name: &str, value: String| {
        let _ = writeln!(text, "{name:<16}{value}");
    };
    match (&analysis.settled, &analysis.not_settled) {
        (Some(settled), _) => line(
            "settled draw",
            format!(
                "{} since {}",
                current(settled.draw),
                Second(settled.since_s)
            ),
        ),
        (None, Some(not_settled)) => {
            let when = not_settled.expected_at_s.map_or(String::new(), |at_s| {
                format!(" (expected at {})", Second(at_s))
            });
            line("not settled", format!("{}{when}", not_settled.reason));
        }
        (None, None) => {}
    }
    if analysis.wake_ups.count > 0 {
        line("wake-ups", wake_ups(analysis));
    }
    if let Some(long_run) = analysis.long_run {
        line(
            "long-run",
            format!("{}, wake-ups included", current(long_run)),
        );
    }
    line(
        "average",
        format!(
            "{} over {}",
            current(analysis.average),
            Second(analysis.duration_s)
        ),
    );
    line("charge", AmpereHour(analysis.charge_ah.value).to_string());
    line(
        "levels",
        format!(
            "{}, noise {}, {} samples",
            analysis.segments.len(),
            Ampere(analysis.noise_a),
            trace.len()
        ),
    );
    text
}

fn verdict(analysis: &Analysis) -> String {
    let word = match analysis.verdict.exceeds {
        Exceeds::Yes => "TOO MUCH",
        Exceeds::No => "IN ORDER",
        Exceeds::Unsure => "NOT SURE",
    };
    format!("{word}: {}", analysis.verdict.because)
}

fn wake_ups(analysis: &Analysis) -> String {
    let wake_ups = &analysis.wake_ups;
    let mut text = wake_ups.count.to_string();
    if let Some(period) = wake_ups.period_s {
        let _ = write!(text, ", one each {}", Second(period.value));
    }
    if let Some(duration_s) = wake_ups.mean_duration_s {
        let _ = write!(text, ", {} long", Second(duration_s));
    }
    let _ = write!(
        text,
        ", {} extra in all",
        AmpereHour(wake_ups.extra_charge_ah)
    );
    text
}
