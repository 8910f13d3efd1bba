//! The workshop's tables.

use std::collections::BTreeMap;

use harness::{NodeId, NodeKind};
use job::{Assessment, EntryId, Job, NodeAssessment};
use measure::quantity::{Ampere, Volt};
use measure::{Instrument, InstrumentKind};
use picture::words::{self, Suspicion};
use tongue::{number, say};

use crate::{
    doc::{Block, Cells, Column, Row, Table, para},
    names,
};

/// Column of the table of entries that says what was seen or done.
pub(crate) const SAID: usize = 2;

/// "entry 3", "entries 3, 4".
pub(crate) fn numbers(entries: &[EntryId]) -> String {
    let list = entries
        .iter()
        .map(ToString::to_string)
        .collect::<Vec<_>>()
        .join(", ");
    say::report::entries_named(entries.len(), list).to_string()
}

/// Every node, feeds before what they feed.
pub(crate) fn nodes(assessment: &Assessment) -> Block {
    let mut depths: BTreeMap<&NodeId, usize> = BTreeMap::new();
    for node in &assessment.nodes {
        let depth = node
            .parent
            .as_ref()
            .and_then(|p| depths.get(p))
            .map_or(0, |d| d + 1);
        depths.insert(&node.id, depth);
    }
    let rows = merged(assessment).into_iter().map(|(node, load)| {
        let depth = depths.get(&node.id).copied().unwrap_or(0);
        node_row(node, load, depth.saturating_sub(1))
    });
    Block::Table(Table {
        caption: say::report::circuits_caption().to_string(),
        columns: vec![
            Column::words(say::report::col_where()),
            Column::words(say::report::col_kind()),
            Column::of(say::report::col_middle(), Cells::Numbers),
            Column::of(say::report::col_range(), Cells::Numbers),
            Column::of(say::report::col_mean(), Cells::Numbers),
            Column::of(say::report::col_usual(), Cells::Numbers),
            Column::of(say::report::col_suspected(), Cells::Tied),
            Column::words(say::report::col_read_in()),
        ],
        rows: rows.collect(),
        region: Some(say::report::circuits().to_string()),
        ..Table::default()
    })
}

fn node_row(node: &NodeAssessment, load: Option<&NodeAssessment>, depth: usize) -> Row {
    let name = |n: &NodeAssessment| match n.kind {
        NodeKind::Battery if n.label == n.id.0 => say::report::kind_battery().to_string(),
        kind => words::node_name(&n.id, &n.label, kind),
    };
    let mut place = name(node);
    let mut kind = names::kind(node.kind).to_string();
    if let Some(load) = load {
        place = format!("{place}: {}", name(load));
        kind = say::report::and_load(kind).to_string();
    }
    if node.keeps_settings || load.is_some_and(|l| l.keeps_settings) {
        kind = say::report::keeps_settings(kind).to_string();
    }
    let step = Suspicion::of(node.p_fault);
    let read: Vec<EntryId> = node
        .entries
        .iter()
        .chain(load.iter().flat_map(|l| &l.entries))
        .copied()
        .collect();
    let read = if read.is_empty() {
        String::new()
    } else {
        numbers(&read)
    };
    let suspected = format!("{}, {}", step.word(), words::percent_short(node.p_fault));
    Row {
        cells: vec![
            place.into(),
            kind.into(),
            words::current(node.draw.p50).into(),
            words::current_interval(&node.draw).into(),
            words::current(node.mean_a).into(),
            words::rough_current(node.normal_a).into(),
            suspected.into(),
            read.into(),
        ],
        hot: step >= Suspicion::Likely,
        depth,
        ..Row::default()
    }
}

/// Rows of the table: a fuse that feeds one load only shares its row, for
/// they share their current.
fn merged(assessment: &Assessment) -> Vec<(&NodeAssessment, Option<&NodeAssessment>)> {
    let mut fed: BTreeMap<&NodeId, usize> = BTreeMap::new();
    for parent in assessment.nodes.iter().filter_map(|n| n.parent.as_ref()) {
        *fed.entry(parent).or_default() += 1;
    }
    let alone = |fuse: &NodeAssessment, load: &NodeAssessment| {
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
fn in_tree_order(assessment: &Assessment) -> Vec<&NodeAssessment> {
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
pub(crate) fn entries(job: &Job, assessment: &Assessment) -> Block {
    if job.entries.is_empty() {
        return para(say::report::nothing_entered());
    }
    let struck = job.struck();
    let rows = job.entries.iter().enumerate().map(|(at, entry)| {
        let gone = struck.get(at).copied().unwrap_or(false);
        let said = job::describe_kind(&entry.kind, |node| names::node(assessment, node));
        Row {
            cells: vec![
                (at + 1).into(),
                entry.at.strftime("%Y-%m-%d %H:%M").to_string().into(),
                said.into(),
                entry.instrument.as_deref().unwrap_or("").into(),
            ],
            struck: gone.then(|| say::report::struck().to_string()),
            ..Row::default()
        }
    });
    Block::Table(Table {
        caption: say::report::entries_caption().to_string(),
        columns: vec![
            Column::words(say::report::col_number()),
            Column::of(say::report::col_time(), Cells::Tied),
            Column::words(say::report::col_what()),
            Column::words(say::report::col_instrument()),
        ],
        rows: rows.collect(),
        region: Some(say::report::entries().to_string()),
        ..Table::default()
    })
}

/// Instruments with what their makers promise.
pub(crate) fn instruments(job: &Job) -> Block {
    let rows = job.instruments.iter().map(|instrument| {
        let percent = number(&instrument.accuracy_percent.to_string());
        let digits = number(&instrument.digits.to_string());
        Row {
            cells: vec![
                (&instrument.id).into(),
                names::instrument(instrument.kind).into(),
                say::report::accuracy(digits, percent).into(),
                resolution(instrument).into(),
            ],
            ..Row::default()
        }
    });
    Block::Table(Table {
        caption: say::report::instruments_caption().to_string(),
        columns: vec![
            Column::words(say::report::col_name()),
            Column::words(say::report::col_kind()),
            Column::words(say::report::col_accuracy()),
            Column::words(say::report::col_step()),
        ],
        rows: rows.collect(),
        region: Some(say::report::instruments().to_string()),
        ..Table::default()
    })
}

fn resolution(instrument: &Instrument) -> String {
    match (instrument.resolution, instrument.kind) {
        (None, _) => say::report::not_stated().to_string(),
        (Some(r), InstrumentKind::Millivolt | InstrumentKind::Voltmeter) => {
            number(&Volt(r).to_string())
        }
        (Some(r), _) => number(&Ampere(r).to_string()),
    }
}
