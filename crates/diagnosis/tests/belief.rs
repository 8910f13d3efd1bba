//! What readings on an invented vehicle must make one believe.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::print_stderr,
    reason = "helpers of tests may stop or skip the test, and say why"
)]

mod common;

use common::{Random, at, direct, large, models, small_van, step};
use diagnosis::{
    BeliefOptions, Component, Evidence, EvidenceKind, LoadModel, LoadModels, LogNormal, believe,
};
use harness::FeedTree;
use measure::Uncertain;
use proptest::prelude::*;

fn options() -> BeliefOptions {
    BeliefOptions::default()
}

#[test]
fn a_high_feed_is_blamed_and_the_rest_acquitted() {
    let tree = small_van();
    let evidence = [
        direct(1, 0, 440.0, 8.0),
        direct(2, at(&tree, "body"), 425.0, 8.0),
        step(3, &[at(&tree, "F5")], 415.0, 8.0),
    ];
    let belief = believe(&tree, &models(&tree), &evidence, &options());
    assert!(belief.nodes[at(&tree, "F5")].p_fault > 0.99);
    assert!(belief.nodes[at(&tree, "body")].p_fault > 0.99);
    assert!(belief.nodes[at(&tree, "main")].p_fault < 0.05);
    assert_eq!(belief.culprits[0].node, Some(at(&tree, "F5")));
    assert_eq!(belief.disagreement, None);
    // 440 mA less the innermost branch measured, 415 mA.
    let left = belief.unaccounted.unwrap();
    assert!(
        (left.value - 0.025).abs() < 1e-9 && (left.u - 0.0113).abs() < 1e-3,
        "{left:?}"
    );
}

#[test]
fn a_normal_total_suspects_little() {
    let tree = small_van();
    let belief = believe(
        &tree,
        &models(&tree),
        &[direct(1, 0, 22.0, 3.0)],
        &options(),
    );
    let largest = (1..tree.len())
        .map(|i| belief.nodes[i].p_fault)
        .fold(0.0, f64::max);
    assert!(largest < 0.15, "{largest}");
    assert!(belief.culprits.is_empty());
}

#[test]
fn the_size_of_the_draw_is_evidence() {
    // 430 mA is a boot lamp sooner than a horn relay's coil.
    let tree = small_van();
    let belief = believe(
        &tree,
        &models(&tree),
        &[direct(1, 0, 430.0, 8.0)],
        &options(),
    );
    let p = |id| belief.nodes[at(&tree, id)].p_fault;
    assert!(p("F5") > 5.0 * p("F3"), "{} {}", p("F5"), p("F3"));
}

#[test]
fn readings_that_exclude_every_circuit_leave_what_is_not_listed() {
    let tree = small_van();
    let mut evidence = vec![direct(0, 0, 300.0, 5.0), direct(20, 0, 302.0, 5.0)];
    for (tag, id) in ["F1", "F2", "F3", "F4", "F5", "F6", "F7", "F8"]
        .iter()
        .enumerate()
    {
        evidence.push(direct(tag + 1, at(&tree, id), 2.0, 2.0));
    }
    let belief = believe(&tree, &models(&tree), &evidence, &options());
    assert!(belief.elsewhere.p_fault > 0.8, "{:?}", belief.elsewhere);
    assert_eq!(belief.culprits[0].node, None);
    let left = belief.unaccounted.unwrap();
    assert!((left.value - 0.285).abs() < 1e-9, "{left:?}");
}

#[test]
fn awake_readings_are_kept_apart() {
    let tree = small_van();
    let asleep = [direct(1, 0, 40.0, 5.0)];
    let mut awake = direct(2, 0, 5200.0, 50.0);
    awake.asleep = false;
    let mixed = [asleep[0].clone(), awake];
    let without = believe(&tree, &models(&tree), &asleep, &options());
    let mut with = believe(&tree, &models(&tree), &mixed, &options());
    assert_eq!(with.set_apart, vec![2]);
    with.set_apart.clear();
    assert_eq!(with, without);
}

#[test]
fn readings_that_contradict_are_named() {
    let tree = small_van();
    let body = at(&tree, "body");
    let evidence = [
        direct(7, 0, 80.0, 3.0),
        direct(9, body, 640.0, 5.0),
        direct(11, at(&tree, "main"), 12.0, 2.0),
    ];
    let belief = believe(&tree, &models(&tree), &evidence, &options());
    let mut named: Vec<usize> = belief
        .disagreement
        .unwrap()
        .doubts
        .iter()
        .map(|doubt| doubt.0)
        .collect();
    named.sort_unstable();
    assert!(named.contains(&7) || named.contains(&9), "{named:?}");
    assert!(!named.contains(&11), "{named:?}");
}

#[test]
fn one_bad_reading_does_not_decide() {
    let tree = small_van();
    let f5 = at(&tree, "F5");
    let mut evidence = vec![
        direct(1, 0, 440.0, 5.0),
        direct(2, 0, 441.0, 5.0),
        direct(3, at(&tree, "body"), 430.0, 5.0),
        step(4, &[f5], 417.0, 5.0),
    ];
    evidence.push(direct(5, f5, 0.5, 0.5));
    let belief = believe(&tree, &models(&tree), &evidence, &options());
    let doubts = belief.disagreement.unwrap().doubts;
    assert!(
        doubts.iter().any(|doubt| doubt.0 == 5 || doubt.0 == 4),
        "{doubts:?}"
    );
    assert!(belief.nodes[0].mean_a > 0.4);
}

#[test]
fn nothing_shown_is_evidence_too() {
    let tree = small_van();
    let f5 = at(&tree, "F5");
    let total = direct(1, 0, 440.0, 8.0);
    let nothing = Evidence {
        tag: 2,
        asleep: true,
        kind: EvidenceKind::Direct {
            node: f5,
            current: Uncertain::new(0.0, 0.005),
            below_floor: Some(0.02),
        },
    };
    let before = believe(
        &tree,
        &models(&tree),
        std::slice::from_ref(&total),
        &options(),
    );
    let after = believe(&tree, &models(&tree), &[total, nothing], &options());
    assert!(before.nodes[f5].p_fault > 0.2);
    assert!(
        after.nodes[f5].p_fault < 0.05,
        "{}",
        after.nodes[f5].p_fault
    );
    assert!(after.nodes[f5].draw.p95 < 0.025);
}

#[test]
fn both_ends_of_the_scale_are_kept() {
    // A window heater's 15 A and, beside it, a branch read to the milliampere.
    let tree = common::tree(&[
        ("F1", "battery", "window-heater"),
        ("F2", "battery", "alarm"),
        ("F3", "battery", "tracker"),
    ]);
    let evidence = [
        direct(1, 0, 15_000.0, 150.0),
        direct(4, 0, 15_040.0, 150.0),
        direct(2, at(&tree, "F2"), 3.0, 0.5),
        direct(3, at(&tree, "F3"), 5.0, 0.5),
    ];
    let belief = believe(&tree, &models(&tree), &evidence, &options());
    assert!(belief.nodes[at(&tree, "F1")].p_fault > 0.95);
    assert!((belief.nodes[at(&tree, "F1")].mean_a - 15.0).abs() < 0.3);
    for id in ["F2", "F3"] {
        assert!(belief.nodes[at(&tree, id)].p_fault < 0.05, "{id}");
    }
    // Without any reading of the total a large draw is known at its fuse.
    let belief = believe(&tree, &models(&tree), &evidence[2..], &options());
    let heater = belief.nodes[at(&tree, "F1")];
    assert!(heater.p_fault < 0.5 && heater.draw.p50 < 0.01, "{heater:?}");
}

#[test]
fn a_quiet_circuit_is_told_to_the_milliampere_beside_nine_ampere() {
    let tree = common::tree(&[
        ("F1", "battery", "window-heater"),
        ("F2", "battery", "alarm"),
    ]);
    let f2 = at(&tree, "F2");
    let total = direct(1, 0, 9_000.0, 90.0);
    for milli in [3.0, 5.0] {
        let evidence = [total.clone(), direct(2, f2, milli, 0.3)];
        let belief = believe(&tree, &models(&tree), &evidence, &options());
        assert!(belief.step_a > 0.004, "{}", belief.step_a);
        let draw = belief.nodes[f2].draw;
        // 1.645 standard uncertainties of the reading and half a fine cell beyond.
        let width = 1e-3 * (1.645 * 0.3_f64.hypot(0.25) + 0.25);
        assert!(
            (draw.p05 - milli / 1e3).abs() < width && (draw.p95 - milli / 1e3).abs() < width,
            "{milli} mA: {draw:?}"
        );
        let doubts = belief.disagreement.map_or(Vec::new(), |d| d.doubts);
        assert!(doubts.iter().all(|doubt| doubt.0 != 2), "{doubts:?}");
    }
}

#[test]
fn groups_that_cross_are_exact_in_two_parts_and_said_to_be_approximate_in_three() {
    let tree = small_van();
    let f5 = at(&tree, "F5");
    for (group, approximated) in [(&["F3", "F5"][..], vec![]), (&["F3", "F5", "F8"], vec![4])] {
        let nodes: Vec<usize> = group.iter().map(|id| at(&tree, id)).collect();
        let evidence = [
            direct(1, 0, 440.0, 5.0),
            direct(2, at(&tree, "main"), 10.0, 5.0),
            direct(3, at(&tree, "body"), 428.0, 5.0),
            step(4, &nodes, 416.0, 6.0),
        ];
        let belief = believe(&tree, &models(&tree), &evidence, &options());
        assert_eq!(belief.approximated, approximated);
        assert!(belief.nodes[f5].p_fault > 0.95);
    }
}

#[test]
fn readings_that_say_nothing_are_listed() {
    let tree = small_van();
    let evidence = [
        direct(1, 99, 10.0, 1.0),
        direct(2, 0, f64::NAN, 1.0),
        step(3, &[], 1.0, 1.0),
    ];
    let belief = believe(&tree, &models(&tree), &evidence, &options());
    assert_eq!(belief.unused, vec![1, 2, 3]);
}

/// Neither group holds the other, and the one pull excludes the other's size.
#[test]
fn a_feed_is_no_less_suspect_than_what_hangs_on_it_though_crossing_groups_contradict() {
    let tree = small_van();
    let evidence = [
        step(0, &[4, 9], 583.441_377, 18.584_958),
        step(15, &[8, 4], 577.412_555, 6.213_200),
    ];
    let belief = believe(&tree, &models(&tree), &evidence, &options());
    assert_eq!(belief.approximated, Vec::<usize>::new());
    for node in 1..tree.len() {
        let above = belief.nodes[tree.parent(node).unwrap()].p_fault;
        let below = belief.nodes[node].p_fault;
        assert!(below <= above + 1e-6, "{node}: {below} > {above}");
    }
}

/// Weighs a million random vehicles by the readings: slow, but shares nothing with the grid.
#[test]
fn agrees_with_sampling() {
    let tree = common::tree(&[
        ("A", "battery", ""),
        ("F1", "A", "alarm"),
        ("F2", "A", "tracker"),
        ("F3", "battery", "boot-lamp"),
    ]);
    let draw = |median_a, log_sd| LogNormal { median_a, log_sd };
    let model = |prior_fault, normal, fault: &[(f64, LogNormal)]| LoadModel {
        prior_fault,
        normal,
        fault: fault
            .iter()
            .map(|&(weight, draw)| Component {
                weight,
                draw,
                what: String::new(),
            })
            .collect(),
        access_min: 1.0,
        wake_chance: 0.0,
        family: String::new(),
        keeps_settings: false,
        caution: None,
    };
    let loads = [
        model(
            0.2,
            draw(0.003, 0.8),
            &[(0.6, draw(0.1, 0.6)), (0.4, draw(0.05, 0.6))],
        ),
        model(0.3, draw(0.0045, 0.6), &[(1.0, draw(0.05, 0.5))]),
        model(0.1, draw(0.001, 1.0), &[(1.0, draw(0.1, 0.3))]),
    ];
    let models = LoadModels::with(&tree, |leaf| loads[leaf - 2].clone());
    let options = BeliefOptions {
        elsewhere_prior: 0.0,
        ..options()
    };
    let evidence = [
        direct(1, 0, 120.0, 6.0),
        direct(2, at(&tree, "A"), 95.0, 10.0),
    ];
    let belief = believe(&tree, &models, &evidence, &options);
    let (mut total, mut squares) = (0.0, 0.0);
    let mut fault = [0.0; 3];
    let mut mean = [0.0; 3];
    let mut random = Random(1);
    let density = |x: f64, s: f64, u: f64| {
        let z = (x - s) / u;
        0.98 * (-0.5 * z * z).exp() / (u * (2.0 * std::f64::consts::PI).sqrt())
            + 0.02 / ((x + 0.001) * 30_001_f64.ln())
    };
    for _ in 0..1_000_000 {
        let mut amps = [0.0; 3];
        let mut at_fault = [false; 3];
        for (i, load) in loads.iter().enumerate() {
            amps[i] = load.normal.at(random.normal());
            at_fault[i] = random.uniform() < load.prior_fault;
            if at_fault[i] {
                let mut pick = random.uniform();
                let component = load.fault.iter().find(|c| {
                    pick -= c.weight;
                    pick < 0.0
                });
                amps[i] += component.unwrap_or(&load.fault[0]).draw.at(random.normal());
            }
        }
        let elsewhere = draw(0.0003, 1.0).at(random.normal());
        let all = amps.iter().sum::<f64>() + elsewhere;
        let weight = density(0.12, all, 0.006) * density(0.095, amps[0] + amps[1], 0.010);
        total += weight;
        squares += weight * weight;
        for i in 0..3 {
            mean[i] += weight * amps[i];
            fault[i] += if at_fault[i] { weight } else { 0.0 };
        }
    }
    // Five standard errors of importance sampling with this effective number of samples.
    let effective = total * total / squares;
    let allowed = 5.0 * (0.25 / effective).sqrt();
    assert!(allowed < 0.02, "{allowed}");
    for i in 0..3 {
        let ours = belief.nodes[i + 2];
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
}

fn reading(nodes: usize) -> impl Strategy<Value = Evidence> {
    let node = prop_oneof![1 => Just(0), 3 => 0..nodes];
    (0..100_usize, node, 0.0..600.0, 0.5..30.0, 0..4_u8).prop_map(
        move |(tag, node, milli, u, kind)| match kind {
            0 => step(tag, &[node], milli, u),
            1 => step(tag, &[node, (node * 7 + 3) % nodes], milli, u),
            _ => direct(tag, node, milli, u),
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    #[test]
    fn order_changes_nothing_and_sums_hold(
        (evidence, shuffled) in prop::collection::vec(reading(11), 0..7)
            .prop_flat_map(|all| (Just(all.clone()), Just(all).prop_shuffle()))
    ) {
        let tree = small_van();
        let models = models(&tree);
        let belief = believe(&tree, &models, &evidence, &options());
        // Tags may repeat here; only their lists could then differ in order.
        prop_assert_eq!(&belief.nodes, &believe(&tree, &models, &shuffled, &options()).nodes);
        for (i, node) in belief.nodes.iter().enumerate() {
            prop_assert!((0.0..=1.0).contains(&node.p_fault));
            prop_assert!(node.draw.p05 <= node.draw.p50 && node.draw.p50 <= node.draw.p95);
            let children = tree.children(i);
            if !children.is_empty() {
                let outside = if i == 0 { belief.elsewhere.mean_a } else { 0.0 };
                let sum: f64 = children.iter().map(|&c| belief.nodes[c].mean_a).sum();
                prop_assert!((sum + outside - node.mean_a).abs() < 1e-9);
                for &child in children {
                    // Far below what is shown; the two come from different sums.
                    let (below, above) = (belief.nodes[child].p_fault, node.p_fault);
                    prop_assert!(below <= above + 1e-6, "{child}: {below} > {above}");
                }
            }
        }
    }
}

#[test]
fn priors_of_many_circuits_stay_those_of_one_or_two_faults() {
    let tree: FeedTree = large(60);
    let belief = believe(&tree, &models(&tree), &[], &options());
    let expected: f64 = tree
        .leaves()
        .iter()
        .map(|&leaf| belief.nodes[leaf].p_fault)
        .sum();
    assert!(expected < 1.2, "{expected}");
}
