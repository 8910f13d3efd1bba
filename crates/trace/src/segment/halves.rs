//! One optimal segmentation from two halves, worked on at the same time.
//!
//! The dynamic programme runs as well from the last sample to the first. With `Qₘ(μ)` the least cost of the first m samples
//! when their last segment has level μ, and `Rₘ(μ)` that of the others when their first segment has level μ, the
//! least cost of all is `min over μ of Qₘ(μ) + Rₘ(μ)`: the segment in the middle has one level, and either it began and
//! ends somewhere in the halves, or, since both hold the segment that would start beyond their end as well, there is a change
//! between them. Both sides are lists of parabolas; the sum is looked at piece by piece. So two processors do the work of one,
//! and what they find is the same optimum; sums are rounded in another order.

use super::piece::{END, Piece, Quadratic};
use super::{Fit, Loss, Segmenter, fit};

/// [`segment`](super::segment) on two threads of rayon's pool. The same optimal cost; of segmentations whose costs differ by no more than the
/// rounding of sums it may find another one. The result does not depend on how many threads there are.
pub fn segment_halves(samples: &[f64], loss: Loss, penalty: f64) -> Fit {
    let (front, back) = samples.split_at(samples.len() / 2);
    let (mut front, mut back) = rayon::join(
        || Segmenter::over(front.iter(), loss, penalty),
        || Segmenter::over(back.iter().rev(), loss, penalty),
    );
    let segments = joined(samples, &mut front, &mut back);
    fit(samples, &segments, front.cap, front.penalty)
}

/// First samples of the segments, with their levels.
fn joined(samples: &[f64], front: &mut Segmenter, back: &mut Segmenter) -> Vec<(usize, f64)> {
    let count = samples.len();
    let middle = meet(&front.function(), &back.function());
    let mut out = front.path.segments(middle.front);
    // The back half counts from the end: its segments end where they start there.
    let after = back.path.segments(middle.back);
    let (first, end) = (middle.front as usize, count - middle.back as usize);
    if first < end {
        out.push((first, middle.level_in(&samples[first..end])));
    }
    let mut end = middle.back as usize;
    for (first, level) in after.into_iter().rev() {
        out.push((count - end, level));
        end = first;
    }
    out
}

/// The segment in the middle: first samples of the segment of either side that are one, and its level.
#[derive(Debug, Clone, Copy)]
struct Middle {
    front: u32,
    back: u32,
    level: f64,
    /// Samples that say something about the level.
    count: f64,
}

impl Middle {
    /// Its level; where nothing tells, that of the first number.
    fn level_in(&self, samples: &[f64]) -> f64 {
        if self.count > 0.0 {
            return self.level;
        }
        let number = samples.iter().copied().find(|y| y.is_finite());
        number.unwrap_or(f64::NAN)
    }
}

/// Where the sum of two functions, each pieces in order of level from −[`END`] to [`END`], is least.
fn meet(front: &[Piece], back: &[Piece]) -> Middle {
    let mut best = f64::INFINITY;
    let mut middle = Middle {
        front: 0,
        back: 0,
        level: 0.0,
        count: 0.0,
    };
    let (mut i, mut j) = (0, 0);
    let mut lo = -END;
    while let (Some(a), Some(b)) = (front.get(i), back.get(j)) {
        let (to_a, to_b) = (end_of(front, i), end_of(back, j));
        let hi = if to_a < to_b { to_a } else { to_b };
        let sum = Piece { lo, ..*a }.plus(&Quadratic {
            n: b.n,
            mean: b.mean,
            floor: b.floor,
        });
        if lo < hi {
            let level = sum.best(hi);
            let cost = sum.at(level);
            if cost < best {
                best = cost;
                middle = Middle {
                    front: a.first,
                    back: b.first,
                    level,
                    count: sum.n,
                };
            }
        }
        i += usize::from(to_a <= hi);
        j += usize::from(to_b <= hi);
        lo = hi;
    }
    middle
}

fn end_of(pieces: &[Piece], j: usize) -> f64 {
    pieces.get(j + 1).map_or(END, |next| next.lo)
}
