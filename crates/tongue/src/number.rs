//! Numbers as a language writes them.

use crate::{Arg, Lang, speaking};

/// Space between groups of digits: narrow and never broken (Unicode U+202F).
const GROUP: char = '\u{202f}';

/// `text` with every number in it as the spoken language writes it: a decimal
/// comma in German; groups of three from five digits on (SI Brochure, 9th
/// edition, 2019, section 5.4.4). `text` has a decimal point and no groups.
pub fn number(text: &str) -> String {
    written(text, true)
}

/// The same without groups of digits.
pub(crate) fn ungrouped(text: &str) -> String {
    written(text, false)
}

fn written(text: &str, groups: bool) -> String {
    let mut out = String::with_capacity(text.len() + 4);
    let mut rest = text;
    while let Some(start) = rest.find(|c: char| c.is_ascii_digit()) {
        let (before, from) = rest.split_at(start);
        out.push_str(before);
        let whole = digits(from);
        let (integer, after) = from.split_at(whole);
        if groups {
            grouped(&mut out, integer);
        } else {
            out.push_str(integer);
        }
        rest = after;
        let fraction = rest.strip_prefix('.').map_or(0, digits);
        if fraction > 0 {
            out.push(match speaking() {
                Lang::En => '.',
                Lang::De => ',',
            });
            out.push_str(&rest[1..=fraction]);
            rest = &rest[1 + fraction..];
        }
    }
    out.push_str(rest);
    out
}

/// A number with its unit as a value of a message: `"412.3 mA"`. Written with
/// a decimal point here, and as the reader's language has it later.
pub fn amount(text: impl Into<String>) -> Arg {
    Arg::Amount(text.into())
}

/// A number as somebody gave it, as a value of a message: a decimal comma in
/// German, and no groups of digits in any language, so that it can be typed again.
pub fn figure(text: impl Into<String>) -> Arg {
    Arg::Figure(text.into())
}

/// A number with so many decimals as a value of a message.
pub fn fixed(value: f64, decimals: usize) -> Arg {
    Arg::Amount(format!("{value:.decimals$}"))
}

/// A share as a whole percentage, without the sign, as a value of a message.
pub fn percent(share: f64) -> Arg {
    fixed(share * 100.0, 0)
}

fn digits(text: &str) -> usize {
    text.bytes().take_while(u8::is_ascii_digit).count()
}

fn grouped(out: &mut String, integer: &str) {
    if integer.len() < 5 {
        out.push_str(integer);
        return;
    }
    for (at, digit) in integer.chars().enumerate() {
        if at > 0 && (integer.len() - at).is_multiple_of(3) {
            out.push(GROUP);
        }
        out.push(digit);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::speak;

    #[test]
    fn a_comma_and_narrow_spaces() {
        assert_eq!(speak(Lang::De, || ungrouped("12345.5 Ah")), "12345,5 Ah");
        for (text, en, de) in [
            ("412.3 ± 1.2 mA", "412.3 ± 1.2 mA", "412,3 ± 1,2 mA"),
            ("-0.5 °C", "-0.5 °C", "-0,5 °C"),
            ("1230 mA", "1230 mA", "1230 mA"),
            ("12345.67 Ah", "12\u{202f}345.67 Ah", "12\u{202f}345,67 Ah"),
            (
                "1234567",
                "1\u{202f}234\u{202f}567",
                "1\u{202f}234\u{202f}567",
            ),
            ("F12. Then", "F12. Then", "F12. Then"),
            ("no number", "no number", "no number"),
            ("", "", ""),
        ] {
            assert_eq!(number(text), en);
            assert_eq!(speak(Lang::De, || number(text)), de);
        }
    }
}
