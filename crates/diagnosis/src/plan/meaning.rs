//! What a test may show, and what each of that would mean.
//!
//! Each outcome carries the chance of a fault that it would leave behind, by the same
//! likelihood that the belief gives a reading; the sentence says no more than that.

use harness::FeedTree;
use measure::Uncertain;
use tongue::{Message, say};

use super::{
    Outcome, TestKind,
    choose::Planner,
    rank::Scored,
    score,
    words::{current, percent},
};
use crate::{
    BeliefOptions,
    belief::{View, anything},
};

/// Standard uncertainties up to which a total read again is the same one (common practice:
/// coverage factor 3, beyond any doubt).
const SAME: f64 = 3.0;

/// Chances below this are left out of sums of draws (from memory: no outcome is told so finely).
const LEAST: f64 = 1e-7;
/// Standard uncertainties beyond which a reading does not reach: there a normal density has
/// fallen by e^-50.
const REACH: f64 = 10.0;

/// A part of what the total may be.
struct Part {
    p: f64,
    /// Its mean, ampere, where there is one.
    mean_a: Option<f64>,
}

impl Part {
    fn outcome(self, seen: Message, means: Message) -> Outcome {
        Outcome {
            seen,
            seen_a: self.mean_a,
            p: self.p,
            p_fault: None,
            means,
        }
    }
}

/// A test with what it would show.
struct Shows {
    view: View,
    /// Draw there if something is at fault, and if nothing is, ampere.
    fault_a: f64,
    quiet_a: f64,
}

impl Planner<'_> {
    /// Chance that something is at fault at these nodes, none of which feeds another.
    ///
    /// Of several the belief knows only each by itself, and the node that feeds them all: by
    /// what their chances sum to more than its own, two are at fault there at once. Any two are
    /// taken to be so in proportion to the product of their chances, which is right to the
    /// second order for independent faults, and exact where at most one is.
    pub(super) fn p_fault_of(&self, nodes: &[usize]) -> f64 {
        let p = |&node: &usize| self.belief.nodes.get(node).map_or(0.0, |n| n.p_fault);
        if let [node] = nodes {
            return p(node);
        }
        let feed = nodes.first().and_then(|&node| self.tree.parent(node));
        let Some(feed) = feed else { return 0.0 };
        let beside = self.tree.children(feed).iter().map(p);
        let past_fuses = (feed == FeedTree::ROOT).then_some(self.belief.elsewhere.p_fault);
        let (all, all_pairs) = sum_and_pairs(beside.chain(past_fuses));
        let (sum, pairs) = sum_and_pairs(nodes.iter().map(p));
        let twice = (all - p(&feed)).max(0.0) * pairs / all_pairs.max(f64::MIN_POSITIVE);
        let least = nodes.iter().map(p).fold(0.0, f64::max);
        (sum - twice).clamp(least, sum.min(1.0).max(least))
    }

    pub(super) fn outcomes(&self, scored: &Scored, p: f64) -> Vec<Outcome> {
        let candidate = &scored.candidate;
        let shows = self.shows(&candidate.nodes, p);
        let step_a = self.belief.step_a;
        let after = |seen_a: f64| after(&shows.view, step_a, seen_a, candidate.u_a(seen_a));
        let (if_fault, if_quiet) = (after(shows.fault_a), after(shows.quiet_a));
        vec![
            Outcome {
                seen: seen(candidate.kind, shows.fault_a),
                seen_a: Some(shows.fault_a),
                p,
                p_fault: Some(if_fault),
                means: self.here(if_fault),
            },
            Outcome {
                seen: seen_quiet(candidate.kind, shows.quiet_a, candidate.floor_a),
                seen_a: Some(shows.quiet_a),
                p: 1.0 - p,
                p_fault: Some(if_quiet),
                means: self.not_here(p, if_quiet),
            },
        ]
    }

    /// What the first total may show.
    pub(super) fn total_outcomes(&self) -> Vec<Outcome> {
        let limit_a = self.options.limit_a;
        let [below, above] = self.whole(limit_a);
        let within = say::diagnosis::up_to(current(limit_a));
        vec![
            below.outcome(within, say::diagnosis::nothing_too_much()),
            above.outcome(say::diagnosis::more(), say::diagnosis::something_too_much()),
        ]
    }

    /// What the total may show that was read before.
    pub(super) fn total_again_outcomes(&self, known: Uncertain) -> Vec<Outcome> {
        let from_a = known.value - SAME * known.u;
        let [below, above] = self.whole(from_a);
        let same = Part {
            mean_a: Some(known.value),
            ..above
        };
        vec![
            same.outcome(
                say::diagnosis::about(current(known.value)),
                say::diagnosis::total_stands(),
            ),
            below.outcome(
                say::diagnosis::less_than(current(from_a)),
                say::diagnosis::total_was_awake(),
            ),
        ]
    }

    /// What the total may show once what was found is repaired.
    pub(super) fn repaired_outcomes(&self, sure: &[usize]) -> Vec<Outcome> {
        let second = self.further(sure).clamp(0.0, 1.0);
        let limit = current(self.options.limit_a);
        let part = |p| Part { p, mean_a: None };
        vec![
            part(1.0 - second)
                .outcome(say::diagnosis::up_to(limit), say::diagnosis::nothing_else()),
            part(second).outcome(say::diagnosis::more(), say::diagnosis::second_fault()),
        ]
    }

    /// The whole vehicle's draw up to and beyond a current.
    fn whole(&self, from_a: f64) -> [Part; 2] {
        let step_a = self.belief.step_a;
        let Some(view) = self.belief.views.first().and_then(Option::as_deref) else {
            // Groups pulled across each other: only that there is too much is known.
            let p = self.belief.nodes.first().map_or(0.0, |n| n.p_fault);
            return [1.0 - p, p].map(|p| Part { p, mean_a: None });
        };
        let (mut p, mut sum_a) = ([0.0; 2], [0.0; 2]);
        for table in [&view.quiet, &view.fault] {
            for (k, share) in table.iter().enumerate() {
                let draw_a = k as f64 * step_a;
                let side = usize::from(draw_a > from_a);
                p[side] += share;
                sum_a[side] += share * draw_a;
            }
        }
        let all: f64 = p.iter().sum();
        [0, 1].map(|side| Part {
            p: p[side] / all.max(f64::MIN_POSITIVE),
            mean_a: (p[side] > 0.0).then(|| sum_a[side] / p[side]),
        })
    }

    /// The joint draw of nodes, none of which feeds another.
    fn shows(&self, nodes: &[usize], p: f64) -> Shows {
        let step_a = self.belief.step_a;
        let views: Vec<&View> = nodes
            .iter()
            .filter_map(|&node| self.belief.views.get(node)?.as_deref())
            .collect();
        let view = match views[..] {
            [one] => one.clone(),
            _ => together(&views, step_a, p),
        };
        Shows {
            fault_a: median_within(&view.fault) * step_a,
            quiet_a: score::means(&view, step_a).1,
            view,
        }
    }

    /// Whether something is as good as found already.
    pub(super) fn is_found(&self) -> bool {
        let mut found = self.belief.culprits.iter();
        found.any(|found| found.p_fault >= self.options.sure_from)
    }

    fn here(&self, p: f64) -> Message {
        if p >= self.options.sure_from {
            say::diagnosis::here_or_below()
        } else {
            say::diagnosis::likely_here(percent(p))
        }
    }

    /// `before` and `after`: the chance of a fault here.
    fn not_here(&self, before: f64, after: f64) -> Message {
        if after > 1.0 - self.options.sure_from {
            return say::diagnosis::still_here(percent(after));
        }
        // Of the chance that there is a fault at all, what is not here lies elsewhere.
        let all = self.belief.nodes.first().map_or(0.0, |n| n.p_fault);
        let elsewhere = (all - before) / (1.0 - before).max(f64::MIN_POSITIVE);
        if elsewhere >= self.options.sure_from && !self.is_found() {
            say::diagnosis::elsewhere()
        } else {
            say::diagnosis::well_here()
        }
    }
}

/// What is seen if something is at fault: so much more or less, where a supply is cut or restored.
fn seen(kind: TestKind, current_a: f64) -> Message {
    let current = current(current_a);
    match kind {
        TestKind::Pull | TestKind::PullGroup | TestKind::Detach | TestKind::Unplug => {
            say::diagnosis::about_less(current)
        }
        TestKind::PutBack => say::diagnosis::about_more(current),
        _ => say::diagnosis::about(current),
    }
}

/// What is seen if nothing is: what the meter does not see has no amount.
fn seen_quiet(kind: TestKind, current_a: f64, floor_a: f64) -> Message {
    if current_a >= floor_a {
        return seen(kind, current_a);
    }
    match kind {
        TestKind::Pull | TestKind::PullGroup | TestKind::Detach | TestKind::Unplug => {
            say::diagnosis::no_less()
        }
        TestKind::PutBack => say::diagnosis::no_more(),
        _ => say::diagnosis::up_to(current(floor_a)),
    }
}

/// The sum of chances, and of their products two by two.
fn sum_and_pairs(chances: impl Iterator<Item = f64>) -> (f64, f64) {
    let (sum, squares) = chances.fold((0.0, 0.0), |(sum, squares), p| (sum + p, squares + p * p));
    (sum, (sum * sum - squares) / 2.0)
}

/// Chance of a fault after a reading, by the belief's own likelihood of one.
fn after(view: &View, step_a: f64, seen_a: f64, u_a: f64) -> f64 {
    let usual = BeliefOptions::default();
    let u_a = u_a.hypot(step_a / 2.0);
    let worthless = usual.outlier_chance * anything(seen_a, usual.reach_a);
    let weighed = |table: &[f64]| -> f64 {
        let Some((beyond, cells)) = table.split_last() else {
            return 0.0;
        };
        let near = |a: f64| (a.max(0.0) / step_a) as usize;
        let from = near(seen_a - REACH * u_a).min(cells.len());
        let to = near(seen_a + REACH * u_a)
            .saturating_add(1)
            .min(cells.len());
        let sound: f64 = cells[from..to]
            .iter()
            .zip(from..)
            .map(|(p, k)| {
                let z = (seen_a - k as f64 * step_a) / u_a;
                p * (-0.5 * z * z).exp() / (u_a * std::f64::consts::TAU.sqrt())
            })
            .sum();
        // Beyond the last cell each decade is as likely (from memory).
        let end_a = cells.len() as f64 * step_a;
        let far = if seen_a > end_a && usual.reach_a > end_a {
            beyond / (seen_a * (usual.reach_a / end_a).ln())
        } else {
            0.0
        };
        let all: f64 = table.iter().sum();
        (1.0 - usual.outlier_chance) * (sound + far) + all * worthless
    };
    let (fault, quiet) = (weighed(&view.fault), weighed(&view.quiet));
    fault / (fault + quiet).max(f64::MIN_POSITIVE)
}

/// Middle of a distribution by cells, but for what lies beyond the last one: that is more than
/// the total has shown.
fn median_within(table: &[f64]) -> f64 {
    let (_, cells) = table.split_last().unwrap_or((&0.0, &[]));
    let half = cells.iter().sum::<f64>() / 2.0;
    let mut sum = 0.0;
    let at = cells.iter().position(|p| {
        sum += p;
        sum > 0.0 && sum >= half
    });
    at.unwrap_or(cells.len()) as f64
}

/// Chance of something of which a reading of nothing tells, by its chance before, against the
/// chance that the reading was worthless.
pub(super) fn after_nothing(before: f64, u_a: f64) -> f64 {
    let usual = BeliefOptions::default();
    let sound = (1.0 - usual.outlier_chance) / (u_a * std::f64::consts::TAU.sqrt());
    let worthless = usual.outlier_chance * anything(0.0, usual.reach_a);
    let (yes, no) = (before * (sound + worthless), (1.0 - before) * worthless);
    yes / (yes + no).max(f64::MIN_POSITIVE)
}

/// Several draws as one, of which at most one is at fault: where two are, either is found.
fn together(views: &[&View], step_a: f64, p: f64) -> View {
    let all = |table: &[f64]| table.iter().sum::<f64>().max(f64::MIN_POSITIVE);
    let mut quiet = vec![1.0 - p];
    for view in views {
        quiet = convolved(&quiet, &view.quiet, all(&view.quiet));
    }
    // Nothing lies beyond the last cell of what is sound.
    quiet.push(0.0);
    let own_a = |view: &View| score::means(view, step_a).1;
    let quiet_a: f64 = views.iter().map(|view| own_a(view)).sum();
    let longest = views.iter().map(|view| view.fault.len()).max().unwrap_or(0);
    let faults: f64 = views.iter().map(|view| all(&view.fault)).sum();
    let mut fault = vec![0.0; longest];
    for view in views {
        // The others add what they draw when all is well.
        let shift = ((quiet_a - own_a(view)) / step_a).round() as usize;
        for (k, share) in view.fault.iter().enumerate() {
            fault[(k + shift).min(longest - 1)] += p * share / faults;
        }
    }
    View { quiet, fault }
}

/// The sum of two draws, the second divided by `norm`; what next to nothing hangs on is cut off.
fn convolved(one: &[f64], other: &[f64], norm: f64) -> Vec<f64> {
    let last = |table: &[f64]| {
        table
            .iter()
            .rposition(|p| *p > LEAST)
            .map_or(0, |at| at + 1)
    };
    let (one, other) = (&one[..last(one)], &other[..last(other)]);
    let mut sum = vec![0.0; (one.len() + other.len()).saturating_sub(1)];
    for (i, p) in one.iter().enumerate().filter(|(_, p)| **p > LEAST) {
        for (j, q) in other.iter().enumerate() {
            sum[i + j] += p * q / norm;
        }
    }
    sum
}
