//! A log that is still being written: one line at a time, with the parts of the batch reader.
//!
//! [`Follower::open`] is shown the first lines and finds the same layout as [`read`](super::read)
//! would; [`Follower::line`] turns each further line into numbers of the file, [`Follower::trace`]
//! makes the same trace of them. Who follows keeps the numbers (packed, on disk), so a
//! follower's own memory does not grow.

use tongue::say;

use crate::model::Trace;

use super::analog::{self, Channels};
use super::columns::{self, TimeFrom};
use super::dialect::{self, Dialect, SAMPLE_ROWS};
use super::label::{Kind, Label};
use super::number::Digits;
use super::rows::{self, Chunk, Quick, RowReader};
use super::stamps::Stamps;
use super::table::{self, Collector};
use super::{Format, ReadError, ReadOptions, axis, cells};

/// Lines of values from which the layout is found; more are not looked at.
pub const HEAD_LINES: usize = SAMPLE_ROWS;
/// Two headers are of one kind if their first comments begin alike so far.
const ALIKE_COMMENT: usize = 12;

/// Numbers of one row, still in the units of the file.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RawSample {
    /// Stamp or counter; zero where rows are counted.
    pub time: f64,
    /// Current.
    pub current: f64,
    /// Voltage, where the row has one to take.
    pub voltage: Option<f64>,
}

/// What a line turned out to be.
#[derive(Debug, Clone, PartialEq)]
pub enum Line {
    /// A row.
    Sample(RawSample),
    /// A voltage that stands on a line of its own.
    Voltage(f64),
    /// A blank line, a comment, a channel that is not asked for.
    Nothing,
    /// Not a row of this log.
    Garbled {
        /// Why, as a lowercase fragment.
        reason: String,
    },
    /// A row from before the row before; it was not taken.
    Backwards {
        /// By how many seconds, rounded for reading.
        by_s: String,
    },
}

/// All numbers of a followed log, in order, as its lines gave them.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct RawColumns {
    /// Stamps; empty where rows are counted.
    pub time: Stamps,
    /// Currents.
    pub current: Vec<f64>,
    /// Voltages; empty without a voltage.
    pub voltage: Vec<f64>,
    /// Seconds at which the rows arrived, for [`Follower::by_arrival`]; else empty.
    pub arrival_s: Vec<f64>,
}

/// The reader of one log that is still being written.
#[derive(Debug, Clone)]
pub struct Follower {
    kind: Kinds,
    options: ReadOptions,
    by_arrival: bool,
    head_bytes: usize,
    first_comment: Vec<u8>,
    names: Vec<u8>,
}

#[derive(Debug, Clone)]
enum Kinds {
    Table(Box<Table>),
    Analog(Box<Channels>),
}

#[derive(Debug, Clone)]
struct Table {
    dialect: Dialect,
    quick: Option<Quick>,
    all: Collector,
    chunk: Chunk,
}

impl Follower {
    /// Finds the layout. `head` is what was received so far, in whole lines that end with `\n`;
    /// with [`HEAD_LINES`] lines of values (or all there are) the layout is that of the batch reader.
    ///
    /// A log without times, read without an interval, is taken [by arrival](Self::by_arrival).
    ///
    /// # Errors
    /// As [`read`](super::read), for what shows in the head.
    pub fn open(head: &[u8], options: &ReadOptions) -> Result<Self, ReadError> {
        options.check()?;
        if options.format != Format::Auto {
            return Err(ReadError::BadOption {
                option: "format",
                reason: say::trace::option_only_text(),
            });
        }
        if head.trim_ascii().is_empty() {
            return Err(ReadError::Empty);
        }
        let first_comment = head
            .split(|b| *b == b'\n')
            .find(|l| !l.trim_ascii().is_empty())
            .filter(|l| cells::is_comment(l))
            .map_or_else(Vec::new, <[u8]>::to_vec);
        let mut follower = Self {
            kind: Kinds::Analog(Box::default()),
            options: options.clone(),
            by_arrival: false,
            head_bytes: 0,
            first_comment,
            names: Vec::new(),
        };
        if analog::is_analog(head)? {
            follower.by_arrival = options.interval_s.is_none();
            follower.options.interval_s.get_or_insert(1.0);
            follower.kind = Kinds::Analog(Box::new(Channels::of(head, &follower.options)?));
        } else {
            follower.open_table(dialect::detect(head)?, head)?;
        }
        Ok(follower)
    }

    fn open_table(&mut self, dialect: Dialect, head: &[u8]) -> Result<(), ReadError> {
        let plan = match columns::plan(&dialect, &self.options) {
            Err(ReadError::NoTime { .. }) if self.options.time.is_none() => {
                self.by_arrival = true;
                let stand_in = ReadOptions {
                    interval_s: Some(1.0),
                    ..self.options.clone()
                };
                let mut plan = columns::plan(&dialect, &stand_in)?;
                // What it says of the interval would be about the stand-in.
                plan.notes.retain(|note| !note.contains("one each 1 s"));
                plan.time = TimeFrom::Count { interval_s: 1.0 };
                plan
            }
            other => other?,
        };
        self.head_bytes = dialect.skip_bytes;
        self.names = last_line(&head[..dialect.skip_bytes]).to_vec();
        let quick = rows::quick(&dialect, &plan);
        let all = Collector::new(dialect.first_line, plan, &self.options);
        self.kind = Kinds::Table(Box::new(Table {
            dialect,
            quick,
            all,
            chunk: Chunk::default(),
        }));
        Ok(())
    }

    /// The same layout with nothing read, for a log that starts again without a header.
    pub fn again(&self) -> Self {
        let mut again = self.clone();
        again.head_bytes = 0;
        if let Kinds::Table(table) = &mut again.kind {
            let line = table.all.line;
            table.all = Collector::new(line, table.all.plan.clone(), &again.options);
        }
        again
    }

    /// Whether a line counts towards [`HEAD_LINES`]: it is neither blank nor a comment.
    pub fn counts(line: &[u8]) -> bool {
        !line.trim_ascii().is_empty() && !cells::is_comment(line)
    }

    /// Bytes of the head before its first row: those from there on are to be given to [`line`](Self::line).
    pub fn head_bytes(&self) -> usize {
        self.head_bytes
    }

    /// Whether the log has no times of its own, so that those of arrival must do.
    pub fn by_arrival(&self) -> bool {
        self.by_arrival
    }

    /// Whether rows carry a stamp or counter that [`RawColumns::time`] must hold.
    pub fn stamped(&self) -> bool {
        match &self.kind {
            Kinds::Table(table) => !matches!(table.all.plan.time, TimeFrom::Count { .. }),
            Kinds::Analog(_) => false,
        }
    }

    /// Reads one line, given without its end.
    pub fn line(&mut self, line: &[u8]) -> Line {
        match &mut self.kind {
            Kinds::Analog(channels) => channels.line(line),
            Kinds::Table(table) => table.line(line),
        }
    }

    /// Whether a line belongs to a header, so that the log may start again with it.
    pub fn is_header(&self, line: &[u8]) -> bool {
        let Kinds::Table(table) = &self.kind else {
            return false;
        };
        let line = line.trim_ascii();
        if line.is_empty() {
            return false;
        }
        if cells::is_comment(line) {
            let first = self.first_comment.trim_ascii();
            let alike = ALIKE_COMMENT.min(first.len());
            return alike > 0 && line.starts_with(&first[..alike]);
        }
        if line == self.names.trim_ascii() {
            return true;
        }
        let mut parts = Vec::new();
        cells::split(line, table.dialect.delimiter, &mut parts);
        let texts = parts
            .iter()
            .all(|p| matches!(cells::kind(p), cells::CellKind::Text));
        let known = |p: &&[u8]| Label::read(&String::from_utf8_lossy(p)).kind != Kind::Unknown;
        texts && parts.len() == table.dialect.fields && parts.iter().any(known)
    }

    /// Ampere of a [`RawSample::current`].
    pub fn ampere(&self, current: f64) -> f64 {
        match &self.kind {
            Kinds::Table(table) => table::si(current, &table.all.plan.current_unit),
            Kinds::Analog(channels) => channels.ampere(current),
        }
    }

    /// Volt of a [`RawSample::voltage`].
    pub fn volt(&self, voltage: f64) -> f64 {
        match &self.kind {
            Kinds::Table(table) => match &table.all.plan.voltage {
                Some((_, unit)) => table::si(voltage, unit),
                None => voltage,
            },
            Kinds::Analog(_) => voltage,
        }
    }

    /// Seconds from the first row to row number `row` (from 0) with stamp `time`; `first` is the stamp of the first.
    /// Zero for a log that is taken by arrival.
    pub fn seconds(&self, row: u64, time: f64, first: f64) -> f64 {
        match &self.kind {
            _ if self.by_arrival => 0.0,
            Kinds::Analog(_) => row as f64 * self.options.interval_s.unwrap_or(0.0),
            Kinds::Table(table) => match table.all.plan.time {
                TimeFrom::Count { interval_s } => row as f64 * interval_s,
                _ => {
                    let (num, den) = table.all.time_scale();
                    (time - first) * num / den
                }
            },
        }
    }

    /// When the first row was taken, if the log says so (ISO 8601). `first` is its stamp.
    pub fn start(&self, first: f64) -> Option<String> {
        match &self.kind {
            Kinds::Table(table) => table
                .all
                .start_at(Some(first), &table.dialect)
                .filter(|_| !self.by_arrival || table.dialect.preamble.start.is_some()),
            Kinds::Analog(_) => None,
        }
    }

    /// The trace of all rows so far; `ended` says whether the last line had its end.
    ///
    /// # Errors
    /// Without any row.
    pub fn trace(&self, rows: RawColumns, ended: bool) -> Result<Trace, ReadError> {
        let mut trace = match &self.kind {
            Kinds::Analog(channels) => {
                channels.trace(rows.current, rows.voltage, &self.options, ended)?
            }
            Kinds::Table(table) => {
                let mut all = table.all.clone();
                all.time = rows.time;
                all.current = rows.current;
                all.voltage = rows.voltage;
                all.ended = ended;
                all.finish(&table.dialect, Vec::new())?
            }
        };
        if self.by_arrival {
            time_by_arrival(&mut trace, rows.arrival_s);
        }
        Ok(trace)
    }
}

impl Table {
    fn line(&mut self, line: &[u8]) -> Line {
        let chunk = &mut self.chunk;
        chunk.clear();
        RowReader::new(&self.dialect, &self.all.plan, self.quick.as_ref()).read(line, chunk);
        // A blank line, or one that stopped the reader, is a line all the same.
        chunk.lines = 1;
        if let Some(ReadError::SpoiltRow { text, .. }) = chunk.fatal.take() {
            let reason = format!("`{text}` is a line of another output");
            chunk.skipped = 1;
            chunk.reasons.push((0, reason));
        }
        if let Err(ReadError::TimeBackwards { by_s, .. }) = self.all.order(chunk) {
            self.all.line += 1;
            return Line::Backwards { by_s };
        }
        let reason = chunk.reasons.first().map(|(_, reason)| reason.clone());
        // Only what stops the batch reader is an error here, and that was taken out above.
        let _ = self.all.count(chunk);
        match (chunk.current.first(), reason) {
            (Some(&current), _) => Line::Sample(RawSample {
                time: chunk.time.first().copied().unwrap_or(0.0),
                current,
                voltage: chunk.voltage.first().copied(),
            }),
            (None, Some(reason)) => Line::Garbled { reason },
            (None, None) => Line::Nothing,
        }
    }
}

/// Stamps of arrival in place of none.
fn time_by_arrival(trace: &mut Trace, arrival_s: Vec<f64>) {
    // The clock of arrival is taken to tell microseconds.
    let digits = Digits {
        mantissa: u64::MAX,
        decimals: 6,
    };
    let mut arrivals = arrival_s;
    arrivals.truncate(trace.current_a.len());
    if arrivals.len() < trace.current_a.len() {
        return;
    }
    let axis = axis::stamped(arrivals.into(), 1.0, 1.0, digits);
    trace.axis = axis.axis;
    trace.source.interval_s = axis.interval_s;
    trace.source.gaps = axis.gaps;
    let notes = &mut trace.source.assumptions;
    notes.retain(|note| !note.contains("one each 1 s"));
    notes.push("the samples carry no time, so the time of their arrival was taken".to_owned());
    notes.extend(axis.notes);
}

fn last_line(head: &[u8]) -> &[u8] {
    head.split(|b| *b == b'\n')
        .rfind(|l| !l.trim_ascii().is_empty() && !cells::is_comment(l))
        .unwrap_or_default()
}
