//! Entries from fields, whether they come from a job file, a form or the
//! command line: one set of checks for all.

use std::collections::BTreeMap;

use harness::NodeId;
use jiff::Timestamp;
use measure::{
    instrument::How,
    quantity::{Ampere, Celsius, Ohm, Quantity, Second, Volt},
    range,
};
use tongue::{Message, say};

use super::{
    amount, battery_entries,
    fields::{FieldError, FieldErrors, Fields},
    words,
};
use crate::{Entry, EntryId, EntryKind, Job, Shown};

/// An entry from `key = value` texts, as forms and the command line give
/// them, checked against the job it is to be added to.
///
/// `fields` holds the fields of a job file's entry without `at` and `kind`
/// (`instrument` included); empty texts count as not given; lists are
/// separated by commas or blanks; yes and no may be written as such.
///
/// # Errors
/// Everything that is wrong, field by field.
pub fn entry_from_fields(
    kind: &str,
    fields: &BTreeMap<String, String>,
    at: Timestamp,
    job: &Job,
) -> Result<Entry, FieldErrors> {
    let mut fields = Fields::from_form(fields);
    let built = build(kind, &mut fields, Some(at), "the entry");
    fields
        .finish(&format!("a {kind} entry"))
        .map_err(FieldErrors)?;
    let entry = built.ok_or_else(|| FieldErrors(vec![incomplete()]))?;
    job.check(&entry)?;
    Ok(entry)
}

/// An entry of a job file. Whether it fits the job is checked by the caller.
pub(crate) fn from_file(mut fields: Fields, place: &str) -> Result<Entry, Vec<FieldError>> {
    let at = fields.stamp("at");
    if at.is_none() {
        fields.missing("at", place, say::fields::say_when());
    }
    let kind = fields.text("kind").unwrap_or_default();
    if kind.is_empty() {
        fields.missing("kind", place, kinds_hint(&kind));
    }
    let built = build(&kind, &mut fields, at, place);
    fields.finish(&format!("a {kind} entry"))?;
    built.ok_or_else(|| vec![incomplete()])
}

fn incomplete() -> FieldError {
    FieldError::new(
        "",
        say::fields::incomplete(),
        say::fields::incomplete_hint(),
    )
}

fn kinds_hint(kind: &str) -> Message {
    match harness::closest(kind, words::ENTRY_KINDS.iter().map(|&word| (word, word))) {
        Some(near) => say::fields::did_you_mean(near),
        None => say::fields::can_be(words::ENTRY_KINDS.join(", ")),
    }
}

/// Reads the fields of one kind. `None` when something was amiss, which has then been noted.
fn build(kind: &str, fields: &mut Fields, at: Option<Timestamp>, place: &str) -> Option<Entry> {
    let instrument = fields.text("instrument");
    let kind = match kind {
        "draw" => draw(fields, place),
        "pull" => pull(fields, place),
        "refit" => refit(fields, place),
        "unplug" => unplug(fields, place),
        "rest-voltage" => rest_voltage(fields, place),
        "analyser" => analyser(fields, place),
        "load-test" => load_test(fields, place),
        "stand-alone" => battery_entries::stand_alone(fields, place),
        "resistance" => battery_entries::resistance(fields, place),
        "gravity" => battery_entries::gravity(fields, place),
        "drop" => battery_entries::drop(fields, place),
        "charging" => charging(fields, place),
        "trace" => trace(fields, place),
        "repair" => repair(fields, place),
        "strike" => strike(fields, place),
        "note" => text(fields, place).map(|text| EntryKind::Note { text }),
        "" => None,
        other => {
            fields.fault("kind", say::fields::no_kind(other), kinds_hint(other));
            None
        }
    };
    Some(Entry {
        at: at?,
        instrument,
        kind: kind?,
    })
}

fn draw(fields: &mut Fields, place: &str) -> Option<EntryKind> {
    let node = node(fields, place);
    let how = fields.choice("how", words::HOWS);
    if how.is_none() {
        fields.missing("how", place, say::fields::say_how());
    }
    let shown = shown(fields, how, place);
    let asleep = fields.flag("asleep");
    if asleep.is_none() {
        fields.missing("asleep", place, say::fields::say_asleep());
    }
    Some(EntryKind::Draw {
        node: node?,
        how: how?,
        shown: shown?,
        asleep: asleep?,
    })
}

/// The value of a draw: a current, or a voltage where one is read.
fn shown(fields: &mut Fields, how: Option<How>, place: &str) -> Option<Shown> {
    let shunt_ohm = fields.amount::<Ohm>("shunt", SHUNT);
    if shunt_ohm.is_some() && how != Some(How::Shunt) {
        fields.fault(
            "shunt",
            say::fields::only_shunt(),
            say::fields::only_shunt_hint(),
        );
    }
    let Some(text) = fields.amount_text("value", Ampere::NAME, Ampere::examples()) else {
        fields.missing("value", place, say::fields::say_value());
        return None;
    };
    match (Ampere::parse(&text), Volt::parse(&text)) {
        (Ok(current), _) => fields
            .within("value", current.base(), range::DRAW)
            .map(Shown::Current),
        (Err(_), Ok(drop)) => {
            let drop_v = fields.within("value", drop.base(), range::FUSE_DROP)?;
            match (how?, shunt_ohm) {
                (How::Millivolt, _) => Some(Shown::Drop(drop_v)),
                (How::Shunt, Some(shunt_ohm)) => Some(Shown::Shunt { drop_v, shunt_ohm }),
                (How::Shunt, None) => {
                    fields.fault(
                        "shunt",
                        say::fields::needs_shunt(),
                        say::fields::needs_shunt_hint(),
                    );
                    None
                }
                (How::Clamp | How::InLine, _) => {
                    let hint = say::fields::current_or_millivolt();
                    fields.fault("value", say::fields::a_voltage(&text), hint);
                    None
                }
            }
        }
        (Err(error), Err(_)) => {
            let hint = match how {
                Some(How::Millivolt | How::Shunt) => say::fields::unit_drop(),
                _ => error.hint,
            };
            fields.fault("value", error.message, hint);
            None
        }
    }
}

/// A shunt's resistance. Common practice: anything from a cable to a resistor.
const SHUNT: range::Range = range::Range {
    name: "shunt resistance",
    low: 1e-6,
    high: 100.0,
    unit: "Ω",
};
/// A load test's length. Common practice: 15 s is usual.
const LOADED: range::Range = range::Range {
    name: "time under load",
    low: 0.0,
    high: 600.0,
    unit: "s",
};
/// Ripple on the charging voltage. Common practice: above 5 V it is no ripple any more.
const RIPPLE: range::Range = range::Range {
    name: "ripple",
    low: 0.0,
    high: 5.0,
    unit: "V",
};
/// A time of rest.
const RESTED: range::Range = range::Range {
    name: "time of rest",
    low: 0.0,
    high: 87_600.0,
    unit: "h",
};

fn pull(fields: &mut Fields, place: &str) -> Option<EntryKind> {
    let nodes = nodes(fields, place);
    let (before_a, after_a) = both_sides(fields, place, say::fields::the_pull())?;
    Some(EntryKind::Pull {
        nodes: nodes?,
        before_a,
        after_a,
    })
}

fn refit(fields: &mut Fields, place: &str) -> Option<EntryKind> {
    let nodes = nodes(fields, place);
    let (before_a, after_a) = both_sides(fields, place, say::fields::the_refit())?;
    Some(EntryKind::Refit {
        nodes: nodes?,
        before_a,
        after_a,
    })
}

fn unplug(fields: &mut Fields, place: &str) -> Option<EntryKind> {
    let node = fields.text("node").map(NodeId);
    if node.is_none() {
        // The total cannot be unplugged.
        fields.missing("node", place, say::fields::not_a_load_hint());
    }
    let (before_a, after_a) = both_sides(fields, place, say::fields::the_unplugging())?;
    Some(EntryKind::Unplug {
        node: node?,
        before_a,
        after_a,
    })
}

/// The totals on both sides of what was done, or neither; `None` where one of them is missing.
fn both_sides(
    fields: &mut Fields,
    place: &str,
    done: Message,
) -> Option<(Option<f64>, Option<f64>)> {
    let before = fields.amount::<Ampere>("before", range::DRAW);
    let after = fields.amount::<Ampere>("after", range::DRAW);
    // Both are missing where a meter is logging: the recording shows the step.
    if before.is_none() && after.is_some() {
        fields.missing("before", place, say::fields::say_before(&done));
        return None;
    }
    if after.is_none() && before.is_some() {
        fields.missing("after", place, say::fields::say_after(&done));
        return None;
    }
    Some((before, after))
}

fn rest_voltage(fields: &mut Fields, place: &str) -> Option<EntryKind> {
    let voltage = voltage(fields, place, "12.62V");
    let rested_h = hours(fields, "rested");
    let temperature_c = temperature(fields);
    Some(EntryKind::RestVoltage {
        voltage_v: voltage?,
        rested_h,
        temperature_c,
    })
}

fn analyser(fields: &mut Fields, place: &str) -> Option<EntryKind> {
    let current = fields.amount::<Ampere>("value", range::CRANKING);
    if current.is_none() {
        fields.missing("value", place, say::fields::say_cranking());
    }
    let standard = fields.choice("standard", words::STANDARDS);
    if standard.is_none() {
        fields.missing("standard", place, say::fields::say_standard());
    }
    Some(EntryKind::Analyser {
        current_a: current?,
        standard: standard?,
    })
}

fn load_test(fields: &mut Fields, place: &str) -> Option<EntryKind> {
    let voltage = voltage(fields, place, "9.8V");
    let load_a = fields.amount::<Ampere>("load", range::CRANKING);
    let after_s = fields.amount::<Second>("after", LOADED);
    let temperature_c = temperature(fields);
    Some(EntryKind::LoadTest {
        voltage_v: voltage?,
        load_a,
        after_s,
        temperature_c,
    })
}

fn charging(fields: &mut Fields, place: &str) -> Option<EntryKind> {
    let voltage = voltage(fields, place, "14.2V");
    let at_speed = fields.choice("at_speed", words::SPEEDS);
    if at_speed.is_none() {
        fields.missing("at_speed", place, say::fields::say_speed());
    }
    let ripple_v = fields.amount::<Volt>("ripple", RIPPLE);
    let temperature_c = temperature(fields);
    Some(EntryKind::Charging {
        voltage_v: voltage?,
        at_speed: at_speed?,
        ripple_v,
        temperature_c,
    })
}

fn trace(fields: &mut Fields, place: &str) -> Option<EntryKind> {
    let file = fields.text("file");
    if file.is_none() {
        fields.missing("file", place, say::fields::say_recording());
    }
    let node = match fields.text("node") {
        Some(node) => NodeId(node),
        // A recording is made at the battery unless it says otherwise.
        None => NodeId::battery(),
    };
    let zero = fields.list("zero").unwrap_or_default();
    Some(EntryKind::Trace {
        file: file?,
        node,
        zero,
    })
}

fn repair(fields: &mut Fields, place: &str) -> Option<EntryKind> {
    let node = fields.text("node").map(NodeId);
    let text = text(fields, place);
    Some(EntryKind::Repair { node, text: text? })
}

fn strike(fields: &mut Fields, place: &str) -> Option<EntryKind> {
    let number = fields.whole("entry");
    if number.is_none() {
        fields.missing("entry", place, say::fields::say_entry());
    }
    let entry = EntryId::from_number(number?);
    if entry.is_none() {
        fields.fault(
            "entry",
            say::fields::no_entry_zero(),
            say::fields::counted_from_one(),
        );
    }
    Some(EntryKind::Strike { entry: entry? })
}

fn node(fields: &mut Fields, place: &str) -> Option<NodeId> {
    let node = fields.text("node");
    if node.is_none() {
        fields.missing("node", place, say::fields::say_where());
    }
    node.map(NodeId)
}

/// `nodes = ["F3", "F4"]`, or `node = "F3"` for one.
fn nodes(fields: &mut Fields, place: &str) -> Option<Vec<NodeId>> {
    let mut found: Vec<NodeId> = fields
        .list("nodes")
        .unwrap_or_default()
        .into_iter()
        .map(NodeId)
        .collect();
    found.extend(fields.text("node").map(NodeId));
    if found.is_empty() {
        fields.missing("nodes", place, say::fields::say_fuses());
        return None;
    }
    Some(found)
}

fn text(fields: &mut Fields, place: &str) -> Option<String> {
    let text = fields.text("text");
    if text.is_none() {
        fields.missing("text", place, say::fields::say_words());
    }
    text
}

fn voltage(fields: &mut Fields, place: &str, example: &str) -> Option<f64> {
    let voltage = fields.amount::<Volt>("value", range::VOLTAGE);
    if voltage.is_none() {
        fields.missing("value", place, say::fields::say_voltage(example));
    }
    voltage
}

pub(super) fn temperature(fields: &mut Fields) -> Option<f64> {
    fields.amount::<Celsius>("temperature", range::TEMPERATURE)
}

pub(super) fn hours(fields: &mut Fields, field: &'static str) -> Option<f64> {
    let text = fields.amount_text(field, Second::NAME, Second::examples())?;
    let value = fields.understood(field, amount::hours(&text))?;
    fields.within(field, value, RESTED)
}
