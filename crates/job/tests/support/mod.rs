//! Jobs for the tests, plain and arbitrary.
#![allow(dead_code, unreachable_pub)] // each test file uses a part of it

pub mod search;
pub mod van;

use std::sync::Arc;

use battery::{Chemistry, Cranking, CrankingStandard};
use harness::{NodeId, NodeKind, NodeSpec};
use jiff::Timestamp;
use job::{Entry, EntryId, EntryKind, Job, Recording, Shown, Speed};
use measure::{Instrument, InstrumentKind, instrument::How};
use proptest::prelude::*;
use trace::{Gap, SkippedRow, Source, TimeAxis, Trace};

/// The example of the contract, with one entry of each kind.
pub const BREAD_VAN: &str = r#"
format = 1
[vehicle]
name = "Bread van"
[battery]
chemistry = "flooded"
capacity = "60Ah"
cranking = "540A"
cranking_standard = "en"
[complaint]
no_start_after = "14h"
temperature = "3C"
[limit]
draw = "50mA"
[[instrument]]
id = "clamp"
kind = "clamp"
accuracy_percent = 2.0
digits = 5
resolution = "1mA"
[[node]]
id = "main"
from = "battery"
kind = "cable"
[[node]]
id = "F12"
from = "main"
kind = "fuse"
rating = "15A"
fuse = "blade"
in_place = true
[[node]]
id = "F3"
from = "main"
kind = "fuse"
rating = "10A"
[[node]]
id = "radio"
from = "F12"
kind = "load"
family = "audio"
keeps_settings = true
prior = 0.03
normal = "2mA"
[[entry]]
at = "2026-03-02T20:10:00Z"
kind = "draw"
node = "battery"
how = "clamp"
value = "412mA"
instrument = "clamp"
asleep = true
[[entry]]
at = "2026-03-02T20:15:00Z"
kind = "pull"
nodes = ["F12", "F3"]
before = "412mA"
after = "30mA"
[[entry]]
at = "2026-03-02T20:16:00Z"
kind = "refit"
nodes = ["F3"]
[[entry]]
at = "2026-03-02T20:20:00Z"
kind = "rest-voltage"
value = "12.62V"
rested = "8h"
temperature = "10C"
[[entry]]
at = "2026-03-02T20:21:00Z"
kind = "analyser"
value = "530A"
standard = "en"
[[entry]]
at = "2026-03-02T20:22:00Z"
kind = "load-test"
value = "9.8V"
load = "270A"
after = "15s"
[[entry]]
at = "2026-03-02T20:23:00Z"
kind = "charging"
value = "14.2V"
at_speed = "idle"
ripple = "40mV"
[[entry]]
at = "2026-03-02T20:24:00Z"
kind = "trace"
file = "night.csv"
node = "battery"
[[entry]]
at = "2026-03-02T20:25:00Z"
kind = "draw"
node = "F12"
how = "millivolt"
value = "2.1mV"
asleep = true
[[entry]]
at = "2026-03-02T20:26:00Z"
kind = "strike"
entry = 3
[[entry]]
at = "2026-03-02T20:27:00Z"
kind = "repair"
node = "radio"
text = "new radio"
[[entry]]
at = "2026-03-02T20:28:00Z"
kind = "note"
text = "door lamp goes out"
"#;

/// A short recording.
pub fn recording(current_a: Vec<f64>) -> Recording {
    let source = Source {
        rows: current_a.len() as u64,
        current_column: "I".into(),
        unit: "A".into(),
        interval_s: 1.0,
        ..Source::default()
    };
    Recording::new(Trace {
        axis: TimeAxis::Regular { interval_s: 1.0 },
        current_a,
        voltage_v: None,
        source,
    })
}

/// Any possible job.
pub fn any_job() -> impl Strategy<Value = Job> {
    (
        header(),
        prop::collection::vec(any_entry(), 0..12),
        prop::collection::btree_map(word(), any_trace(), 0..3),
        prop::option::of((0.0..1000.0, 0.0..1440.0)),
    )
        .prop_map(|(mut job, entries, recordings, usage)| {
            job.usage = usage.map(|(trips_per_week, minutes_per_trip)| job::Usage {
                trips_per_week,
                minutes_per_trip,
            });
            for entry in entries {
                // What does not fit this job is left out.
                let _ = job.add(entry);
            }
            job.recordings = recordings
                .into_iter()
                .map(|(name, trace)| (name, Arc::new(Recording::new(trace))))
                .collect();
            job
        })
}

fn header() -> impl Strategy<Value = Job> {
    let texts = (word(), opt(".*"), opt(".*"), opt("[\\PC\n\t]*"), opt(".*"));
    let battery = (
        prop::sample::select(vec![
            Chemistry::Flooded,
            Chemistry::Efb,
            Chemistry::Agm,
            Chemistry::Gel,
            Chemistry::Lifepo4,
        ]),
        prop::option::of(1.0..400.0),
        prop::option::of((10.0..3000.0, standard())),
        prop::option::of(0.0..40.0),
        prop::option::of(10.0..3000.0),
        prop::option::of(10.0..1000.0),
    );
    let rest = (
        prop::option::of(0.0..9000.0),
        prop::option::of(-50.0..80.0),
        prop::option::of(0.001..10.0),
        any::<bool>(),
        any::<bool>(),
    );
    (
        texts,
        battery,
        rest,
        prop::collection::vec(any_instrument(), 0..3),
        nodes(),
    )
        .prop_map(|(texts, battery, rest, instruments, nodes)| {
            let mut job = Job::default();
            (
                job.vehicle.name,
                job.vehicle.plate,
                job.vehicle.owner,
                job.vehicle.notes,
                job.complaint.text,
            ) = texts;
            job.battery.label.chemistry = battery.0;
            job.battery.label.capacity_ah = battery.1;
            job.battery.label.cranking = battery.2.map(|(current_a, standard)| Cranking {
                current_a,
                standard,
            });
            (job.battery.age_years, job.battery.engine_needs_a) = (battery.3, battery.4);
            job.battery.label.reserve_min = battery.5;
            (
                job.complaint.no_start_after_h,
                job.complaint.temperature_c,
                job.limit_a,
                job.settings_may_be_lost,
                job.invented,
            ) = rest;
            job.pulled_stay_out = job.settings_may_be_lost ^ job.invented;
            job.rehearsal = job.invented.then(|| "seed=7".to_owned());
            job.instruments = instruments
                .into_iter()
                .enumerate()
                .map(|(at, instrument)| Instrument {
                    id: format!("i{at}"),
                    ..instrument
                })
                .collect();
            job.nodes = nodes;
            job
        })
}

fn any_instrument() -> impl Strategy<Value = Instrument> {
    let kinds = vec![
        InstrumentKind::Clamp,
        InstrumentKind::InLine,
        InstrumentKind::Millivolt,
        InstrumentKind::Voltmeter,
        InstrumentKind::Analyser,
    ];
    (
        prop::sample::select(kinds),
        0.0..100.0,
        0.0..100.0,
        prop::option::of(1e-9..1.0),
    )
        .prop_map(|(kind, accuracy_percent, digits, resolution)| Instrument {
            id: String::new(),
            kind,
            accuracy_percent,
            zero_set: digits > 50.0,
            digits,
            resolution,
        })
}

/// Six nodes `n0` to `n5`; loads last, so that none of them feeds.
fn nodes() -> impl Strategy<Value = Vec<NodeSpec>> {
    let one = (
        any::<prop::sample::Index>(),
        any::<bool>(),
        opt(".*"),
        prop::option::of(0.1..600.0),
        opt(".*"),
        any::<bool>(),
        any::<bool>(),
        prop::option::of(0.0..=1.0),
        prop::option::of(0.0..100.0),
    );
    prop::collection::vec(one, 0..6).prop_map(|nodes| {
        let count = nodes.len();
        let feeders = count / 2;
        let make = |(
            at,
            (feed, cable, label, rating_a, family, in_place, keeps_settings, prior, normal_a),
        ): (usize, (prop::sample::Index, bool, _, _, _, _, _, _, _))| {
            let feed = feed.index(at.min(feeders) + 1);
            let from = if feed == 0 {
                "battery".to_owned()
            } else {
                format!("n{}", feed - 1)
            };
            let kind = if at >= feeders {
                NodeKind::Load
            } else if cable {
                NodeKind::Cable
            } else {
                NodeKind::Fuse
            };
            NodeSpec {
                label,
                rating_a,
                fuse: None,
                in_place,
                family,
                keeps_settings,
                prior,
                normal_a,
                ..NodeSpec::new(&format!("n{at}"), &from, kind)
            }
        };
        nodes.into_iter().enumerate().map(make).collect()
    })
}

/// Any entry, whether or not it fits a job.
pub fn any_entry() -> impl Strategy<Value = Entry> {
    let instrument = prop::option::of(prop::sample::select(vec!["i0".to_owned(), "i1".to_owned()]));
    let at = (-60_000_000_000_i64..200_000_000_000, 0..1_000_000_000_i32);
    (at, instrument, any_kind()).prop_map(|((second, nanosecond), instrument, kind)| Entry {
        at: Timestamp::new(second, nanosecond).unwrap(),
        instrument,
        kind,
    })
}

fn any_kind() -> impl Strategy<Value = EntryKind> {
    let temperature = || prop::option::of(-50.0..80.0);
    let current = || -200.0..1500.0;
    prop_oneof![
        (node(), reading(), any::<bool>()).prop_map(|(node, (how, shown), asleep)| {
            EntryKind::Draw {
                node,
                how,
                shown,
                asleep,
            }
        }),
        (
            prop::collection::vec(node(), 1..4),
            prop::option::of((current(), current()))
        )
            .prop_map(|(nodes, totals)| EntryKind::Pull {
                nodes,
                before_a: totals.map(|(before, _)| before),
                after_a: totals.map(|(_, after)| after),
            }),
        (
            prop::collection::vec(node(), 1..4),
            prop::option::of((0.0..20.0, 0.0..20.0)),
        )
            .prop_map(|(nodes, totals)| EntryKind::Refit {
                nodes,
                before_a: totals.map(|(before, _)| before),
                after_a: totals.map(|(_, after)| after),
            }),
        (0.0..20.0, prop::option::of(0.0..87_000.0), temperature()).prop_map(
            |(voltage_v, rested_h, temperature_c)| EntryKind::RestVoltage {
                voltage_v,
                rested_h,
                temperature_c
            }
        ),
        (10.0..3000.0, standard()).prop_map(|(current_a, standard)| EntryKind::Analyser {
            current_a,
            standard
        }),
        (
            0.0..20.0,
            prop::option::of(10.0..3000.0),
            prop::option::of(0.0..600.0),
            temperature()
        )
            .prop_map(
                |(voltage_v, load_a, after_s, temperature_c)| EntryKind::LoadTest {
                    voltage_v,
                    load_a,
                    after_s,
                    temperature_c
                }
            ),
        (
            0.0..20.0,
            prop::sample::select(vec![Speed::Idle, Speed::Raised, Speed::Loaded]),
            prop::option::of(0.0..5.0),
            temperature()
        )
            .prop_map(|(voltage_v, at_speed, ripple_v, temperature_c)| {
                EntryKind::Charging {
                    voltage_v,
                    at_speed,
                    ripple_v,
                    temperature_c,
                }
            }),
        (0.0..20.0, 0.0..20.0, 0.0..1000.0, temperature()).prop_map(
            |(before_v, after_v, hours, temperature_c)| EntryKind::StandAlone {
                before_v,
                after_v,
                hours,
                temperature_c
            }
        ),
        (1e-3..10.0, temperature())
            .prop_map(|(ohm, temperature_c)| EntryKind::Resistance { ohm, temperature_c }),
        (1.0..1.2, 1.2..1.4, temperature()).prop_map(|(lowest, highest, temperature_c)| {
            EntryKind::Gravity {
                lowest,
                highest,
                temperature_c,
            }
        }),
        (
            prop::sample::select(battery::drops::DropPlace::ALL.to_vec()),
            -15.0..15.0,
            prop::option::of(10.0..3000.0)
        )
            .prop_map(|(place, drop_v, current_a)| EntryKind::Drop {
                place,
                drop_v,
                current_a
            }),
        (
            word(),
            node(),
            prop::collection::vec("[01][0-9]:[0-5][0-9]\\.\\.[0-9]{1,3}min", 0..3)
        )
            .prop_map(|(file, node, zero)| EntryKind::Trace { file, node, zero }),
        (prop::option::of(node()), "\\PC*")
            .prop_map(|(node, text)| EntryKind::Repair { node, text }),
        (1_usize..10).prop_map(|number| EntryKind::Strike {
            entry: EntryId::from_number(number).unwrap()
        }),
        any::<String>().prop_map(|text| EntryKind::Note { text }),
    ]
}

fn reading() -> impl Strategy<Value = (How, Shown)> {
    let hows = vec![How::Clamp, How::InLine, How::Millivolt, How::Shunt];
    prop_oneof![
        (prop::sample::select(hows), -200.0..1500.0)
            .prop_map(|(how, value)| (how, Shown::Current(value))),
        (-1.0..1.0).prop_map(|value| (How::Millivolt, Shown::Drop(value))),
        (-1.0..1.0, 1e-6..100.0)
            .prop_map(|(drop_v, shunt_ohm)| (How::Shunt, Shown::Shunt { drop_v, shunt_ohm })),
    ]
}

/// Any trace, odd numbers included.
pub fn any_trace() -> impl Strategy<Value = Trace> {
    let any_number = || prop_oneof![4 => (0..2000_i32).prop_map(|counts| f64::from(counts) * 0.001), 1 => any::<f64>().prop_filter("equal to itself", |v| !v.is_nan())];
    let samples = (
        any::<bool>(),
        any::<bool>(),
        prop::collection::vec((any_number(), any_number(), any_number()), 0..300),
        0.01..10.0,
    );
    let source = (
        any::<u64>(),
        prop::collection::vec((any::<u64>(), word()), 0..3),
        opt(".*"),
        ".*",
        opt(".*"),
        prop::collection::vec((0.0..9.0, 0.0..9.0), 0..3),
        opt(".*"),
        prop::collection::vec(".*", 0..3),
    );
    (samples, source).prop_map(|((stamped, voltage, samples, interval_s), s)| {
        let column =
            |pick: fn(&(f64, f64, f64)) -> f64| samples.iter().map(pick).collect::<Vec<_>>();
        Trace {
            axis: if stamped {
                TimeAxis::Stamps(column(|s| s.0))
            } else {
                TimeAxis::Regular { interval_s }
            },
            current_a: column(|s| s.1),
            voltage_v: voltage.then(|| column(|s| s.2)),
            source: Source {
                rows: s.0,
                skipped_rows: s.1.len() as u64,
                skipped: s
                    .1
                    .into_iter()
                    .map(|(line, reason)| SkippedRow { line, reason })
                    .collect(),
                time_column: s.2,
                current_column: s.3,
                voltage_column: s.4,
                unit: "A".into(),
                interval_s,
                gaps: s
                    .5
                    .into_iter()
                    .map(|(start_s, end_s)| Gap { start_s, end_s })
                    .collect(),
                start: s.6,
                assumptions: s.7,
            },
        }
    })
}

fn node() -> impl Strategy<Value = NodeId> {
    prop::sample::select(vec!["battery", "n0", "n1", "n2", "n5"])
        .prop_map(|name| NodeId(name.into()))
}

fn standard() -> impl Strategy<Value = CrankingStandard> {
    prop::sample::select(vec![
        CrankingStandard::En,
        CrankingStandard::Sae,
        CrankingStandard::Iec,
        CrankingStandard::Din,
        CrankingStandard::Jis,
    ])
}

fn word() -> impl Strategy<Value = String> {
    "[a-zA-Z0-9 ._\"\\\\-]{1,12}"
}

fn opt(pattern: &'static str) -> impl Strategy<Value = Option<String>> {
    prop::option::of(pattern)
}
