//! The pieces on one side of the core with the bounded loss, in place.
//!
//! Listed from the core outwards, so that pieces come and go at the end of the list. Seen from the right: the left side is
//! the same with levels mirrored, so all levels here are *outwards* (`sign × level`).
//! Beyond the outer end lies the segment that would start at the next sample, which is not stored
//! (as in `plain.rs`).

use super::piece::{Best, Piece};

/// Pieces beyond one end of the core.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Side {
    /// `lo` is the end towards the core, outwards; the next piece's `lo` the other.
    pub(super) pieces: Vec<Piece>,
    /// Outer end of the last piece, and, when there is none, of what lies inside.
    pub(super) end: f64,
}

/// What one sample adds, seen outwards.
#[derive(Clone, Copy)]
pub(super) struct Sample {
    pub(super) y: f64,
    pub(super) half_width: f64,
    pub(super) cap: f64,
}

impl Side {
    #[inline(always)]
    pub(super) fn end_of(&self, j: usize) -> f64 {
        if j + 1 < self.pieces.len() {
            self.pieces[j + 1].lo
        } else {
            self.end
        }
    }

    /// Adds the loss of a sample to all pieces. `sign` turns levels back.
    #[inline(always)]
    pub(super) fn add(
        &mut self,
        sample: Sample,
        sign: f64,
        best: &mut Best,
        scratch: &mut Vec<Piece>,
    ) {
        let Some(inner) = self.pieces.first() else {
            return;
        };
        let (below, above) = (sample.y - sample.half_width, sample.y + sample.half_width);
        let (lo, hi) = (inner.lo, self.end);
        let near = below <= lo && hi <= above;
        if !near && above > lo && below < hi {
            self.split(sample, scratch);
            self.offer(sign, best);
            return;
        }
        if near {
            for piece in &mut self.pieces {
                piece.add_square(sample.y);
            }
        } else {
            for piece in &mut self.pieces {
                piece.floor += sample.cap;
            }
        }
        self.offer(sign, best);
    }

    #[inline(always)]
    fn offer(&self, sign: f64, best: &mut Best) {
        for (j, piece) in self.pieces.iter().enumerate() {
            if piece.floor <= best.cost {
                let mut own = Best::none();
                own.offer(piece, self.end_of(j));
                if own.cost < best.cost || (own.cost == best.cost && own.first < best.first) {
                    *best = Best {
                        level: sign * own.level,
                        ..own
                    };
                }
            }
        }
    }

    /// Cuts the pieces at `y ± half_width`.
    #[inline(never)]
    fn split(&mut self, sample: Sample, scratch: &mut Vec<Piece>) {
        scratch.clear();
        super::cuts::split(
            &self.pieces,
            sample.y,
            sample.half_width,
            sample.cap,
            self.end,
            scratch,
            &mut Best::none(),
        );
        std::mem::swap(&mut self.pieces, scratch);
    }

    /// Drops from the outer end what costs more than `limit`, and puts the segment `next` into holes.
    /// True if something is left.
    #[inline(always)]
    pub(super) fn trim(&mut self, limit: f64, next: u32, scratch: &mut Vec<Piece>) -> bool {
        while let Some(piece) = self.pieces.last() {
            if piece.at(self.end) <= limit {
                break;
            }
            if piece.floor <= limit && piece.mean < self.end {
                let to = piece.mean + piece.reach(limit);
                if to > piece.lo {
                    self.end = if to < self.end { to } else { self.end };
                    break;
                }
            }
            self.end = piece.lo;
            self.pieces.pop();
        }
        // Ends between pieces, and the one towards the core.
        if self.pieces.iter().any(|piece| piece.at(piece.lo) > limit) {
            scratch.clear();
            super::cuts::cut_above(&self.pieces, limit, next, self.end, scratch, false);
            std::mem::swap(&mut self.pieces, scratch);
        }
        !self.pieces.is_empty()
    }

    /// Puts the segment `next` between the core, which ends at `lo` now, and the innermost piece.
    #[inline(always)]
    pub(super) fn hole(&mut self, lo: f64, limit: f64, next: u32) {
        match self.pieces.first_mut() {
            Some(inner) if inner.first == next => inner.lo = lo,
            _ => self.pieces.insert(0, Piece::fresh(lo, limit, next)),
        }
    }

    /// Puts what is left of the unstored segment, `young` on `[from, to]`, beyond the old outer end, with `hole` between.
    #[inline(always)]
    pub(super) fn extend(&mut self, young: Piece, to: f64, hole: Piece) {
        if young.lo > self.end {
            self.pieces.push(Piece {
                lo: self.end,
                ..hole
            });
        }
        self.pieces.push(young);
        self.end = to;
    }
}

/// The piece seen from the other side.
#[inline(always)]
pub(super) fn mirrored(piece: &Piece, hi: f64) -> Piece {
    Piece {
        lo: -hi,
        mean: -piece.mean,
        ..*piece
    }
}
