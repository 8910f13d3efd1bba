//! Parquet files, written here and read again.

#![cfg(feature = "parquet")]
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    reason = "a test may stop at the first surprise"
)]

use std::sync::Arc;

use parquet::basic::{Compression, GzipLevel, ZstdLevel};
use parquet::data_type::{
    ByteArray, ByteArrayType, DataType, DoubleType, FloatType, Int32Type, Int64Type, Int96,
    Int96Type,
};
use parquet::file::properties::WriterProperties;
use parquet::file::writer::{SerializedColumnWriter, SerializedFileWriter};
use parquet::schema::parser::parse_message_type;
use trace::readers::{ReadError, ReadOptions, read};
use trace::{TimeAxis, Trace};

/// A column's values; `None` is a null.
enum Values {
    Whole(Vec<Option<i64>>),
    Short(Vec<Option<i32>>),
    Double(Vec<Option<f64>>),
    Single(Vec<Option<f32>>),
    Text(Vec<Option<&'static str>>),
    /// Nanoseconds of the day and the day.
    Old(Vec<Option<(u64, u32)>>),
}

fn put<T: DataType>(column: &mut SerializedColumnWriter<'_>, cells: &[Option<T::T>]) {
    let values: Vec<T::T> = cells.iter().flatten().cloned().collect();
    let levels: Vec<i16> = cells.iter().map(|c| i16::from(c.is_some())).collect();
    column
        .typed::<T>()
        .write_batch(&values, Some(&levels), None)
        .unwrap();
}

/// A file of these row groups; columns are those of `schema`, all optional.
fn file(schema: &str, groups: &[Vec<Values>], compression: Compression) -> Vec<u8> {
    let schema = Arc::new(parse_message_type(schema).unwrap());
    let properties = WriterProperties::builder()
        .set_compression(compression)
        .build();
    let mut out = Vec::new();
    let mut writer = SerializedFileWriter::new(&mut out, schema, Arc::new(properties)).unwrap();
    for group in groups {
        let mut rows = writer.next_row_group().unwrap();
        for values in group {
            let mut column = rows.next_column().unwrap().unwrap();
            match values {
                Values::Whole(cells) => put::<Int64Type>(&mut column, cells),
                Values::Short(cells) => put::<Int32Type>(&mut column, cells),
                Values::Double(cells) => put::<DoubleType>(&mut column, cells),
                Values::Single(cells) => put::<FloatType>(&mut column, cells),
                Values::Text(cells) => {
                    let bytes: Vec<Option<ByteArray>> =
                        cells.iter().map(|c| c.map(ByteArray::from)).collect();
                    put::<ByteArrayType>(&mut column, &bytes);
                }
                Values::Old(cells) => {
                    let stamp = |(nanos, day): (u64, u32)| {
                        let mut stamp = Int96::new();
                        stamp.set_data(nanos as u32, (nanos >> 32) as u32, day);
                        stamp
                    };
                    let stamps: Vec<Option<Int96>> = cells.iter().map(|c| c.map(stamp)).collect();
                    put::<Int96Type>(&mut column, &stamps);
                }
            }
            column.close().unwrap();
        }
        rows.close().unwrap();
    }
    writer.close().unwrap();
    out
}

fn read_all(bytes: &[u8]) -> Trace {
    read(bytes, &ReadOptions::default()).unwrap()
}

fn refused(bytes: &[u8]) -> ReadError {
    read(bytes, &ReadOptions::default()).unwrap_err()
}

/// 25 November 2026, 22:10:00 UTC.
const EVENING_S: i64 = 1_795_644_600;

/// Current in ampere at 10 Hz, two levels with a ripple.
fn current(k: usize) -> f64 {
    let level = if k < 600 { 2.0 } else { 0.023 };
    level + [0.0, 0.001, -0.001][k % 3]
}

/// Two row groups with a stamp of so many units a second, current and voltage.
fn stamped(unit: &str, per_s: i64, compression: Compression) -> Vec<u8> {
    let schema = format!(
        "message log {{ optional int64 time (TIMESTAMP({unit},true)); optional double current_A; optional float \"voltage\"; }}"
    )
    .replace("\"voltage\"", "voltage_V");
    let group = |rows: std::ops::Range<usize>| {
        vec![
            Values::Whole(
                rows.clone()
                    .map(|k| Some(EVENING_S * per_s + k as i64 * per_s / 10))
                    .collect(),
            ),
            Values::Double(rows.clone().map(|k| Some(current(k))).collect()),
            Values::Single(
                rows.map(|k| Some(if k < 600 { 12.5 } else { 12.75 }))
                    .collect(),
            ),
        ]
    };
    file(&schema, &[group(0..700), group(700..1200)], compression)
}

#[test]
fn stamps_in_every_unit_and_packing() {
    let packings = [
        ("MILLIS", 1_000, Compression::UNCOMPRESSED),
        ("MICROS", 1_000_000, Compression::SNAPPY),
        (
            "NANOS",
            1_000_000_000,
            Compression::ZSTD(ZstdLevel::try_new(3).unwrap()),
        ),
        (
            "MILLIS",
            1_000,
            Compression::GZIP(GzipLevel::try_new(6).unwrap()),
        ),
        ("MICROS", 1_000_000, Compression::LZ4_RAW),
    ];
    for (unit, per_s, compression) in packings {
        let found = read_all(&stamped(unit, per_s, compression));
        assert_eq!(found.axis, TimeAxis::Regular { interval_s: 0.1 }, "{unit}");
        let want: Vec<f64> = (0..1200).map(current).collect();
        assert_eq!(found.current_a, want);
        let volts = found.voltage_v.unwrap();
        assert_eq!((volts[0], volts[1199]), (12.5, 12.75));
        assert_eq!(found.source.start.as_deref(), Some("2026-11-25T22:10:00Z"));
        assert!(
            found.source.assumptions[0].contains("2 groups"),
            "{:?}",
            found.source.assumptions
        );
    }
}

/// Stamps of 96 bits: nanoseconds of the day in the first eight bytes, the Julian day in the last four (Apache Parquet format,
/// `parquet.thrift`, `INT96`, deprecated); across midnight, with one that is missing.
#[test]
fn stamps_of_old_writers() {
    // 25 November 2026 is Julian day 2 461 370: day 2 440 588 is 1 January 1970.
    const DAY: u32 = 2_440_588 + 20_782;
    const HOUR_NS: u64 = 3_600_000_000_000;
    let stamp = |k: u64| {
        let nanos = 23 * HOUR_NS + k * 500_000_000;
        (
            nanos % (24 * HOUR_NS),
            DAY + (nanos / (24 * HOUR_NS)) as u32,
        )
    };
    let count = 10_000;
    let stamps = (0..count).map(|k| (k != 4_000).then(|| stamp(k)));
    let bytes = file(
        "message log { optional int96 when; optional double current_A; }",
        &[vec![
            Values::Old(stamps.collect()),
            Values::Double((0..count as usize).map(|k| Some(current(k))).collect()),
        ]],
        Compression::SNAPPY,
    );
    let found = read_all(&bytes);
    assert_eq!(found.source.start.as_deref(), Some("2026-11-25T23:00:00Z"));
    assert_eq!((found.len(), found.source.skipped_rows), (9_999, 1));
    assert_eq!((found.time_s(1), found.time_s(3_999)), (0.5, 1_999.5));
    assert_eq!(
        (found.time_s(4_000), found.time_s(9_998)),
        (2_000.5, 4_999.5)
    );
    assert_eq!(found.current_a[4_000], current(4_001));
}

/// The same table as text gives the same trace.
#[test]
fn the_same_as_text() {
    let count = 900usize;
    let bytes = file(
        "message log { optional double t_s; optional binary note (STRING); optional int32 current_mA; }",
        &[vec![
            Values::Double((0..count).map(|k| Some(k as f64 / 4.0)).collect()),
            Values::Text((0..count).map(|_| Some("a, b")).collect()),
            Values::Short((0..count).map(|k| Some(400 + k as i32 % 3)).collect()),
        ]],
        Compression::SNAPPY,
    );
    let rows: String = (0..count)
        .map(|k| format!("{},\"a, b\",{}\n", k as f64 / 4.0, 400 + k % 3))
        .collect();
    let text = format!("t_s,note,current_mA\n{rows}");
    let (ours, theirs) = (read_all(&bytes), read_all(text.as_bytes()));
    assert_eq!(ours.current_a, theirs.current_a);
    assert_eq!(ours.axis, theirs.axis);
    assert_eq!(ours.source.current_column, theirs.source.current_column);
    assert_eq!(ours.source.unit, "mA");
}

#[test]
fn nulls_are_left_out_and_make_gaps() {
    let cell = |k: usize| (!(300..400).contains(&k)).then(|| current(k));
    let bytes = file(
        "message log { optional double time_s; optional double current_A; }",
        &[vec![
            Values::Double((0..1000).map(|k| Some(k as f64)).collect()),
            Values::Double((0..1000).map(cell).collect()),
        ]],
        Compression::UNCOMPRESSED,
    );
    let found = read_all(&bytes);
    assert_eq!((found.len(), found.source.skipped_rows), (900, 100));
    let gaps: Vec<(f64, f64)> = found
        .source
        .gaps
        .iter()
        .map(|g| (g.start_s, g.end_s))
        .collect();
    assert_eq!(gaps, [(299.0, 400.0)]);
}

/// Dates and times of day in columns of their own, and numbers that are text.
#[test]
fn text_where_it_must_be() {
    let bytes = file(
        "message log { optional int32 date (DATE); optional int32 clock (TIME(MILLIS,true)); optional binary current_A (STRING); }",
        &[vec![
            Values::Short((0..60).map(|_| Some(20_782)).collect()),
            Values::Short((0..60).map(|k| Some(79_800_000 + k * 1000)).collect()),
            Values::Text((0..60).map(|k| Some(["0,5", "0,25"][k % 2])).collect()),
        ]],
        Compression::UNCOMPRESSED,
    );
    let found = read_all(&bytes);
    assert_eq!(found.axis, TimeAxis::Regular { interval_s: 1.0 });
    assert_eq!(found.current_a[..2], [0.5, 0.25]);
    assert_eq!(found.source.start.as_deref(), Some("2026-11-25T22:10:00"));
}

#[test]
fn what_is_wrong_is_said_in_a_sentence() {
    let back = file(
        "message log { optional double time_s; optional double current_A; }",
        &[vec![
            Values::Double(vec![Some(0.0), Some(1.0), Some(0.5), Some(3.0)]),
            Values::Double(vec![Some(0.1); 4]),
        ]],
        Compression::UNCOMPRESSED,
    );
    assert_eq!(
        refused(&back).message(),
        "row 3: time runs backwards by 0.5 s"
    );
    let no_current = file(
        "message log { optional double time_s; optional binary name (STRING); }",
        &[vec![
            Values::Double(vec![Some(0.0), Some(1.0)]),
            Values::Text(vec![Some("a"), Some("b")]),
        ]],
        Compression::UNCOMPRESSED,
    );
    assert_eq!(refused(&no_current).kind(), "no-current");
    let empty = file(
        "message log { optional double time_s; optional double current_A; }",
        &[],
        Compression::UNCOMPRESSED,
    );
    assert_eq!(refused(&empty).kind(), "header-only");
    assert_eq!(refused(b"PAR1 and no more").kind(), "parquet");
    assert!(
        refused(b"PAR1")
            .message()
            .starts_with("the Parquet file could not be read")
    );
}

/// Cut off or changed anywhere, a file is read or refused.
#[test]
fn damaged_files_end_nothing() {
    let whole = stamped("MILLIS", 1_000, Compression::SNAPPY);
    for cut in (0..whole.len()).step_by(whole.len() / 60) {
        let _ = read(&whole[..cut], &ReadOptions::default());
    }
    let mut state = 7u64;
    for _ in 0..300 {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1);
        let mut bytes = whole.clone();
        let at = (state >> 20) as usize % bytes.len();
        bytes[at] ^= 1 << (state >> 60 & 7);
        let _ = read(bytes.as_slice(), &ReadOptions::default());
    }
}
