//! `nightdraw read`: the meter, fuses pulled, the clamp's zero, current and voltage, through the program.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod common;

use common::{file, run};
use serde_json::Value;

/// 1 Hz from 20:00: awake for ten minutes, asleep at 60 mA; at 21:00 a fuse takes 40 mA of it away and the door wakes the van for 80 s.
fn night(folder: &tempfile::TempDir) -> String {
    let rows: String = (0..7200)
        .map(|second| {
            let milliampere = match second {
                0..600 => 3000.0,
                600..3600 => 60.0,
                3600..3680 => 1500.0,
                _ => 20.0,
            };
            let scatter = 2.0 * ((f64::from(second) * 0.618_033_988_75).fract() - 0.5);
            let (hour, minute, second) = (20 + second / 3600, second / 60 % 60, second % 60);
            format!(
                "2026-03-02T{hour:02}:{minute:02}:{second:02}Z,{:.1}\n",
                milliampere + scatter
            )
        })
        .collect();
    file(folder, "night.csv", format!("time,current (mA)\n{rows}"))
}

fn settled(document: &Value) -> (f64, f64) {
    let draw = &document["settled"]["draw"];
    (draw["value"].as_f64().unwrap(), draw["u"].as_f64().unwrap())
}

#[test]
fn a_pulled_fuse_is_a_step_and_the_van_stays_whole() {
    let folder = tempfile::tempdir().unwrap();
    let log = night(&folder);
    let told = run(&["read", &log, "--json", "--pulled", "21:00 F12"])
        .ok()
        .json();
    assert!((settled(&told).0 - 0.06).abs() < 1e-3);
    assert_eq!(told["wake_ups"]["count"], 0);
    let steps = told["steps"].as_array().unwrap();
    let step = steps.iter().find(|s| s["act"] == "F12 pulled").unwrap();
    assert!((step["size"]["value"].as_f64().unwrap() + 0.04).abs() < 1e-3);
    // Without being told, the lowest level is what sleeps.
    let blind = run(&["read", &log, "--json"]).ok().json();
    assert!(
        blind["steps"]
            .as_array()
            .unwrap()
            .iter()
            .all(|s| s["act"].is_null())
    );
    let text = run(&["read", &log, "--pulled", "21:00 F12"]).ok().out;
    assert!(
        text.contains("F12 pulled at 21:00: the draw fell by 40"),
        "{text}"
    );
}

#[test]
fn what_lies_outside_the_log_is_said_once_and_left_out() {
    let folder = tempfile::tempdir().unwrap();
    let log = night(&folder);
    let told = run(&["read", &log, "--json", "--pulled", "100h F12"]).ok();
    let plain = run(&["read", &log, "--json"]).ok();
    assert_eq!(told.out, plain.out);
    assert!(!plain.err.contains("outside"), "{}", plain.err);
    let sentence = "`--pulled 100h F12` lies outside the log";
    assert_eq!(told.err.matches(sentence).count(), 1, "{}", told.err);
    let beyond = run(&["read", &log, "--from", "100h"]);
    assert_eq!(
        (beyond.code, beyond.out.as_str()),
        (1, ""),
        "{}",
        beyond.err
    );
    assert!(beyond.err.contains("the log ends") && !beyond.err.contains("inf "));
}

#[test]
fn the_verdict_knows_its_meter() {
    let folder = tempfile::tempdir().unwrap();
    let log = night(&folder);
    let exceeds = |more: &[&str]| {
        let all = [&["read", &log, "--json", "--pulled", "21:00 F12"], more].concat();
        let told = run(&all).ok().json();
        (
            told["verdict"]["exceeds"].as_str().unwrap().to_owned(),
            settled(&told).1,
        )
    };
    let (plain, u) = exceeds(&["--limit", "55mA"]);
    assert!(plain == "yes" && u < 1e-3, "{plain} {u}");
    // ±(1 % + 3 digits of 10 mA) cannot tell 60 from 55 mA; ±(0.5 % + 2 digits of 0.1 mA) can.
    let (coarse, u) = exceeds(&["--limit", "55mA", "--instrument", "dmm-10A"]);
    assert!(
        coarse == "unsure" && (u - 0.0306 / 3.0_f64.sqrt()).abs() < 1e-3,
        "{coarse} {u}"
    );
    let fine = [
        "--limit",
        "55mA",
        "--instrument",
        "0.5%+2@0.1mA",
        "--how",
        "in-line",
    ];
    assert_eq!(exceeds(&fine).0, "yes");
}

#[test]
fn what_is_no_meter_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    let log = night(&folder);
    for wrong in [
        &["--instrument", "0.5%+2@1mA"][..],
        &["--instrument", "dmm-20V"],
        &["--instrument", "tongs", "--how", "clamp"],
        &["--how", "clamp"],
        &["--zero", "22:10"],
        &["--zero", "22:10..22:12", "--reference", "3"],
    ] {
        let arguments = [&["read", &log][..], wrong].concat();
        let answer = run(&arguments);
        assert_eq!(answer.code, 2, "{wrong:?}: {}", answer.err);
    }
    let outside = run(&["read", &log, "--zero", "23:10..23:12"]);
    assert_eq!(outside.code, 1, "{}", outside.err);
}

/// Standard input stays open and silent: whoever waits for it has not looked at the options first.
#[test]
fn wrong_options_fail_before_anything_is_read() {
    let begun = std::time::Instant::now();
    for wrong in [
        &["--from", "90min", "--to", "10min"][..],
        &["--from", "2026-03-03T01:00", "--to", "2026-03-02T22:00"],
        &["--zero", "5min..1min"],
        &["--zero", "22:10"],
        &["--time", "t", "--current", "t"],
        &["--current", "2", "--voltage", "2"],
        &["--current", "clamp", "--reference", "clamp"],
        &["--segments-only", "--svg", "levels.svg"],
        &["--limit", "5000A"],
        &["--penalty", "-1"],
        &["--instrument", "tongs", "--how", "clamp"],
    ] {
        let mut child = common::command(&[&["read", "-", "--json"], wrong].concat())
            .stdin(std::process::Stdio::piped())
            .stdout(std::process::Stdio::null())
            .stderr(std::process::Stdio::null())
            .spawn()
            .unwrap();
        let stdin = child.stdin.take();
        let ended = loop {
            if let Some(status) = child.try_wait().unwrap() {
                break status;
            }
            if begun.elapsed() > std::time::Duration::from_secs(60) {
                child.kill().unwrap();
                child.wait().unwrap();
                drop(stdin);
                assert!(wrong.is_empty(), "waits for the log with {wrong:?}");
                return;
            }
            std::thread::sleep(std::time::Duration::from_millis(5));
        };
        assert_eq!(ended.code(), Some(2), "{wrong:?}");
        drop(stdin);
    }
}

#[test]
fn a_reference_that_is_no_column_is_refused_by_its_name() {
    let folder = tempfile::tempdir().unwrap();
    let rows: String = (0..50).map(|row| format!("{row},40,41\n")).collect();
    let log = file(
        &folder,
        "two.csv",
        format!("s,clamp (mA),shunt (mA)\n{rows}"),
    );
    for missing in ["shunts", "7"] {
        let answer = run(&["read", &log, "--current", "clamp", "--reference", missing]);
        assert_eq!(answer.code, 1, "{}", answer.err);
        let sentence = format!(
            "--reference {missing}: there is no such column; the file has s, clamp (mA), shunt (mA)"
        );
        assert!(answer.err.contains(&sentence), "{}", answer.err);
        assert!(!answer.err.contains("--current"), "{}", answer.err);
        assert_eq!(answer.out, "");
    }
}

#[test]
fn the_clamps_zero_is_taken_out() {
    let folder = tempfile::tempdir().unwrap();
    // 40 mA asleep; the zero creeps from 0 to 20 mA; a shunt beside it shows steps of 10 mA.
    let rows: String = (0..10_000)
        .map(|row| {
            let second = f64::from(row);
            let off = [700, 5000, 9800]
                .iter()
                .any(|at| (*at..at + 60).contains(&row));
            let flows = if row < 600 { 3000.0 } else { 40.0 };
            let scatter = 10.0 * ((second * 0.618_033_988_75).fract() - 0.5);
            let clamp = if off { 0.0 } else { flows } + second / 500.0 + 0.2 * scatter;
            let shunt = ((flows + scatter) / 10.0).round() * 10.0;
            format!("{row},{clamp:.1},{shunt:.0}\n")
        })
        .collect();
    let log = file(
        &folder,
        "creep.csv",
        format!("s,clamp (mA),shunt (mA)\n{rows}"),
    );
    let draw = |more: &[&str]| {
        let all = [&["read", &log, "--json", "--current", "clamp"], more].concat();
        settled(&run(&all).ok().json())
    };
    let (as_it_is, _) = draw(&[]);
    assert!(as_it_is > 0.045, "{as_it_is}");
    let spans = [
        "--zero",
        "698s..762s",
        "--zero",
        "4998s..5062s",
        "--zero",
        "9798s..9862s",
    ];
    for more in [&spans[..], &["--reference", "shunt"]] {
        let (value, u) = draw(more);
        assert!(
            (value - 0.04).abs() < 4.0 * u && u < 2e-3,
            "{more:?}: {value} ± {u}"
        );
    }
}

#[test]
fn a_voltage_that_sags_without_current_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let rows: String = (0..7200)
        .map(|row| {
            let volt = if (4000..4600).contains(&row) {
                11.80
            } else {
                12.50
            };
            format!("{row};{};{volt:.2}\n", 30 + row % 3)
        })
        .collect();
    let log = file(&folder, "sag.csv", format!("t (s);I (mA);U (V)\n{rows}"));
    let told = run(&["read", &log, "--json"]).ok().json();
    let found = told["findings"].as_array().unwrap();
    assert_eq!(found.len(), 1, "{found:?}");
    assert_eq!(found[0]["kind"], "battery-sag");
    let text = run(&["read", &log]).ok().out;
    assert!(text.contains("no load did that"), "{text}");
}

/// Nothing is read, so nothing is said of the log, which is not even there.
#[test]
fn a_wrong_option_costs_no_reading() {
    let folder = tempfile::tempdir().unwrap();
    let log = folder.path().join("none.csv").display().to_string();
    let svg = folder.path().join("nowhere").join("p.svg");
    let svg = svg.display().to_string();
    for (wrong, word) in [
        (&["--zero", "22:10"][..], "no interval"),
        (&["--zero", "22:10..late"], "late"),
        (&["--instrument", "0.5%+2@1mA"], "clamp"),
        (&["--pulled", "noon F12"], "noon"),
        (&["--put-back", "12"], "12"),
        (&["--from", "x"], "--from"),
        (&["--to", "7"], "--to"),
        (&["--penalty", "-1"], "penalty"),
        (&["--svg", &svg], "nowhere"),
    ] {
        let answer = run(&[&["read", &log][..], wrong].concat());
        assert_ne!(answer.code, 0);
        assert!(answer.err.contains(word), "{wrong:?}: {}", answer.err);
        assert!(!answer.err.contains("none.csv"), "{}", answer.err);
    }
    let report = run(&["report", &log, "--pdf", &svg]);
    assert!(report.err.contains("nowhere"), "{}", report.err);
    assert!(!report.err.contains("none.csv"), "{}", report.err);
}
