//! The long-lived middle of the list of pieces, updated lazily.
//!
//! With the bounded loss each sample cuts the level axis at `y ± √K`. Inside the
//! interval of levels that are still possible (width about `2√(β/n)` after n
//! quiet samples) some `√n` of these cuts survive, so touching every piece at
//! every sample costs `n^1.5`. But nearly every sample has *no* cut inside that
//! narrow interval and adds one and the same parabola to all pieces there. The
//! core therefore keeps its pieces untouched beside one pending [`Quadratic`],
//! and is brought up to date only when a cut falls into it, which happens about
//! `1/√n` of the time: constant work a sample.
//!
//! Its minimum is found without touching all pieces, by a walk from the previous minimum that
//! ends, on each side, as soon as [`Bounds`], kept from when the core was filled, say so of all pieces beyond:
//!
//! * A piece that rose *steeply* at its near end when the core was filled rises there still, if the slope of the pending
//!   parabola, which grows with the level, does not outweigh the least of those slopes. A
//!   parabola that rises at its near end is nowhere lower, and there it meets the piece before.
//! * The other pieces, a few young ones with few samples as a rule, cost at least their least value plus the least of the
//!   pending parabola; and so do all of them together, where the slopes do not help.
//!
//! Both are exact; the walk is one piece long as a rule. Trimming a piece only
//! shrinks its interval and leaves the bounds valid.
//!
//! Whether some end between two pieces costs more than the limit, so that a new segment belongs there, is likewise not
//! looked up at every sample: since the last look ([`Crest`]) all of them have grown by one and the same
//! convex function, which is greatest at the ends of the core. While even that does not reach the limit nothing has to be looked at.

use super::piece::{Best, Piece, Quadratic};
use super::sides::{Side, mirrored};

/// What holds for all pieces after (`right`) and before (`left`) one piece, without what is pending.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Bounds {
    pub(super) right: Beyond,
    pub(super) left: Beyond,
}

/// What holds for all pieces on one side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Beyond {
    /// Least half-slope away from here, at the near ends of the steep pieces.
    pub(super) slope: f64,
    /// Least value of the others.
    pub(super) flat: f64,
    /// Least value of all.
    pub(super) valley: f64,
}

/// Half-slopes of this many half-widths times the root of the number of pieces are steep: what some five samples a piece, at most
/// as far off as the half-width is three standard deviations, hardly add up to. A choice; it decides the speed only.
const STEEP: f64 = 2.0;

const NOTHING_BEYOND: Beyond = Beyond {
    slope: f64::INFINITY,
    flat: f64::INFINITY,
    valley: f64::INFINITY,
};

impl Beyond {
    /// With one more piece, whose uphill half-slope at its near end is given; `steep` is what counts as such.
    fn with(self, piece: &Piece, hi: f64, slope: f64, steep: f64) -> Self {
        let least = piece.at(piece.best(hi));
        let (slope, flat) = if slope >= steep {
            (self.slope.min(slope), self.flat)
        } else {
            (self.slope, self.flat.min(least))
        };
        Self {
            slope,
            flat,
            valley: self.valley.min(least),
        }
    }
}

/// The greatest cost at the ends between pieces when it was last looked up, and what was pending then.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Crest {
    pub(super) cost: f64,
    pub(super) pending: Quadratic,
}

impl Default for Crest {
    fn default() -> Self {
        Self {
            cost: f64::INFINITY,
            pending: Quadratic::default(),
        }
    }
}

/// Pieces `start..end` of `pieces` on the levels `[lo, hi]`, each plus `pending`.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Core {
    pub(super) pieces: Vec<Piece>,
    pub(super) bounds: Vec<Bounds>,
    pub(super) start: usize,
    pub(super) end: usize,
    pub(super) hi: f64,
    pub(super) pending: Quadratic,
    /// Where the last minimum was.
    pub(super) at: usize,
    pub(super) crest: Crest,
}

impl Core {
    #[inline(always)]
    pub(super) fn is_empty(&self) -> bool {
        self.start == self.end
    }

    #[inline(always)]
    pub(super) fn lo(&self) -> f64 {
        self.pieces[self.start].lo
    }

    #[inline(always)]
    fn hi_of(&self, index: usize) -> f64 {
        if index + 1 < self.end {
            self.pieces[index + 1].lo
        } else {
            self.hi
        }
    }

    #[inline(always)]
    fn whole(&self, index: usize) -> Piece {
        self.pieces[index].plus(&self.pending)
    }

    /// Takes over `pieces`, which end at `hi`. What pends until the next filling has a half-slope of some
    /// `half_width` times the root of their number.
    pub(super) fn fill(&mut self, pieces: &[Piece], hi: f64, half_width: f64) {
        self.pieces.clear();
        self.pieces.extend_from_slice(pieces);
        self.start = 0;
        self.end = pieces.len();
        self.hi = hi;
        self.pending = Quadratic::default();
        self.crest = Crest::default();
        let count = self.end;
        let steep = STEEP * half_width * (count as f64).sqrt();
        let mut best = Best::none();
        self.at = 0;
        self.bounds.clear();
        self.bounds.resize(
            count,
            Bounds {
                right: NOTHING_BEYOND,
                left: NOTHING_BEYOND,
            },
        );
        for j in (1..count).rev() {
            let (piece, hi) = (&self.pieces[j], self.hi_of(j));
            let slope = piece.slope(piece.lo);
            self.bounds[j - 1].right = self.bounds[j].right.with(piece, hi, slope, steep);
        }
        for j in 0..count {
            let (piece, hi) = (&self.pieces[j], self.hi_of(j));
            let before = best.cost;
            best.offer(piece, hi);
            if best.cost < before {
                self.at = j;
            }
            if j + 1 < count {
                let slope = -piece.slope(hi);
                self.bounds[j + 1].left = self.bounds[j].left.with(piece, hi, slope, steep);
            }
        }
    }

    /// Appends the pieces, up to date, to `out` and leaves the core empty.
    pub(super) fn drain_into(&mut self, out: &mut Vec<Piece>) {
        out.extend((self.start..self.end).map(|j| self.whole(j)));
        self.start = 0;
        self.end = 0;
    }

    /// Offers the minimum to `best` and returns it.
    #[inline(always)]
    pub(super) fn minimum(&mut self, best: &mut Best) -> f64 {
        let mut here = Best::none();
        let from = self.at.clamp(self.start, self.end - 1);
        here.offer(&self.whole(from), self.hi_of(from));
        let mut at = from;
        let mut j = from;
        while j + 1 < self.end {
            let edge = self.pieces[j + 1].lo;
            if self.dearer(
                &self.bounds[j].right,
                self.pending.slope(edge),
                (edge, self.hi),
                here.cost,
            ) {
                break;
            }
            j += 1;
            at = self.look(j, at, &mut here);
        }
        j = from;
        while j > self.start {
            let edge = self.pieces[j].lo;
            if self.dearer(
                &self.bounds[j].left,
                -self.pending.slope(edge),
                (self.lo(), edge),
                here.cost,
            ) {
                break;
            }
            j -= 1;
            at = self.look(j, at, &mut here);
        }
        self.at = at;
        if here.cost < best.cost || (here.cost == best.cost && here.first < best.first) {
            *best = here;
        }
        here.cost
    }

    /// Whether no piece beyond, on levels `lo` to `hi`, costs less than `cost`, which is no more than at the near end; `slope` is the
    /// uphill half-slope of what is pending there.
    #[inline(always)]
    fn dearer(&self, beyond: &Beyond, slope: f64, (lo, hi): (f64, f64), cost: f64) -> bool {
        let steep = beyond.slope + slope >= 0.0;
        if steep && beyond.flat == f64::INFINITY {
            return true;
        }
        let least = self.pending.at(self.pending.mean.clamp(lo, hi));
        (if steep { beyond.flat } else { beyond.valley }) + least > cost
    }

    /// Looks at piece `j`.
    #[inline(never)]
    fn look(&self, j: usize, at: usize, here: &mut Best) -> usize {
        let before = here.cost;
        here.offer(&self.whole(j), self.hi_of(j));
        if here.cost < before { j } else { at }
    }

    /// Whether the end between two pieces may cost more than `limit`: the bound of [`Crest`].
    #[inline(always)]
    pub(super) fn may_exceed(&self, limit: f64) -> bool {
        if self.start + 1 == self.end {
            return false;
        }
        let grown = |x: f64| self.pending.at(x) - self.crest.pending.at(x);
        let (lo, hi) = (grown(self.lo()), grown(self.hi));
        self.crest.cost + if lo > hi { lo } else { hi } > limit
    }

    /// Looks at all ends between pieces: from which piece to which (excluded), around the minimum, none costs more than `limit`.
    #[inline(never)]
    pub(super) fn below(&mut self, limit: f64) -> (usize, usize) {
        let mut crest = f64::NEG_INFINITY;
        let at = self.at.clamp(self.start, self.end - 1);
        let mut low = |j: &usize| {
            let x = self.pieces[*j].lo;
            let cost = self.pieces[*j].at(x) + self.pending.at(x);
            if cost <= limit {
                crest = crest.max(cost);
            }
            cost <= limit
        };
        let start = at - (self.start + 1..=at).rev().take_while(&mut low).count();
        let end = at + 1 + (at + 1..self.end).take_while(&mut low).count();
        self.crest = Crest {
            cost: crest,
            pending: self.pending,
        };
        (start, end)
    }

    /// Moves the pieces outside of `start..end` to the sides.
    #[inline(never)]
    pub(super) fn keep(&mut self, start: usize, end: usize, left: &mut Side, right: &mut Side) {
        let below = (self.start..start).rev();
        let below = below.map(|j| mirrored(&self.whole(j), self.hi_of(j)));
        left.pieces.splice(0..0, below).for_each(drop);
        let above = (end..self.end).map(|j| self.whole(j));
        right.pieces.splice(0..0, above).for_each(drop);
        if end < self.end {
            self.hi = self.pieces[end].lo;
        }
        (self.start, self.end) = (start, end);
    }

    /// Cuts off the levels on the left that cost more than `limit`; true if there were any.
    /// The core's minimum must not exceed `limit`.
    #[inline(always)]
    pub(super) fn trim_left(&mut self, limit: f64) -> bool {
        let lo = self.lo();
        if self.pieces[self.start].at(lo) + self.pending.at(lo) <= limit {
            return false;
        }
        while self.start < self.at {
            let hi = self.pieces[self.start + 1].lo;
            if self.pieces[self.start].at(hi) + self.pending.at(hi) <= limit {
                break;
            }
            self.start += 1;
        }
        let piece = self.whole(self.start);
        let cut = piece.mean - piece.reach(limit).max(0.0);
        let hi = self.hi_of(self.start);
        let first = &mut self.pieces[self.start];
        // Rounding may put the cut a hair outside; NaN (limit below the floor by rounding) falls to `hi`.
        first.lo = if cut <= hi { cut.max(first.lo) } else { hi };
        true
    }

    /// The same on the right.
    #[inline(always)]
    pub(super) fn trim_right(&mut self, limit: f64) -> bool {
        let hi = self.hi;
        if self.pieces[self.end - 1].at(hi) + self.pending.at(hi) <= limit {
            return false;
        }
        while self.end - 1 > self.at {
            let lo = self.pieces[self.end - 1].lo;
            if self.pieces[self.end - 1].at(lo) + self.pending.at(lo) <= limit {
                break;
            }
            self.end -= 1;
            self.hi = lo;
        }
        let piece = self.whole(self.end - 1);
        let cut = piece.mean + piece.reach(limit).max(0.0);
        self.hi = if cut >= piece.lo {
            cut.min(self.hi)
        } else {
            piece.lo
        };
        true
    }
}
