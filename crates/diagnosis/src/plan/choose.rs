//! Chooses the next test and decides whether the search is over.

use harness::{FeedTree, NodeKind, caution};
use measure::Instrument;
use tongue::{Message, say};

use super::{
    Excluded, Plan, PlanOptions, Proposal, TestKind,
    candidates::{self, Candidate, Finder},
    words,
};
use crate::{Belief, LoadModels};

/// Alternatives shown at most.
pub(super) const ALTERNATIVES: usize = 8;

/// Expected faults beside those named from which on they are looked for, after the total
/// was read once more: with less the total after the repair tells soonest.
const SECOND_LIKELY: f64 = 0.5;

/// A load that nobody looked at for itself is named from this probability on: what only the
/// other readings say hangs on all their errors at once (from memory).
const SURE_UNSEEN: f64 = 0.99;

/// Share of what the whole vehicle takes beyond its limit from which on a circuit is named: one
/// that takes a little more than is usual explains nothing (from memory).
const SHARE_NAMED: f64 = 0.2;

/// A circuit is told as a suspect from this probability on (from memory).
const SUSPECT: f64 = 0.02;

/// How often one test may be done: a second look unmasks a slip. Across a fuse there is
/// none, since what the meter and the fuse get wrong they get wrong each time.
const REPEATS: usize = 2;

/// The next test, its rivals, and whether the search is over.
///
/// Without a total read asleep, that is asked for first. After that every allowed and
/// useful test is ranked by expected information per effective minute, and the first
/// place goes to the one that ends soonest by looking ahead, except that
/// the alternator's cable, audio and other memory-keeping circuits wait, in this
/// order, until they are suspected for themselves, and that among many suspects what interrupts
/// a supply waits for what can be read in place. What one pull alone found, and nobody expected
/// there, is put back once; after a find the total is asked for with that repaired or out. The search is over when loads named with
/// [`PlanOptions::sure_from`] explain the draw down to the limit, when the draw is
/// within the limit anyway, or when no allowed test tells apart what is left.
pub fn plan(
    tree: &FeedTree,
    models: &LoadModels,
    belief: &Belief,
    tools: &[Instrument],
    options: &PlanOptions,
) -> Plan {
    let mut finder = Finder {
        tree,
        models,
        tools,
        options,
        found: Vec::new(),
        bypassed: Vec::new(),
        excluded: Vec::new(),
    };
    finder.run();
    let Finder {
        found,
        bypassed,
        excluded,
        ..
    } = finder;
    let planner = Planner {
        tree,
        models,
        belief,
        options,
    };
    planner.plan([found, bypassed], excluded, candidates::total(tools))
}

/// Whether a test that was done asks what this one would: cutting the supply of a place tells
/// the same however it is cut, and a current read at a load what unplugging it would.
fn asks_the_same(done: TestKind, candidate: &Candidate) -> bool {
    use TestKind::{Clamp, Detach, InLine, Pull, PullGroup, PutBack, Unplug};
    // A total is one, whichever ammeter shows it.
    let current = |kind| matches!(kind, Clamp | InLine);
    let cuts = |kind| matches!(kind, Pull | PullGroup | PutBack | Detach | Unplug);
    done == candidate.kind
        || current(candidate.kind) && current(done)
        || cuts(candidate.kind) && cuts(done)
        || candidate.kind == Unplug && matches!(done, Clamp | InLine)
}

/// Whether two lists name the same places, in whatever order.
fn same_places(one: &[usize], other: &[usize]) -> bool {
    one.len() == other.len() && one.iter().all(|node| other.contains(node))
}

pub(super) struct Planner<'a> {
    pub(super) tree: &'a FeedTree,
    pub(super) models: &'a LoadModels,
    pub(super) belief: &'a Belief,
    pub(super) options: &'a PlanOptions,
}

impl Planner<'_> {
    fn plan(
        &self,
        [found, bypassed]: [Vec<Candidate>; 2],
        mut excluded: Vec<Excluded>,
        total: Candidate,
    ) -> Plan {
        let mut ranked = self.rank(self.not_too_often(found), &mut excluded);
        self.look_ahead(&mut ranked);
        if ranked.is_empty() {
            ranked = self.rank(self.not_too_often(bypassed), &mut excluded);
        }
        let told = ranked.iter().take(ALTERNATIVES + 1);
        let mut proposals: Vec<Proposal> = told.map(|s| self.proposal(s)).collect();
        let sure = self.named();
        let over = self.is_over(&sure);
        if let Some(back) = self.unconfirmed(&sure) {
            proposals.truncate(ALTERNATIVES);
            return Plan {
                because: back.why.clone(),
                next: Some(back),
                alternatives: proposals,
                excluded,
                culprits: sure,
                done: false,
            };
        }
        if over.is_none()
            && let Some(first) = self.before_all(&total, &sure, &proposals)
        {
            proposals.truncate(ALTERNATIVES);
            return Plan {
                because: first.why.clone(),
                next: Some(first),
                alternatives: proposals,
                excluded,
                culprits: sure,
                done: false,
            };
        }
        if let Some(because) = over {
            return Plan {
                next: None,
                alternatives: self.confirmations(&sure, &total),
                excluded,
                culprits: sure,
                done: true,
                because,
            };
        }
        if proposals.is_empty() && self.times_done(&total) < REPEATS {
            // Everything hangs on one reading of the total by now.
            let again = self.total_again(&total);
            return Plan {
                because: again.why.clone(),
                next: Some(again),
                alternatives: Vec::new(),
                excluded,
                culprits: sure,
                done: false,
            };
        }
        if proposals.is_empty() {
            let left = self.left_over();
            return Plan {
                next: None,
                alternatives: vec![self.total_proposal(&total)],
                because: Message::joined(
                    [say::diagnosis::stuck(left)]
                        .into_iter()
                        .chain(self.owner_must_agree())
                        .collect(),
                    "; ",
                ),
                excluded,
                culprits: sure,
                done: true,
            };
        }
        let mut next = proposals.remove(0);
        if let Some(fuse) = self.out_above(&next) {
            // What hangs behind a fuse that is out is told apart with the fuse back in.
            next = self.put_back(fuse);
        }
        Plan {
            because: next.why.clone(),
            next: Some(next),
            alternatives: proposals,
            excluded,
            culprits: sure,
            done: false,
        }
    }

    /// Which suspects are left alone because stored settings would be lost.
    fn owner_must_agree(&self) -> Option<Message> {
        if self.options.allow_settings_loss {
            return None;
        }
        let guarded: Vec<String> = (self.tree.leaves().iter())
            .filter(|&&leaf| {
                self.belief
                    .nodes
                    .get(leaf)
                    .is_some_and(|n| n.p_fault >= SUSPECT)
            })
            .filter(|&&leaf| self.keeps_settings(leaf))
            .map(|&leaf| self.tree.node(leaf).id.0.clone())
            .collect();
        (!guarded.is_empty()).then(|| say::diagnosis::owner_must_agree(guarded.join(", ")))
    }

    fn keeps_settings(&self, leaf: usize) -> bool {
        let by_family = self.models.get(leaf).is_some_and(|m| m.keeps_settings);
        self.tree.keeps_settings_below(leaf) || by_family
    }

    fn not_too_often(&self, found: Vec<Candidate>) -> Vec<Candidate> {
        let often = |candidate: &Candidate| match candidate.kind {
            TestKind::Millivolt => 1,
            _ => REPEATS,
        };
        let few = found.into_iter();
        few.filter(|candidate| self.times_done(candidate) < often(candidate))
            .collect()
    }

    pub(super) fn times_done(&self, candidate: &Candidate) -> usize {
        let done = self.options.done_tests.iter();
        done.filter(|(kind, nodes)| {
            asks_the_same(*kind, candidate) && same_places(nodes, &candidate.nodes)
        })
        .count()
    }

    /// Loads named as at fault: those that are so with near certainty, and those that beyond
    /// their own normal draw take more than the whole vehicle may, whatever that is called.
    fn named(&self) -> Vec<usize> {
        let over_a = self
            .belief
            .total
            .map_or(0.0, |total| total.value - self.options.limit_a);
        let least_a = (SHARE_NAMED * over_a).max(0.0);
        let mut named: Vec<usize> = self
            .tree
            .leaves()
            .iter()
            .copied()
            .filter(|&leaf| leaf != FeedTree::ROOT && !self.options.resolved.contains(&leaf))
            .filter(|&leaf| {
                self.belief.nodes.get(leaf).is_some_and(|node| {
                    let seen = node.p_fault >= SURE_UNSEEN || self.was_tested(leaf);
                    let excess_a = node.draw.p05 - node.normal_a;
                    let matters = node.draw.p95 - node.normal_a >= least_a;
                    seen && (matters && node.p_fault >= self.options.sure_from
                        || excess_a > self.options.limit_a)
                })
            })
            .collect();
        named.sort_by(|&a, &b| {
            let p = |leaf: usize| self.belief.nodes[leaf].p_fault;
            p(b).total_cmp(&p(a)).then(a.cmp(&b))
        });
        named
    }

    /// Expected number of faults beside those named that by themselves take more than the
    /// whole vehicle may, beyond what is normal. A little in each of many circuits is no
    /// fault to search for, though together it exceeds the limit.
    pub(super) fn further(&self, sure: &[usize]) -> f64 {
        let leaves = self.tree.leaves().iter();
        let left =
            leaves.filter(|leaf| !sure.contains(leaf) && !self.options.resolved.contains(leaf));
        let within: f64 = left.filter_map(|&leaf| self.large_fault(leaf)).sum();
        let elsewhere = &self.belief.elsewhere;
        let outside = elsewhere.p_fault < self.options.sure_from
            && elsewhere.draw.p95 - elsewhere.normal_a > self.options.limit_a;
        within + if outside { elsewhere.p_fault } else { 0.0 }
    }

    /// Chance that a load is at fault and takes that much.
    fn large_fault(&self, leaf: usize) -> Option<f64> {
        let node = self.belief.nodes.get(leaf)?;
        let Some(view) = self.belief.views.get(leaf).and_then(Option::as_deref) else {
            return Some(node.p_fault);
        };
        let from_a = node.normal_a + self.options.limit_a;
        let from = (from_a / self.belief.step_a).ceil() as usize;
        Some(view.fault.iter().skip(from).sum::<f64>().min(node.p_fault))
    }

    /// Sleep, then the total, and the total again after each find that does not explain it:
    /// what is left may be a second fault, or a total that was read at a bad moment.
    fn before_all(
        &self,
        total: &Candidate,
        sure: &[usize],
        proposals: &[Proposal],
    ) -> Option<Proposal> {
        if self.options.asleep_now == Some(false) {
            return Some(Proposal {
                kind: TestKind::WaitForSleep,
                node: None,
                nodes: Vec::new(),
                tool: None,
                minutes: self.options.wait_min,
                wake_chance: 0.0,
                floor_a: None,
                bits: 0.0,
                why: say::diagnosis::awake(words::duration(self.options.wait_min)),
                caution: Some(
                    caution::for_test(caution::TestKind::WaitForSleep)
                        .text
                        .clone(),
                ),
                outcomes: Vec::new(),
            });
        }
        if self.belief.total.is_none() {
            return Some(self.total_proposal(total));
        }
        let read = self.times_done(total);
        let second = !sure.is_empty() && read <= sure.len();
        // A pull in doubt is done again where it was done; only a total that is in doubt for
        // itself, or cannot be asked otherwise, is read again.
        let again = |next: &Proposal| {
            let mut places = next.nodes.iter();
            places.any(|&node| node != FeedTree::ROOT && self.was_tested(node))
        };
        let elsewhere = !proposals.first().is_some_and(again);
        let doubtful = self.belief.disagreement.is_some() && read < REPEATS && elsewhere;
        if second {
            return Some(self.total_without(total, sure));
        }
        doubtful.then(|| self.total_again(total))
    }

    /// The fuse that is out and feeds the load that a test would unplug.
    fn out_above(&self, next: &Proposal) -> Option<usize> {
        let load = next.node.filter(|_| next.kind == TestKind::Unplug)?;
        let mut out = self.options.out.iter().copied();
        out.find(|&out| out != load && self.tree.is_at_or_below(load, out))
    }

    /// A named load whose pull alone speaks against it, where nobody expected it, and which is
    /// out: put back, its draw has to come back, or it had gone by itself just then.
    fn unconfirmed(&self, sure: &[usize]) -> Option<Proposal> {
        let mut doubtful = (sure.iter()).filter(|&&leaf| !self.options.was_expected(leaf));
        doubtful.find_map(|&leaf| {
            let out = self.options.out.iter().copied();
            let fuse = out
                .into_iter()
                .find(|&out| self.tree.is_at_or_below(leaf, out))?;
            let looked = self.options.done_tests.iter().filter(|(_, nodes)| {
                nodes.iter().any(|&at| {
                    at != FeedTree::ROOT
                        && self.tree.node(at).kind != NodeKind::Cable
                        && self.tree.is_at_or_below(leaf, at)
                })
            });
            (looked.count() == 1).then(|| self.put_back(fuse))
        })
    }

    fn total_again(&self, total: &Candidate) -> Proposal {
        let mut again = self.total_proposal(total);
        again.why = say::diagnosis::total_again(words::duration(total.minutes));
        again
    }

    /// The total with what was named repaired or out.
    fn total_without(&self, total: &Candidate, sure: &[usize]) -> Proposal {
        let mut again = self.total_proposal(total);
        again.kind = TestKind::Remeasure;
        let names: Vec<Message> = sure.iter().map(|&node| self.place(node)).collect();
        again.why = say::diagnosis::total_without(
            Message::listed(names),
            words::percent(self.further(sure).min(1.0)),
            words::duration(total.minutes),
        );
        again.outcomes = self.repaired_outcomes(sure);
        again
    }

    fn is_over(&self, sure: &[usize]) -> Option<Message> {
        let total = self.belief.total?;
        let limit = self.options.limit_a;
        let all = self.belief.nodes.first()?;
        let elsewhere = self
            .belief
            .culprits
            .iter()
            .find(|c| c.node.is_none() && c.p_fault >= self.options.sure_from);
        if sure.is_empty() && elsewhere.is_none() {
            // One-sided 95 %.
            return (total.value + 1.645 * total.u <= limit).then(|| {
                say::diagnosis::within(words::current(total.value), words::current(limit))
            });
        }
        let over = |belief: &crate::NodeBelief| (belief.mean_a - belief.normal_a).max(0.0);
        let explained: f64 = sure
            .iter()
            .filter_map(|&node| self.belief.nodes.get(node))
            .map(over)
            .sum();
        let outside = elsewhere.map_or(0.0, |_| over(&self.belief.elsewhere));
        // Once the readings disagree the mean is led by what a worthless total leaves possible.
        let all_a = all.draw.p50;
        let left = all_a - explained - outside;
        let mut names: Vec<Message> = sure.iter().map(|&node| self.place(node)).collect();
        if elsewhere.is_some() {
            names.push(say::diagnosis::something_outside());
        }
        let others = self.further(sure);
        if left > limit && others < SECOND_LIKELY {
            return Some(say::diagnosis::second_less_likely(
                words::current(all_a),
                words::current(explained + outside),
                words::percent(others),
                Message::listed(names),
            ));
        }
        (left <= limit).then(|| {
            say::diagnosis::explained(
                words::current(all_a),
                words::current(left.max(0.0)),
                words::current(limit),
                words::current(explained + outside),
                Message::listed(names),
            )
        })
    }
}
