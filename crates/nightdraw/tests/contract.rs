//! `docs/contract.md` against what the program prints: each field that the
//! document promises is there, in its place; its example job file is taken.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "a test fails by panicking, and says what it skipped"
)]

mod common;

use std::{collections::BTreeSet, fs, mem};

use common::{demo, root, run};
use serde_json::Value;

/// Paths of the fields (`nodes.draw.p05`) in the JSON blocks of the section that
/// starts with `heading`; what stands in an array counts for its items.
fn promised(heading: &str) -> BTreeSet<String> {
    let document = fs::read_to_string(root().join("docs/contract.md")).unwrap();
    let section = document
        .split("\n## ")
        .find(|section| section.starts_with(heading))
        .unwrap_or_else(|| panic!("no section {heading}"));
    let (mut paths, mut open, mut name) = (BTreeSet::new(), Vec::<String>::new(), String::new());
    let mut rest = section;
    while let Some(at) = rest.find(['"', '{', '}']) {
        let (mark, after) = (&rest[at..=at], &rest[at + 1..]);
        rest = after;
        match mark {
            "{" => open.push(mem::take(&mut name)),
            "}" => drop(open.pop()),
            _ => {
                let (word, after) = after.split_once('"').unwrap_or((after, ""));
                rest = after;
                if after.trim_start().starts_with(':') {
                    word.clone_into(&mut name);
                    paths.insert(joined(&open, word));
                }
            }
        }
    }
    assert!(!paths.is_empty(), "no field names under {heading}");
    paths
}

fn joined(open: &[String], name: &str) -> String {
    let outer = open.iter().map(String::as_str);
    let whole: Vec<_> = outer
        .chain([name])
        .filter(|part| !part.is_empty())
        .collect();
    whole.join(".")
}

fn paths_in(document: &Value, open: &mut Vec<String>, found: &mut BTreeSet<String>) {
    match document {
        Value::Object(map) => {
            for (name, value) in map {
                found.insert(joined(open, name));
                open.push(name.clone());
                paths_in(value, open, found);
                open.pop();
            }
        }
        Value::Array(items) => items.iter().for_each(|item| paths_in(item, open, found)),
        _ => {}
    }
}

#[track_caller]
fn check(heading: &str, commands: &[&[&str]]) {
    let mut found = BTreeSet::new();
    for arguments in commands {
        paths_in(&run(arguments).ok().json(), &mut Vec::new(), &mut found);
    }
    let missing: Vec<_> = promised(heading).difference(&found).cloned().collect();
    assert!(missing.is_empty(), "promised but not printed: {missing:?}");
}

#[test]
fn read_prints_what_is_promised() {
    // A log with a gap, so that the fields of a gap show; and one that has not settled.
    let folder = tempfile::tempdir().unwrap();
    let gap: String = (0..400)
        .map(|row| {
            format!(
                "{},{}\n",
                if row < 200 { row } else { row + 500 },
                20 + row % 3
            )
        })
        .collect();
    let gap = common::file(&folder, "gap.csv", format!("time_s,current_mA\n{gap}"));
    let stairs: String = (0..60)
        .map(|row| format!("{row},{}\n", 4000 - row / 10 * 500 + row % 3))
        .collect();
    let stairs = common::file(
        &folder,
        "stairs.csv",
        format!("time_s,current_mA\n{stairs}"),
    );
    // Current and voltage, with the clamp off the cable at first.
    let two: String = (0..8000)
        .map(|row| {
            let milliampere = if row < 60 {
                0
            } else if row < 600 {
                3000
            } else {
                40
            };
            let volt = if row < 4000 { 12.5 } else { 11.9 };
            format!("{row},{},{volt}\n", milliampere + row % 3)
        })
        .collect();
    let two = common::file(
        &folder,
        "two.csv",
        format!("time_s,current_mA,voltage_V\n{two}"),
    );
    check(
        "`nightdraw read FILE|-`",
        &[
            &["read", &demo("night.csv"), "--json"],
            &["read", &gap, "--json"],
            &["read", &stairs, "--json"],
            &[
                "read", &two, "--json", "--zero", "20s..40s", "--pulled", "6000s F1",
            ],
        ],
    );
}

#[test]
fn assess_prints_what_is_promised() {
    let folder = tempfile::tempdir().unwrap();
    let rested = "format = 1\n[battery]\ncapacity = \"60Ah\"\n[[node]]\nid = \"F1\"\nfrom = \"battery\"\n\
        kind = \"fuse\"\nrating = \"10A\"\n\
        [[entry]]\nat = \"2026-03-02T20:10:00Z\"\nkind = \"rest-voltage\"\nvalue = \"12.5V\"\n\
        [[entry]]\nat = \"2026-03-02T20:20:00Z\"\nkind = \"draw\"\nnode = \"battery\"\nhow = \"clamp\"\n\
        value = \"300mA\"\nasleep = false\n\
        [[entry]]\nat = \"2026-03-02T20:30:00Z\"\nkind = \"draw\"\nnode = \"battery\"\nhow = \"clamp\"\n\
        value = \"400mA\"\nasleep = true\n\
        [[entry]]\nat = \"2026-03-02T20:40:00Z\"\nkind = \"draw\"\nnode = \"F1\"\nhow = \"clamp\"\n\
        value = \"395mA\"\nasleep = true\n";
    let rested = common::file(&folder, "job.toml", rested);
    // Millivolts across a fuse whose current is known otherwise calibrate it.
    let calibrated = "format = 1\n[battery]\ncapacity = \"60Ah\"\n[[node]]\nid = \"F1\"\nfrom = \"battery\"\n\
        kind = \"fuse\"\nrating = \"15A\"\nfuse = \"mini\"\n\
        [[entry]]\nat = \"2026-03-02T20:10:00Z\"\nkind = \"draw\"\nnode = \"F1\"\nhow = \"millivolt\"\n\
        value = \"2.2mV\"\nasleep = true\n\
        [[entry]]\nat = \"2026-03-02T20:20:00Z\"\nkind = \"draw\"\nnode = \"F1\"\nhow = \"in-line\"\n\
        value = \"400mA\"\nasleep = true\n";
    let calibrated = common::file(&folder, "fuse.toml", calibrated);
    // Too much, and nothing of it at the only circuit there is.
    let outside = "format = 1\n[[node]]\nid = \"main\"\nfrom = \"battery\"\nkind = \"cable\"\n\
        [[entry]]\nat = \"2026-03-02T20:10:00Z\"\nkind = \"draw\"\nnode = \"battery\"\nhow = \"clamp\"\n\
        value = \"400mA\"\nasleep = true\n\
        [[entry]]\nat = \"2026-03-02T20:20:00Z\"\nkind = \"draw\"\nnode = \"main\"\nhow = \"clamp\"\n\
        value = \"2mA\"\nasleep = true\n";
    let outside = common::file(&folder, "outside.toml", outside);
    check(
        "`nightdraw assess JOBFILE`",
        &[
            &["assess", &outside, "--json"],
            &["assess", &demo("bread-van.toml"), "--json"],
            &["assess", &rested, "--json"],
            &["assess", &calibrated, "--json"],
        ],
    );
}

/// The job file in the document is a job file, not a picture of one.
#[test]
fn the_example_job_is_taken() {
    let document = fs::read_to_string(root().join("docs/contract.md")).unwrap();
    let example = document
        .split("```toml\n")
        .nth(1)
        .and_then(|rest| rest.split("```").next())
        .unwrap();
    let folder = tempfile::tempdir().unwrap();
    let path = common::file(&folder, "example.toml", example);
    let answer = run(&["assess", &path, "--json"]).ok();
    assert_eq!(answer.err, "", "an example warns of nothing");
    let radio = answer.json()["nodes"]
        .as_array()
        .unwrap()
        .iter()
        .any(|node| node["id"] == "radio");
    assert!(radio);
}

#[test]
fn next_only_prints_what_a_loop_needs() {
    let document = run(&["assess", &demo("bread-van.toml"), "--next-only", "--json"])
        .ok()
        .json();
    for name in ["culprits", "done", "next", "total"] {
        assert!(document.get(name).is_some(), "{name}");
    }
}

#[test]
fn park_prints_what_is_promised() {
    check(
        "`nightdraw park`",
        &[&[
            "park",
            "--capacity",
            "60Ah",
            "--charge",
            "85%",
            "--draw",
            "420mA",
            "--temperature",
            "5C",
            "--chemistry",
            "agm",
            "--health",
            "0.8",
            "--cranking",
            "540A",
            "--standard",
            "en",
            "--engine-needs",
            "180A",
            "--json",
        ]],
    );
}

#[test]
fn hookup_and_balance_print_what_is_promised() {
    check(
        "`nightdraw hookup`",
        &[&["hookup", "--how", "in-line", "--keeper", "dry-9v", "--json"]],
    );
    check(
        "`nightdraw balance`",
        &[&[
            "balance",
            "--capacity",
            "60Ah",
            "--draw",
            "25mA",
            "--trips",
            "10",
            "--trip",
            "45min",
            "--add",
            "100mA",
            "--json",
        ]],
    );
}

#[test]
fn errors_have_three_parts() {
    let answer = run(&["read", "no-such-file.csv", "--json"]);
    assert_eq!(answer.code, 1);
    let error = &answer.json()["error"];
    for name in ["kind", "message", "hint"] {
        assert!(error[name].is_string(), "{name}");
    }
    assert_eq!(answer.err.lines().count(), 1, "{}", answer.err);
}

#[test]
fn history_prints_what_is_promised() {
    let folder = tempfile::tempdir().unwrap();
    let data = folder.path().join("data").display().to_string();
    let finished = root().join("crates/store/tests/data/finished.toml");
    let finished = finished.display().to_string();
    run(&["job", "import", &finished, "--data", &data]).ok();
    check(
        "`nightdraw history`",
        &[&["history", "--json", "--data", &data]],
    );
}

#[test]
fn rehearse_prints_what_is_promised() {
    let arguments = ["rehearse", "--seed", "3", "--vehicle", "small", "--json"];
    let document = common::run_with_input(&arguments, b"wait 1\ndone\n")
        .ok()
        .json();
    let mut found = BTreeSet::new();
    paths_in(&document, &mut Vec::new(), &mut found);
    let missing: Vec<_> = promised("`nightdraw rehearse`")
        .difference(&found)
        .cloned()
        .collect();
    assert!(missing.is_empty(), "promised but not printed: {missing:?}");
}
