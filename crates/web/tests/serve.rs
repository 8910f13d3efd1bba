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
