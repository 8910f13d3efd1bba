//! The workshop's tables.

use std::collections::BTreeMap;

use harness::{NodeId, NodeKind};
use job::{Assessment, EntryId, Job};
use maud::{Markup, html};
use measure::quantity::{Ampere, Volt};
use measure::{Instrument, InstrumentKind};
use picture::words::{self, Suspicion};

use crate::say;

/// "entry 3", "entries 3, 4".
pub(crate) fn numbers(entries: &[EntryId]) -> String {
    let list = entries
        .iter()
        .map(ToString::to_string)
        .collect::<Vec<_>>()
        .join(", ");
    if entries.len() == 1 {
        format!("entry {list}")
    } else {
        format!("entries {list}")
    }
}

/// Every node, feeds before what they feed.
pub(crate) fn nodes(assessment: &Assessment) -> Markup {
    let mut depths: BTreeMap<&NodeId, usize> = BTreeMap::new();
    for node in &assessment.nodes {
        let depth = node
            .parent
            .as_ref()
            .and_then(|p| depths.get(p))
            .map_or(0, |d| d + 1);
        depths.insert(&node.id, depth);
    }
    html! {
        div.box tabindex="0" role="region" aria-label="Circuits" {
            table {
                caption { "Every cable, fuse and load: settled draw and suspicion; a fuse and its only load share a row" }
                thead {
                    tr {
                        th scope="col" { "where" }
                        th scope="col" { "kind" }
                        th.n scope="col" { "middle" }
                        th.n scope="col" { "5 % to 95 %" }
                        th.n scope="col" { "mean" }
                        th.n scope="col" { "usual" }
                        th scope="col" { "suspected" }
                        th scope="col" { "read in" }
                    }
                }
                tbody {
                    @for (node, load) in merged(assessment) {
                        @let depth = depths.get(&node.id).copied().unwrap_or(0);
                        @let step = Suspicion::of(node.p_fault);
                        tr.hot[step >= Suspicion::Likely] {
                            th scope="row" class=[(depth > 1).then(|| format!("in{}", (depth - 1).min(3)))] {
                                (words::node_name(&node.id, &node.label, node.kind))
                                @if let Some(load) = load { ": " (words::node_name(&load.id, &load.label, load.kind)) }
                            }
                            td { (say::kind(node.kind)) @if load.is_some() { "\u{a0}+\u{a0}load" } @if node.keeps_settings || load.is_some_and(|l| l.keeps_settings) { ", keeps settings" } }
                            td.n { (words::current(node.draw.p50)) }
                            td.n { (words::current_interval(&node.draw)) }
                            td.n { (words::current(node.mean_a)) }
                            td.n { (words::rough_current(node.normal_a)) }
                            td.w { (step.word()) ", " (words::percent_short(node.p_fault)) }
                            @let read: Vec<EntryId> = node.entries.iter().chain(load.iter().flat_map(|l| &l.entries)).copied().collect();
                            td { @if !read.is_empty() { (numbers(&read)) } }
                        }
                    }
                }
            }
        }
    }
}

/// Rows of the table: a fuse that feeds one load only shares its row, for
/// they share their current.
fn merged(assessment: &Assessment) -> Vec<(&job::NodeAssessment, Option<&job::NodeAssessment>)> {
    let mut fed: BTreeMap<&NodeId, usize> = BTreeMap::new();
    for parent in assessment.nodes.iter().filter_map(|n| n.parent.as_ref()) {
        *fed.entry(parent).or_default() += 1;
    }
    let alone = |fuse: &job::NodeAssessment, load: &job::NodeAssessment| {
        fuse.kind == NodeKind::Fuse
            && load.kind == NodeKind::Load
            && load.parent.as_ref() == Some(&fuse.id)
            && fed.get(&fuse.id) == Some(&1)
    };
    let order = in_tree_order(assessment);
    let mut rows = Vec::with_capacity(order.len());
    let mut at = 0;
    while let Some(node) = order.get(at).copied() {
        let load = order.get(at + 1).copied().filter(|load| alone(node, load));
        rows.push((node, load));
        at += if load.is_some() { 2 } else { 1 };
    }
    rows
}

/// Depth first, so that each feed is followed by what it feeds.
fn in_tree_order(assessment: &Assessment) -> Vec<&job::NodeAssessment> {
    let mut children: BTreeMap<&NodeId, Vec<usize>> = BTreeMap::new();
    let mut stack = Vec::new();
    for (at, node) in assessment.nodes.iter().enumerate() {
        // Parents come first; a node whose parent does not is shown as a root.
        match node
            .parent
            .as_ref()
            .filter(|p| assessment.nodes[..at].iter().any(|n| n.id == **p))
        {
            Some(parent) => children.entry(parent).or_default().push(at),
            None => stack.push(at),
        }
    }
    stack.reverse();
    let mut out = Vec::with_capacity(assessment.nodes.len());
    while let Some(at) = stack.pop() {
        let node = &assessment.nodes[at];
        out.push(node);
        stack.extend(children.get(&node.id).into_iter().flatten().rev());
    }
    out
}

/// Every entry, the struck ones as struck.
pub(crate) fn entries(job: &Job, assessment: &Assessment) -> Markup {
    if job.entries.is_empty() {
        return html! { p { "Nothing has been entered." } };
    }
    let struck = job.struck();
    html! {
        div.box tabindex="0" role="region" aria-label="Entries" {
            table {
                caption { "Everything seen and done, in the order it was entered" }
                thead {
                    tr {
                        th scope="col" { "number" }
                        th scope="col" { "time (UTC)" }
                        th scope="col" { "what" }
                        th scope="col" { "instrument" }
                    }
                }
                tbody {
                    @for (at, entry) in job.entries.iter().enumerate() {
                        @let gone = struck.get(at).copied().unwrap_or(false);
                        tr.struck[gone] {
                            th scope="row" { (at + 1) }
                            td { (entry.at.strftime("%Y-%m-%d %H:%M").to_string()) }
                            td {
                                @if gone { span.mark { "struck out: " } }
                                (job::describe_kind(&entry.kind, |node| say::node(assessment, node)))
                            }
                            td { (entry.instrument.as_deref().unwrap_or("")) }
                        }
                    }
                }
            }
        }
    }
}

/// Instruments with what their makers promise.
pub(crate) fn instruments(job: &Job) -> Markup {
    html! {
        div.box tabindex="0" role="region" aria-label="Instruments" {
            table {
                caption { "What was measured with" }
                thead {
                    tr {
                        th scope="col" { "name" }
                        th scope="col" { "kind" }
                        th scope="col" { "accuracy" }
                        th scope="col" { "smallest step" }
                    }
                }
                tbody {
                    @for instrument in &job.instruments {
                        tr {
                            th scope="row" { (instrument.id) }
                            td { (say::instrument(instrument.kind)) }
                            td { "±(" (instrument.accuracy_percent) " % of reading + " (instrument.digits) " digits)" }
                            td { (resolution(instrument)) }
                        }
                    }
                }
            }
        }
    }
}

fn resolution(instrument: &Instrument) -> String {
    match (instrument.resolution, instrument.kind) {
        (None, _) => "not stated".into(),
        (Some(r), InstrumentKind::Millivolt | InstrumentKind::Voltmeter) => Volt(r).to_string(),
        (Some(r), _) => Ampere(r).to_string(),
    }
}
