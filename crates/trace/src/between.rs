//! What a recording says between two moments: level, step, charge.

use measure::Uncertain;

use crate::analysis::Segment;
use crate::envelope::{extremes, index_at};
use crate::noise::Noise;
use crate::{Trace, average, batches};

/// A stretch of a recording between two cursors.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Between {
    /// Time of its first sample, seconds from the start of the recording.
    pub from_s: f64,
    /// Time of its last sample.
    pub to_s: f64,
    /// Samples in it that are numbers.
    pub samples: usize,
    /// Time-weighted mean, ampere.
    pub level: Uncertain,
    /// Least sample, ampere.
    pub low_a: f64,
    /// Greatest sample, ampere.
    pub high_a: f64,
    /// Charge between the first and the last sample, ampere-hours.
    pub charge_ah: Uncertain,
    /// Level at the later cursor minus the level at the earlier one, ampere; `None` where both lie on one level.
    pub step: Option<Uncertain>,
    /// Time in it without samples, bridged by a straight line, seconds.
    pub missing_s: f64,
}

/// Measures `trace` from `from_s` to `to_s` (seconds from its start, in either order). `segments` are the levels
/// found in it; without them there is no step, and the edges of levels add no uncertainty.
///
/// Level and charge are those of the samples that lie between, integrated as trapezoids; their uncertainty is that of
/// scatter, correlation and rounding, of steps that fall between two samples, and of gaps. What the meter itself adds
/// is not in it. `None` where no sample lies between.
pub fn between(trace: &Trace, segments: &[Segment], from_s: f64, to_s: f64) -> Option<Between> {
    let (from_s, to_s) = (from_s.min(to_s), from_s.max(to_s));
    let (first, end) = (index_at(trace, from_s, false), index_at(trace, to_s, true));
    let samples = trace.current_a.get(first..end)?;
    let numbers = || samples.iter().copied().filter(|y| y.is_finite());
    numbers().next()?;
    let last = end - 1;
    let noise = Noise::of(samples);
    let inside = |s: &&Segment| s.last >= first && s.first <= last;
    let levels: Vec<Segment> = segments.iter().filter(inside).cloned().collect();
    let integral = average::integrate(trace, first, last);
    let hidden_as = noise.scatter * integral.bridged_s;
    let ends = (first, last);
    let (mut level, mut charge_ah) =
        average::of_integral(trace, ends, &integral, &noise, hidden_as, &levels);
    if levels.len() == 1 {
        // On one level the scatter of batches knows any correlation.
        level.u = level
            .u
            .max(batches::u_of_level(samples, level.value, &noise));
        charge_ah.u = charge_ah
            .u
            .max(level.u * (trace.time_s(last) - trace.time_s(first)) / 3600.0);
    }
    let (low_a, high_a) = extremes(samples);
    let step = match (levels.first(), levels.last()) {
        (Some(a), Some(b)) if a.first != b.first => Some(b.level.minus(a.level)),
        _ => None,
    };
    Some(Between {
        from_s: trace.time_s(first),
        to_s: trace.time_s(last),
        samples: integral.count,
        level,
        low_a,
        high_a,
        charge_ah,
        step: step.filter(|step| step.value.is_finite()),
        missing_s: integral.bridged_s,
    })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::{AnalyseOptions, Source, TimeAxis, analyse};

    fn regular(current_a: Vec<f64>, interval_s: f64) -> Trace {
        Trace {
            axis: TimeAxis::Regular { interval_s },
            current_a,
            voltage_v: None,
            source: Source {
                interval_s,
                ..Source::default()
            },
        }
    }

    /// 400 mA for 600 s, then 23 mA for 600 s, with a known ripple.
    fn two_levels() -> Trace {
        let ripple = |k: usize| [0.0, 1e-3, -1e-3, 2e-3, -2e-3][k * 7 % 5];
        let level = |k: usize| if k < 600 { 0.400 } else { 0.023 };
        regular((0..1200).map(|k| level(k) + ripple(k)).collect(), 1.0)
    }

    #[test]
    fn a_step_is_the_difference_of_the_two_levels() {
        let trace = two_levels();
        let segments = analyse(&trace, &AnalyseOptions::default()).segments;
        let found = between(&trace, &segments, 900.0, 300.0).unwrap();
        let step = found.step.unwrap();
        assert!(
            (step.value + 0.377).abs() < 3.0 * step.u.max(1e-4),
            "{step:?}"
        );
        // 300 s at 400 mA and 300 s at 23 mA, by hand.
        let charge = (300.0 * 0.400 + 300.0 * 0.023) / 3600.0;
        assert!(
            (found.charge_ah.value - charge).abs() < 3.0 * found.charge_ah.u,
            "{found:?}"
        );
        assert_eq!(
            (found.from_s, found.to_s, found.samples),
            (300.0, 900.0, 601)
        );
        assert_eq!((found.low_a, found.high_a), (0.023 - 2e-3, 0.400 + 2e-3));
        let one = between(&trace, &segments, 700.0, 1100.0).unwrap();
        assert_eq!(one.step, None);
        assert!(
            (one.level.value - 0.023).abs() < 3.0 * one.level.u,
            "{one:?}"
        );
    }

    #[test]
    fn a_gap_is_said_and_widens_the_charge() {
        let mut stamps: Vec<f64> = (0..100).map(f64::from).collect();
        stamps.extend((0..100).map(|k| 1000.0 + f64::from(k)));
        let mut trace = regular(
            (0..200).map(|k| 0.05 + 1e-3 * f64::from(k % 3)).collect(),
            1.0,
        );
        trace.axis = TimeAxis::Stamps(stamps);
        let found = between(&trace, &[], 0.0, 2000.0).unwrap();
        assert_eq!(found.missing_s, 901.0);
        let whole = between(&trace, &[], 0.0, 99.0).unwrap();
        assert!(found.charge_ah.u > 5.0 * whole.charge_ah.u, "{found:?}");
    }

    #[test]
    fn nothing_between_is_nothing() {
        let trace = two_levels();
        assert_eq!(between(&trace, &[], 5.2, 5.8), None);
        assert_eq!(between(&trace, &[], 5000.0, 6000.0), None);
        assert_eq!(between(&trace, &[], f64::NAN, f64::NAN), None);
        assert_eq!(between(&regular(Vec::new(), 1.0), &[], 0.0, 1.0), None);
        assert_eq!(
            between(&regular(vec![f64::NAN; 9], 1.0), &[], 0.0, 9.0),
            None
        );
        let single = between(&trace, &[], 5.0, 5.0).unwrap();
        assert_eq!((single.samples, single.charge_ah.value), (1, 0.0));
    }

    proptest! {
        /// Charges of neighbouring stretches add up, and a mean lies between least and greatest.
        #[test]
        fn charges_add_up(samples in prop::collection::vec(-1.0..9.0f64, 3..400), cut in 1usize..398) {
            let end = samples.len() - 1;
            let cut = cut.min(end - 1).max(1);
            let trace = regular(samples, 0.5);
            let piece = |a: usize, b: usize| between(&trace, &[], trace.time_s(a), trace.time_s(b)).unwrap();
            let (left, right, all) = (piece(0, cut), piece(cut, end), piece(0, end));
            prop_assert!((left.charge_ah.value + right.charge_ah.value - all.charge_ah.value).abs() < 1e-9);
            prop_assert!(all.low_a - 1e-9 <= all.level.value && all.level.value <= all.high_a + 1e-9);
            prop_assert!(all.level.u.is_finite() && all.charge_ah.u >= 0.0);
        }
    }
}
