//! Time-weighted mean and charge, over uneven stamps and gaps.
//!
//! Between two samples the current is taken as the straight line between them (trapezoids); a
//! sample that is not a number is bridged like a gap.

use measure::Uncertain;

use crate::Trace;
use crate::analysis::Segment;
use crate::noise::Noise;

/// Charge in ampere-seconds between two samples and the time bridged over gaps.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Integral {
    /// Ampere-seconds.
    pub(crate) charge_as: f64,
    /// Time between first and last finite sample.
    pub(crate) duration_s: f64,
    /// Of which without samples.
    pub(crate) bridged_s: f64,
    /// Number of finite samples.
    pub(crate) count: usize,
    /// Sum of squared weights (each sample's share of the time), for the variance of the mean.
    pub(crate) squares_s2: f64,
}

/// Integrates samples `first..=last`.
pub(crate) fn integrate(trace: &Trace, first: usize, last: usize) -> Integral {
    let mut out = Integral::default();
    let gap = longest_step(trace);
    let mut before: Option<(f64, f64)> = None;
    let mut carried = 0.0;
    for index in first..=last.min(trace.len().saturating_sub(1)) {
        let current = trace.current_a[index];
        if !current.is_finite() {
            continue;
        }
        let time = trace.time_s(index);
        if let Some((then, was)) = before {
            let step = time - then;
            out.charge_as += 0.5 * (was + current) * step;
            out.duration_s += step;
            if step > gap {
                out.bridged_s += step;
            } else {
                let weight = carried + 0.5 * step;
                out.squares_s2 += weight * weight;
                carried = 0.5 * step;
            }
        }
        out.count += 1;
        before = Some((time, current));
    }
    out.squares_s2 += carried * carried;
    out
}

/// Mean of an integral; the single sample, or zero, when there is no duration.
pub(crate) fn mean_of(trace: &Trace, first: usize, last: usize, integral: &Integral) -> f64 {
    if integral.duration_s > 0.0 {
        return integral.charge_as / integral.duration_s;
    }
    let finite = trace
        .current_a
        .get(first..=last)
        .unwrap_or(&[])
        .iter()
        .filter(|y| y.is_finite());
    let (sum, count) = finite.fold((0.0, 0.0), |(s, c), y| (s + y, c + 1.0));
    if count > 0.0 { sum / count } else { 0.0 }
}

/// Mean and charge over the whole trace. `spread` is the scatter of the current over time (ampere):
/// what may have flowed unseen in a gap.
///
/// Where the level steps by S between two samples Δ apart, the moment is as likely anywhere between, and the trapezoid is off
/// by up to S Δ/2: a variance of `S² Δ²/12` for each step (JCGM 100:2008, 4.3.7).
pub(crate) fn whole(
    trace: &Trace,
    noise: &Noise,
    spread: f64,
    segments: &[Segment],
) -> (Uncertain, Uncertain) {
    match trace.len().checked_sub(1) {
        Some(last) => stretch(trace, (0, last), noise, spread, segments),
        None => (Uncertain::default(), Uncertain::default()),
    }
}

/// [`whole`] for the samples `first..=last`; `segments` are those that lie in it, wholly or in part.
pub(crate) fn stretch(
    trace: &Trace,
    (first, last): (usize, usize),
    noise: &Noise,
    spread: f64,
    segments: &[Segment],
) -> (Uncertain, Uncertain) {
    let integral = integrate(trace, first, last);
    let mean = mean_of(trace, first, last, &integral);
    let duration = integral.duration_s;
    if duration <= 0.0 {
        return (
            Uncertain::new(mean, noise.u_of_mean(integral.count)),
            Uncertain::exact(0.0),
        );
    }
    // Weights that differ count as fewer samples: (Σw)² / Σw².
    let effective = (duration * duration / integral.squares_s2.max(f64::MIN_POSITIVE))
        .min(integral.count as f64);
    let scatter = noise.u_of_mean(effective.max(1.0) as usize);
    let unseen = spread * integral.bridged_s / duration;
    let edges = edges(trace, segments) / duration;
    let mean = Uncertain::new(mean, scatter.hypot(unseen).hypot(edges));
    (mean, mean.times(duration / 3600.0))
}

/// Standard uncertainty, in ampere-seconds, from steps between samples.
pub(crate) fn edges(trace: &Trace, segments: &[Segment]) -> f64 {
    let gap = longest_step(trace);
    let variance = |w: &[Segment]| {
        let (before, after) = (&w[0], &w[1]);
        let apart = trace.time_s(after.first) - trace.time_s(before.last);
        let size = after.level.value - before.level.value;
        if size.is_finite() && apart <= gap {
            (size * apart).powi(2) / 12.0
        } else {
            0.0
        }
    };
    segments.windows(2).map(variance).sum::<f64>().sqrt()
}

/// Steps longer than this are gaps: five usual intervals (from memory).
pub(crate) fn longest_step(trace: &Trace) -> f64 {
    let usual = trace.source.interval_s;
    if usual > 0.0 {
        5.0 * usual
    } else {
        f64::INFINITY
    }
}
