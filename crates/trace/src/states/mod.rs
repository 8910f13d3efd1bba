//! What the vehicle was doing: the rules by which levels become states.
//!
//! 1. **No vehicle at rest.** A record shorter than five minutes, without samples, or in which current
//!    flows backwards for more than a hundredth of the time (beyond a twentieth of the largest level) says
//!    nothing about sleep: every segment is `unknown`.
//! 2. **Base.** Levels are clustered exactly ([`cluster`]); two levels within about a tenth of each other are
//!    alike. The base is the lowest cluster that lasts at least a fiftieth of the record (a brief
//!    dropout is no sleep), or the lowest of all if the record ends on it.
//! 3. **Asleep** is every segment within 15 % (or two digits, or three standard
//!    uncertainties) of the base. Brief levels below are `unknown`.
//! 4. **Wake-up** is a stretch between two sleeps that is shorter than a quarter of the record and an hour; a longer one is
//!    `awake`, and what counts is the sleep after it.
//! 5. Before sleep, everything up to the last segment in the highest cluster is **awake**, what follows **settling**.
//!    After the last sleep: `awake`.
//! 6. **Settled** needs the base to have held: five minutes at or below the limit, twenty above it
//!    (it may be one more stair), and one and a half times the longest stair on the way down.
//!    Otherwise the base is `settling` (or `unknown`, when nothing came before it); in a record of less than
//!    twenty minutes that did not settle everything is `unknown`.
//!
//! 7. Returns from sleep too short for a segment are told from spikes by their company (`short.rs`).
//! 8. Where a fuse was pulled or put back, what that changed is undone first, the waking it caused is neither sleep nor a
//!    return from it, and the settled draw is that from before the first such act, if it lasted five minutes.
//!
//! The shares and times are from memory, but for the waiting times of five and twenty minutes: common practice.

mod cluster;
mod levels;
mod moment;
mod short;
mod wake;

pub(crate) use wake::student;

use measure::Uncertain;
use tongue::{Message, say};

use crate::Trace;
use crate::analysis::{Moment, NotSettled, Segment, Settled, State, WakeUp, WakeUps};
use crate::noise::Noise;
use crate::steps::Hands;

/// Shortest record, and shortest sleep at or below the limit. Common practice.
const HOLD_S: f64 = 300.0;
/// Shortest sleep above the limit. Common practice ("wait twenty minutes").
const HOLD_ABOVE_S: f64 = 1200.0;
/// A level must have lasted so many times the longest stair before it. From memory.
const STAIRS: f64 = 1.5;
/// Levels within this share of the base are asleep. From memory.
const ALIKE: f64 = 0.15;
/// Longest wake-up, and longest as a share of the record. From memory.
const WAKE_UP_S: f64 = 3600.0;
const WAKE_UP_SHARE: f64 = 0.25;

/// What the levels say about sleep.
#[derive(Debug, Default)]
pub(crate) struct Sleep {
    pub(crate) settled: Option<Settled>,
    pub(crate) time_to_sleep: Option<Moment>,
    pub(crate) not_settled: Option<NotSettled>,
    pub(crate) wake_ups: WakeUps,
    pub(crate) events: Vec<WakeUp>,
    pub(crate) long_run: Option<Uncertain>,
    /// Variance of the charge by the ends of returns too short for a segment, (ampere-seconds)².
    pub(crate) brief_as2: f64,
}

/// Sets the states of `segments` and reads sleep from them.
pub(crate) fn read(
    trace: &Trace,
    segments: &mut [Segment],
    noise: &Noise,
    limit_a: f64,
    hands: &Hands,
) -> Sleep {
    if let Some(reason) = no_vehicle(segments) {
        return not_settled(reason, None);
    }
    let Some((first, last)) = find_sleep(segments, noise) else {
        return not_settled(say::trace::no_level_long_enough(), None);
    };
    let draw = levels::of_sleep(&segments[first..=last], noise, hands);
    if let Some(too_brief) = too_brief(segments, (first, last), draw, limit_a) {
        return too_brief;
    }
    let short = short::returns(trace, &segments[first..=last], noise, &hands.spans);
    let brief_as2 = short
        .iter()
        .map(|event| ((event.peak_a - draw.value) * trace.source.interval_s).powi(2) / 6.0)
        .sum();
    let (events, wake_ups) =
        wake::wake_ups(trace, segments, (first, last), draw, short, &hands.spans);
    let stretch = wake::Stretch {
        trace,
        segments,
        first,
        last,
        noise,
    };
    let after_s = hands
        .first_s
        .map_or(0.0, |first_s| segments[last].end_s - first_s);
    let share = after_s / (segments[last].end_s - segments[first].start_s).max(after_s);
    let given_back = if after_s > 0.0 {
        share * hands.u_a
    } else {
        0.0
    };
    Sleep {
        settled: Some(Settled {
            since_s: segments[first].start_s,
            draw,
        }),
        time_to_sleep: (first > 0)
            .then(|| moment::between(trace, &segments[first - 1], &segments[first], noise)),
        not_settled: None,
        long_run: Some(stretch.long_run(draw, &events).widened(given_back)),
        wake_ups,
        events,
        brief_as2,
    }
}

/// Rules 2 to 5: sets the states; first and last segment of the sleep that counts.
fn find_sleep(segments: &mut [Segment], noise: &Noise) -> Option<(usize, usize)> {
    let base = levels::base(segments, noise);
    let tolerance = |segment: &Segment| {
        (ALIKE * base.value.abs())
            .max(2.0 * noise.resolution)
            .max(3.0 * segment.level.u.hypot(base.u))
    };
    let asleep: Vec<bool> = segments
        .iter()
        .map(|segment| (segment.level.value - base.value).abs() <= tolerance(segment))
        .collect();
    let below: Vec<bool> = segments
        .iter()
        .map(|segment| segment.level.value < base.value - tolerance(segment))
        .collect();
    let first = asleep.iter().position(|a| *a)?;
    let last = asleep.iter().rposition(|a| *a)?;
    Some((mark(segments, &asleep, &below, first, last), last))
}

/// Rule 6: why the base has not held long enough, if so; the states of the sleep that is none are set.
fn too_brief(
    segments: &mut [Segment],
    (first, last): (usize, usize),
    draw: Uncertain,
    limit_a: f64,
) -> Option<Sleep> {
    let since_s = segments[first].start_s;
    let held_s = segments[last].end_s - since_s;
    let stair_s = segments[..first]
        .iter()
        .filter(|segment| segment.state == State::Settling)
        .map(|segment| segment.end_s - segment.start_s)
        .fold(0.0, f64::max);
    let need_s = (if draw.value <= limit_a {
        HOLD_S
    } else {
        HOLD_ABOVE_S
    })
    .max(STAIRS * stair_s);
    if held_s >= need_s {
        return None;
    }
    let brief = segments.last().map_or(0.0, |s| s.end_s) - segments[0].start_s < HOLD_ABOVE_S;
    for (index, segment) in segments.iter_mut().enumerate() {
        if brief {
            segment.state = State::Unknown;
        } else if (first..=last).contains(&index) && segment.state == State::Asleep {
            segment.state = if first > 0 {
                State::Settling
            } else {
                State::Unknown
            };
        }
    }
    let reason = say::trace::held_too_briefly(
        measure::quantity::Second(held_s),
        measure::quantity::Ampere(draw.value),
        measure::quantity::Second(need_s),
    );
    Some(not_settled(reason, Some(since_s + need_s)))
}

fn not_settled(reason: Message, expected_at_s: Option<f64>) -> Sleep {
    Sleep {
        not_settled: Some(NotSettled {
            reason,
            expected_at_s,
        }),
        ..Sleep::default()
    }
}

/// Why the record cannot be that of a vehicle at rest, if so (rule 1).
fn no_vehicle(segments: &[Segment]) -> Option<Message> {
    let duration = |segment: &Segment| segment.end_s - segment.start_s;
    let total: f64 = segments.iter().map(duration).sum();
    if segments
        .iter()
        .all(|segment| !segment.level.value.is_finite())
    {
        return Some(say::trace::no_sample());
    }
    let largest = segments
        .iter()
        .map(|s| s.level.value.abs())
        .fold(0.0, f64::max);
    // More than a twentieth of the largest level, for more than a hundredth of the time: beyond
    // a clamp's zero error and a starting engine's moment. From memory.
    let backwards: f64 = segments
        .iter()
        .filter(|s| s.level.value + 5.0 * s.level.u < -0.05 * largest)
        .map(duration)
        .sum();
    if backwards > 0.01 * total {
        return Some(say::trace::backwards());
    }
    if total < HOLD_S {
        return Some(say::trace::too_short(measure::quantity::Second(total)));
    }
    None
}

/// Sets the states (rules 3 to 5); returns the segment with which the sleep that counts begins.
fn mark(
    segments: &mut [Segment],
    asleep: &[bool],
    below: &[bool],
    first: usize,
    last: usize,
) -> usize {
    let total =
        segments.last().map_or(0.0, |s| s.end_s) - segments.first().map_or(0.0, |s| s.start_s);
    let longest = WAKE_UP_S.min(WAKE_UP_SHARE * total);
    let highest = segments[..first]
        .iter()
        .map(|s| s.level.value)
        .fold(f64::NEG_INFINITY, f64::max);
    let peak = segments[..first]
        .iter()
        .rposition(|s| s.level.value >= (1.0 - ALIKE) * highest);
    for (index, segment) in segments.iter_mut().enumerate() {
        segment.state = if asleep[index] {
            State::Asleep
        } else if below[index] {
            State::Unknown
        } else if index < first && peak.is_some_and(|peak| index > peak) {
            State::Settling
        } else {
            State::Awake
        };
    }
    let mut begins = first;
    let mut index = first;
    while index < last {
        if segments[index].state != State::Awake {
            index += 1;
            continue;
        }
        let end = (index..last).find(|&j| asleep[j]).unwrap_or(last);
        if segments[end].start_s - segments[index].start_s <= longest {
            segments[index..end]
                .iter_mut()
                .filter(|s| s.state == State::Awake)
                .for_each(|s| s.state = State::WakeUp);
        } else {
            begins = end;
        }
        index = end;
    }
    begins
}

#[cfg(test)]
mod tests;
