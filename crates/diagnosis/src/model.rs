//! How much a load draws when all is well and when it is not.

use harness::FeedTree;

/// A log-normal distribution of a current.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LogNormal {
    /// Median, ampere; at or below zero the load draws nothing.
    pub median_a: f64,
    /// Standard deviation of the natural logarithm.
    pub log_sd: f64,
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
}

/// One model for each leaf of a tree.
#[derive(Debug, Clone, PartialEq)]
pub struct LoadModels {
    models: Vec<Option<LoadModel>>,
}

impl LoadModels {
    /// Models from a function of the leaf's node number.
    pub fn with(tree: &FeedTree, mut model: impl FnMut(usize) -> LoadModel) -> Self {
        let mut models = vec![None; tree.len()];
        for &leaf in tree.leaves() {
            models[leaf] = Some(model(leaf));
        }
        Self { models }
    }

    /// The model of a leaf; `None` for nodes that feed others.
    pub fn get(&self, node: usize) -> Option<&LoadModel> {
        self.models.get(node).and_then(Option::as_ref)
    }
}
