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
    /// Its fields, the number first.
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
        slots: &[
            amount("after", "Total after, asleep again", "", &["mA", "A"]),
            amount("before", "Total before, asleep", "", &["mA", "A"]),
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
        slots: &[
            amount("value", "Voltage at the end of the load", "", &["V"]),
            amount("load", "Load", "", &["A"]),
            amount("after", "Time under load", "", &["s"]),
            TEMPERATURE,
        ],
    },
    Kind {
        word: "charging",
        title: "Charging voltage, engine running",
        slots: &[
            amount("value", "Voltage at the battery", "", &["V"]),
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
            amount(
                "ripple",
                "Ripple (AC)",
                "Leave it empty if not read.",
                &["mV", "V"],
            ),
            TEMPERATURE,
        ],
    },
    Kind {
        word: "repair",
        title: "A repair",
        slots: &[TEXT, Slot::MaybeNode],
    },
    Kind {
        word: "note",
        title: "A remark",
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
