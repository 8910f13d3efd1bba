//! What an assessment says of small jobs, and the laws it keeps.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stderr
)] // helpers of tests

mod support;

use std::sync::Arc;

use job::{Assessment, Job, assess, contract, file};
use proptest::prelude::*;
use support::{any_job, van::job};
use trace::Exceeds;

fn codes(a: &Assessment) -> Vec<&str> {
    a.warnings
        .iter()
        .map(|warning| warning.code.as_str())
        .collect()
}

fn p_fault(a: &Assessment, id: &str) -> f64 {
    a.nodes.iter().find(|node| node.id.0 == id).unwrap().p_fault
}

#[test]
fn an_empty_job_says_what_to_do_first() {
    let a = assess(&job(&[]));
    assert_eq!(a.total, None);
    assert_eq!(a.exceeds, Exceeds::Unsure);
    assert_eq!(a.next.as_ref().unwrap().kind, "rest-voltage");
    let others: Vec<&str> = a.alternatives.iter().map(|p| p.kind.as_str()).collect();
    // Then the checks of the cause that are worth their minutes.
    assert_eq!(others, ["analyser", "clamp", "charging", "usage"]);
    assert!(a.forecast.is_none() && a.forecast_missing.is_some());
    assert!(!a.done);
    assert!((a.cause.iter().map(|odds| odds.p).sum::<f64>() - 1.0).abs() < 1e-9);
    // Nothing at all, not even a feed tree.
    assert!(assess(&Job::default()).next.is_some());
}

#[test]
fn checks_of_the_cause_compete_with_circuit_tests() {
    let kinds = |a: &Assessment| -> Vec<String> {
        a.next
            .iter()
            .chain(&a.alternatives)
            .map(|p| p.kind.clone())
            .collect()
    };
    let circuit = [
        "clamp",
        "millivolt",
        "pull",
        "pull-group",
        "unplug",
        "detach",
    ];
    // Far above the limit: the circuit leads, whatever else may be wrong.
    let above = kinds(&assess(&job(&["draw battery clamp 412mA"])));
    assert!(circuit.contains(&above[0].as_str()), "{above:?}");
    // Within the limit, with the complaint of a dead battery: the checks lead.
    let within = kinds(&assess(&job(&["draw battery clamp 20mA"])));
    assert!(!circuit.contains(&within[0].as_str()), "{within:?}");
    assert!(within.iter().any(|kind| kind == "charging"), "{within:?}");
}

#[test]
fn a_lossy_cable_warns_and_counts_against_charging() {
    let with = |drop_v: f64| {
        let mut job = job(&["draw battery clamp 20mA"]);
        job.entries.push(job::Entry {
            at: job.entries[0].at,
            instrument: None,
            kind: job::EntryKind::Drop {
                place: battery::drops::DropPlace::ChargingPositive,
                drop_v,
                current_a: None,
            },
        });
        assess(&job)
    };
    let poor = |a: &Assessment| {
        let odds = a.cause.iter().find(|o| o.hypothesis == "poor-charging");
        odds.map_or(f64::NAN, |o| o.p)
    };
    let (lossy, sound) = (with(0.9), with(0.05));
    assert!(codes(&lossy).contains(&"cable-drop") && !codes(&sound).contains(&"cable-drop"));
    assert!(poor(&lossy) > poor(&sound));
}

#[test]
fn short_trips_speak_for_usage() {
    let p = |usage: Option<job::Usage>| {
        let mut job = job(&["draw battery clamp 20mA"]);
        job.usage = usage;
        let a = assess(&job);
        let odds = a.cause.iter().find(|o| o.hypothesis == "usage");
        odds.map_or(f64::NAN, |o| o.p)
    };
    let driven = |trips_per_week, minutes_per_trip| {
        Some(job::Usage {
            trips_per_week,
            minutes_per_trip,
        })
    };
    assert!(p(driven(5.0, 6.0)) > p(None) && p(None) > p(driven(12.0, 50.0)));
}

#[test]
fn isolates_the_radio() {
    let a = assess(&job(&["draw battery clamp 412mA"]));
    assert!((a.total.unwrap().value - 0.412).abs() < 1e-9);
    assert_eq!(a.exceeds, Exceeds::Yes);
    assert!(a.next.is_some() && a.forecast.is_some());
    let before = p_fault(&a, "radio");
    let a = assess(&job(&[
        "draw battery clamp 412mA",
        "draw F1 clamp 395mA",
        "draw F2 clamp 2mA",
        "draw F3 clamp 8mA",
    ]));
    assert!(
        p_fault(&a, "radio") > before.max(0.9),
        "{}",
        p_fault(&a, "radio")
    );
    assert_eq!(a.culprits[0].node.0, "radio");
    assert!(a.done, "{:?}", a.next);
    assert!(a.summary.contains("radio"), "{}", a.summary);
}

#[test]
fn a_reading_taken_awake_changes_no_draw() {
    let asleep = assess(&job(&["draw battery clamp 412mA"]));
    let both = assess(&job(&["draw battery clamp 412mA", "awake F1 clamp 2A"]));
    assert_eq!(both.total, asleep.total);
    assert_eq!(both.nodes[1].draw, asleep.nodes[1].draw);
    assert!(codes(&both).contains(&"awake-reading"));
    let only_awake = assess(&job(&["awake battery clamp 4A"]));
    assert_eq!(only_awake.total, None);
    assert_eq!(only_awake.next.unwrap().kind, "wait-for-sleep");
}

#[test]
fn the_wait_for_sleep_ends_when_somebody_notes_that_it_is_over() {
    // One entry a minute: the wait takes half an hour.
    let kind = |notes: usize| {
        let entries: Vec<&str> = std::iter::once("awake battery clamp 4A")
            .chain(std::iter::repeat_n("note", notes))
            .collect();
        assess(&job(&entries)).next.unwrap().kind
    };
    assert_eq!(kind(10), "wait-for-sleep");
    assert_ne!(kind(31), "wait-for-sleep");
}

#[test]
fn a_repair_starts_afresh_where_it_was() {
    let a = assess(&job(&[
        "draw battery clamp 412mA",
        "draw F1 clamp 395mA",
        "draw F3 clamp 8mA",
        "repair radio",
    ]));
    assert_eq!(a.total, None, "the old total no longer counts");
    assert!(codes(&a).contains(&"before-repair"));
    let a = assess(&job(&[
        "draw battery clamp 412mA",
        "draw F1 clamp 395mA",
        "repair radio",
        "draw battery clamp 20mA",
    ]));
    assert!((a.total.unwrap().value - 0.020).abs() < 1e-9);
    assert_eq!(a.exceeds, Exceeds::No);
    assert!(p_fault(&a, "radio") < 0.1);
}

#[test]
fn a_pull_is_a_step_and_a_missing_fuse_is_not_forgotten() {
    let pulled = assess(&job(&["draw battery clamp 412mA", "pull F1 412mA 17mA"]));
    assert!(p_fault(&pulled, "radio") > 0.9);
    // Read again while the fuse is still out: completed by the step, not taken for the total.
    let out = assess(&job(&[
        "draw battery clamp 412mA",
        "pull F1 412mA 17mA",
        "draw battery clamp 17mA",
    ]));
    assert!(
        (out.total.unwrap().value - 0.412).abs() < 0.01,
        "{:?}",
        out.total
    );
    // At the pulled branch itself nothing can be read.
    let there = assess(&job(&[
        "draw battery clamp 412mA",
        "pull F1 412mA 17mA",
        "draw F1 clamp 0mA",
    ]));
    assert!(codes(&there).contains(&"read-while-pulled"));
    let back = assess(&job(&[
        "draw battery clamp 412mA",
        "pull F1 412mA 17mA",
        "refit F1",
        "draw F1 clamp 395mA",
    ]));
    assert!(!codes(&back).contains(&"read-while-pulled"));
    // A branch read after a pull: the fuse counts as put back ...
    let evidence = |entries: &[&str]| assess(&job(entries));
    let again = evidence(&[
        "draw battery clamp 412mA",
        "pull radio 412mA 17mA",
        "draw F1 clamp 410mA",
    ]);
    assert!(!codes(&again).contains(&"read-while-pulled"));
    assert!(p_fault(&again, "radio") > 0.9);
    // ... unless the branch reads less than the pull took away ...
    let without = evidence(&[
        "draw battery clamp 412mA",
        "pull radio 412mA 17mA",
        "draw F1 clamp 12mA",
    ]);
    assert!(p_fault(&without, "radio") > 0.9);
    assert!(!codes(&without).contains(&"readings-disagree"));
    // ... nor is nothing at one of several pulled together a sign that it is out.
    let member = evidence(&[
        "draw battery clamp 412mA",
        "pull F1,F2 412mA 17mA",
        "draw F2 clamp 0mA",
    ]);
    assert!(!codes(&member).contains(&"read-while-pulled"));
    assert!(p_fault(&member, "radio") > 0.9);
    // ... and a pull that changed nothing is no reason to doubt a later reading.
    let nothing = evidence(&[
        "draw battery clamp 412mA",
        "pull F2 412mA 412mA",
        "draw F2 clamp 0mA",
    ]);
    assert!(!codes(&nothing).contains(&"read-while-pulled"));
    // A pull alone gives a total too.
    assert!((assess(&job(&["pull F1 412mA 17mA"])).total.unwrap().value - 0.412).abs() < 1e-9);
}

#[test]
fn says_what_is_odd() {
    let odd = |entries: &[&str], code: &str| {
        let a = assess(&job(entries));
        assert!(codes(&a).contains(&code), "{entries:?}: {:?}", a.warnings);
    };
    odd(&["draw battery clamp 412A"], "implausible");
    odd(&["draw battery clamp -300mA"], "clamp-zero");
    odd(&["draw F1 millivolt 0.0mV"], "below-floor");
    odd(&["trace night.csv"], "trace-missing");
    odd(
        &["draw battery clamp 412mA", "pull F1 100mA 400mA"],
        "total-rose",
    );
    odd(
        &["draw battery clamp 30mA", "draw F1 clamp 900mA"],
        "readings-disagree",
    );
    let mut free = job(&["draw battery clamp 412mA"]);
    free.limit_a = None;
    assert!(codes(&assess(&free)).contains(&"limit-unknown"));
    assert!(codes(&assess(&job(&["draw battery clamp 412mA"]))).is_empty());
}

#[test]
fn more_draw_explains_more() {
    let mut little = job(&["draw battery clamp 20mA", "rest 12.7V"]);
    little.complaint.no_start_after_h = Some(14.0);
    let mut much = job(&["draw battery clamp 4A", "rest 12.7V"]);
    much.complaint.no_start_after_h = Some(14.0);
    let (little, much) = (assess(&little), assess(&much));
    assert!(little.explanation.unwrap().sentence.contains("too little"));
    assert!(much.explanation.unwrap().sentence.contains("explains"));
    let hours = |a: &Assessment| {
        a.forecast
            .as_ref()
            .and_then(|f| f.hours_to_no_start)
            .map_or(f64::INFINITY, |q| q.p50)
    };
    assert!(
        hours(&assess(&job(&["draw battery clamp 20mA"])))
            > hours(&assess(&job(&["draw battery clamp 4A"])))
    );
}

#[test]
fn a_recording_at_the_battery_is_a_total() {
    let mut job = job(&["trace night.csv"]);
    // An hour awake at 6 A, then asleep at 0.08 A with a little noise. Invented.
    let level = |second: u32| if second < 3600 { 6.0 } else { 0.080 } + f64::from(second * 7919 % 13) * 1e-4;
    job.recordings.insert(
        "night.csv".into(),
        Arc::new(support::recording((0..18_000).map(level).collect())),
    );
    let a = assess(&job);
    assert!(
        (a.total.unwrap().value - 0.0806).abs() < 0.002,
        "{:?}",
        a.total
    );
    assert_eq!(a.exceeds, Exceeds::Yes);
    assert_eq!(a.trace.unwrap().entry.number(), 1);
}

/// Every field name of the contract, `|` between those that may stand for each other.
const NAMES: &str = "total nodes id draw p05 p50 p95 mean_a p_fault unaccounted culprits node done next kind nodes minutes \
    wake_chance floor_a why caution alternatives forecast hours_to_no_start hours_to_half freezing_risk battery verdict \
    state_of_charge because cause hypothesis p warnings code message entries value u";
const READ_NAMES: &str = "source rows skipped_rows time_column current_column unit interval_s gaps duration_s noise_a \
    resolution_a penalty cost segments first last start_s end_s level state settled not_settled wake_ups count period_s \
    mean_duration_s extra_charge_ah average charge_ah long_run verdict limit_a exceeds because value u";
const PARK_NAMES: &str =
    "hours_to_no_start hours_to_half self_discharge_a freezing_risk recharge_h";

fn keys(value: &serde_json::Value, found: &mut std::collections::BTreeSet<String>) {
    match value {
        serde_json::Value::Object(map) => map.iter().for_each(|(key, value)| {
            found.insert(key.clone());
            keys(value, found);
        }),
        serde_json::Value::Array(items) => items.iter().for_each(|item| keys(item, found)),
        _ => {}
    }
}

fn has_all(document: &serde_json::Value, names: &str) {
    let mut found = std::collections::BTreeSet::new();
    keys(document, &mut found);
    let missing: Vec<&str> = names
        .split_whitespace()
        .filter(|name| !found.contains(*name))
        .collect();
    assert!(missing.is_empty(), "missing {missing:?}");
}

#[test]
fn every_name_of_the_contract_is_there() {
    let a = assess(&job(&[
        "draw battery clamp 412mA",
        "draw F1 clamp 395mA",
        "draw F2 clamp 2mA",
        "draw F3 clamp 900mA",
        "awake F1 clamp 1A",
    ]));
    has_all(&contract::assessment(&a), NAMES);
    let a = assess(&job(&["draw battery clamp 412mA"]));
    let next = contract::next_only(&a);
    assert!(
        ["total", "culprits", "done", "next"]
            .iter()
            .all(|name| next.get(name).is_some())
    );
    let level = |second: u32| if second < 3600 { 6.0 } else { 0.080 } + f64::from(second * 7919 % 13) * 1e-4;
    let recording = support::recording((0..18_000).map(level).collect());
    has_all(&contract::analysis(&recording.analysis()), READ_NAMES);
    let levels = contract::levels(&trace::segment_only(
        &recording.trace,
        &trace::AnalyseOptions::default(),
    ));
    assert!(
        ["segments", "penalty", "cost"]
            .iter()
            .all(|name| levels.get(name).is_some())
    );
    has_all(&contract::park(a.forecast.as_ref().unwrap()), PARK_NAMES);
    has_all(&contract::error("k", "m", "h"), "error kind message hint");
}

#[test]
fn what_json_cannot_hold_is_null() {
    let mut a = assess(&job(&["draw battery clamp 412mA"]));
    a.limit_a = f64::NAN;
    a.total = Some(measure::Uncertain {
        value: f64::INFINITY,
        u: 1.0,
    });
    let text = contract::assessment(&a).to_string();
    assert!(
        text.starts_with(r#"{"total":{"value":null,"u":1.0},"#),
        "{}",
        &text[..80]
    );
    assert!(text.contains(r#""limit_a":null"#));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn any_job_is_assessed_and_always_the_same(job in any_job()) {
        let document = contract::assessment(&assess(&job)).to_string();
        let back = file::parse(&file::write(&job)).unwrap();
        prop_assert_eq!(contract::assessment(&assess(&back)).to_string(), document);
    }

    #[test]
    fn striking_an_entry_is_as_if_it_had_never_been(struck in 1_usize..5) {
        let entries = ["draw battery clamp 412mA", "draw F1 clamp 395mA", "rest 12.62V", "draw F3 clamp 8mA"];
        let strike = format!("strike {struck}");
        let with: Vec<&str> = entries.iter().copied().chain([strike.as_str()]).collect();
        let a = assess(&job(&with));
        // The times of the others stay as they are, so a note takes the place.
        let mut other = job(&entries);
        other.entries[struck - 1].kind = job::EntryKind::Note { text: String::new() };
        let b = assess(&other);
        prop_assert_eq!(a.total, b.total);
        prop_assert_eq!(&a.nodes.iter().map(|n| n.draw).collect::<Vec<_>>(), &b.nodes.iter().map(|n| n.draw).collect::<Vec<_>>());
        prop_assert_eq!(&a.next, &b.next);
        prop_assert_eq!(&a.battery, &b.battery);
    }
}

#[test]
fn a_repair_leaves_the_cause_as_it_was_found() {
    let found = ["draw battery clamp 440mA", "draw F2 millivolt 3.2mV"];
    let repaired = [found[0], found[1], "repair lamp", "draw battery clamp 20mA"];
    let (found, repaired) = (assess(&job(&found)), assess(&job(&repaired)));
    assert_eq!(found.cause[0].hypothesis, "steady-draw");
    assert_eq!(repaired.cause, found.cause);
    assert!(repaired.total.unwrap().value < 0.05);
    assert_eq!(repaired.exceeds, Exceeds::No);
}
