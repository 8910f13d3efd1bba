//! The field names of the machine-readable output, in one place.
//!
//! Names here are promised to scripts: fields may be added, never renamed.
//! Keys stand in a fixed order, numbers are written in full, and what is not a
//! finite number is `null`; the same assessment gives the same bytes.

mod bench;
mod history;

use battery::{Coming, Forecast, Verdict};
use harness::NodeId;
use measure::{Quantiles, Uncertain};
use serde_json::{Value, json};
use tongue::Message;
use trace::{
    Analysis, Exceeds, Finding, Levels, LimitVerdict, Moment, Segment, Source, State, Step, Zero,
};

use crate::{
    Assessment, Culprit, EntryId, Excluded, Explanation, NodeAssessment, Odds, Outside, Part,
    Proposal, TraceFinding, Warning, file::words,
};

pub use bench::{balance, hook_up};
pub use history::{LessonLine, history, history_from, learned};

/// The document of `nightdraw assess --json`.
pub fn assessment(a: &Assessment) -> Value {
    json!({
        "total": uncertain(a.total),
        "long_run": uncertain(a.long_run),
        "limit_a": number(a.limit_a),
        "exceeds": exceeds(a.exceeds),
        "summary": a.summary.english(),
        "nodes": list(&a.nodes, node),
        "unaccounted": uncertain(a.unaccounted),
        "culprits": list(&a.culprits, culprit),
        "outside": a.outside.map(outside),
        "done": a.done,
        "done_because": a.done_because.english(),
        "next": a.next.as_ref().map(proposal),
        "alternatives": list(&a.alternatives, proposal),
        "excluded": list(&a.excluded, excluded),
        "forecast": forecast(a.forecast.as_ref()),
        "forecast_missing": english(a.forecast_missing.as_ref()),
        "battery": {
            "verdict": verdict(a.battery.verdict),
            "state_of_charge": uncertain(a.battery.state_of_charge),
            "health": uncertain(a.battery.health),
            "because": sentences(&a.battery.because),
            "contradicting": a.battery.contradicting,
        },
        "cause": list(&a.cause, odds),
        "explanation": a.explanation.as_ref().map(explanation),
        "trace": a.trace.as_ref().map(trace_finding),
        "learned_from": a.learned_from,
        "fuses": list(&a.fuses, |fuse| json!({
            "node": fuse.node.0,
            "ohm": uncertain(Some(fuse.ohm)),
            "table_ohm": uncertain(Some(fuse.table_ohm)),
            "shared_u": number(fuse.shared_u),
            "entries": entries(&fuse.entries),
        })),
        "warnings": list(&a.warnings, warning),
    })
}

/// The document of `nightdraw assess --next-only --json`.
pub fn next_only(a: &Assessment) -> Value {
    json!({
        "total": uncertain(a.total),
        "culprits": list(&a.culprits, culprit),
        "outside": a.outside.map(outside),
        "done": a.done,
        "done_because": a.done_because.english(),
        "next": a.next.as_ref().map(proposal),
    })
}

/// The document of `nightdraw read --json`.
pub fn analysis(a: &Analysis) -> Value {
    json!({
        "source": source(&a.source),
        "duration_s": number(a.duration_s),
        "noise_a": number(a.noise_a),
        "resolution_a": number(a.resolution_a),
        "penalty": number(a.penalty),
        "cost": number(a.cost),
        "segments": list(&a.segments, segment),
        "settled": a.settled.map(|s| json!({"since_s": number(s.since_s), "draw": uncertain(Some(s.draw))})),
        "not_settled": a.not_settled.as_ref().map(|n| {
            json!({"reason": n.reason.english(), "expected_at_s": n.expected_at_s.map(number)})
        }),
        "wake_ups": {
            "count": a.wake_ups.count,
            "period_s": uncertain(a.wake_ups.period_s),
            "mean_duration_s": a.wake_ups.mean_duration_s.map(number),
            "extra_charge_ah": number(a.wake_ups.extra_charge_ah),
            "events": a.events.iter().map(|event| json!({
                "start_s": number(event.start_s),
                "end_s": number(event.end_s),
                "peak_a": number(event.peak_a),
                "extra_charge_ah": number(event.extra_charge_ah),
            })).collect::<Vec<_>>(),
            "period_scatter": a.wake_ups.period_scatter.map(number),
        },
        "time_to_sleep": a.time_to_sleep.map(moment),
        "steps": list(&a.steps, step),
        "findings": list(&a.findings, finding),
        "zero": a.zero.as_ref().map(zero),
        "average": uncertain(Some(a.average)),
        "charge_ah": uncertain(Some(a.charge_ah)),
        "long_run": uncertain(a.long_run),
        "verdict": limit_verdict(&a.verdict),
    })
}

/// The document of `nightdraw read --segments-only --json`.
pub fn levels(levels: &Levels) -> Value {
    json!({
        "segments": list(&levels.segments, segment),
        "penalty": number(levels.penalty),
        "cost": number(levels.cost),
    })
}

/// The document of `nightdraw park --json`.
pub fn park(f: &Forecast) -> Value {
    json!({
        "hours_to_no_start": f.hours_to_no_start.map(quantiles),
        "hours_to_half": f.hours_to_half.map(quantiles),
        "self_discharge_a": number(f.self_discharge_a),
        "freezing_risk": english(f.freezing_risk.as_ref()),
        "hours_to_freezing": f.hours_to_freezing.map(quantiles),
        "recharge_h": f.recharge_h.map(number),
        "no_start_charge": quantiles(f.no_start_charge),
        "nights": list(&f.nights, night),
    })
}

/// The document of any failure.
pub fn error(kind: &str, message: &str, hint: &str) -> Value {
    json!({"error": {"kind": kind, "message": message, "hint": hint}})
}

/// The contract's word for whether a limit is exceeded.
pub fn exceeds(exceeds: Exceeds) -> &'static str {
    match exceeds {
        Exceeds::Yes => "yes",
        Exceeds::No => "no",
        Exceeds::Unsure => "unsure",
    }
}

/// The contract's word for a state.
pub fn state(state: State) -> &'static str {
    match state {
        State::Awake => "awake",
        State::Settling => "settling",
        State::Asleep => "asleep",
        State::WakeUp => "wake-up",
        State::Unknown => "unknown",
    }
}

/// The contract's word for the battery's verdict.
pub fn verdict(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Good => "good",
        Verdict::RechargeAndRetest => "recharge-and-retest",
        Verdict::Weak => "weak",
        Verdict::Replace => "replace",
        Verdict::Unknown => "unknown",
    }
}

fn forecast(forecast: Option<&Forecast>) -> Value {
    // Without a forecast the object stays, with nothing known in it.
    json!({
        "hours_to_no_start": forecast.and_then(|f| f.hours_to_no_start).map(quantiles),
        "hours_to_half": forecast.and_then(|f| f.hours_to_half).map(quantiles),
        "freezing_risk": english(forecast.and_then(|f| f.freezing_risk.as_ref())),
        "self_discharge_a": forecast.map(|f| number(f.self_discharge_a)),
        "no_start_charge": forecast.map(|f| quantiles(f.no_start_charge)),
        "recharge_h": forecast.and_then(|f| f.recharge_h).map(number),
        "hours_to_freezing": forecast.and_then(|f| f.hours_to_freezing).map(quantiles),
        "nights": forecast.map_or_else(Vec::new, |f| list(&f.nights, night)),
    })
}

fn night(coming: &Coming) -> Value {
    json!({
        "hours": number(coming.night.hours),
        "temperature_c": number(coming.night.temperature_c),
        "charge": quantiles(coming.charge),
        "p_no_start": number(coming.p_no_start),
    })
}

fn node(n: &NodeAssessment) -> Value {
    let kind = match n.kind {
        harness::NodeKind::Battery => "battery",
        described => words::word(words::NODE_KINDS, described),
    };
    json!({
        "id": n.id.0,
        "parent": id(n.parent.as_ref()),
        "kind": kind,
        "label": n.label,
        "keeps_settings": n.keeps_settings,
        "draw": quantiles(n.draw),
        "mean_a": number(n.mean_a),
        "normal_a": number(n.normal_a),
        "p_fault": number(n.p_fault),
        "entries": entries(&n.entries),
    })
}

fn culprit(c: &Culprit) -> Value {
    json!({"node": c.node.0, "p_fault": number(c.p_fault), "part": c.part.map(Part::as_str)})
}

fn outside(o: Outside) -> Value {
    json!({"p_fault": number(o.p_fault), "mean_a": number(o.mean_a)})
}

fn proposal(p: &Proposal) -> Value {
    json!({
        "kind": p.kind,
        "node": id(p.node.as_ref()),
        "nodes": p.nodes.iter().map(|node| node.0.as_str()).collect::<Vec<_>>(),
        "headline": p.headline.english(),
        "how": p.how.english(),
        "minutes": number(p.minutes),
        "wake_chance": number(p.wake_chance),
        "floor_a": p.floor_a.map(number),
        "why": p.why.english(),
        "caution": english(p.caution.as_ref()),
        "outcomes": p.outcomes.iter().map(|outcome| {
            json!({
                "seen": outcome.seen.english(),
                "seen_a": outcome.seen_a.map(number),
                "p": number(outcome.p),
                "p_fault": outcome.p_fault.map(number),
                "means": outcome.means.english(),
            })
        }).collect::<Vec<_>>(),
    })
}

fn excluded(e: &Excluded) -> Value {
    json!({"kind": e.kind, "node": id(e.node.as_ref()), "reason": e.reason.english()})
}

fn odds(o: &Odds) -> Value {
    json!({
        "hypothesis": o.hypothesis,
        "p": number(o.p),
        "speaks_for": sentences(&o.speaks_for),
        "speaks_against": sentences(&o.speaks_against),
        "cheap_check": english(o.cheap_check.as_ref()),
        "check_minutes": o.check_worth.map(|worth| number(worth.minutes)),
        "check_saves_min": o.check_worth.map(|worth| number(worth.saves_min)),
    })
}

fn explanation(e: &Explanation) -> Value {
    json!({"needed_a": quantiles(e.needed_a), "sentence": e.sentence.english()})
}

fn trace_finding(t: &TraceFinding) -> Value {
    let mut document = json!({"entry": t.entry.number(), "node": t.node.0});
    if let (Some(document), Value::Object(analysis)) =
        (document.as_object_mut(), analysis(&t.analysis))
    {
        document.extend(analysis);
    }
    document
}

fn warning(w: &Warning) -> Value {
    json!({"code": w.code, "message": w.message.english(), "entries": entries(&w.entries)})
}

fn source(s: &Source) -> Value {
    json!({
        "rows": s.rows,
        "skipped_rows": s.skipped_rows,
        "skipped": s.skipped.iter().map(|row| json!({"line": row.line, "reason": row.reason})).collect::<Vec<_>>(),
        "time_column": s.time_column,
        "current_column": s.current_column,
        "voltage_column": s.voltage_column,
        "unit": s.unit,
        "interval_s": number(s.interval_s),
        "gaps": s.gaps.iter().map(|gap| {
            json!({"start_s": number(gap.start_s), "end_s": number(gap.end_s)})
        }).collect::<Vec<_>>(),
        "start": s.start,
        "assumptions": s.assumptions,
    })
}

fn segment(s: &Segment) -> Value {
    json!({
        "first": s.first,
        "last": s.last,
        "start_s": number(s.start_s),
        "end_s": number(s.end_s),
        "level": uncertain(Some(s.level)),
        "state": state(s.state),
    })
}

fn moment(m: Moment) -> Value {
    json!({"at_s": number(m.at_s), "low_s": number(m.low_s), "high_s": number(m.high_s)})
}

fn finding(f: &Finding) -> Value {
    json!({
        "kind": f.kind.word(),
        "start_s": number(f.start_s),
        "end_s": number(f.end_s),
        "value": uncertain(Some(f.value)),
        "message": f.message.english(),
    })
}

fn zero(z: &Zero) -> Value {
    json!({
        "readings": list(&z.readings, |r| json!({
            "start_s": number(r.start_s),
            "end_s": number(r.end_s),
            "level": uncertain(Some(r.level)),
        })),
        "u_a": z.u_a.map(number),
    })
}

fn step(s: &Step) -> Value {
    let act = s.act.as_ref();
    json!({
        "from_s": number(s.from_s),
        "at_s": number(s.at_s),
        "size": uncertain(Some(s.size)),
        "before": uncertain(Some(s.before)),
        "after": uncertain(Some(s.after)),
        "act": act.map(|act| act.what.as_str()),
        "entry": act.and_then(|act| act.entry),
    })
}

fn limit_verdict(v: &LimitVerdict) -> Value {
    json!({"limit_a": number(v.limit_a), "exceeds": exceeds(v.exceeds), "because": v.because.english()})
}

/// Programs read English.
fn english(said: Option<&Message>) -> Option<&str> {
    said.map(Message::english)
}

fn sentences(said: &[Message]) -> Vec<&str> {
    said.iter().map(Message::english).collect()
}

fn uncertain(value: Option<Uncertain>) -> Value {
    value.map_or(
        Value::Null,
        |v| json!({"value": number(v.value), "u": number(v.u)}),
    )
}

fn quantiles(q: Quantiles) -> Value {
    json!({"p05": number(q.p05), "p50": number(q.p50), "p95": number(q.p95)})
}

fn number(value: f64) -> Value {
    // JSON knows no infinity; `from_f64` refuses it, and NaN.
    serde_json::Number::from_f64(value).map_or(Value::Null, Value::Number)
}

fn id(node: Option<&NodeId>) -> Value {
    node.map_or(Value::Null, |node| Value::from(node.0.as_str()))
}

fn entries(entries: &[EntryId]) -> Vec<usize> {
    entries.iter().map(|entry| entry.number()).collect()
}

fn list<T>(items: &[T], write: impl Fn(&T) -> Value) -> Vec<Value> {
    items.iter().map(write).collect()
}
