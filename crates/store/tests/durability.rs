//! Slow on purpose, and kept short: kills, two processes, a full disk. Each
//! runs the example `append_forever` as a process of its own.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stderr
)] // helpers of tests

use std::{
    io::{BufRead, BufReader, Read},
    path::{Path, PathBuf},
    process::{Child, Command, Stdio},
    time::{Duration, Instant},
};

use job::EntryKind;
use store::{JobId, Store, StoreErrorKind};

/// The example, built beside this test.
fn example() -> PathBuf {
    let deps = std::env::current_exe().unwrap();
    deps.parent()
        .unwrap()
        .parent()
        .unwrap()
        .join("examples/append_forever")
}

fn start(dir: &Path) -> Child {
    Command::new(example())
        .arg(dir)
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the example is built by cargo test -p store")
}

/// Acknowledged entries in what a killed process printed: whole lines only.
fn acknowledged(printed: &str) -> Vec<(usize, String)> {
    let whole = printed.rfind('\n').map_or("", |end| &printed[..end]);
    let line = |line: &str| {
        let (number, text) = line.split_once('\t').unwrap();
        (number.parse().unwrap(), text.to_owned())
    };
    whole.lines().map(line).collect()
}

fn notes(dir: &Path) -> Vec<String> {
    let job = Store::open(dir)
        .unwrap()
        .load(JobId::from_number(1))
        .unwrap();
    let text = |entry: job::Entry| match entry.kind {
        EntryKind::Note { text } => text,
        other => panic!("{other:?}"),
    };
    job.entries.into_iter().map(text).collect()
}

#[test]
fn what_was_acknowledged_survives_two_hundred_kills() {
    let started = Instant::now();
    let dir = tempfile::tempdir().unwrap();
    let mut all = Vec::new();
    // A fixed sequence, so that a failure can be tried again; the moments are
    // random enough through the scheduler. (Numerical Recipes' quick generator, from memory.)
    let mut state = 1_u32;
    for kill in 0..200 {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        let mut child = start(dir.path());
        // From before the database is open to dozens of entries in.
        std::thread::sleep(Duration::from_micros(u64::from(state >> 16)));
        child.kill().unwrap();
        let mut printed = String::new();
        child
            .stdout
            .take()
            .unwrap()
            .read_to_string(&mut printed)
            .unwrap();
        let mut complaint = String::new();
        child
            .stderr
            .take()
            .unwrap()
            .read_to_string(&mut complaint)
            .unwrap();
        child.wait().unwrap();
        assert!(complaint.is_empty(), "kill {kill}: {complaint}");
        all.extend(acknowledged(&printed));
    }
    let kept = notes(dir.path());
    for (number, text) in &all {
        assert_eq!(kept.get(number - 1), Some(text), "entry {number}");
    }
    // Of each kill at most the one entry that was on its way is there unacknowledged.
    assert!(
        all.len() > 200 && kept.len() <= all.len() + 200,
        "{} acknowledged, {} kept",
        all.len(),
        kept.len()
    );
    let verdict = integrity(&dir.path().join("nightdraw.db"));
    assert_eq!(verdict, "ok");
    eprintln!(
        "{} acknowledged, {} kept, {:.1} s",
        all.len(),
        kept.len(),
        started.elapsed().as_secs_f64()
    );
}

fn integrity(path: &Path) -> String {
    let connection = rusqlite::Connection::open(path).unwrap();
    connection
        .query_row("PRAGMA integrity_check", [], |row| row.get(0))
        .unwrap()
}

#[test]
fn two_processes_share_one_database() {
    let dir = tempfile::tempdir().unwrap();
    let mut children = [start(dir.path()), start(dir.path())];
    let mut all = Vec::new();
    for child in &mut children {
        let lines = BufReader::new(child.stdout.take().unwrap()).lines();
        let text: Vec<String> = lines.take(50).map(|line| line.unwrap() + "\n").collect();
        all.extend(acknowledged(&text.concat()));
    }
    for child in &mut children {
        child.kill().unwrap();
        let mut complaint = String::new();
        child
            .stderr
            .take()
            .unwrap()
            .read_to_string(&mut complaint)
            .unwrap();
        // The reader's end is closed after fifty lines; that alone may be complained about.
        assert!(
            complaint.is_empty() || complaint.contains("BrokenPipe"),
            "{complaint}"
        );
        child.wait().unwrap();
    }
    let kept = notes(dir.path());
    assert_eq!(all.len(), 100);
    for (number, text) in &all {
        assert_eq!(kept.get(number - 1), Some(text), "entry {number}");
    }
}

#[test]
fn a_full_disk_is_said_and_loses_nothing() {
    let dir = tempfile::tempdir().unwrap();
    let Some(_mounted) = Mounted::small(dir.path()) else {
        eprintln!("skipped: mounting a small tmpfs needs root");
        return;
    };
    let store = Store::open(dir.path()).unwrap();
    let id = store.create(&job::Job::default()).unwrap();
    let text = "x".repeat(10_000);
    let entry = job::Entry {
        at: jiff::Timestamp::UNIX_EPOCH,
        instrument: None,
        kind: EntryKind::Note { text: text.clone() },
    };
    let mut kept = 0;
    let error = loop {
        match store.append(id, &entry, None) {
            Ok(_) => kept += 1,
            Err(error) => break error,
        }
        assert!(
            kept < 1000,
            "a disk of one megabyte took {kept} entries of 10 kB"
        );
    };
    assert_eq!(error.kind, StoreErrorKind::DiskFull, "{error}");
    assert!(error.to_string().contains("the disk is full"), "{error}");
    drop(store);
    let store = Store::open(dir.path()).unwrap();
    assert_eq!(store.load(id).unwrap().entries.len(), kept);
    eprintln!("{kept} entries kept");
}

#[test]
fn a_read_only_folder_is_said() {
    let dir = tempfile::tempdir().unwrap();
    let Some(mounted) = Mounted::small(dir.path()) else {
        eprintln!("skipped: mounting needs root");
        return;
    };
    mounted.read_only();
    let error = Store::open(dir.path()).unwrap_err();
    assert_eq!(error.kind, StoreErrorKind::ReadOnly, "{error}");
    let error = Store::open(&dir.path().join("below")).unwrap_err();
    assert_eq!(error.kind, StoreErrorKind::ReadOnly, "{error}");
    assert!(error.hint.contains("--data"), "{error}");
}

/// A small tmpfs, unmounted when dropped.
struct Mounted(PathBuf);

impl Mounted {
    fn small(at: &Path) -> Option<Self> {
        let done = Command::new("mount")
            .args(["-t", "tmpfs", "-o", "size=1m", "tmpfs"])
            .arg(at)
            .output()
            .ok()?;
        done.status.success().then(|| Self(at.to_owned()))
    }

    fn read_only(&self) {
        assert!(
            Command::new("mount")
                .args(["-o", "remount,ro"])
                .arg(&self.0)
                .status()
                .unwrap()
                .success()
        );
    }
}

impl Drop for Mounted {
    fn drop(&mut self) {
        // Lazily, in case the store is still open.
        let _ = Command::new("umount").arg("-l").arg(&self.0).status();
    }
}
