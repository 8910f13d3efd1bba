//! The generator's tables, read once.

use std::{collections::BTreeMap, sync::LazyLock};

use super::Place;

/// A circuit that vehicles may have.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Circuit {
    pub(super) id: &'static str,
    pub(super) label: &'static str,
    pub(super) label_de: &'static str,
    pub(super) family: &'static str,
    pub(super) place: Place,
    pub(super) ratings: Vec<f64>,
    /// By kind of vehicle, in the order of `kinds.csv`.
    pub(super) common: Vec<f64>,
    pub(super) most: usize,
    /// Settled draw, ampere, from least to most.
    pub(super) settled_a: (f64, f64),
    pub(super) awake_a: f64,
    pub(super) timer_s: f64,
    pub(super) on_bus: bool,
    pub(super) keeps: bool,
    pub(super) rate: f64,
}

/// One way for a circuit to be at fault.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Way {
    pub(super) circuit: &'static str,
    pub(super) share: f64,
    pub(super) size_a: (f64, f64),
    pub(super) behaviour: &'static str,
    pub(super) what: &'static str,
    pub(super) what_de: &'static str,
}

/// What stands above the circuits in every vehicle.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Feed {
    pub(super) node: &'static str,
    pub(super) label: &'static str,
    pub(super) label_de: &'static str,
}

/// A kind of vehicle.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Kind {
    pub(super) name: &'static str,
    pub(super) fuses: (usize, usize),
    pub(super) second_battery: f64,
    pub(super) reports: f64,
    pub(super) main_fuse: f64,
    pub(super) share: f64,
}

/// What work costs and risks: minutes, chances and shares by name.
#[derive(Debug, Clone, PartialEq)]
pub struct Work {
    amounts: BTreeMap<&'static str, f64>,
}

impl Work {
    /// An amount of `data/work.csv`: minutes, a chance or a share. 0 for a name that is not there.
    pub fn of(&self, name: &str) -> f64 {
        self.amounts.get(name).copied().unwrap_or(0.0)
    }

    /// Minutes to reach and interrupt a fuse at a place.
    pub fn access_min(&self, place: Place) -> f64 {
        self.of(match place {
            Place::Battery => "clamp",
            Place::Engine => "access_engine",
            Place::Cabin => "access_cabin",
            Place::Rear => "access_rear",
            Place::Second => "access_second",
            Place::Alternator => "access_alternator",
        })
    }
}

static WORK: LazyLock<Work> = LazyLock::new(|| Work {
    amounts: rows(include_str!("../../data/work.csv"))
        .filter_map(|row| Some((*row.first()?, row.get(1)?.parse().ok()?)))
        .collect(),
});

static CIRCUITS: LazyLock<Vec<Circuit>> = LazyLock::new(|| {
    rows(include_str!("../../data/circuits.csv"))
        .filter_map(|row| circuit(&row))
        .collect()
});

static FEEDS: LazyLock<Vec<Feed>> = LazyLock::new(|| {
    rows(include_str!("../../data/feeds.csv"))
        .filter_map(|row| feed(&row))
        .collect()
});

static WAYS: LazyLock<Vec<Way>> = LazyLock::new(|| {
    rows(include_str!("../../data/faults.csv"))
        .filter_map(|row| way(&row))
        .collect()
});

static KINDS: LazyLock<Vec<Kind>> = LazyLock::new(|| {
    rows(include_str!("../../data/kinds.csv"))
        .filter_map(|row| kind(&row))
        .collect()
});

/// What work at a virtual vehicle costs and risks.
pub fn work() -> &'static Work {
    &WORK
}

/// The names of the kinds of vehicles.
pub fn kinds() -> impl Iterator<Item = &'static str> {
    KINDS.iter().map(|kind| kind.name)
}

pub(super) fn all_kinds() -> &'static [Kind] {
    &KINDS
}

pub(super) fn circuits() -> &'static [Circuit] {
    &CIRCUITS
}

/// What stands above the circuits, by its name.
pub(super) fn feed_named(node: &str) -> Option<&'static Feed> {
    FEEDS.iter().find(|feed| feed.node == node)
}

/// The ways for a circuit to be at fault.
pub(super) fn ways(circuit: &str) -> Vec<&'static Way> {
    WAYS.iter().filter(|way| way.circuit == circuit).collect()
}

/// Rows below the headings, remarks left out.
fn rows(text: &'static str) -> impl Iterator<Item = Vec<&'static str>> {
    text.lines()
        .filter(|line| !line.starts_with('#') && !line.trim().is_empty())
        .skip(1)
        .map(|line| line.split(',').collect())
}

fn circuit(row: &[&'static str]) -> Option<Circuit> {
    let number = |at: usize| row.get(at)?.parse::<f64>().ok();
    let word = |at: usize| row.get(at).copied();
    Some(Circuit {
        id: word(0)?,
        label: word(1)?,
        label_de: word(2)?,
        family: word(3)?,
        place: Place::named(word(4)?)?,
        ratings: word(5)?
            .split(' ')
            .map(|rating| rating.parse().ok())
            .collect::<Option<_>>()?,
        common: (6..10).map(number).collect::<Option<_>>()?,
        most: word(10)?.parse().ok()?,
        settled_a: (number(11)? / 1e3, number(12)? / 1e3),
        awake_a: number(13)? / 1e3,
        timer_s: number(14)? * 60.0,
        on_bus: word(15)? == "yes",
        keeps: word(16)? == "yes",
        rate: number(17)?,
    })
}

fn feed(row: &[&'static str]) -> Option<Feed> {
    Some(Feed {
        node: row.first()?,
        label: row.get(1)?,
        label_de: row.get(2)?,
    })
}

fn way(row: &[&'static str]) -> Option<Way> {
    let number = |at: usize| row.get(at)?.parse::<f64>().ok();
    Some(Way {
        circuit: row.first()?,
        share: number(1)?,
        size_a: (number(2)? / 1e3, number(3)? / 1e3),
        behaviour: row.get(4)?,
        what: row.get(5)?,
        what_de: row.get(6)?,
    })
}

fn kind(row: &[&'static str]) -> Option<Kind> {
    let number = |at: usize| row.get(at)?.parse::<f64>().ok();
    let count = |at: usize| row.get(at)?.parse::<usize>().ok();
    Some(Kind {
        name: row.first()?,
        fuses: (count(1)?, count(2)?),
        second_battery: number(3)?,
        reports: number(4)?,
        main_fuse: number(5)?,
        share: number(6)?,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lines(text: &'static str) -> usize {
        rows(text).count()
    }

    #[test]
    fn every_row_is_read_and_sound() {
        assert_eq!(
            circuits().len(),
            lines(include_str!("../../data/circuits.csv"))
        );
        assert_eq!(FEEDS.len(), lines(include_str!("../../data/feeds.csv")));
        assert_eq!(WAYS.len(), lines(include_str!("../../data/faults.csv")));
        assert_eq!(KINDS.len(), lines(include_str!("../../data/kinds.csv")));
        assert_eq!(
            WORK.amounts.len(),
            lines(include_str!("../../data/work.csv"))
        );
        assert!(FEEDS.iter().all(|feed| !feed.label_de.is_empty()));
        for circuit in circuits() {
            let (english, german) = (circuit.label, circuit.label_de);
            assert_eq!(english.is_empty(), german.is_empty(), "{}", circuit.id);
            assert!(
                harness::family::family(circuit.family).is_some(),
                "{}: no family {}",
                circuit.id,
                circuit.family
            );
            let (low, high) = circuit.settled_a;
            assert!(low > 0.0 && low <= high, "{}", circuit.id);
            assert!(circuit.most > 0 && circuit.common.len() == KINDS.len());
            let shares: f64 = ways(circuit.id).iter().map(|way| way.share).sum();
            let expected = f64::from(u8::from(circuit.rate > 0.0));
            assert!((shares - expected).abs() < 1e-9, "{}", circuit.id);
        }
        for way in WAYS.iter() {
            assert!(way.size_a.0 > 0.0 && way.size_a.0 <= way.size_a.1);
            assert!(["steady", "comes-and-goes", "wakes"].contains(&way.behaviour));
            assert!(
                ["alternator", "outside", "wiring"].contains(&way.circuit)
                    || circuits().iter().any(|c| c.id == way.circuit),
                "{}",
                way.circuit
            );
        }
        let share: f64 = KINDS.iter().map(|kind| kind.share).sum();
        assert!((share - 1.0).abs() < 1e-9);
        assert!((work().of("clamp") - 1.0).abs() < 1e-9);
    }
}
