//! A vehicle drawn from a family: what is true of it.

use std::collections::BTreeMap;

use harness::{FeedTree, NodeKind};

use super::{Behaviour, Fault, Kit, Load, State};

/// Where a node is reached.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Place {
    /// At the battery.
    Battery,
    /// The box beside the engine.
    Engine,
    /// The box in the cabin.
    Cabin,
    /// The box in the rear.
    Rear,
    /// The box behind the second battery.
    Second,
    /// The alternator and its cable.
    Alternator,
}

impl Place {
    /// Boxes in the order in which people go through them.
    pub const BOXES: [Self; 4] = [Self::Engine, Self::Cabin, Self::Rear, Self::Second];

    /// Its name in the tables.
    pub fn as_str(self) -> &'static str {
        match self {
            Self::Battery => "battery",
            Self::Engine => "engine",
            Self::Cabin => "cabin",
            Self::Rear => "rear",
            Self::Second => "second",
            Self::Alternator => "alternator",
        }
    }

    pub(super) fn named(name: &str) -> Option<Self> {
        Self::BOXES.into_iter().find(|place| place.as_str() == name)
    }
}

/// A vehicle with its faults and the meters beside it.
#[derive(Debug, Clone, PartialEq)]
pub struct Vehicle {
    pub(super) seed: u64,
    pub(super) kind: &'static str,
    pub(super) tree: FeedTree,
    /// German labels of nodes, by name.
    pub(super) german: BTreeMap<String, String>,
    pub(super) loads: Vec<Load>,
    pub(super) faults: Vec<Fault>,
    pub(super) kit: Kit,
    /// By node.
    pub(super) places: Vec<Place>,
    /// By node: chance that cutting and restoring its supply wakes the vehicle.
    pub(super) wakes: Vec<f64>,
    /// By node: true resistance of a fuse, ohm.
    pub(super) fuse_ohm: Vec<Option<f64>>,
    pub(super) resleep_s: f64,
    pub(super) temperature_c: f64,
}

impl Vehicle {
    /// The seed it was drawn with.
    pub fn seed(&self) -> u64 {
        self.seed
    }

    /// The kind of vehicle: one of [`kinds`](super::kinds).
    pub fn kind(&self) -> &'static str {
        self.kind
    }

    /// What its fuse list tells: all that whoever works on it knows.
    pub fn tree(&self) -> &FeedTree {
        &self.tree
    }

    /// What a node is labelled with in German; the tree has the English label.
    pub fn label_in_german(&self, node: usize) -> Option<&str> {
        let id = &self.tree.node(node).id.0;
        self.german.get(id).map(String::as_str)
    }

    /// The meters at hand.
    pub fn kit(&self) -> &Kit {
        &self.kit
    }

    /// What is wrong with it.
    pub fn faults(&self) -> &[Fault] {
        &self.faults
    }

    /// Its circuits.
    pub fn loads(&self) -> &[Load] {
        &self.loads
    }

    /// Where a node is reached.
    pub fn place(&self, node: usize) -> Place {
        self.places.get(node).copied().unwrap_or(Place::Battery)
    }

    /// Temperature, °C.
    pub fn temperature_c(&self) -> f64 {
        self.temperature_c
    }

    /// Minutes until it sleeps again after a disturbance.
    pub fn resleep_min(&self) -> f64 {
        self.resleep_s / 60.0
    }

    /// True resistance of a fuse, ohm.
    pub fn fuse_ohm(&self, node: usize) -> Option<f64> {
        self.fuse_ohm.get(node).copied().flatten()
    }

    /// Chance that cutting and restoring the supply of a node wakes the vehicle.
    pub fn wake_chance(&self, node: usize) -> f64 {
        self.wakes.get(node).copied().unwrap_or(0.0)
    }

    /// Whether cutting the supply of a node loses stored settings.
    pub fn keeps_settings(&self, node: usize) -> bool {
        self.loads
            .iter()
            .any(|load| load.keeps_settings && self.tree.is_at_or_below(load.node, node))
    }

    /// When it sleeps, seconds after locking, if nothing else happens.
    pub fn asleep_from_s(&self, state: &State) -> f64 {
        let of_load = |load: &Load| {
            if load.on_bus {
                state.woken_s + load.timer_s * state.pace
            } else {
                load.timer_s
            }
        };
        self.loads
            .iter()
            .filter(|load| load.awake_a > load.asleep_a && self.supplied(load.node, state))
            .map(of_load)
            .fold(state.woken_s, f64::max)
    }

    /// Whether something rouses the network at `time_s`.
    pub fn is_roused(&self, time_s: f64, state: &State) -> bool {
        self.faults.iter().enumerate().any(|(at, fault)| {
            matches!(fault.behaviour, Behaviour::Wakes { .. })
                && self.shows(at, fault, state)
                && fault.behaviour.is_on(time_s)
        })
    }

    /// True current through a node at `time_s` after locking, ampere. The battery's includes
    /// what is wired past the fuses.
    pub fn current_a(&self, node: usize, time_s: f64, state: &State) -> f64 {
        let roused = self.is_roused(time_s, state);
        let healthy: f64 = self
            .loads
            .iter()
            .filter(|load| self.tree.is_at_or_below(load.node, node))
            .filter(|load| self.supplied(load.node, state) && !state.unplugged.contains(&load.node))
            .map(|load| load.current_a(time_s, state, roused))
            .sum();
        let faulty: f64 = self
            .faults
            .iter()
            .enumerate()
            .filter(|(at, fault)| self.shows(*at, fault, state) && fault.behaviour.is_on(time_s))
            .filter(|(_, fault)| match fault.node {
                Some(at) => self.tree.is_at_or_below(at, node),
                None => node == FeedTree::ROOT,
            })
            .map(|(_, fault)| fault.size_a)
            .sum();
        healthy + faulty
    }

    /// The settled draw once the faults in `mended` are repaired, every other
    /// one showing, ampere.
    pub fn settled_a(&self, mended: impl Fn(usize) -> bool) -> f64 {
        let healthy: f64 = self.loads.iter().map(|load| load.asleep_a).sum();
        let faulty = self.faults.iter().enumerate();
        healthy
            + faulty
                .filter(|(at, _)| !mended(*at))
                .map(|(_, fault)| fault.size_a)
                .sum::<f64>()
    }

    /// Fuses in the order of their boxes.
    pub fn box_order(&self) -> Vec<usize> {
        let mut fuses: Vec<usize> = self
            .tree
            .nodes()
            .filter(|(_, spec)| spec.kind == NodeKind::Fuse)
            .map(|(node, _)| node)
            .collect();
        fuses.sort_by_key(|&node| (self.place(node), node));
        fuses
    }

    fn supplied(&self, node: usize, state: &State) -> bool {
        state.out.is_empty()
            || !self
                .tree
                .upwards(node)
                .any(|above| state.out.contains(&above))
    }

    fn shows(&self, at: usize, fault: &Fault, state: &State) -> bool {
        let connected = fault.node.is_none_or(|node| {
            self.supplied(node, state) && (fault.in_wiring || !state.unplugged.contains(&node))
        });
        connected && !state.mended.contains(&at)
    }
}
