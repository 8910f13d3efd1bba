//! Time-weighted mean and charge, over uneven stamps and gaps.
//!
//! Between two samples the current is taken as the straight line between them (trapezoids); a
//! sample that is not a number is bridged like a gap.

use measure::Uncertain;

use crate::analysis::Segment;
use crate::noise::Noise;
use crate::{TimeAxis, Trace};

/// Charge in ampere-seconds between two samples and the time bridged over gaps.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Integral {
    /// Ampere-seconds.
    pub(crate) charge_as: f64,
    /// Time between first and last finite sample.
    pub(crate) duration_s: f64,
    /// Of which without samples.
    pub(crate) bridged_s: f64,
    /// Charge taken for granted there.
    pub(crate) bridged_as: f64,
    /// Number of finite samples.
    pub(crate) count: usize,
    /// Sum of squared weights (each sample's share of the time), for the variance of the mean.
    pub(crate) squares_s2: f64,
}

/// Integrates samples `first..=last`.
pub(crate) fn integrate(trace: &Trace, first: usize, last: usize) -> Integral {
    let mut out = Integral::default();
    if trace.is_empty() {
        return out;
    }
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
                out.bridged_as += 0.5 * (was + current) * step;
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

impl Integral {
    /// Mean over the time that was seen; `None` when none was.
    pub(crate) fn mean_seen(&self) -> Option<f64> {
        let seen_s = self.duration_s - self.bridged_s;
        (seen_s > 0.0).then(|| (self.charge_as - self.bridged_as) / seen_s)
    }
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

/// Mean and charge over the whole trace. What flowed unseen in a gap strays from the straight line across it as the levels around
/// it do ([`unseen`]).
///
/// Where the level steps by S between two samples Δ apart, the moment is as likely anywhere between, and the trapezoid is off
/// by up to S Δ/2: a variance of `S² Δ²/12` for each step (JCGM 100:2008, 4.3.7). `brief_as2` is that of steps that made no segment.
///
/// `integral` is that of the whole trace.
pub(crate) fn whole(
    trace: &Trace,
    integral: &Integral,
    noise: &Noise,
    segments: &[Segment],
    brief_as2: f64,
) -> (Uncertain, Uncertain) {
    match trace.len().checked_sub(1) {
        Some(last) => {
            let hidden_as = unseen(trace, segments).hypot(brief_as2.sqrt());
            of_integral(trace, (0, last), integral, noise, hidden_as, segments)
        }
        None => (Uncertain::default(), Uncertain::default()),
    }
}

/// [`whole`] for the samples `first..=last`, of which `integral` is; `segments` are those that lie in it, wholly or in part. `hidden_as` is
/// the standard uncertainty, in ampere-seconds, of what no sample shows.
pub(crate) fn of_integral(
    trace: &Trace,
    (first, last): (usize, usize),
    integral: &Integral,
    noise: &Noise,
    hidden_as: f64,
    segments: &[Segment],
) -> (Uncertain, Uncertain) {
    let mean = mean_of(trace, first, last, integral);
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
    let edges = edges(trace, segments) / duration;
    let mean = Uncertain::new(mean, scatter.hypot(hidden_as / duration).hypot(edges));
    (mean, mean.times(duration / 3600.0))
}

/// Hours between a mean and its charge; zero without charge.
pub(crate) fn hours(mean: Uncertain, charge_ah: Uncertain) -> f64 {
    if mean.value == 0.0 {
        0.0
    } else {
        charge_ah.value / mean.value
    }
}

/// Standard uncertainty, in ampere-seconds, of what flowed in the gaps: for each the standard deviation, over time, of the levels
/// within twice its length on both sides, times its length.
fn unseen(trace: &Trace, segments: &[Segment]) -> f64 {
    let variance = |(from_s, to_s): (f64, f64)| {
        let reach = 2.0 * (to_s - from_s);
        let first = segments.partition_point(|s| s.end_s < from_s - reach);
        let end = segments.partition_point(|s| s.start_s <= to_s + reach);
        let around = segments.get(first..end).unwrap_or(&[]);
        // Time seen on a level, without the gap itself.
        let near = |s: &Segment| {
            let seen = |a: f64, b: f64| (s.end_s.min(b) - s.start_s.max(a)).max(0.0);
            seen(from_s - reach, from_s) + seen(to_s, to_s + reach)
        };
        let parts = || {
            around
                .iter()
                .filter(|s| s.level.value.is_finite())
                .map(|s| (near(s), s.level.value))
        };
        let total: f64 = parts().map(|(w, _)| w).sum();
        if total <= 0.0 {
            return 0.0;
        }
        let mean = parts().map(|(w, y)| w * y).sum::<f64>() / total;
        let spread = parts().map(|(w, y)| w * (y - mean).powi(2)).sum::<f64>() / total;
        spread * (to_s - from_s).powi(2)
    };
    gaps(trace).into_iter().map(variance).sum::<f64>().sqrt()
}

/// Stretches without samples, by the stamps.
pub(crate) fn gaps(trace: &Trace) -> Vec<(f64, f64)> {
    let TimeAxis::Stamps(stamps) = &trace.axis else {
        return Vec::new();
    };
    let longest = longest_step(trace);
    stamps
        .windows(2)
        .filter(|w| w[1] - w[0] > longest)
        .map(|w| (w[0], w[1]))
        .collect()
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
