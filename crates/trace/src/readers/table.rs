//! A table of delimited text, from its blocks to a trace.

use crate::model::{SkippedRow, Source, Trace};

use super::axis::{self, Axis, short};
use super::blocks::Blocks;
use super::clock;
use super::columns::{self, Plan, TimeFrom};
use super::dialect::{self, Dialect};
use super::label::Unit;
use super::number::Digits;
use super::rows::{self, Chunk, KEPT_SKIPS, RowReader};
use super::stamps::Stamps;
use super::summer;
use super::{ReadError, ReadOptions};

/// Rows that may be unreadable whatever the size of the file, and the share of longer files.
const FEW_SKIPS: u64 = 10;
const SKIP_SHARE: f64 = 0.01;
/// Blocks shorter than this are not worth a second thread.
const SPLIT_FROM: usize = 1 << 17;
const DAY_S: f64 = 86_400.0;
const HOUR_S: f64 = 3600.0;

/// Reads the rest of `blocks` as a table; `sample` is what comes first in them.
pub(super) fn read(
    mut blocks: Blocks<'_>,
    dialect: &Dialect,
    options: &ReadOptions,
) -> Result<Trace, ReadError> {
    let plan = columns::plan(dialect, options)?;
    let quick = rows::quick(dialect, &plan);
    let rows = RowReader::new(dialect, &plan, quick.as_ref());
    blocks.skip(dialect.skip_bytes);
    let mut all = Collector::new(dialect.first_line, plan.clone(), options);
    let (mut a, mut b) = (Chunk::default(), Chunk::default());
    while let Some(block) = blocks.next(all.line)? {
        let middle = memchr::memchr(b'\n', &block[block.len() / 2..])
            .map_or(block.len(), |n| block.len() / 2 + n + 1);
        let (front, back) = if block.len() < SPLIT_FROM {
            (block, &block[..0])
        } else {
            block.split_at(middle)
        };
        a.clear();
        b.clear();
        if back.is_empty() {
            rows.read(front, &mut a);
        } else {
            rayon::join(|| rows.read(front, &mut a), || rows.read(back, &mut b));
        }
        all.add(&mut a)?;
        all.add(&mut b)?;
        all.ended = block.ends_with(b"\n");
    }
    all.refuse_many_skips()?;
    all.finish(dialect, std::mem::take(&mut blocks.notes))
}

/// All samples so far.
#[derive(Debug, Clone)]
pub(super) struct Collector {
    pub(super) plan: Plan,
    max_rows: u64,
    /// Line that comes next.
    pub(super) line: u64,
    /// The latest stamp, midnights counted.
    before: f64,
    pub(super) time: Stamps,
    pub(super) current: Vec<f64>,
    pub(super) voltage: Vec<f64>,
    skipped: u64,
    missing: u64,
    reasons: Vec<SkippedRow>,
    last_skip: Option<u64>,
    digits: Digits,
    days_s: f64,
    midnights: u64,
    /// Line at which a local clock was put back by an hour.
    put_back: Option<u64>,
    /// The last line had its end.
    pub(super) ended: bool,
}

impl Collector {
    pub(super) fn new(line: u64, plan: Plan, options: &ReadOptions) -> Self {
        Self {
            plan,
            max_rows: options.max_rows(),
            line,
            before: f64::NEG_INFINITY,
            time: Stamps::default(),
            current: Vec::new(),
            voltage: Vec::new(),
            skipped: 0,
            missing: 0,
            reasons: Vec::new(),
            last_skip: None,
            digits: Digits::default(),
            days_s: 0.0,
            midnights: 0,
            put_back: None,
            ended: true,
        }
    }

    pub(super) fn add(&mut self, chunk: &mut Chunk) -> Result<(), ReadError> {
        self.order(chunk)?;
        self.time.extend(&chunk.time);
        self.current.extend_from_slice(&chunk.current);
        self.voltage.extend_from_slice(&chunk.voltage);
        self.count(chunk)?;
        if self.current.len() as u64 > self.max_rows {
            return Err(ReadError::TooLong {
                max_rows: self.max_rows,
            });
        }
        // A wrong guess should not cost the reading of a whole long file.
        let unreadable = self.skipped - self.missing;
        if unreadable > 10_000 && unreadable > self.current.len() as u64 {
            return Err(self.text_in_numbers());
        }
        Ok(())
    }

    /// Counts the lines of a chunk; its samples are left to the caller.
    pub(super) fn count(&mut self, chunk: &mut Chunk) -> Result<(), ReadError> {
        self.skipped += chunk.skipped;
        self.missing += chunk.missing;
        self.digits.merge(chunk.digits);
        self.last_skip = chunk.last_skip.map(|l| self.line + l).or(self.last_skip);
        for (line, reason) in chunk.reasons.drain(..) {
            if self.reasons.len() < KEPT_SKIPS {
                self.reasons.push(SkippedRow {
                    line: self.line + line,
                    reason,
                });
            }
        }
        match chunk.fatal.take() {
            Some(ReadError::SpoiltRow { line, text }) => {
                return Err(ReadError::SpoiltRow {
                    line: self.line + line,
                    text,
                });
            }
            Some(other) => return Err(other),
            None => {}
        }
        self.line += chunk.lines;
        Ok(())
    }

    /// Time must not decrease; times of day may pass midnight, and a local clock may be put back once, by an hour at night.
    pub(super) fn order(&mut self, chunk: &mut Chunk) -> Result<(), ReadError> {
        let of_day = matches!(self.plan.time, TimeFrom::Stamp { dated: false, .. });
        let local = self.local_clock();
        let mut before = self.before;
        for i in 0..chunk.time.len() {
            let mut now = chunk.time[i] + self.days_s;
            if now < before {
                if of_day && before - now > DAY_S / 2.0 {
                    self.days_s += DAY_S;
                    self.midnights += 1;
                    now += DAY_S;
                } else if local
                    && self.put_back.is_none()
                    && summer::put_back(before - now, self.plan.base as f64 + now)
                {
                    self.days_s += HOUR_S;
                    self.put_back = Some(self.line + chunk.line_of(i));
                    now += HOUR_S;
                }
                if now < before {
                    return Err(self.backwards(self.line + chunk.line_of(i), before - now));
                }
            }
            if self.days_s > 0.0 {
                chunk.time[i] = now;
            }
            before = now;
        }
        self.before = before;
        Ok(())
    }

    fn backwards(&self, line: u64, by: f64) -> ReadError {
        let (num, den) = self.time_scale();
        ReadError::TimeBackwards {
            line,
            by_s: short(by * num / den),
            local_clock: self.local_clock(),
        }
    }

    /// Whether the stamps are local clock times.
    fn local_clock(&self) -> bool {
        matches!(
            self.plan.time,
            TimeFrom::Stamp { zoned: false, .. } | TimeFrom::DateAndClock { zoned: false, .. }
        )
    }

    /// Stamps times the first over the second are seconds.
    pub(super) fn time_scale(&self) -> (f64, f64) {
        match self.plan.time {
            TimeFrom::Number { num, den, .. } => (num, den),
            TimeFrom::Index { interval_s, .. } => (interval_s, 1.0),
            TimeFrom::Count { .. } | TimeFrom::Stamp { .. } | TimeFrom::DateAndClock { .. } => {
                (1.0, 1.0)
            }
        }
    }

    fn text_in_numbers(&self) -> ReadError {
        let first = self
            .reasons
            .iter()
            .find(|r| !r.reason.starts_with("there is no value"))
            .or(self.reasons.first());
        ReadError::TextInNumbers {
            line: first.map_or(self.line, |r| r.line),
            reason: first.map(|r| r.reason.clone()).unwrap_or_default(),
            skipped: self.skipped,
            rows: self.skipped + self.current.len() as u64,
        }
    }

    /// Whether the last line is half a row.
    fn cut(&self) -> bool {
        !self.ended && self.last_skip == Some(self.line.saturating_sub(1))
    }

    /// Refuses a table of which too little could be read.
    pub(super) fn refuse_many_skips(&self) -> Result<(), ReadError> {
        let unreadable = (self.skipped - self.missing).saturating_sub(u64::from(self.cut()));
        let taken = self.current.len() as u64;
        let allowed = FEW_SKIPS.max((SKIP_SHARE * (taken + self.skipped) as f64) as u64);
        if taken == 0 || unreadable > allowed || unreadable > taken {
            return Err(self.too_little());
        }
        Ok(())
    }

    fn too_little(&self) -> ReadError {
        if self.skipped == 0 {
            ReadError::HeaderOnly { line: self.line }
        } else {
            self.text_in_numbers()
        }
    }

    /// Makes a trace of what was collected, however much was skipped.
    pub(super) fn finish(
        mut self,
        dialect: &Dialect,
        mut notes: Vec<String>,
    ) -> Result<Trace, ReadError> {
        if self.current.is_empty() {
            return Err(self.too_little());
        }
        self.note(dialect, &mut notes);
        let start = self.start(dialect);
        self.put_forward(&mut notes);
        let axis = self.axis();
        scale(&mut self.current, &self.plan.current_unit);
        if let Some((_, unit)) = &self.plan.voltage {
            scale(&mut self.voltage, unit);
        }
        let source = Source {
            skipped_rows: self.skipped,
            time_column: self.time_column(),
            skipped: self.reasons,
            current_column: self.plan.name(self.plan.current),
            voltage_column: self.plan.voltage.map(|(c, _)| self.plan.name(c)),
            unit: self.plan.current_unit.symbol.to_owned(),
            start,
            assumptions: notes,
            ..Source::default()
        };
        Ok(assemble(
            axis,
            self.current,
            self.plan.voltage.map(|_| self.voltage),
            source,
        ))
    }

    /// What was taken for granted, in sentences.
    fn note(&self, dialect: &Dialect, notes: &mut Vec<String>) {
        notes.push(format!(
            "columns are separated by {}",
            dialect.delimiter.name()
        ));
        notes.extend(dialect.notes.iter().cloned());
        if self.cut() {
            notes.push("the last line is cut off and was left out".to_owned());
        } else if !self.ended {
            notes.push("the last line has no line end; it was taken as complete".to_owned());
        }
        notes.extend(self.plan.notes.iter().cloned());
        if self.midnights > 0 {
            notes.push(format!(
                "midnight was passed {}",
                if self.midnights == 1 {
                    "once".to_owned()
                } else {
                    format!("{} times", self.midnights)
                }
            ));
        }
        if let Some(line) = self.put_back {
            notes.push(format!(
                "at line {line} the clock was put back by an hour, as at the end of summer time; times after it count on"
            ));
        }
        if self.skipped > 0 {
            notes.push(format!(
                "{} of {} rows were skipped",
                self.skipped,
                self.current.len() as u64 + self.skipped
            ));
        }
    }

    /// Takes out the hour that a local clock leaves out at the start of summer time.
    fn put_forward(&mut self, notes: &mut Vec<String>) {
        // An even row of stamps leaves no hour out.
        if !self.local_clock() || self.put_back.is_some() || self.time.is_one_run() {
            return;
        }
        let mut stamps = std::mem::take(&mut self.time).into_vec();
        if let Some(first) = summer::put_forward(&stamps, self.plan.base as f64) {
            stamps[first..].iter_mut().for_each(|t| *t -= HOUR_S);
            notes.push(format!(
                "after sample {first} the clock was put forward by an hour, as at the start of summer time; no hour is missing"
            ));
        }
        self.time = stamps.into();
    }

    fn time_column(&self) -> Option<String> {
        match self.plan.time {
            TimeFrom::Count { .. } => None,
            TimeFrom::DateAndClock { date, clock, .. } => Some(format!(
                "{} {}",
                self.plan.name(date),
                self.plan.name(clock)
            )),
            TimeFrom::Index { column, .. }
            | TimeFrom::Number { column, .. }
            | TimeFrom::Stamp { column, .. } => Some(self.plan.name(column)),
        }
    }

    fn axis(&mut self) -> Axis {
        match self.plan.time {
            TimeFrom::Count { interval_s } => axis::counted(interval_s),
            _ => {
                let (num, den) = self.time_scale();
                axis::stamped(std::mem::take(&mut self.time), num, den, self.digits)
            }
        }
    }

    /// Time of the first sample, where the file says it.
    fn start(&self, dialect: &Dialect) -> Option<String> {
        self.start_at(self.time.first(), dialect)
    }

    /// Time of the stamp `first`, where the file says it.
    pub(super) fn start_at(&self, first: Option<f64>, dialect: &Dialect) -> Option<String> {
        match self.plan.time {
            TimeFrom::Count { .. } => dialect
                .preamble
                .start
                .map(|s| clock::iso(s, 0.0, true, None)),
            TimeFrom::Index { .. } => None,
            TimeFrom::Number { num, den, .. } => {
                let seconds = first.filter(|_| self.plan.absolute)? * num / den;
                Some(clock::iso(
                    seconds.floor() as i64,
                    seconds - seconds.floor(),
                    true,
                    Some(0),
                ))
            }
            TimeFrom::Stamp { dated, .. } => {
                let t = first?;
                Some(clock::iso(
                    self.plan.base + t.floor() as i64,
                    t - t.floor(),
                    dated,
                    self.plan.zone,
                ))
            }
            TimeFrom::DateAndClock { .. } => {
                let t = first?;
                Some(clock::iso(
                    self.plan.base + t.floor() as i64,
                    t - t.floor(),
                    true,
                    self.plan.zone,
                ))
            }
        }
    }
}

fn scale(values: &mut [f64], unit: &Unit) {
    if (unit.num, unit.den) != (1.0, 1.0) {
        values.iter_mut().for_each(|v| *v = si(*v, unit));
    }
}

/// A number of the file in ampere or volt.
pub(super) fn si(value: f64, unit: &Unit) -> f64 {
    // Division by a power of ten rounds once; multiplying by its inverse would round twice.
    value / unit.den * unit.num
}

/// Puts a trace together and says what its signs look like.
pub(super) fn assemble(
    axis: Axis,
    current_a: Vec<f64>,
    voltage_v: Option<Vec<f64>>,
    mut source: Source,
) -> Trace {
    source.rows = current_a.len() as u64;
    source.interval_s = axis.interval_s;
    source.gaps = axis.gaps;
    source.assumptions.extend(axis.notes);
    if !source.gaps.is_empty() {
        source.assumptions.push(format!(
            "{} gaps are longer than three times the usual interval",
            source.gaps.len()
        ));
    }
    if current_a.iter().all(|a| *a <= 0.0) && current_a.iter().any(|a| *a < 0.0) {
        source.assumptions.push("no current is above zero; positive means discharge here, so the meter may have been connected the other way round (signs were kept)".to_owned());
    }
    Trace {
        axis: axis.axis,
        current_a,
        voltage_v,
        source,
    }
}

/// The dialect of the table that `blocks` start with, or `None` for analog text.
pub(super) fn detect(blocks: &mut Blocks<'_>) -> Result<Option<Dialect>, ReadError> {
    let sample = blocks.peek()?;
    if sample.is_empty() {
        return Err(ReadError::Empty);
    }
    if let Some(at) = memchr::memchr(0, sample) {
        return Err(ReadError::Binary {
            line: 1 + memchr::memchr_iter(b'\n', &sample[..at]).count() as u64,
        });
    }
    let whole = memchr::memrchr(b'\n', sample).map_or(sample.len(), |n| n + 1);
    // A control character in twenty is not text (common practice).
    let start = &sample[..sample.len().min(4096)];
    let control = start
        .iter()
        .filter(|b| b.is_ascii_control() && !matches!(b, b'\n' | b'\r' | b'\t' | 0x0c))
        .count();
    if control * 20 > start.len() {
        return Err(ReadError::Binary { line: 1 });
    }
    if super::analog::is_analog(&sample[..whole])? {
        return Ok(None);
    }
    let complete = &sample[..whole];
    dialect::detect(complete).map(Some)
}
