//! Current and voltage together: what neither says alone.
//!
//! * **A sag without current.** A load pulls the voltage down by its current times the resistance of battery and leads, some
//!   hundredths of an ohm even in a bad one. A voltage that falls at once, by more than [`SAG_V`], while the current rises
//!   by less than [`MOST_OHM`] would need, is not pulled by any load: a cell gives way, or the connection does. Slow falls are
//!   left alone (a battery comes to rest), and so are those from above [`SURFACE_V`] (surface charge).
//! * **Charging.** A voltage held at [`CHARGING_V`] or more is an alternator or a charger; what flows then is no parked draw.
//! * **Source resistance.** What each ampere of a step pulls the voltage down by: battery and leads together.

use measure::Uncertain;
use measure::quantity::{Ampere, Ohm, Quantity, Second, Volt};
use tongue::{Message, amount, say};

use crate::Trace;
use crate::analysis::Segment;
use crate::noise::Noise;
use crate::segment::{Loss, segment};

/// Least sag worth a word, volt. From memory: ten times what a sleeping vehicle's wake-up pulls a sound battery down.
const SAG_V: f64 = 0.2;
/// Highest resistance of battery and leads that a load may have behind it, ohm. From memory: ten times a sound battery's.
const MOST_OHM: f64 = 0.1;
/// Above this the voltage falls by itself for hours, volt. Common practice: surface charge shows above 12.9 to 13.0 V.
const SURFACE_V: f64 = 13.0;
/// Voltage of a running alternator or a charger, volt. Common practice: 13.8 to 14.8 V.
const CHARGING_V: f64 = 13.8;
/// Shortest stretch that counts as charging, seconds. From memory.
const CHARGING_S: f64 = 10.0;
/// Steps of current that tell the resistance, ampere. From memory: smaller ones drown in the last digit of 10 mV.
const STEP_A: f64 = 1.0;
/// Steps that it takes. A choice.
const STEPS: usize = 3;
/// Resistance of battery and leads worth a remark, ohm. From memory: 5 to 15 mΩ is ordinary.
const HIGH_OHM: f64 = 0.04;
/// Samples compared on both sides of a change.
const BESIDE: usize = 5;
/// Findings of one kind that are listed. A choice.
const LISTED: usize = 12;

/// What kind of finding.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum FindingKind {
    /// The voltage fell and no current did it.
    BatterySag,
    /// An alternator or a charger was at work.
    Charging,
    /// Resistance of battery and leads, from steps of current.
    SourceResistance,
}

impl FindingKind {
    /// The contract's word.
    pub fn word(self) -> &'static str {
        match self {
            Self::BatterySag => "battery-sag",
            Self::Charging => "charging",
            Self::SourceResistance => "source-resistance",
        }
    }
}

/// Something that current and voltage say together.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// What.
    pub kind: FindingKind,
    /// From when.
    pub start_s: f64,
    /// Until when.
    pub end_s: f64,
    /// Size: the fall in volt, the charging voltage in volt, the resistance in ohm.
    pub value: Uncertain,
    /// One sentence.
    pub message: Message,
}

/// Everything that the voltage beside the current says; nothing without one.
pub(crate) fn findings(trace: &Trace, segments: &[Segment]) -> Vec<Finding> {
    let Some(voltage) = trace.voltage_v.as_deref() else {
        return Vec::new();
    };
    if voltage.len() != trace.len() || !voltage.iter().any(|v| v.is_finite()) {
        return Vec::new();
    }
    let levels = levels(trace, voltage);
    let mut out = charging(&levels);
    out.extend(sags(trace, voltage, &levels));
    out.extend(resistance(trace, voltage, segments));
    out.sort_by(|a, b| a.start_s.total_cmp(&b.start_s));
    out
}

struct Level {
    first: usize,
    last: usize,
    start_s: f64,
    end_s: f64,
    volt: Uncertain,
}

fn levels(trace: &Trace, voltage: &[f64]) -> Vec<Level> {
    let noise = Noise::of(voltage);
    let loss = Loss::Bounded { cap: noise.cap() };
    let fit = segment(voltage, loss, noise.penalty(voltage.len()));
    let ends = fit.firsts.iter().skip(1).copied().chain([voltage.len()]);
    fit.firsts
        .iter()
        .zip(ends)
        .zip(&fit.levels)
        .filter(|(_, level)| level.is_finite())
        .map(|((&first, end), &level)| Level {
            first,
            last: end - 1,
            start_s: trace.time_s(first),
            end_s: trace.time_s(end.min(trace.len() - 1)),
            volt: Uncertain::new(level, noise.u_of_mean(end - first)),
        })
        .collect()
}

fn charging(levels: &[Level]) -> Vec<Finding> {
    let high = |level: &Level| level.volt.value >= CHARGING_V;
    levels
        .chunk_by(|a, b| high(a) && high(b))
        .filter(|run| high(&run[0]))
        .filter_map(|run| {
            let (start_s, end_s) = (run[0].start_s, run[run.len() - 1].end_s);
            let longest = run
                .iter()
                .max_by(|a, b| (a.end_s - a.start_s).total_cmp(&(b.end_s - b.start_s)))?;
            let volt = Volt(longest.volt.value);
            let message = say::trace::charging(Second(start_s), Second(end_s), volt);
            (end_s - start_s >= CHARGING_S).then_some(Finding {
                kind: FindingKind::Charging,
                start_s,
                end_s,
                value: longest.volt,
                message,
            })
        })
        .take(LISTED)
        .collect()
}

fn sags(trace: &Trace, voltage: &[f64], levels: &[Level]) -> Vec<Finding> {
    levels
        .windows(2)
        .filter_map(|pair| {
            let (before, after) = (&pair[0], &pair[1]);
            let fall = before.volt.minus(after.volt);
            let (rest, edge) = (before.volt.value, after.first);
            if rest > SURFACE_V || fall.value < SAG_V.max(5.0 * fall.u) {
                return None;
            }
            let here = mean(voltage, before.first.max(edge.saturating_sub(BESIDE)), edge);
            let there = mean(voltage, edge, (edge + BESIDE).min(after.last + 1));
            // At once, not over minutes.
            if here? - there? < 0.7 * fall.value {
                return None;
            }
            let risen = rise(trace, before, after)?;
            if risen * MOST_OHM >= fall.value {
                return None;
            }
            let current = mean(&trace.current_a, edge, (edge + BESIDE).min(after.last + 1))?;
            let message = say::trace::sag(
                Volt(after.volt.value),
                Volt(rest),
                Ampere(current),
                Second(after.start_s),
            );
            Some(Finding {
                kind: FindingKind::BatterySag,
                start_s: after.start_s,
                end_s: after.end_s,
                value: fall,
                message,
            })
        })
        .take(LISTED)
        .collect()
}

/// By how much the current rises above what it was, at most, where the voltage falls; `None` where it is not known.
fn rise(trace: &Trace, before: &Level, after: &Level) -> Option<f64> {
    let edge = after.first;
    let was = mean(
        &trace.current_a,
        before.first.max(edge.saturating_sub(4 * BESIDE)),
        edge.saturating_sub(1).max(before.first + 1),
    )?;
    // A meter that filters or samples in turn may show the current a little before or after the voltage.
    let around = edge.saturating_sub(BESIDE)..(edge + BESIDE).min(after.last + 1);
    let most = trace
        .current_a
        .get(around)?
        .iter()
        .copied()
        .filter(|y| y.is_finite())
        .fold(f64::NEG_INFINITY, f64::max);
    most.is_finite().then_some((most - was).max(0.0))
}

fn resistance(trace: &Trace, voltage: &[f64], segments: &[Segment]) -> Option<Finding> {
    let pairs: Vec<(f64, f64)> = segments
        .windows(2)
        .filter(|w| (w[1].level.value - w[0].level.value).abs() >= STEP_A)
        .filter_map(|w| {
            let edge = w[1].first;
            // The sample at the edge may lie between the levels.
            let before = w[0].first.max(edge.saturating_sub(BESIDE))..edge.saturating_sub(1);
            let after = edge + 1..(edge + 1 + BESIDE).min(w[1].last + 1);
            let change = |y: &[f64]| {
                Some(mean(y, after.start, after.end)? - mean(y, before.start, before.end)?)
            };
            Some((change(&trace.current_a)?, change(voltage)?))
        })
        .collect();
    if pairs.len() < STEPS {
        return None;
    }
    let squares: f64 = pairs.iter().map(|(i, _)| i * i).sum();
    let ohm = -pairs.iter().map(|(i, v)| i * v).sum::<f64>() / squares;
    let residual: f64 = pairs.iter().map(|(i, v)| (v + ohm * i).powi(2)).sum();
    let u = (residual / (pairs.len() - 1) as f64 / squares).sqrt();
    if !(ohm.is_finite() && ohm > 2.0 * u) {
        return None;
    }
    let (drop, both) = (Volt(ohm), Ohm::from_base(ohm));
    let steps = amount(pairs.len().to_string());
    let message = if ohm - 2.0 * u > HIGH_OHM {
        say::trace::resistance_high(drop, both, steps)
    } else {
        say::trace::resistance(drop, both, steps)
    };
    Some(Finding {
        kind: FindingKind::SourceResistance,
        start_s: segments[0].start_s,
        end_s: segments[segments.len() - 1].end_s,
        value: Uncertain::new(ohm, u),
        message,
    })
}

/// Mean of what is finite in `values[from..to]`; `None` when nothing is.
fn mean(values: &[f64], from: usize, to: usize) -> Option<f64> {
    let part = values.get(from..to)?;
    let (sum, count) = part
        .iter()
        .filter(|y| y.is_finite())
        .fold((0.0, 0.0), |(s, c), y| (s + y, c + 1.0));
    (count > 0.0).then(|| sum / count)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{AnalyseOptions, Source, TimeAxis, analyse};

    /// 1 Hz; parts of (seconds, ampere, volt), 10 mV of digit and a little scatter.
    fn found(parts: &[(usize, f64, f64)]) -> Vec<Finding> {
        let mut current_a = Vec::new();
        let mut voltage_v = Vec::new();
        for &(seconds, ampere, volt) in parts {
            for _ in 0..seconds {
                let scatter = (current_a.len() as f64 * 0.618_033_988_75).fract() - 0.5;
                current_a.push(ampere + 0.002 * scatter);
                voltage_v.push(((volt + 0.02 * scatter) / 0.01).round() * 0.01);
            }
        }
        let trace = Trace {
            axis: TimeAxis::Regular { interval_s: 1.0 },
            current_a,
            voltage_v: Some(voltage_v),
            source: Source {
                interval_s: 1.0,
                ..Source::default()
            },
        };
        analyse(&trace, &AnalyseOptions::default()).findings
    }

    fn kinds(parts: &[(usize, f64, f64)]) -> Vec<FindingKind> {
        found(parts).iter().map(|f| f.kind).collect()
    }

    #[test]
    fn a_sag_without_current_is_the_battery() {
        let night = [(3000, 0.03, 12.5), (600, 0.03, 11.8), (3000, 0.03, 12.4)];
        let found = found(&night);
        assert_eq!(found.len(), 1, "{found:?}");
        assert_eq!(found[0].kind, FindingKind::BatterySag);
        assert_eq!(found[0].start_s, 3000.0);
        assert!((found[0].value.value - 0.7).abs() < 0.01, "{found:?}");
    }

    #[test]
    fn a_load_that_pulls_it_down_is_none() {
        // 20 mΩ behind a pump of 15 A.
        let night = [(3000, 0.03, 12.5), (600, 15.0, 12.2), (3000, 0.03, 12.5)];
        assert!(!kinds(&night).contains(&FindingKind::BatterySag));
    }

    #[test]
    fn coming_to_rest_is_none() {
        let rest: Vec<(usize, f64, f64)> = (0..120)
            .map(|i| (60, 0.03, 12.5 + 0.45 * (-f64::from(i) / 30.0).exp()))
            .collect();
        assert_eq!(kinds(&rest), []);
        // The alternator stops: surface charge.
        let parked = [(600, 0.5, 14.2), (3000, 0.5, 12.9), (3000, 0.03, 12.8)];
        assert_eq!(kinds(&parked), [FindingKind::Charging]);
    }

    #[test]
    fn steps_tell_the_resistance() {
        let parts: Vec<(usize, f64, f64)> = (0..6)
            .flat_map(|_| [(600, 0.03, 12.5), (60, 5.03, 12.4)])
            .collect();
        let found = found(&parts);
        assert_eq!(found.len(), 1, "{found:?}");
        let ohm = found[0].value;
        assert!((ohm.value - 0.02).abs() < 3.0 * ohm.u.max(1e-4), "{ohm:?}");
        assert!(!found[0].message.contains("much"), "{}", found[0].message);
    }

    #[test]
    fn without_voltage_nothing() {
        assert_eq!(kinds(&[(600, 0.03, f64::NAN)]), []);
    }
}
