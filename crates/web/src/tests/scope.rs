//! A recording looked at closely.

use axum::http::StatusCode;

use super::{Bench, all, text};

/// A demo job with a virtual night; the number of the recording's entry.
async fn with_night() -> (Bench, usize) {
    let bench = Bench::real();
    bench
        .post("/demo", &[("key", "d")])
        .await
        .expect(StatusCode::SEE_OTHER);
    let answer = bench
        .post("/jobs/1/rehearse", &[("kind", "trace"), ("key", "night")])
        .await
        .expect(StatusCode::SEE_OTHER);
    let (_, number) = answer.location().split_once("entered=").unwrap();
    let number = number.split('&').next().unwrap().parse().unwrap();
    (bench, number)
}

#[tokio::test]
async fn every_press_is_a_link_and_the_view_stays_inside() {
    let (bench, entry) = with_night().await;
    let address = format!("/jobs/1/trace/{entry}");
    let page = bench.get(&address).await.expect(StatusCode::OK).html();
    let links: Vec<String> = all(&page, "[data-move]")
        .iter()
        .map(|a| a.attr("href").unwrap().to_owned())
        .collect();
    assert_eq!(links.len(), 5);
    for link in &links {
        assert!(link.starts_with(&address), "{link}");
        let there = bench.get(link).await.expect(StatusCode::OK).html();
        let scope = &all(&there, "[data-scope]")[0];
        let number = |name: &str| scope.attr(name).unwrap().parse::<f64>().unwrap();
        assert!(
            0.0 <= number("data-from")
                && number("data-from") < number("data-to")
                && number("data-to") <= number("data-end")
        );
    }
    // Closer is half as much.
    let closer = bench.get(&links[2]).await.html();
    let scope = &all(&closer, "[data-scope]")[0];
    let number = |name: &str| scope.attr(name).unwrap().parse::<f64>().unwrap();
    let share = (number("data-to") - number("data-from")) / number("data-end");
    assert!((share - 0.5).abs() < 1e-3, "{share}");
}

#[tokio::test]
async fn two_cursors_give_level_step_and_charge() {
    let (bench, entry) = with_night().await;
    let known = bench.state.known(1).unwrap();
    let entry_id = job::EntryId::from_number(entry).unwrap();
    let scope = crate::parts::scope::Scope::of(&known, entry_id).unwrap();
    let recording = scope.recording;
    let found = trace::between(
        &recording.trace,
        &recording.analysis().segments,
        600.0,
        7_200.0,
    )
    .unwrap();
    // With the decimal comma, and in either order.
    let page = bench
        .get(&format!("/jobs/1/trace/{entry}?a=2h&b=10,0min"))
        .await
        .expect(StatusCode::OK)
        .html();
    let said = text(&page, ".between");
    for figure in [
        crate::words::current(found.level),
        picture::words::plus_minus::<measure::quantity::AmpereHour>(found.charge_ah),
    ] {
        let figure = figure.replace('\u{a0}', " ");
        assert!(said.contains(&figure), "{figure} in {said}");
    }
    assert!(said.contains("Step from A to B"), "{said}");
}

#[tokio::test]
async fn what_cannot_be_measured_is_said() {
    let (bench, entry) = with_night().await;
    let get = async |query: &str| {
        let page = bench.get(&format!("/jobs/1/trace/{entry}{query}")).await;
        text(&page.expect(StatusCode::OK).html(), ".between")
    };
    assert!(get("?a=soon&b=2h").await.contains("`soon` is no time"));
    assert!(get("?a=2h").await.contains("Drag across"));
    assert!(get("?from=x&to=-&a=-3s&b=nan").await.contains("is no time"));
    assert!(get("?from=NaN&to=inf").await.contains("Drag across"));
    for nowhere in ["/jobs/1/trace/1", "/jobs/1/trace/999", "/jobs/1/trace/0"] {
        let answer = bench.get(nowhere).await;
        assert!(
            answer.status.is_client_error(),
            "{nowhere}: {}",
            answer.status
        );
    }
}

#[tokio::test]
async fn the_script_gets_one_picture_and_nothing_around_it() {
    let (bench, entry) = with_night().await;
    for (part, class) in [("hand", "for-hand"), ("desk", "for-desk")] {
        let query = format!("/jobs/1/trace/{entry}?part={part}&from=100&to=900");
        let answer = bench.get(&query).await.expect(StatusCode::OK);
        assert!(!answer.text.contains("<html"));
        let html = answer.html();
        let sheets = all(&html, ".sheet");
        assert_eq!(sheets.len(), 1);
        assert!(sheets[0].attr("class").unwrap().contains(class));
    }
}
