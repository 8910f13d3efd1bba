//! Taking a job in, and changing what was taken in.

use axum::{
    extract::State,
    http::{HeaderMap, StatusCode},
    response::{IntoResponse, Redirect, Response},
};
use battery::Chemistry;
use job::Job;
use maud::{Markup, html};
use measure::quantity::{Ampere, AmpereHour, Celsius, Volt, significant};
use tongue::{Message, say};

use super::Id;
use crate::{
    form::{Typed, Wrong, fresh_key},
    intake::{self, KINDS, Tool},
    parts::{
        field::{
            Choice, Field, Filling, Input,
            Named::{Plain, Said},
            Words,
        },
        layout::{Page, page, wrong_summary},
    },
    problem::Problem,
    reading::{STANDARDS, standard_word},
    state::AppState,
    theme::Look,
    words::filled_in,
};

/// The empty form.
pub(crate) async fn new(headers: HeaderMap) -> Markup {
    let mut typed = Typed::default();
    typed.set("limit", "50".into());
    typed.set("standard", "en".into());
    for kind in KINDS {
        usual_figures(kind, &mut typed);
    }
    typed.set("clamp", "true".into());
    typed.set("voltmeter", "true".into());
    typed.set("millivolt", "true".into());
    form(
        &Wanted::New,
        &typed,
        &Wrong::default(),
        Look::from_headers(&headers),
    )
}

fn usual_figures(kind: &Tool, typed: &mut Typed) {
    let class = measure::Instrument::generic(kind.kind);
    typed.set(&kind.field("accuracy"), written(class.accuracy_percent));
    typed.set(&kind.field("digits"), written(class.digits));
    typed.set(
        &kind.field("resolution"),
        written(significant(kind.usual_step(), 3)),
    );
}

/// The instruments of a job, the usual figures for kinds that it has not.
fn own_figures(job: &Job, typed: &mut Typed) {
    for kind in KINDS {
        usual_figures(kind, typed);
        let Some(own) = job.instruments.iter().find(|own| own.kind == kind.kind) else {
            continue;
        };
        typed.set(kind.word(), "true".into());
        typed.set(&kind.field("name"), own.id.clone());
        typed.set(&kind.field("accuracy"), written(own.accuracy_percent));
        typed.set(&kind.field("digits"), written(own.digits));
        if own.zero_set {
            typed.set(&kind.field("zero_set"), "true".into());
        }
        if let Some(step) = own.resolution {
            let text = if kind.in_volts() {
                written(Volt(step))
            } else {
                written(Ampere(step))
            };
            typed.set(&kind.field("resolution"), text);
        }
    }
}

/// A figure for a field, with the decimal sign of the language spoken.
fn written(figure: impl std::fmt::Display) -> String {
    filled_in(&figure.to_string())
}

/// Creates the job, or shows what is wrong.
pub(crate) async fn create(
    State(state): State<AppState>,
    headers: HeaderMap,
    typed: Typed,
) -> Result<Response, Problem> {
    match intake::job(&typed, None) {
        Ok(job) => {
            let id = state
                .run(move |state| state.create(&job, &typed.key()))
                .await?;
            Ok(Redirect::to(&format!("/jobs/{id}")).into_response())
        }
        Err(wrong) => Ok(again(&Wanted::New, &typed, &wrong, &headers)),
    }
}

/// A new job on the same vehicle, opened for its complaint.
pub(crate) async fn copy(
    State(state): State<AppState>,
    Id(id): Id,
    typed: Typed,
) -> Result<Redirect, Problem> {
    let new = state
        .run(move |state| {
            let known = state.known(id)?;
            state.create(&known.job.another(), &typed.key())
        })
        .await?;
    Ok(Redirect::to(&format!("/jobs/{new}/edit")))
}

/// The form filled with what was taken in.
pub(crate) async fn edit(
    State(state): State<AppState>,
    Id(id): Id,
    headers: HeaderMap,
) -> Result<Markup, Problem> {
    let known = state.run(move |state| state.known(id)).await?;
    Ok(form(
        &Wanted::Change(id),
        &filled(&known.job),
        &Wrong::default(),
        Look::from_headers(&headers),
    ))
}

/// Changes the job, or shows what is wrong.
pub(crate) async fn change(
    State(state): State<AppState>,
    Id(id): Id,
    headers: HeaderMap,
    typed: Typed,
) -> Result<Response, Problem> {
    state
        .run(move |state| {
            let known = state.known(id)?;
            match intake::job(&typed, Some(&known.job)) {
                Ok(job) => {
                    state.update_header(id, &job)?;
                    Ok(Redirect::to(&format!("/jobs/{id}")).into_response())
                }
                Err(wrong) => Ok(again(&Wanted::Change(id), &typed, &wrong, &headers)),
            }
        })
        .await
}

/// Words for a chemistry.
pub(crate) fn chemistry_words(chemistry: Chemistry) -> Message {
    let word = intake::chemistry_word(chemistry);
    intake::chemistries()
        .into_iter()
        .find(|choice| choice.0 == word)
        .map_or(word.into(), |choice| choice.1.to_string().into())
}

enum Wanted {
    New,
    Change(i64),
}

fn again(wanted: &Wanted, typed: &Typed, wrong: &Wrong, headers: &HeaderMap) -> Response {
    (
        StatusCode::UNPROCESSABLE_ENTITY,
        form(wanted, typed, wrong, Look::from_headers(headers)),
    )
        .into_response()
}

/// What the form shows for a job that exists.
fn filled(job: &Job) -> Typed {
    let mut typed = Typed::default();
    let mut set = |name: &str, value: Option<String>| typed.set(name, value.unwrap_or_default());
    set("name", Some(job.vehicle.name.clone()));
    set("notes", job.vehicle.notes.clone());
    set("plate", job.vehicle.plate.clone());
    set("owner", job.vehicle.owner.clone());
    let label = &job.battery.label;
    set(
        "chemistry",
        Some(intake::chemistry_word(label.chemistry).into()),
    );
    set(
        "capacity",
        label.capacity_ah.map(|value| written(AmpereHour(value))),
    );
    set(
        "cranking",
        label
            .cranking
            .map(|cranking| written(Ampere(cranking.current_a))),
    );
    set(
        "standard",
        Some(
            label
                .cranking
                .map_or("en", |cranking| standard_word(cranking.standard))
                .into(),
        ),
    );
    set("age", job.battery.age_years.map(written));
    set(
        "engine_needs",
        job.battery
            .engine_needs_a
            .map(|value| written(Ampere(value))),
    );
    let usage = job.usage;
    set("trips", usage.map(|usage| written(usage.trips_per_week)));
    set("trip", usage.map(|usage| written(usage.minutes_per_trip)));
    set("text", job.complaint.text.clone());
    set(
        "no_start_after",
        job.complaint
            .no_start_after_h
            .map(|hours| written(format!("{} h", significant(hours, 4)))),
    );
    set(
        "temperature",
        job.complaint
            .temperature_c
            .map(|value| written(Celsius(value))),
    );
    set("limit", job.limit_a.map(|value| written(Ampere(value))));
    set(
        "settings_may_be_lost",
        job.settings_may_be_lost.then(|| "true".into()),
    );
    set(
        "pulled_stay_out",
        job.pulled_stay_out.then(|| "true".into()),
    );
    own_figures(job, &mut typed);
    typed
}

fn form(wanted: &Wanted, typed: &Typed, wrong: &Wrong, look: Look) -> Markup {
    let (title, action, done) = match wanted {
        Wanted::New => (
            say::web::start(),
            "/jobs".to_owned(),
            say::intake::start_this(),
        ),
        Wanted::Change(id) => (
            say::intake::change(),
            format!("/jobs/{id}/edit"),
            say::intake::keep(),
        ),
    };
    let filling = Filling {
        prefix: "",
        typed,
        wrong,
    };
    let here = match wanted {
        Wanted::New => "/jobs/new".to_owned(),
        Wanted::Change(id) => format!("/jobs/{id}/edit"),
    };
    let heading = if wrong.is_empty() {
        title.to_string()
    } else {
        say::web::look_again_at(&title).to_string()
    };
    let body = html! {
        h1 { (title) }
        (wrong_summary(wrong, ""))
        form class="modest" method="post" action=(action) {
            input type="hidden" name="key" value=(fresh_key());
            (vehicle(filling))
            (battery_fields(filling))
            (complaint(filling))
            (circuits(filling, matches!(wanted, Wanted::New)))
            (instruments(filling))
            button type="submit" class="main-press" { (done) }
        }
    };
    page(
        &Page {
            title: &heading,
            look,
            here: &here,
            follow: None,
        },
        &body,
    )
}

fn vehicle(filling: Filling<'_>) -> Markup {
    html! {
        fieldset class="grouped" {
            legend { (say::intake::vehicle()) }
            (text("name", say::intake::name, Some(say::intake::name_hint)).markup(filling))
            (text("notes", say::intake::notes, Some(say::intake::notes_hint)).markup(filling))
            div class="two" {
                (amount("trips", say::intake::trips, Some(say::intake::empty_unknown), &["trips"]).markup(filling))
                (amount("trip", say::intake::trip, Some(say::intake::empty_unknown), &["minutes"]).markup(filling))
            }
            details id="private" {
                summary { (say::intake::private()) }
                div class="two" {
                    (text("owner", say::intake::owner, Some(say::intake::stays_out)).markup(filling))
                    (text("plate", say::intake::plate, Some(say::intake::stays_out)).markup(filling))
                }
            }
        }
    }
}

fn battery_fields(filling: Filling<'_>) -> Markup {
    html! {
        fieldset class="grouped" {
            legend { (say::intake::label()) }
            div class="two" {
                (amount("capacity", say::intake::capacity, None, &["Ah"]).markup(filling))
                (one_of("chemistry", say::intake::chemistry, &intake::chemistries()).markup(filling))
                (amount("cranking", say::intake::cranking, None, &["A"]).markup(filling))
                (one_of("standard", say::intake::standard, STANDARDS).markup(filling))
                (amount("age", say::intake::age, Some(say::intake::age_hint), &["years"]).markup(filling))
                (amount("engine_needs", say::intake::engine_needs, Some(say::intake::engine_needs_hint), &["A"]).markup(filling))
            }
        }
    }
}

fn complaint(filling: Filling<'_>) -> Markup {
    let temperature = Field {
        name: "temperature",
        label: say::intake::temperature,
        hint: None,
        input: Input::Amount {
            units: &["C", "F"],
            signed: true,
        },
    };
    html! {
        fieldset class="grouped" {
            legend { (say::intake::complaint()) }
            (text("text", say::intake::text, Some(say::intake::text_hint)).markup(filling))
            div class="two" {
                (amount("no_start_after", say::intake::no_start, None, &["h", "d"]).markup(filling))
                (temperature.markup(filling))
                (amount("limit", say::intake::limit, Some(say::intake::limit_hint), &["mA", "A"]).markup(filling))
            }
            (Field { name: "settings_may_be_lost", label: say::intake::settings, hint: Some(say::intake::settings_hint), input: Input::Tick }.markup(filling))
            (Field { name: "pulled_stay_out", label: say::intake::stay_out, hint: Some(say::intake::stay_out_hint), input: Input::Tick }.markup(filling))
        }
    }
}

fn circuits(filling: Filling<'_>, new: bool) -> Markup {
    let layouts: Vec<(&str, String)> = harness::template::ALL
        .iter()
        .map(|layout| (layout.id, layout.name.to_string()))
        .collect();
    let layouts = layouts.iter().map(|(id, name)| (*id, Plain(name)));
    let choices: Vec<Choice<'_>> = std::iter::once(("", Said(say::intake::layout_none)))
        .chain(layouts)
        .collect();
    let (label, hint): (Words, Words) = if new {
        (say::intake::list, say::intake::list_hint)
    } else {
        (say::intake::more, say::intake::more_hint)
    };
    let list = Field {
        name: "fuses",
        label,
        hint: Some(hint),
        input: Input::Lines,
    };
    html! {
        fieldset class="grouped" {
            legend { (say::intake::circuits()) }
            @if new { (one_of("layout", say::intake::layout, &choices).markup(filling)) }
            (list.markup(filling))
            @if filling.wrong.0.iter().filter(|(field, _)| field == "fuses").count() > 1 {
                ul { @for (_, message) in filling.wrong.0.iter().filter(|(field, _)| field == "fuses").skip(1) { li { (message) } } }
            }
            @if filling.wrong.at("fuses").is_some() || filling.typed.ticked("fuses_anyway") {
                (Field { name: "fuses_anyway", label: say::intake::anyway, hint: None, input: Input::Tick }.markup(filling))
            }
        }
    }
}

fn instruments(filling: Filling<'_>) -> Markup {
    html! {
        fieldset class="grouped" {
            legend { (say::intake::instruments()) }
            input type="hidden" name=(intake::TOOLS_SHOWN) value="true";
            p class="hint" { (say::intake::instruments_hint()) }
            @for kind in KINDS {
                div class="tool" {
                    (Field { name: kind.word(), label: kind.label, hint: None, input: Input::Tick }.markup(filling))
                    details id=(format!("{}-figures", kind.word())) open[kind.has_problem(filling.wrong)] {
                        summary { (say::intake::figures()) span class="hidden" { ": " ((kind.label)()) } }
                        div class="two" {
                            (text(&kind.field("name"), say::intake::own_name, None).markup(filling))
                            (amount(&kind.field("accuracy"), say::intake::accuracy, Some(say::intake::accuracy_hint), &["%"]).markup(filling))
                            (amount(&kind.field("digits"), say::intake::digits, None, &["digits"]).markup(filling))
                            (amount(&kind.field("resolution"), say::intake::step, None, kind.units).markup(filling))
                        }
                        @if kind.can_be_zeroed() {
                            (Field { name: &kind.field("zero_set"), label: say::intake::zero_set, hint: Some(say::intake::zero_set_hint), input: Input::Tick }.markup(filling))
                        }
                    }
                }
            }
        }
    }
}

fn text<'a>(name: &'a str, label: Words, hint: Option<Words>) -> Field<'a> {
    Field {
        name,
        label,
        hint,
        input: Input::Text,
    }
}

fn amount<'a>(name: &'a str, label: Words, hint: Option<Words>, units: &'a [&'a str]) -> Field<'a> {
    Field {
        name,
        label,
        hint,
        input: Input::Amount {
            units,
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
