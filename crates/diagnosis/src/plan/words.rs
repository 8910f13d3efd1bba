//! Sentences about tests.

use harness::{FeedTree, family};
use tongue::{Arg, Message, amount, fixed, say};

use super::TestKind;
use crate::LoadModels;

/// "31 %", and never 0 % or 100 % for what is merely likely.
pub(super) fn percent(p: f64) -> Message {
    match p * 100.0 {
        x if x < 1.0 => say::words::under_one(),
        x if x > 99.0 => say::words::over_99(),
        x => say::diagnosis::percent(fixed(x, 0)),
    }
}

/// "20 seconds", "4 minutes".
pub(super) fn duration(minutes: f64) -> Message {
    if minutes < 0.95 {
        say::diagnosis::seconds(fixed(minutes * 60.0, 0))
    } else if minutes < 1.25 {
        say::diagnosis::one_minute()
    } else {
        say::diagnosis::minutes(fixed(minutes, 0))
    }
}

/// "9 mA", "0.4 mA", "3.5 A".
pub(super) fn current(a: f64) -> Arg {
    amount(match a {
        a if a >= 0.9995 => format!("{a:.2} A"),
        a if a >= 0.00995 => format!("{:.0} mA", a * 1e3),
        a => format!("{:.1} mA", a * 1e3),
    })
}

/// What a node feeds, for people.
pub(super) fn feeds(tree: &FeedTree, models: &LoadModels, node: usize) -> Message {
    let below = tree.leaves_below(node);
    if let Some(label) = &tree.node(node).label {
        return Message::plain(label);
    }
    match below {
        [leaf] => name(tree, models, *leaf),
        many => say::diagnosis::circuits(many.len()),
    }
}

fn name(tree: &FeedTree, models: &LoadModels, leaf: usize) -> Message {
    let spec = tree.node(leaf);
    if let Some(label) = &spec.label {
        return Message::plain(label);
    }
    match models.get(leaf).map(|model| model.family.as_str()) {
        Some(id) if id != "unknown" => say::diagnosis::the_family(of_kind(id)),
        _ => Message::plain(&spec.id.0),
    }
}

/// A family by its id, or by its name where that is not English.
fn of_kind(id: &str) -> Message {
    let own = id.replace('-', " ");
    match family::family(id).and_then(|family| family.name.in_german()) {
        Some(german) => Message::both(own, german),
        None => Message::plain(own),
    }
}

/// What a test leaves behind.
pub(super) fn disturbs(kind: TestKind, wake_chance: f64, settings: bool) -> Message {
    let wake = match kind {
        TestKind::Clamp | TestKind::Millivolt => return say::diagnosis::nothing_disturbed(),
        _ if wake_chance < 0.005 => say::diagnosis::waking_unlikely(),
        _ => say::diagnosis::may_wake(percent(wake_chance)),
    };
    if settings {
        say::diagnosis::and_settings_lost(wake)
    } else {
        wake
    }
}
