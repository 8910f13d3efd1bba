//! Where the fuses of one line begin, where that is not at its start.

use crate::fuse_line::{ampere, numbers, position, positions};

/// A position further on in the line, where a word says that it is one: `10A mini, fuse 21: horn`.
pub(crate) fn called_inside(line: &str) -> (Vec<String>, String) {
    let none = (Vec::new(), line.to_owned());
    let words = ["fuse", "sicherung"];
    let at = line.char_indices().map(|(at, _)| at).skip(1).find(|&at| {
        let free = line[..at].ends_with(|c: char| !c.is_alphanumeric());
        let starts = |word: &&str| {
            line.get(at..at + word.len())
                .is_some_and(|l| l.eq_ignore_ascii_case(word))
        };
        free && words.iter().any(starts) && position(&line[at..]).is_some()
    });
    let Some(at) = at else { return none };
    let (found, rest) = positions(&line[at..]);
    (found, format!("{}\t{rest}", &line[..at]))
}

/// The fuses of one line, where several stand on it: `F1 5A clock, F2 10A horn`.
pub(crate) fn pieces(line: &str) -> Vec<&str> {
    let mut pieces = Vec::new();
    let mut rest = line;
    while let Some(at) = next_fuse(rest) {
        pieces.push(&rest[..at]);
        rest = rest[at..].trim_start_matches([',', ';']);
    }
    pieces.push(rest);
    pieces
}

/// Where a further fuse begins: behind a comma, a position with letters and a rating with its
/// sign on either side.
fn next_fuse(line: &str) -> Option<usize> {
    let signed = |text: &str| {
        let mut numbers = numbers(text).into_iter();
        numbers.any(|(_, end, _)| ampere(&text[end..]).is_some())
    };
    line.match_indices([',', ';'])
        .map(|(at, _)| at)
        .find(|&at| {
            let (before, after) = (&line[..at], &line[at + 1..]);
            let named =
                |text: &str| position(text.trim_start()).is_some_and(|(p, _)| !p.prefix.is_empty());
            let fuse = after.split([',', ';']).next().unwrap_or_default();
            named(before) && named(after) && signed(before) && signed(fuse)
        })
}
