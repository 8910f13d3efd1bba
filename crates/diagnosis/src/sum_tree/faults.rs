//! How many leaves are at fault, and which set of them is most probable.

use std::{cmp::Ordering, collections::BinaryHeap};

use super::{
    Conditions, SumTree, SumTreeError,
    arith::{Arith, Linear, Logs},
    ln_sum::LnSum,
    pass::{Nested, Passes},
};

/// A set of leaves at fault, all others being healthy.
#[derive(Debug, Clone, PartialEq)]
pub struct FaultSet {
    /// The leaves at fault, ascending.
    pub leaves: Vec<usize>,
    /// Its posterior probability.
    pub p: f64,
}

impl SumTree<'_> {
    /// Posterior of the number of leaves at fault: entry *c* is the chance of *c*
    /// faults, the last entry, `most`, the chance of that many or more.
    ///
    /// # Errors
    /// See [`SumTreeError`].
    pub fn fault_count(&self, most: usize) -> Result<Vec<f64>, SumTreeError> {
        self.check()?;
        let plan = Conditions::of(self)?;
        let mut parts: Vec<Vec<LnSum>> = Vec::new();
        plan.each(self, |choice| {
            let nested = plan.nested(self, choice, &[]);
            parts.extend((0..nested.values()).map(|value| ln_counts(&nested, most, value)));
            Ok(())
        })?;
        let top = LnSum::largest(parts.iter().flatten().copied());
        if !top.rounded().is_finite() {
            return Err(SumTreeError::Impossible);
        }
        let above_top = |c: usize| -> Vec<f64> { parts.iter().map(|p| p[c].above(top)).collect() };
        let ln: Vec<f64> = (0..=most).map(|c| Logs::sum(&above_top(c))).collect();
        let total = Logs::sum(&ln);
        Ok(ln.into_iter().map(|l| (l - total).exp()).collect())
    }

    /// The most probable set of leaves at fault, or `None` when `budget` partial
    /// sets were looked at without proof. Best-first search: the probability that
    /// some leaves are in given states is an upper bound for every completion.
    ///
    /// # Errors
    /// See [`SumTreeError`].
    pub fn most_probable_faults(&self, budget: usize) -> Result<Option<FaultSet>, SumTreeError> {
        let posterior = self.solve()?;
        let plan = Conditions::of(self)?;
        // The least certain leaves first: their branches differ most.
        let mut order: Vec<usize> = (0..self.leaves.len()).collect();
        let doubt = |leaf: usize| posterior.p_fault[leaf].min(1.0 - posterior.p_fault[leaf]);
        order.sort_by(|&a, &b| doubt(b).total_cmp(&doubt(a)).then(a.cmp(&b)));
        // All logarithms against one number near them, and so small.
        let base = LnSum::default().plus(posterior.ln_evidence);
        let whole = self.ln_joint(&plan, &order, &[], base)?;
        let mut heap = BinaryHeap::from([Partial {
            ln: whole,
            states: Vec::new(),
        }]);
        let mut spent = 0;
        while let Some(best) = heap.pop() {
            if best.states.len() == order.len() {
                let mut leaves: Vec<usize> = order
                    .iter()
                    .zip(&best.states)
                    .filter(|&(_, &fault)| fault)
                    .map(|(&leaf, _)| leaf)
                    .collect();
                leaves.sort_unstable();
                let p = (best.ln - whole).exp();
                return Ok(Some(FaultSet { leaves, p }));
            }
            for fault in [false, true] {
                spent += 1;
                if spent > budget {
                    return Ok(None);
                }
                let mut states = best.states.clone();
                states.push(fault);
                let ln = self.ln_joint(&plan, &order, &states, base)?;
                heap.push(Partial { ln, states });
            }
        }
        Err(SumTreeError::Impossible)
    }

    /// ln P(observations, the first leaves of `order` in the given states), less `base`.
    fn ln_joint(
        &self,
        plan: &Conditions,
        order: &[usize],
        states: &[bool],
        base: LnSum,
    ) -> Result<f64, SumTreeError> {
        let mut faults = vec![None; self.leaves.len()];
        for (&leaf, &fault) in order.iter().zip(states) {
            faults[leaf] = Some(fault);
        }
        let mut parts = Vec::new();
        plan.each(self, |choice| {
            let nested = plan.nested(self, choice, &faults);
            let ln = |value| ln_counts(&nested, 0, value)[0].above(base);
            parts.extend((0..nested.values()).map(ln));
            Ok(())
        })?;
        Ok(Logs::sum(&parts))
    }
}

/// ln P(observations, c leaves at fault), the last entry being "that many or more".
/// Direct arithmetic, or logarithms where numbers become too small to hold.
fn ln_counts(nested: &Nested<'_>, most: usize, value: usize) -> Vec<LnSum> {
    let ln_weight = nested.ln_weight(value);
    if ln_weight == f64::NEG_INFINITY {
        return vec![LnSum::IMPOSSIBLE; most + 1];
    }
    let counts = Passes::new(nested, Linear::new(false))
        .ln_counts(most, value)
        .or_else(|| Passes::new(nested, Logs).ln_counts(most, value))
        .unwrap_or_else(|| vec![LnSum::IMPOSSIBLE; most + 1]);
    counts.into_iter().map(|ln| ln.plus(ln_weight)).collect()
}

/// Some leaves' states and the joint probability with the observations.
struct Partial {
    ln: f64,
    states: Vec<bool>,
}

impl Ord for Partial {
    fn cmp(&self, other: &Self) -> Ordering {
        // Equal probabilities: the longer, then the one with fewer faults first.
        self.ln
            .total_cmp(&other.ln)
            .then(self.states.len().cmp(&other.states.len()))
            .then_with(|| other.states.cmp(&self.states))
    }
}

impl PartialOrd for Partial {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl PartialEq for Partial {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Partial {}
