//! The ranking of tests, and what is left out of it.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::print_stderr,
    reason = "helpers of tests may stop the test, and say how far it came"
)]

mod common;

use std::collections::BTreeSet;

use common::{at, bench::Bench, direct, models, tree};
use diagnosis::{BeliefOptions, Plan, PlanOptions, Proposal, TestKind, believe, plan};
use harness::FeedTree;

/// Minutes a test costs with the waking it risks, as the planner counts them.
fn effective_min(bench: &Bench, test: &Proposal) -> f64 {
    (test.minutes + test.wake_chance * bench.options.resleep_min).max(0.05)
}

/// Circuits that wait until they are suspected: the alternator, audio, what keeps settings.
fn may_wait(bench: &Bench, test: &Proposal) -> bool {
    let [node] = test.nodes[..] else { return false };
    let [leaf] = bench.tree.leaves_below(node) else {
        return false;
    };
    let model = bench.models.get(*leaf).unwrap();
    model.keeps_settings
        || bench.tree.keeps_settings_below(node)
        || ["alternator", "audio", "amplifier"].contains(&model.family.as_str())
}

/// The number as `words` writes it.
fn percent(p: f64) -> String {
    match p * 100.0 {
        x if x < 1.0 => "under 1 %".into(),
        x if x > 99.0 => "over 99 %".into(),
        x => format!("{x:.0} %"),
    }
}

fn duration(minutes: f64) -> String {
    match minutes {
        m if m < 0.95 => format!("{:.0} seconds", m * 60.0),
        m if m < 1.25 => "1 minute".into(),
        m => format!("{m:.0} minutes"),
    }
}

fn current(a: f64) -> String {
    match a {
        a if a >= 0.9995 => format!("{a:.2} A"),
        a if a >= 0.00995 => format!("{:.0} mA", a * 1e3),
        a => format!("{:.1} mA", a * 1e3),
    }
}

/// One sentence, whose numbers are those of the fields.
fn says_its_numbers(test: &Proposal) {
    let why = test.why.english();
    assert!(!why.contains(". ") && !why.ends_with('.'), "{why}");
    let mut said = vec![
        format!("{} likely", percent(test.outcomes[0].p)),
        format!(", {},", duration(test.minutes)),
        format!("sees {} there", current(test.floor_a.unwrap())),
    ];
    let in_place = matches!(test.kind, TestKind::Clamp | TestKind::Millivolt);
    if in_place {
        said.push("nothing is disturbed".into());
    } else if test.wake_chance < 0.005 {
        said.push("waking is unlikely".into());
    } else {
        said.push(format!("{} to wake the vehicle", percent(test.wake_chance)));
    }
    for words in said {
        assert!(why.contains(&words), "{words}: {why}");
    }
    assert!(test.caution.is_some());
}

/// Whether a test is one of the ranking: waits, totals and confirmations come by other rules.
fn searched(test: &Proposal) -> bool {
    test.why.id() == Some("diagnosis-why")
}

fn interrupts(test: &Proposal) -> bool {
    matches!(
        test.kind,
        TestKind::Pull | TestKind::Detach | TestKind::Unplug
    )
}

fn ranked_well(bench: &Bench, plan: &Plan) {
    assert!(plan.alternatives.len() <= 8);
    let key = |test: &Proposal| {
        let mut nodes = test.nodes.clone();
        nodes.sort_unstable();
        (test.kind, nodes)
    };
    let all: Vec<&Proposal> = plan.next.iter().chain(&plan.alternatives).collect();
    let once: BTreeSet<_> = plan.alternatives.iter().map(key).collect();
    assert_eq!(once.len(), plan.alternatives.len(), "{once:?}");
    for test in all.iter().filter(|test| searched(test)) {
        says_its_numbers(test);
    }
    // What ends soonest by looking ahead stands in front, be it the next one or, where a total or
    // a wait comes first, the best alternative.
    let ahead = !plan.next.as_ref().is_some_and(searched);
    let ranked: Vec<&Proposal> = plan
        .alternatives
        .iter()
        .skip(usize::from(ahead))
        .filter(|test| searched(test))
        .collect();
    let per_minute = |test: &&Proposal| test.bits / effective_min(bench, test);
    let ordinary: Vec<&Proposal> = (ranked.iter().copied())
        .filter(|t| !may_wait(bench, t))
        .collect();
    let falls = |part: &[&Proposal]| part.iter().map(per_minute).is_sorted_by(|a, b| a >= b);
    if !falls(&ordinary) {
        // Among many suspects what interrupts stands behind what can be read in place.
        let first = ordinary.iter().position(|test| interrupts(test));
        let (read, cut) = ordinary.split_at(first.unwrap_or(ordinary.len()));
        assert!(falls(read) && falls(cut), "{ordinary:?}");
        assert!(cut.iter().all(|test| interrupts(test)), "{ordinary:?}");
        assert!(read.iter().any(|test| test.kind == TestKind::Millivolt));
    }
    // What would lose settings comes after all that does not.
    let loses = |test: &&Proposal| may_wait(bench, test) && interrupts(test);
    if let Some(first) = ranked.iter().position(loses) {
        let later = ranked[first..]
            .iter()
            .filter(|t| !may_wait(bench, t))
            .count();
        assert_eq!(
            later,
            0,
            "{:?}",
            ranked.iter().map(|t| key(t)).collect::<Vec<_>>()
        );
    }
}

fn left_out_well(bench: &Bench, plan: &Plan) {
    let all: Vec<&Proposal> = plan.next.iter().chain(&plan.alternatives).collect();
    let mut once = BTreeSet::new();
    for left in &plan.excluded {
        let node = left.node.unwrap();
        assert!(
            once.insert((left.kind, node)),
            "{:?} at {node} twice",
            left.kind
        );
        assert!(!left.reason.is_empty());
        assert!(
            !all.iter()
                .any(|t| t.kind == left.kind && t.nodes.contains(&node)),
            "{:?} at {node}: {} and yet proposed",
            left.kind,
            left.reason
        );
    }
    // Airbags: not touched in any way, listed with the reason.
    for node in 1..bench.tree.len() {
        let below = bench.tree.leaves_below(node);
        let family = |leaf: &usize| bench.models.get(*leaf).unwrap().family == "airbag";
        if !below.iter().any(family) {
            continue;
        }
        let touched =
            |test: &&&Proposal| test.kind != TestKind::Clamp && test.nodes.contains(&node);
        assert_eq!(all.iter().find(touched), None, "{node}");
    }
    if !bench.options.allow_settings_loss {
        let cuts = |test: &&&Proposal| {
            !matches!(
                test.kind,
                TestKind::Clamp | TestKind::InLine | TestKind::Millivolt | TestKind::PutBack
            )
        };
        for test in all.iter().filter(cuts) {
            for &node in test.nodes.iter().filter(|&&node| node != FeedTree::ROOT) {
                let keeps = |leaf: &usize| {
                    let model = bench.models.get(*leaf).unwrap();
                    model.keeps_settings || bench.tree.node(*leaf).keeps_settings
                };
                let lost = bench.tree.leaves_below(node).iter().any(keeps);
                assert!(!lost, "{:?} at {node} would lose settings", test.kind);
            }
        }
    }
}

#[test]
fn alternatives_are_few_distinct_allowed_and_in_order() {
    let (mut plans, mut excluded) = (0, 0);
    for seed in 0..120 {
        let mut bench = Bench::of(seed);
        for _ in 0..10 {
            let (_, plan) = bench.plan();
            ranked_well(&bench, &plan);
            left_out_well(&bench, &plan);
            (plans, excluded) = (plans + 1, excluded + plan.excluded.len());
            let Some(next) = plan.next else { break };
            bench.perform(&next);
        }
    }
    eprintln!("{plans} plans, {excluded} left out");
    assert!(plans > 400 && excluded > 400, "{plans} {excluded}");
}

/// What must not be touched, and what would lose settings, is not asked to be unplugged even
/// once everything else has named it.
#[test]
fn what_is_named_but_not_to_be_touched_is_not_unplugged() {
    for family in ["airbag", "audio"] {
        let tree = tree(&[
            ("left", "battery", ""),
            ("right", "battery", ""),
            ("F1", "left", family),
            ("F2", "right", "lamp"),
        ]);
        let models = models(&tree);
        let evidence = [
            direct(0, 0, 440.0, 8.0),
            direct(1, at(&tree, "left"), 430.0, 8.0),
        ];
        let belief = believe(&tree, &models, &evidence, &BeliefOptions::default());
        let clamp = measure::Instrument::generic(measure::InstrumentKind::Clamp);
        let mut options = PlanOptions {
            asleep_now: Some(true),
            sure_from: 0.9,
            // As if somebody had read it.
            done_tests: vec![(TestKind::Clamp, vec![at(&tree, "F1")])],
            ..PlanOptions::default()
        };
        let unplugs = |options: &PlanOptions| {
            let plan = plan(
                &tree,
                &models,
                &belief,
                std::slice::from_ref(&clamp),
                options,
            );
            assert_eq!(plan.culprits, [at(&tree, "F1")], "{}", plan.because);
            let all = plan.next.iter().chain(&plan.alternatives);
            all.filter(|test| test.kind == TestKind::Unplug).count()
        };
        assert_eq!(unplugs(&options), 0, "{family}");
        options.allow_settings_loss = true;
        assert_eq!(
            unplugs(&options),
            usize::from(family == "audio"),
            "{family}"
        );
    }
}
