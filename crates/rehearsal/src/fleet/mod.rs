//! Families of virtual vehicles, drawn by seed: from a small car to a van with
//! a second battery, 20 to 120 fuses, one fault or two, and the meters of
//! whoever looks for them.
//!
//! [`Vehicle::draw`] makes one; a [`Visit`] works on it: each [`Action`] gets
//! the answer that a real vehicle would give, costs minutes, and may wake the
//! vehicle, lose its stored settings or blow the meter's fuse. The tree of a
//! vehicle is what a fuse list would tell of it, not what is true: several
//! circuits may hide behind one fuse, labels may be missing, and what is wired
//! past the fuses is not on it.
//!
//! All figures are invented and come from the tables in `data/`. They share
//! nothing with what the diagnosis believes.

mod draw;
mod fault;
mod kit;
mod load;
mod log;
mod table;
mod vehicle;
mod visit;

pub use fault::{Behaviour, Fault};
pub use kit::{Kit, Meter};
pub use load::{Load, State};
pub use table::{Work, kinds, work};
pub use vehicle::{Place, Vehicle};
pub use visit::{Action, Answer, Done, Refusal, Shown, Visit};

/// How many of a vehicle's fuses can be read by millivolts without pulling them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Reach {
    /// All.
    All,
    /// Each with an even chance.
    Half,
    /// None.
    None,
}

/// What kind of vehicles and faults are drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct Settings {
    /// Kind of vehicle by its name in [`kinds`]; `None` draws one.
    pub kind: Option<String>,
    /// Fuses that can be read in place.
    pub reach: Reach,
    /// Chance of a second fault.
    pub two_faults: f64,
    /// Chance that a fault lies in the wiring of a fuse, not in what it feeds.
    pub wiring: f64,
    /// Chance that a fault is the alternator's.
    pub alternator: f64,
    /// Chance that a fault is wired to the battery past all fuses.
    pub outside: f64,
    /// Whether faults may come and go.
    pub comes_and_goes: bool,
    /// Whether faults may rouse the network again and again, so that the
    /// vehicle has no settled draw.
    pub wakes: bool,
    /// Settled draw that the vehicle keeps to when repaired, and exceeds before, ampere.
    pub limit_a: f64,
}

impl Default for Settings {
    /// Shares of faults from memory; 50 mA is the trade's rule.
    fn default() -> Self {
        Self {
            kind: None,
            reach: Reach::Half,
            two_faults: 0.12,
            wiring: 0.06,
            alternator: 0.04,
            outside: 0.03,
            comes_and_goes: true,
            wakes: true,
            limit_a: 0.05,
        }
    }
}
