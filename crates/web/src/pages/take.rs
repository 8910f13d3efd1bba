//! What can be taken along: the report and the job as a file.

use axum::{
    extract::{Query, State},
    http::header,
    response::{Html, IntoResponse, Response},
};
use report::{Paper, ReportOptions};

use super::Id;
use crate::{
    problem::Problem,
    state::{AppState, Known},
};

/// The report brings its own style and no script.
const REPORT_POLICY: &str = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; font-src data:; \
                             base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

/// What may be asked of a report.
#[derive(Debug, Default, serde::Deserialize)]
pub(crate) struct Wish {
    /// Any value puts owner's name and plate in.
    owner: Option<String>,
    /// `letter`; anything else is A4.
    paper: Option<String>,
}

/// The self-contained report, with buttons for the file beside it.
pub(crate) async fn report(
    State(state): State<AppState>,
    Id(id): Id,
    Query(wish): Query<Wish>,
) -> Result<Response, Problem> {
    let html = state
        .run(move |state| {
            let known = state.known(id)?;
            let mut options = options(state, &known, &wish);
            options.take_along = Some(format!("/jobs/{id}/report"));
            Ok(report::html(&known.job, &known.assessment, &options))
        })
        .await?;
    Ok((
        [(header::CONTENT_SECURITY_POLICY, REPORT_POLICY)],
        Html(html),
    )
        .into_response())
}

/// The same report as a PDF file.
pub(crate) async fn pdf(
    State(state): State<AppState>,
    Id(id): Id,
    Query(wish): Query<Wish>,
) -> Result<Response, Problem> {
    let bytes = state
        .run(move |state| {
            let known = state.known(id)?;
            let options = options(state, &known, &wish);
            let paper = match wish.paper.as_deref() {
                Some("letter") => Paper::Letter,
                _ => Paper::A4,
            };
            report::pdf(&known.job, &known.assessment, &options, paper)
                .map_err(|error| Problem::ours(error.to_string()).back_to_job(id))
        })
        .await?;
    let headers = [
        (header::CONTENT_TYPE, "application/pdf".to_owned()),
        (
            header::CONTENT_DISPOSITION,
            format!("attachment; filename=\"report-{id}.pdf\""),
        ),
    ];
    Ok((headers, bytes).into_response())
}

fn options(state: &AppState, known: &Known, wish: &Wish) -> ReportOptions {
    ReportOptions {
        include_owner: wish.owner.is_some(),
        before: known
            .job
            .before_repair()
            .map(|job| state.assess_earlier(&job, known)),
        take_along: None,
    }
}

/// The job as a file that another bench can take in.
pub(crate) async fn export(State(state): State<AppState>, Id(id): Id) -> Result<Response, Problem> {
    let text = state
        .run(move |state| Ok(job::file::write(&state.known(id)?.job)))
        .await?;
    let headers = [
        (
            header::CONTENT_TYPE,
            "application/toml; charset=utf-8".to_owned(),
        ),
        (
            header::CONTENT_DISPOSITION,
            format!("attachment; filename=\"job-{id}.toml\""),
        ),
    ];
    Ok((headers, text).into_response())
}
