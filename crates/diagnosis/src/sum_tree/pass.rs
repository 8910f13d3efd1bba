//! The two passes over nested sets: sums upward, messages from outside downward.

use std::borrow::Cow;

use super::{
    arith::{Arith, Spectra},
    family::{Family, Join, Set},
    ln_sum::LnSum,
    message::{Message, Weights, add_up, get, pass_down, place_end, put},
};

/// A leaf's masses: P(healthy, cell i) = `share[0]`·`healthy[i]`, P(at fault,
/// cell i) = `share[1]`·`faulty[i]`.
#[derive(Debug, Clone)]
pub(super) struct Cells<'p> {
    pub(super) at: Cow<'p, [f64]>,
    pub(super) healthy: Cow<'p, [f64]>,
    pub(super) faulty: Cow<'p, [f64]>,
    pub(super) share: [f64; 2],
}

impl Cells<'_> {
    /// How many cells, from the first on, lie on the grid's own cells.
    fn whole(&self, cap: usize) -> usize {
        let cells = self.at.iter().take(cap).enumerate();
        cells.take_while(|&(i, &at)| at == i as f64).count()
    }

    /// How many cells of the grid hold every position that has some mass; one at least.
    fn reach(&self, cap: usize) -> usize {
        let held = |i: &usize| self.masses(*i).iter().any(|&mass| mass > 0.0);
        let last = (0..self.at.len()).rev().find(held);
        last.map_or(1, |i| place_end(self.at[i], cap))
    }

    /// Masses of a cell: healthy, at fault.
    fn masses(&self, i: usize) -> [f64; 2] {
        [
            self.share[0] * self.healthy[i],
            self.share[1] * self.faulty[i],
        ]
    }
}

/// Natural logarithm of a likelihood of a set's sum, in grid steps.
pub(super) type LnLikelihood<'a> = dyn Fn(f64) -> f64 + 'a;

/// Nested sets with their observations: what the passes work on.
pub(super) struct Nested<'p> {
    pub(super) leaves: Vec<Cells<'p>>,
    /// Observed sets, then those asked for.
    pub(super) sets: Vec<Set>,
    /// The first of the sets asked for.
    pub(super) asked_from: usize,
    /// (set, shift added to its sum, likelihood).
    pub(super) observations: Vec<(usize, f64, &'p LnLikelihood<'p>)>,
    /// Sums of this many steps and more are one cell.
    pub(super) cap: usize,
}

/// What the two passes give; probabilities are normalised.
#[derive(Debug)]
pub(super) struct Solved {
    pub(super) ln_evidence: LnSum,
    pub(super) p_fault: Vec<f64>,
    pub(super) levels: Vec<Vec<f64>>,
    /// Of the sets asked for, in order.
    pub(super) sums: Vec<SolvedSum>,
}

/// A set's sum: probabilities by cell and beyond the cap, and the part of each
/// in which nothing of the set is at fault.
#[derive(Debug, Clone)]
pub(super) struct SolvedSum {
    pub(super) pmf: Vec<f64>,
    pub(super) over: f64,
    pub(super) quiet: Vec<f64>,
    pub(super) quiet_over: f64,
}

impl SolvedSum {
    /// The sum of no leaves.
    fn of_nothing() -> Self {
        Self {
            pmf: vec![1.0],
            over: 0.0,
            quiet: vec![1.0],
            quiet_over: 0.0,
        }
    }
}

/// Why the passes gave nothing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Failed {
    /// Rounding may have decided.
    Rounding,
    /// No state has a positive probability.
    Impossible,
}

/// What the upward pass leaves at a place.
struct Place {
    up: Message,
    /// The part of `up` in which nothing below is at fault, where it is asked for.
    quiet: Option<Message>,
    weights: Option<Weights>,
    spectra: Option<Spectra>,
}

pub(super) struct Passes<'n, 'p, A> {
    nested: &'n Nested<'p>,
    pub(super) arith: A,
    pub(super) family: Family,
    /// Observations by place.
    at_place: Vec<Vec<usize>>,
    /// Sets asked for by place.
    asked_at: Vec<Vec<usize>>,
    /// Whether a set at or above a place is asked for.
    asked_above: Vec<bool>,
    places: Vec<Option<Place>>,
    /// A leaf's likelihood by cell, where it is observed itself.
    leaf_weights: Vec<Option<Vec<f64>>>,
    pub(super) ln_constant: LnSum,
}

impl<'n, 'p, A: Arith> Passes<'n, 'p, A> {
    pub(super) fn new(nested: &'n Nested<'p>, arith: A) -> Self {
        let family = Family::build(nested.leaves.len(), &nested.sets);
        let count = family.joins.len();
        let (mut at_place, mut asked_at) = (vec![Vec::new(); count], vec![Vec::new(); count]);
        let mut ln_constant = LnSum::default();
        for (i, (set, shift, likelihood)) in nested.observations.iter().enumerate() {
            match family.place[*set] {
                Some(place) => at_place[place].push(i),
                None => ln_constant = ln_constant.plus(likelihood(*shift)),
            }
        }
        for (i, place) in family.place[nested.asked_from..].iter().enumerate() {
            if let Some(place) = place {
                asked_at[*place].push(i);
            }
        }
        let mut asked_above: Vec<bool> = asked_at.iter().map(|sets| !sets.is_empty()).collect();
        for place in (0..count).rev() {
            if let (true, Join::Sum(a, b)) = (asked_above[place], family.joins[place]) {
                asked_above[a] = true;
                asked_above[b] = true;
            }
        }
        Self {
            nested,
            arith,
            family,
            at_place,
            asked_at,
            asked_above,
            places: Vec::with_capacity(count),
            leaf_weights: vec![None; nested.leaves.len()],
            ln_constant,
        }
    }

    pub(super) fn cap(&self) -> usize {
        self.nested.cap
    }

    /// Both passes; `tolerance` is the largest absolute error of a probability that rounding may cause.
    pub(super) fn solve(mut self, tolerance: f64) -> Result<Solved, Failed> {
        self.upward()?;
        let ln_evidence = self.ln_evidence()?;
        self.downward(tolerance, ln_evidence)
    }

    /// The upward pass alone: the evidence, with the same care about rounding.
    pub(super) fn evidence(mut self, tolerance: f64) -> Result<f64, Failed> {
        self.upward()?;
        if let Some(root) = self.places.last().and_then(Option::as_ref) {
            Self::check(root, &Message::one::<A>(root.up.v.len()), tolerance)?;
        }
        self.ln_evidence().map(LnSum::rounded)
    }

    fn ln_evidence(&self) -> Result<LnSum, Failed> {
        let root = self.places.last().and_then(Option::as_ref);
        let root = &root.ok_or(Failed::Impossible)?.up;
        let scale = root.ln_scale.and(self.ln_constant);
        let ln = scale.plus(A::ln(root.total::<A>()));
        if ln.rounded().is_finite() {
            Ok(ln)
        } else {
            Err(Failed::Impossible)
        }
    }

    fn ln_likelihood(&self, place: usize, at: f64) -> LnSum {
        let of_place = self.at_place[place].iter();
        of_place.fold(LnSum::default(), |ln, &i| {
            let (_, shift, likelihood) = &self.nested.observations[i];
            ln.plus(likelihood(at + shift))
        })
    }

    fn upward(&mut self) -> Result<(), Failed> {
        for place in 0..self.family.joins.len() {
            let here = match self.family.joins[place] {
                Join::Leaf(leaf) => {
                    let [healthy, mut up] = self.leaf_up(place, leaf);
                    for (x, &h) in up.v.iter_mut().zip(&healthy.v) {
                        *x = A::add(*x, h);
                    }
                    up.over = A::add(up.over, healthy.over);
                    // Not by what is left of the numbers: a cell whose number became too
                    // small to hold may be the one that a set above makes likely.
                    up.v.truncate(self.nested.leaves[leaf].reach(self.nested.cap));
                    let mut quiet = self.asked_above[place].then_some(healthy);
                    quiet.iter_mut().for_each(Message::trim::<A>);
                    Place {
                        up,
                        quiet,
                        weights: None,
                        spectra: None,
                    }
                }
                Join::Sum(a, b) => self.sum_up(place, a, b)?,
            };
            if here.up.total::<A>() == A::ZERO {
                return Err(Failed::Impossible);
            }
            self.places.push(Some(here));
        }
        Ok(())
    }

    /// Weighted masses of a leaf on the grid: healthy, at fault.
    pub(super) fn leaf_up(&mut self, place: usize, leaf: usize) -> [Message; 2] {
        let nested = self.nested;
        let cells = &nested.leaves[leaf];
        let (ln_scale, weights) = self.leaf_weights_at(place, cells);
        let last = cells.at.last().map_or(0, |&at| place_end(at, nested.cap));
        let overflow = |weights: &Vec<f64>| weights.contains(&f64::INFINITY);
        let empty = Message {
            v: vec![A::ZERO; last],
            over: A::ZERO,
            ln_scale: LnSum::default().plus(ln_scale),
            // A factor beyond the range of the numbers: nothing here can be trusted.
            err: if weights.as_ref().is_some_and(overflow) {
                f64::INFINITY
            } else {
                A::FLUSHED
            },
        };
        let mut parts = [empty.clone(), empty];
        let whole = cells.whole(nested.cap);
        for i in 0..whole {
            for (message, mass) in parts.iter_mut().zip(cells.masses(i)) {
                let weight = weights.as_ref().map_or(A::ONE, |weights| weights[i]);
                message.v[i] = A::mul(A::of(mass), weight);
            }
        }
        for (i, &at) in cells.at.iter().enumerate().skip(whole) {
            for (message, mass) in parts.iter_mut().zip(cells.masses(i)) {
                let mut mass = A::of(mass);
                if let Some(weights) = &weights {
                    mass = A::mul(mass, weights[i]);
                }
                put::<A>(message, at, mass, nested.cap);
            }
        }
        self.leaf_weights[leaf] = weights;
        parts
    }

    /// Likelihoods of a leaf's cells, divided by exp of the returned constant.
    fn leaf_weights_at(&self, place: usize, cells: &Cells<'_>) -> (f64, Option<Vec<f64>>) {
        if self.at_place[place].is_empty() {
            return (0.0, None);
        }
        let masses = |i: usize| cells.masses(i).iter().sum::<f64>();
        let ln: Vec<LnSum> = cells
            .at
            .iter()
            .map(|&at| self.ln_likelihood(place, at))
            .collect();
        // The largest weight that matters is made 1, so that a reading far
        // from everything likely does not underflow.
        let top = ln
            .iter()
            .enumerate()
            .map(|(i, l)| masses(i).ln() + l.rounded())
            .fold(f64::NEG_INFINITY, f64::max);
        let top = if top.is_finite() { top } else { 0.0 };
        let weight = |(i, l): (usize, &LnSum)| {
            // Where there is no mass the weight may be of any size.
            if masses(i) > 0.0 {
                A::mul_exp(A::ONE, l.plus(-top).rounded())
            } else {
                A::ZERO
            }
        };
        (top, Some(ln.iter().enumerate().map(weight).collect()))
    }

    fn sum_up(&mut self, place: usize, a: usize, b: usize) -> Result<Place, Failed> {
        let cap = self.nested.cap;
        let (Some(a), Some(b)) = (&self.places[a], &self.places[b]) else {
            return Err(Failed::Impossible);
        };
        let (mut up, spectra) = add_up(&mut self.arith, &a.up, &b.up, cap);
        let mut quiet = match (&a.quiet, &b.quiet) {
            (Some(a), Some(b)) if self.asked_above[place] => {
                Some(add_up(&mut self.arith, a, b, cap).0)
            }
            _ => None,
        };
        let weights = self.weights_at(place, &up);
        if let Some(weights) = &weights {
            for message in std::iter::once(&mut up).chain(&mut quiet) {
                message.weigh::<A>(weights);
                message.ln_scale = message.ln_scale.plus(weights.ln_scale);
            }
        }
        up.rescale::<A>();
        if let Some(quiet) = &mut quiet {
            // Both on one scale, so that their ratio is a probability.
            quiet.scale::<A>(quiet.ln_scale.above(up.ln_scale));
        }
        Ok(Place {
            up,
            quiet,
            weights,
            spectra,
        })
    }

    pub(super) fn weights_at(&self, place: usize, up: &Message) -> Option<Weights> {
        if self.at_place[place].is_empty() {
            return None;
        }
        let ln: Vec<LnSum> = (0..up.v.len())
            .map(|k| self.ln_likelihood(place, k as f64))
            .collect();
        let over = if up.over != A::ZERO || up.v.len() >= self.nested.cap {
            self.ln_likelihood(place, self.nested.cap as f64)
        } else {
            LnSum::IMPOSSIBLE
        };
        let top = ln.iter().fold(over.rounded(), |m, x| m.max(x.rounded()));
        let top = if top.is_finite() { top } else { 0.0 };
        let weight = |l: &LnSum| A::mul_exp(A::ONE, l.plus(-top).rounded());
        Some(Weights {
            v: ln.iter().map(weight).collect(),
            over: weight(&over),
            ln_scale: top,
        })
    }

    /// Hands every place what the outside says, and reads the answers off on the way.
    fn downward(mut self, tolerance: f64, ln_evidence: LnSum) -> Result<Solved, Failed> {
        let count = self.family.joins.len();
        let leaves = self.nested.leaves.len();
        let mut solved = Solved {
            ln_evidence,
            p_fault: vec![0.0; leaves],
            levels: vec![Vec::new(); leaves],
            sums: vec![SolvedSum::of_nothing(); self.nested.sets.len() - self.nested.asked_from],
        };
        let mut down: Vec<Option<Message>> = vec![None; count];
        if let (Some(top), Some(Some(root))) = (down.last_mut(), self.places.last()) {
            *top = Some(Message::one::<A>(root.up.v.len()));
        }
        for place in (0..count).rev() {
            // Taken out, so that the room they fill is free for the next ones.
            let (Some(mut outside), Some(here)) = (down[place].take(), self.places[place].take())
            else {
                return Err(Failed::Impossible);
            };
            Self::check(&here, &outside, tolerance)?;
            for &asked in &self.asked_at[place] {
                solved.sums[asked] = sum_posterior::<A>(&here, &outside);
            }
            match self.family.joins[place] {
                Join::Leaf(leaf) => {
                    let (fault, level) = self.leaf_posterior(leaf, &outside);
                    solved.p_fault[leaf] = fault;
                    solved.levels[leaf] = level;
                }
                Join::Sum(a, b) => {
                    if let Some(weights) = &here.weights {
                        outside.weigh::<A>(weights);
                        outside.rescale::<A>();
                    }
                    let (Some(left), Some(right)) = (&self.places[a], &self.places[b]) else {
                        return Err(Failed::Impossible);
                    };
                    let [to_a, to_b] = pass_down(
                        &mut self.arith,
                        &outside,
                        [&left.up, &right.up],
                        here.spectra.as_ref(),
                        self.nested.cap,
                    );
                    down[a] = Some(to_a);
                    down[b] = Some(to_b);
                }
            }
        }
        Ok(solved)
    }

    /// Refuses when the error bounds allow a probability to be off by more than `tolerance`.
    fn check(here: &Place, down: &Message, tolerance: f64) -> Result<(), Failed> {
        let up = &here.up;
        let up_err = here.quiet.as_ref().map_or(up.err, |q| q.err.max(up.err));
        let joint = A::linear(up.dot::<A>(down), 0.0);
        let err =
            up_err * A::linear(down.total::<A>(), 0.0) + down.err * A::linear(up.total::<A>(), 0.0);
        // Written so that a NaN is refused too. Logarithms carry no bound: the
        // plain numbers above may overflow there, and need not be looked at.
        if (err == 0.0 && down.err == 0.0 && up.err == 0.0) || err <= tolerance * joint {
            Ok(())
        } else {
            Err(Failed::Rounding)
        }
    }

    fn leaf_posterior(&self, leaf: usize, down: &Message) -> (f64, Vec<f64>) {
        let cap = self.nested.cap;
        let cells = &self.nested.leaves[leaf];
        let weights = self.leaf_weights[leaf].as_deref();
        let (mut level, mut faulty) = (Vec::with_capacity(cells.at.len()), Vec::new());
        faulty.reserve_exact(cells.at.len());
        let whole = cells.whole(cap).min(down.v.len());
        for (i, &at) in cells.at.iter().enumerate() {
            let mut outside = if i < whole {
                down.v[i]
            } else {
                get::<A>(down, at, cap)
            };
            if let Some(weights) = weights {
                outside = A::mul(outside, weights[i]);
            }
            let [healthy, fault] = cells.masses(i).map(|mass| A::mul(A::of(mass), outside));
            level.push(A::add(healthy, fault));
            faulty.push(fault);
        }
        let unit = A::ln(A::sum(&level));
        (A::linear(A::sum(&faulty), unit), A::all_linear(level, unit))
    }
}

fn sum_posterior<A: Arith>(here: &Place, down: &Message) -> SolvedSum {
    let unit = A::ln(here.up.dot::<A>(down));
    let joint = |message: &Message| -> (Vec<f64>, f64) {
        let pairs = message.v.iter().zip(&down.v);
        let v = A::all_linear(pairs.map(|(&m, &d)| A::mul(m, d)).collect(), unit);
        (v, A::linear(A::mul(message.over, down.over), unit))
    };
    let (pmf, over) = joint(&here.up);
    let (quiet, quiet_over) = here.quiet.as_ref().map_or((Vec::new(), 0.0), joint);
    SolvedSum {
        pmf,
        over,
        quiet,
        quiet_over,
    }
}
