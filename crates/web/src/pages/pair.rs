//! Letting another device of the workshop in, and sending it away again.

use std::{
    net::{Ipv4Addr, SocketAddr, UdpSocket},
    time::{Duration, Instant},
};

use axum::{
    Extension,
    extract::{ConnectInfo, Query, State},
    http::{HeaderMap, StatusCode, header},
    response::{IntoResponse, Redirect, Response},
};
use maud::{Markup, PreEscaped, html};
use qrcode::{Color, EcLevel, QrCode};
use tongue::say;

use store::Device as Seen;

use crate::{
    access::{Paired, is_here},
    door::From,
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
/// Devices sent away that are still shown.
const SHOWN_AWAY: usize = 20;
/// How long a wrong code is thought about.
const THINK: Duration = Duration::from_millis(700);

type Peer = Option<Extension<ConnectInfo<From>>>;

/// The code that the square carries.
#[derive(Debug, serde::Deserialize)]
pub(crate) struct Scanned {
    code: Option<String>,
}

/// Asks for the code; a scanned one is filled in and only wants a press, for
/// looking at an address must not change anything.
pub(crate) async fn ask(headers: HeaderMap, Query(scanned): Query<Scanned>) -> Markup {
    let digits: String = scanned
        .code
        .unwrap_or_default()
        .chars()
        .filter(char::is_ascii_digit)
        .take(8)
        .collect();
    let typed = Typed::filled([("code", digits)]);
    form(Look::from_headers(&headers), &typed, &Wrong::default())
}

/// Checks the code and lets the device in.
pub(crate) async fn answer(
    State(state): State<AppState>,
    headers: HeaderMap,
    typed: Typed,
) -> Response {
    let (name, code) = (device_name(&headers), typed.get("code").to_owned());
    let paired = state.run(move |state| Ok(state.access().pair(&code, &name, Instant::now())?));
    let message = match paired.await {
        Err(problem) => return problem.into_response(),
        Ok(paired) => paired,
    };
    let message = match message {
        Paired::Yes(token) => {
            let cookie =
                format!("{COOKIE}={token}; Path=/; Max-Age=31536000; HttpOnly; SameSite=Strict");
            return ([(header::SET_COOKIE, cookie)], Redirect::to("/")).into_response();
        }
        Paired::No => say::web::code_wrong(),
        Paired::Wait(seconds) => say::web::code_wait(seconds),
        Paired::Locked => say::web::code_locked(),
    };
    tokio::time::sleep(THINK).await;
    let look = Look::from_headers(&headers);
    let page = form(
        look,
        &Typed::default(),
        &Wrong::one("code", message.to_string()),
    );
    (StatusCode::FORBIDDEN, page).into_response()
}

/// The code for the next device and the devices let in, shown on the bench's
/// own machine only.
pub(crate) async fn devices(
    State(state): State<AppState>,
    peer: Peer,
    headers: HeaderMap,
) -> Result<Markup, Problem> {
    only_here(&state, peer)?;
    let away = state.run(|state| Ok(state.access().sent_away()?)).await?;
    let access = state.access();
    let addresses = addresses(access.port());
    let body = html! {
        h1 { (say::web::let_in()) }
        @match access.code() {
            Some(code) => { (invitation(&code, &addresses)) }
            None => {
                p role="alert" class="told alarm" { (say::web::locked()) }
                form method="post" action="/devices/unlock" {
                    button type="submit" class="main-press" { (say::web::unlock()) }
                }
            }
        }
        (list(&access.devices()))
        (gone(&away))
    };
    Ok(page(
        &Page {
            title: &say::web::let_in().to_string(),
            look: Look::from_headers(&headers),
            here: "/devices",
            follow: None,
        },
        &body,
    ))
}

/// Sends a device away.
pub(crate) async fn revoke(
    State(state): State<AppState>,
    peer: Peer,
    typed: Typed,
) -> Result<Redirect, Problem> {
    only_here(&state, peer)?;
    if let Ok(number) = typed.get("device").parse() {
        state
            .run(move |state| Ok(state.access().revoke(number)?))
            .await?;
    }
    Ok(Redirect::to("/devices"))
}

/// Opens the locked door.
pub(crate) async fn unlock(State(state): State<AppState>, peer: Peer) -> Result<Redirect, Problem> {
    only_here(&state, peer)?;
    state.access().unlock();
    Ok(Redirect::to("/devices"))
}

fn only_here(state: &AppState, peer: Peer) -> Result<(), Problem> {
    if !state.access().is_open_to_network() {
        return Err(Problem::refused(
            say::web::only_here(),
            say::web::start_with_lan(),
        ));
    }
    match peer {
        Some(Extension(info)) if is_here(info.0.0) => Ok(()),
        _ => Err(Problem::forbidden(say::web::code_only_here())),
    }
}

fn invitation(code: &str, addresses: &[SocketAddr]) -> Markup {
    html! {
        @for address in addresses {
            @let door = format!("http://{address}{PATH}");
            p { (say::web::let_in_how(door.as_str())) }
            @if let Some(square) = square(&format!("{door}?code={code}"), &door) { (square) }
        }
        @if addresses.is_empty() { p { (say::web::let_in_no_address()) } }
        p { (say::web::let_in_code()) }
        p class="big" { (code.get(..4).unwrap_or_default()) " " (code.get(4..).unwrap_or_default()) }
    }
}

fn list(devices: &[Seen]) -> Markup {
    html! {
        h2 { (say::web::devices()) }
        @if devices.is_empty() { p { (say::web::devices_none()) } }
        @else {
            p class="small soft" { (say::web::devices_until()) }
            ul class="plain" {
                @for device in devices {
                    @let name = name(device);
                    li {
                        form method="post" action="/devices/revoke" {
                            p {
                                strong { (name) } " "
                                span class="small soft" {
                                    (say::web::device_since(crate::words::moment(device.since)))
                                    @if !device.place.is_empty() { ", " (say::web::device_from(crate::words::moment(device.seen), &device.place)) }
                                }
                            }
                            input type="hidden" name="device" value=(device.number);
                            button type="submit" class="press" aria-label=(say::web::send_away_named(name.as_str(), device.number)) { (say::web::send_away()) }
                        }
                    }
                }
            }
        }
    }
}

/// Those sent away, so that it can be seen that it lasts.
fn gone(away: &[Seen]) -> Markup {
    html! {
        @if !away.is_empty() {
            details id="sent-away" {
                summary { (say::web::sent_away(away.len())) }
                ul { @for device in away.iter().take(SHOWN_AWAY) {
                    li { (name(device)) ", " (say::web::device_away(crate::words::moment(device.away.unwrap_or(device.seen)))) }
                } }
            }
        }
    }
}

fn name(device: &Seen) -> String {
    if device.name.is_empty() {
        say::web::device_unnamed().to_string()
    } else {
        device.name.clone()
    }
}

/// A square code (ISO/IEC 18004) as a picture; `None` for what does not fit one.
fn square(text: &str, door: &str) -> Option<Markup> {
    let code = QrCode::with_error_correction_level(text, EcLevel::M).ok()?;
    let width = code.width();
    let mut d = String::new();
    for (at, colour) in code.to_colors().into_iter().enumerate() {
        if colour == Color::Dark {
            // Four light modules all round: the quiet zone of the standard.
            d.push_str(&format!("M{} {}h1v1h-1z", at % width + 4, at / width + 4));
        }
    }
    let side = width + 8;
    let label = say::web::let_in_square(door).to_string();
    Some(html! {
        svg xmlns="http://www.w3.org/2000/svg" viewBox=(format!("0 0 {side} {side}")) width="264" height="264" role="img" aria-label=(label) shape-rendering="crispEdges" {
            (PreEscaped(format!("<path d=\"M0 0h{side}v{side}h-{side}z\" fill=\"#fff\"/><path d=\"{d}\" fill=\"#000\"/>")))
        }
    })
}

/// The address under which the network reaches this machine: the one from
/// which a packet to elsewhere would leave. None is sent.
fn addresses(port: Option<u16>) -> Vec<SocketAddr> {
    // Addresses for documentation (RFC 5737, section 3), a private one and the
    // link-local block, for networks without a way out.
    let elsewhere = [
        Ipv4Addr::new(192, 0, 2, 1),
        Ipv4Addr::new(10, 255, 255, 254),
        Ipv4Addr::new(192, 168, 255, 254),
        Ipv4Addr::new(169, 254, 255, 254),
    ];
    let mut found: Vec<SocketAddr> = Vec::new();
    for there in elsewhere {
        let own = UdpSocket::bind((Ipv4Addr::UNSPECIFIED, 0)).and_then(|socket| {
            socket.connect((there, 9))?;
            socket.local_addr()
        });
        let ip = own.map(|own| own.ip());
        if let Ok(ip) = ip
            && !ip.is_loopback()
            && !ip.is_unspecified()
            && !found.iter().any(|known| known.ip() == ip)
        {
            found.push(SocketAddr::new(ip, port.unwrap_or(80)));
        }
    }
    found
}

/// What a browser says it runs on, a few words; nothing is taken on trust, it is only shown.
fn device_name(headers: &HeaderMap) -> String {
    let agent = headers
        .get(header::USER_AGENT)
        .and_then(|agent| agent.to_str().ok())
        .unwrap_or_default();
    // The first bracket names the system: "(Linux; Android 14; …)".
    let system = agent
        .split_once('(')
        .and_then(|(_, rest)| rest.split_once(')'))
        .map_or(agent, |(system, _)| system);
    system
        .chars()
        .filter(|c| !c.is_control())
        .take(60)
        .collect()
}

fn form(look: Look, typed: &Typed, wrong: &Wrong) -> Markup {
    let field = Field {
        name: "code",
        label: say::web::code_label,
        hint: Some(say::web::code_hint),
        input: Input::Text,
    };
    let body = html! {
        h1 { (say::web::who()) }
        (wrong_summary(wrong, ""))
        form method="post" action=(PATH) {
            (field.markup(Filling { prefix: "", typed, wrong }))
            button type="submit" class="main-press" { (say::web::let_me_in()) }
        }
    };
    page(
        &Page {
            title: &say::web::pairing().to_string(),
            look,
            here: PATH,
            follow: None,
        },
        &body,
    )
}
