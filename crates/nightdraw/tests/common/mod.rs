//! What the tests of the command line share.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "a test fails by panicking, and says what it skipped"
)]
#![allow(dead_code, reason = "each test file uses its own part")]
#![allow(missing_docs, unreachable_pub, reason = "test support")]

use std::{
    io::Write,
    path::{Path, PathBuf},
    process::{Command, Output, Stdio},
};

use serde_json::Value;

/// The program, with no terminal, no colour and no home of its own.
pub fn command(arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_nightdraw"));
    command
        .args(arguments)
        .env("NO_COLOR", "1")
        .env("LC_ALL", "C")
        .stdin(Stdio::null());
    command
}

pub fn run(arguments: &[&str]) -> Answer {
    Answer::from(command(arguments).output().expect("the program starts"))
}

pub fn run_with_input(arguments: &[&str], input: &[u8]) -> Answer {
    run_command(command(arguments), input)
}

pub fn run_command(mut command: Command, input: &[u8]) -> Answer {
    let mut child = command
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program starts");
    let mut stdin = child.stdin.take().expect("a pipe");
    let input = input.to_vec();
    // A program that refuses early closes the pipe; that is its right.
    let writer = std::thread::spawn(move || drop(stdin.write_all(&input)));
    let output = child.wait_with_output().expect("the program ends");
    writer.join().expect("the writer ends");
    Answer::from(output)
}

/// What a run gave.
#[derive(Debug)]
pub struct Answer {
    pub code: i32,
    pub out: String,
    pub err: String,
}

impl From<Output> for Answer {
    fn from(output: Output) -> Self {
        let answer = Self {
            code: output.status.code().expect("it ended by itself"),
            out: String::from_utf8(output.stdout).expect("text"),
            err: String::from_utf8(output.stderr).expect("text"),
        };
        assert!(!answer.err.contains("panicked"), "{}", answer.err);
        answer
    }
}

impl Answer {
    #[track_caller]
    pub fn ok(self) -> Self {
        assert_eq!(self.code, 0, "{}\n{}", self.out, self.err);
        self
    }

    #[track_caller]
    pub fn json(&self) -> Value {
        serde_json::from_str(&self.out).expect("exactly one JSON document on stdout")
    }

    /// A refusal: exit code, and one sentence on stderr that holds each of `words`.
    #[track_caller]
    pub fn refuses(&self, code: i32, words: &[&str]) {
        assert_eq!(self.code, code, "{}\n{}", self.out, self.err);
        let sentence = self
            .err
            .lines()
            .rfind(|line| line.starts_with("nightdraw: "));
        let sentence = sentence.unwrap_or(&self.err);
        for word in words {
            assert!(sentence.contains(word), "'{word}' is not in: {}", self.err);
        }
    }
}

pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

pub fn demo(name: &str) -> String {
    root().join("demo").join(name).display().to_string()
}

/// A file of fetched data beside the checkout; says `skipped` where it is absent.
pub fn shared(name: &str) -> Option<PathBuf> {
    let path = root().join("../shared/data").join(name);
    if path.exists() {
        return Some(path);
    }
    println!("skipped: {name} is not beside the checkout");
    None
}

/// A file with this content in `folder`.
pub fn file(folder: &tempfile::TempDir, name: &str, content: impl AsRef<[u8]>) -> String {
    let path = folder.path().join(name);
    std::fs::write(&path, content).expect("a temporary file");
    path.display().to_string()
}
