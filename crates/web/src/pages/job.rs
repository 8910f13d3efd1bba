//! One job's page.

use axum::{
    extract::{Query, State},
    http::HeaderMap,
};
use maud::{Markup, html};
use measure::quantity::{Ampere, AmpereHour, Celsius};
use tongue::say;

use super::Id;
use crate::{
    form::fresh_key,
    parts::{
        circuits::circuits,
        entries::entries,
        layout::{Page, page, wrong_summary},
        live,
        readings::{self, Returned},
        standing,
        step::{self, step},
    },
    problem::Problem,
    reading::standard_word,
    receiving::Stream,
    state::{AppState, Known},
    theme::Look,
    words::{hours as hours_words, written},
};

/// What the address may carry: the entry just made.
pub(crate) type Said = Query<std::collections::BTreeMap<String, String>>;

/// An entry just made, to be said back.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Entered {
    /// Its number.
    pub(crate) number: usize,
    /// Whether the virtual van answered.
    pub(crate) by_van: bool,
}

/// The page.
pub(crate) async fn show(
    State(state): State<AppState>,
    Id(id): Id,
    Query(query): Said,
    headers: HeaderMap,
) -> Result<Markup, Problem> {
    let by_van = query.get("by").is_some_and(|by| by == "van");
    let entered = query
        .get("entered")
        .and_then(|number| number.parse().ok())
        .map(|number| Entered { number, by_van });
    let look = Look::from_headers(&headers);
    state
        .run(move |state| {
            let stream = state.streams().of(id);
            Ok(render(
                state.known(id)?.as_ref(),
                stream.as_ref(),
                look,
                None,
                entered,
            ))
        })
        .await
}

/// The page of a job at its present revision. `returned` is a form with
/// something wrong in it, `entered` an entry just made.
pub(crate) fn render(
    known: &Known,
    stream: Option<&Stream>,
    look: Look,
    returned: Option<&Returned>,
    entered: Option<Entered>,
) -> Markup {
    let address = format!("/jobs/{}", known.id);
    let title = match returned {
        Some(_) => say::web::look_again_at(known.name()).to_string(),
        None => known.name(),
    };
    let body = body(known, stream, returned, entered);
    let follow = returned.is_none().then_some((known.id, known.revision));
    page(
        &Page {
            title: &title,
            look,
            here: &address,
            follow,
        },
        &body,
    )
}

/// Everything between the page's head and foot.
pub(crate) fn body(
    known: &Known,
    stream: Option<&Stream>,
    returned: Option<&Returned>,
    entered: Option<Entered>,
) -> Markup {
    html! {
        h1 { (known.name()) @if known.job.invented && !says_invented(&known.name()) { " " span class="invented" { (say::bench::invented_demo()) } } }
        @if known.job.rehearsal.is_some() {
            p class="presses" { a class="press main-press" href=(format!("/jobs/{}/rehearsal", known.id)) { (say::bench::go_on_rehearsal()) } }
            p { (say::bench::rehearsal_answers()) }
        }
        @if let Some(back) = returned {
            (wrong_summary(&back.wrong, if back.in_step { step::PREFIX.to_owned() } else { format!("{}-", back.word) }.as_str()))
        }
        @if let Some(entered) = entered { (just_entered(known, entered)) }
        div class="columns" {
            div {
                @if stream.is_some() { (live::panel(known, stream)) }
                (step(known, returned))
                (standing::summary(known))
                (standing::warnings(&known.assessment.warnings))
                @if stream.is_none() { (live::panel(known, stream)) }
            }
            div { (standing::pictures(known)) }
        }
        @if known.job.rehearsal.is_none() {
            section class="block" aria-labelledby="anything" {
                h2 id="anything" { (say::bench::enter_else()) }
                (readings::all(known, returned, "battery"))
            }
        }
        (circuits(known))
        @if known.assessment.learned_from > 0 {
            p class="small soft" { (say::bench::learned(known.assessment.learned_from)) " " a href="/history" { (say::bench::learned_which()) } }
        }
        (entries(known))
        (about(known))
        section aria-labelledby="away" {
            h2 id="away" { (say::bench::take_along()) }
            div class="presses" {
                a class="press" href=(format!("/jobs/{}/hookup", known.id)) { (say::bench::how_to_connect()) }
                a class="press" href=(format!("/jobs/{}/balance", known.id)) { (say::bench::a_week()) }
                a class="press" href=(format!("/jobs/{}/nights", known.id)) { (say::bench::nights()) }
                a class="press" href=(format!("/jobs/{}/report", known.id)) { (say::bench::the_report()) }
                a class="press" href=(format!("/jobs/{}/export", known.id)) { (say::bench::as_file()) }
            }
        }
    }
}

/// Whether a name says by itself that it is invented; twice would cost a line of the phone.
pub(crate) fn says_invented(name: &str) -> bool {
    ["invented", "erfunden"]
        .iter()
        .any(|word| name.to_lowercase().contains(word))
}

/// What was understood, and the way to take it back.
fn just_entered(known: &Known, entered: Entered) -> Markup {
    let entry = ::job::EntryId::from_number(entered.number)
        .and_then(|id| Some((id, known.job.entries.get(id.index())?)))
        .filter(|(id, _)| known.job.struck().get(id.index()) == Some(&false));
    html! {
        @if let Some((id, entry)) = entry {
            div class="told calm fresh said-back" role="status" {
                p { strong { (if entered.by_van { say::bench::van_answered() } else { say::bench::entered() }) } " " (::job::describe(entry)) }
                form method="post" action=(format!("/jobs/{}/entries", known.id)) data-keep=(format!("/jobs/{}", known.id)) {
                    input type="hidden" name="kind" value="strike";
                    input type="hidden" name="entry" value=(id);
                    input type="hidden" name="key" value=(fresh_key());
                    button type="submit" { (say::bench::undo()) }
                }
            }
        }
    }
}

/// Vehicle, battery and complaint as taken in.
fn about(known: &Known) -> Markup {
    let job = &known.job;
    let label = &job.battery.label;
    html! {
        section class="block" aria-labelledby="about" {
            h2 id="about" { (say::bench::about()) }
            dl class="stand" {
                @if let Some(text) = &job.complaint.text { div { dt { (say::bench::owner_says()) } dd { (text) } } }
                @if let Some(hours) = job.complaint.no_start_after_h {
                    div { dt { (say::bench::no_start_after()) } dd { @match job.complaint.temperature_c {
                        Some(t) => (say::bench::no_start_at(written(Celsius(t)), hours_words(hours))),
                        None => (hours_words(hours)),
                    } } }
                }
                div { dt { (say::bench::battery()) } dd {
                    (crate::pages::intake::chemistry_words(label.chemistry))
                    @if let Some(capacity) = label.capacity_ah { ", " (written(AmpereHour(capacity))) }
                    @if let Some(cranking) = label.cranking { ", " (written(Ampere(cranking.current_a))) " " (standard_word(cranking.standard).to_uppercase()) }
                    @if let Some(age) = job.battery.age_years { ", " (say::bench::years_old(written(age))) }
                } }
                @if !job.instruments.is_empty() {
                    div { dt { (say::bench::instruments()) } dd { (job.instruments.iter().map(|known| known.id.as_str()).collect::<Vec<_>>().join("; ")) } }
                }
                @if let Some(notes) = &job.vehicle.notes { div { dt { (say::bench::use_and_parking()) } dd { (notes) } } }
            }
            div class="presses" {
                a class="press" href=(format!("/jobs/{}/edit", known.id)) { (say::bench::change_this()) }
                form method="post" action=(format!("/jobs/{}/copy", known.id)) {
                    input type="hidden" name="key" value=(fresh_key());
                    button type="submit" { (say::bench::new_job()) }
                }
            }
        }
    }
}
