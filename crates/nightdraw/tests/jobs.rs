//! Jobs on the command line: kept, shown, struck, exported, imported.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "a test fails by panicking, and says what it skipped"
)]

mod common;

use common::{Answer, demo, run};
use tempfile::{TempDir, tempdir};

struct Bench {
    folder: TempDir,
}

impl Bench {
    fn new() -> Self {
        Self {
            folder: tempdir().unwrap(),
        }
    }

    fn run(&self, arguments: &[&str]) -> Answer {
        let data = self.folder.path().join("data").display().to_string();
        run(&[arguments, &["--data", &data]].concat())
    }

    fn path(&self, name: &str) -> String {
        self.folder.path().join(name).display().to_string()
    }
}

#[test]
fn a_whole_job_by_hand() {
    let bench = Bench::new();
    let fuses = bench.path("fuses.txt");
    std::fs::write(
        &fuses,
        "F1 10A engine control\nF12 15A radio\nF17 10A load bay lamps\n",
    )
    .unwrap();
    bench
        .run(&[
            "job",
            "new",
            "Van",
            "--capacity",
            "60Ah",
            "--no-start-after",
            "40h",
            "--fuses",
            &fuses,
        ])
        .ok();
    bench
        .run(&[
            "job",
            "add",
            "1",
            "draw",
            "node=battery",
            "how=clamp",
            "value=438mA",
            "asleep=true",
        ])
        .ok();
    let before = bench.run(&["assess", "1", "--json"]).ok().json();
    assert_eq!(before["done"], false);
    assert!(before["next"]["why"].is_string());
    bench
        .run(&[
            "job",
            "add",
            "1",
            "draw",
            "node=F17",
            "how=millivolt",
            "value=3.2mV",
            "asleep=true",
        ])
        .ok();
    let after = bench.run(&["assess", "1", "--json"]).ok().json();
    assert_eq!(after["culprits"][0]["node"], "F17");
    assert_eq!(after["done"], true);

    bench.run(&["job", "strike", "1", "2"]).ok();
    let struck = bench.run(&["assess", "1", "--json"]).ok().json();
    assert_eq!(
        struck, before,
        "striking an entry equals never having made it"
    );
    bench
        .run(&["job", "strike", "1", "2"])
        .refuses(1, &["struck"]);
    bench.run(&["job", "strike", "1", "3"]).ok();
    assert_eq!(
        bench.run(&["assess", "1", "--json"]).ok().json(),
        after,
        "a strike can be struck"
    );
}

#[test]
fn export_and_import_give_an_identical_assessment() {
    let bench = Bench::new();
    bench.run(&["job", "import", &demo("bread-van.toml")]).ok();
    let out = bench.path("out.toml");
    bench.run(&["job", "export", "1", "-o", &out]).ok();
    bench.run(&["job", "import", &out]).ok();
    let first = bench.run(&["assess", "1", "--json"]).ok().out;
    let second = bench.run(&["assess", "2", "--json"]).ok().out;
    assert_eq!(first, second);
    // The exported file stands alone: its recording is inside.
    assert_eq!(run(&["assess", &out, "--json"]).ok().out, first);
    assert_eq!(
        run(&["assess", &demo("bread-van.toml"), "--json"]).ok().out,
        first
    );
    let again = bench.run(&["job", "export", "2"]).ok().out;
    assert_eq!(std::fs::read_to_string(&out).unwrap(), again);
}

#[test]
fn the_list_and_one_job_are_shown() {
    let bench = Bench::new();
    assert!(bench.run(&["job", "list"]).ok().out.contains("no jobs yet"));
    bench.run(&["job", "import", &demo("bread-van.toml")]).ok();
    assert!(bench.run(&["job", "list"]).ok().out.contains("invented"));
    let page = bench.run(&["job", "show", "1"]).ok().out;
    for words in ["Next:", "total draw", "Entries", "night.csv"] {
        assert!(page.contains(words), "{words}: {page}");
    }
    bench.run(&["job", "show", "7"]).refuses(1, &["7"]);
}

#[test]
fn the_report_is_one_file() {
    let bench = Bench::new();
    let out = bench.path("report.html");
    run(&["report", &demo("bread-van.toml"), "-o", &out]).ok();
    let html = std::fs::read_to_string(&out).unwrap();
    assert!(html.starts_with("<!DOCTYPE html>"));
    for forbidden in ["src=\"http", "href=\"http", "url(http", "<script"] {
        assert!(!html.contains(forbidden), "{forbidden}");
    }
    assert!(html.contains("<svg"));
    assert!(html.to_lowercase().contains("invented"));
}

#[test]
fn same_input_same_bytes() {
    let (night, van) = (demo("night.csv"), demo("bread-van.toml"));
    let park = ["park", "--capacity", "60Ah", "--draw", "420mA", "--json"];
    let hookup = ["hookup", "--how", "in-line", "--json"];
    let commands: [&[&str]; 6] = [
        &["read", &night, "--json"],
        &["read", &night, "--svg", "/dev/stdout"],
        &["assess", &van, "--json"],
        &["report", &van],
        &park,
        &hookup,
    ];
    for arguments in commands {
        assert_eq!(
            run(arguments).ok().out,
            run(arguments).ok().out,
            "{arguments:?}"
        );
    }
}

#[test]
fn help_teaches() {
    let help = run(&["--help"]).ok().out;
    for words in ["nightdraw read night.csv", "60Ah", "Exit codes"] {
        assert!(help.contains(words), "{words}");
    }
    for command in [
        "read",
        "listen",
        "assess",
        "park",
        "balance",
        "hookup",
        "job",
        "report",
        "open",
        "completions",
        "manual",
    ] {
        assert!(help.contains(command), "{command}");
        run(&[command, "--help"]).ok();
    }
    assert!(run(&["manual"]).ok().out.contains(".TH nightdraw"));
    assert!(run(&["completions", "bash"]).ok().out.contains("nightdraw"));
}

#[test]
fn a_coarse_tree_is_refined_without_losing_a_reading() {
    let bench = Bench::new();
    let coarse = bench.path("coarse.txt");
    std::fs::write(&coarse, "Engine box:\nF1\nCabin box:\nF21-F30\n").unwrap();
    bench
        .run(&["job", "new", "Estate", "--fuses", &coarse])
        .ok();
    let read = [
        "draw",
        "node=battery",
        "how=clamp",
        "value=412mA",
        "asleep=true",
    ];
    bench.run(&[&["job", "add", "1"][..], &read].concat()).ok();
    let at_box = [
        "draw",
        "node=cabin-box-feed",
        "how=clamp",
        "value=400mA",
        "asleep=true",
    ];
    bench
        .run(&[&["job", "add", "1"][..], &at_box].concat())
        .ok();
    let before = bench.run(&["assess", "1", "--json"]).ok().json();
    let table = bench.path("table.csv");
    std::fs::write(
        &table,
        "name;rating;circuit;keeps-settings;location;reachable\nF21;10A;Boot lamp;no;Cabin box;yes\nF31;15A;Radio;yes;Cabin box;no\n",
    )
    .unwrap();
    let refined = bench
        .run(&["job", "fuses", "1", &table, "--json"])
        .ok()
        .json();
    assert_eq!(
        (&refined["added"][0], &refined["filled"][0]),
        (&"F31".into(), &"F21".into())
    );
    let after = bench.run(&["assess", "1", "--json"]).ok().json();
    assert_eq!(after["total"], before["total"]);
    let node = |document: &serde_json::Value, id: &str| {
        let nodes = document["nodes"].as_array().unwrap();
        nodes.iter().find(|node| node["id"] == id).unwrap().clone()
    };
    let cabin = |document| node(document, "cabin-box-feed");
    assert_eq!(cabin(&after)["entries"], cabin(&before)["entries"]);
    assert_eq!(node(&after, "F21")["label"], "Boot lamp");
    assert!(node(&after, "F31")["keeps_settings"].as_bool().unwrap());
    // A new job on the same vehicle has its circuits and none of its entries.
    bench
        .run(&["job", "copy", "1", "--name", "Estate again"])
        .ok();
    let copy = bench.run(&["job", "export", "2"]).ok().out;
    assert!(copy.contains("Estate again") && copy.contains("F31") && !copy.contains("[[entry]]"));
}
