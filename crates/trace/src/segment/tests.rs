use proptest::prelude::*;

use super::*;

/// Exact least loss of every segment that ends with the last of `samples`, the shortest first.
///
/// For the bounded loss the best level is the mean of the samples within `√cap` of it, which are a run of the
/// sorted samples no wider than `2√cap`; every such run is tried, with the rest at `cap`
/// (an upper bound of the loss at that mean, and equal to it for the best run).
fn losses_to_the_end(samples: &[f64], cap: f64) -> Vec<f64> {
    let mut sorted: Vec<f64> = Vec::new();
    let mut out = Vec::new();
    for &y in samples.iter().rev() {
        sorted.insert(sorted.partition_point(|x| *x < y), y);
        let mut least = f64::INFINITY;
        for from in 0..sorted.len() {
            let (mut mean, mut squares) = (0.0, 0.0);
            for (count, &x) in (1..).zip(&sorted[from..]) {
                if (x - sorted[from]).powi(2) > 4.0 * cap {
                    break;
                }
                let d = x - mean;
                mean += d / f64::from(count);
                squares += d * (x - mean);
                let rest = sorted.len() - count as usize;
                least = least.min(squares + if rest > 0 { cap * rest as f64 } else { 0.0 });
            }
            if cap == f64::INFINITY {
                break;
            }
        }
        out.push(least);
    }
    out
}

/// Optimal partitioning over all O(n²) segments.
fn exhaustive(samples: &[f64], cap: f64, penalty: f64) -> f64 {
    let mut best = vec![0.0];
    for end in 1..=samples.len() {
        let least = losses_to_the_end(&samples[..end], cap)
            .into_iter()
            .zip((0..end).rev())
            .map(|(loss, first)| best[first] + loss + if first > 0 { penalty } else { 0.0 })
            .fold(f64::INFINITY, f64::min);
        best.push(least);
    }
    best[samples.len()]
}

fn loss(cap: f64) -> Loss {
    if cap.is_finite() {
        Loss::Bounded { cap }
    } else {
        Loss::Squares
    }
}

fn check(samples: &[f64], cap: f64, penalty: f64) {
    let want = exhaustive(samples, cap, penalty);
    let got = segment(samples, loss(cap), penalty);
    // Both sum at most n terms of the size of the cost: n ε each, times a small factor.
    let size: f64 = samples.iter().map(|y| y * y).sum::<f64>().max(want);
    let tolerance = 64.0 * samples.len() as f64 * f64::EPSILON * size;
    assert!(
        (got.cost - want).abs() <= tolerance,
        "{} against {want} for {samples:?}, {cap}, {penalty}",
        got.cost
    );
}

fn caps() -> impl Strategy<Value = f64> {
    prop_oneof![Just(f64::INFINITY), 0.05..30.0]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn optimal_for_any_samples(samples in prop::collection::vec(-5.0..5.0, 1..40), cap in caps(), penalty in 0.01..30.0) {
        check(&samples, cap, penalty);
    }

    /// Few values: ties everywhere.
    #[test]
    fn optimal_with_ties(samples in prop::collection::vec((0..4).prop_map(f64::from), 1..40),
                         cap in prop_oneof![Just(f64::INFINITY), Just(1.0), Just(2.25), Just(4.0)],
                         penalty in prop_oneof![Just(0.5), Just(1.0), Just(2.0), Just(4.0)]) {
        check(&samples, cap, penalty);
    }

    /// Long quiet stretches, so that the lazy core is at work, with steps and spikes.
    #[test]
    fn optimal_with_a_core(steps in prop::collection::vec((20usize..60, -4.0..4.0), 1..4), noise in prop::collection::vec(-1.0..1.0, 180),
                           cap in prop_oneof![Just(f64::INFINITY), 0.2..3.0], penalty in 2.0..12.0) {
        let mut samples = Vec::new();
        for (count, level) in steps {
            for _ in 0..count {
                let wobble: f64 = noise[samples.len()];
                samples.push(level + wobble * wobble * wobble * 2.0);
            }
        }
        check(&samples, cap, penalty);
    }

    #[test]
    fn every_prefix_is_the_batch(samples in prop::collection::vec(-3.0..3.0, 1..120), cap in caps(), penalty in 0.5..10.0) {
        let mut segmenter = Segmenter::new(loss(cap), penalty);
        for end in 1..=samples.len() {
            segmenter.push(samples[end - 1]);
            if end % 17 == 0 {
                segmenter = Segmenter::from_bytes(&segmenter.to_bytes()).unwrap();
            }
            prop_assert_eq!(segmenter.fit(&samples[..end]), segment(&samples[..end], loss(cap), penalty));
        }
    }

    /// From both ends at once.
    #[test]
    fn two_halves_make_the_same(samples in prop::collection::vec(prop_oneof![20 => -3.0..3.0, 1 => Just(f64::NAN), 1 => -90.0..90.0], 0..120),
                                cap in caps(), penalty in 0.5..10.0) {
        let (one, two) = (segment(&samples, loss(cap), penalty), segment_halves(&samples, loss(cap), penalty));
        // As text, in which what is not a number equals itself.
        prop_assert_eq!(format!("{two:?}"), format!("{one:?}"));
    }

    /// Few values: ties everywhere, so the cost is the same but not always the changes.
    #[test]
    fn two_halves_cost_the_same(samples in prop::collection::vec((0..4).prop_map(f64::from), 0..60),
                                cap in prop_oneof![Just(f64::INFINITY), Just(1.0), Just(2.25), Just(4.0)],
                                penalty in prop_oneof![Just(0.5), Just(1.0), Just(2.0), Just(4.0)]) {
        let (one, two) = (segment(&samples, loss(cap), penalty), segment_halves(&samples, loss(cap), penalty));
        prop_assert!((one.cost - two.cost).abs() < 1e-9, "{} and {}", one.cost, two.cost);
    }

    /// Saved bytes that were damaged are refused.
    #[test]
    fn damaged_state_is_no_panic(cut in 0usize..400, flip in 0usize..400) {
        let mut segmenter = Segmenter::new(Loss::Bounded { cap: 1.0 }, 3.0);
        (0..40).for_each(|i| segmenter.push(f64::from(i % 7)));
        let mut bytes = segmenter.to_bytes();
        prop_assert!(Segmenter::from_bytes(&bytes[..cut.min(bytes.len() - 1)]).is_err());
        let flip = flip % bytes.len();
        bytes[flip] ^= 0x55;
        prop_assert!(Segmenter::from_bytes(&bytes).is_err());
    }
}

#[test]
fn small_cases_by_hand() {
    let fit = segment(&[0.0, 0.0, 3.0, 3.0], Loss::Squares, 8.0);
    assert_eq!(
        (fit.firsts, fit.levels, fit.cost),
        (vec![0, 2], vec![0.0, 3.0], 8.0)
    );
    // One segment costs 4 × 1.5² = 9; at a penalty of 9 they tie, and the longer segment stays.
    let fit = segment(&[0.0, 0.0, 3.0, 3.0], Loss::Squares, 9.0);
    assert_eq!((fit.firsts, fit.cost), (vec![0], 9.0));
    // A spike costs its cap, and the level does not move.
    let fit = segment(
        &[1.0, 1.0, 100.0, 1.0, 1.0],
        Loss::Bounded { cap: 4.0 },
        5.0,
    );
    assert_eq!(
        (fit.firsts, fit.levels, fit.cost),
        (vec![0], vec![1.0], 4.0)
    );
}

/// Long enough for the path to be forgotten many times, with levels, digits, spikes and gaps.
#[test]
fn long_records_from_both_ends() {
    for (seed, digit) in [(1u64, 0.0), (2, 0.5), (3, 2.0)] {
        let mut state = seed;
        let mut uniform = || {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1);
            (state >> 11) as f64 / (1u64 << 53) as f64
        };
        let samples: Vec<f64> = (0..30_000)
            .map(|k| {
                let noise: f64 = (0..12).map(|_| uniform()).sum::<f64>() - 6.0;
                let y = [0.0, 5.0, 1.0, 40.0][k / 777 % 4] + noise;
                let spike = match uniform() {
                    u if u < 0.01 => f64::NAN,
                    u if u < 0.02 => 300.0,
                    _ => 0.0,
                };
                let y = y + spike;
                if digit > 0.0 {
                    (y / digit).round() * digit
                } else {
                    y
                }
            })
            .collect();
        for cap in [9.0, f64::INFINITY] {
            let penalty = 2.0 * (samples.len() as f64).ln() * if cap > 9.0 { 50.0 } else { 1.0 };
            let one = segment(&samples, loss(cap), penalty);
            assert!(one.firsts.len() > 30);
            assert_eq!(segment_halves(&samples, loss(cap), penalty), one);
            let mut fed = Segmenter::new(loss(cap), penalty);
            samples.iter().for_each(|y| fed.push(*y));
            let saved = fed.to_bytes();
            assert!(saved.len() < 200_000, "{} bytes", saved.len());
            assert_eq!(Segmenter::from_bytes(&saved).unwrap().to_bytes(), saved);
            assert_eq!(fed.fit(&samples), one);
        }
    }
}

/// A spike at a change belongs to what comes after it, wherever rounding leaves it.
#[test]
fn a_spike_at_a_change_goes_to_the_later_segment() {
    let samples = [1.0, 1.1, 0.9, 1.0, 90.0, f64::NAN, -90.0, 5.0, 5.1, 4.9];
    let bounded = Loss::Bounded { cap: 1.0 };
    assert_eq!(segment(&samples, bounded, 2.0).firsts, [0, 4]);
    assert_eq!(segment_halves(&samples, bounded, 2.0).firsts, [0, 4]);
}

#[test]
fn nothing_and_not_a_number() {
    assert_eq!(segment(&[], Loss::Squares, 1.0), Fit::default());
    let fit = segment(
        &[f64::NAN, 2.0, f64::NAN, 2.0, f64::INFINITY],
        Loss::Squares,
        1.0,
    );
    assert_eq!(
        (fit.firsts, fit.levels, fit.cost),
        (vec![0], vec![2.0], 0.0)
    );
    let fit = segment(&[f64::NAN], Loss::Squares, 1.0);
    assert_eq!(fit.firsts, vec![0]);
    assert!(fit.levels[0].is_nan());
}
