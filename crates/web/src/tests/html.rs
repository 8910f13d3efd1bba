//! What holds for every page: labels, ids, headings, landmarks.

use std::collections::BTreeSet;

use scraper::Html;

use super::{Bench, all, text};

/// Pages of a bench with one job.
pub(super) const PAGES: &[&str] = &[
    "/",
    "/jobs/new",
    "/jobs/1",
    "/jobs/1?entered=3",
    "/jobs/1/edit",
    "/jobs/1/reading",
    "/jobs/1/reading?node=F12",
    "/jobs/1/reading?node=F12&kind=pull",
    "/hookup",
    "/hookup?how=in-line&asked=1&draw=80mA&wake_up=30A",
    "/hookup?how=millivolt&asked=1&fuse=",
    "/hookup?how=shunt&airbag=true",
    "/jobs/1/hookup?how=shunt",
    "/jobs/1/balance",
    "/jobs/1/balance?trips=10&trip=20&add=50mA&draw=20mA",
    "/jobs/1/balance?trips=3000&trip=1x",
    "/jobs/1/nights",
    "/jobs/1/nights?lows=2+-5+1",
    "/jobs/1/nights?lows=cold",
    "/kit",
    "/pair",
    "/nowhere",
    "/jobs/77",
];

/// Forms that come back with something wrong.
pub(super) const FORMS: &[(&str, &[(&str, &str)])] = &[
    ("/jobs", &[("name", ""), ("fuses", "gibberish")]),
    ("/jobs/1/entries", &[("kind", "draw"), ("value", "12 V")]),
    (
        "/jobs/1/entries",
        &[("kind", "draw"), ("value", ""), ("form", "next-")],
    ),
    ("/jobs/1/edit", &[("name", "")]),
    ("/pair", &[("code", "1")]),
];

/// Checks a whole page.
#[track_caller]
fn check(name: &str, html: &Html) {
    assert_eq!(all(html, "h1").len(), 1, "{name}: one h1");
    assert_eq!(all(html, "main").len(), 1, "{name}: one main");
    assert!(!text(html, "title").is_empty(), "{name}: title");
    assert!(!all(html, "html[lang]").is_empty(), "{name}: lang");
    assert!(
        !all(html, "a.skip[href='#main']").is_empty(),
        "{name}: skip link"
    );
    assert!(
        all(html, "[style], style, script:not([src]), [onclick]").is_empty(),
        "{name}: nothing inline"
    );
    check_part(name, html);
}

/// Checks what also holds inside a page.
#[track_caller]
fn check_part(name: &str, html: &Html) {
    let mut ids = BTreeSet::new();
    for element in all(html, "[id]") {
        let id = element.attr("id").unwrap();
        assert!(ids.insert(id.to_owned()), "{name}: id {id} twice");
    }
    for element in all(html, "input:not([type=hidden]), select, textarea") {
        let id = element.attr("id").unwrap_or_default();
        let labelled = element.attr("aria-label").is_some()
            || !all(html, &format!("label[for='{id}']")).is_empty();
        assert!(labelled, "{name}: no label for {}", element.html());
    }
    for element in all(html, "[aria-describedby], [aria-labelledby]") {
        for attribute in ["aria-describedby", "aria-labelledby"] {
            for id in element
                .attr(attribute)
                .unwrap_or_default()
                .split_whitespace()
            {
                assert!(ids.contains(id), "{name}: {attribute} {id} leads nowhere");
            }
        }
    }
    for link in all(html, "a[href^='#']") {
        let target = &link.attr("href").unwrap()[1..];
        assert!(
            ids.contains(target),
            "{name}: link to #{target} leads nowhere"
        );
    }
    let mut level = 1;
    for heading in all(html, "h1, h2, h3, h4") {
        let now: u32 = heading.value().name()[1..].parse().unwrap();
        assert!(
            now <= level + 1,
            "{name}: heading {} skips a level",
            heading.html()
        );
        level = now;
    }
    for form in all(html, "form[method=post]:not(.looks):not([action='/pair'])") {
        let key = scraper::Selector::parse("input[name=key]").unwrap();
        assert_eq!(
            form.select(&key).count(),
            1,
            "{name}: a form without key: {}",
            form.html()
        );
    }
    for table in all(html, "table") {
        let caption = scraper::Selector::parse("caption").unwrap();
        assert_eq!(
            table.select(&caption).count(),
            1,
            "{name}: a table without caption"
        );
    }
    for button in all(html, "button, a") {
        let words: String = button.text().collect();
        let named = !words.trim().is_empty()
            || button.attr("aria-label").is_some()
            || button.inner_html().contains("<title");
        assert!(named, "{name}: nameless {}", button.html());
    }
}

#[tokio::test]
async fn every_page_is_well_formed() {
    let bench = Bench::with_kit_job();
    for path in PAGES {
        check(path, &bench.get(path).await.html());
    }
    for (path, fields) in FORMS {
        check(path, &bench.post(path, fields).await.html());
    }
}

#[test]
fn every_state_of_the_job_page_is_well_formed() {
    for (name, markup) in crate::pages::kit_states() {
        check_part(name, &Html::parse_fragment(&markup.into_string()));
    }
}
