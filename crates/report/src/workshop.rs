//! The workshop's pages: everything the owner's page rests on.

use std::collections::BTreeSet;

use job::{Assessment, EntryKind, Job, Proposal};
use maud::{Markup, html};
use measure::quantity::{Ampere, AmpereHour, Celsius, Share};
use picture::words;

use crate::{ReportOptions, figure, owner, say, tables};

pub(crate) fn pages(job: &Job, assessment: &Assessment, options: &ReportOptions) -> Markup {
    html! {
        section.workshop aria-labelledby="workshop" {
            h2 #workshop { "For the workshop" }
            p { (assessment.summary) }
            h3 { "Vehicle, battery, complaint" }
            (vehicle(job, options))
            @if let Some(next) = &assessment.next {
                h3 { "Next step" }
                (step(next))
            }
            h3 { "Verdicts" }
            (verdicts(assessment))
            @if let Some(shown) = options.before.as_ref().map(|_| assessment).filter(|a| a.total.is_some()) {
                h3 { "Where the current goes now" }
                (figure("work-flow", &picture::finding::flow(shown), |style| picture::flow(job, shown, style)))
            }
            (trace_picture(job, assessment))
            @if !assessment.cause.is_empty() {
                h3 { "What may be behind the complaint" }
                (figure("odds", &picture::finding::odds(assessment), |style| picture::odds(assessment, style)))
                (reasons(assessment))
            }
            h3 { "The nights ahead" }
            (owner::nights(job, assessment))
            @if assessment.nodes.len() > 1 { h3 { "Circuits" } (tables::nodes(assessment)) }
            h3 { "Entries" }
            (tables::entries(job, assessment))
            @if !job.instruments.is_empty() { h3 { "Instruments" } (tables::instruments(job)) }
            @if !assessment.warnings.is_empty() { h3 { "Warnings" } (warnings(assessment)) }
            @if !assessment.excluded.is_empty() { h3 { "Tests left out" } (excluded(assessment)) }
            h3 { "Cautions" }
            (cautions(assessment))
            h3 { "How the figures were made" }
            (methods())
        }
    }
}

fn vehicle(job: &Job, options: &ReportOptions) -> Markup {
    let mut rows: Vec<(&str, String)> = Vec::new();
    if !job.vehicle.name.trim().is_empty() {
        rows.push(("vehicle", job.vehicle.name.clone()));
    }
    if options.include_owner {
        rows.extend(job.vehicle.plate.iter().map(|p| ("plate", p.clone())));
        rows.extend(job.vehicle.owner.iter().map(|o| ("owner", o.clone())));
    }
    rows.extend(
        job.vehicle
            .notes
            .iter()
            .map(|n| ("use and fittings", n.clone())),
    );
    let label = &job.battery.label;
    let mut battery = vec![say::chemistry(label.chemistry).to_owned()];
    battery.extend(label.capacity_ah.map(|c| AmpereHour(c).to_string()));
    battery.extend(
        label
            .cranking
            .map(|c| format!("{} {}", Ampere(c.current_a), say::standard(c.standard))),
    );
    battery.extend(
        job.battery
            .age_years
            .map(|y| format!("{} old", words::hours(y * 8766.0))),
    );
    rows.push(("battery", battery.join(", ")));
    rows.extend(
        job.battery
            .engine_needs_a
            .map(|a| ("engine needs", Ampere(a).to_string())),
    );
    rows.extend(job.complaint.text.iter().map(|t| ("complaint", t.clone())));
    rows.extend(
        job.complaint
            .no_start_after_h
            .map(|h| ("no start after", words::hours(h))),
    );
    rows.extend(
        job.complaint
            .temperature_c
            .map(|t| ("parked at", Celsius(t).to_string())),
    );
    rows.push(("limit for the draw", words::current(job.limit_in_force_a())));
    html! {
        table {
            caption { "What the job started from" }
            tbody { @for (name, value) in rows { tr { th scope="row" { (name) } td { (value) } } } }
        }
    }
}

fn step(next: &Proposal) -> Markup {
    html! {
        div.step {
            p.lead { strong { (next.headline) } ", about " (minutes(next.minutes)) }
            p { (next.how) }
            p { (next.why) }
            @if let Some(floor) = next.floor_a { p { "Smallest draw it can see: " (words::current(floor)) "." } }
            @if !next.outcomes.is_empty() {
                ul { @for o in &next.outcomes { li { (o.seen) " (" (words::percent(o.p)) "): " (o.means) } } }
            }
        }
        @if let Some(caution) = &next.caution { p.caution { strong { "Caution: " } (caution) } }
    }
}

fn minutes(minutes: f64) -> String {
    match minutes {
        m if m < 0.75 => "a minute at most".into(),
        m if m < 1.5 => "1 min".into(),
        m => words::duration(m.max(2.0) * 60.0),
    }
}

fn verdicts(assessment: &Assessment) -> Markup {
    html! {
        ul {
            @if let Some(total) = assessment.total { li { "Settled draw: " (words::plus_minus::<Ampere>(total)) "." } }
            @if let Some(long) = assessment.long_run { li { "Draw that counts for parking: " (words::plus_minus::<Ampere>(long)) "." } }
            @if let Some(rest) = assessment.unaccounted { li { "Not accounted for by readings: " (words::plus_minus::<Ampere>(rest)) "." } }
            @for c in &assessment.culprits { li { "At fault: " (say::node_and_feed(assessment, &c.node)) ", " (words::percent(c.p_fault)) "." } }
            @if !assessment.done_because.is_empty() { li { (assessment.done_because) } }
            li {
                (say::verdict(assessment.battery.verdict))
                @if assessment.battery.contradicting { " Its tests contradict each other." }
                @if let Some(charge) = assessment.battery.state_of_charge { " Charge: " (words::plus_minus::<Share>(charge)) "." }
                @if let Some(health) = assessment.battery.health { " Health: " (words::plus_minus::<Share>(health)) "." }
            }
            @for why in &assessment.battery.because { li { (why) } }
            @if let Some(e) = &assessment.explanation {
                li { (e.sentence) " Average draw that would explain the complaint: " (words::current_interval(&e.needed_a)) "." }
            }
        }
    }
}

fn trace_picture(job: &Job, assessment: &Assessment) -> Markup {
    let Some(finding) = &assessment.trace else {
        return html! {};
    };
    let file = job
        .entries
        .get(finding.entry.index())
        .and_then(|e| match &e.kind {
            EntryKind::Trace { file, .. } => Some(file),
            _ => None,
        });
    let recording = file.and_then(|f| job.recordings.get(f));
    let said = picture::finding::trace(Some(&finding.analysis));
    html! {
        h3 { "The recording" }
        @match recording {
            Some(recording) => {
                @let marks = picture::marks(job, &recording.trace);
                (figure("trace", &said, |style| {
                    picture::trace(&recording.trace, Some(&finding.analysis), &marks, None, style)
                }))
            }
            None => p { (said) },
        }
        p { (finding.analysis.verdict.because) }
        @let told = picture::finding::told(&finding.analysis);
        @if !told.is_empty() { ul { @for said in &told { li { (said) } } } }
    }
}

fn reasons(assessment: &Assessment) -> Markup {
    html! {
        ul {
            @for o in assessment.cause.iter().filter(|o| !o.speaks_for.is_empty() || !o.speaks_against.is_empty()) {
                li {
                    strong { (words::cause(&o.hypothesis)) } " (" (words::percent(o.p)) ")"
                    @for why in &o.speaks_for { "; for it: " (why.trim_end_matches('.')) }
                    @for why in &o.speaks_against { "; against it: " (why.trim_end_matches('.')) }
                    @if let Some(check) = &o.cheap_check { "; cheap check: " (check.trim_end_matches('.')) }
                    "."
                }
            }
        }
    }
}

fn warnings(assessment: &Assessment) -> Markup {
    html! {
        ul {
            @for w in &assessment.warnings {
                li {
                    (w.message)
                    @if !w.entries.is_empty() { " (" (tables::numbers(&w.entries)) ")" }
                }
            }
        }
    }
}

fn excluded(assessment: &Assessment) -> Markup {
    html! {
        ul {
            @for e in &assessment.excluded {
                li {
                    (e.kind)
                    @if let Some(node) = &e.node { " " (say::node(assessment, node)) }
                    ": " (e.reason)
                }
            }
        }
    }
}

/// The cautions of the steps that this report proposes, each once.
fn cautions(assessment: &Assessment) -> Markup {
    let mut seen = BTreeSet::new();
    let steps = assessment.next.iter().chain(&assessment.alternatives);
    let cautions: Vec<&str> = steps
        .filter_map(|p| p.caution.as_deref())
        .filter(|c| seen.insert(*c))
        .collect();
    html! {
        @if !cautions.is_empty() { ul { @for c in cautions { li { (c) } } } }
        p {
            "The vehicle maker's service information, local rules and qualified people come before anything written here. "
            "Airbag and high-voltage circuits are not part of this procedure."
        }
    }
}

fn methods() -> Markup {
    html! {
        ul {
            li { "± is one standard uncertainty after the Guide to the Expression of Uncertainty in Measurement (JCGM 100:2008); ranges run from 5 % to 95 %." }
            li { "Levels in recordings are the optimal piecewise-constant fit by functional pruning (Maidstone, Hocking, Rigaill and Fearnhead, On optimal multiple changepoint algorithms for large data, 2017)." }
            li { "Draws of circuits and their suspicion are a posterior over the whole feed tree, from all standing readings and what is usual for each kind of circuit. Suspicion of a cable or fuse is that of anything at or below it." }
            li { "The middle is the value that the truth lies above as often as below; the mean is what the strands' widths show." }
        }
    }
}
