//! What only a real browser can show: forms that cannot be sent, several
//! screens on one job, a recording under the finger, a stream coming in.
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
    net::SocketAddr,
    time::{Duration, Instant},
};

use driver::{
    Outcome, PATIENCE, PHONE, browser, driver_or_skip, entries, press, says, text, type_in,
};
use thirtyfour::prelude::*;
use tokio::task::JoinHandle;

/// A bench that can be stopped and started again at the same address.
struct Bench {
    folder: tempfile::TempDir,
    address: SocketAddr,
    server: Option<JoinHandle<()>>,
}

impl Bench {
    async fn start() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let (address, server) = serve(folder.path(), 0).await;
        Self {
            folder,
            address,
            server: Some(server),
        }
    }

    async fn stop(&mut self) {
        if let Some(server) = self.server.take() {
            server.abort();
            let _ = server.await;
        }
    }

    async fn start_again(&mut self) {
        let (address, server) = serve(self.folder.path(), self.address.port()).await;
        assert_eq!(address, self.address);
        self.server = Some(server);
    }

    fn job(&self) -> String {
        format!("http://{}/jobs/1", self.address)
    }

    /// How many entries the first job has, by its own file.
    fn entries(&self) -> usize {
        entries(self.folder.path())
    }
}

/// A server of its own runtime, so that ending it ends its connections too.
async fn serve(folder: &std::path::Path, port: u16) -> (SocketAddr, JoinHandle<()>) {
    let config = web::Config {
        data_dir: folder.into(),
        port: Some(port),
        lan: false,
    };
    let (sender, receiver) = tokio::sync::oneshot::channel();
    let (end, ended) = tokio::sync::oneshot::channel::<()>();
    std::thread::spawn(move || {
        let runtime = tokio::runtime::Runtime::new().unwrap();
        runtime.block_on(async {
            tokio::select! {
                served = web::serve(config, |address| sender.send(address).unwrap()) => served.unwrap(),
                _ = ended => {}
            }
        });
        runtime.shutdown_background();
    });
    let address = receiver.await.unwrap();
    let keeper = tokio::spawn(async move {
        // Dropped when aborted, which ends the server.
        let _end = end;
        std::future::pending::<()>().await;
    });
    (address, keeper)
}

#[tokio::test(flavor = "multi_thread")]
async fn what_only_a_browser_shows() {
    let Some(driver) = driver_or_skip() else {
        return;
    };
    let mut bench = Bench::start().await;
    let profile = tempfile::tempdir().unwrap();
    let page = browser(&driver, &profile.path().display().to_string(), PHONE)
        .await
        .unwrap();
    page.set_page_load_timeout(PATIENCE).await.unwrap();
    let outcome = walk(&page, &mut bench).await;
    page.quit().await.unwrap();
    outcome.unwrap();
}

async fn walk(page: &WebDriver, bench: &mut Bench) -> Outcome<()> {
    page.goto(format!("http://{}/", bench.address)).await?;
    press(page, "form[action='/demo'] button").await?;
    kept_while_the_bench_is_away(page, bench).await?;
    println!("kept while away");
    keypad(page, bench).await?;
    println!("keypad");
    eight_pages_and_one_change(page, bench).await?;
    println!("eight pages");
    under_the_finger(page, bench).await?;
    println!("under the finger");
    a_stream(page, bench).await?;
    println!("a stream");
    Ok(())
}

/// Waits until a script says so; what the page notes goes with a failure.
async fn until(page: &WebDriver, what: &str, script: &str) -> Outcome<Duration> {
    match driver::until(what, async || says(page, script).await).await {
        Ok(took) => Ok(took),
        Err(error) => {
            let note = text(page, "#note").await.unwrap_or_default();
            Err(format!("{error}; the page notes: {note}").into())
        }
    }
}

/// A form sent while the bench is stopped is kept, goes out by itself, once.
async fn kept_while_the_bench_is_away(page: &WebDriver, bench: &mut Bench) -> Outcome<()> {
    let before = bench.entries();
    bench.stop().await;
    type_in(page, ".step [name=value]", "12,61").await?;
    page.find(By::Css(".step button.main-press"))
        .await?
        .click()
        .await?;
    until(
        page,
        "the list of what is not sent",
        "!document.getElementById('unsent').hidden && document.getElementById('unsent').textContent.includes('12,61')",
    )
    .await?;
    assert_eq!(bench.entries(), before);
    tokio::time::sleep(Duration::from_secs(3)).await;
    bench.start_again().await;
    until(
        page,
        "the entry",
        "document.querySelector('.said-back') && document.querySelector('.said-back').textContent.includes('12.61')",
    )
    .await?;
    until(
        page,
        "an empty list",
        "document.getElementById('unsent').hidden",
    )
    .await?;
    tokio::time::sleep(Duration::from_secs(3)).await;
    assert_eq!(bench.entries(), before + 1, "entered once");
    Ok(())
}

/// Tapping the number brings the keypad; its keys type and enter.
async fn keypad(page: &WebDriver, bench: &Bench) -> Outcome<()> {
    page.goto(bench.job()).await?;
    // The emulated phone has a coarse pointer.
    until(
        page,
        "a coarse pointer",
        "matchMedia('(pointer: coarse)').matches",
    )
    .await?;
    page.execute("document.querySelector('#draw-fold').open = true", vec![])
        .await?;
    page.find(By::Css("#draw-value")).await?.click().await?;
    until(page, "the keypad", "document.querySelector('.pad')").await?;
    let keys = "const keys = [...document.querySelectorAll('.pad button')]; const press = (t) => keys.find((k) => k.textContent === t).click();";
    page.execute(
        format!("{keys} for (const t of ['4', '1', '3', '3', '⌫', 'A', 'mA']) press(t)"),
        vec![],
    )
    .await?;
    until(
        page,
        "the number",
        "document.querySelector('#draw-value').value === '413'",
    )
    .await?;
    let small = "const small = [...document.querySelectorAll('.pad button')].filter((k) => k.offsetHeight < 44 || k.offsetWidth < 44); return small.map((k) => k.textContent).join()";
    let small = page.execute(small, vec![]).await?;
    assert_eq!(small.json().as_str(), Some(""), "keys are large");
    page.execute(format!("{keys} press('Enter it')"), vec![])
        .await?;
    until(
        page,
        "the entry",
        "document.querySelector('.said-back') && document.querySelector('.said-back').textContent.includes('413 mA')",
    )
    .await?;
    // The stream tells of the same change; the page must not take it for another screen's.
    tokio::time::sleep(Duration::from_secs(2)).await;
    let left = "return [Boolean(document.querySelector('.said-back')), document.getElementById('note').textContent]";
    let left = page.execute(left, vec![]).await?;
    assert_eq!(
        left.json(),
        &serde_json::json!([true, ""]),
        "what was entered is still said back"
    );
    Ok(())
}

/// A browser opens six connections to one host; eight pages are no reason to wait.
async fn eight_pages_and_one_change(page: &WebDriver, bench: &Bench) -> Outcome<()> {
    let first = page.window().await?;
    for _ in 0..7 {
        page.new_tab().await?;
        let tabs = page.windows().await?;
        page.switch_to_window(tabs.last().unwrap().clone()).await?;
        page.goto(bench.job()).await?;
    }
    let begun = Instant::now();
    let elsewhere = "fetch('/jobs/1/entries', { method: 'POST', body: new URLSearchParams({ kind: 'note', text: 'from elsewhere', key: 'other' }) })";
    page.execute(elsewhere, vec![]).await?;
    until(
        page,
        "the note on the newest page",
        "document.querySelector('#entries + ol').textContent.includes('from elsewhere')",
    )
    .await?;
    println!("seen on the newest page after {:?}", begun.elapsed());
    let tabs = page.windows().await?;
    for tab in tabs.iter().filter(|tab| **tab != first) {
        page.switch_to_window(tab.clone()).await?;
        until(
            page,
            "the note on every page",
            "document.querySelector('#entries + ol').textContent.includes('from elsewhere')",
        )
        .await?;
        page.close_window().await?;
    }
    page.switch_to_window(first).await?;
    Ok(())
}

/// Dragging measures, keys move, and without a finger the links do.
async fn under_the_finger(page: &WebDriver, bench: &Bench) -> Outcome<()> {
    page.goto(bench.job()).await?;
    let drag = "
        const sheet = [...document.querySelectorAll('.sheet')].find((each) => each.offsetParent);
        sheet.scrollIntoView({ block: 'center' });
        const box = sheet.querySelector('svg').getBoundingClientRect();
        const at = (kind, share) => sheet.dispatchEvent(new PointerEvent(kind, { bubbles: true, pointerId: 7, pointerType: 'touch', isPrimary: true, button: 0, clientX: box.left + box.width * share, clientY: box.top + box.height / 2 }));
        sheet.setPointerCapture = () => {};
        at('pointerdown', 0.4); at('pointermove', 0.5); at('pointermove', 0.6); at('pointerup', 0.6);";
    page.execute(drag, vec![]).await?;
    until(
        page,
        "the figures",
        "document.querySelector('.between').textContent.includes('Mean level')",
    )
    .await?;
    // What was measured stays when another screen enters something.
    let elsewhere = "fetch('/jobs/1/entries', { method: 'POST', body: new URLSearchParams({ kind: 'note', text: 'while measuring', key: 'again' }) })";
    page.execute(elsewhere, vec![]).await?;
    until(
        page,
        "the other screen's note",
        "document.querySelector('#entries + ol').textContent.includes('while measuring')",
    )
    .await?;
    until(
        page,
        "the figures still",
        "document.querySelector('.between').textContent.includes('Mean level')",
    )
    .await?;
    let scope = page.find(By::Css("[data-scope]")).await?;
    page.execute("document.querySelector('[data-scope]').focus()", vec![])
        .await?;
    let before = page
        .find(By::Css("[name=from][type=hidden]"))
        .await?
        .attr("value")
        .await?;
    scope.send_keys("+").await?;
    until(
        page,
        "a closer look",
        &format!(
            "document.querySelector('[name=from][type=hidden]').value !== '{}'",
            before.unwrap_or_default()
        ),
    )
    .await?;
    let asked = "performance.getEntriesByType('resource').filter((e) => e.name.includes('/trace/')).map((e) => Math.round(e.duration)).join()";
    println!(
        "requests for views took, ms: {}",
        page.execute(format!("return {asked}"), vec![])
            .await?
            .json()
    );
    Ok(())
}

/// The virtual van's meter streams; digits, verdict and step show without a reload.
async fn a_stream(page: &WebDriver, bench: &Bench) -> Outcome<()> {
    page.goto(bench.job()).await?;
    press(page, "form[action$='/live/van'] button").await?;
    until(page, "digits", "document.querySelector('.digits') && /[0-9]/.test(document.querySelector('.digits').textContent)").await?;
    let height = page
        .execute(
            "return parseFloat(getComputedStyle(document.querySelector('.digits')).fontSize)",
            vec![],
        )
        .await?;
    assert!(height.json().as_f64().unwrap() >= 64.0, "{}", height.json());
    // The panel is written anew many times a second, so only a script can hold it.
    page.execute(
        "window.before = document.querySelector('#live-now > p:last-child').textContent",
        vec![],
    )
    .await?;
    until(
        page,
        "more samples",
        "document.querySelector('#live-now > p:last-child').textContent !== window.before",
    )
    .await?;
    // A mark by the keyboard.
    page.execute("document.activeElement.blur()", vec![])
        .await?;
    page.find(By::Css("body")).await?.send_keys("m").await?;
    until(
        page,
        "the mark",
        "document.querySelector('#entries + ol').textContent.includes('Marked')",
    )
    .await?;
    Ok(())
}
