//! Writes the saved database that the tests of a version open for ever after.
//!
//! `cargo run -p store --example make_fixture -- crates/store/tests/data/version-2`
//!
//! Run once per database version, by the version that first writes it. The
//! jobs in it are invented; one of them does not say so, because only such a
//! job teaches.
#![allow(clippy::unwrap_used)] // a tool of the developers

use store::Store;

fn main() {
    let dir = std::env::args_os().nth(1).unwrap();
    let store = Store::open(dir.as_ref()).unwrap();
    store
        .import(include_str!("../tests/data/job.toml"))
        .unwrap();
    let finished = include_str!("../tests/data/finished.toml");
    let forgotten = store.import(finished).unwrap();
    store.import(finished).unwrap();
    store.forget(&[forgotten], true).unwrap();
    store.history().unwrap();
}
