//! What finished jobs taught: to look at, to take along, to forget.

use axum::{
    extract::State,
    http::{HeaderMap, header},
    response::{IntoResponse, Redirect, Response},
};
use harness::family::Families;
use job::History;
use maud::{Markup, html};
use store::{Learned, Lesson};
use tongue::say;

use crate::{
    form::Typed,
    parts::layout::{Page, page},
    problem::Problem,
    state::AppState,
    theme::Look,
    words,
};

/// The page.
pub(crate) async fn show(
    State(state): State<AppState>,
    headers: HeaderMap,
) -> Result<Markup, Problem> {
    let learned = state.run(AppState::learned).await?;
    Ok(page(
        &Page {
            title: &say::advice::taught().to_string(),
            look: Look::from_headers(&headers),
            here: "/history",
            follow: None,
        },
        &body(&learned),
    ))
}

/// Forgets, remembers, or switches the whole of it.
pub(crate) async fn change(
    State(state): State<AppState>,
    typed: Typed,
) -> Result<Redirect, Problem> {
    state
        .run(move |state| {
            let one = typed.get("job").parse::<i64>().ok();
            match typed.get("do") {
                "off" => state.leave_history_out(true),
                "on" => state.leave_history_out(false),
                "forget-all" => {
                    let learned = state.learned()?;
                    let taught = learned.lessons.iter().filter(|each| each.taught.is_ok());
                    let jobs: Vec<i64> = taught.map(|each| each.job.number()).collect();
                    state.forget(&jobs, true)
                }
                "forget" => state.forget(&one.into_iter().collect::<Vec<_>>(), true),
                "remember" => state.forget(&one.into_iter().collect::<Vec<_>>(), false),
                _ => Err(Problem::refused(
                    say::web::cannot_be_done(),
                    say::web::use_the_buttons(),
                )),
            }
        })
        .await?;
    Ok(Redirect::to("/history"))
}

/// The counts as a file; no vehicle or owner is in it.
pub(crate) async fn export(State(state): State<AppState>) -> Result<Response, Problem> {
    let text = state.run(|state| Ok(state.learned()?.document())).await?;
    let headers = [
        (header::CONTENT_TYPE, "application/json"),
        (
            header::CONTENT_DISPOSITION,
            "attachment; filename=\"nightdraw-history.json\"",
        ),
    ];
    Ok((headers, text).into_response())
}

fn body(learned: &Learned) -> Markup {
    let jobs = learned.history.jobs;
    html! {
        h1 { (say::advice::taught()) }
        p { (say::advice::taught_how()) }
        section class="block" aria-labelledby="use" {
            h2 id="use" {
                @if learned.left_out { (say::advice::not_used()) }
                @else if jobs == 0 { (say::advice::nothing_learned()) }
                @else { (say::advice::in_use(jobs)) }
            }
            @if learned.left_out {
                p { (say::advice::switched_off()) }
            }
            form method="post" action="/history" class="presses" {
                @if learned.left_out { button type="submit" name="do" value="on" { (say::advice::use_again()) } }
                @else { button type="submit" name="do" value="off" { (say::advice::use_not()) } }
                a class="press" href="/history/export" { (say::advice::take_counts()) }
            }
        }
        @if jobs > 0 { (circuits(&learned.history)) }
        (lessons(learned))
    }
}

fn circuits(history: &History) -> Markup {
    let mut found: Vec<_> = history
        .families
        .iter()
        .filter(|(_, tally)| tally.at_fault > 0)
        .collect();
    found.sort_by_key(|(_, tally)| std::cmp::Reverse(tally.jobs));
    html! {
        section class="block" aria-labelledby="kinds" {
            h2 id="kinds" { (say::advice::found_at_fault()) }
            div class="wide" { table {
                thead { tr { th scope="col" { (say::advice::circuit()) } th scope="col" class="num" { (say::advice::jobs()) } th scope="col" class="num" { (say::advice::chance_before()) } th scope="col" class="num" { (say::advice::chance_now()) } } }
                tbody { @for (id, tally) in found {
                    tr {
                        th scope="row" { (name(id)) }
                        td class="num" { (tally.jobs) }
                        @if let Some(family) = Families::built_in().get(id) {
                            td class="num" { (words::percent(family.prior_fault)) }
                            td class="num" { (words::percent(history.chance(family, None))) }
                        } @else { td {} td {} }
                    }
                    @for ((_, circuit), tally) in history.circuits.iter().filter(|((family, _), tally)| family == id && tally.at_fault > 0) {
                        tr {
                            td { (words::within(|it| say::advice::labelled(it), &html! { strong { (circuit) } })) }
                            td class="num" { (tally.jobs) }
                            td {} td {}
                        }
                    }
                } }
            } }
            p class="small soft" { (say::advice::chance_how()) }
        }
    }
}

fn lessons(learned: &Learned) -> Markup {
    html! {
        section class="block" aria-labelledby="from" {
            h2 id="from" { (say::advice::job_by_job()) }
            @if learned.lessons.is_empty() {
                p { (say::advice::only_invented()) }
            }
            ul class="entries" { @for lesson in &learned.lessons { li { (line(lesson)) } } }
            @if learned.history.jobs > 1 {
                form method="post" action="/history" class="presses" {
                    button type="submit" name="do" value="forget-all" { (say::advice::forget_all()) }
                }
            }
        }
    }
}

fn line(lesson: &Lesson) -> Markup {
    let number = lesson.job.number();
    html! {
        span class="no" { (number) }
        span class="what" {
            a href=(format!("/jobs/{number}")) { (lesson.name) }
            br;
            span class="small" {
                @match &lesson.taught {
                    _ if lesson.forgotten => (say::advice::forgotten()),
                    Ok(history) => (history.at_fault().iter().map(|id| name(id)).collect::<Vec<_>>().join(", ")),
                    Err(why) => span class="soft" { (why.sentence()) },
                }
            }
        }
        @if lesson.taught.is_ok() {
            form method="post" action="/history" {
                input type="hidden" name="job" value=(number);
                @if lesson.forgotten { button type="submit" name="do" value="remember" { (say::advice::remember()) span class="hidden" { " " (say::advice::the_job(number.to_string())) } } }
                @else { button type="submit" name="do" value="forget" { (say::advice::forget()) span class="hidden" { " " (say::advice::the_job(number.to_string())) } } }
            }
        }
    }
}

fn name(family: &str) -> String {
    Families::built_in()
        .get(family)
        .map_or_else(|| family.to_owned(), |family| family.name.to_string())
}
