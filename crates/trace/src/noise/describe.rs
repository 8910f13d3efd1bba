//! How long the description of a short record is with some changes: levels, perhaps a straight line through all of them, and
//! correlated noise.
//!
//! ```text
//! ½ n ln v   +   (3/2 k   +   ½ p   +   s) ln n
//! ```
//!
//! for k changes, an autoregression of order p ≤ 2 of what is left about the levels, with innovations of variance v, and s = 1 with a line,
//! the least over p and s. Something that comes back by the clock is told by the sample one period before and the one just before,
//! which costs two coefficients and, since any lag may be the period, ln n more. A change costs 3/2 ln n (N. Zhang, D. Siegmund, "A modified Bayes information criterion with
//! applications to the analysis of comparative genomic hybridization data", Biometrics 63, 2007), a coefficient ½ ln n (G. Schwarz,
//! "Estimating the dimension of a model", Annals of Statistics 6, 1978); levels in autoregressive noise as in S. Chakar, E. Lebarbier,
//! C. Lévy-Leduc, S. Robin, "A robust approach for estimating change-points in the mean of an AR(1) process", Bernoulli 23, 2017.
//! A line costs twice a coefficient, a choice: a draw that steps is likelier than one that creeps.

use super::{Noise, median};

/// A fit with more than one segment to this many samples describes nothing. A choice.
pub(super) const MOST_SEGMENTS: usize = 4;
/// Order of the autoregression at most. A choice; two tell a season of one smooth wave.
const ORDER: usize = 2;
/// Periods that a record shows at least, so that it is not a step or two that look alike. A choice.
const PERIODS: usize = 6;
/// Samples on each side that tell whether one is a spike, and how many times the usual deviation from their median it is. Choices.
const BESIDE: usize = 2;
const SPIKE: f64 = 5.0;

/// `samples` with the median of its neighbours for each spike, which is farther from it than [`SPIKE`] times the upper quartile of
/// such distances (F. Hampel, "The influence curve and its role in robust estimation", JASA 69, 1974, for the idea).
pub(super) fn calm(samples: &[f64]) -> Vec<f64> {
    let beside: Vec<f64> = (0..samples.len())
        .map(|i| {
            let end = (i + BESIDE + 1).min(samples.len());
            median(&mut samples[i.saturating_sub(BESIDE)..end].to_vec())
        })
        .collect();
    let far = |i: usize| (samples[i] - beside[i]).abs();
    let mut distances: Vec<f64> = (0..samples.len()).map(far).collect();
    distances.sort_by(f64::total_cmp);
    let usual = distances
        .get(samples.len() * 3 / 4)
        .copied()
        .unwrap_or_default();
    let spike = |i: usize| usual > 0.0 && far(i) > SPIKE * usual;
    (0..samples.len())
        .map(|i| if spike(i) { beside[i] } else { samples[i] })
        .collect()
}

/// Length of the description of `samples` with segments that start at `firsts`, in natural units, but for what is the same for all.
pub(super) fn length(samples: &[f64], firsts: &[usize], noise: &Noise) -> f64 {
    let log = (samples.len() as f64).ln();
    // A rounded record cannot be described more closely than to its digit.
    let floor = (noise.resolution * noise.resolution / 12.0).max(1e-12 * noise.scatter.powi(2));
    let about = about_levels(samples, firsts);
    let place: Vec<f64> = (0..samples.len()).map(|i| i as f64).collect();
    let place = about_levels(&place, firsts);
    let slope = dot(&about, &place) / dot(&place, &place).max(f64::MIN_POSITIVE);
    let beside: Vec<f64> = (about.iter().zip(&place))
        .map(|(y, x)| y - slope * x)
        .collect();
    let changes = 1.5 * (firsts.len() - 1) as f64;
    let mut least = f64::INFINITY;
    for (residuals, line) in [(&about, 0.0), (&beside, 1.0)] {
        for order in 0..=ORDER {
            let variance = innovations(residuals, firsts, order).max(floor);
            let terms = changes + 0.5 * order as f64 + line;
            least = least.min(0.5 * samples.len() as f64 * variance.ln() + terms * log);
        }
        if let Some(period) = period(residuals) {
            // Two coefficients, and which lag it is.
            let terms = changes + 2.0 + line;
            least = least.min(seasonal(residuals, period, floor) + terms * log);
        }
    }
    least
}

/// `values` without the mean of each segment.
pub(super) fn about_levels(values: &[f64], firsts: &[usize]) -> Vec<f64> {
    let mut out = Vec::with_capacity(values.len());
    for (index, &first) in firsts.iter().enumerate() {
        let end = firsts.get(index + 1).copied().unwrap_or(values.len());
        let part = &values[first..end];
        let mean = part.iter().sum::<f64>() / part.len().max(1) as f64;
        out.extend(part.iter().map(|y| y - mean));
    }
    out
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}

/// Mean square of what the `order` samples before, in the same segment, do not tell.
fn innovations(residuals: &[f64], firsts: &[usize], order: usize) -> f64 {
    let mut sums = Two::default();
    let (mut squares, mut count) = (0.0, 0.0);
    for (index, &first) in firsts.iter().enumerate() {
        let end = firsts.get(index + 1).copied().unwrap_or(residuals.len());
        for t in first + order..end {
            let back = |lag: usize| {
                if lag <= order {
                    residuals[t - lag]
                } else {
                    0.0
                }
            };
            sums.add(back(1), back(2), residuals[t]);
            squares += residuals[t] * residuals[t];
            count += 1.0;
        }
    }
    let told = match order {
        0 => 0.0,
        1 => {
            // Beyond this a sample is its neighbour.
            let rho = (sums.ay / sums.aa.max(f64::MIN_POSITIVE)).clamp(0.0, 0.99);
            2.0 * rho * sums.ay - rho * rho * sums.aa
        }
        _ => sums.solve().map_or(0.0, |(a, b)| a * sums.ay + b * sums.by),
    };
    (squares - told) / f64::max(count, 1.0)
}

/// Sums for the regression of one quantity on two.
#[derive(Clone, Copy, Default)]
pub(super) struct Two {
    pub(super) aa: f64,
    pub(super) ab: f64,
    pub(super) bb: f64,
    pub(super) ay: f64,
    pub(super) by: f64,
}

impl Two {
    pub(super) fn add(&mut self, a: f64, b: f64, y: f64) {
        self.aa += a * a;
        self.ab += a * b;
        self.bb += b * b;
        self.ay += a * y;
        self.by += b * y;
    }

    pub(super) fn determinant(&self) -> f64 {
        self.aa * self.bb - self.ab * self.ab
    }

    /// The two coefficients; `None` where the two are one.
    pub(super) fn solve(&self) -> Option<(f64, f64)> {
        let det = self.determinant();
        (det > 1e-9 * self.aa * self.bb).then(|| {
            (
                (self.ay * self.bb - self.by * self.ab) / det,
                (self.by * self.aa - self.ay * self.ab) / det,
            )
        })
    }
}

/// The lag beyond the orders at which what is left is most alike, longer ones counting for less as fewer pairs tell of them; `None` for a record of fewer than [`PERIODS`] of any.
fn period(residuals: &[f64]) -> Option<usize> {
    let power = dot(residuals, residuals);
    let alike = |lag: usize| dot(&residuals[lag..], &residuals[..residuals.len() - lag]) / power;
    let lags = ORDER + 1..=residuals.len() / PERIODS;
    lags.max_by(|&a, &b| alike(a).total_cmp(&alike(b)))
}

/// Length of the description where the sample before and the one a period before tell a sample; those of the first period are told by
/// the one before alone, with the variance which that leaves over the whole record.
fn seasonal(residuals: &[f64], period: usize, floor: f64) -> f64 {
    let (mut both, mut squares) = (Two::default(), 0.0);
    let (mut one, mut own) = (0.0, residuals[0] * residuals[0]);
    for t in 1..residuals.len() {
        if t >= period {
            both.add(residuals[t - 1], residuals[t - period], residuals[t]);
            squares += residuals[t] * residuals[t];
        }
        one += residuals[t - 1] * residuals[t];
        own += residuals[t - 1] * residuals[t - 1];
    }
    let rho = (one / own.max(f64::MIN_POSITIVE)).clamp(0.0, 0.99);
    let before = std::iter::once(&0.0).chain(residuals);
    let errors = residuals
        .iter()
        .zip(before)
        .map(|(y, before)| (y - rho * before).powi(2));
    let errors: Vec<f64> = errors.collect();
    let early = (errors.iter().sum::<f64>() / errors.len() as f64).max(floor);
    let first: f64 = errors[..period].iter().sum::<f64>() / early;
    let told = both.solve().map_or(0.0, |(a, b)| a * both.ay + b * both.by);
    let (few, rest) = (period as f64, (residuals.len() - period) as f64);
    let late = ((squares - told) / rest).max(floor);
    // The others' own sums of squares over their variances are the number of samples, and left out.
    0.5 * (few * early.ln() + first - few + rest * late.ln())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Invented: even noise, louder over the first seventh, as while a vehicle shuts down.
    fn loud_start(n: u32) -> Vec<f64> {
        let noise = |i: u32| (f64::from(i) * 0.618_033_988_75).fract() - 0.5;
        (0..n)
            .map(|i| noise(i * i % 997) * if i < n / 7 { 3.0 } else { 1.0 })
            .collect()
    }

    #[test]
    fn a_loud_start_is_no_season() {
        for n in [100, 200, 500] {
            let residuals = about_levels(&loud_start(n), &[0]);
            let lag = period(&residuals).unwrap_or(ORDER + 1);
            let plain = 0.5 * f64::from(n) * innovations(&residuals, &[0], 0).ln();
            let season = seasonal(&residuals, lag, 1e-12) + 2.0 * f64::from(n).ln();
            assert!(season > plain, "{n}: {season} {plain}");
        }
    }

    #[test]
    fn a_swing_is_told_by_its_clock() {
        let swing = [0.0, 3.0, -1.0, 4.0, -2.0, 1.0, -5.0];
        let noise = loud_start(140);
        let residuals: Vec<f64> = (0..140).map(|i| swing[i % 7] + 0.1 * noise[i]).collect();
        let residuals = about_levels(&residuals, &[0]);
        assert_eq!(period(&residuals), Some(7));
        let plain = 70.0 * innovations(&residuals, &[0], 2).ln();
        assert!(seasonal(&residuals, 7, 1e-12) + 2.0 * 140.0_f64.ln() < plain - 50.0);
    }
}
