//! One listening session: bytes in, what is to be said out.

use std::collections::VecDeque;

use measure::Uncertain;
use tongue::{Message, figure, say};
use trace::readers::{ReadError, ReadOptions, told};
use trace::{Analysis, Trace};

use crate::source::{Event, LineSource};
use crate::tip::{Spark, Stepped, Tip, known};
use crate::verdict::{Change, Verdict};
use crate::watch::Watch;

/// Garbled lines that are told one by one.
const TOLD: u64 = 3;
/// Things said that a tip repeats.
const SAID: usize = 8;
/// Steps that a tip repeats.
const STEPS: usize = 8;
/// Arrivals remembered, to put a moment of the stream on the clock of the wall.
const ARRIVALS: usize = 4096;
const DAY_S: f64 = 86_400.0;

/// Something to be told to whoever listens.
#[derive(Debug, Clone, PartialEq)]
pub enum Said {
    /// Something about the vehicle, with its time in front.
    Vehicle {
        /// One line.
        text: Message,
        /// Whether it is a step, which nobody should miss.
        step: bool,
    },
    /// Something about the source.
    Source(Message),
}

/// Reading options as text, one `name=value` a line, for whoever reads the stream again.
pub fn options_to_text(options: &ReadOptions) -> String {
    let interval = options.interval_s.map(|s| s.to_string());
    let named = [
        ("time", &options.time),
        ("current", &options.current),
        ("voltage", &options.voltage),
        ("unit", &options.unit),
        ("interval", &interval),
    ];
    let line = |(name, value): (&str, &Option<String>)| {
        let value = value.as_ref()?.replace('\n', " ");
        Some(format!("{name}={value}\n"))
    };
    named.into_iter().filter_map(line).collect()
}

/// Reads what [`options_to_text`] wrote; what it does not know is left out.
pub fn options_from_text(text: &str) -> ReadOptions {
    let mut options = ReadOptions::default();
    for (name, value) in text.lines().filter_map(|line| line.split_once('=')) {
        let text = Some(value.to_owned());
        match name {
            "time" => options.time = text,
            "current" => options.current = text,
            "voltage" => options.voltage = text,
            "unit" => options.unit = text,
            "interval" => options.interval_s = value.parse().ok(),
            _ => {}
        }
    }
    options
}

/// How uncertain currents are written.
pub type Amount<'a> = &'a dyn Fn(Uncertain) -> String;

/// A stream that is being listened to.
///
/// Puts a [`LineSource`] and a [`Watch`] together and words what comes of them. Asks no clock: whoever feeds it says
/// when bytes arrived, and what time of day that is.
#[derive(Debug)]
pub struct Session {
    source: LineSource,
    watch: Watch,
    spark: Spark,
    /// Seconds since 1970 at arrival time 0, and local seconds since midnight then.
    epoch: (f64, f64),
    /// Arrival of the first sample.
    first_s: Option<f64>,
    garbled: u64,
    steps: u64,
    stepped: VecDeque<Stepped>,
    said: VecDeque<Message>,
    arrivals: VecDeque<(f64, f64)>,
}

impl Session {
    /// Starts with nothing received. `unix_s` and `of_day_s` are the seconds since 1970 and since local midnight at
    /// arrival time 0.
    pub fn new(options: ReadOptions, limit_a: f64, unix_s: f64, of_day_s: f64) -> Self {
        Self {
            source: LineSource::new(options),
            watch: Watch::new(limit_a),
            spark: Spark::default(),
            epoch: (unix_s, of_day_s),
            first_s: None,
            garbled: 0,
            steps: 0,
            stepped: VecDeque::new(),
            said: VecDeque::new(),
            arrivals: VecDeque::new(),
        }
    }

    /// Takes bytes that arrived at `arrival_s`.
    ///
    /// # Errors
    /// As [`LineSource::feed`].
    pub fn feed(
        &mut self,
        bytes: &[u8],
        arrival_s: f64,
        amount: Amount<'_>,
        out: &mut Vec<Said>,
    ) -> Result<(), ReadError> {
        let mut events = Vec::new();
        let mut fed = Ok(());
        // Line by line, so that what samples alone decide does not depend on where the bytes were cut.
        for line in bytes.split_inclusive(|byte| matches!(byte, b'\n' | b'\r')) {
            fed = self.source.feed(line, arrival_s, &mut events);
            self.take(&mut events, out);
            if fed.is_err() {
                break;
            }
            if self.watch.due() {
                self.look(arrival_s);
            }
        }
        self.tick(arrival_s, amount, out);
        fed
    }

    /// Lets the watch look at everything received so far.
    fn look(&mut self, now_s: f64) {
        match self.source.trace() {
            Ok(record) => {
                self.watch.look(&record, now_s);
            }
            // Asked again when more has come, not at every line.
            Err(_) => self.watch.let_pass(now_s),
        }
    }

    /// Takes notice of the time.
    pub fn tick(&mut self, now_s: f64, amount: Amount<'_>, out: &mut Vec<Said>) {
        if self.watch.stale(now_s) {
            self.look(now_s);
        }
        self.watch.tick(now_s);
        self.tell(now_s, amount, out);
    }

    /// Words what has changed.
    fn tell(&mut self, now_s: f64, amount: Amount<'_>, out: &mut Vec<Said>) {
        for change in self.watch.changes() {
            let at_s = change.at_s().unwrap_or_else(|| {
                let verdict = self.watch.verdict(now_s);
                match &change {
                    Change::Stalled { for_s } => verdict.time_s + for_s,
                    _ => verdict.time_s,
                }
            });
            let step = match &change {
                Change::Step(step) => {
                    self.steps += 1;
                    let before = step.to.value - step.change.value;
                    // The step's own uncertainty is that of both levels together.
                    let u = (step.change.u.powi(2) - step.to.u.powi(2)).max(0.0).sqrt();
                    let stepped = Stepped {
                        at_unix_s: self.unix_s(step.at_s),
                        before: Uncertain::new(before, u),
                        after: step.to,
                        change: step.change,
                    };
                    push(&mut self.stepped, STEPS, stepped);
                    true
                }
                _ => false,
            };
            let text = say::live::at_clock(self.clock(at_s), change.words(amount));
            push(&mut self.said, SAID, text.clone());
            out.push(Said::Vehicle { text, step });
        }
    }

    /// Takes notice that the source has closed, reads its last line, and gives everything received, with what it says. A stream that
    /// tells no time begins at that of its first sample's arrival, written by `iso` from seconds since 1970.
    ///
    /// # Errors
    /// As [`LineSource::end`].
    pub fn end(
        &mut self,
        now_s: f64,
        amount: Amount<'_>,
        iso: &dyn Fn(f64) -> Option<String>,
        out: &mut Vec<Said>,
    ) -> Result<(Trace, Analysis), ReadError> {
        let mut events = Vec::new();
        let ended = self.source.end(&mut events);
        self.take(&mut events, out);
        ended?;
        if self.garbled > TOLD {
            let said = say::live::left_out_in_all(figure(self.garbled.to_string()));
            out.push(Said::Source(said));
        }
        let mut trace = self.source.hand_over()?;
        if trace.source.start.is_none()
            && let Some(first_s) = self.first_s.filter(|_| self.source.by_arrival())
            && let Some(start) = iso(self.epoch.0 + first_s)
        {
            trace.source.start = Some(start);
        }
        // A source that has closed has not fallen silent, however late its last lines are looked at.
        let analysis = self.watch.look(&trace, now_s);
        self.tell(now_s, amount, out);
        Ok((trace, analysis))
    }

    /// What can be said at `now_s`.
    pub fn verdict(&self, now_s: f64) -> Verdict {
        self.watch.verdict(now_s)
    }

    /// What can be said at `now_s`, for others to show.
    pub fn tip(&self, now_s: f64, amount: Amount<'_>) -> Tip {
        let verdict = self.watch.verdict(now_s);
        let level = verdict.level.map(|level| {
            let current = tongue::amount(amount(level.value));
            say::live::level_since(self.clock(level.since_s), current)
        });
        Tip {
            last_a: verdict.last_a,
            last_unix_s: verdict
                .age_s
                .map_or(0.0, |age_s| self.epoch.0 + now_s - age_s),
            stalled: verdict.stalled,
            level,
            state: verdict.state.words(verdict.time_s, amount),
            exceeds: known(verdict.exceeds),
            samples: verdict.samples,
            garbled: self.garbled,
            time_s: verdict.time_s,
            steps: self.steps,
            stepped: self.stepped.iter().copied().collect(),
            said: self.said.iter().cloned().collect(),
            spark: self.spark.columns(),
        }
    }

    /// Repeats what somebody marked among the things said.
    pub fn mark(&mut self, now_s: f64, text: &str) -> Message {
        let verdict = self.watch.verdict(now_s);
        let at_s = verdict.time_s + verdict.age_s.unwrap_or(0.0);
        let line = say::live::at_clock(self.clock(at_s), say::live::marked(text));
        push(&mut self.said, SAID, line.clone());
        line
    }

    /// Bytes of memory in use, about, without those of the watch.
    pub fn bytes(&self) -> usize {
        self.source.bytes()
    }

    /// Time of day of a moment of the stream, if it is known; else the time since the first sample.
    pub fn clock(&self, at_s: f64) -> String {
        let start = self.source.start().as_deref().and_then(start_of_day);
        let arrived = self.first_s.filter(|_| self.source.by_arrival());
        let start = start.or(arrived.map(|first_s| self.epoch.1 + first_s));
        let of_day = start
            .map_or(at_s, |start_s| (start_s + at_s).rem_euclid(DAY_S))
            .round() as u64;
        let (h, m, s) = (of_day / 3600, of_day / 60 % 60, of_day % 60);
        match start {
            Some(_) => format!("{:02}:{m:02}:{s:02}", h % 24),
            None => format!("{h}:{m:02}:{s:02}"),
        }
    }

    fn take(&mut self, events: &mut Vec<Event>, out: &mut Vec<Said>) {
        for event in events.drain(..) {
            match event {
                Event::Sample(sample) => {
                    self.first_s.get_or_insert(sample.arrival_s);
                    self.spark.push(sample.time_s, sample.current_a);
                    let newer = |&(_, last): &(f64, f64)| sample.arrival_s > last;
                    if self.arrivals.back().is_none_or(newer) {
                        push(
                            &mut self.arrivals,
                            ARRIVALS,
                            (sample.time_s, sample.arrival_s),
                        );
                    }
                    self.watch.push(&sample);
                }
                Event::Reread => {
                    self.watch.start_over();
                    self.spark = Spark::default();
                    self.arrivals.clear();
                }
                Event::Garbled { line, reason } => {
                    self.garbled += 1;
                    if self.garbled <= TOLD {
                        let said =
                            say::live::line_left_out(figure(line.to_string()), told(&reason));
                        out.push(Said::Source(said));
                    }
                }
                Event::Restarted { line, at_s } => {
                    let again = say::live::restarted(line.to_string());
                    let text = say::live::at_clock(self.clock(at_s), again);
                    push(&mut self.said, SAID, text.clone());
                    out.push(Said::Vehicle { text, step: false });
                }
            }
        }
    }

    /// A moment of the stream on the clock of the wall, as its sample arrived.
    fn unix_s(&self, time_s: f64) -> f64 {
        let at = self.arrivals.partition_point(|(time, _)| *time <= time_s);
        let arrival = self.arrivals.get(at.saturating_sub(1));
        self.epoch.0 + arrival.map_or(0.0, |(_, arrival_s)| *arrival_s)
    }
}

fn push<T>(queue: &mut VecDeque<T>, most: usize, item: T) {
    if queue.len() == most {
        queue.pop_front();
    }
    queue.push_back(item);
}

/// Seconds since midnight of `2026-11-25T22:10:05.5Z` or `22:10:05`.
fn start_of_day(iso: &str) -> Option<f64> {
    let time = iso.rsplit('T').next()?.get(..8)?;
    let mut parts = time.split(':').map(|part| part.parse::<f64>().ok());
    Some(parts.next()?? * 3600.0 + parts.next()?? * 60.0 + parts.next()??)
}

#[cfg(test)]
mod tests;
