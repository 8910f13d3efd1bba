//! Pages for what went wrong, each with a way back.

use axum::{
    http::StatusCode,
    response::{IntoResponse, Response},
};
use maud::html;

use crate::{
    parts::layout::{Page, page},
    theme::Look,
};

/// Something that keeps a page from being shown.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Problem {
    pub(crate) status: StatusCode,
    pub(crate) title: String,
    pub(crate) message: String,
    /// Where to go from here: address and words.
    pub(crate) back: (String, String),
}

impl Problem {
    fn new(status: StatusCode, title: &str, message: impl Into<String>) -> Self {
        Self {
            status,
            title: title.into(),
            message: message.into(),
            back: ("/".into(), "To the jobs".into()),
        }
    }

    /// A link back to a job.
    pub(crate) fn back_to_job(mut self, id: i64) -> Self {
        self.back = (format!("/jobs/{id}"), "Back to the job".into());
        self
    }

    /// No such page.
    pub(crate) fn not_found() -> Self {
        Self::new(
            StatusCode::NOT_FOUND,
            "Nothing here",
            "There is no such page. The job may be under another number.",
        )
    }

    /// No such job.
    pub(crate) fn no_job(id: i64) -> Self {
        Self::new(
            StatusCode::NOT_FOUND,
            "No such job",
            format!("There is no job number {id} on this bench."),
        )
    }

    /// Asked too often.
    pub(crate) fn too_often() -> Self {
        let title = tongue::say::web::too_often_title().to_string();
        let message = tongue::say::web::too_often();
        Self::new(StatusCode::TOO_MANY_REQUESTS, &title, message)
    }

    /// A form that is no form.
    pub(crate) fn unreadable_form(status: StatusCode) -> Self {
        Self::new(
            status,
            "That could not be read",
            "The form did not arrive whole. Go back and send it once more.",
        )
    }

    /// Too large.
    pub(crate) fn too_large(limit_mb: u64) -> Self {
        Self::new(
            StatusCode::PAYLOAD_TOO_LARGE,
            "That file is too large",
            format!(
                "A log may have up to {limit_mb} MB here. Compress it with gzip or zstd, or cut it to the night in question."
            ),
        )
    }

    /// Something the person can put right.
    pub(crate) fn refused(title: &str, message: impl Into<String>) -> Self {
        Self::new(StatusCode::BAD_REQUEST, title, message)
    }

    /// A request from another page or another name.
    pub(crate) fn forbidden(message: impl Into<String>) -> Self {
        Self::new(StatusCode::FORBIDDEN, "Not from here", message)
    }

    /// Our own fault or the disk's.
    pub(crate) fn ours(message: impl Into<String>) -> Self {
        Self::new(
            StatusCode::INTERNAL_SERVER_ERROR,
            "That did not work",
            message,
        )
    }
}

impl IntoResponse for Problem {
    fn into_response(self) -> Response {
        let body = html! {
            h1 { (self.title) }
            div class="told alarm" { p { (self.message) } }
            p { a class="press" href=(self.back.0) { (self.back.1) } }
        };
        (
            self.status,
            page(
                &Page {
                    title: &self.title,
                    look: Look::asked(),
                    here: "/",
                    follow: None,
                },
                &body,
            ),
        )
            .into_response()
    }
}
