//! A reading at one place, reached from the circuits, the flow picture or
//! another proposal.

use axum::{
    extract::{Query, State},
    http::HeaderMap,
};
use harness::{NodeId, NodeKind};
use maud::{Markup, html};
use tongue::say;

use super::{Id, job::Said};
use crate::{
    form::{Typed, Wrong},
    parts::{
        circuits::name,
        field::Filling,
        layout::{Page, page},
        readings, step,
    },
    problem::Problem,
    reading::{KINDS, Kind, offers_unplugging, prefilled},
    state::{AppState, Known},
    theme::Look,
    words,
};

/// Forms for this place: the kind asked for open, the others that make sense folded.
pub(crate) async fn show(
    State(state): State<AppState>,
    Id(id): Id,
    Query(query): Said,
    headers: HeaderMap,
) -> Result<Markup, Problem> {
    let look = Look::from_headers(&headers);
    let node = query
        .get("node")
        .cloned()
        .unwrap_or_else(|| NodeId::battery().0);
    let asked = query.get("kind").cloned().unwrap_or_else(|| "draw".into());
    state
        .run(move |state| {
            let known = state.known(id)?;
            let place = known
                .assessment
                .nodes
                .iter()
                .find(|each| each.id.0 == node)
                .ok_or_else(|| Problem::refused(say::web::no_such_place(), say::web::no_place_called(node.as_str())).back_to_job(id))?;
            let title = name(place);
            let body = html! {
                h1 { (title) }
                p { a class="press" href=(format!("/jobs/{id}")) { (say::web::back_to(known.name())) } }
                p { (words::within(|it| say::entry::draws_usually(it, words::plain_current(place.normal_a)), &html! { strong class="num" { (words::span(&place.draw)) } })) }
                @if place.keeps_settings {
                    div class="told care" { p { strong { (say::bench::mind()) } " " (say::entry::mind_settings()) } }
                }
                @for kind in offered(place.kind) {
                    @let typed = filled(kind, &known, &node, place.kind);
                    @let prefix = format!("{}-", kind.word);
                    @let filling = Filling { prefix: &prefix, typed: &typed, wrong: &Wrong::default() };
                    details id=(format!("{prefix}fold")) open[kind.word == asked] {
                        summary { ((kind.title)()) }
                        (readings::form(kind, &known, filling, None, false))
                    }
                }
                @if place.kind != NodeKind::Load {
                    details id="recording-fold" open[asked == step::RECORDING] {
                        summary { (say::entry::a_recording()) }
                        (readings::upload(&known, &node, "log-"))
                    }
                }
                @if place.kind == NodeKind::Battery {
                    details id="usage-fold" open[asked == step::USAGE] {
                        summary { (say::entry::how_driven()) }
                        p { (words::within(|it| say::entry::trips_belong(it), &html! { a href=(step::usage_address(id)) { (say::entry::enter_with_job()) } })) }
                    }
                }
            };
            let here = format!("/jobs/{id}");
            Ok(page(&Page { title: &format!("{title}: {}", known.name()), look, here: &here, follow: None }, &body))
        })
        .await
}

/// Kinds of entry that make sense at a place.
fn offered(kind: NodeKind) -> impl Iterator<Item = &'static Kind> {
    KINDS.iter().filter(move |each| match each.word {
        "draw" | "repair" => true,
        "pull" | "refit" => matches!(kind, NodeKind::Fuse | NodeKind::Load | NodeKind::Cable),
        "unplug" => offers_unplugging(kind),
        "note" => false,
        _ => kind == NodeKind::Battery,
    })
}

/// Filled in, with millivolts for a fuse when there is an instrument for them.
fn filled(kind: &Kind, known: &Known, node: &str, place: NodeKind) -> Typed {
    let mut typed = prefilled(kind, known, node);
    let meter = known.job.instrument_for(measure::InstrumentKind::Millivolt);
    if let Some(meter) = meter.filter(|_| kind.word == "draw" && place == NodeKind::Fuse) {
        typed.set("how", "millivolt".into());
        typed.set("value_unit", "mV".into());
        typed.set("instrument", meter.id.clone());
    }
    typed
}
