//! A night's log as a meter would have written it.

use std::fmt::Write;

use rand::SeedableRng;
use rand_pcg::Pcg64Mcg;

use crate::{VirtualMeter, VirtualVehicle};

/// Currents shown at regular times.
#[derive(Debug, Clone, PartialEq)]
pub struct NightLog {
    /// Seconds between samples.
    pub interval_s: f64,
    /// What was shown, ampere.
    pub shown_a: Vec<f64>,
}

/// Records the total at the battery for `duration_s`, one sample each
/// `interval_s`, beginning at locking. Deterministic by `seed`.
pub fn record(
    vehicle: &VirtualVehicle,
    meter: &VirtualMeter,
    interval_s: f64,
    duration_s: f64,
    seed: u64,
) -> NightLog {
    let mut random = Pcg64Mcg::seed_from_u64(seed);
    let samples = (duration_s / interval_s) as usize;
    let shown_a = (0..samples)
        .map(|sample| {
            let time_s = sample as f64 * interval_s;
            meter.show(vehicle.current_a(0, time_s, &[]), time_s, &mut random)
        })
        .collect();
    NightLog {
        interval_s,
        shown_a,
    }
}

impl NightLog {
    /// The log as delimited text, `time_s,current_mA`, with `remark` as a comment line on top.
    pub fn to_csv(&self, remark: &str) -> String {
        let mut text = format!("# {remark}\ntime_s,current_mA\n");
        for (sample, shown) in self.shown_a.iter().enumerate() {
            // Writing to a string cannot fail.
            let _ = writeln!(
                text,
                "{},{:.0}",
                sample as f64 * self.interval_s,
                shown * 1e3
            );
        }
        text
    }
}
