//! Returns from sleep, and what sleep and they come to in the long run.

use measure::Uncertain;

use crate::Trace;
use crate::analysis::{Segment, State, WakeUp, WakeUps};
use crate::average::{integrate, mean_of};
use crate::noise::Noise;

/// Wake-ups among `segments[first..=last]`, one by one and together.
pub(super) fn wake_ups(
    trace: &Trace,
    segments: &[Segment],
    first: usize,
    last: usize,
    draw: Uncertain,
) -> (Vec<WakeUp>, WakeUps) {
    let mut events = Vec::new();
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
    let count = events.len();
    let summary = WakeUps {
        count,
        period_s: (count >= 3).then(|| {
            let periods: Vec<f64> = events
                .windows(2)
                .map(|w| w[1].start_s - w[0].start_s)
                .collect();
            mean_and_u(&periods)
        }),
        mean_duration_s: (count > 0)
            .then(|| events.iter().map(|e| e.end_s - e.start_s).sum::<f64>() / count as f64),
        extra_charge_ah: events.iter().map(|e| e.extra_charge_ah).sum(),
    };
    (events, summary)
}

fn mean_and_u(values: &[f64]) -> Uncertain {
    let count = values.len() as f64;
    let mean = values.iter().sum::<f64>() / count;
    let squares: f64 = values.iter().map(|v| (v - mean).powi(2)).sum();
    // Type A evaluation, JCGM 100:2008, 4.2.3.
    Uncertain::new(mean, (squares / ((count - 1.0).max(1.0) * count)).sqrt())
}

/// The mean as it would go on: over whole cycles of waking, where there are two or more, otherwise
/// since falling asleep.
///
/// Its uncertainty adds to that of the sleeping level that of the waking share: with m wake-ups whose
/// extra charges and distances have the coefficients of variation c and d, relative `√((c² + d²)/m)`
/// (renewal-reward theorem, first order; S. Ross, "Introduction to Probability Models"). With fewer than
/// three the distances are taken to vary as if by chance, d = 1.
pub(super) fn long_run(
    trace: &Trace,
    segments: &[Segment],
    (first, last): (usize, usize),
    draw: Uncertain,
    events: &[WakeUp],
    noise: &Noise,
) -> Uncertain {
    let (from, to) = match (events.first(), events.last()) {
        (Some(one), Some(other)) if events.len() >= 2 => (one.start_s, other.start_s),
        _ => (segments[first].start_s, segments[last].end_s),
    };
    let at = |time: f64| {
        segments
            .iter()
            .find(|s| s.start_s >= time)
            .map_or(segments[last].last, |s| s.first)
    };
    let (begin, end) = (
        at(from).min(segments[last].last),
        at(to).min(segments[last].last),
    );
    let integral = integrate(trace, begin, end.max(begin));
    let mean = mean_of(trace, begin, end.max(begin), &integral);
    let scatter = noise.u_of_mean(end.saturating_sub(begin) + 1);
    let waking = waking_u(events, mean - draw.value);
    Uncertain::new(mean, scatter.max(draw.u).hypot(waking))
}

fn waking_u(events: &[WakeUp], extra_a: f64) -> f64 {
    let count = events.len() as f64;
    if events.is_empty() {
        return 0.0;
    }
    let spread = |values: &[f64]| {
        let mean = values.iter().sum::<f64>() / values.len() as f64;
        let squares: f64 = values.iter().map(|v| (v - mean).powi(2)).sum();
        (squares / (values.len() - 1).max(1) as f64).sqrt() / mean.abs().max(f64::MIN_POSITIVE)
    };
    let charges: Vec<f64> = events.iter().map(|e| e.extra_charge_ah).collect();
    let periods: Vec<f64> = events
        .windows(2)
        .map(|w| w[1].start_s - w[0].start_s)
        .collect();
    let (c, d) = if events.len() >= 3 {
        (spread(&charges), spread(&periods))
    } else {
        (0.0, 1.0)
    };
    extra_a.abs() * ((c * c + d * d) / count).sqrt()
}
