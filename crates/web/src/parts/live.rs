//! What is coming in just now: digits that can be read from across the bench,
//! what the vehicle is doing, the last minutes, marks.

use harness::NodeKind;
use jiff::Timestamp;
use job::{EntryKind, Job};
use live::{SPARK_COLUMNS, SPARK_S, Stepped, Tip};
use maud::{Markup, html};
use measure::quantity::Ampere;
use tongue::{Lang, say};

use crate::{form::fresh_key, receiving::Stream, state::Known, virtual_van, words};

/// A step this long before or after a mark is what was marked: a hand may be late, and a fuse comes out before the
/// engine is sure of the step. From memory.
const BEFORE_S: f64 = 20.0;
const AFTER_S: f64 = 60.0;

/// The panel; nothing where nothing comes in and nothing could be started.
pub(crate) fn panel(known: &Known, stream: Option<&Stream>) -> Markup {
    let van = virtual_van::is_behind(&known.job);
    html! {
        section class="block live" id="live" aria-labelledby="live-title" data-live=(known.id) {
            h2 id="live-title" { (match stream { Some(stream) if !stream.cut_off => say::bench::coming_in(), Some(_) => say::bench::came_in(), None => say::bench::watch_live() }) }
            @match stream {
                Some(stream) if stream.cut_off => (cut_off(known.id, stream)),
                Some(stream) => {
                    div id="live-now" { (now(&stream.tip)) }
                    div id="live-steps" { (steps(known, &stream.tip)) }
                    (marks(known))
                    fieldset class="needs-script live-tell" {
                        legend class="hidden" { (say::bench::when_step()) }
                        label class="tick" { input type="checkbox" name="sound"; span { (say::bench::sound()) } }
                        label class="tick" { input type="checkbox" name="flash"; span { (say::bench::flash()) } }
                    }
                }
                None => {
                    details id="live-how" {
                        summary { (say::bench::watch()) }
                        p { (say::bench::pipe()) }
                        p { code { "LOGGER | nightdraw listen - --job " (known.id) } }
                        p class="small soft" { (say::bench::pipe_what()) }
                    }
                    @if van {
                        form method="post" action=(format!("/jobs/{}/live/van", known.id)) {
                            button type="submit" class="van-press" { (say::bench::van_stream()) }
                            p class="hint" { (say::bench::van_stream_what()) }
                        }
                    }
                }
            }
        }
    }
}

fn cut_off(id: i64, stream: &Stream) -> Markup {
    html! {
        div class="told care" {
            p { strong { (say::bench::cut_off()) } " " (say::bench::cut_off_what(words::moment(stream.session.started), say::bench::samples(samples(&stream.tip)), words::moment(stream.session.seen))) }
        }
        form method="post" action=(format!("/jobs/{id}/live/keep")) {
            button type="submit" class="main-press" { (say::bench::make_entry()) }
        }
    }
}

/// What changes with every sample.
pub(crate) fn now(tip: &Tip) -> Markup {
    let state = match tip.exceeds {
        Some(true) => "alarm",
        Some(false) => "calm",
        None => "",
    };
    html! {
        @let shown = tip.last_a.map_or("–".into(), |last_a| words::written(Ampere(last_a)));
        @let (number, unit) = shown.split_once([' ', '\u{a0}']).unwrap_or((shown.as_str(), ""));
        p class={ "digits" @if number.chars().count() > 4 { " many" } } data-steps=(tip.steps) { (number) " " small { (unit) } }
        @if tip.stalled { p class="wrong" { (say::bench::nothing_comes()) } }
        @if tip.samples == 0 && !tip.stalled { p { (say::bench::nothing_came_yet()) } }
        @else { p class={ "verdict told " (state) } { strong { (crate::form::sentence(&tip.state.to_string())) } } }
        @if let Some(level) = &tip.level { p { (say::bench::level_now(level)) } }
        @if tip.samples > 0 { (spark(tip)) }
        @if !tip.said.is_empty() {
            details id="live-said" {
                summary { (say::bench::what_happened()) }
                ul { @for said in tip.said.iter().rev() { li class="num" { (said) } } }
            }
        }
        p class="small soft" {
            (say::bench::samples(samples(tip)))
            @if tip.garbled > 0 { ", " (say::bench::lines_left_out(tip.garbled)) }
            ", " (say::bench::so_far(picture::words::duration(tip.time_s)))
        }
    }
}

/// The same of a stream that was cut off while the page was open.
pub(crate) fn gone(tip: &Tip) -> Markup {
    html! {
        p class="wrong" { (say::bench::gone()) }
        (now(tip))
    }
}

/// The last ten minutes, least to greatest, on a scale that shows 20 mA beside 8 A.
fn spark(tip: &Tip) -> Markup {
    const W: f64 = 600.0;
    const H: f64 = 90.0;
    let columns = || tip.spark.iter().flatten();
    let high = columns().map(|(_, high)| *high).fold(0.001, f64::max);
    let low = columns().map(|(low, _)| low.max(0.0)).fold(high, f64::min);
    // From memory: an inverse hyperbolic sine is straight below its knee and logarithmic above.
    let knee = (low / 2.0).max(0.001);
    let y = |a: f64| {
        H - 2.0 - (H - 6.0) * (a.max(0.0) / knee).asinh() / (high / knee).asinh().max(1e-9)
    };
    let step = W / SPARK_COLUMNS as f64;
    let start = SPARK_COLUMNS.saturating_sub(tip.spark.len());
    let mut d = String::new();
    for (at, column) in (start..).zip(&tip.spark) {
        if let Some((low, high)) = column {
            let (top, bottom) = (y(*high), y(*low));
            let x = at as f64 * step;
            d.push_str(&format!(
                "M{x:.0} {top:.1}h{step:.0}V{:.1}h-{step:.0}z",
                bottom.max(top + 1.5)
            ));
        }
    }
    let minutes = SPARK_COLUMNS as f64 * SPARK_S / 60.0;
    let amount = |a: f64| tongue::amount(Ampere(a).to_string());
    let said = say::bench::last_minutes(amount(high), amount(low), format!("{minutes:.0}"));
    html! {
        svg class="spark" viewBox=(format!("0 0 {W:.0} {H:.0}")) preserveAspectRatio="none" role="img" aria-label=(said) { path d=(d) {} }
        p class="small soft" { (said) "." }
    }
}

/// Steps beside the marks that explain them, ready to be entered.
pub(crate) fn steps(known: &Known, tip: &Tip) -> Markup {
    html! {
        @if let Some(step) = tip.stepped.last() {
            @let sign = if step.change.value < 0.0 { "\u{2212}" } else { "+" };
            @let size = words::current(measure::Uncertain::new(step.change.value.abs(), step.change.u));
            @let mark = marked(&known.job, step);
            div class="told step-told" {
                p {
                    strong { (say::bench::step_of(format!("{sign}{size}"))) } " "
                    @match &mark {
                        Some((text, _)) => (say::bench::step_marked(clock(step.at_unix_s), text)),
                        None => (say::bench::step_at(clock(step.at_unix_s))),
                    }
                }
                @if let Some((_, Some(node))) = &mark { @if step.change.value < 0.0 && !entered(&known.job, node, step) {
                    form method="post" action=(format!("/jobs/{}/entries", known.id)) data-keep=(format!("/jobs/{}", known.id)) {
                        input type="hidden" name="kind" value="pull";
                        input type="hidden" name="nodes" value=(node);
                        input type="hidden" name="before" value=(Ampere(step.before.value).to_string());
                        input type="hidden" name="after" value=(Ampere(step.after.value).to_string());
                        // One step is one entry, on whichever screen it is pressed.
                        input type="hidden" name="key" value=(format!("step-{}-{:.0}", known.id, step.at_unix_s));
                        button type="submit" { (say::bench::enter_pulled(node)) }
                    }
                } }
            }
        }
    }
}

/// The mark that explains a step: its words, and the circuit it names.
fn marked(job: &Job, step: &Stepped) -> Option<(String, Option<String>)> {
    let near = |at: Timestamp| {
        let after_s = step.at_unix_s - at.as_duration().as_secs_f64();
        (-BEFORE_S..=AFTER_S).contains(&after_s)
    };
    job.standing()
        .filter_map(|(_, entry)| match &entry.kind {
            EntryKind::Note { text } if near(entry.at) => Some(text),
            _ => None,
        })
        .last()
        .map(|text| {
            let mut nodes = job.nodes.iter().map(|node| &node.id.0);
            let node = nodes.find(|node| is_out(text, node));
            (text.clone(), node.cloned())
        })
}

/// Whether the pull has been entered since.
fn entered(job: &Job, node: &str, step: &Stepped) -> bool {
    job.standing().any(|(_, entry)| match &entry.kind {
        EntryKind::Pull { nodes, .. } => {
            nodes.iter().any(|pulled| pulled.0 == node)
                && entry.at.as_duration().as_secs_f64() >= step.at_unix_s
        }
        _ => false,
    })
}

/// Whether a mark says, in any language, that this fuse is out: who marks and
/// who looks need not speak the same.
fn is_out(text: &str, node: &str) -> bool {
    let said = |lang| tongue::speak(lang, || say::bench::out(node).to_string());
    Lang::ALL.iter().any(|(lang, _)| said(*lang) == text)
}

/// How many samples came.
fn samples(tip: &Tip) -> i64 {
    i64::try_from(tip.samples).unwrap_or(i64::MAX)
}

fn clock(unix_s: f64) -> String {
    // Milliseconds of any clock of this age fit.
    Timestamp::from_millisecond((unix_s * 1e3).round() as i64)
        .map_or_else(|_| String::new(), words::time_of_day)
}

/// One tap for what is likely to be pulled, and a choice of the rest.
fn marks(known: &Known) -> Markup {
    let next = known
        .assessment
        .next
        .iter()
        .chain(&known.assessment.alternatives);
    let mut likely: Vec<&str> = Vec::new();
    for node in next.filter_map(|each| each.node.as_ref()) {
        let fuse = known
            .job
            .nodes
            .iter()
            .any(|each| each.id == *node && each.kind == NodeKind::Fuse);
        if fuse && !likely.contains(&node.0.as_str()) && likely.len() < 3 {
            likely.push(&node.0);
        }
    }
    let fuses = || {
        known
            .job
            .nodes
            .iter()
            .filter(|node| node.kind == NodeKind::Fuse)
    };
    let action = format!("/jobs/{}/entries", known.id);
    let keep = format!("/jobs/{}", known.id);
    html! {
        div class="presses marks" {
            @for node in likely {
                form method="post" action=(action) data-keep=(keep) {
                    input type="hidden" name="kind" value="note";
                    input type="hidden" name="key" value=(fresh_key());
                    input type="hidden" name="text" value=(say::bench::out(node));
                    button type="submit" { (say::bench::is_out(node)) }
                }
            }
            form method="post" action=(action) data-keep=(keep) class="mark" {
                input type="hidden" name="kind" value="note";
                input type="hidden" name="key" value=(fresh_key());
                label for="mark-what" { (say::bench::mark()) }
                select id="mark-what" name="text" {
                    option value=(say::bench::marked()) { (say::bench::this_moment()) }
                    @for fuse in fuses() { option value=(say::bench::out(&fuse.id.0)) { (say::bench::out(&fuse.id.0)) } }
                }
                button type="submit" data-key="m" { (say::bench::mark_it()) span class="needs-script" aria-hidden="true" { " " (say::bench::key_m()) } }
            }
        }
    }
}
