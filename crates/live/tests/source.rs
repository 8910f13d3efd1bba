//! A stream against the batch reader, wherever it is cut, and what a stream may suffer.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "a test that fails should say where, one that is skipped too"
)]

use std::path::{Path, PathBuf};

use live::{Event, LineSource, Sample};
use proptest::prelude::*;
use trace::Trace;
use trace::readers::{ReadError, ReadOptions, read};

fn options(unit: Option<&str>, interval_s: Option<f64>) -> ReadOptions {
    ReadOptions {
        unit: unit.map(str::to_owned),
        interval_s,
        ..ReadOptions::default()
    }
}

/// Feeds chunks, one each 0.1 s; gives the samples that were valid at the end, and the other events.
fn feed<'a>(
    chunks: impl IntoIterator<Item = &'a [u8]>,
    options: &ReadOptions,
) -> Result<(LineSource, Vec<Sample>, Vec<Event>), ReadError> {
    let timed = chunks
        .into_iter()
        .enumerate()
        .map(|(i, chunk)| (0.1 * i as f64, chunk));
    feed_timed(timed, options)
}

fn feed_timed<'a>(
    chunks: impl IntoIterator<Item = (f64, &'a [u8])>,
    options: &ReadOptions,
) -> Result<(LineSource, Vec<Sample>, Vec<Event>), ReadError> {
    let mut source = LineSource::new(options.clone());
    let mut events = Vec::new();
    for (arrival_s, chunk) in chunks {
        source.feed(chunk, arrival_s, &mut events)?;
    }
    source.end(&mut events)?;
    let (mut samples, mut others) = (Vec::new(), Vec::new());
    for event in events {
        match event {
            Event::Sample(sample) => samples.push(sample),
            Event::Reread => samples.clear(),
            other => others.push(other),
        }
    }
    Ok((source, samples, others))
}

/// The same trace, and the same samples on the way.
#[track_caller]
fn same(whole: &Trace, source: &LineSource, samples: &[Sample]) {
    let trace = source.trace().unwrap();
    assert_eq!(trace, *whole);
    assert_eq!(samples.len(), whole.len() - missing_pairs(samples, whole));
    for (i, sample) in samples.iter().enumerate().take(whole.len()) {
        assert_eq!(
            sample.current_a.to_bits(),
            whole.current_a[i].to_bits(),
            "sample {i}"
        );
    }
}

/// Currents whose voltage had not come when the stream ended are samples, but not in the trace.
fn missing_pairs(samples: &[Sample], whole: &Trace) -> usize {
    whole.len().saturating_sub(samples.len())
}

#[track_caller]
fn check_every_cut(text: &[u8], options: &ReadOptions) {
    let whole = read(text, options).unwrap();
    for at in 0..=text.len() {
        let (source, samples, _) = feed([&text[..at], &text[at..]], options).unwrap();
        same(&whole, &source, &samples);
    }
    let (source, samples, _) = feed(text.chunks(1), options).unwrap();
    same(&whole, &source, &samples);
}

#[test]
fn every_dialect_at_every_cut() {
    let logs: [(&str, Option<&str>, Option<f64>); 12] = [
        (
            "time_s,current_mA\n0,2900\n0.5,2901.5\n1,2902\n1.5,23\n",
            None,
            None,
        ),
        (
            "time_s;current_mA\r\n0;2900,5\r\n0,5;2901,5\r\n1;2902\r\n",
            None,
            None,
        ),
        (
            "# made by hand\n# twice\nI [A]\tU [V]\tt [s]\n0.1\t12.1\t5\n0.2\t12.2\t6\n0.3\t12.3\t7",
            None,
            None,
        ),
        (
            "2026-11-25T22:10:00Z,0.023\n2026-11-25T22:10:01Z,0.024\n2026-11-25T22:10:03Z,nan\n2026-11-25T22:10:04Z,0.1\n",
            Some("A"),
            None,
        ),
        (
            "23:59:58 12\n23:59:59 13\n0:00:00 14\n0:00:01 15\n",
            Some("mA"),
            None,
        ),
        ("0.5\n0.6\n0.7\n", Some("A"), Some(0.1)),
        ("n,I_mA\n1,5\n2,6\n3,7\n5,8\n", None, Some(0.25)),
        (
            "; CSV generated\n; Samplerate: 10 Hz\nmilliseconds,A DC\n100,-1\n200,-2\n300,-3\n",
            None,
            None,
        ),
        (
            "A0: 0.0 mA DC\nA1: 12.1 V DC\nA0: 3.09 A DC\nA1: 12.0 V DC\nA0: -1 mA DC\nA1: 11.9 V DC\n",
            None,
            Some(0.1),
        ),
        (
            "A0: -10.0000 V DC\nA0: 9 V DC\nA0: 3 mV D",
            Some("A"),
            Some(0.1),
        ),
        (
            "date,clock,I_A\n25.11.2026,22:10:00,1.5\n25.11.2026,22:10:01,1.75\n",
            None,
            None,
        ),
        ("time_s,current_A\r0,1\r1,2\r2,3", None, None),
    ];
    for (text, unit, interval_s) in logs {
        check_every_cut(text.as_bytes(), &options(unit, interval_s));
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]
    #[test]
    fn long_logs_at_random_cuts(
        values in prop::collection::vec((1u32..4, -40_000i32..40_000), 3..900),
        style in 0usize..5,
        crlf in any::<bool>(),
        sizes in prop::collection::vec(1usize..200, 1..40),
    ) {
        let mut text = String::from(["t [s],I [mA]", "time_ms;I_A", "x\tcurrent_uA\ttime_s", "# c\ntime_s current_mA", "\"time_s\",\"I_mA\""][style]);
        let end = if crlf { "\r\n" } else { "\n" };
        text.push_str(end);
        let mut t = 0;
        for (step, value) in values {
            t += step;
            let v = f64::from(value) / 100.0;
            text.push_str(&match style {
                0 => format!("{},{v}", f64::from(t) / 10.0),
                1 => format!("{t};{}", v.to_string().replace('.', ",")),
                2 => format!("{value}\t{v}\t{t}"),
                3 => format!("{t}   {v}"),
                _ => format!("\"{t}\",\"{v}\""),
            });
            text.push_str(end);
        }
        let options = options(None, None);
        let Ok(whole) = read(text.as_bytes(), &options) else { return Ok(()); };
        let mut rest = text.as_bytes();
        let mut chunks = Vec::new();
        for size in sizes.iter().cycle() {
            let (chunk, more) = rest.split_at((*size).min(rest.len()));
            chunks.push(chunk);
            rest = more;
            if rest.is_empty() { break; }
        }
        let (source, samples, others) = feed(chunks, &options).unwrap();
        same(&whole, &source, &samples);
        prop_assert!(others.is_empty(), "{others:?}");
        for (i, sample) in samples.iter().enumerate() {
            // Stamps and even axis may differ by the rounding of the stamps (100 ms here).
            prop_assert!((sample.time_s - whole.time_s(i)).abs() < 0.11);
        }
    }
}

fn shared(name: &str) -> Option<PathBuf> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../../shared/data")
        .join(name);
    if path.exists() {
        return Some(path);
    }
    println!("skipped: {name} is not beside the checkout");
    None
}

#[test]
fn files_that_others_made_read_alike() {
    let volts = options(Some("A"), None);
    let counted = options(Some("A"), Some(0.1));
    let files = [
        ("live/csv_1ch_10hz_default.csv", &volts),
        ("live/csv_1ch_10hz_time.csv", &volts),
        ("live/csv_1ch_1hz_time.csv", &volts),
        ("live/csv_1ch_60hz_time.csv", &volts),
        ("live/csv_1ch_10hz_bare.csv", &counted),
        ("live/stream_10hz_csv.txt", &volts),
        ("live/stream_10hz_analog.txt", &counted),
        ("live/analog_1ch_10hz.txt", &counted),
    ];
    for (name, options) in files {
        let Some(path) = shared(name) else { return };
        check_every_cut(&std::fs::read(path).unwrap(), options);
    }
    let large = [
        ("live/csv_1ch_1khz_time_channel.csv", &volts),
        ("traces/loads2_short.csv", &ReadOptions::default()),
        ("traces/cell_dc_minutes.csv", &ReadOptions::default()),
    ];
    for (name, options) in large {
        let Some(path) = shared(name) else { return };
        let bytes = std::fs::read(path).unwrap();
        let whole = read(bytes.as_slice(), options).unwrap();
        for size in [1, 7, 1000, 100_000] {
            let (source, samples, _) = feed(bytes.chunks(size), options).unwrap();
            same(&whole, &source, &samples);
        }
    }
}

#[test]
fn garbled_lines_are_counted_and_left_out() {
    let mut text = b"\x00\x13\xff1.2\ntime_s,current_mA\n0,20\n1,21\n2,2\x00\x01\n3,23\n".to_vec();
    text.extend_from_slice(b"4,what\n5,24\n4.5,25\n6,26\n7,2");
    text.extend(vec![b'9'; 100_000]);
    text.extend_from_slice(b"\n8,27\nA1: 3.0902 V DC\n9,28\n10,");
    let (source, samples, others) = feed(text.chunks(5), &ReadOptions::default()).unwrap();
    let seen: Vec<f64> = samples
        .iter()
        .map(|s| (s.current_a * 1e3).round())
        .collect();
    assert_eq!(seen, [20.0, 21.0, 23.0, 24.0, 26.0, 27.0, 28.0]);
    let lines: Vec<u64> = others
        .iter()
        .map(|event| match event {
            Event::Garbled { line, .. } => *line,
            other => panic!("{other:?}"),
        })
        .collect();
    assert_eq!(lines.len(), 7, "{others:?}");
    assert!(
        lines.contains(&1) && lines.contains(&5) && lines.contains(&11),
        "{lines:?}"
    );
    assert_eq!(source.trace().unwrap().source.skipped_rows, 7);
}

#[test]
fn a_source_that_starts_again_goes_on() {
    let header = "; CSV generated by a program\n; Samplerate: 10 Hz\nA DC\n";
    let first = format!("{header}1\n1\n1\n1\n1\n");
    let second = format!("{header}2\n2\n2\n");
    let chunks = [(10.0, first.as_bytes()), (40.0, second.as_bytes())];
    let (source, samples, others) = feed_timed(chunks, &ReadOptions::default()).unwrap();
    assert_eq!(
        others,
        [Event::Restarted {
            line: 9,
            at_s: 30.0
        }]
    );
    let times: Vec<f64> = samples.iter().map(|s| s.time_s).collect();
    let close = |a: &[f64], b: &[f64]| {
        a.len() == b.len() && a.iter().zip(b).all(|(a, b)| (a - b).abs() < 1e-9)
    };
    assert!(
        close(&times, &[0.0, 0.1, 0.2, 0.3, 0.4, 30.0, 30.1, 30.2]),
        "{times:?}"
    );
    let trace = source.trace().unwrap();
    assert_eq!(trace.current_a, [1.0, 1.0, 1.0, 1.0, 1.0, 2.0, 2.0, 2.0]);
    assert_eq!(trace.source.rows, 8);
    assert_eq!(trace.source.gaps.len(), 1);
    assert!(
        trace
            .source
            .assumptions
            .iter()
            .any(|a| a.contains("started again"))
    );
}

#[test]
fn another_unit_after_the_restart_is_taken() {
    let text = "time_s,current_mA\n0,500\n1,501\n2,502\ntime_s,current_A\n0,0.5\n1,0.501\n";
    let (source, samples, others) = feed([text.as_bytes()], &ReadOptions::default()).unwrap();
    assert!(
        matches!(others.as_slice(), [Event::Restarted { .. }]),
        "{others:?}"
    );
    assert!(
        samples.iter().all(|s| (s.current_a - 0.501).abs() < 0.0011),
        "{samples:?}"
    );
    assert_eq!(source.trace().unwrap().len(), 5);
}

#[test]
fn time_that_sets_back_is_a_restart_a_single_stray_row_is_not() {
    let text = "time_s,current_mA\n100,1\n101,2\n102,3\n0,4\n1,5\n2,6\n";
    let (source, samples, others) = feed([text.as_bytes()], &ReadOptions::default()).unwrap();
    assert!(
        matches!(others.as_slice(), [Event::Restarted { .. }]),
        "{others:?}"
    );
    let times: Vec<f64> = samples.iter().map(|s| s.time_s).collect();
    assert_eq!(times, [0.0, 1.0, 2.0, 3.0, 4.0, 5.0]);
    let trace = source.trace().unwrap();
    assert_eq!((trace.len(), trace.source.skipped_rows), (6, 0));
    let text = "time_s,current_mA\n100,1\n101,2\n102,3\n0,4\n103,5\n104,6\n";
    let (source, samples, others) = feed([text.as_bytes()], &ReadOptions::default()).unwrap();
    assert!(
        matches!(others.as_slice(), [Event::Garbled { .. }]),
        "{others:?}"
    );
    assert_eq!(samples.len(), 5);
    assert_eq!(source.trace().unwrap().source.skipped_rows, 1);
}

#[test]
fn a_line_that_only_looks_like_a_header_does_not_end_it() {
    let mut text = String::from("time_s,current_mA\n0,1\n1,2\ntime_s,current\n");
    (2..20).for_each(|i| text.push_str(&format!("{i},{i}\n")));
    let (source, samples, others) =
        feed(text.as_bytes().chunks(3), &ReadOptions::default()).unwrap();
    assert!(
        matches!(others.as_slice(), [Event::Garbled { line: 4, .. }]),
        "{others:?}"
    );
    assert_eq!(samples.len(), 20);
    assert!(samples.iter().all(|s| s.current_a < 0.1));
    assert_eq!(source.trace().unwrap().len(), 20);
}

#[test]
fn samples_without_time_take_that_of_their_arrival() {
    for (text, options) in [
        (
            ["A0: 412 mA DC\n", "A0: 0.5 A DC\n", "A0: 23.1 mA DC\n"],
            ReadOptions::default(),
        ),
        (["412\n", "500\n", "23.1\n"], options(Some("mA"), None)),
    ] {
        let chunks = text
            .iter()
            .zip([5.0, 6.25, 9.0])
            .map(|(t, at)| (at, t.as_bytes()));
        let (source, samples, _) = feed_timed(chunks, &options).unwrap();
        let got: Vec<(f64, f64)> = samples.iter().map(|s| (s.time_s, s.current_a)).collect();
        assert_eq!(got, [(0.0, 0.412), (1.25, 0.5), (4.0, 23.1 / 1000.0)]);
        let trace = source.trace().unwrap();
        assert_eq!(
            [trace.time_s(0), trace.time_s(1), trace.time_s(2)],
            [0.0, 1.25, 4.0]
        );
        assert!(
            trace
                .source
                .assumptions
                .iter()
                .any(|a| a.contains("arrival"))
        );
        assert!(
            !trace
                .source
                .assumptions
                .iter()
                .any(|a| a.contains("each 1 s")),
            "{:?}",
            trace.source.assumptions
        );
    }
}

#[test]
fn what_is_no_log_is_refused_early() {
    let refusal =
        |text: &str| feed(text.as_bytes().chunks(10), &ReadOptions::default()).unwrap_err();
    assert_eq!(refusal("").kind(), "empty");
    assert_eq!(refusal("time_s,current_A\n").kind(), "header-only");
    assert_eq!(
        refusal(&"some words, and more\n".repeat(1000)).kind(),
        "not-a-table"
    );
    assert_eq!(
        refusal(&("time_s,current\n".to_owned() + &"1,2.5\n".repeat(20))).kind(),
        "no-unit"
    );
    // It does not wait for the end: a stream has none.
    let mut source = LineSource::new(ReadOptions::default());
    let text = "time_s,voltage_V\n0,12.1\n1,12.2\n2,12.3\n3,12.3\n4,12.2\n5,12.0\n";
    assert_eq!(
        source
            .feed(text.as_bytes(), 0.0, &mut Vec::new())
            .unwrap_err()
            .kind(),
        "voltage-only"
    );
}

#[test]
fn a_day_at_100_hz_fits() {
    // A hundredth of a day, with a meter's noise, and what that makes for a whole one.
    let mut source = LineSource::new(ReadOptions::default());
    let mut events = Vec::new();
    source
        .feed(b"time_s,current_mA\n", 0.0, &mut events)
        .unwrap();
    let mut seed = 7u32;
    for i in 0..86_400u32 {
        seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        let row = format!(
            "{:.2},{:.1}\n",
            f64::from(i) / 100.0,
            23.0 + f64::from(seed >> 24) / 100.0
        );
        source
            .feed(row.as_bytes(), f64::from(i) / 100.0, &mut events)
            .unwrap();
        events.clear();
    }
    let a_day = source.bytes() * 100;
    assert!(a_day < 40 << 20, "{} MB", a_day >> 20);
    println!("a day at 100 Hz takes {:.1} MB", a_day as f64 / 1048576.0);
}
