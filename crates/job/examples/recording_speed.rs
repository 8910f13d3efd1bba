//! Processor seconds of each part of a first look at a long recording: `recording_speed LOG`.
#![allow(clippy::print_stdout)] // Printing is what it is for.

use std::time::Instant;

use job::Recording;
use trace::AnalyseOptions;
use trace::readers::{ReadOptions, read};

fn timed<T>(name: &str, of: impl FnOnce() -> T) -> T {
    let (start, before) = (Instant::now(), processor_s());
    let out = of();
    println!(
        "{name:>20}: {:.3} s, {:.3} s of processors",
        start.elapsed().as_secs_f64(),
        processor_s() - before
    );
    out
}

/// Seconds that all threads spent on processors, in user mode; zero where the system does not tell.
fn processor_s() -> f64 {
    let text = std::fs::read_to_string("/proc/self/stat").unwrap_or_default();
    let after = text.rsplit(')').next().unwrap_or_default();
    let ticks = after
        .split_whitespace()
        .nth(11)
        .and_then(|t| t.parse().ok());
    // A hundred a second, as Linux tells every program.
    ticks.unwrap_or(0.0) / 100.0
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let file = std::env::args()
        .nth(1)
        .ok_or("usage: recording_speed LOG")?;
    let trace = timed("read", || {
        read(std::fs::File::open(file)?, &ReadOptions::default()).map_err(std::io::Error::other)
    })?;
    let recording = Recording::new(trace);
    let bytes = timed("encode", || recording.to_bytes());
    println!("{:>20}  {} bytes", "", bytes.len());
    let recording = timed("decode", || Recording::from_bytes(&bytes))?;
    timed("first analysis", || recording.analysis());
    let other = AnalyseOptions {
        limit_a: 0.03,
        ..AnalyseOptions::default()
    };
    timed("another limit", || recording.analysis_with(&other));
    timed("pyramid", || recording.pyramid().clone());
    let trace = &recording.trace;
    let end_s = trace
        .len()
        .checked_sub(1)
        .map_or(0.0, |last| trace.time_s(last));
    timed("a zoom", || {
        recording
            .pyramid()
            .envelope(trace, 0.123 * end_s, 0.9 * end_s, 1500)
    });
    Ok(())
}
