//! What finished jobs taught, for programs and for the store.

use std::collections::BTreeMap;

use diagnosis::{History, history::Tally};
use harness::family::Families;
use serde_json::{Value, json};

use super::number;
use crate::NothingLearned;

/// Parts of one in which a [`Tally`] counts.
const PARTS: f64 = 1e6;

/// Counts as a document: what was seen and what was at fault, by family and
/// by circuit. Nothing in it names a vehicle, an owner or a place.
pub fn history(history: &History) -> Value {
    let families = Families::built_in();
    let of_family: Vec<Value> = history
        .families
        .iter()
        .map(|(id, tally)| {
            let family = families.get(id);
            let mut document = counts(tally);
            if let Some(document) = document.as_object_mut() {
                document.insert("family".into(), json!(id));
                document.insert(
                    "name".into(),
                    json!(family.map(|family| family.name.english())),
                );
                document.insert(
                    "chance_before".into(),
                    family.map_or(Value::Null, |family| number(family.prior_fault)),
                );
                document.insert(
                    "chance_now".into(),
                    family.map_or(Value::Null, |family| number(history.chance(family, None))),
                );
            }
            document
        })
        .collect();
    let of_circuit: Vec<Value> = history
        .circuits
        .iter()
        .map(|((family, circuit), tally)| {
            let mut document = counts(tally);
            if let Some(document) = document.as_object_mut() {
                document.insert("family".into(), json!(family));
                document.insert("circuit".into(), json!(circuit));
            }
            document
        })
        .collect();
    json!({"jobs": history.jobs, "families": of_family, "circuits": of_circuit})
}

/// One job's part in a history.
#[derive(Debug, Clone, Copy)]
pub struct LessonLine<'a> {
    /// Number of the job.
    pub job: i64,
    /// What it taught, or why nothing.
    pub taught: Result<&'a History, NothingLearned>,
    /// Whether the person wants it left out.
    pub forgotten: bool,
}

/// The document of `nightdraw history --json`.
pub fn learned<'a>(
    sum: &History,
    left_out: bool,
    lessons: impl IntoIterator<Item = LessonLine<'a>>,
) -> Value {
    let mut document = history(sum);
    let lessons: Vec<Value> = lessons
        .into_iter()
        .map(|lesson| {
            json!({
                "job": lesson.job,
                "counts": lesson.taught.is_ok() && !lesson.forgotten,
                "forgotten": lesson.forgotten,
                "why_not": lesson.taught.err().map(NothingLearned::as_str),
                "at_fault": lesson.taught.map(History::at_fault).unwrap_or_default(),
            })
        })
        .collect();
    if let Some(document) = document.as_object_mut() {
        document.insert("left_out".into(), json!(left_out));
        document.insert("lessons".into(), json!(lessons));
    }
    document
}

fn counts(tally: &Tally) -> Value {
    let ways: Vec<Value> = tally
        .ways
        .iter()
        .map(|(what, parts)| json!({"what": what, "count": number(*parts as f64 / PARTS)}))
        .collect();
    json!({
        "jobs": tally.jobs,
        "seen": number(tally.seen as f64 / PARTS),
        "at_fault": tally.at_fault,
        "ways": ways,
    })
}

/// The counts that [`history`] wrote, to the last millionth; `None` for
/// anything else.
pub fn history_from(text: &str) -> Option<History> {
    let document: Value = serde_json::from_str(text).ok()?;
    let mut families = BTreeMap::new();
    for each in document.get("families")?.as_array()? {
        families.insert(word(each, "family")?, tally(each)?);
    }
    let mut circuits = BTreeMap::new();
    for each in document.get("circuits")?.as_array()? {
        let key = (word(each, "family")?, word(each, "circuit")?);
        circuits.insert(key, tally(each)?);
    }
    Some(History {
        jobs: document.get("jobs")?.as_u64()?,
        families,
        circuits,
    })
}

fn tally(document: &Value) -> Option<Tally> {
    let mut ways = BTreeMap::new();
    for each in document.get("ways")?.as_array()? {
        ways.insert(word(each, "what")?, parts(each, "count")?);
    }
    Some(Tally {
        jobs: document.get("jobs")?.as_u64()?,
        seen: parts(document, "seen")?,
        at_fault: document.get("at_fault")?.as_u64()?,
        ways,
    })
}

fn word(document: &Value, name: &str) -> Option<String> {
    Some(document.get(name)?.as_str()?.to_owned())
}

fn parts(document: &Value, name: &str) -> Option<u64> {
    let count = document.get(name)?.as_f64()?;
    (count.is_finite() && count >= 0.0).then_some((count * PARTS).round() as u64)
}
