//! Numbers and times in words: those of the pictures, and the few that only
//! pages need.

use jiff::{Timestamp, tz::TimeZone};
use measure::{
    Uncertain,
    quantity::{Ampere, Ohm, significant},
};
use picture::words::Suspicion;
pub(crate) use picture::words::{
    cause, count, current as plain_current, current_interval as span, hours, node_name, percent,
    rough_current, stands,
};

/// A current with its standard uncertainty, as the pictures write it: `412 ± 4 mA`.
pub(crate) fn current(draw: Uncertain) -> String {
    picture::words::plus_minus::<Ampere>(draw)
}

/// A resistance with its standard uncertainty: `4.58 ± 0.21 mΩ`.
pub(crate) fn resistance(ohm: Uncertain) -> String {
    picture::words::plus_minus::<Ohm>(ohm)
}

/// Weeks in the unit a person would use.
pub(crate) fn weeks(weeks: f64) -> String {
    hours(weeks * 168.0)
}

/// Power of a panel, to two digits.
pub(crate) fn watts(watt: f64) -> String {
    format!("{} W", significant(watt, 2))
}

/// Minutes of a test.
pub(crate) fn minutes(minutes: f64) -> String {
    match minutes {
        m if m < 0.9 => format!("{:.0} seconds", (m * 12.0).round().max(1.0) * 5.0),
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

/// How suspect a node is: class for the shade, and the word that goes with it,
/// both those of the pictures.
pub(crate) fn suspicion(p_fault: f64) -> (&'static str, tongue::Message) {
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

/// The time of day of a moment, to the second.
pub(crate) fn time_of_day(at: Timestamp) -> String {
    at.to_zoned_datetime(TimeZone::system())
        .strftime("%H:%M:%S")
        .to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_are_said_as_people_do() {
        assert_eq!(minutes(1.0 / 3.0), "20 seconds");
        assert_eq!(minutes(1.0), "1 minute");
        assert_eq!(minutes(12.0), "12 minutes");
        assert_eq!(minutes(720.0), "12 hours");
    }
}
