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
//! The shares and times are from memory, but for the waiting times of five and twenty minutes: common practice.

mod cluster;
mod moment;
mod wake;

pub(crate) use wake::student;

use measure::Uncertain;

use crate::Trace;
use crate::analysis::{Moment, NotSettled, Segment, Settled, State, WakeUp, WakeUps};
use crate::noise::Noise;

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
}

/// Sets the states of `segments` and reads sleep from them.
pub(crate) fn read(trace: &Trace, segments: &mut [Segment], noise: &Noise, limit_a: f64) -> Sleep {
    if let Some(reason) = no_vehicle(segments) {
        return not_settled(reason, None);
    }
    let base = base(segments, noise);
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
    let (Some(mut first), Some(last)) = (
        asleep.iter().position(|a| *a),
        asleep.iter().rposition(|a| *a),
    ) else {
        return not_settled(
            "no level lasted long enough to be called sleep".into(),
            None,
        );
    };
    first = mark(segments, &asleep, &below, first, last);
    let since_s = segments[first].start_s;
    let held_s = segments[last].end_s - since_s;
    let stair_s = segments[..first]
        .iter()
        .filter(|segment| segment.state == State::Settling)
        .map(|segment| segment.end_s - segment.start_s)
        .fold(0.0, f64::max);
    let draw = sleep_level(&segments[first..=last], noise);
    let need_s = (if draw.value <= limit_a {
        HOLD_S
    } else {
        HOLD_ABOVE_S
    })
    .max(STAIRS * stair_s);
    if held_s < need_s {
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
        let reason = format!(
            "the lowest level, {}, has held for only {}; it takes {} to tell it from one more step down",
            measure::quantity::Ampere(draw.value),
            measure::quantity::Second(held_s),
            measure::quantity::Second(need_s)
        );
        return not_settled(reason, Some(since_s + need_s));
    }
    let (events, wake_ups) = wake::wake_ups(trace, segments, first, last, draw);
    let long_run = Some(wake::long_run(
        trace,
        segments,
        (first, last),
        draw,
        &events,
        noise,
    ));
    Sleep {
        settled: Some(Settled { since_s, draw }),
        time_to_sleep: (first > 0)
            .then(|| moment::between(trace, &segments[first - 1], &segments[first], noise)),
        not_settled: None,
        wake_ups,
        events,
        long_run,
    }
}

fn not_settled(reason: String, expected_at_s: Option<f64>) -> Sleep {
    Sleep {
        not_settled: Some(NotSettled {
            reason,
            expected_at_s,
        }),
        ..Sleep::default()
    }
}

/// Why the record cannot be that of a vehicle at rest, if so (rule 1).
fn no_vehicle(segments: &[Segment]) -> Option<String> {
    let duration = |segment: &Segment| segment.end_s - segment.start_s;
    let total: f64 = segments.iter().map(duration).sum();
    if segments
        .iter()
        .all(|segment| !segment.level.value.is_finite())
    {
        return Some("there is no sample to judge".into());
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
        return Some(
            "current flows into the battery for part of the time, so this is not a parked vehicle's draw; \
             if the clamp was the wrong way round, turn the sign"
                .into(),
        );
    }
    if total < HOLD_S {
        return Some(format!(
            "the record lasts only {}; falling asleep takes a vehicle minutes to an hour",
            measure::quantity::Second(total)
        ));
    }
    None
}

/// The base level (rule 2).
fn base(segments: &[Segment], noise: &Noise) -> Uncertain {
    let finite: Vec<usize> = (0..segments.len())
        .filter(|&i| segments[i].level.value.is_finite())
        .collect();
    let values: Vec<f64> = finite.iter().map(|&i| segments[i].level.value).collect();
    // A twentieth of the level counts as one standard deviation: alike within a tenth or so. From memory.
    let weights: Vec<f64> = finite
        .iter()
        .map(|&i| {
            let level = segments[i].level;
            let spread = level
                .u
                .hypot(0.05 * level.value)
                .max(0.5 * noise.resolution)
                .max(f64::MIN_POSITIVE.sqrt());
            (spread * spread).recip()
        })
        .collect();
    // A further cluster must gain three standard deviations squared and a logarithmic share, in
    // the manner of the segmentation's penalty (from memory).
    let clusters = cluster::cluster(&values, &weights, 9.0 + 2.0 * (values.len() as f64).ln());
    let count = clusters.iter().max().map_or(0, |m| m + 1);
    let mut times = vec![0.0; count];
    for (place, &index) in finite.iter().enumerate() {
        times[clusters[place]] += segments[index].end_s - segments[index].start_s;
    }
    let total: f64 = times.iter().sum();
    let ends_lowest = clusters.last() == Some(&0);
    // Else the lowest level that holds for a fiftieth of the time (from memory).
    let chosen = if ends_lowest {
        0
    } else {
        times.iter().position(|t| *t >= 0.02 * total).unwrap_or(0)
    };
    let members: Vec<Segment> = finite
        .iter()
        .enumerate()
        .filter(|(place, _)| clusters[*place] == chosen)
        .map(|(_, &i)| segments[i])
        .collect();
    mean_level(&members, noise)
}

/// Mean of levels weighted by their samples, with scatter between them.
fn mean_level(segments: &[Segment], noise: &Noise) -> Uncertain {
    let weight = |s: &Segment| (s.last + 1 - s.first) as f64;
    let samples: f64 = segments.iter().map(weight).sum();
    if samples <= 0.0 {
        return Uncertain::default();
    }
    let mean = segments
        .iter()
        .map(|s| weight(s) * s.level.value)
        .sum::<f64>()
        / samples;
    let scatter = segments
        .iter()
        .map(|s| weight(s) * (s.level.value - mean).powi(2))
        .sum::<f64>()
        / samples;
    let between = if segments.len() > 1 {
        scatter / (segments.len() - 1) as f64
    } else {
        0.0
    };
    // Scatter of the levels, each with its share; rounding is the same for all of them.
    let own = segments
        .iter()
        .map(|s| (weight(s) / samples).powi(2) * (s.level.u.powi(2) - noise.rounding().powi(2)))
        .sum::<f64>();
    Uncertain::new(
        mean,
        own.max(between).max(0.0).sqrt().hypot(noise.rounding()),
    )
}

fn sleep_level(segments: &[Segment], noise: &Noise) -> Uncertain {
    let asleep: Vec<Segment> = segments
        .iter()
        .filter(|s| s.state == State::Asleep)
        .copied()
        .collect();
    mean_level(&asleep, noise)
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
