//! Meters as they really are: noisy, coarse, drifting. A meter on a voltage
//! range has its figures in volt instead of ampere.

use rand_distr::{Distribution, StandardNormal};
use rand_pcg::Pcg64Mcg;

/// A meter that shows a current (or a voltage).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct VirtualMeter {
    /// Standard deviation of one reading, ampere.
    pub noise_a: f64,
    /// Smallest step shown, ampere; 0 for none.
    pub step_a: f64,
    /// Scale error: 0.01 reads 1 % too high.
    pub scale_error: f64,
    /// Zero error at the start, ampere.
    pub zero_a: f64,
    /// Drift of the zero, ampere per hour.
    pub drift_a_per_h: f64,
}

impl VirtualMeter {
    /// A low-range clamp of common kind: 1 mA steps, a few milliamperes of noise.
    /// Figures from memory.
    pub fn low_range_clamp() -> Self {
        Self {
            noise_a: 0.002,
            step_a: 0.001,
            scale_error: 0.004,
            zero_a: 0.001,
            drift_a_per_h: 0.0,
        }
    }

    /// A multimeter's millivolt range of common kind, in volt: 0.1 mV steps.
    /// Figures from memory.
    pub fn millivolts() -> Self {
        Self {
            noise_a: 2e-5,
            step_a: 1e-4,
            scale_error: -0.002,
            zero_a: 0.0,
            drift_a_per_h: 0.0,
        }
    }

    /// A multimeter's 20 V range of common kind, in volt: 10 mV steps.
    /// Figures from memory.
    pub fn volts() -> Self {
        Self {
            noise_a: 0.002,
            step_a: 0.01,
            scale_error: 0.001,
            zero_a: 0.0,
            drift_a_per_h: 0.0,
        }
    }

    /// A battery analyser of common kind, in ampere of cranking current: 5 A
    /// steps. Figures from memory.
    pub fn analyser() -> Self {
        Self {
            noise_a: 4.0,
            step_a: 5.0,
            scale_error: 0.01,
            zero_a: 0.0,
            drift_a_per_h: 0.0,
        }
    }

    /// What it shows for a true current at `time_s`, ampere.
    pub fn show(&self, true_a: f64, time_s: f64, random: &mut Pcg64Mcg) -> f64 {
        let noise: f64 = StandardNormal.sample(random);
        let raw = true_a * (1.0 + self.scale_error)
            + self.zero_a
            + self.drift_a_per_h * time_s / 3600.0
            + self.noise_a * noise;
        if self.step_a > 0.0 {
            (raw / self.step_a).round() * self.step_a
        } else {
            raw
        }
    }
}
