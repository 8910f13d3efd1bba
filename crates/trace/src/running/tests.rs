use proptest::prelude::*;

use super::*;
use crate::{Source, TimeAxis, analyse, interpret};

#[path = "../../tests/synthetic/mod.rs"]
mod synthetic;
use synthetic::Random;

fn empty() -> Trace {
    Trace {
        axis: TimeAxis::Regular { interval_s: 10.0 },
        current_a: Vec::new(),
        voltage_v: None,
        source: Source {
            interval_s: 10.0,
            ..Source::default()
        },
    }
}

/// To the last bit: floats as their own shortest text, in which zeros keep their sign and what is not a number equals itself.
fn bits(levels: &Levels) -> String {
    format!("{levels:?}")
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(16))]

    /// Asked at any prefixes, taken up from its bytes between, with the default penalty or a given one: the batch's levels, and
    /// with them its states, sleep and averages.
    #[test]
    fn every_prefix_is_the_batch(
        parts in prop::collection::vec((20usize..400, prop::sample::select(&[0.03, 0.4, 2.0, 0.031][..])), 2..6),
        every in 31usize..200,
        plain: bool,
        penalty in prop::option::of(Just(1e-4)),
    ) {
        let options = AnalyseOptions { penalty, plain, ..AnalyseOptions::default() };
        let levels = parts.iter().flat_map(|&(n, level)| std::iter::repeat_n(level, n));
        let mut trace = empty();
        let mut running = Running::default();
        for (i, level) in levels.enumerate() {
            trace.current_a.push(level + 0.002 * ((i as f64 * 0.618_033_988_75).fract() - 0.5));
            if i % every == 0 {
                let found = running.levels(&trace, &options);
                prop_assert_eq!(bits(&found), bits(&segment_only(&trace, &options)));
                prop_assert_eq!(interpret(&trace, found, &options), analyse(&trace, &options));
                running = Running::from_bytes(&running.to_bytes()).unwrap();
            }
        }
    }
}

/// Levels in whole digits, noise of about one digit, steps of one, two and many: equal costs wherever one looks.
fn digits(count: usize, digit: f64, seed: u64) -> Vec<f64> {
    let mut random = Random::new(seed);
    let (mut level, mut left) = (23.0, 0usize);
    (0..count)
        .map(|_| {
            if left == 0 {
                left = 20 + (random.uniform() * 4000.0) as usize;
                let step = [1.0, 2.0, 3.0, 400.0][(random.uniform() * 4.0) as usize];
                level = if level > 30.0 { 23.0 } else { level + step };
            }
            left -= 1;
            (level + 0.7 * random.normal()).round() * digit
        })
        .collect()
}

/// Lengths on both sides of that from which the batch may work from both ends, and well beyond it; the engine is
/// saved and taken up again between them, as after a restart.
fn check_long(digit: f64, seed: u64, asked: &[AnalyseOptions]) {
    let samples = digits(150_001, digit, seed);
    let mut trace = empty();
    let mut running = Running::default();
    for length in [65_535, 65_536, 65_537, 90_001, 150_001] {
        trace
            .current_a
            .extend_from_slice(&samples[trace.len()..length]);
        for options in asked {
            let found = running.levels(&trace, options);
            assert!(found.segments.len() > 20, "{}", found.segments.len());
            let batch = segment_only(&trace, options);
            assert!(
                bits(&found) == bits(&batch),
                "{length} samples with digit {digit}, seed {seed}, {options:?}: {} and {} segments, {:?} and {:?}",
                found.segments.len(),
                batch.segments.len(),
                found.cost,
                batch.cost
            );
        }
        running = Running::from_bytes(&running.to_bytes()).unwrap();
    }
}

#[test]
fn long_records_in_whole_digits_are_the_batch() {
    for (digit, seed) in [(0.001, 1), (0.01, 2), (1.0, 3)] {
        for plain in [false, true] {
            let options = AnalyseOptions {
                // So small and so round that thousands of cuts cost the same as others: worked on from both ends, each of these
                // records is cut elsewhere.
                penalty: Some(2.0 * digit * digit),
                plain,
                ..AnalyseOptions::default()
            };
            check_long(digit, seed, &[options]);
        }
    }
}

/// The default penalty changes with every sample, and what was kept for a given one must not leak into it, nor be lost by it.
#[test]
fn long_records_asked_in_turn_with_and_without_a_penalty_are_the_batch() {
    for plain in [false, true] {
        let default = AnalyseOptions {
            plain,
            ..AnalyseOptions::default()
        };
        let given = AnalyseOptions {
            penalty: Some(8e-6),
            ..default.clone()
        };
        check_long(0.001, 4, &[given, default]);
    }
}

#[test]
fn bytes_that_are_none_are_refused() {
    assert!(Running::from_bytes(&[1, 2, 3]).is_err());
    assert_eq!(Running::from_bytes(&[]).unwrap(), Running::default());
}
