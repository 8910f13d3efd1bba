//! The owner's page: what was wrong, how we know, what it means.

use battery::Verdict;
use job::{Assessment, EntryKind, Job};
use maud::{Markup, html};
use measure::quantity::Ampere;
use picture::{NightsOptions, words};
use trace::Exceeds;

use crate::{ReportOptions, Stand, figure, say};

pub(crate) fn page(
    job: &Job,
    assessment: &Assessment,
    options: &ReportOptions,
    stand: Stand,
    name: &str,
) -> Markup {
    let before = options
        .before
        .as_ref()
        .filter(|_| matches!(stand, Stand::Verified | Stand::Repaired));
    html! {
        section.owner aria-labelledby="top" {
            p.kicker { "Battery drain report" }
            h1 #top { (headline(stand)) ": " (name) }
            @if let Some(text) = &job.complaint.text { p.kicker { "The complaint: " (text) } }
            @if options.include_owner && let Some(owner) = &job.vehicle.owner { p.kicker { "Owner: " (owner) } }
            h2 { "For the owner" }
            h3 { "What was wrong" }
            (wrong(job, assessment, before, stand))
            @if stand != Stand::Nothing {
                h3 { "How we know" }
                (evidence(job, before.unwrap_or(assessment), before.is_some()))
            }
            @let shown = before.unwrap_or(assessment);
            @if shown.total.is_some() {
                (figure("owner-flow", &caption(before.is_some()), |style| picture::flow(job, shown, style)))
            }
            @if let Some(before) = before { (before_and_after(before, assessment)) }
            @if stand != Stand::Nothing {
                h3 { "What it means for parking" }
                (parking(assessment))
            }
            h3 { "What to watch" }
            (watch(assessment, stand))
        }
    }
}

fn headline(stand: Stand) -> &'static str {
    match stand {
        Stand::Nothing => "Nothing measured yet",
        Stand::Open => "Not found yet",
        Stand::Found => "The cause is found",
        Stand::Verified => "Found, repaired and measured again",
        Stand::Repaired => "Repaired, not yet proven",
    }
}

fn caption(before: bool) -> String {
    let when = if before { "Before the repair. " } else { "" };
    format!(
        "{when}Each strand is one circuit: the wider, the more current; the darker, the more suspect."
    )
}

/// The culprits with their draws: "Dash camera (fuse F34) draws about 381 mA while the vehicle is parked."
fn culprits(assessment: &Assessment, past: bool) -> Vec<String> {
    let draw = |id: &harness::NodeId| {
        assessment
            .nodes
            .iter()
            .find(|n| n.id == *id)
            .map(|n| words::current(n.mean_a))
    };
    let (draws, is) = if past {
        ("drew", "was")
    } else {
        ("draws", "is")
    };
    assessment
        .culprits
        .iter()
        .map(|c| {
            let name = say::node_and_feed(assessment, &c.node);
            match draw(&c.node) {
                Some(current) => {
                    format!("{name} {draws} about {current} while the vehicle {is} parked.")
                }
                None => format!("{name} {is} at fault."),
            }
        })
        .collect()
}

fn wrong(job: &Job, assessment: &Assessment, before: Option<&Assessment>, stand: Stand) -> Markup {
    let found = culprits(before.unwrap_or(assessment), before.is_some());
    let repairs = job.standing().filter_map(|(_, e)| match &e.kind {
        EntryKind::Repair { text, .. } => Some(text.as_str()),
        _ => None,
    });
    html! {
        @match stand {
            Stand::Nothing => { p.lead { "Nothing has been measured on this vehicle yet, so nothing can be said." } }
            Stand::Open => {
                p.lead { "The cause is not found yet." }
                p { (assessment.summary) }
            }
            _ => {
                @if found.is_empty() { p.lead { (assessment.summary) } }
                @for culprit in &found { p.lead { (culprit) } }
                @for repair in repairs { p { "What was done: " (repair) } }
                @if stand == Stand::Repaired {
                    p { "Whether the repair holds has not been shown by a measurement inside the limit yet." }
                } @else if !assessment.done_because.is_empty() { p { (assessment.done_because) } }
            }
        }
    }
}

fn evidence(job: &Job, assessment: &Assessment, before: bool) -> Markup {
    let readings = job
        .standing()
        .filter(|(_, e)| matches!(e.kind, EntryKind::Draw { .. } | EntryKind::Pull { .. }))
        .count();
    let then = if before {
        "Before the repair "
    } else {
        "Parked and asleep, "
    };
    html! {
        ul {
            @if let Some(total) = assessment.total {
                li {
                    (then) "the vehicle drew " strong { (words::plus_minus::<Ampere>(total)) } " from its battery. "
                    "Acceptable is up to " (words::current(assessment.limit_a)) "."
                }
            }
            @if let Some(why) = &assessment.explanation { li { (why.sentence) } }
            @for culprit in &assessment.culprits {
                li {
                    "That " (say::node(assessment, &culprit.node)) " is at fault is "
                    (words::percent(culprit.p_fault)) " certain, by all readings together."
                }
            }
            @if let Some(finding) = &assessment.trace {
                li { "It was recorded over time: " (picture::finding::trace(Some(&finding.analysis))) }
            }
            li { (say::verdict(assessment.battery.verdict)) }
            @if readings > 0 {
                li { "This rests on " (words::count(readings, "reading", "readings")) " of current; all are listed further on." }
            }
        }
    }
}

fn before_and_after(before: &Assessment, after: &Assessment) -> Markup {
    let total = |a: &Assessment| {
        a.total
            .map_or_else(|| words::UNKNOWN.into(), words::plus_minus::<Ampere>)
    };
    let limit = |a: &Assessment| match a.exceeds {
        Exceeds::Yes => "above the limit",
        Exceeds::No => "inside the limit",
        Exceeds::Unsure => "not certain",
    };
    let stands = |a: &Assessment| match &a.forecast {
        Some(f) => f
            .hours_to_no_start
            .as_ref()
            .map_or_else(|| "longer than can be told".into(), words::stands),
        None => words::UNKNOWN.to_owned(),
    };
    html! {
        div.keep {
            h3 { "Before and after" }
            table.big {
                caption { "The vehicle parked and asleep" }
                thead { tr { td {} th scope="col" { "before" } th scope="col" { "after" } } }
                tbody {
                    tr { th scope="row" { "draws" } td { (total(before)) } td { strong { (total(after)) } } }
                    tr { th scope="row" { "limit " (words::current(after.limit_a)) } td { (limit(before)) } td { (limit(after)) } }
                    tr { th scope="row" { "can be parked" } td { (stands(before)) } td { strong { (stands(after)) } } }
                }
            }
        }
    }
}

fn parking(assessment: &Assessment) -> Markup {
    let Some(forecast) = &assessment.forecast else {
        return html! { p { (picture::finding::nights(assessment)) } };
    };
    html! {
        @match &forecast.hours_to_no_start {
            Some(q) => { p { "Left parked as it is now, it should still start for " strong { (words::stands(q)) } "." } }
            None => { p { "Left parked as it is now, it should start for longer than can be told." } }
        }
        @if let Some(q) = &forecast.hours_to_half {
            p { "The battery falls to half its charge after " (words::stands(q)) "; standing below half ages it." }
        }
        @if let Some(risk) = &forecast.freezing_risk { p { (risk) } }
    }
}

fn watch(assessment: &Assessment, stand: Stand) -> Markup {
    html! {
        ul {
            @match stand {
                Stand::Nothing => li { "Until it is measured, treat the battery as if it were being drained." },
                Stand::Open => li { "Until the cause is found, do not leave it parked longer than the time above." },
                Stand::Found => li { "Until it is repaired, do not leave it parked longer than the time above." },
                Stand::Repaired => li { "Have the parked draw measured once more." },
                Stand::Verified => li { "If it goes flat again sooner than the time above, something else is drawing: have it measured again." },
            }
            @match assessment.battery.verdict {
                Verdict::Weak | Verdict::Replace => li { "The battery is past its best; cold nights show it first." },
                Verdict::RechargeAndRetest | Verdict::Unknown => li { "Have the battery tested once it is fully charged." },
                Verdict::Good => {},
            }
            @if let Some(h) = assessment.forecast.as_ref().and_then(|f| f.recharge_h) {
                li { "Refilling what is missing now takes about " (words::hours(h)) " on a charger; a short drive does not do it." }
            }
        }
    }
}

/// The nights ahead, for the workshop's pages.
pub(crate) fn nights(job: &Job, assessment: &Assessment) -> Markup {
    let nights = NightsOptions {
        start_hour: None,
        complaint_h: job.complaint.no_start_after_h,
    };
    figure("nights", &picture::finding::nights(assessment), |style| {
        picture::nights(assessment, &nights, style)
    })
}
