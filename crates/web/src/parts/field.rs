//! One field of a form, with label, hint and what is wrong with it.

use std::fmt;

use maud::{Markup, html};
use tongue::{Message, say};

use crate::form::{Typed, Wrong};

/// Words of ours, in the language spoken when they are shown.
pub(crate) type Words = fn() -> Message;

/// What a choice is called.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Named<'a> {
    /// In words of ours.
    Said(Words),
    /// By a name that is the same in every language.
    Plain(&'a str),
}

/// A choice: value and words.
pub(crate) type Choice<'a> = (&'a str, Named<'a>);

impl fmt::Display for Named<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Said(words) => words().fmt(f),
            Self::Plain(name) => f.pad(name),
        }
    }
}

/// How something is typed in.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Input<'a> {
    /// A number with its unit beside it, the first unit being the usual one
    /// and none a plain number; `signed` where a minus may be needed, which decimal keypads lack.
    Amount { units: &'a [&'a str], signed: bool },
    /// One line.
    Text,
    /// Several lines.
    Lines,
    /// One of several.
    OneOf(&'a [Choice<'a>]),
    /// Yes or no.
    Tick,
}

/// What a field is.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Field<'a> {
    pub(crate) name: &'a str,
    pub(crate) label: Words,
    pub(crate) hint: Option<Words>,
    pub(crate) input: Input<'a>,
}

/// What a form is being filled with.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Filling<'a> {
    /// Put before field names to make ids unique on the page.
    pub(crate) prefix: &'a str,
    pub(crate) typed: &'a Typed,
    pub(crate) wrong: &'a Wrong,
}

impl Field<'_> {
    /// The field with what was typed.
    pub(crate) fn markup(&self, filling: Filling<'_>) -> Markup {
        let id = format!("{}{}", filling.prefix, self.name);
        let wrong = filling.wrong.at(self.name);
        let described = described_by(&id, self.hint.is_some(), wrong.is_some());
        let value = filling.typed.get(self.name);
        if matches!(self.input, Input::Tick) {
            return self.tick(&id, filling, described.as_deref());
        }
        html! {
            div class="field" {
                label for=(id) { ((self.label)()) }
                @if let Some(hint) = self.hint { p class="hint" id=(format!("{id}-hint")) { (hint()) } }
                @if let Some(message) = wrong { p class="wrong" id=(format!("{id}-wrong")) { (message) } }
                @match self.input {
                    Input::Amount { units, signed } => div class="amount" {
                        input type="text" id=(id) name=(self.name) value=(value) autocomplete="off"
                            inputmode=(if signed { "text" } else { "decimal" }) data-signed[signed]
                            aria-describedby=[described] aria-invalid=[wrong.map(|_| "true")];
                        (unit_select(self, &id, units, filling.typed))
                    },
                    Input::Lines => textarea id=(id) name=(self.name) rows="8" spellcheck="false"
                        aria-describedby=[described] aria-invalid=[wrong.map(|_| "true")] { (value) },
                    Input::OneOf(choices) => select id=(id) name=(self.name)
                        aria-describedby=[described] aria-invalid=[wrong.map(|_| "true")] {
                        @for (word, words) in choices { option value=(word) selected[*word == value] { (words) } }
                    },
                    Input::Text | Input::Tick => input type="text" id=(id) name=(self.name) value=(value) autocomplete="off"
                        aria-describedby=[described] aria-invalid=[wrong.map(|_| "true")];,
                }
            }
        }
    }

    fn tick(&self, id: &str, filling: Filling<'_>, described: Option<&str>) -> Markup {
        html! {
            div class="field" {
                @if let Some(message) = filling.wrong.at(self.name) { p class="wrong" id=(format!("{id}-wrong")) { (message) } }
                label class="tick" for=(id) {
                    input type="checkbox" id=(id) name=(self.name) value="true"
                        checked[filling.typed.ticked(self.name)] aria-describedby=[described];
                    span { ((self.label)()) }
                }
                @if let Some(hint) = self.hint { p class="hint" id=(format!("{id}-hint")) { (hint()) } }
            }
        }
    }
}

/// The unit beside a number: a choice, or a word where there is only one.
fn unit_select(field: &Field<'_>, id: &str, units: &[&str], typed: &Typed) -> Markup {
    let name = format!("{}_unit", field.name);
    let chosen = typed.get(&name);
    html! {
        @match units {
            // A plain number.
            [] => {}
            [only] => {
                input type="hidden" name=(name) value=(only);
                span class="unit" { (unit_words(only)) }
            }
            _ => select id=(format!("{id}_unit")) name=(name) aria-label=(say::entry::unit_of((field.label)())) {
                @for unit in units { option value=(unit) selected[*unit == chosen] { (unit_words(unit)) } }
            },
        }
    }
}

fn unit_words(unit: &str) -> Message {
    match unit {
        "C" => "°C".into(),
        "F" => "°F".into(),
        "uA" => "µA".into(),
        "mohm" => "mΩ".into(),
        "ohm" => "Ω".into(),
        "d" => say::entry::days(),
        "trips" => say::advice::unit_trips(),
        "minutes" => say::advice::unit_minutes(),
        "years" => say::intake::unit_years(),
        "digits" => say::intake::unit_digits(),
        "cables" => say::hookup::unit_cables(),
        other => other.into(),
    }
}

fn described_by(id: &str, hint: bool, wrong: bool) -> Option<String> {
    match (hint, wrong) {
        (true, true) => Some(format!("{id}-hint {id}-wrong")),
        (true, false) => Some(format!("{id}-hint")),
        (false, true) => Some(format!("{id}-wrong")),
        (false, false) => None,
    }
}
