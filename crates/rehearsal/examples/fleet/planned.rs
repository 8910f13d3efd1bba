//! The job done as the planner says.

use diagnosis::{
    Belief, BeliefOptions, Evidence, EvidenceKind, PlanOptions, TestKind, believe, plan,
};
use harness::FeedTree;
use measure::Uncertain;
use rehearsal::fleet::{Action, Shown, Vehicle, Visit};

use crate::{
    knowledge::{Knowledge, LIMIT_A},
    score::{Named, Run},
};

/// How long to wait for a draw that comes and goes, and how often.
pub(crate) const PAUSE_MIN: u32 = 30;
pub(crate) const PAUSES: usize = 6;

/// More tests than anybody has patience for.
const MOST_TESTS: usize = 120;

/// Works a vehicle to the end: find, repair, read the total again, and on if it is still too much.
pub(crate) fn work(vehicle: &Vehicle) -> Run {
    let knows = Knowledge::of(vehicle);
    let mut visit = Visit::asleep(vehicle);
    let mut run = Run::default();
    let Some(total) = knows.total(&mut visit) else {
        return run.end(vehicle, &visit, Vec::new());
    };
    run.trail.push(format!("total {total:?}"));
    let mut bench = Bench {
        evidence: vec![total_read(0, total)],
        options: PlanOptions {
            limit_a: LIMIT_A,
            asleep_now: Some(true),
            done_tests: vec![knows.total_test()],
            ..PlanOptions::default()
        },
        total_a: total.value,
        named: Vec::new(),
        knows,
        visit,
        run,
    };
    for tag in 1..MOST_TESTS {
        if bench.step(vehicle, tag) {
            return bench.run.end(vehicle, &bench.visit, bench.named);
        }
    }
    bench.run.because = "no end".into();
    bench.run.end(vehicle, &bench.visit, bench.named)
}

struct Bench<'v> {
    knows: Knowledge<'v>,
    visit: Visit<'v>,
    run: Run,
    evidence: Vec<Evidence>,
    options: PlanOptions,
    total_a: f64,
    named: Vec<Named>,
}

impl Bench<'_> {
    /// One test, or one repair; whether the work is over.
    fn step(&mut self, vehicle: &Vehicle, tag: usize) -> bool {
        let knows = &self.knows;
        let usual = BeliefOptions::default();
        let belief = believe(knows.tree, &knows.models, &self.evidence, &usual);
        self.run.state(vehicle, knows.tree, &belief);
        let plan = plan(
            knows.tree,
            &knows.models,
            &belief,
            knows.tools,
            &self.options,
        );
        let Some(next) = plan.next else {
            let named = named(&belief, &plan.culprits, &self.options);
            self.run.because = plan.because.to_string();
            if named.is_empty() && self.total_a <= LIMIT_A {
                return self.pause(tag);
            }
            // Nothing else tells: now, and not before, the person is asked for the settings.
            if named.is_empty() && !self.options.allow_settings_loss {
                self.options.allow_settings_loss = true;
                self.run.asked = true;
                return false;
            }
            return named.is_empty() || self.repaired(tag, named);
        };
        self.sleep();
        let action = match next.kind {
            TestKind::Remeasure | TestKind::InLine => return self.total_is_fine(tag),
            TestKind::Clamp if next.nodes == [FeedTree::ROOT] => return self.total_is_fine(tag),
            TestKind::Clamp => Action::Clamp(next.nodes[0]),
            TestKind::Millivolt => Action::Millivolt(next.nodes[0]),
            TestKind::Unplug => Action::Unplug(next.nodes[0]),
            _ => Action::Pull(next.nodes.clone()),
        };
        let answer = match self.visit.perform(&action) {
            Ok(answer) => answer,
            Err(refusal) => {
                self.run.because = format!("{action:?}: {refusal}");
                return true;
            }
        };
        let allowed = self.options.allow_settings_loss;
        if matches!(answer.shown, Shown::Pull(before, _) if before <= LIMIT_A) {
            self.run.saw(&action, &answer, allowed);
            return self.pause(tag);
        }
        self.run.saw(&action, &answer, allowed);
        self.options.done_tests.push((next.kind, next.nodes));
        let said = self.knows.evidence(tag, &action, &answer, self.total_a);
        self.evidence.extend(said);
        false
    }

    /// The draw has gone by itself: nothing can be found before it is back. Whether it stays away.
    fn pause(&mut self, tag: usize) -> bool {
        if !self.named.is_empty() {
            // Gone because of what was repaired.
            self.sleep();
            return self.total_is_fine(tag);
        }
        for _ in 0..PAUSES {
            let _ = self.visit.perform(&Action::Wait(PAUSE_MIN));
            self.sleep();
            if self.total(tag).is_some_and(|total| total.value > LIMIT_A) {
                self.evidence.retain(|evidence| match &evidence.kind {
                    EvidenceKind::Direct { node, current, .. } => {
                        *node != FeedTree::ROOT || current.value > LIMIT_A
                    }
                    EvidenceKind::Step { .. } => true,
                });
                return false;
            }
        }
        true
    }

    /// Whoever waits once knows how long it takes.
    fn sleep(&mut self) {
        if self.visit.is_asleep() {
            return;
        }
        if let Ok(waited) = self.visit.perform(&Action::WaitForSleep) {
            self.options.resleep_min = waited.minutes.max(1.0);
        }
    }

    fn total(&mut self, tag: usize) -> Option<Uncertain> {
        let total = self.knows.total(&mut self.visit)?;
        self.run.trail.push(format!("total {total:?}"));
        self.total_a = total.value;
        self.evidence.push(total_read(tag, total));
        self.options.done_tests.push(self.knows.total_test());
        Some(total)
    }

    /// Reads the total; whether that ends the work, a repair having been made.
    fn total_is_fine(&mut self, tag: usize) -> bool {
        self.total(tag)
            .is_none_or(|total| total.value <= LIMIT_A && !self.named.is_empty())
    }

    /// After a repair the readings that it changed no longer count, as in a job.
    fn repaired(&mut self, tag: usize, named: Vec<Named>) -> bool {
        let tree = self.knows.tree;
        for one in &named {
            let repair = one.node.map_or(Action::RepairOutside, Action::Repair);
            let _ = self.visit.perform(&repair);
        }
        let mended: Vec<usize> = named.iter().filter_map(|one| one.node).collect();
        let touched = |nodes: &[usize]| {
            nodes.iter().any(|&node| {
                node == FeedTree::ROOT
                    || mended.iter().any(|&mended| {
                        tree.is_at_or_below(mended, node) || tree.is_at_or_below(node, mended)
                    })
            })
        };
        self.evidence.retain(|evidence| match &evidence.kind {
            EvidenceKind::Direct { node, .. } => !touched(&[*node]),
            EvidenceKind::Step { nodes, .. } => !touched(nodes),
        });
        self.options.done_tests.retain(|(_, nodes)| !touched(nodes));
        self.knows.models = self.knows.models.clone().repaired(&mended);
        self.options.resolved.extend(&mended);
        self.named.extend(named);
        self.sleep();
        self.total(tag).is_none_or(|total| total.value <= LIMIT_A)
    }
}

fn total_read(tag: usize, current: Uncertain) -> Evidence {
    Evidence {
        tag,
        asleep: true,
        kind: EvidenceKind::Direct {
            node: FeedTree::ROOT,
            current,
            below_floor: None,
        },
    }
}

/// Everything named as at fault, what is past the fuses included.
fn named(belief: &Belief, culprits: &[usize], options: &PlanOptions) -> Vec<Named> {
    let mut named: Vec<Named> = culprits
        .iter()
        .map(|&node| Named {
            node: Some(node),
            p: belief.nodes[node].p_fault,
        })
        .collect();
    if belief.elsewhere.p_fault >= options.sure_from {
        named.push(Named {
            node: None,
            p: belief.elsewhere.p_fault,
        });
    }
    named
}
