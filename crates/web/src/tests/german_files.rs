//! Files and lists that are none, handed in by somebody who reads German.

use axum::{
    body::Body,
    http::{Request, StatusCode, header},
};

use super::{Answer, Bench, all, encoded, logs, own_post, text};

/// As a browser of such a person asks.
async fn asked(bench: &Bench, mut request: Request<Body>) -> Answer {
    let wish = "de-DE,de;q=0.9,en;q=0.5".parse().unwrap();
    request.headers_mut().insert(header::ACCEPT_LANGUAGE, wish);
    bench.send(request).await
}

/// Each wrong log: its name, its content, what is said of it.
const LOGS: &[(&str, &str, StatusCode, &str)] = &[
    ("leer.csv", "", StatusCode::BAD_REQUEST, "leer"),
    (
        "brief.csv",
        "Liebe Werkstatt,\nder Wagen steht wieder.\n",
        StatusCode::UNPROCESSABLE_ENTITY,
        "keine Zeilen mit Zahlen",
    ),
    // A job file where a recording belongs.
    (
        "auftrag.toml",
        "format = 1\n[vehicle]\nname = \"Kombi\"\n[battery]\ncapacity = \"60Ah\"\n",
        StatusCode::UNPROCESSABLE_ENTITY,
        "Zeit",
    ),
    (
        "bild.csv",
        "\u{0}\u{1}\u{2}PNG\u{0}\u{0}\u{0}\u{0}",
        StatusCode::UNPROCESSABLE_ENTITY,
        "Binärdatei",
    ),
];

#[tokio::test]
async fn a_wrong_log_is_refused_in_german_and_nothing_is_lost() {
    let bench = Bench::with_kit_job();
    let before = bench.state.known(1).unwrap().job.clone();
    for (name, content, status, part) in LOGS {
        let body = logs::upload(name, content);
        let request = own_post("/jobs/1/log", logs::BOUNDARY, body.into());
        let answer = asked(&bench, request).await;
        assert_eq!(answer.status, *status, "{name}: {}", answer.text);
        let page = answer.html();
        let said = text(&page, "main");
        assert!(said.contains(part), "{name}: {said}");
        assert_eq!(tongue::english_in(&said), None, "{name}: {said}");
        let tag = all(&page, "html")[0].attr("lang");
        assert_eq!(tag, Some("de"), "{name}");
        assert_eq!(bench.state.known(1).unwrap().job, before, "{name}");
    }
    // The right one is taken after all of that, with the key that the refused ones had.
    let rows: String = (0..50).map(|at| format!("{at};412,5\n")).collect();
    let body = logs::upload("nacht.csv", &format!("Zeit [s];Strom [mA]\n{rows}"));
    bench
        .send(own_post("/jobs/1/log", logs::BOUNDARY, body.into()))
        .await
        .expect(StatusCode::SEE_OTHER);
    let job = bench.state.known(1).unwrap().job.clone();
    assert_eq!(job.entries.len(), before.entries.len() + 1);
}

#[tokio::test]
async fn a_wrong_fuse_list_is_told_in_german_and_what_was_typed_stays() {
    let bench = Bench::with_kit_job();
    let before = bench.state.known(1).unwrap().job.clone();
    let list = "F1 15A Licht\nF1 10A Radio\n20A Sitz\nF7 9999A Hupe\nwas ist das";
    for (path, name) in [("/jobs", "grauer Kombi"), ("/jobs/1/edit", "Kombi")] {
        let fields = [
            ("name", name),
            ("capacity", "sechzig"),
            ("capacity_unit", "Ah"),
            ("text", "nach <zwei> Nächten leer"),
            ("fuses", list),
        ];
        let kind = "application/x-www-form-urlencoded";
        let request = own_post(path, kind, encoded(&fields).into());
        let answer = asked(&bench, request)
            .await
            .expect(StatusCode::UNPROCESSABLE_ENTITY);
        let page = answer.html();
        let said = text(&page, "main");
        assert!(said.contains("Zeile 5"), "{said}");
        assert_eq!(tongue::english_in(&said), None, "{said}");
        let kept: String = all(&page, "#fuses")[0].text().collect();
        assert_eq!(kept.trim_start(), list);
        for (id, typed) in [
            ("#capacity", "sechzig"),
            ("#text", "nach <zwei> Nächten leer"),
        ] {
            assert_eq!(all(&page, id)[0].attr("value"), Some(typed), "{path}");
        }
        assert_eq!(bench.state.list().unwrap().len(), 1, "no half job is kept");
        assert_eq!(bench.state.known(1).unwrap().job, before);
    }
}
