//! How to connect the instrument at hand: what to expect, and the steps with
//! their pictures, their cautions and what feeds the vehicle meanwhile.

use axum::{extract::State, http::HeaderMap};
use battery::keeper::{Hold, KEEPS_V, Keeper};
use harness::{NodeId, fuse::FuseFamily, hookup::Step};
use job::{HookUpAnswer, HookUpQuestion, Job};
use maud::{Markup, PreEscaped, html};
use measure::{
    How, InstrumentKind,
    estimate::{FuseAnswer, InputFuse, NoEstimate},
    hookup::MeterFuse,
    quantity::{Ampere, Ohm, Second, Volt},
    range,
};
use picture::{Style, words::rough};

use super::Id;
use crate::{
    form::{Typed, Wrong},
    intake::{amount, number},
    parts::{
        field::{Field, Filling, Input},
        layout::{Page, page, wrong_summary},
    },
    problem::Problem,
    state::{AppState, Known},
    theme::Look,
    words,
};

const HOWS: &[(&str, &str)] = &[
    ("clamp", "clamp around the cable"),
    ("in-line", "meter in the circuit, with a bypass"),
    ("millivolt", "millivolts across a fuse"),
    ("shunt", "shunt in the circuit"),
];

const FAMILIES: &[(&str, &str)] = &[
    ("", "not known"),
    ("blade", "blade"),
    ("mini", "mini"),
    ("low-profile-mini", "low-profile mini"),
    ("micro2", "micro, two legs"),
    ("micro3", "micro, three legs"),
    ("maxi", "large blade"),
    ("cartridge", "cartridge"),
];

/// Advice for a vehicle that is no job.
pub(crate) async fn show(headers: HeaderMap, typed: Typed) -> Markup {
    whole(None, typed, Look::from_headers(&headers))
}

/// Advice for the vehicle and the instruments of a job.
pub(crate) async fn for_job(
    State(state): State<AppState>,
    Id(id): Id,
    headers: HeaderMap,
    typed: Typed,
) -> Result<Markup, Problem> {
    let look = Look::from_headers(&headers);
    state
        .run(move |state| {
            let known = state.known(id)?;
            Ok(whole(Some(&known), typed, look))
        })
        .await
}

fn whole(known: Option<&Known>, mut typed: Typed, look: Look) -> Markup {
    let mut wrong = Wrong::default();
    fill(known, &mut typed);
    let answer = answer(known.map(|known| &known.job), &typed, &mut wrong);
    let here = known.map_or("/hookup".into(), |known| {
        format!("/jobs/{}/hookup", known.id)
    });
    let filling = Filling {
        prefix: "",
        typed: &typed,
        wrong: &wrong,
    };
    let body = html! {
        h1 { "How to connect it" }
        @if let Some(known) = known {
            p { a class="press" href=(format!("/jobs/{}", known.id)) { "Back to " (known.job.vehicle.name) } }
        }
        (wrong_summary(&wrong, ""))
        (question(&here, filling))
        @if let Some(answer) = &answer { (told(answer)) }
    };
    page(
        &Page {
            title: "How to connect it",
            look,
            here: &here,
            follow: None,
        },
        &body,
    )
}

/// What is not typed: from the job where it tells, else what is usual.
fn fill(known: Option<&Known>, typed: &mut Typed) {
    let has = |kind| known.is_some_and(|known| known.job.instrument_for(kind).is_some());
    let in_line = has(InstrumentKind::InLine) && !has(InstrumentKind::Clamp);
    if typed.get("how").is_empty() {
        typed.set("how", if in_line { "in-line" } else { "clamp" }.into());
    }
    let mut usual = |name: &str, written: String| {
        if typed.get(name).is_empty() {
            typed.set_amount(name, &written);
        }
    };
    let draw = known.and_then(|known| known.assessment.total);
    let draw_a = draw.map_or(job::advice::USUAL_DRAW_A, |draw| draw.value);
    usual("draw", words::plain_current(draw_a));
    usual("wake_up", Ampere(job::advice::USUAL_WAKE_A).to_string());
    usual("cables", "1 cables".into());
    let node = NodeId(typed.get("node").to_owned());
    let fuse = known.and_then(|known| known.job.nodes.iter().find(|spec| spec.id == node));
    if let Some(rating_a) = fuse.and_then(|spec| spec.rating_a)
        && typed.get("fuse").is_empty()
    {
        typed.set_amount("fuse", &Ampere(rating_a).to_string());
        let family = fuse.and_then(|spec| spec.fuse.clone());
        typed.set("family", family.unwrap_or_default());
    }
    // First look: a fuse and a shunt as they usually are. What is emptied later stays empty.
    if !typed.ticked("asked") {
        if typed.get("fuse").is_empty() {
            typed.set_amount("fuse", &Ampere(15.0).to_string());
        }
        if typed.get("shunt").is_empty() {
            typed.set_amount("shunt", &Ohm(0.001).to_string());
        }
    }
}

fn answer(job: Option<&Job>, typed: &Typed, wrong: &mut Wrong) -> Option<HookUpAnswer> {
    let how: How = typed.get("how").parse().unwrap_or(How::Clamp);
    let usual = HookUpQuestion::ordinary(how);
    let kind = how.instrument();
    let family: Option<FuseFamily> = typed.get("family").parse().ok();
    let fuse_a = amount::<Ampere>(typed, "fuse", range::FUSE_RATING, wrong);
    let meter_a = amount::<Ampere>(typed, "meter_fuse", range::FUSE_RATING, wrong);
    let question = HookUpQuestion {
        instrument: job
            .and_then(|job| job.instrument_for(kind))
            .cloned()
            .unwrap_or(usual.instrument),
        draw_a: amount::<Ampere>(typed, "draw", range::NORMAL_DRAW, wrong).unwrap_or(usual.draw_a),
        wake_a: amount::<Ampere>(typed, "wake_up", range::NORMAL_DRAW, wrong)
            .unwrap_or(usual.wake_a),
        fuse: fuse_a.map(|rating_a| (rating_a, family)),
        shunt_ohm: amount::<Ohm>(typed, "shunt", range::SHUNT, wrong),
        // At most a dozen cables, checked by the range.
        cables: number(typed, "cables", range::CABLES, wrong).map_or(1, |n| n as u32),
        meter_fuse: meter_a.map(|rating_a| InputFuse {
            rating_a,
            melting_a2s: number(typed, "melting", range::MELTING, wrong),
        }),
        bypass_fuse_a: amount::<Ampere>(typed, "bypass_fuse", range::FUSE_RATING, wrong),
        airbag_work: typed.ticked("airbag"),
        how,
    };
    match question.answer() {
        Ok(answer) if wrong.is_empty() => Some(answer),
        Ok(_) => None,
        Err(NoEstimate::NoResistance) => {
            let (field, text) = if how == How::Shunt {
                ("shunt", "Say the resistance of the shunt.")
            } else {
                ("fuse", "Say the rating of the fuse, it is printed on it.")
            };
            if wrong.at(field).is_none() {
                wrong.add(field, text);
            }
            None
        }
        Err(NoEstimate::Unsuited) => {
            wrong.add("how", "This job's instrument cannot be read that way.");
            None
        }
    }
}

fn question(here: &str, filling: Filling<'_>) -> Markup {
    let how = filling.typed.get("how");
    let (fuse, shunt) = (how == "millivolt", how == "shunt");
    html! {
        form class="modest block" method="get" action=(here) {
            input type="hidden" name="asked" value="1";
            (one_of("how", "How the current is read", HOWS).markup(filling))
            (ampere("draw", "Draw expected", "Once asleep.").markup(filling))
            @if fuse { (rating(filling)) }
            @if shunt { (shunt_field(filling)) }
            details id="more" open[!filling.wrong.is_empty()] {
                summary { "More about meter and vehicle" }
                div class="two" {
                    (ampere("wake_up", "Draw when something wakes it", "Doors, remote key: usually 3 to 10 A.").markup(filling))
                    (Field { name: "cables", label: "Negative cables clamped one by one", hint: "", input: Input::Amount { units: &["cables"], signed: false } }.markup(filling))
                    (ampere("meter_fuse", "Fuse in the meter", "Empty: the range of its input.").markup(filling))
                    (Field { name: "melting", label: "Its melting integral, A²s", hint: "From its maker, if known.", input: Input::Amount { units: &[], signed: false } }.markup(filling))
                    (ampere("bypass_fuse", "Fuse in the bypass lead", "Empty: 15 A.").markup(filling))
                    @if !fuse { (rating(filling)) }
                    @if !shunt { (shunt_field(filling)) }
                }
            }
            (Field { name: "airbag", label: "The work is on airbag circuits", hint: "", input: Input::Tick }.markup(filling))
            button type="submit" class="main-press" { "Show how" }
        }
    }
}

fn rating(filling: Filling<'_>) -> Markup {
    html! {
        (ampere("fuse", "Rating of the fuse read across", "For millivolts only.").markup(filling))
        (one_of("family", "Shape of that fuse", FAMILIES).markup(filling))
    }
}

fn shunt_field(filling: Filling<'_>) -> Markup {
    Field {
        name: "shunt",
        label: "Resistance of the shunt",
        hint: "For a shunt only.",
        input: Input::Amount {
            units: &["mohm", "ohm"],
            signed: false,
        },
    }
    .markup(filling)
}

fn ampere<'a>(name: &'a str, label: &'a str, hint: &'a str) -> Field<'a> {
    Field {
        name,
        label,
        hint,
        input: Input::Amount {
            units: &["A", "mA"],
            signed: false,
        },
    }
}

fn one_of<'a>(name: &'a str, label: &'a str, choices: &'a [(&'a str, &'a str)]) -> Field<'a> {
    Field {
        name,
        label,
        hint: "",
        input: Input::OneOf(choices),
    }
}

fn told(answer: &HookUpAnswer) -> Markup {
    html! {
        @if !answer.settings.keep {
            div class="told alarm" { h2 { "Do not keep the settings alive" } p { (answer.settings.why) } p class="small" { "Source: " (answer.settings.source) "." } }
        } @else {
            (expectation(answer))
            (steps(answer))
            (settings(answer))
        }
    }
}

fn expectation(answer: &HookUpAnswer) -> Markup {
    let estimate = &answer.estimate;
    let blown = [estimate.fuse, estimate.bypass_fuse]
        .into_iter()
        .flatten()
        .any(|fuse| fuse.at_wake != MeterFuse::Holds);
    html! {
        section class="block" aria-labelledby="expect" {
            h2 id="expect" { "What to expect" }
            dl class="stand" {
                div { dt { "It will read" } dd class="big" { (words::current(estimate.reading)) } }
                @if let Some(floor) = estimate.floor_a { div { dt { "Smallest draw it can see" } dd class="big" { (rough::<Ampere>(floor)) } } }
                @if let Some(most) = estimate.range_a { div { dt { "It shows up to" } dd { (rough::<Ampere>(most)) } } }
                @match estimate.in_series {
                    Some(series) => {
                        div { dt { "The vehicle loses" } dd { (rough::<Volt>(series.burden_v.value)) "; " (rough::<Volt>(series.wake_burden_v.value)) " when " (Ampere(answer.wake_a).to_string()) " flow" } }
                        div { dt { "With the bypass forgotten it shows" } dd { (words::percent(series.shown_beside_bypass.value)) " of the draw" } }
                        @if answer.hook_up.how == How::InLine {
                            div { dt { "With the clamp touching the post" } dd { (words::percent(series.shown_clamp_on_post.value)) " of the draw: the check" } }
                        }
                    }
                    None => div { dt { "Supply" } dd { "untouched; nothing is put into the circuit" } },
                }
                @if let Some(fuse) = estimate.fuse { div { dt { "Fuse in the meter" } dd { (fuse_words(fuse, answer.wake_a)) } } }
                @if let Some(fuse) = estimate.bypass_fuse { div { dt { "Fuse in the bypass" } dd { (fuse_words(fuse, answer.wake_a)) } } }
            }
            @if blown {
                div class="told alarm" { p { strong { "A wake-up breaks the supply: " } "the fuse named above melts, and stored settings are lost. Take a bigger range, or another way to read." } }
            }
            details id="parts" {
                summary { "What the error is made of" }
                ul { @for part in &estimate.parts { li { "within ±" (rough::<Ampere>(part.half_width_a)) ": " (part.what) } } }
                p class="small" { "Instrument: " (answer.hook_up.instrument.id) ". ± is one standard uncertainty (JCGM 100:2008, the GUM)." }
            }
        }
    }
}

fn fuse_words(fuse: FuseAnswer, wake_a: f64) -> String {
    let (rating, wake) = (Ampere(fuse.rating_a), Ampere(wake_a));
    match fuse.at_wake {
        MeterFuse::Holds => format!("{rating} holds a wake-up of {wake}"),
        MeterFuse::Blows {
            within_s: Some(seconds),
        } => format!(
            "{rating} melts at a wake-up of {wake} within {}",
            Second(seconds)
        ),
        MeterFuse::Blows { within_s: None } => format!("{rating} melts at a wake-up of {wake}"),
    }
}

fn steps(answer: &HookUpAnswer) -> Markup {
    html! {
        section aria-labelledby="steps" {
            h2 id="steps" { "Steps" }
            ol class="hookup" { @for (at, step) in answer.steps.iter().enumerate() { (step_markup(answer.steps, at, step, answer.waking_interrupts(step))) } }
        }
    }
}

fn step_markup(all: &[Step], at: usize, step: &Step, interrupted: bool) -> Markup {
    let first = all
        .iter()
        .position(|other| other.caution().text == step.caution().text)
        .unwrap_or(at);
    let style = Style::narrow().with_ids(&format!("hk{at}"));
    html! {
        li id=(format!("step-{}", at + 1)) {
            div class="draw" { (PreEscaped(picture::hook_up(step, &style))) }
            div {
                p { strong { (step.text) } }
                p class=(if interrupted { "supply told care" } else { "supply" }) {
                    (supply_words(step)) @if interrupted { ". Waking the vehicle interrupts it now." }
                }
                @if first == at { div class="told care" { p { strong { "Caution: " } (step.caution().text) } } }
                @else { p class="small" { a href=(format!("#step-{}", first + 1)) { "The caution of step " (first + 1) } " applies here too." } }
            }
        }
    }
}

fn supply_words(step: &Step) -> String {
    let mut text = step.supply.words().to_owned();
    if let Some(first) = text.get_mut(0..1) {
        first.make_ascii_uppercase();
    }
    text
}

fn settings(answer: &HookUpAnswer) -> Markup {
    html! {
        section class="block" aria-labelledby="settings" {
            h2 id="settings" { "Stored settings" }
            p { (answer.settings.why) }
            p { "Never keep them alive for work on airbag circuits: that needs a dead supply." }
            h3 { "If a supply is to hold them while the battery is out" }
            div class="wide" tabindex="0" role="region" aria-label="Memory-keeping supplies" { table {
                caption { "At " (rough::<Ampere>(answer.estimate.reading.value)) ", and at a wake-up of " (Ampere(answer.wake_a).to_string()) }
                thead { tr { th scope="col" { "Supply" } th scope="col" { "Holds" } th scope="col" { "At a wake-up" } } }
                tbody { @for (keeper, hold) in &answer.keepers { (keeper_row(keeper, hold)) } }
            } }
            p class="small" { "Settings are taken to need " (Volt(KEEPS_V).to_string()) ". All figures of supplies are from memory. A small dry battery keeps a clock, not a vehicle that wakes: its own resistance takes the voltage down." }
        }
    }
}

fn keeper_row(keeper: &Keeper, hold: &Hold) -> Markup {
    html! {
        tr {
            th scope="row" { (keeper.what) }
            td { @if hold.hours > 0.0 { "about " (words::hours(hold.hours)) } @else { "not at all: gives " (rough::<Ampere>(hold.most_a)) " at most" } }
            td { (rough::<Volt>(hold.under_wake_v)) @if hold.survives_waking() { ", settings kept" } @else { ", settings lost" } }
        }
    }
}
