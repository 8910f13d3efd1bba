//! Who may ask, and what every answer carries.

use std::net::SocketAddr;

use axum::{
    body::Body,
    extract::ConnectInfo,
    http::{Request, StatusCode, header},
};

use super::{Bench, network, own_post, sample_assess};
use crate::door::From;

#[tokio::test]
async fn foreign_names_get_nothing() {
    let bench = Bench::with_kit_job();
    for host in [
        "evil.example",
        "evil.example:80",
        "localhost.evil.example",
        "192.168.1.2",
        "",
    ] {
        let request = Request::get("/jobs/1")
            .header(header::HOST, host)
            .body(Body::empty())
            .unwrap();
        let answer = bench.send(request).await.expect(StatusCode::FORBIDDEN);
        assert!(!answer.text.contains("Kit van"), "{host}");
    }
    let nameless = Request::get("/").body(Body::empty()).unwrap();
    bench.send(nameless).await.expect(StatusCode::FORBIDDEN);
}

#[tokio::test]
async fn changes_come_from_own_pages_only() {
    let bench = Bench::with_kit_job();
    let note = || Body::from("kind=note&text=hello");
    let post = |origin: Option<&str>, site: Option<&str>| {
        let mut request = Request::post("/jobs/1/entries")
            .header(header::HOST, "localhost")
            .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded");
        if let Some(origin) = origin {
            request = request.header(header::ORIGIN, origin);
        }
        if let Some(site) = site {
            request = request.header("sec-fetch-site", site);
        }
        request.body(note()).unwrap()
    };
    for (origin, site) in [
        (Some("http://evil.example"), None),
        (Some("null"), None),
        (Some("http://localhost:99"), Some("same-origin")),
        (Some("https://localhost"), None),
        (None, Some("cross-site")),
        (None, None),
    ] {
        bench
            .send(post(origin, site))
            .await
            .expect(StatusCode::FORBIDDEN);
    }
    assert_eq!(bench.state.known(1).unwrap().job.entries.len(), 4);
    bench
        .send(post(Some("http://localhost"), None))
        .await
        .expect(StatusCode::SEE_OTHER);
    bench
        .send(post(None, Some("same-origin")))
        .await
        .expect(StatusCode::SEE_OTHER);
    assert_eq!(bench.state.known(1).unwrap().job.entries.len(), 6);
}

#[tokio::test]
async fn every_answer_is_sealed() {
    let bench = Bench::with_kit_job();
    for path in ["/", "/jobs/1", "/nowhere", "/assets/bench.css", "/health"] {
        let answer = bench.get(path).await;
        let value = |name: &str| {
            answer
                .headers
                .get(name)
                .unwrap_or_else(|| panic!("{path}: {name}"))
                .to_str()
                .unwrap()
        };
        assert!(
            value("content-security-policy").contains("default-src 'none'"),
            "{path}"
        );
        assert!(
            !value("content-security-policy").contains("unsafe"),
            "{path}"
        );
        assert_eq!(value("x-content-type-options"), "nosniff");
        assert_eq!(value("referrer-policy"), "same-origin");
        let expected = if path.starts_with("/assets") {
            "no-cache"
        } else {
            "no-store"
        };
        assert_eq!(value("cache-control"), expected, "{path}");
    }
}

#[tokio::test]
async fn no_way_out_of_the_pages() {
    let bench = Bench::with_kit_job();
    for path in [
        "/assets/../Cargo.toml",
        "/assets/%2e%2e/Cargo.toml",
        "/assets/..%2f..%2fetc%2fpasswd",
        "/jobs/../../etc/passwd",
        "/jobs/%2e%2e%2f",
        "/jobs/1/export/../../../x",
        "//etc/passwd",
    ] {
        let answer = bench.get(path).await;
        assert_eq!(answer.status, StatusCode::NOT_FOUND, "{path}");
        assert!(
            !answer.text.contains("[package]") && !answer.text.contains("root:"),
            "{path}"
        );
    }
}

#[tokio::test]
async fn forms_have_a_limit() {
    let bench = Bench::with_kit_job();
    let long = format!("kind=note&text={}", "x".repeat(crate::FORM_LIMIT + 1));
    let answer = bench
        .send(own_post(
            "/jobs/1/entries",
            "application/x-www-form-urlencoded",
            long.into(),
        ))
        .await;
    assert_eq!(answer.status, StatusCode::PAYLOAD_TOO_LARGE);
    assert_eq!(bench.state.known(1).unwrap().job.entries.len(), 4);
}

#[tokio::test]
async fn other_devices_need_the_code() {
    let bench = Bench::with(sample_assess, network(None));
    let far: SocketAddr = "192.168.1.9:50000".parse().unwrap();
    let near: SocketAddr = "127.0.0.1:50000".parse().unwrap();
    let get = |path: &str, peer: SocketAddr, cookie: &str| {
        let mut request = Request::get(path)
            .header(header::HOST, "192.168.1.2")
            .header(header::COOKIE, cookie)
            .body(Body::empty())
            .unwrap();
        request.extensions_mut().insert(ConnectInfo(From(peer)));
        request
    };
    assert_eq!(
        bench
            .send(get("/", far, ""))
            .await
            .expect(StatusCode::SEE_OTHER)
            .location(),
        "/pair"
    );
    bench
        .send(get("/", far, "device=guess"))
        .await
        .expect(StatusCode::SEE_OTHER);
    bench
        .send(get("/devices", far, ""))
        .await
        .expect(StatusCode::SEE_OTHER);
    let shown = bench
        .send(get("/devices", near, ""))
        .await
        .expect(StatusCode::OK);
    let code = bench.state.access().code().unwrap();
    assert!(shown.text.contains(&code[..4]) && shown.text.contains(&code[4..]));
    let mut pair = Request::post("/pair")
        .header(header::HOST, "192.168.1.2")
        .header(header::ORIGIN, "http://192.168.1.2")
        .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded")
        .body(Body::from(format!("code={code}")))
        .unwrap();
    pair.extensions_mut().insert(ConnectInfo(From(far)));
    let paired = bench.send(pair).await.expect(StatusCode::SEE_OTHER);
    let cookie = paired.headers[header::SET_COOKIE]
        .to_str()
        .unwrap()
        .to_owned();
    assert!(cookie.contains("HttpOnly") && cookie.contains("SameSite=Strict"));
    let token = cookie.split(';').next().unwrap();
    bench
        .send(get("/", far, token))
        .await
        .expect(StatusCode::OK);
    // A paired device does not see the code for the next one.
    bench
        .send(get("/devices", far, token))
        .await
        .expect(StatusCode::FORBIDDEN);
}

fn asking(method: &str, path: &str, peer: &str, cookie: &str, form: &str) -> Request<Body> {
    let mut request = Request::builder()
        .method(method)
        .uri(path)
        .header(header::HOST, "192.168.1.2")
        .header(header::ORIGIN, "http://192.168.1.2")
        .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded")
        .header(header::USER_AGENT, "Phone/1 (Handheld; Invented 3) Any/2")
        .header(header::COOKIE, cookie)
        .body(Body::from(form.to_owned()))
        .unwrap();
    let peer: SocketAddr = peer.parse().unwrap();
    request.extensions_mut().insert(ConnectInfo(From(peer)));
    request
}

const FAR: &str = "192.168.1.9:50000";
const NEAR: &str = "127.0.0.1:50000";

#[tokio::test]
async fn the_bench_lists_devices_and_sends_one_away() {
    let bench = Bench::with(sample_assess, network(None));
    let code = bench.state.access().code().unwrap();
    let shown = bench.send(asking("GET", "/devices", NEAR, "", "")).await;
    assert!(shown.text.contains("No device has been let in"));
    let paired = bench
        .send(asking("POST", "/pair", FAR, "", &format!("code={code}")))
        .await
        .expect(StatusCode::SEE_OTHER);
    let cookie = paired.headers[header::SET_COOKIE]
        .to_str()
        .unwrap()
        .to_owned();
    let cookie = cookie.split(';').next().unwrap();
    let shown = bench.send(asking("GET", "/devices", NEAR, "", "")).await;
    assert!(shown.text.contains("Handheld; Invented 3"));
    let token = cookie.split('=').nth(1).unwrap();
    assert!(!shown.text.contains(token), "a token is nobody's business");
    // Neither a device nor a stranger may send away or unlock.
    for path in ["/devices/revoke", "/devices/unlock"] {
        bench
            .send(asking("POST", path, FAR, cookie, "device=1"))
            .await
            .expect(StatusCode::FORBIDDEN);
    }
    bench
        .send(asking("GET", "/", FAR, cookie, ""))
        .await
        .expect(StatusCode::OK);
    bench
        .send(asking("POST", "/devices/revoke", NEAR, "", "device=1"))
        .await
        .expect(StatusCode::SEE_OTHER);
    bench
        .send(asking("GET", "/", FAR, cookie, ""))
        .await
        .expect(StatusCode::SEE_OTHER);
}

#[tokio::test]
async fn a_stream_ends_when_its_device_is_sent_away() {
    let bench = Bench::with(sample_assess, network(None));
    bench
        .state
        .create(&crate::pages::sample_job(), "kit")
        .unwrap();
    let code = bench.state.access().code().unwrap();
    let paired = bench
        .send(asking("POST", "/pair", FAR, "", &format!("code={code}")))
        .await;
    let cookie = paired.headers[header::SET_COOKIE]
        .to_str()
        .unwrap()
        .to_owned();
    let cookie = cookie.split(';').next().unwrap();
    let watching = bench.send(asking("GET", "/jobs/1/events", FAR, cookie, ""));
    let sending_away = async {
        tokio::time::sleep(std::time::Duration::from_millis(50)).await;
        bench.state.access().revoke(1).unwrap();
    };
    // The whole body can only be read because the stream ends.
    let patience = std::time::Duration::from_secs(20);
    let both = async { tokio::join!(watching, sending_away) };
    let (seen, ()) = tokio::time::timeout(patience, both).await.unwrap();
    assert!(seen.text.contains("revision"), "{}", seen.text);
}

#[tokio::test]
async fn the_square_carries_the_code_and_still_wants_a_press() {
    let bench = Bench::with(sample_assess, network(Some(4711)));
    let mut request = asking("GET", "/devices", NEAR, "", "");
    request
        .headers_mut()
        .insert(header::HOST, "localhost:4711".parse().unwrap());
    let shown = bench.send(request).await.expect(StatusCode::OK);
    assert!(shown.text.contains("<svg") || shown.text.contains("no address in a network"));
    let code = bench.state.access().code().unwrap();
    let mut request = asking("GET", &format!("/pair?code={code}"), FAR, "", "");
    request
        .headers_mut()
        .insert(header::HOST, "192.168.1.2:4711".parse().unwrap());
    let scanned = bench.send(request).await.expect(StatusCode::OK);
    assert!(scanned.text.contains(&format!("value=\"{code}\"")));
    assert!(scanned.headers.get(header::SET_COOKIE).is_none());
    assert_eq!(bench.state.access().devices().len(), 0);
    assert_eq!(bench.state.access().code().unwrap(), code);
}

#[tokio::test]
async fn a_locked_door_opens_from_inside_only() {
    let bench = Bench::with(sample_assess, network(None));
    let now = std::time::Instant::now();
    // Time passes for the door while it is closed, so only the last round is asked for over the network.
    for round in 0..3u64 {
        for _ in 0..5 {
            let later = now + std::time::Duration::from_secs(round * 1000);
            bench.state.access().pair("1", "", later).unwrap();
        }
    }
    for _ in 0..5 {
        let later = now + std::time::Duration::from_secs(4000);
        bench.state.access().pair("1", "", later).unwrap();
    }
    let refused = bench
        .send(asking("POST", "/pair", FAR, "", "code=12345678"))
        .await
        .expect(StatusCode::FORBIDDEN);
    assert!(refused.text.contains("open the door again on the bench"));
    let shown = bench.send(asking("GET", "/devices", NEAR, "", "")).await;
    assert!(shown.text.contains("The door is locked"));
    bench
        .send(asking("POST", "/devices/unlock", NEAR, "", ""))
        .await
        .expect(StatusCode::SEE_OTHER);
    assert!(bench.state.access().code().is_some());
}

#[tokio::test]
async fn a_hasty_machine_is_told_to_wait() {
    let bench = Bench::with(sample_assess, network(None));
    // However slow this machine is, it asks more often than is allowed in the long run.
    let mut refused = false;
    for _ in 0..20_000 {
        let answer = bench.send(asking("GET", "/health", FAR, "", "")).await;
        refused = answer.status == StatusCode::TOO_MANY_REQUESTS;
        if refused {
            break;
        }
    }
    assert!(refused);
    bench
        .send(asking("GET", "/health", NEAR, "", ""))
        .await
        .expect(StatusCode::OK);
}

#[tokio::test]
async fn the_page_speaks_the_language_asked_for() {
    let bench = Bench::with_kit_job();
    let get = |accept: &str, cookie: &str| {
        Request::get("/")
            .header(header::HOST, "localhost")
            .header(header::ACCEPT_LANGUAGE, accept)
            .header(header::COOKIE, cookie)
            .body(Body::empty())
            .unwrap()
    };
    let german = bench.send(get("de", "")).await.expect(StatusCode::OK);
    assert!(german.text.contains("<html lang=\"de\"") && german.text.contains("Zum Inhalt"));
    let chosen = bench.send(get("de", "language=en")).await;
    assert!(chosen.text.contains("<html lang=\"en\"") && chosen.text.contains("To the content"));
    let switched = bench
        .post("/language", &[("language", "de"), ("back", "/jobs/1")])
        .await
        .expect(StatusCode::SEE_OTHER);
    assert_eq!(switched.location(), "/jobs/1");
    let cookie = switched.headers[header::SET_COOKIE].to_str().unwrap();
    assert!(cookie.starts_with("language=de;") && cookie.contains("SameSite=Strict"));
}

#[tokio::test]
async fn the_report_comes_as_a_pdf_too() {
    let bench = Bench::with_kit_job();
    let page = bench.get("/jobs/1/report").await.expect(StatusCode::OK);
    assert!(page.text.contains("href=\"/jobs/1/report.pdf?paper=a4\""));
    let pdf = bench.get("/jobs/1/report.pdf").await.expect(StatusCode::OK);
    assert!(pdf.text.starts_with("%PDF-1.7"));
    assert_eq!(pdf.headers[header::CONTENT_TYPE], "application/pdf");
}
