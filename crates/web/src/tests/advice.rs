//! The pages that advise: hook-up, balance, nights ahead.

use super::Bench;

/// The text of a page, markup left out, blanks run together.
async fn text(bench: &Bench, path: &str) -> String {
    let html = bench.get(path).await.html();
    let words: Vec<&str> = html
        .root_element()
        .text()
        .flat_map(str::split_whitespace)
        .collect();
    words.join(" ")
}

#[tokio::test]
async fn in_line_steps_come_with_picture_supply_and_caution() {
    let bench = Bench::with_kit_job();
    let page = bench.get("/jobs/1/hookup?how=in-line").await.html();
    let pictures = scraper::Selector::parse(".hookup > li svg").unwrap();
    let items = scraper::Selector::parse(".hookup > li").unwrap();
    let steps = harness::hookup::steps(measure::How::InLine);
    assert_eq!(page.select(&items).count(), steps.len());
    assert_eq!(page.select(&pictures).count(), steps.len());
    for (item, step) in page.select(&items).zip(steps) {
        let said: String = item.text().collect();
        assert!(said.contains(step.text.as_str()), "{said}");
        assert!(said.contains("aution"), "{said}");
        assert!(said.contains(&step.supply.words()[1..]), "{said}");
    }
}

#[tokio::test]
async fn a_wake_up_that_blows_the_bypass_is_said_at_its_steps() {
    let bench = Bench::with_kit_job();
    let held = text(&bench, "/hookup?how=in-line&bypass_fuse=15A").await;
    assert!(!held.contains("A wake-up breaks the supply"));
    let blown = text(&bench, "/hookup?how=in-line&bypass_fuse=3A").await;
    assert!(blown.contains("3 A melts at a wake-up of 5 A"), "{blown}");
    assert!(blown.contains("A wake-up breaks the supply"));
}

#[tokio::test]
async fn airbag_work_shows_no_step_at_all() {
    let bench = Bench::with_kit_job();
    let said = text(&bench, "/hookup?how=in-line&airbag=true").await;
    assert!(said.contains("Do not keep the settings alive"), "{said}");
    assert!(!said.contains("bypass from the negative post"));
}

#[tokio::test]
async fn the_balance_says_whether_a_camera_fits() {
    let bench = Bench::with_kit_job();
    let asked = "/jobs/1/balance?draw=10mA&trips=14&trip=60&temperature=20C";
    let fits = text(&bench, &format!("{asked}&add=5mA")).await;
    assert!(fits.contains("5 mA more fits"), "{fits}");
    let not = text(&bench, &format!("{asked}&add=3A")).await;
    assert!(not.contains("3 A more does not fit"), "{not}");
}

#[tokio::test]
async fn each_night_is_told_with_its_own_cold() {
    let bench = Bench::with_kit_job();
    let said = text(&bench, "/jobs/1/nights?lows=2+-12").await;
    assert!(
        said.contains("night 1 2 °C") && said.contains("night 2 -12 °C"),
        "{said}"
    );
    assert!(!said.contains("night 3"));
    let wrong = text(&bench, "/jobs/1/nights?lows=cold").await;
    assert!(wrong.contains("Please look at this again"), "{wrong}");
}

/// A search that ends past the fuses, or without a name, is not told as nothing at fault.
#[tokio::test]
async fn a_search_that_names_no_circuit_says_what_is_left() {
    let job = |entries: &str| {
        let text = format!(
            "format = 1\n[limit]\ndraw = \"50mA\"\n[[node]]\nid = \"main\"\nfrom = \"battery\"\nkind = \"cable\"\n{entries}"
        );
        job::file::parse(&text).unwrap()
    };
    let draw = |minute: u32, node: &str, value: &str| {
        format!(
            "[[entry]]\nat = \"2026-03-02T20:{minute:02}:00Z\"\nkind = \"draw\"\nnode = \"{node}\"\nhow = \"clamp\"\nvalue = \"{value}\"\nasleep = true\n"
        )
    };
    let bench = Bench::real();
    // Each twice: one reading alone may be a slip.
    let read = [
        (1, "battery", "400mA"),
        (2, "main", "2mA"),
        (3, "battery", "401mA"),
        (4, "main", "2mA"),
    ];
    let entries: Vec<String> = read
        .iter()
        .map(|(at, node, value)| draw(*at, node, value))
        .collect();
    let past = job(&entries.concat());
    bench.state.create(&past, "a").unwrap();
    let page = text(&bench, "/jobs/1").await;
    assert!(
        page.contains("Something outside the listed circuits: over 99 % sure"),
        "{page}"
    );
    assert!(!page.contains("Nothing is at fault"));
    let report = text(&bench, "/jobs/1/report").await;
    assert!(report.contains("The cause is found"), "{report}");
    let well = job(&draw(1, "battery", "20mA"));
    bench.state.create(&well, "b").unwrap();
    assert!(
        text(&bench, "/jobs/2")
            .await
            .contains("Nothing is at fault")
    );
}
