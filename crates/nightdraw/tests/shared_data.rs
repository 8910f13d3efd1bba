//! `nightdraw read` on recordings that others made. They may not all be
//! redistributed and lie beside the checkout where they are present.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "a test fails by panicking, and says what it skipped"
)]

mod common;

use common::{Answer, run, shared};
use serde_json::Value;

fn read(name: &str, options: &[&str]) -> Option<Answer> {
    let path = shared(name)?.display().to_string();
    let mut arguments = vec!["read", &path, "--json"];
    arguments.extend(options);
    Some(run(&arguments))
}

/// Segments tile the trace, and levels are numbers.
fn check_tiling(document: &Value) {
    let rows = document["source"]["rows"].as_u64().unwrap();
    let segments = document["segments"].as_array().unwrap();
    let mut next = 0;
    for segment in segments {
        assert_eq!(segment["first"].as_u64().unwrap(), next);
        next = segment["last"].as_u64().unwrap() + 1;
        assert!(segment["level"]["value"].is_number());
    }
    assert_eq!(next, rows);
}

#[test]
fn mains_loads_are_read() {
    for (name, rows) in [
        ("traces/loads2_short.csv", 372),
        ("traces/loads3_short.csv", 288),
    ] {
        let Some(answer) = read(name, &[]) else {
            return;
        };
        let document = answer.ok().json();
        check_tiling(&document);
        assert_eq!(document["source"]["current_column"], "current_A");
        let got = document["source"]["rows"].as_i64().unwrap();
        assert!((got - rows).abs() <= 1, "{name}: {got} rows");
    }
}

#[test]
fn the_laboratory_cell_is_read_with_its_equal_stamps() {
    let Some(answer) = read("traces/cell_dc_minutes.csv", &[]) else {
        return;
    };
    let document = answer.ok().json();
    check_tiling(&document);
    assert_eq!(document["source"]["rows"], 9065);
    // About a milliampere in both directions.
    assert!(document["average"]["value"].as_f64().unwrap().abs() < 2e-3);
    assert!(
        document["settled"].is_null(),
        "a cell on a cycler never sleeps"
    );
}

#[test]
fn a_voltage_only_file_gets_a_clear_answer() {
    let Some(answer) = read("traces/scope_sda.csv", &[]) else {
        return;
    };
    answer.refuses(1, &["voltage"]);
    assert!(answer.json()["error"]["hint"].is_string());
}

#[test]
fn a_rate_in_the_header_beats_the_time_column() {
    let files = [
        ("live/csv_1ch_10hz_default.csv", 0.1),
        ("live/csv_1ch_10hz_time.csv", 0.1),
        ("live/csv_1ch_1hz_time.csv", 1.0),
        ("live/csv_1ch_60hz_time.csv", 1.0 / 60.0),
        ("live/csv_1ch_1khz_time_channel.csv", 1e-3),
        ("live/stream_10hz_csv.txt", 0.1),
    ];
    for (name, interval_s) in files {
        // These columns are volts or unit-less; told to take them as ampere, it does.
        let Some(answer) = read(name, &["--unit", "A"]) else {
            return;
        };
        let document = answer.ok().json();
        check_tiling(&document);
        let got = document["source"]["interval_s"].as_f64().unwrap();
        assert!(
            (got - interval_s).abs() < 1e-9 * interval_s,
            "{name}: {got}"
        );
    }
}

#[test]
fn volts_are_not_taken_for_amperes() {
    let Some(answer) = read("live/csv_1ch_10hz_default.csv", &[]) else {
        return;
    };
    answer.refuses(1, &["volt"]);
}

#[test]
fn text_without_times_needs_an_interval() {
    let Some(answer) = read("live/analog_1ch_10hz.txt", &["--unit", "A"]) else {
        return;
    };
    answer.refuses(1, &["interval"]);
    let Some(answer) = read(
        "live/analog_1ch_10hz.txt",
        &["--unit", "A", "--interval", "100ms"],
    ) else {
        return;
    };
    check_tiling(&answer.ok().json());
    let Some(answer) = read(
        "live/stream_10hz_analog.txt",
        &["--unit", "A", "--interval", "100ms"],
    ) else {
        return;
    };
    check_tiling(&answer.ok().json());
}

#[test]
fn a_spoilt_two_channel_file_is_refused_by_line() {
    let Some(answer) = read("live/csv_2ch_1khz_broken.csv", &["--unit", "A"]) else {
        return;
    };
    answer.refuses(1, &["line"]);
}
