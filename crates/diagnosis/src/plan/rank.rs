//! Ranks the tests that may be done: by what each tells in its time, then by looking ahead.

use super::{
    Excluded, TestKind,
    candidates::{Candidate, Tier},
    choose::Planner,
    score,
    search::{Search, SplitTest},
    words,
};
use crate::belief::View;

/// A circuit out of the common order goes first from this probability on: more
/// likely at fault than not.
const OUT_OF_ORDER: f64 = 0.5;

/// Suspects that looking ahead considers, the likeliest, and up to how many it
/// solves exactly (chosen for answers within some hundredths of a second).
const SUSPECTS: usize = 24;
const SOLVED_EXACTLY: usize = 8;
/// A suspect less likely than this is left out of looking ahead (from memory).
const LEAST_SUSPECT: f64 = 0.002;
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
        let groups = self.groups(&scored);
        scored.extend(groups);
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
        suspects.truncate(SUSPECTS);
        let odds = |p: f64| p / (1.0 - p).max(0.01);
        let mut weights: Vec<f64> = suspects.iter().map(|&(_, p)| odds(p)).collect();
        // The last candidate is inside no test: a draw outside the tree.
        weights.push(odds(self.belief.elsewhere.p_fault));
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
        let step_a = self.belief.step_a;
        if score::visible(view, step_a, candidate.floor_a) < LEAST_VISIBLE {
            return Err(self.unseen(&candidate, view, node));
        }
        let bits = score::information(view, step_a, &|draw| candidate.u_a(draw));
        if bits < self.options.least_bits {
            return Ok(None);
        }
        let p_fault = self.belief.nodes[node].p_fault;
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

    fn effective_min(&self, candidate: &Candidate) -> f64 {
        (candidate.minutes + candidate.wake_chance * self.options.resleep_min).max(0.05)
    }

    fn unseen(&self, candidate: &Candidate, view: &View, node: usize) -> Excluded {
        let (fault_a, _) = score::means(view, self.belief.step_a);
        Excluded {
            kind: candidate.kind,
            node: Some(node),
            reason: format!(
                "your meter sees {} there and more; a fault would draw about {}",
                words::current(candidate.floor_a),
                words::current(fault_a)
            ),
        }
    }

    /// Groups of fuses of one branch pulled together: one wait for sleep in place of several.
    fn groups(&self, scored: &[Scored]) -> Vec<Scored> {
        let mut groups = Vec::new();
        for parent in 0..self.tree.len() {
            let mut pulls: Vec<&Scored> = scored
                .iter()
                .filter(|s| s.candidate.kind == TestKind::Pull && s.late.is_none())
                .filter(|s| {
                    let node = s.candidate.nodes[0];
                    self.tree.parent(node) == Some(parent)
                })
                .collect();
            pulls.sort_by(|a, b| b.p_fault.total_cmp(&a.p_fault));
            if pulls.len() >= 4 {
                groups.extend(self.group(&pulls));
            }
        }
        groups
    }

    /// The likeliest half, by chance of a fault, of a branch's fuses.
    fn group(&self, pulls: &[&Scored]) -> Option<Scored> {
        let all: f64 = pulls.iter().map(|s| s.p_fault).sum();
        let mut sum = 0.0;
        let mut taken: Vec<&Scored> = Vec::new();
        for pull in pulls {
            if sum >= all / 2.0 || taken.len() + 1 >= pulls.len() {
                break;
            }
            sum += pull.p_fault;
            taken.push(pull);
        }
        if taken.len() < 2 {
            return None;
        }
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
        let mut candidate = taken[0].candidate.clone();
        candidate.kind = TestKind::PullGroup;
        candidate.nodes = taken.iter().map(|s| s.candidate.nodes[0]).collect();
        candidate.nodes.sort_unstable();
        candidate.wake_chance = 1.0 - awake;
        // One way to the box, half a minute for each further fuse (from memory).
        let longest = taken
            .iter()
            .map(|s| s.candidate.minutes)
            .fold(0.0, f64::max);
        candidate.minutes = longest + 0.5 * (taken.len() - 1) as f64;
        let done = &self.options.done_tests;
        if done
            .iter()
            .any(|(k, nodes)| *k == candidate.kind && *nodes == candidate.nodes)
        {
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
