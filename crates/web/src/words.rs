//! Numbers and times in words, rounded once and here.

use jiff::{Timestamp, tz::TimeZone};
use measure::{
    Quantiles, Uncertain,
    quantity::{Ampere, significant},
};
use picture::words::Suspicion;

/// A current with its standard uncertainty, as the pictures write it: `412 ± 4 mA`.
pub(crate) fn current(draw: Uncertain) -> String {
    picture::words::plus_minus::<Ampere>(draw)
}

/// A skewed current: median, then the 5 and 95 % quantiles: `12 mA (4 to 31)`.
pub(crate) fn band(draw: Quantiles) -> String {
    let (factor, unit) = scale(draw.p95.abs());
    let show = |value: f64| significant(value * factor, 2);
    format!(
        "{} {unit} ({} to {})",
        show(draw.p50),
        show(draw.p05),
        show(draw.p95)
    )
}

/// The span from the 5 to the 95 % quantile: `4 to 31 mA`.
pub(crate) fn span(draw: Quantiles) -> String {
    picture::words::range::<Ampere>(draw.p05, draw.p95)
}

/// A current alone.
pub(crate) fn plain_current(value_a: f64) -> String {
    Ampere(value_a).to_string()
}

/// A share of one: `43 %`, and honest at both ends.
pub(crate) fn percent(p: f64) -> String {
    match p * 100.0 {
        x if x.is_nan() => "unknown".into(),
        x if x < 1.0 => "under 1 %".into(),
        x if x > 99.0 => "over 99 %".into(),
        x => format!("{x:.0} %"),
    }
}

/// Hours as a person says them.
pub(crate) fn hours(hours: f64) -> String {
    match hours {
        h if h < 2.0 => format!("{:.0} min", h * 60.0),
        h if h < 72.0 => format!("{h:.0} hours"),
        h if h < 24.0 * 60.0 => format!("{:.0} days", h / 24.0),
        h => format!("{:.0} weeks", h / 168.0),
    }
}

/// A span of hours, 5 to 95 %, in one unit.
pub(crate) fn hours_band(span: Quantiles) -> String {
    if span.p95 < 72.0 {
        format!("{:.0} hours ({:.0} to {:.0})", span.p50, span.p05, span.p95)
    } else {
        let days = |h: f64| significant(h / 24.0, 2);
        format!(
            "{} days ({} to {})",
            days(span.p50),
            days(span.p05),
            days(span.p95)
        )
    }
}

/// Minutes of a test.
pub(crate) fn minutes(minutes: f64) -> String {
    match minutes {
        m if m < 1.5 => "1 minute".into(),
        m if m < 90.0 => format!("{m:.0} minutes"),
        m => format!("{} hours", significant(m / 60.0, 2)),
    }
}

/// A moment as a clock on the wall shows it.
pub(crate) fn moment(at: Timestamp) -> String {
    at.to_zoned_datetime(TimeZone::system())
        .strftime("%-d %b %Y, %H:%M")
        .to_string()
}

/// One thing, several things.
pub(crate) fn count(n: usize, one: &str, many: &str) -> String {
    match n {
        0 => format!("no {many}"),
        1 => format!("1 {one}"),
        n => format!("{n} {many}"),
    }
}

/// How suspect a node is: class for the shade, and the word that goes with it,
/// both those of the pictures.
pub(crate) fn suspicion(p_fault: f64) -> (&'static str, &'static str) {
    let suspicion = Suspicion::of(p_fault);
    let shade = match suspicion {
        Suspicion::Clear => "s0",
        Suspicion::Unlikely => "s1",
        Suspicion::Possible => "s2",
        Suspicion::Likely => "s3",
        Suspicion::AlmostCertain => "s4",
    };
    (shade, suspicion.word())
}

/// The cause's name for people.
pub(crate) fn cause(word: &str) -> &str {
    match word {
        "weak-battery" => "The battery is weak",
        "poor-charging" => "It is not charged properly",
        "usage" => "It is driven too little or too short",
        "steady-draw" => "Something draws all the time",
        "intermittent-draw" => "Something draws now and then",
        other => other,
    }
}

fn scale(magnitude_a: f64) -> (f64, &'static str) {
    match magnitude_a {
        m if m >= 0.9995 => (1.0, "A"),
        m if m >= 0.0995e-3 => (1e3, "mA"),
        _ => (1e6, "µA"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn chances_are_honest_at_both_ends() {
        assert_eq!(percent(0.0001), "under 1 %");
        assert_eq!(percent(0.9999), "over 99 %");
        assert_eq!(percent(0.434), "43 %");
        assert_eq!(percent(f64::NAN), "unknown");
    }

    #[test]
    fn times_are_said_as_people_do() {
        assert_eq!(hours(14.2), "14 hours");
        assert_eq!(hours(100.0), "4 days");
        assert_eq!(
            hours_band(Quantiles {
                p05: 9.0,
                p50: 14.0,
                p95: 20.0
            }),
            "14 hours (9 to 20)"
        );
        assert_eq!(minutes(0.5), "1 minute");
        assert_eq!(count(0, "entry", "entries"), "no entries");
    }
}
