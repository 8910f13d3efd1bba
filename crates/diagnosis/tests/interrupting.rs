//! When a supply is cut, and when what that found is asked for once more.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

mod common;

use common::{at, direct, large, models, small_van, step};
use diagnosis::{
    BeliefOptions, Evidence, Plan, PlanOptions, TestKind, believe, plan, plan::StatedCost,
};
use harness::FeedTree;
use measure::{Instrument, InstrumentKind};

const TOTAL: (TestKind, [usize; 1]) = (TestKind::InLine, [FeedTree::ROOT]);

fn options(done: &[(TestKind, &[usize])]) -> PlanOptions {
    let done = [(TOTAL.0, &TOTAL.1[..])]
        .into_iter()
        .chain(done.iter().copied());
    PlanOptions {
        asleep_now: Some(true),
        leave_out: true,
        done_tests: done.map(|(kind, nodes)| (kind, nodes.to_vec())).collect(),
        ..PlanOptions::default()
    }
}

/// The plan of somebody with a voltmeter and an ammeter, but no clamp.
fn planned(tree: &FeedTree, evidence: &[Evidence], options: PlanOptions) -> Plan {
    let models = models(tree);
    let usual = BeliefOptions::default();
    let belief = believe(tree, &models, evidence, &usual);
    let options = options.expect(tree, &models, evidence, &belief, &usual);
    let tools = [InstrumentKind::Millivolt, InstrumentKind::InLine].map(Instrument::generic);
    plan(tree, &models, &belief, &tools, &options)
}

fn interrupts(kind: TestKind) -> bool {
    matches!(
        kind,
        TestKind::Pull | TestKind::PullGroup | TestKind::Detach | TestKind::Unplug
    )
}

#[test]
fn a_pull_is_repeated_only_where_nobody_expected_the_fall() {
    let tree = small_van();
    let total = direct(0, FeedTree::ROOT, 412.0, 4.0);
    let mut seen = Vec::new();
    for fuse in ["F2", "F3", "F5", "F6", "F7", "F8"] {
        let fuse = at(&tree, fuse);
        let before = believe(
            &tree,
            &models(&tree),
            std::slice::from_ref(&total),
            &BeliefOptions::default(),
        );
        let mut options = options(&[(TestKind::Pull, &[fuse])]);
        options.out = vec![fuse];
        let plan = planned(
            &tree,
            &[total.clone(), step(1, &[fuse], 385.0, 3.0)],
            options,
        );
        if plan.culprits.is_empty() {
            continue;
        }
        // Named at 95 % against a fall by chance in one of 200 pulls: from 9.5 % on.
        let expected = before.nodes[fuse].p_fault >= 0.005 * 0.95 / 0.05;
        assert_eq!(plan.done, expected, "{}", plan.because);
        let again = plan.next.is_some_and(|next| next.kind == TestKind::PutBack);
        assert_eq!(again, !expected);
        seen.push(expected);
    }
    assert!(
        seen.contains(&true) && seen.contains(&false),
        "both kinds were tried: {seen:?}"
    );
}

#[test]
fn after_a_find_the_total_without_it_tells_of_a_second() {
    let tree = small_van();
    let fuse = at(&tree, "F6");
    // 800 mA, of which half at the alarm: something else takes the other half.
    let evidence = [
        direct(0, FeedTree::ROOT, 800.0, 5.0),
        step(1, &[fuse], 400.0, 5.0),
        step(2, &[fuse], 399.0, 5.0),
    ];
    let done = [(TestKind::Pull, &[fuse][..]), (TestKind::PutBack, &[fuse])];
    let plan = planned(&tree, &evidence, options(&done));
    let next = plan.next.unwrap();
    assert_eq!(next.kind, TestKind::Remeasure);
    assert!(
        next.why.contains("F6") && next.why.contains("second fault"),
        "{}",
        next.why
    );
    assert!(!plan.done);
}

#[test]
fn among_many_suspects_what_disturbs_nothing_comes_first() {
    let tree = large(60);
    let evidence = [direct(0, FeedTree::ROOT, 600.0, 5.0)];
    let first = planned(&tree, &evidence, options(&[])).next.unwrap();
    assert_eq!(first.kind, TestKind::Millivolt);
    // Every fuse that is likely enough is read before any is pulled.
    let (mut read, mut evidence) = (Vec::new(), evidence.to_vec());
    loop {
        let done: Vec<(TestKind, &[usize])> = read
            .iter()
            .map(|node| (TestKind::Millivolt, std::slice::from_ref(node)))
            .collect();
        let plan = planned(&tree, &evidence, options(&done));
        let next = plan.next.unwrap();
        if interrupts(next.kind) {
            break;
        }
        assert_eq!(next.kind, TestKind::Millivolt);
        evidence.push(direct(read.len() + 1, next.nodes[0], 0.0, 3.0));
        read.push(next.nodes[0]);
    }
    let belief = believe(&tree, &models(&tree), &evidence, &BeliefOptions::default());
    let mut unread = (1..tree.len()).filter(|&at| tree.node(at).in_place && !read.contains(&at));
    assert!(unread.all(|at| belief.nodes[at].p_fault < 0.02));
    assert!(read.len() > 10, "{}", read.len());
    // Where somebody knows what tests cost, that decides.
    let mut stated = options(&[]);
    stated.stated = (1..tree.len())
        .filter(|&node| tree.node(node).in_place)
        .map(|node| StatedCost {
            kind: TestKind::Millivolt,
            node,
            minutes: 30.0,
            wake_chance: 0.0,
            forbidden: false,
        })
        .collect();
    let costly = planned(&tree, &[direct(0, FeedTree::ROOT, 600.0, 5.0)], stated);
    assert!(interrupts(costly.next.unwrap().kind));
}
