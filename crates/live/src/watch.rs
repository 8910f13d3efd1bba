//! The running verdict.

use trace::{AnalyseOptions, Analysis, Exceeds, State as Doing, Trace, analyse};

use crate::pace::Pace;
use crate::source::Sample;
use crate::verdict::{Change, Level, State, Step, Verdict};
use crate::window::Window;

/// Seconds without a sample after which the source is said to have stalled (from memory) …
pub const STALL_S: f64 = 5.0;
/// … or so many times the usual time between arrivals, for a slow source. From memory.
const STALL_ARRIVALS: f64 = 3.0;
/// A settled draw is another one if it differs by three standard uncertainties and this share. From memory.
const OTHER_LEVEL: f64 = 0.05;
/// Changes that are kept for someone who asks late. A choice.
const MOST_CHANGES: usize = 10_000;

/// Watches a stream of samples and says what the vehicle is doing.
///
/// Level, state and answer to the limit are those of [`trace::analyse`] of the whole record so far, every sample of it, as
/// `nightdraw read` would give them: whoever holds the record gives it to [`look`](Self::look) when the watch is
/// [`due`](Self::due) or [`stale`](Self::stale). The work is at most some 65 analysed samples for one that came,
/// 33 in a long record, and a twenty-fifth of a processor beside. Between looks the last one's answer stands, which depends on the
/// clock as well as on the samples; that a draw stepped down from sleep, no look by itself can tell.
///
/// A step alone is told by the watch itself, within seconds however long the record is, for the person who has just pulled a fuse: an
/// analysis of a day at 100 Hz takes a second, so that one at every sample cannot be. The step comes from exact segmentation of the last
/// 4096 to 8192 samples; the next look says what it means, and until then the level is the window's. Memory is below a megabyte beside the record; while it is looked at,
/// the record lies in memory once more, as numbers of eight bytes.
#[derive(Debug)]
pub struct Watch {
    limit_a: f64,
    samples: u64,
    last: Option<Sample>,
    window: Window,
    pace: Pace,
    level: Option<Level>,
    /// A step was told since the last look, whose level is out of date.
    stepped: bool,
    state: State,
    /// The state that was told last.
    told: State,
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
            pace: Pace::default(),
            level: None,
            stepped: false,
            state: State::TooEarly,
            told: State::TooEarly,
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
            self.stepped = true;
            self.pace.wanted();
            self.note(Change::Step(step));
        }
        if self.expected_s().is_some_and(|at_s| sample.time_s >= at_s) {
            self.pace.wanted();
        }
        self.pace.sample();
    }

    /// Whether the record should be looked at now, by the samples alone.
    pub fn due(&self) -> bool {
        self.pace.due()
    }

    /// Whether the record should be looked at now because samples have come since it was, and time has passed; `now_s` is on the clock of
    /// [`Sample::arrival_s`].
    pub fn stale(&self, now_s: f64) -> bool {
        self.pace.stale(now_s)
    }

    /// Takes notice that there was no record to look at.
    pub fn let_pass(&mut self, now_s: f64) {
        self.pace.looked(now_s, 0);
    }

    /// Analyses the record, which must be of the samples pushed, and takes from it what is to be said.
    pub fn look(&mut self, record: &Trace, now_s: f64) -> Analysis {
        self.pace.looked(now_s, record.len());
        let options = AnalyseOptions {
            limit_a: self.limit_a,
            ..AnalyseOptions::default()
        };
        let analysis = analyse(record, &options);
        if let Some(last) = self.last {
            self.read(&analysis, last.time_s);
        }
        analysis
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
            level: self
                .level
                .filter(|_| !self.stepped)
                .or_else(|| self.window.level()),
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

    /// When a lower level would count as asleep.
    fn expected_s(&self) -> Option<f64> {
        match self.state {
            State::ComingDown { asleep_at_s } | State::SteppedDown { asleep_at_s, .. } => {
                asleep_at_s
            }
            _ => None,
        }
    }

    fn read(&mut self, analysis: &Analysis, now_s: f64) {
        self.stepped = false;
        self.level = analysis
            .segments
            .last()
            .filter(|segment| segment.level.value.is_finite())
            .map(|segment| Level {
                value: segment.level,
                since_s: segment.start_s,
            });
        self.state = after(&self.state, state_of(analysis));
        if !self.state.is_like(&self.told) || other_level(&self.state, &self.told) {
            self.told = self.state.clone();
            self.note(Change::State {
                at_s: now_s,
                state: self.state.clone(),
            });
        }
        if analysis.verdict.exceeds != self.exceeds {
            self.exceeds = analysis.verdict.exceeds;
            // "Not sure" because it woke up or fell silent is told by the state.
            if self.exceeds != Exceeds::Unsure || analysis.settled.is_some() {
                let because = analysis.verdict.because.clone();
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
