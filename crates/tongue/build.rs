//! Makes one function of every English message, so that a sentence that does
//! not exist, or one that lacks a value, does not compile.

use std::{
    collections::BTreeMap,
    env,
    error::Error,
    fmt::Write as _,
    fs,
    path::{Path, PathBuf},
};

use fluent_syntax::ast::{
    Entry, Expression, InlineExpression, Pattern, PatternElement, Resource, VariantKey,
};

type Outcome<T> = Result<T, Box<dyn Error>>;

fn main() -> Outcome<()> {
    let root = PathBuf::from(env::var("CARGO_MANIFEST_DIR")?).join("locales");
    println!("cargo:rerun-if-changed={}", root.display());
    let mut code = String::new();
    for lang in ["en", "de"] {
        let files = ftl_files(&root.join(lang))?;
        writeln!(
            code,
            "pub(crate) const {}: &[&str] = &[",
            lang.to_uppercase()
        )?;
        for (_, path) in &files {
            println!("cargo:rerun-if-changed={}", path.display());
            writeln!(code, "include_str!({:?}),", path.display().to_string())?;
        }
        code.push_str("];\n");
    }
    code.push_str("/// A function for every sentence, by the room that says it.\npub mod say {\n");
    for (module, path) in ftl_files(&root.join("en"))? {
        room(&mut code, &module, &fs::read_to_string(path)?)?;
    }
    code.push_str("}\n");
    fs::write(Path::new(&env::var("OUT_DIR")?).join("say.rs"), code)?;
    Ok(())
}

fn ftl_files(folder: &Path) -> Outcome<Vec<(String, PathBuf)>> {
    let mut files = Vec::new();
    for entry in fs::read_dir(folder)? {
        let path = entry?.path();
        if path.extension().is_some_and(|e| e == "ftl") {
            let stem = path.file_stem().unwrap_or_default().to_string_lossy();
            files.push((stem.into_owned(), path.clone()));
        }
    }
    files.sort();
    Ok(files)
}

/// The functions of one file, which is one room's.
fn room(code: &mut String, module: &str, text: &str) -> Outcome<()> {
    let resource: Resource<&str> = fluent_syntax::parser::parse(text)
        .map_err(|(_, errors)| format!("locales/en/{module}.ftl: {errors:?}"))?;
    writeln!(code, "/// What `{module}` says.\npub mod {module} {{")?;
    for entry in &resource.body {
        let Entry::Message(message) = entry else {
            continue;
        };
        let Some(pattern) = &message.value else {
            continue;
        };
        let id = message.id.name;
        let name = id
            .strip_prefix(&format!("{module}-"))
            .ok_or_else(|| {
                format!("locales/en/{module}.ftl: '{id}' does not begin with '{module}-'")
            })?
            .replace('-', "_");
        let mut values = BTreeMap::new();
        variables(pattern, &mut values);
        let said = said(text, id);
        writeln!(
            code,
            "/// ```text\n/// {}\n/// ```",
            said.replace('\n', "\n/// ")
        )?;
        if values.is_empty() {
            writeln!(
                code,
                "pub const fn {name}() -> crate::Message {{ crate::Message::bare({id:?}) }}"
            )?;
            continue;
        }
        write!(code, "pub fn {name}(")?;
        for (value, counts) in &values {
            let kind = if *counts {
                "crate::Count"
            } else {
                "crate::Arg"
            };
            write!(code, "{}: impl Into<{kind}>,", value.replace('-', "_"))?;
        }
        writeln!(
            code,
            ") -> crate::Message {{ crate::Message::known({id:?}, vec!["
        )?;
        for (value, counts) in &values {
            let field = value.replace('-', "_");
            if *counts {
                writeln!(
                    code,
                    "({value:?}, crate::Arg::Count(Into::<crate::Count>::into({field}).0)),"
                )?;
            } else {
                writeln!(code, "({value:?}, {field}.into()),")?;
            }
        }
        code.push_str("]) }\n");
    }
    code.push_str("}\n");
    Ok(())
}

/// The message as it stands in the file.
fn said(text: &str, id: &str) -> String {
    let start = format!("{id} =");
    let mut lines = text.lines().skip_while(|line| !line.starts_with(&start));
    let first = lines.next().unwrap_or_default();
    std::iter::once(first)
        .chain(lines.take_while(|line| line.starts_with(' ')))
        .collect::<Vec<_>>()
        .join("\n")
}

/// Every variable, and whether a plural hangs on it.
fn variables(pattern: &Pattern<&str>, found: &mut BTreeMap<String, bool>) {
    for element in &pattern.elements {
        if let PatternElement::Placeable { expression } = element {
            in_expression(expression, found);
        }
    }
}

fn in_expression(expression: &Expression<&str>, found: &mut BTreeMap<String, bool>) {
    match expression {
        Expression::Inline(inline) => in_inline(inline, false, found),
        Expression::Select { selector, variants } => {
            let plural = variants.iter().any(
                |variant| matches!(&variant.key, VariantKey::Identifier { name } if *name == "one"),
            );
            in_inline(selector, plural, found);
            for variant in variants {
                variables(&variant.value, found);
            }
        }
    }
}

fn in_inline(inline: &InlineExpression<&str>, counts: bool, found: &mut BTreeMap<String, bool>) {
    match inline {
        InlineExpression::VariableReference { id } => {
            *found.entry(id.name.to_owned()).or_default() |= counts;
        }
        InlineExpression::Placeable { expression } => in_expression(expression, found),
        _ => {}
    }
}
