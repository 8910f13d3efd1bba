//! From stamps to a time axis.

use crate::model::{Gap, TimeAxis};

use super::number::Digits;
use super::stamps::Stamps;

/// Steps from which the median is taken; every one of them in files up to this size.
const MEDIAN_STEPS: usize = 1 << 17;
/// A step longer than this many usual ones is a gap (common practice).
const GAP_STEPS: f64 = 3.0;
/// Stamps coarser than this share of the interval say too little to call uneven ones even.
const FINE: f64 = 0.1;

/// A time axis with what was found on the way.
#[derive(Debug)]
pub(super) struct Axis {
    pub(super) axis: TimeAxis,
    pub(super) interval_s: f64,
    pub(super) gaps: Vec<Gap>,
    pub(super) notes: Vec<String>,
}

/// Rows that were counted.
pub(super) fn counted(interval_s: f64) -> Axis {
    Axis {
        axis: TimeAxis::Regular { interval_s },
        interval_s,
        gaps: Vec::new(),
        notes: Vec::new(),
    }
}

/// `raw` never decreases; times `num / den` it is seconds. `digits` says how finely it was written.
pub(super) fn stamped(stamps: Stamps, num: f64, den: f64, digits: Digits) -> Axis {
    let mut notes = Vec::new();
    let first = stamps.first().unwrap_or(0.0);
    let last = stamps.last().unwrap_or(0.0);
    if let Some(interval) = even_interval(&stamps, digits) {
        let interval_s = interval * num / den;
        let reach = num / den;
        let exact = |k: usize, t: f64| ((t - first) - k as f64 * interval).abs() <= 1e-6 * interval;
        if stamps.len() > 2 && !stamps.all(exact) {
            notes.push(format!("samples were taken to be evenly spaced, {} s apart; the stamps differ from that by no more than their rounding ({} s)", short(interval_s), short(digits.resolution(last) * reach)));
        }
        return Axis {
            axis: TimeAxis::Regular { interval_s },
            interval_s,
            gaps: Vec::new(),
            notes,
        };
    }
    let mut raw = stamps.into_vec();
    for t in &mut raw {
        *t = (*t - first) * num / den;
    }
    let (zeros, median) = steps(&raw);
    if zeros * 2 > raw.len() && median > 0.0 {
        spread(&mut raw, median);
        notes.push(format!("several samples share each stamp; they were spread evenly over the {} s between stamps", short(median)));
    } else if zeros > 0 {
        notes.push(format!(
            "{zeros} samples have the same stamp as the one before"
        ));
    }
    let (_, interval_s) = steps(&raw);
    let gaps: Vec<Gap> = raw
        .windows(2)
        .filter(|w| interval_s > 0.0 && w[1] - w[0] > GAP_STEPS * interval_s)
        .map(|w| Gap {
            start_s: w[0],
            end_s: w[1],
        })
        .collect();
    Axis {
        axis: TimeAxis::Stamps(raw),
        interval_s,
        gaps,
        notes,
    }
}

/// The interval of stamps that are even within their own rounding.
fn even_interval(raw: &Stamps, digits: Digits) -> Option<f64> {
    let (first, last) = (raw.first()?, raw.last()?);
    let steps = raw.len() - 1;
    let interval = (last - first) / steps.max(1) as f64;
    if interval <= 0.0 {
        return None;
    }
    let fixed = digits.resolution(0.0);
    let fine = fixed <= FINE * interval;
    // Loggers sample at round intervals: one that is a whole number of last digits goes first.
    // Divided, since a tenth is nearer to 1/10 than to 100 000 × 1e-6.
    let power = 10.0_f64.powi(digits.decimals as i32);
    let round = (interval * power).round() / power;
    let rounding = Rounding {
        digits,
        fine,
        first,
        last,
        steps,
    };
    let round =
        Some(round).filter(|r| fine && (r - interval).abs() * steps as f64 <= rounding.of(last));
    round
        .into_iter()
        .chain([interval])
        .find(|i| rounding.allows(raw, *i))
}

/// How far stamps may be off an even row by rounding or cutting alone.
struct Rounding {
    digits: Digits,
    fine: bool,
    first: f64,
    last: f64,
    steps: usize,
}

impl Rounding {
    fn of(&self, stamp: f64) -> f64 {
        if self.fine {
            self.digits.resolution(stamp)
        } else {
            0.0
        }
    }

    fn allows(&self, raw: &Stamps, interval: f64) -> bool {
        let float = f64::EPSILON * self.last.abs().max(self.first.abs()) * 4.0;
        let exact = float + 1e-9 * interval;
        let (at_first, at_last) = (self.of(self.first), self.of(self.last));
        raw.all(|k, t| {
            let off = ((t - self.first) - k as f64 * interval).abs();
            // The interval comes from the last stamp, so its rounding counts in proportion.
            let tilt = at_last * k as f64 / self.steps.max(1) as f64;
            off <= exact || off <= self.of(t) + at_first + tilt + float
        })
    }
}

/// How many steps are zero, and the median of the others.
fn steps(times: &[f64]) -> (usize, f64) {
    let zeros = times.windows(2).filter(|w| w[1] == w[0]).count();
    let stride = (times.len() / MEDIAN_STEPS).max(1);
    let mut positive: Vec<f64> = times
        .windows(2)
        .step_by(stride)
        .map(|w| w[1] - w[0])
        .filter(|d| *d > 0.0)
        .collect();
    if positive.is_empty() {
        return (zeros, 0.0);
    }
    let middle = positive.len() / 2;
    let (_, median, _) = positive.select_nth_unstable_by(middle, f64::total_cmp);
    (zeros, *median)
}

/// Spreads samples of one stamp over the time to the next, but no longer than a usual step.
fn spread(times: &mut [f64], usual: f64) {
    let mut from = 0;
    while from < times.len() {
        let stamp = times[from];
        let to = times[from..]
            .iter()
            .position(|t| *t != stamp)
            .map_or(times.len(), |n| from + n);
        let width = times
            .get(to)
            .map_or(usual, |next| (next - stamp).min(usual));
        let count = (to - from) as f64;
        for (k, t) in times[from..to].iter_mut().enumerate() {
            *t = stamp + width * k as f64 / count;
        }
        from = to;
    }
}

/// A figure for a sentence: six significant digits at most.
pub(super) fn short(value: f64) -> String {
    let text = format!("{value:.5e}");
    text.parse::<f64>().map_or(text, |v| v.to_string())
}
