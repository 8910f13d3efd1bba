//! Style sheet, script and mark, all our own and inside the program.

use std::sync::LazyLock;

use axum::{http::header, response::IntoResponse};

use crate::theme::variables;

static STYLE: LazyLock<String> = LazyLock::new(|| {
    format!(
        "{}{}{}",
        variables(),
        picture::style_sheet(),
        include_str!("../../assets/bench.css")
    )
});

/// The style sheet: colours from the table, the pictures' rules, the page's.
pub(crate) async fn style() -> impl IntoResponse {
    (
        [
            (header::CONTENT_TYPE, "text/css; charset=utf-8"),
            (header::CACHE_CONTROL, "no-cache"),
        ],
        STYLE.as_str(),
    )
}

/// The script's parts, in the order in which they run.
static SCRIPT: &str = concat!(
    include_str!("../../assets/script/form.js"),
    include_str!("../../assets/script/follow.js"),
    include_str!("../../assets/script/scope.js"),
    include_str!("../../assets/script/pad.js"),
    include_str!("../../assets/script/live.js"),
);

/// The script.
pub(crate) async fn script() -> impl IntoResponse {
    (
        [
            (header::CONTENT_TYPE, "text/javascript; charset=utf-8"),
            (header::CACHE_CONTROL, "no-cache"),
        ],
        SCRIPT,
    )
}

/// The mark, also as the browser's icon.
pub(crate) async fn mark() -> impl IntoResponse {
    (
        [
            (header::CONTENT_TYPE, "image/svg+xml"),
            (header::CACHE_CONTROL, "max-age=86400"),
        ],
        include_str!("../../assets/mark.svg"),
    )
}
