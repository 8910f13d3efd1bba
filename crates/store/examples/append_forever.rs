//! Appends notes to job 1 of a data folder and prints each number once it is
//! acknowledged, until it is killed. The durability test does the killing.
//!
//! `cargo run -p store --example append_forever -- DIR`
#![allow(clippy::print_stdout, clippy::unwrap_used)] // a tool for one test

use std::io::Write;

use job::{Entry, EntryKind, Job};
use store::{JobId, Store};

fn main() {
    let dir = std::env::args_os().nth(1).unwrap();
    let store = Store::open(dir.as_ref()).unwrap();
    let id = match store.list().unwrap().first() {
        Some(job) => job.id,
        None => store.create(&Job::default()).unwrap(),
    };
    assert_eq!(id, JobId::from_number(1));
    let mut out = std::io::stdout().lock();
    loop {
        let text = format!(
            "{} from process {}",
            jiff::Timestamp::now(),
            std::process::id()
        );
        let entry = Entry {
            at: jiff::Timestamp::now(),
            instrument: None,
            kind: EntryKind::Note { text: text.clone() },
        };
        let number = store.append(id, &entry, None).unwrap();
        writeln!(out, "{number}\t{text}").unwrap();
        out.flush().unwrap();
    }
}
