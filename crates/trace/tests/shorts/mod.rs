//! Scores of the default settings on short records with known changes.

use std::collections::BTreeSet;

use trace::noise::Noise;
use trace::segment::{Loss, segment};

use crate::{score, synthetic};

/// Covering and F1, means over `seeds` records of each length.
pub(crate) fn scores(kind: &str, lengths: &[usize], seeds: u64) -> [f64; 2] {
    let mut sums = [0.0; 2];
    for &count in lengths {
        for seed in 0..seeds {
            let (samples, at) = synthetic::short::record(kind, count, seed);
            let noise = Noise::of(&samples);
            let loss = Loss::Bounded { cap: noise.cap() };
            let fit = segment(&samples, loss, noise.penalty(count));
            let found: BTreeSet<usize> = fit.firsts.into_iter().skip(1).collect();
            let truth = [at.into_iter().collect()];
            sums[0] += score::covering(&truth, &found, count);
            sums[1] += score::f1(&truth, &found);
        }
    }
    sums.map(|sum| sum / (lengths.len() as f64 * seeds as f64))
}
