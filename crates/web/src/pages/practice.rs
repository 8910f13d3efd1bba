//! A rehearsal: a whole job on an invented vehicle, against the clock.

use axum::{
    extract::State,
    http::{HeaderMap, StatusCode},
    response::{IntoResponse, Redirect, Response},
};
use harness::{FeedTree, NodeKind, NodeSpec};
use maud::{Markup, html};
use practice::{PracticeError, Session, Setup, done_so_far};

use super::Id;
use crate::{
    form::{Typed, Wrong, fresh_key, sentence},
    parts::{
        field::{Field, Filling, Input},
        layout::{Page, page, wrong_summary},
    },
    problem::Problem,
    state::{AppState, Known},
    theme::Look,
};

/// Kinds of vehicle with their words.
const KINDS: &[(&str, &str)] = &[
    ("", "any"),
    ("small", "small car, 20 to 38 fuses"),
    ("car", "car, 32 to 60 fuses"),
    ("van", "van, 24 to 80 fuses"),
    ("large", "large car, 60 to 120 fuses"),
];
const REACH: &[(&str, &str)] = &[("half", "half of them"), ("all", "all"), ("none", "none")];
const LEVELS: &[(&str, &str)] = &[
    ("plain", "one fault that draws all the time"),
    ("full", "anything: two, in the wiring, coming and going"),
];
/// Seeds that a person is offered: short enough to be told to a colleague.
const SEEDS: u64 = 100_000;

/// The form that starts one.
pub(crate) async fn new(headers: HeaderMap) -> Markup {
    let mut typed = Typed::default();
    typed.set("seed", (rand::random::<u64>() % SEEDS).to_string());
    form(&typed, &Wrong::default(), Look::from_headers(&headers))
}

/// Starts it, or shows what is wrong.
pub(crate) async fn create(
    State(state): State<AppState>,
    headers: HeaderMap,
    typed: Typed,
) -> Result<Response, Problem> {
    let look = Look::from_headers(&headers);
    let session = match setup(&typed).map(Session::begin) {
        Ok(session) => session.map_err(ours)?,
        Err(wrong) => {
            let again = form(&typed, &wrong, look);
            return Ok((StatusCode::UNPROCESSABLE_ENTITY, again).into_response());
        }
    };
    let id = state
        .run(move |state| state.create(session.job(), &typed.key()))
        .await?;
    Ok(Redirect::to(&format!("/jobs/{id}/rehearsal")).into_response())
}

fn setup(typed: &Typed) -> Result<Setup, Wrong> {
    let mut text = format!("seed={}", typed.get("seed"));
    for name in ["kind", "reach", "level"] {
        let value = typed.get(name);
        if !value.is_empty() && !value.contains(char::is_whitespace) {
            text += &format!(" {name}={value}");
        }
    }
    if typed.ticked("settings") {
        text += " settings=may-be-lost";
    }
    if typed.get("seed").parse::<u64>().is_err() {
        return Err(Wrong::one("seed", "Write a whole number, such as 7."));
    }
    text.parse()
        .map_err(|error: practice::SetupError| Wrong::one("", sentence(&error.to_string())))
}

fn form(typed: &Typed, wrong: &Wrong, look: Look) -> Markup {
    let filling = Filling {
        prefix: "",
        typed,
        wrong,
    };
    let one_of = |name, label, hint, choices| Field {
        name,
        label,
        hint,
        input: Input::OneOf(choices),
    };
    let body = html! {
        h1 { "Practise against the clock" }
        p { "A vehicle is invented for you: it has a fuse list, sleeps, wakes when it is disturbed, and something in it draws too much. You choose the tests, it answers as a real one would, and each test takes its minutes. At the end your minutes stand beside the planner's on the same vehicle." }
        (wrong_summary(wrong, ""))
        form class="modest" method="post" action="/rehearse" {
            input type="hidden" name="key" value=(fresh_key());
            (one_of("kind", "Vehicle", "", KINDS).markup(filling))
            (one_of("reach", "Fuses whose test points can be reached in place", "", REACH).markup(filling))
            (one_of("level", "What may be wrong", "", LEVELS).markup(filling))
            (Field { name: "settings", label: "Stored settings may be lost", hint: "", input: Input::Tick }.markup(filling))
            (Field { name: "seed", label: "Number of the vehicle", hint: "The same number is always the same vehicle, so that a colleague can try it too.", input: Input::Text }.markup(filling))
            button type="submit" class="main-press" { "Start the clock" }
        }
    };
    page(
        &Page {
            title: "Practise against the clock",
            look,
            here: "/rehearse",
            follow: None,
        },
        &body,
    )
}

/// The rehearsal as it stands.
pub(crate) async fn show(
    State(state): State<AppState>,
    Id(id): Id,
    headers: HeaderMap,
) -> Result<Markup, Problem> {
    let look = Look::from_headers(&headers);
    state
        .run(move |state| {
            let known = state.known(id)?;
            let session = of(&known)?;
            bench(&session, id, look, None)
        })
        .await
}

/// Does one test.
pub(crate) async fn test(
    State(state): State<AppState>,
    Id(id): Id,
    headers: HeaderMap,
    typed: Typed,
) -> Result<Response, Problem> {
    let look = Look::from_headers(&headers);
    state
        .run(move |state| {
            let known = state.known(id)?;
            let mut session = of(&known)?;
            let wanted = match typed.get("do") {
                "" => typed.get("typed"),
                pressed => pressed,
            };
            match session.type_in(wanted) {
                Ok(done) => {
                    let key = typed.key();
                    for (at, entry) in done.entries.iter().enumerate() {
                        state.append(id, entry, &format!("{key}-{at}"))?;
                    }
                    Ok(Redirect::to(&format!("/jobs/{id}/rehearsal")).into_response())
                }
                Err(error) => {
                    let told = sentence(&error.to_string());
                    let page = bench(&session, id, look, Some(&told))?;
                    Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
                }
            }
        })
        .await
}

/// The rehearsal that a job is.
pub(super) fn of(known: &Known) -> Result<Session, Problem> {
    Session::resume(known.job.clone()).map_err(|error| {
        Problem::refused(
            "That is no rehearsal",
            sentence(&format!("{error}; start one from the list of jobs")),
        )
        .back_to_job(known.id)
    })
}

/// What should not happen with the generator's own tables.
pub(super) fn ours(error: PracticeError) -> Problem {
    Problem::ours(format!("The invented vehicle cannot be made: {error}"))
}

fn bench(session: &Session, id: i64, look: Look, wrong: Option<&str>) -> Result<Markup, Problem> {
    let path = done_so_far(session).map_err(ours)?;
    let here = format!("/jobs/{id}/rehearsal");
    let name = &session.job().vehicle.name;
    let asleep = session.is_asleep();
    let body = html! {
        h1 { (name) }
        @if let Some(wrong) = wrong { div class="told alarm" role="alert" tabindex="-1" data-takes-focus { p { (wrong) } } }
        section class="block step" aria-labelledby="clock" {
            h2 id="clock" { (format!("{:.0} min", path.minutes)) ", " @if asleep { "asleep" } @else { "awake" } }
            @match path.steps.last() {
                Some(step) => {
                    p class="headline" role="status" { (step.said) }
                    p class="small soft" { (format!("took {:.1} min", step.minutes))
                        @if step.woke { ", and woke it" }
                        @if !step.lost.is_empty() { ", and lost the settings of " (step.lost.join(", ")) }
                    }
                }
                None => p { "Everything here is invented. It was locked a while ago and sleeps. Something draws more than the 50 mA it may: find it, repair it, read the total again." },
            }
            form method="post" action=(here) {
                input type="hidden" name="key" value=(fresh_key());
                div class="presses" {
                    @if session.has_clamp() { button type="submit" class="main-press" name="do" value="clamp" { "Clamp the total" } }
                    @else { button type="submit" class="main-press" name="do" value="in-line" { "Measure the total in line" } }
                    @if !asleep { button type="submit" name="do" value="sleep" { "Wait until it sleeps" } }
                    button type="submit" name="do" value="wait 10" { "Wait 10 min" }
                }
            }
            @if let Some(caution) = session.actions().last().and_then(practice::caution_for) {
                div class="told care" role="note" { p { strong { "On a real vehicle, mind: " } (caution) } }
            }
            div class="presses" {
                a class="press" href=(format!("{here}/score")) { "Finish: see the score" }
                a class="press" href=(format!("/jobs/{id}")) { "Ask the planner" }
            }
        }
        section class="block" aria-labelledby="tests" {
            h2 id="tests" { "Choose a test" }
            (places(session, &here))
            (type_one(&here))
        }
        @if !path.steps.is_empty() {
            section class="block" aria-labelledby="so-far" {
                h2 id="so-far" { "So far" }
                ol class="entries" reversed { @for step in path.steps.iter().rev() {
                    li { span class="no" { (format!("{:.0}", step.clock_min)) } span class="what" { (step.said) } }
                } }
            }
        }
        p class="small soft" { "Everything about this vehicle is invented. A repair takes 10 minutes, right or wrong." }
    };
    Ok(page(
        &Page {
            title: name,
            look,
            here: &here,
            follow: None,
        },
        &body,
    ))
}

/// Cables first, then box by box.
fn places(session: &Session, here: &str) -> Markup {
    let tree = session.tree();
    let top: Vec<usize> = children(tree, FeedTree::ROOT);
    let boxes =
        (0..tree.len()).filter(|&node| node != FeedTree::ROOT && !children(tree, node).is_empty());
    html! {
        form method="post" action=(here) {
            input type="hidden" name="key" value=(fresh_key());
            ul class="entries" { @for node in top { (row(session, node)) } }
            @for node in boxes {
                @let spec = tree.node(node);
                details id=(format!("at-{}", spec.id)) {
                    summary { "At " (spec.label.as_deref().unwrap_or(&spec.id.0)) " (" (children(tree, node).len()) ")" }
                    ul class="entries" { @for below in children(tree, node) { (row(session, below)) } }
                }
            }
        }
    }
}

fn children(tree: &FeedTree, node: usize) -> Vec<usize> {
    tree.children(node).to_vec()
}

fn row(session: &Session, node: usize) -> Markup {
    let spec = session.tree().node(node);
    let leaf = session.tree().is_leaf(node);
    let press = |verb: &str, words: &str| {
        html! {
            button type="submit" name="do" value=(format!("{verb} {}", spec.id)) { (words) span class="hidden" { " " (spec.id) } }
        }
    };
    html! {
        li {
            span class="what" { strong { (spec.id) } @if let Some(words) = words_of(spec) { " " (words) } }
            @if session.is_forbidden(node) { span class="small soft" { "not for this procedure" } }
            @else { @match spec.kind {
                NodeKind::Cable => {
                    @if session.has_clamp() { (press("clamp", "Clamp")) }
                    @else { (press("pull", "Take off")) }
                }
                NodeKind::Fuse => {
                    @if spec.in_place && spec.rating_a.is_some() { (press("mv", "mV")) }
                    (press("pull", "Pull"))
                }
                _ => (press("unplug", "Unplug")),
            } @if leaf { (press("repair", "Repair")) } }
        }
    }
}

/// Label, rating and whether settings hang on it.
fn words_of(spec: &NodeSpec) -> Option<String> {
    let mut parts: Vec<String> = Vec::new();
    parts.extend(spec.label.clone().filter(|label| *label != spec.id.0));
    parts.extend(spec.rating_a.map(|rating| format!("{rating} A")));
    if spec.keeps_settings {
        parts.push("keeps settings".into());
    }
    (!parts.is_empty()).then(|| parts.join(", "))
}

fn type_one(here: &str) -> Markup {
    let typed = Typed::default();
    let field = Field {
        name: "typed",
        label: "Or type a test",
        hint: "pull F3 F4 takes several out together; wait 30 waits",
        input: Input::Text,
    };
    html! {
        form method="post" action=(here) {
            input type="hidden" name="key" value=(fresh_key());
            (field.markup(Filling { prefix: "own-", typed: &typed, wrong: &Wrong::default() }))
            button type="submit" { "Do it" }
        }
    }
}
