//! Nodes and settings in words.

use battery::{Chemistry, CrankingStandard, Verdict};
use harness::{NodeId, NodeKind};
use job::Assessment;
use measure::InstrumentKind;
use picture::words;

/// A node as people call it; its id where the assessment does not know it.
pub(crate) fn node(assessment: &Assessment, id: &NodeId) -> String {
    if *id == NodeId::battery() {
        return "the battery".into();
    }
    match assessment.nodes.iter().find(|n| n.id == *id) {
        Some(n) => words::node_name(&n.id, &n.label, n.kind),
        None => id.0.clone(),
    }
}

/// A load together with the fuse that feeds it.
pub(crate) fn node_and_feed(assessment: &Assessment, id: &NodeId) -> String {
    let own = node(assessment, id);
    let found = assessment
        .nodes
        .iter()
        .find(|n| n.id == *id)
        .filter(|n| n.kind == NodeKind::Load);
    let feed = found.and_then(|n| n.parent.as_ref());
    let fuse = feed.and_then(|f| {
        assessment
            .nodes
            .iter()
            .find(|n| n.id == *f && n.kind == NodeKind::Fuse)
    });
    match fuse {
        Some(fuse) => format!("{own} (fuse {})", fuse.id),
        None => own,
    }
}

pub(crate) fn instrument(kind: InstrumentKind) -> &'static str {
    match kind {
        InstrumentKind::Clamp => "clamp meter",
        InstrumentKind::InLine => "ammeter in line",
        InstrumentKind::Millivolt => "millivoltmeter",
        InstrumentKind::Voltmeter => "voltmeter",
        InstrumentKind::Analyser => "battery analyser",
    }
}

pub(crate) fn chemistry(chemistry: Chemistry) -> &'static str {
    match chemistry {
        Chemistry::Flooded => "flooded lead-acid",
        Chemistry::Efb => "enhanced flooded lead-acid",
        Chemistry::Agm => "absorbent glass mat",
        Chemistry::Gel => "gel",
        Chemistry::Lifepo4 => "lithium iron phosphate",
    }
}

pub(crate) fn standard(standard: CrankingStandard) -> &'static str {
    match standard {
        CrankingStandard::En => "EN",
        CrankingStandard::Sae => "SAE",
        CrankingStandard::Iec => "IEC",
        CrankingStandard::Din => "DIN",
        CrankingStandard::Jis => "JIS",
    }
}

/// The battery's verdict as a sentence.
pub(crate) fn verdict(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Good => "The battery itself is in order.",
        Verdict::RechargeAndRetest => {
            "The battery is too empty to judge: recharge it, then test it again."
        }
        Verdict::Weak => "The battery still works but is below its rating.",
        Verdict::Replace => "The battery should be replaced.",
        Verdict::Unknown => "The battery has not been tested.",
    }
}

pub(crate) fn kind(kind: NodeKind) -> &'static str {
    match kind {
        NodeKind::Battery => "battery",
        NodeKind::Cable => "cable",
        NodeKind::Fuse => "fuse",
        NodeKind::Load => "load",
    }
}
