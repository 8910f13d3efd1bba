//! Readings with errors in common, against weighted samples and against a sum over the error itself.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "helpers of tests may stop or skip the test, and say why"
)]

mod common;

use common::{Random, at, density, direct, two_cables};
use diagnosis::{Belief, BeliefOptions, Evidence, SharedError, believe, believe_shared};
use harness::FeedTree;

fn options() -> BeliefOptions {
    BeliefOptions {
        elsewhere_prior: 0.0,
        ..BeliefOptions::default()
    }
}

/// Zero 9 mA and scale 12 % of one clamp at the battery and both cables, invented.
fn evidence(tree: &FeedTree) -> (Vec<Evidence>, Vec<SharedError>) {
    let shown = [(0, 92.0), (at(tree, "A"), 52.0), (at(tree, "B"), 31.0)];
    let own = 5.0;
    let (zero, scale) = (9.0, 0.12);
    let read = |(tag, &(node, milli)): (usize, &(usize, f64))| {
        let u: f64 = own;
        direct(tag, node, milli, u.hypot(zero).hypot(scale * milli))
    };
    let parts = |of: &dyn Fn(f64) -> f64| SharedError {
        parts: shown
            .iter()
            .enumerate()
            .map(|(i, s)| (i, of(s.1) / 1e3))
            .collect(),
    };
    (
        shown.iter().enumerate().map(read).collect(),
        vec![parts(&|_| zero), parts(&|milli| scale * milli)],
    )
}

#[test]
fn zero_and_scale_of_one_clamp_agree_with_sampling() {
    let (tree, models, loads) = two_cables();
    let (evidence, shared) = evidence(&tree);
    let belief = believe_shared(&tree, &models, &evidence, &shared, &options());
    assert_eq!(belief.shared_errors, 2);
    let mut random = Random(11);
    let (mut total, mut squares) = (0.0, 0.0);
    let (mut fault, mut mean) = ([0.0; 4], [0.0; 4]);
    let samples = 6_000_000;
    for _ in 0..samples {
        let drawn = [0, 1, 2, 3].map(|i| random.load(&loads[i]));
        let (zero, scale) = (0.009 * random.normal(), 0.12 * random.normal());
        let a = drawn[0].1 + drawn[1].1;
        let b = drawn[2].1 + drawn[3].1;
        // The error of the scale is taken at what is shown, as a person must.
        let weight = density(0.092, a + b + zero + scale * 0.092, 0.005)
            * density(0.052, a + zero + scale * 0.052, 0.005)
            * density(0.031, b + zero + scale * 0.031, 0.005);
        total += weight;
        squares += weight * weight;
        for i in 0..4 {
            fault[i] += if drawn[i].0 { weight } else { 0.0 };
            mean[i] += weight * drawn[i].1;
        }
    }
    // Five standard errors of importance sampling, and the two thousandths that are stated.
    let effective = total * total / squares;
    let allowed = 5.0 * (0.25 / effective).sqrt() + 2e-3;
    assert!(allowed < 0.02, "{allowed}");
    for (i, id) in ["F1", "F2", "F3", "F4"].iter().enumerate() {
        let ours = belief.nodes[at(&tree, id)];
        let p = fault[i] / total;
        assert!(
            (ours.p_fault - p).abs() < allowed,
            "{i}: {} is not {p}",
            ours.p_fault
        );
        let m = mean[i] / total;
        assert!(
            (ours.mean_a - m).abs() < 0.3 * allowed,
            "{i}: {} is not {m}",
            ours.mean_a
        );
    }
    let ln = (total / f64::from(samples)).ln();
    assert!(
        (belief.log_evidence - ln).abs() < 3.0 * allowed,
        "{} is not {ln}",
        belief.log_evidence
    );
}

/// The posterior with a shared zero, as a sum of ordinary posteriors over what the zero may be.
#[test]
fn a_shared_zero_equals_the_sum_over_the_zero() {
    let (tree, models, _) = two_cables();
    let (zero, own) = (9.0, 4.0_f64);
    let shown = [(0, 92.0), (at(&tree, "A"), 52.0), (at(&tree, "B"), 31.0)];
    let read = |shift: f64, u: f64| -> Vec<Evidence> {
        let each = shown.iter().enumerate();
        each.map(|(tag, &(node, milli))| direct(tag, node, milli - shift, u))
            .collect()
    };
    // The grid depends on the readings; one that all share makes the comparison fair.
    let reach = direct(9, at(&tree, "F4"), 0.0, 60.0);
    let with = |mut evidence: Vec<Evidence>| -> Vec<Evidence> {
        evidence.push(reach.clone());
        evidence
    };
    let shared = SharedError {
        parts: (0..3).map(|i| (i, zero / 1e3)).collect(),
    };
    let ours = believe_shared(
        &tree,
        &models,
        &with(read(0.0, own.hypot(zero))),
        &[shared],
        &options(),
    );
    assert_eq!(ours.shared_errors, 1);
    let mut parts: Vec<(f64, Belief)> = Vec::new();
    // Eight standard deviations in steps of a quarter of the readings' own uncertainty.
    for i in -72..=72 {
        let z = f64::from(i) / 9.0;
        let belief = believe(&tree, &models, &with(read(z * zero, own)), &options());
        assert_eq!(belief.step_a, ours.step_a);
        parts.push((belief.log_evidence - 0.5 * z * z, belief));
    }
    let top = parts.iter().map(|p| p.0).fold(f64::NEG_INFINITY, f64::max);
    let total: f64 = parts.iter().map(|p| (p.0 - top).exp()).sum();
    for node in 0..tree.len() {
        let p: f64 = parts
            .iter()
            .map(|p| (p.0 - top).exp() / total * p.1.nodes[node].p_fault)
            .sum();
        assert!(
            (ours.nodes[node].p_fault - p).abs() < 2e-3,
            "{node}: {} is not {p}",
            ours.nodes[node].p_fault
        );
        let m: f64 = parts
            .iter()
            .map(|p| (p.0 - top).exp() / total * p.1.nodes[node].mean_a)
            .sum();
        assert!(
            (ours.nodes[node].mean_a - m).abs() < 2e-4,
            "{node}: {} is not {m}",
            ours.nodes[node].mean_a
        );
    }
}

#[test]
fn an_error_in_common_does_not_pass_for_a_draw_that_nothing_explains() {
    // Both cables add up to the total but for one zero too many; independent errors of the
    // same size would leave more room for something outside.
    let (tree, models, _) = two_cables();
    let (evidence, shared) = evidence(&tree);
    let of = |shared: &[SharedError]| {
        let belief = believe_shared(&tree, &models, &evidence, shared, &BeliefOptions::default());
        (belief.elsewhere.p_fault, belief.unaccounted.unwrap().u)
    };
    let (with, alone) = (of(&shared), of(&[]));
    assert!(with.1 < alone.1, "{with:?} {alone:?}");
    assert!(with.0 < alone.0, "{with:?} {alone:?}");
}

#[test]
fn a_negligible_error_in_common_costs_nothing_and_changes_nothing() {
    let (tree, models, _) = two_cables();
    let (evidence, _) = evidence(&tree);
    let small = SharedError {
        parts: (0..3).map(|i| (i, 0.0005)).collect(),
    };
    let with = believe_shared(&tree, &models, &evidence, &[small], &options());
    assert_eq!(with.shared_errors, 0);
    assert_eq!(
        with.nodes,
        believe(&tree, &models, &evidence, &options()).nodes
    );
}

#[test]
fn the_order_of_readings_with_an_error_in_common_does_not_matter() {
    let (tree, models, _) = two_cables();
    let (evidence, shared) = evidence(&tree);
    let one = believe_shared(&tree, &models, &evidence, &shared, &options());
    for order in [[0, 2, 1], [1, 0, 2], [1, 2, 0], [2, 0, 1], [2, 1, 0]] {
        let evidence: Vec<Evidence> = order.iter().map(|&from| evidence[from].clone()).collect();
        let place = |from: usize| order.iter().position(|&at| at == from).unwrap();
        let moved = |error: &SharedError| SharedError {
            parts: error.parts.iter().map(|p| (place(p.0), p.1)).collect(),
        };
        let shared: Vec<SharedError> = shared.iter().map(moved).collect();
        let other = believe_shared(&tree, &models, &evidence, &shared, &options());
        assert_eq!(one.nodes, other.nodes, "{order:?}");
    }
}
