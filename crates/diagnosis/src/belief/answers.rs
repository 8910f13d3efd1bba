//! Reads off the posterior what a person and the planner want to know.

use std::{collections::BTreeMap, sync::Arc};

use harness::FeedTree;
use measure::{Quantiles, Uncertain};

use super::{
    Belief, Culprit, Disagreement, GroupBelief, NodeBelief, View,
    reading::{Reading, leaves_of},
    solve::{Case, Solved},
};
use crate::sum_tree::SumPosterior;

impl Case<'_> {
    pub(super) fn read_out(self, mut solved: Solved, approximated: Vec<usize>) -> Belief {
        let leaf_beliefs: Vec<NodeBelief> = (0..self.models.len())
            .map(|leaf| self.leaf(&solved, leaf))
            .collect();
        let nodes: Vec<NodeBelief> = (0..self.tree.len())
            .map(|node| match self.position[node] {
                Some(leaf) => leaf_beliefs[leaf],
                None => self.sum(&solved, &leaf_beliefs, node),
            })
            .collect();
        let doubts = self.doubts(&solved);
        let trusted = |tag: usize| doubts.iter().all(|&(t, p)| t != tag || p < 0.5);
        let total = self.total(&trusted);
        let named: Vec<(usize, f64)> = doubts
            .iter()
            .copied()
            .filter(|&(_, p)| p >= self.options.doubt_from)
            .collect();
        let step_a = self.grid.step_a;
        let group_draws: Vec<Option<(Quantiles, f64)>> = solved
            .of_group
            .iter()
            .map(|query| {
                let sum = solved.posterior.sums.get((*query)?)?;
                Some((
                    self.quantiles(&sum.pmf, sum.over),
                    sum.p_fault.clamp(0.0, 1.0),
                ))
            })
            .collect();
        // Nodes with the same leaves share their view.
        let views: Vec<Arc<View>> = std::mem::take(&mut solved.posterior.sums)
            .into_iter()
            .map(|sum| Arc::new(view(sum)))
            .collect();
        let groups = group_draws.into_iter().zip(&solved.of_group);
        let groups = groups
            .map(|(known, query)| {
                let ((draw, p_fault), view) = (known?, views.get((*query)?)?.clone());
                Some(GroupBelief {
                    draw,
                    p_fault,
                    view,
                })
            })
            .collect();
        let of_node = solved.of_node.iter();
        let views = of_node.map(|query| views.get((*query)?).cloned()).collect();
        let excess_a = nodes.first().map_or(0.0, |all| all.mean_a - all.normal_a);
        Belief {
            elsewhere: leaf_beliefs[self.elsewhere()],
            unaccounted: total.map(|total| self.unaccounted(total, &trusted)),
            total,
            excess_a,
            culprits: self.culprits(&leaf_beliefs),
            disagreement: (!named.is_empty()).then_some(Disagreement { doubts: named }),
            nodes,
            set_apart: self.set_apart,
            approximated,
            unused: self.unused,
            log_evidence: solved.posterior.ln_evidence,
            step_a,
            views,
            shared_errors: solved.shared_errors,
            groups,
        }
    }

    fn leaf(&self, solved: &Solved, leaf: usize) -> NodeBelief {
        let table = &solved.posterior.levels[leaf];
        NodeBelief {
            draw: self.quantiles(table, 0.0),
            mean_a: self.grid.mean(table),
            normal_a: self.models[leaf].normal.mean_a(),
            p_fault: solved.posterior.p_fault[leaf].clamp(0.0, 1.0),
        }
    }

    fn sum(&self, solved: &Solved, leaves: &[NodeBelief], node: usize) -> NodeBelief {
        let below = leaves_of(self.tree, &self.position, &[node]);
        // Means add whatever the dependence.
        let mean_a = below.iter().map(|&leaf| leaves[leaf].mean_a).sum();
        let normal_a = below.iter().map(|&leaf| leaves[leaf].normal_a).sum();
        let sum = solved.of_node[node].and_then(|query| solved.posterior.sums.get(query));
        match sum {
            Some(sum) => NodeBelief {
                draw: self.quantiles(&sum.pmf, sum.over),
                mean_a,
                normal_a,
                p_fault: sum.p_fault.clamp(0.0, 1.0),
            },
            // A node crossed by a pulled group: for the width, its parts are taken as independent.
            None => {
                let spread = 1.645 * self.moments(solved, node).u;
                NodeBelief {
                    draw: Quantiles {
                        p05: (mean_a - spread).max(0.0),
                        p50: mean_a,
                        p95: mean_a + spread,
                    },
                    mean_a,
                    normal_a,
                    p_fault: solved.crossed[node].unwrap_or(0.0),
                }
            }
        }
    }

    fn quantiles(&self, table: &[f64], over: f64) -> Quantiles {
        let [p05, p50, p95] = self.grid.quantiles(table, over, [0.05, 0.5, 0.95]);
        Quantiles { p05, p50, p95 }
    }

    /// Each reading's chance to be worthless, largest first.
    fn doubts(&self, solved: &Solved) -> Vec<(usize, f64)> {
        let step = self.grid.step_a;
        let mut doubts: Vec<(usize, f64)> = self
            .readings
            .iter()
            .zip(&solved.of_reading)
            .filter_map(|(reading, query)| {
                let sum = solved.posterior.sums.get((*query)?)?;
                let likelihood = reading.likelihood(self.noise);
                if let &[leaf] = reading.leaves.as_slice() {
                    // A load alone has cells of its own, finer and beyond the grid's.
                    let cells = solved.posterior.levels[leaf].iter().zip(&*self.grid.at);
                    let cells = cells.filter(|(p, _)| **p > 1e-12);
                    let doubt: f64 = cells.map(|(p, at)| p * likelihood.doubt(at * step)).sum();
                    return Some((reading.tag, doubt.clamp(0.0, 1.0)));
                }
                let cells = sum.pmf.iter().enumerate().filter(|(_, p)| **p > 1e-12);
                let doubt: f64 = cells
                    .map(|(k, p)| p * likelihood.doubt(k as f64 * step))
                    .sum();
                let beyond = likelihood.doubt(self.grid.cells as f64 * step);
                Some((reading.tag, (doubt + sum.over * beyond).clamp(0.0, 1.0)))
            })
            .chain(solved.doubted.iter().copied())
            .collect();
        doubts.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
        doubts
    }

    fn total(&self, trusted: &dyn Fn(usize) -> bool) -> Option<Uncertain> {
        let at_root = |r: &&Reading| r.nodes == [FeedTree::ROOT];
        let all: Vec<&Reading> = self.readings.iter().filter(at_root).collect();
        let good: Vec<&Reading> = all.iter().copied().filter(|r| trusted(r.tag)).collect();
        // All in doubt: still better than none.
        let mean = Combined::mean(&good).or_else(|| Combined::mean(&all));
        mean.map(|mean| mean.known())
    }

    /// The total less the innermost branches measured; errors that they share cancel.
    fn unaccounted(&self, total: Uncertain, trusted: &dyn Fn(usize) -> bool) -> Uncertain {
        let at_root = |r: &&Reading| r.nodes == [FeedTree::ROOT];
        let totals: Vec<&Reading> = self.readings.iter().filter(at_root).collect();
        let good: Vec<&Reading> = totals.iter().copied().filter(|r| trusted(r.tag)).collect();
        let Some(mut left) = Combined::mean(&good).or_else(|| Combined::mean(&totals)) else {
            return total;
        };
        let branches: Vec<&Reading> = self
            .readings
            .iter()
            .filter(|r| !r.nodes.contains(&FeedTree::ROOT) && trusted(r.tag))
            .collect();
        let mut taken: Vec<&[usize]> = Vec::new();
        // Readings are in the order of their size: innermost first.
        for reading in &branches {
            let overlaps = |set: &&[usize]| set.iter().any(|leaf| reading.leaves.contains(leaf));
            if taken.iter().any(overlaps) {
                continue;
            }
            let same = branches.iter().filter(|r| r.leaves == reading.leaves);
            let same: Vec<&Reading> = same.copied().collect();
            if let Some(value) = Combined::mean(&same) {
                left.add(&value, -1.0);
                taken.push(&reading.leaves);
            }
        }
        left.known()
    }

    fn culprits(&self, leaves: &[NodeBelief]) -> Vec<Culprit> {
        let node_of = |leaf: usize| self.position.iter().position(|&at| at == Some(leaf));
        let mut culprits: Vec<Culprit> = leaves
            .iter()
            .enumerate()
            .filter(|(_, belief)| belief.p_fault >= self.options.culprit_from)
            .map(|(leaf, belief)| Culprit {
                node: node_of(leaf),
                p_fault: belief.p_fault,
                mean_a: belief.mean_a,
            })
            .collect();
        culprits.sort_by(|a, b| b.p_fault.total_cmp(&a.p_fault).then(a.node.cmp(&b.node)));
        culprits
    }
}

/// A combination of readings whose errors are partly their own and partly shared.
#[derive(Default)]
struct Combined {
    value: f64,
    /// Variance of the errors that belong to one reading.
    own: f64,
    /// By cause, the shift for one standard deviation of it.
    shared: BTreeMap<usize, f64>,
}

impl Combined {
    fn of(reading: &Reading) -> Self {
        let estimate = reading.estimate();
        let most = reading.shared_most();
        let shared: f64 = reading.shared.iter().map(|part| part.1 * part.1).sum();
        Self {
            value: estimate.value,
            own: (estimate.u * estimate.u - most * most * shared).max(0.0),
            shared: reading
                .shared
                .iter()
                .map(|&(cause, u_a)| (cause, most * u_a))
                .collect(),
        }
    }

    /// Mean weighted by 1/u²; `None` of none.
    fn mean(readings: &[&Reading]) -> Option<Self> {
        // A reading without uncertainty counts like one of a nanoampere.
        let weight = |r: &Reading| r.estimate().u.max(1e-9).powi(-2);
        let all: f64 = readings.iter().map(|r| weight(r)).sum();
        (all > 0.0).then(|| {
            let mut sum = Self::default();
            for reading in readings {
                sum.add(&Self::of(reading), weight(reading) / all);
            }
            sum
        })
    }

    fn add(&mut self, other: &Self, factor: f64) {
        self.value += factor * other.value;
        self.own += factor * factor * other.own;
        for (&cause, shift) in &other.shared {
            *self.shared.entry(cause).or_default() += factor * shift;
        }
    }

    fn known(&self) -> Uncertain {
        let shared: f64 = self.shared.values().map(|shift| shift * shift).sum();
        Uncertain::new(self.value, (self.own + shared).sqrt())
    }
}

/// What the planner needs of a sum.
fn view(sum: SumPosterior) -> View {
    let mut fault = sum.pmf;
    for (all, quiet) in fault.iter_mut().zip(&sum.quiet) {
        *all = (*all - quiet).max(0.0);
    }
    fault.push(sum.over);
    View {
        quiet: sum.quiet,
        fault,
    }
}
