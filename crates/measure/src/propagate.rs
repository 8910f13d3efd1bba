//! Uncertainty of what is computed from several inputs, after JCGM 100:2008,
//! where the inputs may be correlated or known from few repetitions.

use crate::Uncertain;

/// Mean of repeated readings with its standard uncertainty, the experimental
/// standard deviation of the mean (JCGM 100:2008, 4.2.3), in the unit of the
/// readings; degrees of freedom are their number less one.
///
/// `None` for fewer than two readings, which say nothing about their spread.
pub fn mean(readings: &[f64]) -> Option<Uncertain> {
    let n = readings.len() as f64;
    if n < 2.0 {
        return None;
    }
    let mean = readings.iter().sum::<f64>() / n;
    let squares: f64 = readings.iter().map(|x| (x - mean).powi(2)).sum();
    Some(Uncertain::new(mean, (squares / (n * (n - 1.0))).sqrt()))
}

/// Correlation of the means of two quantities read together (JCGM 100:2008,
/// 5.2.3 and 5.2.2, equations 17 and 14), −1 to 1.
///
/// `None` when the lengths differ, there are fewer than two pairs, or one of
/// the two does not vary.
pub fn correlation(x: &[f64], y: &[f64]) -> Option<f64> {
    if x.len() != y.len() {
        return None;
    }
    let (mean_x, mean_y) = (mean(x)?, mean(y)?);
    let n = x.len() as f64;
    let together: f64 = x
        .iter()
        .zip(y)
        .map(|(a, b)| (a - mean_x.value) * (b - mean_y.value))
        .sum();
    let r = together / (n * (n - 1.0)) / (mean_x.u * mean_y.u);
    r.is_finite().then(|| r.clamp(-1.0, 1.0))
}

/// Combined standard uncertainty of a result with sensitivities `c` (its
/// partial derivatives) to inputs of standard uncertainties `u`, whose
/// correlations are `r(i, j)` for i < j (JCGM 100:2008, 5.2.2, equation 16).
///
/// Inputs beyond the shorter of the two slices are ignored. Correlations that
/// no set of quantities can have may make the variance negative; it then
/// counts as 0.
pub fn combined(c: &[f64], u: &[f64], r: impl Fn(usize, usize) -> f64) -> f64 {
    let parts: Vec<f64> = c.iter().zip(u).map(|(c, u)| c * u).collect();
    let mut variance = 0.0;
    for (j, right) in parts.iter().enumerate() {
        variance += right * right;
        for (i, left) in parts[..j].iter().enumerate() {
            variance += 2.0 * left * right * r(i, j);
        }
    }
    variance.max(0.0).sqrt()
}

/// Effective degrees of freedom of a combined uncertainty by the
/// Welch-Satterthwaite formula (JCGM 100:2008, G.4.1, equation G.2b).
///
/// `parts` are (contribution to the result, degrees of freedom), the latter
/// infinite for an input whose uncertainty is itself certain. Infinite when
/// all are, or when nothing contributes.
pub fn effective_freedom(parts: &[(f64, f64)]) -> f64 {
    let total: f64 = parts.iter().map(|(u, _)| u * u).sum();
    let doubt: f64 = parts.iter().map(|(u, freedom)| u.powi(4) / freedom).sum();
    if doubt > 0.0 {
        total * total / doubt
    } else {
        f64::INFINITY
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn close(ours: f64, theirs: f64, relative: f64) {
        assert!(
            (ours - theirs).abs() <= relative * theirs.abs(),
            "{ours} against {theirs}"
        );
    }

    #[test]
    fn ten_resistors_against_one_standard() {
        // JCGM 100:2008, 5.2.2, example (from memory): ten resistors of 1 kΩ, each
        // compared with the same standard of u = 100 mΩ, in series: 1 Ω, not 0.32 Ω.
        let (c, u) = ([1.0; 10], [0.1; 10]);
        close(combined(&c, &u, |_, _| 1.0), 1.0, 1e-12);
        close(combined(&c, &u, |_, _| 0.0), 0.316, 1e-3);
    }

    #[test]
    fn expanded_uncertainty_divides_by_its_factor() {
        // JCGM 100:2008, 4.3.4, example (from memory): 129 µΩ at 99 % is 50 µΩ.
        close(129.0 / 2.58, 50.0, 1e-3);
        // 5.1.5, example (from memory): 12 µV and 8.66 µV make 15 µV (14.8 unrounded).
        let voltmeter = Uncertain::new(0.928_571, 12e-6).widened(8.66e-6);
        close(voltmeter.u, 14.8e-6, 0.001);
    }

    #[test]
    fn end_gauge_calibration() {
        // JCGM 100:2008, H.1 (inputs as in the GUM H.1 example file of the GTC
        // documentation, read): four contributions of 25, 9.7, 2.9 and 16.6 nm with
        // 18, 25.6, 50 and 2 degrees of freedom make 32 nm with 16.
        let parts = [(25.0, 18.0), (9.7, 25.6), (2.9, 50.0), (16.6, 2.0)];
        let u: Vec<f64> = parts.iter().map(|part| part.0).collect();
        close(combined(&[1.0; 4], &u, |_, _| 0.0), 31.67, 0.001);
        close(effective_freedom(&parts), 16.76, 0.001);
        assert_eq!(effective_freedom(&parts).floor(), 16.0);
    }

    #[test]
    fn resistance_and_reactance_measured_together() {
        // JCGM 100:2008, H.2, tables H.2 and H.4 (means, uncertainties and correlations
        // as in the GUM H.2 page of the GTC documentation, read; rows from memory).
        let v = [5.007, 4.994, 5.005, 4.990, 4.999];
        let i = [19.663e-3, 19.639e-3, 19.640e-3, 19.685e-3, 19.678e-3];
        let phi = [1.0456, 1.0438, 1.0468, 1.0428, 1.0433];
        let [mv, mi, mp] = [mean(&v).unwrap(), mean(&i).unwrap(), mean(&phi).unwrap()];
        close(mv.value, 4.9990, 1e-6);
        close(mv.u, 0.0032, 0.01);
        close(mi.value, 19.6610e-3, 1e-6);
        close(mi.u, 9.5e-6, 0.01);
        close(mp.value, 1.044_46, 1e-6);
        close(mp.u, 7.5e-4, 0.01);
        let r = [
            [
                1.0,
                correlation(&v, &i).unwrap(),
                correlation(&v, &phi).unwrap(),
            ],
            [0.0, 1.0, correlation(&i, &phi).unwrap()],
        ];
        close(r[0][1], -0.36, 0.02);
        close(r[0][2], 0.86, 0.005);
        close(r[1][2], -0.65, 0.01);

        // R = V/I cos φ, X = V/I sin φ, Z = V/I.
        let (z, u) = (mv.value / mi.value, [mv.u, mi.u, mp.u]);
        let (sin, cos) = mp.value.sin_cos();
        let resistance = [cos / mi.value, -z * cos / mi.value, -z * sin];
        let reactance = [sin / mi.value, -z * sin / mi.value, z * cos];
        let impedance = [1.0 / mi.value, -z / mi.value, 0.0];
        let width = |c: &[f64; 3]| combined(c, &u, |i, j| r[i][j]);
        close(z * cos, 127.732, 1e-5);
        close(width(&resistance), 0.071, 0.005);
        close(z * sin, 219.847, 1e-5);
        close(width(&reactance), 0.295, 0.005);
        close(z, 254.260, 1e-5);
        close(width(&impedance), 0.236, 0.005);
        // Without the correlations the resistance would look far worse.
        assert!(combined(&resistance, &u, |_, _| 0.0) > 2.0 * width(&resistance));
    }

    #[test]
    fn a_thermometer_calibrated_by_a_line() {
        // JCGM 100:2008, H.3, table H.6 (readings as in the GUM H.3 page of the GTC
        // documentation, read): corrections b at temperatures t, fitted by a line
        // through t0 = 20 °C, and the correction it predicts at 30 °C.
        let t = [
            21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511,
        ]
        .map(|t| t - 20.0);
        let b = [
            -0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160,
        ];
        let n = t.len() as f64;
        let (mean_t, mean_b, r) = (
            mean(&t).unwrap(),
            mean(&b).unwrap(),
            correlation(&t, &b).unwrap(),
        );
        // Sums of squares about the means, from the uncertainties of the means.
        let [about_t, about_b] = [mean_t.u, mean_b.u].map(|u| n * (n - 1.0) * u * u);
        let slope = r * mean_b.u / mean_t.u;
        let intercept = mean_b.value - slope * mean_t.value;
        let s = ((1.0 - r * r) * about_b / (n - 2.0)).sqrt();
        let u_slope = s / about_t.sqrt();
        // The line's height at the mean does not depend on its slope (H.3.5).
        let middle = s / n.sqrt();
        let u_intercept = combined(&[1.0, mean_t.value], &[middle, u_slope], |_, _| 0.0);
        let r_line = -mean_t.value * u_slope / u_intercept;
        close(intercept, -0.1712, 5e-4);
        close(u_intercept, 0.0029, 0.02);
        close(slope, 0.002_18, 0.005);
        close(u_slope, 0.000_67, 0.01);
        close(r_line, -0.930, 1e-3);
        close(s, 0.0035, 0.01);
        let u = combined(&[1.0, 10.0], &[u_intercept, u_slope], |_, _| r_line);
        close(intercept + 10.0 * slope, -0.1494, 5e-4);
        close(u, 0.0041, 0.02);
        // Without the correlation of the two it would come out nearly twice as wide.
        assert!(combined(&[1.0, 10.0], &[u_intercept, u_slope], |_, _| 0.0) > 1.7 * u);
    }

    #[test]
    fn a_calibrated_resistor() {
        // EA-4/02, example S3, nominal 10 kΩ (totals read in an example file of an
        // uncertainty program; single contributions from memory): u = 8.33 mΩ.
        let u = [2.5, 5.774, 1.588, 4.082, 0.7, 3.175];
        close(combined(&[1.0; 6], &u, |_, _| 0.0), 8.33, 0.001);
    }

    #[test]
    fn too_little_says_nothing() {
        assert_eq!(mean(&[1.0]), None);
        assert_eq!(correlation(&[1.0, 2.0], &[1.0]), None);
        assert_eq!(correlation(&[1.0, 2.0], &[3.0, 3.0]), None);
        assert_eq!(effective_freedom(&[(1.0, f64::INFINITY)]), f64::INFINITY);
    }

    proptest! {
        /// Full correlation adds uncertainties, none adds their squares, and
        /// anything between lies between.
        #[test]
        fn correlation_moves_between_two_sums(
            u in prop::collection::vec(0.0..10.0_f64, 1..8), share in 0.0..1.0_f64,
        ) {
            let c = vec![1.0; u.len()];
            let none = combined(&c, &u, |_, _| 0.0);
            let some = combined(&c, &u, |_, _| share);
            let full = combined(&c, &u, |_, _| 1.0);
            // Rounding of up to 36 summed products.
            let slack = 64.0 * f64::EPSILON * full;
            prop_assert!(none <= some + slack && some <= full + slack);
            prop_assert!((full - u.iter().sum::<f64>()).abs() <= slack);
        }

        /// Effective degrees of freedom never exceed their sum, nor fall below the least.
        #[test]
        fn freedom_stays_in_bounds(
            parts in prop::collection::vec((0.1..10.0_f64, 1.0..100.0_f64), 1..8),
        ) {
            let freedom = effective_freedom(&parts);
            let least = parts.iter().map(|p| p.1).fold(f64::INFINITY, f64::min);
            let sum: f64 = parts.iter().map(|p| p.1).sum();
            prop_assert!(freedom >= least * (1.0 - 1e-12) && freedom <= sum * (1.0 + 1e-12));
        }
    }
}
