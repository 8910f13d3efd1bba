//! The demo job with its virtual van, worked as a new user would.

use axum::http::StatusCode;

use super::{Answer, Bench, all, text};

/// More answers than any sensible plan needs for the demo.
const ANSWERS: usize = 12;

/// Presses the button of the step's form that has this address.
pub(super) async fn press_step(bench: &Bench, page: &Answer, address: &str) -> Answer {
    let html = page.html();
    let form = all(&html, ".step form")[0];
    let fields: Vec<(String, String)> = fields_of(form);
    let fields: Vec<(&str, &str)> = fields
        .iter()
        .map(|(a, b)| (a.as_str(), b.as_str()))
        .collect();
    let answer = bench
        .post(address, &fields)
        .await
        .expect(StatusCode::SEE_OTHER);
    bench.get(answer.location()).await.expect(StatusCode::OK)
}

/// What a browser would send.
pub(super) fn fields_of(form: scraper::ElementRef<'_>) -> Vec<(String, String)> {
    let pick = |css: &str| scraper::Selector::parse(css).unwrap();
    let value = |each: scraper::ElementRef<'_>| each.attr("value").unwrap_or_default().to_owned();
    let (input, select) = (pick("input"), pick("select"));
    let inputs = form
        .select(&input)
        .filter(|each| each.attr("type") != Some("checkbox") || each.attr("checked").is_some())
        .filter_map(|each| Some((each.attr("name")?.to_owned(), value(each))));
    let chosen = form.select(&select).filter_map(|each| {
        let option = each
            .select(&pick("option[selected]"))
            .next()
            .or_else(|| each.select(&pick("option")).next())?;
        Some((each.attr("name")?.to_owned(), value(option)))
    });
    inputs.chain(chosen).collect()
}

#[tokio::test]
async fn a_new_user_works_the_demo_to_its_report_without_a_vehicle() {
    let bench = Bench::real();
    bench
        .post("/demo", &[("key", "d")])
        .await
        .expect(StatusCode::SEE_OTHER);
    let mut page = bench.get("/jobs/1").await;
    let mut answered = 0;
    while all(&page.html(), "form.brief input[name=kind][value=repair]").is_empty() {
        assert!(answered < ANSWERS, "no culprit after {answered} answers");
        let html = page.html();
        let press = all(&html, ".step button[formaction]");
        assert_eq!(
            press[0].attr("formaction"),
            Some("/jobs/1/rehearse"),
            "{}",
            page.text
        );
        page = press_step(&bench, &page, "/jobs/1/rehearse").await;
        assert!(text(&page.html(), ".said-back").starts_with("The virtual van answered:"));
        answered += 1;
    }
    assert!(answered > 0, "the demo begins unsolved");
    assert!(
        text(&page.html(), ".step .headline").contains("F17"),
        "the worn lamp switch"
    );
    assert!(text(&page.html(), ".step").contains("Read the total again"));

    // The repair, then the total once more: by the van, without a question.
    let page = press_step(&bench, &page, "/jobs/1/entries").await;
    assert!(
        text(&page.html(), ".step").contains("on the same terms"),
        "{}",
        page.text
    );
    let page = press_step(&bench, &page, "/jobs/1/rehearse").await;
    assert!(
        text(&page.html(), ".step").contains("Repaired and proven"),
        "{}",
        page.text
    );
    let report = bench
        .get("/jobs/1/report")
        .await
        .expect(StatusCode::OK)
        .text;
    assert!(report.contains("Before the repair"), "{report}");
    assert!(report.contains("Found, repaired and measured again"));

    // The night after it, as a recording.
    let night = [("kind", "trace"), ("node", "battery"), ("key", "n")];
    let answer = bench
        .post("/jobs/1/rehearse", &night)
        .await
        .expect(StatusCode::SEE_OTHER);
    let page = bench.get(answer.location()).await;
    assert!(text(&page.html(), ".said-back").contains("virtual-night.csv"));
    assert!(
        text(&page.html(), ".step").contains("Repaired and proven"),
        "{}",
        page.text
    );
}

#[tokio::test]
async fn the_van_answers_once_per_tap_and_for_its_own_job_only() {
    let bench = Bench::real();
    bench
        .post("/jobs", &[("name", "real car"), ("key", "r")])
        .await;
    bench.post("/demo", &[("key", "d")]).await;
    let total = [
        ("kind", "draw"),
        ("node", "battery"),
        ("how", "clamp"),
        ("asleep", "true"),
        ("key", "t"),
    ];
    let refused = bench.post("/jobs/1/rehearse", &total).await;
    assert_eq!(refused.status, StatusCode::BAD_REQUEST);
    assert!(refused.text.contains("No virtual van here"));
    assert!(!bench.get("/jobs/1").await.text.contains("/rehearse"));

    let first = bench
        .post("/jobs/2/rehearse", &total)
        .await
        .expect(StatusCode::SEE_OTHER);
    let second = bench
        .post("/jobs/2/rehearse", &total)
        .await
        .expect(StatusCode::SEE_OTHER);
    assert_eq!(first.location(), second.location());
    let silent = [
        ("kind", "draw"),
        ("node", "cabin-box"),
        ("how", "millivolt"),
        ("key", "u"),
    ];
    assert_eq!(
        bench.post("/jobs/2/rehearse", &silent).await.status,
        StatusCode::BAD_REQUEST
    );
    assert!(
        bench
            .get("/jobs/2/reading?node=F17&kind=draw")
            .await
            .text
            .contains("/jobs/2/rehearse")
    );
}
