//! Fuses that are out while the search goes on: what the total is less for them.

use diagnosis::{Belief, Evidence, EvidenceKind};
use measure::Uncertain;
use rehearsal::fleet::{Action, Answer, Shown};

use super::{Bench, CLEARLY, SAME};
use crate::score::Named;

impl Bench<'_> {
    /// What is out, and what the total is less for it.
    pub(super) fn note_out(&mut self, action: &Action, answer: &Answer) {
        let Shown::Pull(before, after) = answer.shown else {
            return;
        };
        match action {
            Action::TakeOut(nodes) => {
                let step = self.knows.step(before, after, self.options.apart_min);
                self.out.push((nodes.clone(), step));
            }
            Action::PutBack(nodes) => {
                let rise = self.knows.step(after, before, self.options.apart_min);
                for (out, step) in &mut self.out {
                    if out.iter().any(|node| nodes.contains(node)) {
                        out.retain(|node| !nodes.contains(node));
                        *step = step.minus(rise);
                    }
                }
                self.out.retain(|(out, _)| !out.is_empty());
            }
            _ => {}
        }
    }

    /// A cable's reading with what its pulled fuses took added.
    pub(super) fn as_if_in(&self, mut evidence: Evidence) -> Evidence {
        let tree = self.knows.tree;
        if let EvidenceKind::Direct { node, current, .. } = &mut evidence.kind {
            let below = |step: &&(Vec<usize>, Uncertain)| {
                step.0.iter().any(|&out| tree.is_at_or_below(out, *node))
            };
            for (_, step) in self.out.iter().filter(below) {
                *current = current.plus(*step);
            }
        }
        evidence
    }

    /// Whatever is out together with something repaired goes back: what fell as it was taken out
    /// tells nothing any more.
    pub(super) fn back_after_repair(&mut self, mended: &[usize]) {
        let tree = self.knows.tree;
        let (back, out): (Vec<_>, Vec<_>) = self.out.drain(..).partition(|(nodes, _)| {
            let mut pairs = nodes
                .iter()
                .flat_map(|&node| mended.iter().map(move |&m| (m, node)));
            pairs.any(|(mended, node)| tree.is_at_or_below(mended, node))
        });
        self.out = out;
        let nodes: Vec<usize> = back.into_iter().flat_map(|(nodes, _)| nodes).collect();
        if nodes.is_empty() {
            return;
        }
        self.options.out.retain(|node| !nodes.contains(node));
        let action = Action::PutBack(nodes);
        if let Ok(answer) = self.visit.perform(&action) {
            self.run.saw(&action, &answer, true);
        }
    }

    pub(super) fn restore(&mut self) {
        self.options.out.clear();
        self.out.clear();
        if let Ok(answer) = self.visit.perform(&Action::Restore) {
            self.run.saw(&Action::Restore, &answer, true);
        }
    }

    /// What the total is at most without what was named, where pulls have shown it: whoever
    /// has pulled it has seen the total without it.
    pub(super) fn seen_without(&self, named: &[Named], belief: &Belief) -> Option<f64> {
        let tree = self.knows.tree;
        let pulled = |leaf: usize| {
            self.evidence.iter().any(|evidence| match &evidence.kind {
                EvidenceKind::Step { nodes, .. } => {
                    nodes.iter().any(|&node| tree.is_at_or_below(leaf, node))
                }
                EvidenceKind::Direct { .. } => false,
            })
        };
        let mut left_a = self.all_in_a();
        let others = self.out.iter().filter(|(out, _)| {
            let holds = |one: &Named| {
                let mut out = out.iter();
                one.node
                    .is_some_and(|leaf| out.any(|&node| tree.is_at_or_below(leaf, node)))
            };
            !named.iter().any(holds)
        });
        let u = others.fold(self.knows.u_total(self.last_a), |u, (_, step)| {
            u.hypot(step.u)
        });
        // Where the draw has changed by itself, only a total tells.
        if (left_a - self.total_a).abs() > SAME * self.total_a {
            return None;
        }
        for one in named {
            let leaf = one.node.filter(|&leaf| pulled(leaf))?;
            let node = &belief.nodes[leaf];
            left_a -= (node.mean_a - node.normal_a).max(0.0);
        }
        Some(left_a + CLEARLY * u)
    }

    /// The last total with what is out added.
    pub(super) fn all_in_a(&self) -> f64 {
        self.last_a + self.out_a()
    }

    /// What the total is less for what is out.
    pub(super) fn out_a(&self) -> f64 {
        let steps = self.out.iter().map(|(_, step)| step.value.max(0.0));
        steps.sum()
    }
}
