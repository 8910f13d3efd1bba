//! The sum-tree posterior against brute force and against itself.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::print_stderr,
    reason = "helpers of tests may stop or skip the test, and say why"
)]

use diagnosis::sum_tree::{
    Hidden, HiddenObservation, Leaf, Observation, Posterior, SumTree, Values,
};
use proptest::prelude::*;

/// What brute force gives: ln evidence, P(fault), levels.
struct Brute {
    ln_evidence: f64,
    p_fault: Vec<f64>,
    levels: Vec<Vec<f64>>,
    sums: Vec<Vec<f64>>,
    p_some: Vec<f64>,
    count: Vec<f64>,
}

/// A sum with the rounding of each addition kept beside it. A logarithm of
/// -1.8e7 (300 steps off at a sigma of 0.05) is rounded to 1.9e-9 by every plain
/// addition, which alone would exceed the promised 1e-9 of the probabilities.
#[derive(Clone, Copy)]
struct Exact {
    sum: f64,
    lost: f64,
}

impl Exact {
    /// The error of an addition is itself a number (Knuth, The Art of Computer
    /// Programming, vol. 2, section 4.2.2, theorem B, from memory).
    fn plus(self, x: f64) -> Self {
        let sum = self.sum + x;
        let part = sum - self.sum;
        let lost = (self.sum - (sum - part)) + (x - part);
        Self {
            sum,
            lost: self.lost + lost,
        }
    }

    fn above(self, other: Self) -> f64 {
        (self.sum - other.sum) + (self.lost - other.lost)
    }
}

/// Every state of every leaf, in logarithms so that nothing is too small.
fn brute(problem: &SumTree<'_>) -> Brute {
    let n = problem.leaves.len();
    let nothing = Exact {
        sum: 0.0,
        lost: 0.0,
    };
    let mut states: Vec<(Vec<usize>, Vec<bool>, Exact)> = vec![(vec![], vec![], nothing)];
    for leaf in &problem.leaves {
        let mut next = Vec::new();
        for (levels, faults, ln) in &states {
            for k in 0..leaf.at.len() {
                for fault in [false, true] {
                    let mass = if fault {
                        leaf.prior_fault * leaf.faulty[k]
                    } else {
                        (1.0 - leaf.prior_fault) * leaf.healthy[k]
                    };
                    if mass > 0.0 {
                        let (mut l, mut f) = (levels.clone(), faults.clone());
                        l.push(k);
                        f.push(fault);
                        next.push((l, f, ln.plus(mass.ln())));
                    }
                }
            }
        }
        states = next;
    }
    for (levels, _, ln) in &mut states {
        for o in &problem.observations {
            let sum: f64 = o
                .leaves
                .iter()
                .map(|&i| problem.leaves[i].at[levels[i]])
                .sum();
            *ln = ln.plus((o.ln_likelihood)(sum));
        }
    }
    let top =
        states.iter().map(|s| s.2).fold(
            states[0].2,
            |top, ln| {
                if ln.above(top) > 0.0 { ln } else { top }
            },
        );
    let total: f64 = states.iter().map(|s| s.2.above(top).exp()).sum();
    let mut out = Brute {
        ln_evidence: top.sum + (top.lost + total.ln()),
        p_fault: vec![0.0; n],
        levels: problem
            .leaves
            .iter()
            .map(|l| vec![0.0; l.at.len()])
            .collect(),
        sums: vec![vec![0.0; 200]; problem.queries.len()],
        p_some: vec![0.0; problem.queries.len()],
        count: vec![0.0; n + 1],
    };
    for (levels, faults, ln) in &states {
        let p = ln.above(top).exp() / total;
        out.count[faults.iter().filter(|&&f| f).count()] += p;
        for i in 0..n {
            out.levels[i][levels[i]] += p;
            if faults[i] {
                out.p_fault[i] += p;
            }
        }
        for (q, set) in problem.queries.iter().enumerate() {
            let sum: f64 = set.iter().map(|&i| problem.leaves[i].at[levels[i]]).sum();
            out.sums[q][sum as usize] += p;
            if set.iter().any(|&i| faults[i]) {
                out.p_some[q] += p;
            }
        }
    }
    out
}

fn gauss(reading: f64, sigma: f64) -> Box<dyn Fn(f64) -> f64> {
    Box::new(move |s| -0.5 * ((reading - s) / sigma).powi(2) - sigma.ln())
}

fn table() -> impl Strategy<Value = Vec<f64>> {
    prop::collection::vec(prop_oneof![Just(0.0), 1e-9..1.0], 3).prop_map(|mut t| {
        t[0] += 1e-3;
        let sum: f64 = t.iter().sum();
        t.iter().map(|x| x / sum).collect()
    })
}

fn leaf() -> impl Strategy<Value = Leaf> {
    let prior = prop_oneof![Just(0.0), 1e-6..0.6];
    (prior, table(), table()).prop_map(|(p, h, f)| Leaf::on_grid(p, h, f))
}

/// Up to `most` leaves and some readings of arbitrary sets, likely or absurd.
fn problem(most: usize, nested: bool) -> impl Strategy<Value = SumTree<'static>> {
    (2..=most)
        .prop_flat_map(move |n| {
            let set = if nested {
                // Intervals of a fixed binary partition nest.
                (0..n, 0..3_u32)
                    .prop_map(move |(i, level)| {
                        let width = 1_usize << level;
                        let from = i / width * width;
                        (from..(from + width).min(n)).collect::<Vec<_>>()
                    })
                    .boxed()
            } else {
                prop::collection::btree_set(0..n, 0..=n)
                    .prop_map(|s| s.into_iter().collect::<Vec<_>>())
                    .boxed()
            };
            let reading = prop_oneof![4 => -2.0..20.0, 1 => 20.0..300.0];
            let sigma = prop_oneof![0.05..5.0_f64, Just(0.5)];
            let observation = (set.clone(), reading, sigma);
            (
                prop::collection::vec(leaf(), n),
                prop::collection::vec(observation, 0..5),
                prop::collection::vec(set, 0..3),
            )
        })
        .prop_map(|(leaves, observations, queries)| SumTree {
            leaves,
            observations: observations
                .into_iter()
                .map(|(leaves, reading, sigma)| Observation {
                    leaves,
                    ln_likelihood: gauss(reading, sigma),
                })
                .collect(),
            queries,
            ..SumTree::default()
        })
}

/// How many cases to try; `LAW_CASES` multiplies it, for a long search.
fn cases(usual: u32) -> u32 {
    let times = std::env::var("LAW_CASES").ok();
    usual * times.and_then(|times| times.parse().ok()).unwrap_or(1)
}

fn agree(ours: &[f64], theirs: &[f64], what: &str) -> Result<(), TestCaseError> {
    for i in 0..ours.len().max(theirs.len()) {
        let a = ours.get(i).copied().unwrap_or(0.0);
        let b = theirs.get(i).copied().unwrap_or(0.0);
        // The promised 1e-9; brute force itself sums up to 6^8 terms in order,
        // which costs 6^8 times 1.1e-16, less than 2e-10, at the very most.
        prop_assert!((a - b).abs() <= 1e-9, "{what} {i}: {a} is not {b}");
    }
    Ok(())
}

fn compare(problem: &SumTree<'_>) -> Result<(), TestCaseError> {
    let (ours, theirs) = (problem.solve().unwrap(), brute(problem));
    // The evidence is relative: its logarithm may be large.
    let scale = theirs.ln_evidence.abs().max(1.0);
    let (a, b) = (ours.ln_evidence, theirs.ln_evidence);
    prop_assert!((a - b).abs() <= 1e-9 * scale, "ln_evidence: {a} is not {b}");
    agree(&ours.p_fault, &theirs.p_fault, "p_fault")?;
    for (a, b) in ours.levels.iter().zip(&theirs.levels) {
        agree(a, b, "level")?;
    }
    for (q, sum) in ours.sums.iter().enumerate() {
        agree(&sum.pmf, &theirs.sums[q], "sum")?;
        agree(&[sum.p_fault], &[theirs.p_some[q]], "p_some")?;
    }
    let n = problem.leaves.len();
    agree(&problem.fault_count(n).unwrap(), &theirs.count, "count")
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(cases(150)))]

    #[test]
    fn nested_sets_equal_brute_force(problem in problem(6, true)) {
        compare(&problem)?;
    }

    #[test]
    fn crossing_sets_equal_brute_force(problem in problem(5, false)) {
        compare(&problem)?;
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(cases(6)))]

    #[test]
    fn eight_leaves_equal_brute_force(problem in problem(8, true)) {
        compare(&problem)?;
    }
}

/// Leaves with long tables, so that transforms are used; `reading` in steps.
fn long(reading: f64, sigma: f64) -> SumTree<'static> {
    let bump = |centre: f64, width: f64| -> Vec<f64> {
        let raw: Vec<f64> = (0..600)
            .map(|k| (-0.5 * ((k as f64 - centre) / width).powi(2)).exp())
            .collect();
        let sum: f64 = raw.iter().sum();
        raw.iter().map(|x| x / sum).collect()
    };
    let leaves: Vec<Leaf> = (0..12)
        .map(|i| {
            let i = f64::from(i);
            Leaf::on_grid(0.02, bump(5.0 + i, 3.0), bump(150.0 + 10.0 * i, 8.0 + i))
        })
        .collect();
    SumTree {
        observations: vec![
            Observation {
                leaves: (0..12).collect(),
                ln_likelihood: gauss(reading, sigma),
            },
            Observation {
                leaves: (0..6).collect(),
                ln_likelihood: gauss(60.0, 20.0),
            },
        ],
        queries: vec![(0..12).collect(), (6..9).collect()],
        leaves,
        ..SumTree::default()
    }
}

/// Straight convolution, prefix by prefix, in logarithms: no shared code.
fn chain(problem: &SumTree<'_>) -> (f64, Vec<f64>) {
    let ln_sum = |terms: &[f64]| {
        let top = terms.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        if top == f64::NEG_INFINITY {
            return top;
        }
        top + terms.iter().map(|t| (t - top).exp()).sum::<f64>().ln()
    };
    // Leaves 0..6 first, then the rest: the observed group is a prefix.
    let evidence = |fixed: Option<usize>| -> f64 {
        let mut acc = vec![0.0];
        for (i, leaf) in problem.leaves.iter().enumerate() {
            let quiet = if fixed == Some(i) {
                0.0
            } else {
                1.0 - leaf.prior_fault
            };
            let mass: Vec<f64> = (0..leaf.at.len())
                .map(|k| (quiet * leaf.healthy[k] + leaf.prior_fault * leaf.faulty[k]).ln())
                .collect();
            let len = acc.len() + mass.len() - 1;
            acc = (0..len)
                .map(|s| {
                    let from = s.saturating_sub(mass.len() - 1);
                    let terms: Vec<f64> = (from..=s.min(acc.len() - 1))
                        .map(|x| acc[x] + mass[s - x])
                        .collect();
                    ln_sum(&terms)
                })
                .collect();
            if i == 5 {
                let o = &problem.observations[1];
                acc.iter_mut()
                    .enumerate()
                    .for_each(|(s, x)| *x += (o.ln_likelihood)(s as f64));
            }
        }
        let o = &problem.observations[0];
        acc.iter_mut()
            .enumerate()
            .for_each(|(s, x)| *x += (o.ln_likelihood)(s as f64));
        ln_sum(&acc)
    };
    let all = evidence(None);
    let p = [0, 7, 11]
        .iter()
        .map(|&i| (evidence(Some(i)) - all).exp())
        .collect();
    (all, p)
}

#[test]
fn long_tables_equal_direct_convolution_even_where_the_reading_is_absurd() {
    // 330: two faults, likely. 1900: nearly all at fault, chance about 1e-20.
    // 4000: beyond every bump by many widths, about e^-30000.
    for (reading, sigma) in [(330.0, 4.0), (1900.0, 2.0), (4000.0, 1.0)] {
        let problem = long(reading, sigma);
        let ours = problem.solve().unwrap();
        let (ln, p) = chain(&problem);
        let close = (ours.ln_evidence - ln).abs() <= 1e-9 * ln.abs().max(1.0);
        assert!(close, "{reading}: {} is not {ln}", ours.ln_evidence);
        for (&leaf, theirs) in [0, 7, 11].iter().zip(p) {
            let a: f64 = ours.p_fault[leaf];
            assert!(
                (a - theirs).abs() <= 1e-9,
                "{reading}, leaf {leaf}: {a} is not {theirs}"
            );
        }
    }
}

#[test]
fn a_position_between_cells_keeps_the_mean() {
    let leaf = Leaf {
        prior_fault: 0.0,
        at: [2.25].into(),
        healthy: [1.0].into(),
        faulty: [0.0].into(),
    };
    let problem = SumTree {
        leaves: vec![leaf.clone(), leaf],
        queries: vec![vec![0, 1]],
        ..SumTree::default()
    };
    let sum = &problem.solve().unwrap().sums[0];
    let mean: f64 = sum.pmf.iter().enumerate().map(|(k, p)| k as f64 * p).sum();
    assert!((mean - 4.5).abs() < 1e-12, "{mean}");
}

fn capped(cap: Option<usize>) -> Posterior {
    // The likelihood is flat from 40 on, so a cap of 40 must change nothing.
    let mut problem = long(330.0, 4.0);
    for o in &mut problem.observations {
        o.ln_likelihood = Box::new(|s| if s < 40.0 { -0.01 * s } else { -3.0 });
    }
    problem.cap = cap;
    problem.solve().unwrap()
}

#[test]
fn a_cap_beyond_which_likelihoods_are_flat_is_exact() {
    let (free, tight) = (capped(None), capped(Some(40)));
    assert!((free.ln_evidence - tight.ln_evidence).abs() < 1e-9);
    for (a, b) in free.p_fault.iter().zip(&tight.p_fault) {
        assert!((a - b).abs() < 1e-9, "{a} is not {b}");
    }
    for (a, b) in free.sums.iter().zip(&tight.sums) {
        assert!((a.p_fault - b.p_fault).abs() < 1e-9);
        let beyond: f64 = a.pmf[40..].iter().sum();
        assert!((beyond - b.over).abs() < 1e-9);
    }
}

#[test]
fn a_position_too_improbable_to_hold_comes_back_when_a_set_favours_it() {
    // Position 2: 1e-6, times e^-3200 by the leaf's own reading, times e^+5000
    // by the set's. The first two alone are less than any plain number.
    let still = Leaf::on_grid(0.0, vec![1.0], vec![1.0]);
    let moving = Leaf::on_grid(0.0, vec![1.0 - 1e-6, 0.0, 1e-6], vec![1.0, 0.0, 0.0]);
    let problem = SumTree {
        leaves: vec![still, moving],
        observations: vec![
            Observation {
                leaves: vec![1],
                ln_likelihood: Box::new(|s| -1600.0 * s),
            },
            Observation {
                leaves: vec![0, 1],
                ln_likelihood: Box::new(|s| 2500.0 * s),
            },
        ],
        ..SumTree::default()
    };
    let solved = problem.solve().unwrap();
    let ln = 1800.0 + 1e-6_f64.ln();
    assert!((solved.ln_evidence - ln).abs() < 1e-9 * ln, "{solved:?}");
    assert!((problem.ln_evidence().unwrap() - ln).abs() < 1e-9 * ln);
    assert!((solved.levels[1][2] - 1.0).abs() < 1e-9, "{solved:?}");
}

#[test]
fn conditions_far_from_every_reading_keep_their_odds() {
    // Sets that cross, and logarithms near -1e8: one plain addition there rounds
    // by up to 7e-9. The large part is the same everywhere; the rest is
    // 0.25 for each leaf at fault in each set, and multiples of 0.25 are held exactly.
    let leaf = || Leaf::on_grid(0.5, vec![1.0, 0.0], vec![0.0, 1.0]);
    let far = |s: f64| -100_000_000.25 + 0.25 * s;
    let problem = SumTree {
        leaves: vec![leaf(), leaf(), leaf()],
        observations: vec![
            Observation {
                leaves: vec![0, 1],
                ln_likelihood: Box::new(far),
            },
            Observation {
                leaves: vec![1, 2],
                ln_likelihood: Box::new(far),
            },
        ],
        ..SumTree::default()
    };
    let odds = [0.25_f64, 0.5, 0.25].map(|ln| ln.exp() / (1.0 + ln.exp()));
    let solved = problem.solve().unwrap();
    agree(&solved.p_fault, &odds, "p_fault").unwrap();
    let none: f64 = odds.iter().map(|p| 1.0 - p).product();
    let all: f64 = odds.iter().product();
    let count = problem.fault_count(3).unwrap();
    agree(&[count[0], count[3]], &[none, all], "count").unwrap();
    let set = problem.most_probable_faults(1000).unwrap().unwrap();
    agree(&[set.p], &[all], "most probable").unwrap();
}

#[test]
fn what_cannot_be_is_said_to_be_impossible() {
    let leaf = Leaf::on_grid(0.0, vec![1.0], vec![1.0]);
    let observation = Observation {
        leaves: vec![0],
        ln_likelihood: Box::new(|s| if s > 0.5 { 0.0 } else { f64::NEG_INFINITY }),
    };
    let problem = SumTree {
        leaves: vec![leaf],
        observations: vec![observation],
        ..SumTree::default()
    };
    assert!(problem.solve().is_err());
}

/// Two observations that depend on a cause with three values, by value a shift of what was
/// read; then the same for each value alone.
fn with_cause(problem: SumTree<'static>, weights: [f64; 3]) -> [SumTree<'static>; 4] {
    let shifts = [0.0, 1.5, -2.0];
    let under = |value: usize| {
        let n = problem.leaves.len();
        let sets = [(0..n / 2).collect::<Vec<_>>(), (0..n).collect()];
        sets.map(|leaves| Observation {
            leaves,
            ln_likelihood: gauss(4.0 + shifts[value], 0.8),
        })
    };
    let copy = || SumTree {
        leaves: problem.leaves.clone(),
        queries: problem.queries.clone(),
        ..SumTree::default()
    };
    let plain = |value: usize| SumTree {
        observations: under(value).into(),
        ..copy()
    };
    let hidden = under(0).map(|observation| HiddenObservation {
        leaves: observation.leaves,
        ln_likelihood: Box::new(move |value, sum| gauss(4.0 + shifts[value], 0.8)(sum)),
        mean_of: Some(Box::new(|value, sum| value as f64 + sum)),
    });
    let together = SumTree {
        hidden: Some(Hidden {
            ln_weights: weights.map(f64::ln).into(),
            observations: hidden.into(),
            values: Values::All,
        }),
        ..copy()
    };
    [together, plain(0), plain(1), plain(2)]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(cases(60)))]

    /// Sets that nest and sets that cross alike: the cause's own are a half and the whole.
    #[test]
    fn a_hidden_cause_equals_the_mixture_over_its_values(
        problem in problem(6, false), weights in prop::array::uniform3(0.01..1.0_f64),
    ) {
        let [together, plain @ ..] = with_cause(problem, weights);
        let ours = together.solve().unwrap();
        let parts = plain.each_ref().map(|part| part.solve().unwrap());
        let joint: Vec<f64> = parts.iter().zip(weights).map(|(p, w)| w * p.ln_evidence.exp()).collect();
        let total: f64 = joint.iter().sum();
        prop_assert!((ours.ln_evidence - total.ln()).abs() < 1e-9);
        let mix = |of: &dyn Fn(&Posterior) -> &[f64]| -> Vec<f64> {
            let len = parts.iter().map(|p| of(p).len()).max().unwrap_or(0);
            (0..len)
                .map(|i| parts.iter().zip(&joint).map(|(p, j)| j / total * of(p).get(i).unwrap_or(&0.0)).sum())
                .collect()
        };
        agree(&ours.hidden, &joint.iter().map(|j| j / total).collect::<Vec<_>>(), "values")?;
        agree(&ours.p_fault, &mix(&|p| &p.p_fault), "fault")?;
        for leaf in 0..ours.levels.len() {
            agree(&ours.levels[leaf], &mix(&|p| &p.levels[leaf]), "level")?;
        }
        for sum in 0..ours.sums.len() {
            agree(&ours.sums[sum].pmf, &mix(&|p| &p.sums[sum].pmf), "sum")?;
            agree(&ours.sums[sum].quiet, &mix(&|p| &p.sums[sum].quiet), "quiet")?;
        }
        prop_assert!((together.ln_evidence().unwrap() - ours.ln_evidence).abs() < 1e-9);
        let counts = plain.each_ref().map(|part| part.fault_count(3).unwrap());
        let count = |c: usize| -> f64 { counts.iter().zip(&joint).map(|(p, j)| j / total * p[c]).sum() };
        agree(&together.fault_count(3).unwrap(), &[count(0), count(1), count(2), count(3)], "count")?;
    }
}
