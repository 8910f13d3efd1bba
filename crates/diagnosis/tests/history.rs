//! Laws of what finished jobs teach.
#![allow(clippy::unwrap_used, reason = "helpers of tests")]

use diagnosis::{
    History, LoadModels,
    history::{FAMILY_STRENGTH, Found},
};
use harness::{FeedTree, NodeKind, NodeSpec, family, family::Families};
use proptest::prelude::*;

/// A vehicle of fuses with these families; the label is that of the family.
fn vehicle(families: &[&str]) -> FeedTree {
    let fuses = families.iter().enumerate().map(|(at, family)| NodeSpec {
        family: Some((*family).into()),
        label: Some(format!("Circuit of {family}")),
        ..NodeSpec::new(&format!("F{at}"), "battery", NodeKind::Fuse)
    });
    FeedTree::build(fuses.collect()).unwrap()
}

/// Some finished job: its vehicle, and what was at fault.
fn lesson() -> impl Strategy<Value = History> {
    let ids: Vec<&'static str> = family::all()
        .iter()
        .map(|family| family.id.as_str())
        .collect();
    (
        prop::collection::vec(prop::sample::select(ids), 1..40),
        prop::collection::vec(
            (any::<prop::sample::Index>(), prop::option::of(1e-3..10.0)),
            0..3,
        ),
    )
        .prop_map(|(families, faults)| {
            let tree = vehicle(&families);
            let found: Vec<Found> = faults
                .iter()
                .map(|(at, size_a)| Found {
                    node: tree.leaves()[at.index(tree.leaves().len())],
                    size_a: *size_a,
                })
                .collect();
            History::of_job(&tree, Families::built_in(), &found)
        })
}

fn sum<'a>(lessons: impl IntoIterator<Item = &'a History>) -> History {
    lessons
        .into_iter()
        .fold(History::default(), |mut sum, one| {
            sum.add(one);
            sum
        })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, ..ProptestConfig::default() })]

    #[test]
    fn the_order_of_jobs_does_not_matter(
        (lessons, shuffled) in prop::collection::vec(lesson(), 0..8)
            .prop_flat_map(|lessons| (Just(lessons.clone()), Just(lessons).prop_shuffle()))
    ) {
        prop_assert_eq!(sum(&shuffled), sum(&lessons));
    }

    #[test]
    fn forgetting_restores_exactly(lessons in prop::collection::vec(lesson(), 0..6), one in lesson()) {
        let before = sum(&lessons);
        let mut after = before.clone();
        after.add(&one);
        after.take(&one);
        prop_assert_eq!(&after, &before);
        for lesson in &lessons {
            after.take(lesson);
        }
        prop_assert_eq!(after, History::default());
    }

    #[test]
    fn a_chance_moves_no_further_than_its_strength_allows(lessons in prop::collection::vec(lesson(), 0..8)) {
        let history = sum(&lessons);
        for family in family::all() {
            let (now, before) = (history.chance(family, None), family.prior_fault);
            prop_assert!((0.0..=1.0).contains(&now));
            let Some(tally) = history.families.get(&family.id) else {
                prop_assert_eq!(now, before);
                continue;
            };
            let seen = (tally.seen as f64 / 1e6).max(tally.at_fault as f64);
            let (low, high) = (
                FAMILY_STRENGTH * before / (FAMILY_STRENGTH + seen),
                (FAMILY_STRENGTH * before + seen) / (FAMILY_STRENGTH + seen),
            );
            prop_assert!(low <= now + 1e-12 && now <= high + 1e-12, "{} {now}", family.id);
            // Between what was stated and what was seen.
            let ratio = tally.at_fault as f64 / seen.max(1e-12);
            prop_assert!((now - before) * (ratio - before) >= -1e-12);
        }
    }

    #[test]
    fn shares_stay_shares(lessons in prop::collection::vec(lesson(), 0..8)) {
        let history = sum(&lessons);
        for family in family::all() {
            let shares = history.shares(family);
            prop_assert_eq!(shares.len(), family.faults.len());
            prop_assert!((shares.iter().sum::<f64>() - 1.0).abs() < 1e-9);
            prop_assert!(shares.iter().all(|share| *share > 0.0));
        }
    }
}

#[test]
fn without_a_finished_job_nothing_changes() {
    let ids: Vec<&str> = family::all()
        .iter()
        .map(|family| family.id.as_str())
        .collect();
    let tree = vehicle(&ids);
    let families = Families::built_in();
    assert_eq!(
        LoadModels::from_history(&tree, families, &History::default()),
        LoadModels::from_families(&tree, families)
    );
}

#[test]
fn a_fault_makes_its_own_kind_likelier_and_the_others_less() {
    let tree = vehicle(&["lamp", "audio", "tracker"]);
    let families = Families::built_in();
    let found = [Found {
        node: tree.leaves()[0],
        size_a: Some(0.42),
    }];
    let history = History::of_job(&tree, families, &found);
    let (before, after) = (
        LoadModels::from_families(&tree, families),
        LoadModels::from_history(&tree, families, &history),
    );
    let chance =
        |models: &LoadModels, at: usize| models.get(tree.leaves()[at]).unwrap().prior_fault;
    assert!(chance(&after, 0) > chance(&before, 0));
    assert!(chance(&after, 1) < chance(&before, 1));
    // What a person states beats what jobs taught.
    let stated = NodeSpec {
        prior: Some(0.2),
        family: Some("lamp".into()),
        ..NodeSpec::new("F1", "battery", NodeKind::Fuse)
    };
    let tree = FeedTree::build(vec![stated]).unwrap();
    let models = LoadModels::from_history(&tree, families, &history);
    assert_eq!(models.get(tree.leaves()[0]).unwrap().prior_fault, 0.2);
}

/// Jobs drawn from the data file's own chances teach nothing new: what is
/// expected and what is seen agree, whatever the size of the vehicle.
#[test]
fn an_average_workshop_keeps_the_chances_of_the_data_file() {
    let ids: Vec<&str> = family::all()
        .iter()
        .map(|family| family.id.as_str())
        .collect();
    let large: Vec<&str> = ids.iter().cycle().take(ids.len() * 3).copied().collect();
    let tree = vehicle(&large);
    let families = Families::built_in();
    let models = LoadModels::from_families(&tree, families);
    let lesson = History::of_job(&tree, families, &[]);
    for family in family::all() {
        let expected: f64 = tree
            .leaves()
            .iter()
            .filter(|&&leaf| tree.node(leaf).family.as_deref() == Some(family.id.as_str()))
            .map(|&leaf| models.get(leaf).unwrap().prior_fault)
            .sum();
        let seen = lesson.families[&family.id].seen as f64 / 1e6;
        assert!(
            (expected / seen - family.prior_fault).abs() < 1e-4,
            "{}",
            family.id
        );
    }
}
