//! Entries and settings in words.

use battery::{Chemistry, CrankingStandard, Verdict};
use harness::{NodeId, NodeKind};
use job::{Assessment, EntryKind, Shown, Speed};
use measure::{
    InstrumentKind,
    instrument::How,
    quantity::{Ampere, Celsius, Second, Volt},
};
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

fn list(assessment: &Assessment, nodes: &[NodeId]) -> String {
    nodes
        .iter()
        .map(|n| node(assessment, n))
        .collect::<Vec<_>>()
        .join(", ")
}

/// What an entry says, without time and instrument.
pub(crate) fn entry(assessment: &Assessment, kind: &EntryKind) -> String {
    match kind {
        EntryKind::Draw {
            node: at,
            how: by,
            shown,
            asleep,
        } => format!(
            "{} at {}, {}, {}",
            reading(shown),
            node(assessment, at),
            how(*by),
            if *asleep { "asleep" } else { "awake" }
        ),
        EntryKind::Pull {
            nodes,
            before_a,
            after_a,
        } => format!(
            "{} pulled: {} before, {} after",
            list(assessment, nodes),
            Ampere(*before_a),
            Ampere(*after_a)
        ),
        EntryKind::Refit { nodes } => format!("{} put back", list(assessment, nodes)),
        EntryKind::RestVoltage {
            voltage_v,
            rested_h,
            temperature_c,
        } => {
            let rested = rested_h.map(|h| format!(" after {} of rest", Second(h * 3600.0)));
            format!(
                "{} open circuit{}{}",
                Volt(*voltage_v),
                rested.unwrap_or_default(),
                at(*temperature_c)
            )
        }
        EntryKind::Analyser {
            current_a,
            standard: by,
        } => {
            format!("analyser: {} {}", Ampere(*current_a), standard(*by))
        }
        EntryKind::LoadTest {
            voltage_v,
            load_a,
            after_s,
            temperature_c,
        } => {
            let load = load_a.map(|a| format!(" under {}", Ampere(a)));
            let after = after_s.map(|s| format!(" after {}", Second(s)));
            format!(
                "load test: {}{}{}{}",
                Volt(*voltage_v),
                load.unwrap_or_default(),
                after.unwrap_or_default(),
                at(*temperature_c)
            )
        }
        EntryKind::StandAlone {
            before_v,
            after_v,
            hours,
            temperature_c,
        } => format!(
            "battery alone for {}: {} became {}{}",
            Second(hours * 3600.0),
            Volt(*before_v),
            Volt(*after_v),
            at(*temperature_c)
        ),
        EntryKind::Resistance { ohm, temperature_c } => {
            format!(
                "battery resistance: {}{}",
                measure::quantity::Ohm(*ohm),
                at(*temperature_c)
            )
        }
        EntryKind::Gravity {
            lowest,
            highest,
            temperature_c,
        } => format!(
            "acid of the cells: {lowest} to {highest}{}",
            at(*temperature_c)
        ),
        EntryKind::Drop {
            place,
            drop_v,
            current_a,
        } => {
            let current = current_a.map(|a| format!(" at {}", Ampere(a)));
            format!(
                "lost {}: {}{}",
                place.words(),
                Volt(*drop_v),
                current.unwrap_or_default()
            )
        }
        EntryKind::Charging {
            voltage_v,
            at_speed,
            ripple_v,
            temperature_c,
        } => {
            let ripple = ripple_v.map(|v| format!(", ripple {}", Volt(v)));
            let speed = match at_speed {
                Speed::Idle => "idling",
                Speed::Raised => "at raised speed",
                Speed::Loaded => "at raised speed with consumers on",
            };
            format!(
                "charging {speed}: {}{}{}",
                Volt(*voltage_v),
                ripple.unwrap_or_default(),
                at(*temperature_c)
            )
        }
        EntryKind::Trace { file, node: at } => {
            format!("recording {file} at {}", node(assessment, at))
        }
        EntryKind::Repair { node: at, text } => match at {
            Some(at) => format!("repair at {}: {text}", node(assessment, at)),
            None => format!("repair: {text}"),
        },
        EntryKind::Strike { entry } => format!("entry {entry} struck out"),
        EntryKind::Note { text } => text.clone(),
    }
}

fn reading(shown: &Shown) -> String {
    match shown {
        Shown::Current(a) => Ampere(*a).to_string(),
        Shown::Drop(v) => Volt(*v).to_string(),
        Shown::Shunt { drop_v, shunt_ohm } => {
            format!(
                "{} across {}",
                Volt(*drop_v),
                measure::quantity::Ohm(*shunt_ohm)
            )
        }
    }
}

fn at(temperature_c: Option<f64>) -> String {
    temperature_c
        .map(|t| format!(" at {}", Celsius(t)))
        .unwrap_or_default()
}

fn how(how: How) -> &'static str {
    match how {
        How::Clamp => "by clamp",
        How::InLine => "in line",
        How::Millivolt => "across the fuse",
        How::Shunt => "across a shunt",
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
