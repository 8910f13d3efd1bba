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
//! ends, on each side, as soon as one of two bounds ([`Bounds`], kept from when the core was filled) holds for all pieces beyond:
//!
//! * *Slope.* Every piece is convex; if the slope at the near end of every piece beyond points uphill,
//!   the function rises from there on. The pending parabola's slope grows with the
//!   level, so adding its slope at the nearest end keeps the bound valid.
//! * *Value.* The least value of the pieces beyond, plus the least of the pending parabola there, is
//!   no better than what was found.
//!
//! Both are exact; the walk is one piece long as a rule. Trimming a piece only
//! shrinks its interval and leaves the bounds valid.

use super::piece::{Best, Piece, Quadratic};

/// What holds for all pieces after (`right`) and before (`left`) one piece, without what is pending.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Bounds {
    pub(super) right: Beyond,
    pub(super) left: Beyond,
}

/// What holds for all pieces on one side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Beyond {
    /// Least half-slope away from here, at the near ends of the pieces.
    pub(super) slope: f64,
    /// Least value.
    pub(super) valley: f64,
    /// Greatest value at the near ends.
    pub(super) crest: f64,
}

const NOTHING_BEYOND: Beyond = Beyond {
    slope: f64::INFINITY,
    valley: f64::INFINITY,
    crest: f64::NEG_INFINITY,
};

impl Beyond {
    /// With one more piece, whose value at its near end `edge` and uphill half-slope there are given.
    fn with(self, piece: &Piece, hi: f64, edge: f64, slope: f64) -> Self {
        Self {
            slope: self.slope.min(slope),
            valley: self.valley.min(piece.at(piece.best(hi))),
            crest: self.crest.max(piece.at(edge)),
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

    /// Takes over `pieces`, which end at `hi`.
    pub(super) fn fill(&mut self, pieces: &[Piece], hi: f64) {
        self.pieces.clear();
        self.pieces.extend_from_slice(pieces);
        self.start = 0;
        self.end = pieces.len();
        self.hi = hi;
        self.pending = Quadratic::default();
        self.at = self.end / 2;
        let count = self.end;
        self.bounds.clear();
        self.bounds.resize(
            count,
            Bounds {
                right: NOTHING_BEYOND,
                left: NOTHING_BEYOND,
            },
        );
        for j in (1..count).rev() {
            let piece = &self.pieces[j];
            self.bounds[j - 1].right =
                self.bounds[j]
                    .right
                    .with(piece, self.hi_of(j), piece.lo, piece.slope(piece.lo));
        }
        for j in 1..count {
            let (piece, edge) = (&self.pieces[j - 1], self.pieces[j].lo);
            self.bounds[j].left =
                self.bounds[j - 1]
                    .left
                    .with(piece, edge, edge, -piece.slope(edge));
        }
    }

    /// Appends the pieces, up to date, to `out` and leaves the core empty.
    pub(super) fn drain_into(&mut self, out: &mut Vec<Piece>) {
        out.extend((self.start..self.end).map(|j| self.whole(j)));
        self.start = 0;
        self.end = 0;
    }

    /// Offers the minimum to `best` and returns it, with a bound of the cost at the ends between
    /// pieces: where the walk ended by slope there is no higher inner point beyond but towards the end of the core.
    #[inline(always)]
    pub(super) fn minimum(&mut self, best: &mut Best) -> (f64, f64) {
        let mut here = Best::none();
        let mut ridge = f64::NEG_INFINITY;
        let from = self.at.clamp(self.start, self.end - 1);
        here.offer(&self.whole(from), self.hi_of(from));
        let mut at = from;
        let mut j = from;
        while j + 1 < self.end {
            let edge = self.pieces[j + 1].lo;
            let beyond = &self.bounds[j].right;
            if beyond.slope + self.pending.slope(edge) >= 0.0
                || self.dearer(beyond, edge, self.hi, here.cost, &mut ridge)
            {
                break;
            }
            j += 1;
            at = self.look(j, edge, at, &mut here, &mut ridge);
        }
        j = from;
        while j > self.start {
            let edge = self.pieces[j].lo;
            let beyond = &self.bounds[j].left;
            if beyond.slope - self.pending.slope(edge) >= 0.0
                || self.dearer(beyond, self.lo(), edge, here.cost, &mut ridge)
            {
                break;
            }
            j -= 1;
            at = self.look(j, edge, at, &mut here, &mut ridge);
        }
        self.at = at;
        if here.cost < best.cost || (here.cost == best.cost && here.first < best.first) {
            *best = here;
        }
        (here.cost, ridge)
    }

    /// Whether all pieces beyond, on levels `lo` to `hi`, cost more than `cost`.
    fn dearer(&self, beyond: &Beyond, lo: f64, hi: f64, cost: f64, ridge: &mut f64) -> bool {
        let least = self.pending.at(self.pending.mean.clamp(lo, hi));
        if beyond.valley + least <= cost {
            return false;
        }
        *ridge = ridge.max(beyond.crest + self.pending.at(lo).max(self.pending.at(hi)));
        true
    }

    /// Greatest cost at the ends between pieces.
    pub(super) fn crest(&self) -> f64 {
        (self.start + 1..self.end)
            .map(|j| self.pieces[j].at(self.pieces[j].lo) + self.pending.at(self.pieces[j].lo))
            .fold(f64::NEG_INFINITY, f64::max)
    }

    /// Looks at piece `j`, whose end towards the start of the walk is `edge`.
    #[inline(never)]
    fn look(&self, j: usize, edge: f64, at: usize, here: &mut Best, ridge: &mut f64) -> usize {
        let piece = self.whole(j);
        *ridge = ridge.max(piece.at(edge));
        let before = here.cost;
        here.offer(&piece, self.hi_of(j));
        if here.cost < before { j } else { at }
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
