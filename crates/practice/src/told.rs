//! What a rehearsal is called, and a voltage with the current it means.

use harness::NodeKind;
use measure::{
    How, InstrumentKind,
    quantity::{Ampere, Volt},
};
use rehearsal::fleet::Vehicle;
use tongue::{Message, say};

use crate::Setup;

/// Its number, kind of vehicle and size.
pub(crate) fn title(setup: &Setup, vehicle: &Vehicle) -> Message {
    let fuses = vehicle
        .tree()
        .nodes()
        .filter(|(_, spec)| spec.kind == NodeKind::Fuse)
        .count();
    let kind = match vehicle.kind() {
        "small" => say::practice::kind_small(),
        "car" => say::practice::kind_car(),
        "large" => say::practice::kind_large(),
        "van" => say::practice::kind_van(),
        other => Message::plain(other),
    };
    say::practice::title(fuses.to_string(), kind, setup.seed.to_string())
}

/// A voltage across a fuse, and about what current that is by its rating. What the
/// meter cannot tell from nothing tells no current, whichever its sign.
pub(crate) fn drop(vehicle: &Vehicle, fuse: usize, drop_v: f64) -> Message {
    let voltage = Volt(drop_v);
    let spec = vehicle.tree().node(fuse);
    let family = spec.fuse.as_deref().and_then(|word| word.parse().ok());
    let known = spec
        .rating_a
        .and_then(|rating_a| harness::fuse::resistance(family, rating_a, None));
    let Some(known) = known else {
        return say::practice::drop(voltage);
    };
    let ohm = known.ohm.value;
    let mut tools = vehicle.kit().tools.iter();
    let meter = tools.find(|tool| tool.kind == InstrumentKind::Millivolt);
    let floor_a = meter.and_then(|meter| meter.floor_a(How::Millivolt, Some(ohm)));
    let current_a = drop_v / ohm;
    if floor_a.is_none_or(|floor_a| current_a < floor_a) {
        return say::practice::drop_unseen(voltage);
    }
    // To two digits: the fuse's resistance is no better known.
    let step = 10_f64.powf(current_a.log10().floor() - 1.0);
    let about_a = (current_a / step).round() * step;
    say::practice::drop_about(Ampere(about_a), voltage)
}

#[cfg(test)]
mod tests {
    use rehearsal::fleet::{Reach, Settings};

    use super::*;

    #[test]
    fn what_the_meter_cannot_tell_from_nothing_tells_no_current() {
        let settings = Settings {
            kind: Some("small".into()),
            reach: Reach::All,
            ..Settings::default()
        };
        let vehicle = Vehicle::draw(105, &settings).unwrap();
        let tree = vehicle.tree();
        let is_blade = |&node: &usize| tree.node(node).fuse.as_deref() == Some("blade");
        let fuse = (1..tree.len()).find(is_blade).unwrap();
        let said = |drop_v| drop(&vehicle, fuse, drop_v).english().to_owned();
        assert_eq!(
            said(-1e-5),
            "-0.01 mV across it, too little to tell a current"
        );
        for unseen in [-5e-3, -1e-4, 0.0, 1e-5] {
            let said = said(unseen);
            assert!(said.ends_with("too little to tell a current"), "{said}");
        }
        assert!(said(5e-3).starts_with("5 mV across it, about "));
    }
}
