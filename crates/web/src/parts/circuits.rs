//! Every cable, fuse and load with its draw and its suspicion.

use harness::NodeKind;
use job::NodeAssessment;
use maud::{Markup, html};

use super::{standing::entries_words, step::address_part};
use crate::{state::Known, words};

/// The table of circuits; the rows are where the flow picture's links lead.
pub(crate) fn circuits(known: &Known) -> Markup {
    let nodes = &known.assessment.nodes;
    html! {
        section class="block" aria-labelledby="circuits" {
            h2 id="circuits" { "Circuits" }
            @if nodes.len() < 2 {
                p { "No fuses or cables are described yet. " a href=(format!("/jobs/{}/edit", known.id)) { "Add a fuse list" } "." }
            } @else {
                div class="wide" tabindex="0" role="region" aria-label="Circuits with their draws" { table {
                    caption { "Draw asleep: middle value, and the span that holds it nine times in ten" }
                    thead { tr {
                        th scope="col" { "Circuit" } th scope="col" class="num" { "Draw" } th scope="col" { "Suspicion" }
                    } }
                    tbody { @for node in nodes { (row(known, node)) } }
                } }
                details id="circuits-why" {
                    summary { "Says who?" }
                    ul {
                        li { "Every reading narrows the draws it covers, up and down the feed tree; the sums are worked out exactly." }
                        li { "Usual draws and the chances of a fault come from the kind of load, or from what was stated for it." }
                        li { "Shades and words: clear under 2 %, unlikely to 10 %, possible to 50 %, likely to 90 %, almost certain above." }
                    }
                }
            }
        }
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
        tr id=(format!("node-{}", node.id)) {
            th scope="row" {
                a href=(address) { span class="hidden" { "Enter a reading at " } (name(node)) }
                @if node.keeps_settings { span class="small soft" { br; "keeps settings" } }
            }
            td class="num" {
                strong { (words::plain_current(node.draw.p50)) }
                span class="small" { br; (words::span(&node.draw)) }
                span class="small soft" { br; "usual " (words::plain_current(node.normal_a)) }
            }
            td {
                span class=(format!("swatch {shade}")) aria-hidden="true" {} (word)
                span class="small num" { br; (words::percent(node.p_fault)) }
                @if !node.entries.is_empty() { span class="small" { br; "from " (entries_words(&node.entries)) } }
            }
        }
    }
}

/// Name and label as people read them.
pub(crate) fn name(node: &NodeAssessment) -> String {
    match node.kind {
        NodeKind::Battery => "Battery (the total)".into(),
        kind => words::node_name(&node.id, &node.label, kind),
    }
}
