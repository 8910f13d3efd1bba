//! The demo's virtual van answers instead of a meter.

use axum::{extract::State, http::HeaderMap, response::Response};
use harness::NodeId;
use tongue::say;

use super::{Id, entry, log};
use crate::{form::Typed, logs, problem::Problem, state::AppState, theme::Look, virtual_van};

/// Takes the form as it stands, lets the virtual meter fill in the number, and
/// goes on as if it had been typed.
pub(crate) async fn answer(
    State(state): State<AppState>,
    Id(id): Id,
    headers: HeaderMap,
    typed: Typed,
) -> Result<Response, Problem> {
    let look = Look::from_headers(&headers);
    state
        .run(move |state| {
            let known = state.known(id)?;
            if !virtual_van::is_behind(&known.job) {
                return Err(
                    Problem::refused(say::web::no_van(), say::web::no_van_answer()).back_to_job(id),
                );
            }
            let word = typed.get("kind").to_owned();
            // The same van for the whole job, another one for the next.
            let seed = id.unsigned_abs();
            if word == "trace" {
                let csv = virtual_van::night(&known.job, seed).ok_or_else(|| silent(id))?;
                let trace = logs::read(csv.as_bytes(), &logs::Answers::default())
                    .map_err(|trouble| Problem::ours(trouble.message).back_to_job(id))?;
                let node = NodeId::battery();
                return log::keep(
                    state,
                    &known,
                    "virtual-night.csv",
                    (node, Vec::new()),
                    trace,
                    &typed.key(),
                    true,
                );
            }
            let typed =
                virtual_van::answer(&word, typed, &known.job, seed).ok_or_else(|| silent(id))?;
            entry::take(state, id, typed, look, true)
        })
        .await
}

fn silent(id: i64) -> Problem {
    Problem::refused(say::web::van_silent_title(), say::web::van_silent()).back_to_job(id)
}
