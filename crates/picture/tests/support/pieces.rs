//! What the sample jobs are put together from.

use super::*;

pub(crate) fn bare() -> Assessment {
    Assessment {
        total: None,
        long_run: None,
        limit_a: 0.05,
        exceeds: Exceeds::Unsure,
        summary: "Nothing is measured yet.".into(),
        nodes: vec![node(
            "battery",
            "",
            NodeKind::Battery,
            "Battery",
            q(0.0, 0.0, 0.0),
            0.0,
        )],
        unaccounted: None,
        culprits: Vec::new(),
        outside: None,
        done: false,
        done_because: String::new().into(),
        next: Some(proposal(
            "rest-voltage",
            None,
            "Read the rested battery voltage",
            2.0,
        )),
        alternatives: Vec::new(),
        excluded: Vec::new(),
        forecast: None,
        forecast_missing: Some(
            "neither capacity nor cranking current of the battery is known".into(),
        ),
        battery: Judgement {
            verdict: Verdict::Unknown,
            state_of_charge: None,
            health: None,
            because: Vec::new(),
            contradicting: false,
        },
        cause: Vec::new(),
        explanation: None,
        trace: None,
        learned_from: 0,
        fuses: Vec::new(),
        warnings: Vec::new(),
    }
}

pub(super) fn proposal(kind: &str, node: Option<&str>, headline: &str, minutes: f64) -> Proposal {
    Proposal {
        kind: kind.into(),
        node: node.map(|n| NodeId(n.into())),
        nodes: Vec::new(),
        headline: headline.into(),
        how: "Meter on its millivolt range, one probe on each test point of the fuse; leave the fuse in.".into(),
        minutes,
        wake_chance: 0.01,
        floor_a: Some(0.009),
        why: "It feeds the circuit with the best odds, and your meter sees 9 mA there; nothing is disturbed.".into(),
        caution: Some("Keep the probes on the fuse: a slip to earth blows it. Follow the maker's service information.".into()),
        outcomes: vec![
            Outcome { seen: "above 60 mA".into(), seen_a: None, p: 0.42, p_fault: None, means: "this circuit is at fault".into() },
            Outcome { seen: "9 to 60 mA".into(), seen_a: None, p: 0.08, p_fault: None, means: "it draws more than usual; unplug its loads".into() },
            Outcome { seen: "nothing".into(), seen_a: None, p: 0.50, p_fault: None, means: "it is clear; the cabin box comes next".into() },
        ],
    }
}

pub(super) fn odds(list: &[(&str, f64)]) -> Vec<Odds> {
    list.iter()
        .map(|(hypothesis, p)| Odds {
            hypothesis: (*hypothesis).into(),
            p: *p,
            speaks_for: vec!["412 mA leave the battery while everything should sleep.".into()],
            speaks_against: Vec::new(),
            cheap_check: None,
            check_worth: None,
        })
        .collect()
}

/// A discharge with its band.
pub(crate) fn forecast(hours: Quantiles) -> Forecast {
    let (start, stop) = (q(0.80, 0.86, 0.91), q(0.28, 0.34, 0.41));
    let at = |h: f64, from: f64, to: f64, life: f64| (from - (from - to) * h / life).max(0.0);
    let ahead = (0..100)
        .map(|k| {
            let h = hours.p95 * 1.4 * f64::from(k) / 99.0;
            Moment {
                hours: h,
                charge: q(
                    at(h, start.p05, stop.p50, hours.p05),
                    at(h, start.p50, stop.p50, hours.p50),
                    at(h, start.p95, stop.p50, hours.p95),
                ),
                p_no_start: ((h - hours.p05) / (hours.p95 - hours.p05)).clamp(0.0, 1.0),
            }
        })
        .collect();
    let half = |h: f64, from: f64| h * (from - 0.5) / (from - stop.p50);
    Forecast {
        hours_to_no_start: Some(hours),
        hours_to_half: Some(q(
            half(hours.p05, start.p05),
            half(hours.p50, start.p50),
            half(hours.p95, start.p95),
        )),
        no_start_charge: stop,
        self_discharge_a: 0.003,
        freezing_risk: None,
        hours_to_freezing: None,
        nights: Vec::new(),
        recharge_h: Some(6.4),
        ahead,
    }
}

pub(super) fn at(text: &str) -> jiff::Timestamp {
    text.parse().expect("a timestamp")
}

pub(super) fn entry(time: &str, instrument: Option<&str>, kind: EntryKind) -> Entry {
    Entry {
        at: at(time),
        instrument: instrument.map(Into::into),
        kind,
    }
}

pub(super) fn draw(node: &str, how: How, shown: Shown) -> EntryKind {
    EntryKind::Draw {
        node: NodeId(node.into()),
        how,
        shown,
        asleep: true,
    }
}

pub(super) fn id(number: usize) -> EntryId {
    EntryId::from_number(number).expect("from one")
}
