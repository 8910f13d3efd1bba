//! One circuit of a virtual vehicle over time, and what was done to the vehicle.

use std::collections::BTreeSet;

use crate::WakeHabit;

/// A circuit as it really is.
#[derive(Debug, Clone, PartialEq)]
pub struct Load {
    /// The leaf of the tree it hangs behind; several may hang behind one.
    pub node: usize,
    /// Settled draw when healthy, ampere.
    pub asleep_a: f64,
    /// Draw while awake, ampere.
    pub awake_a: f64,
    /// Seconds from being roused until it sleeps.
    pub timer_s: f64,
    /// Whether the network rouses it.
    pub on_bus: bool,
    /// Whether stored settings hang on its supply.
    pub keeps_settings: bool,
    /// Returns from sleep that are as they should be.
    pub reports: Option<WakeHabit>,
}

/// What was done to a vehicle, as far as it matters for its draw.
#[derive(Debug, Clone, PartialEq)]
pub struct State {
    /// When the network was roused last, seconds after locking.
    pub woken_s: f64,
    /// Factor on all timers since then: a disturbance wakes for another while than a drive.
    pub pace: f64,
    /// Nodes whose supply is cut.
    pub out: BTreeSet<usize>,
    /// Nodes whose loads are unplugged, their wiring still supplied.
    pub unplugged: BTreeSet<usize>,
    /// Faults that are repaired, by number.
    pub mended: BTreeSet<usize>,
}

impl State {
    /// Just locked.
    pub fn locked() -> Self {
        Self {
            woken_s: 0.0,
            pace: 1.0,
            out: BTreeSet::new(),
            unplugged: BTreeSet::new(),
            mended: BTreeSet::new(),
        }
    }
}

impl Load {
    /// Its draw without faults at `time_s` after locking, ampere; `roused` when something
    /// keeps the network awake.
    pub(super) fn current_a(&self, time_s: f64, state: &State, roused: bool) -> f64 {
        let (since, timer) = if self.on_bus {
            (time_s - state.woken_s, self.timer_s * state.pace)
        } else {
            (time_s, self.timer_s)
        };
        if since < timer || (roused && self.on_bus) {
            return self.awake_a.max(self.asleep_a);
        }
        match self.reports {
            Some(habit) if time_s.rem_euclid(habit.period_s) < habit.duration_s => habit.current_a,
            _ => self.asleep_a,
        }
    }
}
