//! Assessing a job of the size that the house promises: 60 loads, 20 entries.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stderr
)] // helpers of tests

use std::fmt::Write;

use job::{Job, assess, contract, file};

fn main() {
    divan::main();
}

/// Six cables, thirty fuses, sixty loads; twenty readings. Invented.
fn big_job() -> Job {
    let mut text = "format = 1\n[battery]\ncapacity = \"60Ah\"\ncranking = \"540A\"\ncranking_standard = \"en\"\n[complaint]\nno_start_after = \"14h\"\ntemperature = \"3C\"\n".to_owned();
    let families = ["audio", "lamp", "body", "alarm", "telematics"];
    for cable in 0..6 {
        let _ = writeln!(
            text,
            "[[node]]\nid = \"C{cable}\"\nfrom = \"battery\"\nkind = \"cable\""
        );
    }
    for fuse in 0..30 {
        let _ = writeln!(
            text,
            "[[node]]\nid = \"F{fuse}\"\nfrom = \"C{}\"\nkind = \"fuse\"\nrating = \"15A\"\nfuse = \"blade\"\nin_place = true",
            fuse % 6
        );
    }
    for load in 0..60 {
        let _ = writeln!(
            text,
            "[[node]]\nid = \"L{load}\"\nfrom = \"F{}\"\nkind = \"load\"\nfamily = \"{}\"",
            load % 30,
            families[load % 5]
        );
    }
    let mut draw = |node: &str, how: &str, value: &str| {
        let _ = writeln!(
            text,
            "[[entry]]\nat = \"2026-03-02T20:10:00Z\"\nkind = \"draw\"\nnode = \"{node}\"\nhow = \"{how}\"\nvalue = \"{value}\"\nasleep = true"
        );
    };
    draw("battery", "clamp", "412mA");
    for cable in 0..5 {
        draw(&format!("C{cable}"), "clamp", "12mA");
    }
    for fuse in 0..14 {
        draw(&format!("F{fuse}"), "millivolt", "0.02mV");
    }
    file::parse(&text).unwrap()
}

#[divan::bench]
fn assess_60_loads_20_entries(bencher: divan::Bencher<'_, '_>) {
    let job = big_job();
    bencher.bench(|| assess(divan::black_box(&job)));
}

#[divan::bench]
fn write_the_document(bencher: divan::Bencher<'_, '_>) {
    let assessment = assess(&big_job());
    bencher.bench(|| contract::assessment(divan::black_box(&assessment)).to_string());
}

#[divan::bench]
fn parse_the_job_file(bencher: divan::Bencher<'_, '_>) {
    let text = file::write(&big_job());
    bencher.bench(|| file::parse(divan::black_box(&text)));
}
