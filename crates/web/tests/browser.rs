//! One whole job in a real browser, at the size of a phone, and every page in
//! German on it, for German words are long.
//!
//! Slow, so there are two. It needs Chromium and its driver; without them it
//! says so and passes, unless `NIGHTDRAW_REQUIRE_BROWSER=1`.

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
    Outcome, PHONE, arrived, bench, browser, driver_or_skip, leaving, press, text, type_in,
};
use thirtyfour::prelude::*;

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
/// A page that takes this long is stuck, even on a slow machine.
const STALLED: Duration = Duration::from_secs(20);
/// More readings than any sensible plan needs for six fuses.
const READINGS: usize = 25;

#[tokio::test(flavor = "multi_thread")]
async fn a_whole_job_on_a_phone() {
    let began = Instant::now();
    let Some(driver) = driver_or_skip() else {
        return;
    };
    let (address, _folder) = bench().await;
    let profile = tempfile::tempdir().unwrap();
    let page = browser(&driver, &profile.path().display().to_string(), PHONE)
        .await
        .unwrap();
    let session = page.session_id().to_string();
    lap(began, "browser open");
    let outcome = walk(&page, address, began).await;
    lap(began, "walked");
    let console = driver.console(&session).unwrap();
    lap(began, "console read");
    page.quit().await.unwrap();
    lap(began, "browser closed");
    outcome.unwrap();
    assert!(
        !console.contains("\"level\""),
        "the console is clean: {console}"
    );
}

/// Pages of the German demo, job 1, and of a rehearsal, job 2.
const GERMAN: &[&str] = &[
    "/",
    "/jobs/new",
    "/jobs/1",
    "/jobs/1/edit",
    "/jobs/1/reading?node=battery",
    "/jobs/1/reading?node=F17",
    "/jobs/1/hookup",
    "/jobs/1/hookup?how=in-line&asked=1",
    "/jobs/1/balance?trips=10&trip=20&add=50mA",
    "/jobs/1/nights?lows=2+-5+1",
    "/jobs/2/rehearsal",
    "/jobs/2/rehearsal/score",
    "/rehearse",
    "/history",
    "/nowhere",
];

#[tokio::test(flavor = "multi_thread")]
async fn german_words_fit_a_phone() {
    let Some(driver) = driver_or_skip() else {
        return;
    };
    let (address, _folder) = bench().await;
    let profile = tempfile::tempdir().unwrap();
    let page = browser(&driver, &profile.path().display().to_string(), PHONE)
        .await
        .unwrap();
    let outcome = in_german(&page, address).await;
    page.quit().await.unwrap();
    outcome.unwrap();
}

async fn in_german(page: &WebDriver, address: SocketAddr) -> Outcome<()> {
    page.goto(format!("http://{address}/")).await?;
    press(page, "button[name=language][value=de]").await?;
    assert_eq!(text(page, "h1").await?, "Aufträge");
    press(page, "form[action='/demo'] button").await?;
    page.goto(format!("http://{address}/rehearse")).await?;
    press(page, "main form button.main-press").await?;
    for path in GERMAN {
        page.goto(format!("http://{address}{path}")).await?;
        fits(page).await?;
        // Folded parts too, and nothing is cut off inside what is pressed or headed.
        let script = "for (const each of document.querySelectorAll('details')) each.open = true;
            return [...document.querySelectorAll('button, .press, label, summary, h1, h2, h3, legend, dt')]
                .filter((each) => each.offsetParent && !each.closest('.hidden') && !each.matches('.hidden') && each.scrollWidth > each.clientWidth + 1 && getComputedStyle(each).display !== 'inline')
                .map((each) => each.textContent)";
        let cut = page.execute(script, vec![]).await?.json().clone();
        assert_eq!(cut.as_array().map(Vec::len), Some(0), "{path}: {cut}");
        fits(page).await?;
    }
    Ok(())
}

/// Says how far the walk has come, for whoever wonders where the time goes.
fn lap(began: Instant, what: &str) {
    println!("{:6.2} s  {what}", began.elapsed().as_secs_f64());
}

async fn walk(page: &WebDriver, address: SocketAddr, began: Instant) -> Outcome<()> {
    // A page that waits for a free connection would come in the end.
    page.set_page_load_timeout(STALLED).await?;
    page.goto(format!("http://{address}/")).await?;
    lap(began, "first page");
    fits(page).await?;
    press(page, "a.main-press").await?;
    type_in(page, "#name", "grey estate").await?;
    type_in(page, "#capacity", "60").await?;
    type_in(page, "#cranking", "540").await?;
    type_in(page, "#no_start_after", "40").await?;
    type_in(page, "#fuses", LIST).await?;
    fits(page).await?;
    lap(began, "form filled in");
    press(page, "button.main-press").await?;
    lap(began, "job taken in");
    let first = headline(page).await?;
    fits(page).await?;
    by_keyboard(page, "12.62").await?;
    lap(began, "by keyboard");
    let mut last = headline(page).await?;
    lap(began, &format!("first step: {last}"));
    for taken in 0..READINGS {
        if page
            .query(By::Css(".step a[href$='/report']"))
            .nowait()
            .exists()
            .await?
        {
            break;
        }
        answer_step(page)
            .await
            .map_err(|error| format!("at '{last}': {error}"))?;
        fits(page).await?;
        let now = headline(page).await?;
        lap(began, &format!("{taken}: {last} -> {now}"));
        last = now;
    }
    assert_ne!(first, last, "the next step changes with what is known");
    let found = text(page, ".step .headline").await?;
    assert!(found.contains(CULPRIT), "the culprit is named: {found}");
    press(page, ".step a[href$='/report']").await?;
    lap(began, "report open");
    let report = text(page, "body").await?;
    lap(began, "report read");
    assert!(
        report.contains("grey estate") && report.contains(CULPRIT),
        "{report}"
    );
    follows_after_going_back(page).await
}

/// A page kept for the back button hears of changes again.
async fn follows_after_going_back(page: &WebDriver) -> Outcome<()> {
    page.back().await?;
    let elsewhere = "fetch('/jobs/1/entries', { method: 'POST', body: new URLSearchParams({ kind: 'note', text: 'from elsewhere', key: 'other' }) })";
    page.execute(elsewhere, vec![]).await?;
    let told = "#entries + ol li:first-child .said";
    for _ in 0..200 {
        // The list may be replaced between finding it and reading it: that is the change.
        let said = text(page, told).await;
        if said.is_ok_and(|said| said.contains("from elsewhere")) {
            return Ok(());
        }
        tokio::time::sleep(Duration::from_millis(25)).await;
    }
    Err("the page does not follow its job after going back".into())
}

/// Tabs of a page's head: the skip link, the name, three looks; then the
/// step's number, with one link or fold allowed before it.
const TABS: usize = 7;

/// Enters the step's number with keys alone.
async fn by_keyboard(page: &WebDriver, typed: &str) -> Outcome<()> {
    let mut tabs = 0;
    loop {
        let active = page.active_element().await?;
        if active.attr("id").await?.as_deref() == Some("next-value") {
            active.send_keys(typed).await?;
            leaving(page).await?;
            active.send_keys(Key::Enter + "").await?;
            arrived(page).await?;
            break;
        }
        assert!(tabs < TABS, "the number is within {TABS} tabs");
        active.send_keys(Key::Tab + "").await?;
        tabs += 1;
    }
    let said = text(page, ".said-back").await?;
    assert!(said.contains(typed), "the key went through: {said}");
    Ok(())
}

/// Types what the meter would show and sends it.
async fn answer_step(page: &WebDriver) -> Outcome<()> {
    // The same link may stand among the other things that could be done.
    let driving = ".step a.main-press[href$='/edit#trips']";
    if page.query(By::Css(driving)).nowait().exists().await? {
        press(page, driving).await?;
        type_in(page, "#trips", "10").await?;
        type_in(page, "#trip", "25").await?;
        return Ok(press(page, "button.main-press").await?);
    }
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
