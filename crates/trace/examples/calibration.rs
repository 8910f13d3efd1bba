//! How often stated 95 % intervals hold on virtual nights: `calibration [nights, default 2000] [say]`.
#![allow(clippy::print_stdout)] // Printing is what it is for.

#[path = "../tests/nights/mod.rs"]
mod nights;

fn main() {
    let mut args = std::env::args().skip(1);
    let count = args.next().and_then(|a| a.parse().ok()).unwrap_or(2000);
    let (figures, verdicts) = nights::tally(0..count, args.next().is_some());
    for (name, tally) in nights::FIGURES.iter().zip(figures) {
        println!(
            "{name:>18}: said in {} of {}, inside in {} ({:.1} %)",
            tally.said,
            tally.asked,
            tally.inside,
            100.0 * tally.share()
        );
    }
    println!(
        "verdicts: {} of {} sure, {} of them wrong",
        verdicts.said,
        verdicts.asked,
        verdicts.said - verdicts.inside
    );
}
