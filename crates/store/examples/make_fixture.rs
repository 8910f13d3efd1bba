//! Writes the saved database that the tests of a version open for ever after.
//!
//! `cargo run -p store --example make_fixture -- crates/store/tests/data/version-1`
//!
//! Run once per database version, by the version that first writes it. The
//! job in it is invented.
#![allow(clippy::unwrap_used)] // a tool of the developers

use store::Store;

fn main() {
    let dir = std::env::args_os().nth(1).unwrap();
    let store = Store::open(dir.as_ref()).unwrap();
    store
        .import(include_str!("../tests/data/job.toml"))
        .unwrap();
}
