//! When a job teaches, what, and how the next one shows it.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "helpers of tests"
)]

mod support;

use job::{
    Entry, EntryId, EntryKind, History, Job, NothingLearned, Shown, assess, assess_with, contract,
    file, lesson,
};
use measure::instrument::How;
use proptest::prelude::*;
use support::any_job;

const VAN: &str = r#"format = 1
[limit]
draw = "50mA"
[[node]]
id = "box"
from = "battery"
kind = "cable"
[[node]]
id = "F1"
from = "box"
kind = "fuse"
label = "Load bay lamps"
family = "boot-lamp"
rating = "10A"
in_place = true
[[node]]
id = "F2"
from = "box"
kind = "fuse"
label = "Radio"
family = "audio"
rating = "15A"
in_place = true
[[node]]
id = "F3"
from = "battery"
kind = "fuse"
label = "Tracker"
family = "tracker"
rating = "5A"
in_place = true
"#;

/// Entries in short: `412` a total in mA asleep, `fix F1`, `fix` without a place.
fn job(entries: &[&str]) -> Job {
    let mut job = file::parse(VAN).unwrap();
    for (minute, short) in entries.iter().enumerate() {
        let kind = match short.split(' ').collect::<Vec<_>>()[..] {
            ["fix", node] => EntryKind::Repair {
                node: Some(harness::NodeId(node.into())),
                text: "renewed".into(),
            },
            ["fix"] => EntryKind::Repair {
                node: None,
                text: "renewed".into(),
            },
            ["strike", number] => EntryKind::Strike {
                entry: EntryId::from_number(number.parse().unwrap()).unwrap(),
            },
            [total] => EntryKind::Draw {
                node: harness::NodeId::battery(),
                how: How::Clamp,
                shown: Shown::Current(total.parse::<f64>().unwrap() / 1e3),
                asleep: true,
            },
            _ => panic!("{short}"),
        };
        let at = format!("2026-03-02T20:{minute:02}:00Z").parse().unwrap();
        job.add(Entry {
            at,
            instrument: None,
            kind,
        })
        .unwrap();
    }
    job
}

fn faults(history: &History) -> Vec<&str> {
    let at_fault = |(id, tally): (&'static str, &job::Tally)| (tally.at_fault > 0).then_some(id);
    history
        .families
        .iter()
        .filter_map(|(id, tally)| {
            at_fault((harness::family::family(id).unwrap().id.as_str(), tally))
        })
        .collect()
}

#[test]
fn a_repair_proven_by_the_total_teaches_its_circuit() {
    let history = lesson(&job(&["412", "fix F1", "12"])).unwrap();
    assert_eq!((history.jobs, faults(&history)), (1, vec!["boot-lamp"]));
    // All three circuits were seen, the lamp's way by its 400 mA.
    assert_eq!(history.families.len(), 3);
    let lamp = &history.families["boot-lamp"];
    assert!(lamp.ways["5 W boot lamp left on"] > 900_000, "{lamp:?}");
    let circuit = ("boot-lamp".to_owned(), "load bay lamps".to_owned());
    assert_eq!(history.circuits[&circuit].at_fault, 1);
}

#[test]
fn an_unfinished_job_teaches_nothing_and_says_why() {
    use NothingLearned as N;
    for (entries, why) in [
        (&["412"][..], N::NoRepair),
        (&["fix F1", "12"], N::NoTotalBefore),
        (&["412", "fix F1"], N::NotReadAgain),
        (&["412", "fix F1", "400"], N::NotWithinLimit),
        (&["412", "fix", "12"], N::NoCircuitNamed),
        (&["412", "fix battery", "12"], N::NoCircuitNamed),
        // Reopened: the repair, or the reading after it, is struck out.
        (&["412", "fix F1", "12", "strike 2"], N::NoRepair),
        (&["412", "fix F1", "12", "strike 3"], N::NotReadAgain),
    ] {
        assert_eq!(lesson(&job(entries)).unwrap_err(), why, "{entries:?}");
    }
    let mut invented = job(&["412", "fix F1", "12"]);
    invented.invented = true;
    assert_eq!(lesson(&invented).unwrap_err(), N::Invented);
    let mut bare = job(&["412", "fix F1", "12"]);
    bare.nodes.clear();
    assert_eq!(lesson(&bare).unwrap_err(), N::NoCircuits);
}

#[test]
fn a_repair_that_changed_nothing_is_no_culprit() {
    let history = lesson(&job(&["412", "fix F2", "411", "fix F1", "12"])).unwrap();
    assert_eq!(faults(&history), ["boot-lamp"]);
    let both = lesson(&job(&["912", "fix F2", "412", "fix F1", "12"])).unwrap();
    assert_eq!(faults(&both), ["audio", "boot-lamp"]);
    // A struck strike finishes the job again.
    let again = job(&["412", "fix F1", "12", "strike 2", "strike 4"]);
    assert_eq!(faults(&lesson(&again).unwrap()), ["boot-lamp"]);
}

#[test]
fn repairs_made_together_count_where_they_were_suspected() {
    let mut job = job(&["412"]);
    let mut add = |text: &str| {
        let entry = file::entry_from_toml(text).unwrap();
        job.add(entry).unwrap();
    };
    add(
        "at = \"2026-03-02T21:00:00Z\"\nkind = \"draw\"\nnode = \"F1\"\nhow = \"clamp\"\nvalue = \"400mA\"\nasleep = true",
    );
    add("at = \"2026-03-02T21:01:00Z\"\nkind = \"repair\"\nnode = \"F1\"\ntext = \"switch\"");
    add("at = \"2026-03-02T21:02:00Z\"\nkind = \"repair\"\nnode = \"F2\"\ntext = \"radio too\"");
    add(
        "at = \"2026-03-02T21:03:00Z\"\nkind = \"draw\"\nnode = \"battery\"\nhow = \"clamp\"\nvalue = \"12mA\"\nasleep = true",
    );
    assert_eq!(faults(&lesson(&job).unwrap()), ["boot-lamp"]);
    // A repair of the whole box puts right what was suspected in it.
    job.entries.remove(3);
    job.entries[2].kind = EntryKind::Repair {
        node: Some(harness::NodeId("box".into())),
        text: "box dried".into(),
    };
    assert_eq!(faults(&lesson(&job).unwrap()), ["boot-lamp"]);
}

#[test]
fn what_was_learned_is_said_as_a_reason_and_moves_the_chances() {
    let taught = lesson(&job(&["412", "fix F1", "12"])).unwrap();
    let mut history = taught.clone();
    history.add(&taught);
    history.add(&lesson(&job(&["412", "fix F3", "12"])).unwrap());
    let next = job(&["350"]);
    let (plain, learned) = (assess(&next), assess_with(&next, &history));
    let p = |a: &job::Assessment, id: &str| a.nodes.iter().find(|n| n.id.0 == id).unwrap().p_fault;
    assert!(p(&learned, "F1") > p(&plain, "F1"));
    assert_eq!((plain.learned_from, learned.learned_from), (0, 3));
    let whys: Vec<&str> = learned
        .next
        .iter()
        .chain(&learned.alternatives)
        .map(|p| p.why.as_str())
        .collect();
    assert!(
        whys.iter().any(|why| why.contains(
            "2 of your 3 finished jobs were faults of this kind (boot lamp), and each time it was 'Load bay lamps'"
        )),
        "{whys:#?}"
    );
    assert!(
        whys.iter()
            .all(|why| !why.contains("(radio") && !why.contains("audio")),
        "nothing is told where nothing was found: {whys:#?}"
    );
    // Taken back, the next job is as it was before.
    history.take(&taught);
    history.take(&taught);
    history.take(&lesson(&job(&["412", "fix F3", "12"])).unwrap());
    assert_eq!(assess_with(&next, &history), plain);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, ..ProptestConfig::default() })]

    #[test]
    fn any_job_teaches_or_says_why_and_reads_back(job in any_job()) {
        if let Ok(history) = lesson(&job) {
            prop_assert_eq!(history.jobs, 1);
            let text = contract::history(&history).to_string();
            prop_assert_eq!(contract::history_from(&text), Some(history));
        }
    }
}
