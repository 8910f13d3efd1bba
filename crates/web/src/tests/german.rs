//! Every page in German, and no English of ours in it.

use std::collections::{BTreeMap, BTreeSet};

use axum::{
    body::Body,
    extract::ConnectInfo,
    http::{Request, StatusCode, header},
};
use live::Tip;
use measure::Uncertain;
use tongue::{Lang, messages, say, speak};

use super::{Bench, Returned, all, html, practice, van::press_step};

/// Words that make a piece of a sentence sure to be ours.
const LONG: usize = 3;
/// Answers of the virtual van, at most.
const ANSWERS: usize = 15;

/// Pieces that the kit's invented assessment, which is English, has in common
/// with sentences of ours.
const IN_OTHERS: &[&str] = &[
    "Measure millivolts across",
    "is not a",
    "may wake the vehicle",
    "more than the",
    "write it such as",
];
/// Pages of the kit's job beside those that are looked at as HTML.
const MORE_PAGES: &[&str] = &[
    "/devices",
    "/jobs/1/reading?node=F99",
    "/jobs/1/trace/1",
    "/jobs/1/rehearsal",
    "/jobs/1/hookup?how=shunt&asked=1&shunt=",
    "/jobs/1/hookup?how=in-line&asked=1&draw=80mA&wake_up=30A&meter_fuse=1A",
    "/jobs/1/balance?trips=300&trip=60&draw=20mA",
    "/jobs/1/balance?trips=1&trip=10&draw=500mA&add=1A",
    "/jobs/1/nights?lows=1+1+1+1+1+1+1+1+1+1+1+1+1+1+1+1",
];
const MORE_FORMS: &[(&str, &[(&str, &str)])] = &[
    ("/jobs/1/entries", &[("kind", "strike"), ("entry", "x")]),
    ("/jobs/1/entries", &[("kind", "dance")]),
    (
        "/jobs/1/entries",
        &[
            ("kind", "draw"),
            ("node", "battery"),
            ("how", "clamp"),
            ("value", "4120"),
            ("value_unit", "mA"),
            ("asleep", "true"),
        ],
    ),
    (
        "/jobs/1/edit",
        &[
            ("name", "x"),
            (
                "fuses",
                "F1 15A lamp\nF1 10A radio\n20A seat\nF7 9999A horn\nwhat is this",
            ),
        ],
    ),
    ("/jobs/1/edit", &[("name", "x"), ("trips", "3")]),
    (
        "/jobs/1/edit",
        &[("name", "x"), ("trip", "3"), ("age", "old")],
    ),
    ("/jobs/1/live/van", &[]),
    ("/jobs/1/live/keep", &[]),
    ("/jobs/1/rehearse", &[("kind", "draw")]),
    ("/history", &[("do", "burn")]),
    ("/history", &[("do", "off")]),
];

/// The pieces between the values of every sentence, by its name.
fn pieces(lang: Lang) -> BTreeMap<String, Vec<String>> {
    let mut all: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for text in messages(lang).1 {
        let mut name = String::new();
        for line in text.lines().filter(|line| !line.starts_with('#')) {
            let said = match line.split_once(" = ") {
                Some((id, said)) if !line.starts_with(' ') => {
                    name = id.to_owned();
                    said
                }
                // A plural's variants.
                _ => line.split_once("] ").map_or("", |(_, said)| said),
            };
            let mut rest = said;
            let pieces = all.entry(name.clone()).or_default();
            while let Some((before, after)) = rest.split_once('{') {
                pieces.push(before.to_owned());
                rest = after.split_once('}').map_or("", |(_, after)| after);
            }
            pieces.push(rest.to_owned());
        }
    }
    all
}

/// Pieces of English sentences, long enough to be sure, that German does not have.
fn english() -> BTreeSet<String> {
    let german = pieces(Lang::De);
    let mut found = BTreeSet::new();
    for (name, pieces) in pieces(Lang::En) {
        let in_german = german[&name].join("\n");
        for piece in pieces.iter().flat_map(|piece| piece.split(['<', '>'])) {
            let piece = piece.trim_matches(|c: char| !c.is_alphanumeric());
            let words = piece.split_whitespace().filter(|word| {
                word.chars()
                    .all(|c| c.is_alphabetic() || "'’,;:.-".contains(c))
            });
            if words.count() >= LONG && !in_german.contains(piece) {
                found.insert(piece.to_owned());
            }
        }
    }
    found
}

/// What a person reads or hears: text, and every attribute that is spoken or shown.
fn read_out(text: &str) -> String {
    text.replace("&lt;", "<")
        .replace("&gt;", ">")
        .replace("&quot;", "\"")
        .replace("&amp;", "&")
}

/// Every page in every state that the other tests know, by where it was seen.
async fn walk(lang: Lang) -> Vec<(String, String)> {
    let mut seen = Vec::new();
    let empty = Bench::sample().speaking(lang);
    seen.push(("empty".into(), empty.get("/").await.text));
    let bench = Bench::with_kit_job().speaking(lang);
    for path in html::PAGES.iter().chain(MORE_PAGES) {
        seen.push(((*path).to_owned(), bench.get(path).await.text));
    }
    for (path, fields) in html::FORMS.iter().chain(MORE_FORMS) {
        seen.push(((*path).to_owned(), bench.post(path, fields).await.text));
    }
    speak(lang, || {
        for (name, markup) in crate::pages::kit_states() {
            seen.push((name.to_owned(), markup.into_string()));
        }
        for tip in [tip(false), tip(true)] {
            seen.push(("stream".into(), crate::parts::live::now(&tip).into_string()));
            seen.push(("cut".into(), crate::parts::live::gone(&tip).into_string()));
        }
    });
    demo(lang, &mut seen).await;
    rehearsal(lang, &mut seen).await;
    let door = Bench::with(super::sample_assess, super::network(Some(80)));
    let door = door.speaking(lang);
    for (path, peer) in [
        ("/devices", "127.0.0.1:1"),
        ("/devices", "192.168.1.9:1"),
        ("/pair", "192.168.1.9:1"),
    ] {
        let mut request = Request::get(path)
            .header(header::HOST, "localhost")
            .body(Body::empty())
            .unwrap();
        let peer = crate::door::From(peer.parse().unwrap());
        request.extensions_mut().insert(ConnectInfo(peer));
        seen.push((format!("door {path}"), door.send(request).await.text));
    }
    let history = bench.get("/history").await;
    seen.push(("history left out".into(), history.text));
    seen
}

/// The demo from first step to proof, its recording, its report.
async fn demo(lang: Lang, seen: &mut Vec<(String, String)>) {
    let bench = Bench::real().speaking(lang);
    bench.post("/demo", &[("key", "d")]).await;
    let mut page = bench.get("/jobs/1").await;
    for answered in 0.. {
        assert!(answered < ANSWERS, "no culprit after {answered} answers");
        seen.push((format!("demo {answered}"), page.text.clone()));
        if !all(&page.html(), "form.brief input[name=kind][value=repair]").is_empty() {
            break;
        }
        page = press_step(&bench, &page, "/jobs/1/rehearse").await;
    }
    let page = press_step(&bench, &page, "/jobs/1/entries").await;
    seen.push(("repaired".into(), page.text.clone()));
    let page = press_step(&bench, &page, "/jobs/1/rehearse").await;
    seen.push(("proven".into(), page.text.clone()));
    let night = [("kind", "trace"), ("node", "battery"), ("key", "n")];
    let answer = bench.post("/jobs/1/rehearse", &night).await;
    let number: Vec<_> = answer.location().split(['=', '&']).collect();
    let trace = format!("/jobs/1/trace/{}?a=3600s&b=7200s", number[1]);
    for path in [
        trace.as_str(),
        "/jobs/1",
        "/jobs/1/report",
        "/jobs/1/reading?node=battery",
        "/jobs/1/reading?node=F17",
        "/jobs/1/live",
        "/jobs/1/trace/1",
        "/jobs/1/rehearsal",
        "/history",
        "/",
    ] {
        seen.push((format!("demo {path}"), bench.get(path).await.text));
    }
    for fields in [
        &[("kind", "draw"), ("how", "shunt")][..],
        &[("kind", "dance")],
    ] {
        let answer = bench.post("/jobs/1/rehearse", fields).await;
        seen.push(("silent van".into(), answer.text));
    }
    seen.push((
        "no stream".into(),
        bench.post("/jobs/1/live/keep", &[]).await.text,
    ));
}

async fn rehearsal(lang: Lang, seen: &mut Vec<(String, String)>) {
    let bench = Bench::real().speaking(lang);
    for fields in [&[("seed", "x")][..], practice::START] {
        let answer = bench.post("/rehearse", fields).await;
        seen.push(("rehearsal".into(), answer.text));
    }
    for (at, typed) in ["", "clamp", "shake it"].into_iter().enumerate() {
        let key = at.to_string();
        let fields = [("typed", typed), ("key", key.as_str())];
        let answer = bench.post("/jobs/1/rehearsal", &fields).await;
        seen.push((format!("rehearsal {typed}"), answer.text));
    }
    for path in ["/jobs/1/rehearsal", "/jobs/1/rehearsal/score", "/jobs/1"] {
        let page = bench.get(path).await.expect(StatusCode::OK);
        seen.push((format!("rehearsal {path}"), page.text));
    }
}

fn tip(stalled: bool) -> Tip {
    let level = Uncertain::new(0.0234, 0.0003);
    Tip {
        last_a: Some(0.0234),
        stalled,
        level: Some(say::live::level_since(
            "22:10:05",
            tongue::amount("23.4 mA"),
        )),
        state: say::live::coming_down_until(tongue::amount("9 min")),
        said: vec![say::live::at_clock(
            "22:10:05",
            say::live::step("−388 mA", "24 mA"),
        )],
        samples: 12,
        garbled: 2,
        stepped: vec![live::Stepped {
            at_unix_s: 1.5e9,
            before: level,
            after: level,
            change: level,
        }],
        ..Tip::default()
    }
}

#[tokio::test]
async fn no_english_sentence_of_ours_is_left_in_a_german_page() {
    let english = english();
    let mut left: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for (name, text) in walk(Lang::De).await {
        let text = read_out(&text);
        let ours = |piece: &&String| !IN_OTHERS.contains(&piece.as_str());
        for piece in english
            .iter()
            .filter(ours)
            .filter(|piece| text.contains(*piece))
        {
            left.entry(piece.clone()).or_default().insert(name.clone());
        }
    }
    assert!(left.is_empty(), "English in German pages: {left:#?}");
}

/// The same walk in English meets most of what pages say, so that the test
/// above looks where the words are.
#[tokio::test]
async fn the_walk_meets_what_pages_say() {
    let mut unmet = english();
    let of_pages = |name: &str| {
        ["web-", "bench-", "entry-", "intake-", "hookup-", "advice-"]
            .iter()
            .any(|module| name.starts_with(module))
    };
    let mut names = pieces(Lang::En);
    names.retain(|name, _| of_pages(name));
    let own: BTreeSet<&str> = names
        .values()
        .flatten()
        .map(|piece| piece.trim_matches(|c: char| !c.is_alphanumeric()))
        .collect();
    unmet.retain(|piece| own.contains(piece.as_str()));
    let all = unmet.len();
    for (_, text) in walk(Lang::En).await {
        let text = read_out(&text);
        unmet.retain(|piece| !text.contains(piece));
    }
    let met = all - unmet.len();
    assert!(
        met * 4 >= all * 3,
        "{met} of {all} pieces met; not met: {unmet:#?}"
    );
}

#[tokio::test]
async fn numbers_dates_and_fields_are_german() {
    let bench = Bench::with_kit_job().speaking(Lang::De);
    let page = bench.get("/jobs/1/edit").await.html();
    let value = |id: &str| {
        let field = &all(&page, id)[0];
        field.attr("value").unwrap_or_default().to_owned()
    };
    for id in ["#clamp_accuracy", "#clamp_digits", "#limit"] {
        assert!(!value(id).contains('.'), "{id}: {}", value(id));
    }
    // What is shown reads back as it is.
    let fields: Vec<(String, String)> = super::van::fields_of(all(&page, "main form")[0]);
    let fields: Vec<(&str, &str)> = fields
        .iter()
        .map(|(name, value)| (name.as_str(), value.as_str()))
        .collect();
    let before = bench.state.known(1).unwrap().job.instruments.clone();
    bench
        .post("/jobs/1/edit", &fields)
        .await
        .expect(StatusCode::SEE_OTHER);
    assert_eq!(bench.state.known(1).unwrap().job.instruments, before);
}

/// Texts of a returned form keep the language of the request.
#[test]
fn a_returned_form_is_german_too() {
    let known = crate::state::Known::of(
        1,
        1,
        crate::pages::sample_job(),
        crate::pages::sample_assessment(),
    );
    let returned = Returned {
        word: "draw".into(),
        in_step: false,
        typed: crate::form::Typed::default(),
        wrong: crate::form::Wrong::default(),
        question: Some("?".into()),
    };
    let page = speak(Lang::De, || {
        crate::parts::readings::all(&known, Some(&returned), "battery").into_string()
    });
    assert!(page.contains("Ja, das hat es angezeigt") && !page.contains("Enter it"));
}
