//! Putting the charge back.

use crate::{Chemistry, tables as t};

/// Hours on a charger that delivers `charger_a` (ampere): ampere-hours missing
/// × factor / ampere. 0 when nothing is missing; `None` when the charger gives nothing.
///
/// The factor covers losses and the tapering current near full. Two
/// battery-charger owner's manuals: 1.25 for lead-acid.
pub fn charger_hours(
    chemistry: Chemistry,
    capacity_ah: f64,
    charge: f64,
    charger_a: f64,
) -> Option<f64> {
    let missing_ah = capacity_ah * (1.0 - charge.clamp(0.0, 1.0));
    (charger_a > 0.0).then(|| missing_ah * factor(chemistry) / charger_a)
}

/// Current of the charger taken when none is named: a tenth of the capacity.
/// Common practice.
pub fn usual_charger_a(capacity_ah: f64) -> f64 {
    capacity_ah * t::CHARGER_SHARE_PER_H
}

/// Ampere-hours to return for each one taken.
pub fn factor(chemistry: Chemistry) -> f64 {
    if chemistry.is_lead_acid() {
        t::RECHARGE_FACTOR
    } else {
        t::RECHARGE_FACTOR_LIFEPO4
    }
}

/// Most current a lead-acid battery takes at a charge, ampere.
///
/// From memory: about a quarter of the capacity up to 80 % charge, then falling
/// in a straight line to a hundredth at full; halved for every 15 °C below 25 °C.
pub fn accepted_a(chemistry: Chemistry, capacity_ah: f64, charge: f64, temperature_c: f64) -> f64 {
    let charge = charge.clamp(0.0, 1.0);
    let share = if !chemistry.is_lead_acid() {
        // No charging below freezing: the cells would plate lithium. From memory.
        if temperature_c < 0.0 { 0.0 } else { 0.5 }
    } else if charge <= 0.8 {
        0.25
    } else {
        0.25 + (0.01 - 0.25) * (charge - 0.8) / 0.2
    };
    let cold = if chemistry.is_lead_acid() {
        2.0_f64.powf((temperature_c.clamp(-30.0, 25.0) - 25.0) / 15.0)
    } else {
        1.0
    };
    capacity_ah * share * cold
}
