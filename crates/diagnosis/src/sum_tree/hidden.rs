//! A hidden cause that several observations share.

use super::{ln_sum::LnSum, pass::Failed};

/// A cause of which only weights are known, and on which several observations depend: the
/// joint likelihood is Σᵥ wᵥ·∏ᵢ Lᵢ(v, sumᵢ). Sets that no such observation lies below are
/// worked out once, the others for each value.
pub struct Hidden<'a> {
    /// Natural logarithms of the weights of its values; they need not sum to 1.
    pub ln_weights: Vec<f64>,
    /// The observations that depend on it.
    pub observations: Vec<HiddenObservation<'a>>,
    /// Which values are tried, and in which order.
    pub values: Values,
}

/// Which values of a hidden cause are tried.
#[derive(Debug, Clone, PartialEq)]
pub enum Values {
    /// All.
    All,
    /// Just these, of which one at least: what was tried before, so that two answers rest on
    /// the same values and can be compared however much was left out.
    These(Vec<usize>),
    /// Those of the largest bounds first, until the bounds of the rest sum to this share of
    /// the evidence found. Fails when more than `most` would have to be tried.
    Bounded {
        /// Upper bounds of ln(weight·likelihood) by value.
        ln_bounds: Vec<f64>,
        /// Share that may be left out: the largest error of a probability.
        left_out: f64,
        /// Values tried at most.
        most: usize,
    },
    /// Points of a lattice for the trapezoidal rule over one or two axes: from the middle to
    /// the points beside, as long as a point holds at least this share of the evidence found,
    /// by strides that are halved while the rule cannot be trusted. Fails like the above.
    Lattice {
        /// Points along either axis, odd; the second axis varies fastest.
        sides: [usize; 2],
        /// Strides to begin with, powers of 2.
        strides: [usize; 2],
        /// Smallest share of a point whose neighbours are tried.
        share: f64,
        /// Points tried at most.
        most: usize,
    },
}

/// Relative difference of two trapezoidal sums over every other point each from which on the
/// rule over all of them is not trusted: for a normal integrand the error of the rule is an
/// eighth of the fourth power of that, here 10⁻³ (Poisson's summation formula, from memory).
const DISAGREE: f64 = 0.3;

/// Variance of the points' shares along an axis, in strides, below which the rule is not
/// trusted either: a narrow peak just between two points makes the sums agree by chance, but
/// has a variance of a quarter. At this one a normal integrand is summed to 10⁻³ (the same).
const NARROW: f64 = 0.385;

/// A likelihood over the sum of a set of leaves that depends on the hidden cause.
pub struct HiddenObservation<'a> {
    /// The leaves, in any order; none means that the sum is 0.
    pub leaves: Vec<usize>,
    /// Natural logarithm of the likelihood, by value and sum in grid steps.
    pub ln_likelihood: Box<OfValue<'a>>,
    /// What the posterior mean of is asked for, by value and sum, if anything.
    pub mean_of: Option<Box<OfValue<'a>>>,
}

impl std::fmt::Debug for HiddenObservation<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("HiddenObservation")
            .field("leaves", &self.leaves)
            .finish_non_exhaustive()
    }
}

/// A function of the value of the hidden cause and of a sum in grid steps.
pub type OfValue<'a> = dyn Fn(usize, f64) -> f64 + 'a;

impl std::fmt::Debug for Hidden<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Hidden")
            .field("ln_weights", &self.ln_weights)
            .field("observations", &self.observations)
            .field("values", &self.values)
            .finish()
    }
}

/// The values tried so far, with the logarithm of the evidence of each.
#[derive(Debug, Clone, Default)]
pub(super) struct Tried {
    pub(super) values: Vec<usize>,
    pub(super) ln: Vec<LnSum>,
    /// Present strides on a lattice, 0 before the first point.
    strides: [usize; 2],
}

impl Tried {
    /// ln of the whole evidence found.
    pub(super) fn ln_total(&self) -> LnSum {
        let top = LnSum::largest(self.ln.iter().copied());
        if !top.rounded().is_finite() {
            return LnSum::IMPOSSIBLE;
        }
        let sum = self.ln.iter().map(|ln| above(*ln, top)).sum::<f64>();
        // On a lattice each point stands for as many as were skipped.
        let each = self.strides.iter().map(|s| (*s).max(1)).product::<usize>();
        top.plus(sum.ln()).plus((each as f64).ln())
    }

    /// Share of the evidence of the value tried at a turn.
    pub(super) fn share(&self, turn: usize, total: LnSum) -> f64 {
        let each = self.strides.iter().map(|s| (*s).max(1)).product::<usize>();
        above(self.ln[turn], total) * each as f64
    }

    /// The next value to try, if any.
    pub(super) fn next(&mut self, hidden: &Hidden<'_>) -> Result<Option<usize>, Failed> {
        let count = hidden.ln_weights.len();
        let (next, most) = match &hidden.values {
            Values::All => {
                let next = self.values.len();
                ((next < count).then_some(next), usize::MAX)
            }
            Values::These(values) => (values.get(self.values.len()).copied(), usize::MAX),
            Values::Bounded {
                ln_bounds,
                left_out,
                most,
            } => (self.by_bound(ln_bounds, *left_out), *most),
            Values::Lattice {
                sides,
                strides,
                share,
                most,
            } => {
                if self.values.is_empty() {
                    self.strides = *strides;
                }
                (self.on_lattice(*sides, *share), *most)
            }
        };
        if next.is_some() && self.values.len() >= most {
            return Err(Failed::TooMany(count));
        }
        Ok(next)
    }

    fn by_bound(&self, ln_bounds: &[f64], left_out: f64) -> Option<usize> {
        let total = self.ln_total().rounded();
        let left = ln_bounds
            .iter()
            .enumerate()
            .filter(|(value, _)| !self.values.contains(value));
        let next = left
            .clone()
            .max_by(|a, b| a.1.total_cmp(b.1).then(b.0.cmp(&a.0)))?;
        let rest: f64 = left.map(|(_, bound)| (bound - total).exp()).sum();
        (!total.is_finite() || rest > left_out).then_some(next.0)
    }

    fn on_lattice(&mut self, sides: [usize; 2], share: f64) -> Option<usize> {
        if self.values.is_empty() {
            return Some(sides[0] / 2 * sides[1] + sides[1] / 2);
        }
        loop {
            let total = self.ln_total();
            let shares: Vec<f64> = (0..self.values.len())
                .map(|turn| self.share(turn, total))
                .collect();
            if let Some(next) = self.beside(sides, &shares, share) {
                return Some(next);
            }
            let coarse = (0..2)
                .find(|&axis| self.strides[axis] > 1 && self.disagrees(sides, &shares, axis))?;
            self.strides[coarse] /= 2;
        }
    }

    /// A point not yet tried, the neighbours of the largest first.
    fn beside(&self, sides: [usize; 2], shares: &[f64], share: f64) -> Option<usize> {
        let mut turns: Vec<usize> = (0..shares.len()).collect();
        turns.sort_by(|&a, &b| shares[b].total_cmp(&shares[a]).then(a.cmp(&b)));
        let large = turns.into_iter().filter(|&turn| shares[turn] >= share);
        large
            .flat_map(|turn| {
                let at = [self.values[turn] / sides[1], self.values[turn] % sides[1]];
                (0..2).flat_map(move |axis| {
                    let moved = |to: Option<usize>| {
                        let mut at = at;
                        at[axis] = to.filter(|&to| to < sides[axis])?;
                        Some(at[0] * sides[1] + at[1])
                    };
                    let stride = self.strides[axis];
                    [
                        moved(at[axis].checked_add(stride)),
                        moved(at[axis].checked_sub(stride)),
                    ]
                })
            })
            .flatten()
            .find(|value| !self.values.contains(value))
    }

    /// Whether the points along an axis are too far apart to be trusted.
    fn disagrees(&self, sides: [usize; 2], shares: &[f64], axis: usize) -> bool {
        let stride = self.strides[axis] as f64;
        let middle = (sides[axis] / 2) as f64;
        // Sums over even and odd points, then of the first and second power of the place.
        let mut sums = [0.0; 4];
        for (value, share) in self.values.iter().zip(shares) {
            let at = [value / sides[1], value % sides[1]][axis];
            let steps = (at as f64 - middle) / stride;
            sums[usize::from(steps % 2.0 != 0.0)] += share;
            sums[2] += share * steps;
            sums[3] += share * steps * steps;
        }
        let [even, odd, first, second] = sums;
        let all = even + odd;
        let variance = second / all - (first / all).powi(2);
        (even - odd).abs() > DISAGREE * all || variance < NARROW
    }
}

/// exp of how much `ln` is above a finite `base`.
fn above(ln: LnSum, base: LnSum) -> f64 {
    if ln.rounded().is_finite() && base.rounded().is_finite() {
        ln.above(base).exp()
    } else {
        0.0
    }
}
