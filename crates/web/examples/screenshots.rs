//! Pictures of the pages in their states, phone and desk, both themes:
//! `cargo run -p web --example screenshots -- DIR`, in German with `DIR de`.
//! Needs Chromium and its driver. The README's `docs/bench-page.png` and
//! `docs/bench-page-flow.png` are `phone-sun-first-step.png` and `phone-sun-flow.png`.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::print_stderr,
    reason = "a tool for whoever works on the pages; it may stop"
)]

#[path = "../tests/driver/mod.rs"]
mod driver;

use std::{net::SocketAddr, path::Path};

use driver::{Driver, Outcome, PHONE, bench, browser, press, type_in};
use thirtyfour::prelude::*;

/// A laptop: width, height, pixels per CSS pixel.
const DESK: (u32, u32, f64) = (1280, 800, 1.0);
/// Tall enough for a whole page.
const LONG: u32 = 6000;
/// Pages that say something without being pressed.
const PAGES: &[(&str, &str)] = &[
    ("hookup", "/jobs/2/hookup"),
    ("balance", "/jobs/2/balance?trips=10&trip=20&add=50mA"),
    ("nights", "/jobs/2/nights?lows=2+-5+1"),
    ("history", "/history"),
    ("rehearse", "/rehearse"),
];
/// More answers than the demo needs.
const ANSWERS: usize = 15;

#[tokio::main]
async fn main() -> Outcome<()> {
    let folder = std::env::args()
        .nth(1)
        .expect("name a folder for the pictures");
    std::fs::create_dir_all(&folder)?;
    let driver = Driver::start().expect("chromedriver is needed");
    for (name, screen) in [("phone", PHONE), ("desk", DESK)] {
        for look in ["sun", "night"] {
            let first = format!("{folder}/{name}-{look}");
            let long = (screen.0, LONG, 1.0);
            shoot(&driver, screen, look, &first).await?;
            if look == "sun" {
                shoot(&driver, long, look, &format!("{first}-long")).await?;
            }
        }
    }
    Ok(())
}

async fn shoot(driver: &Driver, screen: (u32, u32, f64), look: &str, first: &str) -> Outcome<()> {
    let (address, _folder) = bench().await;
    let profile = tempfile::tempdir()?;
    let page = browser(driver, &profile.path().display().to_string(), screen).await?;
    let outcome = walk(&page, address, look, first).await;
    page.quit().await?;
    outcome
}

async fn walk(page: &WebDriver, address: SocketAddr, look: &str, first: &str) -> Outcome<()> {
    let take = |state: &'static str| async move {
        eprintln!("{first}-{state}");
        page.screenshot(Path::new(&format!("{first}-{state}.png")))
            .await
    };
    page.goto(format!("http://{address}/")).await?;
    press(page, &format!("button[name=look][value={look}]")).await?;
    let lang = std::env::args().nth(2).unwrap_or("en".into());
    press(page, &format!("button[name=language][value={lang}]")).await?;
    take("empty-list").await?;
    page.goto(format!("http://{address}/jobs/new")).await?;
    take("new").await?;
    type_in(page, "#name", "grey estate").await?;
    press(page, "main button.main-press").await?;
    take("fresh").await?;
    page.goto(format!("http://{address}/jobs/1/edit")).await?;
    take("edit").await?;
    page.goto(format!("http://{address}/")).await?;
    press(page, "form[action='/demo'] button").await?;
    take("first-step").await?;
    page.execute("document.getElementById('flow').scrollIntoView()", vec![])
        .await?;
    take("flow").await?;
    page.execute("window.scrollTo(0, 0)", vec![]).await?;
    type_in(page, ".step [name=value]", "12x").await?;
    press(page, ".step button.main-press").await?;
    take("wrong").await?;
    page.goto(format!("http://{address}/jobs/2")).await?;
    for answered in 0..ANSWERS {
        if page.find_all(By::Css("#repaired-text")).await?.len() == 1 {
            break;
        }
        press(page, ".step button[formaction]").await?;
        if answered == 0 {
            take("answered").await?;
        }
    }
    take("found").await?;
    page.goto(format!(
        "http://{address}/jobs/2/reading?node=F17&kind=draw"
    ))
    .await?;
    take("reading").await?;
    page.goto(format!("http://{address}/jobs/2")).await?;
    press(page, ".step button.main-press").await?;
    take("repaired").await?;
    press(page, ".step button[formaction]").await?;
    take("proven").await?;
    page.goto(format!("http://{address}/jobs/2/report")).await?;
    take("report").await?;
    page.goto(format!("http://{address}/nowhere")).await?;
    take("nowhere").await?;
    for (name, path) in PAGES {
        page.goto(format!("http://{address}{path}")).await?;
        page.screenshot(Path::new(&format!("{first}-{name}.png")))
            .await?;
    }
    page.goto(format!("http://{address}/rehearse")).await?;
    press(page, "main form button.main-press").await?;
    take("rehearsal").await?;
    page.goto(format!("http://{address}/jobs/3/rehearsal/score"))
        .await?;
    take("score").await?;
    page.goto(format!("http://{address}/")).await?;
    take("list").await?;
    in_hand(page, address, first).await
}

/// What moves: a stretch measured, the keypad, a form that waits, a stream.
async fn in_hand(page: &WebDriver, address: SocketAddr, first: &str) -> Outcome<()> {
    let take = |state: &'static str| async move {
        eprintln!("{first}-{state}");
        page.screenshot(Path::new(&format!("{first}-{state}.png")))
            .await
    };
    let pause = |ms| tokio::time::sleep(std::time::Duration::from_millis(ms));
    page.goto(format!("http://{address}/")).await?;
    press(page, "form[action='/demo'] button").await?;
    page.execute(
        "const all = document.querySelectorAll('.sheet');
         const sheet = [...all].find((each) => each.offsetParent);
         sheet.setPointerCapture = () => {};
         const box = sheet.querySelector('svg').getBoundingClientRect();
         const at = (kind, share) => sheet.dispatchEvent(new PointerEvent(kind, { bubbles: true, pointerId: 7, pointerType: 'touch',
             isPrimary: true, button: 0, clientX: box.left + box.width * share, clientY: box.top + box.height / 2 }));
         at('pointerdown', 0.2); at('pointermove', 0.3); at('pointermove', 0.6); at('pointerup', 0.6);
         document.getElementById('recording').scrollIntoView();",
        vec![],
    )
    .await?;
    pause(1500).await;
    take("measured").await?;
    page.execute("window.scrollTo(0, 0)", vec![]).await?;
    page.find(By::Css(".step [name=value]"))
        .await?
        .click()
        .await?;
    page.find(By::Css(".step [name=value]"))
        .await?
        .send_keys("41,2")
        .await?;
    pause(500).await;
    take("keypad").await?;
    page.execute(
        "window.fetch = () => Promise.reject(new Error('away')); document.querySelector('.step form').requestSubmit()",
        vec![],
    )
    .await?;
    pause(700).await;
    page.execute(
        "document.getElementById('unsent').scrollIntoView({ block: 'center' })",
        vec![],
    )
    .await?;
    take("unsent").await?;
    page.execute("localStorage.clear()", vec![]).await?;
    page.goto(format!("http://{address}/")).await?;
    press(page, "form[action='/demo'] button").await?;
    press(page, "form[action$='/live/van'] button").await?;
    pause(45_000).await;
    page.execute(
        "const button = document.querySelector('.marks button'); button.click()",
        vec![],
    )
    .await?;
    pause(1500).await;
    page.execute("window.scrollTo(0, 0)", vec![]).await?;
    take("live").await?;
    Ok(())
}
