//! When a level gave way to the next, with what the samples leave open.

use crate::Trace;
use crate::analysis::{Moment, Segment};
use crate::noise::Noise;

/// Samples looked at on each side. A choice: a change that is found at all is placed far closer.
const REACH: usize = 256;

/// The moment between `before` and `after`, which follow each other.
///
/// With levels and noise known, the probability that the change lies between samples k−1 and k is in proportion to
/// `exp(−cost(k) / 2 σ² λ)`, cost(k) being the squares of the samples around it if it does (the posterior under a flat prior;
/// e.g. A. F. M. Smith, "A Bayesian approach to inference about a change-point in a sequence of random variables",
/// Biometrika 62, 1975). Between the two samples every moment is as likely.
pub(super) fn between(trace: &Trace, before: &Segment, after: &Segment, noise: &Noise) -> Moment {
    let from = before.first.max(after.first.saturating_sub(REACH)) + 1;
    let to = after.last.min(after.first + REACH);
    let (a, b) = (before.level.value, after.level.value);
    let cap = noise.cap();
    let scale = 0.5 / (noise.sigma * noise.sigma * noise.inflation).max(f64::MIN_POSITIVE);
    // A spike, far from both levels, says nothing.
    let tells = |y: f64| {
        let (from_a, from_b) = ((y - a) * (y - a), (y - b) * (y - b));
        if from_a.min(from_b) <= cap {
            from_a - from_b
        } else {
            0.0
        }
    };
    // Log-weight of a change just before each sample from `from` to `to`.
    let mut weights = vec![0.0];
    let mut sum = 0.0;
    for index in from..to {
        let y = trace.current_a[index];
        if y.is_finite() {
            sum += tells(y);
        }
        weights.push(-scale * sum);
    }
    let most = weights.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    weights.iter_mut().for_each(|w| *w = (*w - most).exp());
    let total: f64 = weights.iter().sum();
    let quantile = |share: f64| {
        let mut left = share * total;
        for (index, weight) in (from..).zip(&weights) {
            if left <= *weight {
                let (earlier, later) = (trace.time_s(index - 1), trace.time_s(index));
                return earlier + (later - earlier) * left / weight;
            }
            left -= weight;
        }
        trace.time_s(to)
    };
    Moment {
        at_s: quantile(0.5),
        low_s: quantile(0.025),
        high_s: quantile(0.975),
    }
}
