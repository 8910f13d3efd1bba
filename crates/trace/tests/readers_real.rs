//! The reader on recordings that nobody here made; absent files are skipped.

#![allow(clippy::print_stdout, reason = "says which files were skipped")]

mod told;

use std::path::PathBuf;

use told::found_again;
use trace::readers::{self, ReadError, ReadOptions};
use trace::{TimeAxis, Trace};

fn real(path: &str) -> Option<Vec<u8>> {
    let file = PathBuf::from(env!("CARGO_MANIFEST_DIR"))
        .join("../../../shared/data")
        .join(path);
    let bytes = std::fs::read(&file).ok();
    if bytes.is_none() {
        println!("skipped: {path} is not here");
    }
    bytes
}

fn read(bytes: &[u8], options: &ReadOptions) -> Result<Trace, ReadError> {
    readers::read(bytes, options).inspect(found_again)
}

fn plain() -> ReadOptions {
    ReadOptions::default()
}

fn ampere() -> ReadOptions {
    ReadOptions {
        unit: Some("A".to_owned()),
        ..ReadOptions::default()
    }
}

#[test]
fn cell_with_uneven_minutes() {
    let Some(bytes) = real("traces/cell_dc_minutes.csv") else {
        return;
    };
    let trace = read(&bytes, &plain()).unwrap();
    assert_eq!(trace.len(), 9065);
    assert_eq!(trace.source.skipped_rows, 0);
    assert_eq!(trace.source.interval_s, 60.0);
    assert_eq!(
        (
            trace.source.time_column.as_deref(),
            trace.source.current_column.as_str()
        ),
        (Some("time_s"), "current_A")
    );
    assert_eq!(trace.source.voltage_column.as_deref(), Some("voltage_V"));
    assert!(matches!(trace.axis, TimeAxis::Stamps(_)));
    assert_eq!(trace.time_s(9064), 518_521.0);
    assert_eq!(trace.current_a[9064], 0.000_991_71);
    assert_eq!(trace.voltage_v.unwrap()[0], 2.917);
}

#[test]
fn loads_prefer_the_column_named_current() {
    for (file, rows) in [
        ("traces/loads2_short.csv", 371),
        ("traces/loads3_short.csv", 287),
    ] {
        let Some(bytes) = real(file) else { return };
        let trace = read(&bytes, &plain()).unwrap();
        assert_eq!(trace.len(), rows, "{file}");
        assert_eq!(trace.source.current_column, "current_A");
        assert_eq!(trace.axis, TimeAxis::Regular { interval_s: 1.0 });
        assert!(
            trace
                .source
                .assumptions
                .iter()
                .any(|a| a.contains("kettle_A")),
            "{:?}",
            trace.source.assumptions
        );
        let kettle = read(
            &bytes,
            &ReadOptions {
                current: Some("kettle_A".to_owned()),
                ..plain()
            },
        )
        .unwrap();
        assert_eq!(kettle.source.current_column, "kettle_A");
    }
}

#[test]
fn a_scope_file_with_voltage_only() {
    let Some(bytes) = real("traces/scope_sda.csv") else {
        return;
    };
    assert_eq!(
        read(&bytes, &plain()).unwrap_err(),
        ReadError::VoltageOnly {
            columns: vec!["voltage_V".to_owned()]
        }
    );
    // Its owner may know that the probe was a clamp.
    let asked = ReadOptions {
        current: Some("voltage_V".to_owned()),
        ..ampere()
    };
    let trace = read(&bytes, &asked).unwrap();
    assert_eq!(trace.len(), 120_000);
    // 8 MHz, though stamps of six digits say 14999.9 µs at the end.
    let TimeAxis::Regular { interval_s } = trace.axis else {
        panic!("{:?}", trace.source)
    };
    assert!((interval_s - 125e-9).abs() < 1e-12, "{interval_s}");
}

#[test]
fn counted_rows_at_the_rate_of_the_header() {
    for (file, rows, hz) in [
        ("csv_1ch_10hz_default.csv", 40, 10.0),
        ("csv_1ch_10hz_time.csv", 40, 10.0),
        ("csv_1ch_1hz_time.csv", 12, 1.0),
        ("csv_1ch_60hz_time.csv", 60, 60.0),
        ("csv_1ch_1khz_time_channel.csv", 2500, 1000.0),
        ("stream_10hz_csv.txt", 61, 10.0),
    ] {
        let Some(bytes) = real(&format!("live/{file}")) else {
            return;
        };
        let trace = read(&bytes, &ampere()).unwrap_or_else(|e| panic!("{file}: {e}"));
        assert_eq!(trace.len(), rows, "{file}");
        assert_eq!(
            trace.axis,
            TimeAxis::Regular {
                interval_s: 1.0 / hz
            },
            "{file}"
        );
        assert_eq!(trace.current_a[0], -10.0, "{file}");
        assert!(
            trace
                .source
                .start
                .as_deref()
                .is_some_and(|s| s.starts_with("2026-11-25T12:46:")),
            "{file}: {:?}",
            trace.source.start
        );
        // Volt is not ampere unless someone says so.
        let kind = read(&bytes, &plain()).unwrap_err().kind();
        assert_eq!(
            kind,
            if file.contains("channel") {
                "no-unit"
            } else {
                "voltage-only"
            },
            "{file}"
        );
    }
}

#[test]
fn bare_rows_need_unit_and_count_as_time() {
    let Some(bytes) = real("live/csv_1ch_10hz_bare.csv") else {
        return;
    };
    assert_eq!(
        read(&bytes, &plain()).unwrap_err(),
        ReadError::NoUnit {
            column: "2".to_owned()
        }
    );
    let trace = read(
        &bytes,
        &ReadOptions {
            interval_s: Some(0.1),
            ..ampere()
        },
    )
    .unwrap();
    assert_eq!(trace.axis, TimeAxis::Regular { interval_s: 0.1 });
    assert_eq!((trace.len(), trace.current_a[5]), (20, 10.0));
}

#[test]
fn two_channels_of_that_version_are_refused_by_line() {
    let Some(bytes) = real("live/csv_2ch_1khz_broken.csv") else {
        return;
    };
    let error = read(&bytes, &ampere()).unwrap_err();
    assert_eq!((error.kind(), error.line()), ("spoilt-row", Some(5)));
}

#[test]
fn analog_text_needs_the_rate() {
    for (file, rows) in [("analog_1ch_10hz.txt", 40), ("stream_10hz_analog.txt", 61)] {
        let Some(bytes) = real(&format!("live/{file}")) else {
            return;
        };
        assert_eq!(read(&bytes, &ampere()).unwrap_err().kind(), "no-time");
        let trace = read(
            &bytes,
            &ReadOptions {
                interval_s: Some(0.1),
                ..ampere()
            },
        )
        .unwrap();
        assert_eq!(trace.len(), rows, "{file}");
        assert_eq!(trace.current_a[0], -10.0);
    }
}

#[test]
fn analog_text_of_two_channels_keeps_them_apart() {
    let Some(bytes) = real("live/analog_2ch_10hz.txt") else {
        return;
    };
    let timed = ReadOptions {
        interval_s: Some(0.1),
        ..ampere()
    };
    assert_eq!(read(&bytes, &timed).unwrap_err().kind(), "voltage-only");
    let trace = read(
        &bytes,
        &ReadOptions {
            current: Some("A1".to_owned()),
            ..timed
        },
    )
    .unwrap();
    // The sine: 0.0 mV, then 3.0902 V.
    assert_eq!(&trace.current_a[..3], &[0.0, 3.0902, 5.8779]);
    assert_eq!(trace.source.voltage_column.as_deref(), Some("A0"));
    assert_eq!(trace.voltage_v.unwrap()[0], -10.0);
}

/// Every prefix reads or fails with a sentence; lines of another kind never become samples. A last
/// number cut to fewer digits (`-1` of `-10`) cannot be told from a whole one; the reader says that
/// the line had no end.
#[test]
fn cut_anywhere() {
    for file in [
        "csv_1ch_10hz_time.csv",
        "stream_10hz_analog.txt",
        "csv_2ch_1khz_broken.csv",
    ] {
        let Some(bytes) = real(&format!("live/{file}")) else {
            return;
        };
        let whole = bytes.split(|b| *b == b'\n').count();
        for cut in 0..bytes.len() {
            if let Ok(trace) = read(
                &bytes[..cut],
                &ReadOptions {
                    interval_s: Some(0.1),
                    ..ampere()
                },
            ) {
                assert!(trace.len() <= whole);
                assert!(
                    trace
                        .current_a
                        .iter()
                        .all(|a| [-10.0, 10.0, -1.0, 1.0].contains(a)),
                    "{file} cut at {cut}"
                );
            }
        }
    }
}
