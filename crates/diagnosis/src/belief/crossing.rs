//! Readings that nest, and pulled groups that cross others.

use measure::Uncertain;

use super::{
    reading::{Reading, Says, leaves_of},
    solve::{Case, Solved},
};

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
        let solved = self.solve(&kept);
        if crossing.is_empty() {
            return (solved, Vec::new());
        }
        let mut tags: Vec<usize> = crossing.iter().map(|r| r.tag).collect();
        tags.sort_unstable();
        for reading in &crossing {
            if let Some(narrowed) = self.narrowed(&solved, reading, &kept) {
                kept.push(narrowed);
            }
        }
        (self.solve(&kept), tags)
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
        })
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

    /// Chance of a fault at or below a node whose sum crosses a group: the
    /// evidence is worked out again without faults there.
    pub(super) fn p_fault_below(&self, readings: &[Reading], ln_evidence: f64, node: usize) -> f64 {
        let mut leaves = self.leaves.clone();
        for leaf in leaves_of(self.tree, &self.position, &[node]) {
            let quiet = 1.0 - leaves[leaf].prior_fault;
            leaves[leaf].prior_fault = 0.0;
            leaves[leaf]
                .healthy
                .iter_mut()
                .for_each(|mass| *mass *= quiet);
        }
        match self.problem(leaves, readings, Vec::new()).ln_evidence() {
            Ok(without) => (1.0 - (without - ln_evidence).exp()).clamp(0.0, 1.0),
            Err(_) => 1.0,
        }
    }
}

/// Whether two ascending lists overlap without one holding the other.
pub(super) fn crosses(a: &[usize], b: &[usize]) -> bool {
    let common = a.iter().filter(|x| b.binary_search(x).is_ok()).count();
    common > 0 && common < a.len() && common < b.len()
}
