//! How long a forecast takes: 5 ms is what the command line may use.

use battery::{Chemistry, Cranking, CrankingStandard, Label, Parking};
use measure::Uncertain;

fn main() {
    divan::main();
}

fn parking() -> Parking {
    Parking {
        label: Label {
            chemistry: Chemistry::Flooded,
            capacity_ah: Some(60.0),
            cranking: Some(Cranking {
                current_a: 540.0,
                standard: CrankingStandard::En,
            }),
            reserve_min: None,
        },
        health: Uncertain::new(0.8, 0.1),
        charge: Uncertain::new(0.85, 0.08),
        draw: Uncertain::new(0.42, 0.01),
        temperature_c: 5.0,
        engine_needs_a: None,
    }
}

#[divan::bench]
fn forecast() -> Result<battery::Forecast, battery::Unknown> {
    battery::forecast(divan::black_box(&parking()))
}

#[divan::bench]
fn p_no_start_within() -> Result<f64, battery::Unknown> {
    battery::p_no_start_within(divan::black_box(&parking()), 14.0)
}

#[divan::bench]
fn explain() -> Result<measure::Quantiles, battery::Unknown> {
    battery::explain_parking(divan::black_box(&parking()), 14.0)
}
