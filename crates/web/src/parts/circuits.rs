//! Every cable, fuse and load with its draw and its suspicion.

use harness::NodeKind;
use job::NodeAssessment;
use maud::{Markup, html};
use tongue::{Message, say};

use super::{standing::entries_words, step::address_part};
use crate::{state::Known, words};

/// So many circuits are all in sight.
const FEW: usize = 24;
/// Below this a circuit is called clear, as in the picture's legend.
const CLEAR: f64 = 0.02;

/// The table of circuits; the rows are where the flow picture's links lead.
pub(crate) fn circuits(known: &Known) -> Markup {
    let nodes = &known.assessment.nodes;
    let folds = nodes.len() > FEW;
    let (clear, shown): (Vec<&NodeAssessment>, Vec<&NodeAssessment>) = nodes
        .iter()
        .partition(|node| folds && node.p_fault < CLEAR && node.kind != NodeKind::Battery);
    html! {
        section class="block" aria-labelledby="circuits" {
            h2 id="circuits" { (say::bench::circuits()) }
            @if nodes.len() < 2 {
                p { (words::within(|it| say::bench::no_circuits(it), &html! { a href=(format!("/jobs/{}/edit", known.id)) { (say::bench::add_list()) } })) }
            } @else {
                (table(known, &say::bench::circuits_region(), &shown))
                @if !clear.is_empty() {
                    details id="clear-circuits" {
                        summary { (say::bench::clear_circuits(clear.len())) }
                        (table(known, &say::bench::clear_circuits(clear.len()), &clear))
                    }
                }
                details id="circuits-why" {
                    summary { (say::bench::says_who()) }
                    ul {
                        li { (say::bench::circuits_why_sums()) }
                        li { (say::bench::circuits_why_usual()) }
                        li { (say::bench::circuits_why_shades()) }
                    }
                }
            }
        }
    }
}

fn table(known: &Known, name: &Message, nodes: &[&NodeAssessment]) -> Markup {
    html! {
        // On a phone each row is a block; the roles keep it a table for who listens.
        div class="wide" tabindex="0" role="region" aria-label=(name) { table class="stacked" role="table" {
            caption { (say::bench::circuits_caption()) }
            thead role="rowgroup" { tr role="row" {
                th role="columnheader" scope="col" { (say::bench::circuit()) } th role="columnheader" scope="col" class="num" { (say::bench::draw()) } th role="columnheader" scope="col" { (say::bench::suspicion()) }
            } }
            tbody role="rowgroup" { @for node in nodes { (row(known, node)) } }
        } }
    }
}

fn row(known: &Known, node: &NodeAssessment) -> Markup {
    let (shade, word) = words::suspicion(node.p_fault);
    let address = format!(
        "/jobs/{}/reading?node={}",
        known.id,
        address_part(&node.id.0)
    );
    html! {
        tr role="row" id=(format!("node-{}", node.id)) {
            th role="rowheader" scope="row" {
                a href=(address) { span class="hidden" { (say::bench::enter_at()) " " } (name(node)) }
                @if node.keeps_settings { span class="small soft" { br; (say::bench::keeps_settings()) } }
            }
            td role="cell" class="num" {
                strong { (words::plain_current(node.draw.p50)) }
                span class="small" { br; (words::span(&node.draw)) }
                span class="small soft" { br; (say::bench::usual(words::plain_current(node.normal_a))) }
            }
            td role="cell" {
                span class=(format!("swatch {shade}")) aria-hidden="true" {} (word)
                span class="small num" { br; (words::percent(node.p_fault)) }
                @if !node.entries.is_empty() { span class="small" { br; (words::within(|it| say::bench::from_entries(it), &entries_words(&node.entries))) } }
            }
        }
    }
}

/// Name and label as people read them.
pub(crate) fn name(node: &NodeAssessment) -> String {
    match node.kind {
        NodeKind::Battery => say::bench::battery_total().into(),
        kind => words::node_name(&node.id, &node.label, kind),
    }
}
