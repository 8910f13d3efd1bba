//! Log files.

use axum::http::StatusCode;

use super::{Bench, all, own_post, text};

pub(super) const BOUNDARY: &str = "multipart/form-data; boundary=XX";

pub(super) fn upload(name: &str, content: &str) -> String {
    format!(
        "--XX\r\nContent-Disposition: form-data; name=\"key\"\r\n\r\nk1\r\n\
         --XX\r\nContent-Disposition: form-data; name=\"node\"\r\n\r\nbattery\r\n\
         --XX\r\nContent-Disposition: form-data; name=\"file\"; filename=\"{name}\"\r\n\r\n{content}\r\n--XX--\r\n"
    )
}

#[tokio::test]
async fn a_log_is_taken_asked_about_or_refused() {
    let bench = Bench::with_kit_job();
    let send = |body: String| bench.send(own_post("/jobs/1/log", BOUNDARY, body.into()));
    let good = format!(
        "time_s,current_mA\n{}",
        (0..50).map(|i| format!("{i},412\n")).collect::<String>()
    );
    let taken = send(upload("../night.csv", &good))
        .await
        .expect(StatusCode::SEE_OTHER);
    assert_eq!(taken.location(), "/jobs/1?entered=5");
    let job = bench.state.known(1).unwrap().job.clone();
    assert_eq!(job.recordings.keys().collect::<Vec<_>>(), ["night.csv"]);
    assert!((job.recordings["night.csv"].trace.current_a[0] - 0.412).abs() < 1e-9);

    let unitless = format!(
        "t,current\n{}",
        (0..50).map(|i| format!("{i},412\n")).collect::<String>()
    );
    let asked = send(upload("b.csv", &unitless).replace("k1", "k2"))
        .await
        .expect(StatusCode::UNPROCESSABLE_ENTITY);
    let html = asked.html();
    let action = all(&html, "form.modest")[0]
        .attr("action")
        .unwrap()
        .to_owned();
    let answered = bench
        .post(
            &action,
            &[
                ("unit", "mA"),
                ("key", "k2"),
                ("interval", "1"),
                ("interval_unit", "s"),
            ],
        )
        .await;
    assert_eq!(answered.status, StatusCode::SEE_OTHER, "{}", answered.text);
    assert_eq!(bench.state.known(1).unwrap().job.recordings.len(), 2);
    bench
        .post(&action, &[("unit", "mA")])
        .await
        .expect(StatusCode::BAD_REQUEST);

    let empty = send(upload("c.csv", "")).await;
    assert_eq!(empty.status, StatusCode::BAD_REQUEST);
    let text = send(upload("d.csv", "this is no log\nat all\n")).await;
    assert_eq!(text.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(bench.state.known(1).unwrap().job.entries.len(), 6);
}

#[tokio::test]
async fn a_log_may_be_far_larger_than_a_form() {
    let bench = Bench::with_kit_job();
    let rows: String = (0..200_000).map(|i| format!("{i},412\n")).collect();
    assert!(rows.len() > 2 * crate::FORM_LIMIT);
    let body = upload("long.csv", &format!("time_s,current_mA\n{rows}"));
    let answer = bench
        .send(own_post("/jobs/1/log", BOUNDARY, body.into()))
        .await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text);
    assert_eq!(
        bench.state.known(1).unwrap().job.recordings["long.csv"]
            .trace
            .current_a
            .len(),
        200_000
    );
}

#[tokio::test]
async fn a_log_says_when_the_clamp_was_off_the_cable() {
    let bench = Bench::with_kit_job();
    let send = |body: String| bench.send(own_post("/jobs/1/log", BOUNDARY, body.into()));
    let rows: String = (0..400)
        .map(|i| format!("{i},{}\n", if i < 20 { 4 } else { 412 }))
        .collect();
    let with = |key: &str, zero: &str| {
        let field = format!(
            "name=\"zero\"\r\n\r\n{zero}\r\n--XX\r\nContent-Disposition: form-data; name=\"file\""
        );
        upload("night.csv", &format!("time_s,current_mA\n{rows}"))
            .replace("k1", key)
            .replace("name=\"file\"", &field)
    };
    for (key, wrong) in [
        ("a1", "at ten"),
        ("a2", "9000s..9060s"),
        ("a3", "22:10..22:12"),
    ] {
        let refused = send(with(key, wrong)).await.expect(StatusCode::BAD_REQUEST);
        assert!(
            text(&refused.html(), "main").contains("22:10..22:12"),
            "{wrong}"
        );
    }
    send(with("a4", "0s..19s, 395s..399s"))
        .await
        .expect(StatusCode::SEE_OTHER);
    let job = bench.state.known(1).unwrap().job.clone();
    let job::EntryKind::Trace { zero, .. } = &job.entries.last().unwrap().kind else {
        panic!("no recording");
    };
    assert_eq!(*zero, ["0s..19s", "395s..399s"]);
}

/// A clamp that shows 4 mA too much: everything on the recording's page is of the current, not of what the clamp showed.
#[tokio::test]
async fn the_recording_is_drawn_without_the_clamps_zero() {
    let bench = Bench::with_kit_job();
    // Two hours; what ripples shows in the few readings of the zero more than in the level.
    let rows: String = (0..1440)
        .map(|i| {
            let level = if (20..1420).contains(&i) { 26.0 } else { 4.0 };
            format!(
                "{},{:.1}\n",
                i * 5,
                level + [0.0, 0.4, -0.3, 0.1, -0.2][i * 7 % 5]
            )
        })
        .collect();
    let field = "name=\"zero\"\r\n\r\n0s..99s, 7100s..7199s\r\n--XX\r\nContent-Disposition: form-data; name=\"file\"";
    let body =
        upload("night.csv", &format!("time_s,current_mA\n{rows}")).replace("name=\"file\"", field);
    bench
        .send(own_post("/jobs/1/log", BOUNDARY, body.into()))
        .await
        .expect(StatusCode::SEE_OTHER);
    let job = bench.state.known(1).unwrap().job.clone();
    let entry = job.entries.len();
    let page = bench
        .get(&format!("/jobs/1/trace/{entry}?a=1000s&b=6000s"))
        .await
        .expect(StatusCode::OK)
        .html();
    let said = text(&page, ".between");
    assert!(said.contains("22.00") && !said.contains("26.00"), "{said}");

    let drawn: Vec<String> = all(&page, ".sheet path")
        .iter()
        .filter_map(|path| path.attr("d").map(str::to_owned))
        .collect();
    let lines = |trace: &trace::Trace| {
        let analysis = trace::analyse(trace, &trace::AnalyseOptions::default());
        let svg = picture::trace_closely(
            trace,
            Some(&analysis),
            &[],
            picture::Zoom::default(),
            &picture::Style {
                width: 620.0,
                ..picture::Style::wide()
            },
        );
        let svg = scraper::Html::parse_fragment(&svg);
        let paths = scraper::Selector::parse("path").unwrap();
        let lines = svg.select(&paths).filter_map(|path| path.attr("d"));
        lines.map(str::to_owned).collect::<Vec<String>>()
    };
    let shown = &job.recordings["night.csv"].trace;
    let (flowing, zero) = shown
        .without_zero(&[(0.0, 99.0), (7100.0, 7199.0)])
        .unwrap();
    let is_drawn = |lines: &[String]| lines.iter().all(|line| drawn.contains(line));
    assert!(is_drawn(&lines(&flowing)), "{drawn:?}");
    assert!(!is_drawn(&lines(shown)));
    // With what is left of the zero's uncertainty, against the job's own limit.
    let options = trace::AnalyseOptions {
        limit_a: job.limit_in_force_a(),
        zero: Some(zero),
        ..trace::AnalyseOptions::default()
    };
    let said = picture::finding::trace(Some(&trace::analyse(&flowing, &options)));
    let heading = text(&page, ".for-desk svg");
    assert!(heading.contains(&said), "{said} in {heading}");
    let without = picture::finding::trace(Some(&trace::analyse(&flowing, &Default::default())));
    assert_ne!(said, without, "the uncertainty of the zero shows");
}
