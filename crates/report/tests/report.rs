//! What holds for every report.

#![allow(
    clippy::panic,
    reason = "helpers of tests may fail loudly, as tests do"
)]

#[path = "../../picture/tests/support/sample.rs"]
mod sample;

use std::collections::BTreeSet;

use job::{Assessment, Entry, EntryId, EntryKind, Job};
use report::{ReportOptions, html};
use scraper::{Html, Selector};

fn all() -> Vec<(&'static str, Job, Assessment, ReportOptions)> {
    let plain = ReportOptions::default;
    let (job, before, after) = sample::repaired60();
    let repaired = ReportOptions {
        before: Some(before),
        ..plain()
    };
    let mut out = vec![
        ("repaired", job.clone(), after.clone(), repaired),
        ("repaired, no before", job, after, plain()),
    ];
    for (name, (job, assessment)) in [
        ("empty", sample::empty()),
        ("guess", sample::guess60()),
        ("open", sample::open60()),
        ("found", sample::found60()),
        ("small", sample::small3()),
    ] {
        out.push((name, job, assessment, plain()));
    }
    out
}

fn select<'a>(page: &'a Html, what: &str) -> Vec<scraper::ElementRef<'a>> {
    let selector = Selector::parse(what).unwrap_or_else(|e| panic!("{what}: {e}"));
    page.select(&selector).collect()
}

#[test]
fn pages_are_accessible() {
    for (name, job, assessment, options) in all() {
        let text = html(&job, &assessment, &options);
        let page = Html::parse_document(&text);
        assert_eq!(select(&page, "html[lang=en]").len(), 1, "{name}");
        assert_eq!(select(&page, "h1").len(), 1, "{name}");
        let levels: Vec<usize> = select(&page, "h1, h2, h3, h4")
            .iter()
            .map(|h| h.value().name()[1..].parse().unwrap())
            .collect();
        assert!(
            levels[0] == 1 && levels.windows(2).all(|w| w[1] <= w[0] + 1),
            "{name}: {levels:?}"
        );
        for table in select(&page, "table") {
            assert_eq!(
                table.select(&Selector::parse("caption").unwrap()).count(),
                1,
                "{name}"
            );
            assert!(
                table
                    .select(&Selector::parse("th").unwrap())
                    .all(|th| th.attr("scope").is_some()),
                "{name}"
            );
        }
        let ids: Vec<&str> = select(&page, "[id]")
            .iter()
            .filter_map(|e| e.attr("id"))
            .collect();
        let unique: BTreeSet<&str> = ids.iter().copied().collect();
        assert_eq!(ids.len(), unique.len(), "{name}: an id twice");
        assert!(
            select(&page, "svg")
                .iter()
                .all(|svg| svg.attr("role") == Some("img")),
            "{name}"
        );
    }
}

#[test]
fn nothing_leaves_the_file_and_nothing_runs() {
    for (name, job, assessment, options) in all() {
        let text = html(&job, &assessment, &options);
        let page = Html::parse_document(&text);
        assert!(
            select(&page, "script, link, img, iframe, object, [src]").is_empty(),
            "{name}"
        );
        let rest = text.replace("xmlns=\"http://www.w3.org/2000/svg\"", "");
        assert!(
            !rest.contains("http") && !rest.contains("@import") && !rest.contains("//cdn"),
            "{name}"
        );
    }
}

#[test]
fn owner_and_plate_stay_out_unless_asked_for() {
    let (job, assessment) = sample::found60();
    let without = html(&job, &assessment, &ReportOptions::default());
    assert!(!without.contains("Owner Invented") && !without.contains("XX 000"));
    let with = html(
        &job,
        &assessment,
        &ReportOptions {
            include_owner: true,
            ..ReportOptions::default()
        },
    );
    assert!(with.contains("Owner Invented") && with.contains("XX 000"));
}

#[test]
fn invented_jobs_say_so_first() {
    let (mut job, assessment) = sample::found60();
    let said = html(&job, &assessment, &ReportOptions::default());
    assert!(said.find("Invented: this job").unwrap() < said.find("<h1").unwrap());
    job.invented = false;
    assert!(!html(&job, &assessment, &ReportOptions::default()).contains("Invented: this job"));
}

#[test]
fn each_state_has_its_headline() {
    let heads: Vec<String> = all()
        .iter()
        .map(|(_, job, assessment, options)| {
            let text = html(job, assessment, options);
            select(&Html::parse_document(&text), "h1")[0]
                .text()
                .collect()
        })
        .collect();
    assert_eq!(
        heads,
        [
            "Found, repaired and measured again: Bread van",
            "Found, repaired and measured again: Bread van",
            "Nothing measured yet: the vehicle",
            "Nothing measured yet: Bread van",
            "Not found yet: Bread van",
            "The cause is found: Bread van",
            "Not found yet: Small trailer",
        ]
    );
}

#[test]
fn before_and_after_stand_side_by_side() {
    let (_, job, after, options) = all().swap_remove(0);
    let text = html(&job, &after, &options);
    let page = Html::parse_document(&text);
    let cells: Vec<String> = select(&page, "table.big td")
        .iter()
        .map(|c| c.text().collect())
        .collect();
    assert!(
        cells.iter().any(|c| c == "423 ± 8 mA") && cells.iter().any(|c| c == "31 ± 3 mA"),
        "{cells:?}"
    );
}

#[test]
fn a_failed_repair_is_not_called_proven() {
    let (mut job, assessment) = sample::found60();
    job.entries.push(Entry {
        at: "2026-03-03T09:00:00Z".parse().unwrap(),
        instrument: None,
        kind: EntryKind::Repair {
            node: None,
            text: "wiggled a plug".into(),
        },
    });
    let text = html(&job, &assessment, &ReportOptions::default());
    assert!(text.contains("Repaired, not yet proven") && !text.contains("measured again:"));
}

#[test]
fn struck_entries_are_shown_as_struck() {
    let (job, assessment) = sample::open60();
    let text = html(&job, &assessment, &ReportOptions::default());
    let page = Html::parse_document(&text);
    let struck = select(&page, "tr.struck");
    assert_eq!(struck.len(), 1);
    let said: String = struck[0].text().collect();
    assert!(
        said.contains("struck out") && said.contains("4.12 A"),
        "{said}"
    );
}

#[test]
fn every_node_is_in_the_table() {
    let (job, assessment) = sample::open60();
    let text = html(&job, &assessment, &ReportOptions::default());
    let page = Html::parse_document(&text);
    let rows: Vec<String> = select(&page, "[aria-label=Circuits] tbody th")
        .iter()
        .map(|th| th.text().collect())
        .collect();
    // Battery, three cables, sixty fuses with a load each.
    assert_eq!(rows.len(), 64);
    for node in &assessment.nodes {
        assert!(rows.iter().any(|r| r.contains(&node.label)), "{}", node.id);
    }
}

#[test]
fn names_are_text_and_nothing_else() {
    let (mut job, assessment) = sample::found60();
    job.vehicle.name = "<script>x</script>".into();
    job.complaint.text = Some("a < b & c".into());
    let text = html(&job, &assessment, &ReportOptions::default());
    assert!(!text.contains("<script") && text.contains("a &lt; b &amp; c"));
}

#[test]
fn the_job_before_the_repair_keeps_later_strikes() {
    let (mut job, _, _) = sample::repaired60();
    assert_eq!(sample::found60().0.before_repair(), None);
    let strike = Entry {
        at: "2026-03-03T11:00:00Z".parse().unwrap(),
        instrument: None,
        kind: EntryKind::Strike {
            entry: EntryId::from_number(6).unwrap(),
        },
    };
    job.entries.push(strike);
    let before = job.before_repair().unwrap();
    assert!(
        !before
            .standing()
            .any(|(_, e)| matches!(e.kind, EntryKind::Repair { .. }))
    );
    assert_eq!(before.struck()[..9], job.struck()[..9]);
    assert!(before.struck()[5]);
}

#[test]
fn same_input_same_bytes() {
    for (_, job, assessment, options) in all() {
        assert_eq!(
            html(&job, &assessment, &options),
            html(&job, &assessment, &options)
        );
    }
}
