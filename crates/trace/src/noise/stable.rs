//! The penalty of a short record, which does not tell slow noise from stairs by its differences alone.
//!
//! A record of a few hundred samples gives two answers: the penalty for independent noise, at which everything slow is stairs, and that
//! for the slow noise and drift that its differences suggest, which may deny plain steps, since these look slow too.
//! Between the two the number of changes falls, in stages; all these fits are candidates
//! (K. Haynes, I. Eckley, P. Fearnhead, "Computationally efficient changepoint detection for a range of penalties", Journal of
//! Computational and Graphical Statistics 26, 2017).
//!
//! * The shortest description (`describe.rs`) says which of them, or none, if what is left about its levels returns to them
//!   (`wanders.rs`).
//! * If it says none, or what is left wanders, a number of changes that stays the same over the widest range of penalties, by ratio, is
//!   taken, for that is what a step well above all that is smaller makes (widest plateau as in J.-P. Baudry, C. Maugis, B. Michel,
//!   "Slope heuristics: overview and implementation", Statistics and Computing 22, 2012); but only if most of its changes are
//!   steps beside a line (`drift.rs`) and the range is wider than noise makes it.
//! * Otherwise the larger penalty holds.

use super::{Noise, describe, drift, wanders};
use crate::segment::{Loss, segment};

/// Records longer than this tell a creeping zero from stairs. A choice.
const SHORT: usize = 500;
/// Records shorter than this have no ranges to compare. A choice.
const LEAST: usize = 8;
/// Penalties to a doubling. A choice; twice as many give the same.
const FINE: i32 = 4;
/// Doublings at most.
const DOUBLINGS: i32 = 40;
/// Penalties in a range that stands out: of a record that wanders; and of one that does not and is described best without changes, where
/// first-order noise of a correlation up to 0.9 makes it that wide in under 5 % of records of 200 samples. From invented records.
const WIDE: i32 = 6;
const WIDE_AT_REST: i32 = 10;

/// Fits of one number of segments: the first and last penalty that give it, and the fit at the middle one.
struct Range {
    count: usize,
    from: i32,
    to: i32,
}

impl Range {
    fn width(&self) -> i32 {
        self.to - self.from + 1
    }

    fn middle(&self) -> i32 {
        (self.from + self.to) / 2
    }
}

/// The factor for `inflation × drift` of `noise` in the penalty of `samples`; one for records that are not short.
pub(super) fn factor(samples: &[f64], noise: &Noise) -> f64 {
    let slow = noise.inflation * noise.drift;
    if !(LEAST..=SHORT).contains(&samples.len()) || slow <= 1.0 || noise.sigma <= 0.0 {
        return 1.0;
    }
    let samples: Vec<f64> = samples.iter().copied().filter(|y| y.is_finite()).collect();
    if samples.len() < LEAST {
        return 1.0;
    }
    let at = |k: i32| 2.0_f64.powf(f64::from(k) / f64::from(FINE)) / slow;
    let fits = fits(&samples, noise, at);
    let ranges = ranges(&fits);
    // None at all counts as the penalty that leaves none, whatever the noise suggests.
    let none = fits.iter().position(|fit| fit.len() <= 1);
    let none = none.map_or(1.0, |k| at(k as i32).max(1.0));
    let calm = describe::calm(&samples);
    let candidates = ranges.iter().filter(|range| range.count > 1);
    let shortest = candidates
        .map(|range| (range, &fits[range.middle() as usize]))
        .filter(|(range, _)| describe::MOST_SEGMENTS * range.count < samples.len())
        .map(|(range, fit)| (describe::length(&calm, fit, noise), range, fit))
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .filter(|best| best.0 < describe::length(&calm, &[0], noise));
    let firsts = shortest.as_ref().map_or(&[0][..], |best| best.2);
    let returns = wanders::returns(&calm, firsts);
    if returns && let Some((_, range, _)) = shortest {
        return at(range.middle());
    }
    let steps = |range: &&Range| {
        let fit = &fits[range.middle() as usize];
        range.count > 1 && drift::beside_lines(&samples, fit, noise)
    };
    let wide = if returns { WIDE_AT_REST } else { WIDE };
    // Of equally wide ranges the one with fewer changes.
    match ranges
        .iter()
        .filter(steps)
        .max_by_key(|range| range.width())
    {
        Some(range) if range.width() >= wide => at(range.middle()),
        _ if returns => none,
        _ => 1.0,
    }
}

/// The first samples of the segments at all penalties, from that for independent noise up to none or the largest.
fn fits(samples: &[f64], noise: &Noise, at: impl Fn(i32) -> f64) -> Vec<Vec<usize>> {
    let mut fits: Vec<Vec<usize>> = Vec::new();
    let mut trial = *noise;
    for k in 0..=FINE * DOUBLINGS {
        trial.short = at(k);
        let loss = Loss::Bounded { cap: trial.cap() };
        let fit = segment(samples, loss, trial.penalty(samples.len())).firsts;
        let last = fit.len() <= 1 && trial.short > 1.0;
        fits.push(fit);
        if last {
            break;
        }
    }
    fits
}

fn ranges(fits: &[Vec<usize>]) -> Vec<Range> {
    let mut ranges: Vec<Range> = Vec::new();
    for (k, fit) in fits.iter().enumerate() {
        let (count, k) = (fit.len(), k as i32);
        match ranges.last_mut() {
            Some(range) if range.count == count => range.to = k,
            _ => ranges.push(Range {
                count,
                from: k,
                to: k,
            }),
        }
    }
    ranges
}
