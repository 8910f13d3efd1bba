//! What finished jobs taught: how often circuits of a kind, and single
//! circuits by their label, were at fault, and in which way.
//!
//! A [`History`] is a count. One finished job is a history of one job; the
//! histories of several jobs add up, in any order, and are taken away again
//! without a trace, because every figure is a whole number of millionths.
//!
//! How the counts change a chance (Gelman et al., *Bayesian Data Analysis*,
//! 3rd ed. 2013; section 2.4 for the Beta, 3.4 for the Dirichlet distribution):
//!
//! * **Family.** The chance `p₀` of its data file is taken as the mean of
//!   Beta(s·p₀, s·(1−p₀)) with `s` = [`FAMILY_STRENGTH`]. After `n` circuits
//!   seen, `k` of them at fault, it is (s·p₀ + k) / (s + n).
//! * **Circuit.** The same once more with the family's new chance as `p₀` and
//!   `s` = [`CIRCUIT_STRENGTH`], for circuits of the family with this label.
//! * **Way.** The shares `w` of a family's faults are the mean of a Dirichlet
//!   distribution of strength [`WAY_STRENGTH`]. A fault's measured size is
//!   shared out among the ways by how well each explains it, by the shares of
//!   the data file; so it does not matter which job came first.
//!
//! A family's chance is scaled down in a vehicle of many circuits (see
//! [`crate::LoadModels`]). A circuit seen there counts as that part of a circuit
//! only; otherwise large vehicles alone would make every chance fall.

use std::collections::BTreeMap;

use harness::{
    FeedTree,
    family::{Families, Family, folded},
};

use crate::{LoadModels, model};

/// A family's chance counts as much as this many circuits seen (from memory:
/// a workshop's first dozen jobs should move it, and not turn it over).
pub const FAMILY_STRENGTH: f64 = 50.0;
/// A family's chance counts as much for one circuit as this many of it seen
/// (from memory: circuits of one label differ less than families do).
pub const CIRCUIT_STRENGTH: f64 = 20.0;
/// The shares of a family's faults count as much as this many faults (from memory).
pub const WAY_STRENGTH: f64 = 10.0;

/// Parts of one in which everything is counted.
const PARTS: f64 = 1e6;

/// Counts for one family, or for one circuit of it.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Tally {
    /// Jobs in which one was at fault.
    pub jobs: u64,
    /// Circuits seen, in millionths.
    pub seen: u64,
    /// Circuits at fault.
    pub at_fault: u64,
    /// Faults by the words of their way, in millionths.
    pub ways: BTreeMap<String, u64>,
}

/// Counts from finished jobs.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct History {
    /// Finished jobs counted.
    pub jobs: u64,
    /// By the family's id.
    pub families: BTreeMap<String, Tally>,
    /// By the family's id and the folded label.
    pub circuits: BTreeMap<(String, String), Tally>,
}

/// What a history has to say about one circuit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Told {
    /// Finished jobs.
    pub jobs: u64,
    /// Of these, with a fault of this family.
    pub of_family: u64,
    /// Of these, with a fault of a circuit of this label.
    pub of_circuit: u64,
}

/// A circuit found at fault, for [`History::of_job`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Found {
    /// The leaf.
    pub node: usize,
    /// What the fault drew on top of the normal draw, ampere, when it was measured.
    pub size_a: Option<f64>,
}

impl Tally {
    fn add(&mut self, other: &Self) {
        self.jobs += other.jobs;
        self.seen += other.seen;
        self.at_fault += other.at_fault;
        for (way, count) in &other.ways {
            *self.ways.entry(way.clone()).or_default() += count;
        }
    }

    fn take(&mut self, other: &Self) {
        self.jobs = self.jobs.saturating_sub(other.jobs);
        self.seen = self.seen.saturating_sub(other.seen);
        self.at_fault = self.at_fault.saturating_sub(other.at_fault);
        for (way, count) in &other.ways {
            if let Some(own) = self.ways.get_mut(way) {
                *own = own.saturating_sub(*count);
            }
        }
        self.ways.retain(|_, count| *count > 0);
    }

    fn is_empty(&self) -> bool {
        *self == Self::default()
    }

    /// Mean of the Beta distribution of mean `p` and strength `strength` after these counts.
    fn chance(&self, p: f64, strength: f64) -> f64 {
        // A circuit at fault has been seen whole, however little its vehicle counts.
        let seen = (self.seen as f64 / PARTS).max(self.at_fault as f64);
        (strength * p + self.at_fault as f64) / (strength + seen)
    }
}

impl History {
    /// What one finished job teaches: every circuit of its tree was seen, and
    /// those in `found` were at fault.
    pub fn of_job(tree: &FeedTree, families: &Families, found: &[Found]) -> Self {
        let part = part_seen(tree, families);
        let mut history = Self {
            jobs: 1,
            ..Self::default()
        };
        for &leaf in tree.leaves() {
            let spec = tree.node(leaf);
            let family = model::family_of(spec, families);
            let mut tally = Tally {
                seen: part,
                ..Tally::default()
            };
            if let Some(fault) = found.iter().find(|fault| fault.node == leaf) {
                tally.at_fault = 1;
                tally.jobs = 1;
                if let Some(size_a) = fault.size_a {
                    tally.ways = ways(family, size_a);
                }
            }
            let add = |known: &mut Tally| {
                // Two circuits of one kind at fault are still one job.
                let jobs = known.jobs.max(tally.jobs);
                known.add(&tally);
                known.jobs = jobs;
            };
            add(history.families.entry(family.id.clone()).or_default());
            if let Some(label) = circuit(spec.label.as_deref()) {
                add(history
                    .circuits
                    .entry((family.id.clone(), label))
                    .or_default());
            }
        }
        history
    }

    /// Counts `other` too.
    pub fn add(&mut self, other: &Self) {
        self.jobs += other.jobs;
        for (id, tally) in &other.families {
            self.families.entry(id.clone()).or_default().add(tally);
        }
        for (id, tally) in &other.circuits {
            self.circuits.entry(id.clone()).or_default().add(tally);
        }
    }

    /// Takes `other` away again; what was never added is not missed.
    pub fn take(&mut self, other: &Self) {
        self.jobs = self.jobs.saturating_sub(other.jobs);
        for (id, tally) in &other.families {
            if let Some(own) = self.families.get_mut(id) {
                own.take(tally);
            }
        }
        for (id, tally) in &other.circuits {
            if let Some(own) = self.circuits.get_mut(id) {
                own.take(tally);
            }
        }
        self.families.retain(|_, tally| !tally.is_empty());
        self.circuits.retain(|_, tally| !tally.is_empty());
    }

    /// Chance that a circuit of this family and label is at fault, 0 to 1,
    /// before it is scaled to its vehicle.
    pub fn chance(&self, family: &Family, label: Option<&str>) -> f64 {
        let of_family = self
            .families
            .get(&family.id)
            .map_or(family.prior_fault, |tally| {
                tally.chance(family.prior_fault, FAMILY_STRENGTH)
            });
        self.circuit(family, label)
            .map_or(of_family, |tally| tally.chance(of_family, CIRCUIT_STRENGTH))
    }

    /// Shares of the family's faults, in its order; they sum to 1.
    pub fn shares(&self, family: &Family) -> Vec<f64> {
        let tally = self.families.get(&family.id);
        let seen = |what: &str| {
            let parts = tally.and_then(|tally| tally.ways.get(what)).copied();
            parts.unwrap_or(0) as f64 / PARTS
        };
        let raw: Vec<f64> = family
            .faults
            .iter()
            .map(|fault| WAY_STRENGTH * fault.weight + seen(&fault.what))
            .collect();
        let sum: f64 = raw.iter().sum();
        if tally.is_none_or(|tally| tally.ways.is_empty()) || sum <= 0.0 {
            // Bit for bit as in the data file when nothing was learned.
            return family.faults.iter().map(|fault| fault.weight).collect();
        }
        raw.into_iter().map(|share| share / sum).collect()
    }

    /// What there is to tell about a circuit; `None` when no finished job had
    /// a fault of its family.
    pub fn told(&self, family: &Family, label: Option<&str>) -> Option<Told> {
        let of_family = self.families.get(&family.id)?.jobs;
        let of_circuit = self.circuit(family, label).map_or(0, |tally| tally.jobs);
        (of_family > 0).then_some(Told {
            jobs: self.jobs,
            of_family,
            of_circuit,
        })
    }

    /// Ids of the families that were found at fault.
    pub fn at_fault(&self) -> Vec<&str> {
        let found = self.families.iter().filter(|(_, tally)| tally.at_fault > 0);
        found.map(|(id, _)| id.as_str()).collect()
    }

    fn circuit(&self, family: &Family, label: Option<&str>) -> Option<&Tally> {
        let label = circuit(label)?;
        self.circuits.get(&(family.id.clone(), label))
    }
}

/// The name a circuit is known by across vehicles.
fn circuit(label: Option<&str>) -> Option<String> {
    let folded = folded(label?);
    (!folded.is_empty()).then_some(folded)
}

/// How much of a circuit counts as seen in this vehicle, in millionths.
fn part_seen(tree: &FeedTree, families: &Families) -> u64 {
    let models = LoadModels::from_families(tree, families);
    let part = tree
        .leaves()
        .iter()
        .filter(|&&leaf| tree.node(leaf).prior.is_none())
        .filter_map(|&leaf| {
            let stated = model::family_of(tree.node(leaf), families).prior_fault;
            (stated > 0.0).then_some(models.get(leaf)?.prior_fault / stated)
        })
        .next()
        .unwrap_or(1.0);
    (part.clamp(0.0, 1.0) * PARTS).round() as u64
}

/// One fault of a measured size, shared out among the family's ways.
fn ways(family: &Family, size_a: f64) -> BTreeMap<String, u64> {
    if !(size_a > 0.0 && size_a.is_finite()) {
        return BTreeMap::new();
    }
    let fit = |fault: &harness::family::Fault| {
        let z = (size_a / fault.draw.median_a).ln() / fault.draw.log_sd;
        fault.weight * (-z * z / 2.0).exp() / fault.draw.log_sd
    };
    let sum: f64 = family.faults.iter().map(fit).sum();
    // A size that no way comes near says nothing about their shares.
    if sum < 1e-9 {
        return BTreeMap::new();
    }
    let mut ways = BTreeMap::new();
    for fault in &family.faults {
        let parts = (fit(fault) / sum * PARTS).round() as u64;
        if parts > 0 {
            *ways.entry(fault.what.clone()).or_default() += parts;
        }
    }
    ways
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lamp() -> &'static Family {
        harness::family::family("lamp").unwrap()
    }

    fn tally(seen: u64, at_fault: u64) -> Tally {
        Tally {
            seen: seen * PARTS as u64,
            at_fault,
            jobs: at_fault,
            ways: BTreeMap::new(),
        }
    }

    #[test]
    fn the_mean_is_that_of_the_beta_distribution() {
        // Bayesian Data Analysis, 3rd ed., section 2.4: the posterior mean of
        // Beta(α, β) after y of n is (α + y) / (α + β + n). 437 girls among 980
        // births under Beta(1, 1): 0.446.
        let births = tally(980, 437);
        assert!((births.chance(0.5, 2.0) - 438.0 / 982.0).abs() < 1e-12);
        assert!((births.chance(0.5, 2.0) - 0.446).abs() < 5e-4);
    }

    #[test]
    fn a_lamp_of_five_watts_counts_as_one() {
        let ways = ways(lamp(), 0.42);
        let five = ways["5 W lamp left on"] as f64 / PARTS;
        assert!(five > 0.95, "{ways:?}");
        assert!((ways.values().sum::<u64>() as f64 / PARTS - 1.0).abs() < 1e-5);
        assert!(super::ways(lamp(), 500.0).is_empty());
    }

    #[test]
    fn a_label_counts_beyond_its_family() {
        let mut history = History {
            jobs: 7,
            ..History::default()
        };
        history.families.insert("lamp".into(), tally(20, 3));
        history
            .circuits
            .insert(("lamp".into(), "load bay lamps".into()), tally(7, 3));
        let same = history.chance(lamp(), Some("Load-bay lamps"));
        let other = history.chance(lamp(), Some("Cab lamp"));
        let family = (50.0 * 0.05 + 3.0) / 70.0;
        assert!((other - family).abs() < 1e-12);
        assert!((same - (20.0 * family + 3.0) / 27.0).abs() < 1e-12);
        assert_eq!(
            history.told(lamp(), Some("LOAD BAY LAMPS")),
            Some(Told {
                jobs: 7,
                of_family: 3,
                of_circuit: 3
            })
        );
        assert_eq!(
            history.told(harness::family::family("audio").unwrap(), None),
            None
        );
    }
}
