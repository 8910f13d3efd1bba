//! What is wrong with a virtual vehicle.

use tongue::Message;

/// How a fault shows over time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Behaviour {
    /// It draws all the time.
    Steady,
    /// It draws for `on_s` out of every `on_s + off_s`, beginning `into_s` into the first of these.
    ComesAndGoes {
        /// Seconds on.
        on_s: f64,
        /// Seconds off.
        off_s: f64,
        /// Seconds of the cycle already over at locking.
        into_s: f64,
    },
    /// It draws for `burst_s` out of every `period_s`, and the whole network is awake meanwhile.
    Wakes {
        /// Seconds from one wake-up to the next.
        period_s: f64,
        /// Seconds of each.
        burst_s: f64,
        /// Seconds of the period already over at locking.
        into_s: f64,
    },
}

impl Behaviour {
    /// Whether it draws at `time_s` after locking.
    pub fn is_on(self, time_s: f64) -> bool {
        match self {
            Self::Steady => true,
            Self::ComesAndGoes {
                on_s,
                off_s,
                into_s,
            } => (time_s + into_s).rem_euclid(on_s + off_s) < on_s,
            Self::Wakes {
                period_s,
                burst_s,
                into_s,
            } => (time_s + into_s).rem_euclid(period_s) < burst_s,
        }
    }
}

/// One fault.
#[derive(Debug, Clone, PartialEq)]
pub struct Fault {
    /// The node of the tree whose draw it raises; `None` past everything listed.
    pub node: Option<usize>,
    /// Whether it is in the wiring, so that unplugging the load does not end it.
    pub in_wiring: bool,
    /// What it adds while it shows, ampere.
    pub size_a: f64,
    /// When it shows.
    pub behaviour: Behaviour,
    /// What it is: "boot lamp on".
    pub what: &'static str,
    /// The same in German.
    pub what_de: &'static str,
}

impl Fault {
    /// Words for people.
    pub fn words(&self) -> Message {
        Message::both(self.what, self.what_de)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_fault_shows_when_it_should() {
        let cycle = Behaviour::ComesAndGoes {
            on_s: 100.0,
            off_s: 50.0,
            into_s: 20.0,
        };
        let on = [0.0, 79.0, 81.0, 129.0, 131.0].map(|t| cycle.is_on(t));
        assert_eq!(on, [true, true, false, false, true]);
        assert!(Behaviour::Steady.is_on(1e9));
    }
}
