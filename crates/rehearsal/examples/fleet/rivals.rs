//! The same vehicles worked by simple rules: box order, and probability over cost.

use diagnosis::{BeliefOptions, Evidence, EvidenceKind, believe};
use harness::{FeedTree, NodeKind, caution::TestKind as Touches};
use rehearsal::fleet::{Action, Shown, Vehicle, Visit};

use crate::{
    knowledge::{Knowledge, LIMIT_A},
    planned::{MOST_PAUSES, PAUSE_MIN, PAUSES},
    score::{Named, Run},
};

/// A rule.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Rule {
    /// (a) Pull in box order, what keeps settings last.
    Pull,
    /// (b) Millivolts in box order where they can be read and see enough, the rest by pulling.
    Millivolts,
    /// (c) All single tests in the order of prior probability over cost.
    Ratio,
    /// (c+) The same with the probabilities that the total leaves.
    RatioAfterTotal,
}

impl Rule {
    pub(crate) const ALL: [Self; 4] = [
        Self::Pull,
        Self::Millivolts,
        Self::Ratio,
        Self::RatioAfterTotal,
    ];

    pub(crate) fn name(self) -> &'static str {
        match self {
            Self::Pull => "a: pull in box order",
            Self::Millivolts => "b: millivolts in box order",
            Self::Ratio => "c: best p/c",
            Self::RatioAfterTotal => "c+: best p/c given the total",
        }
    }
}

/// Minutes by which rule (c) plans; they are what the planner believes too.
const MILLIVOLT_MIN: f64 = 1.0 / 3.0;
const SETTLE_MIN: f64 = 0.5;
const RESLEEP_MIN: f64 = 15.0;
/// A single draw from which a circuit is called at fault, ampere: less would not take a
/// sound vehicle over the limit (from memory).
const CALLED_A: f64 = 0.03;

/// Works a vehicle by a rule until what is left is within the limit.
pub(crate) fn work(vehicle: &Vehicle, rule: Rule) -> Run {
    let knows = Knowledge::of(vehicle);
    let mut visit = Visit::asleep(vehicle);
    let run = Run::default();
    let Some(total) = knows.total(&mut visit) else {
        return run.end(vehicle, &visit, Vec::new());
    };
    let total_a = total.value;
    let order = order(vehicle, &knows, rule, total);
    let mut worker = Worker {
        vehicle,
        knows,
        visit,
        run,
        left_a: total_a,
        named: Vec::new(),
        pauses: 0,
    };
    for action in order {
        if worker.left_a <= LIMIT_A {
            break;
        }
        worker.test(&action);
    }
    worker.run.end(vehicle, &worker.visit, worker.named)
}

struct Worker<'v> {
    vehicle: &'v Vehicle,
    knows: Knowledge<'v>,
    visit: Visit<'v>,
    run: Run,
    left_a: f64,
    named: Vec<Named>,
    /// Waits for a draw that had gone by itself.
    pauses: usize,
}

impl Worker<'_> {
    fn test(&mut self, action: &Action) {
        if !self.visit.is_asleep() {
            let _ = self.visit.perform(&Action::WaitForSleep);
        }
        let Ok(mut answer) = self.visit.perform(action) else {
            return;
        };
        for _ in 0..PAUSES {
            if !matches!(answer.shown, Shown::Pull(before, _) if before <= LIMIT_A) {
                break;
            }
            // Gone because of what was found: over.
            if !self.named.is_empty() {
                self.left_a = LIMIT_A;
                return;
            }
            self.pauses += 1;
            if self.pauses > MOST_PAUSES {
                break;
            }
            // The draw has gone by itself: the pull says nothing before it is back.
            let _ = self.visit.perform(&Action::Wait(PAUSE_MIN));
            let _ = self.visit.perform(&Action::WaitForSleep);
            if let Ok(again) = self.visit.perform(action) {
                answer = again;
            }
        }
        // Settings come last for every rule, and then with permission.
        self.run.saw(action, &answer, true);
        let (node, current) = match (action, answer.shown) {
            (Action::Millivolt(node), Shown::Drop(volt)) => {
                (*node, self.knows.through_fuse(*node, volt))
            }
            (Action::Pull(nodes), Shown::Pull(before, after)) => {
                // What was found stays out.
                let step = self.knows.step(before, after, 0.5);
                (nodes[0], Some(step))
            }
            (Action::Unplug(node), Shown::Pull(before, after)) => {
                (*node, Some(self.knows.step(before, after, 0.5)))
            }
            _ => return,
        };
        let Some(current) = current else { return };
        if current.value - 2.0 * current.u < 0.0 || current.value < CALLED_A {
            return;
        }
        let tree = self.vehicle.tree();
        if !tree.is_leaf(node) && tree.node(node).kind == NodeKind::Fuse {
            // One of the loads that the list names behind this fuse.
            for &load in tree.leaves_below(node) {
                if self.left_a > LIMIT_A {
                    self.test(&Action::Unplug(load));
                }
            }
            return;
        }
        let leaf = tree.leaves_below(node).first().copied().unwrap_or(node);
        if self.named.iter().any(|named| named.node == Some(leaf)) {
            return;
        }
        self.named.push(Named {
            node: Some(leaf),
            p: 1.0,
        });
        self.left_a = match answer.shown {
            Shown::Pull(_, after) => after,
            _ => self.left_a - current.value,
        };
        let _ = self.visit.perform(&Action::Repair(leaf));
        // Who pulled has seen the total without it; who did not reads it again.
        if !matches!(answer.shown, Shown::Pull(..)) && self.left_a <= LIMIT_A {
            let total = self.knows.total(&mut self.visit);
            self.left_a = total.map_or(self.left_a, |total| total.value);
        }
    }
}

/// The tests in the order of a rule, each circuit once; what keeps settings pulled last.
fn order(
    vehicle: &Vehicle,
    knows: &Knowledge<'_>,
    rule: Rule,
    total: measure::Uncertain,
) -> Vec<Action> {
    let tree = vehicle.tree();
    let touchable = |node: usize| {
        !tree.leaves_below(node).iter().any(|&leaf| {
            let caution = knows.models.get(leaf).and_then(|model| model.caution);
            matches!(caution, Some(Touches::Airbag | Touches::HighVoltage))
        })
    };
    // A main fuse that feeds a whole box is no circuit.
    let single = |node: usize| tree.children(node).iter().all(|&c| tree.is_leaf(c));
    let fuses: Vec<usize> = vehicle
        .box_order()
        .into_iter()
        .filter(|&fuse| touchable(fuse) && single(fuse))
        .collect();
    let keeps = |node: usize| {
        let by_family = |&leaf: &usize| knows.models.get(leaf).is_some_and(|m| m.keeps_settings);
        tree.keeps_settings_below(node) || tree.leaves_below(node).iter().any(by_family)
    };
    let sees = |node: usize| {
        knows
            .fuse_floor_a(node)
            .is_some_and(|floor| floor < (total.value - LIMIT_A).max(CALLED_A))
    };
    let alternator = (0..tree.len()).find(|&node| tree.node(node).id.0 == "alternator-cable");
    let by_pull = |late: bool| {
        let mut pulls: Vec<Action> = fuses
            .iter()
            .filter(|&&fuse| keeps(fuse) == late)
            .map(|&fuse| Action::Pull(vec![fuse]))
            .collect();
        if !late {
            pulls.extend(alternator.map(|cable| Action::Pull(vec![cable])));
        }
        pulls
    };
    match rule {
        Rule::Pull => by_pull(false).into_iter().chain(by_pull(true)).collect(),
        Rule::Millivolts => {
            let read: Vec<Action> = fuses
                .iter()
                .filter(|&&fuse| sees(fuse))
                .map(|&fuse| Action::Millivolt(fuse))
                .collect();
            let rest = by_pull(false).into_iter().chain(by_pull(true));
            let rest = rest.filter(|action| match action {
                Action::Pull(nodes) => !read.contains(&Action::Millivolt(nodes[0])),
                _ => true,
            });
            let rest: Vec<Action> = rest.collect();
            read.into_iter().chain(rest).collect()
        }
        Rule::Ratio | Rule::RatioAfterTotal => {
            let p = chances(knows, rule, total);
            let mut tests: Vec<(bool, f64, Action)> = fuses
                .iter()
                .chain(&alternator)
                .map(|&node| {
                    let below = tree.leaves_below(node);
                    let chance: f64 = below.iter().map(|&leaf| p[leaf]).sum();
                    let (minutes, action) = if sees(node) {
                        (MILLIVOLT_MIN, Action::Millivolt(node))
                    } else {
                        (pull_min(knows, below), Action::Pull(vec![node]))
                    };
                    let late = matches!(action, Action::Pull(_)) && keeps(node);
                    (late, chance / minutes, action)
                })
                .collect();
            tests.sort_by(|a, b| a.0.cmp(&b.0).then(b.1.total_cmp(&a.1)));
            tests.into_iter().map(|(_, _, action)| action).collect()
        }
    }
}

fn pull_min(knows: &Knowledge<'_>, below: &[usize]) -> f64 {
    let models = || below.iter().filter_map(|&leaf| knows.models.get(leaf));
    let access = models().map(|m| m.access_min).fold(0.0, f64::max);
    let wakes = models().map(|m| m.wake_chance).fold(0.0, f64::max);
    access + SETTLE_MIN + wakes * RESLEEP_MIN
}

/// By node the chance of a fault.
fn chances(knows: &Knowledge<'_>, rule: Rule, total: measure::Uncertain) -> Vec<f64> {
    if rule == Rule::Ratio {
        let prior = |node| {
            knows
                .models
                .get(node)
                .map_or(0.0, |model| model.prior_fault)
        };
        return (0..knows.tree.len()).map(prior).collect();
    }
    let evidence = [Evidence {
        tag: 0,
        asleep: true,
        kind: EvidenceKind::Direct {
            node: FeedTree::ROOT,
            current: total,
            below_floor: None,
        },
    }];
    let belief = believe(
        knows.tree,
        &knows.models,
        &evidence,
        &BeliefOptions::default(),
    );
    belief.nodes.iter().map(|node| node.p_fault).collect()
}
