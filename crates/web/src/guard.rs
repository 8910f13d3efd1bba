//! What every request passes through: the name it asked for, where a change
//! came from, whether the device is paired; and the headers of every answer.

use std::time::Instant;

use axum::{
    body::Body,
    extract::{ConnectInfo, Request, State},
    http::{HeaderMap, HeaderName, HeaderValue, Method, header},
    middleware::Next,
    response::{IntoResponse, Redirect, Response},
};

use futures_util::StreamExt;
use tongue::say;

use crate::{
    access::Guest, door::From, pages::pair, problem::Problem, state::AppState, theme::cookie,
};

/// Own scripts, styles and pictures only; nothing inline, nobody frames it.
/// Pictures are SVG with presentation attributes and classes, which need no exception.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; \
                      connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'";

/// Refuses what does not come from this bench's own pages, and ends the
/// streams of a device that is sent away.
pub(crate) async fn check(State(state): State<AppState>, request: Request, next: Next) -> Response {
    let guest = match admitted(&state, &request) {
        Ok(guest) => guest,
        Err(refusal) => return *refusal,
    };
    let response = next.run(request).await;
    match guest {
        Guest::Device(number) => {
            if state.access().is_to_note(number, Instant::now()) {
                let state = state.clone();
                // A sign of life that cannot be written down keeps nobody waiting.
                tokio::task::spawn_blocking(move || state.access().note(number));
            }
            let gone = state.access().gone(number);
            response.map(|body| Body::from_stream(body.into_data_stream().take_until(gone)))
        }
        Guest::Here | Guest::Stranger => response,
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

fn admitted(state: &AppState, request: &Request) -> Result<Guest, Box<Response>> {
    let headers = request.headers();
    let refuse = |problem: Problem| Box::new(problem.into_response());
    let peer = request
        .extensions()
        .get::<ConnectInfo<From>>()
        .map(|info| info.0.0);
    if !state.access().is_patient(peer, Instant::now()) {
        return Err(refuse(Problem::too_often()));
    }
    let host = headers
        .get(header::HOST)
        .and_then(|host| host.to_str().ok())
        .unwrap_or_default();
    if !state.access().answers_to(host) {
        return Err(refuse(Problem::forbidden(say::web::own_address_only())));
    }
    let changes = !matches!(*request.method(), Method::GET | Method::HEAD);
    if changes && !comes_from_here(headers, host) {
        return Err(refuse(Problem::forbidden(say::web::from_elsewhere())));
    }
    let guest = state.access().guest(peer, cookie(headers, pair::COOKIE));
    let path = request.uri().path();
    // What a device needs before it is let in: the door, its colours and its language.
    let open_to_all = path == pair::PATH
        || path == "/look"
        || path == "/language"
        || path == "/health"
        || path.starts_with("/assets/")
        || path == "/favicon.ico";
    if guest == Guest::Stranger && !open_to_all {
        return Err(Box::new(Redirect::to(pair::PATH).into_response()));
    }
    Ok(guest)
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
