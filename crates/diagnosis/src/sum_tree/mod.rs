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
mod family;
mod faults;
mod pass;

pub use faults::FaultSet;

use arith::{Linear, Logs};
use family::Set;
use pass::{Cells, Failed, LnLikelihood, Nested, Passes};

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
    pub at: Vec<f64>,
    /// P(position | healthy).
    pub healthy: Vec<f64>,
    /// P(position | at fault).
    pub faulty: Vec<f64>,
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
            healthy,
            faulty,
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
#[derive(Debug, Clone, PartialEq)]
pub struct Posterior {
    /// Natural logarithm of the probability (density) of the observations.
    pub ln_evidence: f64,
    /// Chance of each leaf to be at fault.
    pub p_fault: Vec<f64>,
    /// Probability of each position of each leaf.
    pub levels: Vec<Vec<f64>>,
    /// The sums asked for, in order.
    pub sums: Vec<SumPosterior>,
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

    fn tolerance(&self) -> f64 {
        if self.tolerance > 0.0 {
            self.tolerance
        } else {
            TOLERANCE
        }
    }

    fn check(&self) -> Result<(), SumTreeError> {
        let table =
            |t: &[f64], n: usize| t.len() == n && t.iter().all(|&x| x >= 0.0 && x.is_finite());
        for (i, leaf) in self.leaves.iter().enumerate() {
            let n = leaf.at.len();
            let ascending = leaf.at.windows(2).all(|w| w[0] < w[1]);
            let positions = leaf.at.first().is_some_and(|&at| at >= 0.0) && ascending;
            let prior = (0.0..=1.0).contains(&leaf.prior_fault);
            if !(positions && prior && table(&leaf.healthy, n) && table(&leaf.faulty, n)) {
                return Err(SumTreeError::BadLeaf(i));
            }
        }
        let named = self
            .observations
            .iter()
            .map(|o| &o.leaves)
            .chain(&self.queries);
        match named.flatten().find(|&&leaf| leaf >= self.leaves.len()) {
            Some(&leaf) => Err(SumTreeError::UnknownLeaf(leaf)),
            None => Ok(()),
        }
    }
}

/// Passes in the quickest arithmetic that can be trusted here.
fn solve_nested(nested: &Nested<'_>, tolerance: f64) -> Result<pass::Solved, SumTreeError> {
    for fast in [true, false] {
        // "Impossible" may only mean that numbers became too small to hold.
        if let Ok(solved) = Passes::new(nested, Linear::new(fast)).solve(tolerance) {
            return Ok(solved);
        }
    }
    Passes::new(nested, Logs)
        .solve(tolerance)
        .map_err(|_: Failed| SumTreeError::Impossible)
}

/// Which leaves to fix so that all sets nest, and the sets that remain.
struct Conditions {
    cut: Vec<usize>,
    /// Observed sets, then queried ones, the fixed leaves included.
    sets: Vec<Set>,
}

impl Conditions {
    fn of(problem: &SumTree<'_>) -> Result<Self, SumTreeError> {
        let n = problem.leaves.len();
        let named = problem.observations.iter().map(|o| &o.leaves);
        let sets: Vec<Set> = named
            .chain(&problem.queries)
            .map(|set| Set::new(set, n))
            .collect();
        let cells: Vec<usize> = problem.leaves.iter().map(|leaf| leaf.at.len()).collect();
        let cut = family::cut(&sets, &cells);
        let count = cut
            .iter()
            .map(|&leaf| cells[leaf])
            .fold(1_usize, usize::saturating_mul);
        // 0 stands for a limit nobody chose: a million, from memory, is seconds of work.
        let limit = if problem.max_conditions == 0 {
            1_000_000
        } else {
            problem.max_conditions
        };
        if count > limit {
            return Err(SumTreeError::TooManyConditions(count));
        }
        Ok(Self { cut, sets })
    }

    /// Calls `then` with every combination of positions (by index) of the fixed leaves.
    fn each(
        &self,
        problem: &SumTree<'_>,
        mut then: impl FnMut(&[usize]) -> Result<(), SumTreeError>,
    ) -> Result<(), SumTreeError> {
        let mut choice = vec![0; self.cut.len()];
        loop {
            then(&choice)?;
            let mut digit = 0;
            loop {
                if digit == choice.len() {
                    return Ok(());
                }
                choice[digit] += 1;
                if choice[digit] < problem.leaves[self.cut[digit]].at.len() {
                    break;
                }
                choice[digit] = 0;
                digit += 1;
            }
        }
    }

    /// What the fixed leaves add to a set's sum, in steps.
    fn shift(&self, problem: &SumTree<'_>, choice: &[usize], set: &Set) -> f64 {
        let fixed = self.cut.iter().zip(choice);
        fixed
            .filter(|&(&leaf, _)| set.contains(leaf))
            .map(|(&leaf, &at)| problem.leaves[leaf].at[at])
            .sum()
    }

    /// The nested problem for one combination; `faults` may fix the state of some leaves.
    fn nested<'p>(
        &self,
        problem: &'p SumTree<'_>,
        choice: &[usize],
        faults: &[Option<bool>],
    ) -> Nested<'p> {
        let mut leaves: Vec<Cells> = problem
            .leaves
            .iter()
            .enumerate()
            .map(|(i, leaf)| joint_masses(leaf, faults.get(i).copied().flatten()))
            .collect();
        for (&leaf, &at) in self.cut.iter().zip(choice) {
            let cells = &leaves[leaf];
            leaves[leaf] = Cells {
                at: vec![0.0],
                healthy: vec![cells.healthy[at]],
                faulty: vec![cells.faulty[at]],
            };
        }
        let observations = problem
            .observations
            .iter()
            .enumerate()
            .map(|(i, o)| {
                let likelihood: &LnLikelihood<'_> = &*o.ln_likelihood;
                (i, self.shift(problem, choice, &self.sets[i]), likelihood)
            })
            .collect();
        Nested {
            leaves,
            sets: self.sets.iter().map(|set| set.without(&self.cut)).collect(),
            observations,
            cap: problem.cap.unwrap_or(usize::MAX / 4),
        }
    }
}

/// P(state, position); a state that `fault` excludes gets nothing.
fn joint_masses(leaf: &Leaf, fault: Option<bool>) -> Cells {
    let scaled = |table: &[f64], by: f64| table.iter().map(|x| x * by).collect();
    let healthy = if fault == Some(true) {
        0.0
    } else {
        1.0 - leaf.prior_fault
    };
    let faulty = if fault == Some(false) {
        0.0
    } else {
        leaf.prior_fault
    };
    Cells {
        at: leaf.at.clone(),
        healthy: scaled(&leaf.healthy, healthy),
        faulty: scaled(&leaf.faulty, faulty),
    }
}

/// Posteriors under the conditions, weighted by their evidence.
#[derive(Default)]
struct Mixture {
    ln_top: Option<f64>,
    total: f64,
    sum: Option<Posterior>,
}

impl Mixture {
    fn add(
        &mut self,
        problem: &SumTree<'_>,
        plan: &Conditions,
        choice: &[usize],
        solved: pass::Solved,
    ) {
        let top = self.ln_top.unwrap_or(solved.ln_evidence);
        let weight = if solved.ln_evidence > top {
            self.rescale((top - solved.ln_evidence).exp());
            self.ln_top = Some(solved.ln_evidence);
            1.0
        } else {
            self.ln_top = Some(top);
            (solved.ln_evidence - top).exp()
        };
        self.total += weight;
        let part = expand(problem, plan, choice, solved);
        let sum = self.sum.get_or_insert_with(|| Posterior {
            ln_evidence: 0.0,
            p_fault: vec![0.0; part.p_fault.len()],
            levels: part.levels.iter().map(|l| vec![0.0; l.len()]).collect(),
            sums: part
                .sums
                .iter()
                .map(|_| SumPosterior {
                    pmf: Vec::new(),
                    over: 0.0,
                    p_fault: 0.0,
                    quiet: Vec::new(),
                })
                .collect(),
        });
        add_scaled(&mut sum.p_fault, &part.p_fault, weight);
        for (to, from) in sum.levels.iter_mut().zip(&part.levels) {
            add_scaled(to, from, weight);
        }
        for (to, from) in sum.sums.iter_mut().zip(&part.sums) {
            add_scaled(&mut to.pmf, &from.pmf, weight);
            add_scaled(&mut to.quiet, &from.quiet, weight);
            to.over += weight * from.over;
            to.p_fault += weight * from.p_fault;
        }
    }

    fn rescale(&mut self, by: f64) {
        self.total *= by;
        if let Some(sum) = &mut self.sum {
            let levels = sum.levels.iter_mut().flatten();
            let sums = sum.sums.iter_mut();
            for x in sum.p_fault.iter_mut().chain(levels) {
                *x *= by;
            }
            for s in sums {
                s.pmf.iter_mut().chain(&mut s.quiet).for_each(|x| *x *= by);
                s.over *= by;
                s.p_fault *= by;
            }
        }
    }

    fn finish(mut self) -> Posterior {
        let (total, top) = (self.total, self.ln_top.unwrap_or(f64::NEG_INFINITY));
        if total != 1.0 {
            self.rescale(1.0 / total);
        }
        let mut sum = self.sum.unwrap_or(Posterior {
            ln_evidence: 0.0,
            p_fault: Vec::new(),
            levels: Vec::new(),
            sums: Vec::new(),
        });
        sum.ln_evidence = top + total.ln();
        sum
    }
}

/// A nested posterior in terms of the whole problem: fixed leaves put back.
fn expand(
    problem: &SumTree<'_>,
    plan: &Conditions,
    choice: &[usize],
    solved: pass::Solved,
) -> Posterior {
    let mut levels = solved.levels;
    for (&leaf, &at) in plan.cut.iter().zip(choice) {
        levels[leaf] = vec![0.0; problem.leaves[leaf].at.len()];
        levels[leaf][at] = 1.0;
    }
    let queried = problem.observations.len();
    let mut sums = Vec::with_capacity(problem.queries.len());
    for (set, sum) in plan.sets.iter().zip(solved.sums).skip(queried) {
        let fixed = plan.cut.iter().filter(|&&leaf| set.contains(leaf));
        // Given its position, a fixed leaf's state is independent of the rest.
        let healthy: f64 = fixed.map(|&leaf| 1.0 - solved.p_fault[leaf]).product();
        let shift = plan.shift(problem, choice, set);
        let (pmf, over) = shifted(sum.pmf, sum.over, shift, problem.cap);
        let (mut quiet, mut quiet_over) = shifted(sum.quiet, sum.quiet_over, shift, problem.cap);
        quiet.iter_mut().for_each(|x| *x *= healthy);
        quiet_over *= healthy;
        let p_fault = (1.0 - quiet.iter().sum::<f64>() - quiet_over).clamp(0.0, 1.0);
        sums.push(SumPosterior {
            pmf,
            over,
            p_fault,
            quiet,
        });
    }
    Posterior {
        ln_evidence: solved.ln_evidence,
        p_fault: solved.p_fault,
        levels,
        sums,
    }
}

fn shifted(pmf: Vec<f64>, mut over: f64, shift: f64, cap: Option<usize>) -> (Vec<f64>, f64) {
    if shift == 0.0 {
        return (pmf, over);
    }
    let (cell, share) = (shift.floor() as usize, shift.fract());
    let len = (pmf.len() + cell + usize::from(share > 0.0)).min(cap.unwrap_or(usize::MAX));
    let mut out = vec![0.0; len];
    for (k, p) in pmf.into_iter().enumerate() {
        for (at, part) in [(k + cell, 1.0 - share), (k + cell + 1, share)] {
            if part > 0.0 {
                *out.get_mut(at).unwrap_or(&mut over) += p * part;
            }
        }
    }
    (out, over)
}

fn add_scaled(to: &mut Vec<f64>, from: &[f64], by: f64) {
    if to.len() < from.len() {
        to.resize(from.len(), 0.0);
    }
    for (t, f) in to.iter_mut().zip(from) {
        *t += by * f;
    }
}
