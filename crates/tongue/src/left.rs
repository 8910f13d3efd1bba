//! What was left in English where German is spoken; for checks.

use std::{collections::BTreeSet, sync::OnceLock};

/// Fewest words that make a piece of a sentence one that nobody writes by chance.
const WORDS: usize = 3;
/// Fewest letters of a word that tells its language.
const LETTERS: usize = 3;

/// The first piece of an English sentence of ours that stands in `text`: at
/// least three words between two values. `None` when there is none. Pieces that
/// a German sentence has too do not count.
pub fn english_in(text: &str) -> Option<&'static str> {
    static PIECES: OnceLock<Vec<&'static str>> = OnceLock::new();
    PIECES
        .get_or_init(|| {
            let mut pieces: Vec<&str> = crate::EN.iter().flat_map(|text| pieces(text)).collect();
            pieces.retain(|piece| !crate::DE.iter().any(|german| german.contains(piece)));
            pieces
        })
        .iter()
        .copied()
        .find(|piece| text.contains(piece))
}

/// Words in `text` that English sentences of ours have and German ones have
/// not, in lower case. Where `text` should be German they are left over, or
/// are names that somebody gave.
pub fn english_words(text: &str) -> BTreeSet<String> {
    static WORDS: OnceLock<BTreeSet<String>> = OnceLock::new();
    let english = WORDS.get_or_init(|| {
        let said = |files: &[&'static str]| -> BTreeSet<String> {
            let pieces = files.iter().flat_map(|text| every_piece(text));
            pieces.flat_map(words).collect()
        };
        let german = said(crate::DE);
        said(crate::EN)
            .into_iter()
            .filter(|word| !german.contains(word))
            .collect()
    });
    words(text).filter(|word| english.contains(word)).collect()
}

/// Words of at least [`LETTERS`] letters, in lower case.
fn words(text: &str) -> impl Iterator<Item = String> {
    text.split(|c: char| !c.is_alphabetic())
        .filter(|word| word.chars().count() >= LETTERS)
        .map(str::to_lowercase)
}

/// What a file says between its values, in pieces of at least [`WORDS`] words.
fn pieces(text: &'static str) -> impl Iterator<Item = &'static str> {
    every_piece(text).filter(|piece| piece.split(' ').count() >= WORDS)
}

/// What a file says between its values.
fn every_piece(text: &'static str) -> impl Iterator<Item = &'static str> {
    text.lines()
        .filter(|line| !line.starts_with('#'))
        .filter_map(|line| match line.split_once(" = ") {
            Some((name, said)) if !name.starts_with(' ') => Some(said),
            _ => line.split_once("] ").map(|(_, said)| said),
        })
        .flat_map(|said| said.split(['{', '}']))
        .map(|piece| piece.trim_matches(|c: char| !c.is_alphanumeric()))
        .filter(|piece| !piece.contains('$') && !piece.is_empty())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Lang, say, speak};

    #[test]
    fn english_is_found_and_german_is_not() {
        let message = say::web::code_wait(3);
        assert!(english_in(&message.to_string()).is_some());
        assert_eq!(english_in(&speak(Lang::De, || message.to_string())), None);
        assert_eq!(english_in("F12 (Radio)"), None);
        let found = english_words("Im Ruhezustand: parked draw");
        assert_eq!(found.into_iter().collect::<Vec<_>>(), ["parked"]);
    }
}
