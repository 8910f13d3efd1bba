//! Numbers as loggers write them.

/// Which mark stands before the decimals.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Decimal {
    Point,
    Comma,
    /// No evidence yet: whichever comes is taken.
    Either,
}

/// How the numbers of one file are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct NumberFormat {
    pub(super) decimal: Decimal,
    pub(super) thousands: Option<u8>,
}

impl NumberFormat {
    pub(super) const PLAIN: Self = Self {
        decimal: Decimal::Point,
        thousands: None,
    };
}

/// Digits seen, from which the resolution of a column follows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct Digits {
    /// Largest number, read without its decimal mark: its length is the number of significant digits.
    pub(super) mantissa: u64,
    /// Most digits behind the decimal mark.
    pub(super) decimals: u32,
}

impl Digits {
    pub(super) fn merge(&mut self, other: Self) {
        self.mantissa = self.mantissa.max(other.mantissa);
        self.decimals = self.decimals.max(other.decimals);
    }

    /// Step between neighbouring numbers around `value` that this many digits can show.
    pub(super) fn resolution(self, value: f64) -> f64 {
        let fixed = 10f64.powi(-(self.decimals as i32));
        let Some(significant) = self.mantissa.checked_ilog10().filter(|_| value != 0.0) else {
            return fixed;
        };
        let magnitude = value.abs().log10().floor() as i32;
        fixed.max(10f64.powi(magnitude - significant as i32))
    }
}

const POWERS: [f64; 23] = [
    1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16,
    1e17, 1e18, 1e19, 1e20, 1e21, 1e22,
];

/// Reads a number with decimal mark `mark` at `bytes[at..]`; gives it, the place behind it and the decimals.
///
/// Up to 2^53 in at most 18 digits, one division by an exact power of ten is
/// correctly rounded (Clinger: How to Read Floating Point Numbers Accurately,
/// 1990); anything else goes to the general routine.
#[inline(always)]
pub(super) fn scan(bytes: &[u8], at: usize, mark: u8) -> Option<(f64, usize, Digits)> {
    let mut i = at;
    let negative = match bytes.get(i) {
        Some(b'-') => {
            i += 1;
            true
        }
        Some(b'+') => {
            i += 1;
            false
        }
        _ => false,
    };
    let mut mantissa = 0u64;
    let whole_start = i;
    while let Some(d) = bytes
        .get(i)
        .map(|b| b.wrapping_sub(b'0'))
        .filter(|d| *d < 10)
    {
        mantissa = mantissa.wrapping_mul(10).wrapping_add(u64::from(d));
        i += 1;
    }
    let mut digits = i - whole_start;
    let mut decimals = 0;
    if bytes.get(i) == Some(&mark) {
        i += 1;
        let start = i;
        while let Some(d) = bytes
            .get(i)
            .map(|b| b.wrapping_sub(b'0'))
            .filter(|d| *d < 10)
        {
            mantissa = mantissa.wrapping_mul(10).wrapping_add(u64::from(d));
            i += 1;
        }
        decimals = i - start;
        digits += decimals;
    }
    let exponent = matches!(bytes.get(i), Some(b'e' | b'E'));
    if digits == 0 {
        return None;
    }
    if exponent || digits > 18 || mantissa > (1 << 53) {
        return general(bytes, at, mark);
    }
    let value = mantissa as f64 / POWERS[decimals];
    let value = if negative { -value } else { value };
    Some((
        value,
        i,
        Digits {
            mantissa,
            decimals: decimals as u32,
        },
    ))
}

#[cold]
fn general(bytes: &[u8], at: usize, mark: u8) -> Option<(f64, usize, Digits)> {
    let number = |b: &u8| matches!(b, b'0'..=b'9' | b'+' | b'-' | b'e' | b'E') || *b == mark;
    let length = bytes[at..].iter().take_while(|b| number(b)).count();
    let text = &bytes[at..at + length];
    let sign = usize::from(text.first() == Some(&b'+'));
    let (value, used) = if mark == b'.' {
        fast_float2::parse_partial::<f64, _>(&text[sign..]).ok()?
    } else {
        let pointed: Vec<u8> = text[sign..]
            .iter()
            .map(|b| if *b == mark { b'.' } else { *b })
            .collect();
        fast_float2::parse_partial::<f64, _>(&pointed).ok()?
    };
    // Written with exponent or to the last bit: taken as exact to 17 digits.
    Some((
        value,
        at + used + sign,
        Digits {
            mantissa: u64::MAX,
            decimals: 17,
        },
    ))
}

/// Parses a whole cell in the given format; `None` if it is not a finite number.
pub(super) fn parse(cell: &[u8], format: NumberFormat) -> Option<(f64, Digits)> {
    let cell = trim(cell);
    let finish = |text: &[u8]| {
        scan(text, 0, b'.')
            .filter(|(v, used, _)| *used == text.len() && v.is_finite())
            .map(|(v, _, d)| (v, d))
    };
    if let Some(found) =
        finish(cell).filter(|_| format.decimal != Decimal::Comma || !cell.contains(&b'.'))
    {
        return Some(found);
    }
    // Behind a decimal comma there is no other; with group marks there might be.
    if format.decimal != Decimal::Point
        && format.thousands.is_none()
        && let Some((value, used, digits)) = scan(cell, 0, b',')
        && used == cell.len()
        && value.is_finite()
    {
        return Some((value, digits));
    }
    if cell.is_empty() || cell.len() > 64 {
        return None;
    }
    finish(&clean(cell, format)?)
}

/// Rewrites a cell with decimal point, without thousands separators and with a plain minus.
fn clean(cell: &[u8], format: NumberFormat) -> Option<Vec<u8>> {
    let mut out = Vec::with_capacity(cell.len());
    let text = String::from_utf8_lossy(cell);
    for c in text.chars() {
        match c {
            '\u{2212}' => out.push(b'-'),
            // Blanks of several widths and the apostrophe only ever group digits.
            '\u{a0}' | '\u{202f}' | '\u{2009}' | '\'' | '\u{2019}' => {}
            ' ' if format.thousands == Some(b' ') => {}
            ',' | '.' if format.thousands == Some(c as u8) => {
                // A group separator behind the decimal mark is no number.
                if out.contains(&b'.') {
                    return None;
                }
            }
            ',' if format.decimal != Decimal::Point => out.push(b'.'),
            '.' if format.decimal != Decimal::Comma => out.push(b'.'),
            c if c.is_ascii_digit() || matches!(c, '+' | '-' | 'e' | 'E') => out.push(c as u8),
            _ => return None,
        }
    }
    Some(out)
}

/// Whether a cell is a way of saying that there was no value.
pub(super) fn is_missing(cell: &[u8]) -> bool {
    let cell = trim(cell);
    let unsigned = cell
        .strip_prefix(b"-")
        .or_else(|| cell.strip_prefix(b"+"))
        .unwrap_or(cell);
    cell.is_empty()
        || unsigned.iter().all(|b| *b == b'-')
        || [
            "nan", "inf", "infinity", "null", "none", "n/a", "na", "#n/a", "ol", "o.l", "overload",
        ]
        .iter()
        .any(|word| unsigned.eq_ignore_ascii_case(word.as_bytes()))
}

pub(super) fn trim(cell: &[u8]) -> &[u8] {
    cell.trim_ascii()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const COMMA: NumberFormat = NumberFormat {
        decimal: Decimal::Comma,
        thousands: Some(b'.'),
    };
    const POINT: NumberFormat = NumberFormat {
        decimal: Decimal::Point,
        thousands: Some(b','),
    };

    fn value(text: &str, format: NumberFormat) -> Option<f64> {
        parse(text.as_bytes(), format).map(|(v, _)| v)
    }

    #[test]
    fn many_spellings() {
        assert_eq!(value(" 1e-3 ", NumberFormat::PLAIN), Some(0.001));
        assert_eq!(value("+.5", NumberFormat::PLAIN), Some(0.5));
        assert_eq!(value("5.", NumberFormat::PLAIN), Some(5.0));
        assert_eq!(value("\u{2212}2.5", NumberFormat::PLAIN), Some(-2.5));
        assert_eq!(value("1.234,5", COMMA), Some(1234.5));
        assert_eq!(value("1.234", COMMA), Some(1234.0));
        assert_eq!(value("1,234.5", POINT), Some(1234.5));
        assert_eq!(value("1\u{a0}234.5", POINT), Some(1234.5));
        assert_eq!(value("1'234.5", NumberFormat::PLAIN), Some(1234.5));
        for bad in [
            "", "-", "nan", "inf", "1e999", "1,5", "1.5.2", "--1", "12a", "0x10", "1e", "e5",
        ] {
            assert_eq!(value(bad, NumberFormat::PLAIN), None, "{bad}");
        }
    }

    #[test]
    fn resolution_follows_digits() {
        let fixed = Digits {
            mantissa: 12_345,
            decimals: 3,
        };
        assert_eq!(fixed.resolution(0.5), 0.001);
        // Six significant digits: 14999.8 shows tenths only.
        let six = Digits {
            mantissa: 149_998,
            decimals: 3,
        };
        assert!((six.resolution(14999.8) - 0.1).abs() < 1e-12);
    }

    proptest! {
        /// The short way gives the very double that the standard library gives.
        #[test]
        fn same_double_as_the_standard_library(text in "[-+]?[0-9]{1,20}(\\.[0-9]{0,12})?([eE][-+]?[0-9]{1,2})?") {
            let expected: f64 = text.parse().unwrap();
            prop_assert_eq!(value(&text, NumberFormat::PLAIN).map(f64::to_bits), Some(expected.to_bits()), "{}", text);
        }
    }
}
