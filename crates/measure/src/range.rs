//! What is possible at all: one place for each bounded quantity, its limits
//! and the words for it, so that the page, a job file and the command line
//! refuse the same thing in the same sentence.

use std::fmt;

use tongue::{Message, figure, say};

use crate::names;

/// A bounded quantity: its name, its limits (inclusive) and its unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range {
    /// Name as a person would say it, lower case.
    pub name: &'static str,
    /// Smallest possible value, in `unit`.
    pub low: f64,
    /// Largest possible value, in `unit`.
    pub high: f64,
    /// Unit of the limits.
    pub unit: &'static str,
}

/// A number outside what is possible.
#[derive(Debug, Clone, PartialEq)]
pub struct OutOfRange {
    /// The offending value, in the range's unit.
    pub value: f64,
    /// The range it missed.
    pub range: Range,
}

impl fmt::Display for OutOfRange {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.message().fmt(f)
    }
}

impl OutOfRange {
    /// One sentence.
    pub fn message(&self) -> Message {
        let Range {
            name,
            low,
            high,
            unit,
        } = self.range;
        let number = |value: f64| figure(value.to_string());
        say::measure::outside(
            number(high),
            number(low),
            names::name(name),
            names::unit(unit),
            number(self.value),
        )
    }
}

impl std::error::Error for OutOfRange {}

impl Range {
    const fn new(name: &'static str, low: f64, high: f64, unit: &'static str) -> Self {
        Self {
            name,
            low,
            high,
            unit,
        }
    }

    /// The value itself when it is possible.
    ///
    /// # Errors
    /// When the value lies outside the limits or is not a number.
    pub fn check(self, value: f64) -> Result<f64, OutOfRange> {
        // Written so that NaN fails.
        if value >= self.low && value <= self.high {
            Ok(value)
        } else {
            Err(OutOfRange { value, range: self })
        }
    }
}

// The limits are common practice: generous bounds of what a 12 V vehicle and
// its instruments can show, meant to catch slips of the finger only.

/// Rated capacity, 20-hour.
pub const CAPACITY: Range = Range::new("capacity", 1.0, 400.0, "Ah");
/// Cranking current on the label or from an analyser.
pub const CRANKING: Range = Range::new("cranking current", 10.0, 3000.0, "A");
/// A current read anywhere in the parked vehicle.
pub const DRAW: Range = Range::new("draw", -200.0, 1500.0, "A");
/// What a circuit draws when nothing is wrong, asleep.
pub const NORMAL_DRAW: Range = Range::new("normal draw", 0.0, 100.0, "A");
/// A limit for the key-off draw.
pub const LIMIT: Range = Range::new("limit", 0.001, 10.0, "A");
/// Battery voltage.
pub const VOLTAGE: Range = Range::new("voltage", 0.0, 20.0, "V");
/// Millivolts across a fuse.
pub const FUSE_DROP: Range = Range::new("voltage across the fuse", -1.0, 1.0, "V");
/// Air or electrolyte temperature.
pub const TEMPERATURE: Range = Range::new("temperature", -50.0, 80.0, "°C");
/// Fuse rating.
pub const FUSE_RATING: Range = Range::new("fuse rating", 0.1, 600.0, "A");
/// Negative cables that are clamped one after the other.
pub const CABLES: Range = Range::new("number of cables", 1.0, 12.0, "cables");
/// Resistance of a shunt.
pub const SHUNT: Range = Range::new("shunt resistance", 1e-6, 100.0, "Ω");
/// Melting integral of a fuse.
pub const MELTING: Range = Range::new("melting integral", 1e-6, 1e6, "A²s");
/// A share of something.
pub const SHARE: Range = Range::new("share", 0.0, 100.0, "%");
/// A probability.
pub const PROBABILITY: Range = Range::new("probability", 0.0, 1.0, "(a fraction)");
/// Accuracy of an instrument, of reading.
pub const ACCURACY: Range = Range::new("accuracy", 0.0, 100.0, "%");
/// Accuracy of an instrument, counts of the last digit.
pub const DIGITS: Range = Range::new("accuracy", 0.0, 1000.0, "digits");
/// Smallest step an instrument shows, ampere or volt.
pub const RESOLUTION: Range = Range::new("resolution", 1e-9, 100.0, "A or V");
/// A time of rest or parking.
pub const PARKED: Range = Range::new("time", 0.0, 315_360_000.0, "s");
/// Age of a battery.
pub const AGE: Range = Range::new("age", 0.0, 40.0, "years");
/// Reserve capacity: minutes at 25 A.
pub const RESERVE: Range = Range::new("reserve", 10.0, 1000.0, "min");
/// Share of the rated capacity that is left. A battery with a twentieth of it
/// left is scrap by any practice.
pub const HEALTH: Range = Range::new("health", 0.05, 1.2, "(1 is as new)");
/// Charge used with the engine off.
pub const WEEKLY: Range = Range::new("charge used with the engine off", 0.0, 1000.0, "Ah a week");
/// Current left over for the battery while driving.
pub const SPARE: Range = Range::new("current left over while driving", 0.0, 300.0, "A");
/// Trips in a week. A delivery van makes a hundred stops a day.
pub const TRIPS: Range = Range::new("number of trips", 0.0, 1000.0, "a week");
/// Length of a trip: a day at most.
pub const TRIP: Range = Range::new("length of a trip", 0.0, 1440.0, "min");

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn refuses_in_one_sentence() {
        let error = CAPACITY.check(6000.0).unwrap_err();
        assert_eq!(error.to_string(), "capacity 6000 Ah is outside 1 to 400 Ah");
        assert!(CAPACITY.check(f64::NAN).is_err());
        assert_eq!(CAPACITY.check(60.0), Ok(60.0));
    }

    #[test]
    fn every_limit_has_a_name() {
        for range in [
            CAPACITY,
            CRANKING,
            DRAW,
            NORMAL_DRAW,
            LIMIT,
            VOLTAGE,
            FUSE_DROP,
            TEMPERATURE,
            FUSE_RATING,
            CABLES,
            SHUNT,
            MELTING,
            SHARE,
            PROBABILITY,
            ACCURACY,
            DIGITS,
            RESOLUTION,
            PARKED,
            AGE,
            RESERVE,
            HEALTH,
            WEEKLY,
            SPARE,
            TRIPS,
            TRIP,
        ] {
            assert!(names::name(range.name).id().is_some(), "{}", range.name);
            assert_eq!(names::name(range.name), range.name);
            assert_eq!(names::unit(range.unit), range.unit);
        }
    }

    proptest! {
        /// Accepted exactly when within the limits; refused in words that name both.
        #[test]
        fn every_number_is_passed_on_or_refused(
            value in any::<f64>(),
            range in prop::sample::select(&[CAPACITY, DRAW, TEMPERATURE, RESOLUTION, PARKED][..]),
        ) {
            match range.check(value) {
                Ok(same) => prop_assert!(same == value && (range.low..=range.high).contains(&value)),
                Err(error) => {
                    prop_assert!(!(range.low..=range.high).contains(&value));
                    let text = error.to_string();
                    prop_assert!(text.starts_with(range.name) && text.ends_with(range.unit), "{}", text);
                }
            }
        }

        #[test]
        fn the_limits_themselves_are_possible(
            range in prop::sample::select(&[CAPACITY, CRANKING, FUSE_RATING, SHARE, VOLTAGE][..]),
        ) {
            prop_assert_eq!(range.check(range.low), Ok(range.low));
            prop_assert_eq!(range.check(range.high), Ok(range.high));
        }
    }
}
