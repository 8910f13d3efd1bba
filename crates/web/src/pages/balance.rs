//! A week of driving against a week of standing.

use axum::{extract::State, http::HeaderMap};
use battery::balance::{Balance, Household, KEPT, balance};
use maud::{Markup, html};
use measure::{
    Uncertain,
    quantity::{Ampere, AmpereHour, Celsius},
    range,
};
use picture::words::rough;
use tongue::say;

use super::Id;
use crate::{
    figures::Pair,
    form::{Typed, Wrong},
    intake::{amount, number},
    parts::{
        field::{Field, Filling, Input, Words},
        layout::{Page, page, wrong_summary},
    },
    problem::Problem,
    state::{AppState, Known},
    theme::Look,
    words,
};

/// The balance of a job's vehicle; what the job does not tell can be typed.
pub(crate) async fn show(
    State(state): State<AppState>,
    Id(id): Id,
    headers: HeaderMap,
    typed: Typed,
) -> Result<Markup, Problem> {
    let look = Look::from_headers(&headers);
    state
        .run(move |state| Ok(whole(state.known(id)?.as_ref(), typed, look)))
        .await
}

fn whole(known: &Known, mut typed: Typed, look: Look) -> Markup {
    let usual = job::advice::household(&known.job, &known.assessment);
    fill(known, &usual, &mut typed);
    let mut wrong = Wrong::default();
    let (household, added_a) = asked(usual, &typed, &mut wrong);
    let here = format!("/jobs/{}/balance", known.id);
    let filling = Filling {
        prefix: "",
        typed: &typed,
        wrong: &wrong,
    };
    let complete = wrong.is_empty()
        && !typed.get("draw").is_empty()
        && !typed.get("trips").is_empty()
        && !typed.get("trip").is_empty();
    let body = html! {
        h1 { (say::advice::balance()) }
        p { a class="press" href=(format!("/jobs/{}", known.id)) { (say::web::back_to(known.name())) } }
        (wrong_summary(&wrong, ""))
        @if complete { (told(&household, added_a)) }
        @else if wrong.is_empty() { p { (say::advice::balance_ask()) } }
        (question(&here, filling))
    };
    page(
        &Page {
            title: &say::advice::balance_of(known.name()).to_string(),
            look,
            here: &here,
            follow: None,
        },
        &body,
    )
}

fn fill(known: &Known, usual: &Household, typed: &mut Typed) {
    let mut set = |name: &str, written: Option<String>| {
        if typed.get(name).is_empty()
            && let Some(written) = written
        {
            typed.set_amount(name, &written);
        }
    };
    let draw = known.assessment.long_run;
    set("draw", draw.map(|draw| Ampere(draw.value).to_string()));
    let usage = known.job.usage;
    set(
        "trips",
        usage.map(|usage| format!("{} trips", usage.trips_per_week)),
    );
    set(
        "trip",
        usage.map(|usage| format!("{} minutes", usage.minutes_per_trip)),
    );
    set("spare", Some(Ampere(usual.week.spare_a).to_string()));
    set("loads", Some(AmpereHour(usual.week.loads_ah).to_string()));
    set(
        "temperature",
        Some(Celsius(usual.temperature_c).to_string()),
    );
}

fn asked(usual: Household, typed: &Typed, wrong: &mut Wrong) -> (Household, Option<f64>) {
    let mut household = usual;
    let week = &mut household.week;
    week.trips = number(typed, "trips", range::TRIPS, wrong).unwrap_or(week.trips);
    week.minutes_per_trip =
        number(typed, "trip", range::TRIP, wrong).unwrap_or(week.minutes_per_trip);
    week.spare_a = amount::<Ampere>(typed, "spare", range::SPARE, wrong).unwrap_or(week.spare_a);
    week.loads_ah =
        amount::<AmpereHour>(typed, "loads", range::WEEKLY, wrong).unwrap_or(week.loads_ah);
    if !week.fits_a_week() {
        wrong.add("trip", say::advice::too_many_trips());
    }
    household.temperature_c = amount::<Celsius>(typed, "temperature", range::TEMPERATURE, wrong)
        .unwrap_or(household.temperature_c);
    if let Some(draw_a) = amount::<Ampere>(typed, "draw", range::NORMAL_DRAW, wrong) {
        // What was measured keeps its uncertainty, what is typed is taken as it is.
        let measured = Ampere(household.draw.value).to_string() == Ampere(draw_a).to_string();
        if !measured {
            household.draw = Uncertain::exact(draw_a);
        }
    }
    let added_a = amount::<Ampere>(typed, "add", range::NORMAL_DRAW, wrong);
    (household, added_a)
}

fn told(household: &Household, added_a: Option<f64>) -> Markup {
    match balance(household) {
        Err(unknown) => html! {
            div class="told care" { p { (say::advice::cannot_say(unknown.missing.to_string())) } }
        },
        Ok(found) => html! {
            section class="block" aria-labelledby="settles" {
                h2 id="settles" { (say::advice::settles()) }
                p { strong { (verdict(&found)) } }
                div class="picture narrowed" { (Pair::of("week", |style| picture::week(&found, style)).markup()) }
                (room(&found))
                @if let Some(added_a) = added_a { (with_added(household, &found, added_a)) }
                details id="settles-why" {
                    summary { (say::advice::says_who()) }
                    ul {
                        li { (say::advice::why_kept(words::percent(KEPT))) }
                        li { (say::advice::why_level()) }
                        li { (say::advice::why_panel()) }
                        li { (say::advice::why_health(words::percent(household.health.value), words::percent(household.health.u))) }
                    }
                }
            }
        },
    }
}

fn verdict(found: &Balance) -> String {
    let level = words::percent(found.settles_at.p50);
    if found.settles_at.p50 >= KEPT {
        say::advice::holds(level).to_string()
    } else if found.settles_at.p50 >= 0.5 {
        say::advice::settles_low(level).to_string()
    } else {
        let weeks = found.weeks_to_half.map_or(String::new(), |weeks| {
            format!(" {}", say::advice::to_half(words::weeks(weeks)))
        });
        format!("{}{weeks}", say::advice::not_held())
    }
}

/// What may be added, or what would hold it.
fn room(found: &Balance) -> Markup {
    html! {
        dl class="stand" {
            @if found.room_a > 0.0 {
                div { dt { (say::advice::room()) } dd class="big" { (rough::<Ampere>(found.room_a)) } }
            } @else {
                div { dt { (say::advice::room()) } dd class="big" { (say::advice::none()) } }
                div { dt { (say::advice::maintainer()) } dd class="big" { (rough::<Ampere>(found.maintainer_a)) } }
                div { dt { (say::advice::panel()) } dd class="big" { (words::watts(found.panel_w)) } }
            }
        }
    }
}

fn with_added(household: &Household, found: &Balance, added_a: f64) -> Markup {
    let fits = found.fits(added_a);
    html! {
        @if let Ok(after) = balance(&household.with_added(added_a)) {
            div class=(if fits { "told calm" } else { "told care" }) {
                p {
                    strong { (if fits { say::advice::fits(words::written(Ampere(added_a))) } else { say::advice::fits_not(words::written(Ampere(added_a))) }) } " "
                    @if after.settles_at.p50 > 0.0 { (say::advice::then_settles(words::percent(after.settles_at.p50))) }
                    @else { (say::advice::then_empty()) }
                    @if !fits && after.maintainer_a > 0.0 { " " (say::advice::would_carry(rough::<Ampere>(after.maintainer_a), words::watts(after.panel_w))) }
                }
            }
        }
    }
}

fn question(here: &str, filling: Filling<'_>) -> Markup {
    let field = |name, label: Words, hint: Option<Words>, units| Field {
        name,
        label,
        hint,
        input: Input::Amount {
            units,
            signed: false,
        },
    };
    html! {
        form class="modest block" method="get" action=(here) {
            h2 { (say::advice::what_if()) }
            div class="two" {
                (field("draw", say::advice::draw, Some(say::advice::draw_hint), &["A", "mA"]).markup(filling))
                (field("trips", say::advice::trips, None, &["trips"]).markup(filling))
                (field("trip", say::advice::trip, None, &["minutes"]).markup(filling))
                (field("add", say::advice::add, Some(say::advice::add_hint), &["mA", "A"]).markup(filling))
                (field("loads", say::advice::loads, Some(say::advice::loads_hint), &["Ah"]).markup(filling))
                (field("spare", say::advice::spare, Some(say::advice::spare_hint), &["A"]).markup(filling))
                (Field { name: "temperature", label: say::advice::temperature, hint: None, input: Input::Amount { units: &["C", "F"], signed: true } }.markup(filling))
            }
            button type="submit" class="main-press" { (say::advice::work_out()) }
        }
    }
}
