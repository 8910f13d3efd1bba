//! What a logging clamp at the battery writes while somebody works on the vehicle.

use rand::SeedableRng;
use rand_pcg::Pcg64Mcg;

use super::{Meter, State, Vehicle};
use crate::NightLog;

/// A stretch of time from `from_s` on, and what had been done to the vehicle by then.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Since {
    pub(super) from_s: f64,
    pub(super) state: State,
}

/// The total as the meter showed it from `start_s` to `end_s`, a sample each `interval_s`.
/// The display follows with the meter's lag, and its zero wanders.
pub(super) fn log(
    vehicle: &Vehicle,
    history: &[Since],
    meter: &Meter,
    (start_s, end_s): (f64, f64),
    interval_s: f64,
    seed: u64,
) -> NightLog {
    let interval_s = interval_s.max(1e-3);
    let mut random = Pcg64Mcg::seed_from_u64(seed);
    let samples = ((end_s - start_s).max(0.0) / interval_s) as usize;
    let follows = 1.0 - (-interval_s / meter.lag_s.max(1e-3)).exp();
    let mut at = 0;
    let mut lagged: Option<f64> = None;
    let mut shown_a = Vec::with_capacity(samples);
    for sample in 0..samples {
        let time_s = start_s + sample as f64 * interval_s;
        while history
            .get(at + 1)
            .is_some_and(|next| next.from_s <= time_s)
        {
            at += 1;
        }
        let Some(since) = history.get(at) else { break };
        let true_a = vehicle.current_a(0, time_s, &since.state);
        let before = lagged.unwrap_or(true_a);
        let now = before + follows * (true_a - before);
        lagged = Some(now);
        // The zero wanders out and back within a few hours, always by no more than its width.
        let drift = meter.wander / 2.0 * (time_s / 3600.0).sin();
        // Over range a logger writes the end of its range.
        let shown = meter.display(now, 0.0, drift, &mut random);
        shown_a.push(shown.unwrap_or(meter.range * now.signum()));
    }
    NightLog {
        interval_s,
        shown_a,
    }
}
