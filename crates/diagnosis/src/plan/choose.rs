//! Ranks the tests, decides whether the search is over, and says why.

use harness::{FeedTree, caution};
use measure::Instrument;

use super::{
    Excluded, Outcome, Plan, PlanOptions, Proposal, TestKind,
    candidates::{self, Candidate, Finder, Tier},
    score,
    search::{Search, SplitTest},
    words,
};
use crate::{Belief, LoadModels, belief::View};

/// Alternatives shown at most.
const ALTERNATIVES: usize = 8;

/// A circuit out of the common order goes first from this probability on: more
/// likely at fault than not.
const OUT_OF_ORDER: f64 = 0.5;

/// How often one test may be done when no other is left (from memory: a third
/// reading settles what two leave open).
const REPEATS: usize = 3;

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

/// The next test, its rivals, and whether the search is over.
///
/// Without a total read asleep, that is asked for first. After that every allowed and
/// useful test is ranked by expected information per effective minute, and the first
/// place goes to the one that ends soonest by looking ahead, except that
/// the alternator's cable, audio and other memory-keeping circuits wait, in this
/// order, until they are suspected for themselves. The search is over when loads named with
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
        excluded: Vec::new(),
    };
    finder.run();
    let Finder {
        found, excluded, ..
    } = finder;
    let planner = Planner {
        tree,
        models,
        belief,
        options,
    };
    planner.plan(found, excluded, candidates::total(tools))
}

struct Planner<'a> {
    tree: &'a FeedTree,
    models: &'a LoadModels,
    belief: &'a Belief,
    options: &'a PlanOptions,
}

struct Scored {
    candidate: Candidate,
    bits: f64,
    p_fault: f64,
    late: Option<Tier>,
    score: f64,
}

impl Planner<'_> {
    fn plan(&self, found: Vec<Candidate>, mut excluded: Vec<Excluded>, total: Candidate) -> Plan {
        let (again, new): (Vec<_>, Vec<_>) = found
            .into_iter()
            .partition(|candidate| self.times_done(candidate) > 0);
        let mut ranked = self.rank(new, &mut excluded);
        if ranked.is_empty() {
            let few = again.into_iter().filter(|c| self.times_done(c) < REPEATS);
            ranked = self.rank(few.collect(), &mut excluded);
        }
        self.look_ahead(&mut ranked);
        let mut proposals: Vec<Proposal> = ranked.iter().map(|s| self.proposal(s)).collect();
        proposals.truncate(ALTERNATIVES + 1);
        let sure = self.named();
        if let Some(first) = self.before_all(&total) {
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
        if let Some(because) = self.is_over(&sure) {
            return Plan {
                next: None,
                alternatives: self.confirmations(&sure, &total),
                excluded,
                culprits: sure,
                done: true,
                because,
            };
        }
        if proposals.is_empty() {
            let left = self.left_over();
            return Plan {
                next: None,
                alternatives: vec![self.total_proposal(&total)],
                because: format!("no allowed test tells apart what is left: {left}"),
                excluded,
                culprits: sure,
                done: true,
            };
        }
        let next = proposals.remove(0);
        Plan {
            because: next.why.clone(),
            next: Some(next),
            alternatives: proposals,
            excluded,
            culprits: sure,
            done: false,
        }
    }

    fn times_done(&self, candidate: &Candidate) -> usize {
        let done = self.options.done_tests.iter();
        done.filter(|(kind, nodes)| *kind == candidate.kind && *nodes == candidate.nodes)
            .count()
    }

    /// Loads named as at fault: those that are so with near certainty, and those
    /// that probably are and alone draw more than the whole vehicle may.
    fn named(&self) -> Vec<usize> {
        self.belief
            .culprits
            .iter()
            .filter_map(|culprit| Some((culprit, culprit.node?)))
            .filter(|&(culprit, node)| {
                let alone = self.belief.nodes[node].draw.p05 > self.options.limit_a;
                culprit.p_fault >= self.options.sure_from || alone
            })
            .map(|(_, node)| node)
            .filter(|node| !self.options.resolved.contains(node))
            .collect()
    }

    /// Sleep, then the total.
    fn before_all(&self, total: &Candidate) -> Option<Proposal> {
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
                why: format!(
                    "the vehicle is awake: readings taken now would blame what is about to switch off, \
                     about {} more",
                    words::duration(self.options.wait_min)
                ),
                caution: Some(
                    caution::for_test(caution::TestKind::WaitForSleep)
                        .text
                        .into(),
                ),
                outcomes: Vec::new(),
            });
        }
        self.belief
            .total
            .is_none()
            .then(|| self.total_proposal(total))
    }

    fn total_proposal(&self, total: &Candidate) -> Proposal {
        let within = format!("up to {}", words::current(self.options.limit_a));
        Proposal {
            kind: total.kind,
            node: Some(FeedTree::ROOT),
            nodes: total.nodes.clone(),
            tool: total.tool,
            minutes: total.minutes,
            wake_chance: total.wake_chance,
            floor_a: Some(total.floor_a),
            bits: 0.0,
            why: format!(
                "the whole vehicle's draw asleep decides whether there is anything to find: {}, \
                 your meter sees {}",
                words::duration(total.minutes),
                words::current(total.floor_a)
            ),
            caution: Some(total.caution.into()),
            outcomes: vec![
                Outcome {
                    seen: within,
                    p: 1.0 - self.belief.nodes.first().map_or(0.0, |n| n.p_fault),
                    means: "nothing draws too much while it sleeps".into(),
                },
                Outcome {
                    seen: "more".into(),
                    p: self.belief.nodes.first().map_or(0.0, |n| n.p_fault),
                    means: "some circuit draws too much; the search begins".into(),
                },
            ],
        }
    }

    fn is_over(&self, sure: &[usize]) -> Option<String> {
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
                format!(
                    "the vehicle draws {} asleep, within the limit of {}",
                    words::current(total.value),
                    words::current(limit)
                )
            });
        }
        let over = |belief: &crate::NodeBelief| (belief.mean_a - belief.normal_a).max(0.0);
        let explained: f64 = sure
            .iter()
            .filter_map(|&node| self.belief.nodes.get(node))
            .map(over)
            .sum();
        let outside = elsewhere.map_or(0.0, |_| over(&self.belief.elsewhere));
        let left = all.mean_a - explained - outside;
        (left <= limit).then(|| {
            let mut names: Vec<String> = sure
                .iter()
                .map(|&node| self.tree.node(node).id.0.clone())
                .collect();
            if elsewhere.is_some() {
                names.push("something outside the listed circuits".into());
            }
            format!(
                "{} explains {} of {}; without it {} would be left, within the limit of {}",
                names.join(" and "),
                words::current(explained + outside),
                words::current(all.mean_a),
                words::current(left.max(0.0)),
                words::current(limit)
            )
        })
    }

    /// After a find: is it the load or its wiring, and is there a second fault?
    fn confirmations(&self, sure: &[usize], total: &Candidate) -> Vec<Proposal> {
        let unplug = sure.iter().map(|&node| {
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
                why: format!(
                    "unplug {name} itself: if the draw stays, the fault is the wiring of {}, not the load",
                    self.tree.node(node).id
                ),
                caution: Some(caution::for_test(caution::TestKind::Detach).text.into()),
                outcomes: Vec::new(),
            }
        });
        let mut all: Vec<Proposal> = unplug.collect();
        let mut again = self.total_proposal(total);
        again.kind = TestKind::Remeasure;
        again.why =
            "read the total again after the repair: it shows whether there is a second fault"
                .into();
        all.push(again);
        all.truncate(ALTERNATIVES);
        all
    }

    fn left_over(&self) -> String {
        let mut suspects: Vec<(f64, String)> = self
            .tree
            .leaves()
            .iter()
            .map(|&leaf| {
                (
                    self.belief.nodes[leaf].p_fault,
                    self.tree.node(leaf).id.0.clone(),
                )
            })
            .collect();
        suspects.push((
            self.belief.elsewhere.p_fault,
            "outside the listed circuits".into(),
        ));
        suspects.sort_by(|a, b| b.0.total_cmp(&a.0));
        let named = suspects.iter().take(4).filter(|s| s.0 >= 0.02);
        let words: Vec<String> = named
            .map(|(p, id)| format!("{id} ({})", words::percent(*p)))
            .collect();
        if words.is_empty() {
            "nothing is suspected".into()
        } else {
            words.join(", ")
        }
    }

    fn rank(&self, found: Vec<Candidate>, excluded: &mut Vec<Excluded>) -> Vec<Scored> {
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
    fn look_ahead(&self, ranked: &mut Vec<Scored>) {
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

    fn proposal(&self, scored: &Scored) -> Proposal {
        let candidate = &scored.candidate;
        let node = (candidate.nodes.len() == 1).then(|| candidate.nodes[0]);
        let subject = match node {
            Some(node) => {
                let id = &self.tree.node(node).id;
                let what = words::feeds(self.tree, self.models, node);
                if what == id.0 {
                    format!("{id}")
                } else {
                    format!("{id} feeds {what}")
                }
            }
            None => {
                let ids = candidate
                    .nodes
                    .iter()
                    .map(|&n| self.tree.node(n).id.0.clone());
                ids.collect::<Vec<_>>().join(", ")
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
            why: format!(
                "{subject}: {} likely, {}, your meter sees {} there, {}",
                words::percent(scored.p_fault),
                words::duration(candidate.minutes),
                words::current(candidate.floor_a),
                words::disturbs(
                    candidate.kind,
                    candidate.wake_chance,
                    candidate.loses_settings
                )
            ),
            caution: Some(candidate.caution.into()),
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
                seen: format!("about {}", words::current(fault_a)),
                p,
                means: "the fault is here or below".into(),
            },
            Outcome {
                seen: format!("about {}", words::current(quiet_a)),
                p: 1.0 - p,
                means: "all is well here; the fault is elsewhere".into(),
            },
        ]
    }
}
