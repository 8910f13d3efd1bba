//! Entries in words, the same on the page, the terminal and in the report.

use harness::NodeId;
use measure::{
    instrument::How,
    quantity::{Ampere, Celsius, Ohm, Second, Volt},
};
use tongue::{Message, amount, say};

use crate::{Entry, EntryKind, Shown, Speed};

/// One line that says what was seen or done, with the instrument and the nodes by their ids.
pub fn describe(entry: &Entry) -> Message {
    let with = entry.instrument.as_ref().map(Message::plain);
    sentence(&entry.kind, with, &by_id)
}

/// The same without the instrument, and with `name` for each node.
pub fn describe_kind(kind: &EntryKind, name: impl Fn(&NodeId) -> String) -> Message {
    sentence(kind, None, &|node| Message::plain(name(node)))
}

/// A node by its id; the battery's is a word.
pub(crate) fn by_id(node: &NodeId) -> Message {
    if *node == NodeId::battery() {
        say::job::battery()
    } else {
        Message::plain(&node.0)
    }
}

type Name<'a> = &'a dyn Fn(&NodeId) -> Message;

/// What was done, with the totals on both sides where they were read.
fn became(done: Message, before_a: Option<f64>, after_a: Option<f64>) -> Message {
    match (before_a, after_a) {
        (Some(before), Some(after)) => say::job::entry_became(Ampere(after), Ampere(before), done),
        _ => done,
    }
}

fn sentence(kind: &EntryKind, with: Option<Message>, name: Name<'_>) -> Message {
    match kind {
        EntryKind::Draw {
            node,
            how,
            shown,
            asleep,
        } => {
            let asleep = if *asleep {
                say::job::entry_asleep()
            } else {
                say::job::entry_awake()
            };
            let manner = [manner(*how, with.as_ref()), with, Some(asleep)];
            let manner = parts(manner, ", ");
            match *shown {
                Shown::Drop(drop_v) => {
                    say::job::entry_draw_across(manner, name(node), Volt(drop_v))
                }
                Shown::Current(current_a) => {
                    let seen = say::job::entry_current(Ampere(current_a));
                    say::job::entry_draw(manner, name(node), seen)
                }
                Shown::Shunt { drop_v, shunt_ohm } => {
                    let seen = say::job::entry_across_shunt(Ohm(shunt_ohm), Volt(drop_v));
                    say::job::entry_draw(manner, name(node), seen)
                }
            }
        }
        EntryKind::Pull {
            nodes,
            before_a,
            after_a,
        } => became(
            say::job::entry_pulled(names(nodes, name)),
            *before_a,
            *after_a,
        ),
        EntryKind::Refit {
            nodes,
            before_a,
            after_a,
        } => became(
            say::job::entry_refit(names(nodes, name)),
            *before_a,
            *after_a,
        ),
        EntryKind::Unplug {
            node,
            before_a,
            after_a,
        } => became(say::job::entry_unplugged(name(node)), *before_a, *after_a),
        EntryKind::RestVoltage { .. }
        | EntryKind::Analyser { .. }
        | EntryKind::LoadTest { .. }
        | EntryKind::StandAlone { .. }
        | EntryKind::Resistance { .. }
        | EntryKind::Gravity { .. } => battery_test(kind, with),
        EntryKind::Drop { .. } | EntryKind::Charging { .. } => charging_test(kind),
        EntryKind::Trace { file, node, zero } if zero.is_empty() => {
            say::job::entry_recording(file, name(node))
        }
        EntryKind::Trace { file, node, zero } => {
            say::job::entry_recording_zero(file, name(node), zero.join(", "))
        }
        EntryKind::Repair {
            node: Some(node),
            text,
        } => say::job::entry_repair_at(name(node), text),
        EntryKind::Repair { node: None, text } => say::job::entry_repair(text),
        EntryKind::Strike { entry } => say::job::entry_struck(entry.to_string()),
        EntryKind::Note { text } => say::job::entry_remark(text),
    }
}

fn battery_test(kind: &EntryKind, with: Option<Message>) -> Message {
    match kind {
        EntryKind::RestVoltage {
            voltage_v,
            rested_h,
            temperature_c,
        } => {
            let seen = [
                Some(say::job::entry_rest(Volt(*voltage_v))),
                rested_h.map(|hours| say::job::entry_after_rest(Second(hours * 3600.0))),
                at(*temperature_c),
            ];
            parts([Some(parts(seen, " ")), with], ", ")
        }
        EntryKind::LoadTest {
            voltage_v,
            load_a,
            after_s,
            temperature_c,
        } => {
            let seen = [
                Some(say::job::entry_holds(Volt(*voltage_v))),
                load_a.map(|load| say::job::entry_under(Ampere(load))),
                after_s.map(|after| say::job::entry_after(Second(after))),
                at(*temperature_c),
            ];
            parts(seen, " ")
        }
        EntryKind::StandAlone {
            before_v,
            after_v,
            hours,
            temperature_c,
        } => {
            let time = Second(hours * 3600.0);
            let seen = say::job::entry_alone(Volt(*after_v), Volt(*before_v), time);
            parts([Some(seen), at(*temperature_c)], " ")
        }
        EntryKind::Analyser {
            current_a,
            standard,
        } => {
            let standard = standard.as_str().to_uppercase();
            let seen = say::job::entry_analyser(Ampere(*current_a), standard);
            parts([Some(seen), with], ", ")
        }
        EntryKind::Resistance { ohm, temperature_c } => {
            let seen = [
                Some(say::job::entry_resistance(Ohm(*ohm))),
                at(*temperature_c),
            ];
            parts([Some(parts(seen, " ")), with], ", ")
        }
        EntryKind::Gravity {
            lowest,
            highest,
            temperature_c,
        } => {
            let (from, to) = (amount(lowest.to_string()), amount(highest.to_string()));
            let seen = say::job::entry_gravity(to, from);
            parts([Some(seen), at(*temperature_c)], " ")
        }
        // The others are told by `sentence`.
        _ => Message::default(),
    }
}

fn charging_test(kind: &EntryKind) -> Message {
    match kind {
        EntryKind::Drop {
            place,
            drop_v,
            current_a,
        } => {
            let lost = say::job::entry_drop(place.words(), Volt(*drop_v));
            let current = current_a.map(|ampere| say::job::entry_at_current(Ampere(ampere)));
            parts([Some(lost), current], " ")
        }
        EntryKind::Charging {
            voltage_v,
            at_speed,
            ripple_v,
            temperature_c,
        } => {
            let seen = [
                Some(say::job::entry_charging(Volt(*voltage_v))),
                Some(speed(*at_speed)),
                ripple_v.map(|ripple| say::job::entry_ripple(Volt(ripple))),
            ];
            parts([Some(parts(seen, ", ")), at(*temperature_c)], " ")
        }
        // The others are told by `sentence`.
        _ => Message::default(),
    }
}

/// How it was read, unless the instrument's own name says it.
fn manner(how: How, with: Option<&Message>) -> Option<Message> {
    let how = hook_up(how);
    let name = with.map(|with| with.to_lowercase()).unwrap_or_default();
    let told = tongue::Lang::ALL.iter().any(|(lang, _)| {
        let word = tongue::speak(*lang, || how.to_string()).to_lowercase();
        name.contains(&word)
    });
    (!told).then_some(how)
}

fn hook_up(how: How) -> Message {
    match how {
        How::Clamp => say::job::entry_by_clamp(),
        How::InLine => say::job::entry_in_line(),
        How::Millivolt => say::job::entry_millivolts(),
        How::Shunt => say::job::entry_shunt(),
    }
}

fn speed(speed: Speed) -> Message {
    match speed {
        Speed::Idle => say::job::entry_idling(),
        Speed::Raised => say::job::entry_raised(),
        Speed::Loaded => say::job::entry_loaded(),
    }
}

fn names(nodes: &[NodeId], name: Name<'_>) -> Message {
    Message::joined(nodes.iter().map(name).collect(), ", ")
}

fn at(temperature_c: Option<f64>) -> Option<Message> {
    temperature_c.map(|celsius| say::job::entry_at_temperature(Celsius(celsius)))
}

/// What there is of them, with `between` between.
fn parts<const N: usize>(parts: [Option<Message>; N], between: &'static str) -> Message {
    Message::joined(parts.into_iter().flatten().collect(), between)
}
