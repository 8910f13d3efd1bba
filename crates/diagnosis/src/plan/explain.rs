//! Says what a test is, why it is worth doing and what it may show.

use harness::{FeedTree, NodeKind, caution};
use measure::instrument::DETECTION;
use tongue::{Message, say};

use super::{
    Outcome, Proposal, TestKind,
    candidates::{self, Candidate, is_wiring},
    choose::{ALTERNATIVES, Planner},
    meaning,
    rank::Scored,
    score, words,
};
use crate::LoadModel;

impl Planner<'_> {
    pub(super) fn total_proposal(&self, total: &Candidate) -> Proposal {
        let (floor, time) = (
            words::current(total.floor_a),
            words::duration(total.minutes),
        );
        let (why, outcomes) = match self.belief.total {
            None => (
                say::diagnosis::total_why(floor, time),
                self.total_outcomes(),
            ),
            Some(known) => (
                say::diagnosis::total_once_more(floor, time),
                self.total_again_outcomes(known),
            ),
        };
        Proposal {
            kind: total.kind,
            node: Some(FeedTree::ROOT),
            nodes: total.nodes.clone(),
            tool: total.tool,
            minutes: total.minutes,
            wake_chance: total.wake_chance,
            floor_a: Some(total.floor_a),
            bits: 0.0,
            why,
            caution: Some(total.caution.clone()),
            outcomes,
        }
    }

    /// Putting one fuse back that is out and named.
    pub(super) fn put_back(&self, fuse: usize) -> Proposal {
        let view = self.belief.nodes.get(fuse);
        let back_a = view.map_or(0.0, |node| node.mean_a);
        let p = view.map_or(0.0, |node| node.p_fault);
        let (minutes, wake_chance) = candidates::put_back_price(self.tree, self.models, fuse);
        let name = words::feeds(self.tree, self.models, fuse);
        Proposal {
            kind: TestKind::PutBack,
            node: Some(fuse),
            nodes: vec![fuse],
            tool: None,
            minutes,
            wake_chance,
            floor_a: None,
            bits: score::entropy(p),
            why: say::diagnosis::put_back_why(words::current(back_a), name),
            caution: Some(caution::for_test(caution::TestKind::Pull).text.clone()),
            outcomes: vec![
                Outcome {
                    seen: say::diagnosis::about_more(words::current(back_a)),
                    seen_a: Some(back_a),
                    p,
                    p_fault: None,
                    means: say::diagnosis::it_draws(),
                },
                Outcome {
                    seen: say::diagnosis::no_more(),
                    seen_a: Some(0.0),
                    p: 1.0 - p,
                    p_fault: None,
                    means: say::diagnosis::gone(),
                },
            ],
        }
    }

    /// After a find: is it the load or its wiring, and is there a second fault?
    pub(super) fn confirmations(&self, sure: &[usize], total: &Candidate) -> Vec<Proposal> {
        let untold = sure.iter().filter(|&&node| self.may_unplug(node));
        let unplug = untold.map(|&node| {
            let model = self.models.get(node);
            let name = words::feeds(self.tree, self.models, node);
            let fuse = self.tree.supplying_fuse(node).unwrap_or(node);
            Proposal {
                kind: TestKind::Unplug,
                node: Some(node),
                nodes: vec![node],
                tool: total.tool,
                minutes: model.map_or(5.0, |m| m.access_min + 5.0),
                wake_chance: model.map_or(0.0, |m| m.wake_chance),
                floor_a: Some(total.floor_a),
                bits: 0.0,
                why: say::diagnosis::unplug_why(name, &self.tree.node(fuse).id.0),
                caution: Some(caution::for_test(caution::TestKind::Detach).text.clone()),
                outcomes: self.load_or_wiring(node, total.floor_a),
            }
        });
        let mut all: Vec<Proposal> = unplug.collect();
        // Where nothing was found there is nothing to repair.
        if !sure.is_empty() || self.is_found() {
            all.truncate(ALTERNATIVES - 1);
            all.push(Proposal {
                kind: TestKind::Remeasure,
                why: say::diagnosis::again_after_repair(),
                outcomes: self.repaired_outcomes(sure),
                ..self.total_proposal(total)
            });
        }
        all
    }

    /// Whether unplugging a load at fault is still to be done, and may be.
    fn may_unplug(&self, node: usize) -> bool {
        // A cable whose fuses nobody has listed yet has no plug.
        if self.tree.node(node).kind == NodeKind::Cable {
            return false;
        }
        let model = self.models.get(node);
        // By the fuse that feeds it, too.
        let unplugged = self.options.done_tests.iter().any(|(kind, nodes)| {
            let here = |&at: &usize| self.tree.is_at_or_below(node, at);
            *kind == TestKind::Unplug && nodes.iter().any(here)
        });
        let forbidden = matches!(
            model.and_then(|model| model.caution),
            Some(caution::TestKind::Airbag | caution::TestKind::HighVoltage)
        );
        let settings =
            model.is_some_and(|model| model.keeps_settings) || self.tree.keeps_settings_below(node);
        // What its fuse has lost already, its plug cannot lose again; a load by itself stands
        // among what is left out.
        let lost = self.tree.node(node).kind == NodeKind::Fuse && self.was_cut(node);
        let allowed = self.options.allow_settings_loss || !settings || lost;
        !unplugged && !forbidden && allowed && !is_wiring(self.models, node)
    }

    /// Whether the supply of a node was cut before.
    fn was_cut(&self, node: usize) -> bool {
        let cuts = |kind: &TestKind| {
            matches!(
                kind,
                TestKind::Pull | TestKind::PullGroup | TestKind::PutBack | TestKind::Detach
            )
        };
        let mut done = self.options.done_tests.iter().filter(|test| cuts(&test.0));
        done.any(|(_, nodes)| nodes.iter().any(|&at| self.tree.is_at_or_below(node, at)))
    }

    /// What unplugging a load at fault may show, with the chances of its family and of wiring
    /// to draw as much.
    fn load_or_wiring(&self, node: usize, floor_a: f64) -> Vec<Outcome> {
        let belief = &self.belief.nodes[node];
        let over_a = (belief.mean_a - belief.normal_a).max(0.0);
        let chance = |model: &LoadModel| model.chance_at(over_a.max(self.belief.step_a));
        let wiring = self.models.wiring().map_or(0.0, |model| chance(&model));
        let load = self.models.get(node).map_or(0.0, chance);
        let p = if load + wiring > 0.0 {
            load / (load + wiring)
        } else {
            1.0
        };
        let after = meaning::after_nothing(
            1.0 - p,
            (floor_a / DETECTION).hypot(self.belief.step_a / 2.0),
        );
        vec![
            Outcome {
                seen: say::diagnosis::about_less(words::current(over_a)),
                seen_a: Some(over_a),
                p,
                p_fault: None,
                means: say::diagnosis::unplug_load(),
            },
            Outcome {
                seen: say::diagnosis::no_less(),
                seen_a: Some(0.0),
                p: 1.0 - p,
                p_fault: None,
                means: if after >= super::PART_FROM {
                    say::diagnosis::unplug_wiring()
                } else {
                    say::diagnosis::unplug_wiring_likely(words::percent(after))
                },
            },
        ]
    }

    /// A leaf by its name, or as the wiring of its fuse.
    pub(super) fn place(&self, leaf: usize) -> Message {
        let named = |node: usize| Message::plain(&self.tree.node(node).id.0);
        match self.tree.parent(leaf) {
            Some(fuse) if is_wiring(self.models, leaf) => say::diagnosis::wiring_of(named(fuse)),
            _ => named(leaf),
        }
    }

    pub(super) fn left_over(&self) -> Message {
        let mut suspects: Vec<(f64, Message)> = self
            .tree
            .leaves()
            .iter()
            .map(|&leaf| (self.belief.nodes[leaf].p_fault, self.place(leaf)))
            .collect();
        suspects.push((self.belief.elsewhere.p_fault, say::diagnosis::outside()));
        suspects.sort_by(|a, b| b.0.total_cmp(&a.0));
        let named = suspects.iter().take(4).filter(|s| s.0 >= 0.02);
        let words: Vec<Message> = named
            .map(|(p, place)| say::diagnosis::suspect(words::percent(*p), place))
            .collect();
        if words.is_empty() {
            say::diagnosis::nothing_suspected()
        } else {
            Message::joined(words, ", ")
        }
    }

    pub(super) fn proposal(&self, scored: &Scored) -> Proposal {
        let candidate = &scored.candidate;
        let p = self.p_fault_of(&candidate.nodes);
        let node = (candidate.nodes.len() == 1).then(|| candidate.nodes[0]);
        let subject = match node {
            Some(node) => {
                let id = &self.tree.node(node).id;
                let what = words::feeds(self.tree, self.models, node);
                if what == id.0.as_str() {
                    Message::plain(&id.0)
                } else {
                    say::diagnosis::feeds(&id.0, what)
                }
            }
            None => {
                let ids = candidate
                    .nodes
                    .iter()
                    .map(|&n| self.tree.node(n).id.0.clone());
                Message::plain(ids.collect::<Vec<_>>().join(", "))
            }
        };
        Proposal {
            kind: candidate.kind,
            node,
            nodes: candidate.nodes.clone(),
            tool: candidate.tool,
            minutes: candidate.minutes,
            wake_chance: candidate.wake_chance,
            floor_a: Some(candidate.floor_a),
            bits: scored.bits,
            why: say::diagnosis::why(
                words::disturbs(
                    candidate.kind,
                    candidate.wake_chance,
                    candidate.loses_settings,
                ),
                words::current(candidate.floor_a),
                words::percent(p),
                subject,
                words::duration(candidate.minutes),
            ),
            caution: Some(candidate.caution.clone()),
            outcomes: self.outcomes(scored, p),
        }
    }
}
