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
/// Standard deviations that make a change in a short record a step, where it is wide enough in penalties too: common practice.
const PLAIN_STEP: f64 = 3.0;
/// Standard deviations that nobody would call noise or drift. A choice.
const PLAIN: f64 = 30.0;
/// Share of changes that may fail. A choice.
const MAY_FAIL: f64 = 0.2;
/// Differences from which a scale is taken. A choice.
const FEW: usize = 16;
/// Standard deviation of a variance taken from the median of n squares, times `√n` and relative to it: the median deviation has 37 % of
/// the efficiency of the standard deviation (Rousseeuw and Croux 1993, as in `noise.rs`), so `√(2 / 0.368)`.
const MEDIAN_SCATTER: f64 = 2.33;
/// Means on each side of a step that tell a line. A choice.
const LEAST_LINE: usize = 4;
/// Standard deviation of a median, times `√n` and relative to that of the values: `√(π/2)`.
const MEDIAN_U: f64 = 1.2533;
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
    let mut trials: Vec<Trial> = Vec::new();
    for _ in 0..DOUBLINGS {
        let fit = segment(&means, loss, penalty * factor / unit);
        let changes = fit.firsts.len().saturating_sub(1);
        let steps = steps(&means, &fit.firsts, scale, &coarse, block);
        trials.push(Trial {
            factor,
            changes,
            steps,
        });
        if changes == 0 || (changes == steps && trials.iter().any(|t| t.changes > t.steps)) {
            break;
        }
        factor *= 2.0;
    }
    choose(&trials)
}

/// What a fit at one penalty holds.
struct Trial {
    factor: f64,
    changes: usize,
    steps: usize,
}

/// Of the penalties at which few changes are no steps, the smallest with the best balance of steps kept and others
/// bought (the F1 measure, with the most steps that any penalty keeps for the truth); the greatest tried, if there is none.
fn choose(trials: &[Trial]) -> f64 {
    let few = |t: &&Trial| (t.changes - t.steps) as f64 <= MAY_FAIL * t.changes as f64;
    let all = trials
        .iter()
        .filter(few)
        .map(|t| t.steps)
        .max()
        .unwrap_or(0);
    let balance = |t: &Trial| t.steps as f64 / (t.changes + all).max(1) as f64;
    let mut best: Option<&Trial> = None;
    for trial in trials.iter().filter(few) {
        if best.is_none_or(|b| balance(trial) > balance(b)) {
            best = Some(trial);
        }
    }
    best.or(trials.last()).map_or(1.0, |t| t.factor)
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

/// A zero that creeps: a steady slope per sample, and the variance per sample of a random walk beside it.
#[derive(Clone, Copy, Default)]
struct Drift {
    slope: f64,
    /// Standard uncertainty of the slope.
    u_slope: f64,
    walk: f64,
}

impl Drift {
    /// Of block means.
    fn of_blocks(self, block: f64) -> Self {
        Self {
            slope: self.slope * block,
            u_slope: self.u_slope * block,
            walk: self.walk * block,
        }
    }
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
        let drift = coarse.drift(&known).of_blocks(block as f64);
        let found: Vec<usize> = (1..firsts.len())
            .filter(|&i| {
                let end = firsts.get(i + 1).copied().unwrap_or(means.len());
                let before = firsts[i - 1];
                is_step(&means[before..end], firsts[i] - before, scale, drift)
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

/// Whether the level before and after `at` differs by more than noise and drift would make it: the plain difference of
/// means, or that beside a straight line, which a ramp cannot fake.
fn is_step(samples: &[f64], at: usize, scale: Scale, drift: Drift) -> bool {
    let beyond = |step: f64, variance: f64| step * step > STEP * STEP * variance;
    widths(at.min(samples.len() - at)).any(|h| {
        let (before, after) = (&samples[at - h..at], &samples[at..at + h]);
        let step = mean(after) - mean(before);
        let width = h as f64;
        let noise = (scale.long / width).min(scale.most);
        let over_slope = (step.abs() - drift.slope * width).max(0.0);
        let unsure = 2.0 / 3.0 * width * drift.walk + (width * drift.u_slope).powi(2);
        beyond(over_slope, 2.0 * noise + unsure)
            || h >= LEAST_LINE
                && beyond(
                    beside_line(before, after, step),
                    8.0 * noise + 4.0 / 15.0 * width * drift.walk,
                )
    })
}

/// Whether most changes in `firsts` are steps beside a straight line, by [`PLAIN_STEP`] standard deviations of independent noise.
pub(super) fn beside_lines(samples: &[f64], firsts: &[usize], noise: &Noise) -> bool {
    let variance = noise.sigma * noise.sigma;
    let is_one = |i: usize| {
        let (before, at) = (firsts[i - 1], firsts[i]);
        let end = firsts.get(i + 1).copied().unwrap_or(samples.len());
        let most = (at - before).min(end - at);
        widths(most).any(|h| {
            let (before, after) = (&samples[at - h..at], &samples[at..at + h]);
            let step = mean(after) - mean(before);
            // Too short for a line, the parts must differ by as much as that would ask for at the least.
            let (beside, share) = if h >= LEAST_LINE {
                (beside_line(before, after, step), 8.0)
            } else {
                (step, 4.0)
            };
            beside * step > 0.0
                && beside * beside > PLAIN_STEP * PLAIN_STEP * share * variance / h as f64
        })
    };
    let count = firsts.len().saturating_sub(1);
    let steps = (1..firsts.len()).filter(|&i| is_one(i)).count();
    steps as f64 >= (1.0 - MAY_FAIL) * count as f64
}

/// 1, 2, 4, … and `most`.
fn widths(most: usize) -> impl Iterator<Item = usize> {
    std::iter::successors(Some(1), move |&h| {
        (h < most).then(|| if 2 * h > most { most } else { 2 * h })
    })
    .take_while(move |&h| h <= most)
}

fn mean(part: &[f64]) -> f64 {
    part.iter().sum::<f64>() / part.len() as f64
}

/// The step between two equally long parts beside a straight line through both: least squares of level, slope and step.
fn beside_line(before: &[f64], after: &[f64], step: f64) -> f64 {
    let h = before.len() as f64;
    let middle = 0.5 * (h - 1.0);
    let tilt = |part: &[f64]| -> f64 {
        let terms = part.iter().enumerate();
        terms.map(|(i, y)| (i as f64 - middle) * y).sum()
    };
    // Slope within the parts; between their means lie h samples.
    let slope = (tilt(before) + tilt(after)) / (h * (h * h - 1.0) / 6.0);
    step - slope * h
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

    /// The drift that explains how differences of the means grow with their distance, without those across a step;
    /// `steps` are samples, in order. Each distance gives a slope and a variance; they are averaged by how well they are known.
    fn drift(&self, steps: &[usize]) -> Drift {
        let mut lags: Vec<(f64, Vec<f64>)> = Vec::new();
        let mut lag = 1;
        while lag * 8 <= self.means.len() {
            let apart: Vec<f64> = (0..self.means.len() - lag)
                .filter(|i| {
                    let end = (i + lag + 1) * self.block;
                    let next = steps.partition_point(|s| *s <= i * self.block);
                    steps.get(next).is_none_or(|s| *s >= end)
                })
                .map(|i| self.means[i + lag] - self.means[i])
                .collect();
            if apart.len() < FEW {
                break;
            }
            lags.push(((lag * self.block) as f64, apart));
            lag *= 2;
        }
        let mut slope = Average::default();
        for (far, apart) in &lags {
            let scale = variance(apart, 0.0).sqrt();
            let u = MEDIAN_U * scale / (apart.len() as f64).sqrt();
            slope.add(median(&mut apart.clone()) / far, u / far);
        }
        let (slope, u_slope) = (slope.value(), slope.u());
        let mut walk = Average::default();
        let mut nearest = (0.0, 0.0);
        for (index, (far, apart)) in lags.iter().enumerate() {
            let variance = variance(apart, slope * far);
            let u = variance * MEDIAN_SCATTER / (apart.len() as f64).sqrt();
            if index == 0 {
                nearest = (variance, u);
            } else {
                let more = far - self.block as f64;
                walk.add((variance - nearest.0) / more, u.hypot(nearest.1) / more);
            }
        }
        Drift {
            slope: slope.abs(),
            u_slope,
            walk: (walk.value() + walk.u()).max(0.0),
        }
    }
}

/// Robust variance of `values` about `middle`.
fn variance(values: &[f64], middle: f64) -> f64 {
    let mut squares: Vec<f64> = values.iter().map(|d| (d - middle).powi(2)).collect();
    median(&mut squares) / super::MEDIAN_ABSOLUTE.powi(2)
}

/// An average weighted by the inverse of variances.
#[derive(Clone, Copy, Default)]
struct Average {
    sum: f64,
    weight: f64,
}

impl Average {
    fn add(&mut self, value: f64, u: f64) {
        if u > 0.0 {
            self.sum += value / (u * u);
            self.weight += 1.0 / (u * u);
        }
    }

    fn value(self) -> f64 {
        if self.weight > 0.0 {
            self.sum / self.weight
        } else {
            0.0
        }
    }

    fn u(self) -> f64 {
        if self.weight > 0.0 {
            self.weight.sqrt().recip()
        } else {
            0.0
        }
    }
}
