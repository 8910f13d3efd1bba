//! Where the job stands: the sentence, the figures, the odds, the warnings.

use battery::{Forecast, Verdict};
use job::{Assessment, Warning};
use maud::{Markup, html};
use tongue::{Message, say};
use trace::{Analysis, Exceeds, State};

use super::{
    ahead, causes,
    scope::{Look, Scope, Sheets},
};
use crate::{figures::Figures, form::sentence, state::Known, words};

/// The sentence, and the numbers at arm's length.
pub(crate) fn summary(known: &Known) -> Markup {
    let assessment = &known.assessment;
    html! {
        section class="block" aria-labelledby="stands" {
            h2 id="stands" { (say::bench::stands()) }
            @if let Some(text) = &known.job.complaint.text { p { (say::bench::owner_says()) ": " (text) } }
            p { strong { (assessment.summary) } }
            dl class="stand" {
                div {
                    dt { (say::bench::asleep_draws()) }
                    dd class="big" { (assessment.total.map_or_else(|| say::bench::not_read_yet().to_string(), words::current)) }
                }
                div {
                    dt { (say::bench::limit()) }
                    dd { span class="big" { (words::plain_current(assessment.limit_a)) } br; (limit_words(assessment)) }
                }
                @if let Some(long_run) = assessment.long_run {
                    div { dt { (say::bench::over_days()) } dd class="big" { (words::current(long_run)) } }
                }
                @if let Some(left) = assessment.unaccounted.filter(|_| assessment.exceeds != Exceeds::No) {
                    div { dt { (say::bench::not_accounted()) } dd class="big" { (words::current(left)) } }
                }
                div { dt { (say::bench::battery()) } dd { strong { (battery_words(assessment.battery.verdict)) } @if assessment.battery.contradicting { br; (say::bench::contradict()) } } }
            }
            @if let Some(explanation) = &assessment.explanation { p { (explanation.sentence) } }
            details id="stands-why" { summary { (say::bench::says_who()) } (stands_why(known)) }
        }
    }
}

fn stands_why(known: &Known) -> Markup {
    let assessment = &known.assessment;
    let total = assessment
        .nodes
        .first()
        .map_or(&[][..], |root| &root.entries);
    html! {
        ul {
            li { (words::within(|it| say::bench::why_draw(it), &entries_words(total))) }
            li {
                @if known.job.limit_a.is_some() { (say::bench::limit_stated()) }
                @else { (say::bench::limit_common()) }
            }
            @if assessment.long_run.is_some() { li { (say::bench::why_days()) } }
            @for reason in &assessment.battery.because { li { (say::bench::why_battery(reason.to_string())) } }
            @for fuse in &assessment.fuses { li { (words::within(|it| say::bench::why_fuse(it, &fuse.node.0, words::resistance(fuse.ohm), words::resistance(fuse.table_ohm)), &entries_words(&fuse.entries))) } }
            @if assessment.battery.because.is_empty() { li { (say::bench::no_battery_test()) } }
            @if let Some(charge) = assessment.battery.state_of_charge {
                li { (say::bench::why_charge(words::percent(charge.value), words::percent(charge.u))) }
            }
            @if let Some(explanation) = &assessment.explanation {
                li { (say::bench::why_explains(words::span(&explanation.needed_a))) }
            }
        }
    }
}

/// `entries 2 and 5`, each a link.
pub(crate) fn entries_words(entries: &[job::EntryId]) -> Markup {
    html! {
        @match entries {
            [] => (say::bench::no_entry_yet()),
            [one] => { (say::bench::entry()) " " a href=(format!("#entry-{one}")) { (one) } }
            many => { (say::bench::entries()) " "
                @for (at, id) in many.iter().enumerate() {
                    @if at > 0 { ", " }
                    a href=(format!("#entry-{id}")) { (id) }
                }
            }
        }
    }
}

fn limit_words(assessment: &Assessment) -> Message {
    if assessment.total.is_none() && assessment.long_run.is_none() {
        return say::bench::limit_waits();
    }
    match assessment.exceeds {
        Exceeds::Yes => say::bench::above_limit(),
        Exceeds::No => say::bench::within(),
        Exceeds::Unsure => say::bench::limit_unsure(),
    }
}

fn battery_words(verdict: Verdict) -> Message {
    match verdict {
        Verdict::Good => say::bench::battery_good(),
        Verdict::RechargeAndRetest => say::bench::battery_recharge(),
        Verdict::Weak => say::bench::battery_weak(),
        Verdict::Replace => say::bench::battery_replace(),
        Verdict::Unknown => say::bench::battery_unknown(),
    }
}

/// What the person should know about the entries.
pub(crate) fn warnings(warnings: &[Warning]) -> Markup {
    html! {
        @if !warnings.is_empty() {
            section class="told care" aria-labelledby="mind" {
                h2 id="mind" { (say::bench::second_look()) }
                ul { @for warning in warnings {
                    li { (sentence(&warning.message)) @if !warning.entries.is_empty() { span class="entries-of" { (say::bench::see_entries()) @for id in &warning.entries { " " a href=(format!("#entry-{id}")) { (id) } } } } }
                } }
            }
        }
    }
}

/// The pictures, each with its numbers and reasons.
pub(crate) fn pictures(known: &Known) -> Markup {
    let (assessment, figures) = (&known.assessment, known.figures());
    html! {
        (flow(figures, assessment.nodes.len() > 1))
        (recording(known))
        (nights(known))
        (causes::causes(assessment, figures))
    }
}

fn flow(figures: &Figures, listed: bool) -> Markup {
    html! {
        section class="picture" aria-labelledby="flow" {
            h2 id="flow" { (say::bench::flow()) }
            (figures.flow.markup())
            @if listed { p class="small" { (say::bench::flow_how()) } }
            details id="flow-why" {
                summary { (say::bench::says_who()) }
                ul {
                    li { (say::bench::flow_why_width()) }
                    li { (say::bench::flow_why_hatched()) }
                    li { (say::bench::flow_why_rest()) }
                    li { (words::within(|it| say::bench::flow_why_circuits(it), &html! { a href="#circuits" { (say::bench::circuits()) } })) }
                }
            }
        }
    }
}

fn recording(known: &Known) -> Markup {
    let finding = known.assessment.trace.as_ref();
    let scope = finding.and_then(|finding| Scope::of(known, finding.entry));
    html! {
        section class="picture" aria-labelledby="recording" {
            h2 id="recording" { (say::bench::recording()) }
            @match (finding, scope) {
                (Some(finding), Some(scope)) => {
                    (scope.markup(&known.job, Look::all(&scope.recording), Sheets::Both, None))
                    @let told = picture::finding::told(&finding.analysis);
                    @if !told.is_empty() { ul class="told-of" { @for said in &told { li { (said) } } } }
                    details id="recording-numbers" { summary { (say::bench::show_numbers()) } (levels(&finding.analysis)) }
                    details id="recording-why" {
                        summary { (say::bench::says_who()) }
                        ul {
                            li { (words::within(|it| say::bench::recording_from(it, &finding.node.0), &html! { a href=(format!("#entry-{}", finding.entry)) { (finding.entry) } })) }
                            li { (say::bench::recording_levels(words::plain_current(finding.analysis.noise_a))) }
                            @for taken in &finding.analysis.source.assumptions { li { (sentence(&trace::readers::told(taken))) } }
                            li { (sentence(&finding.analysis.verdict.because)) }
                        }
                    }
                }
                _ => p class="soft" { (say::bench::no_recording()) },
            }
        }
    }
}

/// Rows shown of a recording's levels; the rest is in the export.
const LEVELS: usize = 60;

fn levels(analysis: &Analysis) -> Markup {
    html! {
        div class="wide" tabindex="0" role="region" aria-label=(say::bench::levels()) { table {
            caption { (say::bench::levels_count(analysis.segments.len())) @if analysis.segments.len() > LEVELS { (say::bench::levels_first(LEVELS.to_string())) } }
            thead { tr { th scope="col" class="num" { (say::bench::from()) } th scope="col" class="num" { (say::bench::for_how_long()) } th scope="col" class="num" { (say::bench::level()) } } }
            tbody { @for segment in analysis.segments.iter().take(LEVELS) { tr {
                td class="num" { (words::duration(segment.start_s)) }
                td class="num" { (words::duration(segment.end_s - segment.start_s)) }
                td class="num" { (words::current(segment.level)) span class="small soft" { br; (state_words(segment.state)) } }
            } } }
        } }
    }
}

fn state_words(state: State) -> Message {
    match state {
        State::Awake => say::bench::state_awake(),
        State::Settling => say::bench::state_settling(),
        State::Asleep => say::bench::state_asleep(),
        State::WakeUp => say::bench::state_woke(),
        State::Unknown => say::bench::state_unclear(),
    }
}

fn nights(known: &Known) -> Markup {
    let (assessment, figures) = (&known.assessment, known.figures());
    html! {
        section class="picture" aria-labelledby="nights" {
            h2 id="nights" { (say::bench::nights()) }
            @match (&assessment.forecast, &figures.nights) {
                (Some(forecast), Some(picture)) => {
                    (forecast_words(forecast))
                    (picture.markup())
                    details id="nights-each" { summary { (say::bench::starts_in_morning()) }
                        (ahead::nights(forecast))
                        p { a class="press" href=(format!("/jobs/{}/nights", known.id)) { (say::bench::with_weather()) } }
                    }
                    details id="nights-numbers" { summary { (say::bench::show_numbers()) } (moments(forecast)) }
                    details id="nights-why" {
                        summary { (say::bench::says_who()) }
                        ul {
                            li { (say::bench::nights_why_draw(assessment.long_run.or(assessment.total).map_or_else(|| say::bench::what_is_usual().to_string(), words::current))) }
                            li { (say::bench::nights_why_loss(words::plain_current(forecast.self_discharge_a))) }
                            li { (say::bench::nights_why_crank(words::percent(forecast.no_start_charge.p50), words::percent(forecast.no_start_charge.p95), words::percent(forecast.no_start_charge.p05))) }
                            @if let Some(hours) = forecast.recharge_h { li { (say::bench::nights_why_recharge(words::hours(hours))) } }
                        }
                    }
                }
                _ => p class="soft" { @match &assessment.forecast_missing { Some(why) => (why), None => (say::bench::no_forecast()) } },
            }
        }
    }
}

fn forecast_words(forecast: &Forecast) -> Markup {
    html! {
        p {
            @match forecast.hours_to_no_start {
                Some(span) => (words::within(|it| say::bench::still_starts(it), &html! { strong { (words::stands(&span)) } })),
                None => (say::bench::starts_long()),
            }
        }
        (ahead::frost(forecast))
    }
}

fn moments(forecast: &Forecast) -> Markup {
    // About twenty rows say all that a table can; the picture has the rest.
    let step = (forecast.ahead.len() / 20).max(1);
    html! {
        div class="wide" tabindex="0" role="region" aria-label=(say::bench::charge_ahead()) { table {
            caption { (say::bench::charge_band()) }
            thead { tr { th scope="col" class="num" { (say::bench::after()) } th scope="col" class="num" { (say::bench::charge()) } th scope="col" class="num" { (say::bench::band()) } th scope="col" class="num" { (say::bench::no_start()) } } }
            tbody { @for moment in forecast.ahead.iter().step_by(step) { tr {
                td class="num" { (words::hours(moment.hours)) }
                td class="num" { (words::percent_short(moment.charge.p50)) }
                td class="num" { (say::bench::low_to_high(words::percent_short(moment.charge.p95), words::percent_short(moment.charge.p05))) }
                td class="num" { (words::percent_short(moment.p_no_start)) }
            } } }
        } }
    }
}
