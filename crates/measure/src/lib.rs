//! Quantities with honest uncertainty: what a reading is worth.
//!
//! This room knows instruments and how a connection distorts what they show.
//! It does not know what a vehicle is. Inside, every number is SI (ampere,
//! volt, ohm, second) except charge in ampere-hours and temperature in degree
//! Celsius; texts with units are parsed once, at the edge, by [`quantity`].

pub mod conductor;
pub mod estimate;
mod generic;
pub mod hookup;
pub mod instrument;
pub mod names;
pub mod propagate;
pub mod quantity;
pub mod range;
pub mod spec;
pub mod spoken;
mod uncertain;

pub use instrument::{How, Instrument, InstrumentKind, Reading};
pub use uncertain::{Quantiles, Uncertain};
