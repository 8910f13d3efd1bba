//! A recording looked at closely: the picture, the ways to move in it, and what
//! lies between two cursors. Every press is a link, so that it works without script.

use std::sync::Arc;

use harness::NodeId;
use job::{EntryId, EntryKind, Job, Recording};
use maud::{Markup, PreEscaped, html};
use measure::quantity::{Ampere, AmpereHour};
use picture::{Mark, Style, TraceView, Zoom};
use tongue::{Message, say};
use trace::{AnalyseOptions, Analysis, Between};

use crate::{state::Known, words};

/// Closest look: so many sampling intervals across the picture.
const CLOSEST: f64 = 20.0;
/// Widths of the picture on desk and phone, CSS pixels.
const WIDE: f64 = 620.0;
const HAND: f64 = 340.0;

/// Which picture is asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Sheets {
    /// Both; the style sheet shows the one that fits.
    Both,
    /// For the phone.
    Hand,
    /// For the desk.
    Desk,
}

/// The part of a recording that is looked at, and the cursors in it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Look {
    /// The whole recording, seconds.
    pub(crate) end_s: f64,
    /// The stretch shown.
    pub(crate) from_s: f64,
    pub(crate) to_s: f64,
    /// Two moments, in order.
    pub(crate) cursors: Option<(f64, f64)>,
}

impl Look {
    /// The whole of a recording.
    pub(crate) fn all(recording: &Recording) -> Self {
        let trace = &recording.trace;
        let end_s = trace
            .len()
            .checked_sub(1)
            .map_or(0.0, |at| trace.time_s(at));
        Self {
            end_s,
            from_s: 0.0,
            to_s: end_s,
            cursors: None,
        }
    }

    /// The same recording, looked at from `from_s` to `to_s`, as far as there is any.
    pub(crate) fn within(mut self, from_s: f64, to_s: f64, interval_s: f64) -> Self {
        if !(from_s.is_finite() && to_s.is_finite()) {
            return self;
        }
        let least = (CLOSEST * interval_s).min(self.end_s);
        let width = (to_s - from_s).clamp(least, self.end_s.max(least));
        let middle = f64::midpoint(from_s, to_s);
        let from_s = (middle - width / 2.0).clamp(0.0, self.end_s - width);
        (self.from_s, self.to_s) = (from_s, from_s + width);
        self
    }

    /// The same with cursors at two moments, in either order.
    pub(crate) fn measuring(mut self, a: Option<f64>, b: Option<f64>) -> Self {
        let inside = |t: f64| t.is_finite().then(|| t.clamp(0.0, self.end_s));
        self.cursors = a
            .and_then(inside)
            .zip(b.and_then(inside))
            .map(|(a, b)| (a.min(b), a.max(b)));
        self
    }

    fn moved(self, share: f64) -> Self {
        let by = (self.to_s - self.from_s) * share;
        let by = by.clamp(-self.from_s, self.end_s - self.to_s);
        Self {
            from_s: self.from_s + by,
            to_s: self.to_s + by,
            ..self
        }
    }

    fn scaled(self, factor: f64, interval_s: f64) -> Self {
        // Around what is being measured, where it is in sight.
        let seen = |t: &f64| (self.from_s..=self.to_s).contains(t);
        let middle = match self.cursors {
            Some((a, b)) if seen(&a) && seen(&b) => f64::midpoint(a, b),
            _ => f64::midpoint(self.from_s, self.to_s),
        };
        let half = (self.to_s - self.from_s) * factor / 2.0;
        self.within(middle - half, middle + half, interval_s)
    }

    /// As an address's query.
    fn query(self) -> String {
        let mut query = format!("?from={}&to={}", short(self.from_s), short(self.to_s));
        if let Some((a, b)) = self.cursors {
            query.push_str(&format!("&a={}s&b={}s", short(a), short(b)));
        }
        query
    }
}

/// Milliseconds are as fine as any logger's clock.
fn short(seconds: f64) -> String {
    format!("{:.3}", seconds)
        .trim_end_matches('0')
        .trim_end_matches('.')
        .to_owned()
}

/// One recording of a job.
#[derive(Debug, Clone)]
pub(crate) struct Scope<'a> {
    pub(crate) job: i64,
    pub(crate) entry: EntryId,
    pub(crate) node: &'a NodeId,
    /// Without the clamp's zero, where it was taken out of all that is said of it.
    pub(crate) recording: Arc<Recording>,
    /// What the job says of it, where it is the recording that the job goes by; else what is to be asked of it.
    said: Result<Arc<Analysis>, AnalyseOptions>,
}

impl<'a> Scope<'a> {
    /// The recording that an entry brought in.
    pub(crate) fn of(known: &'a Known, entry: EntryId) -> Option<Self> {
        let job = &known.job;
        let EntryKind::Trace { node, .. } = &job.entries.get(entry.index())?.kind else {
            return None;
        };
        let (recording, zero) = job.recording_of(entry)?;
        let finding = known.assessment.trace.as_ref();
        let finding = finding.filter(|finding| finding.entry == entry);
        Some(Self {
            job: known.id,
            entry,
            node,
            recording,
            said: finding
                .map(|finding| finding.analysis.clone())
                .ok_or_else(|| AnalyseOptions {
                    limit_a: job.limit_in_force_a(),
                    zero,
                    ..AnalyseOptions::default()
                }),
        })
    }

    fn analysis(&self) -> Arc<Analysis> {
        match &self.said {
            Ok(analysis) => analysis.clone(),
            Err(options) => self.recording.analysis_with(options),
        }
    }

    /// Its page.
    pub(crate) fn address(&self) -> String {
        format!("/jobs/{}/trace/{}", self.job, self.entry)
    }

    fn picture(&self, marks: &[Mark], look: Look, width: f64, ids: &str) -> String {
        let style = Style {
            width,
            ..Style::wide()
        };
        let whole = look.from_s <= 0.0 && look.to_s >= look.end_s;
        let zoom = Zoom {
            view: (!whole).then_some(TraceView {
                from_s: look.from_s,
                to_s: look.to_s,
            }),
            cursors: look.cursors,
            pyramid: Some(self.recording.pyramid()),
        };
        picture::trace_closely(
            &self.recording.trace,
            Some(&self.analysis()),
            marks,
            zoom,
            &style.with_ids(ids),
        )
    }

    /// Picture, presses, cursors and what lies between them.
    pub(crate) fn markup(
        &self,
        job: &Job,
        look: Look,
        sheets: Sheets,
        wrong: Option<&str>,
    ) -> Markup {
        let marks = picture::marks(job, &self.recording.trace);
        let (left, right) = picture::trace_axis(WIDE);
        let (left_hand, right_hand) = picture::trace_axis(HAND);
        let sheet = |class: &str, width: f64, left: f64, right: f64, ids: &str| {
            html! {
                div class={ (class) " sheet" } data-left=(left / width) data-right=(right / width) {
                    // SVG comes from `picture`, which escapes every text it draws.
                    (PreEscaped(self.picture(&marks, look, width, ids)))
                }
            }
        };
        html! {
            div class="scope" tabindex="0" role="group"
                aria-label=(say::bench::scope_keys())
                data-scope=(self.address()) data-end=(short(look.end_s))
                data-least=(short(CLOSEST * self.recording.trace.source.interval_s))
                data-from=(short(look.from_s)) data-to=(short(look.to_s))
                data-a=[look.cursors.map(|(a, _)| short(a))] data-b=[look.cursors.map(|(_, b)| short(b))] {
                @if sheets != Sheets::Desk { (sheet("for-hand", HAND, left_hand, right_hand, "trace-n")) }
                @if sheets != Sheets::Hand { (sheet("for-desk", WIDE, left, right, "trace-w")) }
                fieldset class="scope-drag needs-script" {
                    legend class="hidden" { (say::bench::scope_dragging()) }
                    span aria-hidden="true" { (say::bench::scope_drag()) }
                    @for (value, label) in [("measure", say::bench::scope_measure()), ("move", say::bench::scope_move())] {
                        label class="tick" { input type="radio" name="drag" value=(value) checked[value == "measure"]; span { (label) } }
                    }
                }
                (self.presses(look))
                (self.between(look, wrong))
            }
        }
    }

    fn presses(&self, look: Look) -> Markup {
        let interval_s = self.recording.trace.source.interval_s;
        let all = Look {
            from_s: 0.0,
            to_s: look.end_s,
            ..look
        };
        let moves: [(Message, Message, Look); 5] = [
            ("◂".into(), say::bench::scope_earlier(), look.moved(-0.5)),
            ("▸".into(), say::bench::scope_later(), look.moved(0.5)),
            (
                "+".into(),
                say::bench::scope_closer(),
                look.scaled(0.5, interval_s),
            ),
            (
                "−".into(),
                say::bench::scope_wider(),
                look.scaled(2.0, interval_s),
            ),
            (say::bench::scope_all(), say::bench::scope_whole(), all),
        ];
        html! {
            nav class="presses scope-presses" aria-label=(say::bench::scope_moves()) {
                @for (sign, words, to) in moves {
                    a class="press" data-move aria-label=(words) title=(words) href={ (self.address()) (to.query()) } { (sign) }
                }
            }
        }
    }

    fn between(&self, look: Look, wrong: Option<&str>) -> Markup {
        let found = look
            .cursors
            .map(|(a, b)| trace::between(&self.recording.trace, &self.analysis().segments, a, b));
        html! {
            div class="between" role="status" {
                @match (wrong, found) {
                    (Some(message), _) => p class="wrong" { (message) },
                    (None, Some(Some(found))) => (figures(&found)),
                    (None, Some(None)) => p { (say::bench::scope_none()) },
                    (None, None) => p class="soft" { (say::bench::scope_how()) },
                }
            }
            details id="scope-cursors" {
                summary { (say::bench::scope_by_time()) }
                form class="two modest" method="get" action=(self.address()) {
                    input type="hidden" name="from" value=(short(look.from_s));
                    input type="hidden" name="to" value=(short(look.to_s));
                    @for (name, label, at) in [("a", say::bench::scope_a(), look.cursors.map(|c| c.0)), ("b", say::bench::scope_b(), look.cursors.map(|c| c.1))] {
                        div class="field" {
                            label for=(format!("cursor-{name}")) { (label) }
                            p class="hint" id=(format!("cursor-{name}-hint")) { (say::bench::scope_such_as()) }
                            input type="text" id=(format!("cursor-{name}")) name=(name) autocomplete="off"
                                aria-describedby=(format!("cursor-{name}-hint"))
                                value=(at.map_or(String::new(), |at| words::filled_in(&format!("{} s", short(at)))));
                        }
                    }
                    button type="submit" { (say::bench::scope_go()) }
                }
            }
        }
    }
}

/// What was measured, with its reasons.
fn figures(found: &Between) -> Markup {
    let amount = |a: f64| tongue::amount(Ampere(a).to_string());
    let signed = |step: measure::Uncertain| {
        let sign = if step.value < 0.0 { "\u{2212}" } else { "+" };
        format!(
            "{sign}{}",
            words::current(measure::Uncertain::new(step.value.abs(), step.u))
        )
    };
    html! {
        dl class="stand" {
            div { dt { (say::bench::scope_mean()) } dd class="big" { (words::current(found.level)) } }
            div { dt { (say::bench::scope_step()) } dd class="big" { (found.step.map_or_else(|| say::bench::scope_no_step().to_string(), signed)) } }
            div { dt { (say::bench::charge()) } dd class="big" { (picture::words::plus_minus::<AmpereHour>(found.charge_ah)) } }
            div { dt { (say::bench::scope_time()) } dd class="big" { (time(found.to_s - found.from_s)) } }
        }
        details id="between-why" {
            summary { (say::bench::says_who()) }
            ul {
                li { (say::bench::scope_samples(time(found.from_s), amount(found.high_a), amount(found.low_a), say::bench::samples(found.samples), time(found.to_s))) }
                li { (say::bench::scope_why_mean()) }
                li { (say::bench::scope_why_step()) }
                @if found.missing_s > 0.0 { li { (say::bench::scope_missing(time(found.missing_s))) } }
            }
        }
    }
}

fn time(seconds: f64) -> String {
    picture::words::duration(seconds)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn look() -> Look {
        Look {
            end_s: 1000.0,
            from_s: 0.0,
            to_s: 1000.0,
            cursors: None,
        }
    }

    #[test]
    fn a_look_never_leaves_the_recording() {
        for (from, to) in [
            (-500.0, 100.0),
            (950.0, 4000.0),
            (3.0, 3.0),
            (900.0, 100.0),
            (f64::NAN, 5.0),
        ] {
            let look = look().within(from, to, 1.0);
            assert!(
                look.from_s >= 0.0 && look.to_s <= 1000.0 && look.to_s - look.from_s >= 19.999,
                "{look:?}"
            );
            for other in [
                look.moved(-0.5),
                look.moved(0.5),
                look.scaled(0.5, 1.0),
                look.scaled(2.0, 1.0),
            ] {
                assert!(
                    other.from_s >= 0.0 && other.to_s <= 1000.0 + 1e-9 && other.from_s < other.to_s,
                    "{other:?}"
                );
            }
        }
        // Shorter than the closest look.
        let short = Look {
            end_s: 5.0,
            to_s: 5.0,
            ..look()
        }
        .within(1.0, 2.0, 1.0);
        assert_eq!((short.from_s, short.to_s), (0.0, 5.0));
    }

    #[test]
    fn closer_goes_to_what_is_measured() {
        let look = look().measuring(Some(900.0), Some(800.0));
        assert_eq!(look.cursors, Some((800.0, 900.0)));
        let closer = look.scaled(0.5, 1.0);
        assert_eq!((closer.from_s, closer.to_s), (500.0, 1000.0));
        assert_eq!(look.query(), "?from=0&to=1000&a=800s&b=900s");
        assert_eq!(look.measuring(Some(3.0), None).cursors, None);
    }
}
