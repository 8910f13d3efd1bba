//! Two ways to hold non-negative numbers, and convolutions in both.
//!
//! [`Linear`] holds them as they are and uses the fast Fourier transform for
//! long vectors; every result comes with a bound of its absolute error, which
//! the passes compare with what the posterior rests upon. [`Logs`] holds natural
//! logarithms: slow, but nothing is ever out of its range.

use std::{cell::RefCell, sync::Arc};

use realfft::{ComplexToReal, RealFftPlanner, RealToComplex, num_complex::Complex};

/// Below this product of lengths a direct convolution is quicker than three
/// transforms (measured on one desktop processor, from memory; only speed
/// depends on it).
const DIRECT_WORK: usize = 20_000;

/// Running sums side by side (only speed depends on it).
const LANES: usize = 8;

/// Smallest number that keeps full precision, with room for sums of products:
/// what falls below it is counted as lost.
const FLUSHED: f64 = 1e-290;

/// Arithmetic on non-negative numbers in some representation.
pub(super) trait Arith {
    /// Represents 0.
    const ZERO: f64;
    /// Represents 1.
    const ONE: f64;
    /// Absolute error of a number that became too small to hold.
    const FLUSHED: f64;
    /// Represents `x`.
    fn of(x: f64) -> f64;
    /// The number itself, divided by exp(`ln_unit`).
    fn linear(x: f64, ln_unit: f64) -> f64;
    /// All numbers themselves, divided by exp(`ln_unit`).
    fn all_linear(v: Vec<f64>, ln_unit: f64) -> Vec<f64>;
    /// Natural logarithm of the number.
    fn ln(x: f64) -> f64;
    /// Sum.
    fn add(a: f64, b: f64) -> f64;
    /// Product.
    fn mul(a: f64, b: f64) -> f64;
    /// Product with exp(`ln_b`).
    fn mul_exp(a: f64, ln_b: f64) -> f64;
    /// Each times exp(`ln_factor`).
    fn scale(v: &mut [f64], ln_factor: f64);
    /// Sum of many.
    fn sum(v: &[f64]) -> f64;
    /// Sum of products of two equally long slices.
    fn dot(a: &[f64], b: &[f64]) -> f64;
    /// Convolution, the bound of its absolute error, and what [`Self::correlate`] may use
    /// again; `known` are transforms of the operands from an earlier one of the same length.
    fn convolve(
        &mut self,
        operands: [&[f64]; 2],
        known: [Option<&Arc<Spectrum>>; 2],
    ) -> (Vec<f64>, f64, Option<Spectra>);
    /// For both operands of the convolution that gave `spectra`: the sum over the other
    /// operand's index of the other times `e` at the sum of the indices; and error bounds.
    fn correlate(
        &mut self,
        e: &[f64],
        a: &[f64],
        b: &[f64],
        spectra: Option<&Spectra>,
    ) -> [(Vec<f64>, f64); 2];
}

/// The largest of some numbers and of `least`.
pub(super) fn largest(v: &[f64], least: f64) -> f64 {
    let mut tops = [least; LANES];
    let chunks = v.chunks_exact(LANES);
    let rest = chunks.remainder();
    for x in chunks {
        for lane in 0..LANES {
            if x[lane] > tops[lane] {
                tops[lane] = x[lane];
            }
        }
    }
    tops.iter().chain(rest).fold(least, |m, &x| m.max(x))
}

/// Transform of one operand of a convolution.
#[derive(Debug)]
pub(super) struct Spectrum {
    size: usize,
    v: Vec<Complex<f64>>,
    /// Square of the operand's Euclidean norm.
    square: f64,
}

/// Transforms of both operands of a convolution.
pub(super) type Spectra = [Arc<Spectrum>; 2];

/// Numbers as they are.
pub(super) struct Linear {
    /// Whether transforms may be used.
    fast: bool,
    /// What the transforms need besides their operands.
    plans: Vec<Plans>,
}

thread_local! {
    /// Plans made earlier: they depend on the size alone, and making one takes longer than using it.
    static MADE: RefCell<Vec<Plans>> = const { RefCell::new(Vec::new()) };
}

/// Sizes whose plans are kept from one posterior to the next (only speed depends on it).
const KEPT_SIZES: usize = 24;

/// Transforms of one size both ways, with their working space.
struct Plans {
    size: usize,
    forward: Arc<dyn RealToComplex<f64>>,
    inverse: Arc<dyn ComplexToReal<f64>>,
    real: Vec<f64>,
    outside: Vec<Complex<f64>>,
    product: Vec<Complex<f64>>,
    scratch: Vec<Complex<f64>>,
}

impl Plans {
    fn new(planner: &mut RealFftPlanner<f64>, size: usize) -> Self {
        let forward = planner.plan_fft_forward(size);
        let inverse = planner.plan_fft_inverse(size);
        let scratch = forward.get_scratch_len().max(inverse.get_scratch_len());
        Self {
            size,
            real: forward.make_input_vec(),
            outside: forward.make_output_vec(),
            product: forward.make_output_vec(),
            scratch: vec![Complex::default(); scratch],
            forward,
            inverse,
        }
    }

    /// Transforms `v`, filled up with zeros.
    fn spectrum(&mut self, v: &[f64]) -> Vec<Complex<f64>> {
        let mut output = self.forward.make_output_vec();
        self.spectrum_into(v, &mut output);
        output
    }

    fn spectrum_into(&mut self, v: &[f64], output: &mut [Complex<f64>]) {
        self.real[..v.len()].copy_from_slice(v);
        self.real[v.len()..].fill(0.0);
        let scratch = &mut self.scratch[..self.forward.get_scratch_len()];
        // Fails only on wrong lengths, which the plan itself made.
        let _ = self
            .forward
            .process_with_scratch(&mut self.real, output, scratch);
    }

    /// The first `len` numbers whose transform is `product`.
    fn back(&mut self, len: usize) -> Vec<f64> {
        let scratch = &mut self.scratch[..self.inverse.get_scratch_len()];
        // The first and last bins of a real sequence are real; rounding of
        // products of such bins keeps them so, and anything else is an error
        // value that still leaves the output filled.
        let _ = self
            .inverse
            .process_with_scratch(&mut self.product, &mut self.real, scratch);
        let scale = 1.0 / self.size as f64;
        self.real[..len]
            .iter()
            .map(|x| (x * scale).max(0.0))
            .collect()
    }

    fn multiply(&mut self, a: &[Complex<f64>], b: &[Complex<f64>]) {
        for ((out, x), y) in self.product.iter_mut().zip(a).zip(b) {
            *out = x * y;
        }
    }

    /// The numbers whose transform is `outside` times the conjugate of `other`.
    fn against(&mut self, other: &[Complex<f64>], len: usize) -> Vec<f64> {
        for ((out, x), y) in self.product.iter_mut().zip(&self.outside).zip(other) {
            *out = x * y.conj();
        }
        self.back(len)
    }
}

impl Linear {
    /// With transforms where they are quicker, or without any.
    pub(super) fn new(fast: bool) -> Self {
        Self {
            fast,
            plans: Vec::new(),
        }
    }

    fn plans(&mut self, size: usize) -> &mut Plans {
        let known = self.plans.iter().position(|plans| plans.size == size);
        let at = known.unwrap_or_else(|| {
            let made = MADE.with_borrow_mut(|made| {
                let at = made.iter().position(|plans| plans.size == size)?;
                Some(made.swap_remove(at))
            });
            let plans = made.unwrap_or_else(|| Plans::new(&mut RealFftPlanner::new(), size));
            self.plans.push(plans);
            self.plans.len() - 1
        });
        &mut self.plans[at]
    }

    /// Rounding of a transform convolution in the maximum norm, at most about
    /// ε·log₂(size)·‖a‖₂·‖b‖₂ (Higham, Accuracy and Stability of Numerical
    /// Algorithms, 2nd ed. 2002, section 24.1, with the constant from memory; the
    /// property tests compare with direct convolution).
    fn rounding(size: usize, squares: [f64; 2]) -> f64 {
        f64::EPSILON * (size as f64).log2() * (squares[0] * squares[1]).sqrt()
    }
}

impl Drop for Linear {
    fn drop(&mut self) {
        let plans = std::mem::take(&mut self.plans);
        // Gone only while its thread ends.
        let _ = MADE.try_with(|made| {
            let mut made = made.borrow_mut();
            made.extend(plans);
            let more = made.len().saturating_sub(KEPT_SIZES);
            made.drain(..more);
        });
    }
}

impl Arith for Linear {
    const ZERO: f64 = 0.0;
    const ONE: f64 = 1.0;
    const FLUSHED: f64 = FLUSHED;

    fn of(x: f64) -> f64 {
        x
    }
    fn linear(x: f64, ln_unit: f64) -> f64 {
        if ln_unit == 0.0 {
            x
        } else {
            x * (-ln_unit).exp()
        }
    }
    fn all_linear(mut v: Vec<f64>, ln_unit: f64) -> Vec<f64> {
        Self::scale(&mut v, -ln_unit);
        v
    }
    fn ln(x: f64) -> f64 {
        x.ln()
    }
    fn add(a: f64, b: f64) -> f64 {
        a + b
    }
    fn mul(a: f64, b: f64) -> f64 {
        a * b
    }
    fn mul_exp(a: f64, ln_b: f64) -> f64 {
        if a == 0.0 || ln_b == 0.0 {
            a
        } else {
            (a.ln() + ln_b).exp()
        }
    }
    fn scale(v: &mut [f64], ln_factor: f64) {
        let factor = ln_factor.exp();
        for x in v {
            *x *= factor;
        }
    }
    fn sum(v: &[f64]) -> f64 {
        // Several running sums need not wait for each other.
        let mut sums = [0.0; LANES];
        let chunks = v.chunks_exact(LANES);
        let rest: f64 = chunks.remainder().iter().sum();
        for x in chunks {
            for lane in 0..LANES {
                sums[lane] += x[lane];
            }
        }
        sums.iter().sum::<f64>() + rest
    }
    fn dot(a: &[f64], b: &[f64]) -> f64 {
        let n = a.len().min(b.len());
        let mut sums = [0.0; LANES];
        let (left, right) = (a[..n].chunks_exact(LANES), b[..n].chunks_exact(LANES));
        let rest: f64 = left
            .remainder()
            .iter()
            .zip(right.remainder())
            .map(|(x, y)| x * y)
            .sum();
        for (x, y) in left.zip(right) {
            for lane in 0..LANES {
                sums[lane] += x[lane] * y[lane];
            }
        }
        sums.iter().sum::<f64>() + rest
    }

    fn convolve(
        &mut self,
        [a, b]: [&[f64]; 2],
        known: [Option<&Arc<Spectrum>>; 2],
    ) -> (Vec<f64>, f64, Option<Spectra>) {
        let len = a.len() + b.len() - 1;
        if !self.fast || a.len() * b.len() <= DIRECT_WORK {
            let (short, long) = if a.len() < b.len() { (a, b) } else { (b, a) };
            let mut out = vec![0.0; len];
            for (i, &x) in short.iter().enumerate() {
                if x != 0.0 {
                    for (o, &y) in out[i..i + long.len()].iter_mut().zip(long) {
                        *o += x * y;
                    }
                }
            }
            return (out, FLUSHED, None);
        }
        let size = transform_size(len);
        let plans = self.plans(size);
        let mut spectrum = |v: &[f64], known: Option<&Arc<Spectrum>>| match known {
            Some(known) if known.size == size => known.clone(),
            _ => Arc::new(Spectrum {
                size,
                v: plans.spectrum(v),
                square: Self::dot(v, v),
            }),
        };
        let spectra = [spectrum(a, known[0]), spectrum(b, known[1])];
        plans.multiply(&spectra[0].v, &spectra[1].v);
        let out = plans.back(len);
        let rounding = Self::rounding(size, [spectra[0].square, spectra[1].square]);
        (out, rounding, Some(spectra))
    }

    fn correlate(
        &mut self,
        e: &[f64],
        a: &[f64],
        b: &[f64],
        spectra: Option<&Spectra>,
    ) -> [(Vec<f64>, f64); 2] {
        let Some([of_a, of_b]) = spectra else {
            let direct = |by: &[f64], len: usize| -> Vec<f64> {
                (0..len)
                    .map(|x| {
                        let n = by.len().min(e.len().saturating_sub(x));
                        if n == 0 {
                            0.0
                        } else {
                            Self::dot(&by[..n], &e[x..x + n])
                        }
                    })
                    .collect()
            };
            return [(direct(b, a.len()), FLUSHED), (direct(a, b.len()), FLUSHED)];
        };
        let plans = self.plans(of_a.size);
        let mut outside = std::mem::take(&mut plans.outside);
        plans.spectrum_into(e, &mut outside);
        plans.outside = outside;
        let to_a = plans.against(&of_b.v, a.len());
        let to_b = plans.against(&of_a.v, b.len());
        let outside = Self::dot(e, e);
        let rounding = |other: f64| Self::rounding(of_a.size, [outside, other]);
        [(to_a, rounding(of_b.square)), (to_b, rounding(of_a.square))]
    }
}

/// Smallest 2^i, 3·2^i or 9·2^i that holds `len`.
fn transform_size(len: usize) -> usize {
    let power = len.next_power_of_two();
    let smaller = [power / 16 * 9, power / 4 * 3];
    smaller
        .into_iter()
        .find(|&size| size >= len)
        .unwrap_or(power)
}

/// Natural logarithms of the numbers.
pub(super) struct Logs;

impl Logs {
    /// ln of the sum of exp of `terms`, which are given twice: to find the largest and to add.
    fn ln_sum(terms: impl Iterator<Item = f64> + Clone) -> f64 {
        let top = terms.clone().fold(f64::NEG_INFINITY, f64::max);
        if top == f64::NEG_INFINITY {
            return top;
        }
        top + terms.map(|t| (t - top).exp()).sum::<f64>().ln()
    }
}

impl Arith for Logs {
    const ZERO: f64 = f64::NEG_INFINITY;
    const ONE: f64 = 0.0;
    const FLUSHED: f64 = 0.0;

    fn of(x: f64) -> f64 {
        x.ln()
    }
    fn linear(x: f64, ln_unit: f64) -> f64 {
        (x - ln_unit).exp()
    }
    fn all_linear(mut v: Vec<f64>, ln_unit: f64) -> Vec<f64> {
        v.iter_mut().for_each(|x| *x = Self::linear(*x, ln_unit));
        v
    }
    fn ln(x: f64) -> f64 {
        x
    }
    fn add(a: f64, b: f64) -> f64 {
        Self::ln_sum([a, b].into_iter())
    }
    fn mul(a: f64, b: f64) -> f64 {
        a + b
    }
    fn mul_exp(a: f64, ln_b: f64) -> f64 {
        a + ln_b
    }
    fn scale(v: &mut [f64], ln_factor: f64) {
        for x in v {
            *x += ln_factor;
        }
    }
    fn sum(v: &[f64]) -> f64 {
        Self::ln_sum(v.iter().copied())
    }
    fn dot(a: &[f64], b: &[f64]) -> f64 {
        Self::ln_sum(a.iter().zip(b).map(|(x, y)| x + y))
    }

    fn convolve(
        &mut self,
        [a, b]: [&[f64]; 2],
        _known: [Option<&Arc<Spectrum>>; 2],
    ) -> (Vec<f64>, f64, Option<Spectra>) {
        let out = (0..a.len() + b.len() - 1)
            .map(|k| {
                let from = k.saturating_sub(b.len() - 1);
                let to = k.min(a.len() - 1);
                Self::ln_sum((from..=to).map(|i| a[i] + b[k - i]))
            })
            .collect();
        (out, 0.0, None)
    }

    fn correlate(
        &mut self,
        e: &[f64],
        a: &[f64],
        b: &[f64],
        _spectra: Option<&Spectra>,
    ) -> [(Vec<f64>, f64); 2] {
        let direct = |by: &[f64], len: usize| -> Vec<f64> {
            (0..len)
                .map(|x| {
                    let n = by.len().min(e.len().saturating_sub(x));
                    Self::ln_sum((0..n).map(|y| by[y] + e[x + y]))
                })
                .collect()
        };
        [(direct(b, a.len()), 0.0), (direct(a, b.len()), 0.0)]
    }
}
