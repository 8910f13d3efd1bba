//! The coming nights as a table, frost and half charge in words.

use battery::Forecast;
use maud::{Markup, html};
use measure::quantity::Celsius;

use crate::words;

/// The chance of no start after each night.
pub(crate) fn nights(forecast: &Forecast) -> Markup {
    html! {
        div class="wide" tabindex="0" role="region" aria-label="No start after each night" { table {
            caption { "Parked this evening, started in the morning" }
            thead { tr { th scope="col" { "After" } th scope="col" class="num" { "Cold" } th scope="col" class="num" { "Charge" } th scope="col" class="num" { "Will not start" } } }
            tbody { @for (at, coming) in forecast.nights.iter().enumerate() { tr {
                th scope="row" { "night " (at + 1) }
                td class="num" { (Celsius(coming.night.temperature_c).to_string()) }
                td class="num" { (words::percent(coming.charge.p50)) }
                td class="num" { strong { (words::percent(coming.p_no_start)) } }
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
                @if let Some(hours) = &forecast.hours_to_freezing { p { "Hours to frost, nine times in ten: " strong { (words::stands(hours)) } "." } }
            }
        }
    }
}

/// When half the charge is gone.
pub(crate) fn half(forecast: &Forecast) -> Markup {
    html! {
        @if let Some(hours) = &forecast.hours_to_half { p { "Half charge after " strong { (words::stands(hours)) } " (nine times in ten)." } }
    }
}
