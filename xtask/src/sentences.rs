//! No sentence stands in the code of the rooms that people read: what they say
//! is in `tongue`, in every language.

/// Rooms whose every sentence is shown to people.
const ROOMS: &[&str] = &["crates/web/src/", "crates/nightdraw/src/"];

/// Files of theirs whose sentences nobody reads, or not in every language, and why.
const LEFT_OUT: &[(&str, &str)] = &[
    (
        "web/src/pages/kit.rs",
        "an invented page for whoever draws the parts",
    ),
    ("web/src/pages/kit_sample.rs", "its invented job"),
    ("nightdraw/src/cli.rs", "the help, which is English"),
];

/// Single texts that are no words for people, by a part of each.
const NO_WORDS: &[&str] = &[
    // Headers and markup.
    "default-src 'none'",
    "base-uri 'none'",
    "attachment; filename",
    "width=device-width",
    "light dark",
    // What a person types at a terminal.
    "LOGGER | nightdraw listen",
    // A date's format.
    "%-d %b %Y",
    // Words that a stored rehearsal is set up with.
    "settings=may-be-lost",
    // A test as it is typed.
    "back all",
    // The name of a range, which `measure::names` says in every language.
    "draw while parked",
    // The remark on top of an invented log, which is a file.
    "# Invented: a virtual vehicle's draw",
];

/// Attributes that hold no words for people.
const SILENT: &[&str] = &[
    "class",
    "content",
    "data-keep",
    "action",
    "href",
    "id",
    "d",
    "viewBox",
    "preserveAspectRatio",
];

/// Sentences that stand in the code of one tracked file, where none should.
pub(crate) fn misplaced(name: &str, code: &str) -> Vec<String> {
    let read = ROOMS.iter().any(|room| name.starts_with(room))
        && name.ends_with(".rs")
        && !name.contains("/tests/")
        && !name.ends_with("/tests.rs")
        && LEFT_OUT.iter().all(|(file, _)| !name.ends_with(file));
    if read { sentences(code) } else { Vec::new() }
}

/// Texts in the code with two words of English beside each other.
fn sentences(code: &str) -> Vec<String> {
    let mut found = Vec::new();
    for line in joined(without_tests(code)).lines() {
        let bare = line.trim_start();
        if bare.starts_with("//") || bare.starts_with("#[") {
            continue;
        }
        let mut rest = line;
        while let Some((before, text, after)) = literal(rest) {
            if before.trim_end().ends_with("//") {
                break;
            }
            let silent = before.strip_suffix('=').is_some_and(|before| {
                let name = before.rsplit([' ', '{', '(']).next().unwrap_or_default();
                SILENT.contains(&name)
            });
            let until = line.len() - rest.len() + before.len();
            let silent = silent || in_class(&line[..until]);
            let known = NO_WORDS.iter().any(|part| text.contains(part));
            let pressed = before.trim_end().ends_with('{');
            if !silent && !known && is_sentence(text, pressed) {
                found.push(text.to_owned());
            }
            rest = after;
        }
    }
    found
}

fn without_tests(code: &str) -> &str {
    const MARK: &str = "#[cfg(test)]";
    code.match_indices(MARK)
        .find(|(at, _)| {
            code[at + MARK.len()..]
                .trim_start()
                .starts_with("mod tests")
        })
        .map_or(code, |(at, _)| &code[..at])
}

/// Lines that end in a backslash go on.
fn joined(code: &str) -> String {
    let mut out = String::new();
    for line in code.lines() {
        match line.strip_suffix('\\') {
            Some(part) => out.push_str(part),
            None => {
                out.push_str(line);
                out.push('\n');
            }
        }
    }
    out
}

/// What stands before a text on a line, the text, and what follows.
fn literal(line: &str) -> Option<(&str, &str, &str)> {
    let line_start = line;
    let mut at = 0;
    loop {
        let open = at + line_start[at..].find('"')?;
        // A character, not a text.
        if line_start[..open].ends_with('\'') && line_start[open + 1..].starts_with('\'') {
            at = open + 1;
            continue;
        }
        let mut end = open + 1;
        loop {
            end += line_start[end..].find(['"', '\\'])?;
            if line_start.as_bytes()[end] == b'"' {
                break;
            }
            end += 2;
        }
        return Some((
            &line_start[..open],
            &line_start[open + 1..end],
            &line_start[end + 1..],
        ));
    }
}

/// Whether a text stands inside the value of a `class` that is worked out.
fn in_class(before: &str) -> bool {
    let Some(at) = before.rfind("class=") else {
        return false;
    };
    let value = &before[at + "class=".len()..];
    let mut depth = 0;
    for c in value.chars() {
        match c {
            '(' | '{' => depth += 1,
            ')' | '}' => depth -= 1,
            _ => {}
        }
        // The value is over, or it was a plain text.
        if depth == 0 {
            return false;
        }
    }
    depth > 0
}

/// Without the values that are put into it.
fn bare(text: &str) -> String {
    let mut out = String::new();
    let mut rest = text;
    while let Some((before, after)) = rest.split_once('{') {
        out.push_str(before);
        out.push('0');
        rest = after.split_once('}').map_or("", |(_, after)| after);
    }
    out + rest
}

fn is_sentence(text: &str, pressed: bool) -> bool {
    let text = &bare(text);
    let words: Vec<&str> = text.split_whitespace().collect();
    let is_word = |word: &str| {
        let word = word.trim_matches(|c: char| !c.is_alphanumeric());
        word.len() >= 2
            && word.chars().all(|c| c.is_ascii_alphabetic() || c == '\'')
            && word.chars().any(|c| c.is_ascii_lowercase())
    };
    words.windows(2).any(|pair| is_word(pair[0]) && is_word(pair[1]))
        // A lone word with a capital, as on a button.
        || (pressed && words.len() == 1 && is_word(text) && text.starts_with(|c: char| c.is_ascii_uppercase()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sentence_in_the_code_would_be_found() {
        let code = r#"
            /// "A doc comment with words".
            fn page() -> Markup {
                // "a comment with words"
                html! { p class="told care" { "Nothing has come" } a title="See the job" { "Found" } }
            }
            fn other() { wrong.add("field", format!("Say {n} of them")); let q = '"'; }
            #[error("an attribute with words")]
            struct E;
            #[cfg(test)]
            mod tests { const T: &str = "a test with words"; }
        "#;
        assert_eq!(
            sentences(code),
            [
                "Nothing has come",
                "See the job",
                "Found",
                "Say {n} of them"
            ]
        );
    }
}
