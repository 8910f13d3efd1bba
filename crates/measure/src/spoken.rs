//! Spans of time as people say them, the same in every room.

use tongue::{Count, Message, amount, say};

use crate::quantity::significant;

/// Hours in two digits and the unit a person would use: `45 minutes`,
/// `33 hours`, `6.5 days`, `8 weeks`, `2 years`.
///
/// A number that is not finite is "not known".
pub fn hours(hours: f64) -> Message {
    if !hours.is_finite() {
        return say::words::unknown();
    }
    let (unit, factor) = unit_of_hours(hours);
    let number = significant(hours / factor, 2);
    // What is not exactly one is several: 0 hours, 1.5 days.
    let count = Count(if number == "1" { 1 } else { 2 });
    let number = amount(number);
    match unit {
        "minutes" => say::measure::minutes(count, number),
        "hours" => say::measure::hours(count, number),
        "days" => say::measure::days(count, number),
        "weeks" => say::measure::weeks(count, number),
        _ => say::measure::years(count, number),
    }
}

/// The unit in which a span of hours is said, and its length in hours.
pub fn unit_of_hours(hours: f64) -> (&'static str, f64) {
    match hours.abs() {
        h if h > 0.0 && h < 0.9 => ("minutes", 1.0 / 60.0),
        h if h < 96.0 => ("hours", 1.0),
        h if h < 24.0 * 42.0 => ("days", 24.0),
        h if h < 24.0 * 365.0 => ("weeks", 168.0),
        _ => ("years", 8766.0),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spans_are_said_as_people_do() {
        for (h, said) in [
            (0.0, "0 hours"),
            (0.75, "45 minutes"),
            (1.0, "1 hour"),
            (33.3, "33 hours"),
            (156.0, "6.5 days"),
            (24.0 * 56.0, "8 weeks"),
            (8766.0 * 2.0, "2 years"),
            (f64::NAN, "not known"),
        ] {
            assert_eq!(hours(h), said);
        }
    }
}
