//! Invented vehicles with a known fault.

use harness::{FeedTree, NodeKind, NodeSpec};

use crate::{
    NightLog, VehicleError, VirtualBattery, VirtualLoad, VirtualMeter, VirtualVehicle, record,
};

/// Seed of the demo night: the log in `demo/night.csv` is made from it.
const NIGHT_SEED: u64 = 20_260_302;

/// The fuses of the bread van: name, feed, rating in ampere, words, load
/// family, whether stored settings hang on it.
const BREAD_VAN_FUSES: &[(&str, &str, f64, &str, &str, bool)] = &[
    (
        "F1",
        "engine-box",
        10.0,
        "Engine control, permanent",
        "engine-control",
        true,
    ),
    ("F2", "engine-box", 15.0, "Fuel pump relay", "pump", false),
    ("F3", "engine-box", 15.0, "Horn", "horn", false),
    (
        "F4",
        "engine-box",
        30.0,
        "Brake control (anti-lock)",
        "abs",
        false,
    ),
    ("F5", "engine-box", 40.0, "Cooling fan relay", "fan", false),
    ("F6", "engine-box", 5.0, "Glow timer", "glow-plug", false),
    (
        "F11",
        "cabin-box",
        10.0,
        "Instrument cluster",
        "instrument-cluster",
        true,
    ),
    ("F12", "cabin-box", 15.0, "Radio", "audio", true),
    (
        "F13",
        "cabin-box",
        20.0,
        "Central locking",
        "central-locking",
        false,
    ),
    (
        "F14",
        "cabin-box",
        20.0,
        "Body control",
        "body-module",
        false,
    ),
    (
        "F15",
        "cabin-box",
        10.0,
        "Diagnostic socket",
        "diagnostic-port",
        false,
    ),
    ("F16", "cabin-box", 10.0, "Cab lamps", "lamp", false),
    (
        "F17",
        "cabin-box",
        10.0,
        "Load bay lamps",
        "boot-lamp",
        false,
    ),
    ("F18", "cabin-box", 5.0, "Fleet tracker", "tracker", false),
    ("F19", "cabin-box", 30.0, "Heater blower", "blower", false),
    ("F20", "cabin-box", 15.0, "Cab socket", "socket", false),
    (
        "F31",
        "rear-feed",
        15.0,
        "Tow socket module",
        "tow-socket",
        false,
    ),
    (
        "F32",
        "rear-feed",
        15.0,
        "Reversing camera",
        "parking-aid",
        false,
    ),
    (
        "F33",
        "rear-feed",
        25.0,
        "Tail lift control",
        "tail-lift",
        false,
    ),
];

/// The bread van's feed tree: three cables at the battery and the alternator's
/// own, fuses below.
pub fn bread_van_nodes() -> Vec<NodeSpec> {
    let cables = ["engine-box", "cabin-box", "rear-feed", "alternator-cable"]
        .map(|id| NodeSpec::new(id, "battery", NodeKind::Cable));
    let alternator = NodeSpec {
        family: Some("alternator".into()),
        label: Some("Alternator".into()),
        ..NodeSpec::new("alternator", "alternator-cable", NodeKind::Load)
    };
    let fuses = BREAD_VAN_FUSES
        .iter()
        .map(|(id, from, rating, words, family, keeps)| NodeSpec {
            label: Some((*words).into()),
            rating_a: Some(*rating),
            fuse: Some("blade".into()),
            in_place: true,
            family: Some((*family).into()),
            keeps_settings: *keeps,
            ..NodeSpec::new(id, from, NodeKind::Fuse)
        });
    cables
        .into_iter()
        .chain([alternator])
        .chain(fuses)
        .collect()
}

/// The bread van as it really is: its load bay lamps (5 W, behind the bulkhead)
/// stay on because the rear door's switch is worn. The tracker reports every
/// half hour.
///
/// # Errors
/// Never for the tree above; a test holds that.
pub fn bread_van() -> Result<VirtualVehicle, VehicleError> {
    let tree = FeedTree::build(bread_van_nodes()).map_err(VehicleError::Tree)?;
    let loads = vec![
        VirtualLoad::steady("F1", 0.0056).awake(0.9, 420.0),
        VirtualLoad::steady("F4", 0.0002),
        VirtualLoad::steady("F11", 0.0007).awake(0.15, 180.0),
        VirtualLoad::steady("F12", 0.0022).awake(0.2, 1500.0),
        VirtualLoad::steady("F13", 0.0011).awake(0.09, 45.0),
        VirtualLoad::steady("F14", 0.0038).awake(1.1, 960.0),
        VirtualLoad::steady("F17", 0.0).faulty(0.417),
        VirtualLoad::steady("F18", 0.0045)
            .awake(0.06, 600.0)
            .waking(1800.0, 42.0, 0.19),
        VirtualLoad::steady("F31", 0.0011),
        VirtualLoad::steady("alternator", 0.0014),
    ];
    VirtualVehicle::new(tree, loads)
}

/// The bread van's battery, charged for a day after a flat Monday, and its
/// alternator at raised speed. Invented, like the van.
pub const BREAD_VAN_BATTERY: VirtualBattery = VirtualBattery {
    rested_v: 12.58,
    cranking_a: 515.0,
    charging_v: 14.3,
};

/// The demo's night: eleven hours from locking, a sample every two seconds,
/// through a low-range clamp around the battery cable.
///
/// # Errors
/// As [`bread_van`].
pub fn bread_van_night() -> Result<NightLog, VehicleError> {
    let meter = VirtualMeter::low_range_clamp();
    Ok(record(
        &bread_van()?,
        &meter,
        2.0,
        11.0 * 3600.0,
        NIGHT_SEED,
    ))
}

/// First line of the log, so that nobody takes it for a measurement.
pub const BREAD_VAN_REMARK: &str =
    "Invented: a virtual van's night, made by Nightdraw's rehearsal room; not a measurement";

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_committed_night_is_this_one() {
        let committed = include_str!("../../../demo/night.csv");
        let made = bread_van_night().unwrap().to_csv(BREAD_VAN_REMARK);
        assert!(
            committed == made,
            "run `cargo run -p rehearsal --example write_demo_night`"
        );
    }

    #[test]
    fn the_lamp_dominates_the_settled_draw() {
        let van = bread_van().unwrap();
        let asleep = van.current_a(0, 3600.0, &[]);
        let lamp = van.tree().index(&harness::NodeId("F17".into())).unwrap();
        assert!((asleep - 0.438).abs() < 0.002, "{asleep}");
        assert!((van.current_a(0, 3600.0, &[lamp]) - 0.021).abs() < 0.002);
    }
}
