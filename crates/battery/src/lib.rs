//! The 12 V battery: label and cranking standards, state of charge, health
//! tests, charging system, parking forecast, recharge.
//!
//! ```
//! use battery::{Chemistry, Label, Parking, forecast};
//! use measure::Uncertain;
//!
//! let parking = Parking {
//!     label: Label { capacity_ah: Some(60.0), ..Label::default() },
//!     health: Uncertain::new(0.85, 0.1),
//!     charge: Uncertain::new(0.85, 0.08),
//!     draw: Uncertain::new(0.42, 0.01),
//!     temperature_c: 3.0,
//!     engine_needs_a: None,
//! };
//! let hours = forecast(&parking).unwrap().hours_to_no_start.unwrap();
//! assert!(hours.p50 > 4.0 && hours.p50 < 100.0);
//! ```
//!
//! * [`label`]: what is printed on the battery, and what it means in another standard.
//! * [`soc`]: state of charge from a rested voltage; [`electrolyte`]: from specific gravity, and freezing.
//! * [`capacity`]: capacity from what is known, rate and temperature; [`self_discharge`]; [`recharge`].
//! * [`crank`]: what the battery can crank against what the engine needs.
//! * [`forecast()`], [`explain`], [`p_no_start_within`], [`nights`]: how long it can stand, and the reverse.
//! * [`judge()`]: health tests; [`charging`]: the charging system.
//! * [`balance`]: a week of driving against a week of standing; [`keeper`]: supplies that keep settings.
//!
//! It does not know the vehicle's circuits: the draw comes in as a number.
//! It does no I/O, asks no clock, and gives the same answer for the same input.

pub mod balance;
pub mod capacity;
mod chance;
pub mod charging;
pub mod crank;
mod curve;
pub mod drops;
pub mod electrolyte;
mod forecast;
pub mod health;
mod judge;
pub mod keeper;
pub mod label;
mod outlook;
pub mod recharge;
pub mod self_discharge;
pub mod soc;
pub mod tables;

pub use forecast::{Forecast, Moment, Parking, Unknown, forecast, forecast_over};
pub use health::HealthTest;
pub use judge::{Judgement, Verdict, judge};
pub use label::{Chemistry, Cranking, CrankingStandard, Label, UnknownWord};
pub use outlook::{
    Coming, NIGHT_H, NIGHTS, Night, explain, explain_parking, nights, p_no_start_within,
    usual_nights,
};
