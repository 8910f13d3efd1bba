//! Dates and times of day as loggers write them.

/// A stamp read from text.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Stamp {
    /// Days since 1970-01-01, where a date was there.
    pub(super) day: Option<i64>,
    /// Seconds of the day, whole part; may be negative or beyond a day after a zone was applied.
    pub(super) seconds: i64,
    /// Fraction of a second.
    pub(super) fraction: f64,
    /// Decimals of that fraction.
    pub(super) decimals: u32,
    /// Offset of the zone that was given; the seconds are UTC then.
    pub(super) zone: Option<i64>,
}

/// Order in which the parts of a date stand when the year is not first.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum DateOrder {
    DayFirst,
    MonthFirst,
}

impl Stamp {
    /// Seconds since `base` (in whole seconds of the same count).
    pub(super) fn since(&self, base: i64) -> f64 {
        (self.whole() - base) as f64 + self.fraction
    }

    /// Whole seconds since 1970, or of the day where there is no date.
    pub(super) fn whole(&self) -> i64 {
        self.day
            .unwrap_or(0)
            .saturating_mul(86_400)
            .saturating_add(self.seconds)
    }
}

/// Reads `2026-11-25T22:10:05.5+01:00`, `25.11.2026 22:10`, `22:10:05,25` or `10:10:05 PM`.
pub(super) fn parse(text: &[u8], order: DateOrder) -> Option<Stamp> {
    let text = text.trim_ascii();
    quick(text).or_else(|| parse_any(text, order))
}

/// The two commonest forms in millions of rows, `2026-11-25T22:10:05.5Z` and `22:10:05.5`, with two digits each;
/// `None` for all others, and what [`parse_any`] gives for these.
fn quick(text: &[u8]) -> Option<Stamp> {
    let (day, clock) = match text.split_first_chunk::<11>() {
        Some(([y, e, a, r, b'-', m, n, b'-', d, f, b'T' | b' '], clock)) => {
            let year = 100 * pair(*y, *e)? + pair(*a, *r)?;
            let (month, day) = (pair(*m, *n)?, pair(*d, *f)?);
            if year < 1900 {
                return None;
            }
            (Some(days_from_civil(year, month, day)?), clock)
        }
        _ => (None, text),
    };
    let ([h, i, b':', m, n, b':', s, t], mut rest) = clock.split_first_chunk::<8>()? else {
        return None;
    };
    let (hour, minute, second) = (pair(*h, *i)?, pair(*m, *n)?, pair(*s, *t)?);
    if minute > 59 || second > 60 || (day.is_some() && hour > 24) {
        return None;
    }
    let (mut number, mut decimals) = (0u32, 0u32);
    if let [b'.', tail @ ..] = rest {
        rest = tail;
        while let [digit @ b'0'..=b'9', tail @ ..] = rest {
            if decimals == 9 {
                return None;
            }
            number = number * 10 + u32::from(digit - b'0');
            decimals += 1;
            rest = tail;
        }
        if decimals == 0 {
            return None;
        }
    }
    let zone = match rest {
        [] => None,
        b"Z" => Some(0),
        _ => return None,
    };
    Some(Stamp {
        day,
        seconds: hour * 3600 + minute * 60 + second,
        fraction: f64::from(number) / 10f64.powi(decimals as i32),
        decimals,
        zone,
    })
}

/// Two digits.
#[inline(always)]
fn pair(tens: u8, ones: u8) -> Option<i64> {
    let (tens, ones) = (tens.wrapping_sub(b'0'), ones.wrapping_sub(b'0'));
    (tens < 10 && ones < 10).then(|| i64::from(10 * tens + ones))
}

fn parse_any(text: &[u8], order: DateOrder) -> Option<Stamp> {
    if text.len() > 48 || !text.first()?.is_ascii_digit() {
        return None;
    }
    let (date, rest) = match parse_date(text, order) {
        Some((day, used)) => (Some(day), &text[used..]),
        None => (None, text),
    };
    let rest = match rest {
        [b'T' | b't', rest @ ..] if date.is_some() => rest,
        _ => rest.trim_ascii_start(),
    };
    if rest.is_empty() {
        return date.map(|day| Stamp {
            day: Some(day),
            seconds: 0,
            fraction: 0.0,
            decimals: 0,
            zone: None,
        });
    }
    let mut stamp = parse_clock(rest, date.is_some())?;
    stamp.day = date;
    Some(stamp)
}

/// A date alone, and how many bytes it took.
pub(super) fn parse_date(text: &[u8], order: DateOrder) -> Option<(i64, usize)> {
    let (a, at) = digits(text, 0, 4)?;
    let mark = *text.get(at).filter(|b| matches!(b, b'-' | b'/' | b'.'))?;
    let (b, second) = digits(text, at + 1, 2)?;
    if text.get(second) != Some(&mark) {
        return None;
    }
    let (c, end) = digits(text, second + 1, 4)?;
    if !matches!(text.get(end), None | Some(b' ' | b'T' | b't')) {
        return None;
    }
    let (year, month, day) = if at == 4 {
        (a, b, c)
    } else {
        let year = if end - second - 1 == 2 { 2000 + c } else { c };
        match order {
            DateOrder::DayFirst => (year, b, a),
            DateOrder::MonthFirst => (year, a, b),
        }
    };
    // `1.2.3` is a version, not a date.
    (year >= 1900).then_some(())?;
    Some((days_from_civil(year, month, day)?, end))
}

/// Whether the first two parts of a date settle which of them is the month.
pub(super) fn order_evidence(text: &[u8]) -> Option<DateOrder> {
    let (a, at) = digits(text.trim_ascii(), 0, 4)?;
    let text = text.trim_ascii();
    if at == 4 || !matches!(text.get(at), Some(b'-' | b'/' | b'.')) {
        return None;
    }
    let (b, _) = digits(text, at + 1, 2)?;
    match (a > 12, b > 12) {
        (true, false) => Some(DateOrder::DayFirst),
        (false, true) => Some(DateOrder::MonthFirst),
        _ => None,
    }
}

fn parse_clock(text: &[u8], dated: bool) -> Option<Stamp> {
    let (hour, at) = digits(text, 0, 4)?;
    if text.get(at) != Some(&b':') {
        return None;
    }
    let (minute, mut at) = two(text, at + 1)?;
    let (mut second, mut fraction, mut decimals) = (0, 0.0, 0);
    if text.get(at) == Some(&b':') {
        (second, at) = two(text, at + 1)?;
        if matches!(text.get(at), Some(b'.' | b',' | b':')) {
            let start = at + 1;
            let end = start
                + text[start..]
                    .iter()
                    .take_while(|b| b.is_ascii_digit())
                    .count();
            if end == start {
                return None;
            }
            // Beyond nanoseconds nothing is kept.
            let kept = end.min(start + 9);
            let number = text[start..kept]
                .iter()
                .fold(0u64, |n, b| n * 10 + u64::from(b - b'0'));
            decimals = (kept - start) as u32;
            fraction = number as f64 / 10f64.powi(decimals as i32);
            at = end;
        }
    }
    let mut rest = text[at..].trim_ascii();
    let mut hour = hour;
    if let [half @ (b'a' | b'A' | b'p' | b'P'), b'm' | b'M', tail @ ..] = rest {
        if !(1..=12).contains(&hour) {
            return None;
        }
        hour = hour % 12
            + if half.eq_ignore_ascii_case(&b'p') {
                12
            } else {
                0
            };
        rest = tail.trim_ascii();
    }
    let zone = parse_zone(rest)?;
    // A leap second may be written as :60.
    if minute > 59 || second > 60 || (dated && hour > 24) {
        return None;
    }
    let seconds = hour * 3600 + minute * 60 + second - zone.unwrap_or(0);
    Some(Stamp {
        day: None,
        seconds,
        fraction,
        decimals,
        zone,
    })
}

/// Offset in seconds; `Some(None)` for no zone, `None` for something that is no zone.
fn parse_zone(text: &[u8]) -> Option<Option<i64>> {
    match text {
        [] => Some(None),
        b"Z" | b"z" | b"UTC" | b"GMT" => Some(Some(0)),
        [sign @ (b'+' | b'-'), rest @ ..] => {
            let (hours, at) = exactly_two(rest, 0)?;
            let minutes = match &rest[at..] {
                [] => 0,
                [b':', tail @ ..] | tail => {
                    let (minutes, end) = exactly_two(tail, 0)?;
                    if end != tail.len() {
                        return None;
                    }
                    minutes
                }
            };
            if hours > 18 || minutes > 59 {
                return None;
            }
            let offset = hours * 3600 + minutes * 60;
            Some(Some(if *sign == b'-' { -offset } else { offset }))
        }
        _ => None,
    }
}

/// One to `most` digits.
fn digits(text: &[u8], at: usize, most: usize) -> Option<(i64, usize)> {
    let n = text
        .get(at..)?
        .iter()
        .take(most + 1)
        .take_while(|b| b.is_ascii_digit())
        .count();
    if n == 0 || n > most {
        return None;
    }
    Some((
        text[at..at + n]
            .iter()
            .fold(0, |v, b| v * 10 + i64::from(b - b'0')),
        at + n,
    ))
}

/// The next two digits, whatever follows.
fn exactly_two(text: &[u8], at: usize) -> Option<(i64, usize)> {
    digits(text.get(..at + 2)?, at, 2).filter(|(_, end)| *end == at + 2)
}

/// One or two digits.
fn two(text: &[u8], at: usize) -> Option<(i64, usize)> {
    digits(text, at, 2)
}

/// Days since 1970-01-01 in the Gregorian calendar; `None` if there is no such day.
///
/// Days are counted in 400-year eras from 1 March (from memory; checked
/// against known dates and by its inverse in the tests).
pub(super) fn days_from_civil(year: i64, month: i64, day: i64) -> Option<i64> {
    if !(1..=12).contains(&month) || day < 1 || !(1..=9999).contains(&year) {
        return None;
    }
    let y = if month <= 2 { year - 1 } else { year };
    let era = y.div_euclid(400);
    let year_of_era = y.rem_euclid(400);
    let day_of_year = (153 * ((month + 9) % 12) + 2) / 5 + day - 1;
    let day_of_era = year_of_era * 365 + year_of_era / 4 - year_of_era / 100 + day_of_year;
    let days = era * 146_097 + day_of_era - 719_468;
    // Every month has 28 days.
    (day <= 28 || civil_from_days(days) == (year, month, day)).then_some(days)
}

/// Year, month and day of a day count.
pub(super) fn civil_from_days(days: i64) -> (i64, i64, i64) {
    let z = days + 719_468;
    let era = z.div_euclid(146_097);
    let doe = z.rem_euclid(146_097);
    let yoe = (doe - doe / 1460 + doe / 36_524 - doe / 146_096) / 365;
    let doy = doe - (365 * yoe + yoe / 4 - yoe / 100);
    let mp = (5 * doy + 2) / 153;
    let month = if mp < 10 { mp + 3 } else { mp - 9 };
    (
        yoe + era * 400 + i64::from(month <= 2),
        month,
        doy - (153 * mp + 2) / 5 + 1,
    )
}

/// ISO 8601 text of whole and fractional seconds since 1970 or, without a date, of a day.
pub(super) fn iso(whole: i64, fraction: f64, dated: bool, zone: Option<i64>) -> String {
    let (mut whole, mut micros) = (whole + zone.unwrap_or(0), (fraction * 1e6).round() as i64);
    if micros >= 1_000_000 {
        whole += 1;
        micros = 0;
    }
    let of_day = whole.rem_euclid(86_400);
    let (h, m, s) = (of_day / 3600, of_day / 60 % 60, of_day % 60);
    let mut text = String::new();
    if dated {
        let (year, month, day) = civil_from_days(whole.div_euclid(86_400));
        text = format!("{year:04}-{month:02}-{day:02}T");
    }
    text.push_str(&format!("{h:02}:{m:02}:{s:02}"));
    if micros > 0 {
        text.push_str(format!(".{micros:06}").trim_end_matches('0'));
    }
    match zone {
        None => {}
        Some(0) => text.push('Z'),
        Some(z) => text.push_str(&format!(
            "{}{:02}:{:02}",
            if z < 0 { '-' } else { '+' },
            z.abs() / 3600,
            z.abs() / 60 % 60
        )),
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn at(text: &str) -> Option<(i64, f64, bool)> {
        parse(text.as_bytes(), DateOrder::DayFirst)
            .map(|s| (s.whole(), s.fraction, s.zone.is_some()))
    }

    proptest! {
        /// The quick way never differs from the general one.
        #[test]
        fn quick_is_the_same(text in "([12][890][0-9]{2}-[0-3][0-9]-[0-3][0-9][T ])?[0-2][0-9]:[0-6][0-9]:[0-6][0-9](\\.[0-9]{0,10})?(Z|\\+01:00)?") {
            if let Some(stamp) = quick(text.as_bytes()) {
                prop_assert_eq!(Some(stamp), parse_any(text.as_bytes(), DateOrder::DayFirst));
            }
        }
    }

    #[test]
    fn the_common_forms_go_the_quick_way() {
        for text in [
            "2026-11-25T22:10:05.5Z",
            "2026-11-25 22:10:05",
            "22:10:05.250",
            "23:59:60",
        ] {
            assert!(quick(text.as_bytes()).is_some(), "{text}");
        }
    }

    #[test]
    fn known_instants() {
        // 2000-03-01 is day 11017 (POSIX time 951868800), a date beside a leap day of a 400th year.
        assert_eq!(at("2000-03-01"), Some((951_868_800, 0.0, false)));
        // The billionth POSIX second was 2001-09-09T01:46:40Z.
        assert_eq!(at("2001-09-09T01:46:40Z"), Some((1_000_000_000, 0.0, true)));
        assert_eq!(
            at("2001-09-09T03:46:40.25+02:00"),
            Some((1_000_000_000, 0.25, true))
        );
        assert_eq!(
            at("2001-09-08 20:46:40 -0500"),
            Some((1_000_000_000, 0.0, true))
        );
        assert_eq!(at("9.9.2001 1:46:40,5"), Some((1_000_000_000, 0.5, false)));
        assert_eq!(at("22:10"), Some((79_800, 0.0, false)));
        assert_eq!(at("10:10:05 PM"), Some((79_805, 0.0, false)));
        assert_eq!(at("12:00:00 am"), Some((0, 0.0, false)));
        for bad in [
            "1.5",
            "22",
            "2026-02-30",
            "22:61",
            "22:10:",
            "1.2.3",
            "2026-11-25T22:10+",
            "22:10:05 XM",
            "13:00 PM",
            "",
        ] {
            assert_eq!(at(bad), None, "{bad}");
        }
    }

    #[test]
    fn month_first_where_asked() {
        let us = parse(b"09/08/2001 20:46:40", DateOrder::MonthFirst).unwrap();
        assert_eq!(us.whole(), 1_000_000_000 - 5 * 3600);
        assert_eq!(order_evidence(b"11/25/2026"), Some(DateOrder::MonthFirst));
        assert_eq!(order_evidence(b"25/11/2026"), Some(DateOrder::DayFirst));
        assert_eq!(order_evidence(b"2026-11-25"), None);
    }

    proptest! {
        #[test]
        fn calendar_and_its_inverse(days in -700_000i64..2_900_000) {
            let (y, m, d) = civil_from_days(days);
            prop_assert_eq!(days_from_civil(y, m, d), Some(days));
            // The next day is the next date.
            prop_assert!(civil_from_days(days + 1) > (y, m, d));
        }

        #[test]
        fn iso_reads_back(whole in 0i64..4_000_000_000, quarters in -48i64..57) {
            prop_assert_eq!(at(&iso(whole, 0.0, true, Some(quarters * 900))), Some((whole, 0.0, true)));
        }
    }
}
