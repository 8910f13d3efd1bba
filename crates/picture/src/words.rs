//! Numbers as people write them: as many digits as the uncertainty deserves.
//!
//! Units are those that [`measure::quantity`] would choose. Intervals are
//! 5 % to 95 % unless the caller says otherwise; `±` is one standard uncertainty.

use std::fmt::Display;

use harness::{NodeId, NodeKind};
use measure::{Quantiles, Uncertain, quantity::Quantity};
use tongue::{Message, number, say};

/// What stands in for a number that nobody knows.
pub fn unknown() -> String {
    say::words::unknown().to_string()
}

/// `412 ± 8 mA`. The value is rounded to the digits that its standard
/// uncertainty leaves: two when they start below 355, else one (rounding rule
/// of the Particle Data Group, "Review of Particle Physics", introduction; from memory).
pub fn plus_minus<Q: Quantity + Display>(x: Uncertain) -> String {
    if !x.value.is_finite() || !x.u.is_finite() {
        return unknown();
    }
    if x.u <= 0.0 {
        return number(&Q::from_base(x.value).to_string());
    }
    let (unit, factor) = unit_for::<Q>(x.value.abs().max(x.u));
    let (value, u) = (x.value / factor, x.u / factor);
    // An uncertainty far below the value is no news: four digits are enough.
    let decimals = decimals_for(u).min(3 - magnitude(value.abs().max(u)));
    let (value, u) = (fixed(value, decimals), fixed(u, decimals));
    if u.chars().all(|c| matches!(c, '0' | '.')) {
        return number(&format!("{value} {unit}"));
    }
    // "31 ± 3", not "31.0 ± 3.0".
    let whole = |text: &str| {
        text.strip_suffix(".0")
            .map(str::to_owned)
            .or_else(|| (text == "0").then(|| text.to_owned()))
    };
    let (value, u) = match (whole(&value), whole(&u)) {
        (Some(value), Some(u)) => (value, u),
        _ => (value, u),
    };
    number(&format!("{value} ± {u} {unit}"))
}

/// `26 to 41 mA`, or `about 23 mA` when both ends round to the same.
pub fn range<Q: Quantity + Display>(low: f64, high: f64) -> String {
    if !low.is_finite() || !high.is_finite() {
        return unknown();
    }
    let (unit, factor) = unit_for::<Q>(low.abs().max(high.abs()));
    ends(low / factor, high / factor, &unit, 3)
}

/// 5 % to 95 % of a distribution: `26 to 41 mA`.
pub fn interval<Q: Quantity + Display>(q: &Quantiles) -> String {
    range::<Q>(q.p05, q.p95)
}

/// A value alone, as [`measure::quantity`] writes it, to at most three digits.
pub fn about<Q: Quantity + Display>(value: f64) -> String {
    if !value.is_finite() {
        return unknown();
    }
    let (unit, factor) = unit_for::<Q>(value.abs());
    let value = measure::quantity::significant(value / factor, 3);
    number(&format!("{value} {unit}"))
}

/// A value that is only roughly known, to two digits: `83 mA`, `0.25 V`.
pub fn rough<Q: Quantity + Display>(value: f64) -> String {
    if value == 0.0 || !value.is_finite() {
        return about::<Q>(value);
    }
    let step = 10f64.powi(magnitude(value.abs()) - 1);
    about::<Q>((value / step).round() * step)
}

/// A current to three digits and no finer than 0.1 mA: `388 mA`, `0.4 mA`.
pub fn current(value_a: f64) -> String {
    if value_a.is_finite() && value_a.abs() < 0.05e-3 {
        return "0 mA".into();
    }
    if value_a.is_finite() && value_a.abs() < 1e-3 {
        return number(&format!("{} mA", fixed(value_a * 1e3, 1)));
    }
    about::<measure::quantity::Ampere>(value_a)
}

/// A current that is only roughly known, to two digits: `83 mA`.
pub fn rough_current(value_a: f64) -> String {
    if !value_a.is_finite() || value_a.abs() < 1e-3 {
        return current(value_a);
    }
    rough::<measure::quantity::Ampere>(value_a)
}

/// 5 % to 95 % of a current, milliampere at least: `0.2 to 3.1 mA`.
pub fn current_interval(q: &Quantiles) -> String {
    if q.p95.abs() < 1e-3 && q.p05.abs() < 1e-3 {
        return ends(q.p05 * 1e3, q.p95 * 1e3, "mA", 3);
    }
    interval::<measure::quantity::Ampere>(q)
}

/// A probability: `87 %`, `under 1 %`, `over 99 %`.
pub fn percent(p: f64) -> String {
    match p {
        p if !p.is_finite() => unknown(),
        p if p < 0.01 => say::words::under_one().to_string(),
        p if p > 0.99 => say::words::over_99().to_string(),
        p => format!("{:.0} %", p * 100.0),
    }
}

/// The same where room is scarce: `87 %`, `< 1 %`, `> 99 %`.
pub fn percent_short(p: f64) -> String {
    match p {
        p if p < 0.01 => "< 1 %".into(),
        p if p > 0.99 => "> 99 %".into(),
        p => percent(p),
    }
}

/// How long something stands, from quantiles in hours: `26 to 41 hours`,
/// `5 to 9 days`, `10 to 14 weeks`.
pub fn stands(hours: &Quantiles) -> String {
    if !hours.p05.is_finite() || !hours.p95.is_finite() {
        return unknown();
    }
    let unit = LongUnit::of(hours.p95);
    let (low, high) = (hours.p05 / unit.hours, hours.p95 / unit.hours);
    ends(low, high, &(unit.many)().to_string(), 2)
}

/// One number of hours in the same words: `33 hours`, `6.5 days`.
pub fn hours(h: f64) -> String {
    if !h.is_finite() {
        return unknown();
    }
    let unit = LongUnit::of(h);
    let value = measure::quantity::significant(h / unit.hours, 2);
    let name = if value == "1" { unit.one } else { unit.many };
    format!("{} {}", number(&value), name())
}

/// A unit's name.
type Name = fn() -> Message;

/// A unit of long times.
struct LongUnit {
    hours: f64,
    one: Name,
    many: Name,
}

impl LongUnit {
    fn of(h: f64) -> Self {
        let (hours, one, many): (f64, Name, Name) = match h.abs() {
            h if h < 96.0 => (1.0, say::words::hour, say::words::hours),
            h if h < 24.0 * 42.0 => (24.0, say::words::day, say::words::days),
            h if h < 24.0 * 365.0 => (168.0, say::words::week, say::words::weeks),
            _ => (8766.0, say::words::year, say::words::years),
        };
        Self { hours, one, many }
    }
}

/// A stretch of time in whole parts: `7 h 10 min`, `41 min`, `12 s`.
pub fn duration(seconds: f64) -> String {
    if !seconds.is_finite() {
        return unknown();
    }
    if seconds.abs() < 99.5 {
        let seconds = measure::quantity::significant(seconds, 2);
        return number(&format!("{seconds} s"));
    }
    let minutes = (seconds / 60.0).round() as i64;
    let (h, m) = (minutes / 60, minutes % 60);
    match (h, m) {
        (0, m) => format!("{m} min"),
        (h, 0) => format!("{h} h"),
        (h, m) => format!("{h} h {m} min"),
    }
}

/// How much a node is suspected, in five steps that are shade, number and word at once.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Suspicion {
    /// Below 2 %.
    Clear,
    /// 2 % to 10 %.
    Unlikely,
    /// 10 % to 50 %.
    Possible,
    /// 50 % to 90 %.
    Likely,
    /// 90 % and more.
    AlmostCertain,
}

impl Suspicion {
    /// All steps, least suspected first.
    pub const ALL: [Self; 5] = [
        Self::Clear,
        Self::Unlikely,
        Self::Possible,
        Self::Likely,
        Self::AlmostCertain,
    ];

    /// The step of a probability. The borders are ours.
    pub fn of(p: f64) -> Self {
        match p {
            p if p >= 0.90 => Self::AlmostCertain,
            p if p >= 0.50 => Self::Likely,
            p if p >= 0.10 => Self::Possible,
            p if p >= 0.02 => Self::Unlikely,
            _ => Self::Clear,
        }
    }

    /// Its word.
    pub fn word(self) -> Message {
        match self {
            Self::Clear => say::words::clear(),
            Self::Unlikely => say::words::unlikely(),
            Self::Possible => say::words::possible(),
            Self::Likely => say::words::likely(),
            Self::AlmostCertain => say::words::near_certain(),
        }
    }

    /// Its word for a cause of the complaint, where "clear" would say nothing.
    pub fn word_for_cause(self) -> Message {
        match self {
            Self::Clear => say::words::very_unlikely(),
            other => other.word(),
        }
    }

    /// Its share of the scale in words.
    pub fn span(self) -> Message {
        match self {
            Self::Clear => say::words::span_clear(),
            Self::Unlikely => "2–10 %".into(),
            Self::Possible => "10–50 %".into(),
            Self::Likely => "50–90 %".into(),
            Self::AlmostCertain => say::words::span_certain(),
        }
    }
}

/// A contract word for a cause of the complaint, as people say it.
pub fn cause(hypothesis: &str) -> String {
    match hypothesis {
        "weak-battery" => say::words::weak_battery(),
        "poor-charging" => say::words::poor_charging(),
        "usage" => say::words::usage(),
        "steady-draw" => say::words::steady_draw(),
        "intermittent-draw" => say::words::intermittent_draw(),
        other => other.replace('-', " ").into(),
    }
    .to_string()
}

/// A node as people call it: a fuse by its number and what it feeds
/// ("F12 Radio / BT"), anything else by its words.
pub fn node_name(id: &NodeId, label: &str, kind: NodeKind) -> String {
    let label = label.trim();
    if label.is_empty() || label.eq_ignore_ascii_case(&id.0) {
        return if label.is_empty() {
            id.0.clone()
        } else {
            label.into()
        };
    }
    if kind != NodeKind::Fuse || label.starts_with(&id.0) {
        return label.into();
    }
    format!("{id} {label}")
}

/// `1 fuse`, `41 fuses`.
pub fn count(n: usize, one: &str, many: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { many })
}

/// The unit that [`measure::quantity`] picks for a value, and its factor.
fn unit_for<Q: Quantity + Display>(value: f64) -> (String, f64) {
    let shown = Q::from_base(value).to_string();
    let unit = shown.rsplit(' ').next().unwrap_or_default().to_owned();
    let factor =
        Q::in_unit(1.0, &unit).map_or(1.0, Q::base) - Q::in_unit(0.0, &unit).map_or(0.0, Q::base);
    (unit, if factor == 0.0 { 1.0 } else { factor })
}

/// Both ends to two digits of their distance, the greater to `digits` digits at most.
fn ends(low: f64, high: f64, unit: &str, digits: i32) -> String {
    let most = digits - 1 - magnitude(low.abs().max(high.abs()));
    let decimals = if high > low {
        (1 - magnitude(high - low)).min(most)
    } else {
        most
    };
    let (a, b) = (fixed(low, decimals), fixed(high, decimals));
    if a == b {
        return say::words::about(unit, number(&b)).to_string();
    }
    // Beside 0 trailing zeros say nothing.
    let b = if a == "0" && b.contains('.') {
        b.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        b
    };
    // "5 to 9", not "5.0 to 9.0".
    let whole = |text: &str| text.strip_suffix(".0").map(str::to_owned);
    let whole_or_zero = |text: &str| whole(text).or_else(|| (text == "0").then(|| "0".to_owned()));
    let (a, b) = match (whole_or_zero(&a), whole_or_zero(&b)) {
        (Some(a), Some(b)) => (a, b),
        _ => (a, b),
    };
    say::words::interval(number(&b), number(&a), unit).to_string()
}

fn magnitude(x: f64) -> i32 {
    if x > 0.0 && x.is_finite() {
        x.log10().floor() as i32
    } else {
        0
    }
}

/// Decimals that keep one or two digits of `u`; negative for tens and hundreds.
fn decimals_for(u: f64) -> i32 {
    if u <= 0.0 || !u.is_finite() {
        return 3;
    }
    let magnitude = magnitude(u);
    let leading = u / 10f64.powi(magnitude);
    if leading < 3.55 {
        1 - magnitude
    } else {
        -magnitude
    }
}

/// `value` with `decimals` places; negative ones round to tens, hundreds …
fn fixed(value: f64, decimals: i32) -> String {
    let text = if decimals >= 0 {
        format!("{value:.*}", decimals.min(9) as usize)
    } else {
        let step = 10f64.powi(-decimals);
        format!("{:.0}", (value / step).round() * step)
    };
    // No "-0" and no "0.00".
    if text.chars().all(|c| matches!(c, '0' | '.' | '-')) {
        "0".into()
    } else {
        text
    }
}

#[cfg(test)]
mod tests {
    use measure::quantity::{Ampere, AmpereHour, Share, Volt};

    use super::*;

    #[test]
    fn uncertainty_decides_the_digits() {
        let mut shown = Vec::new();
        for (value, u) in [
            (0.412, 0.008),
            (0.4123, 0.0083),
            (0.41234, 0.00123),
            (0.0231, 0.00041),
            (4.1234, 0.02),
            (0.412, 0.0),
            (0.0, 0.003),
            (0.0003, 0.005),
            (-0.05, 0.004),
            (1.0, 1e-9),
            (0.9, 0.3),
        ] {
            shown.push(plus_minus::<Ampere>(Uncertain { value, u }));
        }
        assert_eq!(
            shown,
            [
                "412 ± 8 mA",
                "412 ± 8 mA",
                "412.3 ± 1.2 mA",
                "23.1 ± 0.4 mA",
                "4.123 ± 0.020 A",
                "412 mA",
                "0 ± 3 mA",
                "0 ± 5 mA",
                "-50 ± 4 mA",
                "1.000 A",
                "900 ± 300 mA",
            ]
        );
        assert_eq!(
            plus_minus::<Volt>(Uncertain::new(12.62, 0.03)),
            "12.62 ± 0.03 V"
        );
        assert_eq!(plus_minus::<Share>(Uncertain::new(0.852, 0.04)), "85 ± 4 %");
        assert_eq!(
            plus_minus::<AmpereHour>(Uncertain::new(1234.0, 56.0)),
            "1230 ± 60 Ah"
        );
        assert_eq!(
            plus_minus::<Ampere>(Uncertain {
                value: f64::NAN,
                u: 1.0
            }),
            unknown()
        );
    }

    #[test]
    fn ranges_are_short() {
        assert_eq!(range::<Ampere>(0.381, 0.395), "381 to 395 mA");
        assert_eq!(range::<Ampere>(0.0021, 0.0097), "2.1 to 9.7 mA");
        assert_eq!(range::<Ampere>(0.012, 0.4), "10 to 400 mA");
        assert_eq!(rough_current(0.0833), "83 mA");
        assert_eq!(range::<Ampere>(0.0230001, 0.0230002), "about 23.0 mA");
        assert_eq!(
            current_interval(&Quantiles {
                p05: 0.0,
                p50: 3e-4,
                p95: 9e-4
            }),
            "0 to 0.9 mA"
        );
        assert_eq!(
            stands(&Quantiles {
                p05: 26.3,
                p50: 33.0,
                p95: 41.2
            }),
            "26 to 41 hours"
        );
        assert_eq!(
            stands(&Quantiles {
                p05: 120.0,
                p50: 150.0,
                p95: 216.0
            }),
            "5 to 9 days"
        );
        assert_eq!(hours(24.0 * 6.5), "6.5 days");
        assert_eq!(hours(1.0), "1 hour");
    }

    #[test]
    fn a_written_interval_never_turns_round() {
        for low in [0.0, 1e-6, 3.3e-4, 0.02, 0.5, 7.0] {
            for wide in [0.0, 1e-7, 1e-3, 0.4, 30.0] {
                let text = range::<Ampere>(low, low + wide);
                if let Some((a, b)) = text.split_once(" to ") {
                    let b = b.split(' ').next().unwrap();
                    assert!(
                        a.parse::<f64>().unwrap() < b.parse::<f64>().unwrap(),
                        "{text}"
                    );
                }
            }
        }
    }

    #[test]
    fn probabilities_are_never_quite_sure() {
        assert_eq!(percent(0.0), "under 1 %");
        assert_eq!(percent(0.874), "87 %");
        assert_eq!(percent(1.0), "over 99 %");
        assert_eq!(Suspicion::of(0.5), Suspicion::Likely);
        assert_eq!(Suspicion::of(f64::NAN), Suspicion::Clear);
        assert!(Suspicion::ALL.is_sorted());
    }

    #[test]
    fn german_writes_a_comma_and_its_own_words() {
        tongue::speak(tongue::Lang::De, || {
            let draw = Uncertain::new(0.4123, 0.0012);
            assert_eq!(plus_minus::<Ampere>(draw), "412,3 ± 1,2 mA");
            assert_eq!(range::<Ampere>(0.0021, 0.0097), "2,1 bis 9,7 mA");
            assert_eq!(current(4e-4), "0,4 mA");
            assert_eq!(hours(24.0 * 6.5), "6,5 Tage");
            assert_eq!(hours(1.0), "1 Stunde");
            assert_eq!(percent(0.0), "unter 1 %");
            assert_eq!(percent_short(0.0), "< 1 %");
            assert_eq!(Suspicion::Possible.word().to_string(), "möglich");
        });
    }

    #[test]
    fn times_in_whole_parts() {
        assert_eq!(duration(25_800.0), "7 h 10 min");
        assert_eq!(duration(12.0), "12 s");
        assert_eq!(duration(7200.0), "2 h");
        assert_eq!(duration(3599.0), "1 h");
    }
}
