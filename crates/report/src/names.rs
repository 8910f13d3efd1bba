//! Nodes and settings in words.

use battery::{Chemistry, CrankingStandard, Verdict};
use harness::{NodeId, NodeKind};
use job::{Assessment, NodeAssessment};
use measure::InstrumentKind;
use picture::words;
use tongue::{Message, say};

fn find<'a>(assessment: &'a Assessment, id: &NodeId) -> Option<&'a NodeAssessment> {
    assessment.nodes.iter().find(|n| n.id == *id)
}

/// A node as people call it; its id where the assessment does not know it.
pub(crate) fn node(assessment: &Assessment, id: &NodeId) -> String {
    if *id == NodeId::battery() {
        return say::report::the_battery().to_string();
    }
    match find(assessment, id) {
        Some(n) => words::node_name(&n.id, &n.label, n.kind),
        None => id.0.clone(),
    }
}

/// A load together with the fuse that feeds it.
pub(crate) fn node_and_feed(assessment: &Assessment, id: &NodeId) -> String {
    let own = node(assessment, id);
    let fuse = find(assessment, id)
        .filter(|n| n.kind == NodeKind::Load)
        .and_then(|n| find(assessment, n.parent.as_ref()?))
        .filter(|n| n.kind == NodeKind::Fuse);
    match fuse {
        Some(fuse) => say::report::with_fuse(&fuse.id.0, own).to_string(),
        None => own,
    }
}

pub(crate) fn instrument(kind: InstrumentKind) -> Message {
    match kind {
        InstrumentKind::Clamp => say::report::instrument_clamp(),
        InstrumentKind::InLine => say::report::instrument_in_line(),
        InstrumentKind::Millivolt => say::report::instrument_millivolt(),
        InstrumentKind::Voltmeter => say::report::instrument_voltmeter(),
        InstrumentKind::Analyser => say::report::instrument_analyser(),
    }
}

pub(crate) fn chemistry(chemistry: Chemistry) -> Message {
    match chemistry {
        Chemistry::Flooded => say::report::chemistry_flooded(),
        Chemistry::Efb => say::report::chemistry_efb(),
        Chemistry::Agm => say::report::chemistry_agm(),
        Chemistry::Gel => say::report::chemistry_gel(),
        Chemistry::Lifepo4 => say::report::chemistry_lifepo4(),
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
pub(crate) fn verdict(verdict: Verdict) -> Message {
    match verdict {
        Verdict::Good => say::report::battery_good(),
        Verdict::RechargeAndRetest => say::report::battery_recharge(),
        Verdict::Weak => say::report::battery_weak(),
        Verdict::Replace => say::report::battery_replace(),
        Verdict::Unknown => say::report::battery_unknown(),
    }
}

pub(crate) fn kind(kind: NodeKind) -> Message {
    match kind {
        NodeKind::Battery => say::report::kind_battery(),
        NodeKind::Cable => say::report::kind_cable(),
        NodeKind::Fuse => say::report::kind_fuse(),
        NodeKind::Load => say::report::kind_load(),
    }
}
