//! One small file for each trap.

#![allow(clippy::unwrap_used, reason = "helpers of tests")]

use std::io::Write;

use trace::readers::{self, ReadError, ReadOptions};
use trace::{TimeAxis, Trace};

/// Whatever is kept in English is found again as a message that says the same.
fn found_again(trace: &Trace) {
    let reasons = trace.source.skipped.iter().map(|row| &row.reason);
    for stored in trace.source.assumptions.iter().chain(reasons) {
        let message = readers::told(stored);
        assert!(message.id().is_some(), "not a message: {stored}");
        assert_eq!(message.english(), stored);
    }
}

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

#[test]
fn delimiters_and_decimal_marks() {
    for text in [
        "time_s,current_A\n0,0.5\n1,0.25\n2,0.75\n",
        "time_s;current_A\n0;0.5\n1;0.25\n2;0.75\n",
        "time_s;current_A\n0,0;0,5\n1,0;0,25\n2,0;0,75\n",
        "time_s\tcurrent_A\n0\t0,5\n1\t0,25\n2\t0,75\n",
        "time_s current_A\n0  0.5\n1\t0.25\n 2 0.75\n",
        "time_s current_A\n0 0,5\n1 0,25\n2 0,75\n",
        "time (s)  current (A)\n0  0.5\n1  0.25\n2  0.75\n",
        "\"time_s\",\"current_A\"\n\"0\",\"0,5\"\n\"1\",\"0,25\"\n\"2\",\"0,75\"\n",
        "# a logger\n% of 2026\ntime_s, current_A\n0, 0.5\n1, 0.25\n# pause\n2, 0.75\n",
        "# time_s,current_A\n0,5e-1\n1,2.5E-1\n2,+7.5e-01\n",
        "time,current\ns,A\n0,0.5\n1,0.25\n2,0.75\n",
        "current_A,remark,time_s\n0.5,on,0\n0.25,,1\n0.75,\"off, then on\",2\n",
        "Device: logger\nSerial,12345\n\nt [ms],I (mA)\n0,500\n1000,250\n2000,750\n",
        "time_us,current [µA]\n0,500000\n1000000,250000\n2000000,750000\n",
        "time_s,current_A,\n0,0.5,\n1,0.25,\n2,0.75,\n",
        "t,A DC\n0,0.5\n1,0.25\n2,0.75\n",
        "time_s,current\n0,500 mA\n1,0.25 A\n2,750 mA\n",
        "0.0;0,500;A\n1.0;0,250;A\n2.0;0,750;A\n",
    ] {
        assert_eq!(samples(text), PLAIN, "{text}");
    }
}

#[test]
fn encodings_and_line_ends() {
    let text = "time_s,current [µA]\n0,500000\n1,250000\n2,750000\n";
    let mut files: Vec<Vec<u8>> = vec![
        format!("\u{feff}{text}").into_bytes(),
        text.replace('\n', "\r\n").into_bytes(),
        text.replace('\n', "\r").into_bytes(),
        text.replacen('\n', "\r\n", 2).into_bytes(),
        text.replacen("0\n1", "0\r1", 1).into_bytes(),
        text.trim_end().as_bytes().to_vec(),
        // Latin-1.
        text.chars().map(|c| c as u8).collect(),
    ];
    let wide: Vec<u16> = format!("\u{feff}{text}").encode_utf16().collect();
    files.push(wide.iter().flat_map(|u| u.to_le_bytes()).collect());
    files.push(wide.iter().flat_map(|u| u.to_be_bytes()).collect());
    for file in files {
        assert_eq!(
            samples(&file),
            PLAIN,
            "{:?}",
            String::from_utf8_lossy(&file)
        );
    }
}

#[test]
fn packed_by_content() {
    let text = "time_s,current_A\n0,0.5\n1,0.25\n2,0.75\n";
    let mut gz = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::default());
    gz.write_all(text.as_bytes()).unwrap();
    let mut gz = gz.finish().unwrap();
    assert_eq!(samples(&gz), PLAIN);
    assert_eq!(
        samples(zstd::encode_all(text.as_bytes(), 3).unwrap()),
        PLAIN
    );
    // Two members, as when a logger appends.
    gz.extend(gz.clone());
    assert_eq!(read(&gz).unwrap_err().kind(), "time-backwards");
    assert_eq!(
        read([0x1f, 0x8b, 8, 0, 1, 2, 3, 4, 5, 6, 0xff, 0xff, 0xff])
            .unwrap_err()
            .kind(),
        "compressed"
    );
}

#[test]
fn a_packed_file_cut_short_gives_what_it_holds() {
    // Noise, so that the packer has to write as it goes.
    let mut state = 1u64;
    let rows: String = (0..20_000)
        .map(|i| {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1);
            format!("{i},0.{}\n", state >> 40)
        })
        .collect();
    let mut gz = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::default());
    gz.write_all(format!("time_s,current_A\n{rows}").as_bytes())
        .unwrap();
    let gz = gz.finish().unwrap();
    let trace = read(&gz[..gz.len() / 2]).unwrap();
    assert!(
        trace.len() > 5_000 && trace.len() < 20_000,
        "{}",
        trace.len()
    );
    assert!(said(&trace, "cut short"));
}

#[test]
fn thousands_separators() {
    assert_eq!(
        samples("time_s;current_mA\n0;1.234,5\n1;0,5\n2;12.345,0\n"),
        [(0.0, 1.2345), (1.0, 0.0005), (2.0, 12.345)]
    );
    assert_eq!(
        samples("time_s;current_mA\n0;1,234.5\n1;0.5\n2;12,345.0\n"),
        [(0.0, 1.2345), (1.0, 0.0005), (2.0, 12.345)]
    );
    assert_eq!(
        samples("time_s,current_mA\n0,\"1,234\"\n1,\"2,500\"\n"),
        [(0.0, 1.234), (1.0, 2.5)]
    );
    assert_eq!(
        samples("time_s,current_mA\n0,1'234.5\n1,2\u{202f}500\n"),
        [(0.0, 1.2345), (1.0, 2.5)]
    );
    // 1,234 alone could be either; it is said how it was taken.
    let trace = read("time_s;current_A\n0;1,234\n1;1,235\n").unwrap();
    assert_eq!(trace.current_a, [1.234, 1.235]);
    assert!(said(&trace, "decimal marks, not for thousands"));
}

#[test]
fn the_comma_in_two_offices() {
    let error = read("time,current_A\n22:10:00,0,412\n22:10:01,0,413\n").unwrap_err();
    assert_eq!((error.kind(), error.line()), ("decimal-comma", Some(2)));
    // One column: the header has no comma, so commas are decimal marks.
    let options = ReadOptions {
        interval_s: Some(1.0),
        ..ReadOptions::default()
    };
    let trace = readers::read("current_A\n0,412\n0,5\n".as_bytes(), &options).unwrap();
    assert_eq!(trace.current_a, [0.412, 0.5]);
}

#[test]
fn stamps_of_many_kinds() {
    for (text, start) in [
        (
            "time,current_A\n2026-11-25T22:10:00Z,0.5\n2026-11-25T22:10:01Z,0.25\n2026-11-25T22:10:02Z,0.75\n",
            "2026-11-25T22:10:00Z",
        ),
        (
            "time,current_A\n2026-11-25T22:10:00+01:00,0.5\n2026-11-25T22:10:01+01:00,0.25\n2026-11-25T22:10:02+01:00,0.75\n",
            "2026-11-25T22:10:00+01:00",
        ),
        (
            "time,current_A\n2026-11-25 22:10:00.0,0.5\n2026-11-25 22:10:01.0,0.25\n2026-11-25 22:10:02.0,0.75\n",
            "2026-11-25T22:10:00",
        ),
        (
            "time current_A\n2026-11-25 22:10:00 0.5\n2026-11-25 22:10:01 0.25\n2026-11-25 22:10:02 0.75\n",
            "2026-11-25T22:10:00",
        ),
        (
            "Date,Time,current_A\n25.11.2026,22:10:00,0.5\n25.11.2026,22:10:01,0.25\n25.11.2026,22:10:02,0.75\n",
            "2026-11-25T22:10:00",
        ),
        (
            "Time,Date,current_A\n10:10:00 PM,11/25/2026,0.5\n10:10:01 PM,11/25/2026,0.25\n10:10:02 PM,11/25/2026,0.75\n",
            "2026-11-25T22:10:00",
        ),
        (
            "Datum;Uhrzeit;Strom/A\n25.11.26;22:10:00;0,5\n25.11.26;22:10:01;0,25\n25.11.26;22:10:02;0,75\n",
            "2026-11-25T22:10:00",
        ),
        (
            "time,current_A\n22:10:00.5,0.5\n22:10:01.5,0.25\n22:10:02.5,0.75\n",
            "22:10:00.5",
        ),
        (
            "time;current_A\n22:10:00,5;0,5\n22:10:01,5;0,25\n22:10:02,5;0,75\n",
            "22:10:00.5",
        ),
        (
            "time,current_A\n1764108600,0.5\n1764108601,0.25\n1764108602,0.75\n",
            "2025-11-25T22:10:00Z",
        ),
        (
            "timestamp,current_A\n1764108600000,0.5\n1764108601000,0.25\n1764108602000,0.75\n",
            "2025-11-25T22:10:00Z",
        ),
    ] {
        let trace = read(text).unwrap_or_else(|e| panic!("{text}: {e}"));
        assert_eq!(pairs(&trace), PLAIN, "{text}");
        assert_eq!(trace.source.start.as_deref(), Some(start), "{text}");
    }
}

#[test]
fn midnight_is_passed() {
    let trace = read("time,current_A\n23:59:59,1\n0:00:00,2\n0:00:01,3\n").unwrap();
    assert_eq!(pairs(&trace), [(0.0, 1.0), (1.0, 2.0), (2.0, 3.0)]);
    assert!(said(&trace, "midnight was passed once"));
}

#[test]
fn a_clock_put_back_or_forward_for_summer_time_counts_on() {
    let trace = read(
        "time,current_A\n2026-10-25 02:59:59,1\n2026-10-25 02:00:00,2\n2026-10-25 02:00:01,3\n",
    )
    .unwrap();
    assert_eq!(pairs(&trace), [(0.0, 1.0), (1.0, 2.0), (2.0, 3.0)]);
    assert!(said(&trace, "at line 3 the clock was put back by an hour"));
    // The same with times of day alone, and the other way round.
    let trace = read("time,current_A\n2:59:58,1\n2:59:59,1\n2:00:00,2\n").unwrap();
    assert_eq!(trace.time_s(2), 2.0);
    let trace = read(
        "time,current_A\n2026-03-29 01:59:58,1\n2026-03-29 01:59:59,1\n2026-03-29 03:00:00,2\n",
    )
    .unwrap();
    assert_eq!(pairs(&trace), [(0.0, 1.0), (1.0, 1.0), (2.0, 2.0)]);
    assert!(said(&trace, "put forward by an hour") && trace.source.gaps.is_empty());
    assert_eq!(trace.source.start.as_deref(), Some("2026-03-29T01:59:58"));
}

#[test]
fn a_clock_put_back_is_an_error_with_its_line() {
    // Twice in one night is no summer time.
    let error = read(
        "time,current_A\n2026-10-25 02:59:59,1\n2026-10-25 02:00:00,2\n2026-10-25 02:59:59,1\n2026-10-25 02:00:00,2\n",
    )
    .unwrap_err();
    assert_eq!(
        error,
        ReadError::TimeBackwards {
            line: 5,
            by_s: "3599".to_owned(),
            local_clock: true
        }
    );
    assert!(error.hint().contains("daylight"));
    // The same with zones is one second.
    let trace =
        read("time,current_A\n2026-10-25T02:59:59+02:00,1\n2026-10-25T02:00:00+01:00,2\n").unwrap();
    assert_eq!(trace.time_s(1), 1.0);
    let error = read("time_ms,current_A\n0,1\n10,1\n\n# five\n5,1\n20,1\n").unwrap_err();
    assert_eq!(
        error,
        ReadError::TimeBackwards {
            line: 6,
            by_s: "0.005".to_owned(),
            local_clock: false
        }
    );
    // Two hours back in a log of times of day is no midnight.
    assert_eq!(
        read("time,current_A\n12:00:00,1\n10:00:00,2\n")
            .unwrap_err()
            .line(),
        Some(3)
    );
}

#[test]
fn uneven_stamps_gaps_and_duplicates() {
    let trace = read("time_s,current_A\n0,1\n1,1\n2,1\n2,1\n3,1\n10,1\n11,1\n").unwrap();
    assert!(matches!(trace.axis, TimeAxis::Stamps(_)));
    assert_eq!(trace.source.interval_s, 1.0);
    assert_eq!(
        trace
            .source
            .gaps
            .iter()
            .map(|g| (g.start_s, g.end_s))
            .collect::<Vec<_>>(),
        [(3.0, 10.0)]
    );
    assert!(said(&trace, "1 samples have the same stamp"));
}

#[test]
fn several_samples_a_stamp_are_spread() {
    let rows: String = (0..40)
        .map(|i| format!("22:10:{:02},{i}\n", i / 4))
        .collect();
    let trace = read(format!("time,current_A\n{rows}")).unwrap();
    assert_eq!(trace.source.interval_s, 0.25);
    assert_eq!(trace.time_s(39), 9.75);
    assert!(said(&trace, "spread"));
}

#[test]
fn rounded_stamps_are_even() {
    // 60 Hz written in tenths of a millisecond.
    let rows: String = (0..600)
        .map(|i| format!("{:.1},0.1\n", f64::from(i) * 1e3 / 60.0))
        .collect();
    let trace = read(format!("time_ms,current_A\n{rows}")).unwrap();
    let TimeAxis::Regular { interval_s } = trace.axis else {
        panic!("{:?}", trace.source)
    };
    // The last stamp is off by 0.05 ms at most, 599 steps from the first.
    assert!(
        (interval_s - 1.0 / 60.0).abs() <= 0.05e-3 / 599.0,
        "{interval_s}"
    );
    // A millisecond of jitter in stamps of microseconds is real.
    let rows: String = (0..600)
        .map(|i| format!("{},0.1\n", i * 100_000 + (i * 7919) % 1000))
        .collect();
    assert!(matches!(
        read(format!("time_us,current_A\n{rows}")).unwrap().axis,
        TimeAxis::Stamps(_)
    ));
}

#[test]
fn sample_numbers_with_interval() {
    let timed = ReadOptions {
        interval_s: Some(0.1),
        ..ReadOptions::default()
    };
    let trace = readers::read("sample,current_A\n5,1\n6,2\n9,3\n".as_bytes(), &timed).unwrap();
    // Samples 7 and 8 are missing.
    assert_eq!(
        (trace.time_s(1), trace.source.time_column.as_deref()),
        (0.1, Some("sample"))
    );
    assert!((trace.time_s(2) - 0.4).abs() < 1e-15);
    let trace = readers::read(
        "1.5\n2.5\n".as_bytes(),
        &ReadOptions {
            unit: Some("mA".to_owned()),
            ..timed
        },
    )
    .unwrap();
    assert_eq!(
        (trace.axis, trace.current_a),
        (TimeAxis::Regular { interval_s: 0.1 }, vec![0.0015, 0.0025])
    );
    assert_eq!(
        read("sample,current_A\n5,1\n6,2\n").unwrap_err().kind(),
        "no-time"
    );
    assert_eq!(read("current_A\n1.5\n2.5\n").unwrap_err().kind(), "no-time");
}

#[test]
fn columns_by_name_and_number() {
    let text = "t,a1,a2,u\n0,1,10,12\n1,2,20,13\n";
    let with = |current: &str| {
        readers::read(
            text.as_bytes(),
            &ReadOptions {
                current: Some(current.to_owned()),
                unit: Some("A".to_owned()),
                ..ReadOptions::default()
            },
        )
    };
    assert_eq!(with("a2").unwrap().current_a, [10.0, 20.0]);
    assert_eq!(with("3").unwrap().current_a, [10.0, 20.0]);
    assert_eq!(with("a2").unwrap().voltage_v, Some(vec![12.0, 13.0]));
    let error = with("a9").unwrap_err();
    assert_eq!(error.kind(), "no-such-column");
    assert!(error.message().contains("t, a1, a2, u"), "{error}");
    assert_eq!(
        read_ma(text).unwrap_err(),
        ReadError::TwoCurrents {
            columns: vec!["a1".to_owned(), "a2".to_owned()]
        }
    );
    let two = read("time_s,I1 (A),I2 (A)\n0,1,2\n1,1,2\n").unwrap_err();
    assert_eq!(
        two.message(),
        "two columns could be the current: I1 (A), I2 (A)"
    );
    // By name without its unit.
    let options = ReadOptions {
        current: Some("kettle".to_owned()),
        ..ReadOptions::default()
    };
    assert_eq!(
        readers::read(
            "time_s,current_A,kettle_A\n0,1,2\n1,1,3\n".as_bytes(),
            &options
        )
        .unwrap()
        .current_a,
        [2.0, 3.0]
    );
}

#[test]
fn without_header() {
    assert_eq!(pairs(&read_ma("0,500\n1,250\n2,750\n").unwrap()), PLAIN);
    assert_eq!(
        pairs(&read_ma("22:10:00 500\n22:10:01 250\n22:10:02 750\n").unwrap()),
        PLAIN
    );
    assert_eq!(
        read("0,500\n1,250\n2,750\n").unwrap_err(),
        ReadError::NoUnit {
            column: "2".to_owned()
        }
    );
    assert!(said(
        &read_ma("0,500\n1,250\n").unwrap(),
        "seconds were assumed"
    ));
}

#[test]
fn units_that_were_asked_for_win() {
    let trace = read_ma("time_s,current_A\n0,500\n1,250\n").unwrap();
    assert_eq!(
        (trace.current_a[0], trace.source.unit.as_str()),
        (0.5, "mA")
    );
    assert!(said(&trace, "says A, but mA was asked for"));
    let wrong = readers::read(
        "".as_bytes(),
        &ReadOptions {
            unit: Some("V".to_owned()),
            ..ReadOptions::default()
        },
    );
    assert_eq!(wrong.unwrap_err().kind(), "bad-option");
}

#[test]
fn a_few_bad_rows_are_counted_and_named() {
    let trace = read("time_s,current_A\n0,0.5\n1,oops\n2,nan\n3,inf\n4\n5,0.25\n6,1e999\n7,0.1\n8,0.1\n9,0.1\n10,0.1\n").unwrap();
    assert_eq!((trace.len(), trace.source.skipped_rows), (6, 5));
    let lines: Vec<u64> = trace.source.skipped.iter().map(|s| s.line).collect();
    assert_eq!(lines, [3, 4, 5, 6, 8]);
    assert!(
        trace.source.skipped[0]
            .reason
            .contains("`oops` is not a number")
    );
}

#[test]
fn a_text_column_is_an_error_with_its_line() {
    let error = read("time_s,current_A\n0,on\n1,off\n2,on\n").unwrap_err();
    assert_eq!((error.kind(), error.line()), ("text-in-numbers", Some(2)));
    // A log that turns into something else after a while.
    let rows: String = (0..1000)
        .map(|i| {
            if i < 900 {
                format!("{i},0.1\n")
            } else {
                format!("{i},x\n")
            }
        })
        .collect();
    let error = read(format!("time_s,current_A\n{rows}")).unwrap_err();
    assert_eq!((error.kind(), error.line()), ("text-in-numbers", Some(902)));
}

#[test]
fn empty_cells_may_be_many() {
    let rows: String = (0..100)
        .map(|i| {
            if i % 4 == 0 {
                format!("{i},0.1,12\n")
            } else {
                format!("{i},,12\n")
            }
        })
        .collect();
    let trace = read(format!("time_s,current_A,voltage_V\n{rows}")).unwrap();
    assert_eq!((trace.len(), trace.source.skipped_rows), (25, 75));
}

#[test]
fn a_last_line_cut_off() {
    let trace = read("time_s,current_A\n0,0.5\n1,0.25\n2,").unwrap();
    assert_eq!((trace.len(), trace.source.skipped_rows), (2, 1));
    assert!(said(&trace, "last line is cut off"));
    assert!(said(
        &read("time_s,current_A\n0,0.5\n1,0.25").unwrap(),
        "no line end"
    ));
}

#[test]
fn what_is_no_log_says_so() {
    for (bytes, kind) in [
        (b"".to_vec(), "empty"),
        (b"\n\n \n".to_vec(), "empty"),
        (b"\xef\xbb\xbf".to_vec(), "empty"),
        (b"time_s,current_A\n".to_vec(), "header-only"),
        (b"# only\n# comments\n".to_vec(), "header-only"),
        (
            b"; CSV generated\n; Samplerate: 10 Hz\nA DC\n".to_vec(),
            "header-only",
        ),
        (
            b"It was a dark night.\nNothing slept,\nnot even the radio.\n".to_vec(),
            "not-a-table",
        ),
        (b"\x7fELF\x02\x01\x01\0\0\0\0\0".to_vec(), "binary"),
        (b"PK\x03\x04\x14\0\0\0".to_vec(), "unsupported"),
        #[cfg(not(feature = "parquet"))]
        (b"PAR1\x15\0".to_vec(), "unsupported"),
        (
            b"time_s,voltage_V\n0,12.6\n1,12.5\n".to_vec(),
            "voltage-only",
        ),
        (b"time_s,remark\n0,a\n1,b\n".to_vec(), "no-current"),
        (b"time_s,current\n0,1\n1,2\n".to_vec(), "no-unit"),
        (
            b"time_s,current_A\n0,nan\n1,nan\n".to_vec(),
            "text-in-numbers",
        ),
    ] {
        let error = read(&bytes).unwrap_err();
        assert_eq!(
            error.kind(),
            kind,
            "{}: {error}",
            String::from_utf8_lossy(&bytes)
        );
        assert!(
            !error.message().is_empty()
                && !error.hint().is_empty()
                && !error.message().contains('\n')
        );
    }
}

/// Endless zeros, or one endless line, must fail after one block and not be kept.
#[test]
fn endless_input_fails_at_once() {
    assert_eq!(
        readers::read(std::io::repeat(0), &ReadOptions::default()).unwrap_err(),
        ReadError::Binary { line: 1 }
    );
    let kind = readers::read(std::io::repeat(b'7'), &ReadOptions::default())
        .unwrap_err()
        .kind();
    assert!(
        ["line-too-long", "no-time", "not-a-table"].contains(&kind),
        "{kind}"
    );
    let zeros_later = "time_s,current_A\n0,1\n1,2\n".as_bytes();
    let error = readers::read(
        std::io::Read::chain(zeros_later, std::io::repeat(0)),
        &ReadOptions::default(),
    )
    .unwrap_err();
    assert_eq!(error, ReadError::Binary { line: 4 });
}

#[test]
fn more_rows_than_allowed() {
    let few = ReadOptions {
        max_rows: Some(2),
        ..ReadOptions::default()
    };
    assert_eq!(
        readers::read("time_s,current_A\n0,1\n1,2\n2,3\n".as_bytes(), &few).unwrap_err(),
        ReadError::TooLong { max_rows: 2 }
    );
}

#[test]
fn analog_lines_among_rows_are_refused_wherever_they_are() {
    let mut rows: String = (0..3000).map(|i| format!("{i},0.1\n")).collect();
    rows.insert_str(rows.len(), "A1: 3.0902 V DC\n");
    let error = read(format!("time_s,current_A\n{rows}")).unwrap_err();
    assert_eq!((error.kind(), error.line()), ("spoilt-row", Some(3002)));
}

#[test]
fn analog_text_with_changing_prefix() {
    let timed = ReadOptions {
        interval_s: Some(0.5),
        ..ReadOptions::default()
    };
    let text = "P1: 412.5 mA DC\nP2: 12.6 V DC\nP1: 1.2 A DC\nP2: 12.5 V DC\nP1: -0.0 mA DC\nP2: 12.4 V DC\nP1: 12.5 uA";
    let trace = readers::read(text.as_bytes(), &timed).unwrap();
    assert_eq!(trace.current_a, [0.4125, 1.2, -0.0]);
    assert_eq!(trace.voltage_v, Some(vec![12.6, 12.5, 12.4]));
    assert_eq!(trace.source.current_column, "P1");
    assert_eq!(
        readers::read("A0: 1 A\nA1: 2 A\n".as_bytes(), &timed)
            .unwrap_err()
            .kind(),
        "two-currents"
    );
}

#[test]
fn a_current_below_zero_throughout_is_said_and_kept() {
    let trace = read("time_s,current_A\n0,-0.5\n1,-0.25\n").unwrap();
    assert_eq!(trace.current_a, [-0.5, -0.25]);
    assert!(said(&trace, "other way round"));
}
