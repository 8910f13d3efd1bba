//! Levels of a trace that grows.

use crate::Trace;
use crate::analysis::{AnalyseOptions, Levels, ground, to_segments};
use crate::noise::Noise;
use crate::segment::{BadSnapshot, Loss, Segmenter};

/// [`segment_only`](crate::segment_only) for a trace that grows: identical to it, to the last bit, at every prefix that is asked about,
/// with a given penalty and with the default one. From 65,536 samples on that one works from both ends at once: the
/// optimum is the same, sums are rounded in another order.
///
/// With a penalty of its own and `plain`, only the samples since the last question are taken, at the same cost each. The default penalty and
/// the bound of the loss follow from the noise of the whole prefix, which is estimated anew at every question; as long as
/// they are what they were, here too only new samples are taken, and otherwise all of them, once. Who asks each time the trace has grown
/// by a fixed share pays a fixed number of steps a sample.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Running {
    engine: Option<(Loss, f64, Segmenter)>,
}

impl Running {
    /// Levels of `trace`, which must begin with what it was at the last question.
    pub fn levels(&mut self, trace: &Trace, options: &AnalyseOptions) -> Levels {
        let noise = Noise::of(&trace.current_a);
        let (loss, penalty) = ground(trace, options, &noise);
        let same = |(l, p, engine): &(Loss, f64, Segmenter)| {
            *l == loss && *p == penalty && engine.len() <= trace.len()
        };
        let known = self.engine.take().filter(same);
        let mut engine = known.map_or_else(|| Segmenter::new(loss, penalty), |known| known.2);
        for &sample in trace.current_a.iter().skip(engine.len()) {
            engine.push(sample);
        }
        let fit = engine.fit(&trace.current_a);
        self.engine = Some((loss, penalty, engine));
        Levels {
            segments: to_segments(trace, &fit, &noise),
            penalty,
            cost: fit.cost,
            noise,
        }
    }

    /// What it knows, to go on after a restart.
    pub fn to_bytes(&self) -> Vec<u8> {
        let Some((loss, penalty, engine)) = &self.engine else {
            return Vec::new();
        };
        let cap = match loss {
            Loss::Bounded { cap } => *cap,
            Loss::Squares => f64::INFINITY,
        };
        let mut bytes = [cap.to_le_bytes(), penalty.to_le_bytes()].concat();
        bytes.extend(engine.to_bytes());
        bytes
    }

    /// Reads what [`Running::to_bytes`] wrote.
    ///
    /// # Errors
    /// As [`Segmenter::from_bytes`].
    pub fn from_bytes(bytes: &[u8]) -> Result<Self, BadSnapshot> {
        if bytes.is_empty() {
            return Ok(Self::default());
        }
        let (head, rest) = bytes.split_at_checked(16).unwrap_or((bytes, &[]));
        let engine = Segmenter::from_bytes(rest)?;
        let number = |at: usize| {
            let bytes = head.get(at..at + 8).and_then(|b| b.try_into().ok());
            bytes.map_or(f64::NAN, f64::from_le_bytes)
        };
        let (cap, penalty) = (number(0), number(8));
        let loss = if cap < f64::INFINITY {
            Loss::Bounded { cap }
        } else {
            Loss::Squares
        };
        Ok(Self {
            engine: Some((loss, penalty, engine)),
        })
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::{Source, TimeAxis, analyse, interpret, segment_only};

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(16))]

        /// Asked at any prefixes, taken up from its bytes between, with the default penalty or a given one: the batch's levels, and
        /// with them its states, sleep and averages.
        #[test]
        fn every_prefix_is_the_batch(
            parts in prop::collection::vec((20usize..400, prop::sample::select(&[0.03, 0.4, 2.0, 0.031][..])), 2..6),
            every in 31usize..200,
            plain: bool,
            penalty in prop::option::of(Just(1e-4)),
        ) {
            let options = AnalyseOptions { penalty, plain, ..AnalyseOptions::default() };
            let levels = parts.iter().flat_map(|&(n, level)| std::iter::repeat_n(level, n));
            let mut trace = Trace {
                axis: TimeAxis::Regular { interval_s: 10.0 },
                current_a: Vec::new(),
                voltage_v: None,
                source: Source { interval_s: 10.0, ..Source::default() },
            };
            let mut running = Running::default();
            for (i, level) in levels.enumerate() {
                trace.current_a.push(level + 0.002 * ((i as f64 * 0.618_033_988_75).fract() - 0.5));
                if i % every == 0 {
                    let found = running.levels(&trace, &options);
                    prop_assert_eq!(&found, &segment_only(&trace, &options));
                    prop_assert_eq!(interpret(&trace, found, &options), analyse(&trace, &options));
                    running = Running::from_bytes(&running.to_bytes()).unwrap();
                }
            }
        }
    }

    #[test]
    fn bytes_that_are_none_are_refused() {
        assert!(Running::from_bytes(&[1, 2, 3]).is_err());
        assert_eq!(Running::from_bytes(&[]).unwrap(), Running::default());
    }
}
