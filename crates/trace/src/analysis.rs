//! Everything a trace says, as plain values.

use measure::Uncertain;
use tongue::Message;

use crate::envelope::Envelope;
use crate::meter::Meter;
use crate::noise::Noise;
use crate::segment::{Fit, Loss, segment, segment_halves};
use crate::states::Sleep;
use crate::steps::{self, Act, Step};
use crate::voltage::{self, Finding};
use crate::zero::Zero;
use crate::{Source, Trace, average, batches, states, verdict};

/// What the vehicle was doing during a segment.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum State {
    /// Modules at work.
    Awake,
    /// On the way down, step by step.
    Settling,
    /// At the settled level.
    Asleep,
    /// A return from sleep that falls back to sleep.
    WakeUp,
    /// Not enough to tell.
    Unknown,
}

/// One level of the optimal piecewise-constant fit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Segment {
    /// First sample, zero-based.
    pub first: usize,
    /// Last sample, inclusive.
    pub last: usize,
    /// Time of the first sample.
    pub start_s: f64,
    /// Time at which the next segment starts (of the last sample, for the last segment).
    pub end_s: f64,
    /// Level in ampere; uncertainty respects autocorrelation.
    pub level: Uncertain,
    /// What the vehicle was doing.
    pub state: State,
}

/// The settled draw.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Settled {
    /// Since when.
    pub since_s: f64,
    /// How much, ampere.
    pub draw: Uncertain,
}

/// A moment, with the interval that holds it with 95 % probability.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Moment {
    /// As likely before as after.
    pub at_s: f64,
    /// 2.5 % quantile.
    pub low_s: f64,
    /// 97.5 % quantile.
    pub high_s: f64,
}

/// Why there is no settled draw yet.
#[derive(Debug, Clone, PartialEq)]
pub struct NotSettled {
    /// One sentence.
    pub reason: Message,
    /// When it should be, where that can be told.
    pub expected_at_s: Option<f64>,
}

/// One return from sleep.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WakeUp {
    /// Start of its first segment.
    pub start_s: f64,
    /// Start of the sleep after it.
    pub end_s: f64,
    /// Greatest sample, ampere.
    pub peak_a: f64,
    /// Charge above the settled level.
    pub extra_charge_ah: f64,
}

/// Returns from sleep.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct WakeUps {
    /// How many.
    pub count: usize,
    /// Time from one to the next, for three or more.
    pub period_s: Option<Uncertain>,
    /// Scatter of those times relative to their mean, beyond what sampling makes; 0 is a clock, 1 is chance.
    pub period_scatter: Option<f64>,
    /// Mean duration; `None` without any.
    pub mean_duration_s: Option<f64>,
    /// Charge above the settled level, all together.
    pub extra_charge_ah: f64,
}

/// Whether a figure lies above the limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Exceeds {
    /// Above, with at least 97.5 % probability.
    Yes,
    /// Below, with at least 97.5 % probability.
    No,
    /// Too close or not known.
    Unsure,
}

/// The trace against a limit.
#[derive(Debug, Clone, PartialEq)]
pub struct LimitVerdict {
    /// The limit, ampere.
    pub limit_a: f64,
    /// Above or not.
    pub exceeds: Exceeds,
    /// Why, one sentence.
    pub because: Message,
}

/// Settings of [`analyse`].
#[derive(Debug, Clone, PartialEq)]
pub struct AnalyseOptions {
    /// Limit for the draw, ampere.
    pub limit_a: f64,
    /// Penalty per change; `None` takes it from the noise.
    pub penalty: Option<f64>,
    /// Ordinary least squares without spike protection.
    pub plain: bool,
    /// What was done while the record ran.
    pub acts: Vec<Act>,
    /// The meter that wrote the log; `None` leaves its accuracy out of every figure but the verdict.
    pub meter: Option<Meter>,
    /// What [`Trace::without_zero`] took out of the record and what is left of it.
    pub zero: Option<Zero>,
}

impl Default for AnalyseOptions {
    fn default() -> Self {
        // 50 mA: trade rule, common practice.
        Self {
            limit_a: 0.050,
            penalty: None,
            plain: false,
            acts: Vec::new(),
            meter: None,
            zero: None,
        }
    }
}

/// Everything a trace says.
#[derive(Debug, Clone, PartialEq)]
pub struct Analysis {
    /// Where it came from.
    pub source: Source,
    /// First to last sample.
    pub duration_s: f64,
    /// Standard deviation of the noise, ampere.
    pub noise_a: f64,
    /// Smallest step of the record, ampere; 0 when none shows.
    pub resolution_a: f64,
    /// Penalty per change, ampere².
    pub penalty: f64,
    /// Penalised cost reached, ampere².
    pub cost: f64,
    /// The levels; they tile the trace.
    pub segments: Vec<Segment>,
    /// The settled draw, if it settled.
    pub settled: Option<Settled>,
    /// When it fell asleep, counted like the segments' times; `None` if it slept from the start or did not settle.
    pub time_to_sleep: Option<Moment>,
    /// Why not, if it did not.
    pub not_settled: Option<NotSettled>,
    /// Returns from sleep.
    pub wake_ups: WakeUps,
    /// Each of them, in order of time.
    pub events: Vec<WakeUp>,
    /// Lasting changes of the draw, in order of time, with what was done there.
    pub steps: Vec<Step>,
    /// What current and voltage say together.
    pub findings: Vec<Finding>,
    /// The clamp's zero that was taken out.
    pub zero: Option<Zero>,
    /// Time-weighted mean over the whole window, ampere.
    pub average: Uncertain,
    /// Charge over the whole window, ampere-hour.
    pub charge_ah: Uncertain,
    /// Asleep with its wake-ups, as it would go on, ampere.
    pub long_run: Option<Uncertain>,
    /// Against the limit.
    pub verdict: LimitVerdict,
    /// The whole trace in [`ENVELOPE_COLUMNS`] columns, for a picture.
    pub envelope: Envelope,
}

/// Samples from which both halves of a record are worked on at the same time. A choice: some milliseconds.
const LONG: usize = 1 << 16;

/// Columns of [`Analysis::envelope`]: enough for a wide screen.
pub const ENVELOPE_COLUMNS: usize = 1024;

/// The levels alone.
#[derive(Debug, Clone, PartialEq)]
pub struct Levels {
    /// They tile the trace; all states are unknown.
    pub segments: Vec<Segment>,
    /// Penalty per change, ampere².
    pub penalty: f64,
    /// Penalised cost reached, ampere²; see [`Fit::cost`].
    pub cost: f64,
    /// The noise that penalty and uncertainties came from.
    pub noise: Noise,
}

/// The levels of a trace without interpretation.
///
/// By default the loss is bounded (spikes do not make segments) and penalty and bound come from the
/// noise; with `options.plain` it is ordinary least squares. `cost` is the sum of squared residuals from
/// the segment means plus the penalty per change; with the bounded loss each residual counts at most the bound.
///
/// With a penalty of its own it works from the first sample to the last, as [`Running`](crate::Running) does that goes on from where it was.
/// The default penalty is another one for every length, so that nothing can go on; there a long record is worked on from both ends at once.
pub fn segment_only(trace: &Trace, options: &AnalyseOptions) -> Levels {
    let noise = Noise::of(&trace.current_a);
    let (loss, penalty) = ground(trace, options, &noise);
    let fit = if trace.len() < LONG || own_penalty(options).is_some() {
        segment(&trace.current_a, loss, penalty)
    } else {
        segment_halves(&trace.current_a, loss, penalty)
    };
    Levels {
        segments: to_segments(trace, &fit, &noise),
        penalty,
        cost: fit.cost,
        noise,
    }
}

/// The penalty that does not follow from the noise.
pub(crate) fn own_penalty(options: &AnalyseOptions) -> Option<f64> {
    options.penalty.filter(|p| *p > 0.0)
}

/// Loss and penalty for `trace`, whose noise is `noise`.
pub(crate) fn ground(trace: &Trace, options: &AnalyseOptions, noise: &Noise) -> (Loss, f64) {
    let penalty = own_penalty(options).unwrap_or_else(|| noise.penalty(trace.len()));
    let loss = if options.plain {
        Loss::Squares
    } else {
        Loss::Bounded { cap: noise.cap() }
    };
    (loss, penalty)
}

pub(crate) fn to_segments(trace: &Trace, fit: &Fit, noise: &Noise) -> Vec<Segment> {
    let end_of = |index: usize| fit.firsts.get(index + 1).copied().unwrap_or(trace.len());
    fit.firsts
        .iter()
        .enumerate()
        .map(|(index, &first)| {
            let end = end_of(index);
            Segment {
                first,
                last: end - 1,
                start_s: trace.time_s(first),
                end_s: trace.time_s(end.min(trace.len() - 1)),
                level: Uncertain::new(
                    fit.levels[index],
                    batches::u_of_level(&trace.current_a[first..end], fit.levels[index], noise),
                ),
                state: State::Unknown,
            }
        })
        .collect()
}

/// Segments the trace and reads sleep, wake-ups and averages from it.
///
/// An empty trace gives no segments, zero averages and a reason. What is not a number is bridged.
pub fn analyse(trace: &Trace, options: &AnalyseOptions) -> Analysis {
    let (levels, whole) = rayon::join(|| segment_only(trace, options), || Whole::of(trace));
    interpreted(trace, levels, whole, options)
}

/// What [`analyse`] makes of levels that [`segment_only`] found in the same trace with the same penalty and loss.
///
/// Where a fuse was pulled or put back ([`AnalyseOptions::acts`]), the vehicle is judged as it stood when the record began:
/// what the pull took away is given back to the samples after it, and the waking it caused is left out. Settled
/// draw, wake-ups and long-run average are so those of the whole vehicle; average and charge are of the record as it is.
pub fn interpret(trace: &Trace, levels: Levels, options: &AnalyseOptions) -> Analysis {
    interpreted(trace, levels, Whole::of(trace), options)
}

/// What can be told of the whole trace without its levels.
struct Whole {
    integral: average::Integral,
    envelope: Envelope,
}

impl Whole {
    fn of(trace: &Trace) -> Self {
        let (start_s, end_s) = ends(trace);
        Self {
            integral: average::integrate(trace, 0, trace.len().saturating_sub(1)),
            envelope: Envelope::of(trace, start_s, end_s, ENVELOPE_COLUMNS),
        }
    }
}

fn interpreted(trace: &Trace, levels: Levels, whole: Whole, options: &AnalyseOptions) -> Analysis {
    let Levels {
        mut segments,
        penalty,
        cost,
        noise,
    } = levels;
    let meter = options.meter.as_ref();
    let mut steps = steps::matched(trace, &segments, &noise, &options.acts, meter);
    let mut sleep = asleep(trace, &mut segments, &noise, options.limit_a, &steps);
    let (mut average, mut charge_ah) =
        average::whole(trace, &whole.integral, &noise, &segments, sleep.brief_as2);
    let zero_a = options.zero.as_ref().and_then(|zero| zero.u_a);
    if meter.is_some() || zero_a.is_some() {
        let left = |current_a: f64| {
            meter
                .map_or(0.0, |meter| meter.u_of(current_a))
                .hypot(zero_a.unwrap_or(0.0))
        };
        let added = |mean: Uncertain| mean.widened(left(mean.value));
        sleep.settled = sleep.settled.map(|settled| Settled {
            draw: added(settled.draw),
            ..settled
        });
        sleep.long_run = sleep.long_run.map(added);
        let hours = average::hours(average, charge_ah);
        average = added(average);
        charge_ah = charge_ah.widened(left(average.value) * hours);
    }
    let verdict = verdict::judge(options.limit_a, &sleep, meter.is_some());
    let findings = voltage::findings(trace, &segments);
    let others = steps::others(trace, &segments, &noise, &steps, meter);
    steps.extend(others);
    steps.sort_by(|a, b| a.at_s.total_cmp(&b.at_s));
    let (start_s, end_s) = ends(trace);
    Analysis {
        source: trace.source.clone(),
        duration_s: end_s - start_s,
        noise_a: noise.sigma,
        resolution_a: noise.resolution,
        penalty,
        cost,
        segments,
        settled: sleep.settled,
        time_to_sleep: sleep.time_to_sleep,
        not_settled: sleep.not_settled,
        wake_ups: sleep.wake_ups,
        events: sleep.events,
        steps,
        findings,
        zero: options.zero.clone(),
        average,
        charge_ah,
        long_run: sleep.long_run,
        verdict,
        envelope: whole.envelope,
    }
}

/// Sleep, with what pulls and refits changed undone; sets the states of `segments`.
fn asleep(
    trace: &Trace,
    segments: &mut [Segment],
    noise: &Noise,
    limit_a: f64,
    steps: &[Step],
) -> Sleep {
    let Some(whole) = steps::undone(trace, segments, steps) else {
        return states::read(trace, segments, noise, limit_a, &steps::Hands::default());
    };
    let mut restored = whole.segments;
    let sleep = states::read(&whole.trace, &mut restored, noise, limit_a, &whole.hands);
    for (segment, restored) in segments.iter_mut().zip(&restored) {
        segment.state = restored.state;
    }
    sleep
}

/// Time of the first and of the last sample.
fn ends(trace: &Trace) -> (f64, f64) {
    match trace.len().checked_sub(1) {
        Some(last) => (trace.time_s(0), trace.time_s(last)),
        None => (0.0, 0.0),
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::TimeAxis;
    use crate::segment::Segmenter;

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(12))]

        /// Fed sample by sample, saved and taken up again on the way, the engine's levels give the same states,
        /// sleep and averages as the batch at any prefix.
        #[test]
        fn every_prefix_is_interpreted_as_the_batch(
            parts in prop::collection::vec((60usize..500, prop::sample::select(&[0.03, 0.4, 2.0, 0.031][..])), 2..6),
            every in 97usize..300,
        ) {
            let levels = parts.iter().flat_map(|&(n, level)| std::iter::repeat_n(level, n));
            let samples: Vec<f64> = levels
                .enumerate()
                .map(|(i, level)| level + 0.002 * ((i as f64 * 0.618_033_988_75).fract() - 0.5))
                .collect();
            let penalty = 1e-4;
            let options = AnalyseOptions { penalty: Some(penalty), plain: true, ..AnalyseOptions::default() };
            let mut segmenter = Segmenter::new(Loss::Squares, penalty);
            let mut trace = Trace {
                axis: TimeAxis::Regular { interval_s: 10.0 },
                current_a: Vec::new(),
                voltage_v: None,
                source: Source { interval_s: 10.0, ..Source::default() },
            };
            for (index, &sample) in samples.iter().enumerate() {
                segmenter.push(sample);
                trace.current_a.push(sample);
                if index % every == 0 {
                    segmenter = Segmenter::from_bytes(&segmenter.to_bytes()).unwrap();
                    let fit = segmenter.fit(&trace.current_a);
                    let noise = Noise::of(&trace.current_a);
                    let levels = Levels {
                        segments: to_segments(&trace, &fit, &noise),
                        penalty,
                        cost: fit.cost,
                        noise,
                    };
                    prop_assert_eq!(interpret(&trace, levels, &options), analyse(&trace, &options));
                }
            }
        }
    }
}
