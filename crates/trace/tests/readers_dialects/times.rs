//! How stamps become seconds.

use trace::TimeAxis;
use trace::readers::{self, ReadError, ReadOptions};

use super::{PLAIN, pairs, read, said};

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
