//! Rehearsals are deterministic, can be left and taken up, and are scored fairly.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stderr,
    reason = "helpers of tests"
)]

use harness::FeedTree;
use practice::{PracticeError, Session, Setup, command, score, tests, words};
use proptest::prelude::*;
use rehearsal::fleet::{Action, Reach};

fn setup(seed: u64) -> Setup {
    Setup {
        seed,
        kind: Some("small".into()),
        reach: Reach::All,
        ..Setup::default()
    }
}

fn begin(seed: u64) -> Session {
    Session::begin(setup(seed)).unwrap()
}

/// Does everything again, by what was typed.
fn worked(seed: u64, typed: &[String]) -> Session {
    let mut session = begin(seed);
    for text in typed {
        session.type_in(text).unwrap();
    }
    session
}

#[test]
fn a_setup_reads_back() {
    for text in [
        "seed=1 reach=half level=plain settings=keep",
        "seed=18446744073709551615 kind=van reach=none level=full settings=may-be-lost",
    ] {
        assert_eq!(text.parse::<Setup>().unwrap().to_string(), text);
    }
    for wrong in [
        "seed=x",
        "kind=tractor",
        "reach=most",
        "level",
        "colour=red",
    ] {
        assert!(wrong.parse::<Setup>().is_err(), "{wrong}");
    }
}

#[test]
fn the_job_says_that_it_is_invented_and_tells_nothing_of_the_fault() {
    let session = begin(3);
    let job = session.job();
    assert!(job.invented && job.vehicle.name.contains("invented"));
    assert!(!job.nodes.is_empty() && job.entries.is_empty());
    assert!(
        job.nodes
            .iter()
            .all(|node| node.prior.is_none() && node.normal_a.is_none())
    );
    assert_eq!(job::lesson(job).unwrap_err(), job::NothingLearned::Invented);
}

#[test]
fn leaving_and_taking_up_again_changes_nothing() {
    let mut whole = begin(5);
    let mut left = begin(5);
    let list = tests(&whole);
    let chosen: Vec<String> = list
        .iter()
        .step_by(3)
        .take(8)
        .map(|t| t.typed.clone())
        .collect();
    for text in chosen
        .iter()
        .chain(["sleep".into(), "wait 7".into(), list[2].typed.clone()].iter())
    {
        let a = whole.type_in(text).unwrap();
        // Through a job file each time, as somebody who comes back does.
        let file = job::file::write(left.job());
        left = Session::resume(job::file::parse(&file).unwrap()).unwrap();
        let b = left.type_in(text).unwrap();
        assert_eq!(a, b, "{text}");
    }
    assert_eq!(whole.job(), left.job());
    assert_eq!(whole.minutes(), left.minutes());
    assert!(whole.minutes() > 7.0);
    assert_eq!(whole.log(5.0), left.log(5.0));
}

#[test]
fn whoever_goes_the_planners_way_takes_the_planners_minutes() {
    for seed in [100, 105] {
        let score_of_nothing = score(&begin(seed)).unwrap();
        let planner = &score_of_nothing.planner;
        let typed: Vec<String> = planner
            .steps
            .iter()
            .map(|step| step.typed.clone())
            .collect();
        let scored = score(&worked(seed, &typed)).unwrap();
        assert_eq!(scored.parted, None, "seed {seed}");
        assert_eq!(&scored.yours, planner);
        assert!(
            scored.advice.iter().all(Option::is_none),
            "{:?}",
            scored.advice
        );
    }
}

#[test]
fn another_way_is_told_where_it_parts() {
    let mut session = begin(2);
    let planner = score(&session).unwrap().planner;
    session.type_in(&planner.steps[0].typed).unwrap();
    session.type_in("wait 30").unwrap();
    let scored = score(&session).unwrap();
    let parted = scored.parted.unwrap();
    assert_eq!((parted.step, parted.yours.as_str()), (2, "wait 30"));
    assert_eq!(parted.planner, planner.steps[1].typed);
    assert!(!parted.why.is_empty());
    assert!(!scored.yours.solved && scored.yours.minutes >= 30.0);
    assert_eq!(
        scored.advice[1].as_deref(),
        Some(planner.steps[1].typed.as_str())
    );
}

#[test]
fn a_repair_at_the_wrong_place_is_needless_and_costs_its_time() {
    let mut session = begin(105);
    let planner = score(&session).unwrap().planner;
    let right = planner
        .steps
        .iter()
        .find_map(|step| step.typed.strip_prefix("repair "))
        .expect("the planner finds it")
        .to_owned();
    let wrong = session
        .tree()
        .leaves()
        .iter()
        .map(|&leaf| session.tree().node(leaf).id.0.clone())
        .find(|id| *id != right)
        .unwrap();
    let before = session.minutes();
    session.type_in(&format!("repair {wrong}")).unwrap();
    assert!((session.minutes() - before - 10.0).abs() < 1e-9);
    let scored = score(&session).unwrap();
    assert!(!scored.yours.solved);
    assert_eq!(scored.yours.needless.len(), 1);
    session.type_in(&format!("repair {right}")).unwrap();
    assert!(score(&session).unwrap().yours.solved);
    let airbag = session
        .tree()
        .leaves()
        .iter()
        .find(|&&leaf| session.is_forbidden(leaf));
    if let Some(&leaf) = airbag {
        let error = session.perform(&Action::Pull(vec![leaf])).unwrap_err();
        assert_eq!(error, PracticeError::NotTouched);
    }
    // Not at a cable, where it would put right whatever hangs there.
    assert_eq!(
        session
            .perform(&Action::Repair(FeedTree::ROOT))
            .unwrap_err(),
        PracticeError::RepairWhere
    );
}

#[test]
fn nonsense_is_refused_in_one_sentence_and_takes_no_time() {
    let mut session = begin(4);
    for text in [
        "",
        "shake F1",
        "clamp nowhere",
        "mv",
        "wait 0",
        "wait 9999",
        "pull",
        "repair battery",
    ] {
        let error = session.type_in(text).unwrap_err().to_string();
        assert!(
            !error.is_empty() && !error.contains('\n'),
            "{text}: {error}"
        );
    }
    assert_eq!((session.minutes(), session.job().entries.len()), (0.0, 0));
}

#[test]
fn a_job_that_is_no_rehearsal_is_none() {
    assert_eq!(
        Session::resume(job::Job::default()).unwrap_err(),
        PracticeError::NotOne
    );
}

/// How often the planner finds what is wrong: a rehearsal is no good against
/// an opponent that loses.
#[test]
fn the_planner_is_worth_competing_with() {
    let mut found = 0;
    for seed in 0..6 {
        let scored = score(&begin(100 + seed)).unwrap();
        let path = &scored.planner;
        let well = path.solved && path.needless.is_empty();
        found += usize::from(well);
        if !well {
            let steps: Vec<&str> = path.steps.iter().map(|step| step.said.as_str()).collect();
            eprintln!(
                "seed {}: {:?} not found by {steps:#?}",
                100 + seed,
                scored.truth
            );
        }
    }
    eprintln!("the planner solved {found} of 6 without a needless repair");
    assert_eq!(found, 6, "of 6");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

    #[test]
    fn a_test_reads_back_as_it_is_written(seed in 0_u64..1000, pick in any::<prop::sample::Index>()) {
        let session = begin(seed);
        let tree = session.tree();
        let list = tests(&session);
        let mut all: Vec<Action> = list.into_iter().map(|test| test.action).collect();
        all.extend([
            Action::WaitForSleep,
            Action::Wait(12),
            Action::InLine,
            Action::Unplug(tree.leaves()[0]),
            Action::Repair(tree.leaves()[0]),
            Action::Pull(vec![1, 2]),
        ]);
        let action = &all[pick.index(all.len())];
        prop_assert_eq!(&command(&words(action, tree), tree).unwrap(), action);
    }
}

/// What stays out is out after the session was read back from its entries.
#[test]
fn fuses_stay_out_until_they_are_put_back() {
    let mut session = begin(4);
    let fuse = |session: &Session, at: usize| {
        let tree = session.tree();
        let mut fuses = (1..tree.len()).filter(|&node| {
            tree.node(node).kind == harness::NodeKind::Fuse && !session.is_forbidden(node)
        });
        tree.node(fuses.nth(at).unwrap()).id.0.clone()
    };
    let (one, other) = (fuse(&session, 0), fuse(&session, 1));
    session.type_in(&format!("out {one} {other}")).unwrap();
    assert_eq!(session.out().len(), 2);
    session.type_in("sleep").unwrap();
    session.type_in(&format!("back {one}")).unwrap();
    let again = Session::resume(session.job().clone()).unwrap();
    assert_eq!(again.actions(), session.actions());
    assert_eq!(again.out().len(), 1);
    session.type_in("back all").unwrap();
    assert!(session.out().is_empty());
    for wrong in [format!("back {one}"), "back all".into()] {
        assert!(session.type_in(&wrong).is_err(), "nothing is out: {wrong}");
    }
}
