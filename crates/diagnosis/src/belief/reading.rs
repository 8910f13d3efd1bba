//! One reading as a likelihood of a sum.

use harness::FeedTree;
use measure::Uncertain;

use super::{Evidence, EvidenceKind};

/// What a reading says of the sum of some leaves.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Reading {
    pub(super) tag: usize,
    /// Positions in the list of leaves, ascending; the last leaf is "elsewhere".
    pub(super) leaves: Vec<usize>,
    pub(super) says: Says,
    /// Which nodes it was taken at, for groups that have to be split up.
    pub(super) nodes: Vec<usize>,
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Says {
    /// About so much.
    About(Uncertain),
    /// Less than the floor, which is known to `u`.
    Below { floor_a: f64, u_a: f64 },
}

/// The constants of a likelihood.
#[derive(Debug, Clone, Copy)]
pub(super) struct Noise {
    /// Half a grid step: what the grid itself blurs.
    pub(super) blur_a: f64,
    /// Chance of a worthless reading.
    pub(super) outlier: f64,
    /// A worthless reading shows anything up to this.
    pub(super) reach_a: f64,
}

impl Reading {
    /// A reading in terms of leaf positions; `None` when it says nothing.
    pub(super) fn of(
        tree: &FeedTree,
        position: &[Option<usize>],
        evidence: &Evidence,
    ) -> Option<Self> {
        let (nodes, says) = match &evidence.kind {
            EvidenceKind::Direct {
                node,
                current,
                below_floor,
            } => {
                let says = match *below_floor {
                    Some(floor_a) => Says::Below {
                        floor_a,
                        u_a: current.u,
                    },
                    None => Says::About(*current),
                };
                (vec![*node], says)
            }
            EvidenceKind::Step { nodes, step } => (nodes.clone(), Says::About(*step)),
        };
        if nodes.is_empty() || nodes.iter().any(|&node| node >= tree.len()) || !says.is_usable() {
            return None;
        }
        Some(Self {
            tag: evidence.tag,
            leaves: leaves_of(tree, position, &nodes),
            says,
            nodes,
        })
    }

    /// Beyond this sum the reading tells nothing more: 10 standard
    /// uncertainties, where a normal density has fallen by e^-50.
    pub(super) fn reach_a(&self) -> f64 {
        match self.says {
            Says::About(current) => current.value + 10.0 * current.u,
            Says::Below { floor_a, u_a } => floor_a + 10.0 * u_a.max(floor_a / 4.0),
        }
    }

    /// Natural logarithm of the density (1/A) or probability of the reading.
    pub(super) fn ln_likelihood(&self, sum_a: f64, noise: Noise) -> f64 {
        let (good, bad) = self.parts(sum_a, noise);
        (good + bad).ln()
    }

    /// Chance that the reading is worthless, were the sum this.
    pub(super) fn doubt(&self, sum_a: f64, noise: Noise) -> f64 {
        let (good, bad) = self.parts(sum_a, noise);
        bad / (good + bad)
    }

    fn parts(&self, sum_a: f64, noise: Noise) -> (f64, f64) {
        match self.says {
            Says::About(current) => {
                let u = current.u.hypot(noise.blur_a);
                let z = (current.value - sum_a) / u;
                let density = (-0.5 * z * z).exp() / (u * (2.0 * std::f64::consts::PI).sqrt());
                (
                    (1.0 - noise.outlier) * density,
                    noise.outlier * anything(current.value, noise.reach_a),
                )
            }
            Says::Below { floor_a, u_a } => {
                // How sharply a meter begins to show something is not specified;
                // a quarter of the floor is from memory.
                let u = u_a.max(floor_a / 4.0).hypot(noise.blur_a);
                let below = upper_tail((sum_a - floor_a) / u);
                // A worthless reading shows nothing as often as something.
                ((1.0 - noise.outlier) * below, noise.outlier / 2.0)
            }
        }
    }

    /// Best estimate for adding up: a reading of nothing lies evenly between 0 and its floor.
    pub(super) fn estimate(&self) -> Uncertain {
        match self.says {
            Says::About(current) => current,
            Says::Below { floor_a, .. } => Uncertain::rectangular(floor_a / 2.0, floor_a / 2.0),
        }
    }

    /// A total order by content, so that the order of entry does not matter.
    pub(super) fn key(&self) -> (usize, Vec<usize>, [u64; 2], bool) {
        let bits = |x: f64| x.to_bits();
        let (numbers, below) = match self.says {
            Says::About(current) => ([bits(current.value), bits(current.u)], false),
            Says::Below { floor_a, u_a } => ([bits(floor_a), bits(u_a)], true),
        };
        (self.leaves.len(), self.leaves.clone(), numbers, below)
    }
}

impl Says {
    fn is_usable(self) -> bool {
        match self {
            Self::About(current) => current.value.is_finite() && current.u.is_finite(),
            Self::Below { floor_a, u_a } => floor_a.is_finite() && floor_a > 0.0 && u_a.is_finite(),
        }
    }
}

/// Positions of the leaves at or below any of the nodes; all and "elsewhere" for the battery.
pub(super) fn leaves_of(
    tree: &FeedTree,
    position: &[Option<usize>],
    nodes: &[usize],
) -> Vec<usize> {
    let mut leaves: Vec<usize> = nodes
        .iter()
        .flat_map(|&node| tree.leaves_below(node))
        .filter_map(|&leaf| position[leaf])
        .collect();
    if nodes.contains(&FeedTree::ROOT) {
        leaves.push(position.iter().flatten().count());
    }
    leaves.sort_unstable();
    leaves.dedup();
    leaves
}

/// Density (1/A) of what a worthless reading shows: every decade from 1 mA to
/// the reach is as likely (from memory), the first milliampere like the one after.
fn anything(shown_a: f64, reach_a: f64) -> f64 {
    const LEAST_A: f64 = 1e-3;
    1.0 / ((shown_a.abs() + LEAST_A) * (1.0 + reach_a / LEAST_A).ln())
}

/// P(Z > z) for a standard normal variable.
fn upper_tail(z: f64) -> f64 {
    0.5 * statrs::function::erf::erfc(z / std::f64::consts::SQRT_2)
}
