//! How long a belief takes. Run with `cargo bench -p diagnosis`.

#[path = "../tests/common/mod.rs"]
mod common;

use diagnosis::{BeliefOptions, Evidence, PlanOptions, SharedError, believe, believe_shared, plan};
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

/// A pulled group that crosses two measured cables; its peer is `belief` with 60 circuits,
/// whose work it has to do twice.
#[divan::bench]
fn crossing_group(bencher: divan::Bencher<'_, '_>) {
    let tree = common::large(60);
    let models = common::models(&tree);
    let mut evidence = readings(&tree, 20);
    let (left, right) = (common::at(&tree, "F0"), common::at(&tree, "F2"));
    evidence.push(common::step(20, &[left, right], 300.0, 8.0));
    let options = BeliefOptions::default();
    let belief = believe(&tree, &models, &evidence, &options);
    assert!(
        belief.approximated.is_empty(),
        "the group must be taken apart"
    );
    bencher.bench(|| believe(&tree, &models, &evidence, &options));
}

/// The zero and the scale of one clamp at the battery and three cables; the peer is `belief`
/// with as many circuits and readings.
#[divan::bench(args = [(60, 20), (120, 40)])]
fn shared_errors(bencher: divan::Bencher<'_, '_>, (fuses, count): (usize, usize)) {
    let tree = common::large(fuses);
    let models = common::models(&tree);
    let evidence = readings(&tree, count);
    // 3 mA of zero and 1 % of what the clamp shows, invented.
    let shared = [(0.003, 0.0), (0.0, 0.01)].map(|(zero_a, scale)| SharedError {
        parts: [0.48, 0.35, 0.06, 0.07]
            .iter()
            .enumerate()
            .map(|(i, shown_a)| (i, zero_a + scale * shown_a))
            .collect(),
    });
    let options = BeliefOptions::default();
    let belief = believe_shared(&tree, &models, &evidence, &shared, &options);
    assert!(belief.shared_errors > 0, "the errors must matter");
    bencher.bench(|| believe_shared(&tree, &models, &evidence, &shared, &options));
}

/// The first proposal after the total, and one after many readings: belief and plan together.
#[divan::bench(args = [(60, 1), (60, 20), (120, 1), (120, 40)])]
fn next_test(bencher: divan::Bencher<'_, '_>, (fuses, count): (usize, usize)) {
    let tree = common::large(fuses);
    let models = common::models(&tree);
    let evidence = readings(&tree, count);
    let usual = BeliefOptions::default();
    let tools = [InstrumentKind::Clamp, InstrumentKind::Millivolt].map(Instrument::generic);
    let options = PlanOptions {
        asleep_now: Some(true),
        ..PlanOptions::default()
    };
    bencher.bench(|| {
        let belief = believe(&tree, &models, &evidence, &usual);
        plan(&tree, &models, &belief, &tools, &options)
    });
}
