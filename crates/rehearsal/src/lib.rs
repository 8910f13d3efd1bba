//! Virtual vehicles and virtual meters that behave like real ones: to practise
//! on, to show what Nightdraw does, and to test it.
//!
//! Everything is invented, and deterministic by seed. This room knows the true
//! currents; nothing that computes an assessment may look in here.

mod bench;
pub mod fleet;
mod meter;
mod night;
pub mod scenario;
mod vehicle;

pub use bench::{Answer, Bench, Question, VirtualBattery};
pub use meter::VirtualMeter;
pub use night::{NightLog, record};
pub use vehicle::{Activity, VehicleError, VirtualLoad, VirtualVehicle, WakeHabit};
