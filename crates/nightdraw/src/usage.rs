//! A command line that cannot be understood. In English the parser has said it
//! already; other languages get their own sentence. Help and the names in it
//! stay English: they come from the same definitions as the manual page and
//! the completions.

use std::{env, error::Error};

use clap::error::{ContextKind, ErrorKind};
use tongue::{Lang, Message, say};

use crate::{cli::NoSpeed, failure::Failure};

/// The option that names the language.
const LANG: &str = "--lang";

/// The language asked for on a command line that the parser refused.
pub(crate) fn asked() -> Option<Lang> {
    let arguments: Vec<String> = env::args().collect();
    arguments
        .iter()
        .enumerate()
        .filter_map(|(at, argument)| match argument.strip_prefix(LANG)? {
            "" => arguments.get(at + 1).map(String::as_str),
            value => value.strip_prefix('='),
        })
        .find_map(Lang::from_tag)
}

/// What a person reads of it in another language than English; `None` where
/// help is the answer.
pub(crate) fn told(error: &clap::Error) -> Option<Failure> {
    let known = |kind| Some(without_placeholders(&error.get(kind)?.to_string()));
    let said = |kind| known(kind).unwrap_or_default();
    let option = || said(ContextKind::InvalidArg);
    let message = match error.kind() {
        ErrorKind::DisplayHelpOnMissingArgumentOrSubcommand => return None,
        ErrorKind::ValueValidation => {
            let why = error.source().and_then(ours);
            value(option(), said(ContextKind::InvalidValue), why)
        }
        ErrorKind::InvalidValue if said(ContextKind::InvalidValue).is_empty() => {
            say::cli::usage_no_value(option())
        }
        ErrorKind::InvalidValue => {
            let (value, option) = (said(ContextKind::InvalidValue), option());
            say::cli::usage_one_of(said(ContextKind::ValidValue), option, value)
        }
        ErrorKind::UnknownArgument => match known(ContextKind::SuggestedArg) {
            Some(near) => say::cli::usage_unknown_near(near, option()),
            None => say::cli::usage_unknown(option()),
        },
        ErrorKind::InvalidSubcommand => {
            let command = said(ContextKind::InvalidSubcommand);
            match known(ContextKind::SuggestedSubcommand) {
                Some(near) => say::cli::usage_command_near(command, near),
                None => say::cli::usage_command(command),
            }
        }
        ErrorKind::MissingRequiredArgument => say::cli::usage_missing(option()),
        ErrorKind::MissingSubcommand => {
            say::cli::usage_no_command(said(ContextKind::ValidSubcommand))
        }
        ErrorKind::ArgumentConflict => match known(ContextKind::PriorArg) {
            Some(other) if other != option() => say::cli::usage_conflict(option(), other),
            _ => say::cli::usage_twice(option()),
        },
        _ => say::cli::usage_wrong(error.kind().to_string()),
    };
    Some(Failure::usage(message, say::cli::usage_help()))
}

/// `--draw` where the help has `--draw <CURRENT>`.
fn without_placeholders(text: &str) -> String {
    let mut out = String::new();
    let mut rest = text;
    while let Some((before, after)) = rest.split_once(" <") {
        out += before;
        rest = after.split_once('>').map_or("", |(_, after)| after);
    }
    out + rest
}

fn value(option: String, value: String, why: Option<Message>) -> Message {
    match why {
        Some(why) => say::cli::usage_value(option, value, why),
        None => say::cli::usage_value_wrong(option, value),
    }
}

/// The reason, where it is one of ours and speaks the language.
fn ours(source: &(dyn Error + 'static)) -> Option<Message> {
    let ours = source.is::<measure::quantity::QuantityError>()
        || source.is::<measure::instrument::UnknownWord>()
        || source.is::<battery::UnknownWord>()
        || source.is::<harness::fuse::UnknownFuse>()
        || source.is::<NoSpeed>();
    ours.then(|| source.to_string().into())
}
