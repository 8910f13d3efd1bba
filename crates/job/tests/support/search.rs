//! Invented jobs by seed, searched truthfully.

use std::collections::BTreeSet;

use harness::{FeedTree, NodeId, NodeKind, NodeSpec, fuse};
use jiff::{SignedDuration, Timestamp};
use job::{Assessment, Entry, EntryKind, Job, Proposal, Shown};
use measure::{Instrument, InstrumentKind, instrument::How};

const FAMILIES: [&str; 15] = [
    "lamp",
    "audio",
    "relay",
    "wiper",
    "alarm",
    "socket",
    "boot-lamp",
    "body-module",
    "blower",
    "door-module",
    "horn",
    "tow-socket",
    "telematics",
    "engine-control",
    "airbag",
];

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

    pub(crate) fn below(&mut self, n: usize) -> usize {
        ((self.uniform() * n as f64) as usize).min(n - 1)
    }
}

/// A job, and what is true of its vehicle.
pub(crate) struct Bench {
    pub(crate) seed: u64,
    pub(crate) job: Job,
    tree: FeedTree,
    /// By node: what the leaf draws, ampere; past the fuses, at the battery.
    draws_a: Vec<f64>,
    out: BTreeSet<usize>,
}

impl Bench {
    pub(crate) fn of(seed: u64) -> Self {
        let mut random = Random(seed);
        let nodes = nodes(&mut random);
        let kits: [&[InstrumentKind]; 5] = [
            &[InstrumentKind::Clamp, InstrumentKind::Millivolt],
            &[InstrumentKind::Clamp],
            &[InstrumentKind::InLine, InstrumentKind::Millivolt],
            &[InstrumentKind::InLine],
            &[],
        ];
        let instruments = kits[random.below(5)].iter().map(|&kind| Instrument {
            id: format!("{kind}"),
            zero_set: true,
            ..Instrument::generic(kind)
        });
        let job = Job {
            instruments: instruments.collect(),
            limit_a: Some(0.05),
            settings_may_be_lost: random.below(3) == 0,
            pulled_stay_out: random.below(2) == 0,
            nodes: nodes.clone(),
            ..Job::default()
        };
        let tree = FeedTree::build(nodes).unwrap();
        let mut draws_a = vec![0.0; tree.len()];
        let leaves = tree.leaves().to_vec();
        for &leaf in &leaves {
            draws_a[leaf] = 0.0005 * random.uniform();
        }
        let faults = [0, 1, 1, 1, 1, 1, 1, 1, 2, 2][random.below(10)];
        for _ in 0..faults {
            let outside = random.below(12) == 0;
            let leaf = leaves[random.below(leaves.len())];
            draws_a[if outside { FeedTree::ROOT } else { leaf }] +=
                0.06 * (random.uniform() * 3.0).exp();
        }
        Self {
            seed,
            job,
            tree,
            draws_a,
            out: BTreeSet::new(),
        }
    }

    /// What flows at nodes now, with what is out left out.
    fn now_a(&self, nodes: &[usize]) -> f64 {
        let fed = |leaf: usize| {
            !self
                .out
                .iter()
                .any(|&out| self.tree.is_at_or_below(leaf, out))
        };
        let leaves = (0..self.tree.len()).filter(|&leaf| {
            self.tree.is_leaf(leaf)
                && nodes
                    .iter()
                    .any(|&node| self.tree.is_at_or_below(leaf, node))
        });
        let outside = if nodes.contains(&FeedTree::ROOT) {
            self.draws_a[FeedTree::ROOT]
        } else {
            0.0
        };
        outside
            + leaves
                .filter(|&leaf| fed(leaf))
                .map(|leaf| self.draws_a[leaf])
                .sum::<f64>()
    }

    fn all_a(&self, nodes: &[usize]) -> f64 {
        let leaves = nodes.iter().flat_map(|&node| self.tree.leaves_below(node));
        leaves.map(|&leaf| self.draws_a[leaf]).sum()
    }

    fn indices(&self, nodes: &[NodeId]) -> Vec<usize> {
        nodes
            .iter()
            .map(|id| self.tree.index(id).unwrap())
            .collect()
    }

    /// The entry that a test makes which shows `seen_a`; `None` for those that show no current.
    fn entry(&self, test: &Proposal, seen_a: f64) -> Option<EntryKind> {
        let total_a = self.now_a(&[FeedTree::ROOT]);
        let draw = |how, shown| EntryKind::Draw {
            node: test.nodes[0].clone(),
            how,
            shown,
            asleep: true,
        };
        let how = if self.job.instrument_for(InstrumentKind::Clamp).is_some()
            || self.job.instruments.is_empty()
        {
            How::Clamp
        } else {
            How::InLine
        };
        let (before_a, lower_a, higher_a) = (
            Some(total_a),
            Some(total_a - seen_a),
            Some(total_a + seen_a),
        );
        Some(match test.kind.as_str() {
            "clamp" => draw(How::Clamp, Shown::Current(seen_a)),
            "in-line" => draw(How::InLine, Shown::Current(seen_a)),
            "remeasure" => draw(how, Shown::Current(seen_a)),
            "millivolt" => {
                let spec = self.tree.node(self.tree.index(&test.nodes[0])?);
                let family = spec.fuse.as_deref().and_then(|word| word.parse().ok());
                let ohm = fuse::resistance(family, spec.rating_a?, None)?.ohm.value;
                draw(How::Millivolt, Shown::Drop(seen_a * ohm))
            }
            "pull" | "pull-group" | "detach" => EntryKind::Pull {
                nodes: test.nodes.clone(),
                before_a,
                after_a: lower_a,
            },
            "unplug" => EntryKind::Unplug {
                node: test.nodes[0].clone(),
                before_a,
                after_a: lower_a,
            },
            "put-back" => EntryKind::Refit {
                nodes: test.nodes.clone(),
                before_a,
                after_a: higher_a,
            },
            _ => return None,
        })
    }

    /// The job with that test entered.
    pub(crate) fn with(&self, test: &Proposal, seen_a: f64) -> Job {
        let mut job = self.job.clone();
        job.entries
            .extend(self.entry(test, seen_a).map(|kind| self.at(kind)));
        job
    }

    fn at(&self, kind: EntryKind) -> Entry {
        let minutes = 10 * self.job.entries.len() as i64;
        Entry {
            at: Timestamp::UNIX_EPOCH + SignedDuration::from_mins(minutes),
            instrument: None,
            kind,
        }
    }

    /// Does a test truthfully; `false` where it shows no current.
    pub(crate) fn perform(&mut self, test: &Proposal) -> bool {
        let nodes = self.indices(&test.nodes);
        let true_a = match test.kind.as_str() {
            "put-back" => self.all_a(&nodes),
            _ => self.now_a(&nodes),
        };
        let Some(kind) = self.entry(test, true_a) else {
            return false;
        };
        self.job.entries.push(self.at(kind));
        match test.kind.as_str() {
            // A cable does not stay off.
            "detach" if self.job.pulled_stay_out => {
                let back = EntryKind::Refit {
                    nodes: test.nodes.clone(),
                    before_a: None,
                    after_a: None,
                };
                self.job.entries.push(self.at(back));
            }
            "pull" | "pull-group" if self.job.pulled_stay_out => self.out.extend(nodes),
            "put-back" => self.out.retain(|out| !nodes.contains(out)),
            _ => {}
        }
        true
    }
}

/// Some cables, fuses below them, and now and then the loads of a fuse one by one.
fn nodes(random: &mut Random) -> Vec<NodeSpec> {
    let mut specs: Vec<NodeSpec> = Vec::new();
    let mut feeds = vec!["battery".to_owned()];
    for at in 0..random.below(4) {
        let from = feeds[random.below(feeds.len())].clone();
        let cable = format!("cable-{at}");
        specs.push(NodeSpec::new(&cable, &from, NodeKind::Cable));
        feeds.push(cable);
    }
    for at in 0..4 + random.below(9) {
        let id = format!("F{at}");
        let mut spec = NodeSpec::new(&id, &feeds[random.below(feeds.len())], NodeKind::Fuse);
        spec.rating_a = Some([5.0, 7.5, 10.0, 15.0, 20.0, 30.0][random.below(6)]);
        spec.fuse = Some("blade".into());
        spec.in_place = random.below(2) == 0;
        let loads = [0, 0, 0, 2, 3][random.below(5)];
        if loads == 0 {
            spec.family = Some(FAMILIES[random.below(FAMILIES.len())].into());
        }
        specs.push(spec);
        for load in 0..loads {
            let mut spec = NodeSpec::new(&format!("{id}.{load}"), &id, NodeKind::Load);
            spec.family = Some(FAMILIES[random.below(FAMILIES.len())].into());
            specs.push(spec);
        }
    }
    specs
}

/// Chance of a fault at a node; of several as if they were independent.
pub(crate) fn p_fault(a: &Assessment, nodes: &[NodeId]) -> f64 {
    let those = a.nodes.iter().filter(|node| nodes.contains(&node.id));
    1.0 - those.map(|node| 1.0 - node.p_fault).product::<f64>()
}
