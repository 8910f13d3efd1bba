//! Draws a vehicle: its fuses, what hangs behind them, what is wrong, the meters.

use std::collections::BTreeMap;

use harness::{
    FeedTree, NodeId, NodeKind, NodeSpec,
    fuse::{self, FuseFamily},
};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64Mcg;

use super::{
    Behaviour, Fault, Kit, Load, Place, Reach, Settings, State, Vehicle,
    table::{self, Circuit, Kind, Way},
    work,
};
use crate::{VehicleError, WakeHabit};

/// A second and a further piece of one circuit is this much rarer than the one before (from memory).
const RARER: f64 = 0.85;
/// Chance that a fuse feeds one circuit more, and that such circuits are listed one by one (from memory).
const ONE_MORE: f64 = 0.2;
const LISTED: f64 = 0.3;
/// Settled draw of a sound vehicle, ampere: drawn again between these when circuits sum to
/// more (from memory: 15 to 45 mA).
const SOUND_A: (f64, f64) = (0.015, 0.045);
/// Draw over the limit from which somebody complains, as a multiple of it (from memory).
const COMPLAINT: f64 = 1.3;
/// Seconds after falling asleep at which a [`super::Visit`] begins.
pub(super) const RESTED_S: f64 = 600.0;
/// Temperature coefficient of the fuse metal, zinc, per kelvin (from memory).
const PER_KELVIN: f64 = 0.0038;
/// A diode's reverse current doubles with every ten kelvin (common practice).
const DOUBLES_K: f64 = 10.0;

impl Vehicle {
    /// The vehicle of a seed. Deterministic.
    ///
    /// # Errors
    /// Never for the tables that come with it; a test holds that.
    pub fn draw(seed: u64, settings: &Settings) -> Result<Self, VehicleError> {
        let mut draft = Draft::new(seed, settings);
        draft.boxes();
        draft.circuits();
        draft.finish()
    }
}

/// A fuse or load with the circuits behind it.
struct Behind {
    id: String,
    circuits: Vec<&'static Circuit>,
}

struct Draft<'s> {
    seed: u64,
    settings: &'s Settings,
    random: Pcg64Mcg,
    kind: &'static Kind,
    kind_at: usize,
    second_battery: bool,
    specs: Vec<(NodeSpec, Place)>,
    leaves: Vec<Behind>,
    /// German labels of nodes.
    german: BTreeMap<String, String>,
    fuses: usize,
}

impl<'s> Draft<'s> {
    fn new(seed: u64, settings: &'s Settings) -> Self {
        let mut random = Pcg64Mcg::seed_from_u64(seed);
        let kinds = table::all_kinds();
        let asked = settings.kind.as_deref();
        let asked = kinds.iter().position(|kind| Some(kind.name) == asked);
        let drawn = pick(&mut random, kinds.iter().map(|kind| kind.share));
        let kind_at = asked.unwrap_or(drawn);
        let kind = &kinds[kind_at];
        let second_battery = random.random_bool(kind.second_battery);
        Self {
            seed,
            settings,
            random,
            kind,
            kind_at,
            second_battery,
            specs: Vec::new(),
            leaves: Vec::new(),
            german: BTreeMap::new(),
            fuses: 0,
        }
    }

    /// The cables and main fuses above the boxes.
    fn boxes(&mut self) {
        self.cable("engine-box", "battery", Place::Engine);
        let behind_main = self.random.random_bool(self.kind.main_fuse);
        let from = if behind_main {
            self.main_fuse("MF1", "engine-box", [60.0, 80.0])
        } else {
            "battery"
        };
        self.cable("cabin-box", from, Place::Cabin);
        // A large box is fed by two cables.
        if self.kind.fuses.1 > 100 {
            self.cable("cabin-box-2", from, Place::Cabin);
        }
        self.cable("rear-box", "battery", Place::Rear);
        if self.second_battery {
            self.cable("second-battery", "battery", Place::Second);
        }
        self.cable("alternator-cable", "battery", Place::Alternator);
        let alternator = NodeSpec {
            family: Some("alternator".into()),
            ..NodeSpec::new("alternator", "alternator-cable", NodeKind::Load)
        };
        self.feed(alternator, Place::Alternator);
    }

    fn cable(&mut self, id: &str, from: &str, place: Place) {
        self.feed(NodeSpec::new(id, from, NodeKind::Cable), place);
    }

    /// One of those that every vehicle has, with its words.
    fn feed(&mut self, mut spec: NodeSpec, place: Place) {
        if let Some(feed) = table::feed_named(&spec.id.0) {
            spec.label = (!feed.label.is_empty()).then(|| feed.label.into());
            self.german.insert(spec.id.0.clone(), feed.label_de.into());
        }
        self.specs.push((spec, place));
    }

    fn main_fuse(&mut self, id: &'static str, from: &str, ratings: [f64; 2]) -> &'static str {
        let rating_a = ratings[self.random.random_range(0..ratings.len())];
        let spec = NodeSpec {
            rating_a: Some(rating_a),
            fuse: Some("maxi".into()),
            in_place: self.in_place(),
            ..NodeSpec::new(id, from, NodeKind::Fuse)
        };
        self.feed(spec, Place::Engine);
        id
    }

    fn in_place(&mut self) -> bool {
        match self.settings.reach {
            Reach::All => true,
            Reach::None => false,
            Reach::Half => self.random.random_bool(0.5),
        }
    }

    /// Draws circuits, puts them behind fuses and the fuses into their boxes.
    fn circuits(&mut self) {
        let (fewest, most) = self.kind.fuses;
        let wanted = self.random.random_range(fewest..=most);
        let more = (wanted as f64 * ONE_MORE) as usize;
        let drawn = self.sample(wanted + more);
        let (first, others) = drawn.split_at(wanted.min(drawn.len()));
        for place in Place::BOXES {
            let here = |circuits: &[&'static Circuit]| -> Vec<&'static Circuit> {
                let here = circuits.iter().filter(|circuit| circuit.place == place);
                here.copied().collect()
            };
            let mut fuses: Vec<Vec<&'static Circuit>> = here(first)
                .into_iter()
                .map(|circuit| vec![circuit])
                .collect();
            // Fuses stand in their box in no order of importance.
            shuffle(&mut self.random, &mut fuses);
            for circuit in here(others) {
                if !fuses.is_empty() {
                    let at = self.random.random_range(0..fuses.len());
                    fuses[at].push(circuit);
                }
            }
            for circuits in fuses {
                self.fuse(place, circuits);
            }
        }
    }

    /// `count` circuits, common ones first in chance: weighted sampling without replacement
    /// by the keys u^(1/w) (Efraimidis and Spirakis 2006, "Weighted random sampling with
    /// a reservoir"; from memory).
    fn sample(&mut self, count: usize) -> Vec<&'static Circuit> {
        let mut keyed: Vec<(f64, &'static Circuit)> = Vec::new();
        for circuit in table::circuits() {
            if circuit.place == Place::Second && !self.second_battery {
                continue;
            }
            for piece in 0..circuit.most {
                let common = circuit.common[self.kind_at] * RARER.powi(piece as i32);
                // What nearly every such vehicle has is nearly certain here too.
                let weight = common / (1.02 - common);
                let u: f64 = self.random.random();
                keyed.push((u.powf(1.0 / weight), circuit));
            }
        }
        keyed.sort_by(|a, b| b.0.total_cmp(&a.0));
        keyed
            .into_iter()
            .take(count)
            .map(|(_, circuit)| circuit)
            .collect()
    }

    fn fuse(&mut self, place: Place, circuits: Vec<&'static Circuit>) {
        self.fuses += 1;
        let id = format!("F{}", self.fuses);
        let two = self
            .specs
            .iter()
            .any(|(spec, _)| spec.id.0 == "cabin-box-2");
        let from = match place {
            Place::Cabin if two && self.random.random_bool(0.5) => "cabin-box-2",
            Place::Cabin => "cabin-box",
            Place::Rear => "rear-box",
            Place::Second => "second-battery",
            _ => "engine-box",
        };
        let rating = circuits
            .iter()
            .map(|circuit| circuit.ratings[self.random.random_range(0..circuit.ratings.len())])
            .fold(0.0, f64::max);
        let mut spec = NodeSpec {
            rating_a: Some(rating),
            fuse: Some(if rating > 30.0 { "cartridge" } else { "blade" }.into()),
            in_place: self.in_place(),
            ..NodeSpec::new(&id, from, NodeKind::Fuse)
        };
        let listed = circuits.len() > 1 && self.random.random_bool(LISTED);
        if !listed {
            self.describe(&mut spec, &circuits);
            self.specs.push((spec, place));
            self.leaves.push(Behind { id, circuits });
            return;
        }
        self.specs.push((spec, place));
        for (at, circuit) in circuits.into_iter().enumerate() {
            let load_id = format!("{id}.{}", at + 1);
            let mut load = NodeSpec::new(&load_id, &id, NodeKind::Load);
            self.describe(&mut load, &[circuit]);
            self.specs.push((load, place));
            self.leaves.push(Behind {
                id: load_id,
                circuits: vec![circuit],
            });
        }
    }

    /// Labels and family as a fuse list has them: those of the first circuit count.
    fn describe(&mut self, spec: &mut NodeSpec, circuits: &[&'static Circuit]) {
        let listed = |label: fn(&Circuit) -> &'static str| {
            let labels = circuits.iter().map(|circuit| label(circuit));
            let labels: Vec<&str> = labels.filter(|label| !label.is_empty()).collect();
            (!labels.is_empty()).then(|| labels.join(" / "))
        };
        spec.label = listed(|circuit| circuit.label);
        if let Some(german) = listed(|circuit| circuit.label_de) {
            self.german.insert(spec.id.0.clone(), german);
        }
        let known = circuits.iter().find(|circuit| circuit.family != "unknown");
        spec.family = known.map(|circuit| circuit.family.into());
        spec.keeps_settings = circuits.iter().any(|circuit| circuit.keeps);
    }

    fn finish(mut self) -> Result<Vehicle, VehicleError> {
        let specs = std::mem::take(&mut self.specs);
        let placed: Vec<(NodeId, Place)> = specs
            .iter()
            .map(|(spec, place)| (spec.id.clone(), *place))
            .collect();
        let tree = FeedTree::build(specs.into_iter().map(|(spec, _)| spec).collect())
            .map_err(VehicleError::Tree)?;
        let mut places = vec![Place::Battery; tree.len()];
        for (id, place) in placed {
            if let Some(node) = tree.index(&id) {
                places[node] = place;
            }
        }
        let temperature_c = self.random.random_range(-8.0..32.0);
        let behind: Vec<(usize, &'static Circuit)> = std::mem::take(&mut self.leaves)
            .into_iter()
            .filter_map(|leaf| Some((tree.index(&NodeId(leaf.id))?, leaf.circuits)))
            .flat_map(|(node, circuits)| circuits.into_iter().map(move |circuit| (node, circuit)))
            .collect();
        let loads = self.loads(&behind);
        let wakes = self.wakes(&tree, &behind);
        let fuse_ohm = self.fuse_ohm(&tree, temperature_c);
        let (low, high) = (work().of("resleep_low"), work().of("resleep_high"));
        let mut vehicle = Vehicle {
            seed: self.seed,
            kind: self.kind.name,
            resleep_s: 60.0 * self.random.random_range(low..=high),
            kit: Kit::draw(&mut self.random),
            german: std::mem::take(&mut self.german),
            tree,
            loads,
            faults: Vec::new(),
            places,
            wakes,
            fuse_ohm,
            temperature_c,
        };
        vehicle.faults = self.faults(&vehicle, &behind);
        Ok(vehicle)
    }

    fn loads(&mut self, behind: &[(usize, &'static Circuit)]) -> Vec<Load> {
        let mut loads: Vec<Load> = Vec::new();
        for &(node, circuit) in behind {
            let reports = (circuit.id == "telematics"
                && self.random.random_bool(self.kind.reports))
                || circuit.id == "tracker";
            // Reports of some seconds to a minute each ten minutes to four hours (from memory).
            let reports = reports.then(|| WakeHabit {
                period_s: between(&mut self.random, (600.0, 14_400.0)),
                duration_s: between(&mut self.random, (8.0, 60.0)),
                current_a: circuit.awake_a,
            });
            loads.push(Load {
                node,
                asleep_a: between(&mut self.random, circuit.settled_a),
                awake_a: circuit.awake_a * between(&mut self.random, (0.7, 1.4)),
                timer_s: circuit.timer_s * between(&mut self.random, (0.6, 1.6)),
                on_bus: circuit.on_bus,
                keeps_settings: circuit.keeps,
                reports,
            });
        }
        let sum: f64 = loads.iter().map(|load| load.asleep_a).sum();
        if sum > SOUND_A.1 {
            let wanted = between(&mut self.random, SOUND_A);
            for load in &mut loads {
                load.asleep_a *= wanted / sum;
            }
        }
        loads
    }

    /// By node the chance that an interruption wakes the vehicle: that of the most restless
    /// circuit behind it, and some vehicles are more restless than others.
    fn wakes(&mut self, tree: &FeedTree, behind: &[(usize, &'static Circuit)]) -> Vec<f64> {
        let temper = between(&mut self.random, (0.4, 1.6));
        let of_circuit = |circuit: &Circuit| {
            work().of(match circuit {
                circuit if circuit.family == "body-module" => "wake_body",
                circuit if circuit.on_bus => "wake_bus",
                _ => "wake_plain",
            })
        };
        (0..tree.len())
            .map(|node| {
                let below = behind
                    .iter()
                    .filter(|(leaf, _)| tree.is_at_or_below(*leaf, node));
                let most = below
                    .map(|(_, circuit)| of_circuit(circuit))
                    .fold(work().of("wake_plain"), f64::max);
                (most * temper).min(0.95)
            })
            .collect()
    }

    /// Each fuse has a resistance of its own within the tolerance of its family, and is as warm as the day.
    fn fuse_ohm(&mut self, tree: &FeedTree, temperature_c: f64) -> Vec<Option<f64>> {
        tree.nodes()
            .map(|(_, spec)| {
                let family: Option<FuseFamily> =
                    spec.fuse.as_deref().and_then(|word| word.parse().ok());
                let known = fuse::resistance(family, spec.rating_a?, Some(25.0))?;
                let own = known.tolerance * (2.0 * self.random.random::<f64>() - 1.0);
                Some(known.ohm.value * (1.0 + own) * (1.0 + PER_KELVIN * (temperature_c - 25.0)))
            })
            .collect()
    }

    /// One fault or two whose sum somebody complains of.
    fn faults(&mut self, vehicle: &Vehicle, behind: &[(usize, &'static Circuit)]) -> Vec<Fault> {
        let count = 1 + usize::from(self.random.random_bool(self.settings.two_faults));
        let healthy = vehicle.settled_a(|_| true);
        let begins_s = vehicle.asleep_from_s(&State::locked()) + RESTED_S;
        let mut faults: Vec<Fault> = Vec::new();
        // Small faults that nobody would notice are drawn again; most draws serve at once.
        for _ in 0..200 {
            faults.clear();
            while faults.len() < count {
                let fault = self.fault(vehicle, behind, begins_s);
                let twice = faults.iter().any(|other| other.node == fault.node);
                if !twice {
                    faults.push(fault);
                }
            }
            let sum: f64 = faults.iter().map(|fault| fault.size_a).sum();
            if healthy + sum > COMPLAINT * self.settings.limit_a {
                break;
            }
        }
        faults
    }

    fn fault(
        &mut self,
        vehicle: &Vehicle,
        behind: &[(usize, &'static Circuit)],
        begins_s: f64,
    ) -> Fault {
        let chances = [
            self.settings.wiring,
            self.settings.alternator,
            self.settings.outside,
        ];
        let rest = (1.0 - chances.iter().sum::<f64>()).max(0.0);
        let which = pick(&mut self.random, chances.into_iter().chain([rest]));
        let tree = &vehicle.tree;
        let (node, circuit) = match which {
            0 => (Some(self.fuse_without_list(tree)), "wiring"),
            1 => (tree.index(&NodeId("alternator".into())), "alternator"),
            2 => (None, "outside"),
            _ => {
                let at = pick(&mut self.random, behind.iter().map(|(_, c)| c.rate));
                (Some(behind[at].0), behind[at].1.id)
            }
        };
        let allowed = |way: &&Way| match way.behaviour {
            "comes-and-goes" => self.settings.comes_and_goes,
            "wakes" => self.settings.wakes,
            _ => true,
        };
        let ways: Vec<&Way> = table::ways(circuit).into_iter().filter(allowed).collect();
        let way = ways[pick(&mut self.random, ways.iter().map(|way| way.share))];
        let warm = if circuit == "alternator" {
            2.0_f64.powf((vehicle.temperature_c - 25.0) / DOUBLES_K)
        } else {
            1.0
        };
        Fault {
            node,
            in_wiring: which == 0,
            size_a: between(&mut self.random, way.size_a) * warm,
            behaviour: self.behaviour(way.behaviour, begins_s),
            what: way.what,
            what_de: way.what_de,
        }
    }

    /// Wiring faults are drawn where the list does not go beyond the fuse: on a list of
    /// its loads there is no place for them.
    fn fuse_without_list(&mut self, tree: &FeedTree) -> usize {
        let fuses: Vec<usize> = tree
            .leaves()
            .iter()
            .copied()
            .filter(|&leaf| tree.node(leaf).kind == NodeKind::Fuse)
            .collect();
        fuses[self.random.random_range(0..fuses.len())]
    }

    /// Spells from memory. A fault that comes and goes shows when the work begins:
    /// before that nobody would look for it.
    fn behaviour(&mut self, word: &str, begins_s: f64) -> Behaviour {
        match word {
            "comes-and-goes" => {
                let on_s = between(&mut self.random, (1_800.0, 14_400.0));
                let off_s = between(&mut self.random, (600.0, 5_400.0));
                let since = on_s * self.random.random::<f64>();
                Behaviour::ComesAndGoes {
                    on_s,
                    off_s,
                    into_s: since - begins_s,
                }
            }
            "wakes" => {
                let period_s = between(&mut self.random, (300.0, 1_500.0));
                Behaviour::Wakes {
                    period_s,
                    burst_s: between(&mut self.random, (40.0, 240.0)),
                    into_s: period_s * self.random.random::<f64>(),
                }
            }
            _ => Behaviour::Steady,
        }
    }
}

/// Spread evenly in its logarithm between two positive bounds.
fn between(random: &mut Pcg64Mcg, (low, high): (f64, f64)) -> f64 {
    low * (high / low).powf(random.random::<f64>())
}

/// A position, by weight; the last where rounding leaves none.
fn pick(random: &mut Pcg64Mcg, weights: impl Iterator<Item = f64> + Clone) -> usize {
    let total: f64 = weights.clone().sum();
    let mut left = total * random.random::<f64>();
    let mut last = 0;
    for (at, weight) in weights.enumerate() {
        if weight > 0.0 {
            last = at;
            if left < weight {
                return at;
            }
            left -= weight;
        }
    }
    last
}

/// Fisher and Yates.
fn shuffle<T>(random: &mut Pcg64Mcg, items: &mut [T]) {
    for at in (1..items.len()).rev() {
        items.swap(at, random.random_range(0..=at));
    }
}
