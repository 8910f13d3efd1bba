//! A sentence without a language.

use std::{
    borrow::Cow,
    fmt,
    ops::Deref,
    sync::{Arc, OnceLock},
};

use crate::{Lang, bundle, number, number::ungrouped, say, speak, speaking};

/// A sentence: which one, and its values. It has no language until it is
/// written: [`Display`](fmt::Display) writes it in the language that is
/// [spoken](crate::speak); as a `str` it is English, for programs.
///
/// It is two words long and cheap to copy.
#[derive(Clone)]
pub struct Message(Inner);

#[derive(Clone)]
enum Inner {
    /// A sentence without values: its name.
    Bare(&'static str),
    Whole(Arc<Whole>),
}

struct Whole {
    body: Body,
    english: OnceLock<String>,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Body {
    /// Words as they are: a name, or a sentence not yet in the resource.
    Plain(String),
    Known {
        id: &'static str,
        args: Vec<(&'static str, Arg)>,
    },
    /// Words that a data file has in both languages.
    Both {
        en: String,
        de: String,
    },
    Joined(Vec<Message>, &'static str),
    /// Without the full stop at its end.
    Open(Box<Message>),
}

/// A value in a sentence.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Arg {
    /// Words as they are.
    Text(String),
    /// A number with its unit, written with a decimal point; see [`amount`](crate::amount).
    Amount(String),
    /// A number as it was given, without groups of digits; see [`figure`](crate::figure).
    Figure(String),
    /// How many.
    Count(i64),
    /// Another message.
    Message(Box<Message>),
}

/// How many of something: a value that a plural hangs on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Count(pub i64);

impl Message {
    /// The message `id` with its values; [`say`](crate::say) has a function for each.
    pub(crate) fn known(id: &'static str, args: Vec<(&'static str, Arg)>) -> Self {
        if args.is_empty() {
            Self::bare(id)
        } else {
            Self::of(Body::Known { id, args })
        }
    }

    /// The message `id`, which has no values.
    pub(crate) const fn bare(id: &'static str) -> Self {
        Self(Inner::Bare(id))
    }

    /// Words that a data file has in both languages.
    pub fn both(en: impl Into<String>, de: impl Into<String>) -> Self {
        Self::of(Body::Both {
            en: en.into(),
            de: de.into(),
        })
    }

    /// The German words, where a data file has them.
    pub fn in_german(&self) -> Option<&str> {
        match &self.0 {
            Inner::Whole(whole) => match &whole.body {
                Body::Both { de, .. } => Some(de),
                _ => None,
            },
            Inner::Bare(_) => None,
        }
    }

    /// The same without the full stop at its end, for more to follow.
    #[must_use]
    pub fn open(self) -> Self {
        Self::of(Body::Open(Box::new(self)))
    }

    /// `one and two and three` in the language spoken; nothing for an empty list.
    pub fn listed(messages: impl IntoIterator<Item = Self>) -> Self {
        let mut messages = messages.into_iter();
        let first = messages.next().unwrap_or_default();
        messages.fold(first, say::words::and)
    }

    /// Words as they are, in every language.
    pub fn plain(text: impl Into<String>) -> Self {
        Self::of(Body::Plain(text.into()))
    }

    /// Messages one after another, with `between` between them.
    pub fn joined(messages: Vec<Self>, between: &'static str) -> Self {
        Self::of(Body::Joined(messages, between))
    }

    pub(crate) fn body(&self) -> Cow<'_, Body> {
        match &self.0 {
            Inner::Bare(id) => Cow::Owned(Body::Known {
                id,
                args: Vec::new(),
            }),
            Inner::Whole(whole) => Cow::Borrowed(&whole.body),
        }
    }

    fn of(body: Body) -> Self {
        Self(Inner::Whole(Arc::new(Whole {
            body,
            english: OnceLock::new(),
        })))
    }

    /// Which sentence it is; `None` for words as they are and for several joined.
    pub fn id(&self) -> Option<&'static str> {
        match &self.0 {
            Inner::Bare(id) => Some(id),
            Inner::Whole(whole) => match whole.body {
                Body::Known { id, .. } => Some(id),
                _ => None,
            },
        }
    }

    /// In English, whatever is spoken.
    pub fn english(&self) -> &str {
        let whole = match &self.0 {
            Inner::Bare(id) => return bundle::bare(id),
            Inner::Whole(whole) => whole,
        };
        match &whole.body {
            Body::Plain(text) | Body::Both { en: text, .. } => text,
            body => whole
                .english
                .get_or_init(|| speak(Lang::En, || body.write())),
        }
    }

    /// The same, for those who hold it to be a text.
    pub fn as_str(&self) -> &str {
        self.english()
    }

    /// In the language that is spoken.
    fn write(&self) -> String {
        match &self.0 {
            Inner::Bare(id) => bundle::write(speaking(), id, &[]),
            Inner::Whole(whole) => whole.body.write(),
        }
    }
}

impl Body {
    fn write(&self) -> String {
        match self {
            Self::Plain(text) => text.clone(),
            Self::Both { en, de } => match speaking() {
                Lang::En => en.clone(),
                Lang::De => de.clone(),
            },
            Self::Open(message) => {
                let mut text = message.write();
                text.truncate(text.trim_end_matches('.').len());
                text
            }
            Self::Known { id, args } => bundle::write(speaking(), id, args),
            Self::Joined(messages, between) => messages
                .iter()
                .map(Message::write)
                .collect::<Vec<_>>()
                .join(between),
        }
    }
}

impl fmt::Display for Message {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match speaking() {
            Lang::En => f.pad(self.english()),
            Lang::De => f.pad(&self.write()),
        }
    }
}

impl fmt::Debug for Message {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Debug::fmt(self.english(), f)
    }
}

impl PartialEq for Message {
    fn eq(&self, other: &Self) -> bool {
        match (&self.0, &other.0) {
            (Inner::Bare(a), Inner::Bare(b)) => a == b,
            (Inner::Whole(a), Inner::Whole(b)) => a.body == b.body,
            _ => false,
        }
    }
}

impl Eq for Message {}

impl PartialEq<str> for Message {
    fn eq(&self, other: &str) -> bool {
        self.english() == other
    }
}

impl PartialEq<&str> for Message {
    fn eq(&self, other: &&str) -> bool {
        self.english() == *other
    }
}

/// English, for programs and for rooms that only pass words on.
impl Deref for Message {
    type Target = str;

    fn deref(&self) -> &str {
        self.english()
    }
}

impl Default for Message {
    fn default() -> Self {
        Self::plain("")
    }
}

impl From<String> for Message {
    fn from(text: String) -> Self {
        Self::plain(text)
    }
}

impl From<&str> for Message {
    fn from(text: &str) -> Self {
        Self::plain(text)
    }
}

impl From<Message> for String {
    fn from(message: Message) -> Self {
        message.to_string()
    }
}

impl Arg {
    pub(crate) fn text(&self) -> Option<String> {
        match self {
            Self::Text(text) => Some(text.clone()),
            Self::Amount(text) => Some(number(text)),
            Self::Figure(text) => Some(ungrouped(text)),
            Self::Message(message) => Some(message.write()),
            Self::Count(_) => None,
        }
    }
}

impl From<String> for Arg {
    fn from(text: String) -> Self {
        Self::Text(text)
    }
}

impl From<&String> for Arg {
    fn from(text: &String) -> Self {
        Self::Text(text.clone())
    }
}

impl From<&str> for Arg {
    fn from(text: &str) -> Self {
        Self::Text(text.to_owned())
    }
}

impl From<Message> for Arg {
    fn from(message: Message) -> Self {
        Self::Message(Box::new(message))
    }
}

impl From<&Message> for Arg {
    fn from(message: &Message) -> Self {
        Self::Message(Box::new(message.clone()))
    }
}

macro_rules! counts {
    ($($kind:ty),*) => {$(
        impl From<$kind> for Count {
            fn from(n: $kind) -> Self {
                Self(i64::try_from(n).unwrap_or(i64::MAX))
            }
        }
        impl From<$kind> for Arg {
            fn from(n: $kind) -> Self {
                Self::Count(Count::from(n).0)
            }
        }
    )*};
}

counts!(i32, u32, i64, u64, usize);
