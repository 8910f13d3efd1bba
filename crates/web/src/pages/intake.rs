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

use super::Id;
use crate::{
    form::{Typed, Wrong, fresh_key},
    intake::{self, KINDS, Tool},
    parts::{
        field::{Field, Filling, Input},
        layout::{Page, page, wrong_summary},
    },
    problem::Problem,
    reading::{STANDARDS, standard_word},
    state::AppState,
    theme::Look,
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
    typed.set(&kind.field("accuracy"), class.accuracy_percent.to_string());
    typed.set(&kind.field("digits"), class.digits.to_string());
    typed.set(&kind.field("resolution"), significant(kind.usual_step(), 3));
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
        typed.set(&kind.field("accuracy"), own.accuracy_percent.to_string());
        typed.set(&kind.field("digits"), own.digits.to_string());
        if let Some(step) = own.resolution {
            let text = if kind.in_volts() {
                Volt(step).to_string()
            } else {
                Ampere(step).to_string()
            };
            typed.set(&kind.field("resolution"), text);
        }
    }
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
pub(crate) fn chemistry_words(chemistry: Chemistry) -> &'static str {
    let word = intake::chemistry_word(chemistry);
    intake::chemistries()
        .into_iter()
        .find(|choice| choice.0 == word)
        .map_or(word, |choice| choice.1)
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
        label.capacity_ah.map(|value| AmpereHour(value).to_string()),
    );
    set(
        "cranking",
        label
            .cranking
            .map(|cranking| Ampere(cranking.current_a).to_string()),
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
    set("age", job.battery.age_years.map(|years| years.to_string()));
    set(
        "engine_needs",
        job.battery
            .engine_needs_a
            .map(|value| Ampere(value).to_string()),
    );
    let usage = job.usage;
    set("trips", usage.map(|usage| usage.trips_per_week.to_string()));
    set(
        "trip",
        usage.map(|usage| usage.minutes_per_trip.to_string()),
    );
    set("text", job.complaint.text.clone());
    set(
        "no_start_after",
        job.complaint
            .no_start_after_h
            .map(|hours| format!("{} h", significant(hours, 4))),
    );
    set(
        "temperature",
        job.complaint
            .temperature_c
            .map(|value| Celsius(value).to_string()),
    );
    set("limit", job.limit_a.map(|value| Ampere(value).to_string()));
    set(
        "settings_may_be_lost",
        job.settings_may_be_lost.then(|| "true".into()),
    );
    own_figures(job, &mut typed);
    typed
}

fn form(wanted: &Wanted, typed: &Typed, wrong: &Wrong, look: Look) -> Markup {
    let (title, action, done) = match wanted {
        Wanted::New => ("Start a job", "/jobs".to_owned(), "Start this job"),
        Wanted::Change(id) => (
            "Change the job",
            format!("/jobs/{id}/edit"),
            "Keep these changes",
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
        title.to_owned()
    } else {
        format!("Please look again: {title}")
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
            legend { "Vehicle" }
            (text("name", "What to call it", "Such as: grey estate, 2016. The only thing that must be filled in.").markup(filling))
            (text("notes", "Use and parking", "How it is driven and parked; what was fitted lately: camera, tracker, alarm, tow socket.").markup(filling))
            div class="two" {
                (amount("trips", "Trips in a usual week", "Empty if not known.", &["trips"]).markup(filling))
                (amount("trip", "Minutes of a usual trip", "Empty if not known.", &["minutes"]).markup(filling))
            }
            details id="private" {
                summary { "Owner and plate" }
                div class="two" {
                    (text("owner", "Owner", "Stays out of reports unless asked for.").markup(filling))
                    (text("plate", "Number plate", "Stays out of reports unless asked for.").markup(filling))
                }
            }
        }
    }
}

fn battery_fields(filling: Filling<'_>) -> Markup {
    html! {
        fieldset class="grouped" {
            legend { "Battery label" }
            div class="two" {
                (amount("capacity", "Capacity (20-hour)", "", &["Ah"]).markup(filling))
                (one_of("chemistry", "Kind", &intake::chemistries()).markup(filling))
                (amount("cranking", "Cranking current", "", &["A"]).markup(filling))
                (one_of("standard", "By which standard", STANDARDS).markup(filling))
                (amount("age", "Age", "Years; empty if not known.", &["years"]).markup(filling))
                (amount("engine_needs", "This engine needs to crank", "Only if known; else a usual share of the label is taken.", &["A"]).markup(filling))
            }
        }
    }
}

fn complaint(filling: Filling<'_>) -> Markup {
    let temperature = Field {
        name: "temperature",
        label: "Temperature while parked",
        hint: "",
        input: Input::Amount {
            units: &["C", "F"],
            signed: true,
        },
    };
    html! {
        fieldset class="grouped" {
            legend { "Complaint" }
            (text("text", "What the owner says", "In their words: dead after two nights.").markup(filling))
            div class="two" {
                (amount("no_start_after", "Parked until it would not start", "", &["h", "d"]).markup(filling))
                (temperature.markup(filling))
                (amount("limit", "Limit for the draw asleep", "50 mA is the common rule; the maker's figure beats it.", &["mA", "A"]).markup(filling))
            }
            (Field { name: "settings_may_be_lost", label: "The owner agrees that stored settings may be lost", hint: "Radio code, clock, window and seat positions. Without this, circuits that keep settings are left connected.", input: Input::Tick }.markup(filling))
        }
    }
}

fn circuits(filling: Filling<'_>, new: bool) -> Markup {
    let choices: Vec<(&str, &str)> = std::iter::once(("", "none, only what is typed below"))
        .chain(
            harness::template::ALL
                .iter()
                .map(|layout| (layout.id, layout.name)),
        )
        .collect();
    let (label, hint) = if new {
        (
            "Fuse list",
            "One fuse per line, as from the handbook or the lid: F12 15A radio. Or a table whose first line says name, rating, circuit, keeps-settings, location, reachable.",
        )
    } else {
        (
            "Fuses to add, or to say more of",
            "One per line: F12 15A radio. A fuse that is there gets what was missing; a heading such as Cabin box: hangs what follows on that box. Readings stay where they were taken.",
        )
    };
    let list = Field {
        name: "fuses",
        label,
        hint,
        input: Input::Lines,
    };
    html! {
        fieldset class="grouped" {
            legend { "Circuits" }
            @if new { (one_of("layout", "Start from a ready-made layout", &choices).markup(filling)) }
            (list.markup(filling))
            @if filling.wrong.0.iter().filter(|(field, _)| field == "fuses").count() > 1 {
                ul { @for (_, message) in filling.wrong.0.iter().filter(|(field, _)| field == "fuses").skip(1) { li { (message) } } }
            }
            @if filling.wrong.at("fuses").is_some() || filling.typed.ticked("fuses_anyway") {
                (Field { name: "fuses_anyway", label: "Go on with the lines that could be read", hint: "", input: Input::Tick }.markup(filling))
            }
        }
    }
}

fn instruments(filling: Filling<'_>) -> Markup {
    html! {
        fieldset class="grouped" {
            legend { "Instruments at hand" }
            input type="hidden" name=(intake::TOOLS_SHOWN) value="true";
            p class="hint" { "The usual figures of each kind are filled in (from memory); the meter's own handbook beats them." }
            @for kind in KINDS {
                div class="tool" {
                    (Field { name: kind.word(), label: kind.label, hint: "", input: Input::Tick }.markup(filling))
                    details id=(format!("{}-figures", kind.word())) open[kind.has_problem(filling.wrong)] {
                        summary { "Its figures" span class="hidden" { ": " (kind.label) } }
                        div class="two" {
                            (text(&kind.field("name"), "Your name for it", "").markup(filling))
                            (amount(&kind.field("accuracy"), "Accuracy", "Share of the reading", &["%"]).markup(filling))
                            (amount(&kind.field("digits"), "and last digits", "", &["digits"]).markup(filling))
                            (amount(&kind.field("resolution"), "Smallest step shown", "", kind.units).markup(filling))
                        }
                    }
                }
            }
        }
    }
}

fn text<'a>(name: &'a str, label: &'a str, hint: &'a str) -> Field<'a> {
    Field {
        name,
        label,
        hint,
        input: Input::Text,
    }
}

fn amount<'a>(name: &'a str, label: &'a str, hint: &'a str, units: &'a [&'a str]) -> Field<'a> {
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

fn one_of<'a>(name: &'a str, label: &'a str, choices: &'a [(&'a str, &'a str)]) -> Field<'a> {
    Field {
        name,
        label,
        hint: "",
        input: Input::OneOf(choices),
    }
}
