//! Amounts written by people: `60Ah`, `420 mA`, `0,42 A`, `-5C`, `90min`.
//!
//! Each quantity is a newtype over its base unit. Reading accepts a decimal
//! point or comma, blanks between digits and before the unit, a Unicode minus,
//! and exponent notation; a bare number is refused with the units that would
//! do. Writing picks the unit a practitioner would use and a sensible number
//! of digits; what is written reads back as the same amount to those digits.

use std::{fmt, str::FromStr};

use tongue::{Message, say};

use crate::names;

/// Why a text is not an amount.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct QuantityError {
    /// What is wrong, naming the text.
    pub message: Message,
    /// What would do instead.
    pub hint: Message,
    /// Whether only the unit is missing.
    pub no_unit: bool,
}

impl QuantityError {
    fn new(message: Message, hint: Message) -> Self {
        Self {
            message,
            hint,
            no_unit: false,
        }
    }
}

impl fmt::Display for QuantityError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}; {}", self.message, self.hint)
    }
}

impl std::error::Error for QuantityError {}

/// A unit: how it is written, and value = number × factor + offset.
#[derive(Debug, Clone, Copy)]
pub struct Unit {
    names: &'static [&'static str],
    factor: f64,
    offset: f64,
}

const fn unit(names: &'static [&'static str], factor: f64) -> Unit {
    Unit {
        names,
        factor,
        offset: 0.0,
    }
}

/// What all amounts can do.
pub trait Quantity: Copy {
    /// The quantity's name, lower case: "current".
    const NAME: &'static str;
    /// The units understood, base unit among them.
    const UNITS: &'static [Unit];
    /// One amount or two, to suggest to someone who left the unit out; see [`Quantity::examples`].
    const EXAMPLES: &'static [&'static str];

    /// The examples in words: "420mA or 0.42A".
    fn examples() -> Message {
        match Self::EXAMPLES {
            [one, other] => say::measure::one_or_other(*one, *other),
            several => Message::plain(several.join(", ")),
        }
    }

    /// From a number in the base unit.
    fn from_base(value: f64) -> Self;
    /// The number in the base unit.
    fn base(self) -> f64;

    /// Reads an amount with its unit.
    ///
    /// # Errors
    /// When there is no number, no unit, or the unit is of another quantity.
    fn parse(text: &str) -> Result<Self, QuantityError> {
        let quantity = || names::name(Self::NAME);
        let (digits, name) = split(text).ok_or_else(|| {
            QuantityError::new(
                say::measure::not_a_quantity(quantity(), text.trim()),
                say::measure::hint_number_and_unit(Self::examples()),
            )
        })?;
        if name.is_empty() {
            return Err(QuantityError {
                message: say::measure::no_unit(text.trim()),
                hint: say::measure::hint_with_unit(Self::examples(), quantity()),
                no_unit: true,
            });
        }
        let unit = Self::unit(name).ok_or_else(|| {
            QuantityError::new(
                say::measure::not_a_unit(quantity(), name),
                say::measure::hint_such_as(Self::examples()),
            )
        })?;
        let base = unit.read(&digits);
        // A number near the largest there is may overflow in its unit.
        if base.is_finite() {
            return Ok(Self::from_base(base));
        }
        Err(QuantityError::new(
            say::measure::too_large(quantity(), text.trim()),
            say::measure::hint_such_as(Self::examples()),
        ))
    }

    /// An amount of `number` in the unit called `name`; `None` for an unknown unit.
    fn in_unit(number: f64, name: &str) -> Option<Self> {
        Self::unit(name).map(|unit| Self::from_base(unit.scale(number)))
    }

    /// The unit called `name`.
    fn unit(name: &str) -> Option<&'static Unit> {
        // Exact case first: mA and MA differ. Then any case, where that is unambiguous.
        let exact = Self::UNITS.iter().find(|u| u.names.contains(&name));
        exact.or_else(|| {
            let mut hits = Self::UNITS
                .iter()
                .filter(|u| u.names.iter().any(|n| n.eq_ignore_ascii_case(name)));
            hits.next().filter(|_| hits.next().is_none())
        })
    }
}

impl Unit {
    fn scale(&self, number: f64) -> f64 {
        // Dividing by a whole number rounds once: 412 mA is 0.412 A to the last bit.
        let scaled = if self.factor < 1.0 {
            number / self.factor.recip()
        } else {
            number * self.factor
        };
        scaled + self.offset
    }

    /// The amount of a number as written. In decimal units the point is moved
    /// before the number is rounded to binary, so that 2.1 mV and 0.0021 V are
    /// the same to the last bit.
    fn read(&self, digits: &str) -> f64 {
        let (mantissa, written) = digits.split_once('e').unwrap_or((digits, "0"));
        let shift = self.factor.log10();
        let exact = (self.offset == 0.0 && shift == shift.round())
            .then(|| written.parse::<i64>().ok())
            .flatten()
            .and_then(|exponent| exponent.checked_add(shift as i64))
            .and_then(|exponent| format!("{mantissa}e{exponent}").parse().ok());
        // `split` has seen that the digits are a number.
        exact.unwrap_or_else(|| self.scale(digits.parse().unwrap_or(f64::NAN)))
    }
}

/// Splits `"0,42 A"` into `("0.42", "A")`, the digits being a finite number.
/// The unit may be empty; `None` without a number.
fn split(text: &str) -> Option<(String, &str)> {
    let text = text.trim();
    let mut digits = String::with_capacity(text.len());
    let mut end = 0;
    let mut chars = text.char_indices().peekable();
    while let Some((at, c)) = chars.next() {
        match c {
            '0'..='9' | '.' | '+' | '-' => digits.push(c),
            ',' => digits.push('.'),
            '\u{2212}' => digits.push('-'),
            ' ' | '\u{a0}' | '\u{2009}' | '\u{202f}' | '\'' => {
                // A blank belongs to the number only between two digits.
                if !chars.peek().is_some_and(|(_, next)| next.is_ascii_digit()) {
                    break;
                }
            }
            'e' | 'E' if exponent_follows(&text[at + 1..]) => digits.push('e'),
            _ => break,
        }
        end = at + c.len_utf8();
    }
    let number: f64 = digits.parse().ok()?;
    number.is_finite().then(|| (digits, text[end..].trim()))
}

fn exponent_follows(rest: &str) -> bool {
    rest.trim_start_matches(['+', '-', '\u{2212}'])
        .starts_with(|c: char| c.is_ascii_digit())
}

/// Writes `value` with `digits` significant digits and no trailing zeros,
/// never in exponent notation.
pub fn significant(value: f64, digits: usize) -> String {
    if value == 0.0 || !value.is_finite() {
        return if value == 0.0 {
            "0".into()
        } else {
            value.to_string()
        };
    }
    let magnitude = value.abs().log10().floor() as i32;
    let decimals = (digits as i32 - 1 - magnitude).max(0) as usize;
    let text = format!("{value:.decimals$}");
    if !text.contains('.') {
        return text;
    }
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" {
        "0".into()
    } else {
        text.into()
    }
}

/// A unit to write in: its size in base units, its name, the digits written
/// and the number from which on the next unit is taken.
type Step = (f64, &'static str, usize, f64);

/// Writes `value` in the first unit whose *rounded* number stays below its end,
/// so that what is written is read and written again the same: 119.96 s rounds
/// to 120 and is therefore 2 min. `base` names the unit of nothing.
fn in_unit_of_size(value: f64, base: &str, steps: &[Step]) -> String {
    if value == 0.0 {
        return format!("0 {base}");
    }
    let mut value = value;
    let mut text = String::new();
    for &(factor, name, digits, end) in steps {
        let number = significant(value / factor, digits);
        if number.parse::<f64>().is_ok_and(|n| n.abs() < end) {
            return format!("{number} {name}");
        }
        // Rounded up to the end: it counts as the end from here on.
        if value.abs() < end * factor {
            value = (end * factor).copysign(value);
        }
        text = format!("{number} {name}");
    }
    text
}

macro_rules! quantity {
    ($(#[$doc:meta])* $type:ident, $name:literal, [$($example:literal),+], $units:expr, |$value:ident| $display:expr) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
        pub struct $type(pub f64);

        impl Quantity for $type {
            const NAME: &'static str = $name;
            const UNITS: &'static [Unit] = $units;
            const EXAMPLES: &'static [&'static str] = &[$($example),+];
            fn from_base(value: f64) -> Self {
                Self(value)
            }
            fn base(self) -> f64 {
                self.0
            }
        }

        impl FromStr for $type {
            type Err = QuantityError;
            fn from_str(text: &str) -> Result<Self, QuantityError> {
                Self::parse(text)
            }
        }

        impl fmt::Display for $type {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                let $value = self.0;
                let text: String = $display;
                f.pad(&text)
            }
        }

        /// With its unit, as a value of a sentence.
        impl From<$type> for tongue::Arg {
            fn from(value: $type) -> Self {
                tongue::amount(value.to_string())
            }
        }
    };
}

quantity!(
    /// Electric current in ampere.
    Ampere, "current", ["420mA", "0.42A"],
    &[
        unit(&["A", "amp", "amps", "ampere"], 1.0),
        unit(&["mA"], 1e-3),
        unit(&["uA", "µA", "μA"], 1e-6),
        unit(&["kA"], 1e3),
    ],
    |value| in_unit_of_size(value, "A", &[
        (1e-6, "µA", 3, 100.0),
        (1e-3, "mA", 3, 1e3),
        (1.0, "A", 4, f64::INFINITY),
    ])
);
quantity!(
    /// Voltage in volt.
    Volt, "voltage", ["12.4V", "2.1mV"],
    &[
        unit(&["V", "volt", "volts"], 1.0),
        unit(&["mV"], 1e-3),
        unit(&["uV", "µV", "μV"], 1e-6),
    ],
    |value| in_unit_of_size(value, "V", &[(1e-3, "mV", 4, 1e3), (1.0, "V", 5, f64::INFINITY)])
);
quantity!(
    /// Charge in ampere-hour.
    AmpereHour, "charge", ["60Ah", "900mAh"],
    &[unit(&["Ah"], 1.0), unit(&["mAh"], 1e-3), unit(&["As", "C"], 1.0 / 3600.0)],
    |value| in_unit_of_size(value, "Ah", &[(1e-3, "mAh", 3, 1e3), (1.0, "Ah", 4, f64::INFINITY)])
);
quantity!(
    /// Time in second.
    Second, "time", ["14h, 90min", "15s"],
    &[
        unit(&["s", "sec", "second", "seconds"], 1.0),
        unit(&["ms"], 1e-3),
        unit(&["us", "µs", "μs"], 1e-6),
        unit(&["min", "minute", "minutes"], 60.0),
        unit(&["h", "hour", "hours"], 3600.0),
        unit(&["d", "day", "days"], 86_400.0),
        unit(&["week", "weeks"], 604_800.0),
    ],
    |value| in_unit_of_size(value, "s", &[
        (1e-3, "ms", 4, 1e3),
        (1.0, "s", 3, 120.0),
        (60.0, "min", 4, 120.0),
        (3600.0, "h", 4, 96.0),
        (86_400.0, "d", 4, f64::INFINITY),
    ])
);
quantity!(
    /// Temperature in degree Celsius.
    Celsius, "temperature", ["-5C", "23F"],
    &[
        unit(&["C", "°C", "degC"], 1.0),
        Unit { names: &["F", "°F", "degF"], factor: 5.0 / 9.0, offset: -160.0 / 9.0 },
        Unit { names: &["K"], factor: 1.0, offset: -273.15 },
    ],
    |value| format!("{} °C", significant((value * 10.0).round() / 10.0, 4))
);
quantity!(
    /// Resistance in ohm.
    Ohm, "resistance", ["4.8mohm", "2ohm"],
    &[
        unit(&["ohm", "ohms", "Ω", "Ω"], 1.0),
        unit(&["mohm", "mΩ", "mΩ"], 1e-3),
        unit(&["kohm", "kΩ", "kΩ"], 1e3),
        unit(&["Mohm", "MΩ", "MΩ"], 1e6),
    ],
    |value| in_unit_of_size(value, "Ω", &[(1e-3, "mΩ", 4, 1e3), (1.0, "Ω", 4, f64::INFINITY)])
);
quantity!(
    /// A share as a fraction: `85%` is 0.85.
    Share, "share", ["85%"],
    &[unit(&["%", "percent"], 0.01)],
    |value| format!("{} %", significant(value * 100.0, 3))
);

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn amperes(text: &str) -> f64 {
        text.parse::<Ampere>().unwrap().0
    }

    #[test]
    fn reads_what_people_write() {
        for text in [
            "420mA",
            "420 mA",
            "0.42A",
            "0,42 A",
            "4.2e-1A",
            "420000µA",
            "420 ma",
        ] {
            assert!((amperes(text) - 0.42).abs() < 1e-12, "{text}");
        }
        assert_eq!(amperes("412mA"), 0.412);
        assert_eq!(amperes("2.1 mA"), 0.0021);
        assert_eq!(amperes("70.3e1 µA"), 0.000_703);
        assert_eq!(amperes("4 120 mA"), 4.12);
        assert_eq!(amperes("\u{2212}5 A"), -5.0);
        assert!(("23F".parse::<Celsius>().unwrap().0 + 5.0).abs() < 1e-12);
        assert_eq!("90min".parse::<Second>().unwrap().0, 5400.0);
        assert_eq!("60Ah".parse::<AmpereHour>().unwrap().0, 60.0);
        assert_eq!("85%".parse::<Share>().unwrap().0, 0.85);
    }

    #[test]
    fn refuses_bare_numbers_with_a_hint() {
        let error = "420".parse::<Ampere>().unwrap_err();
        assert_eq!(
            error.to_string(),
            "'420' has no unit; write the current with its unit, such as 420mA or 0.42A"
        );
        assert!("".parse::<Ampere>().is_err());
        assert!("NaN A".parse::<Ampere>().is_err());
        assert!("inf A".parse::<Ampere>().is_err());
        assert!("12V".parse::<Ampere>().is_err());
        assert!(
            "9e307 kA"
                .parse::<Ampere>()
                .unwrap_err()
                .message
                .contains("too large")
        );
    }

    #[test]
    fn writes_what_reads_back() {
        for value in [
            0.0, 3e-6, 0.000_42, 0.004_2, 0.412, 0.999_6, 4.12, 412.0, -0.05,
        ] {
            let text = Ampere(value).to_string();
            assert!(
                (amperes(&text) - value).abs() <= 0.006 * value.abs(),
                "{value} -> {text}"
            );
        }
        assert_eq!(Ampere(0.412).to_string(), "412 mA");
        assert_eq!(Second(50_400.0).to_string(), "14 h");
        assert_eq!(Celsius(-5.0).to_string(), "-5 °C");
    }

    #[test]
    fn the_unit_is_chosen_after_rounding() {
        // Each of these rounds up to where the next unit begins; the first four
        // once were written in one unit and, read again, in another.
        for (value, text) in [
            (119.5, "2 min"),
            (119.96, "2 min"),
            (7197.6, "2 h"),
            (345_590.0, "4 d"),
            (119.4, "119 s"),
            (-119.96, "-2 min"),
            (0.999_96, "1 s"),
        ] {
            assert_eq!(Second(value).to_string(), text, "{value}");
            reads_back::<Second>(value);
        }
        for (value, text) in [(99.46e-6, "99.5 µA"), (99.96e-6, "0.1 mA"), (0.9996, "1 A")] {
            assert_eq!(Ampere(value).to_string(), text, "{value}");
            reads_back::<Ampere>(value);
        }
        assert_eq!(Second(f64::INFINITY).to_string(), "inf d");
    }

    /// What is written reads back: to half of the third digit, the fewest
    /// written, or for temperatures to half of the tenth of a degree shown.
    fn reads_back<Q: Quantity + fmt::Display>(value: f64) {
        let text = Q::from_base(value).to_string();
        let back = Q::parse(&text).map(Quantity::base);
        let slack = if Q::NAME == "temperature" {
            0.050_001
        } else {
            0.005_001 * value.abs()
        };
        assert!(
            back.is_ok_and(|back| (back - value).abs() <= slack),
            "{value} -> {text}"
        );
        // The text is a fixed point: writing what was read gives it again.
        let again = Q::parse(&text).map(|amount| amount.to_string());
        assert_eq!(again.as_deref(), Ok(text.as_str()));
    }

    proptest! {
        #[test]
        fn amounts_survive_text(exponent in -9.0..6.0_f64, negative in any::<bool>()) {
            let value = 10.0_f64.powf(exponent) * if negative { -1.0 } else { 1.0 };
            reads_back::<Ampere>(value);
            reads_back::<Volt>(value);
            reads_back::<AmpereHour>(value);
            reads_back::<Second>(value);
            reads_back::<Ohm>(value);
            reads_back::<Share>(value);
        }

        #[test]
        fn temperatures_survive_text(value in -60.0..100.0_f64) {
            reads_back::<Celsius>(value);
        }

        #[test]
        fn any_text_is_read_or_refused_with_a_hint(text in "[-+0-9.,eE \u{a0}\u{2212}'µμmkMAVhΩ°CF%]{0,12}|\\PC{0,20}") {
            fn check<Q: Quantity>(text: &str) {
                match Q::parse(text) {
                    Ok(amount) => assert!(amount.base().is_finite(), "{text}"),
                    Err(error) => assert!(!error.hint.is_empty()),
                }
            }
            check::<Ampere>(&text);
            check::<Celsius>(&text);
            check::<Second>(&text);
            check::<Share>(&text);
        }

        #[test]
        fn bare_numbers_are_refused(value in any::<f64>()) {
            prop_assert!(value.to_string().parse::<Share>().is_err());
            prop_assert!(value.to_string().parse::<Ampere>().is_err());
        }
    }
}
