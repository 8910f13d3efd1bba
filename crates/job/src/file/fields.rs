//! The fields of one table of a job file, or of one form, read one by one.
//!
//! Every reading getter notes what is wrong and goes on, so that a form shows
//! all its mistakes at once; a job file shows the first with its line.

use std::{collections::BTreeMap, fmt};

use measure::{
    quantity::{Quantity, QuantityError},
    range::Range,
};
use toml::{
    Spanned,
    de::{DeTable, DeValue},
};
use tongue::{Message, say};

/// What is wrong with one field.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FieldError {
    /// The field; empty when it is about the entry as a whole.
    pub field: String,
    /// One sentence.
    pub message: Message,
    /// What to do.
    pub hint: Message,
    /// Byte of the file it stands at, where there is a file.
    pub(crate) offset: Option<usize>,
}

impl FieldError {
    /// A fault of `field`.
    pub fn new(field: &str, message: impl Into<Message>, hint: impl Into<Message>) -> Self {
        Self {
            field: field.into(),
            message: message.into(),
            hint: hint.into(),
            offset: None,
        }
    }
}

/// Everything that is wrong with the fields of one entry; never empty.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FieldErrors(pub Vec<FieldError>);

impl FieldErrors {
    /// All of them one after another, each with its hint.
    pub fn sentence(&self) -> Message {
        let parts = self
            .0
            .iter()
            .flat_map(|error| [&error.message, &error.hint]);
        Message::joined(
            parts.filter(|part| !part.is_empty()).cloned().collect(),
            "; ",
        )
    }

    /// The first fault of `field`, for showing at the field.
    pub fn at(&self, field: &str) -> Option<&FieldError> {
        self.0.iter().find(|error| error.field == field)
    }
}

impl fmt::Display for FieldErrors {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.sentence().fmt(f)
    }
}

impl std::error::Error for FieldErrors {}

/// A value as it was found.
#[derive(Debug, Clone)]
pub(crate) enum Raw {
    Text(String),
    Integer(String),
    Float(String),
    Bool(bool),
    Stamp(String),
    List(Vec<Raw>),
    Table,
}

impl Raw {
    fn from_value(value: &DeValue<'_>) -> Self {
        match value {
            DeValue::String(text) => Self::Text(text.to_string()),
            DeValue::Integer(number) if number.radix() == 10 => {
                Self::Integer(number.as_str().into())
            }
            DeValue::Integer(number) => {
                // Hexadecimal and the like; none of our fields needs more than 63 bits.
                let digits = number.as_str();
                let value = i64::from_str_radix(digits, number.radix());
                Self::Integer(value.map_or_else(|_| digits.to_owned(), |v| v.to_string()))
            }
            DeValue::Float(number) => Self::Float(number.as_str().into()),
            DeValue::Boolean(value) => Self::Bool(*value),
            DeValue::Datetime(stamp) => Self::Stamp(stamp.to_string()),
            DeValue::Array(items) => Self::List(
                items
                    .iter()
                    .map(|i| Self::from_value(i.get_ref()))
                    .collect(),
            ),
            DeValue::Table(_) => Self::Table,
        }
    }

    fn described(&self) -> Message {
        match self {
            Self::Text(text) => Message::plain(format!("'{text}'")),
            Self::Integer(text) | Self::Float(text) | Self::Stamp(text) => Message::plain(text),
            Self::Bool(value) => Message::plain(value.to_string()),
            Self::List(_) => say::fields::a_list(),
            Self::Table => say::fields::a_table(),
        }
    }
}

/// The fields of one table or form.
#[derive(Debug)]
pub(crate) struct Fields {
    items: BTreeMap<String, (Raw, Option<usize>)>,
    /// From a form: every value is a text, and an empty one means "not given".
    form: bool,
    start: Option<usize>,
    asked: Vec<&'static str>,
    errors: Vec<FieldError>,
}

impl Fields {
    pub(crate) fn from_table(table: &DeTable<'_>, start: usize) -> Self {
        let items = table
            .iter()
            .map(|(key, value)| {
                let raw = Raw::from_value(value.get_ref());
                (key.get_ref().to_string(), (raw, Some(key.span().start)))
            })
            .collect();
        Self {
            items,
            form: false,
            start: Some(start),
            asked: Vec::new(),
            errors: Vec::new(),
        }
    }

    pub(crate) fn from_form(form: &BTreeMap<String, String>) -> Self {
        let items = form
            .iter()
            .filter(|(_, text)| !text.trim().is_empty())
            .map(|(key, text)| (key.clone(), (Raw::Text(text.trim().to_owned()), None)))
            .collect();
        Self {
            items,
            form: true,
            start: None,
            asked: Vec::new(),
            errors: Vec::new(),
        }
    }

    /// Notes a fault of `field` at its place in the file.
    pub(crate) fn fault(
        &mut self,
        field: &str,
        message: impl Into<Message>,
        hint: impl Into<Message>,
    ) {
        let offset = self
            .items
            .get(field)
            .map_or(self.start, |(_, offset)| *offset);
        let error = FieldError {
            field: field.into(),
            message: message.into(),
            hint: hint.into(),
            offset,
        };
        self.errors.push(error);
    }

    /// Whether the field is there at all.
    pub(crate) fn has(&self, field: &str) -> bool {
        self.items.contains_key(field)
    }

    /// Ends the reading: refuses what was never asked for.
    pub(crate) fn finish(mut self, place: &str) -> Result<(), Vec<FieldError>> {
        let unknown: Vec<String> = self
            .items
            .keys()
            .filter(|key| !self.asked.contains(&key.as_str()))
            .cloned()
            .collect();
        for key in unknown {
            let hint = match harness::closest(&key, self.asked.iter().map(|&known| (known, known)))
            {
                Some(near) => say::fields::did_you_mean(near),
                None => say::fields::can_hold(self.asked.join(", ")),
            };
            self.fault(&key, say::fields::no_field(&key, words_for(place)), hint);
        }
        // As they stand in the file.
        self.errors.sort_by_key(|error| error.offset);
        if self.errors.is_empty() {
            Ok(())
        } else {
            Err(self.errors)
        }
    }

    /// Ends the reading of a table whose other keys are looked at elsewhere.
    pub(crate) fn finish_known(self) -> Result<(), Vec<FieldError>> {
        if self.errors.is_empty() {
            Ok(())
        } else {
            Err(self.errors)
        }
    }

    /// Where each field stands.
    pub(crate) fn places(&self) -> BTreeMap<String, Option<usize>> {
        self.items
            .iter()
            .map(|(key, (_, offset))| (key.clone(), *offset))
            .collect()
    }

    fn take(&mut self, field: &'static str) -> Option<Raw> {
        self.asked.push(field);
        self.items.get(field).map(|(raw, _)| raw.clone())
    }

    /// Notes a missing field.
    pub(crate) fn missing(&mut self, field: &'static str, place: &str, hint: impl Into<Message>) {
        // A field that is there but wrong has been complained about already.
        if !self.has(field) {
            self.fault(field, say::fields::needs(field, words_for(place)), hint);
        }
    }

    /// A text.
    pub(crate) fn text(&mut self, field: &'static str) -> Option<String> {
        match self.take(field)? {
            Raw::Text(text) => Some(text),
            other => {
                let message = say::fields::not_text(field, other.described());
                self.fault(field, message, say::fields::quotes(field));
                None
            }
        }
    }

    /// A text that is a moment, in quotes or bare.
    pub(crate) fn stamp(&mut self, field: &'static str) -> Option<jiff::Timestamp> {
        let text = match self.take(field)? {
            Raw::Text(text) | Raw::Stamp(text) => text,
            other => other.described().english().to_owned(),
        };
        match text.trim().parse() {
            Ok(at) => Some(at),
            Err(_) => {
                let message = say::fields::no_moment(&text);
                self.fault(field, message, say::fields::stamp_hint());
                None
            }
        }
    }

    /// Yes or no.
    pub(crate) fn flag(&mut self, field: &'static str) -> Option<bool> {
        let raw = self.take(field)?;
        let found = match &raw {
            Raw::Bool(value) => Some(*value),
            Raw::Text(text) if self.form => match text.to_lowercase().as_str() {
                "true" | "yes" | "on" | "1" => Some(true),
                "false" | "no" | "off" | "0" => Some(false),
                _ => None,
            },
            _ => None,
        };
        if found.is_none() {
            let hint = if self.form {
                say::fields::yes_or_no()
            } else {
                say::fields::true_or_false()
            };
            self.fault(
                field,
                say::fields::neither_yes_nor_no(field, raw.described()),
                hint,
            );
        }
        found
    }

    /// A whole number.
    pub(crate) fn whole(&mut self, field: &'static str) -> Option<usize> {
        let raw = self.take(field)?;
        let found = match &raw {
            Raw::Integer(text) => text.parse().ok(),
            Raw::Text(text) if self.form => text.parse().ok(),
            _ => None,
        };
        if found.is_none() {
            let message = say::fields::not_whole(field, raw.described());
            self.fault(field, message, say::fields::example("3", field));
        }
        found
    }

    /// A number without unit, for what has none.
    pub(crate) fn number(&mut self, field: &'static str, example: &str) -> Option<f64> {
        let raw = self.take(field)?;
        let found = match &raw {
            Raw::Integer(text) | Raw::Float(text) => text.parse::<f64>().ok(),
            Raw::Text(text) if self.form => text.replace(',', ".").parse::<f64>().ok(),
            _ => None,
        };
        let found = found.filter(|value| value.is_finite());
        if found.is_none() {
            let message = say::fields::not_number(field, raw.described());
            self.fault(field, message, say::fields::example(example, field));
        }
        found
    }

    /// A number without unit, within `range`.
    pub(crate) fn number_within(
        &mut self,
        field: &'static str,
        range: Range,
        example: &str,
    ) -> Option<f64> {
        let value = self.number(field, example)?;
        self.within(field, value, range)
    }

    /// Notes a value outside `range`.
    pub(crate) fn within(&mut self, field: &str, value: f64, range: Range) -> Option<f64> {
        match range.check(value) {
            Ok(value) => Some(value),
            Err(problem) => {
                let hint = say::fields::check_number();
                self.fault(field, problem.message(), hint);
                None
            }
        }
    }

    /// An amount with unit, in its base unit, within `range` (which is in the base unit too).
    pub(crate) fn amount<Q: Quantity>(&mut self, field: &'static str, range: Range) -> Option<f64> {
        let text = self.amount_text(field, Q::NAME, Q::examples())?;
        let value = self.understood(field, Q::parse(&text))?.base();
        self.within(field, value, range)
    }

    /// Notes why a text is not an amount.
    pub(crate) fn understood<T>(
        &mut self,
        field: &str,
        parsed: Result<T, QuantityError>,
    ) -> Option<T> {
        parsed
            .map_err(|error| self.fault(field, error.message, error.hint))
            .ok()
    }

    /// The text of an amount; a bare number is refused with the units that would do.
    pub(crate) fn amount_text(
        &mut self,
        field: &'static str,
        name: &str,
        examples: impl Into<Message>,
    ) -> Option<String> {
        let examples = examples.into();
        match self.take(field)? {
            Raw::Text(text) => Some(text),
            Raw::Integer(number) | Raw::Float(number) => {
                let message = say::fields::bare_number(field, number);
                self.fault(
                    field,
                    message,
                    say::fields::unit_in_quotes(examples, measure::names::name(name)),
                );
                None
            }
            other => {
                let message =
                    say::fields::not_a(field, measure::names::name(name), other.described());
                self.fault(
                    field,
                    message,
                    say::fields::unit_in_quotes(examples, measure::names::name(name)),
                );
                None
            }
        }
    }

    /// One word out of a list.
    pub(crate) fn choice<T: Copy>(
        &mut self,
        field: &'static str,
        words: &[(&str, T)],
    ) -> Option<T> {
        let text = self.text(field)?;
        let lower = text.trim().to_lowercase();
        if let Some((_, value)) = words.iter().find(|(word, _)| *word == lower) {
            return Some(*value);
        }
        let all: Vec<&str> = words.iter().map(|(word, _)| *word).collect();
        let hint = match harness::closest(&text, all.iter().map(|&word| (word, word))) {
            Some(near) => say::fields::did_you_mean_of(all.join(", "), near),
            None => say::fields::can_be(all.join(", ")),
        };
        self.fault(
            field,
            say::fields::no_choice(field.replace('_', " "), &text),
            hint,
        );
        None
    }

    /// A list of texts; a form separates them by commas or blanks.
    pub(crate) fn list(&mut self, field: &'static str) -> Option<Vec<String>> {
        let raw = self.take(field)?;
        let found = match &raw {
            Raw::List(items) => items
                .iter()
                .map(|item| match item {
                    Raw::Text(text) => Some(text.clone()),
                    _ => None,
                })
                .collect(),
            Raw::Text(text) if self.form => {
                let parts = text
                    .split([',', ';', ' '])
                    .map(str::trim)
                    .filter(|part| !part.is_empty());
                Some(parts.map(str::to_owned).collect())
            }
            _ => None,
        };
        if found.is_none() {
            let message = say::fields::not_names(field, raw.described());
            self.fault(
                field,
                message,
                say::fields::example("[\"F3\", \"F4\"]", field),
            );
        }
        found
    }
}

/// The place of a fault in words: those that we name, tables as they are.
pub(super) fn words_for(place: &str) -> Message {
    match place {
        "the entry" => say::fields::place_entry(),
        "the usage" => say::fields::place_usage(),
        "an instrument" => say::file::place_instrument(),
        "a node" => say::file::place_node(),
        "a recording" => say::file::place_recording(),
        other => {
            let kind = other.strip_prefix("a ");
            match (
                other.strip_prefix("entry "),
                kind.and_then(|kind| kind.strip_suffix(" entry")),
            ) {
                (Some(number), _) => say::file::place_numbered(number),
                (_, Some(kind)) => say::file::place_kind(kind),
                _ => Message::plain(other),
            }
        }
    }
}

/// Whether a value is a table or a list of tables, with the tables and where each starts.
pub(crate) fn tables<'a, 'i>(
    value: &'a Spanned<DeValue<'i>>,
) -> Option<Vec<(&'a DeTable<'i>, usize)>> {
    match value.get_ref() {
        DeValue::Array(items) => items
            .iter()
            .map(|item| match item.get_ref() {
                DeValue::Table(table) => Some((table, item.span().start)),
                _ => None,
            })
            .collect(),
        _ => None,
    }
}
