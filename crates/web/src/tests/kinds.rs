//! A form for every kind of entry, and no step without a way on.

use axum::http::StatusCode;
use job::{Assessment, EntryKind, History, Job, Proposal};

use super::{Bench, all, text};
use crate::{access::Access, reading};

/// The kit's assessment with the next step of another kind, which is the
/// first of the others too.
fn asking(kind: &str) -> Assessment {
    let mut assessment = crate::pages::sample_assessment();
    let next: Option<Proposal> = assessment.next.take().map(|next| Proposal {
        kind: kind.into(),
        node: None,
        ..next
    });
    assessment.alternatives = next.iter().cloned().collect();
    assessment.next = next;
    assessment
}

fn bench(assess: fn(&Job, &History) -> Assessment) -> Bench {
    let bench = Bench::with(assess, Access::this_machine(None));
    let job = crate::pages::sample_job();
    bench.state.create(&job, "kit").unwrap();
    bench
}

#[test]
fn every_kind_of_a_job_file_can_be_entered() {
    for word in job::file::words::ENTRY_KINDS {
        // Recordings are uploaded, strikes have their buttons.
        let other_way = matches!(*word, "trace" | "strike");
        assert_eq!(reading::kind(word).is_none(), other_way, "{word}");
    }
}

/// The battery has no plug to pull, so that the form must not begin with it.
#[tokio::test]
async fn unplugging_begins_at_what_has_a_plug() {
    let chosen = async |bench: &Bench| {
        let page = bench.get("/jobs/1").await.expect(StatusCode::OK);
        let html = page.html();
        let options = all(&html, "#unplug-node option[selected]");
        options
            .iter()
            .map(|option| option.value().attr("value").map(str::to_owned))
            .collect::<Vec<_>>()
    };
    let [Some(node)] = &chosen(&Bench::with_kit_job()).await[..] else {
        panic!("one is chosen");
    };
    let job = crate::pages::sample_job();
    let spec = job.nodes.iter().find(|spec| spec.id.0 == *node).unwrap();
    assert!(reading::offers_unplugging(spec.kind), "{node}");
    // Without circuits there is nothing to choose from.
    let empty = Bench::real();
    empty.state.create(&Job::default(), "bare").unwrap();
    assert_eq!(chosen(&empty).await, [Some(String::new())]);
}

#[tokio::test]
async fn the_tests_of_battery_and_cables_are_taken() {
    let bench = Bench::with_kit_job();
    for fields in [
        &[
            ("kind", "resistance"),
            ("value", "5,2"),
            ("value_unit", "mohm"),
        ][..],
        &[
            ("kind", "gravity"),
            ("lowest", "1,235"),
            ("highest", "1.255"),
        ],
        &[
            ("kind", "stand-alone"),
            ("before", "12.62"),
            ("before_unit", "V"),
            ("after", "12.58 V"),
            ("stood", "14"),
            ("stood_unit", "h"),
        ],
        &[
            ("kind", "drop"),
            ("value", "250"),
            ("value_unit", "mV"),
            ("place", "starter-ground"),
        ],
        &[
            ("kind", "charging"),
            ("value", "14.3"),
            ("value_unit", "V"),
            ("at_speed", "loaded"),
        ],
    ] {
        bench
            .post("/jobs/1/entries", fields)
            .await
            .expect(StatusCode::SEE_OTHER);
    }
    let job = bench.state.known(1).unwrap().job.clone();
    let taken: Vec<&EntryKind> = job.entries[4..].iter().map(|entry| &entry.kind).collect();
    assert!(
        matches!(taken[0], EntryKind::Resistance { ohm, .. } if (ohm - 0.0052).abs() < 1e-9),
        "{taken:?}"
    );
    assert!(
        matches!(taken[1], EntryKind::Gravity { lowest, highest, .. } if (*lowest, *highest) == (1.235, 1.255)),
        "{taken:?}"
    );
    assert!(
        matches!(taken[2], EntryKind::StandAlone { before_v, after_v, hours, .. } if (*before_v, *after_v, *hours) == (12.62, 12.58, 14.0)),
        "{taken:?}"
    );
    assert!(
        matches!(taken[3], EntryKind::Drop { drop_v, current_a: None, .. } if (drop_v - 0.25).abs() < 1e-9),
        "{taken:?}"
    );
    assert!(
        matches!(taken[4], EntryKind::Charging { ripple_v: None, .. }),
        "{taken:?}"
    );
}

#[tokio::test]
async fn what_is_missing_is_said_at_its_field() {
    let bench = Bench::with_kit_job();
    for (word, field) in [
        ("resistance", "value"),
        ("gravity", "highest"),
        ("stand-alone", "stood"),
        ("drop", "value"),
        ("charging", "value"),
    ] {
        let html = bench
            .post("/jobs/1/entries", &[("kind", word)])
            .await
            .expect(StatusCode::UNPROCESSABLE_ENTITY)
            .html();
        let at = format!("#{word}-{field}[aria-invalid=true]");
        assert_eq!(all(&html, &at).len(), 1, "{at}");
    }
}

#[tokio::test]
async fn the_charging_step_asks_for_voltage_and_ripple_under_load() {
    let bench = bench(|_, _| asking("charging"));
    let html = bench.get("/jobs/1").await.html();
    let form = ".step form.brief";
    for name in ["value", "ripple"] {
        assert_eq!(
            all(&html, &format!("{form} > .field input[name={name}]")).len(),
            1,
            "{name} is not folded away"
        );
    }
    let speed = format!("{form} select[name=at_speed] option[selected]");
    assert_eq!(all(&html, &speed)[0].attr("value"), Some("loaded"));
    let other = all(&html, "#others a")[0].attr("href").unwrap();
    let page = bench.get(other).await.expect(StatusCode::OK).html();
    assert_eq!(all(&page, "#charging-fold[open]").len(), 1);
}

#[tokio::test]
async fn the_step_about_driving_leads_to_its_fields() {
    let bench = bench(|_, _| asking("usage"));
    let html = bench.get("/jobs/1").await.html();
    assert!(all(&html, ".step form").is_empty(), "no bare 'Done'");
    for link in [".step a.main-press", "#others a"] {
        assert_eq!(all(&html, link)[0].attr("href"), Some("/jobs/1/edit#trips"));
    }
    let page = bench.get("/jobs/1/reading?kind=usage").await.html();
    assert!(text(&page, "#usage-fold[open]").contains("Enter them with the job"));

    for (trips, trip, empty) in [("10", "", "trip"), ("", "8", "trips")] {
        let fields = [("name", "van"), ("trips", trips), ("trip", trip)];
        let html = bench
            .post("/jobs/1/edit", &fields)
            .await
            .expect(StatusCode::UNPROCESSABLE_ENTITY)
            .html();
        assert_eq!(all(&html, &format!("#{empty}-wrong")).len(), 1);
    }
    let fields = [("name", "van"), ("trips", "10"), ("trip", "7,5")];
    bench
        .post("/jobs/1/edit", &fields)
        .await
        .expect(StatusCode::SEE_OTHER);
    let usage = bench.state.known(1).unwrap().job.usage.unwrap();
    assert_eq!((usage.trips_per_week, usage.minutes_per_trip), (10.0, 7.5));
    let html = bench.get("/jobs/1/edit").await.html();
    assert_eq!(all(&html, "#trips[value='10']").len(), 1);
    assert_eq!(all(&html, "#trip[value='7.5']").len(), 1);
}

#[tokio::test]
async fn another_step_that_wants_a_recording_opens_its_form() {
    let bench = bench(|_, _| asking("trace"));
    let html = bench.get("/jobs/1").await.html();
    assert_eq!(all(&html, ".step input[type=file]").len(), 1);
    let other = all(&html, "#others a")[0].attr("href").unwrap();
    let page = bench.get(other).await.expect(StatusCode::OK).html();
    assert_eq!(all(&page, "#recording-fold[open]").len(), 1);
}
