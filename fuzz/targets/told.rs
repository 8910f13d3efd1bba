//! The readers when they are told what to take: the first byte picks the options, the rest is the log.
#![no_main]

use libfuzzer_sys::fuzz_target;
use trace::readers::{Format, ReadOptions, read};

fuzz_target!(|bytes: &[u8]| {
    let Some((&pick, log)) = bytes.split_first() else {
        return;
    };
    let bit = |at: u8| pick >> at & 1 == 1;
    let name = |yes: bool, text: &str| yes.then(|| text.to_owned());
    let options = ReadOptions {
        time: name(bit(0), "1"),
        current: name(bit(1), if bit(0) { "2" } else { "1" }),
        voltage: name(bit(2), "3"),
        unit: name(bit(3), "mA"),
        interval_s: bit(4).then_some(0.1),
        format: if bit(5) { Format::F32Le } else { Format::Auto },
        max_rows: Some(if bit(6) { 2 } else { 1 << 20 }),
    };
    if let Ok(trace) = read(log, &options) {
        let (from, to) = if bit(7) { ("1s", "2s") } else { ("22:10", "90min") };
        let _ = trace.window(Some(from), Some(to));
    }
});
