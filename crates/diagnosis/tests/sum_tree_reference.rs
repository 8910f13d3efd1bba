//! The sum-tree posterior against reference values made elsewhere:
//! `data/sum_tree_posteriors.json` (see the README beside it), or the file named by `NIGHTDRAW_POSTERIORS`.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::print_stderr,
    reason = "helpers of tests may stop or skip the test, and say why"
)]

use diagnosis::sum_tree::{Leaf, Observation, SumTree};
use serde_json::Value;

/// The absolute tolerance that the reference file states for itself.
const TOLERANCE: f64 = 1e-9;

#[test]
fn every_reference_case_is_met() {
    check_file(include_str!("data/sum_tree_posteriors.json"), 10);
}

#[test]
fn a_file_named_by_the_environment_is_met() {
    match std::env::var("NIGHTDRAW_POSTERIORS") {
        Ok(path) => check_file(&std::fs::read_to_string(path).unwrap(), 1),
        Err(_) => eprintln!("skipped: NIGHTDRAW_POSTERIORS is not set"),
    }
}

fn check_file(text: &str, at_least: usize) {
    let file: Value = serde_json::from_str(text).unwrap();
    let cases = file["cases"].as_array().unwrap();
    assert!(cases.len() >= at_least, "only {} cases", cases.len());
    let mut worst: f64 = 0.0;
    for case in cases {
        worst = worst.max(check_case(&file["conventions"], case));
    }
    eprintln!("{} cases, worst difference {worst:.1e}", cases.len());
}

/// A field of the case itself, else of the file's conventions, else of the case's conventions.
fn field<'v>(conventions: &'v Value, case: &'v Value, name: &str) -> &'v Value {
    [&case[name], &case["conventions"][name], &conventions[name]]
        .into_iter()
        .find(|v| !v.is_null())
        .unwrap_or(&Value::Null)
}

fn numbers(v: &Value) -> Vec<f64> {
    v.as_array()
        .unwrap()
        .iter()
        .map(|x| x.as_f64().unwrap())
        .collect()
}

fn names(v: &Value) -> Vec<String> {
    v.as_array().map_or(Vec::new(), |list| {
        list.iter()
            .map(|x| x.as_str().unwrap().to_owned())
            .collect()
    })
}

fn leaves_below(tree: &Value, circuits: &[String], node: &str) -> Vec<usize> {
    match circuits.iter().position(|c| c == node) {
        Some(i) => vec![i],
        None => names(&tree[node])
            .iter()
            .flat_map(|child| leaves_below(tree, circuits, child))
            .collect(),
    }
}

fn gauss_ln(reading: f64, mean: f64, sigma: f64) -> f64 {
    let z = (reading - mean) / sigma;
    -0.5 * z * z - (sigma * (2.0 * std::f64::consts::PI).sqrt()).ln()
}

fn build(conventions: &Value, case: &Value) -> (SumTree<'static>, Vec<String>, f64) {
    let circuits = names(field(conventions, case, "circuits"));
    let tree = field(conventions, case, "tree");
    let unit = field(conventions, case, "unit_mA").as_f64().unwrap();
    let prior = numbers(&case["prior_fault"]);
    let leaves = (0..circuits.len())
        .map(|i| {
            let (healthy, faulty) = (&case["healthy_levels"][i], &case["faulty_levels"][i]);
            Leaf::on_grid(prior[i], numbers(healthy), numbers(faulty))
        })
        .collect();
    let observations = case["observations"].as_array().unwrap().iter().map(|o| {
        let pulled = names(&o["pulled"]);
        // A pulled name may be a circuit or a feed.
        let out: Vec<usize> = pulled
            .iter()
            .flat_map(|p| leaves_below(tree, &circuits, p))
            .collect();
        let below = leaves_below(tree, &circuits, o["node"].as_str().unwrap());
        let reading = o["reading_mA"].as_f64().unwrap();
        let sigma = o["sigma_mA"].as_f64().unwrap();
        Observation {
            leaves: below
                .into_iter()
                .filter(|leaf| !out.contains(leaf))
                .collect(),
            ln_likelihood: Box::new(move |steps| gauss_ln(reading, unit * steps, sigma)),
        }
    });
    let problem = SumTree {
        leaves,
        observations: observations.collect(),
        ..SumTree::default()
    };
    (problem, circuits, unit)
}

fn check_case(conventions: &Value, case: &Value) -> f64 {
    let id = case["id"].as_str().unwrap_or("?");
    let (problem, circuits, unit) = build(conventions, case);
    let expected = &case["expected"];
    let posterior = problem.solve().unwrap();
    let mut worst: f64 = 0.0;
    let mut compare = |name: &str, ours: &[f64], theirs: &[f64]| {
        assert_eq!(ours.len(), theirs.len(), "{id} {name}");
        for (a, b) in ours.iter().zip(theirs) {
            worst = worst.max((a - b).abs());
            assert!((a - b).abs() <= TOLERANCE, "{id} {name}: {a} is not {b}");
        }
    };
    compare(
        "posterior_fault",
        &posterior.p_fault,
        &numbers(&expected["posterior_fault"]),
    );
    for (i, level) in posterior.levels.iter().enumerate() {
        compare(
            "posterior_levels",
            level,
            &numbers(&expected["posterior_levels"][i]),
        );
    }
    let means: Vec<f64> = posterior
        .levels
        .iter()
        .map(|level| {
            level
                .iter()
                .enumerate()
                .map(|(k, p)| k as f64 * unit * p)
                .sum()
        })
        .collect();
    compare("mean_mA", &means, &numbers(&expected["mean_mA"]));
    let ln = expected["log_evidence"].as_f64().unwrap();
    compare("log_evidence", &[posterior.ln_evidence], &[ln]);
    let count = problem.fault_count(circuits.len()).unwrap();
    compare("fault_count", &count, &numbers(&expected["fault_count"]));
    let best = problem.most_probable_faults(100_000).unwrap().unwrap();
    let best_names: Vec<String> = best.leaves.iter().map(|&i| circuits[i].clone()).collect();
    assert_eq!(
        best_names,
        names(&expected["most_probable_fault_set"]),
        "{id}"
    );
    let p = expected["most_probable_fault_set_probability"]
        .as_f64()
        .unwrap();
    compare("most_probable_fault_set_probability", &[best.p], &[p]);
    worst
}
