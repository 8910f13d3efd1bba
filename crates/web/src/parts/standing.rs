//! Where the job stands: the sentence, the figures, the odds, the warnings.

use battery::{Forecast, Verdict};
use job::Warning;
use maud::{Markup, html};
use measure::quantity::Second;
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
            h2 id="stands" { "Where it stands" }
            p { strong { (assessment.summary) } }
            dl class="stand" {
                div {
                    dt { "Asleep it draws" }
                    dd class="big" { (assessment.total.map_or("not read yet".into(), words::current)) }
                }
                div {
                    dt { "Limit" }
                    dd { span class="big" { (words::plain_current(assessment.limit_a)) } br; (limit_words(assessment.exceeds)) }
                }
                @if let Some(long_run) = assessment.long_run {
                    div { dt { "Over days, wake-ups included" } dd class="big" { (words::current(long_run)) } }
                }
                @if let Some(left) = assessment.unaccounted {
                    div { dt { "Not yet accounted for" } dd class="big" { (words::current(left)) } }
                }
                div { dt { "Battery" } dd { strong { (battery_words(assessment.battery.verdict)) } @if assessment.battery.contradicting { br; "Its tests contradict each other." } } }
            }
            @if let Some(explanation) = &assessment.explanation { p { (explanation.sentence) } }
            details id="stands-why" { summary { "Says who?" } (stands_why(known)) }
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
            li { "The draw: " (entries_words(total)) ". ± is one standard uncertainty (JCGM 100:2008, the GUM)." }
            li {
                @if known.job.limit_a.is_some() { "The limit is the one stated for this job." }
                @else { "No limit is stated for this job, so the common rule of 50 mA holds (common practice)." }
            }
            @if assessment.long_run.is_some() { li { "Over days: the settled level with its wake-ups, from the recording." } }
            @for reason in &assessment.battery.because { li { "Battery: " (reason) } }
            @for fuse in &assessment.fuses { li { "Fuse " (fuse.node) ": " (words::resistance(fuse.ohm)) " by " (entries_words(&fuse.entries)) "; the table says " (words::resistance(fuse.table_ohm)) "." } }
            @if assessment.battery.because.is_empty() { li { "Battery: no test entered yet." } }
            @if let Some(charge) = assessment.battery.state_of_charge {
                li { "Charge " (words::percent(charge.value)) ", give or take " (words::percent(charge.u)) "." }
            }
            @if let Some(explanation) = &assessment.explanation {
                li { "Draw that would explain the complaint: " (words::span(&explanation.needed_a)) "." }
            }
        }
    }
}

/// `entries 2 and 5`, each a link.
pub(crate) fn entries_words(entries: &[job::EntryId]) -> Markup {
    html! {
        @match entries {
            [] => "no entry yet, only what is usual",
            [one] => { "entry " a href=(format!("#entry-{one}")) { (one) } }
            many => {
                "entries "
                @for (at, id) in many.iter().enumerate() {
                    @if at > 0 { ", " }
                    a href=(format!("#entry-{id}")) { (id) }
                }
            }
        }
    }
}

fn limit_words(exceeds: Exceeds) -> &'static str {
    match exceeds {
        Exceeds::Yes => "The draw is above it.",
        Exceeds::No => "The draw is within it.",
        Exceeds::Unsure => "Too close or not known.",
    }
}

fn battery_words(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Good => "in order",
        Verdict::RechargeAndRetest => "too empty to judge: recharge, then test",
        Verdict::Weak => "weaker than its label",
        Verdict::Replace => "due for replacement",
        Verdict::Unknown => "not tested",
    }
}

/// What the person should know about the entries.
pub(crate) fn warnings(warnings: &[Warning]) -> Markup {
    html! {
        @if !warnings.is_empty() {
            section class="told care" aria-labelledby="mind" {
                h2 id="mind" { "Worth a second look" }
                ul { @for warning in warnings {
                    li { (sentence(&warning.message)) @if !warning.entries.is_empty() { " (" (entries_words(&warning.entries)) ")" } }
                } }
            }
        }
    }
}

/// The pictures, each with its numbers and reasons.
pub(crate) fn pictures(known: &Known) -> Markup {
    let (assessment, figures) = (&known.assessment, known.figures());
    html! {
        (flow(figures))
        (recording(known))
        (nights(known))
        (causes::causes(assessment, figures))
    }
}

fn flow(figures: &Figures) -> Markup {
    html! {
        section class="picture" aria-labelledby="flow" {
            h2 id="flow" { "Where the current goes" }
            (figures.flow.markup())
            p class="small" { "Widths are currents, shades are suspicion. Tap a stream to enter a reading there." }
            details id="flow-why" {
                summary { "Says who?" }
                ul {
                    li { "Each width is the mean draw that all entries together leave for that circuit; the sums over the feed tree are exact." }
                    li { "Hatched: the span that holds the draw nine times in ten is wider than half of it, and than 2 mA; more a guess than a finding." }
                    li { "What no listed circuit carries has a stream of its own." }
                    li { "Every circuit with its span, its usual draw and the entries behind it stands under " a href="#circuits" { "Circuits" } "." }
                }
            }
        }
    }
}

fn recording(known: &Known) -> Markup {
    let finding = known.assessment.trace.as_ref();
    let scope = finding.and_then(|finding| Scope::of(known.id, &known.job, finding.entry));
    html! {
        section class="picture" aria-labelledby="recording" {
            h2 id="recording" { "The recording" }
            @match (finding, scope) {
                (Some(finding), Some(scope)) => {
                    (scope.markup(&known.job, Look::all(scope.recording), Sheets::Both, None))
                    @let told = picture::finding::told(&finding.analysis);
                    @if !told.is_empty() { ul class="told-of" { @for said in &told { li { (said) } } } }
                    details id="recording-numbers" { summary { "Show the numbers" } (levels(&finding.analysis)) }
                    details id="recording-why" {
                        summary { "Says who?" }
                        ul {
                            li { "From entry " a href=(format!("#entry-{}", finding.entry)) { (finding.entry) } ", recorded at " (finding.node) "." }
                            li { "Levels: the exact least-squares fit with a price for each change; noise " (words::plain_current(finding.analysis.noise_a)) "." }
                            @for taken in &finding.analysis.source.assumptions { li { (sentence(taken)) } }
                            li { (sentence(&finding.analysis.verdict.because)) }
                        }
                    }
                }
                _ => p class="soft" { "No recording yet. A logging meter left on overnight shows what wakes up." },
            }
        }
    }
}

/// Rows shown of a recording's levels; the rest is in the export.
const LEVELS: usize = 60;

fn levels(analysis: &Analysis) -> Markup {
    html! {
        div class="wide" tabindex="0" role="region" aria-label="Levels of the recording" { table {
            caption { (words::count(analysis.segments.len(), "level", "levels")) @if analysis.segments.len() > LEVELS { ", the first " (LEVELS) } }
            thead { tr { th scope="col" { "From" } th scope="col" { "For" } th scope="col" class="num" { "Level" } th scope="col" { "State" } } }
            tbody { @for segment in analysis.segments.iter().take(LEVELS) { tr {
                td class="num" { (Second(segment.start_s).to_string()) }
                td class="num" { (Second(segment.end_s - segment.start_s).to_string()) }
                td class="num" { (words::current(segment.level)) }
                td { (state_words(segment.state)) }
            } } }
        } }
    }
}

fn state_words(state: State) -> &'static str {
    match state {
        State::Awake => "awake",
        State::Settling => "going to sleep",
        State::Asleep => "asleep",
        State::WakeUp => "woke up",
        State::Unknown => "not clear",
    }
}

fn nights(known: &Known) -> Markup {
    let (assessment, figures) = (&known.assessment, known.figures());
    html! {
        section class="picture" aria-labelledby="nights" {
            h2 id="nights" { "The nights ahead" }
            @match (&assessment.forecast, &figures.nights) {
                (Some(forecast), Some(picture)) => {
                    (forecast_words(forecast))
                    (picture.markup())
                    details id="nights-each" { summary { "Will it start in the morning?" }
                        (ahead::nights(forecast))
                        p { a href=(format!("/jobs/{}/nights", known.id)) { "With the weather of each night" } }
                    }
                    details id="nights-numbers" { summary { "Show the numbers" } (moments(forecast)) }
                    details id="nights-why" {
                        summary { "Says who?" }
                        ul {
                            li { "Draw used: " (assessment.long_run.or(assessment.total).map_or("what is usual".into(), words::current)) "." }
                            li { "Own loss of the battery: " (words::plain_current(forecast.self_discharge_a)) "." }
                            li { "Below " (words::percent(forecast.no_start_charge.p50)) " of charge this engine no longer cranks (" (words::percent(forecast.no_start_charge.p05)) " to " (words::percent(forecast.no_start_charge.p95)) ")." }
                            @if let Some(hours) = forecast.recharge_h { li { "Recharging what is missing now takes about " (words::hours(hours)) "." } }
                        }
                    }
                }
                _ => p class="soft" { (assessment.forecast_missing.as_deref().unwrap_or("No forecast yet.")) },
            }
        }
    }
}

fn forecast_words(forecast: &Forecast) -> Markup {
    html! {
        p {
            @match forecast.hours_to_no_start {
                Some(span) => { "Left standing as it is, it should still start for " strong { (words::stands(&span)) } " (nine times in ten)." }
                None => "As it stands, it will start for longer than can be told.",
            }
        }
        (ahead::frost(forecast))
    }
}

fn moments(forecast: &Forecast) -> Markup {
    // About twenty rows say all that a table can; the picture has the rest.
    let step = (forecast.ahead.len() / 20).max(1);
    html! {
        div class="wide" tabindex="0" role="region" aria-label="Charge in the time ahead" { table {
            caption { "Charge left, with its 5 to 95 % band" }
            thead { tr { th scope="col" class="num" { "After" } th scope="col" class="num" { "Charge" } th scope="col" class="num" { "Band" } th scope="col" class="num" { "Will not start" } } }
            tbody { @for moment in forecast.ahead.iter().step_by(step) { tr {
                td class="num" { (words::hours(moment.hours)) }
                td class="num" { (words::percent(moment.charge.p50)) }
                td class="num" { (words::percent(moment.charge.p05)) " to " (words::percent(moment.charge.p95)) }
                td class="num" { (words::percent(moment.p_no_start)) }
            } } }
        } }
    }
}
