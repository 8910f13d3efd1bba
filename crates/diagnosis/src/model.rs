//! How much a load draws when all is well and when it is not.

use harness::{
    FeedTree, NodeKind, NodeSpec,
    family::{Families, Family, WIRING},
};

use crate::History;

/// How well a normal draw stated for one load is known, as a standard deviation
/// of its logarithm (from memory).
const STATED_LOG_SD: f64 = 0.3;

/// Faults expected in a vehicle with a flat battery, at most: usually one,
/// sometimes two (from memory). Families know nothing of how many circuits a
/// vehicle has, so their chances are scaled down to this sum.
const EXPECTED_FAULTS: f64 = 1.1;

/// Share of a family's faults whose size none of its listed ways tells: chafed
/// wiring, water in a connector, a part of another size (from memory).
const OTHER_SHARE: f64 = 0.15;
/// The draw such a fault adds: from a few milliampere to several ampere (from
/// memory). Without it a draw of a size that nobody listed would count as a
/// misread meter, however plainly the total falls when the fuse is pulled.
const OTHER_DRAW: LogNormal = LogNormal {
    median_a: 0.15,
    log_sd: 1.2,
};

/// Settled draw expected of a whole sound vehicle, ampere, at most: families know
/// nothing of how many circuits share it, so their normal draws are scaled down to this
/// sum. Between "25 to 50 mA depending on accessories" (Ford workshop manuals,
/// Battery Drain Check) and "5 to 35 mA normal" (Jeep KJ 2007 workshop manual).
const SOUND_TOTAL_A: f64 = 0.04;

/// Chance that a repair has not ended the fault (from memory).
const REPAIR_FAILS: f64 = 0.01;

/// A log-normal distribution of a current.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LogNormal {
    /// Median, ampere; at or below zero the load draws nothing.
    pub median_a: f64,
    /// Standard deviation of the natural logarithm.
    pub log_sd: f64,
}

impl LogNormal {
    /// The current `z` standard deviations (of its logarithm) from the median, ampere.
    pub fn at(self, z: f64) -> f64 {
        if self.median_a > 0.0 {
            self.median_a * (self.log_sd * z).exp()
        } else {
            0.0
        }
    }

    /// Density of its natural logarithm at a current above 0; it draws nothing, then nowhere.
    fn density(self, at_a: f64) -> f64 {
        if self.median_a <= 0.0 || self.log_sd <= 0.0 {
            return 0.0;
        }
        let z = (at_a / self.median_a).ln() / self.log_sd;
        (-0.5 * z * z).exp() / self.log_sd
    }

    /// Mean, ampere: median·exp(σ²/2).
    pub fn mean_a(self) -> f64 {
        if self.median_a > 0.0 {
            self.median_a * (self.log_sd * self.log_sd / 2.0).exp()
        } else {
            0.0
        }
    }
}

/// One way of being at fault, with the size of draw that goes with it.
#[derive(Debug, Clone, PartialEq)]
pub struct Component {
    /// Its share among the family's faults; shares are normalised.
    pub weight: f64,
    /// The draw it *adds* to the normal one.
    pub draw: LogNormal,
    /// Words for people: "relay stuck".
    pub what: String,
}

/// What is known of a load before anything is read.
#[derive(Debug, Clone, PartialEq)]
pub struct LoadModel {
    /// Chance that it is at fault, 0 to 1.
    pub prior_fault: f64,
    /// Its settled draw when healthy.
    pub normal: LogNormal,
    /// The ways it can be at fault.
    pub fault: Vec<Component>,
    /// Minutes to reach it for pulling or unplugging.
    pub access_min: f64,
    /// Chance that interrupting and restoring its supply wakes the vehicle.
    pub wake_chance: f64,
    /// Family name, for grouping and for sentences.
    pub family: String,
    /// Whether losing its supply loses stored settings, by its family.
    pub keeps_settings: bool,
    /// The caution that any test on it needs beyond that of the test itself.
    pub caution: Option<harness::caution::TestKind>,
}

impl LoadModel {
    /// How likely a fault that adds this much is, against others of the same current.
    pub(crate) fn chance_at(&self, over_a: f64) -> f64 {
        let all: f64 = self.fault.iter().map(|way| way.weight).sum();
        let ways = self.fault.iter();
        let density: f64 = ways.map(|way| way.weight * way.draw.density(over_a)).sum();
        self.prior_fault * density / all.max(f64::MIN_POSITIVE)
    }
}

/// One model for each leaf of a tree.
#[derive(Debug, Clone, PartialEq)]
pub struct LoadModels {
    models: Vec<Option<LoadModel>>,
    /// What the chances of families were multiplied with, so that they sum to what a vehicle has.
    scale: f64,
}

impl LoadModels {
    /// Models from a function of the leaf's node number.
    pub fn with(tree: &FeedTree, mut model: impl FnMut(usize) -> LoadModel) -> Self {
        let mut models = vec![None; tree.len()];
        for &leaf in tree.leaves() {
            models[leaf] = Some(model(leaf));
        }
        Self { models, scale: 1.0 }
    }

    /// Models from load families: the one a node names, else the one its label
    /// or name suggests. A stated prior or normal draw beats the family's.
    pub fn from_families(tree: &FeedTree, families: &Families) -> Self {
        Self::from_history(tree, families, &History::default())
    }

    /// The same with what finished jobs taught of families and circuits.
    pub fn from_history(tree: &FeedTree, families: &Families, history: &History) -> Self {
        let mut models = Self::with(tree, |leaf| {
            let spec = tree.node(leaf);
            model_of(spec, family_of(spec, families), history)
        });
        let stated = |node: usize| tree.node(node).prior.is_some();
        let sum = |models: &Self, which: bool| -> f64 {
            tree.leaves()
                .iter()
                .filter(|&&leaf| stated(leaf) == which)
                .filter_map(|&leaf| models.get(leaf))
                .map(|model| model.prior_fault)
                .sum()
        };
        let (from_family, from_person) = (sum(&models, false), sum(&models, true));
        let room = (EXPECTED_FAULTS - from_person).max(EXPECTED_FAULTS / 4.0);
        if from_family > room {
            models.scale = room / from_family;
            for (node, model) in models.models.iter_mut().enumerate() {
                if let (Some(model), false) = (model, stated(node)) {
                    model.prior_fault *= models.scale;
                }
            }
        }
        models.fit_sound_total(tree);
        models
    }

    /// The same after these leaves were repaired: what is left there is the chance that a
    /// repair fails.
    pub fn repaired(mut self, leaves: &[usize]) -> Self {
        for &leaf in leaves {
            if let Some(Some(model)) = self.models.get_mut(leaf) {
                model.prior_fault = model.prior_fault.min(REPAIR_FAILS);
            }
        }
        self
    }

    /// Scales the normal draws that nobody stated so that all together stay plausible.
    fn fit_sound_total(&mut self, tree: &FeedTree) {
        let stated = |node: usize| tree.node(node).normal_a.is_some();
        let sum = |which: bool| -> f64 {
            let models = self.models.iter().enumerate();
            models
                .filter(|(node, _)| stated(*node) == which)
                .filter_map(|(_, model)| Some(model.as_ref()?.normal.mean_a()))
                .sum()
        };
        let (from_family, from_person) = (sum(false), sum(true));
        let room = (SOUND_TOTAL_A - from_person).max(SOUND_TOTAL_A / 4.0);
        if from_family > room {
            for (node, model) in self.models.iter_mut().enumerate() {
                if let (Some(model), false) = (model, stated(node)) {
                    model.normal.median_a *= room / from_family;
                }
            }
        }
    }

    /// What would be known of the wiring of a fuse if it were a leaf of its own.
    pub(crate) fn wiring(&self) -> Option<LoadModel> {
        let family = Families::built_in().get(WIRING)?;
        let spec = NodeSpec::new(WIRING, WIRING, NodeKind::Load);
        let mut model = model_of(&spec, family, &History::default());
        model.prior_fault *= self.scale;
        Some(model)
    }

    pub(crate) fn get_mut(&mut self, node: usize) -> Option<&mut LoadModel> {
        self.models.get_mut(node).and_then(Option::as_mut)
    }

    /// The model of a leaf; `None` for nodes that feed others.
    pub fn get(&self, node: usize) -> Option<&LoadModel> {
        self.models.get(node).and_then(Option::as_ref)
    }
}

/// The family a node names, else the one that its words suggest.
pub fn family_of<'f>(spec: &NodeSpec, families: &'f Families) -> &'f Family {
    let named = spec.family.as_deref().and_then(|id| families.get(id));
    named.unwrap_or_else(|| {
        let words = spec
            .family
            .as_deref()
            .into_iter()
            .chain(spec.label.as_deref());
        let words: Vec<&str> = words.chain([spec.id.0.as_str()]).collect();
        families.guess(&words.join(" "))
    })
}

fn model_of(spec: &NodeSpec, family: &Family, history: &History) -> LoadModel {
    let log_normal = |of: harness::family::LogNormal| LogNormal {
        median_a: of.median_a,
        log_sd: of.log_sd,
    };
    let normal = match spec.normal_a {
        Some(median_a) => LogNormal {
            median_a,
            log_sd: STATED_LOG_SD,
        },
        None => log_normal(family.normal),
    };
    LoadModel {
        prior_fault: spec
            .prior
            .unwrap_or_else(|| history.chance(family, spec.label.as_deref())),
        normal,
        fault: family
            .faults
            .iter()
            .zip(history.shares(family))
            .map(|(fault, weight)| Component {
                weight: (1.0 - OTHER_SHARE) * weight,
                draw: log_normal(fault.draw),
                what: fault.what.clone(),
            })
            .chain([Component {
                weight: OTHER_SHARE,
                draw: OTHER_DRAW,
                what: "another fault in this circuit or its wiring".into(),
            }])
            .collect(),
        access_min: family.access_min,
        wake_chance: family.wake_chance,
        family: family.id.clone(),
        keeps_settings: spec.keeps_settings || family.keeps_settings,
        caution: family.caution,
    }
}
