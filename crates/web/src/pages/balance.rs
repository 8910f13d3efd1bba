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

use super::Id;
use crate::{
    figures::Pair,
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
        h1 { "A week of driving, a week of standing" }
        p { a class="press" href=(format!("/jobs/{}", known.id)) { "Back to " (known.job.vehicle.name) } }
        (wrong_summary(&wrong, ""))
        @if complete { (told(&household, added_a)) }
        @else if wrong.is_empty() { p { "Enter the draw while parked and how it is driven, and this says whether the battery keeps up." } }
        (question(&here, filling))
    };
    page(
        &Page {
            title: &format!("Balance: {}", known.job.vehicle.name),
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
        wrong.add(
            "trip",
            "That many trips of this length are longer than a week.",
        );
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
            div class="told care" { p { "It cannot be said without " (unknown.missing) ". Enter the battery's label with the job." } }
        },
        Ok(found) => html! {
            section class="block" aria-labelledby="settles" {
                h2 id="settles" { "Where it settles" }
                p { strong { (verdict(&found)) } }
                div class="picture narrowed" { (Pair::of("week", |style| picture::week(&found, style)).markup()) }
                (room(&found))
                @if let Some(added_a) = added_a { (with_added(household, &found, added_a)) }
                details id="settles-why" {
                    summary { "Says who?" }
                    ul {
                        li { "Charge kept: " (words::percent(KEPT)) " and more; below that a lead battery sulphates (common practice)." }
                        li { "What a battery takes while driving falls towards full; giving and taking meet at one level. The band is 5 to 95 % over capacity, health, draw, self-discharge and acceptance." }
                        li { "Panel: one hour of full sun a day, flat, in a northern winter, six tenths of its rated power (from memory)." }
                        li { "Battery: " (words::percent(household.health.value)) " of its rating, give or take " (words::percent(household.health.u)) "." }
                    }
                }
            }
        },
    }
}

fn verdict(found: &Balance) -> String {
    let level = words::percent(found.settles_at.p50);
    if found.settles_at.p50 >= KEPT {
        format!("It holds its charge and settles at about {level}.")
    } else if found.settles_at.p50 >= 0.5 {
        format!("It settles low, at about {level}.")
    } else {
        let weeks = found.weeks_to_half.map_or(String::new(), |weeks| {
            format!(" From full to half it takes about {}.", words::weeks(weeks))
        });
        format!("It does not hold its charge.{weeks}")
    }
}

/// What may be added, or what would hold it.
fn room(found: &Balance) -> Markup {
    html! {
        dl class="stand" {
            @if found.room_a > 0.0 {
                div { dt { "Room for a camera or tracker" } dd class="big" { (rough::<Ampere>(found.room_a)) } }
            } @else {
                div { dt { "Room for a camera or tracker" } dd class="big" { "none" } }
                div { dt { "A maintainer that would hold it" } dd class="big" { (rough::<Ampere>(found.maintainer_a)) } }
                div { dt { "A solar panel that would hold it in winter" } dd class="big" { (words::watts(found.panel_w)) } }
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
                    strong { (Ampere(added_a).to_string()) " more " (if fits { "fits" } else { "does not fit" }) ": " }
                    @if after.settles_at.p50 > 0.0 { "the battery then settles at about " (words::percent(after.settles_at.p50)) "." }
                    @else { "the battery then runs empty in time." }
                    @if !fits && after.maintainer_a > 0.0 { " A maintainer of " (rough::<Ampere>(after.maintainer_a)) ", or a panel of " (words::watts(after.panel_w)) ", would carry it." }
                }
            }
        }
    }
}

fn question(here: &str, filling: Filling<'_>) -> Markup {
    let field = |name, label, hint, units| Field {
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
            h2 { "What if" }
            div class="two" {
                (field("draw", "Draw while parked", "Over days, wake-ups included.", &["A", "mA"]).markup(filling))
                (field("trips", "Trips in a usual week", "", &["trips"]).markup(filling))
                (field("trip", "Minutes of a usual trip", "", &["minutes"]).markup(filling))
                (field("add", "To be added: camera, tracker", "Its draw while parked; empty for none.", &["mA", "A"]).markup(filling))
                (field("loads", "Used with the engine off, a week", "Lamps, radio, heater.", &["Ah"]).markup(filling))
                (field("spare", "Left over for the battery while driving", "Usually 15 to 40 A.", &["A"]).markup(filling))
                (Field { name: "temperature", label: "Usual temperature", hint: "", input: Input::Amount { units: &["C", "F"], signed: true } }.markup(filling))
            }
            button type="submit" class="main-press" { "Work it out" }
        }
    }
}
