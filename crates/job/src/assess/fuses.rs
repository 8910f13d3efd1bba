//! Fuses calibrated by use: where a fuse's current was read another way too,
//! its millivolts tell its resistance, and something of its family's.
//!
//! This is what the person is told. The belief learns the same from the errors
//! that readings of one family have in common ([`super::commons`]), so nothing
//! of it goes into the readings: it would count twice.

use harness::{
    FeedTree,
    calibrate::{Calibration, Pair},
    fuse::{self, FuseFamily},
};
use measure::{How, Uncertain};

use super::{
    evidence::{PULL_MIN, in_order},
    meters::{SHUNT_SHARE, instrument, total_instrument},
};
use crate::{CalibratedFuse, Entry, EntryId, EntryKind, Job, Shown};

/// What the pairs of readings tell of the fuses.
#[derive(Debug)]
pub(super) struct Fuses {
    calibration: Calibration,
    /// Entries of the pairs, with the family they speak on.
    used: Vec<(Option<FuseFamily>, usize, [EntryId; 2])>,
}

/// A reading of the current of a circuit, or of the voltage across its fuse.
#[derive(Debug, Clone, Copy)]
struct Seen {
    id: EntryId,
    node: usize,
    epoch: usize,
    asleep: bool,
    value: Uncertain,
}

impl Fuses {
    /// Looks for pairs among the standing entries.
    pub(super) fn of(job: &Job, tree: &FeedTree) -> Self {
        let (mut drops, mut currents) = (Vec::new(), Vec::new());
        let standing = in_order(job);
        for (at, (id, entry)) in standing.iter().enumerate() {
            let before = standing.get(..at).unwrap_or_default();
            let seen = |node: usize, asleep: bool, value: Uncertain| Seen {
                id: *id,
                node,
                epoch: epoch(tree, before, node),
                asleep,
                value,
            };
            match &entry.kind {
                EntryKind::Draw {
                    node,
                    how,
                    shown,
                    asleep,
                } => {
                    let Some(node) = tree.index(node) else {
                        continue;
                    };
                    let meter = instrument(job, entry, *how);
                    match (*how, *shown) {
                        (How::Millivolt, Shown::Drop(volt)) => {
                            drops.push(seen(node, *asleep, meter.reading(*how, volt).value));
                        }
                        (How::Clamp | How::InLine, Shown::Current(ampere)) => {
                            currents.push(seen(node, *asleep, meter.reading(*how, ampere).value));
                        }
                        (How::Shunt, Shown::Shunt { drop_v, shunt_ohm }) => {
                            let ohm = Uncertain::rectangular(shunt_ohm, shunt_ohm * SHUNT_SHARE);
                            let ampere = meter.reading(*how, drop_v).value.quotient(ohm);
                            currents.push(seen(node, *asleep, ampere));
                        }
                        _ => {}
                    }
                }
                EntryKind::Pull {
                    nodes,
                    before_a,
                    after_a,
                } => {
                    if let [node] = nodes.as_slice()
                        && let Some(node) = tree.index(node)
                        && let (Some(before_a), Some(after_a)) = (*before_a, *after_a)
                    {
                        let (meter, how) = total_instrument(job, entry);
                        let fall = meter.difference(how, before_a, after_a, PULL_MIN).value;
                        currents.push(seen(node, true, Uncertain::new(-fall.value, fall.u)));
                    }
                }
                _ => {}
            }
        }
        Self::paired(tree, &drops, &currents)
    }

    /// The last voltage of each fuse and epoch beside the best known current of
    /// the same circuit, asleep or awake alike.
    fn paired(tree: &FeedTree, drops: &[Seen], currents: &[Seen]) -> Self {
        let (mut pairs, mut used) = (Vec::new(), Vec::new());
        for (at, drop) in drops.iter().enumerate() {
            let same = |other: &Seen| {
                other.epoch == drop.epoch
                    && other.asleep == drop.asleep
                    && (other.node == drop.node
                        || tree.leaves_below(other.node) == tree.leaves_below(drop.node))
            };
            let later = drops.iter().skip(at + 1);
            if later
                .clone()
                .any(|other| other.node == drop.node && same(other))
            {
                continue;
            }
            let relative = |seen: &Seen| (seen.value.u / seen.value.value).abs();
            let best = currents
                .iter()
                .filter(|other| same(other))
                .min_by(|a, b| relative(a).total_cmp(&relative(b)));
            let Some(((family, rating_a), best)) = spec(tree, drop.node).zip(best) else {
                continue;
            };
            pairs.push(Pair {
                fuse: drop.node,
                current_of: circuit(tree, drop),
                family,
                rating_a,
                drop: drop.value,
                current: best.value,
            });
            used.push((family, circuit(tree, drop), [drop.id, best.id]));
        }
        Self {
            calibration: Calibration::from_pairs(&pairs),
            used,
        }
    }

    /// Every fuse whose resistance is known better than from the table.
    pub(super) fn told(&self, tree: &FeedTree) -> Vec<CalibratedFuse> {
        if self.calibration.is_empty() {
            return Vec::new();
        }
        (0..tree.len())
            .filter_map(|node| {
                let (family, rating_a) = spec(tree, node)?;
                let known = self.calibration.resistance(node, family, rating_a, None)?;
                let table = fuse::resistance(family, rating_a, None)?;
                let mut entries: Vec<EntryId> = self
                    .used
                    .iter()
                    .filter(|(of, ..)| *of == family)
                    .flat_map(|(_, _, ids)| *ids)
                    .collect();
                entries.sort_unstable();
                entries.dedup();
                (known.pairs > 0).then(|| CalibratedFuse {
                    node: tree.node(node).id.clone(),
                    ohm: known.ohm,
                    table_ohm: table.ohm,
                    shared_u: known.shared_u,
                    entries,
                })
            })
            .collect()
    }
}

/// Tells the currents of one fuse in different epochs apart.
fn circuit(tree: &FeedTree, drop: &Seen) -> usize {
    drop.epoch * tree.len() + drop.node
}

/// How many repairs touched a node before an entry: readings of different
/// epochs are of different currents.
fn epoch(tree: &FeedTree, before: &[(EntryId, &Entry)], node: usize) -> usize {
    before
        .iter()
        .filter(|(_, entry)| match &entry.kind {
            EntryKind::Repair { node: None, .. } => true,
            EntryKind::Repair {
                node: Some(repaired),
                ..
            } => tree.index(repaired).is_some_and(|repaired| {
                tree.is_at_or_below(node, repaired) || tree.is_at_or_below(repaired, node)
            }),
            _ => false,
        })
        .count()
}

/// Family and rating of the fuse at a node.
fn spec(tree: &FeedTree, node: usize) -> Option<(Option<FuseFamily>, f64)> {
    let spec = tree.node(node);
    let family = spec.fuse.as_deref().and_then(|word| word.parse().ok());
    Some((family, spec.rating_a?))
}
