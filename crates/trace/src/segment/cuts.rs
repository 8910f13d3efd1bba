//! Cutting a list of pieces: where a sample's bounded loss changes its form, and where a new segment is cheaper.

use super::piece::{Best, Piece};

/// Adds `min((y − μ)², cap)` to `pieces`, cutting them at `y ± half_width`.
#[inline(always)]
pub(super) fn split(
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
