//! Amounts as texts: the units of our own fields, and texts that read back bit
//! for bit.

use measure::quantity::{Ampere, Celsius, Quantity, QuantityError, Second, Volt, significant};
use tongue::{Message, say};

/// Hours from a text such as `8h` or `90min`.
///
/// A number of hours is taken as it stands; going through seconds could change
/// its last bit.
pub(crate) fn hours(text: &str) -> Result<f64, QuantityError> {
    match without_unit(text, &["hours", "hour", "h"]) {
        Some(number) => Ok(Second::parse(&format!("{number}s"))?.base()),
        None => Ok(Second::parse(text)?.base() / 3600.0),
    }
}

/// Minutes from a text such as `110min` or `2h`.
pub(crate) fn minutes(text: &str) -> Result<f64, QuantityError> {
    match without_unit(text, &["minutes", "minute", "min"]) {
        Some(number) => Ok(Second::parse(&format!("{number}s"))?.base()),
        None => Ok(Second::parse(text)?.base() / 60.0),
    }
}

/// What to suggest for an age.
pub(crate) fn age_examples() -> Message {
    say::measure::one_or_other("4 years", "18 months")
}

/// Years from a text such as `4 years` or `18 months`.
pub(crate) fn years(text: &str) -> Result<f64, QuantityError> {
    let count = |number: &str| Second::parse(&format!("{number}s")).map(Quantity::base);
    let parsed = if let Some(number) = without_unit(text, &["years", "year", "yr", "y", "a"]) {
        count(number)
    } else if let Some(number) = without_unit(text, &["months", "month"]) {
        count(number).map(|months| months / 12.0)
    } else {
        // A Julian year, 365.25 days (IAU Style Manual, 5.15, 1989; from memory).
        Second::parse(text).map(|time| time.base() / 31_557_600.0)
    };
    parsed.map_err(|error| QuantityError {
        message: if error.no_unit {
            error.message
        } else {
            say::fields::age(text.trim())
        },
        hint: say::measure::hint_with_unit(age_examples(), measure::names::name("age")),
        no_unit: error.no_unit,
    })
}

/// The number before one of `units`.
fn without_unit<'a>(text: &'a str, units: &[&str]) -> Option<&'a str> {
    let text = text.trim();
    let number = units.iter().find_map(|unit| {
        let at = text.len().checked_sub(unit.len())?;
        let (number, end) = text.split_at_checked(at)?;
        end.eq_ignore_ascii_case(unit).then_some(number.trim_end())
    })?;
    // "12mh" is no number of hours.
    number
        .ends_with(|c: char| c.is_ascii_digit() || c == '.')
        .then_some(number)
}

/// A current.
pub(crate) fn ampere(value: f64) -> String {
    let unit = if value.abs() < 1.0 {
        ("mA", 1e-3)
    } else {
        ("A", 1.0)
    };
    exact(value, unit, "A", |text| {
        Ampere::parse(text).map(Quantity::base)
    })
}

/// A voltage.
pub(crate) fn volt(value: f64) -> String {
    let unit = if value.abs() < 1.0 {
        ("mV", 1e-3)
    } else {
        ("V", 1.0)
    };
    exact(value, unit, "V", |text| {
        Volt::parse(text).map(Quantity::base)
    })
}

/// Hours.
pub(crate) fn hour(value: f64) -> String {
    exact(value, ("h", 1.0), "h", hours)
}

/// Minutes.
pub(crate) fn minute(value: f64) -> String {
    exact(value, ("min", 1.0), "min", minutes)
}

/// Seconds.
pub(crate) fn second(value: f64) -> String {
    exact(value, ("s", 1.0), "s", |text| {
        Second::parse(text).map(Quantity::base)
    })
}

/// A temperature.
pub(crate) fn celsius(value: f64) -> String {
    exact(value, ("C", 1.0), "C", |text| {
        Celsius::parse(text).map(Quantity::base)
    })
}

/// An age.
pub(crate) fn year(value: f64) -> String {
    exact(value, (" years", 1.0), " years", years)
}

/// A resistance.
pub(crate) fn ohm(value: f64) -> String {
    let unit = if value.abs() < 1.0 {
        ("mohm", 1e-3)
    } else {
        ("ohm", 1.0)
    };
    exact(value, unit, "ohm", |text| {
        measure::quantity::Ohm::parse(text).map(Quantity::base)
    })
}

/// The shortest text in the friendly unit that reads back as the very same
/// number, else the shortest one in the base unit. (-0 reads back as 0.)
fn exact(
    value: f64,
    (unit, factor): (&str, f64),
    base_unit: &str,
    read: impl Fn(&str) -> Result<f64, QuantityError>,
) -> String {
    let in_unit = value / factor;
    let friendly = (1..=17).map(|digits| format!("{}{unit}", significant(in_unit, digits)));
    let exact_in_unit = std::iter::once(format!("{in_unit}{unit}"));
    friendly
        .chain(exact_in_unit)
        // Nobody wants to read a current of forty digits.
        .filter(|text| text.len() <= 24)
        .find(|text| read(text).is_ok_and(|back| back == value))
        // `{:?}` of a float is the shortest text that reads back the same.
        .unwrap_or_else(|| format!("{value:?}{base_unit}"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn writes_what_a_person_would() {
        assert_eq!(ampere(0.412), "412mA");
        assert_eq!(ampere(15.0), "15A");
        assert_eq!(volt(0.0021), "2.1mV");
        assert_eq!(volt(12.62), "12.62V");
        assert_eq!(hour(8.0), "8h");
        assert_eq!(celsius(-5.0), "-5C");
        assert_eq!(year(4.5), "4.5 years");
        assert_eq!(ampere(0.0), "0mA");
    }

    #[test]
    fn reads_ages_and_hours() {
        assert_eq!(years("18 months").unwrap(), 1.5);
        assert_eq!(years("4y").unwrap(), 4.0);
        assert_eq!(hours("90min").unwrap(), 1.5);
        assert_eq!(hours("7,5 h").unwrap(), 7.5);
        assert!(years("4").is_err());
        assert!(years("old").is_err());
        assert!(hours("4").is_err());
        assert!(hours("4mh").is_err());
    }

    proptest! {
        #[test]
        fn reads_back_bit_for_bit(value in proptest::num::f64::NORMAL | proptest::num::f64::ZERO | proptest::num::f64::SUBNORMAL) {
            // -0 and 0 are the same amount.
            prop_assert_eq!(Ampere::parse(&ampere(value)).unwrap().0, value);
            prop_assert_eq!(Volt::parse(&volt(value)).unwrap().0, value);
            prop_assert_eq!(hours(&hour(value)).unwrap(), value);
            prop_assert_eq!(years(&year(value)).unwrap(), value);
            prop_assert_eq!(Celsius::parse(&celsius(value)).unwrap().0, value);
        }
    }
}
