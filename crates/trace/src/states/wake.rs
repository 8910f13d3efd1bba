//! Returns from sleep, and what sleep and they come to in the long run.

use measure::Uncertain;

use crate::Trace;
use crate::analysis::{Segment, State, WakeUp, WakeUps};
use crate::average::{gaps, integrate, mean_of};
use crate::batches;
use crate::noise::Noise;

/// Wake-ups among `segments[first..=last]` and the `short` ones, one by one and together; those that begin within `spans`
/// were caused by hand and do not count.
pub(super) fn wake_ups(
    trace: &Trace,
    segments: &[Segment],
    (first, last): (usize, usize),
    draw: Uncertain,
    short: Vec<WakeUp>,
    spans: &[(f64, f64)],
) -> (Vec<WakeUp>, WakeUps) {
    let mut events = short;
    let mut index = first;
    while index <= last {
        if segments[index].state != State::WakeUp {
            index += 1;
            continue;
        }
        let begin = index;
        while index <= last && segments[index].state != State::Asleep {
            index += 1;
        }
        let (from, to) = (&segments[begin], &segments[index - 1]);
        if spans.iter().any(|(a, b)| (*a..*b).contains(&from.start_s)) {
            continue;
        }
        // From the last sample of sleep before it to the first after it.
        let integral = integrate(trace, from.first.saturating_sub(1), to.last + 1);
        events.push(WakeUp {
            start_s: from.start_s,
            end_s: to.end_s,
            peak_a: trace.current_a[from.first..=to.last]
                .iter()
                .copied()
                .fold(f64::NEG_INFINITY, f64::max),
            extra_charge_ah: (integral.charge_as - draw.value * integral.duration_s) / 3600.0,
        });
    }
    events.sort_by(|a, b| a.start_s.total_cmp(&b.start_s));
    let count = events.len();
    let period = period(&events, &gaps(trace), trace.source.interval_s);
    let summary = WakeUps {
        count,
        period_s: period.map(|(period, _)| period),
        period_scatter: period.map(|(_, scatter)| scatter),
        mean_duration_s: (count > 0)
            .then(|| events.iter().map(|e| e.end_s - e.start_s).sum::<f64>() / count as f64),
        extra_charge_ah: events.iter().map(|e| e.extra_charge_ah).sum(),
    };
    (events, summary)
}

/// Mean time from one to the next, and the coefficient of variation of those times.
///
/// The times between m + 1 moments have a mean that depends on the first and the last alone. Each moment is known to
/// a sampling interval Δ (variance Δ²/12, JCGM 100:2008, 4.3.7), which gives the mean a variance of
/// `2 (Δ²/12) / m²` for each stretch without gaps; what the times scatter beyond that is the vehicle's, and gives `s²/m`, widened by the quantile of
/// Student's t for m − 1 degrees of freedom (JCGM 100:2008, G.3). A time with a gap in it may hide a return and does
/// not count. `None` with fewer than two times.
fn period(events: &[WakeUp], gaps: &[(f64, f64)], interval_s: f64) -> Option<(Uncertain, f64)> {
    let whole = |w: &&[WakeUp]| {
        !gaps
            .iter()
            .any(|(from, to)| *from < w[1].start_s && w[0].start_s < *to)
    };
    let times: Vec<f64> = events
        .windows(2)
        .filter(whole)
        .map(|w| w[1].start_s - w[0].start_s)
        .collect();
    if times.len() < 2 {
        return None;
    }
    let stretches = 1.0 + (events.len() - 1 - times.len()) as f64;
    let count = times.len() as f64;
    let mean = times.iter().sum::<f64>() / count;
    let variance = variance(&times, mean);
    let sampling = interval_s * interval_s / 12.0;
    let own = (variance - 2.0 * sampling).max(0.0);
    let widened = (own / count).sqrt() * student(times.len() - 1);
    Some((
        Uncertain::new(
            mean,
            widened.hypot((2.0 * stretches * sampling).sqrt() / count),
        ),
        own.sqrt() / mean,
    ))
}

fn variance(values: &[f64], mean: f64) -> f64 {
    let squares: f64 = values.iter().map(|v| (v - mean).powi(2)).sum();
    squares / values.len().saturating_sub(1).max(1) as f64
}

/// 97.5 % quantile of Student's t over that of the normal distribution, for so many degrees of freedom
/// (JCGM 100:2008, table G.2; beyond ten the first terms of the expansion by E. Cornish and R. Fisher, 1938).
pub(crate) fn student(freedom: usize) -> f64 {
    const QUANTILES: [f64; 10] = [12.71, 4.30, 3.18, 2.78, 2.57, 2.45, 2.36, 2.31, 2.26, 2.23];
    let z: f64 = 1.96;
    match freedom {
        0 => QUANTILES[0] / z,
        1..=10 => QUANTILES[freedom - 1] / z,
        _ => 1.0 + (z * z + 1.0) / (4.0 * freedom as f64),
    }
}

/// The sleep that counts.
pub(super) struct Stretch<'t> {
    pub(super) trace: &'t Trace,
    pub(super) segments: &'t [Segment],
    /// Its first segment.
    pub(super) first: usize,
    /// Its last segment.
    pub(super) last: usize,
    pub(super) noise: &'t Noise,
}

impl Stretch<'_> {
    /// The mean as it would go on: over whole cycles of waking, where there are two or more, otherwise
    /// since falling asleep.
    ///
    /// Its uncertainty adds to that of the sleeping samples, spikes and all (returns too short to be told from spikes
    /// are among them), that of the waking share; see [`waking_u`].
    pub(super) fn long_run(&self, draw: Uncertain, events: &[WakeUp]) -> Uncertain {
        let Self {
            trace,
            segments,
            first,
            last,
            noise,
        } = *self;
        let (from, to) = match (events.first(), events.last()) {
            (Some(one), Some(other)) if events.len() >= 2 => (one.start_s, other.start_s),
            _ => (segments[first].start_s, segments[last].end_s),
        };
        let end = segments[last].last;
        let begin = trace.first_from(from, false).min(end);
        let end = trace.first_from(to, false).min(end).max(begin);
        let integral = integrate(trace, begin, end);
        // What was not seen of a waking night is as likely awake as the rest.
        let mean = integral
            .mean_seen()
            .unwrap_or_else(|| mean_of(trace, begin, end, &integral));
        let waking = waking_u(
            events,
            mean - draw.value,
            &gaps(trace),
            trace.source.interval_s,
        );
        let asleep = segments[first..=last]
            .iter()
            .filter(|s| s.state == State::Asleep)
            .map(|s| &trace.current_a[s.first..=s.last]);
        let sleeping = batches::u_of_all(asleep, draw.value)
            .map_or(draw.u, |u| u.hypot(noise.rounding()).max(draw.u));
        Uncertain::new(mean, sleeping.hypot(waking))
    }
}

/// Uncertainty of the waking share `extra_a` of the mean.
///
/// With m returns whose extra charges and distances have the coefficients of variation c and d it is, relative,
/// `√((c² + d²)/m)` (renewal-reward theorem, first order; S. Ross, "Introduction to Probability Models"). Of the scatter
/// seen, sampling makes a part that is known: a return of the extra current I, sampled at intervals Δ, has a
/// charge off by up to I Δ/2 at each end (variance I²Δ²/6 together, JCGM 100:2008, 4.3.7), and a distance as in
/// [`period`]. What is beyond is the vehicle's and widened by Student's t. With fewer than three the distances are
/// taken to vary as if by chance, d = 1.
fn waking_u(events: &[WakeUp], extra_a: f64, gaps: &[(f64, f64)], interval_s: f64) -> f64 {
    let count = events.len() as f64;
    if events.is_empty() {
        return 0.0;
    }
    if events.len() < 3 {
        return extra_a.abs() / count.sqrt();
    }
    let charges: Vec<f64> = events.iter().map(|e| 3600.0 * e.extra_charge_ah).collect();
    let charge = charges.iter().sum::<f64>() / count;
    let duration = events.iter().map(|e| e.end_s - e.start_s).sum::<f64>() / count;
    let current = charge / duration.max(interval_s);
    let sampling = (current * interval_s).powi(2) / 6.0;
    let own = (variance(&charges, charge) - sampling).max(0.0);
    let c = (own * student(events.len() - 1).powi(2) + sampling) / count / (charge * charge);
    let d = period(events, gaps, interval_s).map_or(count.recip(), |(period, _)| {
        (period.u / period.value).powi(2)
    });
    extra_a.abs() * (c + d).sqrt()
}
