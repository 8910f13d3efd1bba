//! The one next step, on top of the job's page.

use job::{Culprit, EntryKind, Outside, Proposal};
use maud::{Markup, html};
use tongue::{Message, say};
use trace::Exceeds;

use super::{
    field::Filling,
    readings::{self, Returned},
};
use crate::{
    form::{Wrong, fresh_key, heading, sentence},
    reading::{for_proposal, kind},
    state::Known,
    virtual_van, words,
};

/// Prefix of the ids in the step's own form.
pub(crate) const PREFIX: &str = "next-";

/// Kind of the step that asks how the vehicle is driven.
pub(crate) const USAGE: &str = "usage";
/// Kind of the reading page's form for a log file.
pub(crate) const RECORDING: &str = "recording";

/// What to do next, or that nothing is left to do.
pub(crate) fn step(known: &Known, returned: Option<&Returned>) -> Markup {
    let assessment = &known.assessment;
    html! {
        section class="block step" aria-labelledby="step-title" {
            @if assessment.done { (found(known)) }
            @match &assessment.next {
                Some(next) => (proposal(next, known, returned, assessment.done)),
                None if !assessment.done => {
                    h2 id="step-title" { (say::bench::nothing_more()) }
                    p { (sentence(&assessment.done_because)) }
                }
                None => {}
            }
            (others(known))
        }
    }
}

/// What was found, and what to do about it.
fn found(known: &Known) -> Markup {
    let assessment = &known.assessment;
    let repaired = known
        .job
        .standing()
        .any(|(_, entry)| matches!(entry.kind, EntryKind::Repair { .. }));
    let report = format!("/jobs/{}/report", known.id);
    html! {
        @let outside = assessment.outside_named();
        @if !assessment.culprits.is_empty() || outside.is_some() {
            h2 id="step-title" { (say::bench::found()) }
            @for culprit in &assessment.culprits { p class="headline" { (culprit_words(known, culprit)) } }
            @if let Some(found) = outside { p class="headline" { (outside_words(found)) } }
            p { (sentence(&assessment.done_because)) }
            (repair(known))
            p class="presses" { a class="press" href=(report) { (say::bench::see_report()) } }
        } @else if repaired && assessment.exceeds == Exceeds::No {
            h2 id="step-title" { (say::bench::repaired()) }
            p class="headline" { (say::bench::within_limit()) }
            p { (say::bench::hand_over()) }
            p class="presses" { a class="press main-press" href=(report) { (say::bench::see_report()) } }
        } @else {
            h2 id="step-title" { (say::bench::found()) }
            p class="headline" { (if assessment.exceeds == Exceeds::Yes { say::bench::not_told_apart() } else { say::bench::no_fault() }) }
            p { (sentence(&assessment.done_because)) }
            p class="presses" { a class="press main-press" href=(report) { (say::bench::see_report()) } }
        }
    }
}

/// The way from a culprit to the proof: repair, enter it, read again.
fn repair(known: &Known) -> Markup {
    let Some(kind) = kind("repair") else {
        return html! {};
    };
    let node = known
        .assessment
        .culprits
        .first()
        .map_or("battery", |culprit| culprit.node.0.as_str());
    let mut typed = crate::reading::prefilled(kind, known, node);
    if virtual_van::is_behind(&known.job) {
        typed.set("text", say::bench::invented_repair().into());
    }
    html! {
        h3 { (say::bench::to_do_now()) }
        ol {
            li { (say::bench::to_do_find()) }
            li { (say::bench::to_do_enter()) }
            li { (say::bench::to_do_prove()) }
        }
        (readings::form(kind, known, Filling { prefix: "repaired-", typed: &typed, wrong: &Wrong::default() }, None, true))
    }
}

/// Name, label and odds of a culprit.
pub(crate) fn culprit_words(known: &Known, culprit: &Culprit) -> String {
    let node = known
        .assessment
        .nodes
        .iter()
        .find(|node| node.id == culprit.node);
    let name = node.map_or_else(|| culprit.node.to_string(), super::circuits::name);
    heading(&say::bench::sure(
        culprit.place(name),
        words::percent(culprit.p_fault),
    ))
}

fn outside_words(found: Outside) -> String {
    let name = say::job::outside_the_list();
    heading(&say::bench::sure(name, words::percent(found.p_fault)))
}

fn proposal(
    next: &Proposal,
    known: &Known,
    returned: Option<&Returned>,
    after_found: bool,
) -> Markup {
    let form = for_proposal(next, known);
    let none = Wrong::default();
    html! {
        @if after_found { h3 { (say::bench::then()) } } @else { h2 id="step-title" class="soft" { (say::bench::do_next()) } }
        p class="headline" { (next.headline) }
        @if let Some(caution) = &next.caution {
            div class="told care" role="note" { p { strong { (say::bench::mind()) } " " (caution) } }
        }
        p { (next.how) }
        @match form {
            // The invented vehicle answers on its own page.
            _ if known.job.rehearsal.is_some() => {}
            Some((kind, typed)) => {
                @let back = returned.filter(|back| back.word == kind.word && back.in_step);
                (readings::form(
                    kind,
                    known,
                    Filling {
                        prefix: PREFIX,
                        typed: back.map_or(&typed, |back| &back.typed),
                        wrong: back.map_or(&none, |back| &back.wrong),
                    },
                    back.and_then(|back| back.question.as_deref()),
                    true,
                ))
            }
            None if wants_recording(next) => (readings::upload(known, next.node.as_ref().map_or("battery", |node| &node.0), PREFIX)),
            None if next.kind == USAGE => p class="presses" { a class="press main-press" href=(usage_address(known.id)) { (say::bench::enter_driving()) } },
            None => (done_it(known, next)),
        }
        p { strong { (say::bench::why()) } " " (sentence(&next.why)) }
        (facts(next))
        @if !next.outcomes.is_empty() {
            details id="outcomes" {
                summary { (say::bench::outcomes()) }
                ul { @for outcome in &next.outcomes {
                    li { strong { (outcome.seen) } " (" (words::percent(outcome.p)) "): " (outcome.means) }
                } }
            }
        }
    }
}

/// Where the trips are entered: with the job, for they are no reading.
pub(crate) fn usage_address(id: i64) -> String {
    format!("/jobs/{id}/edit#trips")
}

/// Whether the step ends in a log file rather than a number.
fn wants_recording(next: &Proposal) -> bool {
    matches!(
        next.kind.as_str(),
        "trace" | "log" | "record" | "record-overnight" | "log-overnight"
    )
}

/// A step without a number is confirmed with one press, which makes a remark.
fn done_it(known: &Known, next: &Proposal) -> Markup {
    html! {
        form method="post" action=(format!("/jobs/{}/entries", known.id)) data-keep=(format!("/jobs/{}", known.id)) {
            input type="hidden" name="kind" value="note";
            input type="hidden" name="key" value=(fresh_key());
            input type="hidden" name="text" value=(say::bench::done_remark(next.headline.to_string()));
            button type="submit" class="main-press" { (say::bench::done()) }
        }
    }
}

fn facts(next: &Proposal) -> Markup {
    html! {
        ul class="facts" {
            li { (words::within(|it| say::bench::takes(it), &html! { b { (words::minutes(next.minutes)) } })) }
            @if next.wake_chance >= 0.005 {
                li { (words::within(|it| say::bench::may_wake(it), &html! { b { (words::percent(next.wake_chance)) } })) }
            } @else {
                li { (say::bench::wakes_nothing()) }
            }
            @if let Some(floor) = next.floor_a { li { (words::within(|it| say::bench::sees(it), &html! { b { (words::rough_current(floor)) } })) } }
        }
        details id="costs" {
            summary { (say::bench::says_who()) }
            p { (costs(&next.kind)) }
        }
    }
}

/// Where the minutes and the chance of waking come from.
fn costs(kind: &str) -> Message {
    match kind {
        "clamp" => say::bench::cost_clamp(),
        "in-line" => say::bench::cost_in_line(),
        "millivolt" => say::bench::cost_millivolt(),
        "pull" | "pull-group" | "detach" | "unplug" => say::bench::cost_interrupt(),
        "wait-for-sleep" | "wait" => say::bench::cost_wait(),
        _ => say::bench::cost_other(),
    }
}

fn others(known: &Known) -> Markup {
    let assessment = &known.assessment;
    html! {
        @if !assessment.alternatives.is_empty() {
            details id="others" {
                summary { (say::bench::others(assessment.alternatives.len().to_string())) }
                ul class="jobs" { @for other in &assessment.alternatives { li { (other_line(known, other)) } } }
            }
        }
        @if !assessment.excluded.is_empty() {
            details id="left-out" {
                summary { (say::bench::left_out(assessment.excluded.len().to_string())) }
                ul { @for out in &assessment.excluded {
                    li { @match &out.node {
                        Some(node) => (say::bench::left_out_at(&node.0, out.test(), out.reason.to_string())),
                        None => (say::bench::left_out_test(out.test(), out.reason.to_string())),
                    } }
                } }
            }
        }
    }
}

fn other_line(known: &Known, other: &Proposal) -> Markup {
    let otherwise = if wants_recording(other) {
        RECORDING
    } else {
        ""
    };
    let word = for_proposal(other, known).map_or(otherwise, |(kind, _)| kind.word);
    let node = other
        .node
        .as_ref()
        .map_or("battery", |node| node.0.as_str());
    let address = if other.kind == USAGE {
        usage_address(known.id)
    } else {
        format!(
            "/jobs/{}/reading?kind={word}&node={}",
            known.id,
            address_part(node)
        )
    };
    html! {
        a href=(address) {
            strong { (other.headline) }
            span class="small" { (words::minutes(other.minutes)) " · " (other.why) }
            @if let Some(caution) = &other.caution { span class="small" { (say::bench::mind()) " " (caution) } }
        }
    }
}

/// A text as part of an address's query.
pub(crate) fn address_part(text: &str) -> String {
    let mut part = String::with_capacity(text.len());
    for byte in text.bytes() {
        if byte.is_ascii_alphanumeric() || matches!(byte, b'-' | b'_' | b'.') {
            part.push(char::from(byte));
        } else {
            part.push_str(&format!("%{byte:02X}"));
        }
    }
    part
}
