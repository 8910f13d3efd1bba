//! How to connect the instrument at hand: what to expect, and the steps with
//! their pictures, their cautions and what feeds the vehicle meanwhile.

use axum::{extract::State, http::HeaderMap};
use battery::keeper::{Hold, KEEPS_V, Keeper};
use harness::{
    NodeId,
    fuse::FuseFamily,
    hookup::{Step, Supply},
};
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
use tongue::{Message, say};

use super::Id;
use crate::{
    form::{Typed, Wrong},
    intake::{amount, number},
    parts::{
        field::{Choice, Field, Filling, Input, Named::Said, Words},
        layout::{Page, page, wrong_summary},
    },
    problem::Problem,
    state::{AppState, Known},
    theme::Look,
    words,
};

const HOWS: &[Choice<'static>] = &[
    ("clamp", Said(say::hookup::clamp)),
    ("in-line", Said(say::hookup::in_line)),
    ("millivolt", Said(say::hookup::millivolt)),
    ("shunt", Said(say::hookup::shunt)),
];

const FAMILIES: &[Choice<'static>] = &[
    ("", Said(say::hookup::not_known)),
    ("blade", Said(say::hookup::blade)),
    ("mini", Said(say::hookup::mini)),
    ("low-profile-mini", Said(say::hookup::low_profile)),
    ("micro2", Said(say::hookup::micro_two)),
    ("micro3", Said(say::hookup::micro_three)),
    ("maxi", Said(say::hookup::maxi)),
    ("cartridge", Said(say::hookup::cartridge)),
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
        h1 { (say::hookup::title()) }
        @if let Some(known) = known {
            p { a class="press" href=(format!("/jobs/{}", known.id)) { (say::web::back_to(known.name())) } }
        }
        (wrong_summary(&wrong, ""))
        (question(&here, filling))
        @if let Some(answer) = &answer { (told(answer)) }
    };
    page(
        &Page {
            title: &say::hookup::title().to_string(),
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
                ("shunt", say::hookup::say_shunt())
            } else {
                ("fuse", say::hookup::say_rating())
            };
            if wrong.at(field).is_none() {
                wrong.add(field, text);
            }
            None
        }
        Err(NoEstimate::Unsuited) => {
            wrong.add("how", say::hookup::unsuited());
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
            (one_of("how", say::hookup::how, HOWS).markup(filling))
            (ampere("draw", say::hookup::draw, say::hookup::draw_hint).markup(filling))
            @if fuse { (rating(filling)) }
            @if shunt { (shunt_field(filling)) }
            details id="more" open[!filling.wrong.is_empty()] {
                summary { (say::hookup::more()) }
                div class="two" {
                    (ampere("wake_up", say::hookup::wake, say::hookup::wake_hint).markup(filling))
                    (Field { name: "cables", label: say::hookup::cables, hint: None, input: Input::Amount { units: &["cables"], signed: false } }.markup(filling))
                    (ampere("meter_fuse", say::hookup::meter_fuse, say::hookup::meter_fuse_hint).markup(filling))
                    (Field { name: "melting", label: say::hookup::melting, hint: Some(say::hookup::melting_hint), input: Input::Amount { units: &[], signed: false } }.markup(filling))
                    (ampere("bypass_fuse", say::hookup::bypass_fuse, say::hookup::bypass_fuse_hint).markup(filling))
                    @if !fuse { (rating(filling)) }
                    @if !shunt { (shunt_field(filling)) }
                }
            }
            (Field { name: "airbag", label: say::hookup::airbag, hint: None, input: Input::Tick }.markup(filling))
            button type="submit" class="main-press" { (say::hookup::show()) }
        }
    }
}

fn rating(filling: Filling<'_>) -> Markup {
    html! {
        (ampere("fuse", say::hookup::rating, say::hookup::rating_hint).markup(filling))
        (one_of("family", say::hookup::shape, FAMILIES).markup(filling))
    }
}

fn shunt_field(filling: Filling<'_>) -> Markup {
    Field {
        name: "shunt",
        label: say::hookup::shunt_ohm,
        hint: Some(say::hookup::shunt_hint),
        input: Input::Amount {
            units: &["mohm", "ohm"],
            signed: false,
        },
    }
    .markup(filling)
}

fn ampere(name: &str, label: Words, hint: Words) -> Field<'_> {
    Field {
        name,
        label,
        hint: Some(hint),
        input: Input::Amount {
            units: &["A", "mA"],
            signed: false,
        },
    }
}

fn one_of<'a>(name: &'a str, label: Words, choices: &'a [Choice<'a>]) -> Field<'a> {
    Field {
        name,
        label,
        hint: None,
        input: Input::OneOf(choices),
    }
}

fn told(answer: &HookUpAnswer) -> Markup {
    html! {
        @if !answer.settings.keep {
            div class="told alarm" { h2 { (say::hookup::keep_dead()) } p { (answer.settings.why) } p class="small" { (say::hookup::source(answer.settings.source.to_string())) } }
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
            h2 id="expect" { (say::hookup::expect()) }
            dl class="stand" {
                div { dt { (say::hookup::will_read()) } dd class="big" { (words::current(estimate.reading)) } }
                @if let Some(floor) = estimate.floor_a { div { dt { (say::hookup::floor()) } dd class="big" { (rough::<Ampere>(floor)) } } }
                @if let Some(most) = estimate.range_a { div { dt { (say::hookup::up_to()) } dd { (rough::<Ampere>(most)) } } }
                @match estimate.in_series {
                    Some(series) => {
                        div { dt { (say::hookup::loses()) } dd { (say::hookup::loses_what(words::written(Ampere(answer.wake_a)), rough::<Volt>(series.burden_v.value), rough::<Volt>(series.wake_burden_v.value))) } }
                        div { dt { (say::hookup::forgotten()) } dd { (say::hookup::of_draw(words::percent(series.shown_beside_bypass.value))) } }
                        @if answer.hook_up.how == How::InLine {
                            div { dt { (say::hookup::touching()) } dd { (say::hookup::of_draw_check(words::percent(series.shown_clamp_on_post.value))) } }
                        }
                    }
                    None => div { dt { (say::hookup::supply()) } dd { (say::hookup::untouched()) } },
                }
                @if let Some(fuse) = estimate.fuse { div { dt { (say::hookup::meter_fuse()) } dd { (fuse_words(fuse, answer.wake_a)) } } }
                @if let Some(fuse) = estimate.bypass_fuse { div { dt { (say::hookup::fuse_in_bypass()) } dd { (fuse_words(fuse, answer.wake_a)) } } }
            }
            @if blown {
                div class="told alarm" { p { strong { (say::hookup::breaks()) } " " (say::hookup::breaks_what()) } }
            }
            details id="parts" {
                summary { (say::hookup::made_of()) }
                ul { @for part in &estimate.parts { li { (say::hookup::part(part.what.to_string(), rough::<Ampere>(part.half_width_a))) } } }
                p class="small" { (say::hookup::instrument(&answer.hook_up.instrument.id)) }
            }
        }
    }
}

fn fuse_words(fuse: FuseAnswer, wake_a: f64) -> Message {
    let amount = |a: f64| tongue::amount(Ampere(a).to_string());
    let (rating, wake) = (amount(fuse.rating_a), amount(wake_a));
    match fuse.at_wake {
        MeterFuse::Holds => say::hookup::holds(rating, wake),
        MeterFuse::Blows {
            within_s: Some(seconds),
        } => say::hookup::melts_within(rating, tongue::amount(Second(seconds).to_string()), wake),
        MeterFuse::Blows { within_s: None } => say::hookup::melts(rating, wake),
    }
}

fn steps(answer: &HookUpAnswer) -> Markup {
    html! {
        section aria-labelledby="steps" {
            h2 id="steps" { (say::hookup::steps()) }
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
                    (supply_words(step)) @if interrupted { ". " (say::hookup::interrupts()) }
                }
                @if first == at { div class="told care" { p { strong { (say::hookup::caution()) } " " (step.caution().text) } } }
                @else { p class="small" { (words::within(|it| say::hookup::caution_too(it), &html! { a href=(format!("#step-{}", first + 1)) { (say::hookup::caution_of((first + 1).to_string())) } })) } }
            }
        }
    }
}

fn supply_words(step: &Step) -> Message {
    match step.supply {
        Supply::Untouched => say::hookup::by_own(),
        Supply::Bypass => say::hookup::by_bypass(),
        Supply::Meter => say::hookup::by_meter(),
        Supply::Shunt => say::hookup::by_shunt(),
    }
}

fn settings(answer: &HookUpAnswer) -> Markup {
    html! {
        section class="block" aria-labelledby="settings" {
            h2 id="settings" { (say::hookup::settings()) }
            p { (answer.settings.why) }
            p { (say::hookup::never_airbag()) }
            h3 { (say::hookup::keepers()) }
            div class="wide" tabindex="0" role="region" aria-label=(say::hookup::keepers_region()) { table {
                caption { (say::hookup::keepers_at(rough::<Ampere>(answer.estimate.reading.value), words::written(Ampere(answer.wake_a)))) }
                thead { tr { th scope="col" { (say::hookup::supply()) } th scope="col" { (say::hookup::keeper_holds()) } th scope="col" { (say::hookup::keeper_wake()) } } }
                tbody { @for (keeper, hold) in &answer.keepers { (keeper_row(keeper, hold)) } }
            } }
            p class="small" { (say::hookup::settings_need(words::written(Volt(KEEPS_V)))) }
        }
    }
}

fn keeper_row(keeper: &Keeper, hold: &Hold) -> Markup {
    html! {
        tr {
            th scope="row" { (keeper.what) }
            td { @if hold.hours > 0.0 { (say::hookup::about_hours(words::hours(hold.hours))) } @else { (say::hookup::not_at_all(rough::<Ampere>(hold.most_a))) } }
            td { @if hold.survives_waking() { (say::hookup::kept(rough::<Volt>(hold.under_wake_v))) } @else { (say::hookup::lost(rough::<Volt>(hold.under_wake_v))) } }
        }
    }
}
