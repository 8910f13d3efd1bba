//! Sets that cross, made to nest by fixing the positions of a few leaves.

use std::borrow::Cow;

use super::{
    Leaf, SumTree, SumTreeError,
    family::{self, Set},
    pass::{Cells, HiddenNested, LnLikelihood, Nested},
};

/// Which leaves to fix so that all sets nest, and the sets that remain.
pub(super) struct Conditions {
    pub(super) cut: Vec<usize>,
    /// Observed sets, those of the hidden cause, then queried ones, the fixed leaves included.
    pub(super) sets: Vec<Set>,
    /// The first of the queried sets.
    pub(super) asked_from: usize,
}

impl Conditions {
    pub(super) fn of(problem: &SumTree<'_>) -> Result<Self, SumTreeError> {
        let n = problem.leaves.len();
        let hidden = problem.hidden.iter().flat_map(|h| &h.observations);
        let named = problem.observations.iter().map(|o| &o.leaves);
        let named = named.chain(hidden.map(|o| &o.leaves));
        let asked_from = named.clone().count();
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
        Ok(Self {
            cut,
            sets,
            asked_from,
        })
    }

    /// Calls `then` with every combination of positions (by index) of the fixed leaves.
    pub(super) fn each(
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
    pub(super) fn shift(&self, problem: &SumTree<'_>, choice: &[usize], set: &Set) -> f64 {
        let fixed = self.cut.iter().zip(choice);
        fixed
            .filter(|&(&leaf, _)| set.contains(leaf))
            .map(|(&leaf, &at)| problem.leaves[leaf].at[at])
            .sum()
    }

    /// The nested problem for one combination; `faults` may fix the state of some leaves.
    pub(super) fn nested<'p>(
        &self,
        problem: &'p SumTree<'_>,
        choice: &[usize],
        faults: &[Option<bool>],
    ) -> Nested<'p> {
        let mut leaves: Vec<Cells<'p>> = problem
            .leaves
            .iter()
            .enumerate()
            .map(|(i, leaf)| joint_masses(leaf, faults.get(i).copied().flatten()))
            .collect();
        for (&leaf, &at) in self.cut.iter().zip(choice) {
            let cells = &leaves[leaf];
            leaves[leaf] = Cells {
                at: Cow::Owned(vec![0.0]),
                healthy: Cow::Owned(vec![cells.healthy[at]]),
                faulty: Cow::Owned(vec![cells.faulty[at]]),
                share: cells.share,
            };
        }
        let shift = |i: usize| self.shift(problem, choice, &self.sets[i]);
        let known = problem.observations.iter().enumerate();
        let observations: Vec<_> = known
            .map(|(i, o)| {
                let likelihood: &LnLikelihood<'_> = &*o.ln_likelihood;
                (i, shift(i), likelihood)
            })
            .collect();
        let hidden = problem.hidden.as_ref().map(|hidden| {
            let from = observations.len();
            let of_value = hidden.observations.iter().enumerate();
            HiddenNested {
                cause: hidden,
                shifts: of_value.map(|(i, _)| shift(from + i)).collect(),
            }
        });
        Nested {
            leaves,
            sets: self.sets.iter().map(|set| set.without(&self.cut)).collect(),
            asked_from: self.asked_from,
            observations,
            hidden,
            cap: problem.cap.unwrap_or(usize::MAX / 4),
        }
    }
}

/// P(state, position); a state that `fault` excludes gets nothing.
fn joint_masses(leaf: &Leaf, fault: Option<bool>) -> Cells<'_> {
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
        at: Cow::Borrowed(&leaf.at),
        healthy: Cow::Borrowed(&leaf.healthy),
        faulty: Cow::Borrowed(&leaf.faulty),
        share: [healthy, faulty],
    }
}
