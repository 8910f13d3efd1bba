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

    /// Sum with a value whose error has the correlation `r` (−1 to 1) with
    /// this one's: two readings of one meter share part of theirs
    /// (JCGM 100:2008, 5.2.2, equation 13).
    pub fn plus_correlated(self, other: Self, r: f64) -> Self {
        let u = crate::propagate::combined(&[1.0, 1.0], &[self.u, other.u], |_, _| r);
        Self::new(self.value + other.value, u)
    }

    /// Whether every number in it is finite.
    pub fn is_finite(self) -> bool {
        self.value.is_finite() && self.u.is_finite()
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
    use proptest::prelude::*;

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
        let exact = Uncertain::exact(5.0);
        assert_eq!(
            Uncertain::weighted_mean(&[Uncertain::new(1.0, 0.1), exact]),
            Some(exact)
        );
    }

    #[test]
    fn the_rectangle_has_the_published_width() {
        // JCGM 100:2008, F.2.2.1 (from memory): a step of 1, half width 0.5, is u = 0.29.
        assert!((Uncertain::rectangular(0.0, 0.5).u - 0.2887).abs() < 1e-4);
        assert_eq!(
            Uncertain::rectangular(3.0, -2.0),
            Uncertain::rectangular(3.0, 2.0)
        );
    }

    #[test]
    fn a_shared_error_cancels_in_a_difference() {
        let (before, after) = (Uncertain::new(0.412, 0.006), Uncertain::new(0.05, 0.006));
        let step = after.plus_correlated(before.times(-1.0), -1.0);
        // `times(-1)` keeps u positive, so the sign of the sharing sits in r.
        assert!(step.u < 1e-9 && (step.value + 0.362).abs() < 1e-12);
        assert!((after.plus_correlated(before, 0.0).u - after.plus(before).u).abs() < 1e-15);
    }

    fn any() -> impl Strategy<Value = Uncertain> {
        (-100.0..100.0_f64, 1e-3..10.0_f64).prop_map(|(value, u)| Uncertain::new(value, u))
    }

    proptest! {
        /// Nothing that is computed from two independent values is better known
        /// than the rules allow.
        #[test]
        fn widths_follow_the_rules(a in any(), b in any(), factor in -5.0..5.0_f64) {
            prop_assert!(a.plus(b).u >= a.u.max(b.u));
            prop_assert_eq!(a.plus(b).u, a.minus(b).u);
            prop_assert_eq!(a.plus(b), b.plus(a));
            prop_assert!((a.times(factor).u - a.u * factor.abs()).abs() <= 1e-15 * a.u * 5.0);
            prop_assert!(a.widened(b.u).u >= a.u);
            // Relative variances add in products and quotients alike.
            let relative = (a.u / a.value).hypot(b.u / b.value);
            let (product, quotient) = (a.product(b), a.quotient(b));
            for result in [product, quotient] {
                let ours = result.u / result.value.abs();
                prop_assert!((ours / relative - 1.0).abs() < 1e-12, "{} {}", ours, relative);
            }
        }

        /// A mean lies between its values, is better known than any of them, and
        /// does not depend on their order beyond rounding.
        #[test]
        fn a_mean_improves(values in prop::collection::vec(any(), 1..8)) {
            let mean = Uncertain::weighted_mean(&values).unwrap();
            let low = values.iter().map(|v| v.value).fold(f64::INFINITY, f64::min);
            let high = values.iter().map(|v| v.value).fold(f64::NEG_INFINITY, f64::max);
            prop_assert!(mean.value >= low - 1e-9 && mean.value <= high + 1e-9);
            prop_assert!(values.iter().all(|v| mean.u <= v.u * (1.0 + 1e-12)));
            let reversed: Vec<_> = values.iter().rev().copied().collect();
            let again = Uncertain::weighted_mean(&reversed).unwrap();
            prop_assert!((again.value - mean.value).abs() < 1e-9);
        }
    }
}
