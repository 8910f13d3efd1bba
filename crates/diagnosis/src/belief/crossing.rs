//! Readings that nest, and pulled groups that cross others.
//!
//! A group that crosses, but consists of two parts that do not, is taken apart
//! exactly: the density of its step x at the parts' sums a and b is
//! N(x; a+b, u²) = ∫ N(m; a, u²/2)·N(x−m; b, u²/2) dm, and for each m the two
//! factors are readings that nest. The trapezoidal rule sums such an integrand of
//! standard deviation u/2 with an error of about 2·exp(−2π²(u/2)²/h²) of itself
//! (Poisson's summation formula, from memory): 2·10⁻⁶ at h = 0.6 u. Values of m that
//! cannot matter are left out, as [`LEFT_OUT`] says.

use std::f64::consts::{PI, SQRT_2};

use measure::Uncertain;

use super::{
    reading::{Reading, Says, leaves_of},
    shared::{Cause, Split},
    solve::{Case, Solved},
};
use crate::sum_tree::{Leaf, Posterior, SumPosterior, Values};

/// Distance of the values of m, in standard uncertainties of the step.
const SPACING: f64 = 0.6;
/// Values of m at most, each being one more pass over what lies above the two parts.
pub(super) const MOST_VALUES: usize = 64;
/// Largest share of the evidence that values of m left out may hold, and so the
/// largest error of a probability.
pub(super) const LEFT_OUT: f64 = 1e-3;

impl Case<'_> {
    /// The posterior with all readings that nest, then those that cross as an
    /// approximation; the tags of the latter.
    pub(super) fn posterior(&mut self) -> (Solved, Vec<usize>) {
        let (mut nested, mut crossing) = (Vec::new(), Vec::new());
        for reading in &self.readings {
            let crosses = nested
                .iter()
                .any(|other: &Reading| crosses(&other.leaves, &reading.leaves));
            // Readings at single nodes always nest, so they go first.
            if reading.nodes.len() == 1 || !crosses {
                nested.push(reading.clone());
            } else {
                crossing.push(reading.clone());
            }
        }
        // A group taken early may cross a single node that came later.
        let (single, group): (Vec<_>, Vec<_>) =
            nested.into_iter().partition(|r| r.nodes.len() == 1);
        let mut kept = single;
        for reading in group {
            if kept
                .iter()
                .any(|other| crosses(&other.leaves, &reading.leaves))
            {
                crossing.push(reading);
            } else {
                kept.push(reading);
            }
        }
        if crossing.is_empty() {
            return (self.nested(&kept), Vec::new());
        }
        let parts = match crossing.as_slice() {
            [one] => self.parts(one, &kept).unwrap_or_default(),
            _ => Vec::new(),
        };
        let sets: Vec<Vec<usize>> = parts.iter().map(|part| part.leaves.clone()).collect();
        let solved = self.plain(&kept, &sets);
        if let [a, b] = parts.as_slice()
            && let Some(exact) = self.split(&solved, &kept, &crossing[0], [a, b])
        {
            return (exact, Vec::new());
        }
        let mut tags: Vec<usize> = crossing.iter().map(|r| r.tag).collect();
        tags.sort_unstable();
        for reading in &crossing {
            if let Some(narrowed) = self.narrowed(&solved, reading, &kept) {
                kept.push(narrowed);
            }
        }
        (self.plain(&kept, &[]), tags)
    }

    /// The posterior under readings that nest, errors that they share included.
    fn nested(&mut self, kept: &[Reading]) -> Solved {
        if let Some((rest, cause)) = Cause::shared(kept, self.noise)
            && let Ok(solved) = self.solve(&rest, &[], Some(&cause))
        {
            return solved;
        }
        self.plain(kept, &[])
    }

    /// The posterior under readings whose errors are their own.
    fn plain(&mut self, readings: &[Reading], parts: &[Vec<usize>]) -> Solved {
        let solved = self.solve(readings, parts, None);
        // Only a cause can have too many values.
        solved.unwrap_or_default()
    }

    /// A group's step as a reading of that one of its nodes that is known
    /// least, the others' draws being subtracted with their uncertainty; `None`
    /// when every one of them crosses a group.
    fn narrowed(&self, solved: &Solved, reading: &Reading, kept: &[Reading]) -> Option<Reading> {
        let Says::About(step) = reading.says else {
            return None;
        };
        let parts: Vec<(usize, Uncertain)> = reading
            .nodes
            .iter()
            .map(|&node| (node, self.moments(solved, node)))
            .collect();
        let leaves = |node: usize| leaves_of(self.tree, &self.position, &[node]);
        let nests = |node: usize| kept.iter().all(|r| !crosses(&r.leaves, &leaves(node)));
        let widest = parts
            .iter()
            .filter(|part| nests(part.0))
            .max_by(|a, b| a.1.u.total_cmp(&b.1.u).then(b.0.cmp(&a.0)))?
            .0;
        let rest = parts.iter().filter(|part| part.0 != widest);
        let left = rest.fold(step, |left, part| left.minus(part.1));
        Some(Reading {
            leaves: leaves(widest),
            says: Says::About(left),
            nodes: vec![widest],
            tag: reading.tag,
            shared: Vec::new(),
        })
    }

    /// The parts of a group, as few as possible, of which none crosses a reading or a node.
    fn parts(&self, reading: &Reading, kept: &[Reading]) -> Option<Vec<Reading>> {
        let Says::About(step) = reading.says else {
            return None;
        };
        let whole = |nodes: &[usize]| leaves_of(self.tree, &self.position, nodes);
        let nests = |leaves: &[usize]| {
            let mut all = (0..self.tree.len()).map(|node| whole(&[node]));
            !kept.iter().any(|r| crosses(&r.leaves, leaves)) && !all.any(|n| crosses(&n, leaves))
        };
        let mut parts: Vec<Vec<usize>> = Vec::new();
        for &node in &reading.nodes {
            let with = |part: &Vec<usize>| [part.as_slice(), &[node]].concat();
            match parts.iter().position(|part| nests(&whole(&with(part)))) {
                Some(at) => parts[at].push(node),
                None if nests(&whole(&[node])) => parts.push(vec![node]),
                None => return None,
            }
        }
        let part = |nodes: Vec<usize>| Reading {
            leaves: whole(&nodes),
            says: Says::Part(step),
            nodes,
            tag: reading.tag,
            shared: Vec::new(),
        };
        (parts.len() == 2).then(|| parts.into_iter().map(part).collect())
    }

    /// The posterior with a group of two parts besides what gave `solved`; `None`
    /// when too many values of m matter.
    fn split(
        &mut self,
        solved: &Solved,
        kept: &[Reading],
        group: &Reading,
        parts: [&Reading; 2],
    ) -> Option<Solved> {
        let Says::About(step) = group.says else {
            return None;
        };
        let u = step.u.hypot(self.noise.blur_a);
        let worthless = group.likelihood(self.noise).bad;
        let values = self.values(solved, step.value, u)?;
        // Not worth a try when even ten times what is expected would not suffice.
        let rest: f64 = values.iter().skip(MOST_VALUES).map(|v| v.most).sum();
        let guess: f64 = worthless + values.iter().map(|value| value.guess).sum::<f64>();
        if rest > 10.0 * LEFT_OUT * guess {
            return None;
        }
        let cause = Cause::Split(Split {
            tag: group.tag,
            parts: parts.map(Clone::clone),
            u_a: u / SQRT_2,
            at_a: values.iter().map(|v| [v.m, step.value - v.m]).collect(),
            ln_weights: [self.sound(u).ln(), worthless.ln()],
            ln_bounds: values
                .iter()
                .map(|v| v.most)
                .chain([worthless])
                .map(|most| most.ln() + solved.posterior.ln_evidence)
                .collect(),
        });
        self.solve(kept, &[], Some(&cause)).ok()
    }

    /// What one value of m counts for.
    fn sound(&self, u_a: f64) -> f64 {
        (1.0 - self.noise.outlier) * SPACING * u_a
    }

    /// All values of m for a step, those that may matter most first.
    fn values(&self, solved: &Solved, step_a: f64, u_a: f64) -> Option<Vec<Value>> {
        let &[a, b] = solved.of_part.as_slice() else {
            return None;
        };
        let sums = &solved.posterior.sums;
        let (a, b) = (sums.get(a)?, sums.get(b)?);
        let highest = 1.0 / (u_a * PI.sqrt());
        let sound = self.sound(u_a);
        // Draws are not negative; beyond 8 standard uncertainties of that lies e^-32.
        let count = ((step_a.max(0.0) + 16.0 * u_a) / (SPACING * u_a)).ceil() as usize;
        let value = |i: usize| {
            let m = (i as f64 * SPACING - 8.0) * u_a;
            let of_a = self.density(a, m, u_a / SQRT_2);
            let of_b = self.density(b, step_a - m, u_a / SQRT_2);
            Value {
                m,
                most: sound * of_a.min(of_b) * highest,
                guess: sound * of_a * of_b,
            }
        };
        let mut values: Vec<Value> = (0..=count).map(value).collect();
        values.sort_by(|x, y| y.most.total_cmp(&x.most).then(x.m.total_cmp(&y.m)));
        Some(values)
    }

    /// Mean over a sum's distribution of the normal density of `at_a`, 1/A.
    fn density(&self, sum: &SumPosterior, at_a: f64, u_a: f64) -> f64 {
        let step = self.grid.step_a;
        let factor = 1.0 / (u_a * (2.0 * PI).sqrt());
        let normal = |k: usize| {
            let z = (k as f64 * step - at_a) / u_a;
            factor * (-0.5 * z * z).exp()
        };
        // Beyond 12 standard uncertainties lies e^-72.
        let cell = |a: f64| (a / step).max(0.0) as usize;
        let from = cell(at_a - 12.0 * u_a);
        let near = sum.pmf.iter().enumerate().skip(from);
        let near = near.take(cell(24.0 * u_a) + 2);
        near.map(|(k, p)| p * normal(k)).sum::<f64>() + sum.over * normal(self.grid.cells)
    }

    /// Mean and standard deviation of a node's draw, the loads below it taken as independent.
    pub(super) fn moments(&self, solved: &Solved, node: usize) -> Uncertain {
        let leaves = leaves_of(self.tree, &self.position, &[node]);
        leaves.iter().fold(Uncertain::exact(0.0), |sum, &leaf| {
            let table = &solved.posterior.levels[leaf];
            let mean = self.grid.mean(table);
            let at = table.iter().zip(&*self.grid.at);
            let variance: f64 = at
                .map(|(p, at)| p * (at * self.grid.step_a - mean).powi(2))
                .sum();
            sum.plus(Uncertain::new(mean, variance.sqrt()))
        })
    }

    /// Chances of a fault at or below the nodes whose sums cross a group: the evidence is
    /// worked out again without faults there.
    ///
    /// Of a cause, both evidences count the very values that the posterior rests on. Were the
    /// values chosen anew, each would leave out others, and a node could then come out less
    /// suspect than one that it feeds.
    pub(super) fn p_faults_below(
        &self,
        readings: &[Reading],
        cause: Option<&Cause>,
        posterior: &Posterior,
        nodes: &[usize],
    ) -> Vec<f64> {
        let evidence = |leaves: Vec<Leaf>| {
            let mut problem = self.problem(leaves, readings, Vec::new(), cause);
            if let Some(hidden) = &mut problem.hidden {
                let shares = posterior.hidden.iter().enumerate();
                let counted = shares.filter(|(_, share)| **share > 0.0);
                hidden.values = Values::These(counted.map(|(value, _)| value).collect());
            }
            problem.ln_evidence_exact()
        };
        let whole = match cause {
            Some(_) if !nodes.is_empty() => evidence(self.leaves.clone()),
            _ => Ok([posterior.ln_evidence, posterior.ln_evidence_lost]),
        };
        let below = |&node: &usize| {
            let mut leaves = self.leaves.clone();
            for leaf in leaves_of(self.tree, &self.position, &[node]) {
                let quiet = 1.0 - leaves[leaf].prior_fault;
                leaves[leaf].prior_fault = 0.0;
                let healthy = leaves[leaf].healthy.iter();
                leaves[leaf].healthy = healthy.map(|mass| mass * quiet).collect();
            }
            match (evidence(leaves), &whole) {
                (Ok([without, lost]), Ok([with, of_it])) => {
                    let ln = (without - with) + (lost - of_it);
                    (1.0 - ln.exp()).clamp(0.0, 1.0)
                }
                _ => 1.0,
            }
        };
        nodes.iter().map(below).collect()
    }
}

/// Whether two ascending lists overlap without one holding the other.
pub(super) fn crosses(a: &[usize], b: &[usize]) -> bool {
    let common = a.iter().filter(|x| b.binary_search(x).is_ok()).count();
    common > 0 && common < a.len() && common < b.len()
}

/// A value of m.
struct Value {
    m: f64,
    /// Bound of its share of the evidence: the density of one part, the other's at its highest.
    most: f64,
    /// Its share, were the parts independent.
    guess: f64,
}
