//! How often pure noise of each kind gets a change: `false_changes [samples] [seeds]`.
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
