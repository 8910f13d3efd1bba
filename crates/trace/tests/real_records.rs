//! Real records that never were a sleeping vehicle: mains loads, a laboratory cell. They lie
//! beside the checkout and are not part of it.

#![allow(clippy::print_stdout)] // Says what was skipped.

use std::path::Path;

use trace::{AnalyseOptions, Analysis, Exceeds, Source, State, TimeAxis, Trace, analyse};

/// Reads the first column as seconds and the second as ampere; `None` where the folder is absent.
fn record(name: &str) -> Option<Analysis> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../../shared/data/traces")
        .join(name);
    let Ok(text) = std::fs::read_to_string(path) else {
        println!("skipped: no real records beside the checkout");
        return None;
    };
    let rows = text.lines().filter_map(|line| {
        let mut cells = line.split(',').map(|cell| cell.trim().parse::<f64>());
        Some((cells.next()?.ok()?, cells.next()?.ok()?))
    });
    let (stamps, current_a): (Vec<f64>, Vec<f64>) = rows.unzip();
    assert!(stamps.len() > 100, "{name}: {} rows", stamps.len());
    let source = Source {
        interval_s: stamps[1] - stamps[0],
        ..Source::default()
    };
    let trace = Trace {
        axis: TimeAxis::Stamps(stamps),
        current_a,
        voltage_v: None,
        source,
    };
    let analysis = analyse(&trace, &AnalyseOptions::default());
    println!(
        "{name}: {} segments, {:?}",
        analysis.segments.len(),
        analysis.not_settled
    );
    Some(analysis)
}

#[test]
fn no_sleep_is_read_into_other_records() {
    for name in [
        "loads2_short.csv",
        "loads3_short.csv",
        "cell_dc_minutes.csv",
    ] {
        let Some(found) = record(name) else { return };
        assert!(
            found.segments.iter().all(|s| s.state == State::Unknown),
            "{name}"
        );
        assert!(
            found.settled.is_none() && found.long_run.is_none(),
            "{name}"
        );
        assert!(
            found.not_settled.is_some_and(|n| !n.reason.is_empty()),
            "{name}"
        );
        assert_eq!(found.verdict.exceeds, Exceeds::Unsure, "{name}");
        assert!(
            found.average.value.is_finite() && found.average.u.is_finite(),
            "{name}"
        );
        assert!(
            (2..400).contains(&found.segments.len()),
            "{name}: {} segments",
            found.segments.len()
        );
    }
}

/// Three mains loads go on and off: by eye twenty or so levels, a few samples to a quarter of a minute each.
#[test]
fn plain_steps_of_a_short_record_are_found() {
    let Some(found) = record("loads3_short.csv") else {
        return;
    };
    assert!(
        (15..=30).contains(&found.segments.len()),
        "{} segments",
        found.segments.len()
    );
}
