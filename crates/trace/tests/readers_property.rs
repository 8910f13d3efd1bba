//! Written in any dialect, a trace reads back; whatever the bytes, the reader answers.

use proptest::prelude::*;
use trace::readers::{self, ReadOptions};

#[derive(Debug, Clone)]
struct Dialect {
    delimiter: &'static str,
    comma: bool,
    header: bool,
    comments: bool,
    crlf: bool,
    bom: bool,
    last_end: bool,
    current_first: bool,
    exponent: bool,
    unit: (&'static str, f64),
    clock: u8,
}

fn dialects() -> impl Strategy<Value = Dialect> {
    let flags = proptest::array::uniform8(any::<bool>());
    let units = prop::sample::select(vec![("A", 1.0), ("mA", 1e3), ("uA", 1e6), ("µA", 1e6)]);
    (
        prop::sample::select(vec![",", ";", "\t", "  ", ", ", " ; "]),
        flags,
        units,
        0u8..4,
    )
        .prop_map(|(delimiter, f, unit, clock)| Dialect {
            delimiter,
            // A comma cannot do both.
            comma: f[0] && !delimiter.contains(','),
            header: f[1],
            comments: f[2],
            crlf: f[3],
            bom: f[4],
            last_end: f[5],
            current_first: f[6] && f[1],
            exponent: f[7],
            unit,
            clock,
        })
}

fn mark(d: &Dialect, number: String) -> String {
    if d.comma {
        number.replace('.', ",")
    } else {
        number
    }
}

fn stamp(d: &Dialect, ms: u64) -> String {
    let (s, rest) = (ms / 1000, ms % 1000);
    let of_day = format!(
        "{:02}:{:02}:{:02}.{rest:03}",
        s / 3600 % 24,
        s / 60 % 60,
        s % 60
    );
    match d.clock {
        // Always with decimals, so that each row shows which mark is used.
        0 => mark(d, format!("{s}.{rest:03}")),
        1 => mark(d, of_day),
        2 => format!("2026-11-{:02}T{of_day}Z", 1 + s / 86_400),
        _ => format!("2026-11-{:02} {of_day}", 1 + s / 86_400),
    }
}

fn write(d: &Dialect, rows: &[(u64, i64)]) -> String {
    let end = if d.crlf { "\r\n" } else { "\n" };
    let mut text = if d.bom {
        "\u{feff}".to_owned()
    } else {
        String::new()
    };
    if d.comments {
        text.push_str(&format!("# written by a test{end}"));
    }
    let pair = |time: String, current: String| {
        if d.current_first {
            format!("{current}{}{time}", d.delimiter)
        } else {
            format!("{time}{}{current}", d.delimiter)
        }
    };
    if d.header {
        text.push_str(&pair(
            if d.clock == 0 { "time_s" } else { "time" }.to_owned(),
            format!("current_{}", d.unit.0),
        ));
        text.push_str(end);
    }
    for (i, (ms, counts)) in rows.iter().enumerate() {
        let value = *counts as f64 / 1e4;
        let number = if d.exponent {
            format!("{value:e}")
        } else {
            format!("{value:.4}")
        };
        text.push_str(&pair(stamp(d, *ms), mark(d, number)));
        if d.last_end || i + 1 < rows.len() {
            text.push_str(end);
        }
    }
    text
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(512))]

    #[test]
    fn reads_back(d in dialects(), steps in prop::collection::vec((1u64..7000, -99_999i64..999_999), 2..60), start in 0u64..172_800_000) {
        let mut at = start;
        let rows: Vec<(u64, i64)> = steps.iter().map(|(step, counts)| { at += step; (at, *counts) }).collect();
        let text = write(&d, &rows);
        let options = ReadOptions { unit: (!d.header).then(|| d.unit.0.to_owned()), ..ReadOptions::default() };
        let trace = readers::read(text.as_bytes(), &options);
        prop_assert!(trace.is_ok(), "{:?}\n{}", trace, text);
        let trace = trace.unwrap();
        prop_assert_eq!(trace.len(), rows.len(), "{}", text);
        prop_assert_eq!(trace.source.skipped_rows, 0);
        for (i, (ms, counts)) in rows.iter().enumerate() {
            // Stamps may be a rounding of seconds since 1970, 2^-22 s, off; even stamps by their last digit.
            let expected = (ms - rows[0].0) as f64 / 1e3;
            prop_assert!((trace.time_s(i) - expected).abs() < 2.1e-3, "{} {} {}\n{}", i, trace.time_s(i), expected, text);
            // One rounding for the decimal number, one for the unit.
            let current = *counts as f64 / 1e4 / d.unit.1;
            prop_assert!((trace.current_a[i] - current).abs() <= current.abs() * f64::EPSILON, "{}\n{}", i, text);
        }
    }

    #[test]
    fn any_bytes_get_an_answer(bytes in prop::collection::vec(any::<u8>(), 0..600)) {
        answer(&bytes);
    }

    /// Bytes that look like a log, which get further in.
    #[test]
    fn near_logs_get_an_answer(text in "(([#;%]? ?[-+0-9.,:eTZ ]{0,12}|[a-zA-Zµ_()\\[\\] ]{0,9}|nan|A0: 1.5 mA DC|Samplerate: 9 kHz|[0-9]{1,2}[.:/-][0-9]{1,2}[.:/-][0-9]{1,4})[,;\t \"\r\n]){0,60}") {
        answer(text.as_bytes());
    }

    /// A good log with some bytes changed.
    #[test]
    fn damaged_logs_get_an_answer(d in dialects(), hits in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..6)) {
        let rows: Vec<(u64, i64)> = (0..30).map(|i| (i * 500, i as i64)).collect();
        let mut bytes = write(&d, &rows).into_bytes();
        for (at, byte) in hits {
            let i = at.index(bytes.len());
            bytes[i] = byte;
        }
        answer(&bytes);
    }
}

/// Whatever comes out is finite, in order and no more than there were lines.
fn answer(bytes: &[u8]) {
    let with = |unit: Option<&str>, interval_s| ReadOptions {
        unit: unit.map(str::to_owned),
        interval_s,
        ..ReadOptions::default()
    };
    for options in [
        with(None, None),
        with(Some("A"), None),
        with(Some("mA"), Some(0.1)),
    ] {
        match readers::read(bytes, &options) {
            Ok(trace) => {
                assert!(!trace.is_empty() && trace.len() <= bytes.len() + 1);
                assert!(trace.current_a.iter().all(|a| a.is_finite()));
                assert!((1..trace.len()).all(|i| trace.time_s(i) >= trace.time_s(i - 1)));
            }
            Err(error) => assert!(!error.message().is_empty() && !error.kind().is_empty()),
        }
    }
}
