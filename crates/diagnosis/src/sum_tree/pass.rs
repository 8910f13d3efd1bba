//! The two passes over nested sets: sums upward, messages from outside downward.

use std::borrow::Cow;

use super::{
    arith::{Arith, Spectra},
    family::{Family, Join, Set},
    hidden::{Hidden, Tried},
    ln_sum::LnSum,
    message::{Message, Weights, add_up, place_end, put},
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
    pub(super) fn whole(&self, cap: usize) -> usize {
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
    pub(super) fn masses(&self, i: usize) -> [f64; 2] {
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
    /// The hidden cause; its sets come after the observed ones.
    pub(super) hidden: Option<HiddenNested<'p>>,
    /// Sums of this many steps and more are one cell.
    pub(super) cap: usize,
}

/// A hidden cause, and the shifts added to its observations' sums.
pub(super) struct HiddenNested<'p> {
    pub(super) cause: &'p Hidden<'p>,
    pub(super) shifts: Vec<f64>,
}

impl Nested<'_> {
    /// How many values the hidden cause has; 1 without any.
    pub(super) fn values(&self) -> usize {
        self.hidden.as_ref().map_or(1, |h| h.cause.ln_weights.len())
    }

    /// ln of the weight of one of them.
    pub(super) fn ln_weight(&self, value: usize) -> f64 {
        self.hidden
            .as_ref()
            .map_or(0.0, |h| h.cause.ln_weights[value])
    }

    /// Likelihood of an observation, those of the hidden cause after the others.
    fn ln(&self, observation: usize, value: usize, at: f64) -> f64 {
        if let Some((_, shift, likelihood)) = self.observations.get(observation) {
            return likelihood(at + shift);
        }
        let of_hidden = observation - self.observations.len();
        self.hidden.as_ref().map_or(0.0, |h| {
            (h.cause.observations[of_hidden].ln_likelihood)(value, at + h.shifts[of_hidden])
        })
    }

    /// The set of each observation.
    fn set_of(&self, observation: usize) -> usize {
        self.observations
            .get(observation)
            .map_or(observation, |(set, _, _)| *set)
    }
}

/// What the two passes give; probabilities are normalised.
#[derive(Debug)]
pub(super) struct Solved {
    pub(super) ln_evidence: LnSum,
    pub(super) p_fault: Vec<f64>,
    pub(super) levels: Vec<Vec<f64>>,
    /// Of the sets asked for, in order.
    pub(super) sums: Vec<SolvedSum>,
    /// Chances of the values of the hidden cause.
    pub(super) hidden: Vec<f64>,
    /// Means asked for, by observation of the hidden cause.
    pub(super) means: Vec<f64>,
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
    pub(super) fn of_nothing() -> Self {
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
    /// More values of the hidden cause would have to be tried than allowed.
    TooMany(usize),
}

/// What the upward pass leaves at a place.
pub(super) struct Place {
    pub(super) up: Message,
    /// The part of `up` in which nothing below is at fault, where it is asked for.
    pub(super) quiet: Option<Message>,
    pub(super) weights: Option<Weights>,
    pub(super) spectra: Option<Spectra>,
    /// Transforms of the parts without faults, where other values use them again.
    pub(super) quiet_spectra: Option<Spectra>,
}

pub(super) struct Passes<'n, 'p, A> {
    pub(super) nested: &'n Nested<'p>,
    pub(super) arith: A,
    pub(super) family: Family,
    /// Observations by place.
    pub(super) at_place: Vec<Vec<usize>>,
    /// Observations of sets without leaves.
    of_nothing: Vec<usize>,
    /// Sets asked for by place.
    pub(super) asked_at: Vec<Vec<usize>>,
    /// Whether a set at or above a place is asked for.
    pub(super) asked_above: Vec<bool>,
    /// By place: one entry, or one for each value tried where the hidden cause has a say.
    pub(super) places: Vec<Vec<Place>>,
    /// A leaf's likelihood by cell, where it is observed itself; like `places`.
    pub(super) leaf_weights: Vec<Vec<Option<Vec<f64>>>>,
    /// The values of the hidden cause tried.
    pub(super) tried: Tried,
}

impl<'n, 'p, A: Arith> Passes<'n, 'p, A> {
    pub(super) fn new(nested: &'n Nested<'p>, arith: A) -> Self {
        let observed = nested.observations.len();
        let all = observed + nested.hidden.as_ref().map_or(0, |h| h.shifts.len());
        let family = Family::build(nested.leaves.len(), &nested.sets, observed..all);
        let count = family.joins.len();
        let (mut at_place, mut asked_at) = (vec![Vec::new(); count], vec![Vec::new(); count]);
        let mut of_nothing = Vec::new();
        for i in 0..all {
            match family.place[nested.set_of(i)] {
                Some(place) => at_place[place].push(i),
                None => of_nothing.push(i),
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
            of_nothing,
            asked_at,
            asked_above,
            places: (0..count).map(|_| Vec::new()).collect(),
            leaf_weights: vec![Vec::new(); nested.leaves.len()],
            tried: Tried::default(),
        }
    }

    pub(super) fn cap(&self) -> usize {
        self.nested.cap
    }

    /// Both passes; `tolerance` is the largest absolute error of a probability that rounding may cause.
    pub(super) fn solve(mut self, tolerance: f64) -> Result<Solved, Failed> {
        self.upward(true)?;
        let ln_evidence = self.ln_evidence(tolerance)?;
        let shares = self.shares(ln_evidence, tolerance);
        for turn in (0..shares.len()).filter(|&turn| shares[turn] > 0.0) {
            self.quiet_upward(turn);
        }
        self.downward(tolerance, ln_evidence, &shares)
    }

    /// The upward pass alone: the evidence, with the same care about rounding.
    pub(super) fn evidence(mut self, tolerance: f64) -> Result<LnSum, Failed> {
        self.upward(false)?;
        self.ln_evidence(tolerance)
    }

    /// The evidence, refused when rounding may make up more than `tolerance` of it.
    fn ln_evidence(&self, tolerance: f64) -> Result<LnSum, Failed> {
        let total = self.tried.ln_total();
        if !total.rounded().is_finite() {
            return Err(Failed::Impossible);
        }
        let roots = self.places.last().map_or(&[][..], Vec::as_slice);
        let values = self.tried.values.iter();
        let mut unsure = 0.0;
        for (root, &value) in roots.iter().zip(values.chain(std::iter::repeat(&0))) {
            let err = root.up.err * (root.up.v.len() + 1) as f64;
            if err > 0.0 {
                let ln = self.ln_whole(value, root.up.ln_scale);
                unsure += (err.ln() + ln.above(total)).exp();
            }
        }
        // Written so that a NaN is refused too.
        if unsure <= tolerance {
            Ok(total)
        } else {
            Err(Failed::Rounding)
        }
    }

    /// ln of what a place's vector counts, with what lies outside every place.
    fn ln_whole(&self, value: usize, ln_scale: LnSum) -> LnSum {
        ln_scale
            .and(self.ln_constant(value))
            .plus(self.nested.ln_weight(value))
    }

    /// ln of the likelihoods of sets without leaves.
    pub(super) fn ln_constant(&self, value: usize) -> LnSum {
        let sets = self.of_nothing.iter();
        sets.fold(LnSum::default(), |ln, &i| {
            ln.plus(self.nested.ln(i, value, 0.0))
        })
    }

    fn ln_likelihood(&self, place: usize, at: f64, value: usize) -> LnSum {
        let of_place = self.at_place[place].iter();
        of_place.fold(LnSum::default(), |ln, &i| {
            ln.plus(self.nested.ln(i, value, at))
        })
    }

    /// The entry of a place at a turn.
    pub(super) fn at(&self, place: usize, turn: usize) -> Option<&Place> {
        let entries = &self.places[place];
        entries.get(turn).or(entries.last())
    }

    fn upward(&mut self, with_quiet: bool) -> Result<(), Failed> {
        let count = self.family.joins.len();
        for place in (0..count)
            .filter(|&place| !self.family.varies[place])
            .collect::<Vec<_>>()
        {
            let here = self.place_up(place, 0, 0, with_quiet)?;
            self.places[place].push(here);
        }
        let nested = self.nested;
        let varying: Vec<usize> = (0..count)
            .filter(|&place| self.family.varies[place])
            .collect();
        let mut next = match &nested.hidden {
            Some(hidden) => self.tried.next(hidden.cause)?,
            None => Some(0),
        };
        while let Some(value) = next {
            let turn = self.tried.values.len();
            for &place in &varying {
                let here = self.place_up(place, turn, value, false)?;
                self.places[place].push(here);
            }
            let root = self.at(count - 1, turn).ok_or(Failed::Impossible)?;
            let ln = self.ln_whole(value, root.up.ln_scale);
            let ln = ln.plus(A::ln(root.up.total::<A>()));
            self.tried.values.push(value);
            self.tried.ln.push(ln);
            next = match &nested.hidden {
                Some(hidden) => self.tried.next(hidden.cause)?,
                None => None,
            };
        }
        Ok(())
    }

    fn place_up(
        &mut self,
        place: usize,
        turn: usize,
        value: usize,
        with_quiet: bool,
    ) -> Result<Place, Failed> {
        let asked = with_quiet && self.asked_above[place];
        let here = match self.family.joins[place] {
            Join::Leaf(leaf) => {
                let [healthy, mut up] = self.leaf_up(place, leaf, value);
                up.add::<A>(&healthy);
                // Not by what is left of the numbers: a cell whose number became too
                // small to hold may be the one that a set above makes likely.
                up.v.truncate(self.nested.leaves[leaf].reach(self.nested.cap));
                let mut quiet = asked.then_some(healthy);
                quiet.iter_mut().for_each(Message::trim::<A>);
                Place {
                    up,
                    quiet,
                    weights: None,
                    spectra: None,
                    quiet_spectra: None,
                }
            }
            Join::Sum(a, b) => self.sum_up(place, [a, b], [turn, value], asked)?,
        };
        // Under one value of a hidden cause nothing may be left, under another something.
        if !self.family.varies[place] && here.up.total::<A>() == A::ZERO {
            return Err(Failed::Impossible);
        }
        Ok(here)
    }

    /// Weighted masses of a leaf on the grid: healthy, at fault.
    pub(super) fn leaf_up(&mut self, place: usize, leaf: usize, value: usize) -> [Message; 2] {
        let nested = self.nested;
        let cells = &nested.leaves[leaf];
        let (ln_scale, weights) = self.leaf_weights_at(place, cells, value);
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
        let tables = [&cells.healthy, &cells.faulty];
        for ((message, table), share) in parts.iter_mut().zip(tables).zip(cells.share) {
            // One plain pass after the other: the compiler makes each of them wide.
            for (v, &mass) in message.v.iter_mut().zip(&table[..whole]) {
                *v = A::of(share * mass);
            }
            for (v, &weight) in message.v[..whole].iter_mut().zip(weights.iter().flatten()) {
                *v = A::mul(*v, weight);
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
        self.leaf_weights[leaf].push(weights);
        parts
    }

    /// Likelihoods of a leaf's cells, divided by exp of the returned constant.
    fn leaf_weights_at(
        &self,
        place: usize,
        cells: &Cells<'_>,
        value: usize,
    ) -> (f64, Option<Vec<f64>>) {
        if self.at_place[place].is_empty() {
            return (0.0, None);
        }
        let masses = |i: usize| cells.masses(i).iter().sum::<f64>();
        let ln: Vec<LnSum> = cells
            .at
            .iter()
            .map(|&at| self.ln_likelihood(place, at, value))
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

    fn sum_up(
        &mut self,
        place: usize,
        [a, b]: [usize; 2],
        [turn, value]: [usize; 2],
        asked: bool,
    ) -> Result<Place, Failed> {
        let cap = self.nested.cap;
        let varies = [a, b].map(|part| self.family.varies[part]);
        let here = std::mem::take(&mut self.places[place]);
        let parts = [a, b].map(|part| {
            let entries = &self.places[part];
            entries.get(turn).or(entries.last())
        });
        let [Some(a), Some(b)] = parts else {
            return Err(Failed::Impossible);
        };
        // What does not vary was transformed when the first value was tried.
        let known = |spectra: Option<&Spectra>| {
            let [a, b] = spectra.map_or([None, None], |[a, b]| [Some(a), Some(b)]);
            [
                a.filter(|_| !varies[0]).cloned(),
                b.filter(|_| !varies[1]).cloned(),
            ]
        };
        let first = here.first();
        let of_up = known(first.and_then(|first| first.spectra.as_ref()));
        let of_up = of_up.each_ref().map(Option::as_ref);
        let (mut up, spectra) = add_up(&mut self.arith, [&a.up, &b.up], of_up, cap);
        let mut quiet = match (&a.quiet, &b.quiet) {
            (Some(a), Some(b)) if asked => {
                Some(add_up(&mut self.arith, [a, b], [None, None], cap).0)
            }
            _ => None,
        };
        self.places[place] = here;
        let weights = self.weights_at(place, &up, value);
        if let Some(weights) = &weights {
            up.weigh::<A>(weights);
            up.ln_scale = up.ln_scale.plus(weights.ln_scale);
        }
        up.rescale::<A>();
        let mut here = Place {
            up,
            quiet: None,
            weights,
            spectra,
            quiet_spectra: None,
        };
        if let Some(quiet) = &mut quiet {
            here.finish_quiet::<A>(quiet);
        }
        here.quiet = quiet;
        Ok(here)
    }

    pub(super) fn weights_at(&self, place: usize, up: &Message, value: usize) -> Option<Weights> {
        if self.at_place[place].is_empty() {
            return None;
        }
        let ln: Vec<LnSum> = (0..up.v.len())
            .map(|k| self.ln_likelihood(place, k as f64, value))
            .collect();
        let over = if up.over != A::ZERO || up.v.len() >= self.nested.cap {
            self.ln_likelihood(place, self.nested.cap as f64, value)
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
}
