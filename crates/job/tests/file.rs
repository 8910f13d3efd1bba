//! Job files: what is read, what is refused and how, and that writing loses nothing.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stderr
)] // helpers of tests

mod support;

use std::collections::BTreeMap;

use harness::NodeId;
use job::{EntryKind, Job, Shown, file};
use measure::instrument::How;
use proptest::prelude::*;
use support::{BREAD_VAN, any_entry, any_job};

#[test]
fn the_less_usual_tests_are_read_and_refused() {
    let with =
        |entry: &str| format!("format = 1\n[[entry]]\nat = \"2026-03-02T20:10:00Z\"\n{entry}\n");
    for entry in [
        "kind = \"stand-alone\"\nbefore = \"12.62V\"\nafter = \"12.1V\"\nstood = \"14h\"\ntemperature = \"15C\"",
        "kind = \"resistance\"\nvalue = \"5.2mohm\"",
        "kind = \"gravity\"\nlowest = 1.19\nhighest = 1.26",
        "kind = \"drop\"\nplace = \"charging-positive\"\nvalue = \"0.62V\"",
        "kind = \"drop\"\nplace = \"starter-ground\"\nvalue = \"0.3V\"\ncurrent = \"180A\"",
    ] {
        let job = file::parse(&with(entry)).unwrap();
        assert_eq!(file::parse(&file::write(&job)).unwrap(), job, "{entry}");
        assert!(!job::describe(&job.entries[0]).is_empty());
    }
    for (entry, word) in [
        (
            "kind = \"stand-alone\"\nbefore = \"12.6V\"\nafter = \"12.1V\"",
            "how long",
        ),
        (
            "kind = \"resistance\"\nvalue = \"5kohm\"",
            "internal resistance",
        ),
        ("kind = \"gravity\"\nlowest = 1.26\nhighest = 1.19", "swap"),
        (
            "kind = \"gravity\"\nlowest = 1260\nhighest = 1270",
            "specific gravity",
        ),
        ("kind = \"drop\"\nvalue = \"0.3V\"", "starter-positive"),
        (
            "kind = \"drop\"\nplace = \"somewhere\"\nvalue = \"0.3V\"",
            "place",
        ),
    ] {
        let sentence = refused(&with(entry));
        assert!(sentence.contains(word), "{sentence}");
    }
}

#[test]
fn usage_is_read_whole_or_refused() {
    let with = |usage: &str| format!("format = 1\n[usage]\n{usage}");
    let job = file::parse(&with("trips_per_week = 10\nminutes_per_trip = 7.5\n")).unwrap();
    let usage = job.usage.unwrap();
    assert_eq!((usage.trips_per_week, usage.minutes_per_trip), (10.0, 7.5));
    assert_eq!(file::parse(&file::write(&job)).unwrap(), job);
    let half = refused(&with("trips_per_week = 10\n"));
    assert!(half.contains("minutes_per_trip"), "{half}");
    let many = refused(&with("trips_per_week = 5000\nminutes_per_trip = 5\n"));
    assert!(
        many.starts_with("line 3: ") && many.contains("number of trips"),
        "{many}"
    );
    let text = refused(&with("trips_per_week = \"ten\"\nminutes_per_trip = 5\n"));
    assert!(text.contains("not a number"), "{text}");
    assert!(refused(&with("trips = 10\n")).contains("trips"));
}

/// The refusal of the bread van's file after a replacement: "line 3: message; hint".
fn refusal(from: &str, to: &str) -> String {
    assert!(BREAD_VAN.contains(from), "{from}");
    refused(&BREAD_VAN.replacen(from, to, 1))
}

fn refused(text: &str) -> String {
    let error = file::parse(text).unwrap_err();
    let line = error
        .line
        .map_or(String::new(), |line| format!("line {line}: "));
    format!("{line}{}; {}", error.message, error.hint)
}

fn line_of(text: &str) -> usize {
    BREAD_VAN.lines().position(|line| line == text).unwrap() + 1
}

#[test]
fn reads_the_example_of_the_contract() {
    let job = file::parse(BREAD_VAN).unwrap();
    assert_eq!(job.vehicle.name, "Bread van");
    assert_eq!(job.battery.label.capacity_ah, Some(60.0));
    assert_eq!(job.complaint.no_start_after_h, Some(14.0));
    assert_eq!(job.limit_a, Some(0.05));
    assert_eq!(job.nodes.len(), 4);
    assert_eq!(job.nodes[3].normal_a, Some(0.002));
    assert_eq!(job.entries.len(), 12);
    let EntryKind::Draw {
        node,
        how,
        shown,
        asleep,
    } = &job.entries[0].kind
    else {
        panic!()
    };
    assert_eq!(
        (node, *how, *shown, *asleep),
        (&NodeId::battery(), How::Clamp, Shown::Current(0.412), true)
    );
    // 12 entries, one a strike and one struck.
    assert_eq!(job.standing().count(), 10);
}

#[test]
fn says_where_and_what_is_wrong() {
    let cases = [
        (
            "capacity = \"60Ah\"",
            "capacity = 60",
            "'capacity' is the bare number 60; write the charge with its unit, in quotes, such as 60Ah or 900mAh",
        ),
        (
            "capacity = \"60Ah\"",
            "capacity = \"-60Ah\"",
            "capacity -60 Ah is outside 1 to 400 Ah; check the number and its unit",
        ),
        (
            "capacity = \"60Ah\"",
            "capacity = \"nan Ah\"",
            "'nan Ah' is not a charge; write a number and a unit, such as 60Ah or 900mAh",
        ),
        (
            "prior = 0.03",
            "prior = nan",
            "'prior' is nan, not a number; write it such as prior = 0.03",
        ),
        (
            "prior = 0.03",
            "prior = 3.0",
            "probability 3 (a fraction) is outside 0 to 1",
        ),
        (
            "capacity = \"60Ah\"",
            "capasity = \"60Ah\"",
            "[battery] has no field 'capasity'; did you mean 'capacity'?",
        ),
        (
            "chemistry = \"flooded\"",
            "chemistry = \"floded\"",
            "'floded' is no chemistry; did you mean 'flooded'?",
        ),
        (
            "from = \"F12\"",
            "from = \"F13\"",
            "node 'radio' is fed from 'F13', which does not exist; did you mean",
        ),
        (
            "id = \"F3\"",
            "id = \"F12\"",
            "two nodes are called 'F12'; give each its own id",
        ),
        (
            "from = \"main\"",
            "from = \"F12\"",
            "the feed tree has a loop: 'F12' is fed from 'F12'; ",
        ),
        (
            "value = \"412mA\"",
            "value = \"412\"",
            "'412' has no unit; write the current with its unit",
        ),
        (
            "value = \"412mA\"",
            "value = \"412mV\"",
            "'412mV' is a voltage, but this instrument shows a current; ",
        ),
        (
            "value = \"2.1mV\"",
            "value = \"2.1V\"",
            "voltage across the fuse 2.1 V is outside",
        ),
        (
            "instrument = \"clamp\"",
            "instrument = \"clmp\"",
            "entry 1: there is no instrument 'clmp'; did you mean 'clamp'?",
        ),
        (
            "node = \"battery\"",
            "node = \"F11\"",
            "entry 1: there is no node 'F11'; did you mean",
        ),
        (
            "node = \"F12\"",
            "node = \"radio\"",
            "entry 9: millivolts are read across a fuse, and 'radio' is none; ",
        ),
        (
            "entry = 3",
            "entry = 10",
            "entry 10: entry 10 cannot strike itself out; name a standing entry from 1 to 9",
        ),
        (
            "entry = 3",
            "entry = 11",
            "entry 10: there is no entry 11 before this one; ",
        ),
        (
            "entry = 3",
            "entry = 0",
            "there is no entry 0; entries are counted from 1",
        ),
        (
            "asleep = true\n[[entry]]\nat = \"2026-03-02T20:15",
            "[[entry]]\nat = \"2026-03-02T20:15",
            "entry 1 needs 'asleep'; say whether",
        ),
        (
            "kind = \"pull\"",
            "kind = \"pul\"",
            "'pul' is no kind of entry; did you mean 'pull'?",
        ),
        ("kind = \"pull\"", "", "entry 2 needs 'kind'; "),
        (
            "at = \"2026-03-02T20:15:00Z\"",
            "at = \"yesterday\"",
            "'yesterday' is not a moment with date, time and zone; write it such as 2026-03-02T20:10:00Z",
        ),
        ("at = \"2026-03-02T20:15:00Z\"", "", "entry 2 needs 'at'; "),
        (
            "nodes = [\"F12\", \"F3\"]",
            "nodes = [\"F12\", \"F12\"]",
            "entry 2: 'F12' is named twice; name each once",
        ),
        (
            "nodes = [\"F12\", \"F3\"]",
            "nodes = [\"battery\"]",
            "entry 2: the battery itself cannot be pulled; ",
        ),
        ("after = \"30mA\"", "", "entry 2 needs 'after'; "),
        (
            "at_speed = \"idle\"",
            "at_speed = \"fast\"",
            "'fast' is no at speed; it can be idle, raised, loaded",
        ),
        (
            "cranking_standard = \"en\"",
            "",
            "[battery] needs 'cranking_standard'; ",
        ),
        (
            "[limit]",
            "[limits]",
            "a job file has no 'limits'; did you mean 'limit'?",
        ),
        (
            "[limit]",
            "[[limit]]",
            "'limit' is not a table; write [limit] on a line of its own",
        ),
        ("[[node]]\nid = \"main\"", "[node]\nid = \"main\"", ""),
        (
            "format = 1",
            "format = 2",
            "the file is of format 2, and this version reads up to 1; open it with a newer version",
        ),
        (
            "format = 1",
            "",
            "the file does not say which format it is; write format = 1 in its first line",
        ),
        ("format = 1", "format = \"1\"", "there is no such format; "),
        (
            "standard = \"en\"\n[[entry]]",
            "[[entry]]",
            "entry 5 needs 'standard'; ",
        ),
    ];
    for (from, to, expected) in cases {
        let sentence = refusal(from, to);
        assert!(
            sentence.contains(expected),
            "{from} -> {to}\n     got: {sentence}\nexpected: {expected}"
        );
        assert!(
            sentence.starts_with("line ") || from == "format = 1",
            "{sentence}"
        );
    }
}

#[test]
fn names_the_line() {
    let at = |from: &str, to: &str| {
        file::parse(&BREAD_VAN.replacen(from, to, 1))
            .unwrap_err()
            .line
            .unwrap()
    };
    assert_eq!(
        at("capacity = \"60Ah\"", "capacity = 60"),
        line_of("capacity = \"60Ah\"")
    );
    assert_eq!(at("entry = 3", "entry = 11"), line_of("entry = 3"));
    assert_eq!(
        at("node = \"radio\"", "node = \"rodeo\""),
        line_of("node = \"radio\"")
    );
    // A fault of a whole table is at its head: the second F12 stands where F3 was.
    assert_eq!(
        at("id = \"F3\"", "id = \"F12\""),
        line_of("id = \"F3\"") - 1
    );
    assert_eq!(
        at("value = \"412mA\"", "value = 412mA"),
        line_of("value = \"412mA\"")
    );
}

#[test]
fn refuses_a_loop_of_two() {
    let text = "format = 1\n[[node]]\nid = \"a\"\nfrom = \"b\"\nkind = \"cable\"\n[[node]]\nid = \"b\"\nfrom = \"a\"\nkind = \"cable\"\n";
    let sentence = refused(text);
    assert!(
        sentence.starts_with("line 2: the feed tree has a loop: "),
        "{sentence}"
    );
}

#[test]
fn refuses_a_strike_of_a_struck_entry_until_it_is_restored() {
    let strike = |target: usize| {
        format!("[[entry]]\nat = \"2026-03-02T21:00:00Z\"\nkind = \"strike\"\nentry = {target}\n")
    };
    let sentence = refused(&format!("{BREAD_VAN}{}", strike(3)));
    assert!(
        sentence.contains(
            "entry 13: entry 3 is struck out already; name a standing entry from 1 to 12"
        ),
        "{sentence}"
    );
    // Striking the strike restores entry 3, which can then be struck again.
    let job = file::parse(&format!("{BREAD_VAN}{}{}", strike(10), strike(3))).unwrap();
    assert!(job.struck()[2]);
}

#[test]
fn takes_what_people_write() {
    let text = "format = 1\n[battery]\nage = \"18 months\"\nengine_needs = \"180 A\"\n[[entry]]\nat = 2026-03-02T21:10:00+01:00\nkind = \"draw\"\nnode = \"battery\"\nhow = \"shunt\"\nvalue = \"2,1 mV\"\nshunt = \"1mohm\"\nasleep = false\n";
    let job = file::parse(text).unwrap();
    assert_eq!(job.battery.age_years, Some(1.5));
    assert_eq!(job.entries[0].at.to_string(), "2026-03-02T20:10:00Z");
    let EntryKind::Draw {
        shown: Shown::Shunt { drop_v, shunt_ohm },
        ..
    } = job.entries[0].kind
    else {
        panic!()
    };
    assert_eq!((drop_v, shunt_ohm), (0.0021, 0.001));
}

#[test]
fn a_form_shows_every_mistake_at_its_field() {
    let job = file::parse(BREAD_VAN).unwrap();
    let at = "2026-03-03T08:00:00Z".parse().unwrap();
    let fields = |pairs: &[(&str, &str)]| -> BTreeMap<String, String> {
        pairs
            .iter()
            .map(|(key, value)| ((*key).into(), (*value).into()))
            .collect()
    };
    let good = fields(&[
        ("node", "F12"),
        ("how", "millivolt"),
        ("value", "2,1 mV"),
        ("asleep", "yes"),
        ("instrument", ""),
    ]);
    let entry = file::entry_from_fields("draw", &good, at, &job).unwrap();
    assert_eq!(entry.at, at);
    assert_eq!(entry.instrument, None);

    let bad = fields(&[
        ("node", "F12"),
        ("how", "clmp"),
        ("value", "412"),
        ("asleep", "perhaps"),
        ("colour", "red"),
    ]);
    let errors = file::entry_from_fields("draw", &bad, at, &job).unwrap_err();
    let mut wrong: Vec<&str> = errors.0.iter().map(|error| error.field.as_str()).collect();
    wrong.sort_unstable();
    assert_eq!(wrong, ["asleep", "colour", "how", "value"]);
    assert_eq!(
        errors.at("how").unwrap().hint,
        "did you mean 'clamp'? It can be clamp, in-line, millivolt, shunt"
    );

    let errors = file::entry_from_fields(
        "draw",
        &fields(&[
            ("how", "clamp"),
            ("value", "4 mA"),
            ("asleep", "no"),
            ("node", "F99"),
        ]),
        at,
        &job,
    );
    assert!(errors.unwrap_err().at("node").is_some());
    let errors = file::entry_from_fields(
        "pull",
        &fields(&[("nodes", "F12, F3"), ("before", "412mA")]),
        at,
        &job,
    )
    .unwrap_err();
    assert_eq!(errors.0.len(), 1);
    assert!(errors.at("after").is_some());
    let pull = file::entry_from_fields(
        "pull",
        &fields(&[("nodes", "F12, F3"), ("before", "412mA"), ("after", "1 mA")]),
        at,
        &job,
    );
    assert!(matches!(pull.unwrap().kind, EntryKind::Pull { nodes, .. } if nodes.len() == 2));
    assert!(
        file::entry_from_fields("strike", &fields(&[("entry", "3")]), at, &job)
            .unwrap_err()
            .at("entry")
            .is_some()
    );
    assert!(
        file::entry_from_fields("drew", &fields(&[]), at, &job)
            .unwrap_err()
            .at("kind")
            .is_some()
    );
}

#[test]
fn adding_refuses_and_leaves_the_job_as_it_was() {
    let mut job = file::parse(BREAD_VAN).unwrap();
    let before = job.clone();
    let mut entry = job.entries[0].clone();
    entry.instrument = Some("other".into());
    assert!(job.add(entry).is_err());
    assert_eq!(job, before);
    let id = job.add(before.entries[0].clone()).unwrap();
    assert_eq!(id.number(), 13);
}

#[test]
fn damaged_recordings_are_refused() {
    let mut job = Job::default();
    job.recordings.insert(
        "a".into(),
        std::sync::Arc::new(support::recording(vec![0.1; 100])),
    );
    let text = file::write(&job);
    let data = text.split("data = \"").nth(1).unwrap();
    let broken = text.replace(&data[..4], "AAAA");
    assert!(
        refused(&broken).contains("recording 'a': these bytes are no recording"),
        "{}",
        refused(&broken)
    );
    assert!(refused(&text.replace(&data[..4], "A!AA")).contains("is not base64"));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    #[test]
    fn a_job_reads_back(job in any_job()) {
        let text = file::write(&job);
        let back = file::parse(&text).map_err(|error| TestCaseError::fail(format!("{error:?}\n{text}")))?;
        prop_assert_eq!(&back, &job);
        // The same text again: nothing drifts.
        prop_assert_eq!(file::write(&back), text);
    }

    #[test]
    fn a_header_and_its_entries_read_back_one_by_one(job in any_job()) {
        let mut back = file::header_from_toml(&file::header_to_toml(&job)).unwrap();
        for entry in &job.entries {
            back.add(file::entry_from_toml(&file::entry_to_toml(entry)).unwrap()).unwrap();
        }
        back.recordings = job.recordings.clone();
        prop_assert_eq!(back, job);
    }

    #[test]
    fn an_entry_reads_back(entry in any_entry()) {
        prop_assert_eq!(file::entry_from_toml(&file::entry_to_toml(&entry)).unwrap(), entry);
    }

    #[test]
    fn no_text_makes_it_panic(text in "\\PC*") {
        let _ = file::parse(&text);
        let _ = file::entry_from_toml(&text);
    }

    #[test]
    fn no_slip_makes_it_panic(at in any::<prop::sample::Index>(), with in "[\\[\\]\"=.a-z0-9\n-]{0,3}") {
        let mut text = BREAD_VAN.to_owned();
        let at = at.index(text.len());
        text.replace_range(at..=at, &with);
        let _ = file::parse(&text);
    }
}
