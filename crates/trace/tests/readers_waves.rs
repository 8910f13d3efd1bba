//! WAV, raw floats and windows.

#![allow(clippy::unwrap_used, reason = "helpers of tests")]

mod told;

use told::found_again;
use trace::readers::{self, Edge, Format, ReadError, ReadOptions};
use trace::{TimeAxis, Trace};

fn read(bytes: impl std::io::Read, options: &ReadOptions) -> Result<Trace, ReadError> {
    readers::read(bytes, options).inspect(found_again)
}

fn options() -> ReadOptions {
    ReadOptions {
        unit: Some("A".to_owned()),
        ..ReadOptions::default()
    }
}

/// A WAV file with a chunk that readers must pass over.
fn wav(tag: u16, bits: u16, channels: u16, data: &[u8]) -> Vec<u8> {
    let mut out = b"RIFF\0\0\0\0WAVELIST\x03\0\0\0abc\0fmt \x10\0\0\0".to_vec();
    let frame = channels * bits / 8;
    out.extend(tag.to_le_bytes());
    out.extend(channels.to_le_bytes());
    out.extend(8000u32.to_le_bytes());
    out.extend((8000 * u32::from(frame)).to_le_bytes());
    out.extend(frame.to_le_bytes());
    out.extend(bits.to_le_bytes());
    out.extend(b"data");
    out.extend((data.len() as u32).to_le_bytes());
    out.extend(data);
    out
}

fn floats(values: &[f32]) -> Vec<u8> {
    values.iter().flat_map(|v| v.to_le_bytes()).collect()
}

#[test]
fn wav_of_every_width() {
    let cases: [(u16, u16, Vec<u8>); 5] = [
        (
            1,
            16,
            [16384i16, -8192]
                .iter()
                .flat_map(|v| v.to_le_bytes())
                .collect(),
        ),
        (
            1,
            24,
            [4_194_304i32, -2_097_152]
                .iter()
                .flat_map(|v| v.to_le_bytes()[..3].to_vec())
                .collect(),
        ),
        (
            1,
            32,
            [1_073_741_824i32, -536_870_912]
                .iter()
                .flat_map(|v| v.to_le_bytes())
                .collect(),
        ),
        (3, 32, floats(&[0.5, -0.25])),
        (
            3,
            64,
            [0.5f64, -0.25]
                .iter()
                .flat_map(|v| v.to_le_bytes())
                .collect(),
        ),
    ];
    for (tag, bits, data) in cases {
        let trace = read(wav(tag, bits, 1, &data).as_slice(), &options()).unwrap();
        assert_eq!(trace.current_a, [0.5, -0.25], "{tag} {bits}");
        assert_eq!(
            trace.axis,
            TimeAxis::Regular {
                interval_s: 1.0 / 8000.0
            }
        );
    }
}

#[test]
fn wav_channels_and_refusals() {
    let stereo = wav(3, 32, 2, &floats(&[1.0, 2.0, 3.0, 4.0]));
    assert_eq!(
        read(stereo.as_slice(), &options()).unwrap_err().kind(),
        "two-currents"
    );
    let second = ReadOptions {
        current: Some("2".to_owned()),
        ..options()
    };
    assert_eq!(
        read(stereo.as_slice(), &second).unwrap().current_a,
        [2.0, 4.0]
    );
    assert_eq!(
        read(stereo.as_slice(), &ReadOptions::default())
            .unwrap_err()
            .kind(),
        "no-unit"
    );
    assert_eq!(
        read(wav(1, 8, 1, &[1, 2]).as_slice(), &options())
            .unwrap_err()
            .kind(),
        "unsupported"
    );
    for cut in 0..stereo.len() {
        // Never a panic; never more than what is there.
        if let Ok(trace) = read(&stereo[..cut], &second) {
            assert!(trace.len() <= 2);
        }
    }
}

#[test]
fn raw_floats() {
    let raw = ReadOptions {
        format: Format::F32Le,
        interval_s: Some(0.01),
        unit: Some("mA".to_owned()),
        ..ReadOptions::default()
    };
    let mut bytes = floats(&[500.0, f32::NAN, 250.0]);
    bytes.push(7);
    let trace = read(bytes.as_slice(), &raw).unwrap();
    assert_eq!(trace.current_a, [0.5, 0.5, 0.25]);
    assert!(
        trace
            .source
            .assumptions
            .iter()
            .any(|a| a.contains("cut off"))
    );
    assert_eq!(
        read(
            bytes.as_slice(),
            &ReadOptions {
                interval_s: None,
                ..raw.clone()
            }
        )
        .unwrap_err()
        .kind(),
        "no-time"
    );
    let endless = ReadOptions {
        max_rows: Some(100_000),
        ..raw
    };
    assert_eq!(
        read(std::io::repeat(0), &endless).unwrap_err().kind(),
        "too-long"
    );
}

fn night() -> Trace {
    let rows: String = (0..600)
        .map(|i| format!("{:02}:{:02}:00,0.{i:03}\n", (21 + i / 60) % 24, i % 60))
        .collect();
    read(
        format!("time,current_A\n{rows}").as_bytes(),
        &ReadOptions::default(),
    )
    .unwrap()
}

#[test]
fn windows_by_clock_and_offset() {
    let night = night();
    let part = night.window(Some("22:10"), Some("0:10")).unwrap();
    assert_eq!(
        (part.len(), part.current_a[0], part.time_s(0)),
        (121, 0.070, 0.0)
    );
    assert_eq!(part.source.start.as_deref(), Some("22:10:00"));
    let same = night.window(Some("70min"), Some("190min")).unwrap();
    assert_eq!(same.current_a, part.current_a);
    let tail = night.window(Some("05:00"), None).unwrap();
    assert_eq!(
        (tail.len(), tail.source.start.as_deref()),
        (120, Some("05:00:00"))
    );
    assert_eq!(night.window(None, None).unwrap(), night);
}

#[test]
fn windows_that_hold_nothing() {
    let night = night();
    assert_eq!(
        night.window(Some("12:00"), None).unwrap_err().kind(),
        "empty-window"
    );
    assert_eq!(
        night.window(Some("2h"), Some("1h")).unwrap_err().kind(),
        "empty-window"
    );
    let beyond = night.window(Some("100h"), None).unwrap_err().to_string();
    assert!(
        beyond.contains("from 4.167 d on; the log ends") && !beyond.contains("inf"),
        "{beyond}"
    );
    let dateless = night.window(Some("2026-11-25T22:10"), None).unwrap_err();
    assert!(matches!(dateless, ReadError::EmptyWindow { .. }));
    for bad in ["10", "ten", "-5s", "22:99", "nan s", ""] {
        assert_eq!(
            Edge::parse("from", bad).unwrap_err().kind(),
            "bad-option",
            "{bad}"
        );
    }
}

#[test]
fn windows_by_date() {
    let text = "time,current_A\n2026-11-25T22:00:00+01:00,1\n2026-11-25T23:00:00+01:00,2\n2026-11-26T00:00:00+01:00,3\n";
    let trace = read(text.as_bytes(), &ReadOptions::default()).unwrap();
    // Local as the file is; with a zone, that zone.
    for text in ["2026-11-25 23:00", "2026-11-25T22:00Z", "23:00"] {
        let part = trace.window(Some(text), None).unwrap();
        assert_eq!(part.current_a, [2.0, 3.0], "{text}");
        assert_eq!(
            part.source.start.as_deref(),
            Some("2026-11-25T23:00:00+01:00")
        );
    }
    assert_eq!(
        trace
            .window(Some("2026-11-24"), Some("2026-11-25 22:00"))
            .unwrap()
            .current_a,
        [1.0]
    );
}

#[cfg(not(feature = "parquet"))]
#[test]
fn parquet_says_how_to_get_it() {
    let error = read(b"PAR1\x15\x04PAR1".as_slice(), &ReadOptions::default()).unwrap_err();
    assert_eq!(error.kind(), "unsupported");
    assert!(
        error.hint().contains("--features parquet"),
        "{}",
        error.hint()
    );
}
