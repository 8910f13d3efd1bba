//! Pictures of the pages in their states, phone and desk, both themes:
//! `cargo run -p web --example screenshots -- DIR [de] [PART…]`, where `de` is for
//! German and parts are words that the names of the wanted pictures contain.
//! Needs Chromium and its driver. The README's `docs/bench-page.png` is
//! `phone-sun-first-step.png` and `phone-sun-flow.png` side by side.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::print_stderr,
    reason = "a tool for whoever works on the pages; it may stop"
)]

#[path = "../tests/driver/mod.rs"]
mod driver;

use std::path::Path;

use driver::{DESK, Driver, Outcome, PHONE, bench, browser, press, states::every_state};
use thirtyfour::prelude::*;

/// Taller than this a page is cut; the compositor takes no larger picture.
const LONGEST: f64 = 8000.0;

#[tokio::main]
async fn main() -> Outcome<()> {
    let mut arguments = std::env::args().skip(1);
    let folder = arguments.next().expect("name a folder for the pictures");
    let mut wanted: Vec<String> = arguments.collect();
    let german = wanted.first().is_some_and(|word| word == "de");
    if german {
        wanted.remove(0);
    }
    std::fs::create_dir_all(&folder)?;
    let driver = Driver::start().expect("chromedriver is needed");
    let (address, data) = bench().await;
    let profile = tempfile::tempdir()?;
    let page = browser(&driver, &profile.path().display().to_string(), PHONE).await?;
    let session = page.session_id().to_string();
    if german {
        page.goto(format!("http://{address}/")).await?;
        press(&page, "button[name=language][value=de]").await?;
    }
    let mut take = async |page: &WebDriver, state: &str| -> Outcome<()> {
        if wanted.is_empty() || wanted.iter().any(|part| state.contains(part.as_str())) {
            eprintln!("{state}");
            four(
                page,
                &driver,
                &session,
                &format!("{folder}/{{}}-{state}.png"),
            )
            .await?;
        }
        Ok(())
    };
    let walked = every_state(&page, address, data.path(), &mut take).await;
    page.quit().await?;
    walked
}

/// Takes up again what a state is about where it is further down: other widths have
/// put it elsewhere.
const SCROLL: &str = "document.querySelector('[data-shown]')?.scrollIntoView()";

/// The page as it stands, on both screens in both themes, and whole.
async fn four(page: &WebDriver, driver: &Driver, session: &str, name: &str) -> Outcome<()> {
    for (screen, size) in [("desk", DESK), ("phone", PHONE)] {
        driver.screen(session, size)?;
        for theme in ["night", "sun"] {
            dress(page, theme).await?;
            page.execute(SCROLL, vec![]).await?;
            shoot(page, name, &format!("{screen}-{theme}")).await?;
        }
        let height = "return document.documentElement.scrollHeight";
        let height = page.execute(height, vec![]).await?.json().as_f64();
        let height = height.unwrap_or_default().min(LONGEST);
        driver.screen(session, (size.0, height as u32, 1.0))?;
        shoot(page, name, &format!("{screen}-long")).await?;
        driver.screen(session, size)?;
    }
    dress(page, "device").await
}

async fn shoot(page: &WebDriver, name: &str, which: &str) -> Outcome<()> {
    page.screenshot(Path::new(&name.replace("{}", which)))
        .await
        .map_err(Into::into)
}

async fn dress(page: &WebDriver, theme: &str) -> Outcome<()> {
    let script = "document.documentElement.dataset.look = arguments[0]";
    page.execute(script, vec![theme.into()]).await?;
    Ok(())
}
