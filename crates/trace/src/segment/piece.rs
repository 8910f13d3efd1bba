//! One piece of the functional cost: a quadratic that is lowest-so-far on an interval.

/// Ends of the level axis. Squares stay finite and `0 × square` stays zero.
pub(super) const END: f64 = 1e140;

/// `f(μ) = floor + n (μ − mean)²` on `[lo, hi)`, where `hi` is the next piece's `lo`.
///
/// Kept around its own vertex (Welford's update) rather than as three
/// coefficients about zero: with a segment of 10⁶ samples at 5 A and a noise of
/// 1 mA the latter would lose thirteen digits to cancellation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Piece {
    /// Left end of the interval of levels.
    pub(super) lo: f64,
    /// Samples that count with their square.
    pub(super) n: f64,
    /// Their mean: the vertex.
    pub(super) mean: f64,
    /// Cost at the vertex.
    pub(super) floor: f64,
    /// First sample of the segment this piece stands for.
    pub(super) first: u32,
}

impl Piece {
    /// A segment that starts at `first`, before its first sample.
    #[inline(always)]
    pub(super) fn fresh(lo: f64, cost: f64, first: u32) -> Self {
        Self {
            lo,
            n: 0.0,
            mean: 0.0,
            floor: cost,
            first,
        }
    }

    /// Adds `(y − μ)²`.
    #[inline(always)]
    pub(super) fn add_square(&mut self, y: f64) {
        let n = self.n + 1.0;
        let weight = 1.0 / n;
        let d = y - self.mean;
        self.floor += d * d * (self.n * weight);
        self.mean += d * weight;
        self.n = n;
    }

    /// Adds another quadratic, `(n, mean, floor)`.
    #[inline(always)]
    pub(super) fn plus(mut self, other: &Quadratic) -> Self {
        let n = self.n + other.n;
        if n > 0.0 {
            let d = other.mean - self.mean;
            let share = other.n / n;
            self.floor += other.floor + d * d * (self.n * share);
            self.mean += d * share;
            self.n = n;
        } else {
            self.floor += other.floor;
        }
        self
    }

    /// Cost at level `x`.
    #[inline(always)]
    pub(super) fn at(&self, x: f64) -> f64 {
        let d = x - self.mean;
        self.floor + self.n * (d * d)
    }

    /// Level of least cost in `[lo, hi]`.
    #[inline(always)]
    pub(super) fn best(&self, hi: f64) -> f64 {
        let x = if self.mean > self.lo {
            self.mean
        } else {
            self.lo
        };
        if x < hi { x } else { hi }
    }

    /// Half the slope at `x`.
    #[inline(always)]
    pub(super) fn slope(&self, x: f64) -> f64 {
        self.n * (x - self.mean)
    }

    /// Half the width of `{μ : f(μ) ≤ limit}`; infinite for a constant below the limit.
    #[inline(always)]
    pub(super) fn reach(&self, limit: f64) -> f64 {
        if self.n > 0.0 {
            ((limit - self.floor) / self.n).sqrt()
        } else {
            f64::INFINITY
        }
    }
}

/// A quadratic that waits to be added to many pieces at once.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Quadratic {
    pub(super) n: f64,
    pub(super) mean: f64,
    pub(super) floor: f64,
}

impl Quadratic {
    #[inline(always)]
    pub(super) fn add_square(&mut self, y: f64) {
        let n = self.n + 1.0;
        let weight = 1.0 / n;
        let d = y - self.mean;
        self.floor += d * d * (self.n * weight);
        self.mean += d * weight;
        self.n = n;
    }

    #[inline(always)]
    pub(super) fn at(&self, x: f64) -> f64 {
        let d = x - self.mean;
        self.floor + self.n * (d * d)
    }

    #[inline(always)]
    pub(super) fn slope(&self, x: f64) -> f64 {
        self.n * (x - self.mean)
    }
}

/// The cheapest level seen so far in one step.
#[derive(Debug, Clone, Copy)]
pub(super) struct Best {
    pub(super) cost: f64,
    pub(super) level: f64,
    pub(super) first: u32,
}

impl Best {
    pub(super) fn none() -> Self {
        Self {
            cost: f64::INFINITY,
            level: 0.0,
            first: u32::MAX,
        }
    }

    /// Takes the piece's minimum if it is lower; at a tie the longer segment wins.
    #[inline(always)]
    pub(super) fn offer(&mut self, piece: &Piece, hi: f64) {
        let level = piece.best(hi);
        let cost = piece.at(level);
        if cost < self.cost || (cost == self.cost && piece.first < self.first) {
            *self = Self {
                cost,
                level,
                first: piece.first,
            };
        }
    }
}
