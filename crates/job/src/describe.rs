//! Entries in words, the same on the page, the terminal and in the report.

use harness::NodeId;
use measure::{
    instrument::How,
    quantity::{Ampere, Celsius, Ohm, Second, Volt},
};

use crate::{Entry, EntryKind, Shown, Speed};

/// One line that says what was seen or done, with the instrument and the nodes by their ids.
pub fn describe(entry: &Entry) -> String {
    let with = entry
        .instrument
        .as_ref()
        .map_or(String::new(), |name| format!(", {name}"));
    sentence(&entry.kind, &with, &|node| node.to_string())
}

/// The same without the instrument, and with `name` for each node.
pub fn describe_kind(kind: &EntryKind, name: impl Fn(&NodeId) -> String) -> String {
    sentence(kind, "", &name)
}

fn sentence(kind: &EntryKind, with: &str, name: &dyn Fn(&NodeId) -> String) -> String {
    match kind {
        EntryKind::Draw {
            node,
            how,
            shown,
            asleep,
        } => {
            let asleep = if *asleep { "asleep" } else { "awake" };
            format!(
                "{} at {} ({}{with}, {asleep})",
                seen(*shown),
                name(node),
                hook_up(*how)
            )
        }
        EntryKind::Pull {
            nodes,
            before_a,
            after_a,
        } => {
            let pulled = format!("{} pulled", names(nodes, name));
            match (before_a, after_a) {
                (Some(before), Some(after)) => {
                    format!("{pulled}: {} became {}", Ampere(*before), Ampere(*after))
                }
                _ => pulled,
            }
        }
        EntryKind::Refit { nodes } => format!("{} put back", names(nodes, name)),
        EntryKind::RestVoltage { .. }
        | EntryKind::Analyser { .. }
        | EntryKind::LoadTest { .. }
        | EntryKind::StandAlone { .. }
        | EntryKind::Resistance { .. }
        | EntryKind::Gravity { .. } => battery_test(kind, with),
        EntryKind::Drop { .. } | EntryKind::Charging { .. } => charging_test(kind),
        EntryKind::Trace { file, node, zero } if zero.is_empty() => {
            format!("Recording {file} at {}", name(node))
        }
        EntryKind::Trace { file, node, zero } => format!(
            "Recording {file} at {}, clamp off the cable {}",
            name(node),
            zero.join(", ")
        ),
        EntryKind::Repair {
            node: Some(node),
            text,
        } => format!("Repair at {}: {text}", name(node)),
        EntryKind::Repair { node: None, text } => format!("Repair: {text}"),
        EntryKind::Strike { entry } => format!("Entry {entry} struck out"),
        EntryKind::Note { text } => format!("Remark: {text}"),
    }
}

fn battery_test(kind: &EntryKind, with: &str) -> String {
    voltage_test(kind, with).unwrap_or_else(|| other_battery_test(kind, with))
}

/// Tests that read the battery's voltage.
fn voltage_test(kind: &EntryKind, with: &str) -> Option<String> {
    Some(match kind {
        EntryKind::RestVoltage {
            voltage_v,
            rested_h,
            temperature_c,
        } => {
            let rested = optional(*rested_h, |hours| {
                format!(" after {} of rest", Second(hours * 3600.0))
            });
            format!(
                "Battery at {}{rested}{}{with}",
                Volt(*voltage_v),
                at(*temperature_c)
            )
        }
        EntryKind::LoadTest {
            voltage_v,
            load_a,
            after_s,
            temperature_c,
        } => {
            let load = optional(*load_a, |load| format!(" under {}", Ampere(load)));
            let after = optional(*after_s, |after| format!(" after {}", Second(after)));
            format!(
                "Battery holds {}{load}{after}{}",
                Volt(*voltage_v),
                at(*temperature_c)
            )
        }
        EntryKind::StandAlone {
            before_v,
            after_v,
            hours,
            temperature_c,
        } => format!(
            "Battery alone: {} became {} in {}{}",
            Volt(*before_v),
            Volt(*after_v),
            Second(hours * 3600.0),
            at(*temperature_c)
        ),
        _ => return None,
    })
}

fn other_battery_test(kind: &EntryKind, with: &str) -> String {
    match kind {
        EntryKind::Analyser {
            current_a,
            standard,
        } => {
            let standard = standard.as_str().to_uppercase();
            format!("Analyser shows {} ({standard}){with}", Ampere(*current_a))
        }
        EntryKind::Resistance { ohm, temperature_c } => {
            format!(
                "Battery resistance {}{}{with}",
                Ohm(*ohm),
                at(*temperature_c)
            )
        }
        EntryKind::Gravity {
            lowest,
            highest,
            temperature_c,
        } => format!(
            "Acid of the cells {lowest} to {highest}{}",
            at(*temperature_c)
        ),
        // The others are told by `sentence`.
        _ => String::new(),
    }
}

fn charging_test(kind: &EntryKind) -> String {
    match kind {
        EntryKind::Drop {
            place,
            drop_v,
            current_a,
        } => {
            let current = optional(*current_a, |ampere| format!(" at {}", Ampere(ampere)));
            format!("{} lost {}{current}", Volt(*drop_v), place.words())
        }
        EntryKind::Charging {
            voltage_v,
            at_speed,
            ripple_v,
            temperature_c,
        } => {
            let ripple = optional(*ripple_v, |ripple| format!(", ripple {}", Volt(ripple)));
            let speed = speed(*at_speed);
            format!(
                "Charging at {}, {speed}{ripple}{}",
                Volt(*voltage_v),
                at(*temperature_c)
            )
        }
        // The others are told by `sentence`.
        _ => String::new(),
    }
}

fn seen(shown: Shown) -> String {
    match shown {
        Shown::Current(current_a) => Ampere(current_a).to_string(),
        Shown::Drop(drop_v) => format!("{} across it", Volt(drop_v)),
        Shown::Shunt { drop_v, shunt_ohm } => format!("{} across {}", Volt(drop_v), Ohm(shunt_ohm)),
    }
}

fn hook_up(how: How) -> &'static str {
    match how {
        How::Clamp => "clamp",
        How::InLine => "meter in the circuit",
        How::Millivolt => "millivolts",
        How::Shunt => "shunt",
    }
}

fn speed(speed: Speed) -> &'static str {
    match speed {
        Speed::Idle => "idling",
        Speed::Raised => "at raised speed",
        Speed::Loaded => "at raised speed with consumers on",
    }
}

fn names(nodes: &[NodeId], name: &dyn Fn(&NodeId) -> String) -> String {
    nodes.iter().map(name).collect::<Vec<_>>().join(", ")
}

fn at(temperature_c: Option<f64>) -> String {
    optional(temperature_c, |celsius| format!(" at {}", Celsius(celsius)))
}

fn optional(value: Option<f64>, words: impl Fn(f64) -> String) -> String {
    value.map_or(String::new(), words)
}
