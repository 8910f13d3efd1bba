//! The score of a rehearsal.

use axum::{extract::State, http::HeaderMap};
use maud::{Markup, html};
use practice::{Path, Score, Session};
use tongue::{Message, say};

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
            title: &say::drill::score().to_string(),
            look,
            here: &here,
            follow: None,
        },
        &body(&session, &score, id),
    ))
}

fn body(session: &Session, score: &Score, id: i64) -> Markup {
    html! {
        h1 { (say::drill::score_of(&session.job().vehicle.name)) }
        section class="block step" aria-labelledby="result" {
            h2 id="result" { (headline(score)) }
            (side_by_side(score))
            @for fault in &score.truth { p { strong { (say::drill::it_was()) } " " (fault) } }
            div class="presses" {
                @if score.yours.solved { a class="press main-press" href="/rehearse" { (say::drill::another()) } }
                @else {
                    a class="press main-press" href=(format!("/jobs/{id}/rehearsal")) { (say::drill::go_on()) }
                    a class="press" href="/rehearse" { (say::drill::another()) }
                }
            }
        }
        (parted(score))
        section class="block" aria-labelledby="yours" {
            h2 id="yours" { (say::drill::your_tests()) }
            (steps(&score.yours, &score.advice))
        }
        section class="block" aria-labelledby="planners" {
            h2 id="planners" { (say::drill::planner_tests()) }
            (steps(&score.planner, &[]))
        }
        p class="small soft" { (say::drill::planner_knows()) }
    }
}

fn headline(score: &Score) -> Message {
    let (yours, planner) = (&score.yours, &score.planner);
    match (yours.solved, planner.solved) {
        (true, true) if yours.minutes <= planner.minutes => say::drill::as_fast(),
        (true, true) => {
            let times = yours.minutes / planner.minutes.max(1.0);
            say::drill::times_slower(tongue::amount(format!("{times:.1}")))
        }
        (true, false) => say::drill::planner_lost(),
        (false, _) => say::drill::not_found(),
    }
}

fn side_by_side(score: &Score) -> Markup {
    let list = |items: Vec<String>| {
        if items.is_empty() {
            say::drill::none().to_string()
        } else {
            items.join(", ")
        }
    };
    let needless = |path: &Path| path.needless.iter().map(Message::to_string).collect();
    let row = |what: Message, of: &dyn Fn(&Path) -> String| {
        html! { tr { th scope="row" { (what) } td { (of(&score.yours)) } td { (of(&score.planner)) } } }
    };
    html! {
        div class="wide" { table {
            thead { tr { td {} th scope="col" { (say::drill::you()) } th scope="col" { (say::drill::planner()) } } }
            tbody {
                (row(say::drill::minutes(), &|path| format!("{:.0}", path.minutes)))
                (row(say::drill::tests(), &|path| path.steps.len().to_string()))
                (row(say::drill::found(), &|path| if path.solved { say::drill::yes() } else { say::drill::no() }.to_string()))
                (row(say::drill::woke(), &|path| path.woken.to_string()))
                (row(say::drill::lost(), &|path| list(path.lost.clone())))
                (row(say::drill::needless(), &|path| list(needless(path))))
            }
        } }
    }
}

fn parted(score: &Score) -> Markup {
    let nothing = |typed: &str| {
        if typed.is_empty() {
            say::drill::nothing_more().to_string()
        } else {
            practice::spoken(typed).to_string()
        }
    };
    html! {
        section class="block" aria-labelledby="parted" {
            h2 id="parted" { (say::drill::parted()) }
            @match &score.parted {
                None => p { (say::drill::nowhere()) },
                Some(parted) => {
                    p { (say::drill::at_step(nothing(&parted.planner), parted.step.to_string(), nothing(&parted.yours))) }
                    @if !parted.why.is_empty() { p { (say::drill::why(crate::form::sentence(&parted.why))) } }
                }
            }
        }
    }
}

fn steps(path: &Path, advice: &[Option<String>]) -> Markup {
    html! {
        @if path.steps.is_empty() { p { (say::drill::no_steps()) } }
        ol class="entries" { @for (at, step) in path.steps.iter().enumerate() {
            li {
                span class="no" { (format!("{:.0}", step.clock_min)) }
                span class="what" {
                    (step.said)
                    @if step.woke { span class="small soft" { " " (say::drill::it_woke()) } }
                    @if let Some(other) = advice.get(at).and_then(Option::as_deref) {
                        br; span class="small" { (say::drill::rather(practice::spoken(other).to_string())) }
                    }
                }
            }
        } }
        @if !path.steps.is_empty() { p class="small soft" { (say::drill::in_front()) } }
    }
}
