//! Levels of a trace that grows.

use crate::Trace;
use crate::analysis::{AnalyseOptions, Levels, ground, own_penalty, segment_only, to_segments};
use crate::noise::Noise;
use crate::segment::{BadSnapshot, Loss, Segmenter};

/// [`segment_only`] for a trace that grows: identical to it, to the last bit, at every prefix of any length that is asked about, after a
/// restart too.
///
/// * **With a penalty of its own** ([`AnalyseOptions::penalty`]) only the samples since the last question go through the segmenter, at the same
///   cost each whatever came before; the batch puts all of them through the same steps in the same order, so that nothing is rounded
///   differently. The bound of the loss follows from the noise of the prefix: where it has become another one, all samples are taken
///   again; with [`AnalyseOptions::plain`] there is none. The noise, and mean and uncertainty of each level, are summed afresh from the
///   samples at every question, several times cheaper than segmenting them.
/// * **With the default penalty** (`2 σ² ln n`, another one for every length) nothing that was found at one length holds at the
///   next, so a question *is* the batch. Who asks each time the trace has grown by a fixed share pays a fixed number of steps a sample.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Running {
    engine: Option<(Loss, f64, Segmenter)>,
}

impl Running {
    /// Levels of `trace`, which must begin with what it was at the last question.
    pub fn levels(&mut self, trace: &Trace, options: &AnalyseOptions) -> Levels {
        let known = self.engine.take();
        if own_penalty(options).is_none() {
            return segment_only(trace, options);
        }
        let noise = Noise::of(&trace.current_a);
        let (loss, penalty) = ground(trace, options, &noise);
        let same = |(l, p, engine): &(Loss, f64, Segmenter)| {
            *l == loss && *p == penalty && engine.len() <= trace.len()
        };
        let known = known.filter(same);
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
mod tests;
