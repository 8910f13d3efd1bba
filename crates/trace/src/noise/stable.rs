//! The penalty of a short record, which does not tell slow noise from stairs.
//!
//! A record of a few hundred samples gives two answers: the penalty for independent noise, at which everything slow is stairs, and that
//! for the slow noise and drift that its differences suggest, which may deny plain steps, since these look slow too.
//! Between the two the number of changes falls, in stages; a number that stays the same over the widest range of penalties, by ratio,
//! is the one that a step well above all that is smaller makes. So the penalty is taken from the middle of the widest range
//! (K. Haynes, I. Eckley, P. Fearnhead, "Computationally efficient changepoint detection for a range of penalties", Journal of
//! Computational and Graphical Statistics 26, 2017, who look for the elbow in the same list of fits; widest plateau as in J.-P. Baudry,
//! C. Maugis, B. Michel, "Slope heuristics: overview and implementation", Statistics and Computing 22, 2012). Noise
//! alone, whose fits lose their changes one after the other, has no range of a doubling; then the larger penalty holds.

use super::Noise;
use crate::segment::{Loss, segment};

/// Records longer than this tell a creeping zero from stairs. A choice.
const SHORT: usize = 500;
/// Records shorter than this have no ranges to compare. A choice.
const LEAST: usize = 8;
/// Penalties to a doubling. A choice; twice as many give the same.
const FINE: i32 = 4;
/// Doublings at most.
const DOUBLINGS: i32 = 40;

/// The factor for `inflation × drift` of `noise` in the penalty of `samples`; one for records that are not short.
pub(super) fn factor(samples: &[f64], noise: &Noise) -> f64 {
    let slow = noise.inflation * noise.drift;
    if !(LEAST..=SHORT).contains(&samples.len()) || slow <= 1.0 || noise.sigma <= 0.0 {
        return 1.0;
    }
    let at = |k: f64| 2.0_f64.powf(k / f64::from(FINE)) / slow;
    // Number of segments, and the first and last penalty that give it.
    let mut ranges: Vec<(usize, i32, i32)> = Vec::new();
    let mut trial = *noise;
    for k in 0..=FINE * DOUBLINGS {
        trial.short = at(f64::from(k));
        let loss = Loss::Bounded { cap: trial.cap() };
        let count = segment(samples, loss, trial.penalty(samples.len()))
            .firsts
            .len();
        // No change at all counts only as far as the noise speaks for it.
        if trial.short > 1.0 && count <= 1 {
            break;
        }
        match ranges.last_mut() {
            Some(range) if range.0 == count => range.2 = k,
            _ => ranges.push((count, k, k)),
        }
    }
    // Of equally wide ranges the one with fewer changes.
    match ranges.iter().max_by_key(|(_, from, to)| to - from) {
        Some((_, from, to)) if to - from + 1 >= FINE => at(f64::from(from + to) / 2.0),
        _ => 1.0,
    }
}
