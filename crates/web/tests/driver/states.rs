//! Every page in every state that a person can bring it to, one after the other.

use std::{net::SocketAddr, path::Path, time::Duration};

use thirtyfour::prelude::*;

use super::{Outcome, bench_in, press, type_in};

/// More answers than the demo needs.
const ANSWERS: usize = 15;
/// A stream without a sign of life for longer than this is cut off.
const CUT_OFF: Duration = Duration::from_secs(11);

/// Goes through all states and calls `look` at each with its name.
pub(crate) async fn every_state(
    page: &WebDriver,
    address: SocketAddr,
    folder: &Path,
    look: &mut impl AsyncFnMut(&WebDriver, &str) -> Outcome<()>,
) -> Outcome<()> {
    let at = |path: &str| format!("http://{address}{path}");
    page.goto(at("/")).await?;
    look(page, "empty-list").await?;
    taken_in(page, &at, look).await?;
    page.goto(at("/")).await?;
    press(page, "form[action='/demo'] button").await?;
    searched(page, &at, look).await?;
    large(page, &at, look).await?;
    advice(page, &at, look).await?;
    rehearsed(page, &at, look).await?;
    in_hand(page, &at, look).await?;
    let mut cut_off = store::Receiving::open(folder)?;
    cut_off.begin(store::JobId::from_number(1), "battery", "")?;
    page.goto(at("/jobs/1")).await?;
    look(page, "live-silent").await?;
    let lan = bench_in(folder, true).await;
    devices(page, &format!("http://127.0.0.1:{}", lan.port()), look).await?;
    german(page, &at, look).await?;
    tokio::time::sleep(CUT_OFF).await;
    page.goto(at("/jobs/1")).await?;
    look(page, "cut-off").await
}

/// Intake, with mistakes and without.
async fn taken_in(
    page: &WebDriver,
    at: &impl Fn(&str) -> String,
    look: &mut impl AsyncFnMut(&WebDriver, &str) -> Outcome<()>,
) -> Outcome<()> {
    page.goto(at("/jobs/new")).await?;
    look(page, "new").await?;
    type_in(page, "#capacity", "60 litres").await?;
    press(page, "main button.main-press").await?;
    look(page, "new-wrong").await?;
    page.goto(at("/jobs/new")).await?;
    type_in(page, "#name", "grey estate").await?;
    press(page, "main button.main-press").await?;
    look(page, "fresh").await?;
    page.goto(at("/jobs/1/edit")).await?;
    look(page, "edit").await?;
    Ok(())
}

/// The demo from the first step to the proof.
async fn searched(
    page: &WebDriver,
    at: &impl Fn(&str) -> String,
    look: &mut impl AsyncFnMut(&WebDriver, &str) -> Outcome<()>,
) -> Outcome<()> {
    look(page, "first-step").await?;
    unfold(page).await?;
    look(page, "first-step-unfolded").await?;
    let shown = "document.getElementById('flow').toggleAttribute('data-shown', true)";
    page.execute(shown, vec![]).await?;
    look(page, "flow").await?;
    page.goto(at("/jobs/2")).await?;
    type_in(page, ".step [name=value]", "12x").await?;
    press(page, ".step button.main-press").await?;
    look(page, "wrong").await?;
    page.goto(at("/jobs/2")).await?;
    for answered in 0..ANSWERS {
        if page.find_all(By::Css("#repaired-text")).await?.len() == 1 {
            break;
        }
        press(page, ".step button[formaction]").await?;
        if answered == 0 {
            look(page, "answered").await?;
        }
    }
    look(page, "found").await?;
    unfold(page).await?;
    look(page, "found-unfolded").await?;
    page.goto(at("/jobs/2/reading?node=F17&kind=draw")).await?;
    look(page, "reading").await?;
    page.goto(at("/jobs/2")).await?;
    press(page, ".step button.main-press").await?;
    look(page, "repaired").await?;
    press(page, ".step button[formaction]").await?;
    look(page, "proven").await?;
    press(page, "#entries + ol form button").await?;
    look(page, "struck").await?;
    press(page, "#entries + ol .gone form button").await?;
    page.goto(at("/jobs/2/report")).await?;
    look(page, "report").await?;
    for (path, name) in [
        ("/nowhere", "nowhere"),
        ("/jobs/999", "no-job"),
        ("/devices", "this-machine-only"),
        ("/history", "history"),
        ("/", "list"),
    ] {
        page.goto(at(path)).await?;
        look(page, name).await?;
    }
    Ok(())
}

/// Sixty fuses.
async fn large(
    page: &WebDriver,
    at: &impl Fn(&str) -> String,
    look: &mut impl AsyncFnMut(&WebDriver, &str) -> Outcome<()>,
) -> Outcome<()> {
    let words = [
        "clock",
        "radio",
        "interior lamp",
        "blower",
        "alarm",
        "seat heater left, long name of a circuit",
        "tow bar socket",
        "tailgate",
    ];
    let list: Vec<String> = (1..=60)
        .map(|n| {
            format!(
                "F{n} {}A {} {n}",
                [5, 10, 15, 20][n % 4],
                words[n % words.len()]
            )
        })
        .collect();
    page.goto(at("/jobs/new")).await?;
    type_in(page, "#name", "van with sixty fuses").await?;
    page.execute(
        "document.querySelector('#fuses').value = arguments[0]",
        vec![list.join("\n").into()],
    )
    .await?;
    press(page, "main button.main-press").await?;
    type_in(page, ".step [name=value]", "12.61").await?;
    press(page, ".step button.main-press").await?;
    unfold(page).await?;
    look(page, "sixty").await
}

/// Hook-up, balance, nights.
async fn advice(
    page: &WebDriver,
    at: &impl Fn(&str) -> String,
    look: &mut impl AsyncFnMut(&WebDriver, &str) -> Outcome<()>,
) -> Outcome<()> {
    for (path, name) in [
        ("/jobs/2/hookup", "hookup"),
        (
            "/hookup?asked=1&how=in-line&draw=50&draw_unit=mA&fuse=15&fuse_unit=A",
            "hookup-in-line",
        ),
        ("/hookup?how=millivolt", "hookup-millivolt"),
        ("/hookup?how=shunt", "hookup-shunt"),
        ("/hookup?how=clamp&airbag=on", "hookup-airbag"),
        ("/hookup?asked=1&how=millivolt&draw=x", "hookup-wrong"),
        ("/jobs/1/balance", "balance-empty"),
        (
            "/jobs/2/balance?trips=10&trips_unit=trips&trip=25&trip_unit=minutes&draw=60&draw_unit=mA&add=20&add_unit=mA",
            "balance",
        ),
        ("/jobs/2/nights?lows=2+-5+1+-8", "nights"),
        ("/jobs/2/nights?lows=cold", "nights-wrong"),
    ] {
        page.goto(at(path)).await?;
        unfold(page).await?;
        look(page, name).await?;
    }
    Ok(())
}

/// A rehearsal from the form to the score.
async fn rehearsed(
    page: &WebDriver,
    at: &impl Fn(&str) -> String,
    look: &mut impl AsyncFnMut(&WebDriver, &str) -> Outcome<()>,
) -> Outcome<()> {
    page.goto(at("/rehearse")).await?;
    look(page, "rehearse-new").await?;
    type_in(page, "#seed", "7").await?;
    press(page, "main button.main-press").await?;
    look(page, "rehearse").await?;
    press(page, "main .step button.main-press").await?;
    look(page, "rehearse-one-test").await?;
    unfold(page).await?;
    look(page, "rehearse-unfolded").await?;
    type_in(page, "#own-typed", "pull nothing").await?;
    press(page, "#own-typed ~ button, form:has(#own-typed) button").await?;
    look(page, "rehearse-wrong").await?;
    press(page, "a[href$='/score']").await?;
    look(page, "rehearse-score").await
}

/// The workshop's network.
async fn devices(
    page: &WebDriver,
    bench: &str,
    look: &mut impl AsyncFnMut(&WebDriver, &str) -> Outcome<()>,
) -> Outcome<()> {
    page.goto(format!("{bench}/devices")).await?;
    look(page, "devices-none").await?;
    let code = super::text(page, ".big").await?;
    page.goto(format!("{bench}/pair")).await?;
    look(page, "pairing").await?;
    type_in(page, "#code", "1234").await?;
    press(page, "main button.main-press").await?;
    look(page, "pairing-wrong").await?;
    type_in(page, "#code", &code).await?;
    press(page, "main button.main-press").await?;
    look(page, "list-with-devices").await?;
    page.goto(format!("{bench}/devices")).await?;
    look(page, "devices").await?;
    press(page, "form[action='/devices/revoke'] button").await?;
    unfold(page).await?;
    look(page, "devices-sent-away").await
}

/// The main pages in the other language.
async fn german(
    page: &WebDriver,
    at: &impl Fn(&str) -> String,
    look: &mut impl AsyncFnMut(&WebDriver, &str) -> Outcome<()>,
) -> Outcome<()> {
    page.goto(at("/")).await?;
    let spoken = page.find(By::Tag("html")).await?.attr("lang").await?;
    press(page, "button[name=language][value=de]").await?;
    for (path, name) in [
        ("/", "de-list"),
        ("/jobs/2", "de-job"),
        ("/jobs/new", "de-new"),
        ("/jobs/2/hookup", "de-hookup"),
        ("/jobs/2/nights", "de-nights"),
        ("/jobs/2/report", "de-report"),
        ("/rehearse", "de-rehearse"),
    ] {
        page.goto(at(path)).await?;
        look(page, name).await?;
    }
    page.goto(at("/")).await?;
    let before = spoken.unwrap_or_default();
    press(page, &format!("button[name=language][value={before}]"))
        .await
        .map_err(Into::into)
}

/// What moves: a stretch measured, the keypad, a form that waits, a stream.
async fn in_hand(
    page: &WebDriver,
    at: &impl Fn(&str) -> String,
    look: &mut impl AsyncFnMut(&WebDriver, &str) -> Outcome<()>,
) -> Outcome<()> {
    let pause = |ms| tokio::time::sleep(Duration::from_millis(ms));
    page.goto(at("/")).await?;
    press(page, "form[action='/demo'] button").await?;
    let demo = page.current_url().await?.path().to_owned();
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
    look(page, "measured").await?;
    if let Ok(link) = page.find(By::Css("#entries + ol a[href*='/trace/']")).await {
        let address = link.attr("href").await?.unwrap_or_default();
        page.goto(at(&address)).await?;
        look(page, "trace").await?;
        page.goto(at(&demo)).await?;
    }
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
    look(page, "keypad").await?;
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
    look(page, "unsent").await?;
    page.execute("localStorage.clear()", vec![]).await?;
    page.goto(at("/")).await?;
    press(page, "form[action='/demo'] button").await?;
    press(page, "form[action$='/live/van'] button").await?;
    pause(2000).await;
    look(page, "live-begins").await?;
    pause(40_000).await;
    page.execute("document.querySelector('.marks button').click()", vec![])
        .await?;
    pause(1500).await;
    unfold(page).await?;
    page.execute("window.scrollTo(0, 0)", vec![]).await?;
    look(page, "live").await?;
    Ok(())
}

/// Opens everything that can be opened.
async fn unfold(page: &WebDriver) -> WebDriverResult<()> {
    let script = "for (const each of document.querySelectorAll('details')) each.open = true";
    page.execute(script, vec![]).await.map(|_| ())
}
