//! What cutting a supply, or restoring it, says: the change of the total.

use diagnosis::{EvidenceKind, TestKind};
use harness::{FeedTree, NodeId};
use measure::{Uncertain, quantity::Ampere};
use tongue::say;

use super::{
    super::{
        away::Sight,
        commons::{self, Parts},
        logged::Counted,
        meters::total_instrument,
        parts,
        pulled::APART,
    },
    PULL_MIN, Pass,
};
use crate::{Entry, EntryId, EntryKind};

impl Pass<'_, '_> {
    /// The supply of nodes was cut, or what they feed unplugged: the fall of the total is a reading.
    pub(super) fn cut(
        &mut self,
        id: EntryId,
        entry: &Entry,
        test: (TestKind, Vec<usize>),
        entered: Option<(f64, f64)>,
    ) {
        let (instrument, how) = total_instrument(self.job, entry);
        let step = entered.map(|(before_a, after_a)| {
            let change = instrument
                .difference(how, before_a, after_a, PULL_MIN)
                .value;
            Counted {
                fall: Uncertain::new(-change.value, change.u),
                meter: Some(instrument),
            }
        });
        let counted = self.gathered.logged.step(id, step, self.warnings);
        let totals = entered.or_else(|| self.gathered.logged.totals(id));
        let Some(Counted { fall: step, meter }) = counted else {
            let message = say::job::pull_without_step(id.to_string());
            self.warnings.add("pull-without-step", message, [id]);
            return;
        };
        self.gathered.asleep_now = Some(true);
        if let Some((before_a, _)) = totals {
            let (meter, how) = total_instrument(self.job, entry);
            let before = self.out.total(meter.reading(how, before_a).value);
            let fell = step.value > APART * step.u;
            let sight = if fell {
                Sight::BeforeFall
            } else {
                Sight::Beside
            };
            self.see(id, before, true, sight);
        }
        let (kind, named) = test;
        let unplugs = kind == TestKind::Unplug;
        let nodes = if unplugs {
            let below = named.iter().map(|&node| parts::unplugged(self.tree, node));
            below.flatten().collect()
        } else {
            named.clone()
        };
        if self.apart.contains(&id) {
            if let Some(totals) = totals.filter(|_| self.job.pulled_stay_out && !unplugs) {
                self.out.pull(nodes, step, totals);
            }
            return;
        }
        self.gathered.done_tests.push((kind, named.clone()));
        if step.value < -3.0 * step.u {
            let message = say::job::total_rose(id.to_string(), Ampere(-step.value));
            self.warnings.add("total-rose", message, [id]);
        }
        let kind = EvidenceKind::Step {
            nodes: nodes.clone(),
            step,
        };
        // Of the meter whose step counts, which may be the recording's and not the entry's.
        let parts = meter.map_or(Parts::default(), |meter| {
            commons::of_scale(&meter, step.value)
        });
        self.push(id, true, kind, parts);
        if let Some(totals) = totals {
            if unplugs {
                self.out.unplug(named, nodes, step, totals);
            } else {
                self.out.pull(nodes, step, totals);
            }
        }
    }

    /// Something was put back; where the total was read on both sides, its rise is a reading.
    pub(super) fn refit(
        &mut self,
        id: EntryId,
        entry: &Entry,
        nodes: &[NodeId],
        entered: Option<(f64, f64)>,
    ) {
        let nodes = self.indices(nodes);
        let Some((before_a, after_a)) = entered else {
            return self.out.refit(&nodes, None);
        };
        let (instrument, how) = total_instrument(self.job, entry);
        let rise = instrument
            .difference(how, before_a, after_a, PULL_MIN)
            .value;
        self.gathered.asleep_now = Some(true);
        // What was unplugged comes back without the wiring, which had its supply all the while.
        let came = self.out.unplugged(&nodes).unwrap_or_else(|| nodes.clone());
        self.out.refit(&nodes, Some(rise));
        let after = instrument.reading(how, after_a).value;
        let whole = self.out.total(after);
        self.see(id, whole, true, Sight::Beside);
        if self.apart.contains(&id) {
            return;
        }
        self.gathered
            .done_tests
            .push((TestKind::PutBack, nodes.clone()));
        let parts = commons::of_scale(&instrument, rise.value);
        let kind = EvidenceKind::Step {
            nodes: came,
            step: rise,
        };
        self.push(id, true, kind, parts);
    }

    /// Where no total was read, the first pull's first reading is one.
    pub(super) fn total_from_pull(&mut self, standing: &[(EntryId, &Entry)]) {
        if self.gathered.total_read {
            return;
        }
        // A total from before a repair is none of the vehicle's any more.
        let repaired =
            |(_, entry): &(EntryId, &Entry)| matches!(entry.kind, EntryKind::Repair { .. });
        let from = standing.iter().rposition(repaired).map_or(0, |at| at + 1);
        let standing = &standing[from..];
        let used = |id: EntryId| self.gathered.evidence.iter().any(|e| e.tag == id.number());
        let first = standing.iter().find_map(|(id, entry)| match &entry.kind {
            EntryKind::Pull {
                before_a: Some(before_a),
                ..
            }
            | EntryKind::Unplug {
                before_a: Some(before_a),
                ..
            } if used(*id) => Some((*id, *entry, *before_a)),
            _ => None,
        });
        if let Some((id, entry, before_a)) = first {
            let (instrument, how) = total_instrument(self.job, entry);
            let current = instrument.reading(how, before_a).value;
            let kind = EvidenceKind::Direct {
                node: FeedTree::ROOT,
                current,
                below_floor: None,
            };
            let spec = self.tree.node(FeedTree::ROOT);
            let commons = &mut self.commons;
            let parts = commons.of_reading(&instrument, how, before_a, spec, entry.at);
            self.push(id, true, kind, parts);
            self.gathered.total_read = true;
        }
    }
}
