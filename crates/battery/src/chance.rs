//! The normal distribution and evenly spread points.

use std::sync::OnceLock;

use measure::Quantiles;

/// Distribution function of the standard normal, to 2e-7.
///
/// A table with straight lines between its entries: exactly monotone, which an
/// approximation by polynomials is not, and quick.
pub(crate) fn normal_cdf(z: f64) -> f64 {
    static TABLE: OnceLock<Vec<f64>> = OnceLock::new();
    let table = TABLE.get_or_init(|| {
        let mut entries: Vec<f64> = (0..=2 * TABLE_HALF).map(table_entry).collect();
        // Rounding of the series must not undo the order.
        for i in 1..entries.len() {
            entries[i] = entries[i].max(entries[i - 1]);
        }
        entries
    });
    let at = (z + TABLE_REACH) * TABLE_STEPS;
    if at.is_nan() || at <= 0.0 {
        return 0.0;
    }
    let last = 2 * TABLE_HALF;
    if at >= last as f64 {
        return 1.0;
    }
    let left = (at as usize).min(last - 1);
    table[left] + (table[left + 1] - table[left]) * (at - left as f64)
}

const TABLE_REACH: f64 = 8.0;
const TABLE_STEPS: f64 = 512.0;
const TABLE_HALF: usize = 4096;

fn table_entry(i: usize) -> f64 {
    let z = i as f64 / TABLE_STEPS - TABLE_REACH;
    if z <= 0.0 {
        upper_tail(-z)
    } else {
        1.0 - upper_tail(z)
    }
}

/// P(Z > z) for z >= 0: the series of Abramowitz & Stegun (1964), 26.2.11 below
/// 3, the continued fraction 26.2.14 above.
fn upper_tail(z: f64) -> f64 {
    let density = (-0.5 * z * z).exp() / (2.0 * std::f64::consts::PI).sqrt();
    if z < 3.0 {
        let (mut term, mut sum, mut k) = (z, z, 1.0);
        while term > 1e-17 {
            k += 2.0;
            term *= z * z / k;
            sum += term;
        }
        0.5 - density * sum
    } else {
        let mut fraction = z;
        for k in (1..=60).rev() {
            fraction = z + f64::from(k) / fraction;
        }
        density / fraction
    }
}

/// z with P(Z < z) = p. Acklam's rational approximation (2003), relative error
/// below 1.2e-9; ±8 beyond what a double can tell from 0 or 1.
pub(crate) fn normal_quantile(p: f64) -> f64 {
    const A: [f64; 6] = [
        -3.969_683_028_665_376e1,
        2.209_460_984_245_205e2,
        -2.759_285_104_469_687e2,
        1.383_577_518_672_69e2,
        -3.066_479_806_614_716e1,
        2.506_628_277_459_239,
    ];
    const B: [f64; 5] = [
        -5.447_609_879_822_406e1,
        1.615_858_368_580_409e2,
        -1.556_989_798_598_866e2,
        6.680_131_188_771_972e1,
        -1.328_068_155_288_572e1,
    ];
    const C: [f64; 6] = [
        -7.784_894_002_430_293e-3,
        -3.223_964_580_411_365e-1,
        -2.400_758_277_161_838,
        -2.549_732_539_343_734,
        4.374_664_141_464_968,
        2.938_163_982_698_783,
    ];
    const D: [f64; 4] = [
        7.784_695_709_041_462e-3,
        3.224_671_290_700_398e-1,
        2.445_134_137_142_996,
        3.754_408_661_907_416,
    ];
    const EDGE: f64 = 0.024_25;
    let horner = |c: &[f64], x: f64| c.iter().fold(0.0, |sum, c| sum * x + c);
    let tail = |p: f64| {
        let q = (-2.0 * p.max(1e-300).ln()).sqrt();
        horner(&C, q) / (horner(&D, q) * q + 1.0)
    };
    if p < EDGE {
        tail(p).max(-8.0)
    } else if p > 1.0 - EDGE {
        (-tail(1.0 - p)).min(8.0)
    } else {
        let q = p - 0.5;
        let r = q * q;
        horner(&A, r) * q / (horner(&B, r) * r + 1.0)
    }
}

/// Dimensions of one point.
pub(crate) const DIMENSIONS: usize = 6;
/// Points of the usual sample.
pub(crate) const POINTS: usize = 256;

/// A rank-1 lattice: how many points, and the multiplier whose powers generate it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Lattice {
    count: u64,
    multiplier: u64,
}

// Multipliers of small P2 and correlation in six dimensions, found by scripts/lattice.py.
const USUAL: Lattice = Lattice {
    count: POINTS as u64,
    multiplier: 103,
};
const DENSE: Lattice = Lattice {
    count: 1024,
    multiplier: 373,
};
#[cfg(test)]
pub(crate) const VERY_DENSE: Lattice = Lattice {
    count: 1 << 15,
    multiplier: 5123,
};

/// 256 standard normal vectors, evenly spread and the same every time.
pub(crate) fn points() -> &'static [[f64; DIMENSIONS]] {
    static SAMPLE: OnceLock<Vec<[f64; DIMENSIONS]>> = OnceLock::new();
    SAMPLE.get_or_init(|| spread(USUAL))
}

/// 1024 such vectors.
pub(crate) fn dense_points() -> &'static [[f64; DIMENSIONS]] {
    static SAMPLE: OnceLock<Vec<[f64; DIMENSIONS]>> = OnceLock::new();
    SAMPLE.get_or_init(|| spread(DENSE))
}

/// The lattice's points, each coordinate mapped by the normal quantile.
///
/// A Korobov lattice (Sloan & Joe 1994, "Lattice Methods for Multiple
/// Integration", chapter 4): every single coordinate visits each of the
/// `count` equally likely slices once, in its middle. The shift by multiples of
/// the golden ratio keeps the corner, where all is extreme at once, out.
pub(crate) fn spread(lattice: Lattice) -> Vec<[f64; DIMENSIONS]> {
    let Lattice { count, multiplier } = lattice;
    let mut steps = [1_u64; DIMENSIONS];
    for j in 1..DIMENSIONS {
        steps[j] = steps[j - 1] * multiplier % count;
    }
    let golden = (5.0_f64.sqrt() - 1.0) / 2.0;
    let shift = |j: usize| ((j as f64 + 1.0) * golden).fract() * count as f64;
    (0..count)
        .map(|i| {
            std::array::from_fn(|j| {
                let slice = (i * steps[j] + shift(j) as u64) % count;
                normal_quantile((slice as f64 + 0.5) / count as f64)
            })
        })
        .collect()
}

/// 5, 50 and 95 % quantiles by straight lines between the ordered values (Hyndman
/// & Fan 1996, type 5). Reorders the values; NaN for none.
pub(crate) fn quantiles(values: &mut [f64]) -> Quantiles {
    Quantiles {
        p05: quantile(values, 0.05),
        p50: quantile(values, 0.5),
        p95: quantile(values, 0.95),
    }
}

/// One of them. Selects instead of sorting: a forecast asks some hundred times.
fn quantile(values: &mut [f64], q: f64) -> f64 {
    let n = values.len();
    if n == 0 {
        return f64::NAN;
    }
    let at = (q * n as f64 - 0.5).clamp(0.0, (n - 1) as f64);
    let (_, &mut left, above) = values.select_nth_unstable_by(at as usize, f64::total_cmp);
    match above.iter().copied().min_by(f64::total_cmp) {
        // Equal ends may be infinite, and a difference would be NaN.
        Some(right) if right != left => left + (right - left) * at.fract(),
        _ => left,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_normal_table_agrees_with_abramowitz_and_stegun() {
        // Handbook of Mathematical Functions (1964), table 26.1.
        for (z, p) in [
            (0.0, 0.5),
            (0.5, 0.691_462_461_3),
            (1.0, 0.841_344_746_1),
            (1.96, 0.975_002_104_9),
            (3.0, 0.998_650_102_0),
        ] {
            assert!((normal_cdf(z) - p).abs() < 3e-7, "{z}");
            assert!((normal_cdf(-z) - (1.0 - p)).abs() < 3e-7, "-{z}");
        }
        assert!((upper_tail(4.0) / 3.167_124_183e-5 - 1.0).abs() < 1e-8);
        assert_eq!(normal_cdf(20.0), 1.0);
        assert_eq!(normal_cdf(-20.0), 0.0);
    }

    #[test]
    fn quantile_and_distribution_are_inverse() {
        for i in 1..200 {
            let p = f64::from(i) / 200.0;
            assert!((normal_cdf(normal_quantile(p)) - p).abs() < 3e-7, "{p}");
        }
    }

    #[test]
    fn quantiles_of_a_ramp() {
        let mut ramp: Vec<f64> = (0..100).rev().map(|i| f64::from(i) + 0.5).collect();
        let q = quantiles(&mut ramp);
        assert!(
            (q.p05 - 5.0).abs() < 1e-12 && (q.p50 - 50.0).abs() < 1e-12,
            "{q:?}"
        );
        assert!((q.p95 - 95.0).abs() < 1e-12);
        assert_eq!(quantiles(&mut [3.0]).p95, 3.0);
        assert!(quantiles(&mut []).p50.is_nan());
    }

    #[test]
    fn points_have_the_moments_of_the_normal() {
        let points = points();
        for j in 0..DIMENSIONS {
            let mean = points.iter().map(|p| p[j]).sum::<f64>() / POINTS as f64;
            let square = points.iter().map(|p| p[j] * p[j]).sum::<f64>() / POINTS as f64;
            let fourth = points.iter().map(|p| p[j].powi(4)).sum::<f64>() / POINTS as f64;
            assert!(mean.abs() < 1e-12, "{j}: {mean}");
            assert!((square - 1.0).abs() < 0.006, "{j}: {square}");
            assert!((fourth - 3.0).abs() < 0.4, "{j}: {fourth}");
            for k in 0..j {
                let cross = points.iter().map(|p| p[j] * p[k]).sum::<f64>() / POINTS as f64;
                assert!(cross.abs() < 0.06, "{j} {k}: {cross}");
            }
        }
    }
}
