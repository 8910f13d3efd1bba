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
//! Its minimum is found without touching all pieces. Every piece is convex, so if the
//! slope at the *left* end of every piece right of piece j is at least zero, the
//! function rises from there on; and likewise on the left. The smallest such
//! slope is kept for each j (`rising`, `falling`, of the pieces as they
//! lie there); the pending parabola's own slope grows with the level, so adding
//! its slope at the nearest end keeps the bound valid. A walk from the previous
//! minimum ends where both bounds hold: exact, and one piece long as a rule.

use super::piece::{Best, Piece, Quadratic};

/// Pieces `start..end` of `pieces` on the levels `[lo, hi]`, each plus `pending`.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Core {
    pub(super) pieces: Vec<Piece>,
    /// For each piece: least half-slope at the left ends of all pieces after it.
    pub(super) rising: Vec<f64>,
    /// For each piece: greatest half-slope at the right ends of all pieces before it.
    pub(super) falling: Vec<f64>,
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
        self.rising.clear();
        self.rising.resize(count, f64::INFINITY);
        self.falling.clear();
        self.falling.resize(count, f64::NEG_INFINITY);
        for j in (1..count).rev() {
            let slope = self.pieces[j].slope(self.pieces[j].lo);
            self.rising[j - 1] = self.rising[j].min(slope);
        }
        for j in 1..count {
            let slope = self.pieces[j - 1].slope(self.pieces[j].lo);
            self.falling[j] = self.falling[j - 1].max(slope);
        }
    }

    /// Appends the pieces, up to date, to `out` and leaves the core empty.
    pub(super) fn drain_into(&mut self, out: &mut Vec<Piece>) {
        out.extend((self.start..self.end).map(|j| self.whole(j)));
        self.start = 0;
        self.end = 0;
    }

    /// Offers the minimum to `best` and returns it with the greatest cost at the
    /// ends between the pieces that had to be looked at. Outside these the cost
    /// falls towards them, so its maximum over the core is there or at an end of the core.
    #[inline(always)]
    pub(super) fn minimum(&mut self, best: &mut Best) -> (f64, f64) {
        let mut here = Best::none();
        let mut ridge = f64::NEG_INFINITY;
        let from = self.at.clamp(self.start, self.end - 1);
        here.offer(&self.whole(from), self.hi_of(from));
        let mut at = from;
        let mut j = from;
        while j + 1 < self.end {
            let next = self.pieces[j + 1].lo;
            if self.rising[j] + self.pending.slope(next) >= 0.0 {
                break;
            }
            j += 1;
            at = self.look(j, next, at, &mut here, &mut ridge);
        }
        j = from;
        while j > self.start {
            let edge = self.pieces[j].lo;
            if self.falling[j] + self.pending.slope(edge) <= 0.0 {
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

    /// Looks at piece `j`, whose end towards the start of the walk is `edge`.
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
