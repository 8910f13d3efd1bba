//! A small invented van, its entries in short.
#![allow(clippy::unwrap_used, clippy::panic)] // a helper of tests

use job::{Job, file};

/// A van with three fuses, and entries in short: `draw battery clamp 412mA`,
/// `awake F1 millivolt 2.1mV`, `pull F1 412mA 30mA`, `refit F1`, `unplug radio 412mA 30mA`,
/// `repair radio`, `strike 2`, `rest 12.62V`.
pub(crate) fn job(entries: &[&str]) -> Job {
    let mut text = r#"format = 1
[battery]
capacity = "60Ah"
cranking = "540A"
cranking_standard = "en"
[limit]
draw = "50mA"
"#
    .to_owned();
    for (id, from, kind, more) in [
        (
            "F1",
            "battery",
            "fuse",
            "rating = \"15A\"\nfuse = \"blade\"\nin_place = true",
        ),
        (
            "F2",
            "battery",
            "fuse",
            "rating = \"10A\"\nfuse = \"blade\"\nin_place = true",
        ),
        (
            "F3",
            "battery",
            "fuse",
            "rating = \"10A\"\nfuse = \"blade\"\nin_place = true",
        ),
        ("radio", "F1", "load", "family = \"audio\""),
        ("lamp", "F2", "load", "family = \"lamp\""),
        ("lock", "F3", "load", "family = \"body\""),
    ] {
        text += &format!("[[node]]\nid = \"{id}\"\nfrom = \"{from}\"\nkind = \"{kind}\"\n{more}\n");
    }
    for (minute, entry) in entries.iter().enumerate() {
        let words: Vec<&str> = entry.split(' ').collect();
        let fields = match words[..] {
            ["draw", node, how, value] => format!(
                "kind = \"draw\"\nnode = \"{node}\"\nhow = \"{how}\"\nvalue = \"{value}\"\nasleep = true"
            ),
            ["awake", node, how, value] => format!(
                "kind = \"draw\"\nnode = \"{node}\"\nhow = \"{how}\"\nvalue = \"{value}\"\nasleep = false"
            ),
            ["pull", node, before, after] => format!(
                "kind = \"pull\"\nnodes = [\"{}\"]\nbefore = \"{before}\"\nafter = \"{after}\"",
                node.replace(',', "\", \"")
            ),
            ["unplug", node, before, after] => format!(
                "kind = \"unplug\"\nnode = \"{node}\"\nbefore = \"{before}\"\nafter = \"{after}\""
            ),
            ["refit", node, before, after] => format!(
                "kind = \"refit\"\nnodes = [\"{node}\"]\nbefore = \"{before}\"\nafter = \"{after}\""
            ),
            ["refit", node] => format!("kind = \"refit\"\nnodes = [\"{node}\"]"),
            ["repair", node] => format!("kind = \"repair\"\nnode = \"{node}\"\ntext = \"renewed\""),
            ["strike", number] => format!("kind = \"strike\"\nentry = {number}"),
            ["rest", value] => {
                format!("kind = \"rest-voltage\"\nvalue = \"{value}\"\nrested = \"8h\"")
            }
            ["note"] => "kind = \"note\"\ntext = \"all is quiet\"".to_owned(),
            ["trace", file] => format!("kind = \"trace\"\nfile = \"{file}\"\nnode = \"battery\""),
            _ => panic!("{entry}"),
        };
        text += &format!("[[entry]]\nat = \"2026-03-02T20:{minute:02}:00Z\"\n{fields}\n");
    }
    file::parse(&text).unwrap()
}
