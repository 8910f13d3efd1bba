//! The page on a real port.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "a test may stop and may speak"
)]

use std::{
    io::{Read, Write},
    net::{SocketAddr, TcpListener, TcpStream},
    time::{Duration, Instant},
};

use web::{Config, ServeError};

fn config(folder: &tempfile::TempDir, port: u16) -> Config {
    Config {
        data_dir: folder.path().into(),
        port: Some(port),
        lan: false,
    }
}

async fn serving(folder: &tempfile::TempDir) -> SocketAddr {
    let config = config(folder, 0);
    let (sender, receiver) = tokio::sync::oneshot::channel();
    tokio::spawn(async move { web::serve(config, |address| sender.send(address).unwrap()).await });
    receiver.await.unwrap()
}

fn ask(address: SocketAddr, request: &str) -> TcpStream {
    let mut stream = TcpStream::connect(address).unwrap();
    stream
        .set_read_timeout(Some(Duration::from_secs(5)))
        .unwrap();
    write!(stream, "{}", request.replace("HOST", &address.to_string())).unwrap();
    stream
}

#[tokio::test(flavor = "multi_thread")]
async fn answers_on_loopback_under_its_own_name_only() {
    let folder = tempfile::tempdir().unwrap();
    let address = serving(&folder).await;
    assert!(address.ip().is_loopback());
    let mut answer = String::new();
    ask(
        address,
        "GET /health HTTP/1.1\r\nHost: HOST\r\nConnection: close\r\n\r\n",
    )
    .read_to_string(&mut answer)
    .unwrap();
    assert!(answer.starts_with("HTTP/1.1 200"), "{answer}");
    let mut answer = String::new();
    let foreign = format!(
        "GET /health HTTP/1.1\r\nHost: evil.example:{}\r\nConnection: close\r\n\r\n",
        address.port()
    );
    ask(address, &foreign).read_to_string(&mut answer).unwrap();
    assert!(answer.starts_with("HTTP/1.1 403"), "{answer}");
}

#[tokio::test]
async fn a_taken_port_is_said_with_a_way_out() {
    let folder = tempfile::tempdir().unwrap();
    let taken = TcpListener::bind("127.0.0.1:0").unwrap();
    let port = taken.local_addr().unwrap().port();
    let error = web::serve(config(&folder, port), |_| panic!("must not start"))
        .await
        .unwrap_err();
    assert!(matches!(error, ServeError::PortInUse { port: named } if named == port));
    assert_eq!(error.kind(), "port-in-use");
    assert!(error.message().contains(&port.to_string()) && error.hint().contains("--port"));
}

#[tokio::test(flavor = "multi_thread")]
async fn a_change_is_told_within_half_a_second() {
    let folder = tempfile::tempdir().unwrap();
    let address = serving(&folder).await;
    let post = |path: &str, form: &str| {
        let request = format!(
            "POST {path} HTTP/1.1\r\nHost: HOST\r\nOrigin: http://HOST\r\nContent-Type: application/x-www-form-urlencoded\r\n\
             Content-Length: {}\r\nConnection: close\r\n\r\n{form}",
            form.len()
        );
        let mut answer = String::new();
        ask(address, &request).read_to_string(&mut answer).unwrap();
        assert!(answer.starts_with("HTTP/1.1 303"), "{answer}");
    };
    post("/jobs", "name=two+screens");
    let mut events = ask(address, "GET /jobs/1/events HTTP/1.1\r\nHost: HOST\r\n\r\n");
    let mut heard = String::new();
    let mut piece = [0; 4096];
    while !heard.contains("data:") {
        let n = events.read(&mut piece).unwrap();
        heard.push_str(&String::from_utf8_lossy(&piece[..n]));
    }
    post("/jobs/1/entries", "kind=note&text=hello");
    let sent = Instant::now();
    heard.clear();
    while !heard.contains("event: revision") {
        let n = events.read(&mut piece).unwrap();
        heard.push_str(&String::from_utf8_lossy(&piece[..n]));
    }
    assert!(
        sent.elapsed() < Duration::from_millis(500),
        "{:?}",
        sent.elapsed()
    );
}

/// An address of this machine that is not loopback, if it is in a network.
/// Connecting a datagram socket sends nothing.
fn outer_address() -> Option<std::net::IpAddr> {
    let socket = std::net::UdpSocket::bind("0.0.0.0:0").ok()?;
    // For documentation (RFC 5737, section 3).
    socket.connect("192.0.2.1:9").ok()?;
    let ip = socket.local_addr().ok()?.ip();
    (!ip.is_loopback() && !ip.is_unspecified()).then_some(ip)
}

#[tokio::test(flavor = "multi_thread")]
async fn without_lan_only_loopback_can_connect() {
    let folder = tempfile::tempdir().unwrap();
    let address = serving(&folder).await;
    assert!(TcpStream::connect(address).is_ok());
    let mut others: Vec<std::net::IpAddr> = outer_address().into_iter().collect();
    if others.is_empty() {
        println!("skipped in part: this machine has no address in a network");
    }
    // Another address of the loopback block stands for another interface.
    if cfg!(target_os = "linux") {
        others.push("127.0.0.2".parse().unwrap());
    }
    for other in others {
        let place = SocketAddr::new(other, address.port());
        let tried = TcpStream::connect_timeout(&place, Duration::from_secs(5));
        assert!(tried.is_err(), "{place} must not answer");
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn with_lan_the_network_reaches_the_door_and_no_further() {
    let Some(outer) = outer_address() else {
        println!("skipped: this machine has no address in a network");
        return;
    };
    let folder = tempfile::tempdir().unwrap();
    let config = Config {
        lan: true,
        ..config(&folder, 0)
    };
    let (sender, receiver) = tokio::sync::oneshot::channel();
    tokio::spawn(async move { web::serve(config, |address| sender.send(address).unwrap()).await });
    let port = receiver.await.unwrap().port();
    let place = SocketAddr::new(outer, port);
    for (path, status) in [
        ("/pair", "200"),
        ("/", "303"),
        ("/jobs/1", "303"),
        ("/devices", "303"),
    ] {
        let mut answer = String::new();
        let request = format!("GET {path} HTTP/1.1\r\nHost: HOST\r\nConnection: close\r\n\r\n");
        ask(place, &request).read_to_string(&mut answer).unwrap();
        assert!(
            answer.starts_with(&format!("HTTP/1.1 {status}")),
            "{path}: {answer}"
        );
    }
}

/// The page of invented figures is for whoever works on the looks.
#[cfg(not(feature = "kit"))]
#[tokio::test(flavor = "multi_thread")]
async fn the_kit_is_not_served() {
    let folder = tempfile::tempdir().unwrap();
    let address = serving(&folder).await;
    let mut answer = String::new();
    let request = "GET /kit HTTP/1.1\r\nHost: HOST\r\nConnection: close\r\n\r\n";
    ask(address, request).read_to_string(&mut answer).unwrap();
    assert!(answer.starts_with("HTTP/1.1 404"), "{answer}");
}
