//! A load unplugged while its fuse stays in: is it the load, or the wiring of its fuse?
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // helpers of tests

mod support;

use harness::NodeKind;
use job::{Assessment, Job, Part, assess, file};
use support::van::job;

/// The van of whose circuits only the fuses are known.
fn fuses_alone(entries: &[&str]) -> Job {
    let mut job = job(entries);
    job.nodes.retain(|node| node.kind == NodeKind::Fuse);
    job.nodes[0].label = Some("Radio".into());
    job
}

const FOUND: [&str; 2] = ["draw battery clamp 412mA", "pull F1 412mA 30mA"];

fn named(assessed: &Assessment) -> Vec<(&str, Option<Part>)> {
    let culprits = assessed.culprits.iter();
    culprits.map(|c| (c.node.0.as_str(), c.part)).collect()
}

#[test]
fn a_fuse_alone_is_at_fault_by_its_load_or_by_its_wiring() {
    let found = assess(&fuses_alone(&FOUND));
    assert_eq!(named(&found), [("F1", None)]);
    let ask = found.alternatives.iter().find(|p| p.kind == "unplug");
    let ask = ask.expect("asked once the circuit is found");
    assert_eq!(ask.outcomes.len(), 2);
    let p: f64 = ask.outcomes.iter().map(|outcome| outcome.p).sum();
    assert!((p - 1.0).abs() < 1e-9 && ask.outcomes[0].p > 0.5, "{p}");

    let load = assess(&fuses_alone(&[FOUND[0], FOUND[1], "unplug F1 411mA 31mA"]));
    assert_eq!(named(&load), [("F1", Some(Part::Load))]);
    let wiring = assess(&fuses_alone(&[FOUND[0], FOUND[1], "unplug F1 411mA 409mA"]));
    assert_eq!(named(&wiring), [("F1", Some(Part::Wiring))]);
    assert!(
        wiring.summary.to_string().contains("wiring of Radio"),
        "{}",
        wiring.summary
    );
    let back = ["unplug F1 411mA 409mA", "refit F1 409mA 411mA"];
    let plugged = assess(&fuses_alone(&[&FOUND[..], &back].concat()));
    assert_eq!(named(&plugged), [("F1", Some(Part::Wiring))]);
    for told in [&load, &wiring] {
        assert!(told.done && told.warnings.iter().all(|w| w.code != "disagreement"));
        assert!(told.alternatives.iter().all(|p| p.kind != "unplug"), "once");
        // The parts are no nodes of the job's.
        let ids: Vec<&str> = told.nodes.iter().map(|node| node.id.0.as_str()).collect();
        assert_eq!(ids, ["battery", "F1", "F2", "F3"]);
    }
}

#[test]
fn both_parts_may_take_too_much() {
    // Half of it goes with the load, half stays: both parts take too much.
    let vague = assess(&fuses_alone(&[FOUND[0], FOUND[1], "unplug F1 411mA 220mA"]));
    assert_eq!(named(&vague), [("F1", None)]);
    assert!(vague.done, "{:?}", vague.next);
}

#[test]
fn unplugging_first_finds_the_circuit() {
    let load = assess(&fuses_alone(&[FOUND[0], "unplug F1 412mA 30mA"]));
    assert_eq!(named(&load), [("F1", Some(Part::Load))]);
    // In vain: its wiring may still draw, but less likely than before it was asked.
    let p = |entries: &[&str]| {
        let assessed = assess(&fuses_alone(entries));
        let node = assessed.nodes.iter().find(|node| node.id.0 == "F1");
        node.unwrap().p_fault
    };
    let (before, after) = (p(&FOUND[..1]), p(&[FOUND[0], "unplug F1 412mA 411mA"]));
    assert!(
        0.01 * before < after && after < 0.7 * before,
        "{before} {after}"
    );
}

#[test]
fn a_fuse_with_listed_loads_has_wiring_too() {
    // Wiring is rare: slips at the pull and at the plug are nearly as likely, and both are looked at once more.
    let once = [FOUND[0], FOUND[1], "unplug radio 411mA 409mA"];
    let unsure = assess(&job(&once));
    assert!(!unsure.done && unsure.culprits.is_empty());
    let next = unsure.next.unwrap();
    assert_eq!(
        (next.kind.as_str(), next.nodes[0].0.as_str()),
        ("millivolt", "F1")
    );
    let wiring = assess(&job(&[
        &once[..],
        &["draw F1 millivolt 1.9mV", "unplug radio 410mA 409mA"],
    ]
    .concat()));
    assert_eq!(named(&wiring), [("F1", Some(Part::Wiring))]);
    assert!(wiring.done, "{:?}", wiring.next);
    assert_eq!(wiring.nodes.len(), 7, "no node that the job does not list");
    let load = assess(&job(&[FOUND[0], FOUND[1], "unplug radio 411mA 31mA"]));
    assert_eq!(named(&load), [("radio", Some(Part::Load))]);
    // By its fuse it is the same load.
    let same = assess(&job(&[FOUND[0], FOUND[1], "unplug F1 411mA 31mA"]));
    assert_eq!(named(&same), named(&load));
    assert!(same.alternatives.iter().all(|p| p.kind != "unplug"), "once");
    // Repaired, nothing of it is suspected any more.
    let after = ["repair F1", "draw battery clamp 30mA"];
    let repaired = [&FOUND[..], &["unplug radio 411mA 409mA"], &after].concat();
    assert!(assess(&job(&repaired)).culprits.is_empty());
}

#[test]
fn an_unplugged_load_counts_as_plugged_in_again() {
    let entries = [FOUND[0], FOUND[1], "refit F1", "unplug radio 411mA 31mA"];
    let with = |more: &str, stay: bool| {
        let job = job(&[&entries[..], &[more]].concat());
        assess(&Job {
            pulled_stay_out: stay,
            ..job
        })
    };
    for stay in [false, true] {
        // A total as low as after the unplugging shows that it is still off.
        let off = with("draw battery clamp 31mA", stay).total.unwrap().value;
        assert!((off - 0.411).abs() < 0.01, "{off}");
        let on = with("draw battery clamp 411mA", stay).total.unwrap().value;
        assert!((on - 0.411).abs() < 0.01, "{on}");
        let over = with("draw battery clamp 411mA", stay);
        assert!(over.warnings.iter().all(|w| w.code != "fuses-out"));
    }
}

#[test]
fn the_file_keeps_it_and_refuses_what_cannot_be_unplugged() {
    let job = job(&[FOUND[0], "unplug radio 412mA 30mA"]);
    let text = file::write(&job);
    assert!(text.contains("kind = \"unplug\""), "{text}");
    assert_eq!(file::parse(&text).unwrap(), job);
    let battery = text.replace("node = \"radio\"\nbefore", "node = \"battery\"\nbefore");
    let error = file::parse(&battery).unwrap_err().to_string();
    assert!(
        error.contains("battery is nothing that can be unplugged"),
        "{error}"
    );
    let half = text.replace("before = \"412mA\"\n", "");
    let error = file::parse(&half).unwrap_err().to_string();
    assert!(error.contains("'before'"), "{error}");
    let nowhere = text.replace("node = \"radio\"\nbefore", "before");
    let hint = file::parse(&nowhere).unwrap_err().hint;
    assert!(hint.contains("name a load"), "{hint}");
}
