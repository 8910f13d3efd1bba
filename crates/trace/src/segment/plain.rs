//! Plain squares: the pieces that are cheap enough, in place.
//!
//! Beyond the cheap levels, on both sides, lies the segment that would start at the next sample, at the cost
//! `limit`; it is not stored. A step adds the sample to the stored pieces, trims or drops pieces from
//! both ends, and puts what is left of the unstored segment beside them. A hole *between* pieces is rare (some percent
//! of the steps); only then the list is copied.
//!
//! Convex pieces have their greatest cost at their ends, so comparing the ends is enough; and the
//! lowest vertex of all pieces is the minimum, since outside of its own interval a piece is never below the others.

use super::cuts::cut_above;
use super::piece::{Best, END, Piece};

/// Pieces worked on together: what the compiler puts into vector registers.
const LANES: usize = 2;

/// Four pieces, number by number. Those that are not live have an infinite floor.
#[derive(Debug, Clone, Copy)]
struct Block {
    lo: [f64; LANES],
    n: [f64; LANES],
    mean: [f64; LANES],
    floor: [f64; LANES],
    /// One over `n`, from when a sample was last added.
    weight: [f64; LANES],
    /// Whole numbers below 2³².
    first: [f64; LANES],
}

const NOT_LIVE: Block = Block {
    lo: [0.0; LANES],
    n: [0.0; LANES],
    mean: [0.0; LANES],
    floor: [f64::INFINITY; LANES],
    weight: [0.0; LANES],
    first: [0.0; LANES],
};

/// Pieces on `[lo of the first, hi]`, and the cost beyond.
#[derive(Debug, Clone, Default)]
pub(super) struct Plain {
    /// Live are the pieces `start..end`; room on both sides.
    blocks: Vec<Block>,
    start: usize,
    end: usize,
    pub(super) hi: f64,
    /// Cost of the segment that starts at `fresh`, on all other levels.
    pub(super) limit: f64,
    pub(super) fresh: u32,
    /// Ends between pieces that cost more than the limit, while a step is going on.
    dear: u64,
    scratch: Vec<Piece>,
    whole: Vec<Piece>,
}

impl PartialEq for Plain {
    fn eq(&self, other: &Self) -> bool {
        self.pieces() == other.pieces()
            && self.hi == other.hi
            && self.limit == other.limit
            && self.fresh == other.fresh
    }
}

impl Plain {
    /// With these pieces, that end at `hi`.
    pub(super) fn of(pieces: &[Piece], hi: f64, limit: f64, fresh: u32) -> Self {
        let mut out = Self {
            hi,
            limit,
            fresh,
            ..Self::default()
        };
        out.scratch.extend_from_slice(pieces);
        out.take_scratch();
        out
    }

    pub(super) fn count(&self) -> usize {
        self.end - self.start
    }

    pub(super) fn pieces(&self) -> Vec<Piece> {
        (self.start..self.end).map(|j| self.piece(j)).collect()
    }

    #[inline(always)]
    fn piece(&self, j: usize) -> Piece {
        let (block, lane) = (&self.blocks[j / LANES], j % LANES);
        Piece {
            lo: block.lo[lane],
            n: block.n[lane],
            mean: block.mean[lane],
            floor: block.floor[lane],
            first: block.first[lane] as u32,
        }
    }

    #[inline(always)]
    fn put(&mut self, j: usize, piece: Piece) {
        let (block, lane) = (&mut self.blocks[j / LANES], j % LANES);
        block.lo[lane] = piece.lo;
        block.n[lane] = piece.n;
        block.mean[lane] = piece.mean;
        block.floor[lane] = piece.floor;
        block.first[lane] = f64::from(piece.first);
    }

    #[inline(always)]
    fn lo(&self, j: usize) -> f64 {
        self.blocks[j / LANES].lo[j % LANES]
    }

    #[inline(always)]
    fn set_lo(&mut self, j: usize, lo: f64) {
        self.blocks[j / LANES].lo[j % LANES] = lo;
    }

    /// [`Piece::reach`] of a piece that a sample was added to, without its division, which the next step would wait for.
    #[inline(always)]
    fn reach(&self, j: usize, floor: f64, limit: f64) -> f64 {
        ((limit - floor) * self.blocks[j / LANES].weight[j % LANES]).sqrt()
    }

    #[inline(always)]
    fn drop_piece(&mut self, j: usize) {
        self.blocks[j / LANES].floor[j % LANES] = f64::INFINITY;
    }

    #[inline(always)]
    fn live(&mut self) -> &mut [Block] {
        &mut self.blocks[self.start / LANES..self.end.div_ceil(LANES)]
    }

    /// Adds `(y − μ)²` to all pieces and returns the lowest vertex.
    #[inline(always)]
    #[allow(clippy::needless_range_loop, reason = "lane by lane in five lists")]
    fn add_square(&mut self, y: f64) -> f64 {
        let mut low = [f64::INFINITY; LANES];
        for block in self.live() {
            for lane in 0..LANES {
                // As in `Piece::add_square`.
                let count = block.n[lane] + 1.0;
                let weight = 1.0 / count;
                let d = y - block.mean[lane];
                let floor = block.floor[lane] + d * d * (block.n[lane] * weight);
                block.floor[lane] = floor;
                block.weight[lane] = weight;
                block.mean[lane] += d * weight;
                block.n[lane] = count;
                low[lane] = if floor < low[lane] { floor } else { low[lane] };
            }
        }
        low.into_iter()
            .fold(f64::INFINITY, |a, b| if b < a { b } else { a })
    }

    /// The longest of the segments whose vertex is at `low`; counts the left ends above `limit`.
    #[inline(always)]
    fn best(&mut self, low: f64, limit: f64) -> Best {
        let mut first = [f64::INFINITY; LANES];
        let mut level = [0.0; LANES];
        let mut dear = [0u64; LANES];
        for block in self.live() {
            for lane in 0..LANES {
                let floor = block.floor[lane];
                let better = (floor == low) & (block.first[lane] < first[lane]);
                first[lane] = if better {
                    block.first[lane]
                } else {
                    first[lane]
                };
                level[lane] = if better {
                    block.mean[lane]
                } else {
                    level[lane]
                };
                let d = block.lo[lane] - block.mean[lane];
                let cost = floor + block.n[lane] * (d * d);
                dear[lane] += u64::from((cost > limit) & (floor < f64::INFINITY));
            }
        }
        self.dear = dear.iter().sum();
        let mut out = (f64::INFINITY, 0.0);
        for lane in 0..LANES {
            if first[lane] < out.0 {
                out = (first[lane], level[lane]);
            }
        }
        Best {
            cost: low,
            level: out.1,
            first: out.0 as u32,
        }
    }

    /// Adds the loss of `y`, finds the minimum, and prunes; `next` is the number of the next sample.
    #[inline(always)]
    pub(super) fn step(&mut self, y: f64, penalty: f64, next: u32) -> Best {
        let empty = self.start == self.end;
        let hi = self.hi;
        let lo = if empty { hi } else { self.lo(self.start) };
        let low = if empty {
            f64::INFINITY
        } else {
            self.add_square(y)
        };
        let changes = (y < lo || y > hi || empty) && self.limit < low;
        let cost = if changes { self.limit } else { low };
        let limit = cost + penalty;
        let mut best = self.best(low, limit);
        if changes {
            best = Best {
                cost,
                level: y,
                first: self.fresh,
            };
        }
        self.trim_right(limit);
        self.trim_left(limit);
        if self.dear > 0 {
            self.cut_open(limit, next);
        }
        // The unstored segment, with its first sample, stays where it is cheap enough. Squares are compared first:
        // a branch on a root would have to wait for it.
        let square = (limit - self.limit).max(0.0);
        let right = empty || y > hi || (hi - y) * (hi - y) < square;
        let left = empty || y < lo || (y - lo) * (y - lo) < square;
        if right || left || self.start == self.end {
            self.grow(y, square, (lo, hi), (limit, next));
        }
        self.limit = limit;
        self.fresh = next;
        best
    }

    /// Puts the unstored segment, with its first sample `y`, beside the pieces that were on `[lo, hi]`.
    #[inline(always)]
    fn grow(&mut self, y: f64, square: f64, (lo, hi): (f64, f64), (limit, next): (f64, u32)) {
        let reach = square.sqrt();
        let (from, to) = (y - reach, y + reach);
        let young = Piece {
            lo: from,
            n: 1.0,
            mean: y,
            floor: self.limit,
            first: self.fresh,
        };
        if self.start == self.end {
            self.hi = -END;
            if from < to {
                self.push_right(young);
                self.hi = to;
            }
            return;
        }
        if to > hi && from < to {
            let lo = if from > hi { from } else { hi };
            if lo > self.hi {
                self.push_right(Piece::fresh(self.hi, limit, next));
            }
            self.push_right(Piece { lo, ..young });
            self.hi = to;
        }
        if from < lo && from < to {
            let to = if to < lo { to } else { lo };
            if to < self.lo(self.start) {
                self.push_left(Piece::fresh(to, limit, next));
            }
            self.push_left(young);
        }
    }

    /// Drops what costs more than `limit` from the right.
    #[inline(always)]
    fn trim_right(&mut self, limit: f64) {
        while self.start < self.end {
            let piece = self.piece(self.end - 1);
            if piece.at(self.hi) <= limit {
                return;
            }
            // A vertex beyond the right end leaves nothing: the cost rises to the left.
            if piece.floor <= limit && piece.mean < self.hi {
                let to = piece.mean + self.reach(self.end - 1, piece.floor, limit);
                if to > piece.lo {
                    self.hi = if to < self.hi { to } else { self.hi };
                    return;
                }
            }
            let above = u64::from(piece.at(piece.lo) > limit);
            self.dear = self.dear.saturating_sub(above);
            self.hi = piece.lo;
            self.end -= 1;
            self.drop_piece(self.end);
        }
    }

    /// Drops what costs more than `limit` from the left.
    #[inline(always)]
    fn trim_left(&mut self, limit: f64) {
        while self.start < self.end {
            let piece = self.piece(self.start);
            if piece.at(piece.lo) <= limit {
                return;
            }
            self.dear = self.dear.saturating_sub(1);
            let end = if self.start + 1 < self.end {
                self.lo(self.start + 1)
            } else {
                self.hi
            };
            if piece.floor <= limit && piece.mean > piece.lo {
                let from = piece.mean - self.reach(self.start, piece.floor, limit);
                if from < end {
                    self.set_lo(self.start, if from > piece.lo { from } else { piece.lo });
                    return;
                }
            }
            self.drop_piece(self.start);
            self.start += 1;
        }
    }

    /// Puts the segment that starts at `next` wherever a piece costs more than `limit`.
    #[inline(never)]
    fn cut_open(&mut self, limit: f64, next: u32) {
        let mut whole = std::mem::take(&mut self.whole);
        whole.clear();
        whole.extend((self.start..self.end).map(|j| self.piece(j)));
        self.scratch.clear();
        cut_above(&whole, limit, next, self.hi, &mut self.scratch, false);
        self.whole = whole;
        if self.start + self.scratch.len() > LANES * self.blocks.len() {
            self.take_scratch();
            return;
        }
        (self.start..self.end).for_each(|j| self.drop_piece(j));
        self.end = self.start + self.scratch.len();
        self.put_scratch();
    }

    #[inline(always)]
    fn push_right(&mut self, piece: Piece) {
        if self.end >= LANES * self.blocks.len() {
            self.make_room();
        }
        self.put(self.end, piece);
        self.end += 1;
    }

    #[inline(always)]
    fn push_left(&mut self, piece: Piece) {
        if self.start == 0 {
            self.make_room();
        }
        self.start -= 1;
        self.put(self.start, piece);
    }

    #[inline(never)]
    fn make_room(&mut self) {
        self.scratch = self.pieces();
        self.take_scratch();
    }

    /// Moves the pieces in `scratch` to the middle of the lists.
    fn take_scratch(&mut self) {
        let count = self.scratch.len();
        let length = self.blocks.len().max(16).max(count);
        self.blocks.clear();
        self.blocks.resize(length, NOT_LIVE);
        self.start = (LANES * length - count) / 2;
        self.end = self.start + count;
        self.put_scratch();
    }

    /// Writes the pieces in `scratch` over the live ones.
    fn put_scratch(&mut self) {
        let pieces = std::mem::take(&mut self.scratch);
        for (j, piece) in (self.start..).zip(&pieces) {
            self.put(j, *piece);
        }
        self.scratch = pieces;
    }
}
