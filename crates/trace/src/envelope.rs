//! Least and greatest sample per picture column: no spike is ever hidden.

use crate::Trace;

/// The extremes within one column of a picture.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Column {
    /// Least finite sample, ampere.
    pub low_a: f64,
    /// Greatest finite sample, ampere.
    pub high_a: f64,
}

/// A stretch of a trace, decimated to columns of equal duration.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Envelope {
    /// Left edge of the first column.
    pub from_s: f64,
    /// Right edge of the last column.
    pub to_s: f64,
    /// Extremes; `None` for a column without samples.
    pub columns: Vec<Option<Column>>,
}

const NOTHING: (f64, f64) = (f64::INFINITY, f64::NEG_INFINITY);

impl Envelope {
    /// Decimates the samples of `trace` between `from_s` and `to_s` (inclusive) to `columns` columns.
    /// Every sample of the stretch lies in exactly one column, the last one at `to_s` in the last.
    /// For repeated zooms into a long trace build a [`Pyramid`].
    pub fn of(trace: &Trace, from_s: f64, to_s: f64, columns: usize) -> Self {
        Self::from_ranges(trace, from_s, to_s, columns, |first, end| {
            extremes(&trace.current_a[first..end])
        })
    }

    fn from_ranges(
        trace: &Trace,
        from_s: f64,
        to_s: f64,
        columns: usize,
        range: impl Fn(usize, usize) -> (f64, f64),
    ) -> Self {
        let mut out = Self {
            from_s,
            to_s,
            columns: Vec::with_capacity(columns),
        };
        let width = (to_s - from_s) / columns.max(1) as f64;
        let mut first = index_at(trace, from_s, false);
        for column in 1..=columns {
            let end = if column == columns {
                index_at(trace, to_s, true)
            } else {
                index_at(trace, from_s + column as f64 * width, false)
            };
            let (low_a, high_a) = if first < end {
                range(first, end)
            } else {
                NOTHING
            };
            out.columns
                .push((low_a <= high_a).then_some(Column { low_a, high_a }));
            first = first.max(end);
        }
        out
    }
}

/// First sample at or after `time_s`; with `after`, first sample after it.
pub(crate) fn index_at(trace: &Trace, time_s: f64, after: bool) -> usize {
    let (mut low, mut high) = (0, trace.len());
    while low < high {
        let middle = low + (high - low) / 2;
        let time = trace.time_s(middle);
        if time < time_s || (after && time == time_s) {
            low = middle + 1
        } else {
            high = middle
        }
    }
    low
}

pub(crate) fn extremes(samples: &[f64]) -> (f64, f64) {
    samples.iter().fold(NOTHING, |(low, high), &y| {
        if y.is_finite() {
            (low.min(y), high.max(y))
        } else {
            (low, high)
        }
    })
}

/// Samples under one node of the lowest level.
const LEAF: usize = 64;
/// Nodes under one node of the next level.
const FAN: usize = 8;

/// Extremes of blocks of 64, 512, 4096, … samples, for any zoom in
/// a time that hardly depends on the length: each column touches at most two ragged ends per level.
/// Takes about 0.3 bytes a sample.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Pyramid {
    levels: Vec<Vec<(f64, f64)>>,
}

impl Pyramid {
    /// Builds the levels over all samples; O(n).
    pub fn of(trace: &Trace) -> Self {
        let mut levels = vec![
            trace
                .current_a
                .chunks(LEAF)
                .map(extremes)
                .collect::<Vec<_>>(),
        ];
        while let Some(top) = levels.last().filter(|top| top.len() > FAN) {
            let next = top.chunks(FAN).map(join).collect();
            levels.push(next);
        }
        Self { levels }
    }

    /// The same as [`Envelope::of`] for the trace that this was built from.
    pub fn envelope(&self, trace: &Trace, from_s: f64, to_s: f64, columns: usize) -> Envelope {
        Envelope::from_ranges(trace, from_s, to_s, columns, |first, end| {
            self.range(trace, first, end)
        })
    }

    fn range(&self, trace: &Trace, first: usize, end: usize) -> (f64, f64) {
        let samples = &trace.current_a;
        let (mut low, mut high) = (first.div_ceil(LEAF), end / LEAF);
        if low >= high {
            return extremes(&samples[first..end]);
        }
        let mut found = join(&[
            extremes(&samples[first..low * LEAF]),
            extremes(&samples[high * LEAF..end]),
        ]);
        for (depth, level) in self.levels.iter().enumerate() {
            let (up, down) = (low.div_ceil(FAN), high / FAN);
            if depth + 1 == self.levels.len() || up >= down {
                return join(&[found, join(level.get(low..high).unwrap_or(&[]))]);
            }
            found = join(&[
                found,
                join(&level[low..up * FAN]),
                join(&level[down * FAN..high]),
            ]);
            (low, high) = (up, down);
        }
        found
    }
}

fn join(parts: &[(f64, f64)]) -> (f64, f64) {
    parts.iter().fold(NOTHING, |(low, high), part| {
        (low.min(part.0), high.max(part.1))
    })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::{Source, TimeAxis};

    fn trace(current_a: Vec<f64>, axis: TimeAxis) -> Trace {
        Trace {
            axis,
            current_a,
            voltage_v: None,
            source: Source::default(),
        }
    }

    proptest! {
        #[test]
        fn pyramid_hides_nothing(samples in prop::collection::vec(prop_oneof![9 => -1.0..1.0, 1 => Just(f64::NAN)], 1..3000),
                                 a in -50.0..320.0, b in -50.0..320.0, columns in 1usize..40) {
            let (from, to) = if a < b { (a, b) } else { (b, a) };
            let trace = trace(samples, TimeAxis::Regular { interval_s: 0.1 });
            let slow = Envelope::of(&trace, from, to, columns);
            prop_assert_eq!(&Pyramid::of(&trace).envelope(&trace, from, to, columns), &slow);
            let inside = || (0..trace.len()).filter(|&i| (from..=to).contains(&trace.time_s(i))).map(|i| trace.current_a[i]).filter(|y| y.is_finite());
            let highest = slow.columns.iter().flatten().map(|c| c.high_a).fold(f64::NEG_INFINITY, f64::max);
            prop_assert_eq!(highest, inside().fold(f64::NEG_INFINITY, f64::max));
            let lowest = slow.columns.iter().flatten().map(|c| c.low_a).fold(f64::INFINITY, f64::min);
            prop_assert_eq!(lowest, inside().fold(f64::INFINITY, f64::min));
        }
    }

    #[test]
    fn stamps_and_empty_columns() {
        let trace = trace(vec![1.0, 5.0, 2.0], TimeAxis::Stamps(vec![0.0, 1.0, 10.0]));
        let envelope = Envelope::of(&trace, 0.0, 10.0, 5);
        let highs: Vec<_> = envelope
            .columns
            .iter()
            .map(|c| c.map(|c| c.high_a))
            .collect();
        assert_eq!(highs, [Some(5.0), None, None, None, Some(2.0)]);
        assert!(Envelope::of(&trace, 3.0, 3.0, 0).columns.is_empty());
    }
}
