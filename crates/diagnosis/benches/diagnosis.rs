//! How long a belief takes. Run with `cargo bench -p diagnosis`.

#[path = "../tests/common/mod.rs"]
mod common;

use diagnosis::{BeliefOptions, Evidence, PlanOptions, believe, plan};
use harness::FeedTree;
use measure::{Instrument, InstrumentKind};

fn main() {
    divan::main();
}

/// Readings of the total, of every cable and of some fuses in turn, invented.
fn readings(tree: &FeedTree, count: usize) -> Vec<Evidence> {
    (0..count)
        .map(|i| match i {
            0 => common::direct(0, 0, 480.0, 6.0),
            1..4 => common::direct(i, i, [350.0, 60.0, 70.0][i - 1], 6.0),
            i => common::direct(i, 4 + (i - 4) * 2 % (tree.len() - 4), 3.0, 2.0),
        })
        .collect()
}

#[divan::bench(args = [(60, 20), (120, 40)])]
fn belief(bencher: divan::Bencher<'_, '_>, (fuses, count): (usize, usize)) {
    let tree = common::large(fuses);
    let models = common::models(&tree);
    let evidence = readings(&tree, count);
    let options = BeliefOptions::default();
    bencher.bench(|| believe(&tree, &models, &evidence, &options));
}

/// The first proposal after the total, and one after some readings.
#[divan::bench(args = [1, 20])]
fn next_test(bencher: divan::Bencher<'_, '_>, count: usize) {
    let tree = common::large(60);
    let models = common::models(&tree);
    let belief = believe(
        &tree,
        &models,
        &readings(&tree, count),
        &BeliefOptions::default(),
    );
    let tools = [InstrumentKind::Clamp, InstrumentKind::Millivolt].map(Instrument::generic);
    let options = PlanOptions {
        asleep_now: Some(true),
        ..PlanOptions::default()
    };
    bencher.bench(|| plan(&tree, &models, &belief, &tools, &options));
}
