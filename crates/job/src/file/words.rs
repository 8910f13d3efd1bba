//! The words of job files, each with what it stands for, in one place.

use battery::{Chemistry, CrankingStandard, drops::DropPlace};
use harness::NodeKind;
use measure::{InstrumentKind, instrument::How};

use crate::Speed;

/// Kinds of entry.
pub const ENTRY_KINDS: &[&str] = &[
    "draw",
    "pull",
    "refit",
    "unplug",
    "rest-voltage",
    "analyser",
    "load-test",
    "stand-alone",
    "resistance",
    "gravity",
    "drop",
    "charging",
    "trace",
    "repair",
    "strike",
    "note",
];

/// Chemistries.
pub const CHEMISTRIES: &[(&str, Chemistry)] = &[
    ("flooded", Chemistry::Flooded),
    ("efb", Chemistry::Efb),
    ("agm", Chemistry::Agm),
    ("gel", Chemistry::Gel),
    ("lifepo4", Chemistry::Lifepo4),
];

/// Standards of cranking currents.
pub const STANDARDS: &[(&str, CrankingStandard)] = &[
    ("en", CrankingStandard::En),
    ("sae", CrankingStandard::Sae),
    ("iec", CrankingStandard::Iec),
    ("din", CrankingStandard::Din),
    ("jis", CrankingStandard::Jis),
];

/// Kinds of instrument.
pub const INSTRUMENT_KINDS: &[(&str, InstrumentKind)] = &[
    ("clamp", InstrumentKind::Clamp),
    ("in-line", InstrumentKind::InLine),
    ("millivolt", InstrumentKind::Millivolt),
    ("voltmeter", InstrumentKind::Voltmeter),
    ("analyser", InstrumentKind::Analyser),
];

/// Kinds of node that can be described.
pub const NODE_KINDS: &[(&str, NodeKind)] = &[
    ("cable", NodeKind::Cable),
    ("fuse", NodeKind::Fuse),
    ("load", NodeKind::Load),
];

/// Ways to read a current.
pub const HOWS: &[(&str, How)] = &[
    ("clamp", How::Clamp),
    ("in-line", How::InLine),
    ("millivolt", How::Millivolt),
    ("shunt", How::Shunt),
];

/// Engine speeds of a charging test.
pub const SPEEDS: &[(&str, Speed)] = &[
    ("idle", Speed::Idle),
    ("raised", Speed::Raised),
    ("loaded", Speed::Loaded),
];

/// Places where a voltage drop is read.
pub const DROPS: &[(&str, DropPlace)] = &[
    ("starter-positive", DropPlace::StarterPositive),
    ("starter-ground", DropPlace::StarterGround),
    ("charging-positive", DropPlace::ChargingPositive),
    ("charging-ground", DropPlace::ChargingGround),
    ("connection", DropPlace::Connection),
];

/// The word that stands for `value`.
pub fn word<T: PartialEq + Copy>(words: &[(&'static str, T)], value: T) -> &'static str {
    // Every value has its word; a test holds that.
    words
        .iter()
        .find(|(_, known)| *known == value)
        .map_or("", |(word, _)| word)
}
