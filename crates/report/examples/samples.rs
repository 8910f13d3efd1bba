//! Writes the report of every invented sample into a folder, in both
//! languages, as HTML and as PDF.
//!
//! `cargo run -p report --example samples -- FOLDER`

#[path = "../../picture/tests/support/sample.rs"]
mod sample;

use report::{Paper, ReportOptions};
use tongue::{Lang, speak};

fn main() -> std::io::Result<()> {
    let folder = std::env::args().nth(1).unwrap_or_else(|| ".".into());
    let plain = ReportOptions::default();
    let (job, before, after) = sample::repaired60();
    let repaired = ReportOptions {
        before: Some(before),
        ..ReportOptions::default()
    };
    let mut all = vec![("repaired", job, after, repaired)];
    for (name, (job, assessment)) in [
        ("empty", sample::empty()),
        ("open", sample::open60()),
        ("found", sample::found60()),
        ("small", sample::small3()),
    ] {
        all.push((name, job, assessment, plain.clone()));
    }
    for (name, job, assessment, options) in &all {
        for (lang, paper) in [(Lang::En, Paper::A4), (Lang::De, Paper::Letter)] {
            let path = format!("{folder}/report-{name}-{}", lang.tag());
            let (html, pdf) = speak(lang, || {
                let html = report::html(job, assessment, options);
                (html, report::pdf(job, assessment, options, paper))
            });
            std::fs::write(format!("{path}.html"), html)?;
            let pdf = pdf.map_err(std::io::Error::other)?;
            std::fs::write(format!("{path}.pdf"), pdf)?;
        }
    }
    Ok(())
}
