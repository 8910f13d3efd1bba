//! The default penalty on invented noise: quiet where nothing changes, awake where something does.

use trace::noise::Noise;
use trace::segment::{Loss, segment};

mod synthetic;

fn firsts(samples: &[f64]) -> Vec<usize> {
    let noise = Noise::of(samples);
    segment(
        samples,
        Loss::Bounded { cap: noise.cap() },
        noise.penalty(samples.len()),
    )
    .firsts
}

#[test]
fn pure_noise_has_no_changes() {
    for kind in synthetic::KINDS {
        let bad = (0..8)
            .filter(|seed| firsts(&synthetic::noise(kind, 10_000, *seed)).len() > 1)
            .count();
        // Under 5 % are wanted: two of eight would happen with 5 % of chance then.
        assert!(bad <= 1, "{kind}: {bad} of 8 records with a false change");
    }
}

/// A night of noise with steps down and wake-ups of 20 standard deviations (100 for digits of five).
#[test]
fn steps_are_found_in_every_noise() {
    let edges = [1000, 1600, 2500, 5000, 5100, 7000, 7100, 9000, 9100];
    let levels = [60.0, 40.0, 20.0, 0.0, 20.0, 0.0, 20.0, 0.0, 20.0, 0.0];
    for kind in synthetic::KINDS {
        let size = if kind == "digit 5" { 5.0 } else { 1.0 };
        let mut samples = synthetic::noise(kind, 10_000, 3);
        for (i, y) in samples.iter_mut().enumerate() {
            *y += size * levels[edges.partition_point(|e| *e <= i)];
        }
        let found = firsts(&samples);
        let hits = edges
            .iter()
            .filter(|e| found.iter().any(|f| f.abs_diff(**e) <= 5))
            .count();
        assert!(
            hits == edges.len() && found.len() <= edges.len() + 3,
            "{kind}: {found:?}"
        );
    }
}

/// Fifteen steps of 3 to 17 standard deviations, each 1250 samples: taken together they wander like a creeping zero.
#[test]
fn many_small_steps_are_no_drift() {
    for kind in [
        "white", "ar 0.7", "digit 1", "spikes", "ramp", "wander", "all",
    ] {
        for seed in 0..4 {
            let level = |i: usize| {
                (0..i / 1250)
                    .map(|k| (3 + k) as f64 * if (k * k + 1) % 3 == 1 { 1.0 } else { -1.0 })
                    .sum()
            };
            let found = firsts(&synthetic::noise_on(kind, 20_000, seed, level));
            let hits = (1..16).filter(|k| found.iter().any(|f| f.abs_diff(k * 1250) <= 10));
            let hits = hits.count();
            // Small steps in noise that filters may lie a few samples off.
            assert!(
                hits >= 14 && found.len() <= 17,
                "{kind}, {seed}: {hits} of {found:?}"
            );
        }
    }
}

/// Noise that meters filter, and ramps, in short records too.
#[test]
fn short_noise_has_no_changes() {
    for (kind, most) in [("white", 1), ("ar 0.7", 2), ("digit 5", 1), ("ramp", 6)] {
        for count in [200, 500, 1500] {
            let records = (0..20).map(|seed| synthetic::noise(kind, count, seed));
            let bad = records.filter(|y| firsts(y).len() > 1).count();
            assert!(bad <= most, "{kind}, {count}: {bad} of 20");
        }
    }
}

#[test]
fn tiny_and_constant_records() {
    assert_eq!(firsts(&[]), [] as [usize; 0]);
    assert_eq!(firsts(&[0.5]), [0]);
    assert_eq!(firsts(&[0.5, 0.5]), [0]);
    assert_eq!(firsts(&[0.0; 1000]), [0]);
    assert_eq!(firsts(&[f64::NAN; 10]), [0]);
    let step: Vec<f64> = (0..1000).map(|i| if i < 500 { 0.3 } else { 0.1 }).collect();
    assert_eq!(firsts(&step), [0, 500]);
}

#[test]
fn digit_of_the_record() {
    let samples: Vec<f64> = synthetic::noise("white", 2000, 1)
        .iter()
        .map(|y| ((0.4 + 0.003 * y) * 100.0).round() / 100.0)
        .collect();
    let noise = Noise::of(&samples);
    assert!((noise.resolution - 0.01).abs() < 1e-9, "{noise:?}");
    assert_eq!(
        Noise::of(&synthetic::noise("white", 2000, 1)).resolution,
        0.0
    );
}
