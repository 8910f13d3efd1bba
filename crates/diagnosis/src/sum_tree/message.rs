//! Vectors over sums, and how two of them are added up or taken apart.

use std::sync::Arc;

use super::{
    arith::{Arith, Spectra, Spectrum, largest},
    ln_sum::LnSum,
};

/// A vector over sums; the true value is the stored one times exp(`ln_scale`).
#[derive(Debug, Clone)]
pub(super) struct Message {
    pub(super) v: Vec<f64>,
    pub(super) over: f64,
    pub(super) ln_scale: LnSum,
    /// Bound of the absolute error of each entry, as a plain number.
    pub(super) err: f64,
}

impl Message {
    /// Says nothing about sums of fewer than `len` steps, nor beyond.
    pub(super) fn one<A: Arith>(len: usize) -> Self {
        Self {
            v: vec![A::ONE; len],
            over: A::ONE,
            ln_scale: LnSum::default(),
            err: 0.0,
        }
    }

    /// Leaves off the cells that nothing reaches.
    pub(super) fn trim<A: Arith>(&mut self) {
        let last = self.v.iter().rposition(|&x| x != A::ZERO);
        // One cell at least: an empty vector has no convolution.
        self.v.truncate(last.map_or(1, |last| last + 1));
    }

    /// Makes the largest entry 1.
    pub(super) fn rescale<A: Arith>(&mut self) {
        let top = self.ln_top::<A>();
        if top.is_finite() {
            self.scale::<A>(-top);
        }
    }

    /// Logarithm of the largest entry.
    pub(super) fn ln_top<A: Arith>(&self) -> f64 {
        // Both representations keep the order of the numbers.
        A::ln(largest(&self.v, self.over))
    }

    /// Stores the same values in another unit.
    pub(super) fn scale<A: Arith>(&mut self, ln_factor: f64) {
        A::scale(&mut self.v, ln_factor);
        A::scale(std::slice::from_mut(&mut self.over), ln_factor);
        self.ln_scale = self.ln_scale.plus(-ln_factor);
        if self.err > 0.0 {
            self.err *= ln_factor.exp();
        }
    }

    pub(super) fn total<A: Arith>(&self) -> f64 {
        A::add(A::sum(&self.v), self.over)
    }

    pub(super) fn dot<A: Arith>(&self, other: &Self) -> f64 {
        A::add(A::dot(&self.v, &other.v), A::mul(self.over, other.over))
    }

    /// Adds another vector of the same scale.
    pub(super) fn add<A: Arith>(&mut self, other: &Self) {
        if self.v.len() < other.v.len() {
            self.v.resize(other.v.len(), A::ZERO);
        }
        for (x, &y) in self.v.iter_mut().zip(&other.v) {
            *x = A::add(*x, y);
        }
        self.over = A::add(self.over, other.over);
        self.err += other.err;
    }

    pub(super) fn weigh<A: Arith>(&mut self, by: &Weights) {
        for (x, &w) in self.v.iter_mut().zip(&by.v) {
            *x = A::mul(*x, w);
        }
        self.over = A::mul(self.over, by.over);
    }
}

/// A likelihood over a set's sums, its largest value being 1.
pub(super) struct Weights {
    pub(super) v: Vec<f64>,
    pub(super) over: f64,
    pub(super) ln_scale: f64,
}

/// Where a position falls on the grid: cell and share of the next one.
pub(super) fn place(at: f64, cap: usize) -> (usize, f64) {
    if at >= cap as f64 {
        return (cap, 0.0);
    }
    let cell = at as usize;
    (cell, at - cell as f64)
}

/// How many cells a vector needs to hold position `at`.
pub(super) fn place_end(at: f64, cap: usize) -> usize {
    let (cell, share) = place(at, cap);
    (cell + 1 + usize::from(share > 0.0)).min(cap)
}

/// Adds mass at a position, split between the two nearest cells so that the mean is kept.
pub(super) fn put<A: Arith>(message: &mut Message, at: f64, mass: f64, cap: usize) {
    let (cell, share) = place(at, cap);
    let Message { v, over, .. } = message;
    let mut put = |cell: usize, mass: f64| {
        let slot = v.get_mut(cell).unwrap_or(&mut *over);
        *slot = A::add(*slot, mass);
    };
    if share == 0.0 {
        put(cell, mass);
    } else {
        put(cell, A::mul(mass, A::of(1.0 - share)));
        put(cell + 1, A::mul(mass, A::of(share)));
    }
}

/// The transpose of [`put`]: a message read at a position.
pub(super) fn get<A: Arith>(message: &Message, at: f64, cap: usize) -> f64 {
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

/// Distribution of a sum of two independent parts, everything from `cap` on in `over`;
/// transforms of the parts that are `known` already are used again.
pub(super) fn add_up<A: Arith>(
    arith: &mut A,
    [a, b]: [&Message; 2],
    known: [Option<&Arc<Spectrum>>; 2],
    cap: usize,
) -> (Message, Option<Spectra>) {
    let (mut v, rounding, spectra) = arith.convolve([&a.v, &b.v], known);
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
        ln_scale: a.ln_scale.and(b.ln_scale),
        err: if rounding == 0.0 { 0.0 } else { err },
    };
    (sum, spectra)
}

/// What the outside says about each of two parts, given the other.
pub(super) fn pass_down<A: Arith>(
    arith: &mut A,
    outside: &Message,
    parts: [&Message; 2],
    spectra: Option<&Spectra>,
    cap: usize,
) -> [Message; 2] {
    let [a, b] = parts;
    let [to_a, to_b] = arith.correlate(&outside.v, &a.v, &b.v, spectra);
    let outside_total = A::linear(outside.total::<A>(), 0.0);
    [(to_a, b), (to_b, a)].map(|((mut v, rounding), other)| {
        let total = other.total::<A>();
        let err = rounding + outside.err * A::linear(total, 0.0) + other.err * outside_total;
        add_beyond::<A>(&mut v, outside.over, other, cap);
        let mut message = Message {
            v,
            over: A::mul(outside.over, total),
            ln_scale: LnSum::default(),
            err: if rounding == 0.0 { 0.0 } else { err },
        };
        message.rescale::<A>();
        message
    })
}

/// Adds the outside's weight for the cases in which the sum passes the cap.
pub(super) fn add_beyond<A: Arith>(v: &mut [f64], weight: f64, other: &Message, cap: usize) {
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
