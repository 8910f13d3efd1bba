//! An invented job with an invented assessment, for the page that shows every
//! part in every state. Nothing here is computed, and nothing else uses it but tests.

use battery::{Forecast, Judgement, Moment, Verdict};
use harness::{NodeId, NodeKind, NodeSpec};
use jiff::Timestamp;
use job::{
    Assessment, Entry, EntryId, EntryKind, Excluded, Explanation, Job, NodeAssessment, Odds,
    Outcome, Proposal, Shown, Warning,
};
use measure::{How, Instrument, InstrumentKind, Quantiles, Uncertain};
use trace::Exceeds;

/// The invented job: a few fuses, a few entries, one struck out.
pub(crate) fn job() -> Job {
    let mut job = Job {
        invented: true,
        ..Job::default()
    };
    job.vehicle.name = "Kit van".into();
    job.complaint.text = Some("Invented: dead on Monday".into());
    job.complaint.no_start_after_h = Some(40.0);
    job.complaint.temperature_c = Some(4.0);
    job.battery.label.capacity_ah = Some(60.0);
    job.instruments = vec![
        Instrument::generic(InstrumentKind::Clamp),
        Instrument::generic(InstrumentKind::Millivolt),
    ];
    job.nodes = vec![NodeSpec::new("cabin-box", "battery", NodeKind::Cable)];
    for (id, label) in [
        ("F12", "Radio"),
        ("F13", "Tracker"),
        ("F14", "Interior lamp with a rather long name to wrap"),
    ] {
        let mut fuse = NodeSpec::new(id, "cabin-box", NodeKind::Fuse);
        fuse.label = Some(label.into());
        fuse.rating_a = Some(15.0);
        fuse.in_place = true;
        fuse.keeps_settings = id == "F12";
        job.nodes.push(fuse);
    }
    let draw = |current_a| EntryKind::Draw {
        node: NodeId::battery(),
        how: How::Clamp,
        shown: Shown::Current(current_a),
        asleep: true,
    };
    let kinds = [
        draw(4.12),
        EntryKind::Strike {
            entry: EntryId::from_index(0),
        },
        draw(0.412),
        EntryKind::Note {
            text: "Invented remark".into(),
        },
    ];
    job.entries = kinds
        .map(|kind| Entry {
            at: Timestamp::UNIX_EPOCH,
            instrument: None,
            kind,
        })
        .into();
    job
}

/// What the sample says of it.
pub(crate) fn assessment() -> Assessment {
    Assessment {
        total: Some(Uncertain::new(0.412, 0.005)),
        long_run: Some(Uncertain::new(0.43, 0.01)),
        limit_a: 0.05,
        exceeds: Exceeds::Yes,
        summary: "Draws 412 mA asleep, eight times the limit; it lies behind the cabin box.".into(),
        nodes: nodes(),
        unaccounted: Some(Uncertain::new(0.012, 0.006)),
        culprits: Vec::new(),
        outside: None,
        done: false,
        done_because: String::new().into(),
        next: Some(millivolts()),
        alternatives: vec![
            other(
                "clamp",
                "cabin-box",
                "Clamp around the feed of the cabin box",
            ),
            other("pull", "F14", "Pull F14"),
        ],
        excluded: vec![Excluded {
            kind: "pull".into(),
            node: Some(NodeId("F12".into())),
            reason: "it keeps settings, and the owner has not agreed that they may be lost".into(),
        }],
        forecast: Some(forecast()),
        forecast_missing: None,
        battery: Judgement {
            verdict: Verdict::Good,
            state_of_charge: Some(Uncertain::new(0.82, 0.06)),
            health: None,
            because: vec!["12.55 V after a night of rest".into()],
            contradicting: false,
        },
        cause: vec![
            odds("steady-draw", 0.86),
            odds("weak-battery", 0.1),
            odds("usage", 0.04),
        ],
        explanation: Some(Explanation {
            needed_a: Quantiles {
                p05: 0.3,
                p50: 0.5,
                p95: 0.9,
            },
            sentence: "A draw of 412 mA explains a flat battery after 40 hours.".into(),
        }),
        trace: None,
        learned_from: 0,
        fuses: Vec::new(),
        warnings: vec![Warning {
            code: "kit".into(),
            message: "two readings at the battery differ more than the clamp allows".into(),
            entries: vec![EntryId::from_index(0), EntryId::from_index(2)],
        }],
    }
}

fn nodes() -> Vec<NodeAssessment> {
    let node =
        |id: &str, parent: Option<&str>, kind, label: &str, mean_a: f64, p_fault| NodeAssessment {
            id: NodeId(id.into()),
            parent: parent.map(|parent| NodeId(parent.into())),
            kind,
            label: label.into(),
            keeps_settings: id == "F12",
            draw: Quantiles {
                p05: mean_a * 0.7,
                p50: mean_a,
                p95: mean_a * 1.4,
            },
            mean_a,
            normal_a: 0.004,
            p_fault,
            entries: if id == "battery" {
                vec![EntryId::from_index(2)]
            } else {
                Vec::new()
            },
        };
    vec![
        node("battery", None, NodeKind::Battery, "", 0.412, 0.99),
        node(
            "cabin-box",
            Some("battery"),
            NodeKind::Cable,
            "Cabin box",
            0.4,
            0.92,
        ),
        node(
            "F12",
            Some("cabin-box"),
            NodeKind::Fuse,
            "Radio",
            0.004,
            0.01,
        ),
        node(
            "F13",
            Some("cabin-box"),
            NodeKind::Fuse,
            "Tracker",
            0.31,
            0.62,
        ),
        node(
            "F14",
            Some("cabin-box"),
            NodeKind::Fuse,
            "Interior lamp with a rather long name to wrap",
            0.08,
            0.2,
        ),
    ]
}

fn millivolts() -> Proposal {
    Proposal {
        kind: "millivolt".into(),
        node: Some(NodeId("F13".into())),
        nodes: Vec::new(),
        headline: "Measure millivolts across F13".into(),
        how: "Both probes on the test points of F13, meter on its millivolt range, fuse left in place.".into(),
        minutes: 1.5,
        wake_chance: 0.02,
        floor_a: Some(0.022),
        why: "F13 is the likeliest of three, and this splits them without waking anything.".into(),
        caution: Some("Probe only the fuse's own test points; a slip to earth blows the circuit.".into()),
        outcomes: vec![
            Outcome { seen: "above 60 mA".into(), seen_a: None, p: 0.62, p_fault: None, means: "the tracker is what draws".into() },
            Outcome { seen: "below that".into(), seen_a: None, p: 0.38, p_fault: None, means: "it is the lamp, or there are two".into() },
        ],
    }
}

fn other(kind: &str, node: &str, headline: &str) -> Proposal {
    Proposal {
        kind: kind.into(),
        node: Some(NodeId(node.into())),
        headline: headline.into(),
        caution: (kind == "pull").then(|| "Pulling it may wake the vehicle.".into()),
        outcomes: Vec::new(),
        ..millivolts()
    }
}

fn odds(hypothesis: &str, p: f64) -> Odds {
    Odds {
        hypothesis: hypothesis.into(),
        p,
        speaks_for: vec!["412 mA asleep".into()],
        speaks_against: vec!["the analyser passes the battery".into()],
        cheap_check: Some("ask how far it is driven".into()),
        check_worth: None,
    }
}

fn forecast() -> Forecast {
    let moment = |step: u32| {
        let hours = f64::from(step) * 4.0;
        let left = (0.85 - 0.012 * hours).max(0.0);
        Moment {
            hours,
            charge: Quantiles {
                p05: (left - 0.1).max(0.0),
                p50: left,
                p95: (left + 0.08).min(1.0),
            },
            p_no_start: (hours / 60.0).min(1.0),
        }
    };
    Forecast {
        hours_to_no_start: Some(Quantiles {
            p05: 26.0,
            p50: 39.0,
            p95: 58.0,
        }),
        hours_to_half: Some(Quantiles {
            p05: 20.0,
            p50: 29.0,
            p95: 40.0,
        }),
        no_start_charge: Quantiles {
            p05: 0.25,
            p50: 0.35,
            p95: 0.45,
        },
        self_discharge_a: 0.003,
        freezing_risk: None,
        hours_to_freezing: None,
        nights: Vec::new(),
        recharge_h: Some(6.0),
        ahead: (0..20).map(moment).collect(),
    }
}
