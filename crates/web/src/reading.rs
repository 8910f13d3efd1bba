//! Readings: which fields each kind of entry has, how a proposal fills them
//! in, and how an entry is said back.

use std::collections::BTreeMap;

use battery::CrankingStandard;
use harness::NodeId;
use job::{EntryKind, Job, Proposal};
use measure::{InstrumentKind, instrument::How, quantity::Ampere};

use crate::{
    form::Typed,
    parts::field::{Field, Input},
    state::Known,
};

/// One place in the form of a kind.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Slot {
    /// A field that is the same for every job.
    Plain(Field<'static>),
    /// Where in the vehicle; the battery for the total.
    Node,
    /// Where, or nowhere in particular.
    MaybeNode,
    /// Which instrument of the job.
    Instrument,
}

/// One kind of entry that a form can make.
#[derive(Debug)]
pub(crate) struct Kind {
    /// Word in job files.
    pub(crate) word: &'static str,
    /// Title of its form.
    pub(crate) title: &'static str,
    /// How many of its fields, from the first on, only the meter can tell; a
    /// step shows these and folds the rest.
    pub(crate) open: usize,
    /// Its fields.
    pub(crate) slots: &'static [Slot],
}

const fn amount(
    name: &'static str,
    label: &'static str,
    hint: &'static str,
    units: &'static [&'static str],
) -> Slot {
    Slot::Plain(Field {
        name,
        label,
        hint,
        input: Input::Amount {
            units,
            signed: false,
        },
    })
}

const TEMPERATURE: Slot = Slot::Plain(Field {
    name: "temperature",
    label: "Temperature there",
    hint: "Leave it empty if you do not know.",
    input: Input::Amount {
        units: &["C", "F"],
        signed: true,
    },
});
const TEXT: Slot = Slot::Plain(Field {
    name: "text",
    label: "In a few words",
    hint: "",
    input: Input::Text,
});

/// Every kind that can be typed in; recordings are uploaded, strikes have their buttons.
pub(crate) const KINDS: &[Kind] = &[
    Kind {
        word: "draw",
        title: "A current somewhere",
        open: 1,
        slots: &[
            amount(
                "value",
                "The meter shows",
                "Millivolts across a fuse count too: choose mV.",
                &["mA", "A", "uA", "mV"],
            ),
            Slot::Node,
            Slot::Plain(Field {
                name: "how",
                label: "Read with",
                hint: "",
                input: Input::OneOf(&[
                    ("clamp", "clamp around the cable"),
                    ("in-line", "meter in the circuit"),
                    ("millivolt", "millivolts across the fuse"),
                    ("shunt", "millivolts across a shunt"),
                ]),
            }),
            Slot::Instrument,
            Slot::Plain(Field {
                name: "asleep",
                label: "The vehicle was asleep",
                hint: "",
                input: Input::Tick,
            }),
            amount(
                "shunt",
                "Resistance of the shunt",
                "Only for a shunt read in mV.",
                &["mohm", "ohm"],
            ),
        ],
    },
    Kind {
        word: "pull",
        title: "A fuse pulled: total before and after",
        open: 1,
        slots: &[
            amount("after", "Total after, asleep again", "", &["mA", "A"]),
            amount(
                "before",
                "Total before, asleep",
                "Leave both totals empty where a meter is logging: the recording shows the step.",
                &["mA", "A"],
            ),
            Slot::Plain(Field {
                name: "nodes",
                label: "Pulled",
                hint: "One name, or several with commas: F3, F4",
                input: Input::Text,
            }),
            Slot::Instrument,
        ],
    },
    Kind {
        word: "refit",
        title: "A fuse put back",
        open: 1,
        slots: &[Slot::Plain(Field {
            name: "nodes",
            label: "Put back",
            hint: "One name, or several with commas: F3, F4",
            input: Input::Text,
        })],
    },
    Kind {
        word: "rest-voltage",
        title: "Battery voltage after a rest",
        open: 1,
        slots: &[
            amount("value", "Voltage at the posts", "", &["V", "mV"]),
            amount(
                "rested",
                "Time since it was last charged or driven",
                "Leave it empty if you do not know.",
                &["h", "min", "d"],
            ),
            TEMPERATURE,
            Slot::Instrument,
        ],
    },
    Kind {
        word: "analyser",
        title: "Battery analyser",
        open: 1,
        slots: &[
            amount("value", "Cranking current it shows", "", &["A"]),
            Slot::Plain(Field {
                name: "standard",
                label: "Standard it was set to",
                hint: "",
                input: Input::OneOf(STANDARDS),
            }),
            Slot::Instrument,
        ],
    },
    Kind {
        word: "load-test",
        title: "Battery under load",
        open: 1,
        slots: &[
            amount("value", "Voltage at the end of the load", "", &["V"]),
            amount("load", "Load", "", &["A"]),
            amount("after", "Time under load", "", &["s"]),
            TEMPERATURE,
        ],
    },
    Kind {
        word: "resistance",
        title: "Internal resistance of the battery",
        open: 1,
        slots: &[
            amount("value", "Resistance it shows", "", &["mohm", "ohm"]),
            TEMPERATURE,
            Slot::Instrument,
        ],
    },
    Kind {
        word: "gravity",
        title: "Acid of the cells, by hydrometer",
        open: 2,
        slots: &[
            amount("lowest", "Lowest cell", "Such as 1.235.", &[]),
            amount("highest", "Highest cell", "Such as 1.255.", &[]),
            TEMPERATURE,
        ],
    },
    Kind {
        word: "stand-alone",
        title: "Battery left standing, disconnected",
        open: 3,
        slots: &[
            amount("after", "Voltage at the end", "", &["V", "mV"]),
            amount("before", "Rested voltage at the start", "", &["V", "mV"]),
            amount("stood", "Time it stood alone", "", &["h", "d"]),
            TEMPERATURE,
            Slot::Instrument,
        ],
    },
    Kind {
        word: "drop",
        title: "Voltage lost in a cable",
        open: 2,
        slots: &[
            amount(
                "value",
                "Voltage from end to end",
                "While the current flows: cranking, or charging under load.",
                &["mV", "V"],
            ),
            Slot::Plain(Field {
                name: "place",
                label: "Where",
                hint: "",
                input: Input::OneOf(&[
                    ("starter-positive", "battery plus to starter"),
                    ("starter-ground", "starter body to battery minus"),
                    ("charging-positive", "alternator to battery plus"),
                    ("charging-ground", "alternator body to battery minus"),
                    ("connection", "across one connection"),
                ]),
            }),
            amount(
                "current",
                "Current that flowed",
                "Leave it empty if not read.",
                &["A"],
            ),
            Slot::Instrument,
        ],
    },
    Kind {
        word: "charging",
        title: "Charging voltage, engine running",
        open: 2,
        slots: &[
            amount("value", "Voltage at the battery", "", &["V"]),
            amount(
                "ripple",
                "Ripple (AC), if read",
                "Leave it empty if not read.",
                &["mV", "V"],
            ),
            Slot::Plain(Field {
                name: "at_speed",
                label: "Engine",
                hint: "",
                input: Input::OneOf(&[
                    ("idle", "idling"),
                    ("raised", "raised, about 2000/min"),
                    ("loaded", "raised, lamps and blower on"),
                ]),
            }),
            TEMPERATURE,
        ],
    },
    Kind {
        word: "repair",
        title: "A repair",
        open: 1,
        slots: &[TEXT, Slot::MaybeNode],
    },
    Kind {
        word: "note",
        title: "A remark",
        open: 1,
        slots: &[TEXT],
    },
];

/// Cranking standards with their words.
pub(crate) const STANDARDS: &[(&str, &str)] = &[
    ("en", "EN"),
    ("sae", "SAE (CCA)"),
    ("iec", "IEC"),
    ("din", "DIN"),
    ("jis", "JIS"),
];

/// The kind called `word`.
pub(crate) fn kind(word: &str) -> Option<&'static Kind> {
    KINDS.iter().find(|kind| kind.word == word)
}

impl Kind {
    /// The fields as `job::file::entry_from_fields` takes them.
    pub(crate) fn fields(&self, typed: &Typed) -> BTreeMap<String, String> {
        let mut fields = BTreeMap::new();
        for slot in self.slots {
            let (name, value) = match slot {
                Slot::Plain(field) => (
                    field.name,
                    match field.input {
                        Input::Amount { .. } => typed.amount(field.name).unwrap_or_default(),
                        Input::Tick => typed.ticked(field.name).to_string(),
                        _ => typed.get(field.name).into(),
                    },
                ),
                Slot::Node | Slot::MaybeNode => ("node", typed.get("node").into()),
                Slot::Instrument => ("instrument", typed.get("instrument").into()),
            };
            fields.insert(name.to_owned(), value);
        }
        // The unit select of an unused shunt must not count.
        if fields.get("how").is_some_and(|how| how != "shunt") {
            fields.remove("shunt");
        }
        fields
    }
}

/// The kind and the filled-in fields that would record the outcome of a
/// proposal; `None` where a recording or nothing is to be entered.
pub(crate) fn for_proposal(proposal: &Proposal, known: &Known) -> Option<(&'static Kind, Typed)> {
    let node = proposal
        .node
        .as_ref()
        .map_or("battery", |node| node.0.as_str());
    let (word, how) = match proposal.kind.as_str() {
        // Again on the same terms: with what the last one was read with.
        "remeasure" => ("draw", last_how_of_total(&known.job).unwrap_or("clamp")),
        "clamp" | "wait-for-sleep" => ("draw", "clamp"),
        "in-line" => ("draw", "in-line"),
        "millivolt" => ("draw", "millivolt"),
        "shunt" => ("draw", "shunt"),
        "pull" | "pull-group" | "detach" | "unplug" => ("pull", ""),
        same => (same, ""),
    };
    let kind = kind(word)?;
    let mut typed = prefilled(kind, known, node);
    if word == "draw" {
        typed.set("how", how.into());
        typed.set("instrument", instrument_for(&known.job, how));
        typed.set(
            "value_unit",
            if how == "millivolt" { "mV" } else { "mA" }.into(),
        );
    }
    if word == "pull" {
        let names: Vec<&str> = if proposal.nodes.is_empty() {
            vec![node]
        } else {
            proposal.nodes.iter().map(|node| node.0.as_str()).collect()
        };
        typed.set("nodes", names.join(", "));
    }
    Some((kind, typed))
}

/// What the job already knows, so that nobody types it twice.
pub(crate) fn prefilled(kind: &Kind, known: &Known, node: &str) -> Typed {
    let mut typed = Typed::filled([("node", node.to_owned())]);
    match kind.word {
        "draw" => {
            let how = last_how(&known.job).unwrap_or("clamp");
            typed.set("how", how.into());
            typed.set("asleep", "true".into());
            typed.set("instrument", instrument_for(&known.job, how));
        }
        "pull" => {
            if node != "battery" {
                typed.set("nodes", node.into());
            }
            if let Some(total) = known.assessment.total {
                typed.set("before", Ampere(total.value).to_string());
            }
            typed.set("instrument", instrument_for(&known.job, "clamp"));
        }
        "refit" if node != "battery" => typed.set("nodes", node.into()),
        "analyser" => {
            let standard = known
                .job
                .battery
                .label
                .cranking
                .map_or(CrankingStandard::En, |label| label.standard);
            typed.set("standard", standard_word(standard).into());
        }
        "rest-voltage" => typed.set("instrument", instrument_for(&known.job, "voltmeter")),
        // What the step asks for; an alternator shows its weakness under load.
        "charging" => typed.set("at_speed", "loaded".into()),
        "repair" if node == "battery" => typed.set("node", String::new()),
        _ => {}
    }
    typed
}

/// How the last standing draw was read: the instrument in hand is the likely one.
fn last_how(job: &Job) -> Option<&'static str> {
    let how = job.standing().filter_map(|(_, entry)| match entry.kind {
        EntryKind::Draw { how, .. } => Some(how),
        _ => None,
    });
    how.last().map(how_word)
}

/// How the total was last read.
fn last_how_of_total(job: &Job) -> Option<&'static str> {
    let how = job.standing().filter_map(|(_, entry)| match &entry.kind {
        EntryKind::Draw { node, how, .. } if *node == NodeId::battery() => Some(*how),
        _ => None,
    });
    how.last().map(how_word)
}

/// The first instrument of the job that can read this way, by its name.
fn instrument_for(job: &Job, how: &str) -> String {
    let kind = match how {
        "clamp" => InstrumentKind::Clamp,
        "in-line" => InstrumentKind::InLine,
        "voltmeter" => InstrumentKind::Voltmeter,
        _ => InstrumentKind::Millivolt,
    };
    job.instrument_for(kind)
        .map_or(String::new(), |known| known.id.clone())
}

fn how_word(how: How) -> &'static str {
    job::file::words::word(job::file::words::HOWS, how)
}

/// The word of a standard in job files.
pub(crate) fn standard_word(standard: CrankingStandard) -> &'static str {
    job::file::words::word(job::file::words::STANDARDS, standard)
}
