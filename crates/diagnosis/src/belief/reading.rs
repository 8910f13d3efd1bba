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
    /// Parts of its uncertainty that other readings share: number of the cause, ampere.
    pub(super) shared: Vec<(usize, f64)>,
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Says {
    /// About so much.
    About(Uncertain),
    /// About so much, and never worthless: one part of a group's step.
    Part(Uncertain),
    /// Less than the floor, which is known to `u`.
    Below { floor_a: f64, u_a: f64 },
}

/// See [`Reading::key`].
pub(super) type Key = (usize, Vec<usize>, [u64; 2], bool, Vec<u64>);

/// The constants of a likelihood.
#[derive(Debug, Clone, Copy)]
pub(super) struct Noise {
    /// Half a grid step: what the grid itself blurs.
    pub(super) blur_a: f64,
    /// The same for a load alone, and the draw up to which it holds.
    pub(super) fine_blur_a: [f64; 2],
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
            shared: Vec::new(),
        })
    }

    /// What the grid blurs of the draw read.
    pub(super) fn blur_a(&self, noise: Noise) -> f64 {
        let [fine_a, up_to_a] = noise.fine_blur_a;
        if self.leaves.len() == 1 && self.reach_a() <= up_to_a {
            fine_a
        } else {
            noise.blur_a
        }
    }

    /// Standard uncertainty, ampere.
    pub(super) fn u_a(&self) -> f64 {
        match self.says {
            Says::About(current) | Says::Part(current) => current.u,
            Says::Below { u_a, .. } => u_a,
        }
    }

    /// The factor that keeps what is shared a part of the uncertainty.
    pub(super) fn shared_most(&self) -> f64 {
        let all: f64 = self.shared.iter().map(|part| part.1 * part.1).sum();
        let all = all.sqrt();
        if all > self.u_a() {
            self.u_a() / all
        } else {
            1.0
        }
    }

    /// The same reading with another standard uncertainty.
    pub(super) fn with_u(&self, u_a: f64) -> Self {
        let says = match self.says {
            Says::About(current) => Says::About(Uncertain::new(current.value, u_a)),
            Says::Part(current) => Says::Part(Uncertain::new(current.value, u_a)),
            Says::Below { floor_a, .. } => Says::Below { floor_a, u_a },
        };
        Self {
            says,
            ..self.clone()
        }
    }

    /// Beyond this sum the reading tells nothing more: 10 standard
    /// uncertainties, where a normal density has fallen by e^-50.
    pub(super) fn reach_a(&self) -> f64 {
        match self.says {
            Says::About(current) | Says::Part(current) => current.value + 10.0 * current.u,
            Says::Below { floor_a, u_a } => floor_a + 10.0 * u_a.max(floor_a / 4.0),
        }
    }

    /// Its likelihood, the constants worked out.
    pub(super) fn likelihood(&self, noise: Noise) -> Likelihood {
        let (at_a, u_a, good, bad) = match self.says {
            Says::About(current) => {
                let u = current.u.hypot(self.blur_a(noise));
                (
                    current.value,
                    u,
                    (1.0 - noise.outlier) / (u * (2.0 * std::f64::consts::PI).sqrt()),
                    noise.outlier * anything(current.value, noise.reach_a),
                )
            }
            Says::Part(current) => {
                let good = 1.0 / (current.u * (2.0 * std::f64::consts::PI).sqrt());
                (current.value, current.u, good, 0.0)
            }
            Says::Below { floor_a, u_a } => {
                // How sharply a meter begins to show something is not specified;
                // a quarter of the floor is from memory.
                let u = u_a.max(floor_a / 4.0).hypot(self.blur_a(noise));
                // A worthless reading shows nothing as often as something.
                (floor_a, u, 1.0 - noise.outlier, noise.outlier / 2.0)
            }
        };
        Likelihood {
            below: matches!(self.says, Says::Below { .. }),
            at_a,
            u_a,
            good,
            ln_good: good.ln(),
            bad,
            ln_bad: bad.ln(),
            // Both tails are at most exp(-z²/2): beyond this, sound and worthless
            // together are worthless alone to the last digit (2^-54 is e^-37.4).
            lost_from: (2.0 * ((good / bad).ln() + 40.0)).max(0.0).sqrt(),
        }
    }

    /// Best estimate for adding up: a reading of nothing lies evenly between 0 and its floor.
    pub(super) fn estimate(&self) -> Uncertain {
        match self.says {
            Says::About(current) | Says::Part(current) => current,
            Says::Below { floor_a, .. } => Uncertain::rectangular(floor_a / 2.0, floor_a / 2.0),
        }
    }

    /// A total order by content, so that the order of entry does not matter.
    pub(super) fn key(&self) -> Key {
        let bits = |x: f64| x.to_bits();
        let (numbers, below) = match self.says {
            Says::About(current) | Says::Part(current) => {
                ([bits(current.value), bits(current.u)], false)
            }
            Says::Below { floor_a, u_a } => ([bits(floor_a), bits(u_a)], true),
        };
        let shared = self.shared.iter().map(|&(_, u_a)| bits(u_a)).collect();
        (
            self.leaves.len(),
            self.leaves.clone(),
            numbers,
            below,
            shared,
        )
    }
}

/// Density (1/A) or probability of a reading as a function of the sum.
#[derive(Debug, Clone, Copy)]
pub(super) struct Likelihood {
    below: bool,
    at_a: f64,
    u_a: f64,
    /// Factor of the sound part.
    good: f64,
    ln_good: f64,
    /// The worthless part, whatever the sum.
    pub(super) bad: f64,
    ln_bad: f64,
    /// Standard uncertainties from which on the sound part is lost in the other.
    lost_from: f64,
}

impl Likelihood {
    /// Natural logarithm at a sum, ampere.
    pub(super) fn ln(&self, sum_a: f64) -> f64 {
        if self.bad == 0.0 {
            let z = (sum_a - self.at_a) / self.u_a;
            return self.ln_good - 0.5 * z * z;
        }
        match self.sound(sum_a) {
            0.0 => self.ln_bad,
            sound => (sound + self.bad).ln(),
        }
    }

    /// Chance that the reading is worthless, were the sum this.
    pub(super) fn doubt(&self, sum_a: f64) -> f64 {
        self.bad / (self.sound(sum_a) + self.bad)
    }

    /// The sound part; 0 where it makes no difference.
    fn sound(&self, sum_a: f64) -> f64 {
        let z = (sum_a - self.at_a) / self.u_a;
        if z > self.lost_from || (!self.below && z < -self.lost_from) {
            0.0
        } else if self.below {
            self.good * upper_tail(z)
        } else {
            self.good * (-0.5 * z * z).exp()
        }
    }
}

impl Says {
    fn is_usable(self) -> bool {
        match self {
            Self::About(current) | Self::Part(current) => {
                current.value.is_finite() && current.u.is_finite()
            }
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
pub(crate) fn anything(shown_a: f64, reach_a: f64) -> f64 {
    const LEAST_A: f64 = 1e-3;
    1.0 / ((shown_a.abs() + LEAST_A) * (1.0 + reach_a / LEAST_A).ln())
}

/// P(Z > z) for a standard normal variable.
fn upper_tail(z: f64) -> f64 {
    0.5 * statrs::function::erf::erfc(z / std::f64::consts::SQRT_2)
}
