//! What can be taken along: the report and the job as a file.

use axum::{
    extract::State,
    http::header,
    response::{Html, IntoResponse, Response},
};
use report::ReportOptions;

use super::Id;
use crate::{problem::Problem, state::AppState};

/// The report brings its own style and no script.
const REPORT_POLICY: &str = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; font-src data:; \
                             base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

/// The self-contained report.
pub(crate) async fn report(State(state): State<AppState>, Id(id): Id) -> Result<Response, Problem> {
    let html = state
        .run(move |state| {
            let known = state.known(id)?;
            let before = known
                .job
                .before_repair()
                .map(|before| state.assess_earlier(&before, &known));
            Ok(report::html(
                &known.job,
                &known.assessment,
                &ReportOptions {
                    before,
                    ..ReportOptions::default()
                },
            ))
        })
        .await?;
    Ok((
        [(header::CONTENT_SECURITY_POLICY, REPORT_POLICY)],
        Html(html),
    )
        .into_response())
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
