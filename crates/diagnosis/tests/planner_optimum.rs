//! The discrete planner against exact optima made elsewhere: `data/planner_optimum.json`
//! (see the README beside it), or the file named by `NIGHTDRAW_OPTIMA`.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::print_stderr,
    reason = "helpers of tests may stop or skip the test, and say why"
)]

use diagnosis::plan::search::{Search, SplitTest};
use serde_json::Value;

#[test]
fn every_reference_instance_is_met() {
    check_file(include_str!("data/planner_optimum.json"));
}

#[test]
fn a_file_named_by_the_environment_is_met() {
    match std::env::var("NIGHTDRAW_OPTIMA") {
        Ok(path) => check_file(&std::fs::read_to_string(path).unwrap()),
        Err(_) => eprintln!("skipped: NIGHTDRAW_OPTIMA is not set"),
    }
}

fn check_file(text: &str) {
    let file: Value = serde_json::from_str(text).unwrap();
    let tolerance = file["tolerance_abs_minutes"].as_f64().unwrap();
    for variant in ["plain", "wake"] {
        let mut ratios = Vec::new();
        for instance in file["instances"].as_array().unwrap() {
            let expected = &instance[format!("expected_{variant}")]["expected_minutes"];
            let optimum = expected["optimum"].as_f64().unwrap();
            let mut search = build(instance, variant == "wake");
            let start = search.start();
            let minutes = search.expected_minutes(start);
            let id = instance["id"].as_str().unwrap_or("?");
            // Nothing beats the optimum, but its figure is rounded.
            assert!(
                minutes >= optimum - tolerance - 1e-9,
                "{id} {variant}: {minutes} < {optimum}"
            );
            ratios.push(minutes / optimum);
        }
        let mean = ratios.iter().sum::<f64>() / ratios.len() as f64;
        let worst = ratios.iter().copied().fold(0.0, f64::max);
        eprintln!(
            "{variant}: {} instances, mean {mean:.6}, worst {worst:.6}",
            ratios.len()
        );
        assert!(
            mean <= 1.005 && worst <= 1.03,
            "{variant}: mean {mean}, worst {worst}"
        );
    }
}

fn build(instance: &Value, wake: bool) -> Search {
    let circuits = instance["circuits"].as_array().unwrap();
    let feeds = instance["feeds"].as_array().unwrap();
    let flag = |v: &Value| wake && v.as_bool().unwrap_or(false);
    let mut tests = Vec::new();
    for feed in feeds.iter().filter(|f| !flag(&f["forbidden"])) {
        tests.push(SplitTest {
            inside: below(feeds, circuits, feed["id"].as_str().unwrap()),
            minutes: feed["test_min"].as_f64().unwrap(),
            wake_chance: f64::from(u8::from(flag(&feed["wakes"]))),
        });
    }
    for (i, circuit) in circuits.iter().enumerate() {
        if let Some(minutes) = circuit["mv_min"].as_f64() {
            tests.push(SplitTest {
                inside: 1 << i,
                minutes,
                wake_chance: 0.0,
            });
        }
        if !flag(&circuit["pull_forbidden"]) {
            tests.push(SplitTest {
                inside: 1 << i,
                minutes: circuit["pull_min"].as_f64().unwrap(),
                wake_chance: f64::from(u8::from(flag(&circuit["pull_wakes"]))),
            });
        }
    }
    let weights: Vec<f64> = circuits
        .iter()
        .map(|c| c["prior_permille"].as_f64().unwrap())
        .collect();
    Search::new(
        &weights,
        &tests,
        instance["sleep_wait_min"].as_f64().unwrap(),
    )
}

/// Circuits below a feed, those of feeds that hang on it included.
fn below(feeds: &[Value], circuits: &[Value], id: &str) -> u128 {
    let own = circuits
        .iter()
        .enumerate()
        .filter(|(_, c)| c["feed"].as_str() == Some(id))
        .fold(0, |set, (i, _)| set | 1 << i);
    feeds
        .iter()
        .filter(|f| f["parent"].as_str() == Some(id))
        .fold(own, |set, f| {
            set | below(feeds, circuits, f["id"].as_str().unwrap())
        })
}

/// Many candidates, so that rollout is used: between the entropy bound and the greedy rule.
#[test]
fn rollout_on_forty_candidates_keeps_its_bounds() {
    let weights: Vec<f64> = (0..40).map(|i| 1.0 + f64::from(i * 7 % 13)).collect();
    let mut tests: Vec<SplitTest> = (0..40)
        .map(|i| SplitTest {
            inside: 1 << i,
            minutes: 0.5,
            wake_chance: 0.0,
        })
        .collect();
    for group in 0..5 {
        tests.push(SplitTest {
            inside: 0xff << (8 * group),
            minutes: 1.0,
            wake_chance: 0.0,
        });
    }
    let mut search = Search::new(&weights, &tests, 10.0);
    let start = search.start();
    let minutes = search.expected_minutes(start);
    // Yes-no tests need at least the prior's entropy, at half a minute each.
    let total: f64 = weights.iter().sum();
    let entropy: f64 = weights
        .iter()
        .map(|w| -(w / total) * (w / total).log2())
        .sum();
    assert!(minutes >= entropy * 0.5);
    // Box by box, then circuit by circuit, most likely first, is a rule that anyone finds.
    assert!(minutes < 5.0, "{minutes}");
}
