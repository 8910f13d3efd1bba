//! An instrument written in one word: a class, or an accuracy such as
//! `2%+5@1mA`.

use std::fmt;

use tongue::{Message, say};

use crate::{
    Instrument, InstrumentKind,
    instrument::CLASSES,
    quantity::{Ampere, Quantity, Volt},
};

/// A text that describes no instrument of the kind wanted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SpecError {
    /// One sentence.
    pub message: Message,
    /// What would do.
    pub hint: Message,
}

impl fmt::Display for SpecError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}; {}", self.message, self.hint)
    }
}

impl std::error::Error for SpecError {}

/// Reads an instrument of `kind`: the name of a class, or its specification
/// as percent of reading, counts and smallest step: `2%+5@1mA`, `0.5%+3@0.1mV`.
///
/// # Errors
/// When it is neither, of another kind, or impossible.
pub fn instrument(kind: InstrumentKind, text: &str) -> Result<Instrument, SpecError> {
    let text = text.trim();
    if let Some(class) = CLASSES.iter().find(|class| class.id == text) {
        if class.kind == kind {
            return Ok(class.instrument());
        }
        return Err(refuse(
            kind,
            say::measure::not_this_instrument((class.what)(), kind.to_string(), text),
        ));
    }
    let parsed =
        specification(kind, text).ok_or_else(|| refuse(kind, say::measure::no_instrument(text)))?;
    match parsed.check() {
        Ok(()) => Ok(parsed),
        Err(outside) => Err(refuse(kind, outside.message())),
    }
}

fn specification(kind: InstrumentKind, text: &str) -> Option<Instrument> {
    let (accuracy, step) = text.split_once('@')?;
    let (percent, digits) = accuracy.split_once('%')?;
    let digits = digits.trim().trim_start_matches('+').trim();
    let resolution = match kind {
        InstrumentKind::Millivolt | InstrumentKind::Voltmeter => Volt::parse(step).ok()?.base(),
        _ => Ampere::parse(step).ok()?.base(),
    };
    Some(Instrument {
        id: text.into(),
        kind,
        accuracy_percent: percent.trim().replace(',', ".").parse().ok()?,
        digits: if digits.is_empty() {
            0.0
        } else {
            digits.parse().ok()?
        },
        resolution: Some(resolution),
        zero_set: false,
    })
}

fn refuse(kind: InstrumentKind, message: Message) -> SpecError {
    let known: Vec<&str> = CLASSES
        .iter()
        .filter(|class| class.kind == kind)
        .map(|class| class.id)
        .collect();
    let step = match kind {
        InstrumentKind::Millivolt | InstrumentKind::Voltmeter => "0.1mV",
        _ => "1mA",
    };
    SpecError {
        message,
        hint: say::measure::hint_instrument(known.join(", "), step),
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn classes_and_specifications_are_read() {
        for class in CLASSES {
            assert_eq!(instrument(class.kind, class.id), Ok(class.instrument()));
        }
        let clamp = instrument(InstrumentKind::Clamp, "1,5% + 4@ 0.1 mA").unwrap();
        assert_eq!((clamp.accuracy_percent, clamp.digits), (1.5, 4.0));
        assert_eq!(clamp.resolution, Some(1e-4));
    }

    #[test]
    fn what_does_not_fit_is_refused_with_what_would() {
        for text in [
            "",
            "clamp",
            "2%",
            "2%+5@1mV",
            "dmm-10A",
            "200%+5@1mA",
            "2%+5@0A",
            "2%+x@1mA",
        ] {
            let error = instrument(InstrumentKind::Clamp, text).unwrap_err();
            assert!(error.hint.contains("clamp-low"), "{text}: {error}");
        }
    }

    proptest! {
        #[test]
        fn any_text_is_read_or_refused(text in "[0-9.%+@mAV, ]{0,12}|\\PC{0,16}") {
            for &kind in InstrumentKind::ALL {
                match instrument(kind, &text) {
                    Ok(read) => prop_assert!(read.check().is_ok()),
                    Err(error) => prop_assert!(!error.hint.is_empty()),
                }
            }
        }
    }
}
