//! Says what a test is, why it is worth doing and what it may show.

use harness::{
    FeedTree, caution,
    family::{Families, WIRING},
};
use tongue::{Message, say};

use super::{
    Outcome, Proposal, TestKind,
    candidates::{self, Candidate, is_wiring},
    choose::{ALTERNATIVES, Planner},
    rank::Scored,
    score, words,
};

impl Planner<'_> {
    pub(super) fn total_proposal(&self, total: &Candidate) -> Proposal {
        let within = say::diagnosis::up_to(words::current(self.options.limit_a));
        Proposal {
            kind: total.kind,
            node: Some(FeedTree::ROOT),
            nodes: total.nodes.clone(),
            tool: total.tool,
            minutes: total.minutes,
            wake_chance: total.wake_chance,
            floor_a: Some(total.floor_a),
            bits: 0.0,
            why: say::diagnosis::total_why(
                words::current(total.floor_a),
                words::duration(total.minutes),
            ),
            caution: Some(total.caution.clone()),
            outcomes: vec![
                Outcome {
                    seen: within,
                    seen_a: None,
                    p: 1.0 - self.belief.nodes.first().map_or(0.0, |n| n.p_fault),
                    means: say::diagnosis::nothing_too_much(),
                },
                Outcome {
                    seen: say::diagnosis::more(),
                    seen_a: None,
                    p: self.belief.nodes.first().map_or(0.0, |n| n.p_fault),
                    means: say::diagnosis::something_too_much(),
                },
            ],
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
                    seen_a: None,
                    p,
                    means: say::diagnosis::it_draws(),
                },
                Outcome {
                    seen: say::diagnosis::no_more(),
                    seen_a: None,
                    p: 1.0 - p,
                    means: say::diagnosis::gone(),
                },
            ],
        }
    }

    /// After a find: is it the load or its wiring, and is there a second fault?
    pub(super) fn confirmations(&self, sure: &[usize], total: &Candidate) -> Vec<Proposal> {
        let untold = sure.iter().filter(|&&node| {
            // By the fuse that feeds it, too.
            let mut unplugged = self.options.done_tests.iter().filter(|(kind, nodes)| {
                let here = |&at: &usize| self.tree.is_at_or_below(node, at);
                *kind == TestKind::Unplug && nodes.iter().any(here)
            });
            !is_wiring(self.models, node) && unplugged.next().is_none()
        });
        let unplug = untold.map(|&node| {
            let model = self.models.get(node);
            let name = words::feeds(self.tree, self.models, node);
            Proposal {
                kind: TestKind::Unplug,
                node: Some(node),
                nodes: vec![node],
                tool: total.tool,
                minutes: model.map_or(5.0, |m| m.access_min + 5.0),
                wake_chance: model.map_or(0.0, |m| m.wake_chance),
                floor_a: Some(total.floor_a),
                bits: 0.0,
                why: say::diagnosis::unplug_why(name, &self.tree.node(node).id.0),
                caution: Some(caution::for_test(caution::TestKind::Detach).text.clone()),
                outcomes: self.load_or_wiring(node),
            }
        });
        let mut all: Vec<Proposal> = unplug.collect();
        let mut again = self.total_proposal(total);
        again.kind = TestKind::Remeasure;
        again.why = say::diagnosis::again_after_repair();
        all.push(again);
        all.truncate(ALTERNATIVES);
        all
    }

    /// What unplugging a load at fault may show, with the chances of its family and of wiring.
    fn load_or_wiring(&self, node: usize) -> Vec<Outcome> {
        let belief = &self.belief.nodes[node];
        let over_a = (belief.mean_a - belief.normal_a).max(0.0);
        let wiring = Families::built_in().get(WIRING);
        let wiring = wiring.map_or(0.0, |family| family.prior_fault);
        let load = self.models.get(node).map_or(1.0, |m| m.prior_fault);
        let p = load / (load + wiring).max(f64::MIN_POSITIVE);
        vec![
            Outcome {
                seen: say::diagnosis::about_less(words::current(over_a)),
                seen_a: None,
                p,
                means: say::diagnosis::unplug_load(),
            },
            Outcome {
                seen: say::diagnosis::no_less(),
                seen_a: None,
                p: 1.0 - p,
                means: say::diagnosis::unplug_wiring(),
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
                words::percent(scored.p_fault),
                subject,
                words::duration(candidate.minutes),
            ),
            caution: Some(candidate.caution.clone()),
            outcomes: self.outcomes(scored),
        }
    }

    fn outcomes(&self, scored: &Scored) -> Vec<Outcome> {
        let nodes = &scored.candidate.nodes;
        let (mut fault_a, mut quiet_a) = (0.0_f64, 0.0);
        for &node in nodes {
            if let Some(view) = self.belief.views.get(node).and_then(Option::as_deref) {
                let (fault, quiet) = score::means(view, self.belief.step_a);
                fault_a = fault_a.max(fault);
                quiet_a += quiet;
            }
        }
        let p = scored.p_fault;
        vec![
            Outcome {
                seen: say::diagnosis::about(words::current(fault_a)),
                seen_a: Some(fault_a),
                p,
                means: say::diagnosis::here_or_below(),
            },
            Outcome {
                seen: say::diagnosis::about(words::current(quiet_a)),
                seen_a: Some(quiet_a),
                p: 1.0 - p,
                means: say::diagnosis::elsewhere(),
            },
        ]
    }
}
