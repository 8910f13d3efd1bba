//! What a piece of work was worth, and tables of it.

use diagnosis::Belief;
use harness::FeedTree;
use rehearsal::fleet::{Action, Answer, Behaviour, Vehicle, Visit, work};

use crate::knowledge::LIMIT_A;

/// Something named as at fault; `None` for what is past the fuses.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Named {
    pub(crate) node: Option<usize>,
    pub(crate) p: f64,
}

/// One vehicle worked to the end.
#[derive(Debug, Clone, Default)]
pub(crate) struct Run {
    pub(crate) minutes: f64,
    pub(crate) tests: usize,
    pub(crate) woke: usize,
    pub(crate) right: bool,
    pub(crate) named: Vec<Named>,
    /// Settings lost before anybody was asked, and after.
    pub(crate) lost: usize,
    pub(crate) lost_allowed: usize,
    pub(crate) asked: bool,
    pub(crate) because: String,
    /// Stated probabilities of a fault and whether there was one, after every reading.
    pub(crate) stated: Vec<(f64, bool)>,
    /// The same of what was named in the end.
    pub(crate) stated_named: Vec<(f64, bool)>,
    pub(crate) trail: Vec<String>,
    pub(crate) spent: Spent,
}

/// Where the minutes went.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Spent {
    /// Reading the total.
    pub(crate) total: f64,
    /// Clamps and millivolts.
    pub(crate) in_place: f64,
    /// Hands at fuses and plugs.
    pub(crate) hands: f64,
    /// Waiting for sleep after a wake-up.
    pub(crate) asleep_again: f64,
    /// Waiting for a draw that had gone by itself.
    pub(crate) gone: f64,
}

impl Spent {
    fn of(visit: &Visit<'_>) -> Self {
        let mut spent = Self::default();
        for done in visit.done() {
            let busy = done.minutes - done.waited_min;
            spent.asleep_again += done.waited_min;
            match &done.action {
                Action::InLine => spent.total += busy,
                Action::Clamp(node) if *node == FeedTree::ROOT => spent.total += busy,
                Action::Clamp(_) | Action::Millivolt(_) => spent.in_place += busy,
                Action::Wait(_) => spent.gone += busy,
                _ => spent.hands += busy,
            }
        }
        spent
    }
}

impl Run {
    /// Notes what is believed now.
    pub(crate) fn state(&mut self, vehicle: &Vehicle, tree: &FeedTree, belief: &Belief) {
        for &leaf in tree.leaves() {
            let p = belief.nodes[leaf].p_fault;
            self.stated.push((p, at_fault(vehicle, Some(leaf))));
        }
        let outside = at_fault(vehicle, None);
        self.stated.push((belief.elsewhere.p_fault, outside));
    }

    /// Notes what a test did.
    pub(crate) fn saw(&mut self, action: &Action, answer: &Answer, allowed: bool) {
        self.tests += 1;
        self.woke += usize::from(answer.woke);
        let lost = answer.lost_settings.len();
        if allowed {
            self.lost_allowed += lost;
        } else {
            self.lost += lost;
        }
        self.trail.push(format!(
            "{action:?} {:?} {:.1} min",
            answer.shown, answer.minutes
        ));
    }

    /// Compares with the truth.
    ///
    /// Right is who names only what is at fault, and enough of it: once it is repaired the
    /// vehicle keeps to the limit.
    pub(crate) fn end(mut self, vehicle: &Vehicle, visit: &Visit<'_>, named: Vec<Named>) -> Self {
        self.minutes = visit.minutes();
        self.spent = Spent::of(visit);
        let faults = vehicle.faults();
        let repaired = |at: usize| named.iter().any(|n| n.node == faults[at].node);
        let only = named.iter().all(|n| at_fault(vehicle, n.node));
        self.right = only && !named.is_empty() && vehicle.settled_a(repaired) <= LIMIT_A;
        self.stated_named = named
            .iter()
            .map(|n| (n.p, at_fault(vehicle, n.node)))
            .collect();
        self.named = named;
        self
    }
}

fn at_fault(vehicle: &Vehicle, node: Option<usize>) -> bool {
    vehicle.faults().iter().any(|fault| fault.node == node)
}

/// Least minutes of somebody who knows where every fault is and only has to show it: the
/// total, then the cheapest test at each fault, nothing waking.
pub(crate) fn clairvoyant_min(vehicle: &Vehicle) -> f64 {
    let tree = vehicle.tree();
    let total = if vehicle.kit().clamp.is_some() {
        work().of("clamp")
    } else {
        work().of("in_line")
    };
    let shows = |node: usize| {
        let fuse = tree.supplying_fuse(node);
        match fuse {
            Some(fuse) if tree.node(fuse).in_place => work().of("millivolt"),
            _ => {
                let clamp = work().of("clamp");
                // Alone on its cable, a clamp tells; else its fuse has to come out.
                let alone = tree
                    .parent(node)
                    .is_some_and(|up| tree.leaves_below(up).len() == 1);
                let pull = work().access_min(vehicle.place(node)) + work().of("settle");
                if alone && vehicle.kit().clamp.is_some() {
                    clamp
                } else {
                    pull
                }
            }
        }
    };
    let way = work().of("change_place");
    let faults = vehicle.faults().iter();
    total
        + faults
            .filter_map(|fault| fault.node)
            .map(|node| way + shows(node))
            .sum::<f64>()
}

/// What is particular about a vehicle, for a table of failures.
pub(crate) fn particular(vehicle: &Vehicle) -> &'static str {
    let faults = vehicle.faults();
    let goes = |b: &Behaviour| !matches!(b, Behaviour::Steady);
    if faults.len() > 1 {
        "two faults"
    } else if faults.iter().any(|f| goes(&f.behaviour)) {
        "comes and goes"
    } else if faults.iter().any(|f| f.node.is_none()) {
        "past the fuses"
    } else if faults.iter().any(|f| f.in_wiring) {
        "in the wiring"
    } else {
        "one steady fault"
    }
}
