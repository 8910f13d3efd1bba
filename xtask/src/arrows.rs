//! Which room may use which: the direction that the architecture page promises.

use std::{collections::BTreeMap, path::Path, process::Command};

use anyhow::{Context, Result, bail};
use serde_json::Value;

/// Room, and the rooms it may depend on. Anything absent here may not be used.
const ARROWS: &[(&str, &[&str])] = &[
    ("tongue", &[]),
    ("measure", &["tongue"]),
    ("trace", &["measure", "tongue"]),
    ("battery", &["measure", "tongue"]),
    ("harness", &["measure", "tongue"]),
    ("diagnosis", &["measure", "harness", "battery", "tongue"]),
    (
        "rehearsal",
        &["measure", "harness", "battery", "trace", "tongue"],
    ),
    ("live", &["measure", "trace", "tongue"]),
    (
        "job",
        &[
            "measure",
            "trace",
            "battery",
            "harness",
            "diagnosis",
            "tongue",
        ],
    ),
    ("store", &["job", "tongue"]),
    (
        "practice",
        &["job", "rehearsal", "harness", "measure", "tongue"],
    ),
    (
        "picture",
        &["job", "measure", "trace", "battery", "harness", "tongue"],
    ),
    (
        "report",
        &[
            "job", "picture", "measure", "trace", "battery", "harness", "tongue",
        ],
    ),
    (
        "web",
        &[
            "job",
            "store",
            "picture",
            "report",
            "live",
            "tongue",
            "measure",
            "trace",
            "battery",
            "harness",
            "rehearsal",
            "practice",
        ],
    ),
];

/// Outside parts that only the named rooms may reach, directly or not.
const FENCED: &[(&str, &[&str])] = &[
    ("tokio", &["live", "web", "nightdraw"]),
    ("axum", &["web", "nightdraw"]),
    ("rusqlite", &["store", "web", "nightdraw"]),
    ("clap", &["nightdraw"]),
    ("anyhow", &["nightdraw", "xtask"]),
];

/// The ends, which may use everything.
const ENDS: &[&str] = &["nightdraw", "xtask"];

/// Asks `cargo metadata` whether the arrows hold.
pub(crate) fn check(root: &Path) -> Result<()> {
    let graph = graph(root)?;
    let mut faults = Vec::new();
    for (room, direct) in &graph.rooms {
        if ENDS.contains(&room.as_str()) {
            continue;
        }
        let Some((_, allowed)) = ARROWS.iter().find(|(name, _)| name == room) else {
            faults.push(format!("room '{room}' has no line in xtask/src/arrows.rs"));
            continue;
        };
        for used in direct.iter().filter(|used| graph.rooms.contains_key(*used)) {
            if !allowed.contains(&used.as_str()) {
                faults.push(format!("'{room}' must not use '{used}'"));
            }
        }
    }
    for (part, allowed) in FENCED {
        for room in graph
            .rooms
            .keys()
            .filter(|room| !allowed.contains(&room.as_str()))
        {
            if graph.reaches(room, part) {
                faults.push(format!("'{room}' must not reach '{part}'"));
            }
        }
    }
    if !faults.is_empty() {
        bail!(
            "the direction between rooms is broken:\n  {}",
            faults.join("\n  ")
        );
    }
    Ok(())
}

struct Graph {
    /// Our packages with their direct normal dependencies, by name.
    rooms: BTreeMap<String, Vec<String>>,
    /// All resolved packages with their normal dependencies, by name.
    all: BTreeMap<String, Vec<String>>,
}

impl Graph {
    fn reaches(&self, from: &str, part: &str) -> bool {
        let mut seen = vec![from.to_owned()];
        let mut next = 0;
        while next < seen.len() {
            for used in self.all.get(&seen[next]).into_iter().flatten() {
                if used == part {
                    return true;
                }
                if !seen.contains(used) {
                    seen.push(used.clone());
                }
            }
            next += 1;
        }
        false
    }
}

fn graph(root: &Path) -> Result<Graph> {
    let output = Command::new(env!("CARGO"))
        .args(["metadata", "--format-version", "1", "--locked"])
        .current_dir(root)
        .output()
        .context("cannot start cargo metadata")?;
    if !output.status.success() {
        bail!(
            "cargo metadata failed: {}",
            String::from_utf8_lossy(&output.stderr)
        );
    }
    let metadata: Value = serde_json::from_slice(&output.stdout)?;
    let names: BTreeMap<&str, &str> = array(&metadata["packages"])
        .filter_map(|package| Some((package["id"].as_str()?, package["name"].as_str()?)))
        .collect();
    let members: Vec<&str> = array(&metadata["workspace_members"])
        .filter_map(Value::as_str)
        .collect();
    let mut graph = Graph {
        rooms: BTreeMap::new(),
        all: BTreeMap::new(),
    };
    for node in array(&metadata["resolve"]["nodes"]) {
        let Some(id) = node["id"].as_str() else {
            continue;
        };
        let Some(name) = names.get(id) else { continue };
        let used: Vec<String> = array(&node["deps"])
            .filter(|dependency| array(&dependency["dep_kinds"]).any(|kind| kind["kind"].is_null()))
            .filter_map(|dependency| names.get(dependency["pkg"].as_str()?))
            .map(|name| (*name).to_owned())
            .collect();
        if members.contains(&id) {
            graph.rooms.insert((*name).to_owned(), used.clone());
        }
        graph
            .all
            .entry((*name).to_owned())
            .or_default()
            .extend(used);
    }
    Ok(graph)
}

fn array(value: &Value) -> impl Iterator<Item = &Value> {
    value.as_array().into_iter().flatten()
}
