//! From bytes to samples, through every cut, garbled line and restart.

use trace::Trace;
use trace::readers::{Follower, HEAD_LINES, ReadError, ReadOptions};

use crate::cutter::{Cut, Cutter};
use crate::part::{Head, Part, Read, is_text, join};

/// Lines of values after which trouble with names and units is not for want of lines.
const PATIENCE: usize = 6;

/// One sample.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sample {
    /// Seconds from the first sample of the stream.
    pub time_s: f64,
    /// Current in ampere; positive is discharge.
    pub current_a: f64,
    /// Voltage beside it in volt, where its row has one.
    pub voltage_v: Option<f64>,
    /// When it arrived, on the clock of whoever feeds.
    pub arrival_s: f64,
}

/// What came of some bytes.
#[derive(Debug, Clone, PartialEq)]
pub enum Event {
    /// A sample.
    Sample(Sample),
    /// More lines showed that the first were understood wrongly: samples of [`Event::Sample`] so far are void and come again.
    Reread,
    /// A line that is no row of this log; it was left out.
    Garbled {
        /// Line of the stream, from 1.
        line: u64,
        /// Why, as a lowercase fragment.
        reason: String,
    },
    /// The source started again (a new header, or time that set back); samples go on.
    Restarted {
        /// Line of the stream, from 1.
        line: u64,
        /// Time of its first sample since then, from the first of the stream.
        at_s: f64,
    },
}

/// A stream of lines that is read as it arrives.
///
/// The layout is found from the first lines, again whenever half as many more have come, and for good from the
/// [`HEAD_LINES`] from which the batch reader finds it; so [`LineSource::trace`] of a stream is the trace that
/// [`trace::readers::read`] makes of the same bytes, wherever they were cut. Unlike there, garbled lines never end
/// it, a source may start again, and samples without times take those of their arrival.
///
/// Keeps every number, [packed](crate::Packed): commonly two or three bytes a sample, at most eight a column.
#[derive(Debug, Clone)]
pub struct LineSource {
    options: ReadOptions,
    cutter: Cutter,
    lines: Lines,
    ended: bool,
}

impl LineSource {
    /// Starts with nothing received. The options are those of [`trace::readers::read`].
    pub fn new(options: ReadOptions) -> Self {
        Self {
            cutter: Cutter::default(),
            lines: Lines {
                options: options.clone(),
                line: 0,
                head: Some(Head::new(1)),
                part: None,
                earlier: Vec::new(),
                held: None,
                garbled: 0,
                restart_line: 0,
                before_s: 0.0,
                last_s: None,
                first_arrival_s: None,
                clock_s: f64::NEG_INFINITY,
            },
            options,
            ended: true,
        }
    }

    /// Takes bytes that arrived at `arrival_s` (seconds on any clock that does not go back; rounded to
    /// microseconds) and appends to `events` what came of them.
    ///
    /// # Errors
    /// When the first lines show that this is no log, or not which column is the current and in what unit.
    /// Once the layout is found there are none.
    pub fn feed(
        &mut self,
        bytes: &[u8],
        arrival_s: f64,
        events: &mut Vec<Event>,
    ) -> Result<(), ReadError> {
        self.lines.arrive(arrival_s);
        let mut outcome = Ok(());
        let lines = &mut self.lines;
        self.cutter.feed(bytes, |cut| {
            if outcome.is_ok() {
                outcome = lines.take(cut, events);
            }
        });
        outcome
    }

    /// Takes notice that the source has closed: a last line without end is read as it stands.
    ///
    /// # Errors
    /// As [`LineSource::feed`], and when nothing was received that could be read.
    pub fn end(&mut self, events: &mut Vec<Event>) -> Result<(), ReadError> {
        let lines = &mut self.lines;
        let mut outcome = Ok(());
        self.ended = !self.cutter.finish(|cut| outcome = lines.take(cut, events));
        outcome?;
        lines.end(events)
    }

    /// Everything so far as one trace. A stream that started again is one trace too, in which the parts lie as
    /// far apart as they arrived.
    ///
    /// # Errors
    /// Before the first sample.
    pub fn trace(&self) -> Result<Trace, ReadError> {
        let lines = &self.lines;
        let mut parts = lines
            .earlier
            .iter()
            .chain(&lines.part)
            .filter(|p| p.rows > 0);
        let Some(first) = parts.next() else {
            return Err(ReadError::HeaderOnly { line: lines.line });
        };
        let mut trace = first.trace(self.ended)?;
        let mut restarts = 0;
        for part in parts {
            join(&mut trace, part.trace(self.ended)?, part.offset_s);
            restarts += 1;
        }
        trace.source.skipped_rows += lines.garbled;
        if restarts > 0 {
            trace.source.rows = trace.len() as u64;
            trace.source.assumptions.push(format!(
                "the source started again {restarts} times; the parts were put as far apart as they arrived"
            ));
        }
        Ok(trace)
    }

    /// [`trace`](Self::trace), after which the numbers are no longer kept here: a day at 100 Hz is large enough once. What is known of the
    /// log stays.
    ///
    /// # Errors
    /// As [`trace`](Self::trace).
    pub fn hand_over(&mut self) -> Result<Trace, ReadError> {
        let trace = self.trace()?;
        let parts = self.lines.earlier.iter_mut().chain(&mut self.lines.part);
        parts.for_each(Part::forget);
        Ok(trace)
    }

    /// What is assumed about the stream, one sentence each; nothing before its layout is found.
    pub fn assumptions(&self) -> Vec<String> {
        self.lines
            .part
            .as_ref()
            .and_then(|part| part.first_row().ok())
            .map_or_else(Vec::new, |trace| trace.source.assumptions)
    }

    /// When the first sample was taken (ISO 8601), if the stream says so.
    pub fn start(&self) -> Option<String> {
        let part = self.lines.earlier.first().or(self.lines.part.as_ref())?;
        part.follower.start(part.first)
    }

    /// Whether the samples carry no time, so that of their arrival is taken. False before the layout is found.
    pub fn by_arrival(&self) -> bool {
        self.lines
            .part
            .as_ref()
            .is_some_and(|part| part.follower.by_arrival())
    }

    /// The options it was started with.
    pub fn options(&self) -> &ReadOptions {
        &self.options
    }

    /// Bytes of memory in use, about.
    pub fn bytes(&self) -> usize {
        let lines = &self.lines;
        let parts = lines.earlier.iter().chain(&lines.part);
        parts.map(Part::bytes).sum::<usize>()
            + lines.head.as_ref().map_or(0, |head| head.bytes.len())
            + self.cutter.pending()
    }
}

#[derive(Debug, Clone)]
struct Lines {
    options: ReadOptions,
    /// Lines so far.
    line: u64,
    /// First lines, until the layout is final.
    head: Option<Head>,
    part: Option<Part>,
    /// Parts before the last restart.
    earlier: Vec<Part>,
    /// A row from before the row before, until the next tells what that means.
    held: Option<(Vec<u8>, String)>,
    /// Lines left out that no part has counted.
    garbled: u64,
    restart_line: u64,
    before_s: f64,
    last_s: Option<f64>,
    first_arrival_s: Option<f64>,
    /// Arrival of the line at hand.
    clock_s: f64,
}

impl Lines {
    fn arrive(&mut self, arrival_s: f64) {
        // Whole microseconds pack well, and no clock of arrival tells more.
        let rounded = (arrival_s * 1e6).round() / 1e6;
        if rounded > self.clock_s {
            self.clock_s = rounded;
        }
    }

    fn take(&mut self, cut: Cut<'_>, events: &mut Vec<Event>) -> Result<(), ReadError> {
        self.line += 1;
        let Cut::Line(line) = cut else {
            self.garbled += 1;
            events.push(self.garble("the line is longer than a row can be".to_owned()));
            return Ok(());
        };
        if self
            .part
            .as_ref()
            .is_some_and(|p| p.rows > 0 && p.follower.is_header(line))
        {
            self.part_ways();
        }
        if let Some(head) = &mut self.head {
            if !is_text(line) {
                self.garbled += 1;
                let what = if self.line == 1 {
                    "the first line is no text"
                } else {
                    "the line is no text"
                };
                events.push(self.garble(what.to_owned()));
                return Ok(());
            }
            head.push(line, self.clock_s);
        }
        self.read(line, events);
        if self.head.as_ref().is_some_and(Head::due) {
            self.understand(events)?;
        }
        Ok(())
    }

    /// Reads a line by the layout, if there is one.
    fn read(&mut self, line: &[u8], events: &mut Vec<Event>) {
        let Some(part) = &mut self.part else {
            return;
        };
        match part.line(line, self.clock_s) {
            Read::Sample(sample) => {
                self.let_go(events);
                self.give(sample, events);
            }
            Read::Nothing => {}
            Read::Garbled(reason) => events.push(self.garble(reason)),
            Read::Backwards(reason) => match self.held.take() {
                // Two in a row: the clock of the source was set back, or its output begins again.
                Some((first, _)) => {
                    let follower = part.follower.again();
                    part.backwards -= 2;
                    self.part_ways();
                    self.head = None;
                    self.part = Some(Part::new(follower));
                    self.read(&first, events);
                    self.read(line, events);
                }
                None => self.held = Some((line.to_vec(), reason)),
            },
        }
    }

    /// A row that was held was a single one out of order.
    fn let_go(&mut self, events: &mut Vec<Event>) {
        if let Some((_, reason)) = self.held.take() {
            events.push(self.garble(reason));
        }
    }

    /// Puts a sample of the part at its place in the stream.
    fn give(&mut self, mut sample: Sample, events: &mut Vec<Event>) {
        let first_arrival_s = *self.first_arrival_s.get_or_insert(sample.arrival_s);
        if let Some(part) = &mut self.part {
            if part.rows == 1
                && let Some(last_s) = self.last_s.filter(|_| !self.earlier.is_empty())
            {
                let usual = last_s + (last_s - self.before_s).max(0.0);
                part.offset_s = (sample.arrival_s - first_arrival_s).max(usual);
                events.push(Event::Restarted {
                    line: self.restart_line,
                    at_s: part.offset_s,
                });
            }
            sample.time_s += part.offset_s;
        }
        self.before_s = self.last_s.unwrap_or(sample.time_s);
        self.last_s = Some(sample.time_s);
        events.push(Event::Sample(sample));
    }

    /// Lays the part aside and waits for a new header.
    fn part_ways(&mut self) {
        if let Some(mut part) = self.part.take() {
            part.close();
            self.head = Some(Head::new(self.line));
            self.restart_line = self.line;
            self.earlier.push(part);
        }
    }

    /// Finds the layout from the lines so far, or finds it again.
    fn understand(&mut self, events: &mut Vec<Event>) -> Result<(), ReadError> {
        let Some(head) = &mut self.head else {
            return Ok(());
        };
        head.tried();
        let last = head.full();
        let opened = Follower::open(&head.bytes, &self.options);
        match opened {
            Ok(follower) => self.lay_out(follower, events),
            Err(_) if self.part.is_some() => {}
            Err(error) => {
                let waits = matches!(
                    error,
                    ReadError::Empty | ReadError::HeaderOnly { .. } | ReadError::NotATable { .. }
                );
                let settled = head.values >= PATIENCE && (!waits || head.values >= HEAD_LINES / 8);
                if !(settled || last) {
                    return Ok(());
                }
                self.go_on(events).ok_or(error)?;
            }
        }
        if last {
            self.head = None;
        }
        Ok(())
    }

    /// It only looked like a header: rows go on as they were. `None` if there were none before.
    fn go_on(&mut self, events: &mut Vec<Event>) -> Option<()> {
        self.part = Some(self.earlier.pop()?);
        let head = self.head.take()?;
        let (line, clock_s) = (self.line, self.clock_s);
        for ((text, arrival_s), number) in head.lines().zip(head.first_line..) {
            (self.line, self.clock_s) = (number, arrival_s);
            self.read(text, events);
        }
        (self.line, self.clock_s) = (line, clock_s);
        Some(())
    }

    /// Reads the head by a layout; samples are given out if they are not those that were given before.
    fn lay_out(&mut self, follower: Follower, events: &mut Vec<Event>) {
        let Some(head) = &self.head else {
            return;
        };
        let skip = follower.head_bytes();
        let mut part = Part::new(follower);
        let mut fresh = Vec::new();
        let mut at = 0;
        let mut garbled = Vec::new();
        for ((line, arrival_s), number) in head.lines().zip(head.first_line..) {
            if at >= skip {
                match part.line(line, arrival_s) {
                    Read::Sample(sample) => fresh.push(sample),
                    Read::Garbled(reason) | Read::Backwards(reason) => {
                        garbled.push(Event::Garbled {
                            line: number,
                            reason,
                        });
                    }
                    Read::Nothing => {}
                }
            }
            at += line.len() + 1;
        }
        if let Some(old) = &self.part {
            part.offset_s = old.offset_s;
            if part.same_samples(old) {
                self.part = Some(part);
                return;
            }
            events.push(Event::Reread);
            self.last_s = None;
        }
        events.append(&mut garbled);
        // `give` looks at the part's first row, so rows are counted up as they are given.
        let rows = part.rows;
        part.rows = 0;
        self.part = Some(part);
        for sample in fresh {
            if let Some(part) = &mut self.part {
                part.rows += 1;
            }
            self.give(sample, events);
        }
        if let Some(part) = &mut self.part {
            part.rows = rows;
        }
    }

    fn end(&mut self, events: &mut Vec<Event>) -> Result<(), ReadError> {
        self.let_go(events);
        let Some(head) = &self.head else {
            return Ok(());
        };
        if head.bytes.trim_ascii().is_empty() && (self.part.is_some() || !self.earlier.is_empty()) {
            return Ok(());
        }
        match Follower::open(&head.bytes, &self.options) {
            Ok(follower) => self.lay_out(follower, events),
            Err(_) if self.part.is_some() => {}
            Err(error) => self.go_on(events).ok_or(error)?,
        }
        self.head = None;
        Ok(())
    }

    fn garble(&self, reason: String) -> Event {
        Event::Garbled {
            line: self.line,
            reason,
        }
    }
}
