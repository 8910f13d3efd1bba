//! The two passes over nested sets: sums upward, messages from outside downward.

use super::{
    arith::{Arith, Spectra},
    family::{Family, Join, Set},
};

/// A leaf's joint masses: `healthy[i]` = P(healthy, cell i), `faulty[i]` = P(at fault, cell i).
#[derive(Debug, Clone)]
pub(super) struct Cells {
    pub(super) at: Vec<f64>,
    pub(super) healthy: Vec<f64>,
    pub(super) faulty: Vec<f64>,
}

/// Natural logarithm of a likelihood of a set's sum, in grid steps.
pub(super) type LnLikelihood<'a> = dyn Fn(f64) -> f64 + 'a;

/// Nested sets with their observations: what the passes work on.
pub(super) struct Nested<'p> {
    pub(super) leaves: Vec<Cells>,
    /// Distinct sets; observed or asked for.
    pub(super) sets: Vec<Set>,
    /// (set, shift added to its sum, likelihood).
    pub(super) observations: Vec<(usize, f64, &'p LnLikelihood<'p>)>,
    /// Sums of this many steps and more are one cell.
    pub(super) cap: usize,
}

/// What the two passes give; probabilities are normalised.
#[derive(Debug)]
pub(super) struct Solved {
    pub(super) ln_evidence: f64,
    pub(super) p_fault: Vec<f64>,
    pub(super) levels: Vec<Vec<f64>>,
    /// By set.
    pub(super) sums: Vec<SolvedSum>,
}

/// A set's sum: probabilities by cell and beyond the cap, and the part of each
/// in which nothing of the set is at fault.
#[derive(Debug)]
pub(super) struct SolvedSum {
    pub(super) pmf: Vec<f64>,
    pub(super) over: f64,
    pub(super) quiet: Vec<f64>,
    pub(super) quiet_over: f64,
}

/// Why the passes gave nothing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Failed {
    /// Rounding may have decided.
    Rounding,
    /// No state has a positive probability.
    Impossible,
}

/// A vector over sums; the true value is the stored one times exp(`ln_scale`).
#[derive(Debug, Clone)]
struct Message {
    v: Vec<f64>,
    over: f64,
    ln_scale: f64,
    /// Bound of the absolute error of each entry, as a plain number.
    err: f64,
}

impl Message {
    /// Makes the largest entry 1.
    fn rescale<A: Arith>(&mut self) {
        let top = self.ln_top::<A>();
        if top.is_finite() {
            self.scale::<A>(-top);
        }
    }

    /// Logarithm of the largest entry.
    fn ln_top<A: Arith>(&self) -> f64 {
        // Both representations keep the order of the numbers.
        A::ln(self.v.iter().fold(self.over, |m, &x| m.max(x)))
    }

    /// Stores the same values in another unit.
    fn scale<A: Arith>(&mut self, ln_factor: f64) {
        A::scale(&mut self.v, ln_factor);
        A::scale(std::slice::from_mut(&mut self.over), ln_factor);
        self.ln_scale -= ln_factor;
        if self.err > 0.0 {
            self.err *= ln_factor.exp();
        }
    }

    fn total<A: Arith>(&self) -> f64 {
        A::add(A::sum(&self.v), self.over)
    }

    fn dot<A: Arith>(&self, other: &Self) -> f64 {
        A::add(A::dot(&self.v, &other.v), A::mul(self.over, other.over))
    }

    fn weigh<A: Arith>(&mut self, by: &Weights) {
        for (x, &w) in self.v.iter_mut().zip(&by.v) {
            *x = A::mul(*x, w);
        }
        self.over = A::mul(self.over, by.over);
    }
}

/// A likelihood over a set's sums, its largest value being 1.
struct Weights {
    v: Vec<f64>,
    over: f64,
    ln_scale: f64,
}

/// Where a position falls on the grid: cell and share of the next one.
fn place(at: f64, cap: usize) -> (usize, f64) {
    if at >= cap as f64 {
        return (cap, 0.0);
    }
    let cell = at.floor();
    (cell as usize, at - cell)
}

pub(super) struct Passes<'n, 'p, A> {
    nested: &'n Nested<'p>,
    arith: A,
    family: Family,
    /// Observations by place.
    at_place: Vec<Vec<usize>>,
    up: Vec<Message>,
    quiet: Vec<Message>,
    weights: Vec<Option<Weights>>,
    leaf_weights: Vec<Vec<f64>>,
    spectra: Vec<Option<Spectra>>,
    ln_constant: f64,
}

impl<'n, 'p, A: Arith> Passes<'n, 'p, A> {
    pub(super) fn new(nested: &'n Nested<'p>, arith: A) -> Self {
        let family = Family::build(nested.leaves.len(), &nested.sets);
        let mut at_place = vec![Vec::new(); family.joins.len()];
        let mut ln_constant = 0.0;
        for (i, (set, shift, likelihood)) in nested.observations.iter().enumerate() {
            match family.place[*set] {
                Some(place) => at_place[place].push(i),
                None => ln_constant += likelihood(*shift),
            }
        }
        let places = family.joins.len();
        Self {
            nested,
            arith,
            family,
            at_place,
            up: Vec::with_capacity(places),
            quiet: Vec::with_capacity(places),
            weights: Vec::with_capacity(places),
            leaf_weights: vec![Vec::new(); nested.leaves.len()],
            spectra: Vec::with_capacity(places),
            ln_constant,
        }
    }

    /// Both passes; `tolerance` is the largest absolute error of a probability that rounding may cause.
    pub(super) fn solve(mut self, tolerance: f64) -> Result<Solved, Failed> {
        self.upward()?;
        let down = self.downward(tolerance)?;
        self.read_out(&down)
    }

    fn ln_likelihood(&self, place: usize, at: f64) -> f64 {
        self.at_place[place]
            .iter()
            .map(|&i| {
                let (_, shift, likelihood) = &self.nested.observations[i];
                likelihood(at + shift)
            })
            .sum()
    }

    fn upward(&mut self) -> Result<(), Failed> {
        for place in 0..self.family.joins.len() {
            let (up, quiet) = match self.family.joins[place] {
                Join::Leaf(leaf) => {
                    self.weights.push(None);
                    self.spectra.push(None);
                    let [healthy, mut up] = self.leaf_up(place, leaf);
                    for (x, &h) in up.v.iter_mut().zip(&healthy.v) {
                        *x = A::add(*x, h);
                    }
                    up.over = A::add(up.over, healthy.over);
                    (up, healthy)
                }
                Join::Sum(a, b) => self.sum_up(place, a, b),
            };
            if up.total::<A>() == A::ZERO {
                return Err(Failed::Impossible);
            }
            self.up.push(up);
            self.quiet.push(quiet);
        }
        Ok(())
    }

    /// Weighted masses of a leaf on the grid: healthy, at fault.
    fn leaf_up(&mut self, place: usize, leaf: usize) -> [Message; 2] {
        let nested = self.nested;
        let cells = &nested.leaves[leaf];
        let (top, weights) = self.leaf_weights_at(place, cells);
        let last = cells.at.last().map_or(0, |&at| place_end(at, nested.cap));
        let empty = Message {
            v: vec![A::ZERO; last],
            over: A::ZERO,
            ln_scale: top,
            err: A::FLUSHED,
        };
        let (mut healthy, mut faulty) = (empty.clone(), empty);
        for (i, &at) in cells.at.iter().enumerate() {
            for (message, masses) in [(&mut healthy, &cells.healthy), (&mut faulty, &cells.faulty)]
            {
                let mass = A::mul_exp(A::of(masses[i]), weights[i]);
                put::<A>(message, at, mass, nested.cap);
            }
        }
        self.leaf_weights[leaf] = weights;
        [healthy, faulty]
    }

    /// ln likelihoods of a leaf's cells, less the returned constant.
    fn leaf_weights_at(&self, place: usize, cells: &Cells) -> (f64, Vec<f64>) {
        if self.at_place[place].is_empty() {
            return (0.0, vec![0.0; cells.at.len()]);
        }
        let masses = cells.healthy.iter().zip(&cells.faulty).map(|(h, f)| h + f);
        let ln: Vec<f64> = cells
            .at
            .iter()
            .map(|&at| self.ln_likelihood(place, at))
            .collect();
        // The largest weight that matters is made 1, so that a reading far
        // from everything likely does not underflow.
        let top = masses
            .zip(&ln)
            .map(|(m, l)| m.ln() + l)
            .fold(f64::NEG_INFINITY, f64::max);
        let top = if top.is_finite() { top } else { 0.0 };
        (top, ln.iter().map(|l| l - top).collect())
    }

    fn sum_up(&mut self, place: usize, a: usize, b: usize) -> (Message, Message) {
        let cap = self.nested.cap;
        let (mut up, spectra) = add_up(&mut self.arith, &self.up[a], &self.up[b], cap);
        let (mut quiet, _) = add_up(&mut self.arith, &self.quiet[a], &self.quiet[b], cap);
        self.spectra.push(spectra);
        let weights = self.weights_at(place, up.v.len());
        if let Some(weights) = &weights {
            up.weigh::<A>(weights);
            quiet.weigh::<A>(weights);
            up.ln_scale += weights.ln_scale;
            quiet.ln_scale += weights.ln_scale;
        }
        self.weights.push(weights);
        up.rescale::<A>();
        // Both on one scale, so that their ratio is a probability.
        quiet.scale::<A>(quiet.ln_scale - up.ln_scale);
        (up, quiet)
    }

    /// ln P(observations, c leaves at fault) for c = 0 … `most`, the last entry
    /// being "that many or more"; `None` when rounding may have decided.
    pub(super) fn ln_counts(mut self, most: usize) -> Option<Vec<f64>> {
        let mut layers: Vec<Vec<Message>> = Vec::with_capacity(self.family.joins.len());
        for place in 0..self.family.joins.len() {
            let here = match self.family.joins[place] {
                Join::Leaf(leaf) => {
                    let parts = self.leaf_up(place, leaf);
                    let len = parts[0].v.len();
                    parts
                        .into_iter()
                        .enumerate()
                        .fold(Vec::new(), |sum, (c, part)| {
                            add_layer::<A>(sum, c.min(most), part, len)
                        })
                }
                Join::Sum(a, b) => self.sum_layers(place, &layers[a], &layers[b], most),
            };
            layers.push(here);
        }
        let root = layers.pop()?;
        let totals: Vec<f64> = root.iter().map(Message::total::<A>).collect();
        let total = A::linear(A::sum(&totals), 0.0);
        let err: f64 = root.iter().map(|m| m.err * (m.v.len() + 1) as f64).sum();
        if A::sum(&totals) == A::ZERO || err > super::TOLERANCE * total {
            return None;
        }
        let ln = |c: usize| match (root.get(c), totals.get(c)) {
            (Some(layer), Some(&t)) if t != A::ZERO => A::ln(t) + layer.ln_scale + self.ln_constant,
            _ => f64::NEG_INFINITY,
        };
        Some((0..=most).map(ln).collect())
    }

    fn sum_layers(
        &mut self,
        place: usize,
        a: &[Message],
        b: &[Message],
        most: usize,
    ) -> Vec<Message> {
        let mut sum = Vec::new();
        for (i, x) in a.iter().enumerate() {
            for (j, y) in b.iter().enumerate() {
                let (part, _) = add_up(&mut self.arith, x, y, self.nested.cap);
                let len = part.v.len();
                sum = add_layer::<A>(sum, (i + j).min(most), part, len);
            }
        }
        let len = sum.first().map_or(0, |m| m.v.len());
        if let Some(weights) = self.weights_at(place, len) {
            for layer in &mut sum {
                layer.weigh::<A>(&weights);
                layer.ln_scale += weights.ln_scale;
            }
        }
        let tops = sum.iter().map(Message::ln_top::<A>);
        let top = tops.fold(f64::NEG_INFINITY, f64::max);
        if top.is_finite() {
            for layer in &mut sum {
                layer.scale::<A>(-top);
            }
        }
        sum
    }

    fn weights_at(&self, place: usize, len: usize) -> Option<Weights> {
        if self.at_place[place].is_empty() {
            return None;
        }
        let ln: Vec<f64> = (0..len)
            .map(|k| self.ln_likelihood(place, k as f64))
            .collect();
        let over = if len >= self.nested.cap {
            self.ln_likelihood(place, self.nested.cap as f64)
        } else {
            f64::NEG_INFINITY
        };
        let top = ln.iter().fold(over, |m, &x| m.max(x));
        let top = if top.is_finite() { top } else { 0.0 };
        Some(Weights {
            v: ln.iter().map(|l| A::mul_exp(A::ONE, l - top)).collect(),
            over: A::mul_exp(A::ONE, over - top),
            ln_scale: top,
        })
    }

    fn downward(&mut self, tolerance: f64) -> Result<Vec<Message>, Failed> {
        let places = self.family.joins.len();
        let mut down: Vec<Option<Message>> = vec![None; places];
        let root = &self.up[places - 1];
        down[places - 1] = Some(Message {
            v: vec![A::ONE; root.v.len()],
            over: A::ONE,
            ln_scale: 0.0,
            err: 0.0,
        });
        for place in (0..places).rev() {
            let Some(here) = &down[place] else { continue };
            self.check(place, here, tolerance)?;
            if let Join::Sum(a, b) = self.family.joins[place] {
                let mut outside = here.clone();
                if let Some(weights) = &self.weights[place] {
                    outside.weigh::<A>(weights);
                    outside.rescale::<A>();
                }
                let spectra = self.spectra[place].as_ref();
                let [to_a, to_b] = pass_down(
                    &mut self.arith,
                    &outside,
                    [&self.up[a], &self.up[b]],
                    spectra,
                    self.nested.cap,
                );
                down[a] = Some(to_a);
                down[b] = Some(to_b);
            }
        }
        Ok(down.into_iter().flatten().collect())
    }

    /// Refuses when the error bounds allow a probability to be off by more than `tolerance`.
    fn check(&self, place: usize, down: &Message, tolerance: f64) -> Result<(), Failed> {
        let up = &self.up[place];
        let joint = A::linear(up.dot::<A>(down), 0.0);
        let err = up.err.max(self.quiet[place].err) * A::linear(down.total::<A>(), 0.0)
            + down.err * A::linear(up.total::<A>(), 0.0);
        // Written so that a NaN is refused too. Logarithms carry no bound: the
        // plain numbers above may overflow there, and need not be looked at.
        if (err == 0.0 && down.err == 0.0 && up.err == 0.0) || err <= tolerance * joint {
            Ok(())
        } else {
            Err(Failed::Rounding)
        }
    }

    fn read_out(self, down: &[Message]) -> Result<Solved, Failed> {
        let root = self.up.len() - 1;
        let ln_evidence =
            A::ln(self.up[root].total::<A>()) + self.up[root].ln_scale + self.ln_constant;
        if !ln_evidence.is_finite() {
            return Err(Failed::Impossible);
        }
        let (mut p_fault, mut levels) = (Vec::new(), Vec::new());
        for (leaf, cells) in self.nested.leaves.iter().enumerate() {
            let (fault, level) = self.leaf_posterior(leaf, cells, &down[leaf]);
            p_fault.push(fault);
            levels.push(level);
        }
        let sums = self
            .family
            .place
            .iter()
            .map(|place| match place {
                None => SolvedSum {
                    pmf: vec![1.0],
                    over: 0.0,
                    quiet: vec![1.0],
                    quiet_over: 0.0,
                },
                Some(place) => self.sum_posterior(*place, &down[*place]),
            })
            .collect();
        Ok(Solved {
            ln_evidence,
            p_fault,
            levels,
            sums,
        })
    }

    fn sum_posterior(&self, place: usize, down: &Message) -> SolvedSum {
        let (up, quiet) = (&self.up[place], &self.quiet[place]);
        let unit = A::ln(up.dot::<A>(down));
        let joint = |message: &Message| -> Vec<f64> {
            let pairs = message.v.iter().zip(&down.v);
            A::all_linear(pairs.map(|(&m, &d)| A::mul(m, d)).collect(), unit)
        };
        SolvedSum {
            pmf: joint(up),
            over: A::linear(A::mul(up.over, down.over), unit),
            quiet: joint(quiet),
            quiet_over: A::linear(A::mul(quiet.over, down.over), unit),
        }
    }

    fn leaf_posterior(&self, leaf: usize, cells: &Cells, down: &Message) -> (f64, Vec<f64>) {
        let cap = self.nested.cap;
        let weights = &self.leaf_weights[leaf];
        let joint = |masses: &[f64]| -> Vec<f64> {
            masses
                .iter()
                .zip(weights)
                .zip(&cells.at)
                .map(|((&mass, &w), &at)| {
                    A::mul(A::mul_exp(A::of(mass), w), get::<A>(down, at, cap))
                })
                .collect()
        };
        let (healthy, faulty) = (joint(&cells.healthy), joint(&cells.faulty));
        let unit = A::ln(A::add(A::sum(&healthy), A::sum(&faulty)));
        let both = healthy.iter().zip(&faulty);
        let level = A::all_linear(both.map(|(&h, &f)| A::add(h, f)).collect(), unit);
        (A::linear(A::sum(&faulty), unit), level)
    }
}

/// How many cells a vector needs to hold position `at`.
fn place_end(at: f64, cap: usize) -> usize {
    let (cell, share) = place(at, cap);
    (cell + 1 + usize::from(share > 0.0)).min(cap)
}

/// Adds mass at a position, split between the two nearest cells so that the mean is kept.
fn put<A: Arith>(message: &mut Message, at: f64, mass: f64, cap: usize) {
    let (cell, share) = place(at, cap);
    for (cell, share) in [(cell, 1.0 - share), (cell + 1, share)] {
        if share > 0.0 {
            let slot = match message.v.get_mut(cell) {
                Some(slot) => slot,
                None => &mut message.over,
            };
            *slot = A::add(*slot, A::mul(mass, A::of(share)));
        }
    }
}

/// The transpose of [`put`]: a message read at a position.
fn get<A: Arith>(message: &Message, at: f64, cap: usize) -> f64 {
    let (cell, share) = place(at, cap);
    let read = |cell: usize| message.v.get(cell).copied().unwrap_or(message.over);
    if share == 0.0 {
        read(cell)
    } else {
        A::add(
            A::mul(read(cell), A::of(1.0 - share)),
            A::mul(read(cell + 1), A::of(share)),
        )
    }
}

/// Adds a part, of the same scale as the others, to the layer of its number of faults.
fn add_layer<A: Arith>(
    mut layers: Vec<Message>,
    count: usize,
    part: Message,
    len: usize,
) -> Vec<Message> {
    while layers.len() <= count {
        layers.push(Message {
            v: vec![A::ZERO; len],
            over: A::ZERO,
            ln_scale: part.ln_scale,
            err: 0.0,
        });
    }
    let layer = &mut layers[count];
    for (x, &y) in layer.v.iter_mut().zip(&part.v) {
        *x = A::add(*x, y);
    }
    layer.over = A::add(layer.over, part.over);
    layer.err += part.err;
    layers
}

/// Distribution of a sum of two independent parts, everything from `cap` on in `over`.
fn add_up<A: Arith>(
    arith: &mut A,
    a: &Message,
    b: &Message,
    cap: usize,
) -> (Message, Option<Spectra>) {
    let (mut v, rounding, spectra) = arith.convolve(&a.v, &b.v);
    let tail = if v.len() > cap {
        let tail = A::sum(&v[cap..]);
        v.truncate(cap);
        tail
    } else {
        A::ZERO
    };
    let (total_a, total_b) = (A::sum(&a.v), A::sum(&b.v));
    let beyond = [
        A::mul(a.over, total_b),
        A::mul(total_a, b.over),
        A::mul(a.over, b.over),
        tail,
    ];
    let err = rounding
        + a.err * A::linear(A::add(total_b, b.over), 0.0)
        + b.err * A::linear(A::add(total_a, a.over), 0.0);
    let sum = Message {
        v,
        over: A::sum(&beyond),
        ln_scale: a.ln_scale + b.ln_scale,
        err: if rounding == 0.0 { 0.0 } else { err },
    };
    (sum, spectra)
}

/// What the outside says about each of two parts, given the other.
fn pass_down<A: Arith>(
    arith: &mut A,
    outside: &Message,
    parts: [&Message; 2],
    spectra: Option<&Spectra>,
    cap: usize,
) -> [Message; 2] {
    let [a, b] = parts;
    let [to_a, to_b] = arith.correlate(&outside.v, &a.v, &b.v, spectra);
    [(to_a, b), (to_b, a)].map(|((mut v, rounding), other)| {
        let err = rounding
            + outside.err * A::linear(other.total::<A>(), 0.0)
            + other.err * A::linear(outside.total::<A>(), 0.0);
        add_beyond::<A>(&mut v, outside.over, other, cap);
        let mut message = Message {
            v,
            over: A::mul(outside.over, other.total::<A>()),
            ln_scale: 0.0,
            err: if rounding == 0.0 { 0.0 } else { err },
        };
        message.rescale::<A>();
        message
    })
}

/// Adds the outside's weight for the cases in which the sum passes the cap.
fn add_beyond<A: Arith>(v: &mut [f64], weight: f64, other: &Message, cap: usize) {
    // tail: mass of the other part that takes position x to the cap.
    let mut tail = other.over;
    let mut taken = other.v.len();
    for (x, slot) in v.iter_mut().enumerate() {
        while taken > 0 && x + taken > cap {
            taken -= 1;
            tail = A::add(tail, other.v[taken]);
        }
        *slot = A::add(*slot, A::mul(weight, tail));
    }
}
