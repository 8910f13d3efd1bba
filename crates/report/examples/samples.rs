//! Writes the report of every invented sample into a folder.
//!
//! `cargo run -p report --example samples -- FOLDER`

#[path = "../../picture/tests/support/sample.rs"]
mod sample;

use report::ReportOptions;

fn main() -> std::io::Result<()> {
    let folder = std::env::args().nth(1).unwrap_or_else(|| ".".into());
    let plain = ReportOptions::default();
    let (job, before, after) = sample::repaired60();
    let repaired = ReportOptions {
        before: Some(before),
        ..ReportOptions::default()
    };
    let write =
        |name: &str, text: String| std::fs::write(format!("{folder}/report-{name}.html"), text);
    write("repaired", report::html(&job, &after, &repaired))?;
    for (name, (job, assessment)) in [
        ("empty", sample::empty()),
        ("open", sample::open60()),
        ("found", sample::found60()),
        ("small", sample::small3()),
    ] {
        write(name, report::html(&job, &assessment, &plain))?;
    }
    Ok(())
}
