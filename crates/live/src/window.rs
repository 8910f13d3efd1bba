//! The last few thousand samples at full resolution, for steps as they happen.
//!
//! This is the same segmenter as that of [`trace::analyse`], but with the noise and the penalty of the window, not of the whole record: what it
//! finds is a notice, not a verdict. It stays separate because a step must be told within seconds of the pull, at a cost a sample that does
//! not grow with the record, and the default penalty is another one at every length of the record, so that no segmentation of all of it can
//! go on from one sample to the next.

use measure::Uncertain;
use trace::noise::Noise;
use trace::segment::{Loss, Segmenter};

use crate::verdict::{Level, Step};

/// Samples after which the older half is forgotten: some 16 bytes each, so an eighth of a megabyte.
const MOST: usize = 8192;
/// Samples from which noise is estimated for the first time.
const FEWEST: usize = 8;
/// Samples and seconds that a new level must last before its step is told. From memory: below that a ramp looks like stairs.
const CONFIRM_SAMPLES: usize = 4;
const CONFIRM_S: f64 = 1.0;
/// A step is told if it is larger than this many standard uncertainties, as common for "three sigma", …
const SURE: f64 = 3.0;
/// … than this share of the larger level, and this many digits. From memory.
const SHARE: f64 = 0.01;
const DIGITS: f64 = 2.0;

/// The recent samples, segmented exactly as they come.
#[derive(Debug)]
pub(crate) struct Window {
    times_s: Vec<f64>,
    values_a: Vec<f64>,
    /// Samples forgotten.
    before: u64,
    engine: Option<(Noise, Segmenter)>,
    next_noise: usize,
    /// First sample of the level considered last, of all samples, and that level.
    considered: u64,
    stable: Option<Uncertain>,
}

impl Default for Window {
    fn default() -> Self {
        Self {
            times_s: Vec::new(),
            values_a: Vec::new(),
            before: 0,
            engine: None,
            next_noise: FEWEST,
            considered: 0,
            stable: None,
        }
    }
}

impl Window {
    /// Takes a sample; gives the step that it confirms.
    pub(crate) fn push(&mut self, time_s: f64, current_a: f64) -> Option<Step> {
        self.times_s.push(time_s);
        self.values_a.push(current_a);
        if let Some((_, engine)) = &mut self.engine {
            engine.push(current_a);
        }
        if self.values_a.len() >= self.next_noise {
            self.rebuild();
        }
        self.confirm()
    }

    /// The level that holds now.
    pub(crate) fn level(&self) -> Option<Level> {
        let (first, value) = self.last_level()?;
        Some(Level {
            value,
            since_s: *self.times_s.get(first)?,
        })
    }

    /// Estimates the noise afresh and starts the engine again. Happens when the window has doubled, or filled up
    /// from half, so all of it costs a few steps a sample.
    fn rebuild(&mut self) {
        if self.values_a.len() >= MOST {
            let gone = self.values_a.len() - MOST / 2;
            self.values_a.drain(..gone);
            self.times_s.drain(..gone);
            self.before += gone as u64;
        }
        self.next_noise = (2 * self.values_a.len()).min(MOST);
        let noise = Noise::of(&self.values_a);
        let penalty = noise.penalty(self.values_a.len());
        let mut engine = Segmenter::new(Loss::Bounded { cap: noise.cap() }, penalty);
        self.values_a.iter().for_each(|value| engine.push(*value));
        self.engine = Some((noise, engine));
    }

    /// First sample in the window and level of the last segment.
    fn last_level(&self) -> Option<(usize, Uncertain)> {
        let (noise, engine) = self.engine.as_ref()?;
        let length = self.values_a.len();
        let (first, level) = *engine.segments().last()?;
        let level = if level.is_finite() {
            level
        } else {
            return None;
        };
        Some((
            first,
            Uncertain::new(level, noise.u_of_mean(length - first)),
        ))
    }

    fn confirm(&mut self) -> Option<Step> {
        let (first, level) = self.last_level()?;
        let at = self.before + first as u64;
        if at <= self.considered || first == 0 {
            // The level goes on and becomes better known.
            self.stable = Some(level);
            return None;
        }
        let length = self.values_a.len();
        let at_s = *self.times_s.get(first)?;
        let lasts_s = self.times_s.last()? - at_s;
        if length - first < CONFIRM_SAMPLES || lasts_s < CONFIRM_S {
            return None;
        }
        self.considered = at;
        let before = self.stable.replace(level)?;
        let change = Uncertain::new(level.value - before.value, level.u.hypot(before.u));
        let digit = self
            .engine
            .as_ref()
            .map_or(0.0, |(noise, _)| noise.resolution);
        let least = (SURE * change.u)
            .max(SHARE * level.value.abs().max(before.value.abs()))
            .max(DIGITS * digit);
        (change.value.abs() > least).then_some(Step {
            at_s,
            change,
            to: level,
        })
    }
}
