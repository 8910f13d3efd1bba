//! What every request passes through: the name it asked for, where a change
//! came from, whether the device is paired; and the headers of every answer.

use std::net::SocketAddr;

use axum::{
    extract::{ConnectInfo, Request, State},
    http::{HeaderMap, HeaderName, HeaderValue, Method, header},
    middleware::Next,
    response::{IntoResponse, Redirect, Response},
};

use crate::{pages::pair, problem::Problem, state::AppState, theme::cookie};

/// Own scripts, styles and pictures only; nothing inline, nobody frames it.
/// Pictures are SVG with presentation attributes and classes, which need no exception.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; \
                      connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'";

/// Refuses what does not come from this bench's own pages.
pub(crate) async fn check(State(state): State<AppState>, request: Request, next: Next) -> Response {
    match refusal(&state, &request) {
        Some(response) => response,
        None => next.run(request).await,
    }
}

/// Headers of every answer that has not set its own.
pub(crate) async fn seal(request: Request, next: Next) -> Response {
    let mut response = next.run(request).await;
    let headers = response.headers_mut();
    let standard: [(HeaderName, &str); 6] = [
        (header::CONTENT_SECURITY_POLICY, POLICY),
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        // `no-referrer` would make browsers send `Origin: null` with our own forms.
        (header::REFERRER_POLICY, "same-origin"),
        (header::X_FRAME_OPTIONS, "DENY"),
        (
            HeaderName::from_static("cross-origin-resource-policy"),
            "same-origin",
        ),
        (header::CACHE_CONTROL, "no-store"),
    ];
    for (name, value) in standard {
        headers
            .entry(name)
            .or_insert(HeaderValue::from_static(value));
    }
    response
}

fn refusal(state: &AppState, request: &Request) -> Option<Response> {
    let headers = request.headers();
    let host = headers
        .get(header::HOST)
        .and_then(|host| host.to_str().ok())
        .unwrap_or_default();
    if !state.access().answers_to(host) {
        return Some(
            Problem::forbidden("This bench answers only to its own address. Open the address that it printed when it started.")
                .into_response(),
        );
    }
    let changes = !matches!(*request.method(), Method::GET | Method::HEAD);
    if changes && !comes_from_here(headers, host) {
        return Some(
            Problem::forbidden("This change was sent from another page. Open the bench's own page and enter it there.")
                .into_response(),
        );
    }
    let peer = request
        .extensions()
        .get::<ConnectInfo<SocketAddr>>()
        .map(|info| info.0);
    let path = request.uri().path();
    let open_to_all = path == pair::PATH
        || path == "/health"
        || path.starts_with("/assets/")
        || path == "/favicon.ico";
    if !open_to_all && !state.access().admits(peer, cookie(headers, pair::COOKIE)) {
        return Some(Redirect::to(pair::PATH).into_response());
    }
    None
}

/// Whether a change was sent by a page of this bench. Every browser of the
/// last years names the origin of a form; one that does not is refused.
fn comes_from_here(headers: &HeaderMap, host: &str) -> bool {
    match headers
        .get(header::ORIGIN)
        .map(|origin| origin.to_str().unwrap_or_default())
    {
        Some(origin) => origin.strip_prefix("http://") == Some(host),
        None => headers
            .get("sec-fetch-site")
            .is_some_and(|site| site == "same-origin"),
    }
}
