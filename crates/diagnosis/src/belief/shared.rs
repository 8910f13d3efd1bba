//! Causes that several readings have in common, as hidden values of the sum tree.
//!
//! **Errors shared** by readings of one meter (its scale, a clamp's zero) or of one kind of
//! fuse (its resistance) are normal, so all of them together are a normal vector whose
//! principal axes are independent. The axes that link readings noticeably are integrated
//! over by the trapezoidal rule on a lattice; the rest stays with the readings as errors of
//! their own. Along an axis the integrand is a sum of normal densities whose standard
//! deviation is 1 where the readings say nothing of the error, and 1/√(1+λ) at least, where
//! λ is the axis's information if every draw were known. The spacing begins with [`COARSE`]
//! and is halved while the rule cannot be trusted, down to [`SPACING`] of that least: its
//! error is then 2·exp(−2π²/1.5²) = 3·10⁻⁴ of itself (Poisson's summation formula, from
//! memory). Points whose neighbours hold less than [`SHARE`] each end the lattice. Together:
//! two thousandths in every probability, which the tests hold against sampling and against
//! a finer sum.

use super::{
    crossing::{LEFT_OUT, MOST_VALUES},
    reading::{Likelihood, Noise, Reading, Says},
};
use crate::sum_tree::{Hidden, HiddenObservation, OfValue, Posterior, Values};

/// Distance of the points, in standard deviations of the narrowest integrand.
const SPACING: f64 = 1.5;
/// Distance of the points to begin with, in standard deviations of the error.
const COARSE: f64 = 1.3;
/// Points of that distance on either side of the middle; together 3.9 standard deviations.
const REACH: usize = 3;
/// Share of the evidence from which on the points beside a point are tried.
const SHARE: f64 = 1e-3;
/// Strides at most: readings a hundred times better than the error that they share.
const FINEST: usize = 128;
/// Points at most, each being one more pass over what lies above the readings concerned.
const MOST_POINTS: usize = 120;
/// Axes at most: a clamp has two, zero and scale.
const MOST_AXES: usize = 2;
/// Correlation of two readings that is noticed: a weaker link changes the uncertainty of
/// their difference by less than a fortieth.
const NOTICED: f64 = 0.05;

/// A hidden cause of readings.
pub(super) enum Cause {
    /// The share of one part in the step of a group that crosses others.
    Split(Split),
    /// Errors in common.
    Shared(Shared),
}

/// See `crossing`.
pub(super) struct Split {
    pub(super) tag: usize,
    pub(super) parts: [Reading; 2],
    /// Standard uncertainty of either part.
    pub(super) u_a: f64,
    /// By value: what either part reads. One more value stands for a worthless step.
    pub(super) at_a: Vec<[f64; 2]>,
    /// ln of the weight of each of them, and of the worthless one.
    pub(super) ln_weights: [f64; 2],
    pub(super) ln_bounds: Vec<f64>,
}

/// Readings with errors in common.
pub(super) struct Shared {
    /// With the uncertainty that is their own.
    readings: Vec<Reading>,
    /// By reading: its shift per standard deviation along each axis, ampere.
    shifts_a: Vec<[f64; MOST_AXES]>,
    /// Points of the lattice, in standard deviations.
    points: Vec<[f64; MOST_AXES]>,
    ln_weights: Vec<f64>,
    sides: [usize; MOST_AXES],
    strides: [usize; MOST_AXES],
    axes: usize,
}

impl Cause {
    /// The errors that readings share noticeably, and the readings that share none.
    pub(super) fn shared(readings: &[Reading], noise: Noise) -> Option<(Vec<Reading>, Self)> {
        let axes = axes(readings, noise);
        if axes.is_empty() {
            return None;
        }
        let (mut rest, mut linked, mut shifts_a) = (Vec::new(), Vec::new(), Vec::new());
        let largest = |axis: &[f64]| axis.iter().fold(0.0_f64, |m, r| m.max(r.abs()));
        for (i, reading) in readings.iter().enumerate() {
            let u = whole_u(reading, noise);
            let notices = |axis: &Vec<f64>| axis[i].abs() * largest(axis) >= NOTICED / 2.0;
            if !axes.iter().any(notices) {
                rest.push(reading.clone());
                continue;
            }
            let mut shift = [0.0; MOST_AXES];
            for (shift, axis) in shift.iter_mut().zip(&axes) {
                *shift = axis[i] * u;
            }
            let own = reading.u_a().powi(2) - shift.iter().map(|s| s * s).sum::<f64>();
            linked.push(reading.with_u(own.max(0.0).sqrt()));
            shifts_a.push(shift);
        }
        let own = linked.iter().map(|reading| whole_u(reading, noise));
        // Strides of the coarse lattice on the finest one; 0 for an axis that is none.
        let mut strides = [0; MOST_AXES];
        for (axis, stride) in strides.iter_mut().enumerate().take(axes.len()) {
            let pairs = own.clone().zip(&shifts_a);
            let information: f64 = pairs.map(|(u, shift)| (shift[axis] / u).powi(2)).sum();
            let finest = SPACING / (1.0 + information).sqrt();
            *stride = 1;
            while COARSE / *stride as f64 > finest && *stride < FINEST {
                *stride *= 2;
            }
        }
        let shared = Shared::new(linked, shifts_a, strides, axes.len());
        Some((rest, Self::Shared(shared)))
    }

    /// The axes integrated over.
    pub(super) fn dimensions(&self) -> usize {
        match self {
            Self::Split(_) => 0,
            Self::Shared(shared) => shared.axes,
        }
    }

    /// As the sum tree knows it; `step_a` is the grid's.
    pub(super) fn hidden(&self, step_a: f64, noise: Noise) -> Hidden<'_> {
        match self {
            Self::Split(split) => split.hidden(step_a, noise),
            Self::Shared(shared) => shared.hidden(step_a, noise),
        }
    }

    /// Chance of each of its readings to be worthless, by tag.
    pub(super) fn doubted(&self, posterior: &Posterior) -> Vec<(usize, f64)> {
        match self {
            Self::Split(split) => {
                let worthless = posterior.hidden.last().copied();
                vec![(split.tag, worthless.unwrap_or(0.0).clamp(0.0, 1.0))]
            }
            Self::Shared(shared) => {
                let readings = shared.readings.iter().zip(&posterior.means);
                readings
                    .map(|(reading, doubt)| (reading.tag, doubt.clamp(0.0, 1.0)))
                    .collect()
            }
        }
    }
}

impl Split {
    fn hidden(&self, step_a: f64, noise: Noise) -> Hidden<'_> {
        let count = self.at_a.len();
        let observation = |i: usize| {
            let of = |at_a: f64| {
                let says = Says::Part(measure::Uncertain::new(at_a, self.u_a));
                Reading {
                    says,
                    ..self.parts[i].clone()
                }
                .likelihood(noise)
            };
            let of_value: Vec<Likelihood> = self.at_a.iter().map(|at| of(at[i])).collect();
            let ln: Box<OfValue<'_>> =
                Box::new(move |value, at| of_value.get(value).map_or(0.0, |l| l.ln(at * step_a)));
            HiddenObservation {
                leaves: self.parts[i].leaves.clone(),
                ln_likelihood: ln,
                mean_of: None,
            }
        };
        let [sound, worthless] = self.ln_weights;
        let mut ln_weights = vec![sound; count];
        ln_weights.push(worthless);
        Hidden {
            ln_weights,
            observations: vec![observation(0), observation(1)],
            values: Values::Bounded {
                ln_bounds: self.ln_bounds.clone(),
                left_out: LEFT_OUT,
                most: MOST_VALUES,
            },
        }
    }
}

impl Shared {
    fn new(
        readings: Vec<Reading>,
        shifts_a: Vec<[f64; MOST_AXES]>,
        strides: [usize; MOST_AXES],
        axes: usize,
    ) -> Self {
        let sides = strides.map(|stride| 2 * REACH * stride + 1);
        let at = |i: usize, axis: usize| match strides[axis] {
            0 => 0.0,
            stride => (i as f64 - (REACH * stride) as f64) * COARSE / stride as f64,
        };
        let mut points = Vec::with_capacity(sides[0] * sides[1]);
        for i in 0..sides[0] {
            points.extend((0..sides[1]).map(|j| [at(i, 0), at(j, 1)]));
        }
        let ln: Vec<f64> = points
            .iter()
            .map(|p| -0.5 * p.iter().map(|z| z * z).sum::<f64>())
            .collect();
        let norm = ln.iter().map(|ln| ln.exp()).sum::<f64>().ln();
        Self {
            readings,
            shifts_a,
            points,
            ln_weights: ln.iter().map(|ln| ln - norm).collect(),
            sides,
            strides: strides.map(|stride| stride.max(1)),
            axes,
        }
    }

    fn hidden(&self, step_a: f64, noise: Noise) -> Hidden<'_> {
        let observation = |(reading, shift): (&Reading, &[f64; MOST_AXES])| {
            let likelihood = reading.likelihood(noise);
            let error = |point: &[f64; MOST_AXES]| -> f64 {
                point.iter().zip(shift).map(|(z, s)| z * s).sum()
            };
            let errors: Vec<f64> = self.points.iter().map(error).collect();
            let same = errors.clone();
            HiddenObservation {
                leaves: reading.leaves.clone(),
                // What is read is the sum and the error.
                ln_likelihood: Box::new(move |v, at| likelihood.ln(at * step_a + errors[v])),
                mean_of: Some(Box::new(move |v, at| {
                    likelihood.doubt(at * step_a + same[v])
                })),
            }
        };
        let pairs = self.readings.iter().zip(&self.shifts_a);
        Hidden {
            ln_weights: self.ln_weights.clone(),
            observations: pairs.map(observation).collect(),
            values: Values::Lattice {
                sides: self.sides,
                strides: self.strides,
                share: SHARE,
                most: MOST_POINTS,
            },
        }
    }
}

/// Standard uncertainty of a reading on the grid, ampere.
fn whole_u(reading: &Reading, noise: Noise) -> f64 {
    reading.u_a().hypot(reading.blur_a(noise))
}

/// The principal axes along which readings are linked noticeably, the strongest first: by
/// reading, the part along the axis as a share of its standard uncertainty.
fn axes(readings: &[Reading], noise: Noise) -> Vec<Vec<f64>> {
    let causes = readings.iter().flat_map(|r| r.shared.iter());
    let count = causes.map(|(cause, _)| cause + 1).max().unwrap_or(0);
    if count == 0 {
        return Vec::new();
    }
    let share = |reading: &Reading, cause: usize| -> f64 {
        let parts = reading.shared.iter().filter(|part| part.0 == cause);
        let u_a: f64 = parts.map(|part| part.1).sum();
        reading.shared_most() * u_a / whole_u(reading, noise)
    };
    let columns: Vec<Vec<f64>> = (0..count)
        .map(|cause| readings.iter().map(|r| share(r, cause)).collect())
        .filter(|column: &Vec<f64>| linked(column))
        .collect();
    let mut axes = principal(columns);
    axes.retain(|axis| linked(axis));
    axes.truncate(MOST_AXES);
    axes
}

/// Whether the two readings most concerned are noticeably correlated.
fn linked(column: &[f64]) -> bool {
    let mut sizes: Vec<f64> = column.iter().map(|share| share.abs()).collect();
    sizes.sort_by(|a, b| b.total_cmp(a));
    matches!(sizes.as_slice(), [first, second, ..] if first * second >= NOTICED)
}

/// Turns columns so that they become orthogonal, the longest first: one-sided Jacobi
/// rotations (Hestenes 1958, "Inversion of matrices by biorthogonalization and related
/// results", from memory). The sum of their outer products, which is what the readings
/// have in common, stays the same.
fn principal(mut columns: Vec<Vec<f64>>) -> Vec<Vec<f64>> {
    let dot = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(x, y)| x * y).sum::<f64>();
    // Converges quadratically; ten sweeps are plenty for a handful of causes.
    for _ in 0..10 {
        for p in 0..columns.len() {
            for q in p + 1..columns.len() {
                let (a, b) = (dot(&columns[p], &columns[p]), dot(&columns[q], &columns[q]));
                let both = dot(&columns[p], &columns[q]);
                if both.abs() <= 1e-15 * (a * b).sqrt() {
                    continue;
                }
                let angle = 0.5 * (2.0 * both).atan2(a - b);
                let (s, c) = angle.sin_cos();
                for i in 0..columns[p].len() {
                    let (x, y) = (columns[p][i], columns[q][i]);
                    columns[p][i] = c * x + s * y;
                    columns[q][i] = c * y - s * x;
                }
            }
        }
    }
    columns.sort_by(|a, b| dot(b, b).total_cmp(&dot(a, a)));
    columns
}
