//! Rehearsals and the history, as a person presses through them.

use axum::http::StatusCode;

use super::{Bench, all, text};

pub(super) const START: &[(&str, &str)] = &[
    ("seed", "105"),
    ("kind", "small"),
    ("reach", "all"),
    ("level", "plain"),
    ("key", "r"),
];

async fn started() -> Bench {
    let bench = Bench::real();
    let answer = bench
        .post("/rehearse", START)
        .await
        .expect(StatusCode::SEE_OTHER);
    assert_eq!(answer.location(), "/jobs/1/rehearsal");
    bench
}

#[tokio::test]
async fn a_rehearsal_is_started_worked_left_and_scored() {
    let form = Bench::real().get("/rehearse").await.expect(StatusCode::OK);
    assert!(form.text.contains("A vehicle is invented for you"));
    let bench = started().await;
    let page = bench.get("/jobs/1/rehearsal").await.expect(StatusCode::OK);
    assert!(
        page.text
            .contains("Everything about this vehicle is invented")
    );
    assert!(text(&page.html(), "#clock").starts_with("0 min"));
    let total = [("do", "clamp"), ("key", "a")];
    bench
        .post("/jobs/1/rehearsal", &total)
        .await
        .expect(StatusCode::SEE_OTHER);
    // A double tap is one test.
    bench
        .post("/jobs/1/rehearsal", &total)
        .await
        .expect(StatusCode::SEE_OTHER);
    let page = bench.get("/jobs/1/rehearsal").await;
    assert!(
        text(&page.html(), ".step .headline").starts_with("The total: "),
        "{}",
        page.text
    );
    assert_eq!(all(&page.html(), "ol.entries li").len(), 1);
    // The job's own page knows the way back, and the list says that it is invented.
    let job = bench.get("/jobs/1").await.expect(StatusCode::OK);
    assert!(job.text.contains("Go on with the rehearsal"));
    assert!(bench.get("/").await.text.contains("invented"));
    let score = bench
        .get("/jobs/1/rehearsal/score")
        .await
        .expect(StatusCode::OK);
    assert_eq!(text(&score.html(), "#result"), "Not found yet");
    assert!(score.text.contains("Where your paths parted"));
}

#[tokio::test]
async fn the_planners_way_pressed_through_scores_as_the_planners() {
    let bench = started().await;
    let session =
        practice::Session::begin("seed=105 kind=small reach=all".parse().unwrap()).unwrap();
    let planner = practice::score(&session).unwrap().planner;
    for (at, step) in planner.steps.iter().enumerate() {
        let key = at.to_string();
        // A repair is chosen from a list, everything else has its button.
        let (pressed, place) = match step.typed.split_once(' ') {
            Some(("repair", place)) => ("repair", place),
            _ => (step.typed.as_str(), ""),
        };
        let fields = [("do", pressed), ("place", place), ("key", key.as_str())];
        bench
            .post("/jobs/1/rehearsal", &fields)
            .await
            .expect(StatusCode::SEE_OTHER);
    }
    let score = bench
        .get("/jobs/1/rehearsal/score")
        .await
        .expect(StatusCode::OK);
    assert!(text(&score.html(), "#result").starts_with("Found and repaired, as fast"));
    assert!(score.text.contains("you went the planner's way throughout"));
}

/// With a fuse still out no total proves a repair.
#[tokio::test]
async fn a_fuse_that_is_still_out_goes_back_before_the_end() {
    let bench = started().await;
    let session =
        practice::Session::begin("seed=105 kind=small reach=all".parse().unwrap()).unwrap();
    let tree = session.tree();
    let fuse = (0..tree.len()).find(|&node| tree.node(node).kind == harness::NodeKind::Fuse);
    let fuse = tree.node(fuse.unwrap()).id.0.clone();
    let main = |page: &super::Answer| text(&page.html(), "button.main-press");
    let press = async |pressed: &str, place: &str| {
        let fields = [("do", pressed), ("place", place), ("key", pressed)];
        bench
            .post("/jobs/1/rehearsal", &fields)
            .await
            .expect(StatusCode::SEE_OTHER);
        bench.get("/jobs/1/rehearsal").await.expect(StatusCode::OK)
    };
    let page = press(&format!("out {fuse}"), "").await;
    assert!(
        page.text.contains(&format!("Still out: {fuse}.")),
        "{}",
        page.text
    );
    assert_ne!(main(&page), "Put everything back");
    assert_eq!(main(&press("repair", &fuse).await), "Put everything back");
    let page = press("back all", "").await;
    assert!(!page.text.contains("Still out"));
    assert_ne!(main(&page), "Put everything back");
}

/// A fault past the fuses is chosen from the list of circuits, at its end.
#[tokio::test]
async fn what_is_wired_past_the_fuses_can_be_put_right() {
    let outside = |seed: &u64| {
        let setup = format!("seed={seed} kind=small reach=all");
        let vehicle = setup.parse::<practice::Setup>().unwrap().vehicle();
        vehicle.unwrap().faults()[0].node.is_none()
    };
    let seed = (0..200).find(outside).unwrap().to_string();
    let bench = Bench::real();
    let start: Vec<(&str, &str)> = START
        .iter()
        .map(|&(name, value)| (name, if name == "seed" { &seed } else { value }))
        .collect();
    bench
        .post("/rehearse", &start)
        .await
        .expect(StatusCode::SEE_OTHER);
    let page = bench.get("/jobs/1/rehearsal").await.expect(StatusCode::OK);
    let choice = "#mend-place option[value=outside]";
    assert!(
        text(&page.html(), choice).starts_with("past the fuses"),
        "{}",
        page.text
    );
    let fields = [("do", "repair"), ("place", "outside"), ("key", "a")];
    bench
        .post("/jobs/1/rehearsal", &fields)
        .await
        .expect(StatusCode::SEE_OTHER);
    let page = bench.get("/jobs/1/rehearsal").await;
    assert!(text(&page.html(), ".step .headline").starts_with("What is wired past the fuses"));
    let score = bench
        .get("/jobs/1/rehearsal/score")
        .await
        .expect(StatusCode::OK);
    assert!(text(&score.html(), "#result").starts_with("Found and repaired"));
    assert!(score.text.contains("past the fuses"));
}

#[tokio::test]
async fn nonsense_is_told_and_costs_nothing() {
    let bench = started().await;
    for wrong in ["", "shake it", "clamp F999", "repair battery"] {
        let page = bench.post("/jobs/1/rehearsal", &[("typed", wrong)]).await;
        assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY, "{wrong}");
        assert!(text(&page.html(), "#clock").starts_with("0 min"));
    }
    let wrong = bench.post("/rehearse", &[("seed", "seven")]).await;
    assert_eq!(wrong.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(wrong.text.contains("Write a whole number"));
    bench
        .post("/jobs", &[("name", "real car"), ("key", "n")])
        .await;
    let none = bench.get("/jobs/2/rehearsal").await;
    assert_eq!(none.status, StatusCode::BAD_REQUEST);
    assert!(none.text.contains("no rehearsal"));
}

#[tokio::test]
async fn what_finished_jobs_taught_is_shown_forgotten_and_switched_off() {
    let bench = Bench::real();
    assert!(
        bench
            .get("/history")
            .await
            .text
            .contains("Nothing learned yet")
    );
    let finished = include_str!("../../../store/tests/data/finished.toml");
    let finished = job::file::parse(finished).unwrap();
    let one = bench.state.create(&finished, "f").unwrap();
    let mut open = finished.clone();
    open.entries.truncate(1);
    let other = bench.state.create(&open, "o").unwrap();
    let learned = |bench: &Bench| bench.state.known(other).unwrap().assessment.learned_from;
    assert_eq!(learned(&bench), 1);
    assert_eq!(bench.state.known(one).unwrap().assessment.learned_from, 0);
    let page = bench.get("/history").await.expect(StatusCode::OK);
    assert_eq!(text(&page.html(), "#use"), "In use: 1 finished job");
    assert!(page.text.contains("load bay lamps") && page.text.contains("No repair is entered."));
    assert!(
        bench
            .get(&format!("/jobs/{other}"))
            .await
            .text
            .contains("lean on 1 other finished job")
    );
    let export = bench.get("/history/export").await.expect(StatusCode::OK);
    assert!(export.text.contains("boot-lamp") && !export.text.contains("Made-up"));

    let number = one.to_string();
    for (what, count) in [
        ("forget", 0),
        ("remember", 1),
        ("off", 0),
        ("on", 1),
        ("forget-all", 0),
    ] {
        let fields = [("do", what), ("job", number.as_str())];
        bench
            .post("/history", &fields)
            .await
            .expect(StatusCode::SEE_OTHER);
        assert_eq!(learned(&bench), count, "{what}");
    }
    assert_eq!(
        bench.post("/history", &[("do", "burn")]).await.status,
        StatusCode::BAD_REQUEST
    );
}
