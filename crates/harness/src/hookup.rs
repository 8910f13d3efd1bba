//! The steps of a hook-up in order, each with its caution and with what it
//! does to the vehicle's supply.
//!
//! The order is common practice for a test that must not lose settings: a
//! fused bypass goes on before anything is loosened and comes off last. What
//! the cautions say has its sources in [`caution`](crate::caution).

use measure::How;
use tongue::{Message, say};

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
    pub const fn words(self) -> Message {
        match self {
            Self::Untouched => say::harness::supply_untouched(),
            Self::Bypass => say::harness::supply_bypass(),
            Self::Meter => say::harness::supply_meter(),
            Self::Shunt => say::harness::supply_shunt(),
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
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Step {
    /// What to do.
    pub text: Message,
    /// What it touches, and so which caution applies.
    pub kind: TestKind,
    /// What feeds the vehicle once it is done.
    pub supply: Supply,
    /// What is connected then.
    pub scene: Scene,
}

impl Step {
    /// The caution of this step.
    pub fn caution(&self) -> &'static Caution {
        for_test(self.kind)
    }
}

/// The steps of fitting, reading and taking off again, in order.
pub fn steps(how: How) -> &'static [Step] {
    match how {
        How::Clamp => &CLAMP,
        How::InLine => &IN_LINE,
        How::Millivolt => &MILLIVOLT,
        How::Shunt => &SHUNT,
    }
}

/// Whether settings may be kept alive during the work.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Settings {
    /// Whether they may.
    pub keep: bool,
    /// Why, one sentence or two.
    pub why: Message,
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
            why: say::harness::keep_no_settings(),
            source: "vehicle makers' workshop manuals on airbag precautions, 2011 and 2024",
        }
    } else {
        // Title: Ford workshop manuals, Battery Drain Check.
        Settings {
            keep: true,
            why: say::harness::keep_settings(),
            source: "common practice; vehicle makers' workshop manuals on the battery drain check",
        }
    }
}

const fn step(
    kind: TestKind,
    supply: Supply,
    (cable, bypass, tool): (Cable, Bypass, Tool),
    text: Message,
) -> Step {
    Step {
        text,
        kind,
        supply,
        scene: Scene::new(cable, bypass, tool),
    }
}

/// A step that leaves the cable on its post.
const fn aside(kind: TestKind, tool: Tool, text: Message) -> Step {
    step(
        kind,
        Supply::Untouched,
        (Cable::On, Bypass::Away, tool),
        text,
    )
}

const fn close_up() -> Step {
    aside(
        TestKind::WaitForSleep,
        Tool::Away,
        say::harness::step_close_up(),
    )
}

static CLAMP: [Step; 6] = [
    close_up(),
    aside(
        TestKind::Clamp,
        Tool::ClampBeside,
        say::harness::step_clamp_zero(),
    ),
    aside(
        TestKind::Clamp,
        Tool::ClampAround,
        say::harness::step_clamp_around(),
    ),
    aside(
        TestKind::WaitForSleep,
        Tool::ClampAround,
        say::harness::step_wait_and_read(),
    ),
    aside(
        TestKind::Clamp,
        Tool::ClampTurned,
        say::harness::step_clamp_turned(),
    ),
    aside(
        TestKind::Clamp,
        Tool::ClampBeside,
        say::harness::step_clamp_off_zero(),
    ),
];

static MILLIVOLT: [Step; 5] = [
    close_up(),
    aside(
        TestKind::Millivolt,
        Tool::TipsTogether,
        say::harness::step_tips_together(),
    ),
    aside(
        TestKind::WaitForSleep,
        Tool::TipsTogether,
        say::harness::step_wait(),
    ),
    aside(
        TestKind::Millivolt,
        Tool::TipsOnFuse,
        say::harness::step_tips_on_fuse(),
    ),
    aside(
        TestKind::Millivolt,
        Tool::TipsSwapped,
        say::harness::step_tips_swapped(),
    ),
];

/// The bypass goes on while `tool` waits.
const fn bypass_on(tool: Tool) -> Step {
    step(
        TestKind::InLine,
        Supply::Untouched,
        (Cable::On, Bypass::On, tool),
        say::harness::step_bypass_on(),
    )
}

const fn clamp_off(tool: Tool) -> Step {
    step(
        TestKind::Terminals,
        Supply::Bypass,
        (Cable::Off, Bypass::On, tool),
        say::harness::step_clamp_off(),
    )
}

/// From here on only `tool` carries the current.
const fn bypass_open(tool: Tool, supply: Supply) -> Step {
    step(
        TestKind::InLine,
        supply,
        (Cable::Off, Bypass::OneEnd, tool),
        say::harness::step_bypass_open(),
    )
}

const fn bypass_back(tool: Tool) -> Step {
    step(
        TestKind::InLine,
        Supply::Bypass,
        (Cable::Off, Bypass::On, tool),
        say::harness::step_bypass_back(),
    )
}

const fn clamp_back(tool: Tool) -> Step {
    step(
        TestKind::Terminals,
        Supply::Untouched,
        (Cable::On, Bypass::On, tool),
        say::harness::step_clamp_back(),
    )
}

const fn bypass_off() -> Step {
    step(
        TestKind::InLine,
        Supply::Untouched,
        (Cable::On, Bypass::Away, Tool::Away),
        say::harness::step_bypass_off(),
    )
}

static IN_LINE: [Step; 12] = [
    close_up(),
    aside(
        TestKind::InLine,
        Tool::MeterReady,
        say::harness::step_meter_ready(),
    ),
    bypass_on(Tool::MeterReady),
    clamp_off(Tool::MeterReady),
    step(
        TestKind::InLine,
        Supply::Bypass,
        (Cable::Off, Bypass::On, Tool::MeterBetween),
        say::harness::step_meter_between(),
    ),
    bypass_open(Tool::MeterBetween, Supply::Meter),
    step(
        TestKind::Terminals,
        Supply::Meter,
        (Cable::Touching, Bypass::OneEnd, Tool::MeterBetween),
        say::harness::step_meter_check(),
    ),
    step(
        TestKind::WaitForSleep,
        Supply::Meter,
        (Cable::Off, Bypass::OneEnd, Tool::MeterBetween),
        say::harness::step_wait_and_read(),
    ),
    bypass_back(Tool::MeterBetween),
    clamp_back(Tool::MeterBetween),
    step(
        TestKind::InLine,
        Supply::Untouched,
        (Cable::On, Bypass::On, Tool::Away),
        say::harness::step_meter_off(),
    ),
    bypass_off(),
];

static SHUNT: [Step; 11] = [
    close_up(),
    bypass_on(Tool::Away),
    clamp_off(Tool::Away),
    step(
        TestKind::Terminals,
        Supply::Bypass,
        (Cable::Off, Bypass::On, Tool::ShuntBetween),
        say::harness::step_shunt_between(),
    ),
    bypass_open(Tool::ShuntBetween, Supply::Shunt),
    step(
        TestKind::InLine,
        Supply::Shunt,
        (Cable::Off, Bypass::OneEnd, Tool::ShuntBetween),
        say::harness::step_shunt_check(),
    ),
    step(
        TestKind::WaitForSleep,
        Supply::Shunt,
        (Cable::Off, Bypass::OneEnd, Tool::ShuntBetween),
        say::harness::step_wait_or_record(),
    ),
    bypass_back(Tool::ShuntBetween),
    step(
        TestKind::Terminals,
        Supply::Bypass,
        (Cable::Off, Bypass::On, Tool::Away),
        say::harness::step_shunt_off(),
    ),
    clamp_back(Tool::Away),
    bypass_off(),
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
