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

/// Where the cable's clamp is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Cable {
    /// On its post, tight.
    On,
    /// Lifted off.
    Off,
    /// Touching the post for a moment, to check the meter.
    Touching,
}

/// Where the bypass lead is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Bypass {
    /// Not there.
    Away,
    /// From the post to the cable's clamp.
    On,
    /// Unclipped at one end.
    OneEnd,
}

/// What the instrument is doing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Tool {
    /// Nothing yet, or no more.
    Away,
    /// A clamp with shut jaws beside the cable.
    ClampBeside,
    /// A clamp around the cable.
    ClampAround,
    /// The same turned round.
    ClampTurned,
    /// A millivolt meter, its tips held together.
    TipsTogether,
    /// Its tips on both test points of the fuse.
    TipsOnFuse,
    /// The same with the tips swapped.
    TipsSwapped,
    /// A meter for current, leads plugged, not connected.
    MeterReady,
    /// It bridges post and clamp.
    MeterBetween,
    /// A shunt bridges post and clamp.
    ShuntBetween,
}

/// What is connected to what once a step is done.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Scene {
    /// The cable's clamp.
    pub cable: Cable,
    /// The bypass lead.
    pub bypass: Bypass,
    /// The instrument.
    pub tool: Tool,
}

impl Scene {
    const fn new(cable: Cable, bypass: Bypass, tool: Tool) -> Self {
        Self {
            cable,
            bypass,
            tool,
        }
    }

    /// What feeds the vehicle; `None` when nothing does. A clamp that only
    /// touches its post does not count, since it may slip.
    pub const fn supply(self) -> Option<Supply> {
        match (self.cable, self.bypass, self.tool) {
            (Cable::On, _, _) => Some(Supply::Untouched),
            (_, Bypass::On, _) => Some(Supply::Bypass),
            (_, _, Tool::MeterBetween) => Some(Supply::Meter),
            (_, _, Tool::ShuntBetween) => Some(Supply::Shunt),
            _ => None,
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
    /// What is connected then.
    pub scene: Scene,
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

const fn step(
    kind: TestKind,
    supply: Supply,
    (cable, bypass, tool): (Cable, Bypass, Tool),
    text: &'static str,
) -> Step {
    Step {
        text,
        kind,
        supply,
        scene: Scene::new(cable, bypass, tool),
    }
}

/// A step that leaves the cable on its post.
const fn aside(kind: TestKind, tool: Tool, text: &'static str) -> Step {
    step(
        kind,
        Supply::Untouched,
        (Cable::On, Bypass::Away, tool),
        text,
    )
}

const CLOSE_UP: Step = aside(
    TestKind::WaitForSleep,
    Tool::Away,
    "Switch everything off, latch doors and bonnet by hand, keep the key away.",
);

const CLAMP: &[Step] = &[
    CLOSE_UP,
    aside(
        TestKind::Clamp,
        Tool::ClampBeside,
        "Set the clamp to zero beside the cable, jaws shut, held as it will hang.",
    ),
    aside(
        TestKind::Clamp,
        Tool::ClampAround,
        "Close it around all negative cables together, or around each in turn and add up.",
    ),
    aside(
        TestKind::WaitForSleep,
        Tool::ClampAround,
        "Wait until the vehicle sleeps and read.",
    ),
    aside(
        TestKind::Clamp,
        Tool::ClampTurned,
        "Turn the clamp round and read again: half the difference is free of the zero.",
    ),
    aside(
        TestKind::Clamp,
        Tool::ClampBeside,
        "Take it off and look whether it still shows zero; if not, read again.",
    ),
];

const MILLIVOLT: &[Step] = &[
    CLOSE_UP,
    aside(
        TestKind::Millivolt,
        Tool::TipsTogether,
        "Set the meter to millivolts, leads in the voltage sockets; hold the tips together and note the zero.",
    ),
    aside(
        TestKind::WaitForSleep,
        Tool::TipsTogether,
        "Wait until the vehicle sleeps.",
    ),
    aside(
        TestKind::Millivolt,
        Tool::TipsOnFuse,
        "Touch both test points of the fuse, in its place, and read once it stands still.",
    ),
    aside(
        TestKind::Millivolt,
        Tool::TipsSwapped,
        "Swap the tips and read again: half the difference is free of the zero.",
    ),
];

/// The bypass goes on while `tool` waits.
const fn bypass_on(tool: Tool) -> Step {
    step(
        TestKind::InLine,
        Supply::Untouched,
        (Cable::On, Bypass::On, tool),
        "Clip the fused bypass from the negative post to the cable's clamp, on clean metal.",
    )
}

const fn clamp_off(tool: Tool) -> Step {
    step(
        TestKind::Terminals,
        Supply::Bypass,
        (Cable::Off, Bypass::On, tool),
        "Loosen the clamp and lift it off the post; the bypass now feeds the vehicle.",
    )
}

/// From here on only `tool` carries the current.
const fn bypass_open(tool: Tool, supply: Supply) -> Step {
    step(
        TestKind::InLine,
        supply,
        (Cable::Off, Bypass::OneEnd, tool),
        "Take the bypass off at one end: from here on the reading is true.",
    )
}

const fn bypass_back(tool: Tool) -> Step {
    step(
        TestKind::InLine,
        Supply::Bypass,
        (Cable::Off, Bypass::On, tool),
        "Clip the bypass back on first, at both ends.",
    )
}

const fn clamp_back(tool: Tool) -> Step {
    step(
        TestKind::Terminals,
        Supply::Untouched,
        (Cable::On, Bypass::On, tool),
        "Put the clamp back on the post and tighten it.",
    )
}

const BYPASS_OFF: Step = step(
    TestKind::InLine,
    Supply::Untouched,
    (Cable::On, Bypass::Away, Tool::Away),
    "Take the bypass off last.",
);

const IN_LINE: &[Step] = &[
    CLOSE_UP,
    aside(
        TestKind::InLine,
        Tool::MeterReady,
        "Put the lead into the 10 A socket and set the meter to direct current.",
    ),
    bypass_on(Tool::MeterReady),
    clamp_off(Tool::MeterReady),
    step(
        TestKind::InLine,
        Supply::Bypass,
        (Cable::Off, Bypass::On, Tool::MeterBetween),
        "Clip the meter between post and clamp, beside the bypass.",
    ),
    bypass_open(Tool::MeterBetween, Supply::Meter),
    step(
        TestKind::Terminals,
        Supply::Meter,
        (Cable::Touching, Bypass::OneEnd, Tool::MeterBetween),
        "Check: let the clamp touch the post. The reading must fall to nearly nothing, and come back.",
    ),
    step(
        TestKind::WaitForSleep,
        Supply::Meter,
        (Cable::Off, Bypass::OneEnd, Tool::MeterBetween),
        "Wait until the vehicle sleeps and read.",
    ),
    bypass_back(Tool::MeterBetween),
    clamp_back(Tool::MeterBetween),
    step(
        TestKind::InLine,
        Supply::Untouched,
        (Cable::On, Bypass::On, Tool::Away),
        "Take the meter off and put its lead back into the voltage socket.",
    ),
    BYPASS_OFF,
];

const SHUNT: &[Step] = &[
    CLOSE_UP,
    bypass_on(Tool::Away),
    clamp_off(Tool::Away),
    step(
        TestKind::Terminals,
        Supply::Bypass,
        (Cable::Off, Bypass::On, Tool::ShuntBetween),
        "Bolt the shunt between post and clamp, its sense wires on the inner screws.",
    ),
    bypass_open(Tool::ShuntBetween, Supply::Shunt),
    step(
        TestKind::InLine,
        Supply::Shunt,
        (Cable::Off, Bypass::OneEnd, Tool::ShuntBetween),
        "Check: switch one small lamp on; the reading must rise by its current, and come back.",
    ),
    step(
        TestKind::WaitForSleep,
        Supply::Shunt,
        (Cable::Off, Bypass::OneEnd, Tool::ShuntBetween),
        "Wait until the vehicle sleeps and read, or record the night.",
    ),
    bypass_back(Tool::ShuntBetween),
    step(
        TestKind::Terminals,
        Supply::Bypass,
        (Cable::Off, Bypass::On, Tool::Away),
        "Unbolt the shunt while the bypass feeds the vehicle.",
    ),
    clamp_back(Tool::Away),
    BYPASS_OFF,
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_is_loosened_before_the_bypass_is_on() {
        for how in [How::InLine, How::Shunt] {
            let scenes: Vec<Scene> = steps(how).iter().map(|step| step.scene).collect();
            for pair in scenes.windows(2) {
                // One thing at a time: whatever a step does, what fed before it or what
                // feeds after it is connected all the while.
                let moved = usize::from(pair[0].cable != pair[1].cable)
                    + usize::from(pair[0].bypass != pair[1].bypass)
                    + usize::from(pair[0].tool != pair[1].tool);
                assert!(moved <= 1, "{pair:?}");
                let lifted = pair[0].cable == Cable::On && pair[1].cable != Cable::On;
                assert!(!lifted || pair[0].bypass == Bypass::On, "{pair:?}");
                let opened = pair[0].bypass == Bypass::On && pair[1].bypass != Bypass::On;
                assert!(
                    !opened || pair[0].cable == Cable::On || feeds(pair[0].tool),
                    "{pair:?}"
                );
            }
            let last = steps(how).last().unwrap();
            assert_eq!(last.supply, Supply::Untouched);
            assert_eq!(
                (last.scene.bypass, last.scene.tool),
                (Bypass::Away, Tool::Away)
            );
        }
    }

    fn feeds(tool: Tool) -> bool {
        matches!(tool, Tool::MeterBetween | Tool::ShuntBetween)
    }

    #[test]
    fn the_supply_said_is_the_one_drawn_and_never_nothing() {
        for &how in How::ALL {
            for step in steps(how) {
                assert_eq!(step.scene.supply(), Some(step.supply), "{step:?}");
            }
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
