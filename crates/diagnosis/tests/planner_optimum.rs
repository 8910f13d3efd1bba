//! The discrete planner against exact optima made elsewhere: `data/planner_optimum.json`
//! (see the README beside it), or the file named by `NIGHTDRAW_OPTIMA`.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::print_stderr,
    reason = "helpers of tests may stop or skip the test, and say why"
)]

use diagnosis::{
    BeliefOptions, Component, Evidence, EvidenceKind, LoadModel, LoadModels, LogNormal,
    PlanOptions, TestKind, believe, plan,
    plan::{
        StatedCost,
        search::{Search, SplitTest},
    },
};
use harness::{FeedTree, NodeId, NodeKind, NodeSpec};
use measure::{Instrument, InstrumentKind, Uncertain};
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

#[test]
fn the_planner_itself_meets_every_reference_instance() {
    play_file(include_str!("data/planner_optimum.json"));
}

#[test]
fn the_planner_itself_meets_a_file_named_by_the_environment() {
    match std::env::var("NIGHTDRAW_OPTIMA") {
        Ok(path) => play_file(&std::fs::read_to_string(path).unwrap()),
        Err(_) => eprintln!("skipped: NIGHTDRAW_OPTIMA is not set"),
    }
}

fn check_file(text: &str) {
    check(text, "search alone", &|instance, wake| {
        let mut search = build(instance, wake);
        let start = search.start();
        search.expected_minutes(start)
    });
}

fn play_file(text: &str) {
    check(text, "planner", &|instance, wake| {
        let game = Game::new(instance, wake);
        let all: Vec<usize> = game.tree.leaves().to_vec();
        game.minutes(&[game.reading(0, FeedTree::ROOT, 1.0)], &[], &all, false)
    });
}

fn check(text: &str, who: &str, minutes_of: &dyn Fn(&Value, bool) -> f64) {
    let file: Value = serde_json::from_str(text).unwrap();
    let tolerance = file["tolerance_abs_minutes"].as_f64().unwrap();
    for variant in ["plain", "wake"] {
        let mut ratios = Vec::new();
        for instance in file["instances"].as_array().unwrap() {
            let expected = &instance[format!("expected_{variant}")]["expected_minutes"];
            let optimum = expected["optimum"].as_f64().unwrap();
            let minutes = minutes_of(instance, variant == "wake");
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
            "{who}, {variant}: {} instances, mean {mean:.6}, worst {worst:.6}",
            ratios.len()
        );
        assert!(
            mean <= 1.005 && worst <= 1.03,
            "{who}, {variant}: mean {mean}, worst {worst}"
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
            back: None,
        });
    }
    for (i, circuit) in circuits.iter().enumerate() {
        if let Some(minutes) = circuit["mv_min"].as_f64() {
            tests.push(SplitTest {
                inside: 1 << i,
                minutes,
                wake_chance: 0.0,
                back: None,
            });
        }
        if !flag(&circuit["pull_forbidden"]) {
            tests.push(SplitTest {
                inside: 1 << i,
                minutes: circuit["pull_min"].as_f64().unwrap(),
                wake_chance: f64::from(u8::from(flag(&circuit["pull_wakes"]))),
                back: None,
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

/// An instance as a vehicle: a fault draws 1 A, everything else nothing, and the meters
/// see far less. What the tests cost is stated to the planner.
struct Game {
    tree: FeedTree,
    models: LoadModels,
    weights: Vec<f64>,
    tools: [Instrument; 2],
    options: PlanOptions,
}

impl Game {
    fn new(instance: &Value, wake: bool) -> Self {
        let feeds = instance["feeds"].as_array().unwrap();
        let circuits = instance["circuits"].as_array().unwrap();
        let word = |v: &Value| v.as_str().unwrap().to_owned();
        let mut specs: Vec<NodeSpec> = feeds
            .iter()
            .map(|f| NodeSpec::new(&word(&f["id"]), &word(&f["parent"]), NodeKind::Cable))
            .collect();
        specs.extend(circuits.iter().map(|c| NodeSpec {
            rating_a: Some(10.0),
            fuse: Some("blade".into()),
            in_place: !c["mv_min"].is_null(),
            ..NodeSpec::new(&word(&c["id"]), &word(&c["feed"]), NodeKind::Fuse)
        }));
        let tree = FeedTree::build(specs).unwrap();
        let at = |id: &Value| tree.index(&NodeId(word(id))).unwrap();
        let mut weights = vec![0.0; tree.len()];
        let mut stated = Vec::new();
        let flag = |v: &Value| wake && v.as_bool().unwrap_or(false);
        let mut state = |kind, node, minutes: &Value, wakes: bool, forbidden: bool| {
            stated.push(StatedCost {
                kind,
                node,
                minutes: minutes.as_f64().unwrap_or(0.0),
                wake_chance: f64::from(u8::from(wakes)),
                forbidden,
            });
        };
        for f in feeds {
            let (wakes, forbidden) = (flag(&f["wakes"]), flag(&f["forbidden"]));
            state(
                TestKind::Clamp,
                at(&f["id"]),
                &f["test_min"],
                wakes,
                forbidden,
            );
        }
        for c in circuits {
            let node = at(&c["id"]);
            weights[node] = c["prior_permille"].as_f64().unwrap() / 1e3;
            state(TestKind::Millivolt, node, &c["mv_min"], false, false);
            let (wakes, forbidden) = (flag(&c["pull_wakes"]), flag(&c["pull_forbidden"]));
            state(TestKind::Pull, node, &c["pull_min"], wakes, forbidden);
        }
        // Exactly one fault fits a total of 1 A, so the posterior goes with the odds.
        let models = LoadModels::with(&tree, |leaf| LoadModel {
            prior_fault: weights[leaf] / (1.0 + weights[leaf]),
            normal: LogNormal {
                median_a: 0.0,
                log_sd: 0.0,
            },
            fault: vec![Component {
                weight: 1.0,
                draw: LogNormal {
                    median_a: 1.0,
                    log_sd: 0.001,
                },
                what: "fault".into(),
            }],
            access_min: 1.0,
            wake_chance: 0.0,
            family: "relay".into(),
            keeps_settings: false,
            caution: None,
        });
        let wait_min = instance["sleep_wait_min"].as_f64().unwrap();
        let meter = |kind, resolution| Instrument {
            id: "meter".into(),
            kind,
            accuracy_percent: 0.01,
            digits: 0.0,
            resolution: Some(resolution),
            zero_set: false,
        };
        Self {
            weights,
            models,
            tools: [
                meter(InstrumentKind::Clamp, 1e-4),
                meter(InstrumentKind::Millivolt, 1e-6),
            ],
            options: PlanOptions {
                resleep_min: wait_min,
                wait_min,
                // The last candidate must stand alone.
                sure_from: 0.9999,
                least_bits: 1e-9,
                pull_groups: false,
                stated,
                ..PlanOptions::default()
            },
            tree,
        }
    }

    fn reading(&self, tag: usize, node: usize, current_a: f64) -> Evidence {
        Evidence {
            tag,
            asleep: true,
            kind: EvidenceKind::Direct {
                node,
                current: Uncertain::new(current_a, 1e-3),
                below_floor: None,
            },
        }
    }

    /// Expected minutes from here, the fault being among `left`, every outcome weighted.
    fn minutes(
        &self,
        evidence: &[Evidence],
        done: &[(TestKind, Vec<usize>)],
        left: &[usize],
        awake: bool,
    ) -> f64 {
        let sure = BeliefOptions {
            outlier_chance: 1e-9,
            elsewhere_prior: 1e-12,
            ..BeliefOptions::default()
        };
        let belief = believe(&self.tree, &self.models, evidence, &sure);
        let options = PlanOptions {
            asleep_now: Some(!awake),
            done_tests: done.to_vec(),
            ..self.options.clone()
        };
        let plan = plan(&self.tree, &self.models, &belief, &self.tools, &options);
        let Some(next) = plan.next else {
            assert_eq!(plan.culprits, left, "{}", plan.because);
            return 0.0;
        };
        if next.kind == TestKind::WaitForSleep {
            return next.minutes + self.minutes(evidence, done, left, false);
        }
        let wakes = next.wake_chance > 0.5;
        let (inside, outside): (Vec<usize>, Vec<usize>) = left
            .iter()
            .partition(|&&leaf| self.tree.is_at_or_below(leaf, next.nodes[0]));
        assert!(!inside.is_empty() && !outside.is_empty(), "{}", next.why);
        let mut done = done.to_vec();
        done.push((next.kind, next.nodes.clone()));
        let weight = |set: &[usize]| set.iter().map(|&leaf| self.weights[leaf]).sum::<f64>();
        let mut minutes = next.minutes;
        for (set, shown_a) in [(inside, 1.0), (outside, 0.0)] {
            let mut evidence = evidence.to_vec();
            evidence.push(self.reading(done.len(), next.nodes[0], shown_a));
            let p = weight(&set) / weight(left);
            minutes += p * self.minutes(&evidence, &done, &set, wakes);
        }
        minutes
    }
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
            back: None,
        })
        .collect();
    for group in 0..5 {
        tests.push(SplitTest {
            inside: 0xff << (8 * group),
            minutes: 1.0,
            wake_chance: 0.0,
            back: None,
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
