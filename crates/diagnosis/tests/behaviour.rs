//! What a log's behaviour does to the chances of circuits before anything is read.
#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

mod common;

use common::{at, direct, model, models, tree};
use diagnosis::{BeliefOptions, LoadModels, TraceBehaviour, believe};
use harness::{FeedTree, family::Families};
use proptest::prelude::*;

fn van() -> FeedTree {
    tree(&[
        ("F1", "battery", "tracker"),
        ("F2", "battery", "boot-lamp"),
        ("F3", "battery", "body-module"),
        ("F4", "battery", "telematics"),
        ("F5", "battery", "horn"),
    ])
}

fn informed(tree: &FeedTree, behaviour: TraceBehaviour) -> LoadModels {
    models(tree).informed(tree, Families::built_in(), &behaviour)
}

/// Chance of the load behind a fuse, before anything is read.
fn prior(tree: &FeedTree, models: &LoadModels, id: &str) -> f64 {
    let leaf = tree.leaves_below(at(tree, id))[0];
    models.get(leaf).unwrap().prior_fault
}

fn wakes(shown: f64) -> TraceBehaviour {
    TraceBehaviour {
        wakes: shown,
        ..TraceBehaviour::default()
    }
}

#[test]
fn odds_are_multiplied_and_the_sum_is_kept() {
    let tree = tree(&[("F1", "battery", "tracker"), ("F2", "battery", "boot-lamp")]);
    let tracker = tree.leaves_below(at(&tree, "F1"))[0];
    let before = LoadModels::with(&tree, |leaf| {
        let p = if leaf == tracker { 0.2 } else { 0.6 };
        model(p, (0.004, 0.6), (0.04, 0.5))
    });
    let after = before
        .clone()
        .informed(&tree, Families::built_in(), &wakes(1.0));
    // Odds 1:4 by four are 1:1; 0.5 and 0.6 are then scaled back to 0.8.
    assert!((prior(&tree, &after, "F1") - 0.5 * 0.8 / 1.1).abs() < 1e-12);
    assert!((prior(&tree, &after, "F2") - 0.6 * 0.8 / 1.1).abs() < 1e-12);
    // Half seen: the square root of four.
    let half = before.informed(&tree, Families::built_in(), &wakes(0.5));
    let (p, sum) = (1.0 / 3.0, 0.8 / (1.0 / 3.0 + 0.6));
    assert!((prior(&tree, &half, "F1") - p * sum).abs() < 1e-12);
}

#[test]
fn what_shows_nothing_changes_nothing() {
    let tree = van();
    for nothing in [TraceBehaviour::default(), wakes(-1.0), wakes(f64::NAN)] {
        assert_eq!(informed(&tree, nothing), models(&tree));
    }
}

#[test]
fn each_behaviour_raises_those_that_behave_so() {
    let tree = van();
    let keeps = TraceBehaviour {
        keeps_awake: 1.0,
        ..TraceBehaviour::default()
    };
    let stalls = TraceBehaviour {
        stalls: 1.0,
        ..TraceBehaviour::default()
    };
    let plain = models(&tree);
    for (shown, up, down) in [
        (wakes(1.0), ["F1", "F4"], ["F2", "F5"]),
        (keeps, ["F3", "F4"], ["F2", "F5"]),
        (stalls, ["F3", "F3"], ["F1", "F2"]),
    ] {
        let now = informed(&tree, shown);
        let ratio = |id| prior(&tree, &now, id) / prior(&tree, &plain, id);
        for id in up {
            // At least what the smallest factor, two, leaves after scaling back.
            let least = 1.7 * ratio(down[0]);
            assert!(ratio(id) > least.max(1.0), "{shown:?} {id}: {}", ratio(id));
        }
        for id in down {
            assert!(ratio(id) <= 1.0, "{shown:?} {id}: {}", ratio(id));
        }
    }
}

/// A log is evidence beside the readings, and a clear one overrules it.
#[test]
fn readings_outvote_a_log() {
    let tree = van();
    let evidence = [
        direct(1, 0, 430.0, 8.0),
        direct(2, at(&tree, "F2"), 415.0, 8.0),
        direct(3, at(&tree, "F1"), 4.0, 1.0),
    ];
    let belief = believe(
        &tree,
        &informed(&tree, wakes(1.0)),
        &evidence,
        &BeliefOptions::default(),
    );
    assert!(belief.nodes[at(&tree, "F2")].p_fault > 0.98);
    assert!(belief.nodes[at(&tree, "F1")].p_fault < 0.05);
}

proptest! {
    #[test]
    fn chances_stay_chances_and_more_of_it_never_speaks_against_who_behaves_so(
        wakes in 0.0..1.0_f64, keeps_awake in 0.0..1.0_f64, stalls in 0.0..1.0_f64, more in 0.0..0.5_f64,
    ) {
        let tree = van();
        let shown = TraceBehaviour { wakes, keeps_awake, stalls };
        let plainer = TraceBehaviour { wakes: wakes + more, ..shown };
        let [plain, first, second] = [models(&tree), informed(&tree, shown), informed(&tree, plainer)];
        let sum = |models: &LoadModels| -> f64 {
            tree.leaves().iter().map(|&leaf| models.get(leaf).unwrap().prior_fault).sum()
        };
        for now in [&first, &second] {
            prop_assert!(sum(now) <= sum(&plain) + 1e-12);
            for &leaf in tree.leaves() {
                let model = now.get(leaf).unwrap();
                prop_assert!((0.0..=1.0).contains(&model.prior_fault));
                // Nothing else of a circuit is touched.
                let same = diagnosis::LoadModel { prior_fault: 0.0, ..model.clone() };
                let was = diagnosis::LoadModel { prior_fault: 0.0, ..plain.get(leaf).unwrap().clone() };
                prop_assert_eq!(same, was);
            }
        }
        prop_assert!(prior(&tree, &second, "F1") >= prior(&tree, &first, "F1") - 1e-12);
        prop_assert!(prior(&tree, &second, "F2") <= prior(&tree, &first, "F2") + 1e-12);
    }
}
