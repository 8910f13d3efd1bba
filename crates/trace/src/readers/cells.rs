//! Lines and cells.

use super::clock::{self, DateOrder};
use super::label;
use super::number;

/// What stands between two cells.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Delimiter {
    Byte(u8),
    /// One or more blanks or tabs.
    Blanks,
    /// One cell a line.
    None,
}

impl Delimiter {
    pub(super) fn name(self) -> &'static str {
        match self {
            Self::Byte(b',') => "commas",
            Self::Byte(b';') => "semicolons",
            Self::Byte(_) => "tabs",
            Self::Blanks => "blanks",
            Self::None => "nothing (one column)",
        }
    }
}

/// What a cell could be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum CellKind {
    Number,
    Stamp,
    Missing,
    Text,
}

/// Splits a line without its end; quotes around cells are taken off.
pub(super) fn split<'a>(line: &'a [u8], delimiter: Delimiter, out: &mut Vec<&'a [u8]>) {
    out.clear();
    match delimiter {
        Delimiter::None => out.push(unquote(line)),
        Delimiter::Blanks => out.extend(
            line.split(|b| matches!(b, b' ' | b'\t'))
                .filter(|c| !c.is_empty())
                .map(unquote),
        ),
        Delimiter::Byte(mark) => {
            let mut rest = line;
            loop {
                let end = cell_end(rest, mark);
                out.push(unquote(&rest[..end]));
                if end == rest.len() {
                    break;
                }
                rest = &rest[end + 1..];
            }
        }
    }
}

fn cell_end(rest: &[u8], mark: u8) -> usize {
    let lead = rest.iter().take_while(|b| **b == b' ').count();
    let mut from = 0;
    if rest.get(lead) == Some(&b'"') {
        // An unclosed quote is taken as an ordinary character.
        if let Some(close) = memchr::memchr(b'"', &rest[lead + 1..]) {
            from = lead + 1 + close;
        }
    }
    memchr::memchr(mark, &rest[from..]).map_or(rest.len(), |n| from + n)
}

fn unquote(cell: &[u8]) -> &[u8] {
    let cell = cell.trim_ascii();
    match cell {
        [b'"', inner @ .., b'"'] => inner.trim_ascii(),
        _ => cell,
    }
}

/// Whether a line is a comment.
pub(super) fn is_comment(line: &[u8]) -> bool {
    matches!(
        line.trim_ascii_start(),
        [b'#' | b';' | b'%', ..] | [b'/', b'/', ..]
    )
}

/// Kind of a cell, whatever the decimal mark may be.
pub(super) fn kind(cell: &[u8]) -> CellKind {
    if number::is_missing(cell) {
        CellKind::Missing
    } else if looks_number(cell) || with_unit(cell).is_some_and(|(number, _)| looks_number(number))
    {
        CellKind::Number
    } else if clock::parse(cell, DateOrder::DayFirst).is_some()
        || clock::parse(cell, DateOrder::MonthFirst).is_some()
    {
        CellKind::Stamp
    } else {
        CellKind::Text
    }
}

/// `412 mA` as number and unit.
pub(super) fn with_unit(cell: &[u8]) -> Option<(&[u8], label::Unit)> {
    let at = cell.iter().rposition(u8::is_ascii_digit)? + 1;
    let tail = std::str::from_utf8(&cell[at..]).ok()?.trim();
    if tail.is_empty() {
        return None;
    }
    Some((&cell[..at], label::parse_unit(tail)?))
}

fn looks_number(cell: &[u8]) -> bool {
    let text = String::from_utf8_lossy(cell);
    let text = text.trim().trim_start_matches(['+', '-', '\u{2212}']);
    let (mantissa, exponent) = text
        .split_once(['e', 'E'])
        .map_or((text, None), |(m, e)| (m, Some(e)));
    let exponent_ok = exponent.is_none_or(|e| {
        let e = e.trim_start_matches(['+', '-']);
        !e.is_empty() && e.len() <= 4 && e.bytes().all(|b| b.is_ascii_digit())
    });
    let body = mantissa.bytes().any(|b| b.is_ascii_digit())
        && mantissa.chars().all(|c| {
            c.is_ascii_digit()
                || matches!(
                    c,
                    '.' | ',' | '\'' | '\u{2019}' | '\u{a0}' | '\u{202f}' | '\u{2009}'
                )
        })
        && !mantissa.ends_with([',', '\''])
        && !mantissa.starts_with(['\'']);
    body && exponent_ok && grouped(mantissa)
}

/// Whether marks stand where group and decimal marks can: before the last there are groups of three.
fn grouped(text: &str) -> bool {
    let marks: Vec<char> = text.chars().filter(|c| matches!(c, '.' | ',')).collect();
    let (Some(first), Some(last)) = (marks.first(), marks.last()) else {
        return true;
    };
    if marks.len() == 1 {
        return true;
    }
    let (whole, decimals) = if first == last {
        (text, None)
    } else {
        text.rsplit_once(*last)
            .map_or((text, None), |(w, d)| (w, Some(d)))
    };
    let mut groups = whole.split(*first);
    let head = groups.next().unwrap_or_default();
    (1..=3).contains(&head.len())
        && groups.all(|g| g.len() == 3 && g.bytes().all(|b| b.is_ascii_digit()))
        && decimals.is_none_or(|d| !d.contains(['.', ',']))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cells(line: &str, delimiter: Delimiter) -> Vec<String> {
        let mut out = Vec::new();
        split(line.as_bytes(), delimiter, &mut out);
        out.iter()
            .map(|c| String::from_utf8_lossy(c).into_owned())
            .collect()
    }

    #[test]
    fn splits() {
        assert_eq!(
            cells("a, \"b,c\" ,,d", Delimiter::Byte(b',')),
            ["a", "b,c", "", "d"]
        );
        assert_eq!(cells("  1 \t 2  3", Delimiter::Blanks), ["1", "2", "3"]);
        assert_eq!(cells("\"open,1", Delimiter::Byte(b',')), ["\"open", "1"]);
        assert_eq!(cells("1,", Delimiter::Byte(b',')), ["1", ""]);
    }

    #[test]
    fn kinds() {
        for (text, expected) in [
            ("1.5", CellKind::Number),
            ("-1.234,56", CellKind::Number),
            ("1e-3", CellKind::Number),
            ("412 mA", CellKind::Number),
            ("22:10:05", CellKind::Stamp),
            ("25.11.2026", CellKind::Stamp),
            ("2026-11-25T22:10:05Z", CellKind::Stamp),
            ("nan", CellKind::Missing),
            ("", CellKind::Missing),
            ("0,", CellKind::Text),
            ("abc", CellKind::Text),
            ("5 1", CellKind::Text),
        ] {
            assert_eq!(kind(text.as_bytes()), expected, "{text}");
        }
    }
}
