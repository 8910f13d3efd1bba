//! The virtual vehicle on the bench: asked for a reading, it answers as the
//! meter in the apprentice's hand would.

use harness::{
    NodeId, NodeKind,
    fuse::{self, FuseFamily},
};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64Mcg;

use crate::{VirtualMeter, VirtualVehicle};

/// A test that a meter answers with a number.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Question {
    /// A clamp around the cable at a node, or an ammeter in it.
    Current(NodeId),
    /// Millivolts across a fuse.
    Drop(NodeId),
    /// The total before and after pulling these.
    Pull(Vec<NodeId>),
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
            seed,
        }
    }

    /// What the meter shows; `None` when there is no such node, or no fuse with
    /// a rating to read across.
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
    fn asking_twice_gives_the_same_and_nonsense_nothing() {
        let bench = bench();
        let question = Question::Current(NodeId("cabin-box".into()));
        assert_eq!(bench.ask(&question), bench.ask(&question));
        assert_eq!(bench.ask(&Question::Drop(NodeId("cabin-box".into()))), None);
        assert_eq!(bench.ask(&Question::Current(NodeId("F99".into()))), None);
    }
}
