//! What was received under one header: its first lines, its layout, its numbers.

use tongue::{figure, say};
use trace::readers::{Follower, HEAD_LINES, Line, RawColumns, ReadError, Stamps};
use trace::{Gap, TimeAxis, Trace};

use crate::packed::Packed;
use crate::source::Sample;

/// Longest head, as long as a block of the batch reader.
const HEAD_BYTES: usize = 1 << 20;

/// First lines of a log.
#[derive(Debug, Clone)]
pub(crate) struct Head {
    pub(crate) bytes: Vec<u8>,
    pub(crate) arrivals_s: Vec<f64>,
    pub(crate) first_line: u64,
    /// Lines that are neither blank nor comment.
    pub(crate) values: usize,
    pub(crate) next_try: usize,
}

impl Head {
    pub(crate) fn new(first_line: u64) -> Self {
        Self {
            bytes: Vec::new(),
            arrivals_s: Vec::new(),
            first_line,
            values: 0,
            next_try: 2,
        }
    }

    pub(crate) fn push(&mut self, line: &[u8], arrival_s: f64) {
        // A byte order mark is not part of the first name.
        let line = if self.bytes.is_empty() {
            line.strip_prefix(b"\xef\xbb\xbf").unwrap_or(line)
        } else {
            line
        };
        self.values += usize::from(Follower::counts(line));
        self.bytes.extend_from_slice(line);
        self.bytes.push(b'\n');
        self.arrivals_s.push(arrival_s);
    }

    pub(crate) fn lines(&self) -> impl Iterator<Item = (&[u8], f64)> {
        self.bytes
            .split(|b| *b == b'\n')
            .zip(self.arrivals_s.iter().copied())
    }

    pub(crate) fn full(&self) -> bool {
        self.values >= HEAD_LINES || self.bytes.len() >= HEAD_BYTES
    }

    pub(crate) fn due(&self) -> bool {
        self.values >= self.next_try || self.full()
    }

    pub(crate) fn tried(&mut self) {
        self.next_try = (self.values + 1).max(self.values * 3 / 2).min(HEAD_LINES);
    }
}

/// What was received under one header.
#[derive(Debug, Clone)]
pub(crate) struct Part {
    pub(crate) follower: Follower,
    pub(crate) time: Packed,
    pub(crate) current: Packed,
    pub(crate) voltage: Packed,
    pub(crate) arrival_s: Packed,
    pub(crate) rows: u64,
    /// Rows left out because they came from before the row before.
    pub(crate) backwards: u64,
    /// Stamp and arrival of the first row.
    pub(crate) first: f64,
    pub(crate) first_arrival_s: f64,
    /// Time of its first sample, from the first of the stream.
    pub(crate) offset_s: f64,
}

/// What a line gave.
pub(crate) enum Read {
    Sample(Sample),
    Nothing,
    Garbled(String),
    Backwards(String),
}

impl Part {
    pub(crate) fn new(follower: Follower) -> Self {
        Self {
            follower,
            time: Packed::default(),
            current: Packed::default(),
            voltage: Packed::default(),
            arrival_s: Packed::default(),
            rows: 0,
            backwards: 0,
            first: 0.0,
            first_arrival_s: 0.0,
            offset_s: 0.0,
        }
    }

    pub(crate) fn line(&mut self, line: &[u8], arrival_s: f64) -> Read {
        let raw = match self.follower.line(line) {
            Line::Sample(raw) => raw,
            Line::Voltage(volts) => {
                self.voltage.push(volts);
                return Read::Nothing;
            }
            Line::Nothing => return Read::Nothing,
            Line::Garbled { reason } => return Read::Garbled(reason),
            Line::Backwards { by_s } => {
                self.backwards += 1;
                return Read::Backwards(
                    say::trace::skip_backwards(figure(by_s.to_string()))
                        .english()
                        .to_owned(),
                );
            }
        };
        if self.rows == 0 {
            (self.first, self.first_arrival_s) = (raw.time, arrival_s);
        }
        self.current.push(raw.current);
        if let Some(voltage) = raw.voltage {
            self.voltage.push(voltage);
        }
        let time_s = if self.follower.by_arrival() {
            self.arrival_s.push(arrival_s);
            arrival_s - self.first_arrival_s
        } else {
            if self.follower.stamped() {
                self.time.push(raw.time);
            }
            self.follower.seconds(self.rows, raw.time, self.first)
        };
        self.rows += 1;
        Read::Sample(Sample {
            time_s,
            current_a: self.follower.ampere(raw.current),
            voltage_v: raw.voltage.map(|v| self.follower.volt(v)),
            arrival_s,
        })
    }

    pub(crate) fn columns(&self) -> RawColumns {
        let mut stamps = Stamps::default();
        self.time.each_block(|values| stamps.extend(values));
        RawColumns {
            time: stamps,
            current: self.current.to_vec(),
            voltage: self.voltage.to_vec(),
            arrival_s: self.arrival_s.to_vec(),
        }
    }

    pub(crate) fn trace(&self, ended: bool) -> Result<Trace, ReadError> {
        let mut trace = self.follower.trace(self.columns(), ended)?;
        trace.source.skipped_rows += self.backwards;
        Ok(trace)
    }

    pub(crate) fn first_row(&self) -> Result<Trace, ReadError> {
        let voltage = if self.voltage.is_empty() {
            Vec::new()
        } else {
            vec![0.0]
        };
        let columns = RawColumns {
            time: vec![self.first].into(),
            current: vec![1.0],
            voltage,
            arrival_s: vec![self.first_arrival_s],
        };
        self.follower.trace(columns, true)
    }

    /// Whether another layout read the same lines alike.
    pub(crate) fn same_samples(&self, other: &Self) -> bool {
        let alike = |a: &Packed, b: &Packed| a.to_vec() == b.to_vec();
        let scale = |part: &Self| {
            let (a, v) = (part.follower.ampere(1.0), part.follower.volt(1.0));
            (
                a,
                v,
                part.follower.by_arrival(),
                part.follower.seconds(1, 1.0, 0.0),
            )
        };
        self.rows == other.rows
            && scale(self) == scale(other)
            && alike(&self.time, &other.time)
            && alike(&self.current, &other.current)
            && alike(&self.voltage, &other.voltage)
    }

    /// Nothing more will come: a source that starts again every few lines leaves many parts.
    pub(crate) fn close(&mut self) {
        for column in [
            &mut self.time,
            &mut self.current,
            &mut self.voltage,
            &mut self.arrival_s,
        ] {
            column.shrink();
        }
    }

    /// Gives back the memory of the numbers.
    pub(crate) fn forget(&mut self) {
        self.rows = 0;
        for column in [
            &mut self.time,
            &mut self.current,
            &mut self.voltage,
            &mut self.arrival_s,
        ] {
            *column = Packed::default();
        }
    }

    pub(crate) fn bytes(&self) -> usize {
        [&self.time, &self.current, &self.voltage, &self.arrival_s]
            .map(Packed::bytes)
            .iter()
            .sum()
    }
}

/// Whether a line is text: no NUL, and hardly a control character.
pub(crate) fn is_text(line: &[u8]) -> bool {
    let control = line
        .iter()
        .filter(|b| b.is_ascii_control() && **b != b'\t')
        .count();
    control * 20 <= line.len() && !line.contains(&0)
}

/// Appends a part that begins `offset_s` after the first sample.
pub(crate) fn join(trace: &mut Trace, part: Trace, offset_s: f64) {
    let end_s = trace
        .len()
        .checked_sub(1)
        .map_or(0.0, |last| trace.time_s(last));
    if let TimeAxis::Regular { .. } = trace.axis {
        trace.axis = TimeAxis::Stamps((0..trace.len()).map(|i| trace.time_s(i)).collect());
    }
    if let TimeAxis::Stamps(stamps) = &mut trace.axis {
        stamps.extend((0..part.len()).map(|i| offset_s + part.time_s(i)));
    }
    let shifted = part.source.gaps.iter().map(|g| Gap {
        start_s: g.start_s + offset_s,
        end_s: g.end_s + offset_s,
    });
    // Three times the usual interval, as in the batch reader.
    if offset_s - end_s > 3.0 * trace.source.interval_s {
        trace.source.gaps.push(Gap {
            start_s: end_s,
            end_s: offset_s,
        });
    }
    trace.source.gaps.extend(shifted);
    trace.current_a.extend(part.current_a);
    trace.voltage_v = trace
        .voltage_v
        .take()
        .zip(part.voltage_v)
        .map(|(mut all, more)| {
            all.extend(more);
            all
        });
    trace.source.skipped_rows += part.source.skipped_rows;
    trace.source.skipped.extend(part.source.skipped);
    trace.source.skipped.truncate(10);
}
