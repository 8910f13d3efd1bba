//! Levels put together: the base of a record, and what sleep draws.

use measure::Uncertain;

use super::HOLD_S;
use super::cluster::cluster;
use crate::analysis::{Segment, State};
use crate::noise::Noise;
use crate::steps::Hands;

/// The base level (rule 2).
pub(super) fn base(segments: &[Segment], noise: &Noise) -> Uncertain {
    let finite: Vec<usize> = (0..segments.len())
        .filter(|&i| segments[i].level.value.is_finite())
        .collect();
    let values: Vec<f64> = finite.iter().map(|&i| segments[i].level.value).collect();
    // A twentieth of the level counts as one standard deviation: alike within a tenth or so. From memory.
    let weights: Vec<f64> = finite
        .iter()
        .map(|&i| {
            let level = segments[i].level;
            let spread = level
                .u
                .hypot(0.05 * level.value)
                .max(0.5 * noise.resolution)
                .max(f64::MIN_POSITIVE.sqrt());
            (spread * spread).recip()
        })
        .collect();
    // A further cluster must gain three standard deviations squared and a logarithmic share, in
    // the manner of the segmentation's penalty (from memory).
    let clusters = cluster(&values, &weights, 9.0 + 2.0 * (values.len() as f64).ln());
    let count = clusters.iter().max().map_or(0, |m| m + 1);
    let mut times = vec![0.0; count];
    for (place, &index) in finite.iter().enumerate() {
        times[clusters[place]] += segments[index].end_s - segments[index].start_s;
    }
    let total: f64 = times.iter().sum();
    let ends_lowest = clusters.last() == Some(&0);
    // Else the lowest level that holds for a fiftieth of the time (from memory).
    let chosen = if ends_lowest {
        0
    } else {
        times.iter().position(|t| *t >= 0.02 * total).unwrap_or(0)
    };
    let members: Vec<Segment> = finite
        .iter()
        .enumerate()
        .filter(|(place, _)| clusters[*place] == chosen)
        .map(|(_, &i)| segments[i])
        .collect();
    mean_level(&members, noise)
}

/// Mean of levels weighted by their samples, with scatter between them.
fn mean_level(segments: &[Segment], noise: &Noise) -> Uncertain {
    let weight = |s: &Segment| (s.last + 1 - s.first) as f64;
    let samples: f64 = segments.iter().map(weight).sum();
    if samples <= 0.0 {
        return Uncertain::default();
    }
    let mean = segments
        .iter()
        .map(|s| weight(s) * s.level.value)
        .sum::<f64>()
        / samples;
    let scatter = segments
        .iter()
        .map(|s| weight(s) * (s.level.value - mean).powi(2))
        .sum::<f64>()
        / samples;
    let between = if segments.len() > 1 {
        scatter / (segments.len() - 1) as f64
    } else {
        0.0
    };
    // Scatter of the levels, each with its share; rounding is the same for all of them.
    let own = segments
        .iter()
        .map(|s| (weight(s) / samples).powi(2) * (s.level.u.powi(2) - noise.rounding().powi(2)))
        .sum::<f64>();
    Uncertain::new(
        mean,
        own.max(between).max(0.0).sqrt().hypot(noise.rounding()),
    )
}

/// The level of the sleeping `segments`: from before the first pull, if it lasted there, otherwise with what was given back.
pub(super) fn of_sleep(segments: &[Segment], noise: &Noise, hands: &Hands) -> Uncertain {
    let asleep = |until_s: f64| -> Vec<Segment> {
        segments
            .iter()
            .filter(|s| s.state == State::Asleep && s.end_s <= until_s)
            .copied()
            .collect()
    };
    if let Some(first_s) = hands.first_s {
        let before = asleep(first_s);
        let held_s: f64 = before.iter().map(|s| s.end_s - s.start_s).sum();
        if held_s >= HOLD_S {
            return mean_level(&before, noise);
        }
    }
    mean_level(&asleep(f64::INFINITY), noise).widened(hands.u_a)
}
