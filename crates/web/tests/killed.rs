//! The bench dies after it has stored a form and before it has answered.
//!
//! Needs Chromium and its driver; without them it says so and passes, unless
//! `NIGHTDRAW_REQUIRE_BROWSER=1`.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "a test may stop and may speak"
)]

mod driver;

use std::{
    env,
    io::{BufRead, BufReader},
    net::SocketAddr,
    path::Path,
    process::{Child, Command, Stdio},
    sync::{
        Arc, Mutex,
        atomic::{AtomicBool, Ordering},
    },
    time::Duration,
};

use driver::{Outcome, PHONE, browser, driver_or_skip, entries, press, says, text, type_in, until};
use thirtyfour::prelude::*;
use tokio::{
    io::{AsyncReadExt, AsyncWriteExt},
    net::{TcpListener, TcpStream},
};

/// Tells a copy of this program to be a bench: its folder and port.
const BE_A_BENCH: &str = "NIGHTDRAW_TEST_BENCH";

/// A bench in a process of its own, that can be killed.
struct Bench {
    child: Child,
    address: SocketAddr,
}

impl Bench {
    fn start(folder: &Path, port: u16) -> Self {
        let mut child = Command::new(env::current_exe().unwrap())
            .args(["a_bench_of_its_own", "--exact", "--nocapture"])
            .env(BE_A_BENCH, format!("{port} {}", folder.display()))
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let lines = BufReader::new(child.stdout.take().unwrap()).lines();
        let address = lines
            .map_while(Result::ok)
            .find_map(|line| line.split_once("open at ")?.1.parse().ok())
            .unwrap();
        Self { child, address }
    }

    /// As the system would when memory runs out: no signal that could be caught.
    fn kill(&mut self) {
        self.child.kill().unwrap();
        self.child.wait().unwrap();
    }
}

impl Drop for Bench {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// No test by itself: what [`Bench::start`] runs.
#[tokio::test(flavor = "multi_thread")]
async fn a_bench_of_its_own() {
    let Ok(asked) = env::var(BE_A_BENCH) else {
        return;
    };
    let (port, folder) = asked.split_once(' ').unwrap();
    let config = web::Config {
        data_dir: folder.into(),
        port: Some(port.parse().unwrap()),
        lan: false,
    };
    web::serve(config, |address| println!("open at {address}"))
        .await
        .unwrap();
}

/// Between browser and bench: passes everything on, until it is told to let the
/// bench die over the answer to an entry.
#[derive(Clone)]
struct Between {
    bench: Arc<Mutex<Bench>>,
    there: SocketAddr,
    here: SocketAddr,
    armed: Arc<AtomicBool>,
    /// Whether the browser gets no script, as where a browser runs none.
    scriptless: bool,
}

impl Between {
    async fn start(bench: Bench, scriptless: bool) -> Self {
        let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
        let between = Self {
            there: bench.address,
            bench: Arc::new(Mutex::new(bench)),
            here: listener.local_addr().unwrap(),
            armed: Arc::default(),
            scriptless,
        };
        let passing = between.clone();
        tokio::spawn(async move {
            while let Ok((browser, _)) = listener.accept().await {
                let between = passing.clone();
                // A connection that breaks is what this test is about.
                tokio::spawn(async move { between.pass(browser).await });
            }
        });
        between
    }

    async fn pass(&self, mut browser: TcpStream) -> std::io::Result<()> {
        let mut bench = TcpStream::connect(self.there).await?;
        let (mut asked, mut answered) = (vec![0; 1 << 16], vec![0; 1 << 16]);
        let mut enters = false;
        loop {
            tokio::select! {
                n = browser.read(&mut asked) => {
                    let n = n?;
                    if n == 0 { return Ok(()) }
                    // The bench answers only to its own name.
                    let text = String::from_utf8_lossy(&asked[..n]);
                    let text = text.replace(&self.here.to_string(), &self.there.to_string());
                    let text = if self.scriptless { text.replace("/assets/bench.js", "/assets/no-script") } else { text };
                    enters = text.starts_with("POST ") && text.contains("/entries ");
                    bench.write_all(text.as_bytes()).await?;
                }
                n = bench.read(&mut answered) => {
                    let n = n?;
                    if n == 0 { return Ok(()) }
                    if enters && self.armed.swap(false, Ordering::SeqCst) {
                        self.bench.lock().unwrap().kill();
                        return Ok(());
                    }
                    browser.write_all(&answered[..n]).await?;
                }
            }
        }
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn stored_and_not_answered_is_one_entry() {
    let Some(driver) = driver_or_skip() else {
        return;
    };
    let folder = tempfile::tempdir().unwrap();
    let between = Between::start(Bench::start(folder.path(), 0), false).await;
    let profile = tempfile::tempdir().unwrap();
    let page = browser(&driver, &profile.path().display().to_string(), PHONE)
        .await
        .unwrap();
    let outcome = dies_over_the_answer(&page, &between, folder.path()).await;
    page.quit().await.unwrap();
    outcome.unwrap();
}

async fn dies_over_the_answer(page: &WebDriver, between: &Between, folder: &Path) -> Outcome<()> {
    page.goto(format!("http://{}/", between.here)).await?;
    press(page, "form[action='/demo'] button").await?;
    let before = entries(folder);
    between.armed.store(true, Ordering::SeqCst);
    type_in(page, ".step [name=value]", "12,61").await?;
    page.find(By::Css(".step button.main-press"))
        .await?
        .click()
        .await?;
    until("the bench to die", async || {
        !between.armed.load(Ordering::SeqCst)
    })
    .await?;
    let unsent = "!document.getElementById('unsent').hidden && document.getElementById('unsent').textContent.includes('12,61')";
    until("the form to be kept", async || says(page, unsent).await).await?;
    assert_eq!(entries(folder), before + 1, "it was stored before it died");
    *between.bench.lock().unwrap() = Bench::start(folder, between.there.port());
    let said = "document.querySelector('.said-back') && document.querySelector('.said-back').textContent.includes('12.61')";
    until("the answer", async || says(page, said).await).await?;
    let sent = "document.getElementById('unsent').hidden";
    until("an empty list", async || says(page, sent).await).await?;
    tokio::time::sleep(Duration::from_secs(3)).await;
    assert_eq!(entries(folder), before + 1, "entered once");
    Ok(())
}

/// Reading, entering and the report need no script.
#[tokio::test(flavor = "multi_thread")]
async fn without_script_a_job_can_be_done() {
    let Some(driver) = driver_or_skip() else {
        return;
    };
    let folder = tempfile::tempdir().unwrap();
    let between = Between::start(Bench::start(folder.path(), 0), true).await;
    let profile = tempfile::tempdir().unwrap();
    let page = browser(&driver, &profile.path().display().to_string(), PHONE)
        .await
        .unwrap();
    let outcome = scriptless(&page, between.here).await;
    page.quit().await.unwrap();
    outcome.unwrap();
    assert_eq!(entries(folder.path()), 2);
}

/// Presses and waits for what the next page has.
async fn go(page: &WebDriver, pressed: &str, next: &str) -> Outcome<String> {
    page.find(By::Css(pressed)).await?.click().await?;
    Ok(text(page, next).await?)
}

async fn scriptless(page: &WebDriver, address: SocketAddr) -> Outcome<()> {
    page.goto(format!("http://{address}/jobs/new")).await?;
    let scripted = page.find_all(By::Css("html.scripted")).await?;
    assert!(scripted.is_empty(), "the page's script does not run");
    type_in(page, "#name", "grey estate").await?;
    type_in(page, "#fuses", "F11 10A clock").await?;
    let first = go(page, "main button.main-press", ".step .headline").await?;
    type_in(page, ".step [name=value]", "12.62").await?;
    let said = go(page, ".step button.main-press", ".said-back").await?;
    assert!(said.contains("12.62"), "{said}");
    let next = text(page, ".step .headline").await?;
    assert_ne!(first, next, "the next step follows");
    page.find(By::Css(".said-back button"))
        .await?
        .click()
        .await?;
    let struck = text(page, "#entries + ol .gone").await?;
    assert!(struck.contains("12.62"), "{struck}");
    page.goto(format!("http://{address}/jobs/1/report")).await?;
    let report = text(page, "body").await?;
    assert!(report.contains("grey estate"), "{report}");
    Ok(())
}
