//! The job done as the planner says.

mod out;

use diagnosis::{
    Belief, BeliefOptions, Evidence, EvidenceKind, PlanOptions, TestKind, believe, plan,
};
use harness::FeedTree;
use measure::Uncertain;
use rehearsal::fleet::{Action, Answer, Shown, Vehicle, Visit};

use crate::{
    knowledge::{Knowledge, LIMIT_A},
    score::{Named, Run},
};

/// How long to wait for a draw that comes and goes, and how often.
pub(crate) const PAUSE_MIN: u32 = 30;
pub(crate) const PAUSES: usize = 6;
/// How often in all; six hours of waiting are a job for a meter that logs (from memory).
pub(crate) const MOST_PAUSES: usize = 12;

/// Standard uncertainties by which a total that was only worked out has to keep within the limit
/// not to be read again: one-sided 95 % of a normal distribution.
const CLEARLY: f64 = 1.645;

/// Two totals are the same within this share: what a clamp promises and what modules do
/// while they sleep, together (from memory).
const SAME: f64 = 0.1;
/// A total that rises by more than this share as something is pulled was read while something
/// was awake (from memory).
const RISEN: f64 = 0.2;

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
            leave_out: true,
            ..PlanOptions::default()
        },
        total_a: total.value,
        last_a: total.value,
        out: Vec::new(),
        named: Vec::new(),
        pauses: 0,
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
    /// What the last total showed, with what was out then.
    last_a: f64,
    /// What was taken out together, and what the total fell by.
    out: Vec<(Vec<usize>, Uncertain)>,
    named: Vec<Named>,
    pauses: usize,
}

impl Bench<'_> {
    /// One test, or one repair; whether the work is over.
    fn step(&mut self, vehicle: &Vehicle, tag: usize) -> bool {
        let knows = &self.knows;
        let usual = BeliefOptions::default();
        let belief = believe(knows.tree, &knows.models, &self.evidence, &usual);
        self.run.state(vehicle, knows.tree, &belief);
        let options = (self.options.clone()).expect(
            knows.tree,
            &knows.models,
            &self.evidence,
            &belief,
            &usual,
        );
        let plan = plan(knows.tree, &knows.models, &belief, knows.tools, &options);
        let Some(next) = plan.next else {
            let named = self.newly_named(&belief, &plan.culprits);
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
            // Nothing tells more: what is likelier than not is repaired, and the total tells.
            let named = if named.is_empty() {
                likeliest(&belief, &self.options, &self.named)
            } else {
                named
            };
            return named.is_empty() || self.repaired(tag, named, &belief);
        };
        self.sleep();
        let action = match next.kind {
            TestKind::Remeasure if !plan.culprits.is_empty() => {
                let named = self.newly_named(&belief, &plan.culprits);
                return self.repaired(tag, named, &belief);
            }
            TestKind::Remeasure | TestKind::InLine => return self.total_is_fine(tag),
            TestKind::Clamp if next.nodes == [FeedTree::ROOT] => return self.total_is_fine(tag),
            TestKind::Clamp => Action::Clamp(next.nodes[0]),
            TestKind::Millivolt => Action::Millivolt(next.nodes[0]),
            TestKind::Unplug => Action::Unplug(next.nodes[0]),
            TestKind::PutBack => Action::PutBack(next.nodes.clone()),
            _ => Action::TakeOut(next.nodes.clone()),
        };
        let answer = match self.visit.perform(&action) {
            Ok(answer) => answer,
            Err(refusal) => {
                self.run.because = format!("{action:?}: {refusal}");
                return true;
            }
        };
        let allowed = self.options.allow_settings_loss;
        self.run.saw(&action, &answer, allowed);
        let answer = self.again_if_risen(&action, answer);
        let in_a = self.all_in_a();
        if let Shown::Pull(before, _) = answer.shown
            && (before - self.last_a).abs() <= SAME * self.last_a
            && (in_a - self.total_a).abs() <= SAME * self.total_a
        {
            // Whatever is pulled shows the total too.
            let total = self.knows.total_test();
            self.options.done_tests.push(total);
        }
        if self.note(&action, &answer) {
            return self.pause(tag);
        }
        self.options.at = next.nodes.first().copied();
        self.options.done_tests.push((next.kind, next.nodes));
        self.learn(tag, &action, &answer);
        // A cable does not stay off.
        if let Action::TakeOut(nodes) = &action
            && next.kind == TestKind::Detach
        {
            self.fit_again(tag, nodes.clone());
        }
        false
    }

    /// Everything named; what lies past the fuses is put right once.
    fn newly_named(&self, belief: &Belief, culprits: &[usize]) -> Vec<Named> {
        let mut named = named(belief, culprits, &self.options);
        let outside = self.named.iter().any(|one| one.node.is_none());
        named.retain(|one| one.node.is_some() || !outside);
        named
    }

    fn fit_again(&mut self, tag: usize, nodes: Vec<usize>) {
        let action = Action::PutBack(nodes);
        self.sleep();
        let Ok(answer) = self.visit.perform(&action) else {
            return;
        };
        self.run.saw(&action, &answer, true);
        self.note(&action, &answer);
        self.learn(tag, &action, &answer);
    }

    /// What is out now and what the total is; whether the draw has gone by itself.
    fn note(&mut self, action: &Action, answer: &Answer) -> bool {
        match action {
            Action::TakeOut(nodes) => self.options.out.extend(nodes),
            Action::PutBack(nodes) => self.options.out.retain(|node| !nodes.contains(node)),
            _ => {}
        }
        let out_a = self.out_a();
        self.note_out(action, answer);
        let Shown::Pull(before, after) = answer.shown else {
            return false;
        };
        let back_at_once = matches!(action, Action::Pull(_) | Action::Unplug(_));
        self.last_a = if back_at_once { before } else { after };
        let there = self.total_a > LIMIT_A;
        if let Action::PutBack(nodes) = action
            && there
            && self.all_in_a() <= LIMIT_A
        {
            // Whatever fell as it was taken out has gone by itself, then or since.
            self.forget(nodes);
            return true;
        }
        there && before + out_a <= LIMIT_A
    }

    /// Readings at these nodes no longer count, and may be taken again.
    fn forget(&mut self, nodes: &[usize]) {
        let those = |of: &[usize]| of.iter().any(|node| nodes.contains(node));
        self.evidence.retain(|evidence| match &evidence.kind {
            EvidenceKind::Step { nodes, .. } => !those(nodes),
            EvidenceKind::Direct { .. } => true,
        });
        let pulls = [TestKind::Pull, TestKind::PullGroup, TestKind::PutBack];
        self.options
            .done_tests
            .retain(|(kind, nodes)| !(pulls.contains(kind) && those(nodes)));
    }

    fn learn(&mut self, tag: usize, action: &Action, answer: &Answer) {
        let said = self.knows.evidence(tag, action, answer, self.total_a);
        let said = said.map(|said| self.as_if_in(said));
        self.evidence.extend(said);
    }

    /// A total that rises as something is pulled was read while something was awake: it is
    /// waited for, and read again.
    fn again_if_risen(&mut self, action: &Action, mut answer: Answer) -> Answer {
        if let (Action::TakeOut(_), Shown::Pull(before, after)) = (action, answer.shown)
            && after > before * (1.0 + RISEN)
        {
            let _ = self.visit.perform(&Action::Wait(5));
            self.sleep();
            if let Some(again) = self.knows.total(&mut self.visit) {
                answer.shown = Shown::Pull(before, again.value);
                self.run.trail.push(format!("again {:?}", answer.shown));
            }
        }
        answer
    }

    /// The draw has gone by itself: nothing can be found before it is back. Whether it stays away.
    fn pause(&mut self, tag: usize) -> bool {
        if !self.named.is_empty() {
            // Gone because of what was repaired.
            self.sleep();
            return self.total_is_fine(tag);
        }
        // It cannot be seen to come back while its own fuse may be out.
        if !self.out.is_empty() {
            self.restore();
        }
        for _ in 0..PAUSES {
            self.pauses += 1;
            if self.pauses > MOST_PAUSES {
                return self.give_up(tag);
            }
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

    /// Nobody waits any longer: what is likelier than not is repaired, if anything is.
    fn give_up(&mut self, tag: usize) -> bool {
        let knows = &self.knows;
        let usual = BeliefOptions::default();
        let belief = believe(knows.tree, &knows.models, &self.evidence, &usual);
        let named = likeliest(&belief, &self.options, &self.named);
        self.run.because = "the draw stayed away too often".into();
        if !named.is_empty() {
            self.repaired(tag, named, &belief);
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

    /// The total, with what fell as fuses were taken out added where they are still out; they go
    /// back first only where that leaves it open whether the vehicle keeps to the limit.
    fn total(&mut self, tag: usize) -> Option<Uncertain> {
        self.sleep();
        let shown = self.knows.total(&mut self.visit)?;
        self.run.trail.push(format!("total {shown:?}"));
        let steps = self.out.iter().map(|(_, step)| *step);
        let mut total = steps.fold(shown, Uncertain::plus);
        if !self.out.is_empty() && (total.value - LIMIT_A).abs() <= CLEARLY * total.u {
            self.restore();
            self.sleep();
            total = self.knows.total(&mut self.visit)?;
            self.run.trail.push(format!("total {total:?}"));
        }
        self.options.at = Some(FeedTree::ROOT);
        self.total_a = total.value;
        self.last_a = total.value - self.out_a();
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
    fn repaired(&mut self, tag: usize, named: Vec<Named>, belief: &Belief) -> bool {
        let tree = self.knows.tree;
        let seen_a = self.seen_without(&named, belief);
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
        if seen_a.is_some_and(|seen_a| seen_a <= LIMIT_A) {
            // Whoever has pulled it has seen the total without it, as the rules have.
            self.restore();
            return true;
        }
        self.back_after_repair(&mended);
        self.total(tag).is_none_or(|total| total.value <= LIMIT_A)
    }
}

/// What is likelier than not to be at fault.
fn likeliest(belief: &Belief, options: &PlanOptions, before: &[Named]) -> Vec<Named> {
    let listed = belief.culprits.iter();
    // The first alone: the next one may be its rival, and the total tells.
    listed
        .filter(|culprit| !before.iter().any(|named| named.node == culprit.node))
        .filter(|culprit| {
            culprit
                .node
                .is_none_or(|node| !options.resolved.contains(&node))
        })
        .map(|culprit| Named {
            node: culprit.node,
            p: culprit.p_fault,
        })
        .take(1)
        .collect()
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
