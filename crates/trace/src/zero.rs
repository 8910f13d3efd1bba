//! A clamp's zero that creeps, told from real change.
//!
//! From one current alone the two cannot be told apart. Two things tell them:
//!
//! * **Zero readings.** While the clamp is held off the cable it shows its zero. Between such readings the zero is taken as a
//!   straight line, before the first and after the last as it was there. How far it strays from the line follows
//!   from how the readings scatter about a straight line as a random walk would, of variance w² per second: the mean over a stretch T between
//!   two readings is then off by w² T/12 (the mean of a Brownian bridge), over a stretch L beyond the last by w² L/3. With two
//!   readings their whole difference is taken for straying; with one the clamp's own specification stays in charge.
//! * **A second current** beside it whose zero does not creep (a shunt, a meter in line), however coarse: the difference of the two,
//!   block by block where little flows, is the zero.

use measure::Uncertain;
use tongue::{Message, say};

use crate::noise::{Noise, median};
use crate::{Trace, batches};

/// One reading of the clamp's zero.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ZeroReading {
    /// From when.
    pub start_s: f64,
    /// Until when.
    pub end_s: f64,
    /// What it showed with nothing in its jaws, ampere.
    pub level: Uncertain,
}

/// What was taken out of a record.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Zero {
    /// Readings of the zero, in order of time.
    pub readings: Vec<ZeroReading>,
    /// Standard uncertainty that is left in a mean, ampere; `None` where it is not known: one reading.
    pub u_a: Option<f64>,
}

/// Why a zero cannot be taken out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ZeroError {
    /// Fewer than five samples lie in that interval (counted from 1).
    NoSamples(usize),
    /// The second current has no samples beside the first.
    NoReference,
}

impl ZeroError {
    /// One sentence.
    pub fn message(self) -> Message {
        match self {
            Self::NoSamples(number) => {
                say::trace::zero_no_samples(LEAST.to_string(), number.to_string())
            }
            Self::NoReference => say::trace::zero_no_reference(),
        }
    }
}

impl std::fmt::Display for ZeroError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        self.message().fmt(f)
    }
}

impl std::error::Error for ZeroError {}

/// Fewest samples of a zero reading. A choice.
const LEAST: usize = 5;
/// Blocks in which two currents are compared. A choice.
const BLOCKS: usize = 256;

impl Trace {
    /// The record without the clamp's zero, from the `spans` of time (seconds as in the samples) in which it was held off the cable. Samples
    /// in them become not-a-number: nothing is known of the vehicle then.
    ///
    /// # Errors
    /// [`ZeroError::NoSamples`] when a span holds fewer than five samples.
    pub fn without_zero(&self, spans: &[(f64, f64)]) -> Result<(Self, Zero), ZeroError> {
        let mut readings = Vec::new();
        let mut out = self.clone();
        for (index, &(start_s, end_s)) in spans.iter().enumerate() {
            let (first, end) = (
                self.first_from(start_s, false),
                self.first_from(end_s, true),
            );
            let samples = self.current_a.get(first..end).unwrap_or(&[]);
            let level = level(samples).ok_or(ZeroError::NoSamples(index + 1))?;
            readings.push(ZeroReading {
                start_s,
                end_s,
                level,
            });
            out.current_a[first..end].fill(f64::NAN);
        }
        readings.sort_by(|a, b| a.start_s.total_cmp(&b.start_s));
        let line: Vec<(f64, f64)> = readings
            .iter()
            .map(|r| (0.5 * (r.start_s + r.end_s), r.level.value))
            .collect();
        out.take_out(&line);
        let u_a = left(&readings, &line, (0.0, self.end_s()));
        Ok((out, Zero { readings, u_a }))
    }

    /// The record without the clamp's zero, from a second current of the same time whose zero does not creep.
    ///
    /// # Errors
    /// [`ZeroError::NoReference`] when the two have too little in common.
    pub fn without_zero_by(&self, reference: &Self) -> Result<(Self, Zero), ZeroError> {
        let length = self.len().div_ceil(BLOCKS).max(LEAST);
        let mut blocks: Vec<(f64, f64, f64)> = Vec::new();
        for from in (0..self.len()).step_by(length) {
            let to = (from + length).min(self.len());
            let beside = |i: usize| {
                let after = reference.first_from(self.time_s(i), true);
                after.checked_sub(1).map(|j| reference.current_a[j])
            };
            let pairs: Vec<(f64, f64)> = (from..to)
                .filter_map(|i| Some((self.current_a[i], beside(i)?)))
                .filter(|(a, b)| a.is_finite() && b.is_finite())
                .collect();
            if pairs.len() < LEAST {
                continue;
            }
            let mut apart: Vec<f64> = pairs.iter().map(|(a, b)| a - b).collect();
            let mut flows: Vec<f64> = pairs.iter().map(|(_, b)| b.abs()).collect();
            blocks.push((
                self.time_s(from + (to - from) / 2),
                trimmed(&mut apart),
                median(&mut flows),
            ));
        }
        // Where much flows, the scales of the two differ by more than a zero creeps.
        let mut flows: Vec<f64> = blocks.iter().map(|b| b.2).collect();
        flows.sort_by(f64::total_cmp);
        let little = flows.get(flows.len() / 10).map_or(0.0, |f| 2.0 * f + 0.02);
        let line: Vec<(f64, f64)> = blocks
            .iter()
            .filter(|b| b.2 <= little)
            .map(|b| (b.0, b.1))
            .collect();
        if line.len() < 3 {
            return Err(ZeroError::NoReference);
        }
        let bends: f64 = line
            .windows(3)
            .map(|w| (w[1].1 - 0.5 * (w[0].1 + w[2].1)).powi(2) / 1.5)
            .sum();
        let u = (bends / (line.len() - 2) as f64 / line.len() as f64).sqrt();
        let mut out = self.clone();
        out.take_out(&line);
        let zero = Zero {
            readings: Vec::new(),
            u_a: Some(u),
        };
        Ok((out, zero))
    }

    fn end_s(&self) -> f64 {
        self.len().checked_sub(1).map_or(0.0, |i| self.time_s(i))
    }

    /// Takes the line through `points` out of the samples.
    fn take_out(&mut self, points: &[(f64, f64)]) {
        for index in 0..self.len() {
            let time_s = self.time_s(index);
            self.current_a[index] -= at(points, time_s);
        }
    }
}

/// Mean without what lies farther than five robust standard deviations from the median: a coarse digit averages out in a mean, not
/// in a median.
fn trimmed(values: &mut [f64]) -> f64 {
    let middle = median(values);
    let mut off: Vec<f64> = values.iter().map(|y| (y - middle).abs()).collect();
    // 1.4826 standard deviations per median deviation (Rousseeuw and Croux 1993, as in `noise.rs`).
    let most = 5.0 * 1.4826 * median(&mut off);
    let near = || values.iter().filter(|y| (**y - middle).abs() <= most);
    let count = near().count().max(1) as f64;
    near().map(|y| y - middle).sum::<f64>() / count + middle
}

/// The line through `points` at `time_s`; level beyond its ends; zero without points.
fn at(points: &[(f64, f64)], time_s: f64) -> f64 {
    let after = points.partition_point(|p| p.0 <= time_s);
    match (after.checked_sub(1).map(|i| points[i]), points.get(after)) {
        (Some(a), Some(b)) => a.1 + (b.1 - a.1) * (time_s - a.0) / (b.0 - a.0),
        (Some(a), None) => a.1,
        (None, Some(b)) => b.1,
        (None, None) => 0.0,
    }
}

/// The level on which most samples lie: hands are still moving at both ends.
fn level(samples: &[f64]) -> Option<Uncertain> {
    let mut finite: Vec<f64> = samples.iter().copied().filter(|y| y.is_finite()).collect();
    if finite.len() < LEAST {
        return None;
    }
    let noise = Noise::of(&finite);
    let middle = median(&mut finite);
    let cap = noise.cap().max(noise.resolution.powi(2));
    let near: Vec<f64> = samples
        .iter()
        .copied()
        .filter(|y| (y - middle).powi(2) <= cap)
        .collect();
    let mean = near.iter().sum::<f64>() / near.len().max(1) as f64;
    Some(Uncertain::new(
        mean,
        batches::u_of_level(&near, mean, &noise),
    ))
}

/// Standard uncertainty left in a mean over the record.
fn left(readings: &[ZeroReading], line: &[(f64, f64)], record: (f64, f64)) -> Option<f64> {
    let (first, last) = (line.first()?, line.last()?);
    let span_s = last.0 - first.0;
    if line.len() < 2 || span_s <= 0.0 {
        return None;
    }
    let slope = if line.len() > 2 {
        (last.1 - first.1) / span_s
    } else {
        0.0
    };
    let freedom = line.len().saturating_sub(2).max(1) as f64;
    let own = readings.iter().map(|r| r.level.u).fold(0.0, f64::max);
    let strayed: f64 = line
        .windows(2)
        .filter(|w| w[1].0 > w[0].0)
        .map(|w| (w[1].1 - w[0].1 - slope * (w[1].0 - w[0].0)).powi(2) / (w[1].0 - w[0].0))
        .sum();
    let walk = strayed / freedom;
    let between = line
        .windows(2)
        .map(|w| (w[1].0 - w[0].0) / 12.0)
        .fold(0.0, f64::max);
    let beyond = (first.0 - record.0).max(record.1 - last.0).max(0.0) / 3.0;
    // Beyond the readings the line's own slope goes on unseen.
    let share = beyond / (record.1 - record.0).max(f64::MIN_POSITIVE);
    Some((walk * between.max(beyond * share)).sqrt().hypot(own))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{AnalyseOptions, Source, TimeAxis, analyse};

    /// 1 Hz, 40 mA asleep; the zero creeps by 20 mA over the record, the clamp is off for a minute at the given times.
    fn record(off: &[usize]) -> Trace {
        let current_a = (0..10_000)
            .map(|i| {
                let zero = 0.02 * f64::from(i) / 10_000.0;
                let scatter = 0.002 * ((f64::from(i) * 0.618_033_988_75).fract() - 0.5);
                let away = off.iter().any(|at| (*at..at + 60).contains(&(i as usize)));
                let flows = if i < 600 { 3.0 } else { 0.04 };
                zero + scatter + if away { 0.0 } else { flows }
            })
            .collect();
        Trace {
            axis: TimeAxis::Regular { interval_s: 1.0 },
            current_a,
            voltage_v: None,
            source: Source {
                interval_s: 1.0,
                ..Source::default()
            },
        }
    }

    fn spans(off: &[usize]) -> Vec<(f64, f64)> {
        // A hand is not exact: some seconds too early, a little too long.
        off.iter()
            .map(|at| (*at as f64 - 3.0, *at as f64 + 62.0))
            .collect()
    }

    #[test]
    fn three_readings_take_a_steady_creep_out() {
        let off = [700, 5000, 9800];
        let (clean, zero) = record(&off).without_zero(&spans(&off)).expect("readings");
        let u = zero.u_a.expect("three readings");
        assert!(u < 1e-3, "{u}");
        let (first, last) = (zero.readings[0].level.value, zero.readings[2].level.value);
        assert!((first - 0.00146).abs() < 2e-4 && (last - 0.01966).abs() < 2e-4);
        let found = analyse(&clean, &AnalyseOptions::default());
        let draw = found.settled.expect("asleep").draw;
        assert!(
            (draw.value - 0.04).abs() < 3.0 * draw.u.hypot(u),
            "{draw:?}"
        );
        assert_eq!(found.wake_ups.count, 0);
    }

    #[test]
    fn two_readings_leave_what_they_differ_by() {
        let off = [700, 9800];
        let (_, zero) = record(&off).without_zero(&spans(&off)).expect("readings");
        // 18.2 mA apart: u = 18.2/√12 = 5.3 mA.
        assert!((zero.u_a.expect("two") - 0.0053).abs() < 3e-4, "{zero:?}");
        let one = record(&off).without_zero(&spans(&off[..1])).expect("one");
        assert_eq!(one.1.u_a, None);
        let none = record(&off).without_zero(&[(20_000.0, 20_060.0)]);
        assert_eq!(none, Err(ZeroError::NoSamples(1)));
    }

    #[test]
    fn a_coarse_shunt_beside_it_takes_the_creep_out() {
        let clamp = record(&[]);
        let mut shunt = record(&[]);
        for (i, y) in shunt.current_a.iter_mut().enumerate() {
            let flows = if i < 600 { 3.0 } else { 0.04 };
            let noise = 0.03 * ((i as f64 * 0.754_877_666).fract() - 0.5);
            // Its scale is 2 % off, which matters only where much flows.
            *y = flows * 1.02 + noise;
        }
        let (clean, zero) = clamp.without_zero_by(&shunt).expect("a reference");
        let u = zero.u_a.expect("known");
        let found = analyse(&clean, &AnalyseOptions::default());
        let draw = found.settled.expect("asleep").draw;
        assert!(
            (draw.value - 0.0408).abs() < 5.0 * draw.u.hypot(u),
            "{draw:?} {u}"
        );
        assert!(draw.u.hypot(u) < 1e-3);
        let empty = Trace {
            current_a: Vec::new(),
            ..shunt
        };
        assert_eq!(clamp.without_zero_by(&empty), Err(ZeroError::NoReference));
    }
}
