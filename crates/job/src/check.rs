//! Whether an entry fits the job it is added to.

use std::collections::BTreeSet;

use harness::{NodeId, NodeKind};
use measure::{InstrumentKind, instrument::How};
use tongue::say;

use crate::{
    Entry, EntryId, EntryKind, Job, Shown,
    file::{FieldError, FieldErrors},
};

impl Job {
    /// Adds an entry after checking it against the job.
    ///
    /// # Errors
    /// What [`check`](Self::check) finds; the job is then unchanged.
    pub fn add(&mut self, entry: Entry) -> Result<EntryId, FieldErrors> {
        self.check(&entry)?;
        let id = EntryId::from_index(self.entries.len());
        self.entries.push(entry);
        Ok(id)
    }

    /// Whether `entry` could be the next one: its nodes and its instrument
    /// exist, it can be read there, and what it strikes out is still standing.
    ///
    /// # Errors
    /// Everything that does not fit, field by field.
    pub fn check(&self, entry: &Entry) -> Result<(), FieldErrors> {
        let mut faults = Vec::new();
        self.check_instrument(entry, &mut faults);
        match &entry.kind {
            EntryKind::Draw {
                node, how, shown, ..
            } => {
                self.check_node("node", node, &mut faults);
                self.check_shown(node, *how, *shown, &mut faults);
            }
            EntryKind::Pull { nodes, .. } | EntryKind::Refit { nodes, .. } => {
                self.check_pulled(nodes, &mut faults)
            }
            EntryKind::Unplug { node, .. } => self.check_unplugged(node, &mut faults),
            EntryKind::Trace { node, file, zero } => {
                self.check_node("node", node, &mut faults);
                self.check_zero(file, zero, &mut faults);
            }
            EntryKind::Repair {
                node: Some(node), ..
            } => {
                self.check_node("node", node, &mut faults);
            }
            EntryKind::Strike { entry } => self.check_strike(*entry, &mut faults),
            EntryKind::Repair { node: None, .. }
            | EntryKind::RestVoltage { .. }
            | EntryKind::Analyser { .. }
            | EntryKind::LoadTest { .. }
            | EntryKind::StandAlone { .. }
            | EntryKind::Resistance { .. }
            | EntryKind::Gravity { .. }
            | EntryKind::Drop { .. }
            | EntryKind::Charging { .. }
            | EntryKind::Note { .. } => {}
        }
        if faults.is_empty() {
            Ok(())
        } else {
            Err(FieldErrors(faults))
        }
    }

    fn check_instrument(&self, entry: &Entry, faults: &mut Vec<FieldError>) {
        let Some(name) = &entry.instrument else {
            return;
        };
        if self.instruments.iter().any(|known| known.id == *name) {
            return;
        }
        let known = self
            .instruments
            .iter()
            .map(|known| (known.id.as_str(), known.id.as_str()));
        let hint = match harness::closest(name, known.clone()) {
            Some(near) => say::fields::did_you_mean(near),
            None if self.instruments.is_empty() => say::fields::describe_instrument(),
            None => {
                say::fields::known_are(known.map(|(name, _)| name).collect::<Vec<_>>().join(", "))
            }
        };
        faults.push(FieldError::new(
            "instrument",
            say::fields::no_instrument(name),
            hint,
        ));
    }

    fn check_node(&self, field: &str, node: &NodeId, faults: &mut Vec<FieldError>) -> bool {
        if *node == NodeId::battery() || self.nodes.iter().any(|spec| spec.id == *node) {
            return true;
        }
        let root = NodeId::battery();
        let names = self.nodes.iter().map(|spec| &spec.id).chain([&root]);
        let hint = match harness::closest(&node.0, names.map(|id| (id.0.as_str(), id))) {
            Some(near) => say::fields::did_you_mean(&near.0),
            None => say::fields::name_node(),
        };
        faults.push(FieldError::new(field, say::fields::no_node(&node.0), hint));
        false
    }

    /// Times with the clamp off the cable are times, and where the recording is there already they lie in it.
    fn check_zero(&self, file: &str, zero: &[String], faults: &mut Vec<FieldError>) {
        let known = self.recordings.get(file);
        let spans = zero.iter().map(|text| match known {
            Some(recording) => recording.trace.span("zero", text).map(Some),
            None => trace::readers::Edge::parse_span("zero", text).map(|_| None),
        });
        let wrong = match spans.collect::<Result<Option<Vec<_>>, _>>() {
            Ok(spans) => spans
                .zip(known)
                .filter(|(spans, _)| !spans.is_empty())
                .and_then(|(spans, known)| known.trace.without_zero(&spans).err())
                .map(|error| error.to_string().into()),
            Err(error) => Some(error.message()),
        };
        if let Some(message) = wrong {
            let hint =
                "give each time with the clamp off the cable as FROM..TO, such as 22:10..22:12";
            faults.push(FieldError::new("zero", message, hint));
        }
    }

    fn check_shown(&self, node: &NodeId, how: How, shown: Shown, faults: &mut Vec<FieldError>) {
        let fits = match shown {
            Shown::Current(_) => true,
            Shown::Drop(_) => how == How::Millivolt,
            Shown::Shunt { .. } => how == How::Shunt,
        };
        if !fits {
            let hint = say::fields::write_current();
            faults.push(FieldError::new("value", say::fields::no_voltage(), hint));
        }
        let kind = self
            .nodes
            .iter()
            .find(|spec| spec.id == *node)
            .map(|spec| spec.kind);
        let is_fuse = kind == Some(NodeKind::Fuse);
        let exists = kind.is_some() || *node == NodeId::battery();
        if matches!(shown, Shown::Drop(_)) && exists && !is_fuse {
            let hint = say::fields::name_fuse();
            faults.push(FieldError::new(
                "node",
                say::fields::not_across_fuse(&node.0),
                hint,
            ));
        }
    }

    fn check_pulled(&self, nodes: &[NodeId], faults: &mut Vec<FieldError>) {
        if nodes.is_empty() {
            faults.push(FieldError::new(
                "nodes",
                say::fields::no_fuse(),
                say::fields::say_pulled(),
            ));
        }
        let mut seen = BTreeSet::new();
        for node in nodes {
            if *node == NodeId::battery() {
                let hint = say::fields::not_the_battery_hint();
                faults.push(FieldError::new(
                    "nodes",
                    say::fields::not_the_battery(),
                    hint,
                ));
            } else if self.check_node("nodes", node, faults) && !seen.insert(node) {
                faults.push(FieldError::new(
                    "nodes",
                    say::fields::twice(&node.0),
                    say::fields::each_once(),
                ));
            }
        }
    }

    /// What is unplugged is a load, or hangs behind the fuse named.
    fn check_unplugged(&self, node: &NodeId, faults: &mut Vec<FieldError>) {
        let kind = self.nodes.iter().find(|spec| spec.id == *node);
        let fits = matches!(
            kind.map(|spec| spec.kind),
            None | Some(NodeKind::Fuse | NodeKind::Load)
        );
        if self.check_node("node", node, faults) && (*node == NodeId::battery() || !fits) {
            let message = say::fields::not_a_load(&node.0);
            let hint = say::fields::not_a_load_hint();
            faults.push(FieldError::new("node", message, hint));
        }
    }

    fn check_strike(&self, target: EntryId, faults: &mut Vec<FieldError>) {
        let next = self.entries.len() + 1;
        let problem = match self.struck().get(target.index()) {
            Some(false) => return,
            Some(true) => say::fields::struck_already(target.to_string()),
            None if target.number() == next => say::fields::strikes_itself(target.to_string()),
            None => say::fields::no_entry_before(target.to_string()),
        };
        let hint = match next - 1 {
            0 => say::fields::no_entry_yet(),
            last => say::fields::name_standing(last.to_string()),
        };
        faults.push(FieldError::new("entry", problem, hint));
    }

    /// The instrument of `entry`, when it names one that the job knows.
    pub fn instrument_of(&self, entry: &Entry) -> Option<&measure::Instrument> {
        let name = entry.instrument.as_ref()?;
        self.instruments.iter().find(|known| known.id == *name)
    }

    /// The instrument of `kind` that was stated first, for readings that name none.
    pub fn instrument_for(&self, kind: InstrumentKind) -> Option<&measure::Instrument> {
        self.instruments.iter().find(|known| known.kind == kind)
    }
}
