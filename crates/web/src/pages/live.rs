//! Starting and keeping streams.

use axum::{
    extract::State,
    response::{IntoResponse, Redirect, Response},
};

use maud::Markup;
use tongue::say;

use super::Id;
use crate::{parts::live, problem::Problem, receiving, state::AppState, virtual_van};

/// The last step, beside the mark that explains it; for the script.
pub(crate) async fn steps(State(state): State<AppState>, Id(id): Id) -> Result<Markup, Problem> {
    state
        .run(move |state| {
            let known = state.known(id)?;
            let stream = state.streams().of(id).filter(|stream| !stream.cut_off);
            Ok(stream.map_or_else(Markup::default, |stream| live::steps(&known, &stream.tip)))
        })
        .await
}

/// Lets the virtual van's meter stream.
pub(crate) async fn van(State(state): State<AppState>, Id(id): Id) -> Result<Response, Problem> {
    state
        .run(move |state| {
            let known = state.known(id)?;
            let (interval_s, hours) = receiving::VAN_NIGHT;
            let csv = virtual_van::stretch(&known.job, id.unsigned_abs(), interval_s, hours);
            let csv = csv.ok_or_else(|| {
                Problem::refused(say::web::no_van(), say::web::no_van_stream()).back_to_job(id)
            })?;
            receiving::start_van(state, id, csv)?;
            Ok(Redirect::to(&format!("/jobs/{id}#live")).into_response())
        })
        .await
}

/// Makes an entry of a stream that was cut off.
pub(crate) async fn keep(State(state): State<AppState>, Id(id): Id) -> Result<Response, Problem> {
    state
        .run(move |state| {
            let number = receiving::take_up(state, id)?;
            Ok(Redirect::to(&format!("/jobs/{id}?entered={number}")).into_response())
        })
        .await
}
