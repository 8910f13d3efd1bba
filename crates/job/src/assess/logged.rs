//! What recordings say of the acts that fall into them: fuses pulled and put back while a meter was logging.
//!
//! A pull entered at 21:14 and the step that a recording shows at 21:14 are one observation. Where the entry states the total
//! before and after as well, the sharper of the two counts, never both; where they contradict each other, what was
//! entered counts and a warning says so.

use std::{collections::BTreeMap, slice, sync::Arc};

use harness::{FeedTree, NodeId};
use jiff::Timestamp;
use measure::{How, Instrument, InstrumentKind, Uncertain, quantity::Ampere};
use tongue::{Message, say};
use trace::{Act, AnalyseOptions, Analysis, Meter, Trace, Way};

use super::{meters::LOGGER_SHARE, warnings::Warnings};
use crate::{Entry, EntryId, EntryKind, Job};

/// A step that a recording shows at a pull.
#[derive(Debug, Clone)]
pub(super) struct LoggedStep {
    /// By how much the total fell, ampere.
    pub(super) fall: Uncertain,
    pub(super) before_a: f64,
    pub(super) after_a: f64,
    /// The entry of the recording.
    recording: EntryId,
    /// The meter it was made with, where that is stated.
    meter: Option<Instrument>,
}

/// The step of a pull that counts, and the meter that read it, where that is known.
#[derive(Debug, Clone)]
pub(super) struct Counted {
    /// By how much the total fell, ampere.
    pub(super) fall: Uncertain,
    pub(super) meter: Option<Instrument>,
}

/// All recordings, read with the acts that fall into them.
#[derive(Debug, Default)]
pub(super) struct Logged {
    analyses: BTreeMap<EntryId, Arc<Analysis>>,
    steps: BTreeMap<EntryId, LoggedStep>,
    /// When recordings began that saw a pull or a refit.
    starts: BTreeMap<EntryId, Timestamp>,
}

impl Logged {
    /// Reads the recordings that `standing` entries name.
    pub(super) fn of(
        job: &Job,
        tree: &FeedTree,
        standing: &[(EntryId, &Entry)],
        warnings: &mut Warnings,
    ) -> Self {
        let mut logged = Self::default();
        for (id, entry) in standing {
            let EntryKind::Trace { file, node, zero } = &entry.kind else {
                continue;
            };
            let (Some(recording), Some(at)) = (job.recordings.get(file), tree.index(node)) else {
                continue;
            };
            let start = start_of(&recording.trace);
            let mut options = AnalyseOptions {
                limit_a: job.limit_in_force_a(),
                meter: meter_of(job, entry),
                acts: start
                    .map(|start| acts(tree, standing, at, &recording.trace, start))
                    .unwrap_or_default(),
                ..AnalyseOptions::default()
            };
            let zeroed = recording.without_zero(zero).unwrap_or_else(|why| {
                warnings.add("zero-unread", say::job::zero_unread(file, why), [*id]);
                None
            });
            if let Some(zeroed) = &zeroed {
                if let Some(meter) = &mut options.meter {
                    meter.zeroed = zeroed.zero.u_a.is_some();
                }
                options.zero = Some(zeroed.zero.clone());
            }
            let meter = options.meter.as_ref().map(|meter| &meter.instrument);
            let recording = zeroed.as_ref().map_or(recording, |known| &known.recording);
            let analysis = recording.analysis_with(&options);
            logged.take(*id, &analysis, start, meter);
            logged.analyses.insert(*id, analysis);
        }
        logged
    }

    fn take(
        &mut self,
        id: EntryId,
        analysis: &Analysis,
        start: Option<Timestamp>,
        meter: Option<&Instrument>,
    ) {
        for step in &analysis.steps {
            let Some(act) = &step.act else { continue };
            if let Some(start) = start {
                self.starts.insert(id, start);
            }
            let Some(pull) = act.entry.and_then(EntryId::from_number) else {
                continue;
            };
            if act.way != Way::Down {
                continue;
            }
            // What the log does not know of its meter.
            let share = if meter.is_some() { 0.0 } else { LOGGER_SHARE };
            let fall = Uncertain::new(-step.size.value, step.size.u)
                .widened((step.size.value * share).abs());
            let found = LoggedStep {
                fall,
                before_a: step.before.value,
                after_a: step.before.value + step.size.value,
                recording: id,
                meter: meter.cloned(),
            };
            // Two recordings of one pull: the sharper one.
            let sharper = |known: &LoggedStep| known.fall.u <= fall.u;
            if !self.steps.get(&pull).is_some_and(sharper) {
                self.steps.insert(pull, found);
            }
        }
    }

    /// What the recording of entry `id` says.
    pub(super) fn analysis(&self, id: EntryId) -> Option<&Arc<Analysis>> {
        self.analyses.get(&id)
    }

    /// When an entry counts: a recording that saw a pull counts from its start, with what was connected then.
    pub(super) fn counts_from(&self, id: EntryId, entry: &Entry) -> Timestamp {
        self.starts.get(&id).copied().unwrap_or(entry.at)
    }

    /// The step of pull `id`: what was entered, what a recording shows, or the sharper of both,
    /// with the meter whose errors it has.
    pub(super) fn step(
        &self,
        id: EntryId,
        entered: Option<Counted>,
        warnings: &mut Warnings,
    ) -> Option<Counted> {
        let Some(logged) = self.steps.get(&id) else {
            return entered;
        };
        let shown = || Counted {
            fall: logged.fall,
            meter: logged.meter.clone(),
        };
        let Some(entered) = entered else {
            return Some(shown());
        };
        let apart = entered.fall.minus(logged.fall);
        if apart.value.abs() > 3.0 * apart.u {
            let message = say::job::step_disagrees(
                id.to_string(),
                logged.recording.to_string(),
                Ampere(entered.fall.value),
                Ampere(logged.fall.value),
            );
            warnings.add("step-disagrees", message, [id, logged.recording]);
            return Some(entered);
        }
        Some(if logged.fall.u < entered.fall.u {
            shown()
        } else {
            entered
        })
    }

    /// The total before and after pull `id`, as a recording shows it.
    pub(super) fn totals(&self, id: EntryId) -> Option<(f64, f64)> {
        self.steps
            .get(&id)
            .map(|step| (step.before_a, step.after_a))
    }
}

/// When a recording began, if it says so with its zone: a clock without one would match acts hours off.
fn start_of(trace: &Trace) -> Option<Timestamp> {
    trace.source.start.as_deref()?.parse().ok()
}

/// The meter of a recording, where it is stated and shows ampere.
fn meter_of(job: &Job, entry: &Entry) -> Option<Meter> {
    let stated = job.instrument_of(entry)?;
    let how = match stated.kind {
        InstrumentKind::Clamp => How::Clamp,
        InstrumentKind::InLine => How::InLine,
        _ => return None,
    };
    Some(Meter::new(stated.clone(), how))
}

/// Pulls, unpluggings and refits at or below node `at` while the recording ran.
fn acts(
    tree: &FeedTree,
    standing: &[(EntryId, &Entry)],
    at: usize,
    trace: &Trace,
    start: Timestamp,
) -> Vec<Act> {
    let end_s = trace
        .len()
        .checked_sub(1)
        .map_or(0.0, |last| trace.time_s(last));
    let act = |(id, entry): &(EntryId, &Entry)| {
        let (nodes, way, word): (&[NodeId], _, fn(String) -> Message) = match &entry.kind {
            EntryKind::Pull { nodes, .. } => (nodes, Way::Down, say::job::entry_pulled),
            EntryKind::Unplug { node, .. } => {
                (slice::from_ref(node), Way::Down, say::job::entry_unplugged)
            }
            EntryKind::Refit { nodes, .. } => (nodes, Way::Up, say::job::entry_refit),
            _ => return None,
        };
        let at_s = entry.at.duration_since(start).as_secs_f64();
        let below = nodes
            .iter()
            .all(|node| tree.index(node).is_some_and(|n| tree.is_at_or_below(n, at)));
        let names: Vec<&str> = nodes.iter().map(|node| node.0.as_str()).collect();
        (below && (0.0..=end_s).contains(&at_s)).then(|| Act {
            at_s,
            way,
            what: word(names.join(", ")),
            entry: Some(id.number()),
        })
    };
    standing.iter().filter_map(act).collect()
}
