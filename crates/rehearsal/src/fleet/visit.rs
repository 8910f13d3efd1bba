//! Somebody works on a virtual vehicle: every action takes time and has its price.

mod hands;

use harness::{FeedTree, NodeKind};
use rand::SeedableRng;
use rand_pcg::Pcg64Mcg;
use tongue::{Message, say};

use super::{Kit, Place, State, Vehicle, draw::RESTED_S, log, log::Since, work};
use crate::NightLog;

/// Something to do at the vehicle. Nodes are those of its tree.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum Action {
    /// A clamp around a cable; around the battery's for the total.
    Clamp(usize),
    /// An ammeter in series at the battery.
    InLine,
    /// Millivolts across a fuse in its place.
    Millivolt(usize),
    /// Pull fuses or take cables off, together, watch the total, put them back.
    Pull(Vec<usize>),
    /// Pull fuses together and watch the total; they stay out.
    TakeOut(Vec<usize>),
    /// Put back what is out and watch the total.
    PutBack(Vec<usize>),
    /// Put everything back that is out and look at nothing: the work is over.
    Restore,
    /// Unplug what hangs behind a leaf, watch the total, plug it in again. Its wiring stays supplied.
    Unplug(usize),
    /// Wait until the vehicle sleeps.
    WaitForSleep,
    /// Wait for some minutes whatever happens.
    Wait(u32),
    /// Repair what is wrong at or below a node. Costs nothing here.
    Repair(usize),
    /// Repair what is wired past the fuses. Costs nothing here.
    RepairOutside,
}

/// What the meter shows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Shown {
    /// Nothing was read.
    Nothing,
    /// Ampere.
    Current(f64),
    /// Volt across the fuse.
    Drop(f64),
    /// Total before and after, ampere.
    Pull(f64, f64),
    /// More than the meter's range.
    OverRange,
    /// The meter's own fuse has blown; a new one is in, nothing was read.
    MeterFuse,
}

/// What an action brought and cost.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    /// What the meter shows.
    pub shown: Shown,
    /// Minutes it took, waiting included.
    pub minutes: f64,
    /// Whether the vehicle slept while it was read.
    pub asleep: bool,
    /// Whether the action woke the vehicle.
    pub woke: bool,
    /// Nodes whose stored settings were lost.
    pub lost_settings: Vec<usize>,
}

/// What was done, and the minutes it took.
#[derive(Debug, Clone, PartialEq)]
pub struct Done {
    /// What.
    pub action: Action,
    /// Minutes in all.
    pub minutes: f64,
    /// Minutes of these spent waiting until the vehicle was quiet again.
    pub waited_min: f64,
}

/// Why an action cannot be done.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("{}", self.message())]
pub enum Refusal {
    /// No such place.
    NoSuchNode,
    /// A clamp goes around cables.
    NotACable,
    /// The meter is not there.
    NoClamp,
    /// The fuse cannot be probed.
    OutOfReach,
    /// Something to pull.
    NotToPull,
    /// Something that is out.
    NotOut,
    /// Something that has its supply.
    IsOut,
    /// Something to unplug.
    NotALoad,
}

impl Refusal {
    /// One sentence.
    pub fn message(self) -> Message {
        match self {
            Self::NoSuchNode => say::practice::refused_no_node(),
            Self::NotACable => say::practice::refused_not_a_cable(),
            Self::NoClamp => say::practice::refused_no_clamp(),
            Self::OutOfReach => say::practice::refused_out_of_reach(),
            Self::NotToPull => say::practice::refused_not_to_pull(),
            Self::NotOut => say::practice::refused_not_out(),
            Self::IsOut => say::practice::refused_is_out(),
            Self::NotALoad => say::practice::refused_not_a_load(),
        }
    }
}

/// Work on one vehicle, minute by minute.
///
/// What happens depends on the vehicle's seed, the place and how often the same was done
/// there, not on the order: two people who ask the same get the same answer.
#[derive(Debug, Clone)]
pub struct Visit<'v> {
    vehicle: &'v Vehicle,
    begun_s: f64,
    now_s: f64,
    state: State,
    history: Vec<Since>,
    place: Place,
    done: Vec<Done>,
    lost: Vec<usize>,
    /// Seconds waited so far until the vehicle was quiet.
    waited_s: f64,
}

/// Seconds that a burst or a report may last while one waits for quiet.
const PATIENCE_S: f64 = 4.0 * 3600.0;

impl<'v> Visit<'v> {
    /// Begins when the vehicle has been locked this moment.
    pub fn at_locking(vehicle: &'v Vehicle) -> Self {
        Self::at(vehicle, 0.0)
    }

    /// Begins ten minutes after the vehicle has fallen asleep.
    pub fn asleep(vehicle: &'v Vehicle) -> Self {
        Self::at(vehicle, vehicle.asleep_from_s(&State::locked()) + RESTED_S)
    }

    fn at(vehicle: &'v Vehicle, begun_s: f64) -> Self {
        let state = State::locked();
        Self {
            vehicle,
            begun_s,
            now_s: begun_s,
            history: vec![Since {
                from_s: 0.0,
                state: state.clone(),
            }],
            state,
            place: Place::Battery,
            done: Vec::new(),
            lost: Vec::new(),
            waited_s: 0.0,
        }
    }

    /// The vehicle.
    pub fn vehicle(&self) -> &'v Vehicle {
        self.vehicle
    }

    /// Minutes since the work began.
    pub fn minutes(&self) -> f64 {
        (self.now_s - self.begun_s) / 60.0
    }

    /// Seconds since the vehicle was locked.
    pub fn now_s(&self) -> f64 {
        self.now_s
    }

    /// Whether the vehicle sleeps now.
    pub fn is_asleep(&self) -> bool {
        self.now_s >= self.vehicle.asleep_from_s(&self.state)
            && !self.vehicle.is_roused(self.now_s, &self.state)
    }

    /// Minutes until it sleeps, if nothing else happens.
    pub fn sleeps_in_min(&self) -> f64 {
        (self.vehicle.asleep_from_s(&self.state) - self.now_s).max(0.0) / 60.0
    }

    /// Everything done so far.
    pub fn done(&self) -> &[Done] {
        &self.done
    }

    /// Nodes whose stored settings were lost so far.
    pub fn lost_settings(&self) -> &[usize] {
        &self.lost
    }

    /// The true total now, ampere: for the score, not for whoever works.
    pub fn true_total_a(&self) -> f64 {
        self.vehicle
            .current_a(FeedTree::ROOT, self.now_s, &self.state)
    }

    /// What a logger at the battery wrote since `from_s` after locking, a sample each `interval_s`.
    pub fn log(&self, from_s: f64, interval_s: f64) -> NightLog {
        let (meter, _) = self.vehicle.kit.total();
        let span = (from_s.max(0.0), self.now_s);
        let seed = self.vehicle.seed ^ 0x006c_6f67;
        log::log(self.vehicle, &self.history, meter, span, interval_s, seed)
    }

    /// What a logger would write if nobody did anything for `hours` from now on.
    pub fn night(&self, interval_s: f64, hours: f64) -> NightLog {
        let mut later = self.clone();
        later.now_s += hours * 3600.0;
        later.log(self.now_s, interval_s)
    }

    /// Does it.
    ///
    /// # Errors
    /// When it cannot be done here; nothing has happened then.
    pub fn perform(&mut self, action: &Action) -> Result<Answer, Refusal> {
        self.check(action)?;
        let (began, asleep) = (self.now_s, self.is_asleep());
        let waited_s = self.waited_s;
        let mut answer = Answer {
            shown: Shown::Nothing,
            minutes: 0.0,
            asleep,
            woke: false,
            lost_settings: Vec::new(),
        };
        let mut random = self.random(action);
        self.go_to(action);
        match action {
            Action::Clamp(node) => {
                self.pass(work().of("clamp"));
                let true_a = self.current_a(*node);
                let shown = self.kit().clamp.and_then(|m| m.show(true_a, &mut random));
                answer.shown = shown.map_or(Shown::OverRange, Shown::Current);
            }
            Action::InLine => answer.shown = self.in_line(&mut random),
            Action::Millivolt(node) => {
                let first =
                    !(self.done.iter()).any(|done| matches!(done.action, Action::Millivolt(_)));
                // The first time the leads are tried out and the zero is set at leisure.
                self.pass(work().of("millivolt") * if first { 2.0 } else { 1.0 });
                let ohm = self.vehicle.fuse_ohm(*node).unwrap_or(0.0);
                let true_v = self.current_a(*node) * ohm;
                let shown = self.kit().millivolt.show(true_v, &mut random);
                answer.shown = shown.map_or(Shown::OverRange, Shown::Drop);
            }
            Action::Pull(nodes) => self.interrupt(nodes, false, &mut random, &mut answer),
            Action::TakeOut(nodes) => self.take_out(nodes, &mut random, &mut answer),
            Action::PutBack(nodes) => self.put_back(nodes, &mut random, &mut answer),
            Action::Restore => self.restore(&mut random, &mut answer),
            Action::Unplug(node) => self.interrupt(&[*node], true, &mut random, &mut answer),
            Action::WaitForSleep => self.wait(),
            Action::Wait(minutes) => self.pass(f64::from(*minutes)),
            Action::Repair(node) => self.repair(Some(*node)),
            Action::RepairOutside => self.repair(None),
        }
        self.lost.extend(&answer.lost_settings);
        answer.minutes = (self.now_s - began) / 60.0;
        self.done.push(Done {
            action: action.clone(),
            minutes: answer.minutes,
            waited_min: (self.waited_s - waited_s) / 60.0,
        });
        Ok(answer)
    }

    fn check(&self, action: &Action) -> Result<(), Refusal> {
        let tree = self.vehicle.tree();
        let kind = |node: usize| (node < tree.len()).then(|| tree.node(node).kind);
        let fine = |good: bool, refusal| if good { Ok(()) } else { Err(refusal) };
        // Where there is no supply there is nothing to read or to cut.
        let fed = |node: usize| {
            let mut out = self.state.out.iter();
            fine(
                !out.any(|&out| tree.is_at_or_below(node, out)),
                Refusal::IsOut,
            )
        };
        match action {
            Action::Clamp(_) if self.kit().clamp.is_none() => Err(Refusal::NoClamp),
            Action::Clamp(node) => match kind(*node) {
                Some(NodeKind::Cable | NodeKind::Battery) => Ok(()),
                Some(_) => Err(Refusal::NotACable),
                None => Err(Refusal::NoSuchNode),
            },
            Action::Millivolt(node) => {
                kind(*node).ok_or(Refusal::NoSuchNode)?;
                let reachable = tree.node(*node).in_place && self.vehicle.fuse_ohm(*node).is_some();
                fine(reachable, Refusal::OutOfReach)?;
                fed(*node)
            }
            Action::PutBack(nodes) => {
                let out = |node| self.state.out.contains(node);
                fine(!nodes.is_empty() && nodes.iter().all(out), Refusal::NotOut)
            }
            Action::Pull(nodes) | Action::TakeOut(nodes) => {
                for &node in nodes {
                    let kind = kind(node).ok_or(Refusal::NoSuchNode)?;
                    fine(
                        matches!(kind, NodeKind::Fuse | NodeKind::Cable),
                        Refusal::NotToPull,
                    )?;
                    fed(node)?;
                }
                fine(!nodes.is_empty(), Refusal::NotToPull)
            }
            Action::Unplug(node) => {
                kind(*node).ok_or(Refusal::NoSuchNode)?;
                fine(tree.is_leaf(*node), Refusal::NotALoad)?;
                fed(*node)
            }
            Action::Repair(node) => kind(*node).map(drop).ok_or(Refusal::NoSuchNode),
            Action::InLine
            | Action::Restore
            | Action::WaitForSleep
            | Action::Wait(_)
            | Action::RepairOutside => Ok(()),
        }
    }

    /// An ammeter in series takes a little off the draw, and its fuse blows when modules
    /// wake behind it.
    fn in_line(&mut self, random: &mut Pcg64Mcg) -> Shown {
        self.pass(work().of("in_line"));
        let meter = self.kit().in_line;
        let true_a = self.current_a(FeedTree::ROOT);
        if meter.fuse_a.is_some_and(|fuse_a| true_a > fuse_a) {
            self.pass(work().of("meter_fuse"));
            return Shown::MeterFuse;
        }
        // Loads near enough resistive: 12 V less the burden.
        let burdened = true_a * 12.0 / (12.0 + true_a * meter.burden_ohm);
        meter
            .show(burdened, random)
            .map_or(Shown::OverRange, Shown::Current)
    }

    fn repair(&mut self, node: Option<usize>) {
        for (at, fault) in self.vehicle.faults.iter().enumerate() {
            let here = match (fault.node, node) {
                (Some(place), Some(node)) => self.vehicle.tree().is_at_or_below(place, node),
                (place, node) => place == node,
            };
            if here {
                self.state.mended.insert(at);
            }
        }
        self.remember();
    }

    fn wake(&mut self) {
        let longest = self
            .vehicle
            .loads
            .iter()
            .filter(|load| load.on_bus)
            .map(|load| load.timer_s)
            .fold(1.0, f64::max);
        self.state.woken_s = self.now_s;
        self.state.pace = self.vehicle.resleep_s / longest;
        self.remember();
    }

    /// Until the vehicle is quiet: asleep, and nothing rousing it just then.
    fn wait(&mut self) {
        let began = self.now_s;
        let limit = began + PATIENCE_S;
        if !self.is_asleep() {
            // A second later the last timer has run out beyond rounding.
            let asleep_s = self.vehicle.asleep_from_s(&self.state) + 1.0;
            self.now_s = self.now_s.max(asleep_s.min(limit));
        }
        while self.vehicle.is_roused(self.now_s, &self.state) && self.now_s < limit {
            self.now_s += 10.0;
        }
        self.waited_s += self.now_s - began;
    }

    fn pass(&mut self, minutes: f64) {
        self.now_s += 60.0 * minutes;
    }

    /// The way from one box to the next costs time too.
    fn go_to(&mut self, action: &Action) {
        let place = match action {
            Action::Clamp(_) | Action::InLine => Place::Battery,
            Action::Millivolt(node) | Action::Unplug(node) => self.vehicle.place(*node),
            Action::Pull(nodes) | Action::TakeOut(nodes) | Action::PutBack(nodes) => {
                nodes.first().map_or(self.place, |&n| self.vehicle.place(n))
            }
            Action::Restore
            | Action::WaitForSleep
            | Action::Wait(_)
            | Action::Repair(_)
            | Action::RepairOutside => return,
        };
        if place != self.place {
            self.pass(work().of("change_place"));
            self.place = place;
        }
    }

    fn remember(&mut self) {
        self.history.push(Since {
            from_s: self.now_s,
            state: self.state.clone(),
        });
    }

    fn current_a(&self, node: usize) -> f64 {
        self.vehicle.current_a(node, self.now_s, &self.state)
    }

    fn kit(&self) -> &'v Kit {
        &self.vehicle.kit
    }

    /// A generator for this action, the same whenever it is done for the nth time.
    fn random(&self, action: &Action) -> Pcg64Mcg {
        let times = (self.done.iter())
            .filter(|done| done.action == *action)
            .count();
        let (code, nodes): (u64, &[usize]) = match action {
            Action::Clamp(node) => (1, &[*node]),
            Action::InLine => (2, &[]),
            Action::Millivolt(node) => (3, &[*node]),
            Action::Pull(nodes) => (4, nodes),
            Action::Unplug(node) => (5, &[*node]),
            Action::TakeOut(nodes) => (7, nodes),
            Action::PutBack(nodes) => (8, nodes),
            _ => (6, &[]),
        };
        // FNV-1a, 64 bit, constants from memory: it only mixes the numbers into the seed.
        let words = [code, times as u64].into_iter();
        let mixed = words.chain(nodes.iter().map(|&node| node as u64)).fold(
            0xcbf2_9ce4_8422_2325_u64 ^ self.vehicle.seed,
            |hash, word| (hash ^ word).wrapping_mul(0x0100_0000_01b3).rotate_left(17),
        );
        Pcg64Mcg::seed_from_u64(mixed)
    }
}
