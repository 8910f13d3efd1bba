//! `nightdraw hookup` and `nightdraw balance`.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "a test fails by panicking, and says what it skipped"
)]

mod common;

use common::run;

#[test]
fn in_line_says_what_a_forgotten_bypass_and_a_wake_up_do() {
    let document = run(&["hookup", "--how", "in-line", "--draw", "412mA", "--json"])
        .ok()
        .json();
    let series = &document["in_series"];
    let beside = series["shown_beside_bypass"]["value"].as_f64().unwrap();
    let on_post = series["shown_clamp_on_post"]["value"].as_f64().unwrap();
    assert!(beside < 0.5 && on_post < 0.05 && on_post < beside);
    let steps = document["steps"].as_array().unwrap();
    assert!(steps.len() > 8);
    assert!(
        steps
            .iter()
            .all(|step| !step["caution"].as_str().unwrap().is_empty())
    );
    // The supply hangs on the meter's fuse in the middle, on nothing new at either end.
    assert_eq!(steps[0]["supply"], "untouched");
    assert_eq!(steps[steps.len() - 1]["supply"], "untouched");
    assert!(steps.iter().any(|step| step["waking_interrupts"] == true));
    assert_eq!(document["settings"]["keep"], true);

    let text = run(&["hookup", "--how", "in-line", "--wake-up", "15A"])
        .ok()
        .out;
    assert!(text.contains("BLOWS at a wake-up of 15 A"), "{text}");
    // Readable on a terminal of 120 columns, steps included.
    let widest = text.lines().map(|line| line.chars().count()).max();
    assert!(widest.unwrap() <= 170, "{text}");
}

#[test]
fn a_stated_melting_integral_gives_a_time() {
    let arguments = [
        "hookup",
        "--how",
        "in-line",
        "--meter-fuse",
        "440mA",
        "--melting",
        "0.8",
        "--wake-up",
        "2A",
        "--json",
    ];
    let fuse = run(&arguments).ok().json()["meter_fuse"].clone();
    assert_eq!(fuse["blows"], true);
    // I²t/I²: 0.8 / 4.
    assert!((fuse["within_s"].as_f64().unwrap() - 0.2).abs() < 1e-12);
}

#[test]
fn airbag_work_gets_no_steps_and_no_keeper() {
    let answer = run(&["hookup", "--how", "in-line", "--airbag-work"]).ok();
    assert!(answer.out.contains("dead supply") && !answer.out.contains("Steps"));
    let document = run(&["hookup", "--how", "clamp", "--airbag-work", "--json"])
        .ok()
        .json();
    assert_eq!(document["settings"]["keep"], false);
    assert_eq!(document["steps"].as_array().unwrap().len(), 0);
    run(&[
        "hookup",
        "--how",
        "clamp",
        "--airbag-work",
        "--keeper",
        "dry-9v",
    ])
    .refuses(1, &["dead supply"]);
}

#[test]
fn a_small_dry_battery_is_told_from_a_lead_one() {
    let keeper = |id: &str| {
        run(&["hookup", "--how", "clamp", "--keeper", id, "--json"])
            .ok()
            .json()["keeper"]
            .clone()
    };
    let (dry, lead) = (keeper("dry-9v"), keeper("gel-7ah"));
    assert_eq!(
        (&dry["survives_waking"], &lead["survives_waking"]),
        (&false.into(), &true.into())
    );
    assert!(dry["hours"].as_f64().unwrap() < 1.0 && lead["hours"].as_f64().unwrap() > 5.0);
}

#[test]
fn wrong_hook_ups_are_refused_in_one_sentence() {
    run(&["hookup", "--how", "millivolt"]).refuses(2, &["rating", "--fuse 15A"]);
    run(&["hookup", "--how", "shunt"]).refuses(2, &["resistance", "--shunt 1mohm"]);
    run(&["hookup", "--how", "clamp", "--instrument", "dmm-mV"]).refuses(1, &["clamp-low"]);
    run(&["hookup", "--how", "clamp", "--instrument", "2%"]).refuses(1, &["2%+5@1mA"]);
    run(&["hookup", "--how", "millivolt", "--fuse", "9000A"]).refuses(1, &["fuse rating"]);
    run(&["hookup", "--how", "clamp", "--draw=-3A"]).refuses(1, &["outside"]);
    run(&["hookup", "--how", "clamp", "--keeper", "coin"]).refuses(1, &["dry-9v"]);
    run(&[
        "hookup",
        "--how",
        "in-line",
        "--meter-fuse",
        "1A",
        "--melting",
        "nan",
    ])
    .refuses(1, &["melting integral"]);
    assert_eq!(run(&["hookup", "--how", "sideways"]).code, 2);
    assert_eq!(run(&["hookup", "--how", "clamp", "--draw", "400"]).code, 2);
    assert_eq!(run(&["hookup", "--how", "clamp", "--cables", "0"]).code, 2);
    assert_eq!(run(&["hookup"]).code, 2);
}

const WEEK: [&str; 8] = [
    "balance",
    "--capacity",
    "60Ah",
    "--trips",
    "10",
    "--trip",
    "45min",
    "--json",
];

#[test]
fn a_camera_fits_or_does_not() {
    let with = |draw: &str, added: &str| {
        run(&[&WEEK[..], &["--draw", draw, "--add", added]].concat())
            .ok()
            .json()
    };
    let small = with("25mA", "100mA");
    assert_eq!(small["fits"], true, "{small}");
    assert!(
        small["with_added"]["settles_at"]["p50"].as_f64() < small["settles_at"]["p50"].as_f64()
    );
    assert_eq!(with("25mA", "400mA")["fits"], false);
    // Without driving nothing comes back, and something must hold it.
    let parked = run(&[
        "balance",
        "--capacity",
        "60Ah",
        "--trips",
        "0",
        "--trip",
        "0min",
        "--draw",
        "25mA",
        "--json",
    ])
    .ok()
    .json();
    assert_eq!(parked["gain_ah_per_week"], 0.0);
    assert!(parked["maintainer_a"].as_f64().unwrap() > 0.02);
    let text = run(&[
        "balance",
        "--capacity",
        "60Ah",
        "--draw",
        "250mA",
        "--trips",
        "3",
        "--trip",
        "10min",
    ])
    .ok()
    .out;
    assert!(
        text.starts_with("It does not hold its charge") && text.contains("maintainer"),
        "{text}"
    );
}

#[test]
fn impossible_weeks_are_refused() {
    let with = |more: &[&str]| run(&[&WEEK[..], more].concat());
    with(&["--draw=-1A"]).refuses(1, &["draw while parked"]);
    with(&["--draw", "25mA", "--health", "9"]).refuses(1, &["health"]);
    with(&["--draw", "25mA", "--add", "500A"]).refuses(1, &["outside"]);
    run(&[
        "balance",
        "--capacity",
        "60Ah",
        "--draw",
        "25mA",
        "--trips",
        "300",
        "--trip",
        "2h",
    ])
    .refuses(1, &["longer than a week"]);
    run(&[
        "balance",
        "--capacity",
        "60Ah",
        "--draw",
        "25mA",
        "--trips",
        "nan",
        "--trip",
        "2h",
    ])
    .refuses(1, &["number of trips"]);
    assert_eq!(run(&["balance"]).code, 2);
}
