//! The two resources, parsed once.

use std::{
    collections::{BTreeMap, BTreeSet},
    sync::OnceLock,
};

use fluent_bundle::{
    FluentArgs, FluentResource, FluentValue, concurrent::FluentBundle, types::FluentNumber,
};
use unic_langid::LanguageIdentifier;

use crate::{Arg, Lang, number};

type Bundle = FluentBundle<FluentResource>;

/// The messages of a language.
fn bundle(lang: Lang) -> &'static Bundle {
    static EN: OnceLock<Bundle> = OnceLock::new();
    static DE: OnceLock<Bundle> = OnceLock::new();
    match lang {
        Lang::En => EN.get_or_init(|| build(lang, crate::EN)),
        Lang::De => DE.get_or_init(|| build(lang, crate::DE)),
    }
}

fn build(lang: Lang, texts: &[&str]) -> Bundle {
    let locale: LanguageIdentifier = lang.tag().parse().unwrap_or_default();
    let mut bundle = Bundle::new_concurrent(vec![locale]);
    // The marks around values that Fluent adds would show up in copied text;
    // both languages run the same way.
    bundle.set_use_isolating(false);
    bundle.set_formatter(Some(counted));
    for text in texts {
        // A test holds that every file parses and no name comes twice.
        let resource = FluentResource::try_new((*text).to_owned());
        bundle.add_resource_overriding(resource.unwrap_or_else(|(parsed, _)| parsed));
    }
    bundle
}

/// A count as the language writes numbers.
fn counted<M>(value: &FluentValue<'_>, _: &M) -> Option<String> {
    match value {
        FluentValue::Number(FluentNumber { value, .. }) => Some(number(&value.to_string())),
        _ => None,
    }
}

/// The message `id` in `lang`; its English, or in the end its name, where that is missing.
pub(crate) fn write(lang: Lang, id: &str, args: &[(&'static str, Arg)]) -> String {
    let mut values = FluentArgs::with_capacity(args.len());
    for (name, arg) in args {
        match (arg, arg.text()) {
            (Arg::Count(n), _) => values.set(*name, *n),
            (_, text) => values.set(*name, text.unwrap_or_default()),
        }
    }
    for lang in [lang, Lang::En] {
        let bundle = bundle(lang);
        if let Some(pattern) = bundle.get_message(id).and_then(|m| m.value()) {
            let mut errors = Vec::new();
            let text = bundle.format_pattern(pattern, Some(&values), &mut errors);
            return text.into_owned();
        }
    }
    id.to_owned()
}

/// The English of the message `id`, which has no values.
pub(crate) fn bare(id: &'static str) -> &'static str {
    static BARE: OnceLock<BTreeMap<String, String>> = OnceLock::new();
    let all = BARE.get_or_init(|| {
        let (names, _) = messages(Lang::En);
        let said = |name: &String| write(Lang::En, name, &[]);
        names
            .into_iter()
            .map(|name| (name.clone(), said(&name)))
            .collect()
    });
    all.get(id).map_or(id, String::as_str)
}

/// Names of all messages, and the texts of both languages' files; for checks.
pub fn messages(lang: Lang) -> (BTreeSet<String>, &'static [&'static str]) {
    let texts = match lang {
        Lang::En => crate::EN,
        Lang::De => crate::DE,
    };
    let names = texts
        .iter()
        .flat_map(|text| text.lines())
        .filter_map(|line| line.split_once(" ="))
        .map(|(name, _)| name)
        .filter(|name| name.starts_with(|c: char| c.is_ascii_lowercase()))
        .map(str::to_owned)
        .collect();
    (names, texts)
}
