//! Segments raw little-endian floats: `segment_file FILE plain|bounded PENALTY RUNS [PREFIX]`. Prints the least processor
//! seconds of the runs, the cost and the number of changes; for `benches/pair/pair.py`. The noise is taken to have unit scatter.
#![allow(clippy::print_stdout)] // Printing is what it is for.

use std::time::Instant;

use trace::segment::{Loss, segment};

/// Seconds this thread spent on a processor; `None` where the system does not tell.
fn processor_s() -> Option<f64> {
    let text = std::fs::read_to_string("/proc/thread-self/schedstat").ok()?;
    Some(text.split(' ').next()?.parse::<f64>().ok()? * 1e-9)
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let [file, kind, penalty, runs, ..] = args.as_slice() else {
        return Err("usage: segment_file FILE plain|bounded PENALTY RUNS [PREFIX]".into());
    };
    let bytes = std::fs::read(file)?;
    let mut samples: Vec<f64> = bytes
        .as_chunks::<8>()
        .0
        .iter()
        .map(|eight| f64::from_le_bytes(*eight))
        .collect();
    if let Some(prefix) = args.get(4) {
        samples.truncate(prefix.parse()?);
    }
    // Three standard deviations, as by default.
    let loss = if kind == "plain" {
        Loss::Squares
    } else {
        Loss::Bounded { cap: 9.0 }
    };
    let (penalty, runs) = (penalty.parse()?, runs.parse::<usize>()?);
    let mut least = f64::INFINITY;
    let (mut cost, mut changes) = (f64::NAN, 0);
    for _ in 0..runs {
        let start = Instant::now();
        let before = processor_s();
        let fit = segment(&samples, loss, penalty);
        let spent = match (before, processor_s()) {
            (Some(before), Some(after)) => after - before,
            _ => start.elapsed().as_secs_f64(),
        };
        least = least.min(spent);
        (cost, changes) = (fit.cost, fit.firsts.len().saturating_sub(1));
    }
    println!("{least} {cost:?} {changes}");
    Ok(())
}
