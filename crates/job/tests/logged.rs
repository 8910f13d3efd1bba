//! Fuses pulled while a meter was logging: the recording tells the step.
#![allow(clippy::unwrap_used, reason = "helpers of tests")]

mod support;

use std::{collections::BTreeMap, sync::Arc};

use job::{Assessment, Recording, assess, contract, file};
use support::recording;

const JOB: &str = r#"format = 1
[[instrument]]
id = "logger"
kind = "in-line"
accuracy_percent = 0.5
digits = 2
resolution = "1mA"
[[node]]
id = "F1"
from = "battery"
kind = "fuse"
rating = "15A"
[[node]]
id = "F2"
from = "battery"
kind = "fuse"
rating = "10A"
[[node]]
id = "radio"
from = "F1"
kind = "load"
family = "audio"
[[node]]
id = "lamp"
from = "F2"
kind = "load"
family = "lamp"
"#;

/// 1 Hz from 20:00 UTC: awake for ten minutes, asleep at 300 mA; F1, pulled at 20:50, was 200 mA of it.
/// The opened door wakes the vehicle for 80 s.
fn night() -> Recording {
    let parts = [(600, 3.0), (2400, 0.3), (80, 1.5), (3000, 0.1)];
    let levels = parts
        .iter()
        .flat_map(|&(count, level)| std::iter::repeat_n(level, count));
    let current_a = levels
        .enumerate()
        .map(|(i, level)| level + 0.002 * ((i as f64 * 0.618_033_988_75).fract() - 0.5))
        .collect();
    let mut made = recording(current_a).trace;
    made.source.start = Some("2026-03-02T20:00:00Z".into());
    Recording::new(made)
}

fn assessed(entries: &str) -> Assessment {
    let mut job = file::parse(&format!("{JOB}{entries}")).unwrap();
    job.recordings = BTreeMap::from([("night.csv".into(), Arc::new(night()))]);
    assess(&job)
}

/// Entered in the morning, as an upload is.
const TRACE: &str = "[[entry]]\nat = \"2026-03-03T07:00:00Z\"\nkind = \"trace\"\nfile = \"night.csv\"\n\
                     node = \"battery\"\ninstrument = \"logger\"\n";

fn pull(more: &str) -> String {
    format!(
        "[[entry]]\nat = \"2026-03-02T20:50:00Z\"\nkind = \"pull\"\nnodes = [\"F1\"]\n{more}{TRACE}"
    )
}

fn mean_a(a: &Assessment, id: &str) -> f64 {
    a.nodes.iter().find(|node| node.id.0 == id).unwrap().mean_a
}

fn codes(a: &Assessment) -> Vec<&str> {
    a.warnings.iter().map(|w| w.code.as_str()).collect()
}

#[test]
fn a_pull_without_readings_gets_its_step_from_the_recording() {
    let a = assessed(&pull(""));
    assert!(
        (mean_a(&a, "F1") - 0.2).abs() < 0.005,
        "{}",
        mean_a(&a, "F1")
    );
    // The vehicle as it stood before the pull, not what is left.
    assert!(
        (a.total.unwrap().value - 0.3).abs() < 0.005,
        "{:?}",
        a.total
    );
    assert!((a.long_run.unwrap().value - 0.3).abs() < 0.005);
    assert!(!codes(&a).contains(&"pull-without-step"), "{:?}", codes(&a));
    let document = contract::assessment(&a);
    let steps = document["trace"]["steps"].as_array().unwrap();
    let step = steps.iter().find(|s| s["entry"] == 1).unwrap();
    assert_eq!(step["act"], "F1 pulled");
    assert!((step["size"]["value"].as_f64().unwrap() + 0.2).abs() < 0.002);
    // ±(0.5 % of 200 mA + 2 mA), rectangular.
    let u = step["size"]["u"].as_f64().unwrap();
    assert!((u - 0.003 / 3.0_f64.sqrt()).abs() < 2e-4, "{u}");
    assert_eq!(document["trace"]["wake_ups"]["count"], 0);
}

#[test]
fn entered_and_logged_is_one_observation() {
    let logged = assessed(&pull(""));
    let both = assessed(&pull(
        "before = \"301mA\"\nafter = \"99mA\"\ninstrument = \"logger\"\n",
    ));
    // The sharper of two agreeing ones counts alone: nothing gets narrower by counting twice.
    let width = |a: &Assessment| {
        let draw = a.nodes.iter().find(|n| n.id.0 == "F1").unwrap().draw;
        draw.p95 - draw.p05
    };
    assert_eq!(width(&both), width(&logged));
    assert_eq!(codes(&both), codes(&logged));
}

#[test]
fn a_contradiction_is_told_and_the_entry_counts() {
    let a = assessed(&pull(
        "before = \"300mA\"\nafter = \"250mA\"\ninstrument = \"logger\"\n",
    ));
    let warning = a
        .warnings
        .iter()
        .find(|w| w.code == "step-disagrees")
        .unwrap();
    assert_eq!(warning.entries.len(), 2);
    // Nearer to 50 mA than to 200 mA; how far is the matter of the belief.
    assert!(mean_a(&a, "F1") < 0.125, "{}", mean_a(&a, "F1"));
}

#[test]
fn without_recording_or_readings_nothing_is_known() {
    let a =
        assessed("[[entry]]\nat = \"2026-03-02T20:50:00Z\"\nkind = \"pull\"\nnodes = [\"F1\"]\n");
    assert_eq!(codes(&a), ["pull-without-step"]);
    assert_eq!(a.total, None);
}

#[test]
fn a_struck_pull_leaves_the_recording_as_it_is() {
    let a = assessed(&format!(
        "{}[[entry]]\nat = \"2026-03-03T07:05:00Z\"\nkind = \"strike\"\nentry = 1\n",
        pull("")
    ));
    let trace = a.trace.as_ref().unwrap();
    assert!(trace.analysis.steps.iter().all(|s| s.act.is_none()));
}

#[test]
fn the_fuse_stays_out_for_what_is_read_later() {
    let later = "[[entry]]\nat = \"2026-03-03T07:10:00Z\"\nkind = \"draw\"\nnode = \"battery\"\nhow = \"in-line\"\n\
                 value = \"100mA\"\ninstrument = \"logger\"\nasleep = true\n";
    let a = assessed(&format!("{}{later}", pull("")));
    assert!(
        (a.total.unwrap().value - 0.3).abs() < 0.005,
        "{:?}",
        a.total
    );
    assert!(!codes(&a).contains(&"readings-disagree"), "{:?}", codes(&a));
}

#[test]
fn both_totals_or_none() {
    let job = file::parse(&format!("{JOB}{}", pull(""))).unwrap();
    assert_eq!(file::parse(&file::write(&job)).unwrap(), job);
    for half in ["after = \"100mA\"\n", "before = \"300mA\"\n"] {
        assert!(file::parse(&format!("{JOB}{}", pull(half))).is_err());
    }
}

/// A clamp whose zero creeps from 0 to 40 mA over the night, held off the cable three times. Asleep at 30 mA.
fn creeping(zero: &str) -> Assessment {
    let off = |i: usize| {
        [900, 3500, 7100]
            .iter()
            .any(|at| (*at..at + 60).contains(&i))
    };
    let sample = |i: usize| {
        let scatter = 0.002 * ((i as f64 * 0.618_033_988_75).fract() - 0.5);
        let flows = if i < 600 { 3.0 } else { 0.03 };
        0.04 * i as f64 / 7200.0 + scatter + if off(i) { 0.0 } else { flows }
    };
    let mut made = recording((0..7200).map(sample).collect()).trace;
    made.source.start = Some("2026-03-02T20:00:00Z".into());
    let clamp = "[[instrument]]\nid = \"clamp\"\nkind = \"clamp\"\naccuracy_percent = 2\ndigits = 10\nresolution = \"1mA\"\n";
    let entry = TRACE.replace("\"logger\"", "\"clamp\"");
    let mut job = file::parse(&format!("{JOB}{clamp}{entry}{zero}")).unwrap();
    assert_eq!(file::parse(&file::write(&job)).unwrap(), job);
    job.recordings = BTreeMap::from([("night.csv".into(), Arc::new(Recording::new(made)))]);
    assess(&job)
}

#[test]
fn the_clamp_off_the_cable_takes_its_zero_out() {
    let as_kept = contract::assessment(&creeping(""));
    assert!(as_kept["trace"]["zero"].is_null());
    let draw = &as_kept["trace"]["settled"]["draw"];
    let (shown, shown_u) = (draw["value"].as_f64().unwrap(), draw["u"].as_f64().unwrap());
    assert!(shown > 0.038, "{shown}");
    // A time of day, an offset, a date and time; a hand is some seconds early and late.
    let a = creeping(
        "zero = [\"20:14:57..20:16:03\", \"3498s..3562s\", \"2026-03-02T21:58:18Z..21:59:22\"]\n",
    );
    let document = contract::assessment(&a);
    let draw = &document["trace"]["settled"]["draw"];
    let (value, u) = (draw["value"].as_f64().unwrap(), draw["u"].as_f64().unwrap());
    assert!((value - 0.03).abs() < 0.002, "{value}");
    assert_eq!(
        document["trace"]["zero"]["readings"]
            .as_array()
            .unwrap()
            .len(),
        3
    );
    // The clamp's wandering zero is known now; ±(2 % of 30 mA + 10 mA), rectangular, stays.
    let stated = (0.02 * 0.03 + 0.01) / 3.0_f64.sqrt();
    assert!(
        u < shown_u && u > 0.99 * stated && u < 1.1 * stated,
        "{u} {shown_u}"
    );
    assert!(!codes(&a).contains(&"zero-unread"));
    assert!(
        (a.total.unwrap().value - 0.03).abs() < 0.002,
        "{:?}",
        a.total
    );
}

#[test]
fn times_that_do_not_lie_in_the_recording_are_said() {
    let a = creeping("zero = [\"900s..960s\", \"9000s..9060s\"]\n");
    assert!(codes(&a).contains(&"zero-unread"), "{:?}", codes(&a));
    let wrong = format!("{JOB}{TRACE}zero = [\"at ten\"]\n");
    let error = file::parse(&wrong).unwrap_err().to_string();
    assert!(error.contains("22:10..22:12"), "{error}");
}
