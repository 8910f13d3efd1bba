//! The store as its users see it.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stderr
)] // helpers of tests

use std::{path::Path, sync::Arc};

use job::{Entry, EntryKind, Job, Recording, file};
use store::{JobId, Store, StoreErrorKind};
use trace::{Source, TimeAxis, Trace};

const JOB: &str = include_str!("data/job.toml");

fn note(text: &str) -> Entry {
    Entry {
        at: "2026-03-02T20:30:00Z".parse().unwrap(),
        instrument: None,
        kind: EntryKind::Note { text: text.into() },
    }
}

fn recording(level_a: f64) -> Recording {
    Recording::new(Trace {
        axis: TimeAxis::Regular { interval_s: 1.0 },
        current_a: vec![level_a; 1000],
        voltage_v: None,
        source: Source::default(),
    })
}

#[test]
fn what_is_kept_is_what_comes_back() {
    let store = Store::in_memory().unwrap();
    let mut job = file::parse(JOB).unwrap();
    job.recordings
        .insert("night.csv".into(), Arc::new(recording(0.412)));
    let id = store.create(&job).unwrap();
    assert_eq!(store.load(id).unwrap(), job);
    // Exported, imported and exported again: the same text.
    let text = store.export(id).unwrap();
    let other = store.import(&text).unwrap();
    assert_eq!(store.load(other).unwrap(), job);
    assert_eq!(store.export(other).unwrap(), text);
}

#[test]
fn entries_are_numbered_and_revisions_grow() {
    let store = Store::in_memory().unwrap();
    let id = store.import(JOB).unwrap();
    let first = store.revision(id).unwrap();
    assert_eq!(store.append(id, &note("a"), None).unwrap().number(), 4);
    assert_eq!(store.append(id, &note("b"), None).unwrap().number(), 5);
    assert_eq!(store.revision(id).unwrap(), first + 2);
    let job = store.load(id).unwrap();
    assert_eq!(job.entries[3..], [note("a"), note("b")]);
    let list = store.list().unwrap();
    assert_eq!(
        (
            list.len(),
            list[0].entries,
            list[0].name.as_str(),
            list[0].invented
        ),
        (1, 5, "Bread van", true)
    );
    assert!(list[0].updated >= list[0].created);
}

#[test]
fn a_form_sent_twice_is_entered_once() {
    let store = Store::in_memory().unwrap();
    let id = store.create(&Job::default()).unwrap();
    let other = store.create(&Job::default()).unwrap();
    let first = store.append(id, &note("a"), Some("k1")).unwrap();
    let revision = store.revision(id).unwrap();
    assert_eq!(store.append(id, &note("a"), Some("k1")).unwrap(), first);
    assert_eq!(store.revision(id).unwrap(), revision);
    assert_eq!(
        store.append(id, &note("a"), Some("k2")).unwrap().number(),
        2
    );
    // Keys are per job.
    assert_eq!(
        store
            .append(other, &note("a"), Some("k1"))
            .unwrap()
            .number(),
        1
    );
    assert_eq!(store.load(id).unwrap().entries.len(), 2);
}

#[test]
fn a_strike_sent_twice_under_one_key_is_no_fault() {
    let store = Store::in_memory().unwrap();
    let id = store.create(&Job::default()).unwrap();
    let target = store.append(id, &note("a"), None).unwrap();
    let strike = Entry {
        kind: EntryKind::Strike { entry: target },
        ..note("")
    };
    assert_eq!(store.append(id, &strike, Some("k")).unwrap().number(), 2);
    assert_eq!(store.append(id, &strike, Some("k")).unwrap().number(), 2);
    // Without the key it is a strike of a struck entry.
    let error = store.append(id, &strike, None).unwrap_err();
    let StoreErrorKind::Refused(faults) = &error.kind else {
        panic!("{error}")
    };
    assert_eq!(faults.0[0].field, "entry");
}

#[test]
fn what_does_not_fit_is_refused_and_nothing_kept() {
    let store = Store::in_memory().unwrap();
    let id = store.import(JOB).unwrap();
    let stranger = Entry {
        instrument: Some("other".into()),
        ..note("a")
    };
    assert!(matches!(
        store.append(id, &stranger, None).unwrap_err().kind,
        StoreErrorKind::Refused(_)
    ));
    assert_eq!(store.load(id).unwrap(), file::parse(JOB).unwrap());
    assert_eq!(
        store
            .append(JobId::from_number(99), &note("a"), None)
            .unwrap_err()
            .kind,
        StoreErrorKind::NotFound
    );
    assert_eq!(
        store.load(JobId::from_number(99)).unwrap_err().kind,
        StoreErrorKind::NotFound
    );
    let error = store.import("format = 1\n[vehicles]\n").unwrap_err();
    assert!(matches!(error.kind, StoreErrorKind::File(_)), "{error}");
    assert!(error.message.starts_with("line 2: "), "{error}");
    let mut wrong = file::parse(JOB).unwrap();
    wrong.entries.push(stranger);
    assert!(store.create(&wrong).is_err());
    assert_eq!(store.list().unwrap().len(), 1);
}

#[test]
fn a_header_can_grow_but_not_lose_what_entries_name() {
    let store = Store::in_memory().unwrap();
    let id = store.import(JOB).unwrap();
    let mut job = store.load(id).unwrap();
    job.vehicle.name = "Other van".into();
    store.update_header(id, &job).unwrap();
    assert_eq!(store.load(id).unwrap(), job);
    assert_eq!(store.list().unwrap()[0].name, "Other van");
    let mut poorer = job.clone();
    poorer.instruments.clear();
    assert!(store.update_header(id, &poorer).is_err());
    assert_eq!(store.load(id).unwrap(), job);
}

/// Entries are added without a look at recordings, known before or not; these are there at the next look at the job.
#[test]
fn an_entry_added_after_a_recording_hides_none() {
    for looked in [true, false] {
        let store = Store::in_memory().unwrap();
        let id = store.create(&Job::default()).unwrap();
        if looked {
            store.load(id).unwrap();
        }
        store
            .add_recording(id, "night.csv", &recording(0.412))
            .unwrap();
        store.append(id, &note("a"), None).unwrap();
        store.append(id, &note("b"), None).unwrap();
        let job = store.load(id).unwrap();
        assert_eq!((job.entries.len(), job.recordings.len()), (2, 1));
    }
}

#[test]
fn recordings_are_read_once() {
    let store = Store::in_memory().unwrap();
    let id = store.create(&Job::default()).unwrap();
    store
        .add_recording(id, "night.csv", &recording(0.412))
        .unwrap();
    let first = store.load(id).unwrap();
    store.append(id, &note("a"), None).unwrap();
    let second = store.load(id).unwrap();
    assert!(Arc::ptr_eq(
        &first.recordings["night.csv"],
        &second.recordings["night.csv"]
    ));
    // The same again is no fault, another of that name is.
    let revision = store.revision(id).unwrap();
    store
        .add_recording(id, "night.csv", &recording(0.412))
        .unwrap();
    assert_eq!(store.revision(id).unwrap(), revision);
    assert_eq!(
        store
            .add_recording(id, "night.csv", &recording(0.5))
            .unwrap_err()
            .kind,
        StoreErrorKind::NameTaken
    );
}

#[test]
fn a_saved_database_of_version_1_opens() {
    let dir = tempfile::tempdir().unwrap();
    let saved = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/version-1/nightdraw.db");
    std::fs::copy(saved, dir.path().join("nightdraw.db")).unwrap();
    let store = Store::open(dir.path()).unwrap();
    let id = store.list().unwrap()[0].id;
    assert_eq!(store.load(id).unwrap(), file::parse(JOB).unwrap());
    assert_eq!(store.append(id, &note("a"), None).unwrap().number(), 4);
}

#[test]
fn other_files_and_folders_are_refused_in_one_sentence() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("nightdraw.db");
    std::fs::write(&path, b"time;current\n0;0.1\n".repeat(100)).unwrap();
    let error = Store::open(dir.path()).unwrap_err();
    assert_eq!(error.kind, StoreErrorKind::NotOurs, "{error}");
    // A folder that cannot be made, because a file is in its way.
    let error = Store::open(&path.join("data")).unwrap_err();
    assert_eq!(error.kind, StoreErrorKind::ReadOnly, "{error}");
    assert!(
        error.message.contains("cannot use the data folder"),
        "{error}"
    );
    // An empty file, as a process killed right at the start leaves it, is taken over.
    std::fs::write(&path, b"").unwrap();
    assert!(Store::open(dir.path()).is_ok());
}

#[test]
fn may_be_sent_to_another_thread() {
    fn is_send<T: Send>() {}
    is_send::<Store>();
}
