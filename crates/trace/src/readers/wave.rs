//! Sampled values without text: WAV files and raw 32-bit floats.
//!
//! WAV after "Multimedia Programming Interface and Data Specifications 1.0"
//! (IBM and Microsoft, 1991), chapter 3: chunks `fmt ` and `data`. A WAV value
//! has no unit: full scale is taken as 1 of the unit that must be given.

use std::io::Read;

use tongue::{Message, say};

use crate::model::{Source, Trace};

use super::error::OF_SAMPLES;
use super::label::Unit;
use super::{ReadError, ReadOptions, axis, quantities, table};

/// Bytes taken at a time; a whole number of frames up to 16 channels of any width.
const PIECE: usize = 48 * 16 * 64;

/// How one sample is stored.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Sample {
    Int16,
    Int24,
    Int32,
    Float32,
    Float64,
}

impl Sample {
    fn bytes(self) -> usize {
        match self {
            Self::Int16 => 2,
            Self::Int24 => 3,
            Self::Int32 | Self::Float32 => 4,
            Self::Float64 => 8,
        }
    }

    /// Integers come out as parts of full scale, floats as they are.
    fn value(self, bytes: &[u8]) -> f64 {
        match (self, bytes) {
            (Self::Int16, [a, b, ..]) => f64::from(i16::from_le_bytes([*a, *b])) / 32_768.0,
            (Self::Int24, [a, b, c, ..]) => {
                f64::from(i32::from_le_bytes([0, *a, *b, *c])) / 2_147_483_648.0
            }
            (Self::Int32, [a, b, c, d, ..]) => {
                f64::from(i32::from_le_bytes([*a, *b, *c, *d])) / 2_147_483_648.0
            }
            (Self::Float32, [a, b, c, d, ..]) => f64::from(f32::from_le_bytes([*a, *b, *c, *d])),
            (Self::Float64, [a, b, c, d, e, f, g, h, ..]) => {
                f64::from_le_bytes([*a, *b, *c, *d, *e, *f, *g, *h])
            }
            _ => f64::NAN,
        }
    }
}

/// Reads raw little-endian 32-bit floats, one a sample.
pub(super) fn raw(input: impl Read, options: &ReadOptions) -> Result<Trace, ReadError> {
    let interval_s = options.interval_s.ok_or_else(|| ReadError::NoTime {
        columns: vec!["raw values".to_owned()],
    })?;
    let note = format!(
        "the file was read as raw 32-bit floats, little-endian, one each {interval_s} s, as asked"
    );
    samples(
        input,
        Sample::Float32,
        1,
        u64::MAX,
        interval_s,
        options,
        vec![note],
    )
}

/// Reads a WAV file; `input` stands at its first byte.
pub(super) fn wav(mut input: impl Read, options: &ReadOptions) -> Result<Trace, ReadError> {
    let mut riff = [0; 12];
    fill(&mut input, &mut riff)?;
    if &riff[8..] != b"WAVE" {
        return Err(ReadError::Unsupported {
            what: say::trace::what_riff(),
        });
    }
    let mut format = None;
    loop {
        let mut head = [0; 8];
        fill(&mut input, &mut head)?;
        let size = u32::from_le_bytes([head[4], head[5], head[6], head[7]]);
        match &head[..4] {
            b"fmt " => format = Some(read_format(&mut input, size)?),
            b"data" => {
                let (sample, channels, rate) =
                    format.ok_or_else(|| damaged(say::trace::wav_data_first()))?;
                let interval_s = options.interval_s.unwrap_or(1.0 / f64::from(rate));
                let notes = vec![format!(
                    "the file is WAV, {channels} channels at {rate} Hz; full scale was taken as 1 of the unit given"
                )];
                // Recorders that stream write no size.
                let size = if size == 0 || size == u32::MAX {
                    u64::MAX
                } else {
                    u64::from(size)
                };
                return samples(
                    input,
                    sample,
                    usize::from(channels),
                    size,
                    interval_s,
                    options,
                    notes,
                );
            }
            _ => {
                let padded = u64::from(size) + u64::from(size % 2);
                std::io::copy(&mut input.by_ref().take(padded), &mut std::io::sink())
                    .map_err(|e| io(&e))?;
            }
        }
    }
}

fn read_format(input: &mut impl Read, size: u32) -> Result<(Sample, u16, u32), ReadError> {
    if !(16..=4096).contains(&size) {
        return Err(damaged(say::trace::wav_size()));
    }
    let mut f = vec![0; size as usize + size as usize % 2];
    fill(input, &mut f)?;
    let half = |at: usize| u16::from_le_bytes([f[at], f[at + 1]]);
    // 0xFFFE: the true tag stands in the extension.
    let tag = if half(0) == 0xfffe && f.len() >= 26 {
        half(24)
    } else {
        half(0)
    };
    let (channels, rate, bits) = (
        half(2),
        u32::from_le_bytes([f[4], f[5], f[6], f[7]]),
        half(14),
    );
    let sample = match (tag, bits) {
        (1, 16) => Sample::Int16,
        (1, 24) => Sample::Int24,
        (1, 32) => Sample::Int32,
        (3, 32) => Sample::Float32,
        (3, 64) => Sample::Float64,
        _ => {
            return Err(ReadError::Unsupported {
                what: say::trace::what_wav(bits.to_string(), tag.to_string()),
            });
        }
    };
    if channels == 0 || channels > 16 || rate == 0 {
        return Err(damaged(say::trace::wav_no_rate()));
    }
    Ok((sample, channels, rate))
}

/// Appends `values` in ampere, keeping the one before in the place of what is no number; how many of those there were.
fn take(current_a: &mut Vec<f64>, values: impl Iterator<Item = f64>, unit: &Unit) -> u64 {
    let mut missing = 0;
    for value in values {
        if value.is_finite() {
            current_a.push(value * unit.num / unit.den);
        } else {
            missing += 1;
            current_a.push(current_a.last().copied().unwrap_or(0.0));
        }
    }
    missing
}

fn samples(
    mut input: impl Read,
    sample: Sample,
    channels: usize,
    mut left: u64,
    interval_s: f64,
    options: &ReadOptions,
    mut notes: Vec<String>,
) -> Result<Trace, ReadError> {
    let text = options.unit.as_deref().ok_or_else(|| ReadError::NoUnit {
        column: OF_SAMPLES.to_owned(),
    })?;
    let unit = quantities::current_unit(text)?;
    let names: Vec<String> = (1..=channels).map(|n| n.to_string()).collect();
    let channel = channel(options, channels, &names)?;
    let mut current_a = Vec::new();
    let mut missing = 0;
    let frame = sample.bytes() * channels;
    let mut piece = vec![0; PIECE / frame * frame];
    loop {
        let want = piece.len().min(usize::try_from(left).unwrap_or(usize::MAX));
        let got = read_up_to(&mut input, &mut piece[..want])?;
        left -= got as u64;
        let values = piece[..got]
            .chunks_exact(frame)
            .map(|bytes| sample.value(&bytes[channel * sample.bytes()..]));
        missing += take(&mut current_a, values, &unit);
        if current_a.len() as u64 > options.max_rows() {
            return Err(ReadError::TooLong {
                max_rows: options.max_rows(),
            });
        }
        if got % frame != 0 {
            notes.push("the last sample is cut off and was left out".to_owned());
        }
        if got < want || left == 0 {
            break;
        }
    }
    if current_a.is_empty() {
        return Err(ReadError::Empty);
    }
    if missing > 0 {
        notes.push(format!("{missing} samples are no numbers; the value before each was kept in its place, so that the time stays right"));
    }
    let source = Source {
        current_column: names[channel].clone(),
        unit: unit.symbol.to_owned(),
        assumptions: notes,
        ..Source::default()
    };
    Ok(table::assemble(
        axis::counted(interval_s),
        current_a,
        None,
        source,
    ))
}

fn channel(options: &ReadOptions, channels: usize, names: &[String]) -> Result<usize, ReadError> {
    match &options.current {
        Some(name) => {
            let number = name
                .trim()
                .parse::<usize>()
                .ok()
                .filter(|n| (1..=channels).contains(n));
            number
                .map(|n| n - 1)
                .ok_or_else(|| ReadError::NoSuchColumn {
                    option: "current",
                    name: name.clone(),
                    columns: names.to_vec(),
                })
        }
        None if channels == 1 => Ok(0),
        None => Err(ReadError::TwoCurrents {
            columns: names.to_vec(),
        }),
    }
}

fn read_up_to(input: &mut impl Read, out: &mut [u8]) -> Result<usize, ReadError> {
    let mut got = 0;
    while got < out.len() {
        match input.read(&mut out[got..]) {
            Ok(0) => break,
            Ok(n) => got += n,
            Err(e) if e.kind() == std::io::ErrorKind::Interrupted => {}
            Err(e) => return Err(io(&e)),
        }
    }
    Ok(got)
}

fn fill(input: &mut impl Read, out: &mut [u8]) -> Result<(), ReadError> {
    let wanted = out.len();
    if read_up_to(input, out)? == wanted {
        Ok(())
    } else {
        Err(damaged(say::trace::wav_ends_early()))
    }
}

fn io(e: &std::io::Error) -> ReadError {
    ReadError::Io {
        message: e.to_string(),
    }
}

fn damaged(how: Message) -> ReadError {
    ReadError::Unsupported {
        what: say::trace::what_damaged_wav(how),
    }
}
