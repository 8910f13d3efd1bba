//! Pages for what went wrong, each with a way back.

use axum::{
    http::StatusCode,
    response::{IntoResponse, Response},
};
use maud::html;
use tongue::say;

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
    fn new(status: StatusCode, title: impl Into<String>, message: impl Into<String>) -> Self {
        Self {
            status,
            title: title.into(),
            message: message.into(),
            back: ("/".into(), say::web::to_jobs().into()),
        }
    }

    /// A link back to a job.
    pub(crate) fn back_to_job(mut self, id: i64) -> Self {
        self.back = (format!("/jobs/{id}"), say::web::back_to_job().into());
        self
    }

    /// No such page.
    pub(crate) fn not_found() -> Self {
        Self::new(
            StatusCode::NOT_FOUND,
            say::web::nothing_here(),
            say::web::no_such_page(),
        )
    }

    /// No such job.
    pub(crate) fn no_job(id: i64) -> Self {
        Self::new(
            StatusCode::NOT_FOUND,
            say::web::no_such_job(),
            say::web::no_job_number(id.to_string()),
        )
    }

    /// Asked too often.
    pub(crate) fn too_often() -> Self {
        Self::new(
            StatusCode::TOO_MANY_REQUESTS,
            say::web::too_often_title(),
            say::web::too_often(),
        )
    }

    /// A form that is no form.
    pub(crate) fn unreadable_form(status: StatusCode) -> Self {
        Self::new(status, say::web::unreadable(), say::web::not_whole())
    }

    /// Too large.
    pub(crate) fn too_large(limit_mb: u64) -> Self {
        Self::new(
            StatusCode::PAYLOAD_TOO_LARGE,
            say::web::too_large_title(),
            say::web::too_large(limit_mb.to_string()),
        )
    }

    /// Something the person can put right.
    pub(crate) fn refused(title: impl Into<String>, message: impl Into<String>) -> Self {
        Self::new(StatusCode::BAD_REQUEST, title, message)
    }

    /// A request from another page or another name.
    pub(crate) fn forbidden(message: impl Into<String>) -> Self {
        Self::new(StatusCode::FORBIDDEN, say::web::not_from_here(), message)
    }

    /// Our own fault or the disk's.
    pub(crate) fn ours(message: impl Into<String>) -> Self {
        Self::new(
            StatusCode::INTERNAL_SERVER_ERROR,
            say::web::not_worked(),
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
