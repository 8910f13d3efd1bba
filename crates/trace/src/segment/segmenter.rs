//! The engine, one sample at a time.

use super::core::Core;
use super::piece::{Best, END, Piece};
use super::plain::Plain;
use super::{Fit, Loss, fit};

/// Samples of a larger magnitude count as not-a-number.
const LARGEST: f64 = 1e70;

/// Exact optimal segmentation, fed sample by sample.
///
/// Keeps 12 bytes a sample (where the best last segment of each prefix starts,
/// and its level) besides a short list of pieces. The samples themselves stay with the caller.
#[derive(Debug, Clone, PartialEq)]
pub struct Segmenter {
    pub(super) penalty: f64,
    /// Loss above which a sample counts no more; infinite for plain squares.
    pub(super) cap: f64,
    pub(super) half_width: f64,
    pub(super) firsts: Vec<u32>,
    pub(super) levels: Vec<f64>,
    pub(super) cost: f64,
    /// Pieces below, in, and above the core, in order of level.
    pub(super) left: Vec<Piece>,
    pub(super) core: Core,
    pub(super) right: Vec<Piece>,
    pub(super) scratch: Vec<Piece>,
    /// All pieces, if the loss is not bounded.
    pub(super) plain: Plain,
    /// Prefix length at which the core was last chosen, and the one before that.
    pub(super) chosen: u32,
    pub(super) wait: u32,
}

impl Segmenter {
    /// Starts with no sample. A penalty that is not above zero counts as the smallest that is.
    pub fn new(loss: Loss, penalty: f64) -> Self {
        let cap = match loss {
            Loss::Squares => f64::INFINITY,
            Loss::Bounded { cap } if cap > 0.0 => cap,
            Loss::Bounded { .. } => f64::MIN_POSITIVE,
        };
        Self {
            penalty: if penalty > 0.0 {
                penalty
            } else {
                f64::MIN_POSITIVE
            },
            cap,
            half_width: cap.sqrt(),
            firsts: Vec::new(),
            levels: Vec::new(),
            cost: 0.0,
            // No change is paid for before the first segment.
            left: vec![Piece::fresh(-END, 0.0, 0)],
            core: Core::default(),
            right: Vec::new(),
            scratch: Vec::new(),
            plain: Plain::of(&[Piece::fresh(-END, 0.0, 0)], END, 0.0, 0),
            chosen: 0,
            wait: 32,
        }
    }

    /// Makes room for `samples` more.
    pub fn reserve(&mut self, samples: usize) {
        self.firsts.reserve_exact(samples);
        self.levels.reserve_exact(samples);
    }

    /// Samples taken.
    pub fn len(&self) -> usize {
        self.firsts.len()
    }

    /// Whether no sample was taken yet.
    pub fn is_empty(&self) -> bool {
        self.firsts.is_empty()
    }

    /// Penalised cost of the samples so far, as accumulated on the way.
    pub fn cost(&self) -> f64 {
        self.cost
    }

    /// Pieces kept at the moment; what a step costs at most.
    pub fn pieces(&self) -> usize {
        if self.cap < f64::INFINITY {
            self.left.len() + (self.core.end - self.core.start) + self.right.len()
        } else {
            self.plain.count()
        }
    }

    /// First samples of the segments of the best fit to the first `prefix` samples,
    /// with their levels. `prefix` is cut to the samples taken.
    pub fn segments(&self, prefix: usize) -> Vec<(usize, f64)> {
        let mut out = Vec::new();
        let mut end = prefix.min(self.firsts.len());
        while end > 0 {
            let first = self.firsts[end - 1] as usize;
            out.push((first, self.levels[end - 1]));
            end = first;
        }
        out.reverse();
        out
    }

    /// The best fit to `samples`, which must be a prefix of those taken. Identical,
    /// to the last bit, to [`segment`](super::segment) of the same prefix.
    pub fn fit(&self, samples: &[f64]) -> Fit {
        fit(
            samples,
            &self.segments(samples.len()),
            self.cap,
            self.penalty,
        )
    }

    /// Takes one sample. Not-a-number and infinities say nothing about any level and cost nothing.
    /// More than 2³² − 2 samples are not taken.
    #[inline]
    pub fn push(&mut self, y: f64) {
        if self.cap < f64::INFINITY {
            self.step::<true>(y);
        } else {
            self.step::<false>(y);
        }
    }

    #[inline(always)]
    pub(super) fn step<const BOUNDED: bool>(&mut self, y: f64) {
        if self.firsts.len() >= (u32::MAX - 1) as usize {
            return;
        }
        // Far beyond any current; also keeps the squares finite. NaN lands here too.
        if !y.is_finite() || y.abs() > LARGEST {
            let first = self.firsts.last().copied().unwrap_or(0);
            let level = self.levels.last().copied().unwrap_or(f64::NAN);
            self.firsts.push(first);
            self.levels.push(level);
            return;
        }
        if !BOUNDED {
            let next = self.firsts.len() as u32 + 1;
            let best = self.plain.step(y, self.penalty, next);
            self.cost = best.cost;
            self.firsts.push(best.first);
            self.levels.push(best.level);
            return;
        }
        let mut best = Best::none();
        let core_hi = if self.core.is_empty() {
            END
        } else {
            self.core.hi
        };
        let left_hi = if self.core.is_empty() {
            END
        } else {
            self.core.lo()
        };
        self.add(y, Side::Left, left_hi, &mut best);
        let (core_cost, ridge) = self.add_to_core(y, core_hi, &mut best);
        self.add(y, Side::Right, END, &mut best);

        self.cost = best.cost;
        self.firsts.push(best.first);
        self.levels.push(best.level);
        self.prune(best.cost + self.penalty, core_cost, ridge);
        let next = self.firsts.len() as u32;
        if next - self.chosen >= self.wait {
            self.choose_core(next, best.level);
        }
    }

    /// Adds the loss of `y` to the pieces of one side.
    #[inline(always)]
    fn add(&mut self, y: f64, side: Side, end: f64, best: &mut Best) {
        let pieces = match side {
            Side::Left => &mut self.left,
            Side::Right => &mut self.right,
        };
        self.scratch.clear();
        split(
            pieces,
            y,
            self.half_width,
            self.cap,
            end,
            &mut self.scratch,
            best,
        );
        std::mem::swap(pieces, &mut self.scratch);
    }

    /// Adds the loss of `y` to the core; returns the core's minimum and inner maximum.
    #[inline(always)]
    fn add_to_core(&mut self, y: f64, hi: f64, best: &mut Best) -> (f64, f64) {
        if self.core.is_empty() {
            return (f64::INFINITY, f64::NEG_INFINITY);
        }
        let lo = self.core.lo();
        let (below, above) = (y - self.half_width, y + self.half_width);
        let cut = |x: f64| x > lo && x < hi;
        if cut(below) || cut(above) {
            let mut whole = std::mem::take(&mut self.scratch);
            whole.clear();
            self.core.drain_into(&mut whole);
            let mut pieces = Vec::with_capacity(whole.len() + 2);
            split(
                &whole,
                y,
                self.half_width,
                self.cap,
                hi,
                &mut pieces,
                &mut Best::none(),
            );
            self.core.fill(&pieces, hi);
            self.scratch = whole;
        } else if below <= lo && hi <= above {
            self.core.pending.add_square(y);
        } else {
            self.core.pending.floor += self.cap;
        }
        self.core.minimum(best)
    }

    /// Replaces every level that costs more than `limit` by a segment starting at the next sample.
    #[inline(always)]
    fn prune(&mut self, limit: f64, core_cost: f64, ridge: f64) {
        let next = self.firsts.len() as u32;
        let mut hole = None;
        let mut left_end = END;
        if !self.core.is_empty() {
            left_end = self.core.lo();
            if core_cost > limit || (ridge > limit && self.core.crest() > limit) {
                // Rare: the middle itself must be cut open. The right side joins too, to keep the order.
                self.core.drain_into(&mut self.left);
                self.left.append(&mut self.right);
                left_end = END;
                self.wait = 0;
            }
        }
        self.scratch.clear();
        let mut open = cut_above(&self.left, limit, next, left_end, &mut self.scratch, false);
        if !self.core.is_empty() {
            let lo = self.core.lo();
            if self.core.trim_left(limit) && !open {
                self.scratch.push(Piece::fresh(lo, limit, next));
            }
            if self.core.trim_right(limit) {
                hole = Some(self.core.hi);
            }
        }
        std::mem::swap(&mut self.left, &mut self.scratch);
        self.scratch.clear();
        open = false;
        if let Some(lo) = hole {
            self.scratch.push(Piece::fresh(lo, limit, next));
            open = true;
        }
        cut_above(&self.right, limit, next, END, &mut self.scratch, open);
        std::mem::swap(&mut self.right, &mut self.scratch);
    }

    /// Takes the run of old pieces around the best level as the new core.
    fn choose_core(&mut self, next: u32, level: f64) {
        let mut all = std::mem::take(&mut self.scratch);
        all.clear();
        all.append(&mut self.left);
        if !self.core.is_empty() {
            self.core.drain_into(&mut all);
        }
        all.append(&mut self.right);
        let old = |piece: &Piece| piece.first <= self.chosen;
        let at = all
            .partition_point(|piece| piece.lo <= level)
            .saturating_sub(1);
        let (mut from, mut to) = (at, at);
        if all.get(at).is_some_and(old) {
            to = at + 1;
            while from > 0 && old(&all[from - 1]) {
                from -= 1;
            }
            while to < all.len() && old(&all[to]) {
                to += 1;
            }
        }
        if to > from {
            let hi = all.get(to).map_or(END, |piece| piece.lo);
            self.core.fill(&all[from..to], hi);
            self.left.extend_from_slice(&all[..from]);
            self.right.extend_from_slice(&all[to..]);
        } else {
            self.left.extend_from_slice(&all);
        }
        self.wait = 32.max(2 * all.len() as u32);
        self.chosen = next;
        self.scratch = all;
    }
}

#[derive(Clone, Copy)]
enum Side {
    Left,
    Right,
}

/// Adds `min((y − μ)², cap)` to `pieces`, cutting them at `y ± half_width`.
#[inline(always)]
fn split(
    pieces: &[Piece],
    y: f64,
    half_width: f64,
    cap: f64,
    end: f64,
    out: &mut Vec<Piece>,
    best: &mut Best,
) {
    let (below, above) = (y - half_width, y + half_width);
    for (j, &piece) in pieces.iter().enumerate() {
        let hi = if j + 1 < pieces.len() {
            pieces[j + 1].lo
        } else {
            end
        };
        let mut lo = piece.lo;
        if lo < below {
            let to = if below < hi { below } else { hi };
            let far = Piece {
                lo,
                floor: piece.floor + cap,
                ..piece
            };
            best.offer(&far, to);
            out.push(far);
            lo = to;
        }
        if lo < hi && lo < above {
            let to = if above < hi { above } else { hi };
            let mut near = Piece { lo, ..piece };
            near.add_square(y);
            best.offer(&near, to);
            out.push(near);
            lo = to;
        }
        if lo < hi {
            let far = Piece {
                lo,
                floor: piece.floor + cap,
                ..piece
            };
            best.offer(&far, hi);
            out.push(far);
        }
    }
}

/// Copies `pieces` to `out`, with a fresh segment wherever they cost more than `limit`.
/// `open`: the last piece in `out` is such a fresh one. Returns whether it is at the end.
#[inline(always)]
pub(super) fn cut_above(
    pieces: &[Piece],
    limit: f64,
    next: u32,
    end: f64,
    out: &mut Vec<Piece>,
    mut open: bool,
) -> bool {
    for (j, &piece) in pieces.iter().enumerate() {
        let hi = if j + 1 < pieces.len() {
            pieces[j + 1].lo
        } else {
            end
        };
        if piece.at(piece.lo) <= limit && piece.at(hi) <= limit {
            out.push(piece);
            open = false;
            continue;
        }
        let reach = piece.reach(limit);
        let from = piece.lo.max(piece.mean - reach);
        let to = hi.min(piece.mean + reach);
        // Also false when the square root was of a negative number.
        if piece.floor <= limit && from < to {
            if piece.lo < from && !open {
                out.push(Piece::fresh(piece.lo, limit, next));
            }
            out.push(Piece { lo: from, ..piece });
            open = to < hi;
            if open {
                out.push(Piece::fresh(to, limit, next));
            }
        } else if !open {
            out.push(Piece::fresh(piece.lo, limit, next));
            open = true;
        }
    }
    open
}
