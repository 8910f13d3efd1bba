//! Samples per second of the segmentation, for ten and for n/200 changes.
#![allow(clippy::print_stdout)] // Printing is what it is for.

use std::time::Instant;

use trace::segment::{Loss, Segmenter};

fn main() {
    let mut state = 1u64;
    let mut uniform = move || {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        ((state >> 11) as f64 + 0.5) / (1u64 << 53) as f64
    };
    for n in [100_000usize, 1_000_000, 10_000_000] {
        for changes in [10, n / 200] {
            let length = n / (changes + 1) + 1;
            let samples: Vec<f64> = (0..n)
                .map(|i| {
                    let level =
                        if (i / length) % 2 == 0 { 0.0 } else { 3.0 } + ((i / length) % 5) as f64;
                    level
                        + (-2.0 * uniform().ln()).sqrt() * (std::f64::consts::TAU * uniform()).cos()
                })
                .collect();
            let penalty = 2.0 * (n as f64).ln();
            for loss in [Loss::Squares, Loss::Bounded { cap: 9.0 }] {
                let mut best = f64::INFINITY;
                let mut pieces = 0;
                for _ in 0..(3_000_000 / n).max(1) {
                    let start = Instant::now();
                    let mut segmenter = Segmenter::new(loss, penalty);
                    samples.iter().for_each(|&y| segmenter.push(y));
                    best = best.min(start.elapsed().as_secs_f64());
                    pieces = segmenter.pieces();
                }
                println!(
                    "n {n:>9} changes {changes:>6} {loss:?}: {:.1} M/s, {pieces} pieces at the end",
                    n as f64 / best / 1e6
                );
            }
        }
    }
}
