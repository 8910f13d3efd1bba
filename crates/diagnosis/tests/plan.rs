//! What to do next on an invented vehicle.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::print_stderr,
    reason = "helpers of tests may stop or skip the test, and say why"
)]

mod common;

use common::{at, direct, models, small_van, step};
use diagnosis::{
    Belief, BeliefOptions, Evidence, LoadModels, Plan, PlanOptions, TestKind, believe, plan,
};
use harness::FeedTree;
use measure::{Instrument, InstrumentKind};

fn clamp() -> Instrument {
    Instrument {
        id: "clamp".into(),
        kind: InstrumentKind::Clamp,
        accuracy_percent: 2.0,
        digits: 5.0,
        resolution: Some(0.001),
        zero_set: false,
    }
}

fn voltmeter(resolution: f64) -> Instrument {
    Instrument {
        id: "volts".into(),
        kind: InstrumentKind::Millivolt,
        accuracy_percent: 0.5,
        digits: 3.0,
        resolution: Some(resolution),
        zero_set: false,
    }
}

fn in_line() -> Instrument {
    Instrument {
        id: "ammeter".into(),
        kind: InstrumentKind::InLine,
        accuracy_percent: 0.5,
        digits: 3.0,
        resolution: Some(0.001),
        zero_set: false,
    }
}

fn options() -> PlanOptions {
    PlanOptions {
        asleep_now: Some(true),
        ..PlanOptions::default()
    }
}

fn belief(tree: &FeedTree, models: &LoadModels, evidence: &[Evidence]) -> Belief {
    believe(tree, models, evidence, &BeliefOptions::default())
}

fn next(
    tree: &FeedTree,
    evidence: &[Evidence],
    tools: &[Instrument],
    options: &PlanOptions,
) -> Plan {
    let models = models(tree);
    plan(
        tree,
        &models,
        &belief(tree, &models, evidence),
        tools,
        options,
    )
}

#[test]
fn sleep_comes_first_then_the_total() {
    let tree = small_van();
    let awake = PlanOptions {
        asleep_now: Some(false),
        ..options()
    };
    let first = next(&tree, &[], &[clamp()], &awake).next.unwrap();
    assert_eq!(first.kind, TestKind::WaitForSleep);
    let second = next(&tree, &[], &[clamp()], &options()).next.unwrap();
    assert_eq!((second.kind, second.node), (TestKind::Clamp, Some(0)));
    let second = next(&tree, &[], &[in_line()], &options()).next.unwrap();
    assert_eq!((second.kind, second.node), (TestKind::InLine, Some(0)));
}

#[test]
fn a_normal_draw_ends_the_search() {
    let tree = small_van();
    let plan = next(&tree, &[direct(1, 0, 22.0, 2.0)], &[clamp()], &options());
    assert!(plan.done && plan.next.is_none(), "{}", plan.because);
}

#[test]
fn a_culprit_that_explains_the_excess_ends_the_search() {
    let tree = small_van();
    let f5 = at(&tree, "F5");
    let evidence = [direct(1, 0, 440.0, 8.0), step(2, &[f5], 415.0, 8.0)];
    let plan = next(&tree, &evidence, &[clamp()], &options());
    assert!(plan.done, "{}", plan.because);
    assert_eq!(plan.culprits, vec![f5]);
    assert!(plan.because.contains("F5"), "{}", plan.because);
    // Load or wiring, and a second fault: the terminal questions.
    let kinds: Vec<TestKind> = plan.alternatives.iter().map(|p| p.kind).collect();
    assert_eq!(kinds, vec![TestKind::Unplug, TestKind::Remeasure]);
}

#[test]
fn half_an_explanation_does_not_end_it() {
    let tree = small_van();
    let f5 = at(&tree, "F5");
    let evidence = [direct(1, 0, 900.0, 8.0), step(2, &[f5], 415.0, 8.0)];
    let plan = next(&tree, &evidence, &[clamp()], &options());
    assert!(!plan.done && plan.next.is_some(), "{}", plan.because);
    assert_eq!(plan.culprits, vec![f5]);
}

#[test]
fn stored_settings_are_guarded_and_the_reason_is_given() {
    let tree = small_van();
    let total = [direct(1, 0, 440.0, 8.0)];
    let plan = next(&tree, &total, &[in_line()], &options());
    let touched = |id: &str| {
        let node = at(&tree, id);
        let all = plan.next.iter().chain(&plan.alternatives);
        all.clone().any(|p| p.nodes.contains(&node))
    };
    for id in ["F1", "F4"] {
        assert!(!touched(id), "{id} keeps settings");
        let reason = plan
            .excluded
            .iter()
            .find(|e| e.node == Some(at(&tree, id)))
            .unwrap();
        assert!(reason.reason.contains("settings"), "{}", reason.reason);
    }
    // Allowed, they come after everything else.
    let allowed = PlanOptions {
        allow_settings_loss: true,
        ..options()
    };
    let plan = next(&tree, &total, &[in_line()], &allowed);
    let order: Vec<usize> = plan
        .next
        .iter()
        .chain(&plan.alternatives)
        .filter_map(|p| p.node)
        .collect();
    let place = |id: &str| order.iter().position(|&n| n == at(&tree, id));
    if let (Some(audio), Some(engine)) = (place("F4"), place("F1")) {
        assert!(audio < engine);
    }
    let last_ordinary = ["F2", "F3", "F5", "F7", "F8"]
        .iter()
        .filter_map(|id| place(id))
        .max();
    assert!(place("F1").is_none_or(|engine| Some(engine) > last_ordinary));
}

#[test]
fn a_blind_meter_is_not_proposed() {
    let tree = small_van();
    let total = [direct(1, 0, 75.0, 5.0)];
    // 0.1 mV on fuses of some milliohms is tens of milliampere at best.
    let plan = next(&tree, &total, &[clamp(), voltmeter(0.001)], &options());
    let blind = |kind| {
        plan.excluded
            .iter()
            .any(|e| e.kind == kind && e.reason.contains("sees"))
    };
    assert!(blind(TestKind::Millivolt));
    let all = plan.next.iter().chain(&plan.alternatives);
    assert!(all.clone().all(|p| p.kind != TestKind::Millivolt));
}

#[test]
fn airbags_are_never_touched() {
    let tree = common::tree(&[("F1", "battery", "airbag"), ("F2", "battery", "lamp")]);
    let allowed = PlanOptions {
        allow_settings_loss: true,
        ..options()
    };
    let tools = [clamp(), voltmeter(1e-5)];
    let plan = next(&tree, &[direct(1, 0, 300.0, 5.0)], &tools, &allowed);
    let f1 = at(&tree, "F1");
    assert!(
        plan.next
            .iter()
            .chain(&plan.alternatives)
            .all(|p| !p.nodes.contains(&f1))
    );
    assert!(
        plan.excluded
            .iter()
            .any(|e| e.node == Some(f1) && e.reason.contains("airbag"))
    );
}

#[test]
fn many_sound_circuits_above_the_limit_are_no_further_fault() {
    // Forty-eight circuits that draw 2 mA each are 96 mA, nearly twice the limit. Only the
    // groups they were pulled in were read.
    let ids: Vec<String> = (1..=49).map(|i| format!("F{i}")).collect();
    let nodes: Vec<(&str, &str, &str)> = ids
        .iter()
        .map(|id| (id.as_str(), "battery", "lamp"))
        .collect();
    let tree = common::tree(&nodes);
    let culprit = at(&tree, "F49");
    let mut evidence = vec![direct(1, 0, 496.0, 8.0), step(2, &[culprit], 400.0, 8.0)];
    let mut options = options();
    for group in 0..6 {
        let nodes: Vec<usize> = (1..=8).map(|i| group * 8 + i).collect();
        evidence.push(step(3 + group, &nodes, 16.0, 2.0));
        options.done_tests.push((TestKind::PullGroup, nodes));
    }
    options.done_tests.push((TestKind::Pull, vec![culprit]));
    // The total was read again after the find, as before.
    evidence.push(direct(20, 0, 496.0, 8.0));
    options
        .done_tests
        .extend(vec![(TestKind::Clamp, vec![0]); 2]);
    let plan = next(&tree, &evidence, &[clamp(), voltmeter(1e-5)], &options);
    assert!(plan.done, "{}", plan.because);
    assert_eq!(plan.culprits, vec![culprit]);
}

#[test]
fn a_place_that_was_cut_twice_is_not_cut_again_in_another_way() {
    let tree = common::tree(&[("F1", "battery", "lamp"), ("F2", "battery", "horn")]);
    let evidence = [direct(1, 0, 300.0, 5.0)];
    let f1 = at(&tree, "F1");
    for kind in [TestKind::Unplug, TestKind::Detach, TestKind::Pull] {
        let mut options = options();
        options.done_tests = vec![(kind, vec![f1]); 2];
        let plan = next(&tree, &evidence, &[clamp()], &options);
        let all = plan.next.iter().chain(&plan.alternatives);
        assert!(all.clone().all(|p| p.nodes != [f1]), "{kind:?}");
    }
}

#[test]
fn what_keeps_settings_is_read_at_a_bridged_fuse_when_nothing_else_is_left() {
    let tree = common::tree(&[("F1", "battery", "audio"), ("F2", "battery", "horn")]);
    let evidence = [direct(1, 0, 300.0, 5.0), step(2, &[2], 0.0, 2.0)];
    let f1 = at(&tree, "F1");
    for (tool, kind) in [(clamp(), TestKind::Clamp), (in_line(), TestKind::InLine)] {
        let mut options = options();
        options.done_tests = vec![(TestKind::Pull, vec![2])];
        let bridged = |options: &PlanOptions| {
            let tools = std::slice::from_ref(&tool);
            let plan = next(&tree, &evidence, tools, options);
            let all: Vec<_> = plan
                .next
                .iter()
                .chain(&plan.alternatives)
                .cloned()
                .collect();
            assert!(
                all.iter()
                    .all(|p| p.kind != TestKind::Pull || p.nodes != [f1])
            );
            (all.iter().any(|p| p.kind == kind && p.nodes == [f1]), plan)
        };
        let (proposed, plan) = bridged(&options);
        // Not on offer: the sentence says what is left and who must agree.
        assert!(!proposed);
        assert!(plan.done || plan.next.is_some());
        if plan.done && plan.culprits.is_empty() {
            assert!(
                plan.because.contains("owner must agree"),
                "{}",
                plan.because
            );
        }
        options.bypass = true;
        let (proposed, plan) = bridged(&options);
        assert!(proposed || plan.culprits == [f1], "{}", plan.because);
    }
}

/// Answers each test truthfully until the plan is done; the order of the nodes visited.
fn work(
    tree: &FeedTree,
    draws_ma: &[f64],
    tools: &[Instrument],
    options: &PlanOptions,
) -> (Vec<usize>, Plan) {
    let models = models(tree);
    let mut options = options.clone();
    let below = |node: usize| -> f64 {
        tree.leaves_below(node)
            .iter()
            .map(|&leaf| draws_ma[leaf])
            .sum()
    };
    let mut evidence = Vec::new();
    let mut visited = Vec::new();
    for tag in 0..60 {
        let plan = plan(
            tree,
            &models,
            &belief(tree, &models, &evidence),
            tools,
            &options,
        );
        let Some(next) = plan.next.clone() else {
            return (visited, plan);
        };
        let draw: f64 = next.nodes.iter().map(|&n| below(n)).sum();
        evidence.push(match next.kind {
            TestKind::Clamp | TestKind::InLine | TestKind::Millivolt => {
                direct(tag, next.nodes[0], draw, 4.0)
            }
            _ => step(tag, &next.nodes, draw, 4.0),
        });
        options.done_tests.push((next.kind, next.nodes.clone()));
        visited.extend(next.nodes);
    }
    panic!("no end after 60 tests: {visited:?}");
}

/// A vehicle whose circuits are all in order of suspicion equal.
fn practice() -> FeedTree {
    common::tree(&[
        ("F1", "battery", "engine-control"),
        ("F2", "battery", "audio"),
        ("F3", "battery", "alternator"),
        ("F4", "battery", "horn"),
        ("F5", "battery", "wiper"),
        ("F6", "battery", "relay"),
    ])
}

#[test]
fn the_common_order_is_kept() {
    // The draw sits outside the listed circuits, so that nothing stops early.
    // Common practice: ordinary circuits, alternator, audio, engine control.
    let tree = practice();
    let total = 120.0;
    let models = models(&tree);
    for (tools, allow) in [
        (vec![clamp(), voltmeter(1e-5)], false),
        (vec![clamp()], true),
    ] {
        let mut options = PlanOptions {
            allow_settings_loss: allow,
            ..options()
        };
        let mut evidence = vec![direct(0, 0, total, 3.0)];
        let mut order = Vec::new();
        for tag in 1..20 {
            let plan = plan(
                &tree,
                &models,
                &belief(&tree, &models, &evidence),
                &tools,
                &options,
            );
            let Some(next) = plan.next else { break };
            for &node in &next.nodes {
                evidence.push(direct(tag * 10 + node, node, 1.0, 1.0));
                if !order.contains(&node) {
                    order.push(node);
                }
            }
            options.done_tests.push((next.kind, next.nodes));
        }
        let place = |id: &str| order.iter().position(|&n| n == at(&tree, id));
        let ordinary = ["F4", "F5", "F6"].iter().filter_map(|id| place(id)).max();
        let late: Vec<usize> = ["F3", "F2", "F1"]
            .iter()
            .filter_map(|id| place(id))
            .collect();
        assert!(ordinary.is_some() && late.len() >= 2, "{order:?}");
        assert!(late.windows(2).all(|w| w[0] < w[1]), "{order:?}");
        assert!(ordinary < late.first().copied(), "{order:?}");
    }
}

#[test]
fn every_single_fault_is_found() {
    let tree = small_van();
    for id in ["F2", "F3", "F5", "F7", "F8", "F4", "F6"] {
        let mut draws = vec![0.0; tree.len()];
        for &leaf in tree.leaves() {
            draws[leaf] = 2.0;
        }
        // The usual size of a fault of each family.
        let size = [
            ("F2", 133.0),
            ("F3", 133.0),
            ("F4", 200.0),
            ("F5", 417.0),
            ("F6", 100.0),
        ];
        draws[at(&tree, id)] += size.iter().find(|s| s.0 == id).map_or(120.0, |s| s.1);
        let (visited, plan) = work(&tree, &draws, &[clamp(), voltmeter(1e-5)], &options());
        assert_eq!(
            plan.culprits,
            vec![at(&tree, id)],
            "{id}: {} {visited:?}",
            plan.because
        );
        assert!(visited.len() <= 8, "{id}: {visited:?}");
    }
}

#[test]
fn each_proposal_says_why_in_one_sentence_with_its_numbers() {
    let tree = small_van();
    let tools = [clamp(), voltmeter(1e-5)];
    let plan = next(&tree, &[direct(1, 0, 440.0, 8.0)], &tools, &options());
    for proposal in plan.next.iter().chain(&plan.alternatives) {
        let why = &proposal.why;
        assert!(
            why.contains('%') && why.contains("your meter sees"),
            "{why}"
        );
        assert!(!why.contains(". "), "{why}");
        assert!(proposal.caution.is_some());
        let p: f64 = proposal.outcomes.iter().map(|o| o.p).sum();
        assert!((p - 1.0).abs() < 1e-9, "{why}: {p}");
    }
    assert!(plan.alternatives.len() <= 8);
}

/// Two fuses out of which one holds what the pull of both took away.
fn two_out() -> (FeedTree, LoadModels, Vec<Evidence>, PlanOptions) {
    let tree = small_van();
    let models = models(&tree);
    let fuses: Vec<usize> = (1..tree.len())
        .filter(|&node| tree.node(node).kind == harness::NodeKind::Fuse)
        .filter(|&node| !tree.keeps_settings_below(node))
        .take(2)
        .collect();
    let evidence = vec![
        direct(0, FeedTree::ROOT, 412.0, 4.0),
        Evidence {
            tag: 1,
            asleep: true,
            kind: diagnosis::EvidenceKind::Step {
                nodes: fuses.clone(),
                step: measure::Uncertain::new(0.385, 0.003),
            },
        },
    ];
    let options = PlanOptions {
        leave_out: true,
        out: fuses.clone(),
        done_tests: vec![
            (TestKind::Clamp, vec![FeedTree::ROOT]),
            (TestKind::PullGroup, fuses),
        ],
        ..options()
    };
    (tree, models, evidence, options)
}

#[test]
fn what_is_out_is_put_back_to_tell_which_it_is() {
    let (tree, models, evidence, options) = two_out();
    let belief = belief(&tree, &models, &evidence);
    let plan = plan(
        &tree,
        &models,
        &belief,
        &[clamp(), voltmeter(1e-4)],
        &options,
    );
    let next = plan.next.unwrap();
    assert_eq!(next.kind, TestKind::PutBack);
    assert_eq!(next.nodes.len(), 1);
    assert!(options.out.contains(&next.nodes[0]), "{next:?}");
    let elsewhere = |p: &diagnosis::Proposal| {
        matches!(p.kind, TestKind::Millivolt | TestKind::Pull) && options.out.contains(&p.nodes[0])
    };
    assert!(
        !plan.alternatives.iter().any(elsewhere),
        "nothing is read where it is out"
    );
}

#[test]
fn what_one_pull_alone_says_is_confirmed_by_putting_it_back() {
    let (tree, models, mut evidence, mut options) = two_out();
    let fuse = options.out[0];
    evidence[1].kind = diagnosis::EvidenceKind::Step {
        nodes: vec![fuse],
        step: measure::Uncertain::new(0.385, 0.003),
    };
    options.out = vec![fuse];
    options.done_tests[1] = (TestKind::Pull, vec![fuse]);
    let first = belief(&tree, &models, &evidence);
    let tools = [clamp(), voltmeter(1e-4)];
    let before = plan(&tree, &models, &first, &tools, &options);
    let next = before.next.unwrap();
    assert_eq!((next.kind, next.nodes), (TestKind::PutBack, vec![fuse]));
    // It came back: that is the end of the search.
    evidence.push(step(2, &[fuse], 384.0, 3.0));
    options.done_tests.push((TestKind::PutBack, vec![fuse]));
    options.out.clear();
    let after = plan(
        &tree,
        &models,
        &belief(&tree, &models, &evidence),
        &tools,
        &options,
    );
    assert!(after.done, "{}", after.because);
    assert_eq!(after.culprits.len(), 1);
}
