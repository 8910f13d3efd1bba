//! Tests of the battery's health, each by itself.

use measure::Uncertain;

use crate::{Chemistry, Cranking, Label, capacity, crank, tables as t};

/// One test of the battery.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum HealthTest {
    /// Open-circuit voltage after rest.
    RestVoltage {
        /// Volt, with the meter's uncertainty.
        voltage: Uncertain,
        /// Time of rest, hours; `None` if unknown.
        rested_h: Option<f64>,
        /// Electrolyte temperature; `None` if unknown.
        temperature_c: Option<f64>,
    },
    /// Analyser's cranking current.
    Analyser {
        /// What it showed.
        result: Cranking,
    },
    /// Voltage under load.
    LoadTest {
        /// Volt at the end of the load.
        voltage: Uncertain,
        /// Load in ampere; `None` if unknown.
        load_a: Option<f64>,
        /// Seconds under load; `None` if unknown.
        after_s: Option<f64>,
        /// Temperature; `None` if unknown.
        temperature_c: Option<f64>,
    },
    /// Disconnected battery standing alone between two rested voltages.
    StandAlone {
        /// Volt at the start.
        before: Uncertain,
        /// Volt at the end.
        after: Uncertain,
        /// Hours between them.
        hours: f64,
        /// Temperature; `None` if unknown.
        temperature_c: Option<f64>,
    },
    /// Internal resistance as an analyser shows it.
    Resistance {
        /// Ohm.
        ohm: Uncertain,
        /// Temperature; `None` if unknown.
        temperature_c: Option<f64>,
    },
    /// Hydrometer readings of the cells of a flooded battery.
    Gravity {
        /// Lowest cell, as read.
        lowest: f64,
        /// Highest cell, as read.
        highest: f64,
        /// Electrolyte temperature; `None` if unknown.
        temperature_c: Option<f64>,
    },
}

/// Relative standard uncertainty of what an internal resistance tells of the
/// strength: analysers measure it in ways of their own. From memory.
const RESISTANCE_SPREAD: f64 = 0.30;
/// Proper load over the load used, between which a load test is corrected:
/// loads from half to one and a half times the proper one. Common practice.
const LOAD_RATIO: std::ops::RangeInclusive<f64> = 0.67..=2.0;
/// Least and largest health that a load test is taken to tell. From memory.
const LOAD_HEALTH: (f64, f64) = (0.05, 1.1);
/// Relative standard uncertainty of the cranking model. From memory.
const MODEL_SPREAD: f64 = 0.25;
/// Analyser's repeatability as a share of its reading. Common practice.
const ANALYSER_SPREAD: f64 = 0.05;

/// Share of the label's cranking current that the analyser found, in any
/// standards; `None` when the label has no cranking current. The second value
/// says whether both are in the same standard: only then may it condemn.
pub fn analyser_share(label: &Label, result: Cranking) -> Option<(Uncertain, bool)> {
    let rated = label.cranking.filter(|c| c.current_a > 0.0)?;
    if !(result.current_a >= 0.0 && result.current_a.is_finite()) {
        return None;
    }
    let converted = rated.in_standard(result.standard);
    let found = Uncertain::new(result.current_a, ANALYSER_SPREAD * result.current_a);
    Some((found.quotient(converted), rated.standard == result.standard))
}

/// Share of the new battery's strength that fits an internal resistance: that of
/// the label's cranking current, at this temperature and charge, over the one
/// read. Analysers measure it in ways of their own, so it
/// never condemns. `None` when the label tells no strength.
pub fn resistance_share(
    label: &Label,
    ohm: Uncertain,
    temperature_c: Option<f64>,
    charge: f64,
) -> Option<Uncertain> {
    let sae = crank::sae_a(label)?;
    if !(ohm.value > 0.0 && ohm.value.is_finite()) {
        return None;
    }
    let celsius = temperature_c.unwrap_or(t::TEMPERATURE_UNKNOWN_C);
    let open_v = label.chemistry.ocv().clamped(charge) - t::POLARISATION_V;
    let load_a = sae.value / 2.0;
    let loaded = crank::loaded_v(label.chemistry, sae.value, charge, 1.0, celsius, load_a);
    let share = (open_v - loaded) / load_a / ohm.value;
    let spread = RESISTANCE_SPREAD
        .hypot(sae.u / sae.value)
        .hypot(ohm.u / ohm.value);
    share
        .is_finite()
        .then(|| Uncertain::new(share, share * spread))
}

/// Load for the load test, ampere: half the SAE cranking current, else three
/// times the 20-hour capacity. Workshop manuals of 1997-2017; service manuals
/// round half the current down to the next 10 A.
pub fn load_test_a(label: &Label) -> Option<f64> {
    if label.cranking.is_some() {
        return crank::sae_a(label).map(|sae| sae.value / 2.0);
    }
    capacity::rated_ah(label).map(|ah| 3.0 * ah.value)
}

/// What a load test says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LoadOutcome {
    /// Voltage it would have shown at the proper load.
    pub voltage: Uncertain,
    /// Least voltage at this temperature; `None` when the temperature is
    /// missing and matters.
    pub least_v: Option<f64>,
    /// Share of the new battery's strength that fits the voltage, if the label tells it.
    pub health: Option<Uncertain>,
}

impl LoadOutcome {
    /// Probability that it holds the least voltage, by the meter's uncertainty.
    pub fn p_holds(&self) -> Option<f64> {
        let margin = self.voltage.value - self.least_v?;
        // 5 mV: no meter is exact.
        Some(crate::chance::normal_cdf(
            margin / self.voltage.u.max(0.005),
        ))
    }
}

/// A load test corrected to the proper load and compared with the table at its
/// temperature. Without a temperature, at least 9.6 V passes and less than 8.5 V
/// fails at any. `None` when the load is below half or above one and a half
/// times the proper one, or lasted less than 5 s: nothing can be said.
pub fn load_test(
    label: &Label,
    voltage: Uncertain,
    load_a: Option<f64>,
    after_s: Option<f64>,
    temperature_c: Option<f64>,
    charge: f64,
) -> Option<LoadOutcome> {
    if after_s.is_some_and(|s| s < 5.0) {
        return None;
    }
    let proper = load_test_a(label);
    let open_v = label.chemistry.ocv().clamped(charge) - t::POLARISATION_V;
    let ratio = match (proper, load_a) {
        (Some(proper), Some(load)) => proper / load,
        _ => 1.0,
    };
    if !LOAD_RATIO.contains(&ratio) {
        return None;
    }
    // Straight-line voltage: the drop goes with the current. A fifth of the
    // correction is left as uncertainty (common practice).
    let correction = (open_v - voltage.value).max(0.0) * (ratio - 1.0);
    let at_load = Uncertain::new(voltage.value - correction, voltage.u).widened(0.2 * correction);
    let (coldest, warmest) = (
        crank::load_test_minimum_v(-18.0),
        crank::load_test_minimum_v(21.0),
    );
    let least_v = match temperature_c {
        Some(celsius) => Some(crank::load_test_minimum_v(celsius)),
        None if at_load.value >= warmest => Some(warmest),
        None if at_load.value < coldest => Some(coldest),
        None => None,
    };
    let health = proper.and_then(|load| {
        let sae = crank::sae_a(label)?;
        health_from_load(
            label.chemistry,
            sae.value,
            at_load,
            load,
            temperature_c,
            charge,
        )
    });
    Some(LoadOutcome {
        voltage: at_load,
        least_v,
        health,
    })
}

/// Health whose model voltage under the load is the one read. The model's own
/// uncertainty is included.
fn health_from_load(
    chemistry: Chemistry,
    sae_a: f64,
    voltage: Uncertain,
    load_a: f64,
    temperature_c: Option<f64>,
    charge: f64,
) -> Option<Uncertain> {
    let celsius = temperature_c.unwrap_or(t::TEMPERATURE_UNKNOWN_C);
    let open_v = chemistry.ocv().clamped(charge) - t::POLARISATION_V;
    let new_drop = open_v - crank::loaded_v(chemistry, sae_a, charge, 1.0, celsius, load_a);
    let drop = open_v - voltage.value;
    if !(new_drop.is_finite() && new_drop > 0.0) || drop <= 0.0 {
        return None;
    }
    let health = (new_drop / drop).clamp(LOAD_HEALTH.0, LOAD_HEALTH.1);
    Some(Uncertain::new(
        health,
        health * MODEL_SPREAD.hypot(voltage.u / drop),
    ))
}

/// A drawn share of the rated capacity within what a battery in a vehicle can
/// have: a twentieth of its rating up to a fifth above it. From memory.
pub(crate) fn health_within(drawn: f64) -> f64 {
    drawn.clamp(0.05, 1.2)
}
