//! The running verdict.

use trace::{AnalyseOptions, Analysis, Exceeds, Source, State as Doing, TimeAxis, Trace, analyse};

use crate::source::Sample;
use crate::verdict::{Change, State, Step, Verdict};
use crate::window::Window;

/// Seconds without a sample after which the source is said to have stalled …
pub const STALL_S: f64 = 5.0;
/// … or so many times the usual time between arrivals, for a slow source. From memory.
const STALL_ARRIVALS: f64 = 3.0;
/// Points of the coarse record; when it is full, neighbours are joined.
const MOST_POINTS: usize = 32_768;
/// The coarse record is read again when it has grown by one in this many, …
const GROWTH: usize = 32;
/// … or after a step by one in this many, but never by less than so many points.
const GROWTH_AFTER_STEP: usize = 512;
const LEAST_GROWTH: usize = 4;
/// A settled draw is another one if it differs by three standard uncertainties and this share. From memory.
const OTHER_LEVEL: f64 = 0.05;
/// Changes that are kept for someone who asks late.
const MOST_CHANGES: usize = 10_000;

/// Watches a stream of samples and says what the vehicle is doing.
///
/// Steps and the present level come from exact segmentation of the last 4096 to 8192 samples. States come from
/// [`trace::analyse`] of a coarse record of the whole stream: every sample as long as they are no more than 32 768, then means of
/// 2, 4, 8 … of them, so that brief wake-ups blur in a long record (the final page, made of all samples, is not affected).
/// It is read again when it has grown by a thirty-second, sooner after a step.
///
/// A sample costs a few steps of the segmenter, plus its share of the readings of the coarse record: about a hundred segmenter steps while
/// that record is fine, one when each of its points stands for a hundred samples. Memory is below 4 MB however long
/// the stream; what changes depends on the samples alone, not on how they were fed.
#[derive(Debug)]
pub struct Watch {
    limit_a: f64,
    samples: u64,
    last: Option<Sample>,
    window: Window,
    coarse: Coarse,
    read_at: usize,
    after_step: bool,
    state: State,
    exceeds: Exceeds,
    step: Option<Step>,
    stalled: bool,
    first_tick_s: Option<f64>,
    usual_arrival_s: f64,
    changes: Vec<Change>,
}

impl Watch {
    /// Starts without samples; `limit_a` is the limit for the draw in ampere.
    pub fn new(limit_a: f64) -> Self {
        Self {
            limit_a,
            samples: 0,
            last: None,
            window: Window::default(),
            coarse: Coarse::default(),
            read_at: 0,
            after_step: false,
            state: State::TooEarly,
            exceeds: Exceeds::Unsure,
            step: None,
            stalled: false,
            first_tick_s: None,
            usual_arrival_s: 0.0,
            changes: Vec::new(),
        }
    }

    /// Takes a sample.
    pub fn push(&mut self, sample: &Sample) {
        match self.last {
            None => {
                self.stalled = false;
                self.note(Change::First {
                    current_a: sample.current_a,
                });
            }
            Some(last) => self.arrival(sample.arrival_s - last.arrival_s),
        }
        self.samples += 1;
        self.last = Some(*sample);
        if let Some(step) = self.window.push(sample.time_s, sample.current_a) {
            self.step = Some(step);
            self.after_step = true;
            self.note(Change::Step(step));
        }
        if self.coarse.push(sample.time_s, sample.current_a) {
            self.read_if_due(sample.time_s);
        }
    }

    /// Takes notice of the time, on the clock of [`Sample::arrival_s`]; without it a stall goes unnoticed.
    pub fn tick(&mut self, now_s: f64) {
        let since_s = *self.first_tick_s.get_or_insert(now_s);
        let for_s = now_s - self.last.map_or(since_s, |last| last.arrival_s);
        if !self.stalled && for_s >= STALL_S.max(STALL_ARRIVALS * self.usual_arrival_s) {
            self.stalled = true;
            self.note(Change::Stalled { for_s });
        }
    }

    /// Reads the coarse record once more, so that the verdict speaks of every sample; for the end of a stream.
    pub fn settle(&mut self) {
        if let Some(last) = self.last {
            self.read(last.time_s);
        }
    }

    /// Forgets all samples, as if none had come; what was reported stays reported.
    pub fn start_over(&mut self) {
        let changes = std::mem::take(&mut self.changes);
        *self = Self::new(self.limit_a);
        self.changes = changes;
    }

    /// What can be said at `now_s`.
    pub fn verdict(&self, now_s: f64) -> Verdict {
        Verdict {
            samples: self.samples,
            time_s: self.last.map_or(0.0, |sample| sample.time_s),
            last_a: self.last.map(|sample| sample.current_a),
            age_s: self.last.map(|sample| (now_s - sample.arrival_s).max(0.0)),
            stalled: self.stalled,
            level: self.window.level(),
            state: self.state.clone(),
            step: self.step,
            exceeds: self.exceeds,
        }
    }

    /// What has changed since this was last asked, in order.
    pub fn changes(&mut self) -> Vec<Change> {
        std::mem::take(&mut self.changes)
    }

    fn note(&mut self, change: Change) {
        if self.changes.len() < MOST_CHANGES {
            self.changes.push(change);
        }
    }

    fn arrival(&mut self, after_s: f64) {
        if std::mem::take(&mut self.stalled) {
            self.note(Change::Resumed { after_s });
            return;
        }
        // Samples of one packet arrive together; only packets say how often the source speaks.
        if after_s > 0.0 {
            let weight = if self.usual_arrival_s > 0.0 { 0.1 } else { 1.0 };
            self.usual_arrival_s += weight * (after_s - self.usual_arrival_s);
        }
    }

    fn read_if_due(&mut self, now_s: f64) {
        let points = self.coarse.len();
        if points < self.read_at {
            // Neighbours were joined.
            self.read_at = points;
        }
        let grown = points - self.read_at;
        let share = if self.after_step {
            GROWTH_AFTER_STEP
        } else {
            GROWTH
        };
        let expected = matches!(
            self.state,
            State::ComingDown { asleep_at_s: Some(at_s) } | State::SteppedDown { asleep_at_s: Some(at_s), .. }
                if now_s >= at_s
        );
        if grown >= (points / share).max(LEAST_GROWTH) || (expected && grown >= LEAST_GROWTH) {
            self.read(now_s);
        }
    }

    fn read(&mut self, now_s: f64) {
        self.read_at = self.coarse.len();
        self.after_step = false;
        let options = AnalyseOptions {
            limit_a: self.limit_a,
            ..AnalyseOptions::default()
        };
        let analysis = analyse(&self.coarse.trace, &options);
        let state = after(&self.state, state_of(&analysis));
        if !state.is_like(&self.state) || other_level(&state, &self.state) {
            self.note(Change::State {
                at_s: now_s,
                state: state.clone(),
            });
            self.state = state;
        } else if !matches!(state, State::Asleep { .. }) {
            self.state = state;
        }
        if analysis.verdict.exceeds != self.exceeds {
            self.exceeds = analysis.verdict.exceeds;
            // "Not sure" because it woke up or fell silent is told by the state.
            if self.exceeds != Exceeds::Unsure || analysis.settled.is_some() {
                let because = analysis.verdict.because;
                self.note(Change::Limit {
                    at_s: now_s,
                    exceeds: self.exceeds,
                    because,
                });
            }
        }
    }
}

fn state_of(analysis: &Analysis) -> State {
    let doing = analysis
        .segments
        .last()
        .map_or(Doing::Unknown, |segment| segment.state);
    match (analysis.settled, &analysis.not_settled, doing) {
        (Some(settled), _, Doing::Asleep) => State::Asleep {
            draw: settled.draw,
            since_s: settled.since_s,
        },
        (Some(settled), ..) => State::WokenUp { draw: settled.draw },
        (None, not_settled, Doing::Settling) => State::ComingDown {
            asleep_at_s: not_settled.as_ref().and_then(|n| n.expected_at_s),
        },
        (None, _, Doing::Awake) => State::Awake,
        // A record of minutes that names a time at which it will know is merely short.
        (None, Some(n), _) if n.expected_at_s.is_none() && analysis.duration_s >= 300.0 => {
            State::Unclear {
                reason: n.reason.clone(),
            }
        }
        (None, ..) => State::TooEarly,
    }
}

/// A step down from sleep is no way to sleep.
fn after(before: &State, now: State) -> State {
    match (before, now) {
        (
            State::Asleep { draw: from, .. } | State::SteppedDown { from, .. },
            State::ComingDown { asleep_at_s },
        ) => State::SteppedDown {
            from: *from,
            asleep_at_s,
        },
        (_, now) => now,
    }
}

fn other_level(now: &State, before: &State) -> bool {
    let (State::Asleep { draw: now, .. }, State::Asleep { draw: before, .. }) = (now, before)
    else {
        return false;
    };
    let differs = (now.value - before.value).abs();
    differs > 3.0 * now.u.hypot(before.u) && differs > OTHER_LEVEL * before.value.abs()
}

/// The whole stream in a bounded number of points.
#[derive(Debug)]
struct Coarse {
    trace: Trace,
    /// Samples in a point.
    width: usize,
    /// The point that is being gathered.
    sum: f64,
    count: usize,
    start_s: f64,
}

impl Default for Coarse {
    fn default() -> Self {
        let trace = Trace {
            axis: TimeAxis::Stamps(Vec::new()),
            current_a: Vec::new(),
            voltage_v: None,
            source: Source::default(),
        };
        Self {
            trace,
            width: 1,
            sum: 0.0,
            count: 0,
            start_s: 0.0,
        }
    }
}

impl Coarse {
    fn len(&self) -> usize {
        self.trace.len()
    }

    /// Takes a sample; says whether a point is complete.
    fn push(&mut self, time_s: f64, current_a: f64) -> bool {
        if self.count == 0 {
            self.start_s = time_s;
        }
        self.sum += current_a;
        self.count += 1;
        if self.count < self.width {
            return false;
        }
        let mean = self.sum / self.count as f64;
        (self.sum, self.count) = (0.0, 0);
        self.trace.current_a.push(mean);
        if let TimeAxis::Stamps(stamps) = &mut self.trace.axis {
            stamps.push(self.start_s);
        }
        if self.trace.len() >= MOST_POINTS {
            self.join();
        }
        true
    }

    /// Joins neighbours.
    fn join(&mut self) {
        let pairs = self
            .trace
            .current_a
            .chunks_exact(2)
            .map(|pair| 0.5 * (pair[0] + pair[1]));
        self.trace.current_a = pairs.collect();
        if let TimeAxis::Stamps(stamps) = &mut self.trace.axis {
            *stamps = stamps.iter().step_by(2).copied().collect();
        }
        self.width *= 2;
    }
}
