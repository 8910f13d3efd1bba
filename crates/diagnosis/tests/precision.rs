//! A meter that is more precise never lowers the chance to name the circuit at fault.
//!
//! For one reading the chance is integrated over everything that the meter may show. For two
//! on a tree, truths and readings are drawn with common random numbers, so that meters differ
//! in their uncertainty alone, and what comes out is compared with what was promised.
#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

mod common;

use common::{Random, at, direct, model, tree};
use diagnosis::{BeliefOptions, LoadModel, LoadModels, believe};
use proptest::prelude::*;

const SAMPLES: usize = 400;

/// Mean of the largest posterior chance to be the only circuit at fault: what naming the most
/// suspect one expects to get right, by the belief itself; and how often it was right.
fn success(loads: &[LoadModel; 3], u_milli: f64, seed: u64) -> (f64, f64) {
    let ids = ["F1", "F2", "F3"];
    let tree = tree(&[
        ("A", "battery", ""),
        ("F1", "A", "alarm"),
        ("F2", "A", "tracker"),
        ("F3", "battery", "horn"),
    ]);
    let nodes = ids.map(|id| at(&tree, id));
    let models = LoadModels::with(&tree, |leaf| {
        let of = nodes.iter().position(|&n| tree.is_at_or_below(leaf, n));
        loads[of.unwrap()].clone()
    });
    let options = BeliefOptions {
        elsewhere_prior: 0.0,
        ..BeliefOptions::default()
    };
    let mut random = Random(seed);
    let (mut expected, mut right) = (0.0, 0.0);
    for _ in 0..SAMPLES {
        let drawn = [0, 1, 2].map(|i| random.load(&loads[i]));
        let (all, a) = (
            drawn.iter().map(|d| d.1).sum::<f64>(),
            drawn[0].1 + drawn[1].1,
        );
        // Always the same numbers, whatever the meter.
        let noise = [random.normal(), random.normal()];
        let read = |true_a: f64, z: f64| 1e3 * true_a + u_milli * z;
        let evidence = [
            direct(1, 0, read(all, noise[0]), u_milli),
            direct(2, at(&tree, "A"), read(a, noise[1]), u_milli),
        ];
        let belief = believe(&tree, &models, &evidence, &options);
        // Each circuit is called at fault or well, whichever is likelier.
        for (node, (fault, _)) in nodes.iter().zip(drawn) {
            let p = belief.nodes[*node].p_fault;
            expected += p.max(1.0 - p);
            right += if (p > 0.5) == fault { 1.0 } else { 0.0 };
        }
    }
    let count = (3 * SAMPLES) as f64;
    (expected / count, right / count)
}

/// The integral over one reading x of the total of its density times the chance that each
/// circuit is rightly called at fault or well; and the integral of the density alone.
fn integrated(loads: &[LoadModel; 3], u_milli: f64) -> (f64, f64) {
    let tree = tree(&[
        ("F1", "battery", "alarm"),
        ("F2", "battery", "tracker"),
        ("F3", "battery", "horn"),
    ]);
    let nodes = ["F1", "F2", "F3"].map(|id| at(&tree, id));
    let models = LoadModels::with(&tree, |leaf| {
        let of = nodes.iter().position(|&n| tree.is_at_or_below(leaf, n));
        loads[of.unwrap()].clone()
    });
    // Worthless readings are left out: theirs would not be a sharper one with noise added.
    let options = BeliefOptions {
        elsewhere_prior: 0.0,
        outlier_chance: 0.0,
        ..BeliefOptions::default()
    };
    let spacing = u_milli / 2.0;
    let count = ((1000.0 + 6.0 * u_milli) / spacing).ceil() as usize;
    let (mut right, mut all) = (0.0, 0.0);
    for i in 0..count {
        let shown = i as f64 * spacing - 6.0 * u_milli;
        let belief = believe(&tree, &models, &[direct(1, 0, shown, u_milli)], &options);
        let weight = belief.log_evidence.exp() * spacing / 1e3;
        let sure = nodes.iter().map(|&node| belief.nodes[node].p_fault);
        let sure = sure.map(|p| p.max(1.0 - p)).sum::<f64>() / 3.0;
        all += weight;
        right += weight * sure;
    }
    (right, all)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(6))]

    /// Blackwell 1953, "Equivalent comparisons of experiments", from memory: a coarse reading
    /// is a sharp one with noise added, and noise cannot help.
    #[test]
    fn a_more_precise_meter_never_lowers_expected_success(
        priors in prop::array::uniform3(0.1..0.5_f64),
        sizes in prop::array::uniform3(0.02..0.1_f64),
        fine in 4.0..20.0_f64, factor in 1.5..6.0_f64,
    ) {
        let loads = [0, 1, 2].map(|i| model(priors[i], (0.003, 0.7), (sizes[i], 0.4)));
        let ((sharp, one), (coarse, other)) =
            (integrated(&loads, fine), integrated(&loads, fine * factor));
        // What lies beyond an ampere, and the blur of the grid.
        prop_assert!((one - 1.0).abs() < 2e-3 && (other - 1.0).abs() < 2e-3, "{one} {other}");
        prop_assert!(sharp / one >= coarse / other - 5e-4, "{sharp} {coarse}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(8))]

    #[test]
    fn what_is_promised_comes_out_and_more_of_it_with_a_sharper_meter(
        priors in prop::array::uniform3(0.1..0.5_f64),
        sizes in prop::array::uniform3(0.02..0.2_f64),
        fine in 0.5..20.0_f64, factor in 2.0..10.0_f64, seed in any::<u64>(),
    ) {
        let loads = [0, 1, 2].map(|i| model(priors[i], (0.003, 0.7), (sizes[i], 0.5)));
        let (sharp, coarse) = (success(&loads, fine, seed), success(&loads, fine * factor, seed));
        // Three standard errors of a share at the most a share can vary, 1/4; the integral
        // above is the sharp test, this one compares with the truth.
        let allowed = 3.0 * (0.25 / (3 * SAMPLES) as f64).sqrt();
        prop_assert!(sharp.0 >= coarse.0 - allowed, "{sharp:?} {coarse:?}");
        prop_assert!(sharp.1 >= coarse.1 - allowed, "{sharp:?} {coarse:?}");
        // What is promised is what comes out, for either meter.
        for (promised, right) in [sharp, coarse] {
            prop_assert!((promised - right).abs() < allowed, "{promised} {right}");
        }
    }
}
