//! The nights ahead with the weather of each.

use axum::{extract::State, http::HeaderMap};
use battery::Forecast;
use maud::{Markup, html};
use measure::{
    quantity::{Celsius, Quantity},
    range,
};
use picture::NightsOptions;
use tongue::say;

use super::Id;
use crate::{
    figures::Pair,
    form::{Typed, Wrong},
    parts::{
        ahead,
        field::{Field, Filling, Input},
        layout::{Page, page, wrong_summary},
    },
    problem::Problem,
    state::{AppState, Known},
    theme::Look,
};

/// Nights that may be named.
const MOST: usize = 14;

/// The forecast over the nights whose lows are typed, or the job's own.
pub(crate) async fn show(
    State(state): State<AppState>,
    Id(id): Id,
    headers: HeaderMap,
    typed: Typed,
) -> Result<Markup, Problem> {
    let look = Look::from_headers(&headers);
    state
        .run(move |state| Ok(whole(state.known(id)?.as_ref(), &typed, look)))
        .await
}

fn whole(known: &Known, typed: &Typed, look: Look) -> Markup {
    let mut wrong = Wrong::default();
    let lows = lows(typed.get("lows"), &mut wrong);
    let forecast = job::advice::forecast_for(&known.job, &known.assessment, &lows);
    let here = format!("/jobs/{}/nights", known.id);
    let filling = Filling {
        prefix: "",
        typed,
        wrong: &wrong,
    };
    let body = html! {
        h1 { (say::advice::nights()) }
        p { a class="press" href=(format!("/jobs/{}", known.id)) { (say::web::back_to(known.name())) } }
        (wrong_summary(&wrong, ""))
        @match &forecast {
            Ok(forecast) => {
                (drawn(known, forecast))
                section class="block" aria-labelledby="each" {
                    h2 id="each" { (say::advice::night_by_night()) }
                    (ahead::nights(forecast))
                    (ahead::frost(forecast))
                    (ahead::half(forecast))
                }
            }
            Err(why) => div class="told care" { p { (why) } },
        }
        form class="modest block" method="get" action=(here) {
            (Field { name: "lows", label: say::advice::lows, hint: Some(say::advice::lows_hint), input: Input::Text }.markup(filling))
            button type="submit" class="main-press" { (say::advice::work_out()) }
        }
    };
    page(
        &Page {
            title: &say::advice::nights_of(known.name()).to_string(),
            look,
            here: &here,
            follow: None,
        },
        &body,
    )
}

fn drawn(known: &Known, forecast: &Forecast) -> Markup {
    let options = NightsOptions {
        start_hour: None,
        complaint_h: known.job.complaint.no_start_after_h,
    };
    let assessment = job::Assessment {
        forecast: Some(forecast.clone()),
        ..known.assessment.clone()
    };
    let pair = Pair::of("ahead", |style| {
        picture::nights(&assessment, &options, style)
    });
    html! { div class="picture narrowed" { (pair.markup()) } }
}

/// Temperatures with or without unit: `2 -5 1`, `2C; -5C`, `28F`.
fn lows(text: &str, wrong: &mut Wrong) -> Vec<f64> {
    let mut lows = Vec::new();
    let words = text
        .split(|c: char| c.is_whitespace() || c == ';')
        .filter(|word| !word.is_empty() && !word.eq_ignore_ascii_case("°c"));
    for word in words {
        let with_unit = if word.ends_with(|c: char| c.is_ascii_digit()) {
            format!("{word} C")
        } else {
            word.to_owned()
        };
        let celsius = wrong
            .take("lows", Celsius::parse(&with_unit))
            .and_then(|low| wrong.take("lows", range::TEMPERATURE.check(low.base())));
        lows.extend(celsius);
    }
    if lows.len() > MOST {
        wrong.add("lows", say::advice::two_weeks());
        lows.truncate(MOST);
    }
    lows
}
