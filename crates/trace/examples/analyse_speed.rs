//! Processor seconds of each part of `analyse` on 10⁶ samples with ten changes.
#![allow(clippy::print_stdout)] // Printing is what it is for.

use trace::noise::Noise;
use trace::segment::{Loss, segment};
use trace::{AnalyseOptions, Envelope, Source, TimeAxis, Trace, analyse};

#[path = "../tests/synthetic/mod.rs"]
mod synthetic;

/// Seconds this thread spent on a processor; zero where the system does not tell.
fn processor_s() -> f64 {
    std::fs::read_to_string("/proc/thread-self/schedstat")
        .ok()
        .and_then(|text| text.split(' ').next()?.parse::<f64>().ok())
        .map_or(0.0, |ns| ns * 1e-9)
}

fn least(name: &str, mut of: impl FnMut()) {
    let mut best = f64::INFINITY;
    for _ in 0..5 {
        let start = processor_s();
        of();
        best = best.min(processor_s() - start);
    }
    println!("{name:>10}: {best:.4} s");
}

fn main() {
    let count = 1_000_000;
    let mut random = synthetic::Random::new(1);
    let mut level = 0.0;
    let current_a: Vec<f64> = (0..count)
        .map(|i| {
            if i % 90_910 == 0 {
                level = 5.0 * random.normal().abs();
            }
            level + 0.01 * random.normal()
        })
        .collect();
    let trace = Trace {
        axis: TimeAxis::Regular { interval_s: 0.1 },
        current_a,
        voltage_v: None,
        source: Source {
            interval_s: 0.1,
            ..Source::default()
        },
    };
    let noise = Noise::of(&trace.current_a);
    let options = AnalyseOptions::default();
    least("noise", || {
        std::hint::black_box(Noise::of(&trace.current_a));
    });
    let loss = Loss::Bounded { cap: noise.cap() };
    least("segments", || {
        drop(segment(&trace.current_a, loss, noise.penalty(count)))
    });
    least("envelope", || drop(Envelope::of(&trace, 0.0, 1e5, 1024)));
    least("analyse", || drop(analyse(&trace, &options)));
}
