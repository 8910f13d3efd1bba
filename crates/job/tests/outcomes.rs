//! Whether what a proposal says of its outcomes comes true in a job: each outcome is entered as
//! the reading it stands for, and the job is assessed again.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // helpers of tests

mod support;

use std::collections::BTreeSet;

use job::{Assessment, Job, Outcome, Part, Proposal, assess};
use support::{
    search::{Bench, p_fault},
    van::job,
};
use trace::Exceeds;

/// What an outcome of a reading in place claims of the chance of a fault, against what the job
/// says once it is entered: the errors that meters and fuses share are left out of the claim
/// (largest in these runs: 0.094). A pull is only held to its direction: in a job its two totals
/// count as a quarter of an hour apart, for nobody enters when each was read, and the planner
/// expects half a minute.
const CLAIM: f64 = 0.1;

fn sums_to_one(test: &Proposal) {
    let p: f64 = test.outcomes.iter().map(|outcome| outcome.p).sum();
    assert!((p - 1.0).abs() < 1e-9, "{}: {p}", test.headline);
    assert!(test.outcomes.iter().all(|o| (0.0..=1.0).contains(&o.p)));
    let seen: Vec<String> = test.outcomes.iter().map(|o| o.seen.to_string()).collect();
    let mut once = seen.clone();
    once.dedup();
    assert_eq!(
        seen, once,
        "{}: what is seen tells them apart",
        test.headline
    );
}

/// Few, each once, none of them the next one, and none of what is left out.
fn ranked_well(now: &Assessment) {
    assert!(now.alternatives.len() <= 8);
    let key = |test: &Proposal| {
        let mut nodes = test.nodes.clone();
        nodes.sort();
        (test.kind.clone(), nodes)
    };
    let all: Vec<&Proposal> = now.next.iter().chain(&now.alternatives).collect();
    let once: BTreeSet<_> = all.iter().map(|test| key(test)).collect();
    let headlines: Vec<&str> = all.iter().map(|test| test.headline.as_str()).collect();
    assert_eq!(once.len(), all.len(), "{headlines:?}");
    let mut left_out = BTreeSet::new();
    for out in &now.excluded {
        let node = out.node.clone().unwrap();
        assert!(!out.reason.is_empty());
        let proposed = all
            .iter()
            .any(|t| t.kind == out.kind && t.nodes.contains(&node));
        assert!(!proposed, "{} at {node}: {}", out.kind, out.reason);
        assert!(left_out.insert((out.kind.clone(), node)), "twice");
    }
}

/// Checks each outcome of a test; how many there were.
fn comes_true(bench: &Bench, now: &Assessment, test: &Proposal) -> usize {
    // What shows no current has none to tell of.
    if test.outcomes.is_empty() {
        return 0;
    }
    sums_to_one(test);
    let mut checked = 0;
    for outcome in &test.outcomes {
        let (Some(seen_a), Some(claimed)) = (outcome.seen_a, outcome.p_fault) else {
            continue;
        };
        let after = assess(&bench.with(test, seen_a));
        let [was, is] = [now, &after].map(|a| p_fault(a, &test.nodes));
        let told = format!(
            "seed {}, {}: {} ({}): {was:.3} became {is:.3}, claimed {claimed:.3}",
            bench.seed, test.headline, outcome.seen, outcome.means
        );
        let rises = match outcome.means.id() {
            Some("diagnosis-here-or-below" | "diagnosis-likely-here") => true,
            Some("diagnosis-well-here" | "diagnosis-elsewhere" | "diagnosis-still-here") => false,
            other => panic!("{other:?}: {told}"),
        };
        // A group across another is used on one of its parts only, as a warning says.
        if after.warnings.iter().any(|w| w.code == "groups-cross") {
            continue;
        }
        assert!(if rises { is >= was } else { is <= was }, "{told}");
        let in_place = matches!(test.kind.as_str(), "clamp" | "in-line" | "millivolt");
        // A meter that shows nothing at all tells more than one that shows little.
        let less = !rises && is < claimed;
        assert!(!in_place || less || (is - claimed).abs() <= CLAIM, "{told}");
        checked += 1;
    }
    checked
}

#[test]
fn each_outcome_means_what_it_says() {
    let (mut checked, mut kinds) = (0, BTreeSet::new());
    for seed in 0..24 {
        let mut bench = Bench::of(seed);
        for _ in 0..8 {
            let now = assess(&bench.job);
            ranked_well(&now);
            for test in now.next.iter().chain(&now.alternatives) {
                let n = comes_true(&bench, &now, test);
                if n > 0 {
                    kinds.insert(test.kind.clone());
                }
                checked += n;
            }
            // What shows no current is passed over.
            let mut tests = now.next.iter().chain(&now.alternatives);
            if now.done || !tests.any(|test| bench.perform(test)) {
                break;
            }
        }
    }
    eprintln!("{checked} of {kinds:?}");
    assert!(checked > 1000, "{checked}");
}

#[test]
fn the_first_total_means_what_it_says() {
    let now = assess(&job(&[]));
    let mut all = now.next.iter().chain(&now.alternatives);
    let test = all.find(|test| test.kind == "clamp").unwrap();
    sums_to_one(test);
    let [within, more] = &test.outcomes[..] else {
        panic!("{:?}", test.outcomes)
    };
    let with = |seen_a: f64| {
        let entry = format!("draw battery clamp {:.0}mA", seen_a * 1e3);
        assess(&job(&[entry.as_str()]))
    };
    let quiet = with(within.seen_a.unwrap());
    assert!(quiet.done && quiet.exceeds == Exceeds::No && quiet.culprits.is_empty());
    let search = with(more.seen_a.unwrap());
    assert!(!search.done && search.exceeds == Exceeds::Yes && search.next.is_some());
}

fn named(a: &Assessment) -> Vec<(&str, Option<Part>)> {
    let culprits = a.culprits.iter();
    culprits.map(|c| (c.node.0.as_str(), c.part)).collect()
}

fn out_stays(entries: &[&str]) -> Job {
    let mut job = job(entries);
    job.pulled_stay_out = true;
    // Fuses alone.
    job.nodes.truncate(3);
    job
}

#[test]
fn what_comes_back_is_named_and_what_does_not_is_not() {
    // Unlikely there by all other readings, so that it is asked for once more.
    let entries = ["draw battery clamp 412mA", "pull F3 412mA 30mA"];
    let out_stays = |entries: &[&str]| Job {
        pulled_stay_out: true,
        ..job(entries)
    };
    let now = assess(&out_stays(&entries));
    let test = now.next.as_ref().unwrap();
    assert_eq!(test.kind, "put-back");
    ranked_well(&now);
    sums_to_one(test);
    let with = |seen_a: f64| {
        let entry = format!("refit F3 30mA {:.0}mA", 30.0 + seen_a * 1e3);
        assess(&out_stays(&[entries[0], entries[1], &entry]))
    };
    let back = with(test.outcomes[0].seen_a.unwrap());
    assert!(
        back.done && named(&back) == [("lock", None)],
        "{}",
        back.done_because
    );
    let gone = with(test.outcomes[1].seen_a.unwrap());
    assert!(
        !gone.done && gone.culprits.is_empty(),
        "{}",
        gone.done_because
    );
}

#[test]
fn unplugging_tells_the_load_from_its_wiring_as_it_says() {
    let entries = [
        "draw battery clamp 412mA",
        "pull F2 412mA 30mA",
        "refit F2 30mA 411mA",
    ];
    let now = assess(&out_stays(&entries));
    assert!(now.done, "{:?}", now.next);
    let test = now
        .alternatives
        .iter()
        .find(|p| p.kind == "unplug")
        .unwrap();
    sums_to_one(test);
    let with = |outcome: &Outcome| {
        let after = 411.0 - outcome.seen_a.unwrap() * 1e3;
        let entry = format!("unplug F2 411mA {after:.0}mA");
        assess(&out_stays(&[&entries[..], &[&entry]].concat()))
    };
    let [load, wiring] = &test.outcomes[..] else {
        panic!("{:?}", test.outcomes)
    };
    assert_eq!(named(&with(load)), [("F2", Some(Part::Load))]);
    // Wiring is rare, and a slip nearly as likely: the sentence says which it will be.
    let told = with(wiring);
    let part = match wiring.means.id() {
        Some("diagnosis-unplug-wiring") => Some(Part::Wiring),
        Some("diagnosis-unplug-wiring-likely") => None,
        other => panic!("{other:?}"),
    };
    assert_eq!(named(&told), [("F2", part)], "{}", wiring.means);
}

#[test]
fn the_total_after_a_repair_means_what_it_says() {
    let entries = [
        "draw battery clamp 412mA",
        "pull F2 412mA 30mA",
        "refit F2 30mA 411mA",
    ];
    let now = assess(&out_stays(&entries));
    let test = now
        .alternatives
        .iter()
        .find(|p| p.kind == "remeasure")
        .unwrap();
    sums_to_one(test);
    assert!(test.outcomes[0].p > 0.9, "{:?}", test.outcomes);
    let with = |total: &str| {
        let entry = format!("draw battery clamp {total}");
        assess(&out_stays(&[&entries[..], &["repair F2", &entry]].concat()))
    };
    let within = with("31mA");
    assert!(within.done && within.exceeds == Exceeds::No);
    let more = with("160mA");
    assert!(!more.done && more.next.is_some(), "the search goes on");
}

#[test]
fn a_vehicle_within_its_limit_is_not_sent_to_a_repair() {
    let now = assess(&job(&["draw battery clamp 20mA"]));
    assert!(now.done);
    let repair = |p: &&Proposal| p.why.contains("after the repair");
    assert_eq!(now.alternatives.iter().find(repair), None);
}

#[test]
fn a_cable_that_is_named_is_to_be_refined_and_has_no_plug() {
    let coarse = |entries: &[&str]| {
        let mut job = job(entries);
        job.nodes.truncate(2);
        for node in &mut job.nodes {
            node.kind = harness::NodeKind::Cable;
            (node.rating_a, node.fuse, node.in_place) = (None, None, false);
        }
        job
    };
    let entries = [
        "draw battery clamp 412mA",
        "draw F1 clamp 402mA",
        "draw F2 clamp 8mA",
    ];
    let found = assess(&coarse(&entries));
    assert!(found.done && named(&found) == [("F1", None)]);
    assert!(found.alternatives.iter().all(|test| test.kind != "unplug"));
    assert!(found.warnings.iter().any(|w| w.code == "list-its-fuses"));
    // With its fuses the search goes on, and the readings stay.
    let mut finer = coarse(&entries);
    for id in ["A", "B"] {
        finer
            .nodes
            .push(harness::NodeSpec::new(id, "F1", harness::NodeKind::Fuse));
    }
    let on = assess(&finer);
    assert!(!on.done && on.next.is_some() && on.culprits.is_empty());
    let p: f64 = p_fault(&on, &[harness::NodeId("F1".into())]);
    assert!(p > 0.95, "{p}");
}
