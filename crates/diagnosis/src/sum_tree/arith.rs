//! Two ways to hold non-negative numbers, and convolutions in both.
//!
//! [`Linear`] holds them as they are and uses the fast Fourier transform for
//! long vectors; every result comes with a bound of its absolute error, which
//! the passes compare with what the posterior rests upon. [`Logs`] holds natural
//! logarithms: slow, but nothing is ever out of its range.

use std::sync::Arc;

use realfft::{ComplexToReal, RealFftPlanner, RealToComplex, num_complex::Complex};

/// Below this product of lengths a direct convolution is quicker than three
/// transforms (measured on one desktop processor, from memory; only speed
/// depends on it).
const DIRECT_WORK: usize = 20_000;

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
    /// Convolution, the bound of its absolute error, and what [`Self::correlate`] may use again.
    fn convolve(&mut self, a: &[f64], b: &[f64]) -> (Vec<f64>, f64, Option<Spectra>);
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

/// Transforms of both operands of a convolution.
#[derive(Debug)]
pub(super) struct Spectra {
    size: usize,
    a: Vec<Complex<f64>>,
    b: Vec<Complex<f64>>,
}

/// Numbers as they are.
pub(super) struct Linear {
    /// Whether transforms may be used.
    pub(super) fast: bool,
    planner: RealFftPlanner<f64>,
}

impl Linear {
    /// With transforms where they are quicker, or without any.
    pub(super) fn new(fast: bool) -> Self {
        Self {
            fast,
            planner: RealFftPlanner::new(),
        }
    }

    fn spectrum(&self, plan: &Arc<dyn RealToComplex<f64>>, v: &[f64]) -> Vec<Complex<f64>> {
        let mut input = plan.make_input_vec();
        input[..v.len()].copy_from_slice(v);
        let mut output = plan.make_output_vec();
        // Fails only on wrong lengths, which the plan itself made.
        let _ = plan.process(&mut input, &mut output);
        output
    }

    fn back(
        &self,
        plan: &Arc<dyn ComplexToReal<f64>>,
        mut spectrum: Vec<Complex<f64>>,
        len: usize,
    ) -> Vec<f64> {
        let mut output = plan.make_output_vec();
        // The first and last bins of a real sequence are real; rounding of
        // products of such bins keeps them so, and anything else is an error
        // value that still leaves the output filled.
        let _ = plan.process(&mut spectrum, &mut output);
        let scale = 1.0 / output.len() as f64;
        output.truncate(len);
        for x in &mut output {
            *x = (*x * scale).max(0.0);
        }
        output
    }

    /// Rounding of a transform convolution in the maximum norm, at most about
    /// ε·log₂(size)·‖a‖₂·‖b‖₂ (Higham, Accuracy and Stability of Numerical
    /// Algorithms, 2nd ed. 2002, section 24.1, with the constant from memory; the
    /// property tests compare with direct convolution).
    fn rounding(size: usize, a: &[f64], b: &[f64]) -> f64 {
        f64::EPSILON * (size as f64).log2() * (Self::dot(a, a) * Self::dot(b, b)).sqrt()
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
        if a == 0.0 { 0.0 } else { (a.ln() + ln_b).exp() }
    }
    fn scale(v: &mut [f64], ln_factor: f64) {
        let factor = ln_factor.exp();
        for x in v {
            *x *= factor;
        }
    }
    fn sum(v: &[f64]) -> f64 {
        v.iter().sum()
    }
    fn dot(a: &[f64], b: &[f64]) -> f64 {
        // Four running sums let the compiler use vector registers.
        let mut sums = [0.0; 4];
        let (left, right) = (a.chunks_exact(4), b.chunks_exact(4));
        let rest: f64 = left
            .remainder()
            .iter()
            .zip(right.remainder())
            .map(|(x, y)| x * y)
            .sum();
        for (x, y) in left.zip(right) {
            for lane in 0..4 {
                sums[lane] += x[lane] * y[lane];
            }
        }
        sums[0] + sums[1] + sums[2] + sums[3] + rest
    }

    fn convolve(&mut self, a: &[f64], b: &[f64]) -> (Vec<f64>, f64, Option<Spectra>) {
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
        let plan = self.planner.plan_fft_forward(size);
        let spectra = Spectra {
            size,
            a: self.spectrum(&plan, a),
            b: self.spectrum(&plan, b),
        };
        let product = spectra
            .a
            .iter()
            .zip(&spectra.b)
            .map(|(x, y)| x * y)
            .collect();
        let inverse = self.planner.plan_fft_inverse(size);
        let out = self.back(&inverse, product, len);
        (out, Self::rounding(size, a, b), Some(spectra))
    }

    fn correlate(
        &mut self,
        e: &[f64],
        a: &[f64],
        b: &[f64],
        spectra: Option<&Spectra>,
    ) -> [(Vec<f64>, f64); 2] {
        let Some(spectra) = spectra else {
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
        let plan = self.planner.plan_fft_forward(spectra.size);
        let outside = self.spectrum(&plan, e);
        let inverse = self.planner.plan_fft_inverse(spectra.size);
        let through = |other: &[Complex<f64>]| -> Vec<Complex<f64>> {
            outside
                .iter()
                .zip(other)
                .map(|(x, y)| x * y.conj())
                .collect()
        };
        [
            (
                self.back(&inverse, through(&spectra.b), a.len()),
                Self::rounding(spectra.size, e, b),
            ),
            (
                self.back(&inverse, through(&spectra.a), b.len()),
                Self::rounding(spectra.size, e, a),
            ),
        ]
    }
}

/// Smallest 2^i or 3·2^i that holds `len`.
fn transform_size(len: usize) -> usize {
    let power = len.next_power_of_two();
    let smaller = power / 4 * 3;
    if smaller >= len { smaller } else { power }
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

    fn convolve(&mut self, a: &[f64], b: &[f64]) -> (Vec<f64>, f64, Option<Spectra>) {
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
