//! How long each picture takes: 124 nodes, and a trace of a million samples.

#[path = "../tests/support/sample.rs"]
mod sample;

use divan::{Bencher, black_box};
use picture::{NightsOptions, Style};

fn main() {
    divan::main();
}

#[divan::bench]
fn flow_124_nodes(bencher: Bencher<'_, '_>) {
    let (job, assessment) = sample::open60();
    bencher.bench_local(|| picture::flow(black_box(&job), black_box(&assessment), &Style::wide()));
}

#[divan::bench]
fn trace_million(bencher: Bencher<'_, '_>) {
    let trace = sample::trace_of(1_000_000, 0.04);
    let analysis = trace::analyse(&trace, &trace::AnalyseOptions::default());
    bencher.bench_local(|| {
        picture::trace(
            black_box(&trace),
            Some(&analysis),
            &[],
            None,
            &Style::wide(),
        )
    });
}

#[divan::bench]
fn nights(bencher: Bencher<'_, '_>) {
    let (_, assessment) = sample::open60();
    let options = NightsOptions {
        start_hour: Some(18.0),
        complaint_h: Some(40.0),
    };
    bencher.bench_local(|| picture::nights(black_box(&assessment), &options, &Style::wide()));
}

#[divan::bench]
fn odds(bencher: Bencher<'_, '_>) {
    let (_, assessment) = sample::open60();
    bencher.bench_local(|| picture::odds(black_box(&assessment), &Style::wide()));
}
