//! Drawing the page of a job with 60 fuses.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "a test may stop and may speak"
)]

use axum::{Router, body::Body, http::Request};
use tower::ServiceExt;

fn main() {
    divan::main();
}

/// The page as a browser asks for it, assessed before: what a reload costs.
#[divan::bench]
fn known(bencher: divan::Bencher<'_, '_>) {
    let runtime = tokio::runtime::Runtime::new().unwrap();
    let app = runtime.block_on(with_job());
    bencher.bench_local(|| runtime.block_on(get(&app)));
}

/// The same after a change: load, assess, draw.
#[divan::bench]
fn changed(bencher: divan::Bencher<'_, '_>) {
    let runtime = tokio::runtime::Runtime::new().unwrap();
    let app = runtime.block_on(with_job());
    let note = || runtime.block_on(post(&app, "/jobs/1/entries", "kind=note&text=x"));
    bencher
        .with_inputs(note)
        .bench_local_values(|()| runtime.block_on(get(&app)));
}

async fn with_job() -> Router {
    let app = web::app(web::AppState::in_memory().unwrap());
    let fuses: String = (1..=60)
        .map(|n| format!("F{n} 10A circuit {n}\n"))
        .collect();
    let form = format!(
        "name=bench&capacity=60Ah&cranking=540A&clamp=true&millivolt=true&fuses={}",
        fuses.replace(' ', "+").replace('\n', "%0A")
    );
    post(&app, "/jobs", &form).await;
    let total = "kind=draw&node=battery&how=clamp&value=412mA&asleep=true";
    post(&app, "/jobs/1/entries", total).await;
    for n in 1..20 {
        post(
            &app,
            "/jobs/1/entries",
            &format!("kind=draw&node=F{n}&how=millivolt&value=0.1mV&asleep=true"),
        )
        .await;
    }
    app
}

async fn get(app: &Router) -> usize {
    let request = Request::get("/jobs/1")
        .header("host", "localhost")
        .body(Body::empty())
        .unwrap();
    let response = app.clone().oneshot(request).await.unwrap();
    assert_eq!(response.status(), 200);
    axum::body::to_bytes(response.into_body(), usize::MAX)
        .await
        .unwrap()
        .len()
}

async fn post(app: &Router, path: &str, form: &str) {
    let request = Request::post(path)
        .header("host", "localhost")
        .header("origin", "http://localhost")
        .header("content-type", "application/x-www-form-urlencoded")
        .body(Body::from(form.to_owned()))
        .unwrap();
    let status = app.clone().oneshot(request).await.unwrap().status();
    assert_eq!(status, 303);
}
