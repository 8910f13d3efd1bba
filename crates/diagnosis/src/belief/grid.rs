//! The grid on which currents are added, and the loads' distributions on it.
//!
//! All sums share one uniform grid from 0 to a reach beyond which no reading
//! tells anything: 10 standard uncertainties above the largest. Its step is
//! 0.5 mA as long as that needs at most the permitted number of cells, coarser
//! for larger readings, finer for small ones. Where it is coarser, a load keeps fine cells for
//! its own small draws, so that a quiet circuit read to the milliampere is not blurred by 9 A
//! elsewhere; only in sums with others they are shared among the grid's. A load on its own is not a sum: it keeps, beyond the grid's
//! reach, cells in equal ratios up to 30 A, so that a stuck heater is not lost.

use std::sync::Arc;

use statrs::distribution::{ContinuousCDF, Normal};

use crate::{BeliefOptions, LoadModel, LogNormal, sum_tree::Leaf};

/// Fewest cells of the grid (from memory: keeps a grid of milliamperes smooth).
const MIN_CELLS: f64 = 512.0;

/// Cells between the grid's reach and the largest current considered.
const BEYOND_CELLS: usize = 48;

/// Draws of single loads that keep the finest step, ampere: memories, modules asleep and
/// leakage are smaller (from memory).
const FINE_REACH_A: f64 = 0.1;
/// Fine cells to a coarse one at most (only what is told apart depends on it).
const MOST_FINE: f64 = 32.0;

/// Reach needed without any reading of the whole vehicle, ampere: most
/// parasitic draws are smaller (from memory; only what is shown depends on it).
const FREE_REACH_A: f64 = 2.0;

/// Points at which a log-normal is cut, in standard deviations: beyond ±8 lies 10⁻¹⁵.
const CUTS: i32 = 80;
const CUT_WIDTH: f64 = 0.1;

/// Three-point Gauss-Hermite rule for a standard normal variable (Abramowitz
/// and Stegun, Handbook of Mathematical Functions, 1964, table 25.10, n = 3).
const HERMITE: [(f64, f64); 3] = [
    (-1.732_050_807_568_877_2, 1.0 / 6.0),
    (0.0, 2.0 / 3.0),
    (1.732_050_807_568_877_2, 1.0 / 6.0),
];

/// A uniform grid with cells in equal ratios beyond it.
#[derive(Debug, Clone)]
pub(super) struct Grid {
    /// Step, ampere.
    pub(super) step_a: f64,
    /// Number of uniform cells; sums of this many steps and more are one.
    pub(super) cells: usize,
    /// Fine cells of a load to one of the grid, and how many cells of the grid are so divided.
    pub(super) fine: [usize; 2],
    /// Positions of a load's cells, in steps.
    pub(super) at: Arc<[f64]>,
    /// Probability of each cut of a standard normal variable.
    cuts: Vec<f64>,
}

impl Grid {
    /// A grid that reaches `needed_a`, or what is usual when the total was not read.
    pub(super) fn new(needed_a: f64, total_read: bool, options: &BeliefOptions) -> Self {
        let needed = if total_read {
            needed_a
        } else {
            needed_a.max(FREE_REACH_A)
        };
        let reach = needed.clamp(0.02, options.reach_a.max(0.02));
        let most = (options.max_cells as f64).max(MIN_CELLS);
        let cells = (reach / options.step_a).ceil().clamp(MIN_CELLS, most);
        let step_a = reach / cells;
        let cells = cells as usize;
        let fine = if step_a > options.step_a {
            let to = (FINE_REACH_A / step_a).ceil() as usize;
            let each = (step_a / options.step_a).ceil().min(MOST_FINE);
            [each as usize, to.min(cells)]
        } else {
            [1, 0]
        };
        let mut at: Vec<f64> = (0..fine[0] * fine[1])
            .map(|k| k as f64 / fine[0] as f64)
            .collect();
        at.extend((fine[1]..=cells).map(|k| k as f64));
        let top = options.reach_a / step_a;
        let first = cells as f64 + 1.0;
        if top > first {
            let ratio = (top / first).powf(1.0 / (BEYOND_CELLS - 1) as f64);
            at.extend((0..BEYOND_CELLS).map(|i| first * ratio.powi(i as i32)));
            at.dedup_by(|b, a| *b <= *a);
        }
        Self {
            step_a,
            cells,
            fine,
            at: at.into(),
            cuts: standard_cuts(),
        }
    }

    /// The load's tables on this grid.
    pub(super) fn leaf(&self, model: &LoadModel) -> Leaf {
        let mut healthy = vec![0.0; self.at.len()];
        self.add(&mut healthy, &self.edges(model.normal), 0.0, 1.0);
        let mut faulty = vec![0.0; self.at.len()];
        let total: f64 = model.fault.iter().map(|c| c.weight.max(0.0)).sum();
        if total > 0.0 {
            for component in &model.fault {
                let edges = self.edges(component.draw);
                for (z, share) in HERMITE {
                    let normal = model.normal.at(z);
                    let share = share * component.weight.max(0.0) / total;
                    self.add(&mut faulty, &edges, normal, share);
                }
            }
        } else {
            faulty.clone_from(&healthy);
        }
        let prior = model.prior_fault;
        Leaf {
            prior_fault: if prior.is_finite() {
                prior.clamp(0.0, 1.0)
            } else {
                0.0
            },
            at: self.at.clone(),
            healthy: healthy.into(),
            faulty: faulty.into(),
        }
    }

    /// A log-normal cut into pieces of even density: where each begins, and where the last ends;
    /// nothing for a draw of none.
    fn edges(&self, draw: LogNormal) -> Vec<f64> {
        if !(draw.median_a > 0.0 && draw.log_sd.is_finite()) {
            return Vec::new();
        }
        let z = |i: usize| (i as f64 - f64::from(CUTS)) * CUT_WIDTH;
        (0..=self.cuts.len()).map(|i| draw.at(z(i))).collect()
    }

    /// Adds `share` of a log-normal in pieces, shifted: each is spread over the cells so that
    /// mass and mean are kept.
    fn add(&self, table: &mut [f64], edges: &[f64], shift_a: f64, share: f64) {
        if edges.is_empty() {
            self.spread(table, [shift_a, shift_a], share);
            return;
        }
        let mut cell = 0;
        for (ends, mass) in edges.windows(2).zip(self.cuts.iter()) {
            let between_a = [shift_a + ends[0], shift_a + ends[1]];
            cell = self.spread_from(table, cell, between_a, share * mass);
        }
    }

    fn spread(&self, table: &mut [f64], between_a: [f64; 2], mass: f64) {
        self.spread_from(table, 0, between_a, mass);
    }

    /// Spreads mass evenly between two currents; each part of it goes to the
    /// two positions around it in inverse proportion to their distance.
    /// `cell` is at or below the first current; returns the one at the second.
    fn spread_from(
        &self,
        table: &mut [f64],
        mut cell: usize,
        between_a: [f64; 2],
        mass: f64,
    ) -> usize {
        let [mut from, to] = between_a.map(|a| (a / self.step_a).max(0.0));
        let last = self.at.len() - 1;
        let per_step = mass / (to - from);
        while cell < last && self.at[cell + 1] <= from {
            cell += 1;
        }
        loop {
            if cell >= last {
                // Whatever lies beyond the largest current counts as that.
                table[last] += if to > from {
                    per_step * (to - from)
                } else {
                    mass
                };
                return cell;
            }
            // Places of whole cells among all: after the fine ones.
            let [each, divided] = self.fine;
            let whole_end = (to as usize).min(self.cells) + divided * (each - 1);
            if cell >= each * divided && from == self.at[cell] && whole_end > cell {
                // Uniform cells covered from end to end: half to either side.
                table[cell] += per_step / 2.0;
                table[cell + 1..whole_end]
                    .iter_mut()
                    .for_each(|x| *x += per_step);
                table[whole_end] += per_step / 2.0;
                cell = whole_end;
                from = self.at[cell];
                if from >= to {
                    return cell;
                }
                continue;
            }
            let end = self.at[cell + 1].min(to);
            let part = if to > from {
                per_step * (end - from)
            } else {
                mass
            };
            let width = self.at[cell + 1] - self.at[cell];
            let share = ((from + end) / 2.0 - self.at[cell]) / width;
            table[cell] += part * (1.0 - share);
            table[cell + 1] += part * share;
            if end >= to {
                return cell;
            }
            from = end;
            cell += 1;
        }
    }

    /// Up to which draw a load keeps its fine cells, ampere.
    pub(super) fn fine_reach_a(&self) -> f64 {
        self.fine[1] as f64 * self.step_a
    }

    /// Quantiles, at ascending shares, of a table over the load's cells, ampere, each
    /// cell reaching half way to its neighbours.
    pub(super) fn quantiles<const N: usize>(
        &self,
        table: &[f64],
        over: f64,
        shares: [f64; N],
    ) -> [f64; N] {
        let total: f64 = table.iter().sum::<f64>() + over;
        let beyond = self.at.get(table.len()).or(self.at.last());
        let mut found = [beyond.map_or(0.0, |at| at * self.step_a); N];
        let (mut next, mut before) = (0, 0.0);
        for (k, &p) in table.iter().enumerate().filter(|(_, p)| **p > 0.0) {
            while next < N && shares[next] * total - before <= p {
                let here = self.at[k];
                let low = if k == 0 {
                    0.0
                } else {
                    (self.at[k - 1] + here) / 2.0
                };
                let high = self.at.get(k + 1).map_or(here, |next| (here + next) / 2.0);
                let left = shares[next] * total - before;
                found[next] = (low + (high - low) * left / p) * self.step_a;
                next += 1;
            }
            if next == N {
                break;
            }
            before += p;
        }
        found
    }

    /// Mean of a table over the load's cells, ampere.
    pub(super) fn mean(&self, table: &[f64]) -> f64 {
        table
            .iter()
            .zip(&*self.at)
            .map(|(p, at)| p * at)
            .sum::<f64>()
            * self.step_a
    }
}

/// Probabilities of the cuts of a standard normal variable, tails included in the outermost.
fn standard_cuts() -> Vec<f64> {
    let normal = Normal::standard();
    let n = 2 * CUTS;
    let at = |i: i32| match i {
        0 => 0.0,
        i if i == n => 1.0,
        // Upper tails from their own side, so that small ones keep their digits.
        i => normal.cdf(f64::from(i - CUTS) * CUT_WIDTH),
    };
    (0..n)
        .map(|i| {
            if i < CUTS {
                at(i + 1) - at(i)
            } else {
                at(n - i) - at(n - i - 1)
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Component;

    fn model(median_a: f64, fault_a: f64) -> LoadModel {
        let draw = |median_a, log_sd| LogNormal { median_a, log_sd };
        LoadModel {
            prior_fault: 0.1,
            normal: draw(median_a, 0.5),
            fault: vec![Component {
                weight: 1.0,
                draw: draw(fault_a, 0.3),
                what: String::new(),
            }],
            access_min: 1.0,
            wake_chance: 0.0,
            family: String::new(),
            keeps_settings: false,
            caution: None,
        }
    }

    #[test]
    fn mass_and_mean_are_kept_from_microamperes_to_thirty_ampere() {
        let options = BeliefOptions::default();
        for (normal, fault) in [(0.0001, 0.05), (0.004, 0.4), (0.02, 15.0)] {
            for needed in [0.05, 0.5, 12.0] {
                let grid = Grid::new(needed, true, &options);
                let leaf = grid.leaf(&model(normal, fault));
                let mass: f64 = leaf.healthy.iter().sum();
                assert!((mass - 1.0).abs() < 1e-12, "{mass}");
                let mass: f64 = leaf.faulty.iter().sum();
                assert!((mass - 1.0).abs() < 1e-12, "{mass}");
                // Mean of a log-normal: median·exp(σ²/2). Pieces of even density
                // overestimate it by (σ·width)²/12, 0.02 % here; the tail beyond
                // 30 A counts as 30 A.
                let mean = grid.mean(&leaf.healthy);
                let exact = normal * 0.125_f64.exp();
                assert!((mean / exact - 1.0).abs() < 1e-3, "{mean} {exact}");
                let mean = grid.mean(&leaf.faulty);
                let exact = exact + fault * 0.045_f64.exp();
                assert!((mean / exact - 1.0).abs() < 0.01, "{mean} {exact}");
            }
        }
    }

    #[test]
    fn median_is_found_again() {
        let grid = Grid::new(0.5, true, &BeliefOptions::default());
        let leaf = grid.leaf(&model(0.05, 0.4));
        let [median] = grid.quantiles(&leaf.healthy, 0.0, [0.5]);
        assert!((median - 0.05).abs() < 2e-4, "{median}");
    }

    #[test]
    fn resolves_half_a_milliampere_where_the_readings_allow() {
        let options = BeliefOptions::default();
        assert!(Grid::new(0.9, true, &options).step_a <= options.step_a);
        let coarse = Grid::new(12.0, true, &options);
        assert!(coarse.cells <= options.max_cells);
        assert!((coarse.at.last().unwrap() * coarse.step_a - 30.0).abs() < 1e-9);
    }
}
