//! Every reader by content: delimited text, analog text, WAV, packed with gzip or zstd.
#![no_main]

use libfuzzer_sys::fuzz_target;
use trace::readers::{ReadOptions, read};

fuzz_target!(|bytes: &[u8]| {
    let options = ReadOptions {
        max_rows: Some(1 << 20),
        ..ReadOptions::default()
    };
    if let Ok(trace) = read(bytes, &options) {
        assert!(trace.current_a.iter().all(|a| a.is_finite()));
        if let Some(volts) = &trace.voltage_v {
            assert_eq!(volts.len(), trace.len());
        }
        assert!((1..trace.len()).all(|i| trace.time_s(i) >= trace.time_s(i - 1)));
    }
});
