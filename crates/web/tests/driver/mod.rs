//! A bench and a real browser in front of it, for the browser test and for the
//! pictures of the pages.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::print_stdout,
    dead_code,
    reason = "a test may stop and may speak, and each user needs only a part"
)]

use std::{
    env,
    io::{BufRead, BufReader, Read, Write},
    net::{SocketAddr, TcpStream},
    os::unix::process::CommandExt,
    path::Path,
    process::{Child, Command, Stdio},
    time::{Duration, Instant},
};

use thirtyfour::{ChromiumLikeCapabilities, prelude::*};

pub(crate) mod states;

/// Width, height, pixels per CSS pixel.
pub(crate) type Screen = (u32, u32, f64);
/// A phone.
pub(crate) const PHONE: Screen = (360, 740, 2.0);
/// A laptop.
pub(crate) const DESK: Screen = (1280, 800, 1.0);

pub(crate) type Outcome<T> = Result<T, Box<dyn std::error::Error + Send + Sync>>;

/// Waiting for the machine, not for us.
pub(crate) const PATIENCE: Duration = Duration::from_secs(20);

/// Whether what a browser test needs has to be there.
fn required() -> bool {
    env::var("NIGHTDRAW_REQUIRE_BROWSER").as_deref() == Ok("1")
}

/// Says that a test is left out because something is missing, where it may be.
pub(crate) fn skipped(missing: &str) {
    assert!(!required(), "{missing} is required and not there");
    println!("skipped: no {missing} here");
}

/// The driver; `None`, said aloud, where it is missing and may be.
pub(crate) fn driver_or_skip() -> Option<Driver> {
    let driver = Driver::start();
    if driver.is_none() {
        skipped("chromedriver");
    }
    driver
}

/// The driver in a process group of its own, ended with every browser it started.
pub(crate) struct Driver {
    child: Child,
    port: u16,
}

impl Driver {
    /// Starts it; `None` when it is not installed.
    pub(crate) fn start() -> Option<Self> {
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
    pub(crate) fn console(&self, session: &str) -> Outcome<String> {
        self.ask(session, "se/log", &serde_json::json!({ "type": "browser" }))
    }

    /// The size of the window that a page believes in.
    pub(crate) fn screen(&self, session: &str, (width, height, scale): Screen) -> Outcome<()> {
        let metrics = serde_json::json!({
            "cmd": "Emulation.setDeviceMetricsOverride",
            "params": { "width": width, "height": height, "deviceScaleFactor": scale, "mobile": width < 600 },
        });
        self.ask(session, "goog/cdp/execute", &metrics).map(|_| ())
    }

    /// A command of which the client's library knows nothing.
    fn ask(&self, session: &str, command: &str, body: &serde_json::Value) -> Outcome<String> {
        let body = body.to_string();
        let mut stream = TcpStream::connect(("127.0.0.1", self.port))?;
        write!(
            stream,
            "POST /session/{session}/{command} HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Type: application/json\r\n\
             Content-Length: {}\r\nConnection: close\r\n\r\n{body}",
            body.len()
        )?;
        // The driver keeps the connection open, so read the head, then what it announces.
        let mut reader = BufReader::new(stream);
        let (mut line, mut length) = (String::new(), 0);
        reader.read_line(&mut line)?;
        assert!(
            line.starts_with("HTTP/1.1 200"),
            "the driver knows {command}: {line}"
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

pub(crate) async fn bench() -> (SocketAddr, tempfile::TempDir) {
    let folder = tempfile::tempdir().unwrap();
    (bench_in(folder.path(), false).await, folder)
}

/// A bench on a folder, for the workshop's network or not.
pub(crate) async fn bench_in(folder: &Path, lan: bool) -> SocketAddr {
    let config = web::Config {
        data_dir: folder.into(),
        port: Some(0),
        lan,
    };
    let (sender, receiver) = tokio::sync::oneshot::channel();
    tokio::spawn(async move { web::serve(config, |address| sender.send(address).unwrap()).await });
    receiver.await.unwrap()
}

pub(crate) async fn browser(
    driver: &Driver,
    profile: &str,
    screen: Screen,
) -> WebDriverResult<WebDriver> {
    browser_with(driver, profile, screen, serde_json::json!({})).await
}

/// A browser with settings of its own.
pub(crate) async fn browser_with(
    driver: &Driver,
    profile: &str,
    screen: Screen,
    settings: serde_json::Value,
) -> WebDriverResult<WebDriver> {
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
    ] {
        wanted.add_arg(flag)?;
    }
    wanted.add_arg(&format!("--user-data-dir={profile}"))?;
    wanted.add_experimental_option(
        "mobileEmulation",
        serde_json::json!({ "deviceMetrics": { "width": screen.0, "height": screen.1, "pixelRatio": screen.2 } }),
    )?;
    wanted.add_experimental_option("prefs", settings)?;
    wanted.set(
        "goog:loggingPrefs",
        serde_json::json!({ "browser": "WARNING" }),
    )?;
    WebDriver::new(format!("http://127.0.0.1:{}", driver.port), wanted).await
}

/// How many entries the first job has, by its own file.
pub(crate) fn entries(folder: &Path) -> usize {
    let store = store::Store::open(folder).unwrap();
    let job = store.load(store::JobId::from_number(1)).unwrap();
    job.entries.len()
}

/// Waits until it holds; gives how long that took.
pub(crate) async fn until(what: &str, mut holds: impl AsyncFnMut() -> bool) -> Outcome<Duration> {
    let begun = Instant::now();
    while !holds().await {
        if begun.elapsed() > PATIENCE {
            return Err(format!("waited for {what}").into());
        }
        tokio::time::sleep(Duration::from_millis(20)).await;
    }
    Ok(begun.elapsed())
}

/// Whether a script says so.
pub(crate) async fn says(page: &WebDriver, script: &str) -> bool {
    let answer = page
        .execute(format!("return Boolean({script})"), vec![])
        .await;
    answer.is_ok_and(|answer| answer.json().as_bool() == Some(true))
}

pub(crate) async fn text(page: &WebDriver, css: &str) -> WebDriverResult<String> {
    page.query(By::Css(css))
        .wait(Duration::from_secs(10), Duration::from_millis(50))
        .first()
        .await?
        .text()
        .await
}

pub(crate) async fn type_in(page: &WebDriver, css: &str, text: &str) -> WebDriverResult<()> {
    let field = page
        .query(By::Css(css))
        .wait(Duration::from_secs(10), Duration::from_millis(50))
        .first()
        .await?;
    field.clear().await?;
    field.send_keys(text).await
}

/// Presses and waits until the next page is there.
pub(crate) async fn press(page: &WebDriver, css: &str) -> WebDriverResult<()> {
    leaving(page).await?;
    // A keypad that is still open lies over what is below its field.
    let close = "document.dispatchEvent(new KeyboardEvent('keydown', { key: 'Escape' }))";
    page.execute(close, vec![]).await?;
    page.query(By::Css(css))
        .wait(Duration::from_secs(10), Duration::from_millis(50))
        .first()
        .await?
        .click()
        .await?;
    arrived(page)
        .await
        .map_err(|_| WebDriverError::Timeout(format!("nothing came after pressing {css}")))
}

/// Marks the page, so that the next one can be told from it.
pub(crate) async fn leaving(page: &WebDriver) -> WebDriverResult<()> {
    let mark = "(document.querySelector('main') || document.body).dataset.leaving = 'yes'";
    page.execute(mark, vec![]).await?;
    Ok(())
}

/// Waits until the page after the marked one is wholly there.
pub(crate) async fn arrived(page: &WebDriver) -> WebDriverResult<()> {
    for _ in 0..400 {
        let arrived = "return !document.querySelector('[data-leaving]') && document.readyState === 'complete'";
        if page
            .execute(arrived, vec![])
            .await
            .is_ok_and(|answer| answer.json().as_bool() == Some(true))
        {
            return Ok(());
        }
        tokio::time::sleep(Duration::from_millis(25)).await;
    }
    Err(WebDriverError::Timeout("the next page did not come".into()))
}
