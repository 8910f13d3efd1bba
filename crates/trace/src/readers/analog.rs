//! Analog text as sigrok's tools write it: one line a value, `A0: 412.3 mA DC`.
//!
//! The SI prefix changes from line to line, several channels come packet by
//! packet, and neither time nor rate is in the file.

use crate::model::{SkippedRow, Source, Trace};

use super::blocks::Blocks;
use super::follow::{Line, RawSample};
use super::label::{Quantity, Unit, parse_unit};
use super::number::{self, NumberFormat};
use super::rows::{KEPT_SKIPS, shorten};
use super::{ReadError, ReadOptions, axis, cells, quantities, table};

/// Channels that are kept; more than any instrument has, few enough to look through.
const MOST_CHANNELS: usize = 64;

struct Value<'a> {
    channel: &'a str,
    value: f64,
    unit: Unit,
}

#[derive(Debug, Clone)]
struct Channel {
    name: String,
    quantity: Quantity,
    /// In A or V.
    values: Vec<f64>,
}

/// Whether one line is of this kind.
pub(super) fn is_analog_line(line: &[u8]) -> bool {
    parse(line).is_some()
}

/// Whether a file is: its first lines all are. A mixture with rows of a table is refused.
pub(super) fn is_analog(sample: &[u8]) -> Result<bool, ReadError> {
    let mut spoilt = None;
    let (mut analog, mut other) = (0, 0);
    let lines = sample
        .split(|b| *b == b'\n')
        .enumerate()
        .filter(|(_, l)| !l.trim_ascii().is_empty());
    let commented = sample.trim_ascii_start().starts_with(b";");
    for (i, line) in lines.filter(|(_, l)| !cells::is_comment(l)).take(200) {
        if is_analog_line(line) {
            analog += 1;
            spoilt = spoilt.or_else(|| {
                Some(ReadError::SpoiltRow {
                    line: i as u64 + 1,
                    text: shorten(line),
                })
            });
        } else {
            other += 1;
        }
    }
    // Header comments belong to the table output, so its file cannot be analog text.
    match spoilt {
        Some(error) if commented || other > analog => Err(error),
        Some(_) => Ok(true),
        None => Ok(false),
    }
}

/// Analog text that is followed line by line: which channels there are, and which are taken.
#[derive(Debug, Clone, Default)]
pub(super) struct Channels {
    /// Those of the head, by name, without their values.
    all: Vec<Channel>,
    current: String,
    voltage: Option<String>,
    /// What a value of the current channel times this is in ampere.
    factor: (f64, f64),
    line: u64,
    skipped: Source,
}

impl Channels {
    /// Chooses from the channels of the head; the options hold an interval.
    pub(super) fn of(head: &[u8], options: &ReadOptions) -> Result<Self, ReadError> {
        let mut channels = Vec::new();
        head.split(|b| *b == b'\n')
            .filter_map(parse)
            .for_each(|value| push(&mut channels, &value));
        let trace = finish(channels.clone(), 1.0, Source::default(), options)?;
        channels.iter_mut().for_each(|c| c.values.clear());
        let current = trace.source.current_column;
        let volts = |c: &Channel| c.name == current && c.quantity != Quantity::Current;
        let factor = if channels.iter().any(volts) {
            let unit = quantities::current_unit(options.unit.as_deref().unwrap_or("A"))?;
            (unit.num, unit.den)
        } else {
            (1.0, 1.0)
        };
        Ok(Self {
            all: channels,
            current,
            voltage: trace.source.voltage_column,
            factor,
            line: 1,
            skipped: Source::default(),
        })
    }

    pub(super) fn line(&mut self, line: &[u8]) -> Line {
        let number = self.line;
        self.line += 1;
        if line.trim_ascii().is_empty() || cells::is_comment(line) {
            return Line::Nothing;
        }
        match parse(line) {
            Some(value) => {
                let si = value.value * value.unit.num / value.unit.den;
                if value.channel == self.current {
                    Line::Sample(RawSample {
                        time: 0.0,
                        current: si,
                        voltage: None,
                    })
                } else if self.voltage.as_deref() == Some(value.channel) {
                    Line::Voltage(si)
                } else {
                    Line::Nothing
                }
            }
            None => {
                skip(&mut self.skipped, number, line);
                Line::Garbled {
                    reason: not_a_value(line),
                }
            }
        }
    }

    pub(super) fn ampere(&self, value: f64) -> f64 {
        value * self.factor.0 / self.factor.1
    }

    /// The trace of the values so far.
    pub(super) fn trace(
        &self,
        current: Vec<f64>,
        voltage: Vec<f64>,
        options: &ReadOptions,
        ended: bool,
    ) -> Result<Trace, ReadError> {
        if current.is_empty() {
            return Err(ReadError::HeaderOnly { line: self.line });
        }
        let mut channels = self.all.clone();
        let (mut current, mut voltage) = (Some(current), Some(voltage));
        for channel in &mut channels {
            let values = if channel.name == self.current {
                current.take()
            } else if self.voltage.as_ref() == Some(&channel.name) {
                voltage.take()
            } else {
                None
            };
            channel.values = values.unwrap_or_default();
        }
        let mut source = self.skipped.clone();
        let interval_s = options.interval_s.unwrap_or(1.0);
        let last = self.line.saturating_sub(1);
        let cut = !ended && source.skipped.last().is_some_and(|s| s.line == last);
        remarks(&mut source, interval_s, cut);
        finish(channels, interval_s, source, options)
    }
}

fn parse(line: &[u8]) -> Option<Value<'_>> {
    let (channel, rest) = std::str::from_utf8(line).ok()?.split_once(": ")?;
    let (number, unit) = rest.trim().split_once(' ')?;
    let (value, _) = number::parse(number.as_bytes(), NumberFormat::PLAIN)?;
    let unit = parse_unit(unit)?;
    let plain_name =
        !channel.trim().is_empty() && channel.len() <= 40 && !channel.contains([',', ';', '\t']);
    plain_name.then_some(Value {
        channel: channel.trim(),
        value,
        unit,
    })
}

/// Reads analog text to the end.
pub(super) fn read(mut blocks: Blocks<'_>, options: &ReadOptions) -> Result<Trace, ReadError> {
    let interval_s = options.interval_s.ok_or_else(|| ReadError::NoTime {
        columns: vec!["values without time".to_owned()],
    })?;
    let mut channels: Vec<Channel> = Vec::new();
    let mut source = Source::default();
    let mut line = 1;
    let mut taken = 0u64;
    let mut cut = false;
    while let Some(block) = blocks.next(line)? {
        let ended = block.ends_with(b"\n");
        let lines = memchr::memchr_iter(b'\n', block).count() as u64 + u64::from(!ended);
        for (i, text) in block.split(|b| *b == b'\n').enumerate() {
            if text.trim_ascii().is_empty() || cells::is_comment(text) {
                continue;
            }
            match parse(text) {
                Some(value) => {
                    push(&mut channels, &value);
                    taken += 1;
                }
                None => {
                    cut = !ended && i as u64 + 1 == lines;
                    skip(&mut source, line + i as u64, text);
                }
            }
        }
        line += lines;
        if taken > options.max_rows() {
            return Err(ReadError::TooLong {
                max_rows: options.max_rows(),
            });
        }
    }
    refuse_many_skips(&source, taken, cut)?;
    source.assumptions = std::mem::take(&mut blocks.notes);
    remarks(&mut source, interval_s, cut);
    finish(channels, interval_s, source, options)
}

fn remarks(source: &mut Source, interval_s: f64, cut: bool) {
    source.assumptions.push(format!("the file is analog text, one value a line; values were counted, one each {interval_s} s a channel, as asked"));
    if cut {
        source
            .assumptions
            .push("the last line is cut off and was left out".to_owned());
    }
}

fn skip(source: &mut Source, line: u64, text: &[u8]) {
    source.skipped_rows += 1;
    if source.skipped.len() < KEPT_SKIPS {
        source.skipped.push(SkippedRow {
            line,
            reason: not_a_value(text),
        });
    }
}

fn not_a_value(text: &[u8]) -> String {
    format!("`{}` is not a value with channel and unit", shorten(text))
}

fn refuse_many_skips(source: &Source, taken: u64, cut: bool) -> Result<(), ReadError> {
    let unreadable = source.skipped_rows - u64::from(cut);
    if unreadable > 10.max((taken + source.skipped_rows) / 100) || unreadable > taken {
        let first = source.skipped.first();
        return Err(ReadError::TextInNumbers {
            line: first.map_or(1, |s| s.line),
            reason: first.map(|s| s.reason.clone()).unwrap_or_default(),
            skipped: source.skipped_rows,
            rows: taken + source.skipped_rows,
        });
    }
    Ok(())
}

fn push(channels: &mut Vec<Channel>, value: &Value<'_>) {
    let si = value.value * value.unit.num / value.unit.den;
    if let Some(c) = channels.iter_mut().find(|c| c.name == value.channel) {
        c.values.push(si);
    } else if channels.len() < MOST_CHANNELS {
        channels.push(Channel {
            name: value.channel.to_owned(),
            quantity: value.unit.quantity,
            values: vec![si],
        });
    }
}

fn finish(
    mut channels: Vec<Channel>,
    interval_s: f64,
    mut source: Source,
    options: &ReadOptions,
) -> Result<Trace, ReadError> {
    // The order in which packets come says nothing.
    channels.sort_by(|a, b| a.name.cmp(&b.name));
    let names: Vec<String> = channels.iter().map(|c| c.name.clone()).collect();
    let at = choose(&channels, &names, options, &mut source.assumptions)?;
    let current = channels.swap_remove(at);
    if let Some(text) = &options.unit {
        quantities::current_unit(text)?;
    } else if current.quantity != Quantity::Current {
        return Err(ReadError::VoltageOnly {
            columns: vec![current.name],
        });
    }
    let voltage = voltage(&mut channels, options, &names)?;
    source.current_column.clone_from(&current.name);
    source.unit = "A".to_owned();
    source.assumptions.push(format!(
        "current was taken from channel {}, each value in the unit of its line",
        current.name
    ));
    let mut current_a = current.values;
    if current.quantity != Quantity::Current {
        let unit = quantities::current_unit(options.unit.as_deref().unwrap_or("A"))?;
        source.unit = unit.symbol.to_owned();
        source.assumptions.push(format!(
            "channel {} says volt; its numbers were taken as {} because a unit was given",
            current.name, unit.symbol
        ));
        current_a
            .iter_mut()
            .for_each(|v| *v = *v * unit.num / unit.den);
    }
    let voltage_v = voltage.map(|mut v| {
        let both = current_a.len().min(v.values.len());
        current_a.truncate(both);
        v.values.truncate(both);
        source.voltage_column = Some(v.name);
        v.values
    });
    Ok(table::assemble(
        axis::counted(interval_s),
        current_a,
        voltage_v,
        source,
    ))
}

fn choose(
    channels: &[Channel],
    names: &[String],
    options: &ReadOptions,
    notes: &mut Vec<String>,
) -> Result<usize, ReadError> {
    if let Some(name) = &options.current {
        let number = name
            .parse::<usize>()
            .ok()
            .and_then(|n| n.checked_sub(1))
            .filter(|n| *n < channels.len());
        return names
            .iter()
            .position(|n| n == name)
            .or(number)
            .ok_or_else(|| ReadError::NoSuchColumn {
                option: "current",
                name: name.clone(),
                columns: names.to_vec(),
            });
    }
    let of = |quantity| -> Vec<usize> {
        (0..channels.len())
            .filter(|i| channels[*i].quantity == quantity)
            .collect()
    };
    let pick = |list: &[usize]| list.iter().map(|i| names[*i].clone()).collect::<Vec<_>>();
    let (currents, voltages) = (of(Quantity::Current), of(Quantity::Voltage));
    match (currents.as_slice(), voltages.as_slice()) {
        ([only], _) => Ok(*only),
        ([], [only]) if options.unit.is_some() => Ok(*only),
        ([], []) => Err(ReadError::NoCurrent {
            columns: names.to_vec(),
        }),
        ([], _) => Err(ReadError::VoltageOnly {
            columns: pick(&voltages),
        }),
        (many, _) => {
            notes.clear();
            Err(ReadError::TwoCurrents {
                columns: pick(many),
            })
        }
    }
}

/// The channel beside it that holds the voltage, if there is just one.
fn voltage(
    channels: &mut Vec<Channel>,
    options: &ReadOptions,
    names: &[String],
) -> Result<Option<Channel>, ReadError> {
    if let Some(name) = &options.voltage {
        let at = channels.iter().position(|c| c.name == *name);
        return match at {
            Some(at) => Ok(Some(channels.swap_remove(at))),
            None => Err(ReadError::NoSuchColumn {
                option: "voltage",
                name: name.clone(),
                columns: names.to_vec(),
            }),
        };
    }
    let mut found = channels
        .iter()
        .enumerate()
        .filter(|(_, c)| c.quantity == Quantity::Voltage)
        .map(|(i, _)| i);
    let only = found.next().filter(|_| found.next().is_none());
    Ok(only.map(|at| channels.swap_remove(at)))
}
