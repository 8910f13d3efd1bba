//! Every page in every state, looked at by machines: axe-core, sizes of
//! targets, contrast of text, nothing over the side, a clean console; and with
//! letters of twice the size.
//!
//! Needs Chromium, its driver and what `npm ci` puts into `tests/axe`
//! (`cargo xtask check` sees to all three); without them it says so and passes,
//! unless `NIGHTDRAW_REQUIRE_BROWSER=1`.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "a test may stop and may speak"
)]

mod driver;

use std::{path::Path, time::Duration};

use driver::{
    DESK, Driver, Outcome, PHONE, bench, browser, browser_with, driver_or_skip, skipped,
    states::every_state,
};
use thirtyfour::prelude::*;

/// A page that takes this long is stuck, even on a slow machine.
const STALLED: Duration = Duration::from_secs(60);
/// Our own questions.
const CHECK: &str = include_str!("driver/check.js");
/// Asks axe for everything it counts as an error and as good practice. Colours alone are asked about in the second theme.
const AXE: &str = "const done = arguments[arguments.length - 1];
    const rules = arguments[0] ? { runOnly: { type: 'rule', values: ['color-contrast'] } }
        : { runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'] };
    axe.run(document, { ...rules, resultTypes: ['violations'] }).then((found) => done(found.violations.map((each) =>
        `${each.id}: ${each.help}: ${each.nodes.slice(0, 3).map((node) => node.html.slice(0, 160)).join(' | ')}`)), (error) => done([String(error)]));";

/// The text of axe-core.
fn axe() -> Option<String> {
    let path =
        Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/axe/node_modules/axe-core/axe.min.js");
    let text = std::fs::read_to_string(path).ok();
    if text.is_none() {
        skipped("axe-core (npm ci in crates/web/tests/axe)");
    }
    text
}

#[tokio::test(flavor = "multi_thread")]
async fn every_page_in_every_state_holds() {
    let (Some(axe), Some(driver)) = (axe(), driver_or_skip()) else {
        return;
    };
    let (address, folder) = bench().await;
    let profile = tempfile::tempdir().unwrap();
    let page = browser(&driver, &profile.path().display().to_string(), PHONE)
        .await
        .unwrap();
    page.set_page_load_timeout(STALLED).await.unwrap();
    page.set_script_timeout(STALLED).await.unwrap();
    let session = page.session_id().to_string();
    let (mut faults, mut states) = (Vec::new(), 0);
    let mut look = async |page: &WebDriver, state: &str| -> Outcome<()> {
        states += 1;
        let found = looked_at(page, &driver, &session, &axe, state).await?;
        for fault in &found {
            println!("{state}: {fault}");
        }
        faults.extend(found.into_iter().map(|fault| format!("{state}: {fault}")));
        Ok(())
    };
    let walked = every_state(&page, address, folder.path(), &mut look).await;
    let console = driver.console(&session).unwrap();
    page.quit().await.unwrap();
    walked.unwrap();
    println!("{states} states");
    assert!(
        faults.is_empty(),
        "{} faults:\n{}",
        faults.len(),
        faults.join("\n")
    );
    assert_eq!(
        unexpected(&console),
        Vec::<String>::new(),
        "the console is clean"
    );
}

/// Both screens and both themes of the page as it stands.
async fn looked_at(
    page: &WebDriver,
    driver: &Driver,
    session: &str,
    axe: &str,
    state: &str,
) -> Outcome<Vec<String>> {
    if page
        .execute("return !window.axe", vec![])
        .await?
        .json()
        .as_bool()
        == Some(true)
    {
        page.execute(axe, vec![]).await?;
    }
    let spent = "const [each] = performance.getEntriesByType('navigation'); return Math.round(each.domContentLoadedEventEnd)";
    let spent = page.execute(spent, vec![]).await?;
    println!("{state}: ready after {} ms", spent.json());
    let mut faults = Vec::new();
    for (screen, size) in [("desk", DESK), ("phone", PHONE)] {
        driver.screen(session, size)?;
        for theme in ["night", "sun"] {
            let before = dress(page, theme).await?;
            let colours_only = theme == "night";
            let script = AXE.to_owned();
            let found = page
                .execute_async(script, vec![colours_only.into()])
                .await?;
            let own = page.execute(CHECK, vec![colours_only.into()]).await?;
            for list in [found.json(), own.json()] {
                let texts = list.as_array().ok_or("no list came back")?;
                let texts = texts.iter().filter_map(|text| text.as_str());
                faults.extend(texts.map(|text| format!("{screen}, {theme}: {text}")));
            }
            dress(page, &before).await?;
        }
    }
    Ok(faults)
}

/// Puts a theme on; gives the one before.
async fn dress(page: &WebDriver, theme: &str) -> Outcome<String> {
    let script = "const root = document.documentElement; const before = root.dataset.look || ''; root.dataset.look = arguments[0]; return before";
    let before = page.execute(script, vec![theme.into()]).await?;
    Ok(before.json().as_str().unwrap_or_default().to_owned())
}

/// What the console says beside the pages that were meant to be errors.
fn unexpected(console: &str) -> Vec<String> {
    let read: serde_json::Value = serde_json::from_str(console).unwrap();
    let messages = read["value"].as_array().unwrap().iter();
    let meant = ["/nowhere ", "/jobs/999 ", "/devices ", "/pair ", "422 "];
    messages
        .filter_map(|message| message["message"].as_str())
        .filter(|message| !meant.iter().any(|part| message.contains(part)))
        .map(str::to_owned)
        .collect()
}

/// Somebody's eyes: the browser's letters at 32 instead of 16 pixels.
#[tokio::test(flavor = "multi_thread")]
async fn letters_of_twice_the_size_lose_nothing() {
    let Some(driver) = driver_or_skip() else {
        return;
    };
    let (address, folder) = bench().await;
    let profile = tempfile::tempdir().unwrap();
    let large = serde_json::json!({ "webkit": { "webprefs": { "default_font_size": 32 } } });
    let page = browser_with(&driver, &profile.path().display().to_string(), PHONE, large)
        .await
        .unwrap();
    page.set_page_load_timeout(STALLED).await.unwrap();
    let session = page.session_id().to_string();
    let mut faults = Vec::new();
    let mut look = async |page: &WebDriver, state: &str| -> Outcome<()> {
        let size = page
            .execute(
                "return parseFloat(getComputedStyle(document.documentElement).fontSize)",
                vec![],
            )
            .await?;
        assert!(
            size.json().as_f64() >= Some(32.0),
            "letters are large: {}",
            size.json()
        );
        // A laptop zoomed to 200 % is one of half the width.
        for (screen, size) in [("zoomed desk", (640, 400, 2.0)), ("phone", PHONE)] {
            driver.screen(&session, size)?;
            let own = page.execute(CHECK, vec![false.into()]).await?;
            let texts = own.json().as_array().ok_or("no list came back")?.iter();
            for text in texts.filter_map(|text| text.as_str()) {
                println!("{state}, {screen}: {text}");
                faults.push(format!("{state}, {screen}: {text}"));
            }
        }
        Ok(())
    };
    let walked = every_state(&page, address, folder.path(), &mut look).await;
    page.quit().await.unwrap();
    walked.unwrap();
    assert!(
        faults.is_empty(),
        "{} faults:\n{}",
        faults.len(),
        faults.join("\n")
    );
}
