//! The demo job: invented, and says so.

use std::sync::Arc;

use axum::{extract::State, response::Redirect};
use job::{EntryKind, Job, Recording};
use tongue::{Lang, say};

use crate::{form::Typed, logs, problem::Problem, state::AppState};

const JOB: &str = include_str!("../../../../demo/bread-van.toml");
/// The same job in German words. A file of its own rather than a list of words: a job
/// is its writer's and is shown as it was written, so a reader of German needs one
/// that was written in German, here and on the command line.
const IN_GERMAN: &str = include_str!("../../../../demo/brotwagen.toml");
const NIGHT: (&str, &[u8]) = ("night.csv", include_bytes!("../../../../demo/night.csv"));

/// Puts a fresh copy of the demo on the bench and opens it.
pub(crate) async fn create(
    State(state): State<AppState>,
    typed: Typed,
) -> Result<Redirect, Problem> {
    let id = state
        .run(move |state| state.create(&demo()?, &typed.key()))
        .await?;
    Ok(Redirect::to(&format!("/jobs/{id}")))
}

/// The demo with its recording.
pub(crate) fn demo() -> Result<Job, Problem> {
    let written = match tongue::speaking() {
        Lang::De => IN_GERMAN,
        Lang::En => JOB,
    };
    let mut job = job::file::parse(written)
        .map_err(|error| Problem::ours(say::web::demo_unreadable(error.to_string())))?;
    let wants_night = job
        .entries
        .iter()
        .any(|entry| matches!(&entry.kind, EntryKind::Trace { file, .. } if file == NIGHT.0));
    if wants_night && !job.recordings.contains_key(NIGHT.0) {
        let trace = logs::read(NIGHT.1, &logs::Answers::default())
            .map_err(|trouble| Problem::ours(say::web::demo_night_unreadable(trouble.message)))?;
        job.recordings
            .insert(NIGHT.0.into(), Arc::new(Recording::new(trace)));
    }
    Ok(job)
}

#[cfg(test)]
mod tests {
    use tongue::speak;

    use super::*;

    #[test]
    fn the_german_demo_says_everything_in_german_and_means_the_same() {
        let (english, german) = (demo().unwrap(), speak(Lang::De, demo).unwrap());
        let texts = |job: &Job| -> Vec<String> {
            let label = |node: &harness::NodeSpec| node.label.clone().unwrap_or(node.id.0.clone());
            let labels = job.nodes.iter().map(label);
            let notes = job.entries.iter().filter_map(|entry| match &entry.kind {
                EntryKind::Note { text } => Some(text.clone()),
                _ => None,
            });
            let own = [job.vehicle.name.clone()];
            let more = job.vehicle.notes.iter().chain(&job.complaint.text).cloned();
            let tools = job.instruments.iter().map(|tool| tool.id.clone());
            own.into_iter()
                .chain(more)
                .chain(notes)
                .chain(tools)
                .chain(labels)
                .collect()
        };
        let (english_texts, german_texts) = (texts(&english), texts(&german));
        assert!(english_texts.len() > 20);
        for (english, german) in english_texts.iter().zip(&german_texts) {
            assert!(english != german || english == "Radio", "{english}");
        }
        let (a, b) = (job::assess(&english), job::assess(&german));
        let odds = |a: &job::Assessment| a.nodes.iter().map(|n| n.p_fault).collect::<Vec<_>>();
        assert_eq!(odds(&a), odds(&b));
        let next = |a: &job::Assessment| a.next.as_ref().map(|n| (n.kind.clone(), n.node.clone()));
        assert_eq!(next(&a), next(&b));
        assert_eq!(without_words(english), without_words(german));
    }

    /// A job with every text emptied that the two files may say differently.
    fn without_words(mut job: Job) -> Job {
        job.vehicle.name.clear();
        job.vehicle.notes = None;
        job.complaint.text = None;
        for tool in &mut job.instruments {
            tool.id.clear();
        }
        for node in &mut job.nodes {
            node.label = None;
        }
        for entry in &mut job.entries {
            entry.instrument = None;
            if let EntryKind::Note { text } = &mut entry.kind {
                text.clear();
            }
        }
        job.recordings.clear();
        job
    }
}
