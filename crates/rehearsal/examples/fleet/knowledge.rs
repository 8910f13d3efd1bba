//! What somebody at the vehicle knows, and what answers mean to him: nothing of what is true.

use diagnosis::{Evidence, EvidenceKind, LoadModels, TestKind};
use harness::{FeedTree, family::Families, fuse};
use measure::{How, Instrument, InstrumentKind, Uncertain};
use rehearsal::fleet::{Action, Answer, Shown, Vehicle, Visit};

/// Limit of the settled draw, ampere: the trade's rule.
pub(crate) const LIMIT_A: f64 = 0.05;

/// The fuse list, what is usual for such circuits, and what the makers of the meters promise.
pub(crate) struct Knowledge<'v> {
    pub(crate) tree: &'v FeedTree,
    pub(crate) models: LoadModels,
    pub(crate) tools: &'v [Instrument],
}

impl<'v> Knowledge<'v> {
    pub(crate) fn of(vehicle: &'v Vehicle) -> Self {
        Self {
            tree: vehicle.tree(),
            models: LoadModels::from_families(vehicle.tree(), Families::built_in()),
            tools: &vehicle.kit().tools,
        }
    }

    fn tool(&self, kind: InstrumentKind) -> Instrument {
        let own = self.tools.iter().find(|tool| tool.kind == kind);
        own.cloned().unwrap_or_else(|| Instrument::generic(kind))
    }

    /// How a total of about so much is read.
    pub(crate) fn how_total(&self, total_a: f64) -> How {
        // The clamps of these kits end at 4 A.
        let clamp = self.tools.iter().any(|t| t.kind == InstrumentKind::Clamp);
        if clamp && total_a <= 4.0 {
            How::Clamp
        } else {
            How::InLine
        }
    }

    /// Standard uncertainty of a total of about so much, ampere.
    pub(crate) fn u_total(&self, total_a: f64) -> f64 {
        let how = self.how_total(total_a);
        self.tool(how.instrument()).reading(how, total_a).value.u
    }

    /// The test that reads the total, in the planner's words.
    pub(crate) fn total_test(&self) -> (TestKind, Vec<usize>) {
        let kind = match self.how_total(0.0) {
            How::Clamp => TestKind::Clamp,
            _ => TestKind::InLine,
        };
        (kind, vec![FeedTree::ROOT])
    }

    /// Reads the total; in line where the clamp is out of its range or missing.
    pub(crate) fn total(&self, visit: &mut Visit<'_>) -> Option<Uncertain> {
        if self.how_total(0.0) == How::Clamp {
            let shown = visit.perform(&Action::Clamp(FeedTree::ROOT)).ok()?.shown;
            if let Shown::Current(value) = shown {
                return Some(
                    self.tool(InstrumentKind::Clamp)
                        .reading(How::Clamp, value)
                        .value,
                );
            }
        }
        match visit.perform(&Action::InLine).ok()?.shown {
            Shown::Current(value) => {
                let tool = self.tool(InstrumentKind::InLine);
                Some(tool.reading(How::InLine, value).value)
            }
            _ => None,
        }
    }

    /// The current that millivolts across a fuse stand for.
    pub(crate) fn through_fuse(&self, node: usize, drop_v: f64) -> Option<Uncertain> {
        let spec = self.tree.node(node);
        let family = spec.fuse.as_deref().and_then(|word| word.parse().ok());
        let tool = self.tool(InstrumentKind::Millivolt);
        let drop = tool.reading(How::Millivolt, drop_v).value;
        fuse::current_from_drop(drop, family, spec.rating_a?)
    }

    /// Smallest current that millivolts across a fuse tell from none; `None` where they cannot be read.
    pub(crate) fn fuse_floor_a(&self, node: usize) -> Option<f64> {
        let spec = self.tree.node(node);
        let family = spec.fuse.as_deref().and_then(|word| word.parse().ok());
        let ohm = fuse::resistance(family, spec.rating_a?, None)?.ohm.value;
        let tool = self.tool(InstrumentKind::Millivolt);
        tool.floor_a(How::Millivolt, Some(ohm))
            .filter(|_| spec.in_place)
    }

    /// The step of the total at a pull.
    pub(crate) fn step(&self, before: f64, after: f64, minutes: f64) -> Uncertain {
        let how = self.how_total(before);
        let fall = self
            .tool(how.instrument())
            .difference(how, before, after, minutes);
        Uncertain::new(-fall.value.value, fall.value.u)
    }

    /// What an answer says of the draws.
    pub(crate) fn evidence(
        &self,
        tag: usize,
        action: &Action,
        answer: &Answer,
        total_a: f64,
    ) -> Option<Evidence> {
        let direct = |node, current: Uncertain, below_floor| EvidenceKind::Direct {
            node,
            current,
            below_floor,
        };
        let kind = match (action, answer.shown) {
            (Action::Clamp(node), Shown::Current(value)) => {
                let tool = self.tool(InstrumentKind::Clamp);
                let nothing = value.abs() < tool.step() / 2.0;
                let floor = tool.floor_a(How::Clamp, None).filter(|_| nothing);
                direct(*node, tool.reading(How::Clamp, value).value, floor)
            }
            (Action::Clamp(node), Shown::OverRange) => {
                // Somewhere between the end of the range and the total.
                let (low, high) = (4.0, total_a.max(4.1));
                let half = (high - low) / 2.0;
                let current = Uncertain::rectangular(low + half, half.max(0.1));
                direct(*node, current, None)
            }
            (Action::Millivolt(node), Shown::Drop(value)) => {
                let tool = self.tool(InstrumentKind::Millivolt);
                let nothing = value.abs() < tool.step() / 2.0;
                let floor = self.fuse_floor_a(*node).filter(|_| nothing);
                direct(*node, self.through_fuse(*node, value)?, floor)
            }
            (Action::Pull(nodes) | Action::TakeOut(nodes), Shown::Pull(before, after)) => {
                EvidenceKind::Step {
                    nodes: nodes.clone(),
                    step: self.step(before, after, apart_min(answer)),
                }
            }
            (Action::PutBack(nodes), Shown::Pull(before, after)) => EvidenceKind::Step {
                nodes: nodes.clone(),
                step: self.step(after, before, apart_min(answer)),
            },
            (Action::Unplug(node), Shown::Pull(before, after)) => EvidenceKind::Step {
                nodes: vec![*node],
                step: self.step(before, after, apart_min(answer)),
            },
            _ => return None,
        };
        Some(Evidence {
            tag,
            asleep: true,
            kind,
        })
    }
}

/// Minutes between the two readings of a pull, as far as whoever pulls notices.
fn apart_min(answer: &Answer) -> f64 {
    if answer.woke { 15.0 } else { 0.5 }
}
