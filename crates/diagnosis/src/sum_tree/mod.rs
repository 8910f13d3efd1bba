//! Exact posterior of currents that add up, on a discrete grid.
//!
//! Leaf *i* is at fault with its prior probability, independently; its current
//! takes one of a few positions, with one table of probabilities when healthy
//! and one when at fault. An observation is a likelihood over the *sum* of a
//! set of leaves. Where the observed sets nest or do not overlap, sums are
//! convolved up a binary tree and messages from outside are correlated down,
//! which gives every posterior exactly in time n·N·log N for n leaves and N
//! cells. Sets that cross are made to nest by conditioning on every position
//! of a few leaves, exact too, but slower by the number of their positions.
//!
//! Rounding: long convolutions use the fast Fourier transform, whose absolute
//! error is a fixed share of the *largest* entry. Each vector carries a bound of
//! its error; when a bound says that a probability could be off by more than
//! [`TOLERANCE`], everything is done again by direct convolution, whose error is
//! relative to *each* entry, and if even that leaves the range of the numbers,
//! on their logarithms. So a reading that is absurd under the prior costs time, not truth.

mod arith;
mod conditions;
mod counts;
mod down;
mod family;
mod faults;
mod hidden;
mod ln_sum;
mod message;
mod mixture;
mod pass;
mod quiet;

pub use faults::FaultSet;
pub use hidden::{Hidden, HiddenObservation, OfValue, Values};

use std::sync::Arc;

use arith::{Linear, Logs};
use conditions::Conditions;
use ln_sum::LnSum;
use mixture::Mixture;
use pass::{Failed, Nested, Passes};

/// Largest absolute error of a probability that rounding of the transforms may
/// cause, by their error bounds; a thousandth of the 1e-9 that is promised.
pub const TOLERANCE: f64 = 1e-12;

/// One leaf's prior. Both tables have one entry for each position.
#[derive(Debug, Clone, PartialEq)]
pub struct Leaf {
    /// Chance that it is at fault.
    pub prior_fault: f64,
    /// Positions in grid steps, ascending, not negative. A position between two
    /// cells of the grid is shared between them so that the mean is kept.
    pub at: Arc<[f64]>,
    /// P(position | healthy).
    pub healthy: Arc<[f64]>,
    /// P(position | at fault).
    pub faulty: Arc<[f64]>,
}

impl Leaf {
    /// A leaf on whole grid steps 0, 1, 2, ….
    pub fn on_grid(prior_fault: f64, healthy: Vec<f64>, faulty: Vec<f64>) -> Self {
        let at = (0..healthy.len().max(faulty.len()))
            .map(|k| k as f64)
            .collect();
        Self {
            prior_fault,
            at,
            healthy: healthy.into(),
            faulty: faulty.into(),
        }
    }
}

/// A likelihood over the sum of a set of leaves.
pub struct Observation<'a> {
    /// The leaves, in any order; none means that the sum is 0.
    pub leaves: Vec<usize>,
    /// Natural logarithm of the likelihood of a sum, in grid steps.
    pub ln_likelihood: Box<dyn Fn(f64) -> f64 + 'a>,
}

impl std::fmt::Debug for Observation<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Observation")
            .field("leaves", &self.leaves)
            .finish_non_exhaustive()
    }
}

/// The whole problem.
#[derive(Debug, Default)]
pub struct SumTree<'a> {
    /// The leaves.
    pub leaves: Vec<Leaf>,
    /// What was observed, in any order.
    pub observations: Vec<Observation<'a>>,
    /// A hidden cause that several observations share, if any.
    pub hidden: Option<Hidden<'a>>,
    /// Sets whose sum is asked for.
    pub queries: Vec<Vec<usize>>,
    /// Sums of this many steps and more count as one; `None`: no limit. Exact as
    /// long as no likelihood changes from there on.
    pub cap: Option<usize>,
    /// Most combinations of positions to condition on where sets cross.
    pub max_conditions: usize,
    /// Largest absolute error of a probability that rounding may cause; 0 means [`TOLERANCE`].
    pub tolerance: f64,
}

/// The sum of a set of leaves.
#[derive(Debug, Clone, PartialEq)]
pub struct SumPosterior {
    /// Probability of each number of grid steps.
    pub pmf: Vec<f64>,
    /// Probability of the cap and more.
    pub over: f64,
    /// Chance that some leaf of the set is at fault.
    pub p_fault: f64,
    /// The part of each entry of `pmf` in which no leaf of the set is at fault.
    pub quiet: Vec<f64>,
}

/// What follows from the observations.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Posterior {
    /// Natural logarithm of the probability (density) of the observations.
    pub ln_evidence: f64,
    /// What rounding took from `ln_evidence`: where two large ones are compared, add the
    /// difference of these.
    pub ln_evidence_lost: f64,
    /// Chance of each leaf to be at fault.
    pub p_fault: Vec<f64>,
    /// Probability of each position of each leaf.
    pub levels: Vec<Vec<f64>>,
    /// The sums asked for, in order.
    pub sums: Vec<SumPosterior>,
    /// The chance of each value of the hidden cause; 0 for those that were not tried.
    pub hidden: Vec<f64>,
    /// Posterior means asked for, by observation of the hidden cause; 0 where none was.
    pub means: Vec<f64>,
}

/// Why there is no posterior.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum SumTreeError {
    /// A leaf whose tables do not fit together, by its number.
    BadLeaf(usize),
    /// A set names a leaf that does not exist.
    UnknownLeaf(usize),
    /// The observations cannot all be true, whatever the currents.
    Impossible,
    /// Sets cross so much that too many combinations would have to be tried.
    TooManyConditions(usize),
}

impl std::fmt::Display for SumTreeError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::BadLeaf(leaf) => write!(
                f,
                "leaf {leaf}: its tables must have one non-negative entry for each ascending position"
            ),
            Self::UnknownLeaf(leaf) => write!(f, "there is no leaf {leaf}"),
            Self::Impossible => write!(f, "the observations cannot all be true"),
            Self::TooManyConditions(n) => write!(
                f,
                "observed groups cross each other in {n} combinations; observe groups that nest"
            ),
        }
    }
}

impl std::error::Error for SumTreeError {}

impl SumTree<'_> {
    /// The posterior.
    ///
    /// # Errors
    /// See [`SumTreeError`].
    pub fn solve(&self) -> Result<Posterior, SumTreeError> {
        self.check()?;
        let plan = Conditions::of(self)?;
        let mut mixture = Mixture::default();
        let mut possible = false;
        plan.each(self, |choice| {
            let nested = plan.nested(self, choice, &[]);
            match solve_nested(&nested, self.tolerance()) {
                Ok(solved) => {
                    possible = true;
                    mixture.add(self, &plan, choice, solved);
                    Ok(())
                }
                Err(SumTreeError::Impossible) => Ok(()),
                Err(other) => Err(other),
            }
        })?;
        if possible {
            Ok(mixture.finish())
        } else {
            Err(SumTreeError::Impossible)
        }
    }

    /// Natural logarithm of the probability (density) of the observations alone,
    /// in less time than the whole posterior.
    ///
    /// # Errors
    /// See [`SumTreeError`].
    pub fn ln_evidence(&self) -> Result<f64, SumTreeError> {
        self.ln_evidence_exact().map(|[ln, _]| ln)
    }

    /// The same, and what rounding took from it.
    pub(crate) fn ln_evidence_exact(&self) -> Result<[f64; 2], SumTreeError> {
        self.check()?;
        let plan = Conditions::of(self)?;
        let mut parts: Vec<LnSum> = Vec::new();
        plan.each(self, |choice| {
            let nested = plan.nested(self, choice, &[]);
            match evidence_nested(&nested, self.tolerance()) {
                Ok(ln) => parts.push(ln),
                Err(SumTreeError::Impossible) => {}
                Err(other) => return Err(other),
            }
            Ok(())
        })?;
        let top = LnSum::largest(parts.iter().copied());
        if !top.rounded().is_finite() {
            return Err(SumTreeError::Impossible);
        }
        let total: f64 = parts.iter().map(|part| part.above(top).exp()).sum();
        Ok(top.plus(total.ln()).pair())
    }

    fn tolerance(&self) -> f64 {
        if self.tolerance > 0.0 {
            self.tolerance
        } else {
            TOLERANCE
        }
    }

    fn check(&self) -> Result<(), SumTreeError> {
        // Looks at every entry without stopping, which is quicker for sound tables,
        // and once at tables that several leaves share.
        let sound = |ok: bool, x: &f64| ok & (0.0..f64::INFINITY).contains(x);
        let table = |t: &[f64], n: usize| t.len() == n && t.iter().fold(true, sound);
        let mut seen: Vec<[*const f64; 3]> = Vec::new();
        for (i, leaf) in self.leaves.iter().enumerate() {
            if !(0.0..=1.0).contains(&leaf.prior_fault) {
                return Err(SumTreeError::BadLeaf(i));
            }
            let tables = [&leaf.at, &leaf.healthy, &leaf.faulty].map(|t| t.as_ptr());
            if seen.contains(&tables) {
                continue;
            }
            seen.push(tables);
            let n = leaf.at.len();
            let pairs = leaf.at.iter().zip(leaf.at.iter().skip(1));
            let ascending = pairs.fold(true, |ok, (a, b)| ok & (a < b));
            let positions = leaf.at.first().is_some_and(|&at| at >= 0.0) && ascending;
            if !(positions && table(&leaf.healthy, n) && table(&leaf.faulty, n)) {
                return Err(SumTreeError::BadLeaf(i));
            }
        }
        let hidden = self.hidden.iter().flat_map(|h| &h.observations);
        let named = self.observations.iter().map(|o| &o.leaves);
        let named = named.chain(hidden.map(|o| &o.leaves)).chain(&self.queries);
        match named.flatten().find(|&&leaf| leaf >= self.leaves.len()) {
            Some(&leaf) => Err(SumTreeError::UnknownLeaf(leaf)),
            None => Ok(()),
        }
    }
}

/// The evidence in the quickest arithmetic that can be trusted here.
fn evidence_nested(nested: &Nested<'_>, tolerance: f64) -> Result<LnSum, SumTreeError> {
    trusted(
        || Passes::new(nested, Linear::new(true)).evidence(tolerance),
        || Passes::new(nested, Linear::new(false)).evidence(tolerance),
        || Passes::new(nested, Logs).evidence(tolerance),
    )
}

/// Passes in the quickest arithmetic that can be trusted here.
fn solve_nested(nested: &Nested<'_>, tolerance: f64) -> Result<pass::Solved, SumTreeError> {
    trusted(
        || Passes::new(nested, Linear::new(true)).solve(tolerance),
        || Passes::new(nested, Linear::new(false)).solve(tolerance),
        || Passes::new(nested, Logs).solve(tolerance),
    )
}

/// The first answer that can be trusted, the quickest way tried first.
fn trusted<T>(
    fast: impl Fn() -> Result<T, Failed>,
    direct: impl Fn() -> Result<T, Failed>,
    logs: impl Fn() -> Result<T, Failed>,
) -> Result<T, SumTreeError> {
    for way in [&fast as &dyn Fn() -> Result<T, Failed>, &direct, &logs] {
        match way() {
            Ok(found) => return Ok(found),
            Err(Failed::TooMany(values)) => return Err(SumTreeError::TooManyConditions(values)),
            // "Impossible" may only mean that numbers became too small to hold.
            Err(Failed::Rounding | Failed::Impossible) => {}
        }
    }
    Err(SumTreeError::Impossible)
}
