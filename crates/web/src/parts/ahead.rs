//! The coming nights as a table, frost and half charge in words.

use battery::Forecast;
use maud::{Markup, html};
use measure::quantity::Celsius;
use tongue::say;

use crate::words;

/// The chance of no start after each night.
pub(crate) fn nights(forecast: &Forecast) -> Markup {
    html! {
        div class="wide" tabindex="0" role="region" aria-label=(say::bench::nights_region()) { table {
            caption { (say::bench::nights_caption()) }
            thead { tr { th scope="col" { (say::bench::after()) } th scope="col" class="num" { (say::bench::cold()) } th scope="col" class="num" { (say::bench::charge()) } th scope="col" class="num" { (say::bench::no_start()) } } }
            tbody { @for (at, coming) in forecast.nights.iter().enumerate() { tr {
                th scope="row" class="near" { (say::bench::night((at + 1).to_string())) }
                td class="num" { (words::written(Celsius(coming.night.temperature_c))) }
                td class="num" { (words::percent_short(coming.charge.p50)) }
                td class="num" { strong { (words::percent_short(coming.p_no_start)) } }
            } } }
        } }
    }
}

/// The way to frost, with its hours.
pub(crate) fn frost(forecast: &Forecast) -> Markup {
    html! {
        @if let Some(risk) = &forecast.freezing_risk {
            div class="told care" {
                p { (risk) }
                @if let Some(hours) = &forecast.hours_to_freezing { p { (words::within(|it| say::bench::frost_hours(it), &html! { strong { (words::stands(hours)) } })) } }
            }
        }
    }
}

/// When half the charge is gone.
pub(crate) fn half(forecast: &Forecast) -> Markup {
    html! {
        @if let Some(hours) = &forecast.hours_to_half { p { (words::within(|it| say::bench::half_charge(it), &html! { strong { (words::stands(hours)) } })) } }
    }
}
