//! The engine, one sample at a time.

use super::core::Core;
use super::cuts::split;
use super::path::Path;
use super::piece::{Best, END, Piece};
use super::plain::Plain;
use super::sides::{Sample, Side, mirrored};
use super::{Fit, Loss, fit};

/// Samples of a larger magnitude count as not-a-number.
const LARGEST: f64 = 1e70;

/// Exact optimal segmentation, fed sample by sample.
///
/// Keeps a short list of pieces and what these lead back to, some 16 bytes for each change that is still possible. The
/// samples themselves stay with the caller.
#[derive(Debug, Clone, PartialEq)]
pub struct Segmenter {
    pub(super) penalty: f64,
    /// Loss above which a sample counts no more; infinite for plain squares.
    pub(super) cap: f64,
    pub(super) half_width: f64,
    /// Last segment of each prefix.
    pub(super) path: Path,
    pub(super) cost: f64,
    /// Pieces below (mirrored), in, and above the core.
    pub(super) left: Side,
    pub(super) core: Core,
    pub(super) right: Side,
    /// What all other levels cost, and the segment that would start there.
    pub(super) outside: f64,
    pub(super) fresh: u32,
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
            path: Path::default(),
            cost: 0.0,
            // No change is paid for before the first segment.
            left: Side {
                pieces: Vec::new(),
                end: END,
            },
            core: Core::default(),
            right: Side {
                pieces: vec![Piece::fresh(-END, 0.0, 0)],
                end: END,
            },
            outside: 0.0,
            fresh: 0,
            scratch: Vec::new(),
            plain: Plain::of(&[Piece::fresh(-END, 0.0, 0)], END, 0.0, 0),
            chosen: 0,
            wait: 32,
        }
    }

    /// Fed all `samples`.
    pub(super) fn over<'a>(
        samples: impl Iterator<Item = &'a f64>,
        loss: Loss,
        penalty: f64,
    ) -> Self {
        let mut segmenter = Self::new(loss, penalty);
        match loss {
            Loss::Squares => samples.for_each(|&y| segmenter.step::<false>(y)),
            Loss::Bounded { .. } => samples.for_each(|&y| segmenter.step::<true>(y)),
        }
        segmenter
    }

    /// Samples taken.
    pub fn len(&self) -> usize {
        self.path.len() as usize
    }

    /// Whether no sample was taken yet.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// Penalised cost of the samples so far, as accumulated on the way.
    pub fn cost(&self) -> f64 {
        self.cost
    }

    /// Pieces kept at the moment; what a step costs at most.
    pub fn pieces(&self) -> usize {
        if self.cap < f64::INFINITY {
            self.left.pieces.len() + (self.core.end - self.core.start) + self.right.pieces.len()
        } else {
            self.plain.count()
        }
    }

    /// First samples of the segments of the best fit to the samples taken, with their levels.
    pub fn segments(&self) -> Vec<(usize, f64)> {
        self.path.segments(self.path.len())
    }

    /// The best fit to `samples`, which must be those taken. Identical, to the last bit, to
    /// [`segment`](super::segment) of the same samples.
    pub fn fit(&self, samples: &[f64]) -> Fit {
        fit(samples, &self.segments(), self.cap, self.penalty)
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
        let taken = self.path.len();
        if taken >= u32::MAX - 1 {
            return;
        }
        // Far beyond any current; also keeps the squares finite. NaN lands here too.
        if !y.is_finite() || y.abs() > LARGEST {
            let (first, level) = self.path.last_of(taken).unwrap_or((0, f64::NAN));
            self.path.push(first, level);
        } else if BOUNDED {
            self.bounded_step(y);
        } else {
            let best = self.plain.step(y, self.penalty, taken + 1);
            self.cost = best.cost;
            self.path.push(best.first, best.level);
        }
        if self.path.full() {
            self.forget::<BOUNDED>();
        }
    }

    /// Forgets the prefixes that nothing leads back to any more.
    #[inline(never)]
    fn forget<const BOUNDED: bool>(&mut self) {
        if BOUNDED {
            let core = &self.core.pieces[self.core.start..self.core.end];
            let pieces = self
                .left
                .pieces
                .iter()
                .chain(core)
                .chain(&self.right.pieces);
            let starts = pieces.map(|piece| piece.first).chain([self.fresh]);
            self.path.forget(starts);
        } else {
            let pieces = self.plain.pieces();
            let starts = pieces.iter().map(|piece| piece.first);
            self.path.forget(starts.chain([self.plain.fresh]));
        }
    }

    /// The least cost of the samples taken for each level of the last segment, as pieces in order of level from −[`END`] to
    /// [`END`]; the segmenter is used up.
    pub(super) fn function(&mut self) -> Vec<Piece> {
        let bounded = self.cap < f64::INFINITY;
        let (mut all, lo, hi) = if bounded {
            let mut all = Vec::new();
            let (lo, hi) = (-self.left.end, self.right.end);
            self.gather(&mut all);
            (all, lo, hi)
        } else {
            let all = self.plain.pieces();
            let lo = all.first().map_or(END, |piece| piece.lo);
            (all, lo, self.plain.hi)
        };
        let outside = if bounded {
            Piece::fresh(-END, self.outside, self.fresh)
        } else {
            Piece::fresh(-END, self.plain.limit, self.plain.fresh)
        };
        if all.is_empty() {
            return vec![outside];
        }
        if lo > -END {
            all.insert(0, outside);
        }
        if hi < END {
            all.push(Piece { lo: hi, ..outside });
        }
        all
    }

    #[inline(always)]
    fn bounded_step(&mut self, y: f64) {
        let mut best = Best::none();
        let (left_end, right_end) = (self.left.end, self.right.end);
        let sample = Sample {
            y,
            half_width: self.half_width,
            cap: self.cap,
        };
        let core_cost = self.add_to_core(y, &mut best);
        let opposite = Sample { y: -y, ..sample };
        self.left.add(opposite, -1.0, &mut best, &mut self.scratch);
        self.right.add(sample, 1.0, &mut best, &mut self.scratch);
        let empty = self.pieces() == 0;
        if (empty || y > right_end || -y > left_end) && self.outside < best.cost {
            best = Best {
                cost: self.outside,
                level: y,
                first: self.fresh,
            };
        }
        self.cost = best.cost;
        self.path.push(best.first, best.level);
        let next = self.path.len();
        let limit = best.cost + self.penalty;
        self.prune(limit, core_cost, next);
        self.grow(y, limit, (left_end, right_end), next);
        if next - self.chosen >= self.wait {
            self.choose_core(next, best.level);
        }
    }

    /// Puts what is left of the unstored segment, with the sample `y`, beside the pieces.
    #[inline(always)]
    fn grow(&mut self, y: f64, limit: f64, (left_end, right_end): (f64, f64), next: u32) {
        let reach = (limit - self.outside).max(0.0).sqrt().min(self.half_width);
        let young = Piece {
            lo: y - reach,
            n: 1.0,
            mean: y,
            floor: self.outside,
            first: self.fresh,
        };
        // Far from `y` it costs the cap; if that is no more than a new segment, the old one stays.
        let far = self.outside + self.cap;
        let (outside, fresh) = if far <= limit {
            (far, self.fresh)
        } else {
            (limit, next)
        };
        let hole = Piece::fresh(0.0, outside, fresh);
        let to = y + reach;
        if self.pieces() == 0 {
            self.left.end = END;
            self.right.end = -END;
            if reach > 0.0 {
                self.left.end = -young.lo;
                self.right.end = to;
                self.right.pieces.push(young);
            }
        } else if reach > 0.0 {
            if to > right_end {
                let lo = young.lo.max(right_end);
                self.right.extend(Piece { lo, ..young }, to, hole);
            }
            if -young.lo > left_end {
                let lo = (-to).max(left_end);
                let young_there = Piece {
                    lo,
                    mean: -y,
                    ..young
                };
                self.left.extend(young_there, -young.lo, hole);
            }
        }
        self.outside = outside;
        self.fresh = fresh;
    }

    /// Adds the loss of `y` to the core; returns the core's minimum.
    #[inline(always)]
    fn add_to_core(&mut self, y: f64, best: &mut Best) -> f64 {
        if self.core.is_empty() {
            return f64::INFINITY;
        }
        let hi = self.core.hi;
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
            self.core.fill(&pieces, hi, self.half_width);
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
    fn prune(&mut self, limit: f64, core_cost: f64, next: u32) {
        if !self.core.is_empty() {
            if core_cost > limit {
                // All pieces go to one side, in order of level.
                let mut all = std::mem::take(&mut self.scratch);
                self.gather(&mut all);
                std::mem::swap(&mut self.right.pieces, &mut all);
                self.scratch = all;
                self.wait = 0;
            } else if self.core.may_exceed(limit) {
                let (start, end) = self.core.below(limit);
                if start > self.core.start || end < self.core.end {
                    self.core.keep(start, end, &mut self.left, &mut self.right);
                }
            }
        }
        let left = self.left.trim(limit, next, &mut self.scratch);
        let right = self.right.trim(limit, next, &mut self.scratch);
        if self.core.is_empty() {
            self.trim_inner(left, right, limit);
            return;
        }
        let lo = self.core.lo();
        if self.core.trim_left(limit) {
            if left {
                self.left.hole(-self.core.lo(), limit, next);
            } else {
                self.left.end = -self.core.lo();
            }
        } else if !left {
            self.left.end = -lo;
        }
        let hi = self.core.hi;
        if self.core.trim_right(limit) {
            if right {
                self.right.hole(self.core.hi, limit, next);
            } else {
                self.right.end = self.core.hi;
            }
        } else if !right {
            self.right.end = hi;
        }
    }

    /// Without a core, the pieces of one side end where those of the other begin; if one side is empty, the inner
    /// end of the other is an outer end.
    fn trim_inner(&mut self, left: bool, right: bool, limit: f64) {
        let cut = |side: &mut Side| {
            // A hole at the inner end is the unstored segment.
            while let Some(piece) = side.pieces.first() {
                if piece.n > 0.0 || piece.floor < limit {
                    break;
                }
                side.pieces.remove(0);
            }
            side.pieces.first().map(|piece| -piece.lo)
        };
        if !left && right {
            if let Some(end) = cut(&mut self.right) {
                self.left.end = end;
            }
        } else if left
            && !right
            && let Some(end) = cut(&mut self.left)
        {
            self.right.end = end;
        }
    }

    /// Moves all pieces, in order of level, to `all`.
    fn gather(&mut self, all: &mut Vec<Piece>) {
        all.clear();
        for j in (0..self.left.pieces.len()).rev() {
            all.push(mirrored(&self.left.pieces[j], self.left.end_of(j)));
        }
        self.left.pieces.clear();
        self.core.drain_into(all);
        all.append(&mut self.right.pieces);
    }

    /// Takes the run of old pieces around the best level as the new core.
    fn choose_core(&mut self, next: u32, level: f64) {
        let mut all = std::mem::take(&mut self.scratch);
        let (lo, hi) = (-self.left.end, self.right.end);
        self.gather(&mut all);
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
        let end = |j: usize| all.get(j + 1).map_or(hi, |piece| piece.lo);
        if to > from {
            self.core.fill(&all[from..to], end(to - 1), self.half_width);
        }
        self.left
            .pieces
            .extend((0..from).rev().map(|j| mirrored(&all[j], end(j))));
        self.right.pieces.extend(all.iter().skip(to));
        self.left.end = -lo;
        self.wait = 32.max(5 * all.len() as u32);
        self.chosen = next;
        self.scratch = all;
    }
}
