//! Who may ask, and what every answer carries.

use std::net::SocketAddr;

use axum::{
    body::Body,
    extract::ConnectInfo,
    http::{Request, StatusCode, header},
};

use super::{Bench, own_post, sample_assess};
use crate::access::Access;

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
    let bench = Bench::with(sample_assess, Access::network(None));
    let far: SocketAddr = "192.168.1.9:50000".parse().unwrap();
    let near: SocketAddr = "127.0.0.1:50000".parse().unwrap();
    let get = |path: &str, peer: SocketAddr, cookie: &str| {
        let mut request = Request::get(path)
            .header(header::HOST, "192.168.1.2")
            .header(header::COOKIE, cookie)
            .body(Body::empty())
            .unwrap();
        request.extensions_mut().insert(ConnectInfo(peer));
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
    let code = bench.state.access().code();
    assert!(shown.text.contains(&code[..4]) && shown.text.contains(&code[4..]));
    let mut pair = Request::post("/pair")
        .header(header::HOST, "192.168.1.2")
        .header(header::ORIGIN, "http://192.168.1.2")
        .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded")
        .body(Body::from(format!("code={code}")))
        .unwrap();
    pair.extensions_mut().insert(ConnectInfo(far));
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
