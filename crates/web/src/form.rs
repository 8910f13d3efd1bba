//! What a person typed: kept as typed, joined with the unit beside it, and
//! the problems found, each tied to its field.

use std::{collections::BTreeMap, fmt::Display};

use axum::{
    Form,
    extract::{FromRequest, Request},
};
use rand::random;

use crate::problem::Problem;

/// A submitted form, as typed.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct Typed(BTreeMap<String, Vec<String>>);

/// Problems by field name; the empty name is the form as a whole.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct Wrong(pub(crate) Vec<(String, String)>);

impl Typed {
    /// A form already filled in.
    pub(crate) fn filled<'a>(pairs: impl IntoIterator<Item = (&'a str, String)>) -> Self {
        let mut typed = Self::default();
        for (name, value) in pairs {
            typed.set(name, value);
        }
        typed
    }

    /// The first value of a field, blanks at the ends left out; empty when absent.
    pub(crate) fn get(&self, name: &str) -> &str {
        self.0
            .get(name)
            .and_then(|values| values.first())
            .map_or("", |value| value.trim())
    }

    /// Whether a box was ticked.
    pub(crate) fn ticked(&self, name: &str) -> bool {
        !self.get(name).is_empty()
    }

    /// Puts a value in.
    pub(crate) fn set(&mut self, name: &str, value: String) {
        self.0.insert(name.into(), vec![value]);
    }

    /// Puts an amount in as it is written, `412 mA`: the number into the field, its
    /// unit into the choice beside it.
    pub(crate) fn set_amount(&mut self, name: &str, written: &str) {
        let (number, unit) = written.rsplit_once(' ').unwrap_or((written, ""));
        let unit = match unit {
            "°C" => "C",
            "°F" => "F",
            "µA" => "uA",
            "mΩ" => "mohm",
            "Ω" => "ohm",
            other => other,
        };
        self.set(name, crate::words::filled_in(number));
        self.set(&format!("{name}_unit"), unit.into());
    }

    /// The amount in a field, with the unit chosen beside it unless the person
    /// typed one: `412` and `mA` give `412 mA`, `0,41 A` stays. `None` when blank.
    pub(crate) fn amount(&self, name: &str) -> Option<String> {
        let text = self.get(name);
        if text.is_empty() {
            return None;
        }
        let bare = text.ends_with(|c: char| c.is_ascii_digit() || matches!(c, '.' | ','));
        let unit = self.get(&format!("{name}_unit"));
        Some(if bare && !unit.is_empty() {
            format!("{text} {unit}")
        } else {
            text.into()
        })
    }

    /// The key that makes a double tap count once.
    pub(crate) fn key(&self) -> String {
        let key = self.get("key");
        // A form without a key still works, it just cannot be recognised again.
        if key.is_empty() || key.len() > 64 {
            fresh_key()
        } else {
            key.into()
        }
    }
}

impl<S: Send + Sync> FromRequest<S> for Typed {
    type Rejection = Problem;

    async fn from_request(request: Request, state: &S) -> Result<Self, Problem> {
        let pairs = Form::<Vec<(String, String)>>::from_request(request, state)
            .await
            .map_err(|rejection| Problem::unreadable_form(rejection.status()))?;
        let mut typed = Self::default();
        for (name, value) in pairs.0 {
            typed.0.entry(name).or_default().push(value);
        }
        Ok(typed)
    }
}

impl Wrong {
    /// One problem.
    pub(crate) fn one(field: &str, message: impl Into<String>) -> Self {
        Self(vec![(field.into(), message.into())])
    }

    /// Adds a problem.
    pub(crate) fn add(&mut self, field: &str, message: impl Into<String>) {
        self.0.push((field.into(), message.into()));
    }

    /// Whether all is well.
    pub(crate) fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// The first problem of a field.
    pub(crate) fn at(&self, field: &str) -> Option<&str> {
        self.0
            .iter()
            .find(|(name, _)| name == field)
            .map(|(_, message)| message.as_str())
    }

    /// Takes a value out of a check, noting the problem when there is one.
    pub(crate) fn take<T, E: std::fmt::Display>(
        &mut self,
        field: &str,
        checked: Result<T, E>,
    ) -> Option<T> {
        match checked {
            Ok(value) => Some(value),
            Err(error) => {
                self.add(field, sentence(&error.to_string()));
                None
            }
        }
    }
}

/// A random key for a form.
pub(crate) fn fresh_key() -> String {
    format!("{:032x}", random::<u128>())
}

/// A fragment as a heading: capital first.
pub(crate) fn heading(text: &(impl Display + ?Sized)) -> String {
    let text = text.to_string();
    let mut chars = text.trim().chars();
    let first = chars.next().into_iter().flat_map(char::to_uppercase);
    first.chain(chars).collect()
}

/// A fragment as a sentence: capital first, full stop last.
pub(crate) fn sentence(text: &(impl Display + ?Sized)) -> String {
    let mut text = heading(text);
    if text.is_empty() {
        return text;
    }
    if !text.ends_with(['.', '?', '!']) {
        text.push('.');
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_fragment_becomes_a_heading_or_a_sentence() {
        assert_eq!(
            heading("wiring of F3: 98 % sure"),
            "Wiring of F3: 98 % sure"
        );
        assert_eq!(sentence(" über 99 %"), "Über 99 %.");
        assert_eq!((heading(""), sentence("")), (String::new(), String::new()));
    }

    #[test]
    fn the_unit_beside_counts_unless_one_was_typed() {
        for (value, unit, amount) in [
            ("412", "mA", Some("412 mA")),
            (" 0,41 ", "A", Some("0,41 A")),
            ("0,41 A", "mA", Some("0,41 A")),
            ("4 120", "mA", Some("4 120 mA")),
            ("", "mA", None),
            ("abc", "mA", Some("abc")),
            ("5", "", Some("5")),
        ] {
            let typed = Typed::filled([("value", value.into()), ("value_unit", unit.into())]);
            assert_eq!(typed.amount("value").as_deref(), amount, "{value}");
        }
    }

    #[test]
    fn an_amount_put_in_reads_back() {
        for (written, amount) in [("412 mA", "412 mA"), ("1 mΩ", "1 mohm"), ("-8 °C", "-8 C")] {
            let mut typed = Typed::default();
            typed.set_amount("value", written);
            assert_eq!(typed.amount("value").as_deref(), Some(amount));
        }
    }

    #[test]
    fn keys_differ_and_overlong_ones_are_replaced() {
        assert_ne!(fresh_key(), fresh_key());
        let typed = Typed::filled([("key", "k".repeat(65))]);
        assert_eq!(typed.key().len(), 32);
        assert_eq!(Typed::filled([("key", "abc".into())]).key(), "abc");
    }

    #[test]
    fn fragments_become_sentences() {
        assert_eq!(sentence("capacity is odd"), "Capacity is odd.");
        assert_eq!(sentence("Really?"), "Really?");
        assert_eq!(sentence(""), "");
    }
}
