//! What a rehearsal is called, and a voltage with the current it means.

use harness::{FeedTree, NodeKind};
use measure::quantity::{Ampere, Volt};
use rehearsal::fleet::{Action, Vehicle};
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

/// A voltage across a fuse, and about what current that is by its rating.
pub(crate) fn drop(tree: &FeedTree, action: &Action, drop_v: f64) -> Message {
    let about = || {
        let Action::Millivolt(node) = action else {
            return None;
        };
        let spec = tree.node(*node);
        let family = spec.fuse.as_deref().and_then(|word| word.parse().ok());
        let fuse = harness::fuse::resistance(family, spec.rating_a?, None)?;
        // At or below nothing there is no current to tell of.
        let current_a = drop_v.max(0.0) / fuse.ohm.value;
        // To two digits: the fuse's resistance is no better known.
        let step = 10_f64.powf(current_a.log10().floor() - 1.0);
        step.is_normal()
            .then(|| Ampere((current_a / step).round() * step))
    };
    match about() {
        Some(current) => say::practice::drop_about(current, Volt(drop_v)),
        None => say::practice::drop(Volt(drop_v)),
    }
}
