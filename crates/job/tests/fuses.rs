//! Fuses calibrated by use.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use job::{Assessment, assess, file};

const TREE: &str = r#"
format = 1
[vehicle]
name = "Invented van"
[battery]
chemistry = "flooded"
capacity = "60Ah"
[[instrument]]
id = "fine"
kind = "millivolt"
accuracy_percent = 0.1
digits = 1
resolution = "0.01mV"
[[instrument]]
id = "meter"
kind = "in-line"
accuracy_percent = 0.5
digits = 1
resolution = "1mA"
[[node]]
id = "F1"
from = "battery"
kind = "fuse"
rating = "15A"
fuse = "mini"
[[node]]
id = "F2"
from = "battery"
kind = "fuse"
rating = "15A"
fuse = "mini"
[[node]]
id = "F3"
from = "battery"
kind = "fuse"
rating = "15A"
fuse = "blade"
"#;

fn entry(minute: u32, rest: &str) -> String {
    format!("[[entry]]\nat = \"2026-03-02T20:{minute:02}:00Z\"\n{rest}\n")
}

fn drop(minute: u32, node: &str, value: &str) -> String {
    entry(
        minute,
        &format!(
            "kind = \"draw\"\nnode = \"{node}\"\nhow = \"millivolt\"\nvalue = \"{value}\"\ninstrument = \"fine\"\nasleep = true"
        ),
    )
}

fn in_line(minute: u32, node: &str, value: &str) -> String {
    entry(
        minute,
        &format!(
            "kind = \"draw\"\nnode = \"{node}\"\nhow = \"in-line\"\nvalue = \"{value}\"\ninstrument = \"meter\"\nasleep = true"
        ),
    )
}

fn assessed(entries: &[String]) -> Assessment {
    assess(&file::parse(&format!("{TREE}{}", entries.concat())).unwrap())
}

fn middle(a: &Assessment, node: &str) -> f64 {
    a.nodes
        .iter()
        .find(|each| each.id.0 == node)
        .unwrap()
        .draw
        .p50
}

/// 4.58 mΩ by the table; 2.2 mV at 400 mA say 5.5 mΩ, 20 % more.
#[test]
fn one_in_line_reading_calibrates_its_fuse_and_its_family() {
    let plain = assessed(&[
        drop(1, "F1", "2.2mV"),
        drop(2, "F2", "2.2mV"),
        drop(3, "F3", "2.2mV"),
    ]);
    assert!(plain.fuses.is_empty());
    let known = assessed(&[
        drop(1, "F1", "2.2mV"),
        drop(2, "F2", "2.2mV"),
        drop(3, "F3", "2.2mV"),
        in_line(4, "F1", "400mA"),
    ]);
    let told: Vec<&str> = known
        .fuses
        .iter()
        .map(|fuse| fuse.node.0.as_str())
        .collect();
    // The blade is another family.
    assert_eq!(told, ["F1", "F2"]);
    let entries: Vec<usize> = known.fuses[0]
        .entries
        .iter()
        .map(|id| id.number())
        .collect();
    assert_eq!(entries, [1, 4]);
    let ratio = |at: usize| known.fuses[at].ohm.value / known.fuses[at].table_ohm.value;
    assert!((1.15..1.2).contains(&ratio(0)), "{}", ratio(0));
    assert!(ratio(1) > 1.05 && ratio(1) < ratio(0), "{}", ratio(1));
    assert!(known.fuses[1].ohm.u < 0.9 * known.fuses[1].table_ohm.u);
    // What F2 reads is now less current, and better known. The blade shares only
    // the temperature of the vehicle's fuses, so it moves less.
    let (before, after) = (middle(&plain, "F2"), middle(&known, "F2"));
    assert!(after < 0.96 * before, "{before} {after}");
    let blade = middle(&known, "F3") / middle(&plain, "F3");
    assert!(
        blade <= 1.0 && 1.0 - blade < (1.0 - after / before) / 2.0,
        "{blade} {before} {after}"
    );
    // F1 itself is what the meter in line says.
    assert!((middle(&known, "F1") - 0.4).abs() < 0.01);
}

#[test]
fn a_pull_calibrates_as_well() {
    let a = assessed(&[
        drop(1, "F1", "2.2mV"),
        entry(
            2,
            "kind = \"pull\"\nnode = \"F1\"\nbefore = \"430mA\"\nafter = \"30mA\"\ninstrument = \"meter\"",
        ),
    ]);
    assert_eq!(a.fuses.len(), 2);
    assert!(a.fuses[0].ohm.value > 1.1 * a.fuses[0].table_ohm.value);
}

/// A current read after a repair is no pair for the millivolts before it.
#[test]
fn a_repair_ends_the_pairing_and_keeps_what_was_learned() {
    let repair = entry(
        3,
        "kind = \"repair\"\nnode = \"F1\"\ntext = \"relay replaced\"",
    );
    let a = assessed(&[
        drop(1, "F1", "2.2mV"),
        in_line(2, "F1", "400mA"),
        repair.clone(),
    ]);
    assert_eq!(a.fuses.len(), 2);
    let apart = assessed(&[drop(1, "F1", "2.2mV"), repair, in_line(5, "F1", "100mA")]);
    assert!(apart.fuses.is_empty());
}
