//! Axes: round steps of current and of time, and clock times.

use tongue::{number, say};

use crate::words;

/// Steps of time that people count in, seconds.
const STEPS_S: [f64; 24] = [
    1.0,
    2.0,
    5.0,
    10.0,
    15.0,
    30.0,
    60.0,
    120.0,
    300.0,
    600.0,
    900.0,
    1800.0,
    3600.0,
    7200.0,
    10_800.0,
    21_600.0,
    43_200.0,
    86_400.0,
    172_800.0,
    604_800.0,
    1_209_600.0,
    2_592_000.0,
    7_776_000.0,
    31_536_000.0,
];

/// A place on the time axis and its words.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Tick {
    pub(crate) at_s: f64,
    pub(crate) label: String,
}

/// Ticks from `from_s` to `to_s`, at most `most`. With `clock_s`, the second of
/// the day at time 0, they stand on whole clock times.
pub(crate) fn time_ticks(from_s: f64, to_s: f64, most: usize, clock_s: Option<f64>) -> Vec<Tick> {
    let span = to_s - from_s;
    if !(span > 0.0 && span.is_finite()) || most == 0 {
        return Vec::new();
    }
    let step = STEPS_S
        .iter()
        .copied()
        .find(|s| span / s <= most as f64)
        .unwrap_or_else(|| round_step(span / most as f64));
    let offset = clock_s.unwrap_or(0.0);
    let first = ((from_s + offset) / step).ceil() as i64;
    (first..first + most as i64 + 2)
        .map(|k| k as f64 * step - offset)
        .take_while(|t| *t <= to_s)
        .map(|at_s| Tick {
            at_s,
            label: match clock_s {
                Some(clock) => clock_time(clock + at_s, step),
                None if span < 1.0 => number(&format!(
                    "{} ms",
                    measure::quantity::significant(at_s * 1e3, 4)
                )),
                None => elapsed(at_s, step),
            },
        })
        .collect()
}

fn elapsed(at_s: f64, step: f64) -> String {
    if at_s == 0.0 {
        return "0".into();
    }
    if step >= 86_400.0 {
        return format!("{:.0} d", at_s / 86_400.0);
    }
    if step >= 60.0 {
        words::duration(at_s)
    } else {
        clock_like(at_s)
    }
}

/// `4:05` for minutes and seconds.
fn clock_like(at_s: f64) -> String {
    if at_s.abs() < 60.0 {
        return number(&format!("{} s", measure::quantity::significant(at_s, 4)));
    }
    let whole = at_s.round() as i64;
    if whole < 3600 {
        return format!("{}:{:02} min", whole / 60, whole % 60);
    }
    format!(
        "{}:{:02}:{:02} h",
        whole / 3600,
        whole / 60 % 60,
        whole % 60
    )
}

/// `22:10`, with seconds where the step needs them.
pub(crate) fn clock_time(second: f64, step: f64) -> String {
    let of_day = (second.rem_euclid(86_400.0)).round() as i64 % 86_400;
    let (h, m, s) = (of_day / 3600, of_day / 60 % 60, of_day % 60);
    if step < 60.0 {
        format!("{h}:{m:02}:{s:02}")
    } else {
        format!("{h}:{m:02}")
    }
}

/// Second of the day in a time such as `2026-03-02T20:10:00Z` or `20:10:05`,
/// as the file gives it; its zone is left aside.
pub(crate) fn second_of_day(start: &str) -> Option<f64> {
    let time = start
        .trim()
        .rsplit(['T', 't', ' '])
        .find(|part| part.contains(':'))?;
    let time = time.split(['Z', 'z', '+', '[']).next()?;
    // A zone such as -05:00 follows the time; the date's hyphens are already gone.
    let time = time.split('-').next()?;
    let mut parts = time.split(':');
    let h: f64 = parts.next()?.parse().ok()?;
    let m: f64 = parts.next()?.parse().ok()?;
    let s: f64 = parts
        .next()
        .map_or(Some(0.0), |s| s.replace(',', ".").parse().ok())?;
    let fits = (0.0..24.0).contains(&h) && (0.0..60.0).contains(&m) && (0.0..61.0).contains(&s);
    fits.then_some(h * 3600.0 + m * 60.0 + s)
}

/// The smallest of 1, 2, 5 × 10ⁿ that is not below `least`.
pub(crate) fn round_step(least: f64) -> f64 {
    if !(least > 0.0 && least.is_finite()) {
        return 1.0;
    }
    let decade = 10f64.powf(least.log10().floor());
    [1.0, 2.0, 5.0, 10.0]
        .iter()
        .map(|k| k * decade)
        .find(|s| *s >= least * (1.0 - 1e-12))
        .unwrap_or(10.0 * decade)
}

/// A scale of current: straight, or straight near zero and logarithmic above
/// (inverse hyperbolic sine), so that 23 mA and 8 A both show.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Scale {
    /// Straight from low to high.
    Linear { low: f64, high: f64 },
    /// Logarithmic beyond `knee`.
    Log { low: f64, high: f64, knee: f64 },
}

impl Scale {
    /// A scale that holds `low..=high` and shows `detail`, a small current of interest.
    pub(crate) fn choose(low: f64, high: f64, detail: f64) -> Self {
        let low = if low.is_finite() { low.min(0.0) } else { 0.0 };
        let high = if high.is_finite() && high > low {
            high
        } else {
            low + 1e-3
        };
        let detail = if detail.is_finite() {
            detail.max(1e-4)
        } else {
            1e-3
        };
        if high / detail < 15.0 {
            return Self::Linear {
                low: low * 1.05,
                high: low + (high - low) * 1.1,
            };
        }
        let knee = 10f64.powf(detail.log10().floor());
        // A stray reading below zero must not eat the picture.
        let low = low.max(-10.0 * knee);
        Self::Log {
            low: low * 1.05,
            high: high * 1.25,
            knee,
        }
    }

    /// 0 at the bottom, 1 at the top; kept within the picture.
    pub(crate) fn place(self, a: f64) -> f64 {
        let (low, high, at) = match self {
            Self::Linear { low, high } => (low, high, a),
            Self::Log { low, high, knee } => (
                (low / knee).asinh(),
                (high / knee).asinh(),
                (a / knee).asinh(),
            ),
        };
        ((at - low) / (high - low)).clamp(0.0, 1.0)
    }

    /// Currents worth a line, most important first.
    pub(crate) fn ticks(self) -> Vec<f64> {
        match self {
            Self::Linear { low, high } => {
                let step = round_step((high - low) / 5.0);
                let first = (low / step).ceil() as i64;
                (first..first + 12)
                    .map(|k| k as f64 * step)
                    .take_while(|a| *a <= high)
                    .collect()
            }
            Self::Log { low, high, knee } => {
                let decades: Vec<f64> = (0..9)
                    .map(|k| knee * 10f64.powi(k))
                    .take_while(|a| *a <= high)
                    .collect();
                let mut ticks = vec![0.0];
                ticks.extend(&decades);
                if low < -knee {
                    ticks.push(-knee);
                }
                for k in [3.0, 2.0, 5.0] {
                    ticks.extend(decades.iter().map(|d| d * k).filter(|a| *a <= high));
                }
                ticks
            }
        }
    }

    /// What to write beside the axis.
    pub(crate) fn says(self) -> String {
        match self {
            Self::Linear { .. } => say::picture::straight().to_string(),
            Self::Log { knee, .. } => say::picture::logarithmic(words::current(knee)).to_string(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ticks_stand_on_round_times() {
        let ticks = time_ticks(0.0, 36_000.0, 6, None);
        let labels: Vec<&str> = ticks.iter().map(|t| t.label.as_str()).collect();
        assert_eq!(labels, ["0", "2 h", "4 h", "6 h", "8 h", "10 h"]);
        let ticks = time_ticks(0.0, 36_000.0, 6, second_of_day("2026-03-02T22:10:00+01:00"));
        assert_eq!(ticks[0].label, "0:00");
        assert_eq!(ticks[0].at_s, 6600.0);
        assert!(time_ticks(5.0, 5.0, 6, None).is_empty());
        for span in [0.3, 7.0, 100.0, 5e3, 9e4, 4e6, 3e9] {
            let ticks = time_ticks(0.0, span, 8, None);
            assert!((1..=9).contains(&ticks.len()), "{span}: {}", ticks.len());
        }
    }

    #[test]
    fn reads_the_clock() {
        assert_eq!(second_of_day("2026-03-02T20:10:00Z"), Some(72_600.0));
        assert_eq!(second_of_day("2026-03-02 20:10:30,5"), Some(72_630.5));
        assert_eq!(second_of_day("2026-03-02T20:10:00-05:00"), Some(72_600.0));
        assert_eq!(second_of_day("2026-03-02"), None);
        assert_eq!(second_of_day("27:99"), None);
        assert_eq!(clock_time(-60.0, 60.0), "23:59");
    }

    #[test]
    fn small_and_large_currents_both_show() {
        let scale = Scale::choose(0.0, 8.0, 0.023);
        assert!(scale.place(0.023) > 0.15 && scale.place(8.0) < 1.0);
        assert!(scale.place(0.030) - scale.place(0.023) > 0.02);
        assert!(matches!(Scale::choose(0.0, 0.3, 0.1), Scale::Linear { .. }));
        assert!(scale.ticks().contains(&0.1));
        // Rises everywhere.
        let places: Vec<f64> = (0..800).map(|k| scale.place(f64::from(k) * 0.01)).collect();
        assert!(places.windows(2).all(|w| w[0] < w[1]));
    }
}
