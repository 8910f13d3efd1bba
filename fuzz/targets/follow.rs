//! A log that is still being written: the head, then line by line.
#![no_main]

use libfuzzer_sys::fuzz_target;
use trace::readers::{Follower, Line, RawColumns, ReadOptions};

fuzz_target!(|bytes: &[u8]| {
    // A log is followed in whole lines; the first twelve are the head.
    let mut head = 0;
    for _ in 0..12 {
        match bytes[head..].iter().position(|b| *b == b'\n') {
            Some(at) => head += at + 1,
            None => break,
        }
    }
    let options = ReadOptions::default();
    let Ok(mut follower) = Follower::open(&bytes[..head], &options) else {
        return;
    };
    let mut rows = RawColumns::default();
    let mut first = None;
    for line in bytes[follower.head_bytes()..].split(|b| *b == b'\n') {
        let _ = follower.is_header(line);
        match follower.line(line) {
            Line::Sample(sample) => {
                let zero = *first.get_or_insert(sample.time);
                let _ = follower.seconds(rows.current.len() as u64, sample.time, zero);
                let _ = follower.ampere(sample.current);
                if follower.stamped() {
                    rows.time.extend(&[sample.time]);
                }
                rows.current.push(sample.current);
                rows.voltage.extend(sample.voltage.map(|v| {
                    let _ = follower.volt(v);
                    v
                }));
                if follower.by_arrival() {
                    rows.arrival_s.push(rows.current.len() as f64);
                }
            }
            Line::Voltage(v) => rows.voltage.push(v),
            Line::Nothing | Line::Garbled { .. } | Line::Backwards { .. } => {}
        }
    }
    let _ = follower.start(first.unwrap_or(0.0));
    if rows.voltage.len() != rows.current.len() {
        rows.voltage.clear();
    }
    let _ = follower.trace(rows, true);
    let _ = follower.again();
});
