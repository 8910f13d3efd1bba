//! What a battery loses by itself.

use measure::Uncertain;

use crate::{Chemistry, tables as t};

/// Share of the rated capacity lost per month (730.5 h), linear, at a
/// temperature and age. The tables reach from -10 to 40 °C; beyond, the end's
/// value. Uncertainty is that of a logarithm, given here to first order.
pub fn per_month(chemistry: Chemistry, temperature_c: f64, age_years: Option<f64>) -> Uncertain {
    let (at_20, per_10) = match chemistry {
        Chemistry::Flooded => t::SELF_FLOODED,
        Chemistry::Efb => t::SELF_EFB,
        Chemistry::Agm => t::SELF_AGM,
        Chemistry::Gel => t::SELF_GEL,
        Chemistry::Lifepo4 => t::SELF_LIFEPO4,
    };
    let warmer = (temperature_c.clamp(-10.0, 40.0) - 20.0) / 10.0;
    let (age, spread) = match age_years.filter(|a| a.is_finite()) {
        Some(age) => (
            1.0 + t::SELF_PER_YEAR * age.clamp(0.0, 15.0),
            t::SELF_SPREAD_AGE_KNOWN,
        ),
        None => (1.0, t::SELF_SPREAD_AGE_UNKNOWN),
    };
    let rate = at_20 * per_10.powf(warmer) * age;
    Uncertain::new(rate, rate * spread)
}

/// The same as a current, ampere, for a battery of `capacity_ah`.
pub fn current_a(
    chemistry: Chemistry,
    capacity_ah: f64,
    temperature_c: f64,
    age_years: Option<f64>,
) -> Uncertain {
    per_month(chemistry, temperature_c, age_years).times(capacity_ah / t::MONTH_H)
}

/// Ampere-hours lost in `hours` at a share of rated capacity per `per_h` hours:
/// linear in the rated capacity, not compounding (battery-maker FAQ), never
/// more than all of it.
pub fn lost_ah(capacity_ah: f64, share: f64, per_h: f64, hours: f64) -> f64 {
    (capacity_ah * share * hours / per_h).clamp(0.0, capacity_ah)
}
