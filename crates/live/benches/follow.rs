//! How many samples a second go through source and watch.
#![allow(missing_docs, clippy::unwrap_used, reason = "a benchmark")]

use divan::counter::ItemsCount;
use live::{Event, LineSource, Watch};
use trace::readers::ReadOptions;

const ROWS: u64 = 200_000;

fn main() {
    divan::main();
}

/// A vehicle that falls asleep, with the noise of a meter of three digits.
fn log() -> String {
    let mut text = String::from("time_s,current_mA\n");
    for row in 0..ROWS {
        let level = if row < ROWS / 4 { 2900 } else { 23 };
        text.push_str(&format!(
            "{:.2},{}.{}\n",
            row as f64 / 100.0,
            level,
            row * 7919 % 10
        ));
    }
    text
}

fn run(text: &str, watched: bool) -> u64 {
    let mut source = LineSource::new(ReadOptions::default());
    let mut watch = Watch::new(0.05);
    let mut events = Vec::new();
    let mut samples = 0;
    for (chunk, bytes) in text.as_bytes().chunks(4096).enumerate() {
        source.feed(bytes, chunk as f64, &mut events).unwrap();
        for event in events.drain(..) {
            if let Event::Sample(sample) = event {
                samples += 1;
                if watched {
                    watch.push(&sample);
                }
            }
        }
    }
    samples
}

#[divan::bench]
fn source_alone(bencher: divan::Bencher<'_, '_>) {
    let text = log();
    bencher
        .counter(ItemsCount::new(ROWS))
        .bench(|| run(&text, false));
}

#[divan::bench]
fn source_and_watch(bencher: divan::Bencher<'_, '_>) {
    let text = log();
    bencher
        .counter(ItemsCount::new(ROWS))
        .bench(|| run(&text, true));
}
