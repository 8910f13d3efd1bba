//! From TOML to a job.

use std::sync::Arc;

use battery::Cranking;
use harness::{FeedTree, NodeId, NodeSpec, TreeError};
use measure::{
    Instrument, InstrumentKind,
    quantity::{Ampere, AmpereHour, Celsius, Quantity, Second, Volt},
    range::{self, Range},
};
use toml::de::{DeTable, DeValue};
use tongue::{Message, say};

use super::{
    FORMAT, FileError, amount, base64, entries,
    fields::{FieldError, Fields, tables, words_for},
    usage, words,
};
use crate::{Entry, Job, Recording};

/// Which tables a text may hold.
#[derive(Clone, Copy, PartialEq)]
pub(crate) enum Part {
    /// A whole job file.
    Whole,
    /// Everything but entries and recordings.
    Header,
}

const HEADER_TABLES: &[&str] = &[
    "vehicle",
    "battery",
    "complaint",
    "usage",
    "limit",
    "instrument",
    "node",
];
const LIST_TABLES: &[&str] = &["entry", "recording"];

/// Accuracy in percent. Common practice.
const ACCURACY: Range = Range {
    name: "accuracy",
    low: 0.0,
    high: 100.0,
    unit: "%",
};
/// Accuracy in counts. Common practice.
const DIGITS: Range = Range {
    name: "accuracy",
    low: 0.0,
    high: 10_000.0,
    unit: "counts",
};
/// Smallest step shown, ampere or volt. Common practice.
const RESOLUTION: Range = Range {
    name: "resolution",
    low: 1e-9,
    high: 100.0,
    unit: "A or V",
};
/// Parked time, hours: as `range::PARKED`, which is in seconds.
const PARKED: Range = Range {
    name: "time",
    low: 0.0,
    high: 87_600.0,
    unit: "h",
};

/// Reads a job file, or the part of one.
pub(crate) fn read(text: &str, part: Part) -> Result<Job, FileError> {
    let file = File { text };
    let document = DeTable::parse(text).map_err(|error| file.syntax(&error))?;
    let top = document.get_ref();
    file.format(top)?;
    file.known_tables(top, part)?;
    let mut job = Job::default();
    file.header(top, &mut job)?;
    if part == Part::Whole {
        file.entries(top, &mut job)?;
        file.recordings(top, &mut job)?;
    }
    Ok(job)
}

/// Reads one entry alone: its fields at the top of the text.
pub(crate) fn read_entry(text: &str) -> Result<Entry, FileError> {
    let file = File { text };
    let document = DeTable::parse(text).map_err(|error| file.syntax(&error))?;
    let fields = Fields::from_table(document.get_ref(), 0);
    file.first(entries::from_file(fields, "the entry"))
}

struct File<'t> {
    text: &'t str,
}

impl File<'_> {
    /// The line of a byte, counted from 1.
    fn line(&self, offset: usize) -> usize {
        let before = self
            .text
            .as_bytes()
            .get(..offset)
            .unwrap_or(self.text.as_bytes());
        before.iter().filter(|&&byte| byte == b'\n').count() + 1
    }

    fn error(
        &self,
        offset: Option<usize>,
        message: impl Into<Message>,
        hint: impl Into<Message>,
    ) -> FileError {
        FileError {
            line: offset.map(|offset| self.line(offset)),
            message: message.into(),
            hint: hint.into(),
        }
    }

    fn syntax(&self, error: &toml::de::Error) -> FileError {
        let message = error.message().trim_end_matches('.').replace('\n', ", ");
        self.error(
            error.span().map(|span| span.start),
            say::file::not_toml(message),
            say::file::not_toml_hint(),
        )
    }

    /// The first of some field errors as an error of the file.
    fn first<T>(&self, result: Result<T, Vec<FieldError>>) -> Result<T, FileError> {
        result.map_err(|errors| match errors.into_iter().next() {
            Some(error) => self.error(error.offset, error.message, error.hint),
            None => self.error(
                None,
                say::file::table_unreadable(),
                say::file::table_unreadable_hint(),
            ),
        })
    }

    fn format(&self, top: &DeTable<'_>) -> Result<(), FileError> {
        let hint = say::file::format_hint(FORMAT.to_string());
        let Some((key, value)) = top.iter().find(|(key, _)| key.get_ref() == "format") else {
            return Err(self.error(None, say::file::no_format(), hint));
        };
        let number = match value.get_ref() {
            DeValue::Integer(number) => number.as_str().parse::<u64>().ok(),
            _ => None,
        };
        match number {
            Some(FORMAT) => Ok(()),
            Some(newer) if newer > FORMAT => Err(self.error(
                Some(key.span().start),
                say::file::newer(FORMAT.to_string(), newer.to_string()),
                say::file::newer_hint(),
            )),
            _ => Err(self.error(Some(key.span().start), say::file::unknown_format(), hint)),
        }
    }

    fn known_tables(&self, top: &DeTable<'_>, part: Part) -> Result<(), FileError> {
        let scalars = [
            "format",
            "invented",
            "rehearsal",
            "settings_may_be_lost",
            "pulled_stay_out",
        ];
        let lists: &[&str] = if part == Part::Whole {
            LIST_TABLES
        } else {
            &[]
        };
        let known = || scalars.iter().chain(HEADER_TABLES).chain(lists).copied();
        // By place, so that the first fault of the file is the one shown.
        let mut unknown: Vec<_> = top
            .keys()
            .filter(|key| !known().any(|name| name == key.get_ref().as_ref()))
            .collect();
        unknown.sort_by_key(|key| key.span().start);
        let Some(key) = unknown.first() else {
            return Ok(());
        };
        let name = key.get_ref();
        let hint = match harness::closest(name, known().map(|name| (name, name))) {
            Some(near) => say::fields::did_you_mean(near),
            None => say::fields::can_hold(known().collect::<Vec<_>>().join(", ")),
        };
        Err(self.error(
            Some(key.span().start),
            say::file::no_table(name.to_string()),
            hint,
        ))
    }

    fn header(&self, top: &DeTable<'_>, job: &mut Job) -> Result<(), FileError> {
        let mut scalars = Fields::from_table(top, 0);
        job.invented = scalars.flag("invented").unwrap_or(false);
        job.rehearsal = scalars.text("rehearsal");
        job.settings_may_be_lost = scalars.flag("settings_may_be_lost").unwrap_or(false);
        job.pulled_stay_out = scalars.flag("pulled_stay_out").unwrap_or(false);
        // The tables have been asked for by name already.
        let wrong = scalars.finish_known();
        self.first(wrong)?;
        self.table(top, "vehicle", |fields| vehicle(fields, job))?;
        self.table(top, "battery", |fields| battery(fields, job))?;
        self.table(top, "complaint", |fields| complaint(fields, job))?;
        self.table(top, "usage", |fields| usage::read(fields, job))?;
        self.table(top, "limit", |fields| {
            job.limit_a = fields.amount::<Ampere>("draw", range::LIMIT)
        })?;
        for (mut fields, offset) in self.list(top, "instrument")? {
            let instrument = instrument(&mut fields);
            self.first(fields.finish("an instrument"))?;
            let Some(instrument) = instrument else {
                continue;
            };
            if job
                .instruments
                .iter()
                .any(|known| known.id == instrument.id)
            {
                let message = say::file::two_instruments(&instrument.id);
                return Err(self.error(Some(offset), message, say::file::own_id()));
            }
            job.instruments.push(instrument);
        }
        self.nodes(top, job)
    }

    fn nodes(&self, top: &DeTable<'_>, job: &mut Job) -> Result<(), FileError> {
        let mut offsets = Vec::new();
        for (mut fields, offset) in self.list(top, "node")? {
            let node = node(&mut fields);
            self.first(fields.finish("a node"))?;
            job.nodes.extend(node);
            offsets.push(offset);
        }
        FeedTree::build(job.nodes.clone())
            .map(|_| ())
            .map_err(|error| {
                let at = tree_position(&error, &job.nodes)
                    .and_then(|position| offsets.get(position))
                    .copied();
                let hint = error.hint().unwrap_or_else(say::fields::check_number);
                self.error(at, error.message(), hint)
            })
    }

    fn entries(&self, top: &DeTable<'_>, job: &mut Job) -> Result<(), FileError> {
        for (position, (fields, offset)) in self.list(top, "entry")?.into_iter().enumerate() {
            let place = format!("entry {}", position + 1);
            let places = fields.places();
            let entry = self.first(entries::from_file(fields, &place))?;
            if let Err(errors) = job.add(entry) {
                let error = errors.0.into_iter().next();
                let (field, message, hint) = match error {
                    Some(error) => (error.field, error.message, error.hint),
                    None => Default::default(),
                };
                let at = places.get(&field).copied().flatten().unwrap_or(offset);
                return Err(self.error(Some(at), say::file::at(message, words_for(&place)), hint));
            }
        }
        Ok(())
    }

    fn recordings(&self, top: &DeTable<'_>, job: &mut Job) -> Result<(), FileError> {
        for (mut fields, offset) in self.list(top, "recording")? {
            let name = fields.text("file");
            let data = fields.text("data");
            if name.is_none() {
                fields.missing("file", "a recording", say::file::recording_name());
            }
            if data.is_none() {
                fields.missing("data", "a recording", say::file::export_again());
            }
            self.first(fields.finish("a recording"))?;
            let (Some(name), Some(data)) = (name, data) else {
                continue;
            };
            let hint = say::file::damaged();
            let bytes = base64::decode(&data).ok_or_else(|| {
                self.error(Some(offset), say::file::not_base64(&name), hint.clone())
            })?;
            let recording = Recording::from_bytes(&bytes).map_err(|error| {
                let message = say::file::recording(error.message(), &name);
                self.error(Some(offset), message, hint)
            })?;
            if job
                .recordings
                .insert(name.clone(), Arc::new(recording))
                .is_some()
            {
                let message = say::file::two_recordings(&name);
                return Err(self.error(Some(offset), message, say::file::own_name()));
            }
        }
        Ok(())
    }

    /// Reads the fields of the table `name`, if it is there.
    fn table(
        &self,
        top: &DeTable<'_>,
        name: &str,
        read: impl FnOnce(&mut Fields),
    ) -> Result<(), FileError> {
        let Some(value) = top.get(name) else {
            return Ok(());
        };
        let DeValue::Table(table) = value.get_ref() else {
            return Err(self.error(
                Some(value.span().start),
                say::file::not_a_table(name),
                say::file::not_a_table_hint(name),
            ));
        };
        let mut fields = Fields::from_table(table, value.span().start);
        read(&mut fields);
        self.first(fields.finish(&format!("[{name}]")))
    }

    /// The fields of each `[[name]]`, with the place where it starts.
    fn list(&self, top: &DeTable<'_>, name: &str) -> Result<Vec<(Fields, usize)>, FileError> {
        let Some(value) = top.get(name) else {
            return Ok(Vec::new());
        };
        let found = tables(value).ok_or_else(|| {
            self.error(
                Some(value.span().start),
                say::file::not_a_list(name),
                say::file::not_a_list_hint(name),
            )
        })?;
        Ok(found
            .into_iter()
            .map(|(table, start)| (Fields::from_table(table, start), start))
            .collect())
    }
}

fn vehicle(fields: &mut Fields, job: &mut Job) {
    job.vehicle.name = fields.text("name").unwrap_or_default();
    job.vehicle.plate = fields.text("plate");
    job.vehicle.owner = fields.text("owner");
    job.vehicle.notes = fields.text("notes");
}

fn battery(fields: &mut Fields, job: &mut Job) {
    let label = &mut job.battery.label;
    if let Some(chemistry) = fields.choice("chemistry", words::CHEMISTRIES) {
        label.chemistry = chemistry;
    }
    label.capacity_ah = fields.amount::<AmpereHour>("capacity", range::CAPACITY);
    let reserve = fields.amount_text("reserve", "reserve", "110min");
    label.reserve_min = reserve.and_then(|text| {
        let minutes = fields.understood("reserve", amount::minutes(&text))?;
        fields.within("reserve", minutes, range::RESERVE)
    });
    let current = fields.amount::<Ampere>("cranking", range::CRANKING);
    let standard = fields.choice("cranking_standard", words::STANDARDS);
    label.cranking = match (current, standard) {
        (Some(current_a), Some(standard)) => Some(Cranking {
            current_a,
            standard,
        }),
        (Some(_), None) => {
            fields.missing("cranking_standard", "[battery]", say::file::say_standard());
            None
        }
        (None, Some(_)) => {
            fields.missing("cranking", "[battery]", say::file::say_cranking());
            None
        }
        (None, None) => None,
    };
    job.battery.age_years = fields
        .amount_text("age", "age", amount::age_examples())
        .and_then(|text| {
            let years = fields.understood("age", amount::years(&text))?;
            fields.within("age", years, range::AGE)
        });
    job.battery.engine_needs_a = fields.amount::<Ampere>("engine_needs", range::CRANKING);
}

fn complaint(fields: &mut Fields, job: &mut Job) {
    job.complaint.text = fields.text("text");
    let after = fields.amount_text("no_start_after", Second::NAME, Second::examples());
    job.complaint.no_start_after_h = after.and_then(|text| {
        let hours = fields.understood("no_start_after", amount::hours(&text))?;
        fields.within("no_start_after", hours, PARKED)
    });
    job.complaint.temperature_c = fields.amount::<Celsius>("temperature", range::TEMPERATURE);
}

fn instrument(fields: &mut Fields) -> Option<Instrument> {
    let id = fields.text("id").filter(|id| !id.trim().is_empty());
    if id.is_none() {
        fields.fault(
            "id",
            say::file::nameless_instrument(),
            say::file::nameless_instrument_hint(),
        );
    }
    let kind = fields.choice("kind", words::INSTRUMENT_KINDS);
    if kind.is_none() {
        fields.missing("kind", "an instrument", say::file::instrument_kinds());
    }
    let accuracy_percent = fields
        .number_within("accuracy_percent", ACCURACY, "2.0")
        .unwrap_or(0.0);
    let digits = fields.number_within("digits", DIGITS, "5").unwrap_or(0.0);
    let resolution = match kind {
        Some(InstrumentKind::Millivolt | InstrumentKind::Voltmeter) => {
            fields.amount::<Volt>("resolution", RESOLUTION)
        }
        _ => fields.amount::<Ampere>("resolution", RESOLUTION),
    };
    Some(Instrument {
        id: id?,
        kind: kind?,
        accuracy_percent,
        digits,
        resolution,
        zero_set: fields.flag("zero_set").unwrap_or(false),
    })
}

fn node(fields: &mut Fields) -> Option<NodeSpec> {
    let id = fields.text("id");
    if id.is_none() {
        fields.missing("id", "a node", say::file::name_node());
    }
    let from = fields.text("from");
    if from.is_none() {
        fields.missing("from", "a node", say::file::say_from());
    }
    let kind = fields.choice("kind", words::NODE_KINDS);
    if kind.is_none() {
        fields.missing("kind", "a node", say::file::node_kinds());
    }
    let label = fields.text("label");
    let rating_a = fields.amount::<Ampere>("rating", range::FUSE_RATING);
    let fuse = fields.text("fuse");
    let in_place = fields.flag("in_place").unwrap_or(false);
    let family = fields.text("family");
    let keeps_settings = fields.flag("keeps_settings").unwrap_or(false);
    let prior = fields.number_within("prior", range::PROBABILITY, "0.03");
    let normal_a = fields.amount::<Ampere>("normal", range::NORMAL_DRAW);
    Some(NodeSpec {
        id: NodeId(id?),
        from: NodeId(from?),
        kind: kind?,
        label,
        rating_a,
        fuse,
        in_place,
        family,
        keeps_settings,
        prior,
        normal_a,
    })
}

/// The node that a fault of the tree is about, as a position in the description.
fn tree_position(error: &TreeError, nodes: &[NodeSpec]) -> Option<usize> {
    let named = |id: &NodeId| nodes.iter().position(|node| node.id == *id);
    match error {
        TreeError::Loop { ids } => ids.first().and_then(named),
        // The second of that name is the one too many.
        TreeError::DuplicateId(id) => nodes.iter().rposition(|node| node.id == *id),
        TreeError::ReservedId => named(&NodeId::battery()),
        TreeError::EmptyId { position } => position.checked_sub(1),
        TreeError::UnknownFrom { id, .. }
        | TreeError::SecondBattery(id)
        | TreeError::TooDeep(id)
        | TreeError::FedFromLoad { id, .. }
        | TreeError::OutOfRange { id, .. } => named(id),
    }
}
