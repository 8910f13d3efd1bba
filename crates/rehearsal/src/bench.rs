//! The virtual vehicle on the bench: asked for a reading, it answers as the
//! meter in the apprentice's hand would.

use harness::{
    NodeId, NodeKind,
    fuse::{self, FuseFamily},
};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64Mcg;

use crate::{NightLog, VirtualMeter, VirtualVehicle, record};

/// A test that a meter answers with a number.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Question {
    /// A clamp around the cable at a node, or an ammeter in it.
    Current(NodeId),
    /// Millivolts across a fuse.
    Drop(NodeId),
    /// The total before and after pulling these.
    Pull(Vec<NodeId>),
    /// The battery at rest, voltmeter across the posts.
    RestVoltage,
    /// The battery's cranking current, by an analyser.
    Cranking,
    /// Voltage at the battery, engine at raised speed.
    Charging,
}

/// What the meter shows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Answer {
    /// Ampere.
    Current(f64),
    /// Volt.
    Drop(f64),
    /// Ampere before and after.
    Pull(f64, f64),
    /// Volt at the battery.
    Voltage(f64),
    /// Ampere that it would crank with.
    Cranking(f64),
}

/// What is true of a virtual vehicle's battery and charging.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct VirtualBattery {
    /// Open-circuit voltage after a rest, volt.
    pub rested_v: f64,
    /// Cranking current by the standard on its label, ampere.
    pub cranking_a: f64,
    /// Voltage at raised engine speed, volt.
    pub charging_v: f64,
}

/// A sleeping virtual vehicle with meters beside it.
///
/// The answer depends on the seed and the question alone: asking twice gives
/// the same number twice, as two looks at one steady meter do.
#[derive(Debug, Clone)]
pub struct Bench {
    vehicle: VirtualVehicle,
    clamp: VirtualMeter,
    millivolts: VirtualMeter,
    volts: VirtualMeter,
    analyser: VirtualMeter,
    battery: Option<VirtualBattery>,
    seed: u64,
}

/// Long after every timer has run out and between two returns from sleep.
const ASLEEP_S: f64 = 20_000.0;

impl Bench {
    /// The vehicle asleep, with a low-range clamp and a multimeter of common kind.
    pub fn new(vehicle: VirtualVehicle, seed: u64) -> Self {
        Self {
            vehicle,
            clamp: VirtualMeter::low_range_clamp(),
            millivolts: VirtualMeter::millivolts(),
            volts: VirtualMeter::volts(),
            analyser: VirtualMeter::analyser(),
            battery: None,
            seed,
        }
    }

    /// The same with a battery that can be tested.
    pub fn with_battery(mut self, battery: VirtualBattery) -> Self {
        self.battery = Some(battery);
        self
    }

    /// The same after repairs at these nodes: faults at or below them are gone,
    /// faults elsewhere are not. Nodes that do not exist change nothing.
    pub fn repaired(mut self, nodes: &[NodeId]) -> Self {
        for index in nodes
            .iter()
            .filter_map(|node| self.index(node))
            .collect::<Vec<_>>()
        {
            self.vehicle.repair(index);
        }
        self
    }

    /// What a logging clamp on the battery cable writes over a night of `hours`
    /// from locking, one sample each `interval_s`.
    pub fn night(&self, interval_s: f64, hours: f64) -> NightLog {
        record(
            &self.vehicle,
            &self.clamp,
            interval_s,
            hours * 3600.0,
            self.seed,
        )
    }

    /// What the meter shows; `None` when there is no such node, no fuse with a
    /// rating to read across, or no battery to test.
    pub fn ask(&self, question: &Question) -> Option<Answer> {
        match question {
            Question::Current(node) => Some(Answer::Current(self.current_a(node, &[], &node.0)?)),
            Question::Drop(node) => self.drop_v(node).map(Answer::Drop),
            Question::Pull(nodes) => {
                let pulled: Vec<usize> = nodes
                    .iter()
                    .map(|node| self.index(node))
                    .collect::<Option<_>>()?;
                let battery = NodeId::battery();
                let before = self.current_a(&battery, &[], "before")?;
                let after = self.current_a(&battery, &pulled, "after")?;
                Some(Answer::Pull(before, after))
            }
            Question::RestVoltage => {
                let true_v = self.battery?.rested_v;
                Some(Answer::Voltage(self.volts.show(
                    true_v,
                    0.0,
                    &mut self.random("rest"),
                )))
            }
            Question::Charging => {
                let true_v = self.battery?.charging_v;
                Some(Answer::Voltage(self.volts.show(
                    true_v,
                    0.0,
                    &mut self.random("charging"),
                )))
            }
            Question::Cranking => {
                let true_a = self.battery?.cranking_a;
                Some(Answer::Cranking(self.analyser.show(
                    true_a,
                    0.0,
                    &mut self.random("cranking"),
                )))
            }
        }
    }

    fn index(&self, node: &NodeId) -> Option<usize> {
        self.vehicle.tree().index(node)
    }

    fn current_a(&self, node: &NodeId, pulled: &[usize], salt: &str) -> Option<f64> {
        let true_a = self.vehicle.current_a(self.index(node)?, ASLEEP_S, pulled);
        Some(self.clamp.show(true_a, 0.0, &mut self.random(salt)))
    }

    fn drop_v(&self, node: &NodeId) -> Option<f64> {
        let index = self.index(node)?;
        let spec = self.vehicle.tree().node(index);
        if spec.kind != NodeKind::Fuse {
            return None;
        }
        let family: Option<FuseFamily> = spec.fuse.as_deref().and_then(|word| word.parse().ok());
        let resistance = fuse::resistance(family, spec.rating_a?, None)?;
        // Each fuse has its own resistance within the family's tolerance.
        let scale = 1.0 + resistance.tolerance * self.random(&node.0).random_range(-1.0..1.0);
        let true_v = self.vehicle.current_a(index, ASLEEP_S, &[]) * resistance.ohm.value * scale;
        Some(
            self.millivolts
                .show(true_v, 0.0, &mut self.random(&format!("drop {node}"))),
        )
    }

    /// A generator of its own for each question.
    fn random(&self, salt: &str) -> Pcg64Mcg {
        // FNV-1a, 64 bit, constants from memory: it only mixes the text into the seed.
        let mixed = salt
            .bytes()
            .fold(0xcbf2_9ce4_8422_2325_u64 ^ self.seed, |hash, byte| {
                (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
            });
        Pcg64Mcg::seed_from_u64(mixed)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario;

    fn bench() -> Bench {
        Bench::new(scenario::bread_van().unwrap(), 7)
    }

    #[test]
    fn the_lamp_shows_wherever_it_is_read() {
        let bench = bench();
        let node = |id: &str| NodeId(id.into());
        let Some(Answer::Current(total)) = bench.ask(&Question::Current(node("battery"))) else {
            panic!("no total");
        };
        assert!((total - 0.438).abs() < 0.02, "{total}");
        let Some(Answer::Drop(lamp)) = bench.ask(&Question::Drop(node("F17"))) else {
            panic!("no drop");
        };
        // 0.417 A through 7.7 milliohm, 10 %, and the meter's 0.1 mV steps.
        assert!((lamp - 0.0032).abs() < 0.0006, "{lamp}");
        let Some(Answer::Pull(before, after)) = bench.ask(&Question::Pull(vec![node("F17")]))
        else {
            panic!("no pull");
        };
        assert!((before - after - 0.417).abs() < 0.02);
    }

    #[test]
    fn a_repair_ends_the_fault_where_it_is_made_and_nowhere_else() {
        let total = |at: &[&str]| {
            let nodes: Vec<NodeId> = at.iter().map(|id| NodeId((*id).into())).collect();
            match bench()
                .repaired(&nodes)
                .ask(&Question::Current(NodeId::battery()))
            {
                Some(Answer::Current(total)) => total,
                other => panic!("{other:?}"),
            }
        };
        for (at, expected_a) in [
            (&["F17"][..], 0.021),
            (&["cabin-box"], 0.021),
            (&["F17", "F17"], 0.021),
            (&["F12"], 0.438),
            (&["F99"], 0.438),
        ] {
            assert!(
                (total(at) - expected_a).abs() < 0.01,
                "{at:?}: {}",
                total(at)
            );
        }
    }

    #[test]
    fn a_battery_answers_when_there_is_one() {
        let asked = [
            Question::RestVoltage,
            Question::Charging,
            Question::Cranking,
        ];
        assert!(asked.iter().all(|question| bench().ask(question).is_none()));
        let bench = bench().with_battery(scenario::BREAD_VAN_BATTERY);
        let near = |question: &Question, expected: f64, within: f64| match bench.ask(question) {
            Some(Answer::Voltage(shown) | Answer::Cranking(shown)) => {
                assert!((shown - expected).abs() <= within, "{question:?}: {shown}");
            }
            other => panic!("{other:?}"),
        };
        near(&Question::RestVoltage, 12.58, 0.05);
        near(&Question::Charging, 14.3, 0.05);
        near(&Question::Cranking, 515.0, 30.0);
    }

    #[test]
    fn the_night_after_a_repair_is_a_quiet_one() {
        let level = |bench: &Bench| {
            let night = bench.night(10.0, 6.0);
            night.shown_a.iter().rev().take(60).sum::<f64>() / 60.0
        };
        let bench = bench();
        assert!(level(&bench) > 0.4);
        assert!(level(&bench.repaired(&[NodeId::battery()])) < 0.05);
    }

    #[test]
    fn asking_twice_gives_the_same_and_nonsense_nothing() {
        let bench = bench();
        let question = Question::Current(NodeId("cabin-box".into()));
        assert_eq!(bench.ask(&question), bench.ask(&question));
        assert_eq!(bench.ask(&Question::Drop(NodeId("cabin-box".into()))), None);
        assert_eq!(bench.ask(&Question::Current(NodeId("F99".into()))), None);
    }
}
