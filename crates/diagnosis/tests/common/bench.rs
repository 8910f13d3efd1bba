//! An invented vehicle by seed, searched truthfully.

use diagnosis::{
    Belief, BeliefOptions, Evidence, EvidenceKind, LoadModels, Plan, PlanOptions, Proposal,
    TestKind, believe, plan,
};
use harness::{FeedTree, NodeKind, NodeSpec, fuse};
use measure::{Instrument, InstrumentKind, instrument::How};

use super::{Random, models};

/// An invented vehicle, its meters and what is true of it.
pub(crate) struct Bench {
    pub(crate) tree: FeedTree,
    pub(crate) models: LoadModels,
    pub(crate) tools: Vec<Instrument>,
    pub(crate) options: PlanOptions,
    pub(crate) evidence: Vec<Evidence>,
    /// By node: what the leaf draws, ampere; and what is past the fuses, at the battery.
    draws_a: Vec<f64>,
}

const FAMILIES: [&str; 15] = [
    "lamp",
    "audio",
    "relay",
    "wiper",
    "alarm",
    "socket",
    "boot-lamp",
    "body-module",
    "blower",
    "door-module",
    "horn",
    "tow-socket",
    "telematics",
    "engine-control",
    "airbag",
];

fn tool(kind: InstrumentKind) -> Instrument {
    let mut tool = Instrument::generic(kind);
    tool.zero_set = true;
    tool
}

impl Bench {
    pub(crate) fn of(seed: u64) -> Self {
        let mut random = Random(seed);
        let mut pick = |n: usize| (random.uniform() * n as f64) as usize % n;
        let mut specs: Vec<NodeSpec> = Vec::new();
        let mut feeds = vec!["battery".to_owned()];
        for at in 0..pick(4) {
            let cable = format!("cable-{at}");
            let from = feeds[pick(feeds.len())].clone();
            specs.push(NodeSpec::new(&cable, &from, NodeKind::Cable));
            feeds.push(cable);
        }
        for at in 0..4 + pick(9) {
            let id = format!("F{at}");
            let mut spec = NodeSpec::new(&id, &feeds[pick(feeds.len())], NodeKind::Fuse);
            spec.rating_a = Some([5.0, 7.5, 10.0, 15.0, 20.0, 30.0][pick(6)]);
            spec.fuse = Some("blade".into());
            spec.in_place = pick(2) == 0;
            let loads = if pick(4) == 0 { 2 + pick(2) } else { 0 };
            if loads == 0 {
                spec.family = Some(FAMILIES[pick(FAMILIES.len())].into());
            }
            specs.push(spec);
            for load in 0..loads {
                let mut spec = NodeSpec::new(&format!("{id}.{load}"), &id, NodeKind::Load);
                spec.family = Some(FAMILIES[pick(FAMILIES.len())].into());
                specs.push(spec);
            }
        }
        let kits: [&[InstrumentKind]; 4] = [
            &[InstrumentKind::Clamp, InstrumentKind::Millivolt],
            &[InstrumentKind::Clamp],
            &[InstrumentKind::InLine, InstrumentKind::Millivolt],
            &[InstrumentKind::InLine],
        ];
        let tools: Vec<Instrument> = kits[pick(4)].iter().map(|&kind| tool(kind)).collect();
        let options = PlanOptions {
            asleep_now: Some(true),
            allow_settings_loss: pick(3) == 0,
            leave_out: pick(2) == 0,
            bypass: true,
            ..PlanOptions::default()
        };
        let tree = FeedTree::build(specs).unwrap();
        let models = models(&tree);
        let mut bench = Self {
            draws_a: vec![0.0; tree.len()],
            tree,
            models,
            tools,
            options,
            evidence: Vec::new(),
        };
        bench.break_something(&mut random);
        let total = bench.true_a(&[FeedTree::ROOT]);
        let (tool, how) = bench.total_meter();
        bench.evidence.push(Evidence {
            tag: 0,
            asleep: true,
            kind: EvidenceKind::Direct {
                node: FeedTree::ROOT,
                current: tool.reading(how, total).value,
                below_floor: None,
            },
        });
        let kind = if how == How::Clamp {
            TestKind::Clamp
        } else {
            TestKind::InLine
        };
        bench.options.done_tests.push((kind, vec![FeedTree::ROOT]));
        bench
    }

    /// One fault mostly, two now and then, past the fuses now and then, seldom none.
    fn break_something(&mut self, random: &mut Random) {
        let leaves = self.tree.leaves().to_vec();
        for &leaf in &leaves {
            self.draws_a[leaf] = 0.0003 * (random.normal() * 0.7).exp();
        }
        let faults = match random.uniform() {
            u if u < 0.05 => 0,
            u if u < 0.85 => 1,
            _ => 2,
        };
        for _ in 0..faults {
            let at = if random.uniform() < 0.07 {
                FeedTree::ROOT
            } else {
                leaves[(random.uniform() * leaves.len() as f64) as usize % leaves.len()]
            };
            self.draws_a[at] += 0.06 * (random.uniform() * 3.0).exp();
        }
    }

    fn true_a(&self, nodes: &[usize]) -> f64 {
        let outside = if nodes.contains(&FeedTree::ROOT) {
            self.draws_a[FeedTree::ROOT]
        } else {
            0.0
        };
        let leaves = nodes.iter().flat_map(|&node| self.tree.leaves_below(node));
        outside + leaves.map(|&leaf| self.draws_a[leaf]).sum::<f64>()
    }

    fn total_meter(&self) -> (&Instrument, How) {
        let clamp = self.tools.iter().find(|t| t.kind == InstrumentKind::Clamp);
        match clamp {
            Some(clamp) => (clamp, How::Clamp),
            None => (&self.tools[0], How::InLine),
        }
    }

    /// What the planner says now.
    pub(crate) fn plan(&self) -> (Belief, Plan) {
        let belief = self.belief(None, &[]);
        let plan = plan(
            &self.tree,
            &self.models,
            &belief,
            &self.tools,
            &self.options,
        );
        (belief, plan)
    }

    pub(crate) fn belief(&self, more: Option<&Evidence>, groups: &[Vec<usize>]) -> Belief {
        let evidence: Vec<Evidence> = self.evidence.iter().chain(more).cloned().collect();
        let options = BeliefOptions {
            groups: groups.to_vec(),
            ..BeliefOptions::default()
        };
        believe(&self.tree, &self.models, &evidence, &options)
    }

    /// The reading of a test that shows so much.
    pub(crate) fn reading(&self, test: &Proposal, current_a: f64) -> Evidence {
        let (total, how) = self.total_meter();
        let direct = |current| EvidenceKind::Direct {
            node: test.nodes[0],
            current,
            below_floor: None,
        };
        let kind = match test.kind {
            TestKind::Clamp => direct(total.reading(How::Clamp, current_a).value),
            TestKind::InLine => direct(total.reading(How::InLine, current_a).value),
            TestKind::Millivolt => {
                let spec = self.tree.node(test.nodes[0]);
                let family = spec.fuse.as_deref().and_then(|word| word.parse().ok());
                let rating_a = spec.rating_a.unwrap();
                let ohm = fuse::resistance(family, rating_a, None).unwrap().ohm.value;
                let meter = &self.tools[test.tool.unwrap()];
                let drop = meter.reading(How::Millivolt, current_a * ohm).value;
                direct(fuse::current_from_drop(drop, family, rating_a).unwrap())
            }
            _ => EvidenceKind::Step {
                nodes: test.nodes.clone(),
                step: total.difference(how, 0.0, current_a, 0.5).value,
            },
        };
        Evidence {
            tag: self.evidence.len(),
            asleep: true,
            kind,
        }
    }

    /// Does a test truthfully.
    pub(crate) fn perform(&mut self, test: &Proposal) {
        let evidence = self.reading(test, self.true_a(&test.nodes));
        self.evidence.push(evidence);
        self.options
            .done_tests
            .push((test.kind, test.nodes.clone()));
        match test.kind {
            TestKind::Pull | TestKind::PullGroup if self.options.leave_out => {
                self.options.out.extend(&test.nodes);
            }
            TestKind::PutBack => self.options.out.retain(|out| !test.nodes.contains(out)),
            _ => {}
        }
    }
}
