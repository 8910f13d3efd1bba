//! Wrong input gets one clear sentence, the right exit code, and loses nothing.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "a test fails by panicking, and says what it skipped"
)]

mod common;

use std::{fs, net::TcpListener, os::unix::fs::PermissionsExt, process::Command};

use common::{command, demo, file, run, run_with_input};
use tempfile::tempdir;

#[track_caller]
fn read_refuses(content: impl AsRef<[u8]>, words: &[&str]) {
    let folder = tempdir().unwrap();
    let log = file(&folder, "log.csv", content);
    let answer = run(&["read", &log, "--json"]);
    answer.refuses(1, words);
    assert!(answer.json()["error"]["kind"].is_string());
    assert_eq!(answer.err.lines().count(), 1, "{}", answer.err);
}

#[test]
fn logs_without_samples() {
    read_refuses("", &["empty"]);
    read_refuses("time_s,current_mA\n", &["names", "no row"]);
}

#[test]
fn text_where_numbers_should_be() {
    read_refuses(
        "time_s,current_mA\n0,low\n1,low\n2,high\n3,low\n",
        &["line 2"],
    );
}

#[test]
fn a_few_bad_rows_are_skipped_and_counted() {
    let folder = tempdir().unwrap();
    let mut text = String::from("time_s,current_mA\n");
    for row in 0..500 {
        text += &if row == 250 {
            "250,oops\n".into()
        } else {
            format!("{row},{}\n", 20 + row % 2)
        };
    }
    let document = run(&["read", &file(&folder, "log.csv", text), "--json"])
        .ok()
        .json();
    assert_eq!(document["source"]["rows"], 499);
    assert_eq!(document["source"]["skipped_rows"], 1);
}

#[test]
fn time_that_runs_backwards() {
    read_refuses(
        "time_s,current_mA\n0,1\n1,1\n2,1\n1.5,1\n3,1\n",
        &["line 5", "back"],
    );
}

#[test]
fn no_unit() {
    read_refuses("time_s,current\n0,1\n1,1\n2,1\n", &["unit", "--unit"]);
}

#[test]
fn two_columns_that_could_both_be_the_current() {
    read_refuses(
        "time_s,left_A,right_A\n0,1,2\n1,1,2\n2,1,2\n",
        &["left_A", "right_A", "--current"],
    );
}

#[test]
fn numbers_that_are_none() {
    let folder = tempdir().unwrap();
    let mut text = String::from("time_s,current_A\n");
    for row in 0..400 {
        text += &if row == 9 {
            "9,NaN\n".into()
        } else {
            format!("{row},0.02\n")
        };
    }
    let document = run(&["read", &file(&folder, "log.csv", text), "--json"])
        .ok()
        .json();
    assert_eq!(document["source"]["skipped_rows"], 1);
}

#[test]
fn ten_gigabytes_of_nothing() {
    let folder = tempdir().unwrap();
    let path = folder.path().join("sparse.csv");
    fs::File::create(&path).unwrap().set_len(10 << 30).unwrap();
    let start = std::time::Instant::now();
    run(&["read", &path.display().to_string()]).refuses(1, &["binary"]);
    // It must not read it all; a hang guard, not a time limit.
    assert!(start.elapsed().as_secs() < 60);
    run(&["assess", &path.display().to_string()]).refuses(1, &["too long"]);
}

#[test]
fn a_binary_file() {
    let bytes: Vec<u8> = (0..4096_u32).map(|i| (i * 37 % 256) as u8).collect();
    read_refuses(bytes, &["binary"]);
}

#[test]
fn wrong_files_and_folders() {
    run(&["read", "no-such-file.csv"]).refuses(1, &["no-such-file.csv"]);
    run(&["read", "/"]).refuses(1, &["folder"]);
    run(&["assess", "no-such-job"]).refuses(1, &["no-such-job"]);
}

#[test]
fn wrong_usage() {
    assert_eq!(run(&["read"]).code, 2);
    assert_eq!(run(&["no-such-command"]).code, 2);
    let answer = run(&["park", "--capacity", "60", "--draw", "20mA"]);
    assert_eq!(answer.code, 2);
    assert!(answer.err.contains("60Ah"), "{}", answer.err);
    assert_eq!(run(&["read", &demo("night.csv"), "--unit", "V"]).code, 2);
    assert_eq!(
        run(&["read", &demo("night.csv"), "--penalty", "-1"]).code,
        2
    );
    let answer = run(&["park", "--draw", "20mA", "--json"]);
    assert_eq!(answer.code, 2);
    assert_eq!(answer.json()["error"]["kind"], "usage");
}

#[test]
fn impossible_amounts() {
    run(&["park", "--capacity", "6000Ah", "--draw", "20mA"])
        .refuses(1, &["6000 Ah", "1 to 400 Ah"]);
    run(&["park", "--capacity", "-60Ah", "--draw", "20mA"]).refuses(1, &["-60 Ah"]);
    run(&[
        "park",
        "--capacity",
        "60Ah",
        "--draw",
        "20mA",
        "--health",
        "NaN",
    ])
    .refuses(1, &["health"]);
}

/// A job file with `rest` after the smallest possible beginning.
#[track_caller]
fn job_refuses(rest: &str, words: &[&str]) {
    let folder = tempdir().unwrap();
    let job = file(&folder, "job.toml", format!("format = 1\n{rest}"));
    let answer = run(&["assess", &job, "--json"]);
    answer.refuses(1, words);
    assert!(answer.json()["error"]["message"].is_string());
    assert_eq!(answer.err.lines().count(), 1, "{}", answer.err);
    // Nothing half-read is kept.
    let data = folder.path().join("data").display().to_string();
    run(&["job", "import", &job, "--data", &data]).refuses(1, words);
}

fn node(id: &str, from: &str) -> String {
    format!("[[node]]\nid = \"{id}\"\nfrom = \"{from}\"\nkind = \"cable\"\n")
}

fn draw(node: &str, value: &str) -> String {
    format!(
        "[[entry]]\nat = \"2026-03-02T20:10:00Z\"\nkind = \"draw\"\nnode = \"{node}\"\nhow = \"clamp\"\n\
         value = \"{value}\"\nasleep = true\n"
    )
}

#[test]
fn feed_trees_that_are_none() {
    job_refuses(&(node("a", "b") + &node("b", "a")), &["loop", "a", "b"]);
    job_refuses(&node("a", "mian"), &["mian"]);
    job_refuses(&(node("a", "battery") + &node("a", "battery")), &["'a'"]);
}

#[test]
fn entries_that_cannot_be() {
    job_refuses(&draw("F9", "20mA"), &["F9"]);
    job_refuses(&draw("battery", "20"), &["line", "20", "420mA"]);
    job_refuses(&draw("battery", "NaNmA"), &["NaN"]);
    job_refuses(
        "[battery]\ncapacity = \"-60Ah\"\n",
        &["-60 Ah", "1 to 400 Ah"],
    );
    job_refuses("[battery]\ncapacity = 60\n", &["60Ah"]);
    let strike = "[[entry]]\nat = \"2026-03-02T20:11:00Z\"\nkind = \"strike\"\nentry = 1\n";
    job_refuses(&(draw("battery", "20mA") + strike + strike), &["struck"]);
    job_refuses(
        "[[entry]]\nat = \"2026-03-02T20:11:00Z\"\nkind = \"strike\"\nentry = 1\n",
        &["1"],
    );
    job_refuses("[vehicle]\nnaem = \"x\"\n", &["naem", "name"]);
}

#[test]
fn files_that_are_no_jobs() {
    let folder = tempdir().unwrap();
    run(&["assess", &file(&folder, "a", b"\xff\xfe\x00")]).refuses(1, &["not text"]);
    run(&["assess", &file(&folder, "b", "format = 99\n")]).refuses(1, &["99"]);
    run(&["assess", &file(&folder, "c", "this is no TOML")]).refuses(1, &["line 1"]);
}

#[test]
fn a_port_in_use() {
    let taken = TcpListener::bind("127.0.0.1:0").unwrap();
    let port = taken.local_addr().unwrap().port().to_string();
    let folder = tempdir().unwrap();
    let data = folder.path().display().to_string();
    run(&["open", "--no-browser", "--port", &port, "--data", &data]).refuses(1, &[&port, "in use"]);
}

/// File permissions do not stop root, so a file stands where a folder is wanted as well.
#[test]
fn a_data_folder_that_cannot_be_written() {
    let folder = tempdir().unwrap();
    let blocked = file(&folder, "not-a-folder", "");
    run(&["job", "list", "--data", &blocked]).refuses(1, &["not-a-folder"]);
    let locked = folder.path().join("locked");
    fs::create_dir(&locked).unwrap();
    fs::set_permissions(&locked, fs::Permissions::from_mode(0o555)).unwrap();
    let answer = run(&["job", "new", "van", "--data", &locked.display().to_string()]);
    if answer.code == 0 {
        println!("skipped: this account may write anywhere");
    } else {
        answer.refuses(1, &["locked"]);
    }
}

#[test]
fn a_full_disk_loses_nothing() {
    let folder = tempdir().unwrap();
    let path = folder.path().display().to_string();
    let mounted = Command::new("mount")
        .args(["-t", "tmpfs", "-o", "size=512k", "tmpfs", &path])
        .output()
        .is_ok_and(|output| output.status.success());
    if !mounted {
        println!("skipped: no small file system can be mounted here");
        return;
    }
    let data = folder.path().join("data").display().to_string();
    let outcome = fill_up(&data);
    let _ = Command::new("umount").arg(&path).status();
    let (kept, last, after) = outcome;
    assert!(kept > 0);
    last.refuses(1, &["disk", "full"]);
    assert_eq!(
        after, kept,
        "every acknowledged entry is there and no other"
    );
}

/// Adds notes until it fails: entries acknowledged, the refusal, entries found afterwards.
fn fill_up(data: &str) -> (usize, common::Answer, usize) {
    run(&["job", "new", "van", "--data", data]).ok();
    let text = format!("text={}", "x".repeat(20_000));
    let mut kept = 0;
    loop {
        let answer = run(&["job", "add", "1", "note", &text, "--data", data]);
        if answer.code != 0 {
            let list = run(&["job", "list", "--data", data, "--json"]).ok().json();
            let after = list["jobs"][0]["entries"].as_u64().unwrap() as usize;
            return (kept, answer, after);
        }
        kept += 1;
        assert!(kept < 1000, "the disk never filled");
    }
}

#[test]
fn two_processes_on_one_database() {
    let folder = tempdir().unwrap();
    let data = folder.path().display().to_string();
    run(&["job", "new", "van", "--data", &data]).ok();
    let children: Vec<_> = (0..8)
        .map(|i| {
            command(&[
                "job",
                "add",
                "1",
                "note",
                &format!("text=note {i}"),
                "--data",
                &data,
            ])
            .spawn()
            .unwrap()
        })
        .collect();
    for mut child in children {
        assert!(child.wait().unwrap().success());
    }
    let document = run(&["job", "list", "--data", &data, "--json"]).ok().json();
    assert_eq!(document["jobs"][0]["entries"], 8);
}

#[test]
fn a_closed_pipe_is_no_failure() {
    let mut child = command(&["manual"])
        .stdout(std::process::Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    assert!(child.wait().unwrap().success());
}

#[test]
fn standard_input_is_read() {
    let log: String = (0..100).map(|row| format!("{row};0,02\n")).collect();
    let document = run_with_input(&["read", "-", "--unit", "A", "--json"], log.as_bytes())
        .ok()
        .json();
    assert_eq!(document["source"]["rows"], 100);
}

#[test]
fn a_list_without_a_fuse_is_refused() {
    let folder = tempdir().unwrap();
    let data = folder.path().display().to_string();
    run(&["job", "new", "Invented van", "--data", &data]).ok();
    for (arguments, text) in [
        (["job", "fuses", "1", "-", "--data", &data], ""),
        (
            ["job", "fuses", "1", "-", "--data", &data],
            "see the sticker\n",
        ),
        (
            ["job", "new", "other", "--fuses=-", "--data", &data],
            "\n\n",
        ),
    ] {
        let answer = run_with_input(&arguments, text.as_bytes());
        answer.refuses(1, &["no fuse", "F12 15A radio"]);
    }
}
