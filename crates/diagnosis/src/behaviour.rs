//! What a log's behaviour in time says of the circuits, beside the level it settles at.
//!
//! A circuit's odds to be at fault are multiplied by the Bayes factor
//! ∏ f_b^s_b over the behaviours b, where f_b is how many times likelier the
//! behaviour shows when such a circuit is at fault (the family's `behaves`)
//! and s_b, 0 to 1, how plainly it was shown; the product is kept within 1/10
//! to 10. Power priors weigh half-seen evidence in the same way (Ibrahim and
//! Chen 2000, "Power prior distributions for regression models", from memory).
//! A behaviour tells *which* circuit, not how many: where the chances would
//! sum to more than before, all are scaled back to that sum.

use harness::{
    FeedTree,
    behaviour::{Behaves, Behaviour, MOST},
    family::Families,
};

use crate::{LoadModels, model::family_of};

/// How plainly a log shows each behaviour, 0 (not at all) to 1.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct TraceBehaviour {
    /// Wake-ups at equal distances.
    pub wakes: f64,
    /// Sleep that does not come, or does not last.
    pub keeps_awake: f64,
    /// A draw that falls step by step and stops above the limit.
    pub stalls: f64,
}

impl TraceBehaviour {
    /// How plainly one was shown, 0 to 1.
    pub fn shown(&self, behaviour: Behaviour) -> f64 {
        let shown = match behaviour {
            Behaviour::Wakes => self.wakes,
            Behaviour::KeepsAwake => self.keeps_awake,
            Behaviour::Stalls => self.stalls,
        };
        // A NaN says nothing.
        if shown > 0.0 { shown.min(1.0) } else { 0.0 }
    }

    /// The Bayes factor for a circuit that behaves so, 1/10 to 10.
    pub fn factor(&self, behaves: &Behaves) -> f64 {
        let each = Behaviour::ALL.iter();
        let factor: f64 = each
            .map(|&b| behaves.factor(b).powf(self.shown(b)))
            .product();
        factor.clamp(1.0 / MOST, MOST)
    }

    fn says_nothing(&self) -> bool {
        Behaviour::ALL.iter().all(|&b| self.shown(b) == 0.0)
    }
}

impl LoadModels {
    /// The same after a log was looked at; unchanged where it shows no behaviour.
    pub fn informed(
        mut self,
        tree: &FeedTree,
        families: &Families,
        behaviour: &TraceBehaviour,
    ) -> Self {
        if behaviour.says_nothing() {
            return self;
        }
        let (mut before, mut after) = (0.0, 0.0);
        for &leaf in tree.leaves() {
            let behaves = &family_of(tree.node(leaf), families).behaves;
            if let Some(model) = self.get_mut(leaf) {
                before += model.prior_fault;
                let odds = behaviour.factor(behaves) * model.prior_fault;
                // p·f / (p·f + 1 − p): holds at 0 and 1 too.
                model.prior_fault = odds / (odds + 1.0 - model.prior_fault);
                after += model.prior_fault;
            }
        }
        if after > before {
            for &leaf in tree.leaves() {
                if let Some(model) = self.get_mut(leaf) {
                    model.prior_fault *= before / after;
                }
            }
        }
        self
    }
}
