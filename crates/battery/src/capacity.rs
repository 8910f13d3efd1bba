//! Capacity: from what is known of the battery, at a rate, at a temperature.

use measure::Uncertain;

use crate::{Chemistry, Label, tables as t};

/// 20-hour capacity in ampere-hours with the width its source deserves: label
/// 5 %, reserve minutes 10 %, cranking current (worst) 25 % and more; `None`
/// when the label says none of them.
pub fn rated_ah(label: &Label) -> Option<Uncertain> {
    let positive = |value: Option<f64>| value.filter(|v| v.is_finite() && *v > 0.0);
    if let Some(ah) = positive(label.capacity_ah) {
        return Some(Uncertain::new(ah, t::LABEL_CAPACITY_SPREAD * ah));
    }
    if let Some(minutes) = positive(label.reserve_min) {
        return Some(from_reserve(minutes));
    }
    let cranking = label
        .cranking
        .filter(|c| c.current_a.is_finite() && c.current_a > 0.0)?;
    let (per_ah, spread) = t::CRANKING_PER_AH;
    let sae = cranking.in_standard(crate::CrankingStandard::Sae);
    Some(sae.quotient(Uncertain::new(per_ah, spread * per_ah)))
}

/// Charge delivered in the reserve test, ampere-hours: minutes × 25 A / 60.
/// It is *not* the 20-hour capacity.
///
/// Three independent conversion notes for reserve capacity.
pub fn reserve_delivered_ah(minutes: f64) -> f64 {
    minutes * t::RESERVE_A / 60.0
}

/// The two published rules from reserve minutes to 20-hour capacity, ampere-hours:
/// minutes/2 + 15.5 (battery-charger owner's manuals) and minutes × 0.6 (dealer
/// information "Battery parasitic drain").
pub fn reserve_rules_ah(minutes: f64) -> [f64; 2] {
    [minutes / 2.0 + 15.5, minutes * 0.6]
}

/// 20-hour capacity from reserve minutes: the mean of the two rules ± 10 %,
/// more where they differ by more.
pub fn from_reserve(minutes: f64) -> Uncertain {
    let [a, b] = reserve_rules_ah(minutes);
    let mean = (a + b) / 2.0;
    Uncertain::new(mean, (t::RESERVE_SPREAD * mean).max((a - b).abs() / 2.0))
}

/// Peukert exponent by chemistry: flooded 1.25 (printed table of a DC-system
/// instrument manual), AGM 1.05 to 1.15, others from memory.
pub fn peukert_exponent(chemistry: Chemistry) -> f64 {
    match chemistry {
        Chemistry::Flooded => 1.25,
        Chemistry::Efb => 1.20,
        Chemistry::Agm => 1.10,
        Chemistry::Gel => 1.12,
        Chemistry::Lifepo4 => 1.03,
    }
}

/// Share of the rated capacity that a current delivers: (I_H / I)^(n-1) with
/// I_H = capacity / rate hours, and exactly 1 at and below I_H: slow currents
/// get what is rated, not more.
pub fn peukert_share(capacity_ah: f64, rate_h: f64, current_a: f64, exponent: f64) -> f64 {
    let rated_a = capacity_ah / rate_h;
    if current_a <= rated_a {
        1.0
    } else {
        (rated_a / current_a).powf(exponent - 1.0)
    }
}

/// Hours until the rated capacity is used at a current, rate effect included.
pub fn peukert_hours(capacity_ah: f64, rate_h: f64, current_a: f64, exponent: f64) -> f64 {
    capacity_ah * peukert_share(capacity_ah, rate_h, current_a, exponent) / current_a
}

/// Peukert exponent from two discharges of one battery: ln(t2/t1) / ln(I1/I2).
pub fn peukert_exponent_from(i1_a: f64, t1_h: f64, i2_a: f64, t2_h: f64) -> f64 {
    (t2_h / t1_h).ln() / (i1_a / i2_a).ln()
}

/// Percent of rated capacity from a test discharge at the rated current that
/// lasted `hours` of `rate_h`. US Navy Electronics Technician training text 14344.
pub fn tested_percent(hours: f64, rate_h: f64) -> f64 {
    100.0 * hours / rate_h
}

/// Share of the 25 °C capacity that can be drawn at `temperature_c` and at
/// `current_a`, for a battery of `capacity_ah`.
///
/// At the 20-hour rate and faster the full loss of the table (IEEE Std 485, from
/// memory); towards a hundred times slower a quarter of it, by the logarithm of
/// the current. The rest comes back when the battery warms: coulombs that were
/// not drawn are not lost, so the forecast counts them.
pub fn temperature_share(temperature_c: f64, capacity_ah: f64, current_a: f64) -> f64 {
    // Two standard deviations beyond the coldest entry the line would cross zero.
    let full_loss = t::CAPACITY_TEMPERATURE
        .extended(temperature_c)
        .clamp(0.2, 1.15);
    let slower = (capacity_ah / 20.0 / current_a.max(1e-9))
        .log10()
        .clamp(0.0, 2.0)
        / 2.0;
    full_loss.powf(1.0 - slower * (1.0 - t::SLOW_LOSS_SHARE))
}

/// Share of rated capacity and cranking current to expect of a battery nobody
/// has tested, from its age in years. From memory: about 4 % lost per year,
/// replacement usual from five to eight years.
pub fn expected_health(age_years: Option<f64>) -> Uncertain {
    match age_years.filter(|a| a.is_finite()) {
        Some(age) => {
            let age = age.clamp(0.0, 15.0);
            Uncertain::new((1.0 - 0.04 * age).max(0.45), 0.04 + 0.02 * age.min(6.0))
        }
        None => Uncertain::new(0.85, 0.12),
    }
}
