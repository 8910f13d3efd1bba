//! Virtual nights with known truth, and how often the stated 95 % intervals contain it. Invented.
#![allow(dead_code)]

use measure::{How, Instrument, InstrumentKind};
use trace::{Act, AnalyseOptions, Exceeds, Meter, Source, TimeAxis, Trace, Way, analyse};

#[path = "../synthetic/mod.rs"]
mod synthetic;

use synthetic::Random;

/// One night as it really was, and as a meter showed it.
pub(crate) struct Night {
    pub(crate) trace: Trace,
    pub(crate) asleep_a: f64,
    /// The same until the pull.
    pub(crate) asleep_before_a: f64,
    pub(crate) average_a: f64,
    pub(crate) long_run_a: f64,
    pub(crate) sleeps_at_s: f64,
    pub(crate) period_s: Option<f64>,
    /// Standard deviation of the times from one return to the next, relative to their mean.
    pub(crate) jitter: f64,
    /// When a fuse was pulled, and by how much the draw fell.
    pub(crate) pull: Option<(f64, f64)>,
    /// The meter, where it is stated; its scale and zero are off as its accuracy says.
    pub(crate) meter: Option<Meter>,
}

/// A stated meter and how far this one's scale and zero are off. Makers promise limits, and the GUM makes u = a/√3 of them; errors
/// are drawn from a normal distribution with that u, since with errors spread evenly between the limits ±1.96 u
/// holds them all and a calibration would see nothing.
fn meter(random: &mut Random, digit: f64) -> (Meter, MeterError) {
    let mut between = |a: f64, b: f64| a + (b - a) * random.uniform();
    let percent = [0.5, 1.0, 2.0][between(0.0, 2.999) as usize];
    let digits = [2.0, 5.0][between(0.0, 1.999) as usize];
    let step = if digit > 0.0 { digit } else { 1e-4 };
    let instrument = Instrument {
        id: "logger".into(),
        kind: InstrumentKind::InLine,
        accuracy_percent: percent,
        digits,
        resolution: Some(step),
        zero_set: false,
    };
    let error = MeterError {
        share: percent / 100.0,
        counts_a: digits * step,
        common: random.normal(),
        uneven: random.normal(),
        phase: random.uniform() * std::f64::consts::TAU,
    };
    (Meter::new(instrument, How::InLine), error)
}

/// The error of one meter within its limit a(I) = share I + counts: half of its variance is the same part of the limit at every
/// current, half is unevenness of the scale, in waves of 0.2 A.
#[derive(Default)]
struct MeterError {
    share: f64,
    counts_a: f64,
    common: f64,
    uneven: f64,
    phase: f64,
}

impl MeterError {
    fn at(&self, current_a: f64) -> f64 {
        let u = (self.share * current_a.abs() + self.counts_a) / 3.0_f64.sqrt();
        let wave = (self.phase + current_a / 0.2 * std::f64::consts::TAU).sin();
        u * (self.common / 2.0_f64.sqrt() + self.uneven * wave)
    }
}

struct Wakes {
    starts_s: Vec<f64>,
    duration_s: f64,
    extra_a: f64,
}

/// Draws one night. `pulls`: a fuse is pulled while it sleeps, with a return from sleep by the opened door.
pub(crate) fn night(seed: u64, pulls: bool) -> Night {
    let mut random = Random::new(seed);
    let mut between = |a: f64, b: f64| a + (b - a) * random.uniform();
    let interval = [0.5, 1.0, 2.0, 5.0][between(0.0, 3.999) as usize];
    let duration = between(5.0, 11.0) * 3600.0;
    let asleep = (between(8e-3_f64.ln(), 0.8_f64.ln())).exp();
    let mut stairs = Vec::new();
    let mut level = asleep;
    for _ in 0..between(1.0, 4.999) as usize {
        level = level * between(1.5, 4.0) + 0.02;
        stairs.push(level);
    }
    stairs.push(level + between(1.0, 6.0));
    stairs.reverse();
    let mut edges = Vec::new();
    let mut time = 0.0;
    for _ in &stairs {
        time += between(60.0, 1200.0);
        edges.push(time);
    }
    let sleeps_at = time;
    let pull = pulls.then(|| {
        (
            sleeps_at + (duration - sleeps_at) * between(0.4, 0.7),
            asleep * between(0.1, 0.7),
        )
    });
    let habit = if pulls { 1.0 } else { between(0.0, 1.0) };
    let mean_period = between(400.0, 3600.0);
    let jitter = [0.0, 0.02, 0.2][between(0.0, 2.999) as usize];
    // Some are over within two to five samples.
    let brief = !pulls && between(0.0, 1.0) < 0.2;
    let mut wakes = Wakes {
        starts_s: Vec::new(),
        duration_s: if brief {
            interval * between(2.0, 5.0)
        } else {
            between(10.0, 90.0)
        },
        extra_a: between(0.3, 3.0),
    };
    if let Some((at, _)) = pull {
        wakes.starts_s.push(at - 5.0);
    } else if habit < 0.6 {
        let mut at = sleeps_at;
        loop {
            let scatter = 3.0_f64.sqrt() * jitter * between(-1.0, 1.0);
            at += mean_period * (1.0 + scatter);
            if at + wakes.duration_s + 60.0 >= duration {
                break;
            }
            wakes.starts_s.push(at);
        }
    }
    let noise_a = between(3e-4_f64.ln(), 6e-3_f64.ln()).exp();
    let digit = [0.0, 1e-3, 1e-3, 1e-2][between(0.0, 3.999) as usize];
    let rho = [0.0, 0.0, 0.5, 0.7, 0.9][between(0.0, 4.999) as usize];
    let spikes = if between(0.0, 1.0) < 0.3 { 0.003 } else { 0.0 };
    let creep = if between(0.0, 1.0) < 0.25 {
        between(-1.0, 1.0) * noise_a
    } else {
        0.0
    };
    let stated = between(0.0, 1.0) < 0.33;
    let (meter, error) = if stated {
        let (meter, error) = meter(&mut random, digit);
        (Some(meter), error)
    } else {
        (None, MeterError::default())
    };
    let gaps: Vec<(f64, f64)> = if random.uniform() < 0.2 {
        (0..1 + (random.uniform() * 2.999) as usize)
            .map(|_| {
                let from = duration * (0.05 + 0.85 * random.uniform());
                (from, from + 60.0 + 2000.0 * random.uniform())
            })
            .collect()
    } else {
        Vec::new()
    };
    let truth = |t: f64| {
        let place = edges.partition_point(|e| *e <= t);
        let mut level = stairs.get(place).copied().unwrap_or(asleep);
        if let Some((at, by)) = pull {
            level -= if t >= at { by } else { 0.0 };
        }
        let before = wakes.starts_s.partition_point(|s| *s <= t);
        let waking = before > 0 && t < wakes.starts_s[before - 1] + wakes.duration_s;
        level + if waking { wakes.extra_a } else { 0.0 }
    };
    let zero = |t: f64| creep * (t / duration - 0.5);
    let count = (duration / interval) as usize;
    let times: Vec<f64> = (0..count).map(|i| i as f64 * interval).collect();
    let mut state = random.normal();
    let current_a: Vec<f64> = (0..count)
        .map(|i| {
            let t = i as f64 * interval;
            state = rho * state + (1.0 - rho * rho).sqrt() * random.normal();
            let flows = truth(t);
            let mut y = flows + error.at(flows) + zero(t) + noise_a * state;
            if random.uniform() < spikes {
                y += 50.0 * noise_a * random.normal();
            }
            if digit > 0.0 {
                (y / digit).round() * digit
            } else {
                y
            }
        })
        .collect();
    // The charge of the whole window, exactly: levels times times, and the returns.
    let mut charge = 0.0;
    let mut from = 0.0;
    let end = (count - 1) as f64 * interval;
    for (edge, level) in edges.iter().zip(&stairs) {
        charge += level * (edge - from);
        from = *edge;
    }
    charge +=
        asleep * (end - from) + wakes.starts_s.len() as f64 * wakes.duration_s * wakes.extra_a;
    if let Some((at, by)) = pull {
        charge -= by * (end - at);
    }
    let waking = if wakes.starts_s.is_empty() {
        0.0
    } else {
        wakes.extra_a * wakes.duration_s / mean_period
    };
    let source = Source {
        interval_s: interval,
        rows: count as u64,
        ..Source::default()
    };
    Night {
        trace: clocked(seed, without(&gaps, interval, times, current_a, source)),
        asleep_before_a: asleep + zero(0.5 * (sleeps_at + pull.map_or(duration, |(at, _)| at))),
        // The zero where the vehicle sleeps is part of what a log can know.
        asleep_a: asleep + zero(0.5 * (sleeps_at + duration)),
        average_a: charge / end,
        long_run_a: asleep + waking + zero(0.5 * (sleeps_at + duration)),
        sleeps_at_s: sleeps_at,
        period_s: (wakes.starts_s.len() >= 3).then_some(mean_period),
        jitter,
        pull,
        meter,
    }
}

/// One night in six as the reader makes it of a log with a local clock, begun at 22:30: times of day that pass midnight, a clock
/// that is put back at three, or one that is put forward at two.
fn clocked(seed: u64, trace: Trace) -> Trace {
    const DAY_S: f64 = 86_400.0;
    let (evening, morning) = match seed % 18 {
        5 => ("", ""),
        11 => ("2026-10-24 ", "2026-10-25 "),
        17 => ("2026-03-28 ", "2026-03-29 "),
        _ => return trace,
    };
    let mut log = String::from("time,current_A\n");
    for (index, current_a) in trace.current_a.iter().enumerate() {
        let mut clock_s = 22.5 * 3600.0 + trace.time_s(index);
        if seed % 18 == 11 && clock_s >= DAY_S + 3.0 * 3600.0 {
            clock_s -= 3600.0;
        } else if seed % 18 == 17 && clock_s >= DAY_S + 2.0 * 3600.0 {
            clock_s += 3600.0;
        }
        let date = if clock_s < DAY_S { evening } else { morning };
        let tenths = (10.0 * clock_s).round() as u64 % 864_000;
        let (hour, minute, second) = (tenths / 36_000, tenths / 600 % 60, tenths / 10 % 60);
        let tenth = tenths % 10;
        log += &format!("{date}{hour:02}:{minute:02}:{second:02}.{tenth},{current_a:.6}\n");
    }
    let read = trace::readers::read(log.as_bytes(), &trace::readers::ReadOptions::default());
    let whole = matches!(trace.axis, TimeAxis::Regular { .. });
    let end = trace.len() - 1;
    match read {
        Ok(read)
            if read.len() == trace.len() && (read.time_s(end) - trace.time_s(end)).abs() < 1.0 =>
        {
            read
        }
        // Where a gap lies at the jump the reader cannot know; such a night keeps its own clock.
        other => {
            assert!(!whole, "{seed}: {:?}", other.map(|read| read.len()));
            trace
        }
    }
}

/// The record without the samples of the gaps.
fn without(
    gaps: &[(f64, f64)],
    interval_s: f64,
    times: Vec<f64>,
    current_a: Vec<f64>,
    source: Source,
) -> Trace {
    let seen = |t: f64| !gaps.iter().any(|(from, to)| (*from..*to).contains(&t));
    let (axis, current_a) = if gaps.is_empty() {
        (TimeAxis::Regular { interval_s }, current_a)
    } else {
        let kept = times.into_iter().zip(current_a).filter(|(t, _)| seen(*t));
        let (stamps, current_a): (Vec<f64>, Vec<f64>) = kept.unzip();
        (TimeAxis::Stamps(stamps), current_a)
    };
    Trace {
        axis,
        current_a,
        voltage_v: None,
        source,
    }
}

/// How often something was said, and how often it was right.
#[derive(Default, Clone, Copy)]
pub(crate) struct Tally {
    pub(crate) said: u32,
    pub(crate) inside: u32,
    pub(crate) asked: u32,
}

impl Tally {
    fn take(&mut self, said: Option<bool>) {
        self.asked += 1;
        self.said += u32::from(said.is_some());
        self.inside += u32::from(said == Some(true));
    }

    pub(crate) fn share(&self) -> f64 {
        f64::from(self.inside) / f64::from(self.said.max(1))
    }
}

pub(crate) const FIGURES: [&str; 7] = [
    "settled draw",
    "average",
    "long-run average",
    "time to sleep",
    "wake-up period",
    "step size",
    "draw before a pull",
];

/// Tallies of [`FIGURES`], and wrong verdicts.
pub(crate) fn tally(seeds: std::ops::Range<u64>, say: bool) -> ([Tally; 7], Tally) {
    let mut out = [Tally::default(); 7];
    let mut verdicts = Tally::default();
    for seed in seeds {
        let one = night(seed, false);
        let options = AnalyseOptions {
            meter: one.meter.clone(),
            ..AnalyseOptions::default()
        };
        let found = analyse(&one.trace, &options);
        let holds = |u: measure::Uncertain, truth: f64| {
            let (low, high) = u.interval95();
            (low..=high).contains(&truth)
        };
        let answers = [
            found.settled.map(|s| holds(s.draw, one.asleep_a)),
            Some(holds(found.average, one.average_a)),
            found.long_run.map(|u| holds(u, one.long_run_a)),
            found
                .time_to_sleep
                .map(|t| (t.low_s..=t.high_s).contains(&one.sleeps_at_s)),
            one.period_s
                .and_then(|p| found.wake_ups.period_s.map(|u| holds(u, p))),
        ];
        for (which, answer) in answers.into_iter().enumerate() {
            if which == 4 && one.period_s.is_none() {
                continue;
            }
            out[which].take(answer);
            if say && answer == Some(false) {
                #[allow(clippy::print_stdout)]
                {
                    let (settled, long) = (found.settled.map(|s| s.draw), found.long_run);
                    println!(
                        "{seed}: {} missed: settled {settled:?} truth {}; average {:?} truth {}; long run {long:?} truth {}; sleep {:?} truth {}; {:?} truth {:?}; {} segments, noise {} digit {}",
                        FIGURES[which],
                        one.asleep_a,
                        found.average,
                        one.average_a,
                        one.long_run_a,
                        found.time_to_sleep,
                        one.sleeps_at_s,
                        found.wake_ups.period_s,
                        one.period_s,
                        found.segments.len(),
                        found.noise_a,
                        found.resolution_a
                    );
                }
            }
        }
        let above = one.long_run_a > found.verdict.limit_a;
        verdicts.take(match found.verdict.exceeds {
            Exceeds::Yes => Some(above),
            Exceeds::No => Some(!above),
            Exceeds::Unsure => None,
        });
        let pulled = night(seed, true);
        if let Some((at, by)) = pulled.pull {
            let act = Act {
                at_s: at,
                way: Way::Down,
                what: "pulled".into(),
                entry: None,
            };
            let options = AnalyseOptions {
                meter: pulled.meter.clone(),
                acts: vec![act],
                ..AnalyseOptions::default()
            };
            let found = analyse(&pulled.trace, &options);
            let step = found.steps.iter().find(|s| s.act.is_some());
            out[5].take(step.map(|s| holds(s.size, -by)));
            // The vehicle as it stood before the pull; its zero creeps, which a short sleep sees in part.
            out[6].take(found.settled.map(|s| holds(s.draw, pulled.asleep_before_a)));
            if say && step.is_some_and(|s| !holds(s.size, -by)) {
                #[allow(clippy::print_stdout)]
                {
                    println!("{seed}: step missed: {step:?} truth {at} {by}");
                }
            }
        }
    }
    (out, verdicts)
}
