//! Both languages say the same things, and nothing is left over.

#![allow(
    clippy::panic,
    clippy::unwrap_used,
    reason = "helpers of tests may fail loudly, as tests do"
)]

use std::{
    collections::{BTreeMap, BTreeSet},
    fs,
    path::{Path, PathBuf},
};

use fluent_syntax::ast::{
    Entry, Expression, InlineExpression, Pattern, PatternElement, VariantKey,
};
use tongue::{Lang, messages};

/// What a message needs: its values, and its plural forms.
#[derive(Debug, PartialEq, Eq, Default)]
struct Shape {
    values: BTreeSet<String>,
    counted: BTreeSet<String>,
    heavy: (usize, usize),
}

fn shapes(lang: Lang) -> BTreeMap<String, Shape> {
    let mut all = BTreeMap::new();
    for text in messages(lang).1 {
        let parsed = fluent_syntax::parser::parse(*text)
            .unwrap_or_else(|(_, errors)| panic!("{lang:?}: {errors:?}"));
        for entry in &parsed.body {
            let message = match entry {
                Entry::Message(message) => message,
                Entry::Junk { content } => panic!("{lang:?}: {content}"),
                _ => continue,
            };
            let mut shape = Shape::default();
            in_pattern(message.value.as_ref().unwrap(), &mut shape);
            let known = all.insert(message.id.name.to_owned(), shape);
            assert!(known.is_none(), "{lang:?}: {} twice", message.id.name);
        }
    }
    all
}

fn in_pattern(pattern: &Pattern<&str>, shape: &mut Shape) {
    for element in &pattern.elements {
        match element {
            PatternElement::TextElement { value } => {
                shape.heavy.0 += value.matches("<b>").count();
                shape.heavy.1 += value.matches("</b>").count();
            }
            PatternElement::Placeable { expression } => match expression {
                Expression::Inline(inline) => in_inline(inline, shape),
                Expression::Select { selector, variants } => {
                    in_inline(selector, shape);
                    let plural = variants.iter().any(
                        |v| matches!(&v.key, VariantKey::Identifier { name } if *name == "one"),
                    );
                    if let (true, InlineExpression::VariableReference { id }) = (plural, selector) {
                        shape.counted.insert(id.name.to_owned());
                    }
                    for variant in variants {
                        in_pattern(&variant.value, shape);
                    }
                }
            },
        }
    }
}

fn in_inline(inline: &InlineExpression<&str>, shape: &mut Shape) {
    if let InlineExpression::VariableReference { id } = inline {
        shape.values.insert(id.name.to_owned());
    }
}

#[test]
fn german_says_what_english_says() {
    let (en, de) = (shapes(Lang::En), shapes(Lang::De));
    let missing: Vec<_> = en.keys().filter(|k| !de.contains_key(*k)).collect();
    let extra: Vec<_> = de.keys().filter(|k| !en.contains_key(*k)).collect();
    assert!(missing.is_empty(), "not in German: {missing:?}");
    assert!(extra.is_empty(), "only in German: {extra:?}");
    for (name, shape) in &en {
        assert_eq!(shape.values, de[name].values, "{name}");
        assert_eq!(shape.counted, de[name].counted, "{name}");
        assert_eq!(shape.heavy, de[name].heavy, "{name}");
        assert_eq!(shape.heavy.0, shape.heavy.1, "{name}");
    }
}

#[test]
fn every_message_is_said_somewhere() {
    let mut code = String::new();
    let rooms = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    for room in fs::read_dir(rooms).unwrap() {
        let path = room.unwrap().path();
        if path.ends_with("tongue") {
            // What it says itself: the word between the last two of a list.
            code.push_str(&fs::read_to_string(path.join("src/message.rs")).unwrap());
        } else {
            collect(&path.join("src"), &mut code);
        }
    }
    let code: String = code.split_whitespace().collect();
    let unused: Vec<String> = messages(Lang::En)
        .0
        .into_iter()
        .filter(|name| {
            let (room, rest) = name.split_once('-').unwrap();
            let call = format!("{room}::{}", rest.replace('-', "_"));
            !code.match_indices(&call).any(|(at, _)| {
                !code[at + call.len()..]
                    .starts_with(|c: char| c.is_ascii_alphanumeric() || c == '_')
            })
        })
        .collect();
    assert!(unused.is_empty(), "said nowhere: {unused:#?}");
}

fn collect(folder: &PathBuf, code: &mut String) {
    let Ok(entries) = fs::read_dir(folder) else {
        return;
    };
    for entry in entries {
        let path = entry.unwrap().path();
        if path.is_dir() {
            collect(&path, code);
        } else if path.extension().is_some_and(|e| e == "rs") {
            code.push_str(&fs::read_to_string(path).unwrap());
        }
    }
}

/// No figure in a German sentence that the English one does not have, such as
/// a limit mistyped in translation.
#[test]
fn both_name_the_same_figures() {
    let figures = |lang: Lang| -> BTreeMap<String, Vec<String>> {
        let mut all = BTreeMap::new();
        for text in messages(lang).1 {
            let mut name = String::new();
            for line in text.lines().filter(|l| !l.starts_with('#')) {
                let said = match line.split_once(" = ") {
                    Some((id, said)) if !line.starts_with(' ') => {
                        name = id.to_owned();
                        said
                    }
                    _ => line,
                };
                let numbers = said
                    .split(|c: char| !c.is_ascii_digit())
                    .filter(|n| !n.is_empty())
                    .map(str::to_owned);
                all.entry(name.clone())
                    .or_insert_with(Vec::new)
                    .extend(numbers);
            }
        }
        for list in all.values_mut() {
            list.sort();
        }
        all
    };
    let (english, german) = (figures(Lang::En), figures(Lang::De));
    for (name, figures) in &english {
        assert_eq!(Some(figures), german.get(name), "{name}");
    }
}
