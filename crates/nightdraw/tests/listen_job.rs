//! `nightdraw listen --job`: what comes in is kept with the job, whatever ends it.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "a test may stop and may speak"
)]

mod common;

use std::{
    fs,
    io::Write,
    process::{Child, Command, Stdio},
    thread,
    time::{Duration, Instant},
};

use common::{command, demo, run};
use store::Receiving;
use tempfile::TempDir;

/// A folder with one job in it.
fn bench() -> (TempDir, String) {
    let folder = tempfile::tempdir().unwrap();
    let data = folder.path().display().to_string();
    run(&["job", "import", &demo("bread-van.toml"), "--data", &data]).ok();
    (folder, data)
}

fn listener(data: &str, more: &[&str]) -> Child {
    let arguments = [&["listen", "-", "--job", "1", "--data", data], more].concat();
    command(&arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap()
}

fn send(child: &mut Child, text: &str) {
    let stdin = child.stdin.as_mut().unwrap();
    stdin.write_all(text.as_bytes()).unwrap();
    stdin.flush().unwrap();
}

/// All bytes of the stream that is being received.
fn received(folder: &TempDir) -> Vec<u8> {
    let receiving = Receiving::open(folder.path()).unwrap();
    let mut bytes = Vec::new();
    for session in receiving.sessions().unwrap() {
        receiving
            .replay(session.id, |piece| bytes.extend_from_slice(&piece.bytes))
            .unwrap();
    }
    bytes
}

fn entries(data: &str) -> usize {
    let store = store::Store::open(std::path::Path::new(data)).unwrap();
    let job = store.load(store::JobId::from_number(1)).unwrap();
    job.entries.len()
}

fn rows(from: usize, to: usize) -> String {
    (from..to)
        .map(|k| format!("{k},{}\n", 20 + k * 7 % 3))
        .collect()
}

#[test]
fn a_stream_becomes_an_entry_and_its_pieces_go() {
    let (folder, data) = bench();
    let before = entries(&data);
    let mut child = listener(&data, &["--json"]);
    send(&mut child, "time_s,current_mA\n");
    send(&mut child, &rows(0, 300));
    drop(child.stdin.take());
    let output = child.wait_with_output().unwrap();
    let told = String::from_utf8_lossy(&output.stderr);
    assert!(
        output.status.success() && told.contains("kept as entry"),
        "{told}"
    );
    assert_eq!(entries(&data), before + 1);
    assert!(
        Receiving::open(folder.path())
            .unwrap()
            .sessions()
            .unwrap()
            .is_empty()
    );
}

#[test]
fn everything_is_kept_within_two_seconds_and_survives_a_kill() {
    let (folder, data) = bench();
    let before = entries(&data);
    let mut child = listener(&data, &[]);
    let mut sent = String::from("time_s,current_mA\n");
    send(&mut child, &sent);
    for k in 0..20 {
        let more = rows(k * 10, k * 10 + 10);
        send(&mut child, &more);
        sent.push_str(&more);
        thread::sleep(Duration::from_millis(20));
    }
    // A line that is not even complete counts too.
    send(&mut child, "200,2");
    sent.push_str("200,2");
    let begun = Instant::now();
    while received(&folder) != sent.as_bytes() {
        assert!(
            begun.elapsed() < Duration::from_secs(2),
            "two seconds are over"
        );
        thread::sleep(Duration::from_millis(10));
    }
    child.kill().unwrap();
    child.wait().unwrap();
    assert_eq!(
        received(&folder),
        sent.as_bytes(),
        "killed, and all is there"
    );
    assert_eq!(entries(&data), before);

    // The next one takes it up, once it is sure that nobody is receiving any more.
    thread::sleep(Duration::from_secs(11));
    let mut next = listener(&data, &["--json"]);
    send(&mut next, "time_s,current_mA\n");
    send(&mut next, &rows(0, 30));
    drop(next.stdin.take());
    let output = next.wait_with_output().unwrap();
    let told = String::from_utf8_lossy(&output.stderr);
    assert!(told.contains("then cut off is now entry"), "{told}");
    assert_eq!(entries(&data), before + 2);
    assert!(received(&folder).is_empty());
}

#[test]
fn two_at_once_do_not_disturb_one_another() {
    let (_folder, data) = bench();
    let before = entries(&data);
    let mut children: Vec<Child> = (0..2).map(|_| listener(&data, &["--json"])).collect();
    for child in &mut children {
        send(child, "time_s,current_mA\n");
    }
    for k in 0..10 {
        for child in &mut children {
            send(child, &rows(k * 10, k * 10 + 10));
        }
        thread::sleep(Duration::from_millis(30));
    }
    for mut child in children {
        drop(child.stdin.take());
        let output = child.wait_with_output().unwrap();
        assert!(
            output.status.success(),
            "{}",
            String::from_utf8_lossy(&output.stderr)
        );
        // Names are told apart by the second.
        thread::sleep(Duration::from_millis(10));
    }
    assert_eq!(entries(&data), before + 2);
}

#[test]
fn what_cannot_be_kept_is_refused_before_anything_is_received() {
    let (_folder, data) = bench();
    run(&["listen", "-", "--job", "99", "--data", &data]).refuses(1, &["99"]);
    run(&[
        "listen", "-", "--job", "1", "--node", "nowhere", "--data", &data,
    ])
    .refuses(1, &["nowhere"]);
    run(&["listen", "--virtual-van", "0"]).refuses(2, &["0.1"]);
    run(&["listen"]).refuses(2, &["FILE"]);
}

#[test]
fn the_virtual_van_streams_and_rings() {
    let answer = run(&["listen", "--virtual-van", "10000", "--bell"]).ok();
    assert!(answer.out.contains("asleep at "), "{}", answer.out);
    let steps = answer.out.matches("step of").count();
    assert!(steps > 0);
    assert_eq!(answer.err.matches('\u{7}').count(), steps);
}

/// The demonstration device of the general-purpose acquisition tool, piped in for two seconds.
#[test]
fn an_acquisition_tool_is_piped_in() {
    let source = Command::new("sigrok-cli")
        .args([
            "-d",
            "demo:analog_channels=1:logic_channels=0",
            "-C",
            "A0",
            "--config",
            "samplerate=100Hz",
        ])
        .args(["-O", "analog", "--time", "2000"])
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn();
    let Ok(mut source) = source else {
        println!("skipped: there is no sigrok-cli");
        return;
    };
    let (_folder, data) = bench();
    let answer = command(&[
        "listen",
        "-",
        "--unit",
        "A",
        "--interval",
        "10ms",
        "--json",
        "--job",
        "1",
        "--data",
        &data,
    ])
    .stdin(source.stdout.take().unwrap())
    .output()
    .unwrap();
    source.wait().unwrap();
    let told = String::from_utf8_lossy(&answer.stderr);
    assert!(answer.status.success(), "{told}");
    let document: serde_json::Value = serde_json::from_slice(&answer.stdout).unwrap();
    let rows = document["source"]["rows"].as_u64().unwrap();
    assert!((150..=250).contains(&rows), "{rows} of two hundred");
    assert!(told.contains("kept as entry"), "{told}");
}

/// A day at 100 Hz, as fast as it can be fed, and its final analysis. The peak is what the kernel counted for the whole process.
#[test]
#[ignore = "takes minutes; run it by hand with --ignored"]
fn a_day_at_a_hundred_hertz_stays_small() {
    let (_folder, data) = bench();
    let mut child = listener(&data, &["--json"]);
    let mut stdin = child.stdin.take().unwrap();
    let id = child.id();
    let feeder = thread::spawn(move || {
        let mut text = String::from("time_s,current_mA\n");
        for k in 0..8_640_000u64 {
            let noise = k.wrapping_mul(6_364_136_223_846_793_005) >> 60;
            let level = if k % 360_000 < 6_000 { 400 } else { 23 };
            text.push_str(&format!("{}.{:02},{}.{noise}\n", k / 100, k % 100, level));
            if text.len() > 1 << 15 {
                stdin.write_all(text.as_bytes()).unwrap();
                text.clear();
            }
        }
        stdin.write_all(text.as_bytes()).unwrap();
    });
    let peak = move || {
        let status = fs::read_to_string(format!("/proc/{id}/status")).ok()?;
        let line = status.lines().find(|line| line.starts_with("VmHWM"))?;
        line.split_whitespace().nth(1)?.parse::<u64>().ok()
    };
    // Until it has gone: the last that could be read is the peak of all.
    let watcher = thread::spawn(move || {
        let mut most = 0;
        while let Some(now) = peak() {
            most = now;
            thread::sleep(Duration::from_millis(5));
        }
        most
    });
    feeder.join().unwrap();
    println!("after the last line: {:?} kB", peak());
    let answer = child.wait_with_output().unwrap();
    let kilobytes = watcher.join().unwrap();
    println!("at the end: {kilobytes} kB");
    let document: serde_json::Value = serde_json::from_slice(&answer.stdout).unwrap();
    assert_eq!(document["source"]["rows"], 8_640_000);
    assert!(
        kilobytes > 20 * 1024 && kilobytes < 150 * 1024,
        "{kilobytes} kB"
    );
}
