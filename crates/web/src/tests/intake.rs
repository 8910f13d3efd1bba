//! Taking a job in and changing it.

use axum::http::StatusCode;

use super::{Bench, all, text};

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
    // A fuse that is there says more, and stays where it is.
    bench
        .post("/jobs/1/edit", &[("name", "x"), ("fuses", "F12 5A horn")])
        .await
        .expect(StatusCode::SEE_OTHER);
    let refined = bench.state.known(1).unwrap().job.clone();
    assert_eq!(refined.entries, before.entries);
    assert_eq!(refined.nodes.len(), after.nodes.len());
    let horn = refined
        .nodes
        .iter()
        .find(|node| node.id.0 == "F12")
        .unwrap();
    assert_eq!(
        (horn.rating_a, horn.label.as_deref()),
        (Some(5.0), Some("horn"))
    );
}

#[tokio::test]
async fn a_new_job_on_the_same_vehicle_keeps_its_circuits_alone() {
    let bench = Bench::with_kit_job();
    let answer = bench
        .post("/jobs/1/copy", &[("key", "c")])
        .await
        .expect(StatusCode::SEE_OTHER);
    assert_eq!(answer.location(), "/jobs/2/edit");
    let (old, new) = (bench.state.known(1).unwrap(), bench.state.known(2).unwrap());
    assert_eq!(new.job.nodes, old.job.nodes);
    assert_eq!(new.job.vehicle, old.job.vehicle);
    assert!(new.job.entries.is_empty() && new.job.complaint.text.is_none());
}

#[tokio::test]
async fn instruments_can_be_changed_but_not_taken_from_under_their_entries() {
    let bench = Bench::sample();
    let new = [
        ("name", "grey estate"),
        ("key", "a"),
        ("clamp", "true"),
        ("clamp_name", "old clamp"),
    ];
    bench
        .post("/jobs", &new)
        .await
        .expect(StatusCode::SEE_OTHER);
    let read = [
        ("kind", "draw"),
        ("node", "battery"),
        ("how", "clamp"),
        ("value", "412 mA"),
        ("asleep", "true"),
        ("instrument", "old clamp"),
        ("key", "b"),
    ];
    bench
        .post("/jobs/1/entries", &read)
        .await
        .expect(StatusCode::SEE_OTHER);
    let html = bench.get("/jobs/1/edit").await.html();
    assert_eq!(all(&html, "#clamp[checked]").len(), 1);
    assert_eq!(all(&html, "#clamp_name[value='old clamp']").len(), 1);

    let shown = ("instruments_shown", "true");
    let name = ("name", "grey estate");
    for fields in [
        vec![name, shown],
        vec![name, shown, ("clamp", "true"), ("clamp_name", "new clamp")],
    ] {
        let answer = bench.post("/jobs/1/edit", &fields).await;
        assert_eq!(
            answer.status,
            StatusCode::UNPROCESSABLE_ENTITY,
            "{fields:?}"
        );
        assert!(answer.text.contains("Entries were read with"));
    }
    let fields = [
        name,
        shown,
        ("clamp", "true"),
        ("clamp_name", "old clamp"),
        ("clamp_accuracy", "1.5"),
        ("analyser", "true"),
    ];
    bench
        .post("/jobs/1/edit", &fields)
        .await
        .expect(StatusCode::SEE_OTHER);
    let job = bench.state.known(1).unwrap().job.clone();
    assert_eq!(job.instruments.len(), 2);
    assert_eq!(job.instruments[0].accuracy_percent, 1.5);
}

#[test]
fn the_form_offers_every_word_of_job_files() {
    use job::file::words::{CHEMISTRIES, STANDARDS};
    let offered: Vec<&str> = crate::reading::STANDARDS
        .iter()
        .map(|each| each.0)
        .collect();
    assert_eq!(
        offered,
        STANDARDS.iter().map(|each| each.0).collect::<Vec<_>>()
    );
    let offered: Vec<&str> = crate::intake::chemistries()
        .iter()
        .map(|each| each.0)
        .collect();
    assert_eq!(
        offered,
        CHEMISTRIES.iter().map(|each| each.0).collect::<Vec<_>>()
    );
}
