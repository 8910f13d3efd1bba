//! Expected information of one reading about whether a fault lies at or below a node.

use crate::belief::View;

/// Cells of the reading per standard uncertainty: a sum over cells of half a
/// standard deviation gives a normal density's integral to e^(-8π²) already.
const CELLS_PER_U: f64 = 2.0;
/// Widths of a normal density that are summed.
const WIDTHS: f64 = 5.0;

/// Entropy of a yes-no question, bit.
pub(super) fn entropy(p: f64) -> f64 {
    let term = |p: f64| if p > 0.0 { -p * p.log2() } else { 0.0 };
    term(p) + term(1.0 - p)
}

/// Mutual information, bit, between "a fault lies there" and a reading whose
/// standard uncertainty at a draw is `u_a(draw)`. The draw is summed over the
/// belief's grid, put together to cells as wide as the reading can tell apart; the
/// reading over cells of half its uncertainty.
pub(super) fn information(view: &View, step_a: f64, u_a: &dyn Fn(f64) -> f64) -> f64 {
    let cells = gather(view, step_a, u_a);
    let p_fault: f64 = cells.iter().map(|c| c.fault).sum();
    let p_quiet: f64 = cells.iter().map(|c| c.quiet).sum();
    if p_fault <= 0.0 || p_quiet <= 0.0 {
        return 0.0;
    }
    // The reading's density on cells that follow its own uncertainty.
    let mut readings: Vec<(f64, f64, f64)> = Vec::new();
    let (Some(first), Some(last)) = (cells.first(), cells.last()) else {
        return 0.0;
    };
    let mut y = first.at_a - WIDTHS * first.u_a;
    let end = last.at_a + WIDTHS * last.u_a;
    let mut from = 0;
    while y <= end {
        while from < cells.len() && cells[from].at_a + WIDTHS * cells[from].u_a < y {
            from += 1;
        }
        let here = cells.get(from).unwrap_or(last);
        let width = here.u_a / CELLS_PER_U;
        let (mut fault, mut quiet) = (0.0, 0.0);
        for cell in &cells[from.min(cells.len() - 1)..] {
            let z = (y - cell.at_a) / cell.u_a;
            if z < -WIDTHS {
                break;
            }
            let density = (-0.5 * z * z).exp() / cell.u_a;
            fault += cell.fault * density;
            quiet += cell.quiet * density;
        }
        readings.push((fault, quiet, width));
        y += width;
    }
    let norm: f64 = readings.iter().map(|(f, q, w)| (f + q) * w).sum();
    if norm <= 0.0 {
        return 0.0;
    }
    let left: f64 = readings
        .iter()
        .filter(|(f, q, _)| f + q > 0.0)
        .map(|(f, q, w)| (f + q) * w / norm * entropy(f / (f + q)))
        .sum();
    (entropy(p_fault / (p_fault + p_quiet)) - left).max(0.0)
}

/// Share of the faulty draws that exceed a floor by themselves.
pub(super) fn visible(view: &View, step_a: f64, floor_a: f64) -> f64 {
    let total: f64 = view.fault.iter().sum();
    let seen: f64 = view
        .fault
        .iter()
        .enumerate()
        .filter(|(k, _)| *k as f64 * step_a >= floor_a)
        .map(|(_, p)| p)
        .sum();
    if total > 0.0 { seen / total } else { 0.0 }
}

/// Mean draw with and without a fault, ampere.
pub(super) fn means(view: &View, step_a: f64) -> (f64, f64) {
    let mean = |v: &[f64]| {
        let total: f64 = v.iter().sum();
        let sum: f64 = v.iter().enumerate().map(|(k, p)| k as f64 * p).sum();
        if total > 0.0 {
            sum / total * step_a
        } else {
            0.0
        }
    };
    (mean(&view.fault), mean(&view.quiet))
}

struct Cell {
    at_a: f64,
    u_a: f64,
    fault: f64,
    quiet: f64,
}

/// Neighbouring grid cells put together while a reading cannot tell them apart.
fn gather(view: &View, step_a: f64, u_a: &dyn Fn(f64) -> f64) -> Vec<Cell> {
    let len = view.fault.len().max(view.quiet.len());
    let mut cells = Vec::new();
    let mut k = 0;
    while k < len {
        let u = u_a(k as f64 * step_a).max(step_a / 4.0);
        let width = ((u / CELLS_PER_U / step_a) as usize).max(1);
        let end = (k + width).min(len);
        let sum = |v: &[f64]| -> f64 {
            let from = k.min(v.len());
            v[from..end.min(v.len())].iter().sum()
        };
        let (fault, quiet) = (sum(&view.fault), sum(&view.quiet));
        // What is this unlikely moves no decision.
        if fault + quiet > 1e-9 {
            let at_a = (k + end - 1) as f64 / 2.0 * step_a;
            cells.push(Cell {
                at_a,
                u_a: u,
                fault,
                quiet,
            });
        }
        k = end;
    }
    cells
}

#[cfg(test)]
mod tests {
    use super::*;

    fn view(fault_at: usize, p: f64) -> View {
        let mut quiet = vec![0.0; 200];
        let mut fault = vec![0.0; 200];
        quiet[10] = 1.0 - p;
        fault[fault_at] = p;
        View { quiet, fault }
    }

    #[test]
    fn a_clear_reading_tells_all_and_a_blind_one_nothing() {
        let full = entropy(0.2);
        let clear = information(&view(150, 0.2), 0.001, &|_| 0.002);
        assert!((clear - full).abs() < 1e-6, "{clear} {full}");
        let blind = information(&view(12, 0.2), 0.001, &|_| 0.5);
        assert!(blind < 1e-3, "{blind}");
    }

    #[test]
    fn two_normal_densities_are_told_apart_as_known() {
        // Equal chances, means two standard uncertainties apart: 0.4859 bit, the
        // capacity of binary signalling in Gaussian noise at 0 dB (textbook value,
        // from memory; here recomputed by adaptive quadrature).
        let got = information(&view(30, 0.5), 0.001, &|_| 0.010);
        assert!((got - 0.4859).abs() < 2e-3, "{got}");
    }
}
