//! Whether what a proposal says of its outcomes comes true: each outcome is entered as the
//! reading it stands for, and the belief is asked again.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::print_stderr,
    reason = "helpers of tests may stop the test, and say how far it came"
)]

mod common;

use std::collections::BTreeMap;

use common::{at, bench::Bench, direct, models, step};
use diagnosis::{Belief, BeliefOptions, Outcome, PlanOptions, Proposal, TestKind, believe, plan};
use harness::{FeedTree, NodeKind, NodeSpec};
use measure::{Instrument, InstrumentKind};

/// Chances of a group are worked out from those of its parts, right to the second order: what
/// is left is of third order, and grows with the chances (largest in these runs: 0.043).
const OF_A_GROUP: f64 = 0.05;
/// A claim of one place is the belief's own likelihood on cells of the grid; what is between is
/// the grid, of which the next belief has another one (largest in these runs: 0.016).
const ONE_PLACE: f64 = 0.02;
/// A claim of a group takes the other parts of it at their normal draw (largest: 0.08).
const SEVERAL: f64 = 0.1;

/// Chance of a fault at these nodes; `None` where they cross a reading.
fn p_fault(belief: &Belief, nodes: &[usize]) -> Option<f64> {
    match nodes {
        [node] => Some(belief.nodes[*node].p_fault),
        _ => Some(belief.groups[0].as_ref()?.p_fault),
    }
}

/// Whether the sentence says no more than what came of it.
fn holds(outcome: &Outcome, was: f64, is: f64, within: f64) -> bool {
    match outcome.means.id() {
        Some("diagnosis-here-or-below") => is >= was - 1e-9 && is >= 0.95 - within,
        Some("diagnosis-likely-here") => is >= was - within,
        Some("diagnosis-elsewhere" | "diagnosis-well-here") => {
            is <= was + 1e-9 && is <= 0.05 + within
        }
        Some("diagnosis-still-here") => is <= was + within,
        _ => false,
    }
}

/// Checks all outcomes of one test; how many there were.
fn come_true(bench: &Bench, test: &Proposal) -> usize {
    let here = format!("{:?} at {:?}", test.kind, test.nodes);
    let sum: f64 = test.outcomes.iter().map(|outcome| outcome.p).sum();
    assert!((sum - 1.0).abs() < 1e-9, "{here}: {sum}");
    let groups = match test.nodes.len() {
        1 => Vec::new(),
        _ => vec![test.nodes.clone()],
    };
    let [yes, no] = &test.outcomes[..] else {
        panic!("{here}: {:?}", test.outcomes)
    };
    assert_ne!(yes.seen, no.seen, "{here}");
    let Some(was) = p_fault(&bench.belief(None, &groups), &test.nodes) else {
        return 0;
    };
    let (p_within, within) = match groups.len() {
        0 => (1e-12, ONE_PLACE),
        _ => (OF_A_GROUP, SEVERAL),
    };
    assert!((yes.p - was).abs() <= p_within, "{here}: {} {was}", yes.p);
    let mut checked = 0;
    for outcome in [yes, no] {
        let (Some(seen_a), Some(claimed)) = (outcome.seen_a, outcome.p_fault) else {
            continue;
        };
        let reading = bench.reading(test, seen_a);
        let Some(is) = p_fault(&bench.belief(Some(&reading), &groups), &test.nodes) else {
            continue;
        };
        let told = format!("{here}, {}: {was} became {is}", outcome.seen);
        assert!((is - claimed).abs() <= within, "{told}, not {claimed}");
        assert!(holds(outcome, was, is, within), "{told}: {}", outcome.means);
        checked += 1;
    }
    checked
}

#[test]
fn each_outcome_means_what_it_says() {
    let mut checked: BTreeMap<TestKind, usize> = BTreeMap::new();
    for seed in 0..40 {
        let mut bench = Bench::of(seed);
        for _ in 0..6 {
            let (_, plan) = bench.plan();
            let proposals = plan.next.iter().chain(&plan.alternatives);
            let told = |test: &&Proposal| test.outcomes.iter().any(|o| o.p_fault.is_some());
            for test in proposals.filter(told) {
                *checked.entry(test.kind).or_default() += come_true(&bench, test);
            }
            let Some(next) = plan.next else { break };
            bench.perform(&next);
        }
    }
    eprintln!("{checked:?}");
    for kind in [
        TestKind::Clamp,
        TestKind::InLine,
        TestKind::Millivolt,
        TestKind::Pull,
        TestKind::PullGroup,
        TestKind::Detach,
        TestKind::Unplug,
        TestKind::PutBack,
    ] {
        let n = checked.get(&kind).copied().unwrap_or_default();
        assert!(n >= 6, "{kind:?} only {n} times");
    }
}

/// The chances of load and wiring, told before anybody unplugs, are those that the belief has
/// once both are parts of the tree.
#[test]
fn load_and_wiring_have_the_chances_they_get_once_they_are_told_apart() {
    for fuses in [3, 40] {
        for (family, total) in [("audio", 440.0), ("lamp", 440.0), ("alarm", 150.0)] {
            let mut specs: Vec<NodeSpec> = Vec::new();
            for fuse in 0..fuses {
                let mut spec = NodeSpec::new(&format!("F{fuse}"), "battery", NodeKind::Fuse);
                spec.family = Some(if fuse == 0 { family } else { "relay" }.into());
                specs.push(spec);
            }
            let alone = FeedTree::build(specs.clone()).unwrap();
            specs[0].family = None;
            for part in [family, "wiring"] {
                let mut spec = NodeSpec::new(part, "F0", NodeKind::Load);
                spec.family = Some(part.into());
                specs.push(spec);
            }
            let parts = FeedTree::build(specs).unwrap();
            let evidence = |tree: &FeedTree| {
                let fuse = at(tree, "F0");
                [
                    direct(0, 0, total, 5.0),
                    step(1, &[fuse], total - 10.0, 5.0),
                ]
            };
            let usual = BeliefOptions::default();
            let of_parts = believe(&parts, &models(&parts), &evidence(&parts), &usual);
            let p = |id: &str| of_parts.nodes[at(&parts, id)].p_fault;
            let exact = p(family) / (p(family) + p("wiring"));
            let models = models(&alone);
            let belief = believe(&alone, &models, &evidence(&alone), &usual);
            let options = PlanOptions {
                asleep_now: Some(true),
                allow_settings_loss: true,
                done_tests: vec![(TestKind::Pull, vec![at(&alone, "F0")])],
                ..PlanOptions::default()
            };
            let clamp = [Instrument::generic(InstrumentKind::Clamp)];
            let plan = plan(&alone, &models, &belief, &clamp, &options);
            let all = plan.next.iter().chain(&plan.alternatives);
            let unplug = all
                .clone()
                .find(|test| test.kind == TestKind::Unplug)
                .unwrap();
            let told = unplug.outcomes[0].p;
            eprintln!("{fuses} fuses, {family}: {told:.3}, exact {exact:.3}");
            assert!(
                (told - exact).abs() < 0.03,
                "{fuses} {family}: {told} {exact}"
            );
        }
    }
}
