//! A message as one line of text, for another process to write it down in the
//! language of whoever reads it there.

use std::{collections::BTreeSet, sync::OnceLock};

use crate::{Arg, Message, message::Body};

/// Messages within messages, at most; ours go two deep.
const DEEPEST: usize = 8;

impl Message {
    /// As one line that [`from_line`](Self::from_line) reads, without a language.
    /// Line breaks in plain words become blanks.
    pub fn to_line(&self) -> String {
        let mut out = String::new();
        put(&mut out, self);
        out
    }

    /// Reads what [`to_line`](Self::to_line) wrote; `None` for anything else, such as
    /// a sentence that this version does not know.
    pub fn from_line(line: &str) -> Option<Self> {
        let mut rest = line;
        let message = take(&mut rest, 0)?;
        rest.is_empty().then_some(message)
    }
}

fn put(out: &mut String, message: &Message) {
    match message.body().as_ref() {
        Body::Plain(text) => {
            out.push('p');
            put_text(out, text);
        }
        Body::Known { id, args } => {
            out.push_str(&format!("k{}:", args.len()));
            put_text(out, id);
            for (name, arg) in args {
                put_text(out, name);
                put_arg(out, arg);
            }
        }
        Body::Both { en, de } => {
            out.push('b');
            put_text(out, en);
            put_text(out, de);
        }
        Body::Open(message) => {
            out.push('o');
            put(out, message);
        }
        Body::Joined(messages, between) => {
            out.push_str(&format!("j{}:", messages.len()));
            put_text(out, between);
            messages.iter().for_each(|each| put(out, each));
        }
    }
}

fn put_arg(out: &mut String, arg: &Arg) {
    match arg {
        Arg::Text(text) => {
            out.push('t');
            put_text(out, text);
        }
        Arg::Amount(text) => {
            out.push('a');
            put_text(out, text);
        }
        Arg::Figure(text) => {
            out.push('f');
            put_text(out, text);
        }
        Arg::Count(n) => out.push_str(&format!("c{n}:")),
        Arg::Message(message) => {
            out.push('m');
            put(out, message);
        }
    }
}

/// Its length in bytes, a colon, and the text itself.
fn put_text(out: &mut String, text: &str) {
    let flat = text.replace(['\n', '\r'], " ");
    out.push_str(&format!("{}:{flat}", flat.len()));
}

fn take(rest: &mut &str, depth: usize) -> Option<Message> {
    if depth > DEEPEST {
        return None;
    }
    match kind(rest)? {
        'p' => Some(Message::plain(text(rest)?)),
        'b' => {
            let en = text(rest)?.to_owned();
            Some(Message::both(en, text(rest)?))
        }
        'o' => Some(take(rest, depth + 1)?.open()),
        'k' => {
            let count = number(rest)?;
            let id = known(text(rest)?)?;
            let mut args = Vec::new();
            for _ in 0..count {
                let name = known(text(rest)?)?;
                args.push((name, arg(rest, depth)?));
            }
            Some(Message::known(id, args))
        }
        'j' => {
            let count = number(rest)?;
            // The ones that our sentences are joined with.
            let between = text(rest)?;
            let between = [", ", "; ", " ", " · ", "  "]
                .into_iter()
                .find(|known| *known == between)?;
            let mut messages = Vec::new();
            for _ in 0..count {
                messages.push(take(rest, depth + 1)?);
            }
            Some(Message::joined(messages, between))
        }
        _ => None,
    }
}

fn arg(rest: &mut &str, depth: usize) -> Option<Arg> {
    match kind(rest)? {
        't' => Some(Arg::Text(text(rest)?.to_owned())),
        'a' => Some(Arg::Amount(text(rest)?.to_owned())),
        'f' => Some(Arg::Figure(text(rest)?.to_owned())),
        'c' => Some(Arg::Count(number(rest)?)),
        'm' => Some(Arg::Message(Box::new(take(rest, depth + 1)?))),
        _ => None,
    }
}

fn kind(rest: &mut &str) -> Option<char> {
    let first = rest.chars().next()?;
    *rest = &rest[first.len_utf8()..];
    Some(first)
}

fn number(rest: &mut &str) -> Option<i64> {
    let (digits, after) = rest.split_once(':')?;
    *rest = after;
    digits.parse().ok()
}

fn text<'a>(rest: &mut &'a str) -> Option<&'a str> {
    let length = usize::try_from(number(rest)?).ok()?;
    let (text, after) = rest.split_at_checked(length)?;
    *rest = after;
    Some(text)
}

/// Our own spelling of a sentence's or a value's name.
fn known(name: &str) -> Option<&'static str> {
    static NAMES: OnceLock<BTreeSet<&'static str>> = OnceLock::new();
    let names = NAMES.get_or_init(|| crate::EN.iter().flat_map(|text| names(text)).collect());
    names.get(name).copied()
}

/// Names of the sentences of a file and of the values in them.
fn names(text: &'static str) -> impl Iterator<Item = &'static str> {
    let name = |text: &'static str| {
        let end = text.find(|c: char| !(c.is_ascii_alphanumeric() || matches!(c, '-' | '_')));
        &text[..end.unwrap_or(text.len())]
    };
    let sentences = text.lines().map(name).filter(|name| !name.is_empty());
    sentences.chain(text.split('$').skip(1).map(name))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::{Lang, say, speak};

    #[test]
    fn a_sentence_goes_through_a_line_and_finds_its_language() {
        let inner = say::words::about("mA", "4.5");
        let message = Message::joined(
            vec![
                say::words::about("Ω", inner),
                Message::plain("F12: a\nb"),
                say::web::code_wait(3),
                say::words::interval(crate::amount("1.5"), crate::figure("1"), "h"),
                Message::both("lamp.", "Leuchte.").open(),
            ],
            ", ",
        );
        let line = message.to_line();
        assert!(!line.contains('\n'));
        let back = Message::from_line(&line).unwrap();
        assert_eq!(back.to_string(), message.to_string().replace('\n', " "));
        speak(Lang::De, || {
            assert!(back.to_string().contains("1 bis 1,5 h"), "{back}");
            assert!(back.to_string().ends_with("Leuchte"), "{back}");
        });
    }

    #[test]
    fn what_is_no_message_is_none() {
        for line in [
            "",
            "x",
            "p",
            "p3:ab",
            "p2:abc",
            "p1:é",
            "k0:9:words-xyz",
            "k1:10:words-week",
            "k99:10:words-week",
            "j2:1:,",
            "k-1:10:words-weekx",
            "awake",
            "p99999999999999999999:a",
        ] {
            assert_eq!(Message::from_line(line), None, "{line}");
        }
        let deep = "j1:1: ".repeat(5000) + "p1:a";
        assert_eq!(Message::from_line(&deep), None);
    }

    proptest! {
        #[test]
        fn no_line_breaks_it(line in "[pkjtacm0-9:. a-z]{0,60}") {
            let _ = Message::from_line(&line);
        }

        #[test]
        fn plain_words_come_back(text in "[^\n\r]{0,40}") {
            let message = Message::plain(text);
            prop_assert_eq!(Message::from_line(&message.to_line()), Some(message));
        }
    }
}
