//! Pulled groups that cross other readings, against weighted samples that share nothing with the grid.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "helpers of tests may stop or skip the test, and say why"
)]

mod common;

use common::{Random, at, density, direct, step, two_cables};
use diagnosis::{BeliefOptions, believe};

const SAMPLES: usize = 4_000_000;

/// Two cables with two fuses each; one fuse of each cable pulled together.
fn check(group_milli: f64, group_u: f64, cables: [(f64, f64); 2]) {
    let (tree, models, loads) = two_cables();
    let nodes = ["F1", "F2", "F3", "F4"].map(|id| at(&tree, id));
    let options = BeliefOptions {
        elsewhere_prior: 0.0,
        ..BeliefOptions::default()
    };
    let evidence = [
        direct(1, at(&tree, "A"), cables[0].0, cables[0].1),
        direct(2, at(&tree, "B"), cables[1].0, cables[1].1),
        step(3, &[nodes[0], nodes[2]], group_milli, group_u),
    ];
    let belief = believe(&tree, &models, &evidence, &options);
    assert_eq!(belief.approximated, Vec::<usize>::new());

    let mut random = Random(7);
    let (mut total, mut squares) = (0.0, 0.0);
    let (mut fault, mut mean) = ([0.0; 4], [0.0; 4]);
    for _ in 0..SAMPLES {
        let drawn = [0, 1, 2, 3].map(|i| random.load(&loads[i]));
        let sum = |i: usize, j: usize| drawn[i].1 + drawn[j].1;
        let weight = density(cables[0].0 / 1e3, sum(0, 1), cables[0].1 / 1e3)
            * density(cables[1].0 / 1e3, sum(2, 3), cables[1].1 / 1e3)
            * density(group_milli / 1e3, sum(0, 2), group_u / 1e3);
        total += weight;
        squares += weight * weight;
        for i in 0..4 {
            fault[i] += if drawn[i].0 { weight } else { 0.0 };
            mean[i] += weight * drawn[i].1;
        }
    }
    // Five standard errors of importance sampling with this effective number of
    // samples, and the thousandth that values left out may cost.
    let effective = total * total / squares;
    let allowed = 5.0 * (0.25 / effective).sqrt() + 1e-3;
    assert!(allowed < 0.02, "{allowed}");
    for i in 0..4 {
        let ours = belief.nodes[nodes[i]];
        let p = fault[i] / total;
        assert!(
            (ours.p_fault - p).abs() < allowed,
            "{i}: {} is not {p}",
            ours.p_fault
        );
        let m = mean[i] / total;
        // Draws below about 0.3 A: the same error in their mean, at most.
        assert!(
            (ours.mean_a - m).abs() < 0.3 * allowed,
            "{i}: {} is not {m}",
            ours.mean_a
        );
    }
    let ln = (total / SAMPLES as f64).ln();
    assert!(
        (belief.log_evidence - ln).abs() < 3.0 * allowed,
        "{} is not {ln}",
        belief.log_evidence
    );
}

#[test]
fn a_group_over_two_measured_cables_agrees_with_sampling() {
    // The faults may be in F1 and F4, in F2 and F3, or in the pulled pair.
    check(45.0, 6.0, [(50.0, 6.0), (42.0, 6.0)]);
}

#[test]
fn a_group_that_contradicts_its_cables_agrees_with_sampling() {
    check(120.0, 12.0, [(40.0, 8.0), (45.0, 8.0)]);
}
