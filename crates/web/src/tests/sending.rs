//! Forms that are sent twice, late, or doubtfully.

use axum::http::StatusCode;
use jiff::{SignedDuration, Timestamp};

use super::{Bench, all, text};

async fn bench() -> Bench {
    let bench = Bench::real();
    bench
        .post("/jobs", &[("name", "grey estate"), ("key", "j")])
        .await
        .expect(StatusCode::SEE_OTHER);
    bench
}

const TOTAL: [(&str, &str); 5] = [
    ("kind", "draw"),
    ("node", "battery"),
    ("how", "clamp"),
    ("asleep", "true"),
    ("value_unit", "mA"),
];

fn total<'a>(value: &'a str, key: &'a str, more: &[(&'a str, &'a str)]) -> Vec<(&'a str, &'a str)> {
    [&TOTAL[..], &[("value", value), ("key", key)], more].concat()
}

#[tokio::test]
async fn a_form_sent_again_is_one_entry_with_one_answer() {
    let bench = bench().await;
    let first = bench.post("/jobs/1/entries", &total("412", "k", &[])).await;
    let again = bench
        .post("/jobs/1/entries", &total("412", "k", &[("waited", "5000")]))
        .await;
    assert_eq!(first.location(), again.location());
    assert_eq!(bench.state.known(1).unwrap().job.entries.len(), 1);
}

#[tokio::test]
async fn an_entry_keeps_the_time_at_which_it_was_made() {
    let bench = bench().await;
    let hour = "3600000";
    for (key, waited, least_s, most_s) in [
        ("a", hour, 3600, 3660),
        ("b", "", 0, 60),
        ("c", "-5000", 0, 60),
        ("d", "soon", 0, 60),
        ("e", "99999999999999", 14 * 86_400, 14 * 86_400 + 60),
    ] {
        bench
            .post(
                "/jobs/1/entries",
                &[
                    ("kind", "note"),
                    ("text", key),
                    ("key", key),
                    ("waited", waited),
                ],
            )
            .await
            .expect(StatusCode::SEE_OTHER);
        let at = bench.state.known(1).unwrap().job.entries.last().unwrap().at;
        let ago = Timestamp::now().duration_since(at);
        assert!(
            (SignedDuration::from_secs(least_s)..SignedDuration::from_secs(most_s)).contains(&ago),
            "{key}: {ago}"
        );
    }
}

#[tokio::test]
async fn a_slip_of_the_point_is_asked_about_and_nothing_is_lost() {
    let bench = bench().await;
    bench
        .post("/jobs/1/entries", &total("412", "k", &[]))
        .await
        .expect(StatusCode::SEE_OTHER);
    let asked = bench
        .post("/jobs/1/entries", &total("4 120", "l", &[]))
        .await
        .expect(StatusCode::UNPROCESSABLE_ENTITY);
    let html = asked.html();
    assert!(text(&html, ".wrong").contains("412 mA"), "{}", asked.text);
    let kept: Vec<_> = all(&html, "input[name=value]")
        .iter()
        .filter_map(|field| field.attr("value").map(str::to_owned))
        .filter(|value| !value.is_empty())
        .collect();
    assert_eq!(kept, ["4 120"]);
    assert_eq!(bench.state.known(1).unwrap().job.entries.len(), 1);
    bench
        .post("/jobs/1/entries", &total("4 120", "l", &[("sure", "true")]))
        .await
        .expect(StatusCode::SEE_OTHER);
    assert_eq!(bench.state.known(1).unwrap().job.entries.len(), 2);
}

#[tokio::test]
async fn every_form_of_an_entry_is_kept_when_it_cannot_be_sent() {
    let bench = Bench::with_kit_job();
    let page = bench.get("/jobs/1").await.expect(StatusCode::OK).html();
    let forms = all(&page, "form[action='/jobs/1/entries']");
    assert!(forms.len() > 10, "{}", forms.len());
    for form in forms {
        assert_eq!(form.attr("data-keep"), Some("/jobs/1"), "{}", form.html());
        let keys = form
            .descendent_elements()
            .filter(|each| each.attr("name") == Some("key"))
            .count();
        assert_eq!(keys, 1, "{}", form.html());
    }
}
