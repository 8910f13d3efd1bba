//! The job: what is known of vehicle, battery and complaint, and the entries.

use std::{collections::BTreeMap, sync::Arc};

use harness::NodeSpec;
use measure::Instrument;
use trace::Zero;

use crate::{Entry, EntryId, EntryKind, Recording};

/// The vehicle.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Vehicle {
    /// Free text that names it: "Bread van".
    pub name: String,
    /// Number plate; stays out of reports unless asked for.
    pub plate: Option<String>,
    /// Owner's name; stays out of reports unless asked for.
    pub owner: Option<String>,
    /// How it is used and parked, what was fitted lately.
    pub notes: Option<String>,
}

/// The battery: its label and what else is known of it.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct BatteryCard {
    /// What is printed on it.
    pub label: battery::Label,
    /// Age in years, when known.
    pub age_years: Option<f64>,
    /// Current this engine needs to crank, ampere at 27 °C.
    pub engine_needs_a: Option<f64>,
}

/// What the owner says.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Complaint {
    /// In the owner's words.
    pub text: Option<String>,
    /// Parked time until it would not crank, hours.
    pub no_start_after_h: Option<f64>,
    /// Temperature while parked.
    pub temperature_c: Option<f64>,
}

/// How the vehicle is driven in a usual week.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Usage {
    /// Trips per week.
    pub trips_per_week: f64,
    /// Minutes of a usual trip.
    pub minutes_per_trip: f64,
}

/// One job.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Job {
    /// The vehicle.
    pub vehicle: Vehicle,
    /// The battery.
    pub battery: BatteryCard,
    /// The complaint.
    pub complaint: Complaint,
    /// How the vehicle is driven, when known.
    pub usage: Option<Usage>,
    /// Limit for the settled draw, ampere; `None` for the common 50 mA.
    pub limit_a: Option<f64>,
    /// Whether the owner has agreed that stored settings may be lost.
    pub settings_may_be_lost: bool,
    /// Whether what is pulled stays out until an entry puts it back, so that fewer modules wake
    /// while the search goes on.
    pub pulled_stay_out: bool,
    /// Whether this is an invented demonstration.
    pub invented: bool,
    /// The setup of the rehearsal that this job is, if it is one.
    pub rehearsal: Option<String>,
    /// Instruments at hand.
    pub instruments: Vec<Instrument>,
    /// The feed tree as described; the root `battery` is implied.
    pub nodes: Vec<NodeSpec>,
    /// What was seen and done, in the order it was entered; never rewritten.
    pub entries: Vec<Entry>,
    /// Recordings that entries name, by file name.
    pub recordings: BTreeMap<String, Arc<Recording>>,
}

impl Job {
    /// Entries that have not been struck out, with their numbers. Strikes
    /// themselves are left out too; a strike that is itself struck does not count.
    pub fn standing(&self) -> impl Iterator<Item = (EntryId, &Entry)> {
        let struck = self.struck();
        self.entries
            .iter()
            .enumerate()
            .map(|(index, entry)| (EntryId::from_index(index), entry))
            .filter(move |(id, entry)| {
                !struck[id.index()] && !matches!(entry.kind, EntryKind::Strike { .. })
            })
    }

    /// For each entry whether it is struck out. Later strikes are looked at
    /// first, so that striking a strike restores what it struck.
    pub fn struck(&self) -> Vec<bool> {
        let mut struck = vec![false; self.entries.len()];
        for (index, entry) in self.entries.iter().enumerate().rev() {
            if let EntryKind::Strike { entry: target } = entry.kind
                && !struck[index]
                && target.index() < index
            {
                struck[target.index()] = true;
            }
        }
        struck
    }

    /// The recording that an entry brought in, as everything is said of it: without the clamp's zero, which stands beside it, where the entry
    /// says when the clamp was off the cable; as it stands, where those times cannot be used.
    pub fn recording_of(&self, entry: EntryId) -> Option<(Arc<Recording>, Option<Zero>)> {
        let EntryKind::Trace { file, zero, .. } = &self.entries.get(entry.index())?.kind else {
            return None;
        };
        let recording = self.recordings.get(file)?;
        let zeroed = recording.without_zero(zero).ok().flatten();
        Some(match zeroed {
            Some(known) => (known.recording.clone(), Some(known.zero.clone())),
            None => (recording.clone(), None),
        })
    }

    /// The limit in force, ampere. 50 mA when none is set (common practice).
    pub fn limit_in_force_a(&self) -> f64 {
        self.limit_a.unwrap_or(0.050)
    }
}

impl Job {
    /// A new job on the same vehicle: battery, instruments, circuits, limit and
    /// use stay; complaint, consent, entries and recordings do not.
    pub fn another(&self) -> Self {
        Self {
            vehicle: self.vehicle.clone(),
            battery: self.battery,
            usage: self.usage,
            limit_a: self.limit_a,
            invented: self.invented,
            instruments: self.instruments.clone(),
            nodes: self.nodes.clone(),
            ..Self::default()
        }
    }

    /// The job as it stood before its first standing repair; `None` without
    /// one. Strikes of earlier entries that came later still count.
    pub fn before_repair(&self) -> Option<Self> {
        let (first, _) = self
            .standing()
            .find(|(_, entry)| matches!(entry.kind, EntryKind::Repair { .. }))?;
        Some(self.before(first))
    }

    /// The job as it stood before an entry. Strikes of earlier entries that
    /// came later still count.
    pub(crate) fn before(&self, entry: EntryId) -> Self {
        let struck = self.struck();
        let mut before = self.clone();
        before.entries.truncate(entry.index());
        let kept = before.entries.len();
        let already = before.struck();
        let later = self
            .entries
            .iter()
            .skip(kept)
            .filter(|entry| match entry.kind {
                EntryKind::Strike { entry: target } => {
                    target.index() < kept && struck[target.index()] && !already[target.index()]
                }
                _ => false,
            });
        before.entries.extend(later.cloned());
        before
    }
}
