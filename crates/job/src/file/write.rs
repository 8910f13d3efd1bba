//! From a job to TOML that reads back as the same job.

use std::fmt::Write as _;

use harness::{NodeId, NodeSpec};
use measure::{Instrument, InstrumentKind};

use super::{FORMAT, amount, base64, words};
use crate::{Entry, EntryKind, Job, Recording, Shown};

/// A whole job file.
pub(crate) fn job(job: &Job) -> String {
    let mut text = header(job);
    for entry in &job.entries {
        text.push_str("\n[[entry]]\n");
        text.push_str(&self::entry(entry));
    }
    for (name, recording) in &job.recordings {
        text.push_str("\n[[recording]]\n");
        let mut table = Table::default();
        table.text("file", name);
        table.text("data", &base64::encode(&Recording::to_bytes(recording)));
        text.push_str(&table.0);
    }
    text
}

/// Everything but entries and recordings.
pub(crate) fn header(job: &Job) -> String {
    let mut top = Table::default();
    top.plain("format", FORMAT);
    if job.invented {
        top.plain("invented", true);
    }
    top.maybe("rehearsal", job.rehearsal.as_deref());
    if job.settings_may_be_lost {
        top.plain("settings_may_be_lost", true);
    }
    if job.pulled_stay_out {
        top.plain("pulled_stay_out", true);
    }
    let mut text = top.0;
    section(&mut text, "[vehicle]", vehicle(job));
    section(&mut text, "[battery]", battery(job));
    section(&mut text, "[complaint]", complaint(job));
    if let Some(usage) = job.usage {
        let mut table = Table::default();
        table.plain("trips_per_week", usage.trips_per_week);
        table.plain("minutes_per_trip", usage.minutes_per_trip);
        section(&mut text, "[usage]", table);
    }
    if let Some(limit_a) = job.limit_a {
        let mut table = Table::default();
        table.text("draw", &amount::ampere(limit_a));
        section(&mut text, "[limit]", table);
    }
    for known in &job.instruments {
        section(&mut text, "[[instrument]]", instrument(known));
    }
    for spec in &job.nodes {
        section(&mut text, "[[node]]", node(spec));
    }
    text
}

fn section(text: &mut String, head: &str, table: Table) {
    if !table.0.is_empty() {
        text.push('\n');
        text.push_str(head);
        text.push('\n');
        text.push_str(&table.0);
    }
}

/// The fields of one entry.
pub(crate) fn entry(entry: &Entry) -> String {
    let mut table = Table::default();
    table.text("at", &entry.at.to_string());
    table.text("kind", entry.kind.word());
    kind(&mut table, &entry.kind);
    table.maybe("instrument", entry.instrument.as_deref());
    table.0
}

fn kind(table: &mut Table, kind: &EntryKind) {
    match kind {
        EntryKind::Draw {
            node,
            how,
            shown,
            asleep,
        } => {
            table.text("node", &node.0);
            table.text("how", words::word(words::HOWS, *how));
            match *shown {
                Shown::Current(current_a) => table.text("value", &amount::ampere(current_a)),
                Shown::Drop(drop_v) => table.text("value", &amount::volt(drop_v)),
                Shown::Shunt { drop_v, shunt_ohm } => {
                    table.text("value", &amount::volt(drop_v));
                    table.text("shunt", &amount::ohm(shunt_ohm));
                }
            }
            table.plain("asleep", *asleep);
        }
        EntryKind::Pull {
            nodes,
            before_a,
            after_a,
        }
        | EntryKind::Refit {
            nodes,
            before_a,
            after_a,
        } => {
            table.nodes(nodes);
            table.maybe("before", before_a.map(amount::ampere).as_deref());
            table.maybe("after", after_a.map(amount::ampere).as_deref());
        }
        EntryKind::Unplug {
            node,
            before_a,
            after_a,
        } => {
            table.text("node", &node.0);
            table.maybe("before", before_a.map(amount::ampere).as_deref());
            table.maybe("after", after_a.map(amount::ampere).as_deref());
        }
        EntryKind::Trace { file, node, zero } => {
            table.text("file", file);
            table.text("node", &node.0);
            if !zero.is_empty() {
                table.texts("zero", zero.iter().map(String::as_str));
            }
        }
        EntryKind::Repair { node, text } => {
            table.maybe("node", node.as_ref().map(|node| node.0.as_str()));
            table.text("text", text);
        }
        EntryKind::Strike { entry } => table.plain("entry", entry),
        EntryKind::Note { text } => table.text("text", text),
        EntryKind::RestVoltage { .. }
        | EntryKind::Analyser { .. }
        | EntryKind::LoadTest { .. }
        | EntryKind::StandAlone { .. }
        | EntryKind::Resistance { .. }
        | EntryKind::Gravity { .. } => battery_test(table, kind),
        EntryKind::Drop { .. } | EntryKind::Charging { .. } => charging_test(table, kind),
    }
}

/// The fields of a test of the battery by itself.
fn battery_test(table: &mut Table, kind: &EntryKind) {
    match kind {
        EntryKind::RestVoltage {
            voltage_v,
            rested_h,
            temperature_c,
        } => {
            table.text("value", &amount::volt(*voltage_v));
            table.amount("rested", *rested_h, amount::hour);
            table.amount("temperature", *temperature_c, amount::celsius);
        }
        EntryKind::Analyser {
            current_a,
            standard,
        } => {
            table.text("value", &amount::ampere(*current_a));
            table.text("standard", words::word(words::STANDARDS, *standard));
        }
        EntryKind::LoadTest {
            voltage_v,
            load_a,
            after_s,
            temperature_c,
        } => {
            table.text("value", &amount::volt(*voltage_v));
            table.amount("load", *load_a, amount::ampere);
            table.amount("after", *after_s, amount::second);
            table.amount("temperature", *temperature_c, amount::celsius);
        }
        EntryKind::StandAlone {
            before_v,
            after_v,
            hours,
            temperature_c,
        } => {
            table.text("before", &amount::volt(*before_v));
            table.text("after", &amount::volt(*after_v));
            table.text("stood", &amount::hour(*hours));
            table.amount("temperature", *temperature_c, amount::celsius);
        }
        EntryKind::Resistance { ohm, temperature_c } => {
            table.text("value", &amount::ohm(*ohm));
            table.amount("temperature", *temperature_c, amount::celsius);
        }
        EntryKind::Gravity {
            lowest,
            highest,
            temperature_c,
        } => {
            table.plain("lowest", lowest);
            table.plain("highest", highest);
            table.amount("temperature", *temperature_c, amount::celsius);
        }
        // The others are written by `kind`.
        _ => {}
    }
}

/// The fields of a test of the charging and its cables.
fn charging_test(table: &mut Table, kind: &EntryKind) {
    match kind {
        EntryKind::Drop {
            place,
            drop_v,
            current_a,
        } => {
            table.text("value", &amount::volt(*drop_v));
            table.text("place", words::word(words::DROPS, *place));
            table.amount("current", *current_a, amount::ampere);
        }
        EntryKind::Charging {
            voltage_v,
            at_speed,
            ripple_v,
            temperature_c,
        } => {
            table.text("value", &amount::volt(*voltage_v));
            table.text("at_speed", words::word(words::SPEEDS, *at_speed));
            table.amount("ripple", *ripple_v, amount::volt);
            table.amount("temperature", *temperature_c, amount::celsius);
        }
        // The others are written by `kind`.
        _ => {}
    }
}

fn vehicle(job: &Job) -> Table {
    let mut table = Table::default();
    let vehicle = &job.vehicle;
    table.maybe(
        "name",
        Some(vehicle.name.as_str()).filter(|name| !name.is_empty()),
    );
    table.maybe("plate", vehicle.plate.as_deref());
    table.maybe("owner", vehicle.owner.as_deref());
    table.maybe("notes", vehicle.notes.as_deref());
    table
}

fn battery(job: &Job) -> Table {
    let mut table = Table::default();
    let card = &job.battery;
    table.text(
        "chemistry",
        words::word(words::CHEMISTRIES, card.label.chemistry),
    );
    // Ampere-hours are written as they are; their sub-units would only confuse.
    table.amount("capacity", card.label.capacity_ah, |value| {
        format!("{value}Ah")
    });
    table.amount("reserve", card.label.reserve_min, amount::minute);
    if let Some(cranking) = card.label.cranking {
        table.text("cranking", &amount::ampere(cranking.current_a));
        table.text(
            "cranking_standard",
            words::word(words::STANDARDS, cranking.standard),
        );
    }
    table.amount("age", card.age_years, amount::year);
    table.amount("engine_needs", card.engine_needs_a, amount::ampere);
    table
}

fn complaint(job: &Job) -> Table {
    let mut table = Table::default();
    table.maybe("text", job.complaint.text.as_deref());
    table.amount(
        "no_start_after",
        job.complaint.no_start_after_h,
        amount::hour,
    );
    table.amount("temperature", job.complaint.temperature_c, amount::celsius);
    table
}

fn instrument(known: &Instrument) -> Table {
    let mut table = Table::default();
    table.text("id", &known.id);
    table.text("kind", words::word(words::INSTRUMENT_KINDS, known.kind));
    table.plain(
        "accuracy_percent",
        format_args!("{:?}", known.accuracy_percent),
    );
    table.plain("digits", format_args!("{:?}", known.digits));
    let in_volt = matches!(
        known.kind,
        InstrumentKind::Millivolt | InstrumentKind::Voltmeter
    );
    table.amount(
        "resolution",
        known.resolution,
        if in_volt {
            amount::volt
        } else {
            amount::ampere
        },
    );
    if known.zero_set {
        table.plain("zero_set", true);
    }
    table
}

fn node(spec: &NodeSpec) -> Table {
    let mut table = Table::default();
    table.text("id", &spec.id.0);
    table.text("from", &spec.from.0);
    table.text("kind", words::word(words::NODE_KINDS, spec.kind));
    table.maybe("label", spec.label.as_deref());
    table.amount("rating", spec.rating_a, amount::ampere);
    table.maybe("fuse", spec.fuse.as_deref());
    if spec.in_place {
        table.plain("in_place", true);
    }
    table.maybe("family", spec.family.as_deref());
    if spec.keeps_settings {
        table.plain("keeps_settings", true);
    }
    if let Some(prior) = spec.prior {
        table.plain("prior", format_args!("{prior:?}"));
    }
    table.amount("normal", spec.normal_a, amount::ampere);
    table
}

/// The lines of one table.
#[derive(Default)]
struct Table(String);

impl Table {
    fn plain(&mut self, key: &str, value: impl std::fmt::Display) {
        // Writing to a String cannot fail.
        let _ = writeln!(self.0, "{key} = {value}");
    }

    fn text(&mut self, key: &str, text: &str) {
        self.plain(key, quoted(text));
    }

    fn maybe(&mut self, key: &str, text: Option<&str>) {
        if let Some(text) = text {
            self.text(key, text);
        }
    }

    fn amount(&mut self, key: &str, value: Option<f64>, write: impl Fn(f64) -> String) {
        if let Some(value) = value {
            self.text(key, &write(value));
        }
    }

    fn nodes(&mut self, nodes: &[NodeId]) {
        self.texts("nodes", nodes.iter().map(|node| node.0.as_str()));
    }

    fn texts<'t>(&mut self, field: &str, texts: impl Iterator<Item = &'t str>) {
        let texts: Vec<String> = texts.map(quoted).collect();
        self.plain(field, format_args!("[{}]", texts.join(", ")));
    }
}

/// A basic string of TOML 1.0.
fn quoted(text: &str) -> String {
    let mut quoted = String::with_capacity(text.len() + 2);
    quoted.push('"');
    for c in text.chars() {
        match c {
            '"' => quoted.push_str("\\\""),
            '\\' => quoted.push_str("\\\\"),
            '\n' => quoted.push_str("\\n"),
            '\t' => quoted.push_str("\\t"),
            '\r' => quoted.push_str("\\r"),
            c if c.is_control() => {
                let _ = write!(quoted, "\\u{:04X}", u32::from(c));
            }
            c => quoted.push(c),
        }
    }
    quoted.push('"');
    quoted
}
