//! What finished jobs taught, on the command line.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "a test fails by panicking, and says what it skipped"
)]

mod common;

use common::{Answer, root, run};
use tempfile::TempDir;

struct Bench(TempDir);

impl Bench {
    fn new() -> Self {
        Self(tempfile::tempdir().unwrap())
    }

    fn run(&self, arguments: &[&str]) -> Answer {
        let data = self.0.path().join("data").display().to_string();
        run(&[arguments, &["--data", &data]].concat())
    }

    fn take_in(&self, file: &str) {
        self.run(&["job", "import", file]).ok();
    }
}

fn finished() -> String {
    root()
        .join("crates/store/tests/data/finished.toml")
        .display()
        .to_string()
}

#[test]
fn a_finished_job_is_shown_exported_forgotten_and_remembered() {
    let bench = Bench::new();
    assert!(bench.run(&["history"]).ok().out.contains("No finished job"));
    bench.take_in(&finished());
    let shown = bench.run(&["history", "show"]).ok().out;
    assert!(shown.starts_with("1 finished job sharpens"), "{shown}");
    assert!(
        shown.contains("boot lamp") && shown.contains("load bay lamps"),
        "{shown}"
    );
    let exported = bench.run(&["history", "export"]).ok();
    assert_eq!(exported.json()["jobs"], 1);
    assert!(
        !exported.out.contains("Made-up estate"),
        "no vehicle is named"
    );
    let forgotten = bench.run(&["history", "forget", "1", "--json"]).ok().json();
    assert_eq!(forgotten["jobs"], 0);
    assert_eq!(forgotten["lessons"][0]["forgotten"], true);
    let again = bench.run(&["history", "remember", "--all", "--json"]).ok();
    assert_eq!(again.json()["families"], exported.json()["families"]);
    bench.run(&["history", "forget", "--all"]).ok();
    assert_eq!(bench.run(&["history", "--json"]).ok().json()["jobs"], 0);
    let error = bench.run(&["history", "forget", "9"]);
    assert_eq!(error.code, 1);
    assert!(error.err.contains("there is no job 9"), "{}", error.err);
    assert_eq!(bench.run(&["history", "forget"]).code, 2);
}

#[test]
fn the_next_job_leans_on_it_unless_it_is_left_out() {
    let bench = Bench::new();
    bench.take_in(&finished());
    // The same vehicle before anything was found.
    let text = std::fs::read_to_string(finished()).unwrap();
    let open = text
        .split("[[entry]]")
        .take(2)
        .collect::<Vec<_>>()
        .join("[[entry]]");
    let open = common::file(&bench.0, "open.toml", open);
    bench.take_in(&open);
    let document = |arguments: &[&str]| bench.run(&[arguments, &["--json"]].concat()).ok().json();
    let with = document(&["assess", "2"]);
    let without = document(&["assess", "2", "--without-history"]);
    assert_eq!(
        (&with["learned_from"], &without["learned_from"]),
        (&1.into(), &0.into())
    );
    assert_ne!(with["nodes"], without["nodes"]);
    assert!(
        with.to_string()
            .contains("your one finished job was a fault of this kind")
    );
    // A file is answered alike on every machine, unless a bench is named.
    let file = run(&["assess", &open, "--json"]).ok().json();
    assert_eq!(file, without);
    assert_eq!(document(&["assess", &open]), with);
    assert_eq!(document(&["assess", &open, "--without-history"]), without);
    // Switched off for the bench.
    bench.run(&["history", "off"]).ok();
    assert_eq!(document(&["assess", "2"]), without);
    bench.run(&["history", "on"]).ok();
    assert_eq!(document(&["assess", "2"]), with);
    // The job that taught is not judged by itself.
    assert_eq!(document(&["assess", "1"])["learned_from"], 0);
    // Reopened, it takes its lesson back.
    bench.run(&["job", "strike", "1", "2"]).ok();
    assert_eq!(document(&["assess", "2"]), without);
    let shown = bench.run(&["history"]).ok().out;
    assert!(shown.contains("nothing: No repair is entered."), "{shown}");
}
