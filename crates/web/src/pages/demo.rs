//! The demo job: invented, and says so.

use std::sync::Arc;

use axum::{extract::State, response::Redirect};
use job::{EntryKind, Job, Recording};

use crate::{form::Typed, logs, problem::Problem, state::AppState};

const JOB: &str = include_str!("../../../../demo/bread-van.toml");
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
    let mut job = job::file::parse(JOB)
        .map_err(|error| Problem::ours(format!("The demo cannot be read: {error}")))?;
    let wants_night = job
        .entries
        .iter()
        .any(|entry| matches!(&entry.kind, EntryKind::Trace { file, .. } if file == NIGHT.0));
    if wants_night && !job.recordings.contains_key(NIGHT.0) {
        let trace = logs::read(NIGHT.1, &logs::Answers::default()).map_err(|trouble| {
            Problem::ours(format!(
                "The demo's recording cannot be read: {}",
                trouble.message
            ))
        })?;
        job.recordings
            .insert(NIGHT.0.into(), Arc::new(Recording::new(trace)));
    }
    Ok(job)
}
