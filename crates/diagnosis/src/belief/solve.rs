//! Puts tree, load models and readings together.

use std::collections::BTreeMap;

use harness::FeedTree;

use super::{
    Belief, BeliefOptions, Evidence, SharedError,
    crossing::crosses,
    grid::Grid,
    reading::{Noise, Reading, leaves_of},
    shared::Cause,
};
use crate::{
    Component, LoadModel, LoadModels, LogNormal,
    sum_tree::{Leaf, Observation, Posterior, SumTree, SumTreeError},
};

/// Rounding allowed in a probability that is shown, far below what anyone reads: a bound that would take every rounding of a
/// posterior to fall to the same side. What it lets pass is off by 10⁻¹² (`a_large_tree_is_exact_far_beyond_its_bound`).
pub(super) const TOLERANCE: f64 = 1e-6;

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
    believe_shared(tree, models, evidence, &[], options)
}

/// The same, where readings have errors in common.
///
/// Such errors are normal and known only by their standard uncertainty. They are
/// integrated over (see `shared`), to two thousandths in every probability; where groups
/// cross, readings count as if their errors were their own.
pub fn believe_shared(
    tree: &FeedTree,
    models: &LoadModels,
    evidence: &[Evidence],
    shared: &[SharedError],
    options: &BeliefOptions,
) -> Belief {
    let mut case = Case::new(tree, models, evidence, shared, options);
    let (solved, approximated) = case.posterior();
    case.read_out(solved, approximated)
}

/// Everything that stays fixed while the answer is worked out.
pub(super) struct Case<'a> {
    pub(super) tree: &'a FeedTree,
    pub(super) options: &'a BeliefOptions,
    pub(super) grid: Grid,
    /// Positions of nodes among the leaves.
    pub(super) position: Vec<Option<usize>>,
    pub(super) models: Vec<LoadModel>,
    pub(super) leaves: Vec<Leaf>,
    pub(super) readings: Vec<Reading>,
    pub(super) set_apart: Vec<usize>,
    pub(super) unused: Vec<usize>,
    pub(super) noise: Noise,
}

/// The posterior and which of its sums belongs to what.
#[derive(Clone, Default)]
pub(super) struct Solved {
    pub(super) posterior: Posterior,
    /// By node: index of its sum.
    pub(super) of_node: Vec<Option<usize>>,
    /// By node, for those that a group crosses: chance of a fault at or below it.
    pub(super) crossed: Vec<Option<f64>>,
    /// By reading: index of its sum.
    pub(super) of_reading: Vec<Option<usize>>,
    /// By part of a group that crosses others: index of its sum.
    pub(super) of_part: Vec<usize>,
    /// Chances to be worthless that no single sum tells, by tag.
    pub(super) doubted: Vec<(usize, f64)>,
    /// By group asked for: index of its sum.
    pub(super) of_group: Vec<Option<usize>>,
    /// Shared errors integrated over.
    pub(super) shared_errors: usize,
}

impl<'a> Case<'a> {
    fn new(
        tree: &'a FeedTree,
        models: &LoadModels,
        evidence: &[Evidence],
        shared: &[SharedError],
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
        for (at, item) in evidence.iter().enumerate() {
            match Reading::of(tree, &position, item) {
                _ if !item.asleep => set_apart.push(item.tag),
                Some(reading) => readings.push(Reading {
                    shared: parts_of(at, shared),
                    ..reading
                }),
                None => unused.push(item.tag),
            }
        }
        set_apart.sort_unstable();
        unused.sort_unstable();
        readings.sort_by_cached_key(Reading::key);
        let needed = readings.iter().map(Reading::reach_a).fold(0.0, f64::max);
        let total_read = readings.iter().any(|r| r.nodes.contains(&FeedTree::ROOT));
        let grid = Grid::new(needed, total_read, options);
        let leaves = tables(&grid, &kept);
        let noise = Noise {
            blur_a: grid.step_a / 2.0,
            fine_blur_a: [grid.step_a / grid.fine[0] as f64 / 2.0, grid.fine_reach_a()],
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

    pub(super) fn elsewhere(&self) -> usize {
        self.models.len() - 1
    }

    /// The posterior under readings that nest, and those of a common cause; `parts` are
    /// sets asked for besides.
    ///
    /// # Errors
    /// When too many values of the cause would have to be tried.
    pub(super) fn solve(
        &mut self,
        readings: &[Reading],
        parts: &[Vec<usize>],
        cause: Option<&Cause>,
    ) -> Result<Solved, SumTreeError> {
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
        let of_group = self.ask_groups(&mut queries);
        let of_part = parts.iter().map(|part| queries.ask(part.clone())).collect();
        let leaves = std::mem::take(&mut self.leaves);
        let problem = self.problem(leaves, readings, queries.list, cause);
        let solved = problem.solve();
        let SumTree {
            leaves, queries, ..
        } = problem;
        self.leaves = leaves;
        let posterior = match solved {
            Err(SumTreeError::TooManyConditions(n)) if cause.is_some() => {
                return Err(SumTreeError::TooManyConditions(n));
            }
            // Worthless readings are always possible and the tables are sound, so
            // there is a posterior; were there none, the prior is what is known.
            solved => solved.unwrap_or_else(|_| self.prior(&queries)),
        };
        let crossing: Vec<usize> = (0..self.tree.len())
            .filter(|&node| self.position[node].is_none() && of_node[node].is_none())
            .collect();
        let mut crossed = vec![None; self.tree.len()];
        let below = self.p_faults_below(readings, cause, &posterior, &crossing);
        for (&node, p_fault) in crossing.iter().zip(below) {
            crossed[node] = Some(p_fault);
        }
        let doubted = cause.map_or(Vec::new(), |cause| cause.doubted(&posterior));
        Ok(Solved {
            posterior,
            of_node,
            crossed,
            of_reading,
            of_part,
            doubted,
            of_group,
            shared_errors: cause.map_or(0, Cause::dimensions),
        })
    }

    /// Asks for the groups of the options that cross nothing known.
    fn ask_groups(&self, queries: &mut Queries) -> Vec<Option<usize>> {
        let mut known: Vec<Vec<usize>> = self.readings.iter().map(|r| r.leaves.clone()).collect();
        known.extend(queries.list.iter().cloned());
        let groups = self.options.groups.iter().map(|nodes| {
            let nodes = nodes.iter().copied().filter(|&node| node < self.tree.len());
            let leaves = leaves_of(self.tree, &self.position, &nodes.collect::<Vec<_>>());
            if leaves.is_empty() || known.iter().any(|other| crosses(other, &leaves)) {
                return None;
            }
            known.push(leaves.clone());
            Some(queries.ask(leaves))
        });
        groups.collect()
    }

    /// The sum tree of these readings; borrows only them.
    pub(super) fn problem<'r>(
        &self,
        leaves: Vec<Leaf>,
        readings: &'r [Reading],
        queries: Vec<Vec<usize>>,
        cause: Option<&'r Cause>,
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
            hidden: cause.map(|cause| cause.hidden(step, noise)),
            queries,
            cap: Some(self.grid.cells),
            max_conditions: 1,
            tolerance: TOLERANCE,
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
            p_fault: vec![0.0; self.leaves.len()],
            levels: self
                .leaves
                .iter()
                .map(|leaf| leaf.healthy.to_vec())
                .collect(),
            ..Posterior::default()
        })
    }
}

/// The parts of a reading's uncertainty that others share.
fn parts_of(reading: usize, shared: &[SharedError]) -> Vec<(usize, f64)> {
    let of_cause = |(cause, shared): (usize, &SharedError)| {
        let parts = shared.parts.iter().filter(|(at, _)| *at == reading);
        let u_a: f64 = parts.map(|(_, u_a)| u_a).sum();
        (u_a.is_finite() && u_a != 0.0).then_some((cause, u_a))
    };
    shared.iter().enumerate().filter_map(of_cause).collect()
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

#[cfg(test)]
mod tests {
    use harness::{NodeId, NodeKind, NodeSpec, family::Families};
    use measure::Uncertain;

    use super::*;
    use crate::EvidenceKind;

    /// Invented: 120 fuses on three cables, families in turn.
    fn large() -> FeedTree {
        let families = [
            "lamp",
            "audio",
            "relay",
            "alarm",
            "body-module",
            "blower",
            "pump",
        ];
        let cables = ["left", "middle", "right"];
        let mut specs = cables
            .map(|id| NodeSpec::new(id, "battery", NodeKind::Cable))
            .to_vec();
        specs.extend((0..120).map(|i| NodeSpec {
            family: Some(families[i % families.len()].into()),
            ..NodeSpec::new(&format!("F{i}"), cables[i % 3], NodeKind::Fuse)
        }));
        FeedTree::build(specs).unwrap_or_else(|_| FeedTree::battery_alone())
    }

    #[test]
    fn a_large_tree_is_exact_far_beyond_its_bound() {
        let tree = large();
        let read = |tag: usize, id: &str, milli: f64, u: f64| Evidence {
            tag,
            asleep: true,
            kind: EvidenceKind::Direct {
                node: tree.index(&NodeId(id.into())).unwrap_or(usize::MAX),
                current: Uncertain::new(milli / 1e3, u / 1e3),
                below_floor: None,
            },
        };
        let mut evidence = vec![
            read(0, "battery", 480.0, 6.0),
            read(1, "left", 350.0, 6.0),
            read(2, "middle", 60.0, 6.0),
            read(3, "right", 70.0, 6.0),
        ];
        let fuses = (0..36).map(|i| read(4 + i, &format!("F{}", 2 * i), 3.0, 2.0));
        evidence.extend(fuses);
        let models = LoadModels::from_families(&tree, Families::built_in());
        let options = BeliefOptions::default();
        let mut case = Case::new(&tree, &models, &evidence, &[], &options);
        assert_eq!((case.readings.len(), case.models.len()), (40, 121));
        let (quick, _) = case.posterior();
        let leaves = std::mem::take(&mut case.leaves);
        let mut problem = case.problem(leaves, &case.readings, Vec::new(), None);
        // No transform can promise so little rounding: this is by direct convolution.
        problem.tolerance = f64::MIN_POSITIVE;
        let direct = problem.solve().unwrap_or_default();
        assert_eq!(quick.posterior.p_fault.len(), direct.p_fault.len());
        let pairs = quick.posterior.p_fault.iter().zip(&direct.p_fault);
        let worst = pairs.map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
        assert!(worst > 0.0, "not the same way twice");
        assert!(worst < 1e-12, "{worst:e}");
        let lost = quick.posterior.ln_evidence - direct.ln_evidence;
        assert!(lost.abs() < 1e-9, "{lost:e}");
    }
}
