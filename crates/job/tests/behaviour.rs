//! What a recording shows beside its level raises the circuits that behave so.
#![allow(clippy::unwrap_used, reason = "helpers of tests")]

mod support;

use std::{collections::BTreeMap, sync::Arc};

use job::{Assessment, Recording, assess, file};
use support::recording;

const JOB: &str = r#"format = 1
[limit]
draw = "50mA"
[[node]]
id = "F1"
from = "battery"
kind = "fuse"
rating = "10A"
fuse = "blade"
in_place = true
family = "tracker"
[[node]]
id = "F2"
from = "battery"
kind = "fuse"
rating = "10A"
fuse = "blade"
in_place = true
family = "boot-lamp"
[[node]]
id = "F3"
from = "battery"
kind = "fuse"
rating = "10A"
fuse = "blade"
in_place = true
family = "body-module"
"#;

const TRACE: &str = "[[entry]]\nat = \"2026-03-02T20:00:00Z\"\nkind = \"trace\"\nfile = \"night.csv\"\nnode = \"battery\"\n";
const REPAIR: &str = "[[entry]]\nat = \"2026-03-03T08:00:00Z\"\nkind = \"repair\"\ntext = \"battery clamp renewed\"\n";
const TOTAL: &str = "[[entry]]\nat = \"2026-03-03T10:00:00Z\"\nkind = \"draw\"\nnode = \"battery\"\nhow = \"clamp\"\nvalue = \"90mA\"\nasleep = true\n";

/// 1 Hz, stretches of (seconds, ampere) with a little scatter.
fn night(parts: &[(usize, f64)]) -> Recording {
    let levels = parts
        .iter()
        .flat_map(|&(count, level)| std::iter::repeat_n(level, count));
    let scattered =
        |(i, level): (usize, f64)| level + 0.002 * ((i as f64 * 0.618_033_988_75).fract() - 0.5);
    recording(levels.enumerate().map(scattered).collect())
}

/// Asleep at 90 mA, awake for half a minute whenever one of these distances has gone by.
fn woken(distances_s: &[usize]) -> Recording {
    let mut parts = vec![(600, 3.0)];
    for distance_s in distances_s {
        parts.extend([(distance_s - 30, 0.09), (30, 0.6)]);
    }
    parts.push((1500, 0.09));
    night(&parts)
}

fn assessed(entries: &str, recording: Recording) -> Assessment {
    let mut job = file::parse(&format!("{JOB}{entries}")).unwrap();
    job.recordings = BTreeMap::from([("night.csv".into(), Arc::new(recording))]);
    assess(&job)
}

fn p(a: &Assessment, id: &str) -> f64 {
    a.nodes.iter().find(|node| node.id.0 == id).unwrap().p_fault
}

fn whys(a: &Assessment) -> Vec<&str> {
    let proposals = a.next.iter().chain(&a.alternatives);
    proposals.map(|p| p.why.as_str()).collect()
}

#[test]
fn wake_ups_by_the_clock_raise_a_tracker_and_say_so() {
    let clock = assessed(TRACE, woken(&[1800; 10]));
    let quiet = assessed(TRACE, night(&[(600, 3.0), (19_500, 0.09)]));
    assert_eq!(clock.trace.as_ref().unwrap().analysis.wake_ups.count, 10);
    assert!(
        p(&clock, "F1") > p(&quiet, "F1") + 0.03,
        "{} {}",
        p(&clock, "F1"),
        p(&quiet, "F1")
    );
    let said = "the recording shows a wake-up every 30";
    let of = |a: &Assessment| whys(a).iter().filter(|why| why.contains(said)).count();
    assert!(of(&clock) > 0, "{:?}", whys(&clock));
    assert_eq!(of(&quiet), 0);
    // A test at the lamp has no such reason.
    let proposals = clock.next.iter().chain(&clock.alternatives);
    for proposal in proposals.filter(|p| p.nodes.iter().all(|node| node.0 == "F2")) {
        assert!(!proposal.why.contains("wake-up"), "{}", proposal.why);
    }
}

#[test]
fn wake_ups_by_chance_say_nothing() {
    let chance = assessed(
        TRACE,
        woken(&[400, 3900, 700, 5200, 300, 2400, 350, 4600, 500, 1700]),
    );
    assert!(chance.trace.as_ref().unwrap().analysis.wake_ups.count >= 8);
    assert!(!whys(&chance).iter().any(|why| why.contains("recording")));
}

#[test]
fn a_staircase_that_stops_above_the_limit_raises_a_module() {
    let stairs = [(600, 4.0), (600, 1.6), (600, 0.7)];
    let stalled = |level: f64| {
        assessed(
            TRACE,
            night(&[stairs.as_slice(), &[(9000, level)]].concat()),
        )
    };
    // One level from the start: the size is all there is.
    let flat = assessed(TRACE, night(&[(10_800, 0.3)]));
    let high = stalled(0.3);
    assert!(
        p(&high, "F3") > p(&flat, "F3"),
        "{} {}",
        p(&high, "F3"),
        p(&flat, "F3")
    );
    let said = |a: &Assessment| whys(a).iter().any(|why| why.contains("step by step"));
    assert!(said(&high) && !said(&flat) && !said(&stalled(0.02)));
}

#[test]
fn a_sleep_that_never_comes_raises_what_keeps_a_vehicle_awake() {
    // Down only for the last minutes of two hours.
    let restless: Vec<(usize, f64)> = (0..12)
        .flat_map(|i| [(300, 3.0 + 0.1 * f64::from(i % 3)), (300, 1.5)])
        .chain([(240, 0.4)])
        .collect();
    let a = assessed(&format!("{TRACE}{TOTAL}"), night(&restless));
    assert!(a.trace.is_some());
    assert!(
        whys(&a)
            .iter()
            .any(|why| why.contains("sleep does not come")),
        "{:?}",
        whys(&a)
    );
    let without = assessed(TOTAL, night(&restless));
    assert!(p(&a, "F3") > p(&without, "F3"));
}

/// What counted before the repair ends with it, to the last digit.
#[test]
fn a_repair_ends_it() {
    let with = assessed(&format!("{TRACE}{REPAIR}{TOTAL}"), woken(&[1800; 10]));
    let without = assessed(&format!("{REPAIR}{TOTAL}"), woken(&[1800; 10]));
    assert!(with.trace.is_none());
    for (one, other) in with.nodes.iter().zip(&without.nodes) {
        assert_eq!((one.p_fault, one.draw), (other.p_fault, other.draw));
    }
    assert_eq!(whys(&with), whys(&without));
}

#[test]
fn a_recording_struck_out_is_as_if_it_had_never_been() {
    let strike = "[[entry]]\nat = \"2026-03-03T11:00:00Z\"\nkind = \"strike\"\nentry = 1\n";
    let struck = assessed(&format!("{TRACE}{TOTAL}{strike}"), woken(&[1800; 10]));
    let never = assessed(TOTAL, woken(&[1800; 10]));
    let standing = assessed(&format!("{TRACE}{TOTAL}"), woken(&[1800; 10]));
    assert!(p(&standing, "F1") > p(&never, "F1"));
    for (one, other) in struck.nodes.iter().zip(&never.nodes) {
        assert_eq!((one.p_fault, one.draw), (other.p_fault, other.draw));
    }
    assert_eq!(whys(&struck), whys(&never));
}
