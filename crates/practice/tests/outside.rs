//! Faults past the fuses: an honest practice vehicle has one now and then.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stderr,
    reason = "helpers of tests"
)]

use practice::{Level, Session, Setup, score};
use rehearsal::fleet::Reach;

fn setup(seed: u64, level: Level) -> Setup {
    Setup {
        seed,
        kind: Some("small".into()),
        reach: Reach::All,
        level,
        ..Setup::default()
    }
}

/// Seeds below `until` whose vehicle has a fault past the fuses.
fn outside(level: Level, until: u64) -> Vec<u64> {
    (0..until)
        .filter(|&seed| {
            let vehicle = setup(seed, level).vehicle().unwrap();
            vehicle.faults().iter().any(|fault| fault.node.is_none())
        })
        .collect()
}

#[test]
fn they_come_as_often_as_the_tables_give() {
    let share = rehearsal::fleet::Settings::default().outside;
    for level in [Level::Plain, Level::Full] {
        let seeds = 2000;
        let found = outside(level, seeds).len() as f64;
        let expected = share * seeds as f64;
        // Four standard deviations of a count, and the second fault of some.
        let most = expected * 1.12 + 4.0 * expected.sqrt();
        assert!(
            found > expected - 4.0 * expected.sqrt() && found < most,
            "{found} {expected}"
        );
    }
}

#[test]
fn one_is_named_repaired_and_scored() {
    let seed = outside(Level::Plain, 200)[0];
    let mut session = Session::begin(setup(seed, Level::Plain)).unwrap();
    let fuse = {
        let tree = session.tree();
        let fuse = tree
            .leaves()
            .iter()
            .find(|&&leaf| !session.is_forbidden(leaf));
        tree.node(*fuse.unwrap()).id.0.clone()
    };
    session.type_in(&format!("repair {fuse}")).unwrap();
    let wrong = score(&session).unwrap();
    assert!(!wrong.yours.solved && wrong.yours.needless.len() == 1);
    let before = session.minutes();
    session.type_in("repair outside").unwrap();
    assert!((session.minutes() - before - 10.0).abs() < 1e-9);
    let total = if session.has_clamp() {
        "clamp"
    } else {
        "in-line"
    };
    session.type_in(total).unwrap();
    // Through the job file, as somebody who comes back does.
    let file = job::file::write(session.job());
    let session = Session::resume(job::file::parse(&file).unwrap()).unwrap();
    let right = score(&session).unwrap();
    assert!(right.yours.solved, "{:?}", right.truth);
    assert_eq!(right.yours.needless.len(), 1, "the first one alone");
    assert!(
        right.truth[0].contains("past the fuses"),
        "{}",
        right.truth[0]
    );
    assert!(job::assess(session.job()).total.unwrap().value < 0.05);
}

#[test]
fn a_needless_repair_past_the_fuses_is_one() {
    let seed = (0..50)
        .find(|seed| !outside(Level::Plain, 50).contains(seed))
        .unwrap();
    let mut session = Session::begin(setup(seed, Level::Plain)).unwrap();
    session.type_in("repair outside").unwrap();
    let scored = score(&session).unwrap();
    assert!(!scored.yours.solved);
    assert_eq!(scored.yours.needless[0].as_str(), "past the fuses");
    let document = practice::score_document(&session, &scored);
    assert_eq!(document["yours"]["needless"][0], "past the fuses");
}

/// How the planner fares with them, beside how it fares with all others.
#[test]
fn the_planner_finds_them_too() {
    let seeds = outside(Level::Plain, 400);
    let (mut solved, mut clean) = (0, 0);
    for &seed in &seeds {
        let session = Session::begin(setup(seed, Level::Plain)).unwrap();
        let planner = score(&session).unwrap().planner;
        // It leaves off once nothing tells more, and reads no total over and over.
        assert!(planner.steps.len() < 60, "seed {seed}");
        solved += usize::from(planner.solved);
        clean += usize::from(planner.solved && planner.needless.is_empty());
        if !planner.solved || !planner.needless.is_empty() {
            let last = planner.steps.last().map(|step| step.typed.clone());
            eprintln!(
                "seed {seed}: solved {}, {} steps, last {last:?}, needless {:?}",
                planner.solved,
                planner.steps.len(),
                planner.needless
            );
        }
    }
    eprintln!(
        "{solved} of {} found, {clean} without a needless repair",
        seeds.len()
    );
    assert!(clean * 2 > seeds.len());
}
