//! `nightdraw listen`: the same answer as `read`, and what happens on the way.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "helpers of tests"
)]

mod common;

use std::{
    fs,
    io::{BufRead, BufReader, Write},
    process::{Child, Command, Stdio},
    time::{Duration, Instant},
};

use common::{command, demo, file, run, run_with_input, shared};

/// A listener whose standard input stays open.
fn listener(arguments: &[&str]) -> Child {
    command(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program starts")
}

fn send(child: &mut Child, text: &str) {
    let stdin = child.stdin.as_mut().expect("a pipe");
    stdin.write_all(text.as_bytes()).expect("it listens");
    stdin.flush().expect("it listens");
}

/// Waits until `is_so`, at most ten seconds.
#[track_caller]
fn wait_until(what: &str, is_so: impl Fn() -> bool) {
    let begun = Instant::now();
    while !is_so() {
        assert!(
            begun.elapsed() < Duration::from_secs(10),
            "waited for {what}"
        );
        std::thread::sleep(Duration::from_millis(20));
    }
}

#[test]
fn the_demo_night_ends_as_read_reads_it() {
    let night = demo("night.csv");
    let bytes = fs::read(&night).unwrap();
    let heard = run_with_input(&["listen", "-", "--json"], &bytes).ok();
    assert_eq!(heard.json(), run(&["read", &night, "--json"]).ok().json());
    // What changed stands on stderr, in order of time: it fell asleep, and that is too much.
    let steps = heard
        .err
        .lines()
        .filter(|line| line.contains("step of \u{2212}"))
        .count();
    assert!(steps > 0, "{}", heard.err);
    assert!(heard.err.contains("  asleep at "), "{}", heard.err);
    let page = run(&["listen", &night]).ok().out;
    let read = run(&["read", &night]).ok().out;
    assert!(
        page.ends_with(&read),
        "the page of read comes last:\n{page}"
    );
}

#[test]
fn shared_streams_end_as_read_reads_them() {
    let streams: [(&str, &[&str]); 3] = [
        ("live/stream_10hz_csv.txt", &["--unit", "A"]),
        (
            "live/stream_10hz_analog.txt",
            &["--unit", "A", "--interval", "100ms"],
        ),
        ("live/csv_1ch_1khz_time_channel.csv", &["--unit", "A"]),
    ];
    for (name, options) in streams {
        let Some(path) = shared(name) else { return };
        let name = path.display().to_string();
        let read = run(&[&["read", &name, "--json"], options].concat()).ok();
        let heard = run_with_input(
            &[&["listen", "-", "--json"], options].concat(),
            &fs::read(&path).unwrap(),
        );
        assert_eq!(heard.ok().json(), read.json(), "{name}");
    }
    let Some(path) = shared("live/stream_10hz_analog.txt") else {
        return;
    };
    let heard = run_with_input(
        &["listen", "-", "--json", "--unit", "A"],
        &fs::read(path).unwrap(),
    )
    .ok();
    assert!(heard.err.contains("time of their arrival"), "{}", heard.err);
}

#[test]
fn what_is_no_log_is_refused() {
    run_with_input(&["listen", "-"], b"").refuses(1, &["empty"]);
    run_with_input(&["listen", "-"], b"time_s,voltage_V\n0,12\n1,12\n").refuses(1, &["voltage"]);
    run(&["listen", "no-such-file"]).refuses(1, &["no-such-file"]);
    run(&["listen", "-", "--unit", "V"]).refuses(2, &["unit"]);
    // It is refused while the source is still speaking.
    let mut child = listener(&["listen", "-", "--json"]);
    send(&mut child, &"1,2\n".repeat(20));
    wait_until("a refusal", || child_ended(child.id()));
    let output = child.wait_with_output().unwrap();
    assert_eq!(output.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&output.stdout).contains("\"error\""));
}

/// Whether the process has ended (it may wait for its parent to ask).
fn child_ended(id: u32) -> bool {
    let status = fs::read_to_string(format!("/proc/{id}/stat")).unwrap_or_default();
    status
        .rsplit(')')
        .next()
        .is_none_or(|rest| rest.trim_start().starts_with(['Z', 'X']) || rest.is_empty())
}

#[test]
fn what_is_saved_survives_a_kill_and_is_not_written_over() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("out.csv");
    let name = out.display().to_string();
    let mut child = listener(&["listen", "-", "--save", &name]);
    let sent = "time_s,current_mA\n0,20\n1,21\n2,2";
    send(&mut child, sent);
    wait_until("the file", || {
        fs::read_to_string(&out).is_ok_and(|text| text == sent)
    });
    child.kill().unwrap();
    child.wait().unwrap();
    assert_eq!(fs::read_to_string(&out).unwrap(), sent);
    run_with_input(&["listen", "-", "--save", &name], sent.as_bytes()).refuses(1, &["already"]);
    assert_eq!(fs::read_to_string(&out).unwrap(), sent);
}

#[test]
fn an_interrupt_ends_it_with_the_page() {
    for signal in ["-INT", "-TERM"] {
        let mut child = listener(&["listen", "-", "--json"]);
        send(&mut child, "time_s,current_mA\n0,20\n1,21\n2,22\n");
        // The first sample is told on stderr, so it has arrived and the handlers stand.
        let mut stderr = BufReader::new(child.stderr.take().unwrap());
        let mut line = String::new();
        while !line.contains("first sample") {
            line.clear();
            assert!(stderr.read_line(&mut line).unwrap() > 0);
        }
        std::thread::sleep(Duration::from_millis(200));
        let sent = Command::new("kill")
            .args([signal, &child.id().to_string()])
            .status()
            .unwrap();
        assert!(sent.success());
        let output = child.wait_with_output().unwrap();
        assert_eq!(output.status.code(), Some(0));
        let document: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
        assert_eq!(document["source"]["rows"], 3);
    }
}

#[test]
fn a_silence_is_told_while_it_lasts() {
    let mut child = listener(&["listen", "-"]);
    send(&mut child, "time_s,current_mA\n0,20\n1,21\n2,22\n");
    let begun = Instant::now();
    let mut stdout = BufReader::new(child.stdout.take().unwrap());
    let mut line = String::new();
    while !line.contains("no sample for 5 s") {
        line.clear();
        assert!(stdout.read_line(&mut line).unwrap() > 0);
    }
    assert!(begun.elapsed() >= Duration::from_millis(4500));
    send(&mut child, "3,23\n");
    drop(child.stdin.take());
    line.clear();
    stdout.read_line(&mut line).unwrap();
    assert!(line.contains("samples come again"), "{line}");
    std::io::copy(&mut stdout, &mut std::io::sink()).unwrap();
    assert!(child.wait().unwrap().success());
}

#[test]
fn garbled_lines_and_restarts_are_told() {
    let mut text = String::from("# a logger\ntime_s,current_mA\n");
    (0..50).for_each(|i| text.push_str(&format!("{i},2{}\n", i % 3)));
    text.push_str("5\u{1},garbled\n");
    text.push_str("# a logger\ntime_s,current_mA\n0,20\n1,21\n2,22\n");
    let folder = tempfile::tempdir().unwrap();
    let name = file(&folder, "restarted.csv", &text);
    let answer = run(&["listen", &name]).ok();
    assert!(
        answer.err.contains("line 53 was left out"),
        "{}",
        answer.err
    );
    assert!(
        answer.out.contains("started again (line 54)"),
        "{}",
        answer.out
    );
    assert!(answer.out.contains("53 samples"), "{}", answer.out);
}

#[test]
fn a_packed_log_is_unpacked_on_the_way() {
    let Ok(packed) = Command::new("gzip")
        .arg("-c")
        .arg(demo("night.csv"))
        .output()
    else {
        println!("skipped: there is no gzip");
        return;
    };
    let heard = run_with_input(&["listen", "-", "--json"], &packed.stdout).ok();
    assert_eq!(
        heard.json(),
        run(&["read", &demo("night.csv"), "--json"]).ok().json()
    );
}
