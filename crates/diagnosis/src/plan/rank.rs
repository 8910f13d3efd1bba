//! Ranks the tests that may be done: by what each tells in its time, then by looking ahead.

use std::collections::BTreeMap;

use harness::{FeedTree, NodeKind};
use tongue::say;

use super::{
    Excluded, TestKind,
    candidates::{Candidate, Tier, stand},
    choose::Planner,
    score,
    search::{EXACT, Search, SplitTest},
    words,
};
use crate::belief::View;

/// A circuit out of the common order goes first from this probability on: more
/// likely at fault than not.
const OUT_OF_ORDER: f64 = 0.5;

/// A circuit less likely at fault than this holds nothing up (from memory).
const CLEARED: f64 = 0.02;

/// Suspects that looking ahead considers, the likeliest, and up to how many it
/// solves exactly (chosen for answers within some hundredths of a second).
const SUSPECTS: usize = 24;
const SOLVED_EXACTLY: usize = 10;
/// A suspect less likely than this is left out of looking ahead (from memory).
const LEAST_SUSPECT: f64 = 0.001;
/// What was tested for itself is tested again only while it is at least this likely at fault
/// (from memory: less is the doubt that clings to every reading, and one would go round in circles).
const AGAIN_FROM: f64 = 0.05;
/// Minutes for each further fuse of a group (from memory).
const FURTHER_MIN: f64 = 0.5;
/// Sizes of groups of fuses that are considered (from memory: a hand holds no more).
const GROUPS: [usize; 7] = [2, 3, 4, 6, 8, 12, 16];
/// Fuses less likely at fault than this are not put into groups (from memory).
const LEAST_IN_GROUP: f64 = 0.0005;
/// Share of what a perfect meter would tell that a test must tell to count as
/// a plain yes or no when looking ahead (from memory).
const CLEAR: f64 = 0.6;

/// Faulty draws that a meter must be able to see for a test to be worth doing (from memory).
const LEAST_VISIBLE: f64 = 0.05;

/// A test with what it is worth.
pub(super) struct Scored {
    pub(super) candidate: Candidate,
    pub(super) bits: f64,
    pub(super) p_fault: f64,
    pub(super) late: Option<Tier>,
    pub(super) score: f64,
}

/// Readings in place disturb nothing: those out of the common order wait for the other
/// readings in place alone, not for pulls, and not for circuits that are as good as cleared.
fn release(scored: &mut [Scored]) {
    let in_place = |s: &Scored| s.candidate.kind == TestKind::Millivolt;
    for tier in [Tier::Alternator, Tier::Audio, Tier::Memory] {
        let holds_up = |s: &Scored| in_place(s) && s.late.is_none() && s.p_fault >= CLEARED;
        if scored.iter().any(holds_up) {
            return;
        }
        for late in scored.iter_mut().filter(|s| in_place(s)) {
            late.late = late.late.filter(|&of| of != tier);
        }
    }
}

impl Planner<'_> {
    pub(super) fn rank(&self, found: Vec<Candidate>, excluded: &mut Vec<Excluded>) -> Vec<Scored> {
        let mut scored: Vec<Scored> = Vec::new();
        for candidate in found {
            match self.score(candidate) {
                Ok(Some(one)) => scored.push(one),
                Ok(None) => {}
                Err(reason) => excluded.push(reason),
            }
        }
        release(&mut scored);
        self.read_first(&mut scored);
        // Too little each, several fuses may be worth a pull together.
        let groups = self.groups(&scored);
        scored.extend(groups);
        scored.retain(|s| s.bits >= self.options.least_bits);
        // Late ones after all others, in the order of their tiers; ties by place, for determinism.
        scored.sort_by(|a, b| {
            let late = |s: &Scored| s.late.unwrap_or(Tier::Ordinary);
            late(a)
                .cmp(&late(b))
                .then(b.score.total_cmp(&a.score))
                .then(a.candidate.nodes.cmp(&b.candidate.nodes))
                .then(a.candidate.kind.cmp(&b.candidate.kind))
        });
        scored
    }

    /// What interrupts a supply waits while circuits can be read in place that may well be at
    /// fault: reading disturbs nothing. Where few suspects are left, or somebody has stated what
    /// tests cost here, looking ahead weighs that by itself.
    fn read_first(&self, scored: &mut [Scored]) {
        let suspects = self.tree.leaves().iter();
        let suspects = suspects.filter(|&&leaf| self.belief.nodes[leaf].p_fault >= LEAST_SUSPECT);
        if suspects.count() <= EXACT || !self.options.stated.is_empty() {
            return;
        }
        let holds_up = |s: &Scored| {
            s.candidate.kind == TestKind::Millivolt
                && s.late.is_none()
                && s.p_fault >= CLEARED
                && s.bits >= self.options.least_bits
        };
        if !scored.iter().any(holds_up) {
            return;
        }
        let interrupts = |s: &&mut Scored| {
            matches!(
                s.candidate.kind,
                TestKind::Pull | TestKind::Detach | TestKind::Unplug
            )
        };
        for late in scored.iter_mut().filter(interrupts) {
            late.late = late.late.or(Some(Tier::Interrupting));
        }
    }

    /// Moves to the front the test that ends soonest when one fault is
    /// searched by clear tests to the end: the greedy ranking only sees one test far.
    pub(super) fn look_ahead(&self, ranked: &mut Vec<Scored>) {
        let mut suspects: Vec<(usize, f64)> = self
            .tree
            .leaves()
            .iter()
            .filter_map(|&leaf| Some((leaf, self.belief.nodes.get(leaf)?.p_fault)))
            .filter(|&(_, p)| p >= LEAST_SUSPECT)
            .collect();
        suspects.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
        // The unlikelier ones count together by where they hang, so that a test of their whole
        // branch keeps its worth.
        let rest = suspects.split_off(suspects.len().min(SUSPECTS));
        let mut branches: BTreeMap<usize, f64> = BTreeMap::new();
        for (leaf, p) in rest {
            *branches.entry(stand(self.tree, leaf)).or_default() += p;
        }
        suspects.extend(branches);
        let mut weights: Vec<f64> = suspects.iter().map(|&(_, p)| p).collect();
        // The last candidate is inside no test: a draw outside the tree.
        let elsewhere = self.belief.elsewhere.p_fault;
        if elsewhere >= LEAST_SUSPECT {
            weights.push(elsewhere);
        }
        let clear = |s: &Scored| s.bits >= CLEAR * score::entropy(s.p_fault);
        let usable: Vec<usize> = (0..ranked.len())
            .filter(|&i| ranked[i].late.is_none() && clear(&ranked[i]))
            .collect();
        let tests: Vec<SplitTest> = usable
            .iter()
            .map(|&i| {
                let candidate = &ranked[i].candidate;
                let below = |leaf: usize| {
                    let mut nodes = candidate.nodes.iter();
                    nodes.any(|&node| self.tree.is_at_or_below(leaf, node))
                };
                let inside = suspects.iter().enumerate();
                SplitTest {
                    inside: inside
                        .filter(|(_, s)| below(s.0))
                        .fold(0, |set, (bit, _)| set | 1 << bit),
                    minutes: candidate.minutes,
                    wake_chance: candidate.wake_chance,
                    back: candidate.back(),
                }
            })
            .collect();
        let mut search =
            Search::new(&weights, &tests, self.options.resleep_min).exact_up_to(SOLVED_EXACTLY);
        let start = search.start();
        // An unclear test that ranks first stays there: looking ahead cannot judge it.
        if usable.first() == Some(&0)
            && let Some(best) = search.choose(start).and_then(|test| usable.get(test))
        {
            let first = ranked.remove(*best);
            ranked.insert(0, first);
        }
    }

    fn score(&self, candidate: Candidate) -> Result<Option<Scored>, Excluded> {
        let Some(&node) = candidate.nodes.first() else {
            return Ok(None);
        };
        let Some(view) = self.belief.views.get(node).and_then(Option::as_deref) else {
            return Ok(None);
        };
        let p_fault = self.belief.nodes[node].p_fault;
        if p_fault < AGAIN_FROM && (self.times_done(&candidate) > 0 || self.was_tested(node)) {
            return Ok(None);
        }
        let step_a = self.belief.step_a;
        if score::visible(view, step_a, candidate.floor_a) < LEAST_VISIBLE {
            return Err(self.unseen(&candidate, view, node));
        }
        let bits = score::information(view, step_a, &|draw| candidate.u_a(draw));
        // Interrupting what keeps settings always comes last.
        let waits =
            candidate.tier > Tier::Ordinary && (p_fault < OUT_OF_ORDER || candidate.loses_settings);
        Ok(Some(Scored {
            late: waits.then_some(candidate.tier),
            score: bits / self.effective_min(&candidate),
            bits,
            p_fault,
            candidate,
        }))
    }

    /// Whether a test below the cables has looked at all that hangs at a node.
    pub(super) fn was_tested(&self, node: usize) -> bool {
        let looked = |leaf: &usize| {
            let mut tests = self.options.done_tests.iter().flat_map(|(_, nodes)| nodes);
            tests.any(|&at| {
                self.tree.node(at).kind != NodeKind::Cable
                    && at != FeedTree::ROOT
                    && self.tree.is_at_or_below(*leaf, at)
            })
        };
        self.tree.leaves_below(node).iter().all(looked)
    }

    fn effective_min(&self, candidate: &Candidate) -> f64 {
        (candidate.minutes + candidate.wake_chance * self.options.resleep_min).max(0.05)
    }

    fn unseen(&self, candidate: &Candidate, view: &View, node: usize) -> Excluded {
        let (fault_a, _) = score::means(view, self.belief.step_a);
        Excluded {
            kind: candidate.kind,
            node: Some(node),
            reason: say::diagnosis::unseen(
                words::current(fault_a),
                words::current(candidate.floor_a),
            ),
        }
    }

    /// Groups of fuses of one branch pulled together: one way and one wait in place of several.
    fn groups(&self, scored: &[Scored]) -> Vec<Scored> {
        let mut groups = Vec::new();
        if !self.options.pull_groups {
            return groups;
        }
        let kinds = [TestKind::Pull, TestKind::PutBack];
        let places = kinds
            .into_iter()
            .flat_map(|kind| (0..self.tree.len()).map(move |at| (kind, at)));
        for (kind, parent) in places {
            let mut pulls: Vec<&Scored> = scored
                .iter()
                .filter(|s| s.candidate.kind == kind && s.late.is_none())
                .filter(|s| s.p_fault >= LEAST_IN_GROUP)
                .filter(|s| self.tree.parent(s.candidate.nodes[0]) == Some(parent))
                .collect();
            // What the next one in the hand costs: half a minute and its chance to wake.
            let more =
                |s: &Scored| FURTHER_MIN + s.candidate.wake_chance * self.options.resleep_min;
            pulls.sort_by(|a, b| {
                (b.p_fault / more(b))
                    .total_cmp(&(a.p_fault / more(a)))
                    .then(a.candidate.nodes.cmp(&b.candidate.nodes))
            });
            let sizes = GROUPS.into_iter().filter(|&size| size < pulls.len());
            groups.extend(sizes.filter_map(|size| self.group(&pulls[..size])));
        }
        groups
    }

    /// These pulls as one.
    fn group(&self, taken: &[&Scored]) -> Option<Scored> {
        let sum: f64 = taken.iter().map(|s| s.p_fault).sum();
        let quiet: f64 = taken.iter().map(|s| 1.0 - s.p_fault).product();
        let p_fault = 1.0 - quiet;
        // What each pull alone would tell of all that could be told, carried over to the group.
        let clear: f64 = taken
            .iter()
            .map(|s| s.p_fault / sum * s.bits / score::entropy(s.p_fault).max(1e-12))
            .sum();
        let bits = score::entropy(p_fault) * clear.min(1.0);
        let awake: f64 = taken
            .iter()
            .map(|s| 1.0 - s.candidate.wake_chance)
            .product();
        let mut candidate = taken.first()?.candidate.clone();
        if candidate.kind == TestKind::Pull {
            candidate.kind = TestKind::PullGroup;
        }
        candidate.nodes = taken.iter().map(|s| s.candidate.nodes[0]).collect();
        candidate.nodes.sort_unstable();
        candidate.wake_chance = 1.0 - awake;
        let quiet_back: f64 = taken
            .iter()
            .map(|s| 1.0 - s.candidate.back_wakes.unwrap_or(0.0))
            .product();
        candidate.back_wakes = candidate.back_wakes.map(|_| 1.0 - quiet_back);
        let longest = taken
            .iter()
            .map(|s| s.candidate.minutes)
            .fold(0.0, f64::max);
        candidate.minutes = longest + FURTHER_MIN * (taken.len() - 1) as f64;
        if self.times_done(&candidate) > 0 {
            return None;
        }
        Some(Scored {
            late: None,
            score: bits / self.effective_min(&candidate),
            bits,
            p_fault,
            candidate,
        })
    }
}
