//! Fuses that stay out while the search goes on.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // helpers of tests

mod support;

use job::{Job, assess};
use support::van::job;

/// The van with what is pulled staying out.
fn with_fuses_out(entries: &[&str]) -> Job {
    Job {
        pulled_stay_out: true,
        ..job(entries)
    }
}

#[test]
fn what_is_pulled_stays_out_until_an_entry_puts_it_back() {
    // Nobody would have looked for it at the lock: the draw may have gone by itself just then.
    let pulled = ["draw battery clamp 412mA", "pull F3 412mA 30mA"];
    let next = assess(&with_fuses_out(&pulled)).next.unwrap();
    assert_eq!((next.kind.as_str(), next.nodes.len()), ("put-back", 1));
    assert_eq!(next.nodes[0].0, "F3");
    // Back in, and its current with it.
    let back = [pulled[0], pulled[1], "refit F3 30mA 411mA"];
    let assessed = assess(&with_fuses_out(&back));
    assert!(assessed.done, "{:?}", assessed.next);
    assert_eq!(assessed.culprits[0].node.0, "lock");
    // A total read while it is out is the vehicle's less what it took.
    let read = [pulled[0], pulled[1], "draw battery clamp 30mA"];
    let total = assess(&with_fuses_out(&read)).total.unwrap().value;
    assert!((total - 0.412).abs() < 0.01, "{total}");
}

#[test]
fn what_was_expected_at_a_fuse_is_not_asked_for_twice() {
    let pulled = ["draw battery clamp 412mA", "pull F1 412mA 30mA"];
    let assessed = assess(&with_fuses_out(&pulled));
    assert!(assessed.done, "{:?}", assessed.next);
    assert_eq!(assessed.culprits[0].node.0, "radio");
}

#[test]
fn nobody_forgets_a_fuse_that_is_out() {
    let total = ["draw battery clamp 412mA"];
    let pull = assess(&with_fuses_out(&total));
    let all = pull.next.iter().chain(&pull.alternatives);
    let pulls: Vec<_> = all.filter(|p| p.kind == "pull").collect();
    assert!(!pulls.is_empty());
    for pull in pulls {
        assert!(pull.how.contains("stays out"), "{}", pull.how);
    }
    assert!(
        assess(&job(&total))
            .alternatives
            .iter()
            .all(|p| !p.how.contains("stays out")),
        "only where the job says so"
    );
    // F2 was pulled and never put back; the search is over without it.
    let forgot = [
        total[0],
        "pull F2 412mA 411mA",
        "pull F1 411mA 29mA",
        "refit F1 29mA 411mA",
    ];
    let over = assess(&with_fuses_out(&forgot));
    assert!(over.done, "{:?}", over.next);
    let still = over
        .warnings
        .iter()
        .find(|w| w.code == "fuses-out")
        .unwrap();
    assert!(still.message.contains("F2") && !still.message.contains("F1"));
    let back = [&forgot[..], &["refit F2"]].concat();
    let codes = assess(&with_fuses_out(&back)).warnings;
    assert!(codes.iter().all(|w| w.code != "fuses-out"));
}
