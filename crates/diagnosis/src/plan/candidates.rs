//! Every test that could be done, and why some must not.

use harness::{
    FeedTree, NodeKind,
    caution::{self, TestKind as Touches},
    fuse,
};
use measure::{
    Instrument, InstrumentKind, Uncertain,
    instrument::{DETECTION, How},
};
use tongue::{Message, say};

use super::{Excluded, PlanOptions, TestKind, words};
use crate::{LoadModel, LoadModels};

/// Minutes to clamp one cable and read it (common practice).
const CLAMP_MIN: f64 = 1.0;
/// Minutes to fit an ammeter with a bypass at the battery (common practice).
const IN_LINE_MIN: f64 = 5.0;
/// Minutes to read the voltage across one fuse (common practice: 20 s).
const MILLIVOLT_MIN: f64 = 1.0 / 3.0;
/// Minutes to watch the total settle after an interruption (from memory).
pub(super) const SETTLE_MIN: f64 = 0.5;
/// Minutes from one box to the next, or to the battery (from memory).
const WAY_MIN: f64 = 0.5;
/// Minutes to put one fuse back that is at hand (from memory).
const PUT_BACK_MIN: f64 = 0.5;
/// Share of the wake-ups by a pull that come as the supply goes; the others come when it is
/// back (from memory: a module that loses its supply is silent, one that gets it starts).
const WAKES_AT_PULL: f64 = 0.4;
/// Minutes to bridge a fuse with a fused lead, and to put the fuse back (from memory).
const BYPASS_MIN: f64 = 3.0;
/// Minutes more to get at a load's own connector than at its fuse (from memory).
const CONNECTOR_MIN: f64 = 5.0;

/// Where a test stands in the order that disturbs least and keeps settings longest: ordinary
/// circuits, read before they are interrupted, the alternator, audio, other memories (common practice).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Tier {
    Ordinary,
    /// What interrupts a supply, while there is something to read in place.
    Interrupting,
    Alternator,
    Audio,
    Memory,
}

/// A test that may be done.
#[derive(Debug, Clone)]
pub(super) struct Candidate {
    pub(super) kind: TestKind,
    pub(super) nodes: Vec<usize>,
    pub(super) tool: Option<usize>,
    pub(super) minutes: f64,
    pub(super) wake_chance: f64,
    pub(super) floor_a: f64,
    pub(super) tier: Tier,
    pub(super) loses_settings: bool,
    pub(super) caution: &'static Message,
    /// Of a pull that stays out: the chance that putting it back wakes the vehicle.
    pub(super) back_wakes: Option<f64>,
    meter: Meter,
}

/// How the reading comes about.
#[derive(Debug, Clone)]
enum Meter {
    Current(Instrument, How),
    Drop(Instrument, Uncertain),
    /// Two totals so many minutes apart.
    Difference(Instrument, How, f64),
}

impl Candidate {
    /// Minutes to put everything back, and the chance that this wakes the vehicle, where it stays out.
    pub(super) fn back(&self) -> Option<(f64, f64)> {
        let minutes = PUT_BACK_MIN * self.nodes.len() as f64 + SETTLE_MIN;
        self.back_wakes.map(|wakes| (minutes, wakes))
    }

    /// Standard uncertainty of the reading at a draw, ampere.
    pub(super) fn u_a(&self, draw_a: f64) -> f64 {
        match &self.meter {
            Meter::Current(tool, how) => tool.reading(*how, draw_a).value.u,
            Meter::Drop(tool, ohm) => {
                let volt = tool.reading(How::Millivolt, draw_a * ohm.value).value.u;
                (volt / ohm.value).hypot(draw_a * ohm.u / ohm.value)
            }
            Meter::Difference(tool, how, apart_min) => {
                tool.difference(*how, draw_a, 0.0, *apart_min).value.u
            }
        }
    }
}

/// Where one stands for a test at a node: at the box of a fuse, at the battery for a cable.
pub(super) fn stand(tree: &FeedTree, node: usize) -> usize {
    let fuse = tree.supplying_fuse(node);
    fuse.and_then(|fuse| tree.parent(fuse))
        .unwrap_or(FeedTree::ROOT)
}

/// Whether a leaf is the wiring between a fuse and what it feeds.
pub(super) fn is_wiring(models: &LoadModels, leaf: usize) -> bool {
    let model = models.get(leaf);
    model.is_some_and(|model| model.family == harness::family::WIRING)
}

/// Minutes to put one fuse back and watch, and the chance that this wakes the vehicle.
pub(super) fn put_back_price(tree: &FeedTree, models: &LoadModels, node: usize) -> (f64, f64) {
    let wakes = most(tree, models, node, |model| model.wake_chance);
    (PUT_BACK_MIN + SETTLE_MIN, (1.0 - WAKES_AT_PULL) * wakes)
}

/// The largest of what the models of the loads below a node say.
fn most(tree: &FeedTree, models: &LoadModels, node: usize, of: impl Fn(&LoadModel) -> f64) -> f64 {
    let below = tree.leaves_below(node).iter();
    below
        .filter_map(|&leaf| models.get(leaf).map(&of))
        .fold(0.0, f64::max)
}

/// The instrument that reads the total, and how; a generic ammeter when none was named.
pub(super) fn total_meter(tools: &[Instrument]) -> (Option<usize>, Instrument, How) {
    let of = |kind, how| {
        tools
            .iter()
            .enumerate()
            .filter(|(_, tool)| tool.kind == kind)
            .min_by(|a, b| {
                a.1.reading(how, 0.0)
                    .value
                    .u
                    .total_cmp(&b.1.reading(how, 0.0).value.u)
            })
            .map(|(at, tool)| (Some(at), tool.clone(), how))
    };
    of(InstrumentKind::Clamp, How::Clamp)
        .or_else(|| of(InstrumentKind::InLine, How::InLine))
        .unwrap_or_else(|| {
            (
                None,
                Instrument::generic(InstrumentKind::InLine),
                How::InLine,
            )
        })
}

/// Reading the total at the battery.
pub(super) fn total(tools: &[Instrument]) -> Candidate {
    let (tool, meter, how) = total_meter(tools);
    let (kind, minutes, touches) = match how {
        How::Clamp => (TestKind::Clamp, CLAMP_MIN, Touches::Battery),
        _ => (TestKind::InLine, IN_LINE_MIN, Touches::InLine),
    };
    Candidate {
        kind,
        nodes: vec![FeedTree::ROOT],
        tool,
        minutes,
        wake_chance: 0.0,
        floor_a: meter.floor_a(how, None).unwrap_or(0.0),
        tier: Tier::Ordinary,
        loses_settings: false,
        caution: &caution::for_test(touches).text,
        back_wakes: None,
        meter: Meter::Current(meter, how),
    }
}

/// All tests below the battery.
pub(super) struct Finder<'a> {
    pub(super) tree: &'a FeedTree,
    pub(super) models: &'a LoadModels,
    pub(super) tools: &'a [Instrument],
    pub(super) options: &'a PlanOptions,
    pub(super) found: Vec<Candidate>,
    /// Readings at a bridged fuse, for when nothing else is left.
    pub(super) bypassed: Vec<Candidate>,
    pub(super) excluded: Vec<Excluded>,
}

impl Finder<'_> {
    pub(super) fn run(&mut self) {
        for node in 1..self.tree.len() {
            let below = self.tree.leaves_below(node);
            if below
                .iter()
                .all(|leaf| self.options.resolved.contains(leaf))
            {
                continue;
            }
            let out = |&out: &usize| self.tree.is_at_or_below(node, out);
            if self.options.out.iter().any(out) {
                if self.options.out.contains(&node) {
                    self.put_back(node);
                } else if self.tree.node(node).kind == NodeKind::Load {
                    // Its fuse goes back first.
                    self.load(node, PUT_BACK_MIN);
                }
                continue;
            }
            match self.tree.node(node).kind {
                NodeKind::Cable => self.cable(node),
                NodeKind::Fuse => {
                    self.millivolt(node);
                    self.interrupt(TestKind::Pull, node, 0.0);
                }
                NodeKind::Load => self.load(node, 0.0),
                NodeKind::Battery => {}
            }
        }
        self.ways();
        self.as_stated();
    }

    /// The way from where the last test was made.
    fn ways(&mut self) {
        let Some(at) = self.options.at else { return };
        let here = stand(self.tree, at);
        for candidate in &mut self.found {
            let there = candidate.nodes.first().map(|&node| stand(self.tree, node));
            if there != Some(here) {
                candidate.minutes += WAY_MIN;
            }
        }
    }

    /// What somebody knows of the costs on this vehicle beats what is usual.
    fn as_stated(&mut self) {
        for stated in &self.options.stated {
            let same = |c: &Candidate| c.kind == stated.kind && c.nodes.as_slice() == [stated.node];
            if stated.forbidden {
                self.found.retain(|candidate| !same(candidate));
                self.excluded.push(Excluded {
                    kind: stated.kind,
                    node: Some(stated.node),
                    reason: say::diagnosis::not_here(),
                });
                continue;
            }
            for candidate in self.found.iter_mut().filter(|c| same(c)) {
                candidate.minutes = stated.minutes;
                candidate.wake_chance = stated.wake_chance;
            }
        }
    }

    fn cable(&mut self, node: usize) {
        let (tool, meter, how) = total_meter(self.tools);
        if how != How::Clamp {
            return self.interrupt(TestKind::Detach, node, CONNECTOR_MIN);
        }
        self.found.push(Candidate {
            kind: TestKind::Clamp,
            nodes: vec![node],
            tool,
            minutes: CLAMP_MIN,
            wake_chance: 0.0,
            floor_a: meter.floor_a(how, None).unwrap_or(0.0),
            // Closing a clamp interrupts nothing, so nothing is gained by putting it off.
            tier: Tier::Ordinary,
            loses_settings: false,
            caution: self.caution(node, Touches::Clamp),
            back_wakes: None,
            meter: Meter::Current(meter, how),
        });
    }

    /// A load that is its fuse's only one is tested at the fuse; wiring has nothing to unplug.
    fn load(&mut self, node: usize, before_min: f64) {
        if is_wiring(self.models, node) {
            return;
        }
        let only = self.tree.parent(node).is_some_and(|p| {
            self.tree.node(p).kind == NodeKind::Fuse && self.tree.children(p).len() == 1
        });
        if !only {
            self.interrupt(TestKind::Unplug, node, before_min + CONNECTOR_MIN);
        }
    }

    fn millivolt(&mut self, node: usize) {
        let spec = self.tree.node(node);
        if !spec.in_place || self.refused(TestKind::Millivolt, node) {
            return;
        }
        let volts = |tool: &Instrument| tool.suits(How::Millivolt);
        let best = self
            .tools
            .iter()
            .enumerate()
            .filter(|(_, tool)| volts(tool))
            .min_by(|a, b| a.1.step().total_cmp(&b.1.step()));
        let Some((at, tool)) = best else { return };
        let family = spec.fuse.as_deref().and_then(|word| word.parse().ok());
        let resistance = spec
            .rating_a
            .and_then(|a| fuse::resistance(family, a, None));
        let Some(resistance) = resistance else {
            return self.exclude(TestKind::Millivolt, node, say::diagnosis::no_rating());
        };
        let ohm = resistance.ohm;
        self.found.push(Candidate {
            kind: TestKind::Millivolt,
            nodes: vec![node],
            tool: Some(at),
            minutes: MILLIVOLT_MIN,
            wake_chance: 0.0,
            floor_a: tool.floor_a(How::Millivolt, Some(ohm.value)).unwrap_or(0.0),
            tier: self.tier(node),
            loses_settings: false,
            caution: self.caution(node, Touches::Millivolt),
            back_wakes: None,
            meter: Meter::Drop(tool.clone(), ohm),
        });
    }

    /// Cutting the supply of a node and watching the total.
    fn interrupt(&mut self, kind: TestKind, node: usize, more_min: f64) {
        if self.refused(kind, node) {
            return;
        }
        let settings = self.keeps_settings(node);
        if settings && !self.options.allow_settings_loss {
            if kind == TestKind::Pull && self.options.bypass {
                self.bypass(node);
            }
            let what = words::feeds(self.tree, self.models, node);
            return self.exclude(kind, node, say::diagnosis::would_lose(what));
        }
        let access = most(self.tree, self.models, node, |model| model.access_min);
        let stays = kind == TestKind::Pull && self.options.leave_out;
        let wakes = most(self.tree, self.models, node, |model| model.wake_chance);
        let share = if stays { WAKES_AT_PULL } else { 1.0 };
        let (tool, meter, how) = total_meter(self.tools);
        let apart_min = self.options.apart_min;
        let touches = if kind == TestKind::Pull {
            Touches::Pull
        } else {
            Touches::Detach
        };
        self.found.push(Candidate {
            kind,
            nodes: vec![node],
            tool,
            minutes: access + SETTLE_MIN + more_min,
            wake_chance: share * wakes,
            floor_a: DETECTION * meter.difference(how, 0.0, 0.0, apart_min).value.u,
            tier: self.tier(node),
            loses_settings: settings,
            caution: self.caution(node, touches),
            back_wakes: stays.then_some((1.0 - WAKES_AT_PULL) * wakes),
            meter: Meter::Difference(meter, how, apart_min),
        });
    }

    /// Restoring the supply of what is out and watching the total.
    fn put_back(&mut self, node: usize) {
        let (tool, meter, how) = total_meter(self.tools);
        let apart_min = self.options.apart_min;
        let (minutes, wake_chance) = put_back_price(self.tree, self.models, node);
        self.found.push(Candidate {
            kind: TestKind::PutBack,
            nodes: vec![node],
            tool,
            minutes,
            wake_chance,
            floor_a: DETECTION * meter.difference(how, 0.0, 0.0, apart_min).value.u,
            tier: Tier::Ordinary,
            loses_settings: false,
            caution: self.caution(node, Touches::Pull),
            back_wakes: None,
            meter: Meter::Difference(meter, how, apart_min),
        });
    }

    /// The current of a fuse read at a lead that bridges it, so that nothing loses its supply.
    fn bypass(&mut self, node: usize) {
        let (tool, meter, how) = total_meter(self.tools);
        let kind = match how {
            How::Clamp => TestKind::Clamp,
            _ => TestKind::InLine,
        };
        let access = most(self.tree, self.models, node, |model| model.access_min);
        self.bypassed.push(Candidate {
            kind,
            nodes: vec![node],
            tool,
            minutes: access + BYPASS_MIN,
            wake_chance: 0.0,
            floor_a: meter.floor_a(how, None).unwrap_or(0.0),
            tier: self.tier(node),
            loses_settings: false,
            caution: self.caution(node, Touches::InLine),
            back_wakes: None,
            meter: Meter::Current(meter, how),
        });
    }

    /// Airbag and high-voltage circuits are never touched.
    fn refused(&mut self, kind: TestKind, node: usize) -> bool {
        let forbidden = self.tree.leaves_below(node).iter().any(|&leaf| {
            let caution = self.models.get(leaf).and_then(|model| model.caution);
            matches!(caution, Some(Touches::Airbag | Touches::HighVoltage))
        });
        if forbidden {
            self.exclude(kind, node, say::diagnosis::forbidden());
        }
        forbidden
    }

    fn exclude(&mut self, kind: TestKind, node: usize, reason: Message) {
        self.excluded.push(Excluded {
            kind,
            node: Some(node),
            reason,
        });
    }

    pub(super) fn keeps_settings(&self, node: usize) -> bool {
        let by_family = |&leaf: &usize| self.models.get(leaf).is_some_and(|m| m.keeps_settings);
        self.tree.keeps_settings_below(node) || self.tree.leaves_below(node).iter().any(by_family)
    }

    /// The caution of a test, or the stricter one of what it touches.
    fn caution(&self, node: usize, touches: Touches) -> &'static Message {
        let own = match self.tree.leaves_below(node) {
            [leaf] => self.models.get(*leaf).and_then(|model| model.caution),
            _ => None,
        };
        &caution::for_test(own.unwrap_or(touches)).text
    }

    fn tier(&self, node: usize) -> Tier {
        // A branch that feeds several circuits is read for their sake.
        let [leaf] = self.tree.leaves_below(node) else {
            return Tier::Ordinary;
        };
        let Some(model) = self.models.get(*leaf) else {
            return Tier::Ordinary;
        };
        match model.family.as_str() {
            "alternator" => Tier::Alternator,
            "audio" | "amplifier" => Tier::Audio,
            _ if self.keeps_settings(node) => Tier::Memory,
            _ => Tier::Ordinary,
        }
    }
}
