//! What an instrument's maker promises, and what a reading is therefore worth.

use crate::Uncertain;

/// What kind of instrument it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum InstrumentKind {
    /// Direct-current clamp around a cable.
    Clamp,
    /// Ammeter in the circuit, its input in series.
    InLine,
    /// Voltmeter on its millivolt range, across a fuse.
    Millivolt,
    /// Voltmeter on the battery.
    Voltmeter,
    /// Battery analyser (conductance or pulse load).
    Analyser,
}

/// How a current reading was taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum How {
    /// Clamp around the cable.
    Clamp,
    /// Ammeter in series.
    InLine,
    /// Millivolts across the fuse, divided by its resistance.
    Millivolt,
    /// Millivolts across a known shunt.
    Shunt,
}

/// One instrument's specification. Currents in ampere, voltages in volt.
#[derive(Debug, Clone, PartialEq)]
pub struct Instrument {
    /// The person's own name for it.
    pub id: String,
    /// What it is.
    pub kind: InstrumentKind,
    /// Accuracy, percent of reading.
    pub accuracy_percent: f64,
    /// Accuracy, counts of the last digit.
    pub digits: f64,
    /// Smallest step shown, ampere or volt by kind; `None` if not stated.
    pub resolution: Option<f64>,
}
