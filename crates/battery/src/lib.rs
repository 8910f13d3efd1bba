//! The 12 V battery: label and cranking standards, state of charge, health
//! tests, parking forecast, recharge.
//!
//! Does not know the vehicle's circuits; the draw comes in as a number.

use measure::{Quantiles, Uncertain};

/// Chemistry of the battery.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Chemistry {
    /// Flooded lead-acid.
    #[default]
    Flooded,
    /// Enhanced flooded.
    Efb,
    /// Absorbent glass mat.
    Agm,
    /// Gel.
    Gel,
    /// Lithium iron phosphate, four cells.
    Lifepo4,
}

/// Standard of a cranking current.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum CrankingStandard {
    /// EN 50342-1.
    En,
    /// SAE J537.
    Sae,
    /// IEC 60095-1.
    Iec,
    /// DIN 43539-2.
    Din,
    /// JIS D 5301.
    Jis,
}

/// A cranking current with the standard it is stated in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cranking {
    /// Ampere.
    pub current_a: f64,
    /// Standard.
    pub standard: CrankingStandard,
}

/// What the label says.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Label {
    /// Chemistry; flooded when unknown.
    pub chemistry: Chemistry,
    /// 20-hour capacity.
    pub capacity_ah: Option<f64>,
    /// Cranking current.
    pub cranking: Option<Cranking>,
}

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
}

/// What the tests say of the battery.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Verdict {
    /// In order.
    Good,
    /// Too empty to judge.
    RechargeAndRetest,
    /// Still usable, below its rating.
    Weak,
    /// To be replaced.
    Replace,
    /// Not tested.
    Unknown,
}

/// Verdict with its reasons.
#[derive(Debug, Clone, PartialEq)]
pub struct Judgement {
    /// The verdict.
    pub verdict: Verdict,
    /// State of charge as a fraction, if a rested voltage tells it.
    pub state_of_charge: Option<Uncertain>,
    /// Share of the rated cranking current or capacity that is left, if a test tells it.
    pub health: Option<Uncertain>,
    /// Reasons, one sentence each.
    pub because: Vec<String>,
    /// Whether tests contradict each other.
    pub contradicting: bool,
}

/// A battery left standing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Parking {
    /// Label.
    pub label: Label,
    /// Share of the rated capacity that is left (1 = as new).
    pub health: Uncertain,
    /// Charge at the start, fraction of what it holds.
    pub charge: Uncertain,
    /// Draw, ampere, long-run average.
    pub draw: Uncertain,
    /// Temperature while parked.
    pub temperature_c: f64,
    /// Current this engine needs to crank at 27 °C; `None` for the common-practice share of the label.
    pub engine_needs_a: Option<f64>,
}

/// Charge and risk at one moment of the time ahead.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Moment {
    /// Hours from now.
    pub hours: f64,
    /// Charge left, fraction.
    pub charge: Quantiles,
    /// Probability that the engine will not crank.
    pub p_no_start: f64,
}

/// How long it can stand.
#[derive(Debug, Clone, PartialEq)]
pub struct Forecast {
    /// Hours until it will not crank; `None` when that is beyond ten years or not computable.
    pub hours_to_no_start: Option<Quantiles>,
    /// Hours until half charge.
    pub hours_to_half: Option<Quantiles>,
    /// Charge at which this engine no longer cranks, fraction.
    pub no_start_charge: Quantiles,
    /// Self-discharge, ampere.
    pub self_discharge_a: f64,
    /// One sentence when the electrolyte may freeze on the way.
    pub freezing_risk: Option<String>,
    /// Hours on a charger to refill what is missing now.
    pub recharge_h: Option<f64>,
    /// The time ahead, about a hundred moments, from now to past the no-start.
    pub ahead: Vec<Moment>,
}

/// Why a forecast or judgement cannot be made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unknown {
    /// What is missing.
    pub missing: String,
}

/// Forecast of the time this battery can stand.
///
/// # Errors
/// When neither capacity nor cranking current is known.
pub fn forecast(_parking: &Parking) -> Result<Forecast, Unknown> {
    unimplemented!()
}

/// What the tests say of the battery.
pub fn judge(_label: &Label, _tests: &[HealthTest]) -> Judgement {
    unimplemented!()
}
