//! A parked vehicle as it really is: each load's current at each moment.

use harness::{FeedTree, NodeId};
use tongue::{Message, say};

/// What a load does over time, seconds counted from the moment the vehicle is
/// locked.
#[derive(Debug, Clone, PartialEq)]
pub struct VirtualLoad {
    /// The leaf of the feed tree that it is.
    pub node: NodeId,
    /// Current once asleep, ampere; the fault's part included if it has one.
    pub asleep_a: f64,
    /// The fault's part of that, ampere: what a repair takes away.
    pub fault_a: f64,
    /// What it does before it sleeps; none for loads that never change.
    pub activity: Option<Activity>,
    /// Returns from sleep.
    pub wake: Option<WakeHabit>,
}

/// A load that stays awake for a while after locking.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Activity {
    /// Current while awake, ampere.
    pub awake_a: f64,
    /// Seconds after locking until it sleeps.
    pub sleeps_after_s: f64,
}

/// A load that comes back at intervals.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WakeHabit {
    /// Seconds from one return to the next.
    pub period_s: f64,
    /// Seconds of each return.
    pub duration_s: f64,
    /// Current during a return, ampere.
    pub current_a: f64,
}

impl VirtualLoad {
    /// A load that draws the same all the time.
    pub fn steady(node: &str, current_a: f64) -> Self {
        Self {
            node: NodeId(node.into()),
            asleep_a: current_a,
            fault_a: 0.0,
            activity: None,
            wake: None,
        }
    }

    /// The same load with `fault_a` more, ampere, until it is repaired.
    pub fn faulty(mut self, fault_a: f64) -> Self {
        self.asleep_a += fault_a;
        self.fault_a += fault_a;
        self
    }

    /// The same load, awake at first.
    pub fn awake(mut self, awake_a: f64, sleeps_after_s: f64) -> Self {
        self.activity = Some(Activity {
            awake_a,
            sleeps_after_s,
        });
        self
    }

    /// The same load, coming back at intervals.
    pub fn waking(mut self, period_s: f64, duration_s: f64, current_a: f64) -> Self {
        self.wake = Some(WakeHabit {
            period_s,
            duration_s,
            current_a,
        });
        self
    }

    /// Current at `time_s` after locking, ampere.
    pub fn current_a(&self, time_s: f64) -> f64 {
        let sleeps_at = match self.activity {
            Some(activity) if time_s < activity.sleeps_after_s => return activity.awake_a,
            Some(activity) => activity.sleeps_after_s,
            None => 0.0,
        };
        match self.wake {
            Some(wake) if in_return(wake, time_s - sleeps_at) => wake.current_a,
            _ => self.asleep_a,
        }
    }
}

/// The first return comes one period after falling asleep.
fn in_return(wake: WakeHabit, since_sleep_s: f64) -> bool {
    since_sleep_s >= wake.period_s && since_sleep_s % wake.period_s < wake.duration_s
}

/// Why a vehicle cannot be put together.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{}", self.message())]
pub enum VehicleError {
    /// The feed tree is none.
    Tree(harness::TreeError),
    /// A load is not in the feed tree.
    NoSuchNode(NodeId),
    /// A load sits at a node that feeds others.
    NotALeaf(NodeId),
}

impl VehicleError {
    /// One sentence.
    pub fn message(&self) -> Message {
        match self {
            Self::Tree(error) => error.sentence(),
            Self::NoSuchNode(id) => say::practice::load_nowhere(&id.0),
            Self::NotALeaf(id) => say::practice::load_feeds(&id.0),
        }
    }
}

/// A parked vehicle.
#[derive(Debug, Clone)]
pub struct VirtualVehicle {
    tree: FeedTree,
    /// Per node of the tree the load that sits there.
    loads: Vec<Option<VirtualLoad>>,
}

impl VirtualVehicle {
    /// A vehicle with these loads; leaves without one draw nothing.
    ///
    /// # Errors
    /// When a load names no leaf of the tree.
    pub fn new(tree: FeedTree, loads: Vec<VirtualLoad>) -> Result<Self, VehicleError> {
        let mut by_node = vec![None; tree.len()];
        for load in loads {
            let index = tree
                .index(&load.node)
                .ok_or_else(|| VehicleError::NoSuchNode(load.node.clone()))?;
            if !tree.is_leaf(index) {
                return Err(VehicleError::NotALeaf(load.node));
            }
            by_node[index] = Some(load);
        }
        Ok(Self {
            tree,
            loads: by_node,
        })
    }

    /// The feed tree.
    pub fn tree(&self) -> &FeedTree {
        &self.tree
    }

    /// Takes the faults away from every load at or below the node at index `node`.
    pub fn repair(&mut self, node: usize) {
        for leaf in self.tree.leaves_below(node) {
            if let Some(load) = self.loads.get_mut(*leaf).and_then(Option::as_mut) {
                load.asleep_a -= std::mem::take(&mut load.fault_a);
            }
        }
    }

    /// True current through the node at index `node`, ampere, with the nodes in
    /// `pulled` out. Pulling does not disturb timers here.
    pub fn current_a(&self, node: usize, time_s: f64, pulled: &[usize]) -> f64 {
        self.tree
            .leaves_below(node)
            .iter()
            .filter(|leaf| {
                !self
                    .tree
                    .path(**leaf)
                    .iter()
                    .any(|above| pulled.contains(above))
            })
            .filter_map(|leaf| self.loads[*leaf].as_ref())
            .map(|load| load.current_a(time_s))
            .sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_load_sleeps_and_comes_back() {
        let load = VirtualLoad::steady("x", 0.01)
            .awake(1.0, 60.0)
            .waking(100.0, 10.0, 0.5);
        assert_eq!(load.current_a(59.0), 1.0);
        assert_eq!(load.current_a(60.0), 0.01);
        assert_eq!(load.current_a(159.0), 0.01);
        assert_eq!(load.current_a(160.0), 0.5);
        assert_eq!(load.current_a(170.0), 0.01);
        assert_eq!(load.current_a(260.0), 0.5);
    }
}
