//! Steps matched to what was done: a fuse pulled at 21:14.

use measure::Uncertain;

use crate::analysis::{Analysis, Segment};
use crate::noise::Noise;
use crate::{Trace, batches};

/// A lasting change of the draw.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Step {
    /// When the new level began, after any return from sleep that the act itself caused.
    pub at_s: f64,
    /// New level minus old, ampere; negative when something was switched off.
    pub size: Uncertain,
}

/// Shortest level that counts as lasting, on either side. From memory: an opened door keeps modules
/// awake for a minute or two, and those levels are not what was pulled.
const LASTING_S: f64 = 60.0;

/// The lasting change of the level of `trace`, which `analysis` is about, around `time_s` (seconds as in the segments), or `None` if the level
/// before or after does not last, or nothing changed within `tolerance_s`.
///
/// The level before is the last lasting one that begins before the first change within the tolerance; the level after
/// is the one on which the current has come to rest by the end of the tolerance: the last lasting one that begins
/// within it. Where these last, a zero that creeps along them is taken out. Returns from sleep in between, which opened doors and pulled fuses cause, are so no part of the step;
/// take a tolerance as long as they last.
pub fn step_at(trace: &Trace, analysis: &Analysis, time_s: f64, tolerance_s: f64) -> Option<Step> {
    let segments = &analysis.segments;
    let lasts = |s: &Segment| s.end_s - s.start_s >= LASTING_S && s.level.value.is_finite();
    let within = |s: &Segment| (s.start_s - time_s).abs() <= tolerance_s;
    let first = segments.iter().skip(1).position(within)? + 1;
    let before = segments[..first].iter().rev().find(|s| lasts(s))?;
    let after = segments[first..]
        .iter()
        .take_while(|s| within(s))
        .filter(|s| lasts(s))
        .last()?;
    let noise = Noise::of(&trace.current_a);
    let samples = |s: &Segment| trace.current_a.get(s.first..=s.last).unwrap_or(&[]);
    let from = batches::at_end(samples(before), before.level, &noise, true);
    let to = batches::at_end(samples(after), after.level, &noise, false);
    Some(Step {
        at_s: after.start_s,
        size: to.minus(from),
    })
}

#[cfg(test)]
mod tests;
