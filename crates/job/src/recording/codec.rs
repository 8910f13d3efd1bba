//! The bytes of a recording.
//!
//! `nightrec`, version (1 byte), then trace and source field by field (numbers
//! little-endian, texts and lists with their length before them, series
//! compressed without loss by `pco`), then FNV-1a-64 over all before it
//! (Fowler, Noll, Vo; constants from memory), so that damage is noticed before
//! anything is decoded.

use std::fmt;

use pco::{
    ChunkConfig,
    standalone::{DecompressorItem, FileDecompressor, simple_compress},
};
use tongue::{Message, say};
use trace::{Gap, SkippedRow, Source, TimeAxis, Trace};

const MAGIC: &[u8; 8] = b"nightrec";
const VERSION: u8 = 1;

/// Most samples a recording may hold: over three weeks at 10 per second, and
/// 160 MB per series in memory. Common practice.
pub const MAX_SAMPLES: usize = 20_000_000;

/// Why bytes are no recording.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum RecordingError {
    /// Not what a recording starts with.
    NotARecording,
    /// Written by a newer version.
    Newer(u8),
    /// Changed or cut short since it was written.
    Damaged,
    /// More samples than [`MAX_SAMPLES`].
    TooLong(u64),
}

impl RecordingError {
    /// One sentence.
    pub fn message(&self) -> Message {
        match self {
            Self::NotARecording => say::file::no_recording(),
            Self::Newer(version) => {
                say::file::recording_newer(VERSION.to_string(), version.to_string())
            }
            Self::Damaged => say::file::recording_damaged(),
            Self::TooLong(samples) => {
                say::file::recording_too_long(MAX_SAMPLES.to_string(), samples.to_string())
            }
        }
    }
}

impl fmt::Display for RecordingError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.message().fmt(f)
    }
}

impl std::error::Error for RecordingError {}

/// The trace as bytes.
pub(super) fn encode(trace: &Trace) -> Vec<u8> {
    // Taken apart by name, so that a new field cannot be forgotten here.
    let Trace {
        axis,
        current_a,
        voltage_v,
        source,
    } = trace;
    let mut out = Writer(MAGIC.to_vec());
    out.0.push(VERSION);
    match axis {
        TimeAxis::Regular { interval_s } => {
            out.0.push(0);
            out.number(*interval_s);
        }
        TimeAxis::Stamps(stamps) => {
            out.0.push(1);
            out.series(stamps);
        }
    }
    out.series(current_a);
    out.option(voltage_v.as_ref(), |out, series| out.series(series));
    source_out(&mut out, source);
    let sum = checksum(&out.0);
    out.count(sum);
    out.0
}

fn source_out(out: &mut Writer, source: &Source) {
    let Source {
        rows,
        skipped_rows,
        skipped,
        time_column,
        current_column,
        voltage_column,
        unit,
        interval_s,
        gaps,
        start,
        assumptions,
    } = source;
    out.count(*rows);
    out.count(*skipped_rows);
    out.list(skipped, |out, SkippedRow { line, reason }| {
        out.count(*line);
        out.text(reason);
    });
    out.option(time_column.as_ref(), |out, text| out.text(text));
    out.text(current_column);
    out.option(voltage_column.as_ref(), |out, text| out.text(text));
    out.text(unit);
    out.number(*interval_s);
    out.list(gaps, |out, Gap { start_s, end_s }| {
        out.number(*start_s);
        out.number(*end_s);
    });
    out.option(start.as_ref(), |out, text| out.text(text));
    out.list(assumptions, |out, text| out.text(text));
}

/// The trace of bytes.
pub(super) fn decode(bytes: &[u8]) -> Result<Trace, RecordingError> {
    let rest = bytes
        .strip_prefix(MAGIC)
        .ok_or(RecordingError::NotARecording)?;
    let (&version, _) = rest.split_first().ok_or(RecordingError::Damaged)?;
    if version > VERSION {
        return Err(RecordingError::Newer(version));
    }
    let at = bytes.len().checked_sub(8).ok_or(RecordingError::Damaged)?;
    let (body, sum) = bytes.split_at(at);
    if sum != checksum(body).to_le_bytes() || version != VERSION {
        return Err(RecordingError::Damaged);
    }
    let mut from = Reader(body.get(MAGIC.len() + 1..).ok_or(RecordingError::Damaged)?);
    let axis = match from.byte()? {
        0 => TimeAxis::Regular {
            interval_s: from.number()?,
        },
        1 => TimeAxis::Stamps(from.series()?),
        _ => return Err(RecordingError::Damaged),
    };
    let current_a = from.series()?;
    let voltage_v = from.option(Reader::series)?;
    let source = source_in(&mut from)?;
    let as_long = |series: &Vec<f64>| series.len() == current_a.len();
    let fits = match &axis {
        TimeAxis::Stamps(stamps) => as_long(stamps),
        TimeAxis::Regular { .. } => true,
    };
    if !fits || !voltage_v.as_ref().is_none_or(as_long) || !from.0.is_empty() {
        return Err(RecordingError::Damaged);
    }
    Ok(Trace {
        axis,
        current_a,
        voltage_v,
        source,
    })
}

fn source_in(from: &mut Reader<'_>) -> Result<Source, RecordingError> {
    // Fields are read in the order they stand here.
    Ok(Source {
        rows: from.count()?,
        skipped_rows: from.count()?,
        skipped: from.list(|from| {
            Ok(SkippedRow {
                line: from.count()?,
                reason: from.text()?,
            })
        })?,
        time_column: from.option(Reader::text)?,
        current_column: from.text()?,
        voltage_column: from.option(Reader::text)?,
        unit: from.text()?,
        interval_s: from.number()?,
        gaps: from.list(|from| {
            Ok(Gap {
                start_s: from.number()?,
                end_s: from.number()?,
            })
        })?,
        start: from.option(Reader::text)?,
        assumptions: from.list(Reader::text)?,
    })
}

/// FNV-1a, 64 bit.
fn checksum(bytes: &[u8]) -> u64 {
    bytes.iter().fold(0xcbf2_9ce4_8422_2325, |sum, &byte| {
        (sum ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
    })
}

struct Writer(Vec<u8>);

impl Writer {
    fn count(&mut self, count: u64) {
        self.0.extend_from_slice(&count.to_le_bytes());
    }

    fn number(&mut self, number: f64) {
        self.count(number.to_bits());
    }

    fn text(&mut self, text: &str) {
        self.count(text.len() as u64);
        self.0.extend_from_slice(text.as_bytes());
    }

    fn option<T>(&mut self, value: Option<T>, write: impl FnOnce(&mut Self, T)) {
        self.0.push(u8::from(value.is_some()));
        if let Some(value) = value {
            write(self, value);
        }
    }

    fn list<T>(&mut self, items: &[T], write: impl Fn(&mut Self, &T)) {
        self.count(items.len() as u64);
        for item in items {
            write(self, item);
        }
    }

    fn series(&mut self, series: &[f64]) {
        self.count(series.len() as u64);
        // The standing settings cannot be refused; were they ever, the series
        // goes in as it is, so that nothing is lost.
        match simple_compress(series, &ChunkConfig::default()) {
            Ok(packed) => {
                self.0.push(1);
                self.count(packed.len() as u64);
                self.0.extend_from_slice(&packed);
            }
            Err(_) => {
                self.0.push(0);
                for &number in series {
                    self.number(number);
                }
            }
        }
    }
}

struct Reader<'b>(&'b [u8]);

type Read<T> = Result<T, RecordingError>;

impl<'b> Reader<'b> {
    fn bytes(&mut self, count: u64) -> Read<&'b [u8]> {
        let count = usize::try_from(count).map_err(|_| RecordingError::Damaged)?;
        let (taken, rest) = self
            .0
            .split_at_checked(count)
            .ok_or(RecordingError::Damaged)?;
        self.0 = rest;
        Ok(taken)
    }

    fn byte(&mut self) -> Read<u8> {
        self.bytes(1)?
            .first()
            .copied()
            .ok_or(RecordingError::Damaged)
    }

    fn count(&mut self) -> Read<u64> {
        let bytes = self
            .bytes(8)?
            .try_into()
            .map_err(|_| RecordingError::Damaged)?;
        Ok(u64::from_le_bytes(bytes))
    }

    fn number(&mut self) -> Read<f64> {
        self.count().map(f64::from_bits)
    }

    fn text(&mut self) -> Read<String> {
        let length = self.count()?;
        let bytes = self.bytes(length)?;
        String::from_utf8(bytes.to_vec()).map_err(|_| RecordingError::Damaged)
    }

    fn option<T>(&mut self, read: impl FnOnce(&mut Self) -> Read<T>) -> Read<Option<T>> {
        match self.byte()? {
            0 => Ok(None),
            1 => read(self).map(Some),
            _ => Err(RecordingError::Damaged),
        }
    }

    fn list<T>(&mut self, read: impl Fn(&mut Self) -> Read<T>) -> Read<Vec<T>> {
        // Not allocated in advance: the length may be a lie, the items are not.
        (0..self.count()?).map(|_| read(self)).collect()
    }

    fn series(&mut self) -> Read<Vec<f64>> {
        let samples = self.count()?;
        if samples > MAX_SAMPLES as u64 {
            return Err(RecordingError::TooLong(samples));
        }
        let series = match self.byte()? {
            0 => (0..samples)
                .map(|_| self.number())
                .collect::<Read<Vec<f64>>>()?,
            1 => {
                let length = self.count()?;
                unpack(self.bytes(length)?, samples as usize)?
            }
            _ => return Err(RecordingError::Damaged),
        };
        if series.len() as u64 == samples {
            Ok(series)
        } else {
            Err(RecordingError::Damaged)
        }
    }
}

/// Decompresses `samples` numbers and never more.
fn unpack(packed: &[u8], samples: usize) -> Read<Vec<f64>> {
    let damaged = |_| RecordingError::Damaged;
    let (file, mut rest) = FileDecompressor::new(packed).map_err(damaged)?;
    let mut series = Vec::new();
    while let DecompressorItem::Chunk(mut chunk) = file
        .chunk_decompressor::<f64, &[u8]>(rest)
        .map_err(damaged)?
    {
        let start = series.len();
        let end = start + chunk.n();
        if end > samples {
            return Err(RecordingError::Damaged);
        }
        series.resize(end, 0.0);
        let progress = chunk.read(&mut series[start..]).map_err(damaged)?;
        if !progress.finished {
            return Err(RecordingError::Damaged);
        }
        rest = chunk.into_src();
    }
    Ok(series)
}
