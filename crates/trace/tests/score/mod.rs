//! The covering metric and F1 with a margin of five samples as defined in G. J. J. van den Burg, C. K. I. Williams,
//! "An Evaluation of Change Point Detection Algorithms", arXiv:2003.06222, 2020, sections 3.2.1 and 3.2.2.

use std::collections::BTreeSet;

/// Mean over people of Σ |A|/n · max over found segments of |A ∩ B| / |A ∪ B|.
pub(crate) fn covering(people: &[BTreeSet<usize>], found: &BTreeSet<usize>, count: usize) -> f64 {
    let runs = |cuts: &BTreeSet<usize>| {
        let mut edges: Vec<usize> = cuts
            .iter()
            .copied()
            .filter(|c| *c > 0 && *c < count)
            .collect();
        edges.insert(0, 0);
        edges.push(count);
        edges.windows(2).map(|w| (w[0], w[1])).collect::<Vec<_>>()
    };
    let found = runs(found);
    let one = |marks: &BTreeSet<usize>| {
        runs(marks)
            .into_iter()
            .map(|(a, b)| {
                let best = found.iter().map(|&(c, d)| {
                    let both = b.min(d).saturating_sub(a.max(c)) as f64;
                    both / ((b - a + d - c) as f64 - both)
                });
                (b - a) as f64 / count as f64 * best.fold(0.0, f64::max)
            })
            .sum::<f64>()
    };
    people.iter().map(one).sum::<f64>() / people.len() as f64
}

/// Marks of `truth` matched one to one by `found` within five samples; index 0 counts as a change for all.
fn matched(truth: &BTreeSet<usize>, found: &BTreeSet<usize>) -> usize {
    let mut free = found.clone();
    truth
        .iter()
        .filter(|&&mark| {
            let near = free
                .iter()
                .copied()
                .filter(|x| x.abs_diff(mark) <= 5)
                .min_by_key(|x| x.abs_diff(mark));
            near.is_some_and(|x| free.remove(&x))
        })
        .count()
}

/// F1 of precision over the marks of all and mean recall of each.
pub(crate) fn f1(people: &[BTreeSet<usize>], found: &BTreeSet<usize>) -> f64 {
    let with_start =
        |set: &BTreeSet<usize>| set.iter().copied().chain([0]).collect::<BTreeSet<_>>();
    let found = with_start(found);
    let people: Vec<_> = people.iter().map(with_start).collect();
    let all: BTreeSet<usize> = people.iter().flatten().copied().collect();
    let precision = matched(&all, &found) as f64 / found.len() as f64;
    let recall = people
        .iter()
        .map(|p| matched(p, &found) as f64 / p.len() as f64)
        .sum::<f64>()
        / people.len() as f64;
    2.0 * precision * recall / (precision + recall)
}
