//! A recording on a page of its own, and the part of it that the script asks for again and again.

use axum::{
    extract::{Path, Query, State},
    http::HeaderMap,
    response::{IntoResponse, Response},
};
use harness::NodeId;
use job::{EntryId, Job};
use maud::html;
use tongue::{Message, say};

use crate::{
    form::{Typed, sentence},
    parts::{
        layout::{Page, page},
        scope::{Look as Zoomed, Scope, Sheets},
    },
    problem::Problem,
    state::AppState,
    theme::Look,
    words,
};

type Asked = Query<std::collections::BTreeMap<String, String>>;

/// Where it was recorded, in words.
fn place(job: &Job, node: &NodeId) -> Message {
    if *node == NodeId::battery() {
        return say::entry::the_total();
    }
    let spec = job.nodes.iter().find(|spec| spec.id == *node);
    let name = spec.map(|spec| {
        words::node_name(
            &spec.id,
            spec.label.as_deref().unwrap_or_default(),
            spec.kind,
        )
    });
    Message::plain(name.unwrap_or_else(|| node.0.clone()))
}

/// The page; only the scope itself where `part` says for which screen.
pub(crate) async fn show(
    State(state): State<AppState>,
    Path((id, entry)): Path<(i64, usize)>,
    Query(asked): Asked,
    headers: HeaderMap,
) -> Result<Response, Problem> {
    let look = Look::from_headers(&headers);
    let typed = Typed::filled(
        asked
            .iter()
            .map(|(name, value)| (name.as_str(), value.clone())),
    );
    let part = match typed.get("part") {
        "hand" => Some(Sheets::Hand),
        "desk" => Some(Sheets::Desk),
        _ => None,
    };
    state
        .run(move |state| {
            let known = state.known(id)?;
            let none = || {
                Problem::refused(
                    say::web::no_such_recording(),
                    say::web::entry_no_recording(entry.to_string()),
                )
                .back_to_job(id)
            };
            let scope = EntryId::from_number(entry)
                .and_then(|entry| Scope::of(&known, entry))
                .ok_or_else(none)?;
            let (zoomed, wrong) = zoomed(&scope, &typed);
            let markup = scope.markup(
                &known.job,
                zoomed,
                part.unwrap_or(Sheets::Both),
                wrong.as_deref(),
            );
            if part.is_some() {
                return Ok(markup.into_response());
            }
            let name = &known.name();
            let body = html! {
                h1 { (say::bench::recording_at(place(&known.job, scope.node))) }
                p { a class="press" href=(format!("/jobs/{id}#recording")) { (say::web::back_to(name)) } }
                (markup)
            };
            let title = say::bench::recording_of(name).to_string();
            let here = scope.address();
            Ok(page(
                &Page {
                    title: &title,
                    look,
                    here: &here,
                    follow: None,
                },
                &body,
            )
            .into_response())
        })
        .await
}

/// The stretch and the cursors that were asked for, and what could not be understood.
fn zoomed(scope: &Scope<'_>, typed: &Typed) -> (Zoomed, Option<String>) {
    let trace = &scope.recording.trace;
    let number = |name: &str| typed.get(name).parse::<f64>().unwrap_or(f64::NAN);
    let look =
        Zoomed::all(&scope.recording).within(number("from"), number("to"), trace.source.interval_s);
    let mut wrong = None;
    let mut moment = |name: &str, label: &'static str| {
        let text = typed.get(name);
        if text.is_empty() {
            return None;
        }
        // The decimal comma of a keypad.
        let moment = trace.moment(label, &text.replace(',', "."), 0.0);
        moment
            .map_err(|error| wrong = Some(sentence(&error.message())))
            .ok()
    };
    let (a, b) = (moment("a", "A"), moment("b", "B"));
    (look.measuring(a, b), wrong)
}
