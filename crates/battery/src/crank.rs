//! What the battery can crank against what the engine needs.
//!
//! The battery is a rested voltage behind a resistance. The label's cranking
//! current fixes the resistance at -18 °C (SAE J537: 7.2 V after 30 s); the
//! classic table of cranking power scales it with temperature; charge and health
//! divide it. The engine cranks when, at the current it needs at this
//! temperature, the battery holds the least voltage of the load-test table.
//!
//! With resistance going as 1/charge the model gives 46 % of full cranking power
//! at half charge and 22 % at a quarter (27 °C, to 7.2 V); the figures remembered
//! from older training manuals are 46 % and "25 % when low" (from memory).

use measure::Uncertain;

use crate::{Chemistry, CrankingStandard, Label, capacity, tables as t};

/// Share of warm (26.7 °C) cranking power a full battery has at a temperature.
pub fn available_share(temperature_c: f64) -> f64 {
    t::AVAILABLE
        .extended(temperature_c.min(26.7))
        .max(t::AVAILABLE_LEAST)
}

/// Cranking power an engine needs at a temperature, times what it needs warm (26.7 °C).
pub fn required_share(temperature_c: f64) -> f64 {
    t::REQUIRED.extended(temperature_c.min(26.7))
}

/// Least voltage under a load of half the cranking current after 15 s, volt.
///
/// TM 5-4210-230-14&P-1 (US Army), Table 5: 9.6 V from 21 °C up, 8.5 V at -18 °C and below.
pub fn load_test_minimum_v(temperature_c: f64) -> f64 {
    t::LOAD_MINIMUM.clamped(temperature_c)
}

/// Cranking current of the label in SAE ampere; from the capacity (±25 %) when
/// the label has none; `None` when it says nothing.
pub fn sae_a(label: &Label) -> Option<Uncertain> {
    if let Some(cranking) = label
        .cranking
        .filter(|c| c.current_a.is_finite() && c.current_a > 0.0)
    {
        return Some(cranking.in_standard(CrankingStandard::Sae));
    }
    let (per_ah, spread) = t::CRANKING_PER_AH;
    Some(capacity::rated_ah(label)?.product(Uncertain::new(per_ah, spread * per_ah)))
}

/// Current the battery gives at a charge, temperature and health, ampere, while
/// holding `least_v` volt; never negative. `sae_a` is the cranking current of a new one.
pub fn available_a(
    chemistry: Chemistry,
    sae_a: f64,
    charge: f64,
    health: f64,
    temperature_c: f64,
    least_v: f64,
) -> f64 {
    let strength = Strength::at_least(chemistry, temperature_c, least_v);
    (sae_a * health * strength.share(charge)).max(0.0)
}

/// Voltage under a current (ampere) within seconds, volt.
pub fn loaded_v(
    chemistry: Chemistry,
    sae_a: f64,
    charge: f64,
    health: f64,
    temperature_c: f64,
    current_a: f64,
) -> f64 {
    let unit = unit_drop_v(chemistry, temperature_c);
    chemistry.ocv().clamped(charge)
        - t::POLARISATION_V
        - current_a * unit / (sae_a * health * conduction(chemistry, charge))
}

/// The engine's need as a share of the new battery's SAE cranking current: the
/// median of its ratio and the standard deviation of its logarithm, model
/// uncertainty included.
pub(crate) fn need(label: &Label, engine_needs_a: Option<f64>) -> Option<(f64, f64)> {
    let sae = sae_a(label)?;
    match engine_needs_a.filter(|a| a.is_finite() && *a > 0.0) {
        // Need and label are separate facts: both spreads count.
        Some(amperes) => {
            let spread = t::NEED_SPREAD_STATED.hypot(t::CRANK_MODEL_SPREAD);
            Some((amperes / sae.value, spread.hypot(sae.u / sae.value)))
        }
        // The need is a share of the label, so the label's own spread cancels.
        None => Some((
            t::NEED_SHARE,
            t::NEED_SPREAD_ASSUMED.hypot(t::CRANK_MODEL_SPREAD),
        )),
    }
}

/// Cranking strength of a new battery at one temperature, against charge.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Strength {
    chemistry: Chemistry,
    least_v: f64,
    scale: f64,
}

impl Strength {
    /// Against the engine's need at this temperature: the largest warm (27 °C)
    /// need, as a share of the SAE current, that is still cranked.
    pub(crate) fn against_need(chemistry: Chemistry, temperature_c: f64) -> Self {
        let mut strength =
            Self::at_least(chemistry, temperature_c, load_test_minimum_v(temperature_c));
        strength.scale /= required_share(temperature_c);
        strength
    }

    fn at_least(chemistry: Chemistry, temperature_c: f64, least_v: f64) -> Self {
        Self {
            chemistry,
            least_v,
            scale: unit_drop_v(chemistry, temperature_c).recip(),
        }
    }

    /// Share of the SAE current given at a charge, health 1. Rises with charge.
    pub(crate) fn share(self, charge: f64) -> f64 {
        let headroom = self.chemistry.ocv().clamped(charge) - t::POLARISATION_V - self.least_v;
        headroom.max(0.0) * conduction(self.chemistry, charge) * self.scale
    }
}

/// Voltage lost when the SAE current flows at this temperature, full and new.
fn unit_drop_v(chemistry: Chemistry, temperature_c: f64) -> f64 {
    let at_rating = chemistry.ocv().clamped(1.0) - t::POLARISATION_V - t::SAE_END_V;
    at_rating * available_share(-17.8) / available_share(temperature_c)
}

/// Conductance at a charge over that at full.
fn conduction(chemistry: Chemistry, charge: f64) -> f64 {
    let charge = charge.clamp(0.0, 1.0);
    if chemistry.is_lead_acid() {
        charge
    } else {
        // Lithium iron phosphate keeps its resistance until nearly empty. From memory.
        (charge / 0.15).min(1.0)
    }
}
