//! What a person reads follows the language of the terminal or `--lang`; what
//! programs read does not. Every command is run in every state that a person
//! can bring about, refusals included.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "a test fails by panicking"
)]

mod common;
mod every_command;

use std::collections::BTreeSet;

use common::{Answer, command, root};
use every_command::walk;
use tongue::{Lang, messages};

fn in_terminal(arguments: &[&str], locale: &str) -> Answer {
    let mut command = command(arguments);
    command.current_dir(root()).env("LC_ALL", locale);
    Answer::from(command.output().unwrap())
}

const ASSESS: [&str; 2] = ["assess", "demo/bread-van.toml"];

#[test]
fn the_terminal_s_language_holds_unless_another_is_asked_for() {
    let german = in_terminal(&ASSESS, "de_DE.UTF-8").ok().out;
    assert!(german.starts_with("Abgestellt zieht es"), "{german}");
    let [assess, file] = ASSESS;
    let asked = in_terminal(&[assess, file, "--lang", "de"], "C");
    assert_eq!(asked.ok().out, german);
    let english = in_terminal(&ASSESS, "C").ok().out;
    assert!(english.starts_with("Parked it draws"), "{english}");
    let english_asked = in_terminal(&["--lang", "en", assess, file], "de_DE.UTF-8");
    assert_eq!(english_asked.ok().out, english);
    // Also where the command line cannot be understood.
    let wrong = ["park", "--capacity", "60", "--draw", "20mA"];
    let refused = in_terminal(&wrong, "de_AT.UTF-8");
    assert!(refused.err.contains("hat keine Einheit"), "{}", refused.err);
    let asked = in_terminal(&[&wrong[..], &["--lang=de"]].concat(), "C");
    assert_eq!(asked.err, refused.err);
}

/// Names of an invented vehicle's cables, which tests are typed with, and of a place that is
/// typed and is not there.
const PLACES: &[&str] = &["alternator", "box", "cabin", "engine", "nowhere", "rear"];

/// Words that are typed as they stand here, in every language.
const TYPED: &[&str] = &[
    "alone",
    "asleep",
    "balance",
    "blade",
    "car",
    "cartridge",
    "dry",
    "flooded",
    "gel",
    "gravity",
    "log",
    "note",
    "outside",
    "profile",
    "refit",
    "resistance",
    "small",
    "strike",
    "van",
];

/// The name and a circuit of the finished job that is imported: a job's words are its writer's.
const WRITTEN: &[&str] = &["estate", "lamps"];

/// The reader of TOML is somebody else's and speaks English; so do its hints.
const TOML: &[&str] = &["expected"];

#[test]
fn nothing_english_is_left_where_german_is_spoken() {
    let mut left = Vec::new();
    for said in walk("de", false) {
        let text = said.shown();
        let names = |word: &String| {
            let lists = [PLACES, TYPED, WRITTEN, TOML];
            lists.iter().any(|list| list.contains(&word.as_str())) || said.typed(word)
        };
        let mut words = tongue::english_words(&text);
        words.retain(|word| !names(word));
        if !words.is_empty() || tongue::english_in(&text).is_some() {
            left.push(format!("{}: {words:?}\n{text}", said.line()));
        }
    }
    assert!(left.is_empty(), "{}", left.join("\n\n"));
}

/// Sentences of the command line that this walk does not bring about, and why.
const UNMET: &[(&str, &str)] = &[
    ("cli-no-such-file", "in English the system says it"),
    (
        "cli-no-permission",
        "in English the system says it, and this may be root",
    ),
    ("cli-no-permission-hint", "this may be root"),
    ("cli-it-is-a-folder", "in English the system says it"),
    ("cli-disk-full", "in English the system says it"),
    ("cli-disk-full-hint", "bad_input.rs fills a disk"),
    ("cli-cannot-write-to", "needs a closed standard output"),
    ("cli-standard-output", "needs a closed standard output"),
    ("cli-no-home", "needs an account without a folder"),
    ("cli-no-home-hint", "needs an account without a folder"),
    ("cli-cannot-start", "needs a machine without threads"),
    ("cli-no-manual", "never happens"),
    ("cli-report-this", "never happens"),
    ("cli-pdf-hint", "never happens"),
    ("cli-let-phone-in", "needs a page that is open"),
    ("cli-no-browser", "needs a page that is open"),
    ("cli-received-and-cut", "listen_job.rs kills a listener"),
    ("cli-stopped", "needs a signal"),
    ("cli-was-read", "needs a source that breaks"),
    ("cli-seconds-ago", "needs a terminal"),
    ("cli-level-since", "needs a terminal"),
    (
        "cli-balance-low",
        "few weeks settle between half and three quarters",
    ),
    (
        "cli-park-no-end",
        "needs a battery that stands for ten years",
    ),
    (
        "cli-hookup-unsuited",
        "each way has its instrument by itself",
    ),
    (
        "cli-hookup-unsuited-hint",
        "each way has its instrument by itself",
    ),
    ("cli-contradicting", "job/tests/german.rs has such a job"),
    ("cli-may-freeze", "job/tests/german.rs has such a job"),
    ("cli-fuse", "job/tests/german.rs has such a job"),
];

#[test]
fn the_walk_meets_what_the_command_line_says() {
    let said: String = walk("en", false).iter().map(|said| said.shown()).collect();
    let unmet: BTreeSet<String> = messages(Lang::En)
        .1
        .iter()
        .flat_map(|text| text.lines())
        .filter(|line| line.starts_with("cli-"))
        .filter_map(|line| line.split_once(" = "))
        .filter(|(_, text)| !text.starts_with("{ $") || !text.ends_with("->"))
        .filter(|(name, text)| {
            let longest = text
                .split(['{', '}'])
                .step_by(2)
                .max_by_key(|piece| piece.len())
                .unwrap();
            !name.starts_with("cli-usage-") && !said.contains(longest)
        })
        .map(|(name, _)| name.to_owned())
        .filter(|name| UNMET.iter().all(|(unmet, _)| unmet != name))
        .collect();
    assert!(unmet.is_empty(), "never said: {unmet:#?}");
}

#[test]
fn programs_read_english() {
    let (english, german) = (walk("en", true), walk("de", true));
    for (english, german) in english.iter().zip(&german) {
        // When a stream is looked at depends on the clock too, and so does what is said on the way.
        let timed = english.line().contains("--virtual-van");
        if english.line().contains("--json") && !timed {
            assert_eq!(english.answer.out, german.answer.out, "{}", english.line());
        }
        assert_eq!(
            english.answer.code,
            german.answer.code,
            "{}",
            english.line()
        );
    }
}
