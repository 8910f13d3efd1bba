//! How a record scatters when nothing changes, and the penalty that follows.
//!
//! All scales come from differences, so that levels and steps do not count, and from medians, so
//! that spikes and the few differences across a step do not count either.
//!
//! * **Scale** of one sample: median absolute difference of neighbours over `√2 Φ⁻¹(¾)`
//!   (P. Rousseeuw, C. Croux, "Alternatives to the median absolute deviation", JASA 88, 1993, for the
//!   consistency factor 0.6745), never below `digit/√12`, the scatter of rounding (JCGM 100:2008, F.2.2.1).
//! * **Correlation**: meters filter. Differences at lags 1, 2, 4, … grow up to a plateau when
//!   neighbours are alike; the plateau is the scatter about a level (`marginal`), which sets where the
//!   bounded loss lets go. What a mean of many samples scatters (`inflation`) follows from differences
//!   between means of neighbouring blocks, and from how the correlation falls with the lag.
//! * **Penalty**: `2 σ² ln n` per change (Yao, "Estimating the number of change-points via Schwarz'
//!   criterion", 1988), times the inflation, since a mean of correlated samples scatters as one of so many fewer,
//!   times a factor for drift (`drift.rs`), and one for short records (`stable.rs`, which asks `describe.rs` and `wanders.rs`).

mod describe;
mod drift;
mod stable;
mod wanders;

/// Normal quantile at three quarters: median absolute value of a standard normal.
const MEDIAN_ABSOLUTE: f64 = 0.674_489_750_196_081_7;
/// Most differences looked at per scale; beyond that the medians do not move.
const MOST: usize = 1 << 15;
/// Samples farther off than this many standard deviations count as spikes: common practice ("three sigma").
const SPIKE_SIGMAS: f64 = 3.0;
/// Strongest correlation of neighbours that is believed; beyond it a record wanders.
const MOST_RHO: f64 = 0.98;
/// Correlation that two lags tell well: there `1 − ρ` has about its least relative error. A choice.
const FALLEN: f64 = 0.6;
/// Longest lag between samples that are compared. A choice.
const MOST_LAG: usize = 64;
/// Parts in which the flips between two digits are counted, and the fewest samples of one. A choice.
const FLIP_PARTS: usize = 16;
const LEAST_PART: usize = 100;
/// Samples in the blocks whose means are compared.
const BLOCK: usize = 20;

/// The noise of a record, in its own unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Noise {
    /// Standard deviation from sample to sample; not below digit/√12.
    pub sigma: f64,
    /// Standard deviation as the differences alone give it; zero when most neighbours are equal.
    pub raw_sigma: f64,
    /// Smallest step of the record; zero when none shows.
    pub resolution: f64,
    /// Standard deviation about the level; above `sigma` when neighbours are alike.
    pub marginal: f64,
    /// Variance of a long mean, relative to that of as many independent samples of `sigma`; at least 1.
    pub inflation: f64,
    /// Factor by which the penalty grows so that drift makes no stairs; at least 1.
    pub drift: f64,
    /// Factor on the two before, from the penalties between which a short record keeps its changes; 1 for all others.
    pub short: f64,
    /// Standard deviation about the median of the whole record, levels and all; not below `marginal`.
    pub scatter: f64,
    /// Largest magnitude, the yardstick of rounding.
    size: f64,
}

impl Noise {
    /// Estimates the noise of `samples`. What is not a number is left out.
    pub fn of(samples: &[f64]) -> Self {
        let size = samples
            .iter()
            .filter(|y| y.is_finite())
            .fold(0.0, |m: f64, y| m.max(y.abs()));
        let resolution = resolution(samples, size);
        let floor = resolution / 12.0_f64.sqrt();
        let raw_sigma = lag_scale(samples, 1);
        let sigma = raw_sigma.max(floor).max(if raw_sigma < resolution {
            flips(samples, resolution)
        } else {
            0.0
        });
        let mut marginal = sigma;
        let mut lag = 2;
        while lag <= 32 && lag * 10 <= samples.len() {
            marginal = marginal.max(lag_scale(samples, lag));
            lag *= 2;
        }
        let mut inflation: f64 = 1.0;
        let most = if sigma > 0.0 {
            drift::most(samples, sigma)
        } else {
            1.0
        };
        if sigma > 0.0 {
            if samples.len() >= 5 * BLOCK {
                let long = block_scale(samples, BLOCK) * (BLOCK as f64).sqrt();
                inflation = inflation.max((long / sigma).powi(2));
            }
            inflation = inflation.max(first_order(samples));
        }
        inflation = inflation.min(most);
        let scatter = scatter(samples).max(marginal);
        let mut noise = Self {
            sigma,
            raw_sigma,
            resolution,
            marginal,
            inflation,
            drift: 1.0,
            short: 1.0,
            scatter,
            size,
        };
        noise.drift = drift::factor(samples, &noise, noise.penalty(samples.len()))
            .min(most / inflation)
            .max(1.0);
        noise.short = stable::factor(samples, &noise);
        noise
    }

    /// Penalty per change for `n` samples, squared unit of the samples; above zero.
    ///
    /// For records of a few hundred samples, see `noise/stable.rs`.
    pub fn penalty(&self, n: usize) -> f64 {
        let log = (n.max(2) as f64).ln();
        let one = self.sigma * self.sigma;
        (2.0 * log * one * (self.inflation * self.drift * self.short).max(1.0)).max(self.least())
    }

    /// Where the bounded loss lets go, squared unit of the samples; above zero. With drift that the penalty does not
    /// pay for, samples stray farther from their level than by noise alone.
    pub fn cap(&self) -> f64 {
        let one = self.sigma * self.sigma;
        let own = self.marginal * self.marginal;
        // Noise and drift are greatest together at the ends of a record: their scatters add up, not their squares.
        let strayed = self.marginal + (self.scatter * self.scatter - own).max(0.0).sqrt();
        let wide = (strayed * strayed).min(one * self.inflation * self.drift * self.short);
        (SPIKE_SIGMAS * SPIKE_SIGMAS * wide.max(own)).max(self.least())
    }

    /// Standard uncertainty of the mean of `n` samples: scatter with its correlation, and rounding,
    /// which averages out only as far as noise carries the reading across digits: the error of a
    /// rounded mean is a series whose first term is `(q/π) exp(−2π² (σ/q)²)` (B. Widrow, I. Kollár, "Quantization Noise", 2008, dither).
    pub fn u_of_mean(&self, n: usize) -> f64 {
        self.scatter_of_mean(n).hypot(self.rounding())
    }

    /// The part of [`Noise::u_of_mean`] that comes from scatter.
    pub(crate) fn scatter_of_mean(&self, n: usize) -> f64 {
        self.sigma * (self.inflation / n.max(1) as f64).sqrt()
    }

    /// The part of [`Noise::u_of_mean`] that comes from rounding: root mean square of the error of a rounded mean over all
    /// places of the level between digits, `q² / 2π² × Σ exp(−4π² k² (σ/q)²) / k²`; q/√12 without noise.
    pub(crate) fn rounding(&self) -> f64 {
        if self.resolution <= 0.0 {
            return 0.0;
        }
        let ratio = self.raw_sigma.max(self.correlated()) / self.resolution;
        let two_pi = 2.0 * std::f64::consts::PI;
        // The sum over k of k⁻² to infinity is π²/6; a hundred terms leave 1 % of the variance.
        let sum: f64 = (1..=100)
            .map(|k| {
                let k = f64::from(k);
                (-(two_pi * k * ratio).powi(2)).exp() / (k * k)
            })
            .sum();
        self.resolution * (2.0 * sum).sqrt() / two_pi
    }

    /// Scatter about the level that carries the reading across digits although neighbours are alike: the
    /// marginal one, where differences show it beyond the digit.
    fn correlated(&self) -> f64 {
        if self.marginal > self.resolution {
            self.marginal
        } else {
            0.0
        }
    }

    /// A noiseless record still has the rounding of the arithmetic: `(10⁻⁹ size)²`.
    fn least(&self) -> f64 {
        (1e-9 * self.size).powi(2).max(1e-30)
    }
}

/// Starts of at most `MOST` stretches spread evenly over `count`.
fn spread(count: usize) -> impl Iterator<Item = usize> {
    let step = count.div_ceil(MOST).max(1);
    (0..count).step_by(step)
}

pub(crate) fn median(values: &mut [f64]) -> f64 {
    if values.is_empty() {
        return 0.0;
    }
    let middle = values.len() / 2;
    *values.select_nth_unstable_by(middle, f64::total_cmp).1
}

/// Robust scale from differences of samples `lag` apart.
fn lag_scale(samples: &[f64], lag: usize) -> f64 {
    let mut differences: Vec<f64> = spread(samples.len().saturating_sub(lag))
        .map(|i| (samples[i + lag] - samples[i]).abs())
        .filter(|d| d.is_finite())
        .collect();
    median(&mut differences) / (MEDIAN_ABSOLUTE * 2.0_f64.sqrt())
}

/// Scale of a record that flips between neighbouring digits: root of half the mean square difference, each counted as at most one
/// digit, so that a spike or a step counts like one flip. How often it flips depends on where the level lies between two digits; the part
/// of the record that flips most counts.
fn flips(samples: &[f64], digit: f64) -> f64 {
    let part = samples.len().div_ceil(FLIP_PARTS).max(LEAST_PART);
    let most = samples.chunks(part).filter_map(|part| {
        let differences =
            spread(part.len().saturating_sub(1)).map(|i| (part[i + 1] - part[i]).abs());
        let (sum, count) = differences
            .filter(|d| d.is_finite())
            .fold((0.0, 0.0), |(s, c), d| (s + d.min(digit).powi(2), c + 1.0));
        (count > 0.0).then(|| (0.5_f64 * sum / count, count))
    });
    // A short part at the end tells little.
    most.filter(|(_, count)| 2.0 * count >= part.min(samples.len()) as f64 - 2.0)
        .fold(0.0, |most: f64, (square, _)| most.max(square))
        .sqrt()
}

/// Robust scale from differences of means of neighbouring blocks.
fn block_scale(samples: &[f64], block: usize) -> f64 {
    let means: Vec<f64> = samples
        .chunks_exact(block)
        .map(|c| c.iter().sum::<f64>() / block as f64)
        .collect();
    let mut differences: Vec<f64> = means
        .windows(2)
        .map(|w| (w[1] - w[0]).abs())
        .filter(|d| d.is_finite())
        .collect();
    median(&mut differences) / (MEDIAN_ABSOLUTE * 2.0_f64.sqrt())
}

/// Standard deviation of all samples, levels and all.
fn scatter(samples: &[f64]) -> f64 {
    let finite = || {
        spread(samples.len())
            .map(|i| samples[i])
            .filter(|y| y.is_finite())
    };
    let (count, sum) = finite().fold((0.0, 0.0), |(n, s), y| (n + 1.0, s + y));
    if count == 0.0 {
        return 0.0;
    }
    let mean = sum / count;
    (finite().map(|y| (y - mean).powi(2)).sum::<f64>() / count).sqrt()
}

/// Inflation if the noise is autoregressive of first order: differences at lag k have a variance in proportion to
/// `1 − ρᵏ`, so two lags k and 2k give `ρᵏ`, and `λ = (1 + ρ)/(1 − ρ)²` relative to the variance from
/// neighbours (long-run variance over innovation: any text on time series, e.g. P. Brockwell, R. Davis, 1991).
/// Where neighbours are nearly equal, lags one and two tell `1 − ρ` badly; so the shortest lag is taken over which the correlation
/// has fallen to [`FALLEN`].
fn first_order(samples: &[f64]) -> f64 {
    if samples.len() < 5 * BLOCK {
        return 1.0;
    }
    let squares = |lag| lag_scale(samples, lag).powi(2);
    let mut lag = 1;
    let mut one = squares(lag);
    while one > 0.0 {
        let two = squares(2 * lag);
        let power = two / one - 1.0;
        let last = 4 * lag > MOST_LAG || 40 * lag > samples.len();
        if power < FALLEN || last {
            let rho = power.clamp(0.0, 1.0).powf(1.0 / lag as f64).min(MOST_RHO);
            return (1.0 + rho) / (1.0 - rho).powi(2);
        }
        lag *= 2;
        one = two;
    }
    1.0
}

/// The decimal place to which all samples are round, for a record whose steps show no grid; zero when there are
/// fewer than three different samples, or no such place within nine digits.
fn decimals(samples: &[f64], size: f64) -> f64 {
    let finite = || {
        spread(samples.len())
            .map(|i| samples[i])
            .filter(|y| y.is_finite())
    };
    let mut seen: Vec<f64> = Vec::new();
    for y in finite() {
        if seen.len() < 3 && !seen.contains(&y) {
            seen.push(y);
        }
    }
    if seen.len() < 3 || size <= 0.0 {
        return 0.0;
    }
    let top = size.log10().floor() as i32;
    (0..9)
        .map(|k| 10.0_f64.powi(top - k))
        .find(|digit| finite().all(|y| ((y / digit).round() * digit - y).abs() <= 1e-6 * digit))
        .unwrap_or(0.0)
}

/// Smallest step, if all steps looked at are whole multiples of it; otherwise zero.
fn resolution(samples: &[f64], size: f64) -> f64 {
    let rounding = 1e-12 * size;
    let steps = || {
        spread(samples.len().saturating_sub(1))
            .map(|i| (samples[i + 1] - samples[i]).abs())
            .filter(|d| d.is_finite() && *d > rounding)
    };
    let smallest = steps().fold(f64::INFINITY, f64::min);
    if !smallest.is_finite() {
        return 0.0;
    }
    if steps().take(3).count() < 3 {
        return decimals(samples, size);
    }
    // Refine over small multiples, then ask whether the rest fits. Text with decimals is exact to rounding.
    let (mut total, mut count) = (0.0, 0.0);
    let (mut fits, mut all) = (0usize, 0usize);
    for step in steps() {
        let multiple = (step / smallest).round();
        all += 1;
        if multiple <= 1000.0 {
            total += step;
            count += multiple;
        }
        let off = (step - multiple * smallest).abs();
        fits += usize::from(off <= 0.02 * smallest || multiple > 1e5);
    }
    // One difference in a hundred may miss the grid; a record of few samples shows no grid.
    if count > 0.0 && all >= 3 && fits * 100 >= all * 99 {
        total / count
    } else {
        decimals(samples, size)
    }
}
