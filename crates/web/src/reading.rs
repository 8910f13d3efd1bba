//! Readings: which fields each kind of entry has, how a proposal fills them
//! in, and how an entry is said back.

use std::collections::BTreeMap;

use battery::CrankingStandard;
use harness::{NodeId, NodeKind};
use job::{EntryKind, Job, Proposal};
use measure::{InstrumentKind, instrument::How, quantity::Ampere};
use tongue::say;

use crate::{
    form::Typed,
    parts::field::{
        Choice, Field, Input,
        Named::{Plain, Said},
        Words,
    },
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
    pub(crate) title: Words,
    /// How many of its fields, from the first on, only the meter can tell; a
    /// step shows these and folds the rest.
    pub(crate) open: usize,
    /// Its fields.
    pub(crate) slots: &'static [Slot],
}

const fn amount(
    name: &'static str,
    label: Words,
    hint: Option<Words>,
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
    label: say::entry::temperature,
    hint: Some(say::entry::empty_unknown),
    input: Input::Amount {
        units: &["C", "F"],
        signed: true,
    },
});
/// The totals on both sides of something cut, which a recording may show instead.
const BEFORE: Slot = amount(
    "before",
    say::entry::pull_before,
    Some(say::entry::pull_before_hint),
    &["mA", "A"],
);
const AFTER: Slot = amount("after", say::entry::pull_after, None, &["mA", "A"]);
const TEXT: Slot = Slot::Plain(Field {
    name: "text",
    label: say::entry::in_words,
    hint: None,
    input: Input::Text,
});

/// Every kind that can be typed in; recordings are uploaded, strikes have their buttons.
pub(crate) const KINDS: &[Kind] = &[
    Kind {
        word: "draw",
        title: say::entry::draw,
        open: 1,
        slots: &[
            amount(
                "value",
                say::entry::shows,
                Some(say::entry::shows_hint),
                &["mA", "A", "uA", "mV"],
            ),
            Slot::Node,
            Slot::Plain(Field {
                name: "how",
                label: say::entry::read_with,
                hint: None,
                input: Input::OneOf(&[
                    ("clamp", Said(say::entry::how_clamp)),
                    ("in-line", Said(say::entry::how_in_line)),
                    ("millivolt", Said(say::entry::how_millivolt)),
                    ("shunt", Said(say::entry::how_shunt)),
                ]),
            }),
            Slot::Instrument,
            Slot::Plain(Field {
                name: "asleep",
                label: say::entry::was_asleep,
                hint: None,
                input: Input::Tick,
            }),
            amount(
                "shunt",
                say::entry::shunt,
                Some(say::entry::shunt_hint),
                &["mohm", "ohm"],
            ),
        ],
    },
    Kind {
        word: "pull",
        title: say::entry::pull,
        open: 1,
        slots: &[
            AFTER,
            BEFORE,
            Slot::Plain(Field {
                name: "nodes",
                label: say::entry::pulled,
                hint: Some(say::entry::names_hint),
                input: Input::Text,
            }),
            Slot::Instrument,
        ],
    },
    Kind {
        word: "refit",
        title: say::entry::refit,
        open: 3,
        slots: &[
            Slot::Plain(Field {
                name: "nodes",
                label: say::entry::put_back,
                hint: Some(say::entry::names_hint),
                input: Input::Text,
            }),
            AFTER,
            amount(
                "before",
                say::entry::pull_before,
                Some(say::entry::refit_before_hint),
                &["mA", "A"],
            ),
            Slot::Instrument,
        ],
    },
    Kind {
        word: "unplug",
        title: say::entry::unplug,
        open: 1,
        slots: &[AFTER, BEFORE, Slot::Node, Slot::Instrument],
    },
    Kind {
        word: "rest-voltage",
        title: say::entry::rest_voltage,
        open: 1,
        slots: &[
            amount("value", say::entry::at_posts, None, &["V", "mV"]),
            amount(
                "rested",
                say::entry::rested,
                Some(say::entry::empty_unknown),
                &["h", "min", "d"],
            ),
            TEMPERATURE,
            Slot::Instrument,
        ],
    },
    Kind {
        word: "analyser",
        title: say::entry::analyser,
        open: 1,
        slots: &[
            amount("value", say::entry::analyser_shows, None, &["A"]),
            Slot::Plain(Field {
                name: "standard",
                label: say::entry::set_to,
                hint: None,
                input: Input::OneOf(STANDARDS),
            }),
            Slot::Instrument,
        ],
    },
    Kind {
        word: "load-test",
        title: say::entry::load_test,
        open: 1,
        slots: &[
            amount("value", say::entry::load_end, None, &["V"]),
            amount("load", say::entry::load, None, &["A"]),
            amount("after", say::entry::load_time, None, &["s"]),
            TEMPERATURE,
        ],
    },
    Kind {
        word: "resistance",
        title: say::entry::resistance,
        open: 1,
        slots: &[
            amount(
                "value",
                say::entry::resistance_shows,
                None,
                &["mohm", "ohm"],
            ),
            TEMPERATURE,
            Slot::Instrument,
        ],
    },
    Kind {
        word: "gravity",
        title: say::entry::gravity,
        open: 2,
        slots: &[
            amount(
                "lowest",
                say::entry::lowest,
                Some(say::entry::lowest_hint),
                &[],
            ),
            amount(
                "highest",
                say::entry::highest,
                Some(say::entry::highest_hint),
                &[],
            ),
            TEMPERATURE,
        ],
    },
    Kind {
        word: "stand-alone",
        title: say::entry::stand_alone,
        open: 3,
        slots: &[
            amount("after", say::entry::stand_end, None, &["V", "mV"]),
            amount("before", say::entry::stand_start, None, &["V", "mV"]),
            amount("stood", say::entry::stood, None, &["h", "d"]),
            TEMPERATURE,
            Slot::Instrument,
        ],
    },
    Kind {
        word: "drop",
        title: say::entry::drop,
        open: 2,
        slots: &[
            amount(
                "value",
                say::entry::drop_shows,
                Some(say::entry::drop_hint),
                &["mV", "V"],
            ),
            Slot::Plain(Field {
                name: "place",
                label: say::entry::which_place,
                hint: None,
                input: Input::OneOf(&[
                    ("starter-positive", Said(say::entry::drop_starter_plus)),
                    ("starter-ground", Said(say::entry::drop_starter_ground)),
                    ("charging-positive", Said(say::entry::drop_charging_plus)),
                    ("charging-ground", Said(say::entry::drop_charging_ground)),
                    ("connection", Said(say::entry::drop_connection)),
                ]),
            }),
            amount(
                "current",
                say::entry::current_flowed,
                Some(say::entry::empty_unread),
                &["A"],
            ),
            Slot::Instrument,
        ],
    },
    Kind {
        word: "charging",
        title: say::entry::charging,
        open: 2,
        slots: &[
            amount("value", say::entry::at_battery, None, &["V"]),
            amount(
                "ripple",
                say::entry::ripple,
                Some(say::entry::empty_unread),
                &["mV", "V"],
            ),
            Slot::Plain(Field {
                name: "at_speed",
                label: say::entry::engine,
                hint: None,
                input: Input::OneOf(&[
                    ("idle", Said(say::entry::idle)),
                    ("raised", Said(say::entry::raised)),
                    ("loaded", Said(say::entry::loaded)),
                ]),
            }),
            TEMPERATURE,
        ],
    },
    Kind {
        word: "repair",
        title: say::entry::repair,
        open: 1,
        slots: &[TEXT, Slot::MaybeNode],
    },
    Kind {
        word: "note",
        title: say::entry::note,
        open: 1,
        slots: &[TEXT],
    },
];

/// Cranking standards with their words.
pub(crate) const STANDARDS: &[Choice<'static>] = &[
    ("en", Plain("EN")),
    ("sae", Plain("SAE (CCA)")),
    ("iec", Plain("IEC")),
    ("din", Plain("DIN")),
    ("jis", Plain("JIS")),
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
        "pull" | "pull-group" | "detach" => ("pull", ""),
        "put-back" => ("refit", ""),
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
    if matches!(word, "pull" | "refit") {
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
        "pull" | "unplug" => {
            if kind.word == "pull" && node != "battery" {
                typed.set("nodes", node.into());
            }
            if kind.word == "unplug" && node == "battery" {
                typed.set("node", to_unplug(known));
            }
            if let Some(total) = known.assessment.total {
                let before = Ampere(total.value).to_string();
                typed.set("before", crate::words::filled_in(&before));
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

/// Where nothing is named, the battery's own plug is not meant: what the step names, else
/// what is at fault or most suspected; empty where nothing of it can be unplugged.
fn to_unplug(known: &Known) -> String {
    let can_be = |id: &&NodeId| {
        let mut nodes = known.job.nodes.iter();
        nodes.any(|node| node.id == **id && offers_unplugging(node.kind))
    };
    let assessment = &known.assessment;
    let named = assessment.next.iter().filter_map(|next| next.node.as_ref());
    let at_fault = assessment.culprits.iter().map(|culprit| &culprit.node);
    let mut suspected: Vec<_> = assessment.nodes.iter().collect();
    suspected.sort_by(|a, b| b.p_fault.total_cmp(&a.p_fault));
    named
        .chain(at_fault)
        .chain(suspected.into_iter().map(|node| &node.id))
        .find(can_be)
        .map_or_else(String::new, |id| id.0.clone())
}

/// What has a plug, or a fuse that stands for its load.
pub(crate) fn offers_unplugging(kind: NodeKind) -> bool {
    matches!(kind, NodeKind::Fuse | NodeKind::Load)
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
