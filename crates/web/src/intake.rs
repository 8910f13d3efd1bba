//! A job from the form that takes it in.

use battery::{Chemistry, Cranking, CrankingStandard};
use harness::{FeedTree, NodeSpec, fuse_list, refine::refine, template};
use job::{Job, Usage, file::words};
use measure::{
    Instrument, InstrumentKind,
    quantity::{Ampere, AmpereHour, Celsius, Quantity, Second, Volt},
    range::{self, Range},
};

use tongue::say;

use crate::{
    form::{Typed, Wrong, sentence},
    parts::field::{
        Choice,
        Named::{Plain, Said},
        Words,
    },
};

/// Sent by forms that show the instruments, so that none is taken away unseen.
pub(crate) const TOOLS_SHOWN: &str = "instruments_shown";
/// Longest text taken in one line; longer ones are a slip of the clipboard.
const LONGEST: usize = 400;
/// Words for people, by those of job files.
const CHEMISTRY_WORDS: &[Choice<'static>] = &[
    ("flooded", Said(say::intake::flooded)),
    ("efb", Said(say::intake::efb)),
    ("agm", Plain("AGM")),
    ("lifepo4", Said(say::intake::lithium)),
];

/// Chemistries to choose from, with words for people: those of job files, in their order.
pub(crate) fn chemistries() -> Vec<Choice<'static>> {
    let told = |word: &'static str| {
        let known = CHEMISTRY_WORDS.iter().find(|(known, _)| *known == word);
        (word, known.map_or(Plain(word), |(_, told)| *told))
    };
    words::CHEMISTRIES
        .iter()
        .map(|(word, _)| told(word))
        .collect()
}

/// The word of a chemistry in job files.
pub(crate) fn chemistry_word(chemistry: Chemistry) -> &'static str {
    words::word(words::CHEMISTRIES, chemistry)
}

/// One kind of instrument in the form.
#[derive(Debug)]
pub(crate) struct Tool {
    pub(crate) kind: InstrumentKind,
    pub(crate) label: Words,
    pub(crate) units: &'static [&'static str],
}

/// The kinds of instruments that can be ticked.
pub(crate) const KINDS: &[Tool] = &[
    Tool {
        kind: InstrumentKind::Clamp,
        label: say::intake::tool_clamp,
        units: &["mA", "A"],
    },
    Tool {
        kind: InstrumentKind::InLine,
        label: say::intake::tool_in_line,
        units: &["mA", "A"],
    },
    Tool {
        kind: InstrumentKind::Millivolt,
        label: say::intake::tool_millivolt,
        units: &["mV", "V"],
    },
    Tool {
        kind: InstrumentKind::Voltmeter,
        label: say::intake::tool_volt,
        units: &["mV", "V"],
    },
    Tool {
        kind: InstrumentKind::Analyser,
        label: say::intake::tool_analyser,
        units: &["A", "mA"],
    },
];

impl Tool {
    /// Its word in job files, and the name of its box.
    pub(crate) fn word(&self) -> &'static str {
        words::word(words::INSTRUMENT_KINDS, self.kind)
    }

    /// The name of one of its fields.
    pub(crate) fn field(&self, what: &str) -> String {
        format!("{}_{what}", self.word())
    }

    /// The ordinary step of its kind, in the first unit.
    pub(crate) fn usual_step(&self) -> f64 {
        let step = Instrument::generic(self.kind)
            .resolution
            .unwrap_or_default();
        if self.units.first().is_some_and(|unit| unit.starts_with('m')) {
            step * 1000.0
        } else {
            step
        }
    }

    /// Whether it shows volts rather than amperes.
    pub(crate) fn in_volts(&self) -> bool {
        matches!(
            self.kind,
            InstrumentKind::Millivolt | InstrumentKind::Voltmeter
        )
    }

    /// Whether its zero can be set, with nothing to read.
    pub(crate) fn can_be_zeroed(&self) -> bool {
        matches!(self.kind, InstrumentKind::Clamp | InstrumentKind::Millivolt)
    }

    /// Whether one of its fields has a problem.
    pub(crate) fn has_problem(&self, wrong: &Wrong) -> bool {
        let prefix = self.field("");
        wrong.0.iter().any(|(field, _)| field.starts_with(&prefix))
    }
}

/// The job that the form describes; entries and recordings are those of
/// `base`, and so are its circuits, to which new ones are added. Instruments
/// that entries name keep their names.
pub(crate) fn job(typed: &Typed, base: Option<&Job>) -> Result<Job, Wrong> {
    let mut wrong = Wrong::default();
    let mut job = base.cloned().unwrap_or_default();
    vehicle(typed, &mut job, &mut wrong);
    battery_label(typed, &mut job, &mut wrong);
    usage(typed, &mut job, &mut wrong);
    complaint(typed, &mut job, &mut wrong);
    circuits(typed, &mut job, &mut wrong);
    if base.is_none() || typed.ticked(TOOLS_SHOWN) {
        instruments(typed, &mut job, &mut wrong);
    }
    if wrong.is_empty() {
        Ok(job)
    } else {
        Err(wrong)
    }
}

fn vehicle(typed: &Typed, job: &mut Job, wrong: &mut Wrong) {
    let text = |wrong: &mut Wrong, name: &str| {
        let text = typed.get(name);
        if text.chars().count() > LONGEST {
            wrong.add(name, say::intake::too_long(LONGEST.to_string()));
        }
        Some(text.to_owned()).filter(|text| !text.is_empty())
    };
    match text(wrong, "name") {
        Some(name) => job.vehicle.name = name,
        None => wrong.add("name", say::intake::no_name()),
    }
    job.vehicle.notes = text(wrong, "notes");
    job.vehicle.plate = text(wrong, "plate");
    job.vehicle.owner = text(wrong, "owner");
    job.complaint.text = text(wrong, "text");
}

fn battery_label(typed: &Typed, job: &mut Job, wrong: &mut Wrong) {
    let label = &mut job.battery.label;
    // A choice that the form did not offer counts as none.
    label.chemistry = meant(words::CHEMISTRIES, typed.get("chemistry")).unwrap_or_default();
    label.capacity_ah = amount::<AmpereHour>(typed, "capacity", range::CAPACITY, wrong);
    let current_a = amount::<Ampere>(typed, "cranking", range::CRANKING, wrong);
    let standard = meant(words::STANDARDS, typed.get("standard")).unwrap_or(CrankingStandard::En);
    label.cranking = current_a.map(|current_a| Cranking {
        current_a,
        standard,
    });
    job.battery.age_years = number(typed, "age", range::AGE, wrong);
    job.battery.engine_needs_a = amount::<Ampere>(typed, "engine_needs", range::CRANKING, wrong);
}

/// Both numbers or none: one alone says nothing.
fn usage(typed: &Typed, job: &mut Job, wrong: &mut Wrong) {
    let trips = number(typed, "trips", range::TRIPS, wrong);
    let trip = number(typed, "trip", range::TRIP, wrong);
    job.usage = trips
        .zip(trip)
        .map(|(trips_per_week, minutes_per_trip)| Usage {
            trips_per_week,
            minutes_per_trip,
        });
    if typed.get("trips").is_empty() != typed.get("trip").is_empty() {
        let (empty, message) = if trip.is_none() {
            ("trip", say::intake::trip_too())
        } else {
            ("trips", say::intake::trips_too())
        };
        wrong.add(empty, message);
    }
}

fn complaint(typed: &Typed, job: &mut Job, wrong: &mut Wrong) {
    job.complaint.no_start_after_h =
        amount::<Second>(typed, "no_start_after", range::PARKED, wrong)
            .map(|seconds| seconds / 3600.0);
    job.complaint.temperature_c =
        amount::<Celsius>(typed, "temperature", range::TEMPERATURE, wrong);
    job.limit_a = amount::<Ampere>(typed, "limit", range::LIMIT, wrong);
    job.settings_may_be_lost = typed.ticked("settings_may_be_lost");
    job.pulled_stay_out = typed.ticked("pulled_stay_out");
}

/// A new job's circuits; those of a job that is there stay, and say more.
fn circuits(typed: &Typed, job: &mut Job, wrong: &mut Wrong) {
    let text = typed.get("fuses");
    let (nodes, problems) = if job.nodes.is_empty() {
        let pasted = fuse_list::read(text);
        let ready = template::find(typed.get("layout"))
            .map(template::Template::nodes)
            .unwrap_or_default();
        let typed_too = |node: &NodeSpec| pasted.nodes.iter().any(|each| each.id == node.id);
        // What was typed beats the layout where both name the same thing.
        let mut nodes: Vec<NodeSpec> = ready.into_iter().filter(|node| !typed_too(node)).collect();
        nodes.extend(pasted.nodes);
        (nodes, pasted.problems)
    } else {
        let refined = refine(&job.nodes, text);
        (refined.nodes, refined.problems)
    };
    if !typed.ticked("fuses_anyway") {
        for problem in &problems {
            wrong.add("fuses", sentence(&problem.to_string()));
        }
    }
    match FeedTree::build(nodes.clone()) {
        Ok(_) => job.nodes = nodes,
        Err(error) => wrong.add("fuses", sentence(&error.to_string())),
    }
}

/// The first instrument of each kind as ticked; further ones of a kind, from a
/// job file, stay as they are.
fn instruments(typed: &Typed, job: &mut Job, wrong: &mut Wrong) {
    for tool in KINDS {
        let stated = instrument(tool, typed, wrong);
        let at = job
            .instruments
            .iter()
            .position(|known| known.kind == tool.kind);
        let Some(at) = at else {
            job.instruments.extend(stated);
            continue;
        };
        let old = &job.instruments[at].id;
        let named = job
            .entries
            .iter()
            .any(|entry| entry.instrument.as_ref() == Some(old));
        match stated {
            None if named => wrong.add(tool.word(), say::intake::named_ticked(old)),
            None => {
                job.instruments.remove(at);
            }
            Some(new) if named && new.id != *old => {
                wrong.add(&tool.field("name"), say::intake::named_kept(old))
            }
            Some(new) => job.instruments[at] = new,
        }
    }
}

fn instrument(tool: &Tool, typed: &Typed, wrong: &mut Wrong) -> Option<Instrument> {
    if !typed.ticked(tool.word()) {
        return None;
    }
    let ordinary = Instrument::generic(tool.kind);
    let name = typed.get(&tool.field("name"));
    let resolution = tool.field("resolution");
    let resolution = if tool.in_volts() {
        amount::<Volt>(typed, &resolution, range::RESOLUTION, wrong)
    } else {
        amount::<Ampere>(typed, &resolution, range::RESOLUTION, wrong)
    };
    Some(Instrument {
        id: if name.is_empty() {
            own_name(tool)
        } else {
            name.into()
        },
        kind: tool.kind,
        accuracy_percent: number(typed, &tool.field("accuracy"), range::ACCURACY, wrong)
            .unwrap_or(ordinary.accuracy_percent),
        digits: number(typed, &tool.field("digits"), range::DIGITS, wrong)
            .unwrap_or(ordinary.digits),
        resolution: resolution.or(ordinary.resolution),
        zero_set: typed.ticked(&tool.field("zero_set")),
    })
}

/// What an instrument is called that was given no name.
fn own_name(tool: &Tool) -> String {
    let label = (tool.label)().to_string();
    match tongue::speaking() {
        tongue::Lang::En => label.to_lowercase(),
        // Nouns keep their capital.
        tongue::Lang::De => label,
    }
}

fn meant<T: Copy>(words: &[(&str, T)], typed: &str) -> Option<T> {
    words
        .iter()
        .find(|(word, _)| *word == typed)
        .map(|(_, value)| *value)
}

/// An amount with its unit, in the base unit and within what is possible.
pub(crate) fn amount<Q: Quantity>(
    typed: &Typed,
    name: &str,
    range: Range,
    wrong: &mut Wrong,
) -> Option<f64> {
    let value = wrong.take(name, Q::parse(&typed.amount(name)?))?.base();
    wrong.take(name, range.check(value))
}

/// A bare number; the unit beside it is only there to be read.
pub(crate) fn number(typed: &Typed, name: &str, range: Range, wrong: &mut Wrong) -> Option<f64> {
    let text = typed.get(name);
    if text.is_empty() {
        return None;
    }
    let digits = text
        .trim_end_matches(|c: char| !c.is_ascii_digit())
        .replace(',', ".");
    match digits.parse() {
        Ok(value) => wrong.take(name, range.check(value)),
        Err(_) => {
            wrong.add(name, say::intake::no_number(text));
            None
        }
    }
}
