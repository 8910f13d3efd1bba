//! The uncertainty of a level from its own samples, where there are enough of them.
//!
//! A long stretch on one level is cut into batches; how their means scatter says what the mean of all is worth, whatever
//! the correlation of the noise (batch means: e.g. A. Law, "Simulation Modeling and Analysis"). The scatter is taken
//! from differences of neighbouring means (J. von Neumann, "Distribution of the ratio of the mean square successive
//! difference to the variance", 1941), so that a zero that creeps slowly does not count as scatter.

use measure::Uncertain;
use rayon::prelude::*;

use crate::noise::Noise;
use crate::states::student;

/// Batches of a stretch. Common practice: twenty to thirty.
const BATCHES: usize = 24;
/// Shortest batch; shorter ones are alike because meters filter. From memory.
const SHORTEST: usize = 25;

/// Samples from which the batches are worked on at the same time. A choice: a millisecond.
const LONG: usize = 1 << 18;

/// Means of the batches of `samples`, without what lies beyond the cap of `level`; `None` if there are too few samples.
fn means(samples: &[f64], level: f64, noise: &Noise) -> Option<Vec<f64>> {
    let length = samples.len() / BATCHES;
    if length < SHORTEST {
        return None;
    }
    let cap = noise.cap();
    let mean = |batch: &[f64]| {
        let (mut sum, mut count) = (0.0, 0.0);
        for &y in batch {
            let d = y - level;
            if d * d <= cap {
                sum += d;
                count += 1.0;
            }
        }
        (count > 0.0).then(|| level + sum / count)
    };
    if samples.len() >= LONG {
        let batches = samples.par_chunks_exact(length).take(BATCHES);
        return batches.map(mean).collect();
    }
    samples
        .chunks_exact(length)
        .take(BATCHES)
        .map(mean)
        .collect()
}

/// Variance of one batch mean.
fn scatter(means: &[f64]) -> f64 {
    let squares: f64 = means.windows(2).map(|w| (w[1] - w[0]).powi(2)).sum();
    squares / (2.0 * (means.len() - 1) as f64)
}

/// Degrees of freedom of [`scatter`]: two thirds of the differences (von Neumann, as above).
const FREEDOM: usize = 2 * (BATCHES - 1) / 3;

/// Standard uncertainty of the mean of `samples`, which lie on `level`.
pub(crate) fn u_of_level(samples: &[f64], level: f64, noise: &Noise) -> f64 {
    match means(samples, level, noise) {
        Some(means) => (scatter(&means) / BATCHES as f64).sqrt() * student(FREEDOM),
        None => noise.scatter_of_mean(samples.len()),
    }
    .hypot(noise.rounding())
}

/// Standard uncertainty, by scatter, of the mean of all samples of `stretches` about `level`, spikes and all; `None` if there are
/// too few.
pub(crate) fn u_of_all<'a>(
    stretches: impl Iterator<Item = &'a [f64]> + Clone,
    level: f64,
) -> Option<f64> {
    let count: usize = stretches.clone().map(<[f64]>::len).sum();
    let length = count / BATCHES;
    if length < SHORTEST {
        return None;
    }
    let mut sums = [0.0; BATCHES];
    let (mut batch, mut left) = (0, length);
    for mut rest in stretches {
        while let Some(sum) = sums.get_mut(batch)
            && !rest.is_empty()
        {
            let (part, after) = rest.split_at(left.min(rest.len()));
            for &y in part.iter().filter(|y| y.is_finite()) {
                *sum += (y - level) / length as f64;
            }
            rest = after;
            left -= part.len();
            if left == 0 {
                (batch, left) = (batch + 1, length);
            }
        }
    }
    Some((scatter(&sums) / BATCHES as f64).sqrt() * student(FREEDOM))
}

/// The level at one end of `samples` (the last one, or the first), if the zero creeps in a straight line: the
/// regression of the batch means on their place, taken to that end; the mean, where there are too few samples.
pub(crate) fn at_end(samples: &[f64], level: Uncertain, noise: &Noise, last: bool) -> Uncertain {
    let Some(means) = means(samples, level.value, noise) else {
        return level;
    };
    let count = BATCHES as f64;
    let middle = 0.5 * (count - 1.0);
    let (mut cross, mut squares, mut sum) = (0.0, 0.0, 0.0);
    for (index, mean) in means.iter().enumerate() {
        let x = index as f64 - middle;
        cross += x * mean;
        squares += x * x;
        sum += mean;
    }
    let slope = cross / squares;
    let away = if last { 0.5 * count } else { -0.5 * count };
    let value = sum / count + slope * away;
    let residuals: f64 = means
        .iter()
        .enumerate()
        .map(|(index, mean)| (mean - sum / count - slope * (index as f64 - middle)).powi(2))
        .sum();
    let variance = residuals / (count - 2.0);
    let u = (variance * (1.0 / count + away * away / squares)).sqrt() * student(BATCHES - 2);
    Uncertain::new(value, u.hypot(noise.rounding()))
}
