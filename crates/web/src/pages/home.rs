//! The job list.

use std::time::Duration;

use axum::{extract::State, http::HeaderMap};
use maud::{Markup, html};

use crate::{
    form::fresh_key,
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
        h1 { "Jobs" }
        div class="presses" {
            a class="press main-press" href="/jobs/new" { "Start a job" }
            form method="post" action="/demo" {
                input type="hidden" name="key" value=(fresh_key());
                button type="submit" { "Open the demo job" }
            }
        }
        div class="presses" {
            a class="press" href="/rehearse" { "Practise against the clock" }
            a class="press" href="/history" { "What finished jobs taught" }
        }
        p class="soft small" { "The demo is invented: a van, its fuses and a night's recording, to try everything on." }
        @if rows.is_empty() {
            p { "No job on this bench yet. Start one with the vehicle, its battery and what the owner says; everything else can come later." }
        } @else {
            ul class="jobs" { @for row in &rows { li {
                a href=(format!("/jobs/{}", row.id)) {
                    strong { (row.name) }
                    @if row.invented { " " span class="invented" { "invented" } }
                    span { (sentences.get(&row.id).map_or("Not looked at since the program started.", String::as_str)) }
                    span class="small soft" { (words::count(row.entries, "entry", "entries")) " · last change " (words::moment(row.changed)) }
                }
            } } }
        }
        @if state.access().is_open_to_network() { p { a href="/devices" { "Let a phone in" } } }
    };
    Ok(page(
        &Page {
            title: "Jobs",
            look: Look::from_headers(&headers),
            here: "/",
            follow: None,
        },
        &body,
    ))
}
