//! An invented vehicle for tests: feeds, fuses, one load behind each fuse.

#![allow(
    dead_code,
    clippy::unwrap_used,
    reason = "each test uses its part; a failure here should stop the test"
)]

pub(crate) mod bench;

use diagnosis::{Component, Evidence, EvidenceKind, LoadModel, LoadModels, LogNormal};
use harness::{FeedTree, NodeId, NodeKind, NodeSpec, family::Families};
use measure::Uncertain;

/// `(id, from, family)`; a family makes it a fuse with a load of its own below, `""` a cable.
pub(crate) fn tree(nodes: &[(&str, &str, &str)]) -> FeedTree {
    let mut specs = Vec::new();
    for &(id, from, family) in nodes {
        let kind = if family.is_empty() {
            NodeKind::Cable
        } else {
            NodeKind::Fuse
        };
        let mut spec = NodeSpec::new(id, from, kind);
        spec.in_place = !family.is_empty();
        if !family.is_empty() {
            spec.rating_a = Some(15.0);
            spec.fuse = Some("blade".into());
            spec.family = Some(family.into());
            spec.keeps_settings = ["audio", "engine-control"].contains(&family);
        }
        specs.push(spec);
    }
    FeedTree::build(specs).unwrap()
}

pub(crate) fn small_van() -> FeedTree {
    tree(&[
        ("main", "battery", ""),
        ("body", "battery", ""),
        ("F1", "main", "engine-control"),
        ("F2", "main", "fan"),
        ("F3", "main", "horn"),
        ("F4", "body", "audio"),
        ("F5", "body", "boot-lamp"),
        ("F6", "body", "alarm"),
        ("F7", "body", "socket"),
        ("F8", "battery", "tow-socket"),
    ])
}

/// Two cables with two fuses each, and their loads.
pub(crate) fn two_cables() -> (FeedTree, LoadModels, [LoadModel; 4]) {
    let tree = tree(&[
        ("A", "battery", ""),
        ("B", "battery", ""),
        ("F1", "A", "alarm"),
        ("F2", "A", "tracker"),
        ("F3", "B", "boot-lamp"),
        ("F4", "B", "horn"),
    ]);
    let loads = [
        model(0.3, (0.004, 0.6), (0.04, 0.5)),
        model(0.2, (0.003, 0.8), (0.06, 0.4)),
        model(0.2, (0.002, 0.7), (0.05, 0.5)),
        model(0.3, (0.001, 1.0), (0.03, 0.6)),
    ];
    let nodes = ["F1", "F2", "F3", "F4"].map(|id| at(&tree, id));
    let models = LoadModels::with(&tree, |leaf| {
        let node = nodes.iter().position(|&n| tree.is_at_or_below(leaf, n));
        loads[node.unwrap()].clone()
    });
    (tree, models, loads)
}

/// Two cables with `fuses` fuses, families in turn.
pub(crate) fn large(fuses: usize) -> FeedTree {
    let families = [
        "lamp",
        "audio",
        "relay",
        "wiper",
        "alarm",
        "socket",
        "seat-heater",
        "body-module",
        "blower",
        "central-locking",
        "door-module",
        "pump",
        "horn",
        "tow-socket",
        "usb-charger",
        "telematics",
    ];
    let mut specs: Vec<NodeSpec> = ["left", "middle", "right"]
        .iter()
        .map(|id| NodeSpec::new(id, "battery", NodeKind::Cable))
        .collect();
    for i in 0..fuses {
        let from = ["left", "middle", "right"][i % 3];
        let mut spec = NodeSpec::new(&format!("F{i}"), from, NodeKind::Fuse);
        spec.family = Some(families[i % families.len()].into());
        spec.rating_a = Some([5.0, 10.0, 15.0, 20.0][i % 4]);
        spec.fuse = Some("blade".into());
        spec.in_place = i % 2 == 0;
        specs.push(spec);
    }
    FeedTree::build(specs).unwrap()
}

pub(crate) fn models(tree: &FeedTree) -> LoadModels {
    LoadModels::from_families(tree, Families::built_in())
}

pub(crate) fn at(tree: &FeedTree, id: &str) -> usize {
    tree.index(&NodeId(id.into())).unwrap()
}

/// A reading asleep, milliampere.
pub(crate) fn direct(tag: usize, node: usize, milli: f64, u_milli: f64) -> Evidence {
    Evidence {
        tag,
        asleep: true,
        kind: EvidenceKind::Direct {
            node,
            current: Uncertain::new(milli / 1e3, u_milli / 1e3),
            below_floor: None,
        },
    }
}

pub(crate) fn step(tag: usize, nodes: &[usize], milli: f64, u_milli: f64) -> Evidence {
    Evidence {
        tag,
        asleep: true,
        kind: EvidenceKind::Step {
            nodes: nodes.to_vec(),
            step: Uncertain::new(milli / 1e3, u_milli / 1e3),
        },
    }
}

/// A seeded generator (splitmix64, public domain constants) so that the check needs no other crate.
pub(crate) struct Random(pub(crate) u64);

impl Random {
    pub(crate) fn uniform(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    pub(crate) fn normal(&mut self) -> f64 {
        let (u, v) = (1.0 - self.uniform(), self.uniform());
        (-2.0 * u.ln()).sqrt() * (2.0 * std::f64::consts::PI * v).cos()
    }

    /// Whether a load is at fault, and its draw, ampere.
    pub(crate) fn load(&mut self, load: &LoadModel) -> (bool, f64) {
        let mut draw = load.normal.at(self.normal());
        let fault = self.uniform() < load.prior_fault;
        if fault {
            draw += load.fault[0].draw.at(self.normal());
        }
        (fault, draw)
    }
}

pub(crate) fn model(prior_fault: f64, normal: (f64, f64), fault: (f64, f64)) -> LoadModel {
    let draw = |(median_a, log_sd)| LogNormal { median_a, log_sd };
    LoadModel {
        prior_fault,
        normal: draw(normal),
        fault: vec![Component {
            weight: 1.0,
            draw: draw(fault),
            what: String::new(),
        }],
        access_min: 1.0,
        wake_chance: 0.0,
        family: String::new(),
        keeps_settings: false,
        caution: None,
    }
}

/// The stated likelihood: normal, or worthless with every decade from 1 mA to 30 A alike.
pub(crate) fn density(read_a: f64, sum_a: f64, u_a: f64) -> f64 {
    let z = (read_a - sum_a) / u_a;
    0.98 * (-0.5 * z * z).exp() / (u_a * (2.0 * std::f64::consts::PI).sqrt())
        + 0.02 / ((read_a + 0.001) * 30_001_f64.ln())
}
