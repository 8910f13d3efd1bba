//! Sums of logarithms that may be large while their differences decide.

/// A sum with the rounding of its additions kept beside it.
///
/// A reading 300 steps off at a sigma of 0.05 has a logarithm of -1.8e7, which
/// every plain addition rounds by up to 1.9e-9: as much as the probability of
/// one condition against another would then be off by, relatively. With the
/// rounding kept, that error is of the order of the square of the machine
/// precision times the logarithm, here 1e-24.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct LnSum {
    sum: f64,
    lost: f64,
}

impl LnSum {
    /// Of probability 0.
    pub(super) const IMPOSSIBLE: Self = Self {
        sum: f64::NEG_INFINITY,
        lost: 0.0,
    };

    /// One more term. What an addition loses to rounding is itself a number
    /// (Knuth, The Art of Computer Programming, vol. 2, 3rd ed. 1997, section
    /// 4.2.2, theorem B, from memory).
    pub(super) fn plus(self, x: f64) -> Self {
        let sum = self.sum + x;
        if !sum.is_finite() {
            return Self { sum, lost: 0.0 };
        }
        let part = sum - self.sum;
        let lost = (self.sum - (sum - part)) + (x - part);
        Self {
            sum,
            lost: self.lost + lost,
        }
    }

    /// Both sums.
    pub(super) fn and(self, other: Self) -> Self {
        self.plus(other.sum).plus(other.lost)
    }

    /// By how much it is more than another, finite one.
    pub(super) fn above(self, other: Self) -> f64 {
        (self.sum - other.sum) + (self.lost - other.lost)
    }

    /// The nearest plain number.
    pub(super) fn rounded(self) -> f64 {
        self.sum + self.lost
    }

    /// The nearest plain number, and what it lacks.
    pub(super) fn pair(self) -> [f64; 2] {
        let rounded = self.rounded();
        if rounded.is_finite() {
            [rounded, (self.sum - rounded) + self.lost]
        } else {
            [rounded, 0.0]
        }
    }

    /// The largest of some, [`Self::IMPOSSIBLE`] when there is none.
    pub(super) fn largest(sums: impl IntoIterator<Item = Self>) -> Self {
        let larger = |top: Self, x: Self| {
            let more = x.sum.is_finite() && (!top.sum.is_finite() || x.above(top) > 0.0);
            if more { x } else { top }
        };
        sums.into_iter().fold(Self::IMPOSSIBLE, larger)
    }
}
