//! One rehearsal: the job, its vehicle, and the clock.

use harness::{FeedTree, NodeId, NodeSpec, caution::TestKind, family};
use jiff::{SignedDuration, Timestamp};
use job::{Complaint, Entry, EntryKind, Job};
use measure::{
    instrument::How,
    quantity::{Ampere, Volt},
};
use rehearsal::{
    NightLog, VehicleError,
    fleet::{Action, Answer, Refusal, Shown, Vehicle, Visit},
};
use tongue::{Message, say};

use crate::{
    CommandError, Setup, SetupError,
    command::{command, named, words},
    entries::{MARK, action_of, back_at_once, puts_back},
    told,
};

/// When every rehearsal begins: it has its own clock.
const BEGIN_S: i64 = 1_767_297_600; // 2026-01-01T20:00:00Z
/// Minutes that a repair takes, right or wrong (from memory: a simple one).
pub(crate) const REPAIR_MIN: u32 = 10;

/// Why a rehearsal cannot go on.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{}", self.sentence())]
pub enum PracticeError {
    /// The job is no rehearsal.
    NotOne,
    /// Its setup cannot be read.
    Setup(#[from] SetupError),
    /// What was typed is no test.
    Command(#[from] CommandError),
    /// The vehicle cannot be drawn.
    Vehicle(#[from] VehicleError),
    /// The test cannot be done there.
    Refused(#[from] Refusal),
    /// Airbag and high-voltage circuits.
    NotTouched,
    /// A repair names what feeds several circuits.
    RepairWhere,
}

impl PracticeError {
    /// What is the matter.
    pub fn message(&self) -> Message {
        match self {
            Self::NotOne => say::practice::not_one(),
            Self::Setup(error) => error.0.clone(),
            Self::Command(error) => error.message.clone(),
            Self::Vehicle(error) => error.message(),
            Self::Refused(refusal) => refusal.message(),
            Self::NotTouched => say::practice::not_touched(),
            Self::RepairWhere => say::practice::repair_where(),
        }
    }

    /// What to do, where that is not part of the message.
    pub fn hint(&self) -> Option<Message> {
        match self {
            Self::Command(error) => Some(error.hint.clone()),
            _ => None,
        }
    }

    fn sentence(&self) -> Message {
        let parts = [Some(self.message()), self.hint()];
        Message::joined(parts.into_iter().flatten().collect(), "; ")
    }
}

/// What a test brought.
#[derive(Debug, Clone, PartialEq)]
pub struct Done {
    /// Entries for the job; already in the session's.
    pub entries: Vec<Entry>,
    /// What was seen, one sentence.
    pub said: Message,
    /// Minutes it took.
    pub minutes: f64,
    /// Whether it woke the vehicle.
    pub woke: bool,
    /// Whether the vehicle slept while it was read.
    pub asleep: bool,
    /// Circuits whose stored settings were lost.
    pub lost: Vec<NodeId>,
}

/// A rehearsal under way.
#[derive(Debug, Clone)]
pub struct Session {
    setup: Setup,
    vehicle: Vehicle,
    job: Job,
}

impl Session {
    /// A new one, with a job that has no entries.
    ///
    /// # Errors
    /// When the vehicle cannot be drawn.
    pub fn begin(setup: Setup) -> Result<Self, PracticeError> {
        let vehicle = setup.vehicle()?;
        let tree = vehicle.tree();
        let nodes: Vec<NodeSpec> = tree
            .nodes()
            .filter(|(node, _)| *node != FeedTree::ROOT)
            .map(|(_, spec)| spec.clone())
            .collect();
        let mut job = Job {
            complaint: Complaint {
                text: Some(say::practice::complaint().english().to_owned()),
                no_start_after_h: None,
                temperature_c: Some(vehicle.temperature_c().round()),
            },
            limit_a: Some(0.05),
            settings_may_be_lost: setup.settings_may_be_lost,
            pulled_stay_out: true,
            invented: true,
            rehearsal: Some(setup.to_string()),
            instruments: vehicle.kit().tools.clone(),
            nodes,
            ..Job::default()
        };
        job.vehicle.name = told::title(&setup, &vehicle).english().to_owned();
        Ok(Self {
            setup,
            vehicle,
            job,
        })
    }

    /// One that was begun before, as its job tells.
    ///
    /// # Errors
    /// When the job is no rehearsal.
    pub fn resume(job: Job) -> Result<Self, PracticeError> {
        let setup: Setup = job
            .rehearsal
            .as_deref()
            .ok_or(PracticeError::NotOne)?
            .parse()?;
        let vehicle = setup.vehicle()?;
        Ok(Self {
            setup,
            vehicle,
            job,
        })
    }

    /// What it is called.
    pub fn title(&self) -> Message {
        told::title(&self.setup, &self.vehicle)
    }

    /// The job with its name, complaint and labels in the language that is spoken,
    /// for whoever keeps it for a person or speaks of it.
    pub fn job_in_words(&self) -> Job {
        let mut job = self.job.clone();
        job.vehicle.name = self.title().to_string();
        job.complaint.text = Some(say::practice::complaint().to_string());
        for spec in &mut job.nodes {
            let node = self.tree().index(&spec.id);
            let label = node.map(|node| self.label(node).to_string());
            spec.label = label.filter(|label| *label != spec.id.0);
        }
        job
    }

    /// What the fuse list calls a node, by its name where it has no other words for it.
    pub fn label(&self, node: usize) -> Message {
        let spec = self.tree().node(node);
        let english = spec.label.as_ref().unwrap_or(&spec.id.0);
        let german = self.vehicle.label_in_german(node);
        Message::both(english, german.unwrap_or(english))
    }

    /// How it was set up.
    pub fn setup(&self) -> &Setup {
        &self.setup
    }

    /// The job as it stands.
    pub fn job(&self) -> &Job {
        &self.job
    }

    /// What the vehicle's fuse list tells.
    pub fn tree(&self) -> &FeedTree {
        self.vehicle.tree()
    }

    /// Whether there is a clamp among the meters.
    pub fn has_clamp(&self) -> bool {
        self.vehicle.kit().clamp.is_some()
    }

    /// The vehicle as it really is: for the score.
    pub(crate) fn vehicle(&self) -> &Vehicle {
        &self.vehicle
    }

    /// Everything done so far, in order; entries struck out took their time all the same.
    pub fn actions(&self) -> Vec<Action> {
        let tree = self.tree();
        let kinds: Vec<&EntryKind> = self.job.entries.iter().map(|entry| &entry.kind).collect();
        let mut actions = Vec::new();
        let mut at = 0;
        while let Some(&kind) = kinds.get(at) {
            let at_once = kinds.get(at + 1).is_some_and(|next| puts_back(kind, next));
            actions.extend(action_of(kind, at_once, tree));
            at += if at_once { 2 } else { 1 };
        }
        actions
    }

    /// Minutes on the clock.
    pub fn minutes(&self) -> f64 {
        self.visit().minutes()
    }

    /// Whether the vehicle sleeps now: what its lamps and a glance at the meter tell.
    pub fn is_asleep(&self) -> bool {
        self.visit().is_asleep()
    }

    /// Whether a node is one circuit of those that are never touched.
    pub fn is_forbidden(&self, node: usize) -> bool {
        let tree = self.tree();
        if node >= tree.len() || !tree.is_leaf(node) {
            return false;
        }
        let spec = tree.node(node);
        let named = spec.family.as_deref().and_then(family::family);
        let guessed = || family::guess(spec.label.as_deref().unwrap_or(&spec.id.0));
        matches!(
            named.unwrap_or_else(guessed).caution,
            Some(TestKind::Airbag | TestKind::HighVoltage)
        )
    }

    /// What a logger at the battery wrote from locking until now.
    pub fn log(&self, interval_s: f64) -> NightLog {
        self.visit().log(0.0, interval_s)
    }

    /// Reads what was typed and does it.
    ///
    /// # Errors
    /// When it is no test, or cannot be done there; nothing has happened then.
    pub fn type_in(&mut self, text: &str) -> Result<Done, PracticeError> {
        let action = command(text, self.tree())?;
        self.perform(&action)
    }

    /// Does a test, and enters what it brought.
    ///
    /// # Errors
    /// When it cannot be done there; nothing has happened then.
    pub fn perform(&mut self, action: &Action) -> Result<Done, PracticeError> {
        if let Action::Repair(node) = action
            && (*node >= self.tree().len() || !self.tree().is_leaf(*node))
        {
            return Err(PracticeError::RepairWhere);
        }
        if touched(action).iter().any(|&node| self.is_forbidden(node)) {
            return Err(PracticeError::NotTouched);
        }
        // An entry that puts back nothing could not be read again.
        if *action == Action::Restore && self.out().is_empty() {
            return Err(Refusal::NotOut.into());
        }
        let mut visit = self.visit();
        let began = visit.minutes();
        let answer = perform(&mut visit, action)?;
        let now_min = visit.minutes();
        let kinds = self.kinds(action, &answer);
        let at = Timestamp::from_second(BEGIN_S)
            .unwrap_or_default()
            .saturating_add(SignedDuration::from_secs_f64((now_min * 60.0).round()))
            .unwrap_or_default();
        let entries: Vec<Entry> = kinds
            .into_iter()
            .map(|kind| Entry {
                at,
                instrument: None,
                kind,
            })
            .collect();
        let lost = answer
            .lost_settings
            .iter()
            .map(|node| self.tree().node(*node).id.clone())
            .collect();
        let said = self.said(action, &answer);
        self.job.entries.extend(entries.iter().cloned());
        Ok(Done {
            entries,
            said,
            minutes: now_min - began,
            woke: answer.woke,
            asleep: answer.asleep,
            lost,
        })
    }

    /// Everything done so far, done again.
    pub(crate) fn visit(&self) -> Visit<'_> {
        let mut visit = Visit::asleep(&self.vehicle);
        for action in self.actions() {
            // What could not be done was never entered.
            let _ = perform(&mut visit, &action);
        }
        visit
    }

    /// Entries that tell of a test what a person would enter.
    fn kinds(&self, action: &Action, answer: &Answer) -> Vec<EntryKind> {
        let tree = self.tree();
        let id = |node: &usize| tree.node(*node).id.clone();
        let draw = |node, how, shown| {
            vec![EntryKind::Draw {
                node,
                how,
                shown,
                asleep: answer.asleep,
            }]
        };
        match (action, answer.shown) {
            (Action::Clamp(node), Shown::Current(a)) => {
                draw(id(node), How::Clamp, job::Shown::Current(a))
            }
            (Action::InLine, Shown::Current(a)) => {
                draw(NodeId::battery(), How::InLine, job::Shown::Current(a))
            }
            (Action::Millivolt(node), Shown::Drop(v)) => {
                draw(id(node), How::Millivolt, job::Shown::Drop(v))
            }
            // Awake, two totals say nothing of a settled draw.
            (Action::Pull(nodes), Shown::Pull(before_a, after_a)) if answer.asleep => {
                let nodes: Vec<NodeId> = nodes.iter().map(id).collect();
                let pull = EntryKind::Pull {
                    nodes: nodes.clone(),
                    before_a: Some(before_a),
                    after_a: Some(after_a),
                };
                back_at_once(pull, nodes)
            }
            (Action::TakeOut(nodes), Shown::Pull(before_a, after_a)) if answer.asleep => {
                vec![EntryKind::Pull {
                    nodes: nodes.iter().map(id).collect(),
                    before_a: Some(before_a),
                    after_a: Some(after_a),
                }]
            }
            (Action::PutBack(nodes), Shown::Pull(before_a, after_a)) if answer.asleep => {
                vec![EntryKind::Refit {
                    nodes: nodes.iter().map(id).collect(),
                    before_a: Some(before_a),
                    after_a: Some(after_a),
                }]
            }
            (Action::Restore, _) => vec![EntryKind::Refit {
                nodes: self.out().iter().map(id).collect(),
                before_a: None,
                after_a: None,
            }],
            (Action::Unplug(node), Shown::Pull(before_a, after_a)) if answer.asleep => {
                let unplug = EntryKind::Unplug {
                    node: id(node),
                    before_a: Some(before_a),
                    after_a: Some(after_a),
                };
                back_at_once(unplug, vec![id(node)])
            }
            (Action::Repair(node), _) => vec![EntryKind::Repair {
                node: Some(id(node)),
                text: "Invented: worn part replaced".into(),
            }],
            (Action::RepairOutside, _) => vec![EntryKind::Repair {
                node: None,
                text: "Invented: wiring past the fuses mended".into(),
            }],
            _ => vec![EntryKind::Note {
                text: format!(
                    "{}{}{}{}",
                    self.said(action, answer).english(),
                    MARK.0,
                    words(action, tree),
                    MARK.1
                ),
            }],
        }
    }

    /// What is out now.
    pub fn out(&self) -> Vec<usize> {
        let mut out: Vec<usize> = Vec::new();
        for action in self.actions() {
            match action {
                Action::TakeOut(nodes) => out.extend(nodes),
                Action::PutBack(nodes) => out.retain(|node| !nodes.contains(node)),
                Action::Restore => out.clear(),
                _ => {}
            }
        }
        out
    }

    /// What was seen, one sentence.
    fn said(&self, action: &Action, answer: &Answer) -> Message {
        let name = |node: &usize| named(self, *node);
        let place = match action {
            Action::Clamp(FeedTree::ROOT) | Action::InLine => say::practice::the_total(),
            Action::Clamp(node) | Action::Millivolt(node) => name(node),
            Action::Pull(nodes) | Action::TakeOut(nodes) => {
                let names = nodes.iter().map(name);
                say::practice::with_out(Message::listed(names))
            }
            Action::PutBack(nodes) => {
                let names = nodes.iter().map(name);
                say::practice::with_back(Message::listed(names))
            }
            Action::Restore => return say::practice::all_back(),
            Action::Unplug(node) => say::practice::with_unplugged(name(node)),
            Action::WaitForSleep => return say::practice::slept(),
            Action::Wait(minutes) => return say::practice::waited(minutes.to_string()),
            Action::Repair(node) => return say::practice::put_right(name(node)),
            Action::RepairOutside => return say::practice::outside_put_right(),
        };
        let across = |drop_v| match action {
            Action::Millivolt(fuse) => told::drop(&self.vehicle, *fuse, drop_v),
            _ => say::practice::drop(Volt(drop_v)),
        };
        match (answer.shown, answer.asleep) {
            (Shown::Current(a), true) => say::practice::saw_current(Ampere(a), place),
            (Shown::Current(a), false) => say::practice::saw_current_awake(Ampere(a), place),
            (Shown::Drop(v), true) => say::practice::saw_drop(across(v), place),
            (Shown::Drop(v), false) => say::practice::saw_drop_awake(across(v), place),
            (Shown::Pull(before, after), true) => {
                say::practice::saw_fall(Ampere(after), Ampere(before), place)
            }
            (Shown::Pull(before, after), false) => {
                say::practice::saw_fall_awake(Ampere(after), Ampere(before), place)
            }
            (Shown::OverRange, _) => say::practice::saw_over_range(place),
            (Shown::MeterFuse, _) => say::practice::saw_fuse_blow(place),
            (Shown::Nothing, _) => say::practice::saw_nothing(place),
        }
    }
}

/// Nodes that a test lays hands on.
fn touched(action: &Action) -> Vec<usize> {
    match action {
        Action::Millivolt(node) | Action::Unplug(node) | Action::Repair(node) => vec![*node],
        Action::Pull(nodes) | Action::TakeOut(nodes) | Action::PutBack(nodes) => nodes.clone(),
        Action::Clamp(_)
        | Action::InLine
        | Action::Restore
        | Action::WaitForSleep
        | Action::Wait(_)
        | Action::RepairOutside => Vec::new(),
    }
}

/// Does it; a repair takes its time.
fn perform(visit: &mut Visit<'_>, action: &Action) -> Result<Answer, Refusal> {
    let answer = visit.perform(action)?;
    if matches!(action, Action::Repair(_) | Action::RepairOutside) {
        visit.perform(&Action::Wait(REPAIR_MIN))?;
    }
    Ok(answer)
}
