//! The steps of a hook-up in order, each with its caution and with what it
//! does to the vehicle's supply.
//!
//! The order is common practice for a test that must not lose settings: a
//! fused bypass goes on before anything is loosened and comes off last. What
//! the cautions say has its sources in [`caution`](crate::caution).

use measure::How;

use crate::caution::{Caution, TestKind, for_test};

/// What feeds the vehicle during a step.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Supply {
    /// Its own battery through its own cable: nothing can interrupt it.
    Untouched,
    /// The bypass lead; interrupted only if that slips off or its fuse blows.
    Bypass,
    /// The meter alone; interrupted when its fuse blows or a lead slips.
    Meter,
    /// The shunt alone; it has no fuse that could blow.
    Shunt,
}

impl Supply {
    /// Whether a waking vehicle alone can interrupt it.
    pub const fn waking_interrupts(self) -> bool {
        matches!(self, Self::Meter)
    }

    /// A few words for people.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Untouched => "supply untouched",
            Self::Bypass => "supply through the bypass",
            Self::Meter => "supply through the meter's fuse",
            Self::Shunt => "supply through the shunt",
        }
    }

    /// The word for it in output for programs.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Untouched => "untouched",
            Self::Bypass => "bypass",
            Self::Meter => "meter",
            Self::Shunt => "shunt",
        }
    }
}

/// One step.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Step {
    /// What to do.
    pub text: &'static str,
    /// What it touches, and so which caution applies.
    pub kind: TestKind,
    /// What feeds the vehicle once it is done.
    pub supply: Supply,
}

impl Step {
    /// The caution of this step.
    pub fn caution(self) -> &'static Caution {
        for_test(self.kind)
    }
}

/// The steps of fitting, reading and taking off again, in order.
pub const fn steps(how: How) -> &'static [Step] {
    match how {
        How::Clamp => CLAMP,
        How::InLine => IN_LINE,
        How::Millivolt => MILLIVOLT,
        How::Shunt => SHUNT,
    }
}

/// Whether settings may be kept alive during the work.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Settings {
    /// Whether they may.
    pub keep: bool,
    /// Why, one sentence or two.
    pub why: &'static str,
    /// Where that comes from.
    pub source: &'static str,
}

/// Whether settings may be kept alive: for a search with airbags untouched
/// yes, by the bypass rather than by a feed; for airbag work never.
pub const fn settings(airbag_work: bool) -> Settings {
    if airbag_work {
        // Titles: Lexus CT 200h 2011 workshop manual, Air bag arming/disarming precautions;
        // Mazda MX-5 2024 workshop manual, Negative battery terminal disconnection.
        Settings {
            keep: false,
            why: "Airbag work needs a dead supply: no bypass, no memory-keeping supply, no meter. \
                  Ignition off, negative off, and wait as long as the vehicle maker's service \
                  information says; leave the work to qualified people.",
            source: "vehicle makers' workshop manuals on airbag precautions, 2011 and 2024",
        }
    } else {
        // Title: Ford workshop manuals, Battery Drain Check.
        Settings {
            keep: true,
            why: "With airbag circuits left alone the supply may stay up; prefer the fused bypass \
                  to a memory-keeping supply, which feeds through thin wires.",
            source: "common practice; vehicle makers' workshop manuals on the battery drain check",
        }
    }
}

const fn step(kind: TestKind, supply: Supply, text: &'static str) -> Step {
    Step { text, kind, supply }
}

const CLOSE_UP: Step = step(
    TestKind::WaitForSleep,
    Supply::Untouched,
    "Switch everything off, latch doors and bonnet by hand, keep the key away.",
);

const CLAMP: &[Step] = &[
    CLOSE_UP,
    step(
        TestKind::Clamp,
        Supply::Untouched,
        "Set the clamp to zero beside the cable, jaws shut, held as it will hang.",
    ),
    step(
        TestKind::Clamp,
        Supply::Untouched,
        "Close it around all negative cables together, or around each in turn and add up.",
    ),
    step(
        TestKind::WaitForSleep,
        Supply::Untouched,
        "Wait until the vehicle sleeps and read.",
    ),
    step(
        TestKind::Clamp,
        Supply::Untouched,
        "Turn the clamp round and read again: half the difference is free of the zero.",
    ),
    step(
        TestKind::Clamp,
        Supply::Untouched,
        "Take it off and look whether it still shows zero; if not, read again.",
    ),
];

const MILLIVOLT: &[Step] = &[
    CLOSE_UP,
    step(
        TestKind::Millivolt,
        Supply::Untouched,
        "Set the meter to millivolts, leads in the voltage sockets; hold the tips together and note the zero.",
    ),
    step(
        TestKind::WaitForSleep,
        Supply::Untouched,
        "Wait until the vehicle sleeps.",
    ),
    step(
        TestKind::Millivolt,
        Supply::Untouched,
        "Touch both test points of the fuse, in its place, and read once it stands still.",
    ),
    step(
        TestKind::Millivolt,
        Supply::Untouched,
        "Swap the tips and read again: half the difference is free of the zero.",
    ),
];

const BYPASS_ON: Step = step(
    TestKind::InLine,
    Supply::Untouched,
    "Clip the fused bypass from the negative post to the cable's clamp, on clean metal.",
);
const CLAMP_OFF: Step = step(
    TestKind::Terminals,
    Supply::Bypass,
    "Loosen the clamp and lift it off the post; the bypass now feeds the vehicle.",
);
const BYPASS_BACK: Step = step(
    TestKind::InLine,
    Supply::Bypass,
    "Clip the bypass back on first, at both ends.",
);
const CLAMP_BACK: Step = step(
    TestKind::Terminals,
    Supply::Untouched,
    "Put the clamp back on the post and tighten it.",
);
const BYPASS_OFF: Step = step(
    TestKind::InLine,
    Supply::Untouched,
    "Take the bypass off last.",
);

const IN_LINE: &[Step] = &[
    CLOSE_UP,
    step(
        TestKind::InLine,
        Supply::Untouched,
        "Put the lead into the 10 A socket and set the meter to direct current.",
    ),
    BYPASS_ON,
    CLAMP_OFF,
    step(
        TestKind::InLine,
        Supply::Bypass,
        "Clip the meter between post and clamp, beside the bypass.",
    ),
    step(
        TestKind::InLine,
        Supply::Meter,
        "Take the bypass off at one end: from here on the reading is true.",
    ),
    step(
        TestKind::Terminals,
        Supply::Meter,
        "Check: let the clamp touch the post. The reading must fall to nearly nothing, and come back.",
    ),
    step(
        TestKind::WaitForSleep,
        Supply::Meter,
        "Wait until the vehicle sleeps and read.",
    ),
    BYPASS_BACK,
    CLAMP_BACK,
    step(
        TestKind::InLine,
        Supply::Untouched,
        "Take the meter off and put its lead back into the voltage socket.",
    ),
    BYPASS_OFF,
];

const SHUNT: &[Step] = &[
    CLOSE_UP,
    BYPASS_ON,
    CLAMP_OFF,
    step(
        TestKind::Terminals,
        Supply::Bypass,
        "Bolt the shunt between post and clamp, its sense wires on the inner screws.",
    ),
    step(
        TestKind::InLine,
        Supply::Shunt,
        "Take the bypass off at one end: from here on the reading is true.",
    ),
    step(
        TestKind::InLine,
        Supply::Shunt,
        "Check: switch one small lamp on; the reading must rise by its current, and come back.",
    ),
    step(
        TestKind::WaitForSleep,
        Supply::Shunt,
        "Wait until the vehicle sleeps and read, or record the night.",
    ),
    BYPASS_BACK,
    step(
        TestKind::Terminals,
        Supply::Bypass,
        "Unbolt the shunt while the bypass feeds the vehicle.",
    ),
    CLAMP_BACK,
    BYPASS_OFF,
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_is_loosened_before_the_bypass_is_on() {
        for how in [How::InLine, How::Shunt] {
            let steps = steps(how);
            let at = |wanted: &Step| steps.iter().position(|s| s == wanted).unwrap();
            assert!(at(&BYPASS_ON) < at(&CLAMP_OFF));
            assert!(at(&BYPASS_BACK) < at(&CLAMP_BACK) && at(&CLAMP_BACK) < at(&BYPASS_OFF));
            // From one step to the next a path is added before another is taken away:
            // the meter alone never follows on the cable alone, nor the other way round.
            for pair in steps.windows(2) {
                let alone = |s: Supply| matches!(s, Supply::Meter | Supply::Shunt);
                let jump = (pair[0].supply == Supply::Untouched && alone(pair[1].supply))
                    || (alone(pair[0].supply) && pair[1].supply == Supply::Untouched);
                assert!(!jump, "{pair:?}");
            }
            assert_eq!(steps.last().map(|s| s.supply), Some(Supply::Untouched));
        }
    }

    #[test]
    fn clamp_and_millivolts_leave_the_supply_alone() {
        for how in [How::Clamp, How::Millivolt] {
            assert!(steps(how).iter().all(|s| s.supply == Supply::Untouched));
        }
        assert!(
            steps(How::InLine)
                .iter()
                .any(|s| s.supply.waking_interrupts())
        );
        assert!(
            !steps(How::Shunt)
                .iter()
                .any(|s| s.supply.waking_interrupts())
        );
    }

    #[test]
    fn airbag_work_forbids_what_a_search_allows() {
        let (search, airbag) = (settings(false), settings(true));
        assert!(search.keep && !airbag.keep);
        assert!(airbag.why.contains("dead supply") && airbag.why.contains("qualified"));
        for &how in How::ALL {
            for step in steps(how) {
                assert!(step.text.ends_with('.') && !step.text.contains("  "));
                assert!(!step.caution().text.is_empty());
            }
        }
    }
}
