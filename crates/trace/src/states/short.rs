//! Returns from sleep that are too short to make a segment.
//!
//! With the bounded loss an excursion of up to about five samples costs less than two changes, so that spikes and a bumped
//! clamp make no segments. Some of these excursions are real: a module that answers for two seconds every minute. What
//! tells them from bumps is the company they keep:
//!
//! 1. An **excursion** is a run of at most [`LONGEST`] samples of sleep that lie above the level by the bound of the loss, eight
//!    standard deviations, a quarter of the level and 5 mA. A bumped clamp swings: if a sample close by lies as far below
//!    the level, it is a bump.
//! 2. Excursions are **alike** when their heights differ by at most a fifth from that of one of them.
//! 3. Alike excursions are returns from sleep if they come **regularly**: five of two or more samples (eight, if most are
//!    single samples), with four in five (nine in ten) of the distances within a fifth of the shortest common distance, twice or three times it.
//! 4. Or if three of them have the **shape** of something switched on and off: at least three samples, most of them on one height to
//!    within 8 %. A bump is round or swings.
//! 5. What is more often awake than a tenth of the time is no matter of short returns.
//!
//! They stay within the segment of sleep, whose level does not count them. The figures are from memory; that random bumps
//! of equal height pass rule 3 is a matter of a few in a thousand records.

use crate::Trace;
use crate::analysis::{Segment, State, WakeUp};
use crate::average::integrate;
use crate::noise::Noise;

/// Longest excursion, samples.
const LONGEST: usize = 8;
/// Least height in standard deviations, as a share of the level, and in ampere.
const HIGH_SIGMAS: f64 = 8.0;
const HIGH_SHARE: f64 = 0.25;
const HIGH_A: f64 = 0.005;
/// Heights this far apart are alike.
const ALIKE: f64 = 0.2;
/// Distances this far from a multiple of the common one are regular.
const REGULAR: f64 = 0.2;
/// Spread of a plateau, relative.
const FLAT: f64 = 0.08;
/// Samples on both sides in which a bump swings back.
const SWING: usize = 3;

/// A run of samples above sleep.
#[derive(Debug, Clone, Copy)]
struct Run {
    first: usize,
    last: usize,
    level: f64,
    height: f64,
    flat: bool,
}

impl Run {
    fn len(&self) -> usize {
        self.last + 1 - self.first
    }
}

/// The short returns from sleep among the sleeping `segments`, in order of time; `spans` are left out.
pub(super) fn returns(
    trace: &Trace,
    segments: &[Segment],
    noise: &Noise,
    spans: &[(f64, f64)],
) -> Vec<WakeUp> {
    let mut runs = Vec::new();
    let mut sleeping = 0;
    for segment in segments.iter().filter(|s| s.state == State::Asleep) {
        sleeping += segment.last + 1 - segment.first;
        excursions(trace, segment, noise, &mut runs);
    }
    runs.retain(|run| {
        let at_s = trace.time_s(run.first);
        !spans.iter().any(|(from, to)| (*from..*to).contains(&at_s))
    });
    let mut real = Vec::new();
    while let Some(family) = take_family(&mut runs) {
        let awake: usize = family.iter().map(Run::len).sum();
        let brief = awake * 10 <= sleeping;
        if brief && (regular(trace, &family) || shaped(&family)) {
            real.extend(family);
        }
    }
    real.sort_by_key(|run: &Run| run.first);
    real.iter().map(|run| event(trace, run)).collect()
}

/// Appends the excursions of one sleeping segment.
fn excursions(trace: &Trace, segment: &Segment, noise: &Noise, runs: &mut Vec<Run>) {
    let level = segment.level.value;
    let lift = noise
        .cap()
        .sqrt()
        .max(HIGH_SIGMAS * noise.marginal)
        .max(HIGH_SHARE * level.abs())
        .max(HIGH_A);
    let samples = &trace.current_a[segment.first..=segment.last];
    let high = |y: &f64| *y > level + lift;
    let mut at = 0;
    while let Some(from) = samples[at..].iter().position(high).map(|i| i + at) {
        let length = samples[from..].iter().take_while(|y| high(y)).count();
        at = from + length;
        let around = &samples[from.saturating_sub(SWING)..(at + SWING).min(samples.len())];
        let swings = around.iter().any(|y| *y < level - lift);
        if length > LONGEST || swings || from == 0 || at == samples.len() {
            continue;
        }
        let own = &samples[from..at];
        let top = own.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let near = own
            .iter()
            .filter(|y| top - **y <= (FLAT * (top - level)).max(6.0 * noise.marginal));
        let flat = near.count();
        runs.push(Run {
            first: segment.first + from,
            last: segment.first + at - 1,
            level,
            height: top - level,
            flat: flat >= 3 && flat * 5 >= length * 3,
        });
    }
}

/// Takes the largest group of alike excursions out of `runs`; `None` when there are not three.
fn take_family(runs: &mut Vec<Run>) -> Option<Vec<Run>> {
    let mut heights: Vec<f64> = runs.iter().map(|run| run.height).collect();
    heights.sort_by(f64::total_cmp);
    let within = |centre: f64| {
        heights.partition_point(|h| *h <= centre * (1.0 + ALIKE))
            - heights.partition_point(|h| *h < centre * (1.0 - ALIKE))
    };
    let centre = heights
        .iter()
        .copied()
        .max_by(|a, b| within(*a).cmp(&within(*b)).then(b.total_cmp(a)))?;
    if within(centre) < 3 {
        return None;
    }
    let alike = |run: &Run| (run.height - centre).abs() <= ALIKE * centre;
    let family = runs.iter().copied().filter(alike).collect();
    runs.retain(|run| !alike(run));
    Some(family)
}

/// Rule 3.
fn regular(trace: &Trace, family: &[Run]) -> bool {
    let single = family.iter().filter(|run| run.len() == 1).count() * 2 > family.len();
    let (least, share) = if single { (8, 0.9) } else { (5, 0.8) };
    if family.len() < least {
        return false;
    }
    let times: Vec<f64> = family
        .iter()
        .map(|run| 0.5 * (trace.time_s(run.first) + trace.time_s(run.last)))
        .collect();
    let mut distances: Vec<f64> = times.windows(2).map(|w| w[1] - w[0]).collect();
    distances.sort_by(f64::total_cmp);
    let common = distances[distances.len() / 2];
    if common <= 0.0 {
        return false;
    }
    let fits = distances
        .iter()
        .filter(|d| {
            let times = (*d / common).round();
            (1.0..=3.0).contains(&times) && (*d / common - times).abs() <= REGULAR
        })
        .count();
    fits as f64 >= share * distances.len() as f64
}

/// Rule 4.
fn shaped(family: &[Run]) -> bool {
    let flat = family.iter().filter(|run| run.flat).count();
    flat >= 3 && flat * 5 >= family.len() * 4
}

fn event(trace: &Trace, run: &Run) -> WakeUp {
    let integral = integrate(trace, run.first - 1, run.last + 1);
    WakeUp {
        start_s: trace.time_s(run.first),
        end_s: trace.time_s(run.last + 1),
        peak_a: run.level + run.height,
        extra_charge_ah: (integral.charge_as - run.level * integral.duration_s) / 3600.0,
    }
}

#[cfg(test)]
mod tests {
    use crate::states::tests::night;
    use crate::{AnalyseOptions, analyse};

    /// An hour and more of sleep at 20 mA and 1 Hz with excursions put in: (second, samples).
    fn wake_ups(bumps: &[(usize, &[f64])]) -> usize {
        let mut record = night(&[(600, 3.0), (7200, 0.02)]);
        for (at, shape) in bumps {
            for (sample, lift) in record.current_a[600 + at..].iter_mut().zip(*shape) {
                *sample += lift;
            }
        }
        analyse(&record, &AnalyseOptions::default()).wake_ups.count
    }

    const ON: [f64; 3] = [0.5, 0.5, 0.5];
    const ROUND: [f64; 5] = [0.2, 0.4, 0.5, 0.4, 0.2];
    const SWINGING: [f64; 4] = [0.5, 0.45, -0.4, 0.2];

    fn every(seconds: usize, shape: &'static [f64]) -> Vec<(usize, &'static [f64])> {
        (1..7000 / seconds).map(|i| (i * seconds, shape)).collect()
    }

    #[test]
    fn two_seconds_each_five_minutes_are_returns_from_sleep() {
        assert_eq!(wake_ups(&every(300, &ON[..2])), 22);
        // Round, but like a clock.
        assert_eq!(wake_ups(&every(300, &ROUND)), 22);
        // One sample each, if there are many.
        assert_eq!(wake_ups(&every(300, &ON[..1])), 22);
        assert_eq!(wake_ups(&every(1200, &ON[..1])), 0);
    }

    #[test]
    fn a_missed_one_is_no_matter() {
        let mut some = every(300, &ON[..2]);
        some.remove(5);
        some.remove(11);
        assert_eq!(wake_ups(&some), 20);
    }

    #[test]
    fn switched_on_and_off_three_times_counts_whenever_it_comes() {
        let at = [400, 900, 3100, 5200];
        assert_eq!(wake_ups(&at.map(|s| (s, &ON[..]))), 4);
        // A lone one may be anything.
        assert_eq!(wake_ups(&[(400, &ON[..2])]), 0);
    }

    #[test]
    fn a_bumped_clamp_is_no_return_from_sleep() {
        let at = [400, 900, 3100, 5200, 6300, 6450];
        assert_eq!(wake_ups(&at.map(|s| (s, &ROUND[..]))), 0);
        assert_eq!(wake_ups(&every(300, &SWINGING)), 0);
    }

    #[test]
    fn they_are_in_the_long_run_but_not_in_the_settled_draw() {
        let mut record = night(&[(600, 3.0), (7200, 0.02)]);
        for (at, shape) in every(300, &ON) {
            for (sample, lift) in record.current_a[600 + at..].iter_mut().zip(shape) {
                *sample += lift;
            }
        }
        let found = analyse(&record, &AnalyseOptions::default());
        let draw = found.settled.map(|s| s.draw.value);
        assert!(draw.is_some_and(|d| (d - 0.02).abs() < 1e-4), "{draw:?}");
        // 3 samples of 0.5 A in 300: 5 mA.
        let long_run = found.long_run.map(|u| u.value);
        assert!(
            long_run.is_some_and(|d| (d - 0.025).abs() < 2e-4),
            "{long_run:?}"
        );
        let period = found.wake_ups.period_s.map(|p| p.value);
        assert_eq!(period, Some(300.0));
        assert_eq!(found.wake_ups.period_scatter, Some(0.0));
    }
}
