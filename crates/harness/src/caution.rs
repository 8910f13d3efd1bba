//! The caution that applies to one step, and to no other.

use tongue::{Message, say};

/// What a step touches, as far as cautions go.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum TestKind {
    /// Clamp around a cable.
    Clamp,
    /// Ammeter in the circuit.
    InLine,
    /// Millivolts across a fuse in its place.
    Millivolt,
    /// Pulling and refitting a fuse.
    Pull,
    /// Unplugging or detaching a load.
    Detach,
    /// Waiting for the vehicle to fall asleep, closed up.
    WaitForSleep,
    /// The alternator and its main cable.
    Alternator,
    /// The battery's terminals and clamps.
    Terminals,
    /// Measuring at the battery without detaching anything.
    Battery,
    /// Loading the battery heavily.
    LoadTest,
    /// Charging, and measuring with the engine running.
    Charging,
    /// A supply that keeps settings alive while the battery is off.
    MemoryFeed,
    /// Airbag circuits.
    Airbag,
    /// High-voltage circuits of hybrid and electric vehicles.
    HighVoltage,
}

/// One caution.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Caution {
    /// What to heed, in whole sentences.
    pub text: Message,
    /// Where it comes from: publications, `common practice`.
    pub source: &'static str,
}

impl TestKind {
    /// All of them.
    pub const ALL: &'static [Self] = &[
        Self::Clamp,
        Self::InLine,
        Self::Millivolt,
        Self::Pull,
        Self::Detach,
        Self::WaitForSleep,
        Self::Alternator,
        Self::Terminals,
        Self::Battery,
        Self::LoadTest,
        Self::Charging,
        Self::MemoryFeed,
        Self::Airbag,
        Self::HighVoltage,
    ];

    /// The word for it in data files.
    pub fn as_str(self) -> &'static str {
        match self {
            Self::Clamp => "clamp",
            Self::InLine => "in-line",
            Self::Millivolt => "millivolt",
            Self::Pull => "pull",
            Self::Detach => "detach",
            Self::WaitForSleep => "wait-for-sleep",
            Self::Alternator => "alternator",
            Self::Terminals => "terminals",
            Self::Battery => "battery",
            Self::LoadTest => "load-test",
            Self::Charging => "charging",
            Self::MemoryFeed => "memory-feed",
            Self::Airbag => "airbag",
            Self::HighVoltage => "high-voltage",
        }
    }
}

/// The caution for a step of one kind.
///
/// The texts are our own; what they say comes from the sources named. They
/// stand beside the step and never replace the vehicle maker's service
/// information, local rules or a qualified person.
pub fn for_test(kind: TestKind) -> &'static Caution {
    match kind {
        TestKind::Clamp => &CLAMP,
        TestKind::InLine => &IN_LINE,
        TestKind::Millivolt => &MILLIVOLT,
        TestKind::Pull => &PULL,
        TestKind::Detach => &DETACH,
        TestKind::WaitForSleep => &WAIT_FOR_SLEEP,
        TestKind::Alternator => &ALTERNATOR,
        TestKind::Terminals => &TERMINALS,
        TestKind::Battery => &BATTERY,
        TestKind::LoadTest => &LOAD_TEST,
        TestKind::Charging => &CHARGING,
        TestKind::MemoryFeed => &MEMORY_FEED,
        TestKind::Airbag => &AIRBAG,
        TestKind::HighVoltage => &HIGH_VOLTAGE,
    }
}

static CLAMP: Caution = Caution {
    text: say::harness::caution_clamp(),
    // FMVSS: 49 CFR 571.305 / NHTSA final rule of 27 September 2017 (read through a quotation).
    source: "common practice; orange cables: 49 CFR 571.305 and NHTSA final rule, 2017",
};

static IN_LINE: Caution = Caution {
    text: say::harness::caution_in_line(),
    // Titles: Oldsmobile bulletin 1988 (section 8) and Chevrolet S10 2001 manual; Mercedes-Benz
    // CLK (208) 2001 workshop manual, Testing quiescent current; Ford workshop manuals, Battery
    // Drain Check; Chrysler Cirrus 1997 workshop manual, IOD tests.
    source: "vehicle makers' workshop manuals on testing the key-off current, 1988 to 2024",
};

static MILLIVOLT: Caution = Caution {
    text: say::harness::caution_millivolt(),
    // Titles: Mazda MX-5 2024 workshop manual; Lexus CT 200h 2011 workshop manual, Air bag
    // arming/disarming precautions.
    source: "common practice; airbags: vehicle makers' workshop manuals, 2011 and 2024",
};

static PULL: Caution = Caution {
    text: say::harness::caution_pull(),
    source: "common practice",
};

static DETACH: Caution = Caution {
    text: say::harness::caution_detach(),
    source: "common practice",
};

static WAIT_FOR_SLEEP: Caution = Caution {
    text: say::harness::caution_wait_for_sleep(),
    // Titles: Chrysler Cirrus 1997 workshop manual, IOD tests; Jeep Compass 2021 and Gladiator
    // 2023 workshop manuals, Ignition-Off Draw test.
    source: "vehicle makers' workshop manuals on the ignition-off draw, 1997 to 2023; key: common \
             practice",
};

static ALTERNATOR: Caution = Caution {
    text: say::harness::caution_alternator(),
    source: "common practice",
};

static TERMINALS: Caution = Caution {
    text: say::harness::caution_terminals(),
    // Titles: 29 CFR 1910.333(c)(8) Conductive apparel (read through a quotation); 29 CFR
    // 1910.178(g); TM 9-6140-200-14; Mazda MX-5 2024 workshop manual, Negative battery terminal
    // disconnection.
    source: "29 CFR 1910.333(c)(8); 29 CFR 1910.178(g); TM 9-6140-200-14 (US Army, 1998); a vehicle \
             maker's workshop manual, 2024",
};

static BATTERY: Caution = Caution {
    text: say::harness::caution_battery(),
    source: "29 CFR 1926.441; 29 CFR 1910.178(g); OSHA letter of interpretation, 26 January 1976; \
             TM 9-6140-200-14 (US Army, 1998)",
};

static LOAD_TEST: Caution = Caution {
    text: say::harness::caution_load_test(),
    source: "US Army Ordnance subcourse OD1002, lesson 2; TM 5-4210-230-14&P-1 (US Army); TM \
             10-6140-200-14 (US Army); 29 CFR 1926.441",
};

static CHARGING: Caution = Caution {
    text: say::harness::caution_charging(),
    source: "exhaust: common practice; US Army Ordnance subcourse OD1002, lesson 2; TM \
             10-6140-200-14 (US Army); 29 CFR 1926.441",
};

static MEMORY_FEED: Caution = Caution {
    text: say::harness::caution_memory_feed(),
    // Title: Lexus CT 200h 2011 workshop manual, Air bag arming/disarming precautions.
    source: "a vehicle maker's workshop manual on airbag precautions, 2011; the rest common practice",
};

static AIRBAG: Caution = Caution {
    text: say::harness::caution_airbag(),
    // Titles: Mazda MX-5 2024 workshop manual, Negative battery terminal disconnection (1 minute);
    // Lexus CT 200h 2011 workshop manual, Air bag arming/disarming precautions (90 seconds).
    source: "vehicle makers' workshop manuals on airbag precautions, 2007 to 2024",
};

static HIGH_VOLTAGE: Caution = Caution {
    text: say::harness::caution_high_voltage(),
    // Titles: 49 CFR 571.305 / NHTSA final rule 27 Sep 2017 (read through a quotation); Toyota
    // Camry Hybrid 2007 emergency response warnings.
    source: "49 CFR 571.305 and NHTSA final rule, 2017; a vehicle maker's emergency response warnings, \
             2007; charging while parked: common practice",
};

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_step_has_its_own_caution_with_a_source() {
        for (at, &kind) in TestKind::ALL.iter().enumerate() {
            let caution = for_test(kind);
            assert!(
                caution.text.ends_with('.') && !caution.source.is_empty(),
                "{kind:?}"
            );
            // One step's caution is no wall of text.
            assert!(caution.text.len() < 400, "{kind:?}: {}", caution.text.len());
            assert!(!caution.text.contains("  "), "{kind:?}");
            for &other in &TestKind::ALL[..at] {
                assert_ne!(caution.text, for_test(other).text);
            }
        }
    }

    #[test]
    fn what_can_kill_defers_to_others() {
        let deferring = [
            TestKind::InLine,
            TestKind::Pull,
            TestKind::Alternator,
            TestKind::Terminals,
            TestKind::MemoryFeed,
            TestKind::Airbag,
            TestKind::HighVoltage,
        ];
        for kind in deferring {
            assert!(
                for_test(kind).text.contains("service information"),
                "{kind:?}"
            );
        }
        for kind in [TestKind::Airbag, TestKind::HighVoltage] {
            assert!(for_test(kind).text.contains("qualified"), "{kind:?}");
        }
    }
}
