//! A rehearsal: a whole job on an invented vehicle, against the clock.

use axum::{
    extract::State,
    http::{HeaderMap, StatusCode},
    response::{IntoResponse, Redirect, Response},
};
use harness::{FeedTree, NodeId, NodeKind, NodeSpec};
use job::{EntryKind, Shown};
use maud::{Markup, html};
use practice::{PracticeError, Session, Setup, done_so_far};
use rehearsal::fleet::Action;
use tongue::{Message, say};

use super::Id;
use crate::{
    form::{Typed, Wrong, fresh_key, sentence},
    parts::{
        field::{
            Choice, Field, Filling, Input,
            Named::{Plain, Said},
            Words,
        },
        layout::{Page, page, wrong_summary},
    },
    problem::Problem,
    state::{AppState, Known},
    theme::Look,
};

/// Kinds of vehicle with their words.
const KINDS: &[Choice<'static>] = &[
    ("", Said(say::drill::any)),
    ("small", Said(say::drill::small)),
    ("car", Said(say::drill::car)),
    ("van", Said(say::drill::van)),
    ("large", Said(say::drill::large)),
];
const REACH: &[Choice<'static>] = &[
    ("half", Said(say::drill::reach_half)),
    ("all", Said(say::drill::reach_all)),
    ("none", Said(say::drill::reach_none)),
];
const LEVELS: &[Choice<'static>] = &[
    ("plain", Said(say::drill::level_plain)),
    ("full", Said(say::drill::level_full)),
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
        .run(move |state| state.create(&session.job_in_words(), &typed.key()))
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
        return Err(Wrong::one("seed", say::drill::whole_number()));
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
    let one_of = |name, label: Words, choices| Field {
        name,
        label,
        hint: None,
        input: Input::OneOf(choices),
    };
    let body = html! {
        h1 { (say::drill::title()) }
        p { (say::drill::how()) }
        (wrong_summary(wrong, ""))
        form class="modest" method="post" action="/rehearse" {
            input type="hidden" name="key" value=(fresh_key());
            (one_of("kind", say::drill::vehicle, KINDS).markup(filling))
            (one_of("reach", say::drill::reach, REACH).markup(filling))
            (one_of("level", say::drill::level, LEVELS).markup(filling))
            (Field { name: "settings", label: say::drill::settings, hint: None, input: Input::Tick }.markup(filling))
            (Field { name: "seed", label: say::drill::seed, hint: Some(say::drill::seed_hint), input: Input::Text }.markup(filling))
            button type="submit" class="main-press" { (say::drill::start()) }
        }
    };
    page(
        &Page {
            title: &say::drill::title().to_string(),
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
                "" => typed.get("typed").to_owned(),
                "repair" => format!("repair {}", typed.get("place")),
                pressed => pressed.to_owned(),
            };
            match session.type_in(&wanted) {
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
            say::drill::no_rehearsal(),
            sentence(&say::drill::no_rehearsal_why(error.to_string()).to_string()),
        )
        .back_to_job(known.id)
    })
}

/// What should not happen with the generator's own tables.
pub(super) fn ours(error: PracticeError) -> Problem {
    Problem::ours(say::drill::cannot_make(error.to_string()))
}

fn bench(session: &Session, id: i64, look: Look, wrong: Option<&str>) -> Result<Markup, Problem> {
    let path = done_so_far(session).map_err(ours)?;
    let here = format!("/jobs/{id}/rehearsal");
    let name = &session.job().vehicle.name;
    let asleep = session.is_asleep();
    let out = session.out();
    // With a fuse still out, no total proves a repair.
    let back_first = !out.is_empty() && is_repaired(session);
    let (first, then) = match (back_first, proven(session)) {
        (true, _) => ("", "press"),
        (false, true) => ("", "press main-press"),
        (false, false) => ("main-press", "press"),
    };
    let still_out = out
        .iter()
        .map(|&node| session.tree().node(node).id.0.clone());
    let still_out = still_out.collect::<Vec<_>>().join(", ");
    let called = |each: &measure::Instrument| {
        let known = crate::intake::KINDS
            .iter()
            .find(|tool| tool.kind == each.kind);
        known.map_or_else(|| each.id.clone(), |tool| (tool.label)().to_string())
    };
    let meters: Vec<String> = session.job().instruments.iter().map(called).collect();
    let meters = meters.join("; ");
    let body = html! {
        h1 { (name) }
        @if let Some(wrong) = wrong { div class="told alarm" role="alert" tabindex="-1" data-takes-focus { p { (wrong) } } }
        section class="block step" aria-labelledby="clock" {
            h2 id="clock" { (if asleep { say::drill::clock_asleep(format!("{:.0}", path.minutes)) } else { say::drill::clock_awake(format!("{:.0}", path.minutes)) }) }
            @match path.steps.last() {
                Some(step) => {
                    p class="headline" role="status" { (step.said) }
                    p class="small soft" { (took(step.minutes))
                        @if step.woke { (say::drill::and_woke()) }
                        @if !step.lost.is_empty() { (say::drill::and_lost(step.lost.join(", "))) }
                    }
                }
                None => p { (say::drill::brief()) br; (say::drill::at_hand(&meters)) },
            }
            @if !out.is_empty() { p { (say::drill::still_out(still_out)) } }
            form method="post" action=(here) {
                input type="hidden" name="key" value=(fresh_key());
                div class="presses" {
                    @if back_first { button type="submit" class="main-press" name="do" value="back all" { (say::drill::back_all()) } }
                    @if session.has_clamp() { button type="submit" class=(first) name="do" value="clamp" { (say::drill::clamp_total()) } }
                    @else { button type="submit" class=(first) name="do" value="in-line" { (say::drill::in_line_total()) } }
                    @if !asleep { button type="submit" name="do" value="sleep" { (say::drill::wait_asleep()) } }
                    button type="submit" name="do" value="wait 10" { (say::drill::wait_ten()) }
                }
            }
            @if let Some(caution) = session.actions().last().and_then(practice::caution_for) {
                div class="told care" role="note" { p { strong { (say::drill::real_mind()) } " " (caution) } }
            }
            div class="presses" {
                a class=(then) href=(format!("{here}/score")) { (say::drill::finish()) }
                a class="press" href=(format!("/jobs/{id}")) { (say::drill::ask_planner()) }
            }
        }
        section class="block" aria-labelledby="tests" {
            h2 id="tests" { (say::drill::choose()) }
            div class="tests" { (places(session, &here)) }
            (type_one(&here))
        }
        section class="block" aria-labelledby="mend" {
            h2 id="mend" { (say::drill::mend()) }
            (repair(session, &here))
        }
        @if !path.steps.is_empty() {
            section class="block" aria-labelledby="so-far" {
                h2 id="so-far" { (say::drill::so_far()) }
                ol class="entries" reversed { @for step in path.steps.iter().rev() {
                    li { span class="no" { (format!("{:.0}", step.clock_min)) } span class="what" { (step.said) } }
                } }
            }
        }
        p class="small soft" { (say::drill::all_invented()) }
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

/// Whether a repair was made and the total read last is within the limit: then
/// the score is what comes next.
fn proven(session: &Session) -> bool {
    let job = session.job();
    let limit_a = job.limit_a.unwrap_or_default();
    let total_a = match job.entries.last().map(|entry| &entry.kind) {
        Some(EntryKind::Draw {
            node,
            shown: Shown::Current(total_a),
            asleep: true,
            ..
        }) if *node == NodeId::battery() => Some(*total_a),
        _ => None,
    };
    is_repaired(session) && total_a.is_some_and(|total_a| total_a <= limit_a)
}

fn is_repaired(session: &Session) -> bool {
    let mut entries = session.job().entries.iter();
    entries.any(|entry| matches!(entry.kind, EntryKind::Repair { .. }))
}

/// "took 5.5 min".
fn took(minutes: f64) -> Message {
    if minutes < 0.05 {
        say::drill::took_no_time()
    } else {
        say::drill::took(tongue::amount(format!("{minutes:.1}")))
    }
}

/// Cables first, then box by box.
fn places(session: &Session, here: &str) -> Markup {
    let tree = session.tree();
    let out = session.out();
    let top: Vec<usize> = children(tree, FeedTree::ROOT);
    // The box one works at stays open.
    let touched = session.actions().last().and_then(place_of);
    let boxes =
        (0..tree.len()).filter(|&node| node != FeedTree::ROOT && !children(tree, node).is_empty());
    html! {
        form method="post" action=(here) {
            input type="hidden" name="key" value=(fresh_key());
            @if !out.is_empty() {
                p { button type="submit" name="do" value="back all" { (say::drill::back_all()) } }
            }
            ul class="entries" { @for node in top { (row(session, node, &out)) } }
            @for node in boxes {
                @let spec = tree.node(node);
                details id=(format!("at-{}", spec.id)) open[touched.is_some_and(|last| tree.parent(last) == Some(node))] {
                    summary { (say::drill::at_box(children(tree, node).len().to_string(), session.label(node))) }
                    ul class="entries" { @for below in children(tree, node) { (row(session, below, &out)) } }
                }
            }
        }
    }
}

/// Where an action was, if it was at one place.
fn place_of(action: &Action) -> Option<usize> {
    match action {
        Action::Clamp(node) | Action::Millivolt(node) | Action::Unplug(node) => Some(*node),
        Action::Pull(nodes) | Action::TakeOut(nodes) | Action::PutBack(nodes) => {
            nodes.last().copied()
        }
        _ => None,
    }
}

fn children(tree: &FeedTree, node: usize) -> Vec<usize> {
    tree.children(node).to_vec()
}

fn row(session: &Session, node: usize, out: &[usize]) -> Markup {
    let tree = session.tree();
    let spec = tree.node(node);
    // What is cut off with it counts too.
    let keeps_settings = (0..tree.len())
        .filter(|&below| below == node || tree.leaves_below(node).contains(&below))
        .any(|below| tree.node(below).keeps_settings);
    let press = |verb: &str, words: Message| {
        html! {
            button type="submit" name="do" value=(format!("{verb} {}", spec.id)) { (words) span class="hidden" { " " (spec.id) } }
        }
    };
    html! {
        li {
            span class="what" { strong { (spec.id) } @if let Some(words) = words_of(spec, &session.label(node), keeps_settings) { " " (words) } }
            @if session.is_forbidden(node) { span class="small soft" { (say::drill::not_for()) } }
            @else if out.contains(&node) { (press("back", say::drill::back())) }
            @else { @match spec.kind {
                NodeKind::Cable => {
                    @if session.has_clamp() { (press("clamp", say::drill::clamp())) }
                    @else { (press("pull", say::drill::take_off())) }
                }
                NodeKind::Fuse => {
                    @if spec.in_place && spec.rating_a.is_some() { (press("mv", "mV".into())) }
                    // It stays out, and the row then offers to put it back.
                    (press("out", say::drill::pull()))
                }
                _ => (press("unplug", say::drill::unplug())),
            } }
        }
    }
}

/// Label, rating and whether settings hang on it.
fn words_of(spec: &NodeSpec, label: &Message, keeps_settings: bool) -> Option<String> {
    let mut parts: Vec<String> = Vec::new();
    parts.extend(Some(label.to_string()).filter(|label| *label != spec.id.0));
    parts.extend(
        spec.rating_a
            .map(|rating| crate::words::written(format!("{rating} A"))),
    );
    if spec.kind == NodeKind::Cable {
        parts.push(say::drill::feed_cable().to_string());
    }
    if keeps_settings {
        parts.push(say::bench::keeps_settings().into());
    }
    (!parts.is_empty()).then(|| parts.join(", "))
}

/// One circuit to put right; which one is the whole question.
fn repair(session: &Session, here: &str) -> Markup {
    let tree = session.tree();
    let named = |leaf: &usize| {
        let id = tree.node(*leaf).id.0.clone();
        let label = session.label(*leaf).to_string();
        let words = if label == id {
            label
        } else {
            format!("{id} {label}")
        };
        (id, words)
    };
    let leaves = tree.leaves();
    let open = leaves.iter().filter(|&&leaf| !session.is_forbidden(leaf));
    let circuits: Vec<(String, String)> = open.map(named).collect();
    let choose: Choice<'_> = ("", Said(say::drill::mend_choose));
    let choices: Vec<Choice<'_>> = std::iter::once(choose)
        .chain(
            circuits
                .iter()
                .map(|(id, words)| (id.as_str(), Plain(words))),
        )
        .chain([("outside", Said(say::drill::mend_outside))])
        .collect();
    let field = Field {
        name: "place",
        label: say::drill::mend_which,
        hint: Some(say::drill::mend_hint),
        input: Input::OneOf(&choices),
    };
    html! {
        form method="post" action=(here) {
            input type="hidden" name="key" value=(fresh_key());
            (field.markup(Filling { prefix: "mend-", typed: &Typed::default(), wrong: &Wrong::default() }))
            button type="submit" name="do" value="repair" { (say::drill::repair()) }
        }
    }
}

fn type_one(here: &str) -> Markup {
    let typed = Typed::default();
    let field = Field {
        name: "typed",
        label: say::drill::or_type,
        hint: Some(say::drill::or_type_hint),
        input: Input::Text,
    };
    html! {
        form method="post" action=(here) {
            input type="hidden" name="key" value=(fresh_key());
            (field.markup(Filling { prefix: "own-", typed: &typed, wrong: &Wrong::default() }))
            button type="submit" { (say::drill::do_it()) }
        }
    }
}
