//! Reads and analyses a log: `read_file FILE [read]`; prints seconds (with `read`, of reading alone).
#![allow(clippy::print_stdout)] // Printing is what it is for.

use std::time::Instant;

use trace::readers::{ReadOptions, read};
use trace::{AnalyseOptions, analyse};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut args = std::env::args().skip(1);
    let file = args.next().ok_or("usage: read_file FILE [read]")?;
    let start = Instant::now();
    let trace = read(std::fs::File::open(file)?, &ReadOptions::default())?;
    let reading = start.elapsed().as_secs_f64();
    println!("read {} samples in {reading:.3} s", trace.len());
    if args.next().is_none() {
        let found = analyse(&trace, &AnalyseOptions::default());
        let all = start.elapsed().as_secs_f64();
        println!(
            "{} segments, all in {all:.3} s, settled {:?}",
            found.segments.len(),
            found.settled
        );
    }
    Ok(())
}
