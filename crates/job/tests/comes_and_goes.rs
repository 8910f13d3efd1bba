//! A draw that goes by itself while it is searched.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // helpers of tests

mod support;

use job::{Assessment, Job, assess};
use support::van::job;

fn apart(assessed: &Assessment) -> Option<Vec<usize>> {
    let warning = assessed
        .warnings
        .iter()
        .find(|w| w.code == "comes-and-goes");
    warning.map(|w| w.entries.iter().map(|id| id.number()).collect())
}

fn p_fault(assessed: &Assessment, id: &str) -> f64 {
    let node = assessed.nodes.iter().find(|node| node.id.0 == id);
    node.unwrap().p_fault
}

#[test]
fn what_is_read_while_it_is_away_is_set_apart() {
    let entries = [
        "draw battery clamp 412mA",
        "draw battery clamp 24mA",
        // Nothing falls, for nothing is there to fall.
        "pull F1 24mA 22mA",
        "draw F1 millivolt 0.0mV",
    ];
    let away = assess(&job(&entries));
    assert_eq!(apart(&away), Some(vec![2, 3, 4]));
    let total = away.total.unwrap().value;
    assert!((total - 0.412).abs() < 0.01, "{total}");
    let next = away.next.as_ref().unwrap();
    assert_eq!(next.kind, "remeasure");
    assert!(next.headline.contains("is back"), "{}", next.headline);
    let fresh = assess(&job(&entries[..1]));
    assert!((p_fault(&away, "F1") - p_fault(&fresh, "F1")).abs() < 1e-9);

    let p =
        |of: &Assessment, cause: &str| of.cause.iter().find(|o| o.hypothesis == cause).unwrap().p;
    assert!(p(&away, "intermittent-draw") > 0.5 && p(&fresh, "intermittent-draw") < 0.2);

    // Back again: the search goes on, with a pull that finds it.
    let back = [&entries[..], &["draw battery clamp 409mA"]].concat();
    let on = assess(&job(&back));
    assert_eq!(apart(&on), Some(vec![2, 3, 4]));
    assert!(!on.next.unwrap().headline.contains("is back"));
    let found = [&back[..], &["pull F1 410mA 27mA"]].concat();
    let found = assess(&job(&found));
    assert_eq!(found.culprits[0].node.0, "radio");
    assert!(found.warnings.iter().all(|w| w.code != "readings-disagree"));
}

#[test]
fn a_draw_that_went_at_a_pull_blames_nobody() {
    let entries = [
        "draw battery clamp 412mA",
        "pull F2 412mA 411mA",
        "pull F1 411mA 26mA",
        "refit F1 26mA 25mA",
    ];
    let stay = |entries: &[&str]| {
        assess(&Job {
            pulled_stay_out: true,
            ..job(entries)
        })
    };
    let gone = stay(&entries);
    assert_eq!(
        apart(&gone),
        Some(vec![3, 4]),
        "F2 was pulled while it was there"
    );
    assert!(gone.culprits.is_empty() && !gone.done);
    assert!(p_fault(&gone, "F1") < 0.9 && p_fault(&gone, "F2") < 0.05);
    // Its return brings the draw back: nothing has gone.
    let came = stay(&[&entries[..3], &["refit F1 26mA 411mA"]].concat());
    assert_eq!(apart(&came), None);
    assert_eq!(came.culprits[0].node.0, "radio");
}

#[test]
fn a_branch_read_before_anybody_knew_is_set_apart_too() {
    let entries = [
        "draw battery clamp 412mA",
        "draw F2 millivolt 0.0mV",
        "draw F1 millivolt 0.0mV",
        "draw battery clamp 24mA",
    ];
    assert_eq!(apart(&assess(&job(&entries))), Some(vec![2, 3, 4]));
    // One that draws too much was read while it was there, and so was the one before it.
    let there = [
        entries[0],
        entries[1],
        "draw F1 millivolt 1.9mV",
        entries[3],
    ];
    let found = assess(&job(&there));
    assert_eq!(apart(&found), Some(vec![4]));
    assert_eq!(found.culprits[0].node.0, "radio");
}

#[test]
fn three_totals_outweigh_one() {
    let entries = [
        "draw battery clamp 412mA",
        "draw battery clamp 24mA",
        "draw battery clamp 25mA",
        "draw battery clamp 24mA",
    ];
    let two = assess(&job(&entries[..3]));
    assert_eq!(apart(&two), Some(vec![2, 3]));
    let three = assess(&job(&entries));
    assert_eq!(apart(&three), Some(vec![1]));
    let total = three.total.unwrap().value;
    assert!((total - 0.024).abs() < 0.005, "{total}");
    assert!(three.done, "within its limit");
    // What was read of a branch meanwhile agrees with them, and counts.
    let branch = [
        entries[0],
        entries[1],
        "draw F1 millivolt 0.0mV",
        entries[2],
        entries[3],
    ];
    assert_eq!(apart(&assess(&job(&branch))), Some(vec![1]));
}

#[test]
fn a_repair_is_no_going_away() {
    let repaired = [
        "draw battery clamp 412mA",
        "pull F1 412mA 30mA",
        "repair radio",
        "draw battery clamp 28mA",
    ];
    assert_eq!(apart(&assess(&job(&repaired))), None);
    // Nor where another fuse was pulled before it, which still counts.
    let other = [
        "draw battery clamp 412mA",
        "pull F2 412mA 411mA",
        "refit F2",
        "pull F1 412mA 30mA",
        "refit F1",
        "repair radio",
    ];
    let proven = assess(&job(&[&other[..], &["draw battery clamp 28mA"]].concat()));
    assert_eq!(apart(&proven), None);
    let total = proven.total.unwrap().value;
    assert!((total - 0.028).abs() < 0.005, "{total}");
    assert!(proven.done, "{:?}", proven.next);
    assert!(assess(&job(&other)).total.is_none(), "not read since");
    // Nor is a fuse that is still out, or a total that is only a little less.
    let out = assess(&job(&[repaired[0], repaired[1], "draw battery clamp 30mA"]));
    assert_eq!(apart(&out), None);
    let less = assess(&job(&[repaired[0], "draw battery clamp 360mA"]));
    assert_eq!(apart(&less), None);
}
