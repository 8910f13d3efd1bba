//! Sentences about tests.

use harness::FeedTree;

use super::TestKind;
use crate::LoadModels;

/// "31 %", and never 0 % or 100 % for what is merely likely.
pub(super) fn percent(p: f64) -> String {
    match p * 100.0 {
        x if x < 1.0 => "under 1 %".into(),
        x if x > 99.0 => "over 99 %".into(),
        x => format!("{x:.0} %"),
    }
}

/// "20 seconds", "4 minutes".
pub(super) fn duration(minutes: f64) -> String {
    if minutes < 0.95 {
        format!("{:.0} seconds", minutes * 60.0)
    } else if minutes < 1.25 {
        "1 minute".into()
    } else {
        format!("{minutes:.0} minutes")
    }
}

/// "9 mA", "0.4 mA", "3.5 A".
pub(super) fn current(a: f64) -> String {
    match a {
        a if a >= 0.9995 => format!("{a:.2} A"),
        a if a >= 0.00995 => format!("{:.0} mA", a * 1e3),
        a => format!("{:.1} mA", a * 1e3),
    }
}

/// What a node feeds, for people.
pub(super) fn feeds(tree: &FeedTree, models: &LoadModels, node: usize) -> String {
    let below = tree.leaves_below(node);
    if let Some(label) = &tree.node(node).label {
        return label.clone();
    }
    match below {
        [leaf] => name(tree, models, *leaf),
        many => format!("{} circuits", many.len()),
    }
}

fn name(tree: &FeedTree, models: &LoadModels, leaf: usize) -> String {
    let spec = tree.node(leaf);
    spec.label.clone().unwrap_or_else(|| {
        match models.get(leaf).map(|model| model.family.replace('-', " ")) {
            Some(family) if family != "unknown" => format!("the {family}"),
            _ => spec.id.0.clone(),
        }
    })
}

/// What a test leaves behind.
pub(super) fn disturbs(kind: TestKind, wake_chance: f64, settings: bool) -> String {
    let wake = match kind {
        TestKind::Clamp | TestKind::Millivolt => return "nothing is disturbed".into(),
        _ if wake_chance < 0.005 => "waking is unlikely".to_owned(),
        _ => format!("{} to wake the vehicle", percent(wake_chance)),
    };
    if settings {
        format!("{wake}, and stored settings are lost")
    } else {
        wake
    }
}
