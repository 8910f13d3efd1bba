//! Quantities with honest uncertainty: what a reading is worth.
//!
//! This room knows instruments and how a connection distorts what they show.
//! It does not know what a vehicle is. Inside, every number is SI (ampere,
//! volt, ohm, second) except charge in ampere-hours and temperature in degree
//! Celsius; texts with units are parsed once, at the edge, by [`quantity`].

pub mod instrument;
pub mod quantity;
pub mod range;
mod uncertain;

pub use instrument::{Instrument, InstrumentKind};
pub use uncertain::{Quantiles, Uncertain};
