//! Telling steps from a zero that creeps.
//!
//! Least squares cuts any slow drift into stairs once the record is long enough, whatever the
//! penalty for independent noise. So the best fit at that penalty is examined: a change is kept as a step
//! if the means of the h samples before and after it differ, for some h, by more than [`STEP`] standard deviations of
//!
//! ```text
//! 2 σ² λ / h   (noise, λ its inflation; no more than the scatter about a level)   +   ⅔ h η²   (a random walk of variance η² per sample)
//! ```
//!
//! where η is taken from what lies between the changes that are steps in spite of it, since steps add up to a walk of their own
//! (the state-space view of drift as in G. Romano, G. Rigaill, V. Runge, P. Fearnhead, "Detecting abrupt changes in the
//! presence of local fluctuations and autocorrelated noise", JASA 117, 2022). If too many are not steps, the penalty
//! doubles and the fit is made anew. What is reported is thus still an exact optimum, for a penalty that does
//! not pay for stairs. The search runs on a few thousand block means; the record itself is fitted once.

use super::{Noise, median};
use crate::segment::{Loss, segment};

/// Block means for the fits. A choice.
const MOST: usize = 2048;
/// Block means for the estimate of the drift. A choice.
const COARSE: usize = 256;
/// Standard deviations that make a step; the greatest of 10⁴ normal values is about four. A choice.
const STEP: f64 = 4.5;
/// Standard deviations that nobody would call noise or drift. A choice.
const PLAIN: f64 = 30.0;
/// Share of changes that may fail. A choice.
const MAY_FAIL: f64 = 0.2;
/// Differences from which a scale is taken. A choice.
const FEW: usize = 16;
/// Estimates of the drift. A choice: each adds steps to those before.
const ROUNDS: usize = 4;
/// Doublings at most: a factor of a million.
const DOUBLINGS: u32 = 20;

/// The factor by which the penalty must grow so that drift is not paid for.
pub(super) fn factor(samples: &[f64], noise: &Noise, penalty: f64) -> f64 {
    let block = samples.len().div_ceil(MOST).max(1);
    let means = blocks(samples, block, noise.cap());
    let variance = noise.sigma * noise.sigma * noise.inflation;
    if means.len() < 16 || variance <= 0.0 {
        return 1.0;
    }
    // Per block mean, noise and cost are those of one of `block` samples.
    let unit = block as f64;
    let coarse = Coarse::of(samples, noise);
    let scale = Scale {
        long: variance / unit,
        most: noise.marginal * noise.marginal,
    };
    let cap = if block > 1 {
        f64::INFINITY
    } else {
        noise.cap()
    };
    let loss = if cap.is_finite() {
        Loss::Bounded { cap }
    } else {
        Loss::Squares
    };
    let mut factor = 1.0;
    for _ in 0..DOUBLINGS {
        let fit = segment(&means, loss, penalty * factor / unit);
        let count = fit.firsts.len();
        let failed = count.saturating_sub(1) - steps(&means, &fit.firsts, scale, &coarse, block);
        if failed as f64 <= MAY_FAIL * (count.saturating_sub(1)) as f64 {
            break;
        }
        factor *= 2.0;
    }
    factor
}

/// Most by which slow noise may raise the penalty of a record of at most a few thousand samples without
/// denying its plain steps: changes that independent noise would ask for and at which one pair of samples differs from the
/// next by more than [`PLAIN`] standard deviations. Neither correlated noise nor drift jumps like that, and
/// scales from blocks are useless where a step falls into most of them. Four in five must stay.
pub(super) fn most(samples: &[f64], sigma: f64) -> f64 {
    if samples.len() > MOST || samples.len() < 16 {
        return f64::INFINITY;
    }
    let variance = sigma * sigma;
    let fit = |factor: f64| {
        let penalty = 2.0 * variance * (samples.len() as f64).ln() * factor;
        segment(
            samples,
            Loss::Bounded {
                cap: 9.0 * variance * factor,
            },
            penalty,
        )
        .firsts
    };
    let mean = |part: &[f64]| part.iter().sum::<f64>() / part.len() as f64;
    let jumps = |at: &usize| {
        let (before, after) = (
            &samples[at.saturating_sub(2)..*at],
            &samples[*at..(at + 2).min(samples.len())],
        );
        *at > 0 && (mean(after) - mean(before)).abs() > PLAIN * sigma
    };
    let plain: Vec<usize> = fit(1.0).into_iter().filter(jumps).collect();
    if plain.is_empty() {
        return f64::INFINITY;
    }
    let mut factor = 1.0;
    for _ in 0..DOUBLINGS {
        let found = fit(2.0 * factor);
        // A step that takes a few samples may be one change or several.
        let kept = plain
            .iter()
            .filter(|at| found.iter().any(|f| f.abs_diff(**at) <= 3))
            .count();
        if kept * 5 < plain.len() * 4 {
            return factor;
        }
        factor *= 2.0;
    }
    f64::INFINITY
}

/// How the mean of h block means scatters: `long / h`, at most `most`.
#[derive(Clone, Copy)]
struct Scale {
    long: f64,
    most: f64,
}

/// How many of the changes in `firsts` are steps. The drift is estimated from what lies between steps: those that show in
/// spite of all the others are left out, and it is estimated anew.
fn steps(means: &[f64], firsts: &[usize], scale: Scale, coarse: &Coarse, block: usize) -> usize {
    let mut known: Vec<usize> = Vec::new();
    for _ in 0..ROUNDS {
        let walk = coarse.walk(&known) * block as f64;
        let found: Vec<usize> = (1..firsts.len())
            .filter(|&i| {
                let end = firsts.get(i + 1).copied().unwrap_or(means.len());
                let before = firsts[i - 1];
                is_step(&means[before..end], firsts[i] - before, scale, walk)
            })
            .map(|i| firsts[i] * block)
            .collect();
        let done = found.len() <= known.len();
        known = found;
        if done {
            break;
        }
    }
    known.len()
}

/// Whether the means before and after `at` differ by more than noise and drift would make them.
fn is_step(samples: &[f64], at: usize, scale: Scale, walk: f64) -> bool {
    let mut h = 1;
    let most = at.min(samples.len() - at);
    while h <= most {
        let mean = |part: &[f64]| part.iter().sum::<f64>() / part.len() as f64;
        let step = mean(&samples[at..at + h]) - mean(&samples[at - h..at]);
        let noise = (scale.long / h as f64).min(scale.most);
        if step * step > STEP * STEP * (2.0 * noise + 2.0 / 3.0 * h as f64 * walk) {
            return true;
        }
        h = if h < most && 2 * h > most {
            most
        } else {
            2 * h
        };
    }
    false
}

/// Means of blocks, without what lies beyond the cap of the block's median.
fn blocks(samples: &[f64], block: usize, cap: f64) -> Vec<f64> {
    let mut scratch = Vec::with_capacity(block);
    samples
        .chunks_exact(block)
        .filter_map(|chunk| {
            scratch.clear();
            scratch.extend(chunk.iter().copied().filter(|y| y.is_finite()));
            let middle = if scratch.is_empty() {
                return None;
            } else {
                median(&mut scratch)
            };
            let inside = scratch.iter().map(|y| y - middle).filter(|d| d * d <= cap);
            let (sum, count) = inside.fold((0.0, 0.0), |(s, c), d| (s + d, c + 1.0));
            Some(middle + sum / count)
        })
        .collect()
}

/// Means of a few hundred blocks.
struct Coarse {
    block: usize,
    means: Vec<f64>,
}

impl Coarse {
    fn of(samples: &[f64], noise: &Noise) -> Self {
        let block = samples.len().div_ceil(COARSE).max(1);
        Self {
            block,
            means: blocks(samples, block, noise.cap()),
        }
    }

    /// Variance per sample of the random walk that explains how differences of the means grow with their distance, without
    /// those across a step; `steps` are samples, in order.
    fn walk(&self, steps: &[usize]) -> f64 {
        let mut nearest = f64::INFINITY;
        let mut most: f64 = 0.0;
        let mut lag = 1;
        while lag * 8 <= self.means.len() {
            let mut squares: Vec<f64> = (0..self.means.len() - lag)
                .filter(|i| {
                    let end = (i + lag + 1) * self.block;
                    let next = steps.partition_point(|s| *s <= i * self.block);
                    steps.get(next).is_none_or(|s| *s >= end)
                })
                .map(|i| (self.means[i + lag] - self.means[i]).powi(2))
                .collect();
            if squares.len() < FEW {
                break;
            }
            let variance = median(&mut squares) / super::MEDIAN_ABSOLUTE.powi(2);
            if lag == 1 {
                nearest = variance;
            } else {
                most = most.max((variance - nearest) / ((lag - 1) * self.block) as f64);
            }
            lag *= 2;
        }
        most
    }
}
