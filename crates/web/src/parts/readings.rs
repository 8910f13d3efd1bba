//! Forms for readings.

use harness::NodeKind;
use job::Job;
use maud::{Markup, html};
use tongue::{Message, say};

use super::{
    field::{Field, Filling, Input},
    step::address_part,
};
use crate::{
    form::{Typed, Wrong, fresh_key},
    reading::{KINDS, Kind, Slot, prefilled},
    state::Known,
    virtual_van, words,
};

/// A form that came back with something wrong.
#[derive(Debug, Clone)]
pub(crate) struct Returned {
    /// Kind of entry.
    pub(crate) word: String,
    /// Whether it was the next step's own form.
    pub(crate) in_step: bool,
    pub(crate) typed: Typed,
    pub(crate) wrong: Wrong,
    /// A question whose answer lets the value pass.
    pub(crate) question: Option<String>,
}

/// The form of one kind. With `brief` only what cannot be known
/// beforehand is open; the rest is filled in and folded.
pub(crate) fn form(
    kind: &Kind,
    known: &Known,
    filling: Filling<'_>,
    question: Option<&str>,
    brief: bool,
) -> Markup {
    let (open, folded) = if brief {
        kind.slots.split_at(kind.open)
    } else {
        (kind.slots, &[][..])
    };
    let job = &known.job;
    html! {
        form method="post" action=(format!("/jobs/{}/entries", known.id)) data-keep=(format!("/jobs/{}", known.id)) class=(if brief { "brief" } else { "modest" }) {
            input type="hidden" name="kind" value=(kind.word);
            input type="hidden" name="key" value=(fresh_key());
            input type="hidden" name="form" value=(filling.prefix);
            @if let Some(question) = question {
                div class="told care" {
                    p { (question) }
                    label class="tick" for=(format!("{}sure", filling.prefix)) {
                        input type="checkbox" name="sure" value="true" id=(format!("{}sure", filling.prefix));
                        span { (say::entry::yes_it_showed()) }
                    }
                }
            }
            @for slot in open { (slot_markup(slot, job, filling, brief)) }
            button type="submit" class="main-press" { (if kind.word == "repair" { say::entry::enter_repair() } else { say::entry::enter() }) }
            @if virtual_van::is_behind(job) && virtual_van::can_answer(kind.word) {
                (van_press(known, &say::entry::invented_number()))
            }
            @if !folded.is_empty() {
                details id=(format!("{}rest", filling.prefix)) open[!filling.wrong.is_empty()] {
                    summary { (say::entry::filled_in(filled_in(folded, filling.typed))) }
                    @for slot in folded { (slot_markup(slot, job, filling, false)) }
                }
            }
        }
    }
}

/// Sends the form it stands in to the virtual van.
fn van_press(known: &Known, hint: &Message) -> Markup {
    html! {
        button type="submit" class="van-press" formaction=(format!("/jobs/{}/rehearse", known.id)) { (say::entry::let_van_answer()) }
        p class="hint" { (hint) }
    }
}

/// One fold per kind, so that everything works without script.
pub(crate) fn all(known: &Known, returned: Option<&Returned>, node: &str) -> Markup {
    let none = Wrong::default();
    html! {
        @for kind in KINDS {
            @let prefix = format!("{}-", kind.word);
            @let back = returned.filter(|back| back.word == kind.word && !back.in_step);
            @let filled = prefilled(kind, known, node);
            details id=(format!("{prefix}fold")) open[back.is_some()] {
                summary { ((kind.title)()) }
                @if kind.word == "charging" { (alternator_at_rest(known)) }
                (form(
                    kind,
                    known,
                    Filling {
                        prefix: &prefix,
                        typed: back.map_or(&filled, |back| &back.typed),
                        wrong: back.map_or(&none, |back| &back.wrong),
                    },
                    back.and_then(|back| back.question.as_deref()),
                    false,
                ))
            }
        }
        details id="recording-fold" {
            summary { (say::entry::a_recording()) }
            (upload(known, node, "log-"))
        }
    }
}

/// A leaking diode shows by day as ripple and by night in the alternator's own cable.
fn alternator_at_rest(known: &Known) -> Markup {
    let alternator = job::advice::alternator_cable(&known.job);
    html! {
        p class="hint" {
            (say::entry::alternator()) " "
            @match alternator {
                Some(node) => a href=(format!("/jobs/{}/reading?node={}", known.id, address_part(&node.id.0))) { (say::entry::alternator_enter(node.label.as_deref().unwrap_or(&node.id.0))) },
                None => (words::within(|it| say::entry::alternator_list(it), &html! { a href=(format!("/jobs/{}/edit", known.id)) { (say::entry::change_this()) } })),
            }
        }
    }
}

/// The form that takes a log file.
pub(crate) fn upload(known: &Known, node: &str, prefix: &str) -> Markup {
    html! {
        form class="modest" method="post" enctype="multipart/form-data" action=(format!("/jobs/{}/log", known.id)) {
            input type="hidden" name="key" value=(fresh_key());
            div class="field" {
                label for=(format!("{prefix}node")) { (say::entry::recorded_at()) }
                select id=(format!("{prefix}node")) name="node" { (node_options(&known.job, node)) }
            }
            div class="field" {
                label for=(format!("{prefix}file")) { (say::entry::log_file()) }
                p class="hint" id=(format!("{prefix}file-hint")) {
                    (say::entry::log_file_hint(crate::LOG_LIMIT_MB.to_string()))
                }
                input type="file" id=(format!("{prefix}file")) name="file" aria-describedby=(format!("{prefix}file-hint")) required;
            }
            div class="field" {
                label for=(format!("{prefix}zero")) { (say::entry::clamp_off()) }
                p class="hint" id=(format!("{prefix}zero-hint")) { (say::entry::clamp_off_hint()) }
                input type="text" id=(format!("{prefix}zero")) name="zero" maxlength="400" autocomplete="off" aria-describedby=(format!("{prefix}zero-hint"));
            }
            button type="submit" class="main-press" { (say::entry::read_recording()) }
        }
        @if virtual_van::is_behind(&known.job) && node == "battery" {
            form method="post" action=(format!("/jobs/{}/rehearse", known.id)) {
                input type="hidden" name="kind" value="trace";
                input type="hidden" name="key" value=(fresh_key());
                (van_press(known, &say::entry::virtual_night()))
            }
        }
    }
}

/// `brief` leaves the hint out: the step has said how.
fn slot_markup(slot: &Slot, job: &Job, filling: Filling<'_>, brief: bool) -> Markup {
    match slot {
        Slot::Plain(field) if brief => Field {
            hint: None,
            ..*field
        }
        .markup(filling),
        Slot::Plain(field) => field.markup(filling),
        Slot::Node => {
            let chosen = filling.typed.get("node");
            let options = html! {
                @if chosen.is_empty() { option value="" selected { (say::drill::mend_choose()) } }
                (node_options(job, chosen))
            };
            choice("node", &say::entry::which_place(), &options, filling)
        }
        Slot::MaybeNode => {
            let chosen = filling.typed.get("node");
            let options = html! {
                option value="" selected[chosen.is_empty()] { (say::entry::nowhere()) }
                (node_options(job, chosen))
            };
            choice("node", &say::entry::which_place(), &options, filling)
        }
        Slot::Instrument => {
            let chosen = filling.typed.get("instrument");
            let options = html! {
                option value="" selected[chosen.is_empty()] { (say::entry::not_stated()) }
                @for known in &job.instruments {
                    option value=(known.id) selected[known.id == chosen] { (known.id) }
                }
            };
            choice("instrument", &say::entry::instrument(), &options, filling)
        }
    }
}

fn choice(name: &str, label: &Message, options: &Markup, filling: Filling<'_>) -> Markup {
    let id = format!("{}{name}", filling.prefix);
    let wrong = filling.wrong.at(name);
    html! {
        div class="field" {
            label for=(id) { (label) }
            @if let Some(message) = wrong { p class="wrong" id=(format!("{id}-wrong")) { (message) } }
            select id=(id) name=(name) aria-invalid=[wrong.map(|_| "true")]
                aria-describedby=[wrong.map(|_| format!("{id}-wrong"))] { (options) }
        }
    }
}

/// All places, the battery first.
fn node_options(job: &Job, chosen: &str) -> Markup {
    html! {
        option value="battery" selected[chosen == "battery"] { (say::entry::the_total()) }
        @for node in &job.nodes {
            option value=(node.id) selected[node.id.0 == chosen] {
                @let name = words::node_name(&node.id, node.label.as_deref().unwrap_or_default(), node.kind);
                @if node.kind == NodeKind::Cable { (say::entry::cable_of(name)) } @else { (name) }
            }
        }
    }
}

/// The folded fields in a few words: `battery, clamp, asleep`.
fn filled_in(slots: &[Slot], typed: &Typed) -> String {
    let parts = slots.iter().filter_map(|slot| {
        let text = match slot {
            Slot::Plain(field) => match field.input {
                Input::Tick => {
                    // The only tick there is.
                    match typed.ticked(field.name) {
                        true => say::entry::in_asleep(),
                        false => say::entry::in_awake(),
                    }
                    .into()
                }
                Input::Amount { .. } => typed.amount(field.name)?,
                Input::OneOf(choices) => choices
                    .iter()
                    .find(|choice| choice.0 == typed.get(field.name))?
                    .1
                    .to_string(),
                _ => typed.get(field.name).into(),
            },
            Slot::Node | Slot::MaybeNode if typed.get("node") == "battery" => {
                say::entry::in_battery().into()
            }
            Slot::Node | Slot::MaybeNode => typed.get("node").into(),
            Slot::Instrument => typed.get("instrument").into(),
        };
        (!text.is_empty()).then_some(text)
    });
    let text = parts.collect::<Vec<_>>().join(", ");
    if text.is_empty() {
        say::entry::filled_nothing().into()
    } else {
        text
    }
}
