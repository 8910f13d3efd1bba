//! Laws that hold at every step of a search: chances are chances, what flows into a node flows
//! out of it, a struck entry was never made, and readings that do not hang on each other may be
//! entered in any order.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // helpers of tests

mod support;

use job::{Assessment, Entry, EntryId, EntryKind, Job, assess};
use support::search::Bench;

fn chances_and_sums(now: &Assessment, told: &str) {
    for node in &now.nodes {
        assert!(
            (0.0..=1.0).contains(&node.p_fault),
            "{told} {}: {}",
            node.id,
            node.p_fault
        );
        let draw = node.draw;
        assert!(
            0.0 <= draw.p05 && draw.p05 <= draw.p50 && draw.p50 <= draw.p95,
            "{told} {}",
            node.id
        );
        let below: Vec<_> = now
            .nodes
            .iter()
            .filter(|other| other.parent.as_ref() == Some(&node.id))
            .collect();
        // The battery feeds what is not listed, too; the wiring of a fuse is no node of the job.
        if below.is_empty() || node.parent.is_none() {
            continue;
        }
        let sum: f64 = below.iter().map(|other| other.mean_a).sum();
        assert!(
            sum <= node.mean_a * (1.0 + 1e-9) + 1e-12,
            "{told} {}: {sum}",
            node.id
        );
        let most = below.iter().map(|other| other.p_fault).fold(0.0, f64::max);
        assert!(
            node.p_fault >= most - 1e-9,
            "{told} {}: {} {most}",
            node.id,
            node.p_fault
        );
    }
    let causes: f64 = now.cause.iter().map(|odds| odds.p).sum();
    assert!((causes - 1.0).abs() < 1e-9, "{told}: {causes}");
}

fn struck(mut job: Job, entry: usize) -> Job {
    let last = job.entries[entry].clone();
    job.entries.push(Entry {
        kind: EntryKind::Strike {
            entry: EntryId::from_index(entry),
        },
        ..last
    });
    job
}

/// All but the warnings' numbers of entries, which count what was struck.
fn same(one: &Assessment, other: &Assessment) -> bool {
    one.nodes
        .iter()
        .zip(&other.nodes)
        .all(|(a, b)| a.p_fault == b.p_fault && a.draw == b.draw)
        && one.total == other.total
        && one.next == other.next
        && one.alternatives == other.alternatives
        && one.culprits == other.culprits
        && one.done == other.done
}

#[test]
fn they_hold_along_each_search() {
    let mut swapped = 0;
    for seed in 100..130 {
        let mut bench = Bench::of(seed);
        for step in 0..6 {
            let now = assess(&bench.job);
            let told = format!("seed {seed}, step {step}");
            chances_and_sums(&now, &told);
            let Some(test) = now
                .next
                .iter()
                .chain(&now.alternatives)
                .find(|test| test.outcomes.iter().any(|outcome| outcome.seen_a.is_some()))
            else {
                break;
            };
            // Entered and struck out again.
            let seen_a = test
                .outcomes
                .iter()
                .find_map(|outcome| outcome.seen_a)
                .unwrap();
            let with = bench.with(test, seen_a);
            let entry = with.entries.len() - 1;
            assert!(same(&assess(&struck(with, entry)), &now), "{told}");
            let mut tests = now.next.iter().chain(&now.alternatives);
            if now.done || !tests.any(|test| bench.perform(test)) {
                break;
            }
        }
        swapped += usize::from(in_any_order(&bench.job, seed));
    }
    assert!(swapped > 5, "{swapped}");
}

/// Two readings in place, taken at one time, the other way round; whether there were two.
fn in_any_order(job: &Job, seed: u64) -> bool {
    let in_place: Vec<usize> = (0..job.entries.len())
        .filter(|&at| matches!(&job.entries[at].kind, EntryKind::Draw { .. }))
        .collect();
    let [one, .., other] = in_place[..] else {
        return false;
    };
    // Where nothing was cut between, the one does not hang on the other.
    let cut = job.entries[one..=other]
        .iter()
        .any(|entry| !matches!(entry.kind, EntryKind::Draw { .. }));
    if cut {
        return false;
    }
    let at_once = |mut job: Job| {
        let at = job.entries[0].at;
        job.entries.iter_mut().for_each(|entry| entry.at = at);
        job
    };
    let job = at_once(job.clone());
    let mut other_way = job.clone();
    other_way.entries.swap(one, other);
    let (a, b) = (assess(&job), assess(&other_way));
    for (a, b) in a.nodes.iter().zip(&b.nodes) {
        assert!(
            (a.p_fault - b.p_fault).abs() < 1e-9,
            "seed {seed}, {}",
            a.id
        );
        assert!(
            (a.mean_a - b.mean_a).abs() < 1e-9 * (1.0 + a.mean_a),
            "seed {seed}, {}",
            a.id
        );
    }
    assert_eq!(a.culprits.len(), b.culprits.len(), "seed {seed}");
    true
}
