//! One file per page.

mod assets;
mod balance;
mod demo;
mod entry;
mod events;
mod history;
mod home;
mod hookup;
mod intake;
mod job;
#[cfg(any(test, feature = "kit"))]
mod kit;
#[cfg(any(test, feature = "kit"))]
pub(crate) mod kit_sample;
mod live;
mod log;
mod look;
mod nights;
pub(crate) mod pair;
mod practice;
mod reading;
mod rehearse;
mod score;
mod take;
mod trace;

use axum::{
    Router,
    extract::DefaultBodyLimit,
    response::{IntoResponse, Redirect, Response},
    routing::{get, post},
};

use crate::{LOG_LIMIT_MB, problem::Problem, state::AppState};

#[cfg(test)]
pub(crate) use kit::states as kit_states;
#[cfg(test)]
pub(crate) use kit_sample::{assessment as sample_assessment, job as sample_job};

/// Address and handler of every page.
pub(crate) fn routes() -> Router<AppState> {
    let log_limit = DefaultBodyLimit::max((LOG_LIMIT_MB as usize + 1) * 1024 * 1024);
    let routes = Router::new()
        .route("/", get(home::show))
        .route("/health", get(|| async { "ok" }))
        .route("/demo", post(demo::create))
        .route("/look", post(look::choose))
        .route("/language", post(look::language))
        .route(
            "/jobs",
            get(|| async { Redirect::to("/") }).post(intake::create),
        )
        .route("/jobs/new", get(intake::new))
        .route("/jobs/{id}", get(job::show))
        .route("/jobs/{id}/edit", get(intake::edit).post(intake::change))
        .route("/jobs/{id}/copy", get(back_to_job).post(intake::copy))
        .route("/jobs/{id}/reading", get(reading::show))
        .route("/jobs/{id}/entries", get(back_to_job).post(entry::append))
        .route(
            "/jobs/{id}/rehearse",
            get(back_to_job).post(rehearse::answer),
        )
        .route(
            "/jobs/{id}/log",
            get(back_to_job).post(log::upload).layer(log_limit),
        )
        .route(
            "/jobs/{id}/log/{token}",
            get(back_to_job_of_log).post(log::answer),
        )
        .route("/jobs/{id}/trace/{entry}", get(trace::show))
        .route("/hookup", get(hookup::show))
        .route("/jobs/{id}/hookup", get(hookup::for_job))
        .route("/jobs/{id}/balance", get(balance::show))
        .route("/jobs/{id}/nights", get(nights::show))
        .route("/jobs/{id}/events", get(events::stream))
        .route("/jobs/{id}/live", get(live::steps))
        .route("/jobs/{id}/live/van", get(back_to_job).post(live::van))
        .route("/jobs/{id}/live/keep", get(back_to_job).post(live::keep))
        .route("/events", get(events::all))
        .route("/jobs/{id}/report", get(take::report))
        .route("/jobs/{id}/report.pdf", get(take::pdf))
        .route("/jobs/{id}/export", get(take::export))
        .route("/history", get(history::show).post(history::change))
        .route("/history/export", get(history::export))
        .route("/rehearse", get(practice::new).post(practice::create))
        .route(
            "/jobs/{id}/rehearsal",
            get(practice::show).post(practice::test),
        )
        .route("/jobs/{id}/rehearsal/score", get(score::show))
        .route("/devices", get(pair::devices))
        .route("/devices/revoke", post(pair::revoke))
        .route("/devices/unlock", post(pair::unlock))
        .route(pair::PATH, get(pair::ask).post(pair::answer))
        .route("/assets/bench.css", get(assets::style))
        .route("/assets/bench.js", get(assets::script))
        .route("/assets/mark.svg", get(assets::mark))
        .route("/favicon.ico", get(assets::mark));
    // Invented figures have no place in a bench that is used.
    #[cfg(any(test, feature = "kit"))]
    let routes = routes.route("/kit", get(kit::show));
    routes
}

/// No such page.
pub(crate) async fn nothing_here() -> Response {
    Problem::not_found().into_response()
}

/// Someone reloaded the address of a form that had come back.
async fn back_to_job(Id(id): Id) -> Redirect {
    Redirect::to(&format!("/jobs/{id}"))
}

async fn back_to_job_of_log(
    axum::extract::Path((id, _)): axum::extract::Path<(String, String)>,
) -> Redirect {
    Redirect::to(&format!("/jobs/{}", id.parse::<i64>().unwrap_or_default()))
}

/// The job number in an address, with our own page for what is none.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Id(pub(crate) i64);

impl<S: Send + Sync> axum::extract::FromRequestParts<S> for Id {
    type Rejection = Problem;

    async fn from_request_parts(
        parts: &mut axum::http::request::Parts,
        state: &S,
    ) -> Result<Self, Problem> {
        axum::extract::Path::<i64>::from_request_parts(parts, state)
            .await
            .map(|path| Self(path.0))
            .map_err(|_| Problem::not_found())
    }
}
