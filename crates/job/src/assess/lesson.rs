//! What a finished job teaches.
//!
//! A job is finished when a repair stands and the total, read again after it,
//! is within its limit and lower than before. The circuits whose repair the
//! total fell after were at fault. Everything is derived from the standing
//! entries: a job that is reopened by striking the repair or the re-test
//! teaches nothing any more.

use diagnosis::{BeliefOptions, EvidenceKind, History, LoadModels, history::Found};
use harness::{FeedTree, family::Families};
use measure::Uncertain;
use tongue::{Message, say};
use trace::Exceeds;

use super::{SURE, behaviour, compare, evidence, parts::Trees, warnings::Warnings};
use crate::{EntryId, EntryKind, Job};

/// A circuit repaired together with others was at fault if it was more likely
/// so than not.
const SUSPECT: f64 = 0.5;

/// Why a job teaches nothing (yet).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NothingLearned {
    /// The job is invented: a demonstration or a rehearsal.
    Invented,
    /// No repair stands.
    NoRepair,
    /// Nothing is known of the vehicle's circuits.
    NoCircuits,
    /// The total was not read before the first repair.
    NoTotalBefore,
    /// The total was not read again after the last repair.
    NotReadAgain,
    /// After the repair the total is not surely within the limit.
    NotWithinLimit,
    /// The total fell after no repair that names one circuit.
    NoCircuitNamed,
}

impl NothingLearned {
    /// Every reason.
    pub const ALL: [Self; 7] = [
        Self::Invented,
        Self::NoRepair,
        Self::NoCircuits,
        Self::NoTotalBefore,
        Self::NotReadAgain,
        Self::NotWithinLimit,
        Self::NoCircuitNamed,
    ];

    /// A stable word for programs.
    pub fn as_str(self) -> &'static str {
        match self {
            Self::Invented => "invented",
            Self::NoRepair => "no-repair",
            Self::NoCircuits => "no-circuits",
            Self::NoTotalBefore => "no-total-before",
            Self::NotReadAgain => "not-read-again",
            Self::NotWithinLimit => "not-within-limit",
            Self::NoCircuitNamed => "no-circuit-named",
        }
    }

    /// One sentence for people.
    pub fn sentence(self) -> Message {
        match self {
            Self::Invented => say::job::teaches_invented(),
            Self::NoRepair => say::job::teaches_no_repair(),
            Self::NoCircuits => say::job::teaches_no_circuits(),
            Self::NoTotalBefore => say::job::teaches_no_total_before(),
            Self::NotReadAgain => say::job::teaches_not_read_again(),
            Self::NotWithinLimit => say::job::teaches_not_within_limit(),
            Self::NoCircuitNamed => say::job::teaches_no_circuit_named(),
        }
    }
}

/// What the job teaches about its circuits.
///
/// # Errors
/// Why it teaches nothing.
pub fn lesson(job: &Job) -> Result<History, NothingLearned> {
    if job.invented {
        return Err(NothingLearned::Invented);
    }
    let repairs: Vec<EntryId> = job
        .standing()
        .filter(|(_, entry)| matches!(entry.kind, EntryKind::Repair { .. }))
        .map(|(id, _)| id)
        .collect();
    if repairs.is_empty() {
        return Err(NothingLearned::NoRepair);
    }
    let tree = FeedTree::build(job.nodes.clone())
        .ok()
        .filter(|tree| tree.len() > 1)
        .ok_or(NothingLearned::NoCircuits)?;
    let after = total(job, &tree).ok_or(NothingLearned::NotReadAgain)?;
    if compare(Some(after), job.limit_in_force_a()) != Exceeds::No {
        return Err(NothingLearned::NotWithinLimit);
    }
    let found = at_fault(job, &tree, &repairs, after)?;
    if found.is_empty() {
        return Err(NothingLearned::NoCircuitNamed);
    }
    Ok(History::of_job(&tree, Families::built_in(), &found))
}

/// The leaves whose repair the total fell after.
fn at_fault(
    job: &Job,
    tree: &FeedTree,
    repairs: &[EntryId],
    last: Uncertain,
) -> Result<Vec<Found>, NothingLearned> {
    let stages: Vec<Job> = repairs.iter().map(|&repair| job.before(repair)).collect();
    let totals: Vec<Option<Uncertain>> = stages.iter().map(|stage| total(stage, tree)).collect();
    let mut from = totals
        .first()
        .copied()
        .flatten()
        .ok_or(NothingLearned::NoTotalBefore)?;
    let mut found: Vec<Found> = Vec::new();
    let mut first = 0;
    for at in 0..repairs.len() {
        // Repairs without a total between them are judged together.
        let next = totals.get(at + 1).copied();
        let Some(to) = next.unwrap_or(Some(last)) else {
            continue;
        };
        let fall = Uncertain::new(from.value - to.value, from.u.hypot(to.u));
        if fall.value > SURE * fall.u {
            let group = &repairs[first..=at];
            for fault in repaired(job, tree, group, &stages[first], fall.value) {
                if found.iter().all(|known| known.node != fault.node) {
                    found.push(fault);
                }
            }
        }
        (from, first) = (to, at + 1);
    }
    Ok(found)
}

/// The circuits that a group of repairs put right: the one it names, or of
/// several those that were suspected.
fn repaired(
    job: &Job,
    tree: &FeedTree,
    group: &[EntryId],
    before: &Job,
    fall_a: f64,
) -> Vec<Found> {
    let place = |id: &EntryId| match &job.entries.get(id.index())?.kind {
        EntryKind::Repair {
            node: Some(node), ..
        } => tree.index(node),
        _ => None,
    };
    let mut leaves: Vec<usize> = group
        .iter()
        .filter_map(place)
        .filter(|&node| node != FeedTree::ROOT)
        .flat_map(|node| tree.leaves_below(node).to_vec())
        .collect();
    leaves.sort_unstable();
    leaves.dedup();
    if leaves.len() > 1 {
        let suspects = suspicion(before, tree);
        leaves.retain(|&leaf| suspects.get(leaf).is_some_and(|p| *p >= SUSPECT));
    }
    let size_a = (leaves.len() == 1).then_some(fall_a);
    leaves
        .into_iter()
        .map(|node| Found { node, size_a })
        .collect()
}

/// Chance of each node to be at fault. Other jobs are left out, or a job would
/// teach what it was taught.
fn suspicion(job: &Job, listed: &FeedTree) -> Vec<f64> {
    let tree = &Trees::with_parts(job, listed.clone()).parts;
    let gathered = evidence::gather(job, tree, &mut Warnings::default());
    let shown = behaviour::of_job(&gathered, job.limit_in_force_a());
    let families = Families::built_in();
    let models = LoadModels::from_families(tree, families).informed(tree, families, &shown);
    let belief = diagnosis::believe(tree, &models, &gathered.evidence, &BeliefOptions::default());
    belief.nodes.iter().map(|node| node.p_fault).collect()
}

/// The newest total of the sleeping vehicle since the last repair, ampere.
fn total(job: &Job, listed: &FeedTree) -> Option<Uncertain> {
    let tree = &Trees::with_parts(job, listed.clone()).parts;
    let gathered = evidence::gather(job, tree, &mut Warnings::default());
    let newest = gathered.evidence.iter().rev();
    newest
        .filter(|seen| seen.asleep)
        .find_map(|seen| match seen.kind {
            EvidenceKind::Direct { node, current, .. } if node == FeedTree::ROOT => Some(current),
            _ => None,
        })
}
