//! Rehearsals on the command line, and the loop that drives an isolation.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "a test fails by panicking, and says what it skipped"
)]

mod common;

use common::{run, run_with_input};
use practice::{Session, Setup};
use serde_json::Value;

const SMALL: &[&str] = &[
    "rehearse",
    "--seed",
    "105",
    "--vehicle",
    "small",
    "--reach",
    "all",
];

fn with(more: &[&str]) -> Vec<&'static str> {
    let more: Vec<&'static str> = more.iter().map(|text| &*text.to_string().leak()).collect();
    [SMALL, &more].concat()
}

#[test]
fn a_scripted_rehearsal_is_scored_and_says_that_it_is_invented() {
    let script = b"1\n# a remark\nlist\nmv nowhere\nwait 5\nclock\nadvice\nhelp\n1\ndone\n";
    let words = run_with_input(SMALL, script).ok().out;
    for part in [
        "Everything about it is invented",
        "Score",
        "planner",
        "It was",
        "parted",
    ] {
        assert!(words.contains(part), "{part}: {words}");
    }
    let answer = run_with_input(&with(&["--json"]), script).ok();
    let document = answer.json();
    assert_eq!(document["finished"], true);
    assert_eq!(document["yours"]["steps"].as_array().unwrap().len(), 3);
    assert!(document["planner"]["minutes"].as_f64().unwrap() > 0.0);
    // By seed, the same again.
    assert_eq!(
        run_with_input(&with(&["--json"]), script).ok().json(),
        document
    );
}

#[test]
fn the_planners_way_typed_in_is_the_planners_score() {
    let document = run_with_input(&with(&["--json"]), b"done\n").ok().json();
    let script: String = document["planner"]["steps"]
        .as_array()
        .unwrap()
        .iter()
        .map(|step| format!("{}\n", step["test"].as_str().unwrap()))
        .collect();
    let scored = run_with_input(&with(&["--json"]), format!("{script}done\n").as_bytes())
        .ok()
        .json();
    assert_eq!(scored["yours"], document["planner"]);
    assert_eq!(scored["parted"], Value::Null);
    assert_eq!(scored["yours"]["solved"], true);
}

#[test]
fn quitting_and_resuming_is_as_going_on() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("left.toml").display().to_string();
    let left = run_with_input(&with(&["--save", &file]), b"1\nwait 5\nquit\n").ok();
    assert!(left.out.contains("--resume"), "{}", left.out);
    let resumed = run_with_input(&["rehearse", "--resume", &file, "--json"], b"1\ndone\n").ok();
    let at_once = run_with_input(&with(&["--json"]), b"1\nwait 5\n1\ndone\n").ok();
    assert_eq!(resumed.json(), at_once.json());
    // It is a job like any other, and no real one can be taken for it.
    assert!(run(&["assess", &file]).ok().out.contains("Parked it draws"));
    let demo = common::demo("bread-van.toml");
    let error = run_with_input(&["rehearse", "--resume", &demo], b"");
    assert_eq!(error.code, 1);
    assert!(error.err.contains("no rehearsal"), "{}", error.err);
}

#[test]
fn the_trace_reads_like_a_real_one() {
    let folder = tempfile::tempdir().unwrap();
    let log = folder.path().join("trace.csv").display().to_string();
    let script = b"wait 60\ndone\n";
    run_with_input(&with(&["--trace", &log]), script).ok();
    let read = run(&["read", &log, "--json"]).ok().json();
    assert!(
        read["settled"]["draw"]["value"].as_f64().unwrap() > 0.05,
        "{read}"
    );
    assert_eq!(read["verdict"]["exceeds"], "yes");
    // On standard output the same bytes, with nothing of the words among them.
    let piped = run_with_input(&with(&["--trace", "-"]), script).ok();
    assert_eq!(piped.out, std::fs::read_to_string(&log).unwrap());
    let heard = run_with_input(&["listen", "-", "--json"], piped.out.as_bytes())
        .ok()
        .json();
    assert_eq!(heard["settled"], read["settled"]);
    assert_eq!(
        run_with_input(&with(&["--trace", "-", "--json"]), b"").code,
        2
    );
}

#[test]
fn wrong_use_is_said_in_one_line() {
    assert_eq!(
        run_with_input(&["rehearse", "--vehicle", "tractor"], b"").code,
        2
    );
    assert_eq!(
        run_with_input(&["rehearse", "--reach", "some"], b"").code,
        2
    );
    let both = ["rehearse", "--seed", "1", "--resume", "x.toml"];
    assert_eq!(run_with_input(&both, b"").code, 2);
    // No end of line, no sense, and far too long: refused without a stumble.
    let odd = [&[0xff, 0xfe, b'\n'][..], &[b'x'; 100_000]].concat();
    run_with_input(SMALL, &odd).ok();
}

/// A program that drives an isolation through `assess --next-only` with a job
/// file that grows goes the way that the library goes.
#[test]
fn the_loop_of_the_command_line_goes_the_librarys_way() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("growing.toml");
    let mut session = Session::begin(Setup {
        seed: 105,
        kind: Some("small".into()),
        reach: rehearsal::fleet::Reach::All,
        ..Setup::default()
    })
    .unwrap();
    let mut way = Vec::new();
    for _ in 0..60 {
        std::fs::write(&path, job::file::write(session.job())).unwrap();
        let name = path.display().to_string();
        let answer = run(&["assess", &name, "--next-only", "--json"]).ok();
        let known = job::contract::next_only(&job::assess(session.job()));
        // The same bytes, so the same numbers to the last digit.
        assert_eq!(answer.out, format!("{known:#}\n"), "after {way:?}");
        let said = answer.json();
        if said["done"] == true {
            break;
        }
        // What the vehicle has no answer to is skipped, as a driver without an analyser would.
        let all = job::contract::assessment(&job::assess(session.job()));
        let wanted = std::iter::once(&said["next"]).chain(all["alternatives"].as_array().unwrap());
        let typed = wanted
            .filter_map(typed)
            .next()
            .expect("a test that can be done");
        let again = way.last() == Some(&"sleep".to_owned()) && typed == "sleep";
        let typed = if again { "clamp battery".into() } else { typed };
        session.type_in(&typed).unwrap();
        way.push(typed);
    }
    assert!(way.len() > 1, "{way:?}");
    let document: Value = job::contract::next_only(&job::assess(session.job()));
    assert_eq!(document["done"], true, "{way:?}");
}

/// A proposal as it is typed; `None` for what a rehearsal has no answer to.
fn typed(proposal: &Value) -> Option<String> {
    let nodes: Vec<&str> = proposal["nodes"]
        .as_array()?
        .iter()
        .filter_map(Value::as_str)
        .collect();
    let verb = match proposal["kind"].as_str()? {
        "clamp" => "clamp",
        "in-line" => return Some("in-line".into()),
        "millivolt" => "mv",
        "pull" | "pull-group" | "detach" => "pull",
        "unplug" => "unplug",
        "wait-for-sleep" => return Some("sleep".into()),
        _ => return None,
    };
    Some(format!("{verb} {}", nodes.join(" ")))
}

/// Seed 21 of the small ones has its fault past the fuses.
#[test]
fn what_is_wired_past_the_fuses_is_typed_as_help_says() {
    let outside = [
        "rehearse",
        "--seed",
        "21",
        "--vehicle",
        "small",
        "--reach",
        "all",
    ];
    let help = run_with_input(&outside, b"help\nquit\n").ok().out;
    assert!(help.contains("repair outside"), "{help}");
    let json = [&outside[..], &["--json"]].concat();
    let document = run_with_input(&json, b"1\nrepair outside\n1\ndone\n")
        .ok()
        .json();
    assert!(
        document["truth"][0]
            .as_str()
            .unwrap()
            .contains("past the fuses")
    );
    assert_eq!(document["yours"]["solved"], true);
    assert_eq!(document["planner"]["solved"], true);
    let steps = document["planner"]["steps"].as_array().unwrap();
    assert!(steps.iter().any(|step| step["test"] == "repair outside"));
    let words = run_with_input(&outside, b"1\nrepair outside\n1\ndone\n")
        .ok()
        .out;
    assert!(
        words.contains("What is wired past the fuses put right"),
        "{words}"
    );
}
