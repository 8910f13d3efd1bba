//! How often pure noise of each kind gets a change: `false_changes [samples] [seeds]`.
//!
//! Measured with 100000 samples, records with a change: digit 5, 12 of 600 (less than 3.5 % with 97.5 % confidence); white, ar 0.5, ar 0.7, ar 0.9,
//! ar 0.95, digit 1, ar 0.7 digit, spikes and all, none of 200 each (less than 1.9 %). Ramp and wander take seconds a record:
//! none of 12 each. With 10000 samples: digit 5, 2 of 60; ar 0.95, ramp, wander and all, none of 60 each.
#![allow(clippy::print_stdout)] // Printing is what it is for.

use trace::noise::Noise;
use trace::segment::{Loss, segment};

fn main() {
    let mut args = std::env::args().skip(1).map(|a| a.parse::<usize>());
    let samples = args.next().and_then(Result::ok).unwrap_or(10_000);
    let seeds = args.next().and_then(Result::ok).unwrap_or(100) as u64;
    for kind in synthetic::KINDS {
        let (mut bad, mut changes) = (0, 0);
        for seed in 0..seeds {
            let record = synthetic::noise(kind, samples, seed);
            let noise = Noise::of(&record);
            let fit = segment(
                &record,
                Loss::Bounded { cap: noise.cap() },
                noise.penalty(samples),
            );
            bad += u32::from(fit.firsts.len() > 1);
            changes += fit.firsts.len() - 1;
        }
        println!("{kind:>14}: {bad} of {seeds} with a change, {changes} changes");
    }
}

#[path = "../tests/synthetic/mod.rs"]
mod synthetic;
