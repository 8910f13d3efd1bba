//! One whole job in a real browser, at the size of a phone.
//!
//! Slow, so there is one. It needs Chromium and its driver; without them it
//! says so and passes, unless `ND_REQUIRE_BROWSER=1`.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "a test may stop and may speak"
)]

use std::{
    env,
    io::{BufRead, BufReader, Read, Write},
    net::{SocketAddr, TcpStream},
    os::unix::process::CommandExt,
    process::{Child, Command, Stdio},
    time::Duration,
};

use thirtyfour::{ChromiumLikeCapabilities, prelude::*};

/// What really draws in the invented vehicle, milliampere.
const DRAWS: [(&str, f64, f64); 6] = [
    ("F11", 10.0, 4.0),
    ("F12", 15.0, 3.0),
    ("F13", 10.0, 388.0),
    ("F14", 10.0, 2.0),
    ("F15", 20.0, 1.0),
    ("F16", 5.0, 6.0),
];
const CULPRIT: &str = "F13";
const LIST: &str = "F11 10A clock\nF12 15A radio\nF13 10A tracker\nF14 10A interior lamp\nF15 20A blower\nF16 5A alarm";
/// More readings than any sensible plan needs for six fuses.
const READINGS: usize = 25;

type Outcome<T> = Result<T, Box<dyn std::error::Error + Send + Sync>>;

/// The driver in a process group of its own, ended with every browser it started.
struct Driver {
    child: Child,
    port: u16,
}

impl Driver {
    /// Starts it; `None` when it is not installed.
    fn start() -> Option<Self> {
        let mut child = Command::new("chromedriver")
            .arg("--port=0")
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .process_group(0)
            .spawn()
            .ok()?;
        let lines = BufReader::new(child.stdout.take()?).lines();
        let port = lines.map_while(Result::ok).find_map(|line| {
            let (_, rest) = line.split_once("started successfully on port ")?;
            rest.trim_end_matches('.').trim().parse().ok()
        });
        let mut driver = Self { child, port: 0 };
        // Dropped, and thereby ended, when it never said its port.
        driver.port = port?;
        Some(driver)
    }

    /// Errors that the browser's console has seen.
    fn console(&self, session: &str) -> Outcome<String> {
        let body = r#"{"type":"browser"}"#;
        let mut stream = TcpStream::connect(("127.0.0.1", self.port))?;
        write!(
            stream,
            "POST /session/{session}/se/log HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Type: application/json\r\n\
             Content-Length: {}\r\nConnection: close\r\n\r\n{body}",
            body.len()
        )?;
        // The driver keeps the connection open, so read the head, then what it announces.
        let mut reader = BufReader::new(stream);
        let (mut line, mut length) = (String::new(), 0);
        reader.read_line(&mut line)?;
        assert!(
            line.starts_with("HTTP/1.1 200"),
            "the console can be read: {line}"
        );
        while line.trim() != "" {
            line.clear();
            reader.read_line(&mut line)?;
            if let Some(bytes) = line.to_ascii_lowercase().strip_prefix("content-length:") {
                length = bytes.trim().parse()?;
            }
        }
        let mut body = vec![0; length];
        reader.read_exact(&mut body)?;
        Ok(String::from_utf8(body)?)
    }
}

impl Drop for Driver {
    fn drop(&mut self) {
        let group = format!("-{}", self.child.id());
        let _ = Command::new("kill").args(["-KILL", "--", &group]).status();
        let _ = self.child.wait();
    }
}

async fn bench() -> (SocketAddr, tempfile::TempDir) {
    let folder = tempfile::tempdir().unwrap();
    let config = web::Config {
        data_dir: folder.path().into(),
        port: Some(0),
        lan: false,
    };
    let (sender, receiver) = tokio::sync::oneshot::channel();
    tokio::spawn(async move { web::serve(config, |address| sender.send(address).unwrap()).await });
    (receiver.await.unwrap(), folder)
}

async fn browser(driver: &Driver, profile: &str) -> WebDriverResult<WebDriver> {
    let mut wanted = DesiredCapabilities::chrome();
    for flag in [
        "--headless=new",
        "--no-sandbox",
        "--disable-gpu",
        "--disable-quic",
        "--no-first-run",
        "--disable-background-networking",
        "--disable-component-update",
        "--disable-sync",
        "--window-size=360,740",
    ] {
        wanted.add_arg(flag)?;
    }
    wanted.add_arg(&format!("--user-data-dir={profile}"))?;
    wanted.add_experimental_option(
        "mobileEmulation",
        serde_json::json!({ "deviceMetrics": { "width": 360, "height": 740, "pixelRatio": 2.0 } }),
    )?;
    wanted.set(
        "goog:loggingPrefs",
        serde_json::json!({ "browser": "WARNING" }),
    )?;
    WebDriver::new(format!("http://127.0.0.1:{}", driver.port), wanted).await
}

#[tokio::test(flavor = "multi_thread")]
async fn a_whole_job_on_a_phone() {
    let Some(driver) = Driver::start() else {
        assert_ne!(
            env::var("ND_REQUIRE_BROWSER").as_deref(),
            Ok("1"),
            "chromedriver is required and not there"
        );
        println!("skipped: no chromedriver here");
        return;
    };
    let (address, _folder) = bench().await;
    let profile = tempfile::tempdir().unwrap();
    let page = browser(&driver, &profile.path().display().to_string())
        .await
        .unwrap();
    let session = page.session_id().to_string();
    let outcome = walk(&page, address).await;
    let console = driver.console(&session).unwrap();
    page.quit().await.unwrap();
    outcome.unwrap();
    let expected_refusals = console.matches("422").count();
    assert_eq!(
        console.matches("\"level\"").count(),
        expected_refusals,
        "the console is clean: {console}"
    );
}

async fn walk(page: &WebDriver, address: SocketAddr) -> Outcome<()> {
    page.goto(format!("http://{address}/")).await?;
    fits(page).await?;
    press(page, "a.main-press").await?;
    type_in(page, "#name", "grey estate").await?;
    type_in(page, "#capacity", "60").await?;
    type_in(page, "#cranking", "540").await?;
    type_in(page, "#no_start_after", "40").await?;
    type_in(page, "#fuses", LIST).await?;
    fits(page).await?;
    press(page, "button.main-press").await?;
    let first = headline(page).await?;
    fits(page).await?;
    let mut last = first.clone();
    for taken in 0..READINGS {
        if page
            .query(By::Css("a.main-press[href$='/report']"))
            .nowait()
            .exists()
            .await?
        {
            break;
        }
        answer_step(page).await?;
        fits(page).await?;
        let now = headline(page).await?;
        println!("{taken}: {last} -> {now}");
        last = now;
    }
    assert_ne!(first, last, "the next step changes with what is known");
    let found = text(page, ".step .headline").await?;
    assert!(found.contains(CULPRIT), "the culprit is named: {found}");
    press(page, "a.main-press[href$='/report']").await?;
    let report = text(page, "body").await?;
    assert!(
        report.contains("grey estate") && report.contains(CULPRIT),
        "{report}"
    );
    Ok(())
}

/// Types what the meter would show and sends it.
async fn answer_step(page: &WebDriver) -> Outcome<()> {
    let form = ".step form";
    let value = |name: &'static str| async move {
        let script = format!(
            "const field = document.querySelector('{form}').elements['{name}']; return field ? field.value : ''"
        );
        WebDriverResult::Ok(
            page.execute(&script, vec![])
                .await?
                .json()
                .as_str()
                .unwrap_or_default()
                .to_owned(),
        )
    };
    let kind = value("kind").await?;
    let (field, typed) = match kind.as_str() {
        "draw" => {
            let (node, how) = (value("node").await?, value("how").await?);
            ("value", shown(&node, &how))
        }
        "pull" => {
            let nodes = value("nodes").await?;
            let gone: f64 = nodes.split(", ").map(draw_ma).sum();
            type_in(page, "[name=before]", "404 mA").await.ok();
            ("after", format!("{:.0} mA", draw_ma("battery") - gone))
        }
        "rest-voltage" => ("value", "12.62 V".into()),
        "analyser" => ("value", "530 A".into()),
        "charging" => ("value", "14.3 V".into()),
        "load-test" => ("value", "10.6 V".into()),
        "note" => return Ok(press(page, &format!("{form} button")).await?),
        other => return Err(format!("the step asks for '{other}'").into()),
    };
    type_in(page, &format!("{form} [name={field}]"), &typed).await?;
    press(page, &format!("{form} button.main-press")).await?;
    Ok(())
}

/// What a perfect instrument shows there.
fn shown(node: &str, how: &str) -> String {
    let draw_ma = draw_ma(node);
    match how {
        "millivolt" => {
            let rating_a = DRAWS
                .iter()
                .find(|known| known.0 == node)
                .map_or(10.0, |known| known.1);
            let ohm = harness::fuse::resistance(None, rating_a, None)
                .map_or(0.0075, |known| known.ohm.value);
            format!("{:.2} mV", draw_ma * ohm)
        }
        _ => format!("{draw_ma:.0} mA"),
    }
}

fn draw_ma(node: &str) -> f64 {
    let own = DRAWS
        .iter()
        .find(|known| known.0 == node)
        .map(|known| known.2);
    // Battery and main cable carry everything.
    own.unwrap_or_else(|| DRAWS.iter().map(|known| known.2).sum())
}

async fn headline(page: &WebDriver) -> WebDriverResult<String> {
    text(page, ".step .headline").await
}

async fn text(page: &WebDriver, css: &str) -> WebDriverResult<String> {
    page.query(By::Css(css))
        .wait(Duration::from_secs(10), Duration::from_millis(50))
        .first()
        .await?
        .text()
        .await
}

async fn type_in(page: &WebDriver, css: &str, text: &str) -> WebDriverResult<()> {
    let field = page
        .query(By::Css(css))
        .wait(Duration::from_secs(10), Duration::from_millis(50))
        .first()
        .await?;
    field.clear().await?;
    field.send_keys(text).await
}

/// Presses and waits until the next page is there.
async fn press(page: &WebDriver, css: &str) -> WebDriverResult<()> {
    page.execute("window.leaving = true", vec![]).await?;
    page.query(By::Css(css))
        .wait(Duration::from_secs(10), Duration::from_millis(50))
        .first()
        .await?
        .click()
        .await?;
    for _ in 0..400 {
        let arrived = "return !window.leaving && document.readyState === 'complete'";
        if page
            .execute(arrived, vec![])
            .await
            .is_ok_and(|answer| answer.json().as_bool() == Some(true))
        {
            return Ok(());
        }
        tokio::time::sleep(Duration::from_millis(25)).await;
    }
    Err(WebDriverError::Timeout(format!(
        "nothing came after pressing {css}"
    )))
}

/// Nothing hangs over the side.
async fn fits(page: &WebDriver) -> WebDriverResult<()> {
    let script = "const root = document.documentElement; return [root.scrollWidth, root.clientWidth, location.pathname]";
    let sizes = page.execute(script, vec![]).await?.json().clone();
    assert!(
        sizes[0].as_f64() <= sizes[1].as_f64(),
        "wider than the screen: {sizes}"
    );
    Ok(())
}
