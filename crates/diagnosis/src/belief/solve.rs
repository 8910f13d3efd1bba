//! Puts tree, load models and readings together and reads the answers off.

use std::{collections::BTreeMap, sync::Arc};

use harness::FeedTree;
use measure::{Quantiles, Uncertain};

use super::{
    Belief, BeliefOptions, Culprit, Disagreement, Evidence, NodeBelief, View,
    grid::Grid,
    reading::{Noise, Reading, Says, leaves_of},
};
use crate::{
    Component, LoadModel, LoadModels, LogNormal,
    sum_tree::{Leaf, Observation, Posterior, SumPosterior, SumTree},
};

/// Rounding allowed in a probability that is shown, far below what anyone reads.
const TOLERANCE: f64 = 1e-7;

/// The posterior of every node's draw, given what was read.
///
/// Readings taken asleep are likelihoods of the sum of the loads at or below
/// their node, those of a pulled group of the loads below any of its nodes, and
/// all together give the exact posterior on the grid described in `grid`.
/// Readings taken awake are set apart. A reading is worthless with a small chance, so
/// that none decides alone; readings whose chance to be worthless has become
/// large are named. The order of the evidence does not matter.
///
/// Besides the loads of the tree there is one more below the battery,
/// "elsewhere", for parasitic wiring and circuits nobody has listed.
pub fn believe(
    tree: &FeedTree,
    models: &LoadModels,
    evidence: &[Evidence],
    options: &BeliefOptions,
) -> Belief {
    let mut case = Case::new(tree, models, evidence, options);
    let (solved, approximated) = case.posterior();
    case.read_out(solved, approximated)
}

/// Everything that stays fixed while the answer is worked out.
struct Case<'a> {
    tree: &'a FeedTree,
    options: &'a BeliefOptions,
    grid: Grid,
    /// Positions of nodes among the leaves.
    position: Vec<Option<usize>>,
    models: Vec<LoadModel>,
    leaves: Vec<Leaf>,
    readings: Vec<Reading>,
    set_apart: Vec<usize>,
    unused: Vec<usize>,
    noise: Noise,
}

/// The posterior and which of its sums belongs to what.
struct Solved {
    posterior: Posterior,
    /// By node: index of its sum.
    of_node: Vec<Option<usize>>,
    /// By node, for those that a group crosses: chance of a fault at or below it.
    crossed: Vec<Option<f64>>,
    /// By reading: index of its sum.
    of_reading: Vec<Option<usize>>,
}

impl<'a> Case<'a> {
    fn new(
        tree: &'a FeedTree,
        models: &LoadModels,
        evidence: &[Evidence],
        options: &'a BeliefOptions,
    ) -> Self {
        let mut position = vec![None; tree.len()];
        let mut kept = Vec::new();
        for &leaf in tree.leaves().iter().filter(|&&leaf| leaf != FeedTree::ROOT) {
            if let Some(model) = models.get(leaf) {
                position[leaf] = Some(kept.len());
                kept.push(model.clone());
            }
        }
        kept.push(elsewhere(options));
        let (mut readings, mut set_apart, mut unused) = (Vec::new(), Vec::new(), Vec::new());
        for item in evidence {
            match Reading::of(tree, &position, item) {
                _ if !item.asleep => set_apart.push(item.tag),
                Some(reading) => readings.push(reading),
                None => unused.push(item.tag),
            }
        }
        set_apart.sort_unstable();
        unused.sort_unstable();
        readings.sort_by_key(Reading::key);
        let needed = readings.iter().map(Reading::reach_a).fold(0.0, f64::max);
        let total_read = readings.iter().any(|r| r.nodes.contains(&FeedTree::ROOT));
        let grid = Grid::new(needed, total_read, options);
        let leaves = tables(&grid, &kept);
        let noise = Noise {
            blur_a: grid.step_a / 2.0,
            outlier: options.outlier_chance.clamp(1e-9, 0.5),
            reach_a: options.reach_a.max(0.1),
        };
        Self {
            tree,
            options,
            grid,
            position,
            models: kept,
            leaves,
            readings,
            set_apart,
            unused,
            noise,
        }
    }

    fn elsewhere(&self) -> usize {
        self.models.len() - 1
    }

    /// The posterior with all readings that nest, then those that cross as an
    /// approximation; the tags of the latter.
    fn posterior(&mut self) -> (Solved, Vec<usize>) {
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
    fn moments(&self, solved: &Solved, node: usize) -> Uncertain {
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

    fn solve(&mut self, readings: &[Reading]) -> Solved {
        let mut queries = Queries::default();
        // Only groups can cross a node.
        let groups: Vec<&Reading> = readings.iter().filter(|r| r.nodes.len() > 1).collect();
        let of_node = (0..self.tree.len())
            .map(|node| {
                let leaves = leaves_of(self.tree, &self.position, &[node]);
                let nests = groups.iter().all(|r| !crosses(&r.leaves, &leaves));
                nests.then(|| queries.ask(leaves))
            })
            .collect::<Vec<_>>();
        let of_reading = self
            .readings
            .iter()
            .map(|r| {
                let used = |used: &Reading| used.tag == r.tag && used.leaves == r.leaves;
                let used = readings.iter().any(used);
                used.then(|| queries.ask(r.leaves.clone()))
            })
            .collect();
        let leaves = std::mem::take(&mut self.leaves);
        let problem = self.problem(leaves, readings, queries.list);
        // Worthless readings are always possible and the tables are sound, so
        // there is a posterior; were there none, the prior is what is known.
        let solved = problem.solve();
        let SumTree {
            leaves, queries, ..
        } = problem;
        self.leaves = leaves;
        let posterior = solved.unwrap_or_else(|_| self.prior(&queries));
        let crossed = (0..self.tree.len())
            .map(|node| {
                (self.position[node].is_none() && of_node[node].is_none())
                    .then(|| self.p_fault_below(readings, posterior.ln_evidence, node))
            })
            .collect();
        Solved {
            posterior,
            of_node,
            crossed,
            of_reading,
        }
    }

    /// The sum tree of these readings; borrows only them.
    fn problem<'r>(
        &self,
        leaves: Vec<Leaf>,
        readings: &'r [Reading],
        queries: Vec<Vec<usize>>,
    ) -> SumTree<'r> {
        let (step, noise) = (self.grid.step_a, self.noise);
        SumTree {
            leaves,
            observations: readings
                .iter()
                .map(|reading| {
                    let likelihood = reading.likelihood(noise);
                    Observation {
                        leaves: reading.leaves.clone(),
                        ln_likelihood: Box::new(move |at| likelihood.ln(at * step)),
                    }
                })
                .collect(),
            queries,
            cap: Some(self.grid.cells),
            max_conditions: 1,
            tolerance: TOLERANCE,
        }
    }

    /// Chance of a fault at or below a node whose sum crosses a group: the
    /// evidence is worked out again without faults there.
    fn p_fault_below(&self, readings: &[Reading], ln_evidence: f64, node: usize) -> f64 {
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

    fn prior(&self, queries: &[Vec<usize>]) -> Posterior {
        let problem = SumTree {
            leaves: self.leaves.clone(),
            queries: queries.to_vec(),
            cap: Some(self.grid.cells),
            max_conditions: 1,
            ..SumTree::default()
        };
        problem.solve().unwrap_or_else(|_| Posterior {
            ln_evidence: 0.0,
            p_fault: vec![0.0; self.leaves.len()],
            levels: self
                .leaves
                .iter()
                .map(|leaf| leaf.healthy.clone())
                .collect(),
            sums: Vec::new(),
        })
    }

    fn read_out(self, mut solved: Solved, approximated: Vec<usize>) -> Belief {
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
        // Nodes with the same leaves share their view.
        let views: Vec<Arc<View>> = std::mem::take(&mut solved.posterior.sums)
            .into_iter()
            .map(|sum| Arc::new(view(sum)))
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
            step_a: self.grid.step_a,
            views,
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
                let cells = sum.pmf.iter().enumerate().filter(|(_, p)| **p > 1e-12);
                let doubt: f64 = cells
                    .map(|(k, p)| p * likelihood.doubt(k as f64 * step))
                    .sum();
                let beyond = likelihood.doubt(self.grid.cells as f64 * step);
                Some((reading.tag, (doubt + sum.over * beyond).clamp(0.0, 1.0)))
            })
            .collect();
        doubts.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
        doubts
    }

    fn total(&self, trusted: &dyn Fn(usize) -> bool) -> Option<Uncertain> {
        let at_root = |r: &&Reading| r.nodes == [FeedTree::ROOT];
        let all: Vec<&Reading> = self.readings.iter().filter(at_root).collect();
        let good: Vec<Uncertain> = all
            .iter()
            .filter(|r| trusted(r.tag))
            .map(|r| r.estimate())
            .collect();
        // All in doubt: still better than none.
        Uncertain::weighted_mean(&good).or_else(|| {
            Uncertain::weighted_mean(&all.iter().map(|r| r.estimate()).collect::<Vec<_>>())
        })
    }

    fn unaccounted(&self, total: Uncertain, trusted: &dyn Fn(usize) -> bool) -> Uncertain {
        let branches: Vec<&Reading> = self
            .readings
            .iter()
            .filter(|r| !r.nodes.contains(&FeedTree::ROOT) && trusted(r.tag))
            .collect();
        let mut left = total;
        let mut taken: Vec<&[usize]> = Vec::new();
        // Readings are in the order of their size: innermost first.
        for reading in &branches {
            let overlaps = |set: &&[usize]| set.iter().any(|leaf| reading.leaves.contains(leaf));
            if taken.iter().any(overlaps) {
                continue;
            }
            let same = branches.iter().filter(|r| r.leaves == reading.leaves);
            let values: Vec<Uncertain> = same.map(|r| r.estimate()).collect();
            if let Some(value) = Uncertain::weighted_mean(&values) {
                left = left.minus(value);
                taken.push(&reading.leaves);
            }
        }
        left
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

/// Sets asked for, each once.
#[derive(Default)]
struct Queries {
    list: Vec<Vec<usize>>,
    known: BTreeMap<Vec<usize>, usize>,
}

impl Queries {
    /// The number of a set's answer.
    fn ask(&mut self, leaves: Vec<usize>) -> usize {
        if let Some(&known) = self.known.get(&leaves) {
            return known;
        }
        self.known.insert(leaves.clone(), self.list.len());
        self.list.push(leaves);
        self.list.len() - 1
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

/// Draw outside the tree (from memory: dirt and moisture leak a fraction of a
/// milliampere, chafed wires and forgotten additions tens to hundreds).
fn elsewhere(options: &BeliefOptions) -> LoadModel {
    LoadModel {
        prior_fault: options.elsewhere_prior,
        normal: LogNormal {
            median_a: 0.0003,
            log_sd: 1.0,
        },
        fault: vec![Component {
            weight: 1.0,
            draw: LogNormal {
                median_a: 0.1,
                log_sd: 1.2,
            },
            what: "wiring or a circuit outside the list".into(),
        }],
        access_min: 0.0,
        wake_chance: 0.0,
        family: "elsewhere".into(),
        keeps_settings: false,
        caution: None,
    }
}

/// The loads' tables; equal models share the work.
fn tables(grid: &Grid, models: &[LoadModel]) -> Vec<Leaf> {
    let mut made: Vec<(&LoadModel, Leaf)> = Vec::new();
    for model in models {
        let same = |(other, _): &&(&LoadModel, Leaf)| {
            other.normal == model.normal && other.fault == model.fault
        };
        let leaf = match made.iter().find(same) {
            Some((_, leaf)) => Leaf {
                prior_fault: model.prior_fault.clamp(0.0, 1.0),
                ..leaf.clone()
            },
            None => grid.leaf(model),
        };
        made.push((model, leaf));
    }
    made.into_iter().map(|(_, leaf)| leaf).collect()
}

/// Whether two ascending lists overlap without one holding the other.
fn crosses(a: &[usize], b: &[usize]) -> bool {
    let common = a.iter().filter(|x| b.binary_search(x).is_ok()).count();
    common > 0 && common < a.len() && common < b.len()
}
