//! One small file for each trap.

#![allow(clippy::unwrap_used, reason = "helpers of tests")]

mod columns;
mod text;
mod times;
#[path = "../told/mod.rs"]
mod told;
mod trouble;

use told::found_again;
use trace::Trace;
use trace::readers::{self, ReadError, ReadOptions};

fn read(text: impl AsRef<[u8]>) -> Result<Trace, ReadError> {
    readers::read(text.as_ref(), &ReadOptions::default()).inspect(found_again)
}

fn read_ma(text: impl AsRef<[u8]>) -> Result<Trace, ReadError> {
    readers::read(
        text.as_ref(),
        &ReadOptions {
            unit: Some("mA".to_owned()),
            ..ReadOptions::default()
        },
    )
    .inspect(found_again)
}

/// Times and currents of a file that must be read.
fn samples(text: impl AsRef<[u8]>) -> Vec<(f64, f64)> {
    pairs(&read(text).unwrap())
}

fn pairs(trace: &Trace) -> Vec<(f64, f64)> {
    (0..trace.len())
        .map(|i| (trace.time_s(i), trace.current_a[i]))
        .collect()
}

fn said(trace: &Trace, words: &str) -> bool {
    trace.source.assumptions.iter().any(|a| a.contains(words))
}

const PLAIN: [(f64, f64); 3] = [(0.0, 0.5), (1.0, 0.25), (2.0, 0.75)];
