//! Whether what is left of a record about its levels returns to them, or wanders.
//!
//! The test of D. Dickey, W. Fuller, "Distribution of the estimators for autoregressive time series with a unit root", JASA 74, 1979,
//! with a line and one lagged difference: in
//!
//! ```text
//! yₜ − yₜ₋₁ = a yₜ₋₁ + b (yₜ₋₁ − yₜ₋₂) + line
//! ```
//!
//! a is so far below zero, by its standard error, as a random walk would have it in 5 % of cases. Levels that were
//! fitted bring what is left nearer to a return; the bound falls with their number (the idea of G. Kapetanios, "Unit-root testing against
//! the alternative hypothesis of up to m structural breaks", Journal of Time Series Analysis 26, 2005; the amount is a choice). Where
//! none was fitted a quarter of random walks may pass, since few hundred samples of strongly filtered noise hardly tell otherwise.

use super::describe::{Two, about_levels};

/// 5 % bound with a line: J. MacKinnon, "Critical values for cointegration tests", Queen's Economics Department working paper 1227,
/// 2010, table 2 (constant and trend, N = 1).
const BOUND: [f64; 4] = [-3.41049, -4.3904, -9.036, -45.374];
/// By how much the bound rises without changes: 22 to 24 % of 2,000 invented random walks each of 50, 200 and 500 samples lie below it
/// then, 5.3 to 5.9 % below the bound itself. A choice.
const NO_CHANGE: f64 = 0.7;
/// By how much it falls with the first change, and with each. A choice.
const FIRST_CHANGE: f64 = 0.7;
const EACH_CHANGE: f64 = 0.5;
/// Fewest samples. A choice: five figures are estimated.
const LEAST: usize = 12;

/// Whether `samples`, about levels on segments that start at `firsts`, return to them.
pub(super) fn returns(samples: &[f64], firsts: &[usize]) -> bool {
    let changes = firsts.len().saturating_sub(1) as f64;
    let more = if changes > 0.0 {
        FIRST_CHANGE
    } else {
        -NO_CHANGE
    } + EACH_CHANGE * changes;
    let n = samples.len() as f64;
    let bound = BOUND.iter().rev().fold(0.0, |sum, term| sum / n + term);
    statistic(&about_levels(samples, firsts)).is_some_and(|t| t <= bound - more)
}

/// a, in its standard errors.
fn statistic(y: &[f64]) -> Option<f64> {
    if y.len() < LEAST {
        return None;
    }
    let rows = 2..y.len();
    let before = off_line(rows.clone().map(|t| y[t - 1]));
    let lagged = off_line(rows.clone().map(|t| y[t - 1] - y[t - 2]));
    let change = off_line(rows.map(|t| y[t] - y[t - 1]));
    let mut sums = Two::default();
    for ((a, b), c) in before.iter().zip(&lagged).zip(&change) {
        sums.add(*a, *b, *c);
    }
    let (a, b) = sums.solve()?;
    let all: f64 = change.iter().map(|c| c * c).sum();
    let left = (all - a * sums.ay - b * sums.by).max(0.0) / (change.len() as f64 - 4.0);
    let u = (left * sums.bb / sums.determinant()).sqrt();
    (u > 0.0).then(|| a / u)
}

/// `values` without their straight line.
fn off_line(values: impl Iterator<Item = f64>) -> Vec<f64> {
    let values: Vec<f64> = values.collect();
    let middle = 0.5 * (values.len() as f64 - 1.0);
    let mean = values.iter().sum::<f64>() / values.len() as f64;
    let (mut cross, mut squares) = (0.0, 0.0);
    for (i, y) in values.iter().enumerate() {
        let x = i as f64 - middle;
        cross += x * y;
        squares += x * x;
    }
    let slope = cross / f64::max(squares, f64::MIN_POSITIVE);
    let terms = values.iter().enumerate();
    terms
        .map(|(i, y)| y - mean - slope * (i as f64 - middle))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Invented: a walk and an autoregression of ½, driven by the same numbers.
    fn driven(rho: f64) -> Vec<f64> {
        let mut state = 0.0;
        (0..200)
            .map(|i| {
                state = rho * state + (f64::from(i) * 0.618_033_988_75).fract() - 0.5;
                state
            })
            .collect()
    }

    #[test]
    fn noise_about_a_level_returns() {
        assert!(returns(&driven(0.5), &[0]));
        let stepped: Vec<f64> = driven(0.5)
            .iter()
            .enumerate()
            .map(|(i, y)| y + if i < 90 { 0.0 } else { 9.0 })
            .collect();
        assert!(!returns(&stepped, &[0]));
        assert!(returns(&stepped, &[0, 90]));
    }

    #[test]
    fn a_parabola_does_not_return() {
        let curve: Vec<f64> = (0..100).map(|i| f64::from(i * i)).collect();
        assert!(!returns(&curve, &[0]));
        assert!(!returns(&[1.0; 100], &[0]));
        assert!(!returns(&[1.0, 2.0, 1.0], &[0]));
    }
}
