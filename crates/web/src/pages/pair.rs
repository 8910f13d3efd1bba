//! Letting another device of the workshop in.

use std::{net::SocketAddr, time::Instant};

use axum::{
    Extension,
    extract::{ConnectInfo, State},
    http::{HeaderMap, StatusCode, header},
    response::{IntoResponse, Redirect, Response},
};
use maud::{Markup, html};

use crate::{
    access::Paired,
    form::{Typed, Wrong},
    parts::{
        field::{Field, Filling, Input},
        layout::{Page, page, wrong_summary},
    },
    problem::Problem,
    state::AppState,
    theme::Look,
};

/// Where a device that is not known yet is sent.
pub(crate) const PATH: &str = "/pair";
/// Cookie that a paired device carries.
pub(crate) const COOKIE: &str = "device";

/// Asks for the code.
pub(crate) async fn ask(headers: HeaderMap) -> Markup {
    form(Look::from_headers(&headers), &Wrong::default())
}

/// Checks the code and lets the device in.
pub(crate) async fn answer(
    State(state): State<AppState>,
    headers: HeaderMap,
    typed: Typed,
) -> Response {
    let message = match state.access().pair(typed.get("code"), Instant::now()) {
        Paired::Yes(token) => {
            let cookie =
                format!("{COOKIE}={token}; Path=/; Max-Age=31536000; HttpOnly; SameSite=Strict");
            return ([(header::SET_COOKIE, cookie)], Redirect::to("/")).into_response();
        }
        Paired::No => {
            "That is not the code. It has eight digits and changes after each device.".to_owned()
        }
        Paired::Wait(seconds) => format!(
            "Too many wrong codes. Wait {seconds} seconds, then read the new code from the bench."
        ),
    };
    let page = form(Look::from_headers(&headers), &Wrong::one("code", message));
    (StatusCode::FORBIDDEN, page).into_response()
}

/// The code for the next device, shown on the bench's own machine only.
pub(crate) async fn devices(
    State(state): State<AppState>,
    peer: Option<Extension<ConnectInfo<SocketAddr>>>,
    headers: HeaderMap,
) -> Result<Markup, Problem> {
    let here = peer.is_some_and(|Extension(info)| info.0.ip().to_canonical().is_loopback());
    if !state.access().is_open_to_network() {
        return Err(Problem::refused(
            "Only this machine",
            "This bench was started for this machine alone. Start it with --lan to let a phone in.",
        ));
    }
    if !here {
        return Err(Problem::forbidden(
            "The code is shown only on the machine that runs the bench.",
        ));
    }
    let code = state.access().code();
    let body = html! {
        h1 { "Let a phone in" }
        p { "On the phone, open this machine's address in the workshop's network and enter this code. It lets in one device and then changes." }
        p class="big" { (code.get(..4).unwrap_or_default()) " " (code.get(4..).unwrap_or_default()) }
    };
    Ok(page(
        &Page {
            title: "Let a phone in",
            look: Look::from_headers(&headers),
            here: "/devices",
            follow: None,
        },
        &body,
    ))
}

fn form(look: Look, wrong: &Wrong) -> Markup {
    let field = Field {
        name: "code",
        label: "Code shown on the bench",
        hint: "Eight digits. On the machine that runs the bench: page “Let a phone in”, or the terminal.",
        input: Input::Text,
    };
    let body = html! {
        h1 { "Who is there?" }
        (wrong_summary(wrong, ""))
        form method="post" action=(PATH) {
            (field.markup(Filling { prefix: "", typed: &Typed::default(), wrong }))
            button type="submit" class="main-press" { "Let me in" }
        }
    };
    page(
        &Page {
            title: "Pairing",
            look,
            here: PATH,
            follow: None,
        },
        &body,
    )
}
