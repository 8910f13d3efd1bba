//! Specific gravity and freezing of the acid.

use measure::Uncertain;

use crate::{curve::Curve, tables as t};

/// Specific gravity a full battery is filled for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum FullGravity {
    /// 1.265.
    #[default]
    Sg1265,
    /// 1.280.
    Sg1280,
}

impl FullGravity {
    const fn curve(self) -> Curve {
        match self {
            Self::Sg1265 => t::SG_1265,
            Self::Sg1280 => t::SG_1280,
        }
    }
}

/// Hydrometer reading referred to 26.7 °C (80 °F): 0.004 per 10 °F.
///
/// TM 5-4210-230-14&P-1 (US Army), specific gravity temperature correction.
pub fn corrected_gravity(reading: f64, temperature_c: f64) -> f64 {
    let fahrenheit = temperature_c * 1.8 + 32.0;
    reading + t::SG_PER_F * (fahrenheit - 80.0)
}

/// State of charge as a fraction, from a corrected gravity. `None` for the full
/// gravity means unknown: the 1.265 scale with ±15 %, since 1.190 is half charge
/// on one scale and a quarter on the other.
pub fn charge_from_gravity(gravity: f64, full: Option<FullGravity>) -> Uncertain {
    let charge = full
        .unwrap_or_default()
        .curve()
        .inverse(gravity)
        .clamp(0.0, 1.0);
    // A hydrometer reads to about 0.005, which is 3.5 % of charge. Common practice.
    let known = Uncertain::new(charge, 0.035);
    if full.is_some() {
        known
    } else {
        known.widened(0.15)
    }
}

/// Rested voltage of `cells` cells: SG + 0.84 each.
pub fn voltage_from_gravity(gravity: f64, cells: u32) -> f64 {
    f64::from(cells) * (gravity + 0.84)
}

/// Freezing point in °C of acid of this gravity (at 26.7 °C), ±3 °C.
///
/// TM 5-4210-230-14&P-1 (US Army), Table 2; below 1.120 towards 0 °C for water.
pub fn freezing_c(gravity: f64) -> f64 {
    if gravity < 1.120 {
        return (-9.4 * (gravity - 1.0) / 0.120).min(0.0);
    }
    t::FREEZING.extended(gravity)
}

/// Freezing point in °C of a lead-acid battery at a charge (fraction), 1.265 scale.
pub fn freezing_at_charge_c(charge: f64) -> f64 {
    freezing_c(t::SG_1265.clamped(charge))
}

/// Charge at and below which the electrolyte may freeze at this temperature,
/// the tables' spread of 3 °C counted as risk; `None` when even a flat battery
/// does not freeze.
pub fn freezing_charge(temperature_c: f64) -> Option<f64> {
    let at = temperature_c - t::FREEZING_SPREAD_C;
    if at > freezing_at_charge_c(0.0) {
        return None;
    }
    // The curve falls with charge, so bisection on 0..1.
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..50 {
        let middle = 0.5 * (low + high);
        if freezing_at_charge_c(middle) >= at {
            low = middle
        } else {
            high = middle
        }
    }
    Some(low)
}
