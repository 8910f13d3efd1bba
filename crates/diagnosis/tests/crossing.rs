//! Pulled groups that cross other readings, against weighted samples that share nothing with the grid.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "helpers of tests may stop or skip the test, and say why"
)]

mod common;

use common::{at, direct, step};
use diagnosis::{BeliefOptions, Component, LoadModel, LoadModels, LogNormal, believe};

const SAMPLES: usize = 4_000_000;

/// A seeded generator (splitmix64, public domain constants) so that the check needs no other crate.
struct Random(u64);

impl Random {
    fn uniform(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn normal(&mut self) -> f64 {
        let (u, v) = (1.0 - self.uniform(), self.uniform());
        (-2.0 * u.ln()).sqrt() * (2.0 * std::f64::consts::PI * v).cos()
    }

    /// Whether a load is at fault, and its draw, ampere.
    fn load(&mut self, load: &LoadModel) -> (bool, f64) {
        let mut draw = load.normal.at(self.normal());
        let fault = self.uniform() < load.prior_fault;
        if fault {
            draw += load.fault[0].draw.at(self.normal());
        }
        (fault, draw)
    }
}

fn model(prior_fault: f64, normal: (f64, f64), fault: (f64, f64)) -> LoadModel {
    let draw = |(median_a, log_sd)| LogNormal { median_a, log_sd };
    LoadModel {
        prior_fault,
        normal: draw(normal),
        fault: vec![Component {
            weight: 1.0,
            draw: draw(fault),
            what: String::new(),
        }],
        access_min: 1.0,
        wake_chance: 0.0,
        family: String::new(),
        keeps_settings: false,
        caution: None,
    }
}

/// The stated likelihood: normal, or worthless with every decade from 1 mA to 30 A alike.
fn density(read_a: f64, sum_a: f64, u_a: f64) -> f64 {
    let z = (read_a - sum_a) / u_a;
    0.98 * (-0.5 * z * z).exp() / (u_a * (2.0 * std::f64::consts::PI).sqrt())
        + 0.02 / ((read_a + 0.001) * 30_001_f64.ln())
}

/// Two cables with two fuses each; one fuse of each cable pulled together.
fn check(group_milli: f64, group_u: f64, cables: [(f64, f64); 2]) {
    let tree = common::tree(&[
        ("A", "battery", ""),
        ("B", "battery", ""),
        ("F1", "A", "alarm"),
        ("F2", "A", "tracker"),
        ("F3", "B", "boot-lamp"),
        ("F4", "B", "horn"),
    ]);
    let loads = [
        model(0.3, (0.004, 0.6), (0.04, 0.5)),
        model(0.2, (0.003, 0.8), (0.06, 0.4)),
        model(0.2, (0.002, 0.7), (0.05, 0.5)),
        model(0.3, (0.001, 1.0), (0.03, 0.6)),
    ];
    let nodes = ["F1", "F2", "F3", "F4"].map(|id| at(&tree, id));
    let of_leaf = |leaf: usize| {
        let node = nodes
            .iter()
            .position(|&node| tree.is_at_or_below(leaf, node));
        loads[node.unwrap()].clone()
    };
    let models = LoadModels::with(&tree, of_leaf);
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
