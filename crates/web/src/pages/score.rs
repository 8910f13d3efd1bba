//! The score of a rehearsal.

use axum::{extract::State, http::HeaderMap};
use maud::{Markup, html};
use practice::{Path, Score, Session};

use super::{
    Id,
    practice::{of, ours},
};
use crate::{
    parts::layout::{Page, page},
    problem::Problem,
    state::AppState,
    theme::Look,
};

/// The person's minutes beside the planner's.
pub(crate) async fn show(
    State(state): State<AppState>,
    Id(id): Id,
    headers: HeaderMap,
) -> Result<Markup, Problem> {
    let look = Look::from_headers(&headers);
    let (session, score) = state
        .run(move |state| {
            let known = state.known(id)?;
            let session = of(&known)?;
            let score = practice::score(&session).map_err(ours)?;
            Ok((session, score))
        })
        .await?;
    let here = format!("/jobs/{id}/rehearsal/score");
    Ok(page(
        &Page {
            title: "Score",
            look,
            here: &here,
            follow: None,
        },
        &body(&session, &score, id),
    ))
}

fn body(session: &Session, score: &Score, id: i64) -> Markup {
    html! {
        h1 { "Score: " (session.job().vehicle.name) }
        section class="block step" aria-labelledby="result" {
            h2 id="result" { (headline(score)) }
            (side_by_side(score))
            @for fault in &score.truth { p { strong { "It was: " } (fault) } }
            div class="presses" {
                @if !score.yours.solved { a class="press" href=(format!("/jobs/{id}/rehearsal")) { "Go on" } }
                a class="press main-press" href="/rehearse" { "Another vehicle" }
            }
        }
        (parted(score))
        section class="block" aria-labelledby="yours" {
            h2 id="yours" { "Your tests" }
            (steps(&score.yours, &score.advice))
        }
        section class="block" aria-labelledby="planners" {
            h2 id="planners" { "The planner's tests" }
            (steps(&score.planner, &[]))
        }
        p class="small soft" { "Vehicle, fault and meters are invented. The planner knows no more than you do: the fuse list and what its meters show." }
    }
}

fn headline(score: &Score) -> String {
    let (yours, planner) = (&score.yours, &score.planner);
    match (yours.solved, planner.solved) {
        (true, true) if yours.minutes <= planner.minutes => {
            "Found and repaired, as fast as the planner or faster".into()
        }
        (true, true) => format!(
            "Found and repaired, in {:.1} times the planner's minutes",
            yours.minutes / planner.minutes.max(1.0)
        ),
        (true, false) => "Found and repaired; the planner did not find it".into(),
        (false, _) => "Not found yet".into(),
    }
}

fn side_by_side(score: &Score) -> Markup {
    let list = |items: &[String]| {
        if items.is_empty() {
            "none".to_owned()
        } else {
            items.join(", ")
        }
    };
    let row = |what: &str, of: &dyn Fn(&Path) -> String| {
        html! { tr { th scope="row" { (what) } td { (of(&score.yours)) } td { (of(&score.planner)) } } }
    };
    html! {
        div class="wide" { table {
            thead { tr { td {} th scope="col" { "You" } th scope="col" { "Planner" } } }
            tbody {
                (row("Minutes", &|path| format!("{:.0}", path.minutes)))
                (row("Tests", &|path| path.steps.len().to_string()))
                (row("Found", &|path| if path.solved { "yes" } else { "no" }.to_owned()))
                (row("Woke it", &|path| path.woken.to_string()))
                (row("Settings lost", &|path| list(&path.lost)))
                (row("Needless repairs", &|path| list(&path.needless)))
            }
        } }
    }
}

fn parted(score: &Score) -> Markup {
    let nothing = |typed: &str| {
        if typed.is_empty() {
            "nothing more".to_owned()
        } else {
            practice::spoken(typed)
        }
    };
    html! {
        section class="block" aria-labelledby="parted" {
            h2 id="parted" { "Where your paths parted" }
            @match &score.parted {
                None => p { "Nowhere: you went the planner's way throughout." },
                Some(parted) => {
                    p { "At step " (parted.step) ": you " strong { (nothing(&parted.yours)) } ", the planner " strong { (nothing(&parted.planner)) } "." }
                    @if !parted.why.is_empty() { p { "Why: " (crate::form::sentence(&parted.why)) } }
                }
            }
        }
    }
}

fn steps(path: &Path, advice: &[Option<String>]) -> Markup {
    html! {
        @if path.steps.is_empty() { p { "None." } }
        ol class="entries" { @for (at, step) in path.steps.iter().enumerate() {
            li {
                span class="no" { (format!("{:.0}", step.clock_min)) }
                span class="what" {
                    (step.said)
                    @if step.woke { span class="small soft" { " It woke the vehicle." } }
                    @if let Some(other) = advice.get(at).and_then(Option::as_deref) {
                        br; span class="small" { "Rather: " (practice::spoken(other)) }
                    }
                }
            }
        } }
        @if !path.steps.is_empty() { p class="small soft" { "In front: minutes on the clock." } }
    }
}
