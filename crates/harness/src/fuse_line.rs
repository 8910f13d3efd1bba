//! One line of a pasted fuse list.

use crate::fuse_split;

/// What a line holds.
#[derive(Debug, PartialEq)]
pub(crate) enum Line {
    /// Blank, a comment, or the header of a table.
    Nothing,
    /// The name of a fuse box.
    Heading(String),
    /// One fuse, or several alike.
    Fuse(Fuse),
    /// Something else, shortened.
    Other(String),
}

/// A fuse, or several alike.
#[derive(Debug, Default, PartialEq)]
pub(crate) struct Fuse {
    /// Positions such as `F12`; empty when the line has none.
    pub(crate) positions: Vec<String>,
    /// Rating as written, ampere.
    pub(crate) rating_a: Option<f64>,
    /// Fuse family, if the line names one.
    pub(crate) shape: Option<&'static str>,
    /// What is left of the line.
    pub(crate) label: Option<String>,
}

/// Ratings that fuses of vehicles come in, ampere (ISO 8820, from memory); a
/// bare number of these is taken for a rating.
const RATINGS: &[f64] = &[
    1.0, 2.0, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0, 50.0, 60.0, 70.0, 80.0,
    100.0, 125.0, 150.0, 175.0, 200.0, 225.0, 250.0, 300.0,
];

/// Most positions that one range such as `F1-F8` stands for.
const LONGEST_RANGE: u32 = 100;

/// Longest label kept, in letters.
const LONGEST_LABEL: usize = 80;

/// Reads one line.
pub(crate) fn parse(line: &str) -> Line {
    let line = without_comment(line.trim_start_matches('\u{feff}').trim());
    if line.is_empty() || !line.chars().any(char::is_alphanumeric) || is_header(line) {
        return Line::Nothing;
    }
    if let Some(words) = heading(line) {
        return Line::Heading(words);
    }
    let (positions, rest) = match positions(line) {
        (none, _) if none.is_empty() => fuse_split::called_inside(line),
        found => found,
    };
    let (rating_a, rest) = rating(&rest, !positions.is_empty());
    if positions.is_empty() && rating_a.is_none() {
        return Line::Other(shortened(line));
    }
    let label = label(&rest);
    let shape = label.as_deref().and_then(shape);
    Line::Fuse(Fuse {
        positions,
        rating_a,
        shape,
        label,
    })
}

/// The line up to a comment. `#12` is a position, not a comment.
fn without_comment(line: &str) -> &str {
    let digit_follows = |at: usize| {
        line[at + 1..]
            .trim_start()
            .starts_with(|c: char| c.is_ascii_digit())
    };
    let starts = ["//", "%", ";"];
    if starts.iter().any(|start| line.starts_with(start)) {
        return "";
    }
    let hash = line.match_indices('#').map(|(at, _)| at).find(|&at| {
        let free = at == 0 || line[..at].ends_with(char::is_whitespace);
        free && !digit_follows(at)
    });
    let slashes = line.find(" //");
    let end = [hash, slashes]
        .into_iter()
        .flatten()
        .min()
        .unwrap_or(line.len());
    line[..end].trim()
}

/// Whether the line is the header of a table: its words and no number.
fn is_header(line: &str) -> bool {
    const WORDS: &[&str] = &[
        "fuse",
        "no",
        "nr",
        "number",
        "position",
        "pos",
        "rating",
        "amp",
        "amps",
        "ampere",
        "a",
        "circuit",
        "function",
        "description",
        "protected",
        "component",
        "label",
        "sicherung",
        "stärke",
        "nennstrom",
        "verbraucher",
        "funktion",
        "bezeichnung",
        "stromkreis",
        "platz",
    ];
    let lower = line.to_lowercase();
    let words: Vec<&str> = lower
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .collect();
    words.len() > 1 && words.iter().all(|word| WORDS.contains(word))
}

/// `[Engine bay]`, `Engine bay:`, `== Cabin ==`: a heading without any rating.
fn heading(line: &str) -> Option<String> {
    let marked = (line.starts_with('[') && line.ends_with(']'))
        || (line.starts_with('=') && line.ends_with('='))
        || (line.ends_with(':') && !line.starts_with(|c: char| c.is_ascii_digit()));
    let words = line.trim_matches(|c: char| "[]=:".contains(c) || c.is_whitespace());
    let letters = words.chars().filter(|c| c.is_alphabetic()).count();
    // "F12:" is a position whose words are missing.
    (marked && letters > 2).then(|| shortened(words))
}

/// Positions at the start of the line, and what follows them.
pub(crate) fn positions(line: &str) -> (Vec<String>, String) {
    let mut found = Vec::new();
    let mut rest = line;
    while let Some((first, after)) = position(rest) {
        if !found.is_empty() && first.prefix.is_empty() && !first.plain_end(after) {
            break;
        }
        let (last, after) = range_end(&first, after);
        for number in first.number..=last {
            found.push(first.named(number));
        }
        rest = after;
        // `F5/F6` and `F5, F6` go on only when the next one has letters, too.
        let next = rest.trim_start_matches([' ', ',', '/', '+', '&']);
        let joined =
            next.len() < rest.len() && position(next).is_some_and(|(p, _)| p.joins(&first));
        if !joined {
            break;
        }
        rest = next;
    }
    (found, rest.to_owned())
}

/// `F12a`: letters, a number, perhaps a letter.
pub(crate) struct Position {
    pub(crate) prefix: String,
    number: u32,
    suffix: Option<char>,
}

impl Position {
    fn named(&self, number: u32) -> String {
        let prefix = if self.prefix.is_empty() {
            "F"
        } else {
            &self.prefix
        };
        let suffix = self.suffix.map(String::from).unwrap_or_default();
        format!("{prefix}{number}{suffix}")
    }

    fn joins(&self, earlier: &Self) -> bool {
        !self.prefix.is_empty() && self.prefix == earlier.prefix
    }

    fn plain_end(&self, after: &str) -> bool {
        !after.starts_with(|c: char| c.is_alphanumeric())
    }
}

/// A position at the start of `text`. A bare number that is followed by an
/// ampere sign or a decimal is a rating, not a position.
pub(crate) fn position(text: &str) -> Option<(Position, &str)> {
    let text = text.trim_start_matches(['(', '[', '"', '\'', '*', '-', '|', ' ']);
    let (prefix, rest) = prefix(text);
    let digits = rest.len() - rest.trim_start_matches(|c: char| c.is_ascii_digit()).len();
    if digits == 0 || digits > 4 {
        return None;
    }
    let number = rest[..digits].parse().ok()?;
    let rest = &rest[digits..];
    let mut chars = rest.chars();
    let suffix = chars.next().filter(char::is_ascii_alphabetic);
    let alone = !chars.next().is_some_and(char::is_alphanumeric);
    let decimal =
        rest.starts_with(['.', ',']) && rest[1..].starts_with(|c: char| c.is_ascii_digit());
    // Of all ratings one has a point in it.
    let seven_five = number == 7
        && rest
            .strip_prefix(".5")
            .is_some_and(|after| !after.starts_with(|c: char| c.is_ascii_digit()));
    let rating = ampere(rest).is_some() || decimal && (seven_five || ampere_decimal(rest));
    if prefix.is_empty() && rating {
        return None;
    }
    match suffix {
        Some(letter) if alone => {
            let suffix = Some(letter.to_ascii_lowercase());
            Some((
                Position {
                    prefix,
                    number,
                    suffix,
                },
                &rest[1..],
            ))
        }
        Some(_) => None,
        None => Some((
            Position {
                prefix,
                number,
                suffix: None,
            },
            rest,
        )),
    }
}

/// Letters before the number, upper case; `fuse`, `no.` and the like are `F`.
fn prefix(text: &str) -> (String, &str) {
    let letters = text.len()
        - text
            .trim_start_matches(|c: char| c.is_ascii_alphabetic())
            .len();
    let word = text[..letters].to_ascii_lowercase();
    let rest = text[letters..].trim_start_matches(['.', '#', '-', ' ', '_']);
    match word.as_str() {
        "" => (String::new(), text.trim_start_matches(['#', ' '])),
        "fuse" | "no" | "nr" | "pos" | "position" | "sicherung" | "si" | "platz" => {
            (String::from("F"), rest)
        }
        _ if letters <= 4 && rest.len() == text.len() - letters => {
            (word.to_ascii_uppercase(), rest)
        }
        _ if letters <= 2 => (word.to_ascii_uppercase(), rest),
        _ => (String::new(), text),
    }
}

/// The last number of a range such as `F1-F4`, `1–4` or `F1..4`, and the rest.
fn range_end<'a>(first: &Position, after: &'a str) -> (u32, &'a str) {
    let single = (first.number, after);
    if first.suffix.is_some() {
        return single;
    }
    let spaced = after.starts_with(' ');
    let text = after.trim_start();
    let dashes = [
        "-", "\u{2013}", "\u{2014}", "...", "..", "\u{2026}", "to ", "bis ",
    ];
    let Some(text) = dashes.iter().find_map(|dash| text.strip_prefix(dash)) else {
        return single;
    };
    let Some((last, rest)) = position(text.trim_start()) else {
        return single;
    };
    let same = last.prefix == first.prefix || last.prefix.is_empty();
    let sized = last.number > first.number && last.number - first.number < LONGEST_RANGE;
    // "F1 - 15 Radio" is a rating without its sign rather than fifteen radios.
    let bare_rating = spaced
        && last.prefix.is_empty()
        && RATINGS.contains(&f64::from(last.number))
        && rating(rest, false).0.is_none();
    if same && sized && last.suffix.is_none() && !bare_rating {
        (last.number, rest)
    } else {
        single
    }
}

/// The first rating in `text`, and the text without it. A number with an
/// ampere sign wins; else, after a position, a usual rating that stands first
/// or in a column of its own.
fn rating(text: &str, after_position: bool) -> (Option<f64>, String) {
    let signed = numbers(text).into_iter().find_map(|(start, end, value)| {
        ampere(&text[end..]).map(|length| (start, end + length, value))
    });
    let bare = || {
        numbers(text).into_iter().find(|&(start, end, value)| {
            let before = text[..start].trim_end();
            let first = before.chars().all(|c| !c.is_alphanumeric());
            let column = before.ends_with(SEPARATORS)
                && (text[end..].trim_start().starts_with(SEPARATORS)
                    || text[end..].trim().is_empty());
            RATINGS.contains(&value) && (first || column)
        })
    };
    match signed.or_else(|| if after_position { bare() } else { None }) {
        Some((start, end, value)) => (Some(value), format!("{}\t{}", &text[..start], &text[end..])),
        None => (None, text.into()),
    }
}

const SEPARATORS: [char; 4] = ['\t', ';', ',', '|'];

/// Numbers that stand alone in `text`: start, end, value. A comma between two
/// digits is decimal.
pub(crate) fn numbers(text: &str) -> Vec<(usize, usize, f64)> {
    let bytes = text.as_bytes();
    let mut found = Vec::new();
    let mut at = 0;
    while at < bytes.len() {
        let free = text[..at]
            .chars()
            .next_back()
            .is_none_or(|c| !c.is_alphanumeric());
        if !bytes[at].is_ascii_digit() || !free {
            // Step over a whole character, never into one.
            at += 1;
            while !text.is_char_boundary(at) {
                at += 1;
            }
            continue;
        }
        let start = at;
        let digit = |at: usize| bytes.get(at).is_some_and(u8::is_ascii_digit);
        while digit(at) || (matches!(bytes.get(at), Some(b'.' | b',')) && digit(at + 1)) {
            at += 1;
        }
        // A dash before it is a dash: no rating is negative.
        if let Ok(value) = text[start..at].replace(',', ".").parse::<f64>() {
            found.push((start, at, value));
        }
    }
    found
}

/// Length of an ampere sign at the start of `text`, blanks before it included.
pub(crate) fn ampere(text: &str) -> Option<usize> {
    let blank = text.len() - text.trim_start_matches([' ', '\u{a0}', '\u{202f}']).len();
    let lower = text[blank..].to_lowercase();
    ["amperes", "ampere", "amps", "amp", "a"]
        .iter()
        .find_map(|sign| {
            let rest = lower.strip_prefix(sign)?;
            let ends = !rest.starts_with(|c: char| c.is_alphanumeric());
            // "5 a/c" and "3 A-pillar" are words, not ratings.
            let word = blank > 0 && *sign == "a" && rest.starts_with(['/', '-', '\'']);
            (ends && !word).then_some(blank + sign.len())
        })
}

/// Whether a decimal fraction with an ampere sign starts `text`: `,5A`.
fn ampere_decimal(text: &str) -> bool {
    let rest = text[1..].trim_start_matches(|c: char| c.is_ascii_digit());
    ampere(rest).is_some()
}

/// The words left over, tidied: columns joined by commas, blanks single.
fn label(text: &str) -> Option<String> {
    let edge = |c: char| c.is_whitespace() || "-–—:;,.|=)(\"'*>/[]?".contains(c);
    let mut words = String::new();
    for column in text.split(['\t', ';', '|']) {
        let column = column.split_whitespace().collect::<Vec<_>>().join(" ");
        let column = column.trim_start_matches(edge);
        let column = column.trim_end_matches(|c: char| edge(c) && c != ')' && c != '.');
        if column.is_empty() {
            continue;
        }
        if !words.is_empty() {
            words.push_str(", ");
        }
        words.push_str(column);
    }
    (!words.is_empty()).then(|| words.chars().take(LONGEST_LABEL).collect())
}

/// The fuse family that the label names, if any.
pub(crate) fn shape(label: &str) -> Option<&'static str> {
    let lower = label.to_lowercase();
    let mut words = lower.split(|c: char| !c.is_alphanumeric());
    words.find_map(|word| match word {
        "maxi" => Some("maxi"),
        "mini" => Some("mini"),
        "micro" | "micro2" => Some("micro2"),
        "micro3" => Some("micro3"),
        "cartridge" => Some("cartridge"),
        "blade" => Some("blade"),
        _ => None,
    })
}

fn shortened(text: &str) -> String {
    let mut short: String = text.chars().take(LONGEST_LABEL / 2).collect();
    if short.len() < text.len() {
        short.push('…');
    }
    short
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(line: &str, positions: &str, rating_a: Option<f64>, label: &str) {
        let expected = Fuse {
            positions: positions.split_whitespace().map(Into::into).collect(),
            rating_a,
            shape: shape(label),
            label: (!label.is_empty()).then(|| label.into()),
        };
        assert_eq!(parse(line), Line::Fuse(expected), "{line}");
    }

    #[test]
    fn positions_ratings_and_words_in_many_hands() {
        check("F12 15A radio", "F12", Some(15.0), "radio");
        check("12) 15 A – Radio / BT", "F12", Some(15.0), "Radio / BT");
        check("F3;7,5A;Innenlicht", "F3", Some(7.5), "Innenlicht");
        check(
            "F3\t7.5\tInterior light\tcabin",
            "F3",
            Some(7.5),
            "Interior light, cabin",
        );
        check("3,15,Radio", "F3", Some(15.0), "Radio");
        check("F3,7,5A,Innenlicht", "F3", Some(7.5), "Innenlicht");
        check("| F3 | 10 | Horn |", "F3", Some(10.0), "Horn");
        check("\"F3\";\"10A\";\"Horn\"", "F3", Some(10.0), "Horn");
        check("Fuse 7: Wipers (20 amp)", "F7", Some(20.0), "Wipers");
        check(
            "Sicherung 7 - 20 Ampere - Wischer",
            "F7",
            Some(20.0),
            "Wischer",
        );
        check("#4 10A horn # above the pedal", "F4", Some(10.0), "horn");
        check("SB2 60A maxi blower", "SB2", Some(60.0), "maxi blower");
        check("F12a 5a clock", "F12a", Some(5.0), "clock");
        check("f 9  radio", "F9", None, "radio");
        check("F9", "F9", None, "");
        check("F9:", "F9", None, "");
        check("F10 - 15 Radio", "F10", Some(15.0), "Radio");
        check("F12-15A radio", "F12", Some(15.0), "radio");
        check("F5 -15A radio", "F5", Some(15.0), "radio");
        check("F11 heater a/c", "F11", None, "heater a/c");
        check("F11 zone 2 a/c", "F11", None, "zone 2 a/c");
        check("F11 10A USB 2 ports", "F11", Some(10.0), "USB 2 ports");
        check("15A radio", "", Some(15.0), "radio");
        check("7,5 A Innenlicht", "", Some(7.5), "Innenlicht");
        check("* F6 10A Türschloss", "F6", Some(10.0), "Türschloss");
    }

    #[test]
    fn ranges_stand_for_each_of_their_positions() {
        check(
            "F1-F4 30A glow plugs",
            "F1 F2 F3 F4",
            Some(30.0),
            "glow plugs",
        );
        check("F1–3 30A spare", "F1 F2 F3", Some(30.0), "spare");
        check("F1 - F3 spare", "F1 F2 F3", None, "spare");
        check("5 bis 7: 10A frei", "F5 F6 F7", Some(10.0), "frei");
        check("F5/F6 20A windows", "F5 F6", Some(20.0), "windows");
        check("F5, F8, 20A, windows", "F5 F8", Some(20.0), "windows");
        check("F5-F9999 10A nonsense", "F5", Some(10.0), "F9999, nonsense");
    }

    #[test]
    fn other_lines() {
        for line in [
            "",
            "   ",
            "-----",
            "# cabin",
            "// x",
            "; y",
            "Fuse;Rating;Circuit",
            "Nr.\tA\tFunktion",
        ] {
            assert_eq!(parse(line), Line::Nothing, "{line}");
        }
        assert_eq!(parse("[Engine bay]"), Line::Heading("Engine bay".into()));
        assert_eq!(parse("Motorraum:"), Line::Heading("Motorraum".into()));
        assert_eq!(
            parse("see page in the glove box"),
            Line::Other("see page in the glove box".into())
        );
    }
}
