//! The virtual van behind the demo job: it answers a form as the meter would.

use harness::NodeId;
use job::{EntryKind, Job};
use measure::quantity::{Ampere, Volt};
use rehearsal::{Answer, Bench, Question, scenario};

use crate::form::Typed;

/// Kinds of entry that it can answer.
const ANSWERS: &[&str] = &[
    "draw",
    "pull",
    "unplug",
    "rest-voltage",
    "analyser",
    "charging",
    "trace",
];
/// Seconds between the samples of a night, and its hours: as the demo's own night.
const NIGHT: (f64, f64) = (2.0, 11.0);

/// Whether this job is about the virtual van: invented, with the van's circuits.
/// Anything else would be answered with figures of another vehicle.
pub(crate) fn is_behind(job: &Job) -> bool {
    let van = scenario::bread_van_nodes();
    job.invented
        && job.nodes.len() == van.len()
        && van
            .iter()
            .all(|node| job.nodes.iter().any(|own| own.id == node.id))
}

/// Whether it can answer a form of this kind.
pub(crate) fn can_answer(word: &str) -> bool {
    ANSWERS.contains(&word)
}

/// The form with what the virtual meter shows typed into it; `None` when it
/// has nothing to show for what was asked.
pub(crate) fn answer(word: &str, mut typed: Typed, job: &Job, seed: u64) -> Option<Typed> {
    let question = question(word, &typed)?;
    match bench(job, seed)?.ask(&question)? {
        Answer::Current(current_a) => typed.set("value", Ampere(current_a).to_string()),
        Answer::Cranking(current_a) => typed.set("value", Ampere(current_a).to_string()),
        Answer::Drop(drop_v) => typed.set("value", Volt(drop_v).to_string()),
        Answer::Voltage(voltage_v) => typed.set("value", Volt(voltage_v).to_string()),
        Answer::Pull(before_a, after_a) => {
            typed.set("before", Ampere(before_a).to_string());
            typed.set("after", Ampere(after_a).to_string());
        }
    }
    if word == "rest-voltage" && typed.get("rested").is_empty() {
        // The van of the story was charged by day and has stood since.
        typed.set("rested", "8 h".into());
    }
    // No slip of the finger is possible here.
    typed.set("sure", "true".into());
    Some(typed)
}

/// A night's log of the van as it stands, as a logging clamp would have written it.
pub(crate) fn night(job: &Job, seed: u64) -> Option<String> {
    let (interval_s, hours) = NIGHT;
    let log = bench(job, seed)?.night(interval_s, hours);
    Some(log.to_csv(scenario::BREAD_VAN_REMARK))
}

/// The first `hours` of such a night, a sample each `interval_s`.
pub(crate) fn stretch(job: &Job, seed: u64, interval_s: f64, hours: f64) -> Option<String> {
    let log = bench(job, seed)?.night(interval_s, hours);
    Some(log.to_csv(scenario::BREAD_VAN_REMARK))
}

fn bench(job: &Job, seed: u64) -> Option<Bench> {
    if !is_behind(job) {
        return None;
    }
    let repaired: Vec<NodeId> = job
        .standing()
        .filter_map(|(_, entry)| match &entry.kind {
            EntryKind::Repair { node, .. } => Some(node.clone().unwrap_or_else(NodeId::battery)),
            _ => None,
        })
        .collect();
    let bench = Bench::new(scenario::bread_van().ok()?, seed);
    Some(
        bench
            .with_battery(scenario::BREAD_VAN_BATTERY)
            .repaired(&repaired),
    )
}

fn question(word: &str, typed: &Typed) -> Option<Question> {
    let node = |name: &str| NodeId(name.to_owned());
    match (word, typed.get("how")) {
        ("draw", "millivolt") => Some(Question::Drop(node(typed.get("node")))),
        ("draw", "clamp" | "in-line") => Some(Question::Current(node(typed.get("node")))),
        ("pull", _) => {
            let nodes = typed
                .get("nodes")
                .split(',')
                .map(str::trim)
                .filter(|name| !name.is_empty());
            Some(Question::Pull(nodes.map(node).collect()))
        }
        // Its wiring is sound, so that both ways cut the same.
        ("unplug", _) => Some(Question::Pull(vec![node(typed.get("node"))])),
        ("rest-voltage", _) => Some(Question::RestVoltage),
        ("analyser", _) if typed.get("standard") == "en" => Some(Question::Cranking),
        ("charging", _) if typed.get("at_speed") != "idle" => Some(Question::Charging),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn van() -> Job {
        Job {
            invented: true,
            nodes: scenario::bread_van_nodes(),
            ..Job::default()
        }
    }

    #[test]
    fn it_stands_behind_its_own_job_alone() {
        assert!(is_behind(&van()));
        let mut real = van();
        real.invented = false;
        assert!(!is_behind(&real));
        let mut other = van();
        other.nodes.pop();
        assert!(!is_behind(&other));
        assert!(night(&other, 1).is_none());
        let asked = Typed::filled([("how", "clamp".to_owned()), ("node", "battery".to_owned())]);
        assert!(answer("draw", asked.clone(), &other, 1).is_none());
        assert!(answer("draw", asked, &van(), 1).is_some());
    }

    #[test]
    fn what_it_cannot_know_it_does_not_answer() {
        for (word, how, node) in [
            ("draw", "shunt", "battery"),
            ("draw", "millivolt", "cabin-box"),
            ("draw", "clamp", "F99"),
            ("note", "", ""),
            ("repair", "", "F17"),
        ] {
            let typed = Typed::filled([("how", how.to_owned()), ("node", node.to_owned())]);
            assert!(
                answer(word, typed, &van(), 1).is_none(),
                "{word} {how} {node}"
            );
        }
    }
}
