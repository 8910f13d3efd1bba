//! Invented jobs and assessments to draw and print: hand-made, not computed.

#![allow(
    dead_code,
    unused_imports,
    reason = "each test and example uses its own part"
)]
#![allow(
    clippy::expect_used,
    reason = "samples are fixed; a slip in them should stop the test"
)]

use std::sync::Arc;

use battery::{Chemistry, Cranking, CrankingStandard, Forecast, Judgement, Label, Moment, Verdict};
use harness::{NodeId, NodeKind, NodeSpec};
use job::{
    Assessment, BatteryCard, Complaint, Culprit, Entry, EntryId, EntryKind, Excluded, Explanation,
    Job, NodeAssessment, Odds, Outcome, Proposal, Recording, Shown, Speed, TraceFinding, Vehicle,
    Warning,
};
use measure::{Instrument, InstrumentKind, Quantiles, Uncertain, instrument::How};
use trace::{Exceeds, Source, TimeAxis, Trace};

mod pieces;
mod van;

use pieces::{at, draw, entry, id, odds, proposal};
pub(crate) use pieces::{bare, forecast};
use van::{node, specs, van};

pub(crate) fn q(p05: f64, p50: f64, p95: f64) -> Quantiles {
    Quantiles { p05, p50, p95 }
}

fn van_job(nodes: &[NodeAssessment]) -> Job {
    let instrument = |id: &str, kind, accuracy_percent, digits, resolution| Instrument {
        id: id.into(),
        kind,
        accuracy_percent,
        digits,
        resolution,
        zero_set: false,
    };
    Job {
        vehicle: Vehicle {
            name: "Bread van".into(),
            plate: Some("XX 000 INVENTED".into()),
            owner: Some("Owner Invented".into()),
            notes: Some(
                "Delivers from four in the morning; parked outside; camera fitted in spring."
                    .into(),
            ),
        },
        battery: BatteryCard {
            label: Label {
                chemistry: Chemistry::Flooded,
                capacity_ah: Some(60.0),
                cranking: Some(Cranking {
                    current_a: 540.0,
                    standard: CrankingStandard::En,
                }),
                ..Label::default()
            },
            age_years: Some(4.0),
            engine_needs_a: None,
        },
        complaint: Complaint {
            text: Some("Dead on Monday if it stood over the weekend".into()),
            no_start_after_h: Some(40.0),
            temperature_c: Some(3.0),
        },
        usage: None,
        limit_a: Some(0.05),
        settings_may_be_lost: false,
        pulled_stay_out: false,
        invented: true,
        rehearsal: None,
        instruments: vec![
            instrument("clamp", InstrumentKind::Clamp, 2.0, 5.0, Some(0.001)),
            instrument("meter", InstrumentKind::Millivolt, 0.5, 3.0, Some(1e-5)),
            instrument("volts", InstrumentKind::Voltmeter, 0.5, 2.0, Some(0.01)),
        ],
        nodes: specs(nodes),
        entries: vec![
            entry(
                "2026-03-02T19:40:00Z",
                Some("volts"),
                EntryKind::RestVoltage {
                    voltage_v: 12.55,
                    rested_h: Some(8.0),
                    temperature_c: Some(5.0),
                },
            ),
            entry(
                "2026-03-02T19:45:00Z",
                Some("volts"),
                EntryKind::Charging {
                    voltage_v: 14.2,
                    at_speed: Speed::Raised,
                    ripple_v: Some(0.03),
                    temperature_c: None,
                },
            ),
            entry(
                "2026-03-02T20:05:00Z",
                Some("clamp"),
                draw("battery", How::Clamp, Shown::Current(4.12)),
            ),
            entry(
                "2026-03-02T20:10:00Z",
                Some("clamp"),
                draw("battery", How::Clamp, Shown::Current(0.412)),
            ),
            entry(
                "2026-03-02T20:11:00Z",
                None,
                EntryKind::Strike {
                    entry: EntryId::from_number(3).expect("three"),
                },
            ),
            entry(
                "2026-03-02T20:14:00Z",
                Some("clamp"),
                draw("cabin-box", How::Clamp, Shown::Current(0.019)),
            ),
            entry(
                "2026-03-02T20:16:00Z",
                Some("clamp"),
                draw("rear-feed", How::Clamp, Shown::Current(0.006)),
            ),
        ],
        recordings: Default::default(),
    }
}

/// Nothing entered at all.
pub(crate) fn empty() -> (Job, Assessment) {
    (Job::default(), bare())
}

/// Sixty loads, three cables clamped, nothing found yet.
pub(crate) fn open60() -> (Job, Assessment) {
    let mut nodes = van(|at, usual| {
        let wide = |p50: f64| q(p50 * 0.1, p50, p50 * 3.2 + 30.0);
        match at {
            33 => (wide(120.0), 0.44),
            9 => (wide(60.0), 0.21),
            21 => (wide(40.0), 0.12),
            18 => (wide(25.0), 0.08),
            27 => (q(usual * 0.7, usual * 1.0, usual * 1.6 + 0.2), 0.004),
            _ if at % 3 == 0 => (
                q(usual * 0.2, usual, usual * 3.0 + 9.0),
                0.03 + 0.001 * (at % 7) as f64,
            ),
            _ => (q(usual * 0.5, usual, usual * 1.8 + 0.2), 0.006),
        }
    });
    nodes[0].entries = vec![id(4)];
    nodes[2].entries = vec![id(6)];
    nodes[3].entries = vec![id(7)];
    let job = van_job(&nodes);
    let total = Uncertain::new(0.412, 0.008);
    let known: f64 = nodes[1..4].iter().map(|n| n.mean_a).sum();
    // Scaled so that the means add up to the total, as a posterior's do.
    for n in &mut nodes {
        n.mean_a *= total.value / known;
    }
    let assessment = Assessment {
        total: Some(total),
        long_run: Some(total),
        exceeds: Exceeds::Yes,
        summary: "412 ± 8 mA leave the battery, eight times the limit; the engine box feeds most of it.".into(),
        nodes,
        unaccounted: Some(Uncertain::new(0.387, 0.011)),
        next: Some(proposal("millivolt", Some("F34"), "Measure millivolts across F34", 1.0)),
        alternatives: vec![
            proposal("millivolt", Some("F10"), "Measure millivolts across F10", 1.0),
            proposal("pull", Some("F22"), "Pull F22", 14.0),
        ],
        excluded: vec![Excluded {
            kind: "pull".into(),
            node: Some(NodeId("F10".into())),
            reason: "losing its supply loses stored settings, and the owner has not agreed".into(),
        }],
        forecast: Some(forecast(q(52.0, 66.0, 84.0))),
        forecast_missing: None,
        battery: Judgement {
            verdict: Verdict::Good,
            state_of_charge: Some(Uncertain::new(0.86, 0.04)),
            health: None,
            because: vec!["12.55 V after 8 h of rest at 5 °C is 86 ± 4 % of charge.".into()],
            contradicting: false,
        },
        cause: odds(&[
            ("steady-draw", 0.91), ("intermittent-draw", 0.05), ("weak-battery", 0.025),
            ("usage", 0.011), ("poor-charging", 0.004),
        ]),
        explanation: Some(Explanation {
            needed_a: q(0.6, 0.85, 1.2),
            sentence: "The draw explains most of it: 600 to 1200 mA would flatten this battery in 40 hours.".into(),
        }),
        learned_from: 0,
        fuses: Vec::new(),
        warnings: vec![Warning {
            code: "clamp-zero".into(),
            message: "The clamp's zero was not read; small currents may be off by 5 mA.".into(),
            entries: vec![id(6), id(7)],
        }],
        ..bare()
    };
    (job, assessment)
}

/// Sixty loads, culprit found: the dash camera on F34.
pub(crate) fn found60() -> (Job, Assessment) {
    let (mut job, open) = open60();
    job.entries.push(entry(
        "2026-03-02T20:24:00Z",
        Some("meter"),
        draw("F34", How::Millivolt, Shown::Drop(0.00212)),
    ));
    let mut nodes = van(|at, usual| match at {
        33 => (q(374.0, 381.0, 388.0), 0.996),
        9 => (q(0.4, 1.5, 4.0), 0.011),
        _ => (q(usual * 0.5, usual, usual * 1.8 + 0.2), 0.004),
    });
    nodes[0].entries = vec![id(4)];
    nodes[2].entries = vec![id(6)];
    nodes[3].entries = vec![id(7)];
    for n in &mut nodes {
        if n.id.0 == "F34" {
            n.entries = vec![id(8)];
        }
    }
    let nodes_sum: f64 = nodes[1..4].iter().map(|n| n.mean_a).sum();
    let trace = night();
    let recording = Arc::new(Recording::new(trace));
    job.entries.push(entry(
        "2026-03-03T06:30:00Z",
        Some("clamp"),
        EntryKind::Trace {
            file: "night.csv".into(),
            node: NodeId::battery(),
            zero: Vec::new(),
        },
    ));
    let analysis = recording.analysis();
    job.recordings.insert("night.csv".into(), recording);
    let assessment = Assessment {
        total: Some(Uncertain::new(nodes_sum, 0.008)),
        summary: "F34 Dash camera draws 381 ± 4 mA; with it gone the van is inside its limit."
            .into(),
        nodes,
        unaccounted: Some(Uncertain::new(0.006, 0.012)),
        culprits: vec![Culprit {
            node: NodeId("load-34".into()),
            p_fault: 0.996,
            part: None,
        }],
        outside: None,
        done: true,
        done_because: "The dash camera explains the excess over the limit with over 99 %.".into(),
        next: None,
        alternatives: Vec::new(),
        trace: Some(TraceFinding {
            entry: id(9),
            node: NodeId::battery(),
            analysis,
        }),
        ..open
    };
    (job, assessment)
}

/// The same after the repair, measured again.
pub(crate) fn repaired60() -> (Job, Assessment, Assessment) {
    let (mut job, before) = found60();
    job.entries.push(entry(
        "2026-03-03T09:00:00Z",
        None,
        EntryKind::Repair {
            node: Some(NodeId("F34".into())),
            text: "Camera moved from the permanent feed to the ignition feed.".into(),
        },
    ));
    job.entries.push(entry(
        "2026-03-03T10:20:00Z",
        Some("clamp"),
        draw("battery", How::Clamp, Shown::Current(0.031)),
    ));
    let mut nodes = van(|at, usual| match at {
        33 => (q(0.0, 0.1, 0.4), 0.002),
        _ => (q(usual * 0.5, usual * 0.8, usual * 1.2 + 0.1), 0.003),
    });
    nodes[0].entries = vec![id(11)];
    let after = Assessment {
        total: Some(Uncertain::new(0.031, 0.003)),
        long_run: Some(Uncertain::new(0.031, 0.003)),
        exceeds: Exceeds::No,
        summary: "After the repair 31 ± 3 mA leave the battery, inside the limit of 50 mA.".into(),
        nodes,
        unaccounted: None,
        culprits: Vec::new(),
        outside: None,
        done: true,
        done_because: "The draw after the repair is inside the limit.".into(),
        forecast: Some(forecast(q(420.0, 560.0, 760.0))),
        trace: None,
        learned_from: 0,
        fuses: Vec::new(),
        warnings: Vec::new(),
        cause: odds(&[
            ("steady-draw", 0.02),
            ("usage", 0.46),
            ("weak-battery", 0.34),
            ("intermittent-draw", 0.14),
            ("poor-charging", 0.04),
        ]),
        explanation: None,
        ..before.clone()
    };
    (job, before, after)
}

/// Three loads on one cable.
pub(crate) fn small3() -> (Job, Assessment) {
    let nodes = vec![
        node(
            "battery",
            "",
            NodeKind::Battery,
            "Battery",
            q(84.0, 90.0, 96.0),
            0.9,
        ),
        node(
            "main",
            "battery",
            NodeKind::Cable,
            "Main cable",
            q(80.0, 86.0, 92.0),
            0.8,
        ),
        node(
            "alarm",
            "main",
            NodeKind::Load,
            "Alarm",
            q(55.0, 62.0, 69.0),
            0.71,
        ),
        node(
            "radio",
            "main",
            NodeKind::Load,
            "Radio",
            q(10.0, 21.0, 33.0),
            0.17,
        ),
        node(
            "clock",
            "main",
            NodeKind::Load,
            "Clock",
            q(1.0, 3.0, 5.0),
            0.01,
        ),
    ];
    let mut nodes = nodes;
    nodes[1].entries = vec![id(2)];
    let job = Job {
        invented: true,
        vehicle: Vehicle {
            name: "Small trailer".into(),
            ..Vehicle::default()
        },
        nodes: specs(&nodes),
        ..Job::default()
    };
    let assessment = Assessment {
        total: Some(Uncertain::new(0.0983, 0.0021)),
        exceeds: Exceeds::Yes,
        summary: "98.3 ± 2.1 mA leave the battery.".into(),
        nodes,
        unaccounted: Some(Uncertain::new(0.0119, 0.0034)),
        cause: odds(&[("steady-draw", 0.55), ("weak-battery", 0.45)]),
        forecast: Some(forecast(q(300.0, 380.0, 500.0))),
        forecast_missing: None,
        ..bare()
    };
    (job, assessment)
}

/// A tree described, nothing measured.
pub(crate) fn guess60() -> (Job, Assessment) {
    let nodes = van(|at, usual| {
        (
            q(usual * 0.3, usual, usual * 3.0 + 1.0),
            0.01 + 0.002 * (at % 5) as f64,
        )
    });
    let job = van_job(&nodes);
    let job = Job {
        entries: Vec::new(),
        ..job
    };
    (job, Assessment { nodes, ..bare() })
}

/// A night of ten and a half hours at 1 Hz: awake at 8 A, a staircase, asleep
/// at 23 mA, wake-ups each 45 minutes.
pub(crate) fn night() -> Trace {
    trace_of(37_800, 1.0)
}

pub(crate) fn trace_of(samples: usize, interval_s: f64) -> Trace {
    let mut seed = 1u64;
    let mut noise = move || {
        seed = seed
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (seed >> 40) as f64 / f64::from(1u32 << 24) - 0.5
    };
    let current_a = (0..samples)
        .map(|k| {
            let t = k as f64 * interval_s;
            let level = match t {
                t if t < 240.0 => 8.1,
                t if t < 900.0 => 2.9,
                t if t < 1900.0 => 0.74,
                t if t < 2700.0 => 0.21,
                t if (t - 2700.0) % 2700.0 > 2630.0 => 1.4,
                _ => 0.0231,
            };
            let noisy: f64 = level + noise() * (0.004 + level * 0.06);
            (noisy * 1000.0).round() / 1000.0
        })
        .collect();
    Trace {
        axis: TimeAxis::Regular { interval_s },
        current_a,
        voltage_v: None,
        source: Source {
            rows: samples as u64,
            current_column: "current".into(),
            unit: "A".into(),
            interval_s,
            start: Some("2026-03-02T20:00:00Z".into()),
            ..Source::default()
        },
    }
}
