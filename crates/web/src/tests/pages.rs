//! What the pages do.

use axum::http::{StatusCode, header};

use super::{Bench, all, own_post, text};

const BOUNDARY: &str = "multipart/form-data; boundary=XX";

fn upload(name: &str, content: &str) -> String {
    format!(
        "--XX\r\nContent-Disposition: form-data; name=\"key\"\r\n\r\nk1\r\n\
         --XX\r\nContent-Disposition: form-data; name=\"node\"\r\n\r\nbattery\r\n\
         --XX\r\nContent-Disposition: form-data; name=\"file\"; filename=\"{name}\"\r\n\r\n{content}\r\n--XX--\r\n"
    )
}

#[tokio::test]
async fn health_answers() {
    assert_eq!(
        Bench::sample()
            .get("/health")
            .await
            .expect(StatusCode::OK)
            .text,
        "ok"
    );
}

#[tokio::test]
async fn the_list_names_the_job_and_its_state() {
    let bench = Bench::with_kit_job();
    let html = bench.get("/").await.html();
    let line = text(&html, ".jobs li");
    assert!(
        line.contains("Kit van") && line.contains("invented") && line.contains("4 entries"),
        "{line}"
    );
    assert!(line.contains("Draws 412 mA asleep"), "{line}");
}

#[tokio::test]
async fn a_new_job_needs_only_a_name() {
    let bench = Bench::sample();
    let answer = bench
        .post("/jobs", &[("name", "grey estate"), ("key", "a")])
        .await
        .expect(StatusCode::SEE_OTHER);
    assert_eq!(answer.location(), "/jobs/1");
    let again = bench
        .post("/jobs", &[("name", "grey estate"), ("key", "a")])
        .await;
    assert_eq!(again.location(), "/jobs/1", "a double tap opens one job");
    assert_eq!(bench.state.list().unwrap().len(), 1);
}

#[tokio::test]
async fn a_new_job_understands_what_people_write() {
    let bench = Bench::sample();
    let fields = [
        ("name", "grey estate"),
        ("capacity", "70"),
        ("capacity_unit", "Ah"),
        ("chemistry", "agm"),
        ("cranking", "680"),
        ("cranking_unit", "A"),
        ("standard", "sae"),
        ("age", "4,5"),
        ("no_start_after", "2"),
        ("no_start_after_unit", "d"),
        ("temperature", "-3"),
        ("temperature_unit", "C"),
        ("limit", "0,05 A"),
        ("limit_unit", "mA"),
        ("fuses", "F12 15A radio\nF14 10A clock"),
        ("clamp", "true"),
        ("clamp_accuracy", "2"),
        ("clamp_digits", "5"),
        ("clamp_resolution", "1"),
        ("clamp_resolution_unit", "mA"),
        ("layout", "older-car"),
    ];
    bench
        .post("/jobs", &fields)
        .await
        .expect(StatusCode::SEE_OTHER);
    let job = bench.state.known(1).unwrap().job.clone();
    assert_eq!(job.battery.label.capacity_ah, Some(70.0));
    assert_eq!(job.battery.label.chemistry, battery::Chemistry::Agm);
    assert_eq!(
        job.battery.label.cranking.unwrap().standard,
        battery::CrankingStandard::Sae
    );
    assert_eq!(job.battery.age_years, Some(4.5));
    assert_eq!(job.complaint.no_start_after_h, Some(48.0));
    assert_eq!(job.complaint.temperature_c, Some(-3.0));
    assert_eq!(job.limit_a, Some(0.05));
    assert_eq!(job.instruments.len(), 1);
    assert_eq!(job.instruments[0].resolution, Some(0.001));
    let radio = job.nodes.iter().find(|node| node.id.0 == "F12").unwrap();
    assert_eq!(radio.rating_a, Some(15.0));
    assert!(job.nodes.len() > 12, "the layout is there too");
}

#[tokio::test]
async fn mistakes_are_shown_at_the_top_and_at_the_field_and_nothing_is_lost() {
    let bench = Bench::sample();
    let fields = [
        ("name", "   "),
        ("capacity", "6000"),
        ("capacity_unit", "Ah"),
        ("text", "dead after <two> nights"),
        ("fuses", "F12 15A radio\nnothing of the kind\n"),
    ];
    let answer = bench
        .post("/jobs", &fields)
        .await
        .expect(StatusCode::UNPROCESSABLE_ENTITY);
    let html = answer.html();
    let summary = text(&html, "[role=alert]");
    assert!(
        summary.contains("capacity 6000 Ah is outside 1 to 400 Ah")
            || summary.contains("Capacity 6000 Ah is outside 1 to 400 Ah"),
        "{summary}"
    );
    for id in ["name", "capacity", "fuses"] {
        assert_eq!(
            all(&html, &format!("[role=alert] a[href='#{id}']")).len(),
            1,
            "{id}"
        );
        let field = all(&html, &format!("#{id}"))[0];
        assert_eq!(field.attr("aria-invalid"), Some("true"), "{id}");
        assert!(
            field
                .attr("aria-describedby")
                .unwrap()
                .contains(&format!("{id}-wrong")),
            "{id}"
        );
    }
    assert!(text(&html, "#fuses-wrong").starts_with("Line 2"));
    assert_eq!(
        all(&html, "#text")[0].attr("value"),
        Some("dead after <two> nights")
    );
    assert!(answer.text.contains("&lt;two&gt;"), "escaped");
    assert!(text(&html, "#fuses").contains("nothing of the kind"));
    assert!(bench.state.list().unwrap().is_empty());
    let anyway = [
        ("name", "x"),
        ("fuses", "F12 15A radio\nnothing of the kind\n"),
        ("fuses_anyway", "true"),
    ];
    bench
        .post("/jobs", &anyway)
        .await
        .expect(StatusCode::SEE_OTHER);
    assert!(
        bench
            .state
            .known(1)
            .unwrap()
            .job
            .nodes
            .iter()
            .any(|node| node.id.0 == "F12")
    );
}

#[tokio::test]
async fn the_next_step_leads_and_takes_a_number() {
    let bench = Bench::with_kit_job();
    let html = bench.get("/jobs/1").await.html();
    assert_eq!(
        text(&html, "main section:first-of-type .headline"),
        "Measure millivolts across F13"
    );
    let form = ".step form.brief";
    for (name, value) in [("node", "F13"), ("how", "millivolt")] {
        let chosen = all(
            &html,
            &format!("{form} select[name={name}] option[selected]"),
        );
        assert_eq!(chosen[0].attr("value"), Some(value));
    }
    assert_eq!(
        all(
            &html,
            &format!("{form} input[name=value][inputmode=decimal]")
        )
        .len(),
        1
    );
    assert_eq!(
        all(
            &html,
            &format!("{form} select[name=value_unit] option[selected]")
        )[0]
        .attr("value"),
        Some("mV")
    );
    assert!(text(&html, ".step").contains("Mind:"));
    assert!(text(&html, "#outcomes").contains("the tracker is what draws"));
    assert_eq!(all(&html, "#others li").len(), 2);
}

#[tokio::test]
async fn a_reading_is_entered_once_and_said_back() {
    let bench = Bench::with_kit_job();
    let fields = [
        ("kind", "draw"),
        ("node", "F13"),
        ("how", "millivolt"),
        ("value", "2,1"),
        ("value_unit", "mV"),
        ("asleep", "true"),
        ("key", "tap"),
        ("shunt_unit", "mohm"),
    ];
    let first = bench
        .post("/jobs/1/entries", &fields)
        .await
        .expect(StatusCode::SEE_OTHER);
    assert_eq!(first.location(), "/jobs/1?entered=5");
    let second = bench
        .post("/jobs/1/entries", &fields)
        .await
        .expect(StatusCode::SEE_OTHER);
    assert_eq!(second.location(), "/jobs/1?entered=5");
    assert_eq!(bench.state.known(1).unwrap().job.entries.len(), 5);
    let html = bench.get(first.location()).await.html();
    let said = text(&html, "[role=status].calm");
    assert!(said.contains("2.1 mV across it at F13"), "{said}");
}

#[tokio::test]
async fn two_taps_at_once_are_one_entry() {
    let bench = Bench::with_kit_job();
    let fields = [("kind", "note"), ("text", "both"), ("key", "same")];
    let (a, b) = tokio::join!(
        bench.post("/jobs/1/entries", &fields),
        bench.post("/jobs/1/entries", &fields)
    );
    assert_eq!(
        (a.status, b.status),
        (StatusCode::SEE_OTHER, StatusCode::SEE_OTHER)
    );
    assert_eq!(bench.state.known(1).unwrap().job.entries.len(), 5);
}

#[tokio::test]
async fn an_odd_reading_is_asked_about_once() {
    let bench = Bench::with_kit_job();
    let mut fields = vec![
        ("kind", "draw"),
        ("node", "battery"),
        ("how", "clamp"),
        ("value", "4120"),
        ("value_unit", "mA"),
        ("asleep", "true"),
        ("key", "k"),
    ];
    let asked = bench
        .post("/jobs/1/entries", &fields)
        .await
        .expect(StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        asked
            .text
            .contains("4.12 A? The last reading here was 412 mA."),
        "{}",
        asked.text
    );
    assert_eq!(
        all(&asked.html(), "#draw-value")[0].attr("value"),
        Some("4120")
    );
    fields.push(("sure", "true"));
    bench
        .post("/jobs/1/entries", &fields)
        .await
        .expect(StatusCode::SEE_OTHER);
}

#[tokio::test]
async fn a_bad_reading_says_what_would_do() {
    let bench = Bench::with_kit_job();
    for (value, node, field) in [
        ("12 V", "battery", "value"),
        ("", "battery", "value"),
        ("abc", "battery", "value"),
        ("5", "F99", "node"),
    ] {
        let fields = [
            ("kind", "draw"),
            ("node", node),
            ("how", "clamp"),
            ("value", value),
            ("value_unit", "mA"),
            ("asleep", "true"),
            ("form", "next-"),
        ];
        let answer = bench
            .post("/jobs/1/entries", &fields)
            .await
            .expect(StatusCode::UNPROCESSABLE_ENTITY);
        assert_eq!(
            all(
                &answer.html(),
                &format!(
                    "[role=alert] a[href='#next-{field}'], [role=alert] a[href='#draw-{field}']"
                )
            )
            .len(),
            1,
            "{value}"
        );
    }
    bench
        .post("/jobs/1/entries", &[("kind", "dance")])
        .await
        .expect(StatusCode::BAD_REQUEST);
}

#[tokio::test]
async fn strike_out_and_restore() {
    let bench = Bench::with_kit_job();
    let html = bench.get("/jobs/1").await.html();
    assert_eq!(text(&html, "#entry-1 button"), "Restore entry 1");
    assert_eq!(text(&html, "#entry-3 button"), "Strike out entry 3");
    let strike = all(&html, "#entry-1 input[name=entry]")[0]
        .attr("value")
        .unwrap()
        .to_owned();
    assert_eq!(strike, "2", "restoring strikes the strike");
    bench
        .post(
            "/jobs/1/entries",
            &[("kind", "strike"), ("entry", &strike), ("key", "u")],
        )
        .await
        .expect(StatusCode::SEE_OTHER);
    assert!(!bench.state.known(1).unwrap().job.struck()[0]);
    bench
        .post(
            "/jobs/1/entries",
            &[("kind", "strike"), ("entry", "1"), ("key", "v")],
        )
        .await
        .expect(StatusCode::SEE_OTHER);
    assert!(bench.state.known(1).unwrap().job.struck()[0]);
    bench
        .post(
            "/jobs/1/entries",
            &[("kind", "strike"), ("entry", "1"), ("key", "w")],
        )
        .await
        .expect(StatusCode::BAD_REQUEST);
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
async fn the_switch_keeps_its_choice() {
    let bench = Bench::with_kit_job();
    let answer = bench
        .post("/look", &[("look", "night"), ("back", "/jobs/1")])
        .await
        .expect(StatusCode::SEE_OTHER);
    assert_eq!(answer.location(), "/jobs/1");
    let cookie = answer.headers[header::SET_COOKIE].to_str().unwrap();
    assert!(cookie.starts_with("look=night;"));
}

#[tokio::test]
async fn report_and_export_can_be_taken() {
    let bench = Bench::with_kit_job();
    let export = bench.get("/jobs/1/export").await.expect(StatusCode::OK);
    assert!(
        export.headers[header::CONTENT_DISPOSITION]
            .to_str()
            .unwrap()
            .contains("job-1.toml")
    );
    assert_eq!(
        job::file::parse(&export.text).unwrap(),
        bench.state.known(1).unwrap().job
    );
    let report = bench.get("/jobs/1/report").await.expect(StatusCode::OK);
    assert!(
        report.headers[header::CONTENT_TYPE]
            .to_str()
            .unwrap()
            .starts_with("text/html")
    );
    assert!(
        !report.headers[header::CONTENT_SECURITY_POLICY]
            .to_str()
            .unwrap()
            .contains("script-src")
    );
}

#[tokio::test]
async fn changing_the_job_keeps_its_entries() {
    let bench = Bench::with_kit_job();
    let before = bench.state.known(1).unwrap().job.clone();
    let fields = [
        ("name", "Other van"),
        ("capacity", "70 Ah"),
        ("fuses", "F20 5A horn"),
    ];
    bench
        .post("/jobs/1/edit", &fields)
        .await
        .expect(StatusCode::SEE_OTHER);
    let after = bench.state.known(1).unwrap().job.clone();
    assert_eq!(after.entries, before.entries);
    assert_eq!(after.vehicle.name, "Other van");
    assert!(after.nodes.len() > before.nodes.len());
    let again = bench
        .post("/jobs/1/edit", &[("name", "x"), ("fuses", "F12 5A horn")])
        .await;
    assert_eq!(again.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(again.text.contains("has a F12 already"), "{}", again.text);
}

#[tokio::test]
async fn a_change_reaches_the_other_screen() {
    use tokio::time::{Duration, timeout};
    let bench = Bench::with_kit_job();
    let mut changes = bench.state.changes();
    bench
        .post("/jobs/1/entries", &[("kind", "note"), ("text", "x")])
        .await
        .expect(StatusCode::SEE_OTHER);
    let (id, revision) = timeout(Duration::from_millis(500), changes.recv())
        .await
        .unwrap()
        .unwrap();
    assert_eq!((id, revision), (1, bench.state.revision(1).unwrap()));
    bench
        .get("/jobs/9/events")
        .await
        .expect(StatusCode::NOT_FOUND);
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
async fn the_demo_is_one_tap_away_and_says_that_it_is_invented() {
    let bench = Bench::real();
    let answer = bench
        .post("/demo", &[("key", "d")])
        .await
        .expect(StatusCode::SEE_OTHER);
    let html = bench
        .get(answer.location())
        .await
        .expect(StatusCode::OK)
        .html();
    assert!(text(&html, "h1").contains("invented"));
    assert!(!text(&html, ".step").is_empty());
    assert!(
        !all(&html, "#recording-numbers tbody tr").is_empty(),
        "its night has been read"
    );
}

#[tokio::test]
async fn the_next_step_follows_the_readings() {
    let bench = Bench::real();
    let fields = [
        ("name", "van"),
        ("capacity", "60 Ah"),
        ("clamp", "true"),
        ("millivolt", "true"),
        ("fuses", "F11 10A clock\nF12 15A radio\nF13 10A tracker"),
    ];
    bench
        .post("/jobs", &fields)
        .await
        .expect(StatusCode::SEE_OTHER);
    let before = text(&bench.get("/jobs/1").await.html(), ".step .headline");
    let total = [
        ("kind", "draw"),
        ("node", "battery"),
        ("how", "clamp"),
        ("value", "412 mA"),
        ("asleep", "true"),
    ];
    bench
        .post("/jobs/1/entries", &total)
        .await
        .expect(StatusCode::SEE_OTHER);
    let html = bench.get("/jobs/1").await.html();
    assert_ne!(text(&html, ".step .headline"), before);
    assert!(text(&html, "section[aria-labelledby=stands]").contains("412 ±"));
}
