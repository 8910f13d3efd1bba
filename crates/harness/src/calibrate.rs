//! Calibrating fuses by use: where the current of a fuse was read another way
//! too, the millivolts across it tell its resistance.
//!
//! The logarithm of a fuse's resistance over its table value, in units of the
//! table's tolerance, is the sum of a part that all fuses of its family share
//! (one maker, one table, one temperature) and a part of its own. Both are
//! normal; a reading of millivolts beside a reading of the current observes
//! their sum. Everything
//! is Gaussian, so the posterior is a linear solve (conjugate normal model, as
//! in Gelman et al., "Bayesian Data Analysis", 3rd ed., 2013, chapter 5).

use measure::Uncertain;

use super::fuse::{self, FuseFamily};

/// Share of the table's tolerance (as a variance) that the fuses of a family
/// have in common. From memory: fuses of one rating from one maker differ by a
/// few percent, tables of different makers by the rest.
pub const SHARED_SHARE: f64 = 0.7;

/// A fuse whose millivolts and current were both read, the same current flowing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pair {
    /// Which fuse, by any number that tells fuses apart.
    pub fuse: usize,
    /// Any number that tells currents apart: the same for readings of one current.
    pub current_of: usize,
    /// Its family.
    pub family: Option<FuseFamily>,
    /// Its rating, ampere.
    pub rating_a: f64,
    /// Voltage across it, volt.
    pub drop: Uncertain,
    /// Current through it, read another way, ampere.
    pub current: Uncertain,
}

/// A fuse's resistance once the pairs are known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Calibrated {
    /// Ohm, cold.
    pub ohm: Uncertain,
    /// The part of its relative standard uncertainty that all fuses of the
    /// family still share.
    pub shared_u: f64,
    /// How many pairs spoke on it.
    pub pairs: usize,
}

/// What the pairs tell of one family, as the mean and the covariance of its
/// shared part and of the own parts of the fuses that were read.
#[derive(Debug, Clone, PartialEq)]
pub struct Calibration {
    observed: Vec<Observed>,
}

#[derive(Debug, Clone, Copy, PartialEq)]
struct Observed {
    fuse: usize,
    current_of: usize,
    family: Option<FuseFamily>,
    /// Relative standard uncertainty of the table.
    sigma: f64,
    /// Logarithm of the resistance seen over the table's.
    ratio: f64,
    /// Its variance from the two readings.
    variance: f64,
}

impl Calibration {
    /// From the pairs read. A pair whose readings cannot tell a resistance
    /// (nothing flowed, signs differ, the current was too little known) is left out.
    pub fn from_pairs(pairs: &[Pair]) -> Self {
        Self {
            observed: pairs.iter().filter_map(observe).collect(),
        }
    }

    /// Whether no pair was of use.
    pub fn is_empty(&self) -> bool {
        self.observed.is_empty()
    }

    /// The cold resistance of a fuse; `None` for an impossible rating. Without
    /// a pair of its family it is that of the table.
    ///
    /// `but_not` leaves out the pairs of one current: what a reading of that
    /// current stands for must not rest on the very value it was compared with,
    /// or that value would count twice.
    pub fn resistance(
        &self,
        fuse: usize,
        family: Option<FuseFamily>,
        rating_a: f64,
        but_not: Option<usize>,
    ) -> Option<Calibrated> {
        let table = fuse::resistance(family, rating_a, None)?;
        let sigma = table.ohm.u / table.ohm.value;
        let seen: Vec<&Observed> = self
            .observed
            .iter()
            .filter(|one| one.family == family && but_not != Some(one.current_of))
            .collect();
        let Some(posterior) = Posterior::solve(&seen, fuse, sigma) else {
            return Some(Calibrated {
                ohm: table.ohm,
                shared_u: sigma * SHARED_SHARE.sqrt(),
                pairs: 0,
            });
        };
        let ohm = table.ohm.value * posterior.mean.exp();
        Some(Calibrated {
            ohm: Uncertain::new(ohm, ohm * posterior.variance.sqrt()),
            shared_u: posterior.shared_variance.sqrt(),
            pairs: seen.len(),
        })
    }
}

/// Largest relative uncertainty of a pair that still teaches something.
/// Common practice: worse than the table itself, it is no calibration.
const USELESS: f64 = 0.3;

fn observe(pair: &Pair) -> Option<Observed> {
    let table = fuse::resistance(pair.family, pair.rating_a, None)?.ohm;
    let seen =
        pair.drop.value / pair.current.value / fuse::heating(pair.current.value, pair.rating_a);
    let relative = (pair.drop.u / pair.drop.value).hypot(pair.current.u / pair.current.value);
    let usable = seen > 0.0 && seen.is_finite() && relative < USELESS;
    usable.then(|| Observed {
        fuse: pair.fuse,
        current_of: pair.current_of,
        family: pair.family,
        sigma: table.u / table.value,
        ratio: (seen / table.value).ln(),
        // No pair is exact: 1 % for leads, place of the tips and time between (common practice).
        variance: relative.powi(2) + 0.01_f64.powi(2),
    })
}

/// How far two fuses go together: the shared part, and all of it for one and the same.
fn together(same: bool) -> f64 {
    if same { 1.0 } else { SHARED_SHARE }
}

struct Posterior {
    mean: f64,
    variance: f64,
    shared_variance: f64,
}

impl Posterior {
    /// The posterior for `fuse`, whose table is uncertain by `sigma`, from
    /// observations of several fuses; `None` without any.
    fn solve(seen: &[&Observed], fuse: usize, sigma: f64) -> Option<Self> {
        if seen.is_empty() {
            return None;
        }
        // Covariance of the observations, and of each with the fuse and with its shared part.
        let n = seen.len();
        let mut matrix = vec![0.0; n * n];
        for (i, a) in seen.iter().enumerate() {
            for (j, b) in seen.iter().enumerate() {
                let noise = if i == j { a.variance } else { 0.0 };
                matrix[i * n + j] = a.sigma * b.sigma * together(a.fuse == b.fuse) + noise;
            }
        }
        let factor = cholesky(matrix, n)?;
        let column = |with: &dyn Fn(&Observed) -> f64| -> Vec<f64> {
            let column: Vec<f64> = seen.iter().map(|one| with(one)).collect();
            lower(&factor, n, &column)
        };
        let by_fuse = column(&|one| sigma * one.sigma * together(one.fuse == fuse));
        let by_shared = column(&|one| sigma * one.sigma * SHARED_SHARE);
        let by_ratio = column(&|one| one.ratio);
        let dot = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| a * b).sum::<f64>();
        let all = sigma * sigma;
        Some(Self {
            mean: dot(&by_fuse, &by_ratio),
            variance: (all - dot(&by_fuse, &by_fuse)).max(0.0),
            shared_variance: (SHARED_SHARE * all - dot(&by_shared, &by_shared)).max(0.0),
        })
    }
}

/// Lower triangle L with L·Lᵀ = the matrix; `None` when it is not positive definite.
fn cholesky(mut matrix: Vec<f64>, n: usize) -> Option<Vec<f64>> {
    for i in 0..n {
        for j in 0..=i {
            let below: f64 = (0..j).map(|k| matrix[i * n + k] * matrix[j * n + k]).sum();
            let rest = matrix[i * n + j] - below;
            matrix[i * n + j] = if i != j {
                rest / matrix[j * n + j]
            } else if rest > 0.0 {
                rest.sqrt()
            } else {
                return None;
            };
        }
    }
    Some(matrix)
}

/// L⁻¹·b.
fn lower(factor: &[f64], n: usize, b: &[f64]) -> Vec<f64> {
    let mut x = Vec::with_capacity(n);
    for i in 0..n {
        let below: f64 = (0..i).map(|k| factor[i * n + k] * x[k]).sum();
        x.push((b[i] - below) / factor[i * n + i]);
    }
    x
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn pair(fuse: usize, family: FuseFamily, rating_a: f64, factor: f64) -> Pair {
        let ohm = fuse::resistance(Some(family), rating_a, None)
            .unwrap()
            .ohm
            .value;
        let current = 0.4;
        let ohm = ohm * fuse::heating(current, rating_a);
        Pair {
            fuse,
            current_of: fuse,
            family: Some(family),
            rating_a,
            drop: Uncertain::new(factor * ohm * current, 1e-3 * factor * ohm * current),
            current: Uncertain::new(current, 0.004),
        }
    }

    #[test]
    fn one_pair_moves_its_fuse_most_and_its_family_with_it() {
        let calibration = Calibration::from_pairs(&[pair(1, FuseFamily::Mini, 15.0, 1.1)]);
        let table = |rating| {
            fuse::resistance(Some(FuseFamily::Mini), rating, None)
                .unwrap()
                .ohm
        };
        let at = |fuse, rating| {
            calibration
                .resistance(fuse, Some(FuseFamily::Mini), rating, None)
                .unwrap()
        };
        let (own, other) = (at(1, 15.0), at(2, 10.0));
        let own_ratio = own.ohm.value / table(15.0).value;
        let other_ratio = other.ohm.value / table(10.0).value;
        assert!((1.08..1.1).contains(&own_ratio), "{own_ratio}");
        assert!(
            other_ratio > 1.04 && other_ratio < own_ratio,
            "{other_ratio}"
        );
        assert!(own.ohm.u / own.ohm.value < 0.02);
        // At best √(1 − 0.7²) = 0.71 of the table's is left, since its own part is not read.
        let left = (other.ohm.u / other.ohm.value) / (table(10.0).u / table(10.0).value);
        assert!((0.71..0.75).contains(&left), "{left}");
        assert!(other.shared_u < other.ohm.u / other.ohm.value);
        // Another family learns nothing.
        let blade = calibration
            .resistance(3, Some(FuseFamily::Blade), 15.0, None)
            .unwrap();
        let plain = fuse::resistance(Some(FuseFamily::Blade), 15.0, None).unwrap();
        assert_eq!((blade.ohm, blade.pairs), (plain.ohm, 0));
    }

    #[test]
    fn a_fuse_can_be_left_out_of_its_own_calibration() {
        let calibration = Calibration::from_pairs(&[pair(1, FuseFamily::Mini, 15.0, 1.1)]);
        let without = calibration
            .resistance(1, Some(FuseFamily::Mini), 15.0, Some(1))
            .unwrap();
        let table = fuse::resistance(Some(FuseFamily::Mini), 15.0, None).unwrap();
        assert_eq!(without.ohm, table.ohm);
    }

    /// Two fuses and a third, against the textbook formula for exchangeable members
    /// of a two-level normal model (shared variance s, own o, noise e).
    #[test]
    fn two_pairs_agree_with_the_closed_form() {
        let (sigma, e) = (0.25, 0.0001);
        let (s, o) = (
            SHARED_SHARE * sigma * sigma,
            (1.0 - SHARED_SHARE) * sigma * sigma,
        );
        let seen = |fuse, ratio| Observed {
            fuse,
            current_of: fuse,
            family: None,
            sigma,
            ratio,
            variance: e,
        };
        let (a, b) = (seen(1, 0.1), seen(2, -0.02));
        let new = Posterior::solve(&[&a, &b], 9, sigma).unwrap();
        // For n of them: E = s·Σy/(n·s + o + e), V = s + o − n·s²/(n·s + o + e).
        let below = 2.0 * s + o + e;
        assert!((new.mean - s * 0.08 / below).abs() < 1e-12);
        assert!((new.variance - (s + o - 2.0 * s * s / below)).abs() < 1e-12);
        assert!((new.shared_variance - (s - 2.0 * s * s / below)).abs() < 1e-12);
    }

    #[test]
    fn what_tells_nothing_is_left_out() {
        let good = pair(1, FuseFamily::Mini, 15.0, 1.0);
        let none = Pair {
            current: Uncertain::new(0.0, 0.001),
            ..good
        };
        let reversed = Pair {
            drop: Uncertain::new(-good.drop.value, good.drop.u),
            ..good
        };
        let vague = Pair {
            current: Uncertain::new(0.4, 0.2),
            ..good
        };
        assert!(Calibration::from_pairs(&[none, reversed, vague]).is_empty());
    }

    proptest! {
        /// More pairs never make a resistance less known, and agreement with the
        /// table never moves it.
        #[test]
        fn pairs_only_teach(factors in prop::collection::vec(0.7..1.4_f64, 1..6)) {
            let pairs: Vec<Pair> = factors
                .iter()
                .enumerate()
                .map(|(at, f)| pair(at, FuseFamily::Mini, [5.0, 10.0, 15.0][at % 3], *f))
                .collect();
            let mut last = f64::INFINITY;
            for n in 0..=pairs.len() {
                let known = Calibration::from_pairs(&pairs[..n])
                    .resistance(99, Some(FuseFamily::Mini), 10.0, None)
                    .unwrap();
                let relative = known.ohm.u / known.ohm.value;
                prop_assert!(relative <= last + 1e-12);
                prop_assert!(known.shared_u <= relative + 1e-12);
                last = relative;
            }
            let same: Vec<Pair> = (0..3).map(|at| pair(at, FuseFamily::Mini, 15.0, 1.0)).collect();
            let still = Calibration::from_pairs(&same)
                .resistance(0, Some(FuseFamily::Mini), 15.0, None)
                .unwrap();
            let table = fuse::resistance(Some(FuseFamily::Mini), 15.0, None).unwrap().ohm.value;
            prop_assert!((still.ohm.value / table - 1.0).abs() < 1e-4);
        }
    }
}
