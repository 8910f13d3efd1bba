//! `nightdraw read`: one log of current against time.

use std::{fmt::Write, fs};

use measure::{
    How, InstrumentKind, Uncertain,
    instrument::CLASSES,
    quantity::{Ampere, AmpereHour, Second},
    spec,
};
use picture::{Style, words};
use tongue::{Arg, Message, figure, say};
use trace::{
    Act, AnalyseOptions, Analysis, Exceeds, Meter, Trace, Way, Zero, ZeroError,
    readers::{Edge, Format, ReadOptions},
};

use crate::{
    cli::{LogFormat, LogHow, ReadArguments},
    commands::{read_column, read_failure, read_log, writable},
    failure::{Deed, Failure, file_failure},
    output::{print, print_json, remark},
    plot::plot,
};

pub(crate) fn run(arguments: &ReadArguments) -> Result<(), Failure> {
    check(arguments)?;
    let (whole, zero) = zeroed(arguments)?;
    let trace = window(whole, arguments)?;
    let options = AnalyseOptions {
        acts: acts(&trace, arguments)?,
        meter: meter(arguments, zero.as_ref())?,
        zero,
        ..analyse_options(arguments)?
    };
    if arguments.segments_only {
        return segments_only(&trace, &options, arguments.json);
    }
    let analysis = trace::analyse(&trace, &options);
    if let Some(path) = &arguments.svg {
        let name = path.display().to_string();
        let svg = picture::trace(&trace, Some(&analysis), &[], None, &Style::wide().alone());
        fs::write(path, svg).map_err(|error| file_failure(Deed::Write, &*name, &error))?;
        remark(format!("nightdraw: {}", say::cli::picture_written(name)));
    }
    if arguments.json {
        print_json(&job::contract::analysis(&analysis))
    } else {
        print(&page(&trace, &analysis))
    }
}

/// Refuses what can be told to be wrong before the log is read, which may take long.
fn check<'a>(arguments: &'a ReadArguments) -> Result<(), Failure> {
    read_options(arguments)?;
    analyse_options(arguments)?;
    meter(arguments, None)?;
    columns(arguments)?;
    for text in &arguments.meter.zero {
        let (from, to) = interval(text)?;
        in_order((from, edge("zero", from)?), (to, edge("zero", to)?))?;
    }
    for (option, texts) in [
        ("pulled", &arguments.pulled),
        ("put-back", &arguments.put_back),
    ] {
        for text in texts {
            edge(option, act(text).0)?;
        }
    }
    let end = |option: &'static str, text: &'a Option<String>| {
        let text = text.as_deref();
        text.map(|text| Ok((text, edge(option, text)?))).transpose()
    };
    let (from, to) = (end("from", &arguments.from)?, end("to", &arguments.to)?);
    if let Some((from, to)) = from.zip(to) {
        in_order(from, to)?;
    }
    if arguments.meter.reference.is_some() && arguments.file == "-" {
        return Err(Failure::usage(
            say::cli::reference_twice(),
            say::cli::name_a_file(),
        ));
    }
    arguments.svg.as_deref().map_or(Ok(()), writable)
}

/// Refuses one column as two things.
fn columns(arguments: &ReadArguments) -> Result<(), Failure> {
    let asked = [
        ("--time", &arguments.columns.time),
        ("--current", &arguments.columns.current),
        ("--voltage", &arguments.columns.voltage),
        ("--reference", &arguments.meter.reference),
    ];
    for (index, (option, column)) in asked.iter().enumerate() {
        let same = |(_, other): &&(&str, &Option<String>)| other == column;
        if let Some(column) = column
            && let Some((other, _)) = asked[..index].iter().find(same)
        {
            return Err(Failure::usage(
                say::cli::same_column(column, *option, *other),
                say::cli::same_column_hint(),
            ));
        }
    }
    Ok(())
}

/// A time as an option states it.
fn edge(option: &'static str, text: &str) -> Result<Edge, Failure> {
    Edge::parse(option, text).map_err(|error| read_failure(&error))
}

/// Refuses an end before its start, where that shows without the log: a time of day may be of the next day.
fn in_order((from_text, from): (&str, Edge), (to_text, to): (&str, Edge)) -> Result<(), Failure> {
    let backwards = match (from, to) {
        (Edge::Offset(from_s), Edge::Offset(to_s)) => to_s < from_s,
        (Edge::Instant(from_s, from_utc), Edge::Instant(to_s, to_utc)) => {
            from_utc == to_utc && to_s < from_s
        }
        _ => false,
    };
    if backwards {
        return Err(Failure::usage(
            say::cli::comes_before(from_text, to_text),
            say::cli::comes_before_hint(),
        ));
    }
    Ok(())
}

/// `FROM..TO` in its parts.
fn interval(text: &str) -> Result<(&str, &str), Failure> {
    text.split_once("..")
        .ok_or_else(|| Failure::usage(say::cli::no_interval(text), say::cli::no_interval_hint()))
}

/// Time and name of `21:14 F12`.
fn act(text: &str) -> (&str, &str) {
    text.trim().split_once(' ').unwrap_or((text, ""))
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
        return Err(Failure::usage(say::cli::penalty(), ""));
    }
    Ok(AnalyseOptions {
        limit_a,
        penalty: arguments.penalty,
        plain: arguments.plain,
        ..AnalyseOptions::default()
    })
}

/// The meter as stated.
fn meter(arguments: &ReadArguments, zero: Option<&Zero>) -> Result<Option<Meter>, Failure> {
    let Some(text) = &arguments.meter.instrument else {
        return Ok(None);
    };
    let class = CLASSES.iter().find(|class| class.id == text.trim());
    let kind = match (arguments.meter.how, class) {
        (Some(LogHow::Clamp), _) => InstrumentKind::Clamp,
        (Some(LogHow::InLine), _) => InstrumentKind::InLine,
        (None, Some(class)) => class.kind,
        (None, None) => {
            return Err(Failure::usage(
                say::cli::clamp_or_not(text),
                say::cli::clamp_or_not_hint(),
            ));
        }
    };
    let how = match kind {
        InstrumentKind::Clamp => How::Clamp,
        InstrumentKind::InLine => How::InLine,
        _ => {
            return Err(Failure::usage(
                say::cli::logs_no_ampere(text),
                say::cli::logs_no_ampere_hint(),
            ));
        }
    };
    let instrument =
        spec::instrument(kind, text).map_err(|error| Failure::usage(error.message, error.hint))?;
    let zeroed = zero.is_some_and(|zero| zero.u_a.is_some());
    Ok(Some(Meter {
        zeroed,
        ..Meter::new(instrument, how)
    }))
}

/// Reads the log and takes the clamp's zero out of it, where it is known.
fn zeroed(arguments: &ReadArguments) -> Result<(Trace, Option<Zero>), Failure> {
    let options = read_options(arguments)?;
    let failed = |error: ZeroError| Failure::input("zero", error.message(), say::cli::zero_hint());
    if let Some(column) = &arguments.meter.reference {
        // First, so that a column that is not there is found at once.
        let second = ReadOptions {
            current: Some(column.clone()),
            ..options.clone()
        };
        let reference = read_column(&arguments.file, &second, "reference")?;
        let trace = read_log(&arguments.file, &options)?;
        let (trace, zero) = trace.without_zero_by(&reference).map_err(failed)?;
        return Ok((trace, Some(zero)));
    }
    let trace = read_log(&arguments.file, &options)?;
    if arguments.meter.zero.is_empty() {
        return Ok((trace, None));
    }
    let spans = arguments
        .meter
        .zero
        .iter()
        .map(|text| {
            let (from, to) = interval(text)?;
            let from_s = time_of(&trace, "zero", from, 0.0)?;
            Ok((from_s, time_of(&trace, "zero", to, from_s)?))
        })
        .collect::<Result<Vec<_>, Failure>>()?;
    let (trace, zero) = trace.without_zero(&spans).map_err(failed)?;
    Ok((trace, Some(zero)))
}

fn time_of(trace: &Trace, option: &'static str, text: &str, after_s: f64) -> Result<f64, Failure> {
    trace
        .moment(option, text, after_s)
        .map_err(|error| read_failure(&error))
}

/// What was done while the log ran.
fn acts(trace: &Trace, arguments: &ReadArguments) -> Result<Vec<Act>, Failure> {
    let pulled = arguments.pulled.iter().map(|text| (text, Way::Down));
    let put_back = arguments.put_back.iter().map(|text| (text, Way::Up));
    let last_s = trace
        .len()
        .checked_sub(1)
        .map_or(0.0, |at| trace.time_s(at));
    let acts = pulled
        .chain(put_back)
        .map(|(text, way)| {
            let (time, name) = act(text);
            let name = match name.trim() {
                "" => say::cli::a_fuse(),
                name => name.into(),
            };
            let (option, what) = match way {
                Way::Up => ("put-back", say::cli::act_put_back(name)),
                _ => ("pulled", say::cli::act_pulled(name)),
            };
            let at_s = time_of(trace, option, time, 0.0)?;
            if !(0.0..=last_s).contains(&at_s) {
                let typed = format!("--{option} {text}");
                let outside = say::cli::act_outside(Second(last_s), typed);
                remark(format!("nightdraw: {outside}"));
                return Ok(None);
            }
            Ok(Some(Act {
                at_s,
                way,
                what,
                entry: None,
            }))
        })
        .collect::<Result<Vec<_>, Failure>>()?;
    Ok(acts.into_iter().flatten().collect())
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
            "{}  {}",
            say::cli::from_to(column(segment.start_s), column(segment.end_s)),
            words::plus_minus::<Ampere>(segment.level)
        );
    }
    print(&text)
}

fn column(time_s: f64) -> Arg {
    figure(format!("{:>12}", Second(time_s)))
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
    let mut line = |name: Message, value: String| {
        let _ = writeln!(text, "{name:<16}{value}");
    };
    match (&analysis.settled, &analysis.not_settled) {
        (Some(settled), _) => line(
            say::cli::settled_draw(),
            say::cli::since(current(settled.draw), Second(settled.since_s)).to_string(),
        ),
        (None, Some(not_settled)) => {
            let why = &not_settled.reason;
            let said = match not_settled.expected_at_s {
                Some(at_s) => say::cli::expected_at(Second(at_s), why),
                None => why.clone(),
            };
            line(say::cli::not_settled(), said.to_string());
        }
        (None, None) => {}
    }
    if analysis.wake_ups.count > 0 {
        line(say::cli::wake_ups(), wake_ups(analysis).to_string());
    }
    if let Some(long_run) = analysis.long_run {
        line(
            say::cli::long_run_label(),
            say::cli::wake_ups_included(current(long_run)).to_string(),
        );
    }
    line(
        say::cli::average(),
        say::cli::over(current(analysis.average), Second(analysis.duration_s)).to_string(),
    );
    line(
        say::cli::charge(),
        tongue::number(&AmpereHour(analysis.charge_ah.value).to_string()),
    );
    line(
        say::cli::levels(),
        say::cli::levels_noise(
            analysis.segments.len().to_string(),
            Ampere(analysis.noise_a),
            trace.len().to_string(),
        )
        .to_string(),
    );
    for said in picture::finding::told(analysis) {
        let _ = writeln!(text, "{:<16}{said}", "");
    }
    text
}

fn verdict(analysis: &Analysis) -> String {
    let because = &analysis.verdict.because;
    match analysis.verdict.exceeds {
        Exceeds::Yes => say::cli::too_much(because),
        Exceeds::No => say::cli::in_order(because),
        Exceeds::Unsure => say::cli::not_sure(because),
    }
    .to_string()
}

fn wake_ups(analysis: &Analysis) -> Message {
    let wake_ups = &analysis.wake_ups;
    let period = wake_ups.period_s;
    let parts = [
        Some(Message::plain(wake_ups.count.to_string())),
        period.map(|period| say::cli::one_each(Second(period.value))),
        wake_ups
            .mean_duration_s
            .map(|duration_s| say::cli::each_long(Second(duration_s))),
        Some(say::cli::extra_in_all(AmpereHour(wake_ups.extra_charge_ah))),
    ];
    Message::joined(parts.into_iter().flatten().collect(), ", ")
}
