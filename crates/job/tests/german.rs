//! Everything a person reads of a job comes out in German where German is
//! spoken, and in English everywhere else.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // helpers of tests

mod support;

use std::{collections::BTreeMap, sync::Arc};

use job::{Assessment, Job, Proposal, Recording, assess, describe, file};
use proptest::prelude::*;
use support::any_job;
use tongue::{Lang, Message, english_in, speak};

/// Every sentence of an assessment.
fn sentences(a: &Assessment) -> Vec<&Message> {
    let mut all = vec![&a.summary, &a.done_because];
    for step in a.next.iter().chain(&a.alternatives) {
        all.extend(of_step(step));
    }
    all.extend(a.excluded.iter().map(|out| &out.reason));
    all.extend(&a.forecast_missing);
    all.extend(a.forecast.iter().filter_map(|f| f.freezing_risk.as_ref()));
    all.extend(&a.battery.because);
    for odds in &a.cause {
        all.extend(&odds.speaks_for);
        all.extend(&odds.speaks_against);
        all.extend(&odds.cheap_check);
    }
    all.extend(a.explanation.iter().map(|e| &e.sentence));
    all.extend(a.warnings.iter().map(|warning| &warning.message));
    if let Some(finding) = &a.trace {
        let analysis = &finding.analysis;
        all.push(&analysis.verdict.because);
        all.extend(analysis.findings.iter().map(|finding| &finding.message));
        all.extend(analysis.not_settled.iter().map(|not| &not.reason));
        let acts = analysis.steps.iter().filter_map(|step| step.act.as_ref());
        all.extend(acts.map(|act| &act.what));
    }
    all
}

fn of_step(step: &Proposal) -> Vec<&Message> {
    let mut all = vec![&step.headline, &step.how, &step.why];
    all.extend(&step.caution);
    all.extend(step.outcomes.iter().flat_map(|o| [&o.seen, &o.means]));
    all
}

/// How many sentences were English and are German now.
fn translated(job: &Job) -> usize {
    let assessment = assess(job);
    let entries: Vec<Message> = job.entries.iter().map(describe).collect();
    let mut count = 0;
    for message in sentences(&assessment).into_iter().chain(&entries) {
        let german = speak(Lang::De, || message.to_string());
        assert_eq!(english_in(&german), None, "{german}");
        count += usize::from(english_in(message).is_some());
        // As a text, for programs, it is English whatever is spoken.
        speak(Lang::De, || assert_eq!(**message, *message.english()));
    }
    count
}

fn demo() -> Job {
    let mut job = file::parse(include_str!("../../../demo/bread-van.toml")).unwrap();
    let night = include_bytes!("../../../demo/night.csv").as_slice();
    let night = trace::readers::read(night, &Default::default()).unwrap();
    job.recordings = BTreeMap::from([("night.csv".into(), Arc::new(Recording::new(night)))]);
    job
}

#[test]
fn the_demonstration_is_german_at_every_stage() {
    let whole = demo();
    for kept in 0..=whole.entries.len() {
        let mut job = whole.clone();
        job.entries.truncate(kept);
        assert!(translated(&job) > 20, "{kept}");
    }
    for more in [
        "kind = \"draw\"\nnode = \"battery\"\nhow = \"clamp\"\nvalue = \"3.2A\"\nasleep = false",
        "kind = \"draw\"\nnode = \"battery\"\nhow = \"clamp\"\nvalue = \"-300mA\"\nasleep = true",
        "kind = \"draw\"\nnode = \"battery\"\nhow = \"clamp\"\nvalue = \"20mA\"\nasleep = true",
        "kind = \"draw\"\nnode = \"F12\"\nhow = \"millivolt\"\nvalue = \"0.1mV\"\nasleep = true",
        "kind = \"pull\"\nnodes = [\"F12\", \"F1\"]\nbefore = \"412mA\"\nafter = \"600mA\"",
        "kind = \"repair\"\nnode = \"F12\"\ntext = \"neu\"",
        "kind = \"rest-voltage\"\nvalue = \"9.9V\"",
        "kind = \"load-test\"\nvalue = \"8.0V\"\ntemperature = \"5C\"",
        "kind = \"charging\"\nvalue = \"12.2V\"\nat_speed = \"loaded\"\nripple = \"700mV\"",
        "kind = \"drop\"\nplace = \"charging-positive\"\nvalue = \"0.9V\"",
    ] {
        let mut job = whole.clone();
        let entry = format!("at = \"2026-03-03T09:00:00Z\"\n{more}\n");
        job.add(file::entry_from_toml(&entry).unwrap()).unwrap();
        translated(&job);
        job.limit_a = None;
        job.settings_may_be_lost = true;
        translated(&job);
    }
}

#[test]
fn german_is_whole_sentences_with_german_numbers() {
    let assessment = assess(&demo());
    let summary = speak(Lang::De, || assessment.summary.to_string());
    assert!(summary.starts_with("Abgestellt zieht es"), "{summary}");
    let entry = r#"
        at = "2026-03-02T20:20:00Z"
        kind = "rest-voltage"
        value = "12.62V"
        rested = "8h"
        temperature = "10C"
    "#;
    let entry = describe(&file::entry_from_toml(entry).unwrap());
    assert_eq!(entry, "Battery at 12.62 V after 8 h of rest at 10 °C");
    speak(Lang::De, || {
        assert_eq!(
            entry.to_string(),
            "Batterie: 12,62 V nach 8 h Ruhe bei 10 °C"
        );
    });
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn any_job_is_german(job in any_job()) {
        translated(&job);
    }
}
