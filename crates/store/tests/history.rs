//! What finished jobs teach is derived from the jobs, and only from them.
#![allow(clippy::unwrap_used, reason = "helpers of tests")]

use std::path::Path;

use job::{Entry, EntryId, EntryKind, History, NothingLearned, file};
use store::{JobId, Store};

const FINISHED: &str = include_str!("data/finished.toml");
const INVENTED: &str = include_str!("data/job.toml");

fn strike(number: usize) -> Entry {
    Entry {
        at: "2026-03-03T08:00:00Z".parse().unwrap(),
        instrument: None,
        kind: EntryKind::Strike {
            entry: EntryId::from_number(number).unwrap(),
        },
    }
}

fn lamps(history: &History) -> u64 {
    history
        .families
        .get("boot-lamp")
        .map_or(0, |tally| tally.at_fault)
}

#[test]
fn a_finished_job_counts_once_however_often_it_is_looked_at() {
    let dir = tempfile::tempdir().unwrap();
    let store = Store::open(dir.path()).unwrap();
    let finished = store.import(FINISHED).unwrap();
    let other = store
        .import("format = 1\n[vehicle]\nname = \"Other\"\n")
        .unwrap();
    for _ in 0..3 {
        let history = store.history().unwrap();
        assert_eq!((history.jobs, lamps(&history)), (1, 1));
    }
    // Kept beside the jobs, and read back by the next process.
    let again = Store::open(dir.path()).unwrap();
    assert_eq!(again.history().unwrap(), store.history().unwrap());
    assert_eq!(lamps(&again.history_for(other).unwrap()), 1);
    // A job is not judged by what it taught itself.
    assert_eq!(again.history_for(finished).unwrap(), History::default());
    // Changed by the one process, seen by the other.
    store.append(finished, &strike(2), None).unwrap();
    assert_eq!(again.history().unwrap(), History::default());
}

#[test]
fn reopening_a_job_takes_its_lesson_back_and_finishing_it_again_restores_it() {
    let store = Store::in_memory().unwrap();
    let finished = store.import(FINISHED).unwrap();
    store.import(FINISHED).unwrap();
    let before = store.history().unwrap();
    assert_eq!(before.jobs, 2);
    store.append(finished, &strike(2), None).unwrap();
    assert_eq!(store.history().unwrap().jobs, 1);
    assert_eq!(
        store.learned().unwrap().lessons[0].taught,
        Err(NothingLearned::NoRepair)
    );
    store.append(finished, &strike(4), None).unwrap();
    assert_eq!(store.history().unwrap(), before);
}

#[test]
fn what_is_forgotten_no_longer_counts_until_it_is_remembered() {
    let store = Store::in_memory().unwrap();
    let first = store.import(FINISHED).unwrap();
    let second = store.import(FINISHED).unwrap();
    let before = store.history().unwrap();
    store.forget(&[first, second], true).unwrap();
    assert_eq!(store.history().unwrap(), History::default());
    assert!(store.learned().unwrap().lessons.iter().all(|l| l.forgotten));
    store.forget(&[second], false).unwrap();
    assert_eq!(store.history().unwrap().jobs, 1);
    // Its own lesson is not taken away twice.
    assert_eq!(store.history_for(first).unwrap().jobs, 1);
    store.forget(&[first], false).unwrap();
    assert_eq!(store.history().unwrap(), before);
    assert!(
        store
            .forget(&[first, JobId::from_number(99)], true)
            .is_err()
    );
    assert_eq!(store.history().unwrap(), before);
}

#[test]
fn invented_jobs_neither_teach_nor_are_judged_by_real_ones() {
    let store = Store::in_memory().unwrap();
    store.import(FINISHED).unwrap();
    let invented = store.import(INVENTED).unwrap();
    let made_up = FINISHED.replacen("format = 1", "format = 1\ninvented = true", 1);
    store.import(&made_up).unwrap();
    assert_eq!(store.history().unwrap().jobs, 1);
    assert_eq!(store.history_for(invented).unwrap(), History::default());
    assert_eq!(store.learned().unwrap().lessons.len(), 1);
}

#[test]
fn the_history_can_be_switched_off_for_the_whole_bench() {
    let dir = tempfile::tempdir().unwrap();
    let store = Store::open(dir.path()).unwrap();
    store.import(FINISHED).unwrap();
    let other = store
        .import("format = 1\n[vehicle]\nname = \"Other\"\n")
        .unwrap();
    store.leave_history_out(true).unwrap();
    let again = Store::open(dir.path()).unwrap();
    assert_eq!(again.history().unwrap(), History::default());
    assert_eq!(again.history_for(other).unwrap(), History::default());
    assert_eq!(again.learned().unwrap().history.jobs, 1);
    again.leave_history_out(false).unwrap();
    assert_eq!(store.history_for(other).unwrap().jobs, 1);
}

#[test]
fn saved_databases_of_older_versions_open_and_learn() {
    for (version, jobs, taught) in [("version-1", 1, 0), ("version-2", 3, 1)] {
        let dir = tempfile::tempdir().unwrap();
        let saved = Path::new(env!("CARGO_MANIFEST_DIR"))
            .join("tests/data")
            .join(version)
            .join("nightdraw.db");
        std::fs::copy(saved, dir.path().join("nightdraw.db")).unwrap();
        let store = Store::open(dir.path()).unwrap();
        assert_eq!(store.list().unwrap().len(), jobs, "{version}");
        assert_eq!(store.history().unwrap().jobs, taught, "{version}");
        let id = JobId::from_number(1);
        assert_eq!(store.load(id).unwrap(), file::parse(INVENTED).unwrap());
        store.import(FINISHED).unwrap();
        assert_eq!(store.history().unwrap().jobs, taught + 1, "{version}");
    }
}
