//! `nightdraw open`: the address comes first, and the page answers.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "a test fails by panicking, and says what it skipped"
)]

mod common;

use std::{
    io::{BufRead, BufReader, Read, Write},
    net::TcpStream,
    process::{Child, Stdio},
};

use common::command;
use tempfile::tempdir;

/// A running page that is ended with the test.
struct Page {
    child: Child,
    address: String,
}

impl Drop for Page {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

fn open(arguments: &[&str], home: &std::path::Path) -> Page {
    let mut child = command(arguments)
        .env("XDG_DATA_HOME", home)
        // Nothing that could be a browser is found.
        .env("PATH", home)
        .env_remove("BROWSER")
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let mut first = String::new();
    let stdout = child.stdout.take().unwrap();
    BufReader::new(stdout).read_line(&mut first).unwrap();
    let address = first
        .trim()
        .strip_prefix("http://")
        .and_then(|rest| rest.strip_suffix('/'))
        .unwrap_or_else(|| panic!("the first line is {first:?}"))
        .to_owned();
    Page { child, address }
}

impl Page {
    /// Status line and body of a GET.
    fn get(&self, path: &str) -> String {
        let mut stream = TcpStream::connect(&self.address).unwrap();
        write!(
            stream,
            "GET {path} HTTP/1.1\r\nHost: {}\r\nConnection: close\r\n\r\n",
            self.address
        )
        .unwrap();
        let mut answer = String::new();
        stream.read_to_string(&mut answer).unwrap();
        answer
    }
}

#[test]
fn the_page_answers_as_soon_as_its_address_is_printed() {
    let folder = tempdir().unwrap();
    let data = folder.path().join("data").display().to_string();
    let page = open(
        &["open", "--no-browser", "--port", "0", "--data", &data],
        folder.path(),
    );
    assert!(page.get("/health").starts_with("HTTP/1.1 200"));
    assert!(page.get("/").contains("demo"));
    assert!(folder.path().join("data/nightdraw.db").exists());
}

#[test]
fn without_arguments_it_opens_on_the_platform_folder() {
    let folder = tempdir().unwrap();
    let page = open(&[], folder.path());
    assert!(page.get("/health").starts_with("HTTP/1.1 200"));
    assert!(
        page.address.starts_with("127.0.0.1:"),
        "loopback only: {}",
        page.address
    );
    assert!(folder.path().join("nightdraw/nightdraw.db").exists());
}
