//! Reading a log of 10^6 rows from memory.

#![allow(clippy::unwrap_used, reason = "a bench may stop")]

use divan::Bencher;
use divan::counter::{BytesCount, ItemsCount};
use trace::readers::{self, ReadOptions};

const ROWS: usize = 1_000_000;

fn main() {
    divan::main();
}

/// Noise of a small generator, so that no two runs differ.
fn noise(i: usize) -> u64 {
    (i as u64)
        .wrapping_mul(6_364_136_223_846_793_005)
        .wrapping_add(1_442_695_040_888_963_407)
        >> 44
}

fn run(bencher: Bencher<'_, '_>, file: String, threads: usize) {
    let pool = rayon::ThreadPoolBuilder::new()
        .num_threads(threads)
        .build()
        .unwrap();
    let options = ReadOptions::default();
    bencher
        .counter(ItemsCount::new(ROWS))
        .counter(BytesCount::of_str(&file))
        .bench(|| pool.install(|| readers::read(file.as_bytes(), &options).unwrap().len()));
}

#[divan::bench(args = [1, 2])]
fn time_and_current(bencher: Bencher<'_, '_>, threads: usize) {
    let rows: String = (0..ROWS)
        .map(|i| format!("{}.{},0.{:06}\n", i / 10, i % 10, noise(i) % 1_000_000))
        .collect();
    run(bencher, format!("time_s,current_A\n{rows}"), threads);
}

#[divan::bench(args = [1, 2])]
fn with_voltage_and_milliampere(bencher: Bencher<'_, '_>, threads: usize) {
    let rows: String = (0..ROWS)
        .map(|i| {
            format!(
                "{},{}.{:02},12.{:03}\n",
                i * 100,
                noise(i) % 900,
                i % 100,
                i % 1000
            )
        })
        .collect();
    run(bencher, format!("t [ms],I (mA),U (V)\n{rows}"), threads);
}

#[divan::bench(args = [1, 2])]
fn iso_stamps(bencher: Bencher<'_, '_>, threads: usize) {
    let rows: String = (0..ROWS)
        .map(|i| {
            format!(
                "2026-11-25T{:02}:{:02}:{:02}.{}Z,0.{:06}\n",
                i / 36_000 % 24,
                i / 600 % 60,
                i / 10 % 60,
                i % 10,
                noise(i) % 1_000_000
            )
        })
        .take(860_000)
        .collect();
    run(bencher, format!("time,current_A\n{rows}"), threads);
}

#[divan::bench(args = [1, 2])]
fn decimal_comma(bencher: Bencher<'_, '_>, threads: usize) {
    let rows: String = (0..ROWS)
        .map(|i| format!("{},{};0,{:06}\n", i / 10, i % 10, noise(i) % 1_000_000))
        .collect();
    run(bencher, format!("time_s;current_A\n{rows}"), threads);
}
