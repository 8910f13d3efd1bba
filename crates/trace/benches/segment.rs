//! Segmentation: a day at 10 Hz, and 10⁶ samples with ten and with n/200 changes at penalty 2 ln n.

use divan::counter::ItemsCount;
use divan::{Bencher, black_box};
use trace::segment::{Loss, segment};
use trace::{AnalyseOptions, Pyramid, Source, TimeAxis, Trace, analyse};

#[path = "../tests/synthetic/mod.rs"]
mod synthetic;

fn main() {
    divan::main();
}

fn steps(count: usize, changes: usize) -> Vec<f64> {
    let length = count / (changes + 1) + 1;
    let mut random = synthetic::Random::new(1);
    let mut level = 0.0;
    (0..count)
        .map(|i| {
            if i % length == 0 {
                level = 5.0 * random.normal();
            }
            level + random.normal()
        })
        .collect()
}

fn run(bencher: Bencher, count: usize, changes: usize, loss: Loss) {
    let samples = steps(count, changes);
    let penalty = 2.0 * (count as f64).ln();
    bencher
        .counter(ItemsCount::new(count))
        .bench(|| segment(black_box(&samples), loss, penalty));
}

#[divan::bench(args = [100_000, 1_000_000, 10_000_000], sample_count = 5)]
fn plain_ten_changes(bencher: Bencher, count: usize) {
    run(bencher, count, 10, Loss::Squares);
}

#[divan::bench(args = [100_000, 1_000_000, 10_000_000], sample_count = 5)]
fn plain_many_changes(bencher: Bencher, count: usize) {
    run(bencher, count, count / 200, Loss::Squares);
}

#[divan::bench(args = [100_000, 1_000_000, 10_000_000], sample_count = 5)]
fn bounded_ten_changes(bencher: Bencher, count: usize) {
    run(bencher, count, 10, Loss::Bounded { cap: 9.0 });
}

#[divan::bench(args = [100_000, 1_000_000, 10_000_000], sample_count = 5)]
fn bounded_many_changes(bencher: Bencher, count: usize) {
    run(bencher, count, count / 200, Loss::Bounded { cap: 9.0 });
}

fn trace(count: usize) -> Trace {
    let source = Source {
        interval_s: 0.1,
        ..Source::default()
    };
    Trace {
        axis: TimeAxis::Regular { interval_s: 0.1 },
        current_a: steps(count, 10),
        voltage_v: None,
        source,
    }
}

/// 24 h at 10 Hz, and 10⁶ samples.
#[divan::bench(args = [864_000, 1_000_000], sample_count = 5)]
fn analyse_a_day(bencher: Bencher, count: usize) {
    let trace = trace(count);
    bencher
        .counter(ItemsCount::new(count))
        .bench(|| analyse(black_box(&trace), &AnalyseOptions::default()));
}

/// 1500 columns out of 10⁷ samples.
#[divan::bench(sample_count = 20)]
fn zoom(bencher: Bencher) {
    let trace = trace(10_000_000);
    let pyramid = Pyramid::of(&trace);
    bencher.bench(|| pyramid.envelope(black_box(&trace), 12_345.6, 987_654.3, 1500));
}
