//! Rules on words and file sizes that a machine can hold.

use std::{fs, path::Path, process::Command};

use anyhow::{Context, Result, bail};

use crate::sentences;

/// No file wants to be longer; a table in code is better a data file. Tests are
/// flat lists and may run on.
const MOST_LINES: usize = 560;

/// Places of somebody's machine have no business in the repository.
const FORBIDDEN: &[&str] = &["/home/", "/root/"];

/// Looks at every tracked text file.
pub(crate) fn check(root: &Path) -> Result<()> {
    let mut faults = Vec::new();
    for name in tracked(root)? {
        // Binary fixtures and files deleted in the working tree are not texts.
        let Ok(text) = fs::read_to_string(root.join(&name)) else {
            continue;
        };
        if name.ends_with(".rs") && !name.contains("/tests/") && text.lines().count() > MOST_LINES {
            faults.push(format!("{name} has more than {MOST_LINES} lines"));
        }
        for sentence in sentences::misplaced(&name, &text) {
            faults.push(format!(
                "{name}: put this into crates/tongue/locales: {sentence}"
            ));
        }
        for word in FORBIDDEN {
            let line = text.lines().position(|line| line.contains(word));
            // This very table is the one exception.
            if let Some(line) = line.filter(|_| !name.starts_with("xtask/")) {
                faults.push(format!("{name}, line {}: '{word}'", line + 1));
            }
        }
    }
    if !faults.is_empty() {
        bail!("{}", faults.join("\n  "));
    }
    Ok(())
}

fn tracked(root: &Path) -> Result<Vec<String>> {
    let output = Command::new("git")
        .args(["ls-files", "-z"])
        .current_dir(root)
        .output()
        .context("cannot start git")?;
    Ok(String::from_utf8_lossy(&output.stdout)
        .split('\0')
        .filter(|name| !name.is_empty())
        .map(str::to_owned)
        .collect())
}
