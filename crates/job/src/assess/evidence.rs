//! From standing entries to readings with uncertainty.
//!
//! Entries are taken in order of time (of entering, where times are equal),
//! because two things change what a later reading means:
//!
//! * A **repair** changes the draw of its node, of everything below it and of
//!   everything above it. Readings there from before no longer count; those
//!   on other branches still do. A repair without a node ends them all.
//! * A fuse that is **out** is missing from every reading above it
//!   (`pulled` says when it counts as out).
//!
//! What a recording shows of a pull is read in [`super::logged`].

mod cuts;

use std::collections::BTreeSet;

use diagnosis::{Evidence, EvidenceKind, SharedError, TestKind};
use harness::{FeedTree, NodeId, fuse};
use jiff::Timestamp;
use measure::{How, Instrument, Uncertain, hookup, quantity::Ampere};
use tongue::say;
use trace::FindingKind;

use super::{
    away::{Away, Seen, Sight},
    commons::{self, Commons, Parts},
    fuses::Fuses,
    logged::Logged,
    meters::{Read, SHUNT_SHARE, instrument, shown_as_current, with_meter},
    pulled::Pulled,
    steps::WAIT_MIN,
    warnings::Warnings,
};
use crate::{CalibratedFuse, Entry, EntryId, EntryKind, Job, Shown};

/// Minutes between the two readings of a pull, when the times are not entered
/// (common practice: a quarter of an hour to settle again).
pub(super) const PULL_MIN: f64 = 15.0;

/// What the entries say, in the words of the lower rooms.
#[derive(Debug, Default)]
pub(super) struct Gathered {
    pub(super) evidence: Vec<Evidence>,
    /// Errors that some of them have in common.
    pub(super) shared: Vec<SharedError>,
    /// Tests done since the newest repair that concerns them.
    pub(super) done_tests: Vec<(TestKind, Vec<usize>)>,
    /// What is out, where what is pulled stays out.
    pub(super) out: Vec<usize>,
    /// Leaves at or below repaired nodes.
    pub(super) resolved: Vec<usize>,
    /// Whether the newest entry that tells found the vehicle asleep.
    pub(super) asleep_now: Option<bool>,
    /// The newest recording at the battery that still counts.
    pub(super) recording: Option<(EntryId, usize)>,
    /// The long-run draw of that recording, its meter's accuracy included.
    pub(super) long_run: Option<Uncertain>,
    /// Minutes to fall asleep, where a recording shows it.
    pub(super) settle_min: Option<f64>,
    /// Whether a total was read at all since the newest repair.
    pub(super) total_read: bool,
    /// Whether a repair stands.
    pub(super) repaired: bool,
    /// What the recordings say.
    pub(super) logged: Logged,
    /// The draw that has gone by itself, ampere, where the newest reading found it away.
    pub(super) away_a: Option<f64>,
    /// The draw that was seen to go by itself, ampere.
    pub(super) went_a: Option<f64>,
    /// Fuses whose resistance other readings have taught.
    pub(super) fuses: Vec<CalibratedFuse>,
}

/// Standing entries by time.
pub(super) fn in_order(job: &Job) -> Vec<(EntryId, &Entry)> {
    let mut standing: Vec<_> = job.standing().collect();
    standing.sort_by_key(|(id, entry)| (entry.at, *id));
    standing
}

/// Reads the entries, but for those that were read while the draw was away.
pub(super) fn gather(job: &Job, tree: &FeedTree, warnings: &mut Warnings) -> Gathered {
    let mut of_all = Warnings::default();
    let (all, seen) = gather_but(job, tree, &BTreeSet::new(), &mut of_all);
    let away = Away::of(&seen, job.limit_in_force_a());
    if away.apart.is_empty() {
        warnings.0.append(&mut of_all.0);
        return all;
    }
    let (mut gathered, _) = gather_but(job, tree, &away.apart, warnings);
    away.warn(warnings);
    (gathered.away_a, gathered.went_a) = (away.now_a, away.went_a);
    gathered
}

fn gather_but(
    job: &Job,
    tree: &FeedTree,
    apart: &BTreeSet<EntryId>,
    warnings: &mut Warnings,
) -> (Gathered, Vec<Seen>) {
    let mut standing = in_order(job);
    let logged = Logged::of(job, tree, &standing, warnings);
    standing.sort_by_key(|(id, entry)| (logged.counts_from(*id, entry), *id));
    let mut pass = Pass {
        job,
        tree,
        out: Pulled::new(job.pulled_stay_out),
        gathered: Gathered {
            logged,
            fuses: Fuses::of(job, tree).told(tree),
            ..Gathered::default()
        },
        commons: Commons::default(),
        awake_at: None,
        apart,
        seen: Vec::new(),
        warnings,
    };
    let repairs: Vec<(usize, Option<usize>)> = standing
        .iter()
        .enumerate()
        .filter_map(|(at, (_, entry))| match &entry.kind {
            EntryKind::Repair {
                node: Some(node), ..
            } => Some((at, Some(tree.index(node)?))),
            EntryKind::Repair { node: None, .. } => Some((at, None)),
            _ => None,
        })
        .collect();
    for (_, node) in &repairs {
        pass.gathered.repaired = true;
        pass.gathered
            .resolved
            .extend(node.map(|node| tree.leaves_below(node)).unwrap_or_default());
    }
    let mut outdated = Vec::new();
    for (at, (id, entry)) in standing.iter().enumerate() {
        let later = repairs.iter().filter(|(repair, _)| *repair > at);
        let touches = |node: usize| {
            later.clone().any(|(_, repaired)| {
                repaired
                    .is_none_or(|r| tree.is_at_or_below(node, r) || tree.is_at_or_below(r, node))
            })
        };
        if pass.nodes_of(entry).iter().any(|&node| touches(node)) {
            outdated.push(*id);
        } else {
            pass.entry(*id, entry);
        }
    }
    pass.total_from_pull(&standing);
    let seen = pass.seen;
    let mut gathered = pass.gathered;
    gathered.out = pass.out.staying();
    gathered.shared = pass.commons.shared();
    if !outdated.is_empty() {
        warnings.add("before-repair", say::job::before_repair(), outdated);
    }
    (gathered, seen)
}

struct Pass<'j, 'w> {
    job: &'j Job,
    tree: &'j FeedTree,
    out: Pulled,
    gathered: Gathered,
    commons: Commons,
    /// When the newest reading was taken, if it was taken awake.
    awake_at: Option<Timestamp>,
    /// Entries that were read while the draw was away.
    apart: &'j BTreeSet<EntryId>,
    /// What told whether it was there, in turn.
    seen: Vec<Seen>,
    warnings: &'w mut Warnings,
}

impl Pass<'_, '_> {
    /// The nodes whose draw an entry tells of.
    fn nodes_of(&self, entry: &Entry) -> Vec<usize> {
        match &entry.kind {
            EntryKind::Draw { node, .. } | EntryKind::Trace { node, .. } => {
                self.tree.index(node).into_iter().collect()
            }
            EntryKind::Pull { nodes, .. } => self.indices(nodes),
            EntryKind::Unplug { node, .. } => self.tree.index(node).into_iter().collect(),
            EntryKind::Refit {
                nodes,
                before_a: Some(_),
                ..
            } => self.indices(nodes),
            _ => Vec::new(),
        }
    }

    fn indices(&self, nodes: &[NodeId]) -> Vec<usize> {
        nodes
            .iter()
            .filter_map(|node| self.tree.index(node))
            .collect()
    }

    fn entry(&mut self, id: EntryId, entry: &Entry) {
        match &entry.kind {
            EntryKind::Draw {
                node,
                how,
                shown,
                asleep,
            } => {
                self.gathered.asleep_now = Some(*asleep);
                self.awake_at = (!*asleep).then_some(entry.at);
                if let Some(node) = self.tree.index(node) {
                    self.draw(id, entry, node, *how, *shown, *asleep);
                }
            }
            EntryKind::Pull {
                nodes,
                before_a,
                after_a,
            } => {
                let nodes = self.indices(nodes);
                let kind = if nodes.len() == 1 {
                    TestKind::Pull
                } else {
                    TestKind::PullGroup
                };
                self.cut(id, entry, (kind, nodes), before_a.zip(*after_a));
            }
            EntryKind::Unplug {
                node,
                before_a,
                after_a,
            } => {
                let node = self.tree.index(node).into_iter().collect();
                self.cut(id, entry, (TestKind::Unplug, node), before_a.zip(*after_a));
            }
            EntryKind::Refit {
                nodes,
                before_a,
                after_a,
            } => self.refit(id, entry, nodes, before_a.zip(*after_a)),
            EntryKind::Repair { .. } => {
                let nothing = Uncertain::new(0.0, 0.0);
                self.see(id, nothing, true, Sight::Repaired);
            }
            // Somebody was there after the wait and noted no other reading taken awake: how
            // the vehicle is now, the next reading tells.
            EntryKind::Note { .. } if self.waited(entry) => self.gathered.asleep_now = None,
            EntryKind::Trace { file, node, .. } => {
                if let Some(node) = self.tree.index(node) {
                    self.trace(id, entry, file, node);
                }
            }
            _ => {}
        }
    }

    /// Whether the wait for sleep has passed since the newest reading taken awake.
    fn waited(&self, entry: &Entry) -> bool {
        let wait_min = self.gathered.settle_min.unwrap_or(WAIT_MIN);
        self.gathered.asleep_now == Some(false)
            && self.awake_at.is_some_and(|awake_at| {
                entry.at.duration_since(awake_at).as_secs_f64() >= wait_min * 60.0
            })
    }

    fn draw(
        &mut self,
        id: EntryId,
        entry: &Entry,
        node: usize,
        how: How,
        shown: Shown,
        asleep: bool,
    ) {
        let instrument = instrument(self.job, entry, how);
        self.check_instrument(id, entry, how);
        let Some(read) = self.current(id, node, how, shown, &instrument) else {
            return;
        };
        let Some(current) = self.complete(id, node, read.current) else {
            return;
        };
        if asleep {
            self.see(id, current, node == FeedTree::ROOT, Sight::Asked);
            if self.apart.contains(&id) {
                return;
            }
        }
        self.warnings
            .of_draw(self.tree, id, node, how, current, asleep);
        let nothing = match shown {
            Shown::Current(value) | Shown::Drop(value) | Shown::Shunt { drop_v: value, .. } => {
                value.abs() < instrument.step() / 2.0
            }
        };
        if asleep {
            self.check_floor(id, node, current, read.floor_a);
            self.gathered.total_read |= node == FeedTree::ROOT;
            let kind = match how {
                How::Clamp => TestKind::Clamp,
                How::InLine | How::Shunt => TestKind::InLine,
                How::Millivolt => TestKind::Millivolt,
            };
            self.gathered.done_tests.push((kind, vec![node]));
        }
        let below_floor = read.floor_a.filter(|_| nothing);
        let kind = EvidenceKind::Direct {
            node,
            current,
            below_floor,
        };
        let spec = self.tree.node(node);
        let value_a = read.current.value;
        let parts = if asleep {
            let commons = &mut self.commons;
            commons.of_reading(&instrument, how, value_a, spec, entry.at)
        } else {
            Parts::default()
        };
        self.push(id, asleep, kind, parts);
    }

    fn see(&mut self, id: EntryId, current: Uncertain, whole: bool, sight: Sight) {
        self.seen.push(Seen {
            id,
            current,
            whole,
            sight,
        });
    }

    fn push(&mut self, id: EntryId, asleep: bool, kind: EvidenceKind, parts: Parts) {
        self.commons.note(self.gathered.evidence.len(), parts);
        self.gathered.evidence.push(Evidence {
            tag: id.number(),
            asleep,
            kind,
        });
    }

    /// Warns of a stated instrument that cannot read a current this way.
    fn check_instrument(&mut self, id: EntryId, entry: &Entry, how: How) {
        let stated = self.job.instrument_of(entry);
        if let Some(stated) = stated.filter(|stated| !stated.suits(how)) {
            let message = say::job::instrument_kind(id.to_string(), &stated.id);
            self.warnings.add("instrument-kind", message, [id]);
        }
    }

    /// Warns of a branch that reads less than its meter can tell from nothing.
    fn check_floor(&mut self, id: EntryId, node: usize, current: Uncertain, floor_a: Option<f64>) {
        let below = |&floor_a: &f64| node != FeedTree::ROOT && current.value.abs() < floor_a;
        if let Some(floor_a) = floor_a.filter(below) {
            let place = &self.tree.node(node).id.0;
            let message = say::job::below_floor(Ampere(floor_a), place);
            self.warnings.add("below-floor", message, [id]);
        }
    }

    /// A reading as a current with its uncertainty and the floor of such readings.
    fn current(
        &mut self,
        id: EntryId,
        node: usize,
        how: How,
        shown: Shown,
        instrument: &Instrument,
    ) -> Option<Read> {
        let spec = self.tree.node(node);
        let family = spec.fuse.as_deref().and_then(|word| word.parse().ok());
        let ohm = spec
            .rating_a
            .and_then(|rating_a| fuse::resistance(family, rating_a, None))
            .map(|r| r.ohm);
        let read = match shown {
            Shown::Current(value) => shown_as_current(value, how, ohm, instrument),
            Shown::Drop(drop_v) => {
                let rating_a = spec.rating_a.or_else(|| {
                    let message = say::job::fuse_rating_unknown(&spec.id.0);
                    self.warnings.add("fuse-rating-unknown", message, [id]);
                    None
                })?;
                let drop = instrument.reading(how, drop_v).value;
                let current = fuse::current_from_drop(drop, family, rating_a)?;
                Read {
                    current,
                    floor_a: instrument.floor_a(how, ohm.map(|ohm| ohm.value)),
                }
            }
            Shown::Shunt { drop_v, shunt_ohm } => {
                let shunt = Uncertain::rectangular(shunt_ohm, shunt_ohm * SHUNT_SHARE);
                let current = hookup::current_a(instrument.reading(how, drop_v).value, shunt);
                Read {
                    current,
                    floor_a: instrument.floor_a(how, Some(shunt_ohm)),
                }
            }
        };
        (read.current.value.is_finite() && read.current.u.is_finite()).then_some(read)
    }

    /// Adds what pulled fuses are missing from a reading; `None` when that cannot be told.
    fn complete(&mut self, id: EntryId, node: usize, current: Uncertain) -> Option<Uncertain> {
        if node == FeedTree::ROOT {
            return Some(self.out.total(current));
        }
        match self.out.branch(self.tree, node, current) {
            Ok(whole) => Some(whole),
            Err(fuses) => {
                let names: Vec<String> = fuses
                    .into_iter()
                    .map(|node| self.tree.node(node).id.to_string())
                    .collect();
                let message = say::job::read_while_pulled(id.to_string(), names.join(", "));
                self.warnings.add("read-while-pulled", message, [id]);
                None
            }
        }
    }

    fn trace(&mut self, id: EntryId, entry: &Entry, file: &str, node: usize) {
        let Some(analysis) = self.gathered.logged.analysis(id).cloned() else {
            self.warnings
                .add("trace-missing", say::job::trace_missing(file), [id]);
            return;
        };
        if node == FeedTree::ROOT {
            self.gathered.recording = Some((id, node));
        }
        for finding in &analysis.findings {
            // What is no trouble stands with the recording.
            if finding.kind == FindingKind::BatterySag {
                let message = say::job::in_recording(file, &finding.message);
                self.warnings.add(finding.kind.word(), message, [id]);
                break;
            }
        }
        let Some(settled) = analysis.settled else {
            self.gathered.asleep_now = Some(false);
            if let Some(why) = &analysis.not_settled {
                let message = say::job::not_settled(file, &why.reason);
                self.warnings.add("not-settled", message, [id]);
            }
            return;
        };
        self.gathered.asleep_now = Some(true);
        if settled.since_s > 0.0 {
            self.gathered.settle_min = Some(settled.since_s / 60.0);
        }
        if node == FeedTree::ROOT {
            let long_run = analysis.long_run;
            self.gathered.long_run = long_run.map(|draw| with_meter(self.job, entry, draw));
        }
        let with_meter = with_meter(self.job, entry, settled.draw);
        let Some(current) = self.complete(id, node, with_meter) else {
            return;
        };
        self.gathered.total_read |= node == FeedTree::ROOT;
        let kind = EvidenceKind::Direct {
            node,
            current,
            below_floor: None,
        };
        // A logger is its own meter; one that is named is the one that reads elsewhere, too.
        let meter = self.job.instrument_of(entry);
        let parts = meter.map_or(Parts::default(), |meter| {
            commons::of_scale(meter, settled.draw.value)
        });
        self.push(id, true, kind, parts);
    }
}
