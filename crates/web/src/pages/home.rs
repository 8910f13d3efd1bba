//! The job list.

use std::time::Duration;

use axum::{extract::State, http::HeaderMap};
use maud::{Markup, html};
use tongue::say;

use crate::{
    form::fresh_key,
    pages::job::says_invented,
    parts::layout::{Page, page},
    problem::Problem,
    state::{AppState, summaries},
    theme::Look,
    words,
};

/// Time spent behind the list on jobs that are not in memory yet. The list
/// itself waits for none: a first assessment may take longer than a page may.
const BEHIND: Duration = Duration::from_secs(10);

/// All jobs, last changed first.
pub(crate) async fn show(
    State(state): State<AppState>,
    headers: HeaderMap,
) -> Result<Markup, Problem> {
    let (rows, sentences) = state
        .run(|state| {
            let rows = state.list()?;
            let sentences = summaries(state, &rows, Duration::ZERO);
            Ok((rows, sentences))
        })
        .await?;
    if sentences.len() < rows.len() {
        let (state, rows) = (state.clone(), rows.clone());
        tokio::task::spawn_blocking(move || summaries(&state, &rows, BEHIND));
    }
    let body = html! {
        h1 { (say::web::jobs()) }
        div class="presses" {
            a class="press main-press" href="/jobs/new" { (say::web::start()) }
            form method="post" action="/demo" {
                input type="hidden" name="key" value=(fresh_key());
                button type="submit" { (say::web::open_demo()) }
            }
        }
        p class="soft small" { (say::web::demo_invented()) }
        div class="presses" {
            a class="press" href="/rehearse" { (say::web::practise()) }
            a class="press" href="/history" { (say::web::taught()) }
        }
        @if rows.is_empty() {
            p { (say::web::no_jobs()) }
        } @else {
            ul class="jobs" { @for row in &rows { li {
                a href=(format!("/jobs/{}", row.id)) {
                    strong { (row.name) }
                    @if row.invented && !says_invented(&row.name) { " " span class="invented" { (say::web::invented()) } }
                    span { (sentences.get(&row.id).cloned().unwrap_or_else(|| say::web::not_looked_at().to_string())) }
                    span class="small soft" { (say::web::entries(row.entries)) " · " (say::web::last_change(words::moment(row.changed))) }
                }
            } } }
        }
        @if state.access().is_open_to_network() { p { a class="press" href="/devices" { (say::web::let_in()) } } }
    };
    Ok(page(
        &Page {
            title: &say::web::jobs().to_string(),
            look: Look::from_headers(&headers),
            here: "/",
            follow: None,
        },
        &body,
    ))
}
