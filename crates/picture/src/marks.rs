//! Entries of a job that fall into a recording.

use job::{EntryKind, Job};
use tongue::say;
use trace::Trace;

use crate::Mark;

/// Standing entries made while the recording ran, as marks on its time axis.
/// None when the recording does not say, with its zone, when it started: a
/// clock without a zone would put marks hours off.
pub fn marks(job: &Job, trace: &Trace) -> Vec<Mark> {
    let Some(start) = trace
        .source
        .start
        .as_deref()
        .and_then(|s| s.parse::<jiff::Timestamp>().ok())
    else {
        return Vec::new();
    };
    let Some(last) = trace.len().checked_sub(1) else {
        return Vec::new();
    };
    let end_s = trace.time_s(last);
    job.standing()
        .filter_map(|(id, entry)| {
            let at_s = entry.at.duration_since(start).as_secs_f64();
            let words = words(&entry.kind)?;
            (0.0..=end_s).contains(&at_s).then(|| Mark {
                at_s,
                label: format!("{id}: {words}"),
            })
        })
        .collect()
}

fn words(kind: &EntryKind) -> Option<String> {
    let list = |nodes: &[harness::NodeId]| {
        nodes
            .iter()
            .map(|n| n.0.as_str())
            .collect::<Vec<_>>()
            .join(", ")
    };
    let said = match kind {
        EntryKind::Draw { node, .. } => say::picture::mark_read(&node.0),
        EntryKind::Pull { nodes, .. } => say::picture::mark_pulled(list(nodes)),
        EntryKind::Refit { nodes, .. } => say::picture::mark_back(list(nodes)),
        EntryKind::Unplug { node, .. } => say::picture::mark_unplugged(&node.0),
        EntryKind::Repair { .. } => say::picture::mark_repair(),
        EntryKind::Note { text } => text.clone().into(),
        EntryKind::RestVoltage { .. }
        | EntryKind::Analyser { .. }
        | EntryKind::LoadTest { .. }
        | EntryKind::StandAlone { .. }
        | EntryKind::Resistance { .. }
        | EntryKind::Gravity { .. } => say::picture::mark_battery(),
        EntryKind::Drop { .. } => say::picture::mark_drop(),
        EntryKind::Charging { .. } => say::picture::mark_charging(),
        EntryKind::Trace { .. } | EntryKind::Strike { .. } => return None,
    };
    Some(said.to_string())
}
