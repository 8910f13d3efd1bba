//! What `nightdraw park` and `nightdraw hookup` compute, parsing and printing
//! of JSON included, beside a peer in the same run: one forecast of another
//! 1024 points' worth of sampling (`explain_parking`).

use battery::{Label, NIGHTS, Parking, forecast_over, usual_nights};
use job::{HookUpQuestion, contract};
use measure::{How, Uncertain};

fn main() {
    divan::main();
}

fn parking() -> Parking {
    Parking {
        label: Label {
            capacity_ah: Some(60.0),
            ..Label::default()
        },
        health: Uncertain::new(0.85, 0.1),
        charge: Uncertain::exact(0.85),
        draw: Uncertain::exact(0.42),
        temperature_c: 5.0,
        engine_needs_a: None,
    }
}

#[divan::bench]
fn park() -> String {
    let parking = divan::black_box(parking());
    let nights = usual_nights(&[parking.temperature_c; NIGHTS]);
    forecast_over(&parking, &nights)
        .map(|forecast| contract::park(&forecast).to_string())
        .unwrap_or_default()
}

#[divan::bench]
fn hookup() -> String {
    HookUpQuestion::ordinary(divan::black_box(How::InLine))
        .answer()
        .map(|answer| contract::hook_up(&answer).to_string())
        .unwrap_or_default()
}

#[divan::bench]
fn peer_reverse_question() -> Option<f64> {
    battery::explain_parking(divan::black_box(&parking()), 14.0)
        .ok()
        .map(|draw| draw.p50)
}
