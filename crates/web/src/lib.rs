//! The bench page: server-rendered, usable without script, live with it.
//!
//! Only this room knows HTTP. [`serve`] opens it on a port, [`app`] gives the
//! same pages as a function for tests.

mod access;
mod door;
mod figures;
mod form;
mod guard;
mod intake;
mod language;
mod logs;
mod pages;
mod parts;
mod problem;
mod pump;
mod rate;
mod reading;
mod receiving;
mod serve;
mod shelf;
mod state;
#[cfg(test)]
mod tests;
mod theme;
mod virtual_van;
mod words;

use axum::{Router, extract::DefaultBodyLimit, http::StatusCode, middleware, routing::get};
use tower_http::{compression::CompressionLayer, timeout::TimeoutLayer};

pub use serve::{Config, ServeError, serve, serve_announcing};
pub use state::AppState;

/// Largest log file taken, in megabytes. Common practice: a day at 100 Hz is about 150 MB of text.
pub const LOG_LIMIT_MB: u64 = 200;
/// Largest form, in bytes; far above the longest fuse list.
const FORM_LIMIT: usize = 512 * 1024;

/// How long an answer may take to begin, a log's upload over a slow network
/// included. Common practice.
const PATIENCE: std::time::Duration = std::time::Duration::from_secs(600);

/// All pages over a state.
pub fn app(state: AppState) -> Router {
    pages::routes()
        .fallback(get(pages::nothing_here))
        .layer(DefaultBodyLimit::max(FORM_LIMIT))
        .layer(middleware::from_fn_with_state(state.clone(), guard::check))
        .layer(middleware::from_fn(theme::remember))
        .layer(middleware::from_fn(language::speak))
        .layer(TimeoutLayer::with_status_code(
            StatusCode::REQUEST_TIMEOUT,
            PATIENCE,
        ))
        .layer(CompressionLayer::new())
        .layer(middleware::from_fn(guard::seal))
        .with_state(state)
}
