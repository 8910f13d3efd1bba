//! Plain squares: the pieces that are cheap enough, in place.
//!
//! Beyond the cheap levels, on both sides, lies the segment that would start at the next sample, at the cost
//! `limit`; it is not stored. A step adds the sample to the stored pieces, trims or drops pieces from
//! both ends, and puts what is left of the unstored segment beside them. A hole *between* pieces is rare (some percent
//! of the steps); only then the list is copied.
//!
//! Convex pieces have their greatest cost at their ends, so comparing the ends is enough; and the
//! lowest vertex of all pieces is the minimum, since outside of its own interval a piece is never below the others.

use super::piece::{Best, END, Piece};
use super::segmenter::cut_above;

/// Pieces on `[lo of the first, hi]`, and the cost beyond.
#[derive(Debug, Clone, Default)]
pub(super) struct Plain {
    /// Live are `start..end`; room on both sides.
    buffer: Vec<Piece>,
    start: usize,
    end: usize,
    pub(super) hi: f64,
    /// Cost of the segment that starts at `fresh`, on all other levels.
    pub(super) limit: f64,
    pub(super) fresh: u32,
    scratch: Vec<Piece>,
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

    pub(super) fn pieces(&self) -> &[Piece] {
        self.buffer.get(self.start..self.end).unwrap_or(&[])
    }

    /// Adds the loss of `y`, finds the minimum, and prunes; `next` is the number of the next sample.
    #[inline(always)]
    pub(super) fn step(&mut self, y: f64, penalty: f64, next: u32) -> Best {
        let mut best = Best::none();
        let (mut lo, hi) = (self.hi, self.hi);
        for piece in self.buffer[self.start..self.end].iter_mut().rev() {
            piece.add_square(y);
            if piece.floor <= best.cost {
                best.offer(piece, lo);
            }
            lo = piece.lo;
        }
        let empty = self.start == self.end;
        if (y < lo || y > hi || empty) && self.limit < best.cost {
            best = Best {
                cost: self.limit,
                level: y,
                first: self.fresh,
            };
        }
        let limit = best.cost + penalty;
        self.trim_right(limit);
        self.trim_left(limit);
        if self.buffer[self.start..self.end]
            .iter()
            .skip(1)
            .any(|piece| piece.at(piece.lo) > limit)
        {
            self.cut_open(limit, next);
        }
        // The unstored segment, with its first sample, stays where it is cheap enough.
        let reach = (limit - self.limit).max(0.0).sqrt();
        let young = Piece {
            lo,
            n: 1.0,
            mean: y,
            floor: self.limit,
            first: self.fresh,
        };
        let (from, to) = (y - reach, y + reach);
        if self.start == self.end {
            self.hi = -END;
            if from < to {
                self.push_right(Piece { lo: from, ..young });
                self.hi = to;
            }
        } else {
            if to > hi && from < to {
                self.extend_right(Piece { lo: if from > hi { from } else { hi }, ..young }, limit, next);
                self.hi = to;
            }
            if from < lo {
                self.extend_left(Piece { lo: from, ..young }, if to < lo { to } else { lo }, limit, next);
            }
        }
        self.limit = limit;
        self.fresh = next;
        best
    }

    /// Drops what costs more than `limit` from the right.
    #[inline(always)]
    fn trim_right(&mut self, limit: f64) {
        while self.start < self.end {
            let piece = &self.buffer[self.end - 1];
            if piece.at(self.hi) <= limit {
                return;
            }
            // A vertex beyond the right end leaves nothing: the cost rises to the left.
            if piece.floor <= limit && piece.mean < self.hi {
                let to = piece.mean + piece.reach(limit);
                if to > piece.lo {
                    self.hi = if to < self.hi { to } else { self.hi };
                    return;
                }
            }
            self.hi = piece.lo;
            self.end -= 1;
        }
    }

    /// Drops what costs more than `limit` from the left.
    #[inline(always)]
    fn trim_left(&mut self, limit: f64) {
        while self.start < self.end {
            let piece = &self.buffer[self.start];
            if piece.at(piece.lo) <= limit {
                return;
            }
            let end = if self.start + 1 < self.end {
                self.buffer[self.start + 1].lo
            } else {
                self.hi
            };
            if piece.floor <= limit && piece.mean > piece.lo {
                let from = piece.mean - piece.reach(limit);
                if from < end {
                    let piece = &mut self.buffer[self.start];
                    piece.lo = if from > piece.lo { from } else { piece.lo };
                    return;
                }
            }
            self.start += 1;
        }
    }

    /// Puts the segment that starts at `next` wherever a piece costs more than `limit`.
    #[inline(never)]
    fn cut_open(&mut self, limit: f64, next: u32) {
        let mut out = std::mem::take(&mut self.scratch);
        out.clear();
        cut_above(self.pieces(), limit, next, self.hi, &mut out, false);
        self.scratch = out;
        self.take_scratch();
    }

    #[inline(always)]
    fn extend_right(&mut self, piece: Piece, limit: f64, next: u32) {
        if piece.lo > self.hi {
            self.push_right(Piece::fresh(self.hi, limit, next));
        }
        self.push_right(piece);
    }

    #[inline(always)]
    fn extend_left(&mut self, piece: Piece, to: f64, limit: f64, next: u32) {
        if to < self.buffer[self.start].lo {
            self.push_left(Piece::fresh(to, limit, next));
        }
        self.push_left(piece);
    }

    #[inline(always)]
    fn push_right(&mut self, piece: Piece) {
        if self.end >= self.buffer.len() {
            self.make_room();
        }
        self.buffer[self.end] = piece;
        self.end += 1;
    }

    #[inline(always)]
    fn push_left(&mut self, piece: Piece) {
        if self.start == 0 {
            self.make_room();
        }
        self.start -= 1;
        self.buffer[self.start] = piece;
    }

    #[inline(never)]
    fn make_room(&mut self) {
        self.scratch.clear();
        self.scratch
            .extend_from_slice(self.buffer.get(self.start..self.end).unwrap_or(&[]));
        self.take_scratch();
    }

    /// Moves the pieces in `scratch` to the middle of the buffer.
    fn take_scratch(&mut self) {
        let count = self.scratch.len();
        let length = self.buffer.len().max(64).max(4 * count);
        self.buffer.resize(length, Piece::fresh(0.0, 0.0, 0));
        self.start = (length - count) / 2;
        self.end = self.start + count;
        self.buffer[self.start..self.end].copy_from_slice(&self.scratch);
    }
}
