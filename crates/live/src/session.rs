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
        // Line by line, so that the record is looked at at the same samples wherever the bytes were cut.
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
mod tests {
    use super::*;
    use crate::verdict::State;

    fn amount(x: Uncertain) -> String {
        format!("{:.0} mA", x.value * 1e3)
    }

    fn session() -> Session {
        Session::new(ReadOptions::default(), 0.05, 1.5e9, 79_800.0)
    }

    /// A fuse pulled after ten minutes at 412 mA, ten samples a second.
    fn pull(session: &mut Session, out: &mut Vec<Said>) {
        session.feed(b"current (mA)\n", 0.0, &amount, out).unwrap();
        for k in 0..9_000 {
            let ripple = [0, 1, -1, 2, -2][k * 7 % 5];
            let level = if k < 6_000 { 412 } else { 24 };
            let line = format!("{}\n", level + ripple);
            session
                .feed(line.as_bytes(), k as f64 / 10.0, &amount, out)
                .unwrap();
        }
    }

    #[test]
    fn a_pull_is_said_as_a_step_at_its_time_on_the_wall() {
        let (mut session, mut out) = (session(), Vec::new());
        pull(&mut session, &mut out);
        let steps: Vec<&Message> = out
            .iter()
            .filter_map(|said| match said {
                Said::Vehicle { text, step: true } => Some(text),
                _ => None,
            })
            .collect();
        assert_eq!(steps.len(), 1, "{out:?}");
        // Ten minutes after 22:10.
        assert!(
            steps[0].starts_with("22:20:00  step of −388 mA to 24 mA"),
            "{}",
            steps[0]
        );
        let tip = session.tip(900.0, &amount);
        let step = tip.stepped[0];
        assert!((step.at_unix_s - (1.5e9 + 600.0)).abs() < 0.5, "{step:?}");
        assert!(
            (step.before.value - 0.412).abs() < 1e-3 && (step.after.value - 0.024).abs() < 1e-3
        );
        assert_eq!((tip.steps, tip.samples), (1, 9_000));
        assert!(tip.said.iter().any(|said| said == steps[0]));
        let level = tip.level.unwrap();
        assert!(level.starts_with("24 mA since 22:20:00"), "{level}");
    }

    #[test]
    fn a_stream_without_time_begins_when_it_arrived() {
        let (mut session, mut out) = (session(), Vec::new());
        pull(&mut session, &mut out);
        let iso = |unix_s: f64| Some(format!("at {unix_s}"));
        let (trace, _) = session.end(999.0, &amount, &iso, &mut out).unwrap();
        let silent =
            |said: &Said| matches!(said, Said::Vehicle { text, .. } if text.contains("no sample"));
        assert!(!out.iter().any(silent), "{out:?}");
        assert_eq!(trace.source.start.as_deref(), Some("at 1500000000"));
        assert_eq!(trace.len(), 9_000);
    }

    /// A night in milliampere, two samples a second: awake, coming down, asleep, woken twice, a fuse pulled.
    fn night() -> String {
        let parts = [
            (300, 3000),
            (200, 900),
            (2400, 61),
            (40, 1200),
            (1500, 61),
            (40, 1200),
            (700, 61),
            (2200, 23),
        ];
        let levels = parts
            .iter()
            .flat_map(|&(n, level)| std::iter::repeat_n(level, n));
        let row = |(k, level): (usize, i32)| {
            let ripple = [0, 1, 0, -1, 2, -1, 0, -2][k * 7 % 11 % 8];
            format!("{:.1},{}\n", k as f64 / 2.0, level + ripple)
        };
        let rows: String = levels.enumerate().map(row).collect();
        format!("time_s,current (mA)\n{rows}")
    }

    /// Feeds `bytes` in pieces of one to three hundred bytes, all at once by the clock.
    fn feed_in_pieces(session: &mut Session, mut bytes: &[u8], seed: usize, out: &mut Vec<Said>) {
        let mut size = seed;
        while !bytes.is_empty() {
            size = size * 31 % 307;
            let (piece, rest) = bytes.split_at((size + 1).min(bytes.len()));
            session.feed(piece, 1.0, &amount, out).unwrap();
            bytes = rest;
        }
    }

    #[test]
    fn at_every_prefix_it_says_what_read_says() {
        let text = night();
        let (mut session, mut out) = (session(), Vec::new());
        let ends: Vec<usize> = text.match_indices('\n').map(|(at, _)| at + 1).collect();
        let (mut from, mut seen) = (0, Vec::new());
        for end in ends.iter().skip(9).step_by(97).chain(ends.last()) {
            feed_in_pieces(&mut session, &text.as_bytes()[from..*end], 11, &mut out);
            from = *end;
            // Some seconds later.
            session.tick(*end as f64, &amount, &mut out);
            let verdict = session.verdict(*end as f64);
            let record = trace::readers::read(&text.as_bytes()[..*end], &ReadOptions::default());
            let record = record.unwrap();
            let read = trace::analyse(&record, &trace::AnalyseOptions::default());
            assert_eq!(verdict.samples as usize, record.len());
            assert_eq!(verdict.exceeds, read.verdict.exceeds);
            let level = verdict.level.map(|level| (level.value, level.since_s));
            let last = read.segments.last().map(|last| (last.level, last.start_s));
            assert_eq!(level, last);
            let settled = read.settled.map(|settled| (settled.draw, settled.since_s));
            let expected = read.not_settled.as_ref().and_then(|n| n.expected_at_s);
            match verdict.state {
                State::Asleep { draw, since_s } => assert_eq!(Some((draw, since_s)), settled),
                State::WokenUp { draw } => assert_eq!(Some(draw), settled.map(|s| s.0)),
                State::ComingDown { asleep_at_s } | State::SteppedDown { asleep_at_s, .. } => {
                    assert_eq!((asleep_at_s, settled), (expected, None));
                }
                State::Unclear { ref reason } => {
                    assert_eq!(Some(reason), read.not_settled.as_ref().map(|n| &n.reason));
                }
                State::Awake | State::TooEarly => assert_eq!(settled, None),
            }
            seen.push(std::mem::discriminant(&verdict.state));
        }
        seen.dedup();
        assert!(
            seen.len() > 5,
            "the night goes through many states: {seen:?}"
        );
    }

    /// What is said on the way depends neither on where the bytes were cut nor on a restart that begins again from the bytes kept.
    #[test]
    fn cuts_and_restarts_change_nothing() {
        let text = night();
        let told = |seed: usize, killed: bool| {
            let (mut session, mut out) = (session(), Vec::new());
            let (before, after) = text.as_bytes().split_at(text.len() / 2 + 3);
            feed_in_pieces(&mut session, before, seed, &mut out);
            if killed {
                (session, out) = (self::session(), Vec::new());
                session.feed(before, 1.0, &amount, &mut out).unwrap();
            }
            feed_in_pieces(&mut session, after, seed + 5, &mut out);
            let tip = session.tip(1.0, &amount);
            let (_, analysis) = session.end(1.0, &amount, &|_| None, &mut out).unwrap();
            (out, tip, analysis)
        };
        let whole = told(3, false);
        assert!(whole.0.len() > 12, "{:#?}", whole.0);
        assert_eq!(told(77, false), whole);
        assert_eq!(told(3, true), whole);
    }

    /// A logger that resets every few lines leaves thousands of parts: no room is kept for what will not come.
    #[test]
    fn a_source_that_starts_again_and_again_stays_small() {
        let (mut session, mut out) = (session(), Vec::new());
        let lines = "time_s,current (mA)\n0,20\n1,21\n2,20\n".repeat(2_000);
        session
            .feed(lines.as_bytes(), 0.0, &amount, &mut out)
            .unwrap();
        assert!(session.bytes() < 1 << 20, "{} bytes", session.bytes());
        let (trace, _) = session.end(1.0, &amount, &|_| None, &mut out).unwrap();
        assert_eq!(trace.len(), 6_000);
    }

    #[test]
    fn options_come_back() {
        let options = ReadOptions {
            current: Some("I (A)".into()),
            unit: Some("A".into()),
            interval_s: Some(0.1),
            ..ReadOptions::default()
        };
        let back = options_from_text(&options_to_text(&options));
        assert_eq!(format!("{back:?}"), format!("{options:?}"));
    }

    #[test]
    fn marks_and_garbled_lines_are_told() {
        let (mut session, mut out) = (session(), Vec::new());
        let lines =
            b"time,current (mA)\n0,20\n1,20\nrubbish\n2,20\n3,21\n4,20\n5,x\n6,20\n7,20\n8,20\n";
        session.feed(lines, 0.0, &amount, &mut out).unwrap();
        let line = session.mark(1.0, "F12 out");
        assert!(line.ends_with("marked: F12 out"), "{line}");
        let tip = session.tip(1.0, &amount);
        assert_eq!(tip.garbled, 2);
        assert_eq!(tip.said.last(), Some(&line));
        assert!(
            out.iter()
                .any(|said| matches!(said, Said::Source(text) if text.contains("left out")))
        );
    }
}
