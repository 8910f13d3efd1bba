//! Lasting changes of the draw, matched to what was done: a fuse pulled at 21:14.
//!
//! An opened door and a pulled fuse wake modules for a while. The step is what is left when that is over:
//!
//! 1. The change must begin within two minutes of the time entered ([`NEAR_S`]); people write minutes and press late.
//! 2. The level **before** is the last one before it that lasts a minute ([`LASTING_S`]).
//! 3. The level **after** is the last one that lasts a minute, begins within a quarter of an hour ([`REST_S`]) and
//!    before the next act, and goes the way the act can only go: a pulled fuse lets the total fall or stay, one put back lets it rise or
//!    stay. Whatever lies between is the waking, and is counted neither in the step nor among the returns from sleep.
//! 4. Where nothing changed within two minutes of a pull, and nothing lasting within a quarter of an hour either, the step is the
//!    difference of the level on both sides of the time: nothing, to within its uncertainty, which is worth knowing too.
//!
//! The times are from memory, but for the quarter of an hour: common practice.

use measure::Uncertain;
use tongue::Message;

use crate::analysis::{Analysis, Segment, State};
use crate::meter::Meter;
use crate::noise::Noise;
use crate::{Trace, batches};

/// How far a change may begin from the time entered.
const NEAR_S: f64 = 120.0;
/// Shortest level that counts as lasting, on either side: an opened door keeps modules
/// awake for a minute or two, and those levels are not what was pulled.
const LASTING_S: f64 = 60.0;
/// Longest time from the act to rest.
const REST_S: f64 = 900.0;

/// Which way an act can change the draw.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Way {
    /// A fuse pulled, a plug taken off: it falls or stays.
    Down,
    /// A fuse put back: it rises or stays.
    Up,
    /// Anything else, such as a door closed.
    Any,
}

/// Something done while the record ran.
#[derive(Debug, Clone, PartialEq)]
pub struct Act {
    /// When, in seconds as in the segments.
    pub at_s: f64,
    /// Which way it can change the draw.
    pub way: Way,
    /// In a few words: "F12 pulled".
    pub what: Message,
    /// Number of the entry that says so.
    pub entry: Option<usize>,
}

/// A lasting change of the draw.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// When the old level ended.
    pub from_s: f64,
    /// When the new level began, after any waking that the act itself caused.
    pub at_s: f64,
    /// The level before it, ampere.
    pub before: Uncertain,
    /// The level after it, ampere.
    pub after: Uncertain,
    /// New level minus old, ampere; negative when something was switched off. A zero that creeps is taken out.
    pub size: Uncertain,
    /// What was done there, where that is known.
    pub act: Option<Act>,
}

/// The lasting change of the level of `trace`, which `analysis` is about, around `time_s` (seconds as in the segments), or `None` if the level
/// before or after does not last, or nothing changed within `tolerance_s`.
///
/// The level before is the last lasting one that begins before the first change within the tolerance; the level after
/// is the one on which the current has come to rest by the end of the tolerance: the last lasting one that begins
/// within it. Where these last, a zero that creeps along them is taken out. Returns from sleep in between, which opened doors and pulled fuses cause, are so no part of the step;
/// take a tolerance as long as they last.
pub fn step_at(trace: &Trace, analysis: &Analysis, time_s: f64, tolerance_s: f64) -> Option<Step> {
    let noise = Noise::of(&trace.current_a);
    let seen = Seen::of(trace, &analysis.segments, &noise, None);
    let window = Window {
        near: (time_s - tolerance_s, time_s + tolerance_s),
        until_s: time_s + tolerance_s,
        way: Way::Any,
    };
    seen.step(&window)
}

/// The steps of `acts`, in order of time; acts that left none, or one that cannot be told, are missing.
pub(crate) fn matched(
    trace: &Trace,
    segments: &[Segment],
    noise: &Noise,
    acts: &[Act],
    meter: Option<&Meter>,
) -> Vec<Step> {
    let seen = Seen::of(trace, segments, noise, meter);
    let mut acts: Vec<&Act> = acts.iter().filter(|act| act.at_s.is_finite()).collect();
    acts.sort_by(|a, b| a.at_s.total_cmp(&b.at_s));
    let mut steps: Vec<Step> = Vec::new();
    for (index, act) in acts.iter().enumerate() {
        let next_s = acts
            .get(index + 1)
            .map_or(f64::INFINITY, |next| next.at_s.max(act.at_s + NEAR_S));
        // What an earlier act has claimed is not this one's.
        let free_s = steps.last().map_or(f64::NEG_INFINITY, |step| step.at_s);
        let window = Window {
            near: ((act.at_s - NEAR_S).max(free_s + 1e-9), act.at_s + NEAR_S),
            until_s: (act.at_s + REST_S).min(next_s - 1e-9),
            way: act.way,
        };
        let step = seen.step(&window).or_else(|| seen.none(act));
        if let Some(mut step) = step {
            step.act = Some((*act).clone());
            steps.push(step);
        }
    }
    steps
}

/// Lasting changes without an act that says why, leaving out returns from sleep and what `known` explains.
pub(crate) fn others(
    trace: &Trace,
    segments: &[Segment],
    noise: &Noise,
    known: &[Step],
    meter: Option<&Meter>,
) -> Vec<Step> {
    let seen = Seen::of(trace, segments, noise, meter);
    let lasting: Vec<&Segment> = segments
        .iter()
        .filter(|s| lasts(s) && s.state != State::WakeUp)
        .collect();
    lasting
        .windows(2)
        .filter(|pair| {
            // Sleep on both sides of a waking is no step unless the levels differ beyond doubt.
            let apart = pair[1].level.minus(pair[0].level);
            apart.value.abs() > 3.0 * apart.u
        })
        .filter(|pair| {
            let (from_s, at_s) = (pair[0].end_s, pair[1].start_s);
            !known
                .iter()
                .any(|step| step.from_s <= at_s && from_s <= step.at_s)
        })
        .map(|pair| seen.between(pair[0], pair[1]))
        .collect()
}

/// Where people had their hands in the record.
#[derive(Debug, Default)]
pub(crate) struct Hands {
    /// When the first pull or refit began to change the draw.
    pub(crate) first_s: Option<f64>,
    /// The waking that each caused, from the old level's end to the new one's start.
    pub(crate) spans: Vec<(f64, f64)>,
    /// Uncertainty of what was given back after the last one, ampere.
    pub(crate) u_a: f64,
}

/// A record as it would have gone on with nothing pulled.
pub(crate) struct Whole {
    pub(crate) trace: Trace,
    pub(crate) segments: Vec<Segment>,
    pub(crate) hands: Hands,
}

/// The record without what pulls and refits changed; `None` where there were none.
pub(crate) fn undone(trace: &Trace, segments: &[Segment], steps: &[Step]) -> Option<Whole> {
    let by_hand: Vec<&Step> = steps
        .iter()
        .filter(|step| step.act.as_ref().is_some_and(|act| act.way != Way::Any))
        // Nothing changed: nothing to give back.
        .filter(|step| step.at_s > step.from_s || step.size.value.abs() > 3.0 * step.size.u)
        .collect();
    let first_s = by_hand.first()?.from_s;
    let given = |time_s: f64| -> f64 {
        let before = by_hand.iter().take_while(|step| step.from_s <= time_s);
        -before.map(|step| step.size.value).sum::<f64>()
    };
    let waking = |time_s: f64| {
        by_hand
            .iter()
            .any(|step| (step.from_s..step.at_s).contains(&time_s))
    };
    let mut whole = trace.clone();
    let begins = trace.first_from(first_s, false);
    for (index, sample) in whole.current_a.iter_mut().enumerate().skip(begins) {
        let time_s = trace.time_s(index);
        *sample = if waking(time_s) {
            f64::NAN
        } else {
            *sample + given(time_s)
        };
    }
    let segments = segments
        .iter()
        .map(|segment| Segment {
            level: Uncertain::new(
                segment.level.value + given(segment.start_s),
                segment.level.u,
            ),
            ..*segment
        })
        .collect();
    Some(Whole {
        trace: whole,
        segments,
        hands: Hands {
            first_s: Some(first_s),
            spans: by_hand.iter().map(|s| (s.from_s, s.at_s)).collect(),
            u_a: by_hand.iter().map(|s| s.size.u.powi(2)).sum::<f64>().sqrt(),
        },
    })
}

fn lasts(segment: &Segment) -> bool {
    segment.end_s - segment.start_s >= LASTING_S && segment.level.value.is_finite()
}

struct Window {
    /// Where the change begins.
    near: (f64, f64),
    /// Until when the new level must have begun.
    until_s: f64,
    way: Way,
}

struct Seen<'t> {
    trace: &'t Trace,
    segments: &'t [Segment],
    noise: &'t Noise,
    meter: Option<&'t Meter>,
}

impl<'t> Seen<'t> {
    fn of(
        trace: &'t Trace,
        segments: &'t [Segment],
        noise: &'t Noise,
        meter: Option<&'t Meter>,
    ) -> Self {
        Self {
            trace,
            segments,
            noise,
            meter,
        }
    }

    fn step(&self, window: &Window) -> Option<Step> {
        let (from_s, to_s) = window.near;
        let starts = |s: &Segment| (from_s..=to_s).contains(&s.start_s);
        let first = self.segments.iter().skip(1).position(starts)? + 1;
        let before = self.segments[..first].iter().rev().find(|s| lasts(s))?;
        let after = self.segments[first..]
            .iter()
            .take_while(|s| s.start_s <= window.until_s)
            .filter(|s| lasts(s) && goes(window.way, before.level, s.level))
            .last()?;
        Some(Step {
            from_s: self.segments[first].start_s,
            ..self.between(before, after)
        })
    }

    /// Rule 4: nothing changed.
    fn none(&self, act: &Act) -> Option<Step> {
        if act.way == Way::Any {
            return None;
        }
        let quiet = |s: &Segment| (s.start_s - act.at_s).abs() > REST_S;
        let here = self
            .segments
            .iter()
            .position(|s| (s.start_s..s.end_s).contains(&act.at_s))?;
        if self
            .segments
            .iter()
            .enumerate()
            .skip(1)
            .any(|(index, s)| (lasts(s) || index == here) && !quiet(s))
        {
            return None;
        }
        let segment = self.segments[here];
        let cut = self.trace.first_from(act.at_s, false);
        let part = |first, last| Segment {
            first,
            last,
            start_s: self.trace.time_s(first),
            end_s: self.trace.time_s(last),
            level: self.level(first, last, segment.level.value),
            state: State::Unknown,
        };
        if cut <= segment.first || cut > segment.last {
            return None;
        }
        let (before, after) = (part(segment.first, cut - 1), part(cut, segment.last));
        (lasts(&before) && lasts(&after)).then(|| self.between(&before, &after))
    }

    fn level(&self, first: usize, last: usize, about: f64) -> Uncertain {
        let samples = &self.trace.current_a[first..=last];
        let cap = self.noise.cap();
        let (sum, count) = samples
            .iter()
            .filter(|y| (**y - about).powi(2) <= cap)
            .fold((0.0, 0.0), |(s, c), y| (s + y, c + 1.0));
        let value = if count > 0.0 { sum / count } else { about };
        Uncertain::new(value, batches::u_of_level(samples, value, self.noise))
    }

    fn between(&self, before: &Segment, after: &Segment) -> Step {
        let samples = |s: &Segment| self.trace.current_a.get(s.first..=s.last).unwrap_or(&[]);
        let from = batches::at_end(samples(before), before.level, self.noise, true);
        let to = batches::at_end(samples(after), after.level, self.noise, false);
        let mut size = to.minus(from);
        let (mut was, mut is) = (before.level, after.level);
        if let Some(meter) = self.meter {
            let minutes = (after.start_s - before.end_s) / 60.0;
            size = size.widened(meter.u_of_change(from.value, to.value, minutes));
            (was, is) = (meter.widen(was), meter.widen(is));
        }
        Step {
            from_s: before.end_s,
            at_s: after.start_s,
            before: was,
            after: is,
            size,
            act: None,
        }
    }
}

/// Whether a change from one level to another can come from an act that goes that way.
fn goes(way: Way, before: Uncertain, after: Uncertain) -> bool {
    let change = after.minus(before);
    // A twentieth of the level: what sleep differs by from time to time, from memory.
    let slack = (3.0 * change.u).max(0.05 * before.value.abs());
    match way {
        Way::Down => change.value <= slack,
        Way::Up => change.value >= -slack,
        Way::Any => true,
    }
}

#[cfg(test)]
mod tests;
