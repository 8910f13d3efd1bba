//! State of charge from a rested voltage.

use measure::Uncertain;

use crate::{Chemistry, tables as t};

/// State of charge, a fraction of 0 to 1, from the open-circuit voltage of a
/// 12 V battery (V, with the meter's uncertainty), hours of rest and electrolyte
/// temperature, either of which may be unknown.
///
/// In its uncertainty: the meter, what tables of one chemistry differ by, and
/// surface charge that has not decayed yet. Surface charge only ever adds
/// voltage, so half of the largest amount is subtracted and the rest is a
/// rectangular half width. 10 % of charge is about 80 mV for lead-acid, so a
/// 1 % voltmeter leaves ±15 %; a lithium iron phosphate battery is so flat that
/// its voltage tells almost nothing between 20 and 95 %, and `u` says so.
pub fn from_rested_voltage(
    chemistry: Chemistry,
    voltage: Uncertain,
    rested_h: Option<f64>,
    temperature_c: Option<f64>,
) -> Uncertain {
    let surface = surface_charge_v(rested_h);
    let at_25 = voltage.value
        - temperature_c.map_or(0.0, |c| t::OCV_PER_C * (c - t::OCV_REFERENCE_C))
        - surface / 2.0;
    // Unknown temperature: somewhere within ±20 °C of the table's.
    let u_temperature = if temperature_c.is_none() {
        20.0 * t::OCV_PER_C / SQRT_3
    } else {
        0.0
    };
    let curve = chemistry.ocv();
    let spread = spread_v(chemistry, curve.inverse(at_25));
    let u_v = [
        voltage.u,
        u_temperature,
        surface / 2.0 / SQRT_3,
        spread / SQRT_3,
    ]
    .iter()
    .fold(0.0_f64, |sum, u| sum.hypot(*u));
    // A secant over ±u rather than the slope at the point: tables have corners.
    let u = (curve.inverse(at_25 + u_v) - curve.inverse(at_25 - u_v)) / 2.0;
    // No knowledge at all is a fraction spread evenly over 0 to 1: u = 1/√12.
    Uncertain::new(
        curve.inverse(at_25).clamp(0.0, 1.0),
        u.min(1.0 / 12.0_f64.sqrt()),
    )
}

/// Rested voltage of a healthy battery at a charge and temperature, volt.
pub fn rested_voltage(chemistry: Chemistry, charge: f64, temperature_c: f64) -> f64 {
    chemistry.ocv().clamped(charge) + t::OCV_PER_C * (temperature_c - t::OCV_REFERENCE_C)
}

/// Most that surface charge can still add after a rest, volt.
pub fn surface_charge_v(rested_h: Option<f64>) -> f64 {
    let rested = rested_h
        .filter(|h| h.is_finite())
        .unwrap_or(t::REST_UNKNOWN_H)
        .max(0.0);
    t::SURFACE_CHARGE_V * (-rested / t::SURFACE_DECAY_H).exp()
}

const SQRT_3: f64 = 1.732_050_807_568_877_2;

fn spread_v(chemistry: Chemistry, charge: f64) -> f64 {
    match chemistry {
        Chemistry::Flooded => t::OCV_SPREAD_FLOODED.clamped(charge),
        Chemistry::Efb => t::OCV_SPREAD_EFB_V,
        Chemistry::Agm => t::OCV_SPREAD_AGM_V,
        Chemistry::Gel => t::OCV_SPREAD_GEL_V,
        Chemistry::Lifepo4 => t::OCV_SPREAD_LIFEPO4_V,
    }
}
