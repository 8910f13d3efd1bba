//! Values with standard uncertainty, after the GUM (JCGM 100:2008).

/// A best estimate with its standard uncertainty, in the unit of the estimate.
///
/// Combination follows JCGM 100:2008, 5.1.2 (first-order law of propagation
/// for uncorrelated inputs).
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Uncertain {
    /// Best estimate.
    pub value: f64,
    /// Standard uncertainty (one standard deviation), never negative.
    pub u: f64,
}

impl Uncertain {
    /// A value with its standard uncertainty; the sign of `u` is dropped.
    pub fn new(value: f64, u: f64) -> Self {
        Self { value, u: u.abs() }
    }

    /// A value known exactly.
    pub fn exact(value: f64) -> Self {
        Self { value, u: 0.0 }
    }

    /// A value known to lie within ±`half_width`, every place being as likely:
    /// u = a/√3 (JCGM 100:2008, 4.3.7).
    pub fn rectangular(value: f64, half_width: f64) -> Self {
        Self::new(value, half_width / 3.0_f64.sqrt())
    }

    /// Sum with an independent value.
    pub fn plus(self, other: Self) -> Self {
        Self::new(self.value + other.value, self.u.hypot(other.u))
    }

    /// Difference with an independent value.
    pub fn minus(self, other: Self) -> Self {
        Self::new(self.value - other.value, self.u.hypot(other.u))
    }

    /// Product with an exact number.
    pub fn times(self, factor: f64) -> Self {
        Self::new(self.value * factor, self.u * factor)
    }

    /// The same value with a further independent component of uncertainty.
    pub fn widened(self, u: f64) -> Self {
        Self::new(self.value, self.u.hypot(u))
    }

    /// Product with an independent value, first order.
    pub fn product(self, other: Self) -> Self {
        Self::new(
            self.value * other.value,
            (self.u * other.value).hypot(other.u * self.value),
        )
    }

    /// Quotient by an independent value, first order. Not finite when the
    /// divisor is zero.
    pub fn quotient(self, other: Self) -> Self {
        let value = self.value / other.value;
        Self::new(
            value,
            (self.u / other.value).hypot(other.u * value / other.value),
        )
    }

    /// The symmetric 95 % interval, k = 1.96 (JCGM 100:2008, table G.1).
    pub fn interval95(self) -> (f64, f64) {
        (self.value - 1.96 * self.u, self.value + 1.96 * self.u)
    }

    /// Mean weighted by 1/u², and its uncertainty; `None` for no values.
    /// An exact value (u = 0) wins outright.
    pub fn weighted_mean(values: &[Self]) -> Option<Self> {
        if let Some(exact) = values.iter().find(|v| v.u == 0.0) {
            return Some(*exact);
        }
        let weight: f64 = values.iter().map(|v| v.u.powi(-2)).sum();
        (weight > 0.0).then(|| {
            let sum: f64 = values.iter().map(|v| v.value * v.u.powi(-2)).sum();
            Self::new(sum / weight, weight.sqrt().recip())
        })
    }
}

/// Three quantiles of a distribution that need not be symmetric.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Quantiles {
    /// 5 % quantile.
    pub p05: f64,
    /// Median.
    pub p50: f64,
    /// 95 % quantile.
    pub p95: f64,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sum_adds_variances() {
        let sum = Uncertain::new(3.0, 0.3).plus(Uncertain::new(1.0, 0.4));
        assert_eq!(sum.value, 4.0);
        assert!((sum.u - 0.5).abs() < 1e-15);
    }

    #[test]
    fn weighted_mean_favours_the_better_value() {
        let mean =
            Uncertain::weighted_mean(&[Uncertain::new(1.0, 0.1), Uncertain::new(2.0, 1000.0)]);
        assert!((mean.map_or(f64::NAN, |m| m.value) - 1.0).abs() < 1e-6);
        assert_eq!(Uncertain::weighted_mean(&[]), None);
    }
}
