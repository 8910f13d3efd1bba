//! Which streams are drawn: the telling ones each, the small ones together.

use std::collections::BTreeMap;

use harness::{NodeId, NodeKind};
use job::{Assessment, Job, NodeAssessment};
use measure::{Quantiles, Uncertain, quantity::Ampere};
use tongue::say;

use crate::words;

/// A load below a fuse gets its own stream from this suspicion on, when there are two such.
const LOAD_APART_P: f64 = 0.10;
/// … or from this share of the total on.
const LOAD_APART_SHARE: f64 = 0.15;

/// So many circuits are always drawn one by one, half of them at least among many …
const FEW: usize = 8;
/// … and beyond that those whose suspicion or share of the total is above this, as far as there is room.
const TELLING: f64 = 0.05;

/// What a stream is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Kind {
    /// Splits into the streams below it.
    Trunk,
    /// Ends in a circuit or load.
    Leaf,
    /// Small ones together.
    Rest,
    /// What no circuit carries.
    Unaccounted,
}

/// One stream.
#[derive(Debug, Clone)]
pub(crate) struct Stream {
    pub(crate) kind: Kind,
    pub(crate) node: Option<NodeId>,
    pub(crate) name: String,
    /// A word more where there is room: a fuse's rating, how many circuits.
    pub(crate) extra: String,
    pub(crate) mean_a: f64,
    pub(crate) interval: Option<Quantiles>,
    pub(crate) given: Option<Uncertain>,
    pub(crate) p_fault: Option<f64>,
    pub(crate) measured: bool,
    vague: bool,
    pub(crate) culprit: bool,
    pub(crate) children: Vec<Stream>,
    order: f64,
}

impl Stream {
    /// Whether its width is more a guess than a finding: the 90 % interval is
    /// wider than half the mean and than 2 mA (the borders are ours).
    pub(crate) fn uncertain(&self) -> bool {
        match (self.kind, self.interval) {
            (Kind::Unaccounted, _) => true,
            (Kind::Rest, _) => self.vague,
            // A mean beyond its own interval comes from a small chance of much, which
            // is as vague as a wide interval.
            (_, Some(q)) => q.p95 - q.p05 > (0.5 * self.mean_a).max(0.002) || self.mean_a > q.p95,
            (_, None) => false,
        }
    }
}

/// Everything that leaves the battery.
#[derive(Debug, Clone)]
pub(crate) struct Loom {
    pub(crate) streams: Vec<Stream>,
    /// Sum of all streams, ampere.
    pub(crate) sum_a: f64,
    /// Whether some circuits have no reading at, above or below them.
    pub(crate) untraced: bool,
}

/// Gathers the streams, at most about `most` circuits by themselves.
pub(crate) fn gather(job: &Job, assessment: &Assessment, most: usize) -> Loom {
    let gatherer = Gatherer::new(job, assessment, most);
    let mut streams = match assessment.nodes.first() {
        Some(_) => gatherer.below(0),
        None => Vec::new(),
    };
    let known: f64 = streams.iter().map(|s| s.mean_a).sum();
    let untraced = !gatherer.covered(0, true);
    streams.extend(unaccounted(assessment, known, untraced));
    let sum_a = streams.iter().map(|s| s.mean_a).sum();
    Loom {
        streams,
        sum_a,
        untraced,
    }
}

/// The remainder as a stream of its own. While circuits are still untraced
/// their expected share is drawn there, so only what lies beyond is left.
fn unaccounted(assessment: &Assessment, known_a: f64, untraced: bool) -> Option<Stream> {
    let stream = |mean_a: f64, given, name: tongue::Message| Stream {
        kind: Kind::Unaccounted,
        node: None,
        name: name.to_string(),
        extra: String::new(),
        mean_a,
        interval: None,
        given,
        p_fault: None,
        measured: false,
        vague: true,
        culprit: false,
        children: Vec::new(),
        order: 0.0,
    };
    if !untraced && let Some(u) = assessment.unaccounted.filter(|u| u.value.is_finite()) {
        return Some(stream(
            u.value.max(0.0),
            Some(u),
            say::picture::unaccounted(),
        ));
    }
    let total = assessment.total?.value;
    let rest = total - known_a;
    // Less than a hundredth, or than a milliampere, is rounding.
    (rest.is_finite() && rest > (0.01 * total).max(0.001))
        .then(|| stream(rest, None, say::picture::in_no_circuit()))
}

struct Gatherer<'a> {
    job: &'a Job,
    assessment: &'a Assessment,
    children: Vec<Vec<usize>>,
    scores: Vec<f64>,
    chosen: Vec<bool>,
    total_a: f64,
}

impl<'a> Gatherer<'a> {
    fn new(job: &'a Job, assessment: &'a Assessment, most: usize) -> Self {
        let nodes = &assessment.nodes;
        let index: BTreeMap<&NodeId, usize> = nodes
            .iter()
            .enumerate()
            .map(|(at, node)| (&node.id, at))
            .collect();
        let mut children = vec![Vec::new(); nodes.len()];
        for (at, node) in nodes.iter().enumerate().skip(1) {
            // Parents come first; anything else hangs from the root, so no loop is possible.
            let parent = node
                .parent
                .as_ref()
                .and_then(|p| index.get(p))
                .copied()
                .filter(|p| *p < at);
            children[parent.unwrap_or(0)].push(at);
        }
        let total_a = assessment
            .total
            .map(|t| t.value)
            .or(nodes.first().map(|n| n.mean_a))
            .filter(|t| t.is_finite() && *t > 0.0)
            .unwrap_or(1.0);
        let mut this = Self {
            job,
            assessment,
            children,
            scores: Vec::new(),
            chosen: vec![false; nodes.len()],
            total_a,
        };
        this.scores = (0..nodes.len()).map(|at| this.score(at)).collect();
        this.choose(most);
        this
    }

    fn node(&self, at: usize) -> &'a NodeAssessment {
        &self.assessment.nodes[at]
    }

    /// Ends of the drawing: loads, and fuses that feed loads only.
    fn terminal(&self, at: usize) -> bool {
        let below = &self.children[at];
        at != 0
            && (below.is_empty()
                || self.node(at).kind == NodeKind::Fuse
                    && below.iter().all(|c| self.children[*c].is_empty()))
    }

    fn score(&self, at: usize) -> f64 {
        let node = self.node(at);
        let own_or_load = |id: &NodeId| {
            node.id == *id
                || self.terminal(at) && self.children[at].iter().any(|c| self.node(*c).id == *id)
        };
        let next = self.assessment.next.as_ref().and_then(|n| n.node.as_ref());
        let measured = if self.measured(at) { TELLING } else { 0.0 };
        let telling = (1.2 * node.p_fault).max(node.mean_a / self.total_a);
        let telling = if telling.is_finite() { telling } else { 0.0 };
        if self
            .assessment
            .culprits
            .iter()
            .any(|c| own_or_load(&c.node))
        {
            return 3.0 + telling;
        }
        if next.is_some_and(own_or_load) {
            return 2.0 + telling;
        }
        telling + measured
    }

    fn choose(&mut self, most: usize) {
        let mut ends: Vec<usize> = (0..self.scores.len())
            .filter(|at| self.terminal(*at))
            .collect();
        if ends.len() > FEW {
            ends.sort_by(|a, b| self.scores[*b].total_cmp(&self.scores[*a]).then(a.cmp(b)));
            let telling = ends.iter().filter(|e| self.scores[**e] >= TELLING).count();
            ends.truncate(telling.clamp(FEW / 2, most));
        }
        for at in ends {
            self.chosen[at] = true;
        }
    }

    fn measured(&self, at: usize) -> bool {
        !self.node(at).entries.is_empty()
            || self.terminal(at)
                && self.children[at]
                    .iter()
                    .any(|c| !self.node(*c).entries.is_empty())
    }

    fn covered(&self, at: usize, root: bool) -> bool {
        let Some(below) = self.children.get(at) else {
            return true;
        };
        !root && !self.node(at).entries.is_empty()
            || !below.is_empty() && below.iter().all(|c| self.covered(*c, false))
    }

    /// The streams below a node, most telling first, the small ones together last.
    fn below(&self, at: usize) -> Vec<Stream> {
        let mut streams = Vec::new();
        let mut rest = Vec::new();
        for &child in &self.children[at] {
            self.collect(child, &mut streams, &mut rest);
        }
        if let [only] = rest[..] {
            streams.push(self.leaf(only));
            rest.clear();
        }
        streams.sort_by(|a, b| b.order.total_cmp(&a.order));
        streams.extend(self.rest(&rest));
        streams
    }

    fn collect(&self, at: usize, streams: &mut Vec<Stream>, rest: &mut Vec<usize>) {
        if self.terminal(at) {
            if self.chosen[at] {
                streams.push(self.leaf(at));
            } else {
                rest.push(at);
            }
            return;
        }
        let mut below = self.below(at);
        if below.iter().all(|s| s.kind == Kind::Rest) {
            let mut ends = Vec::new();
            self.ends_below(at, &mut ends);
            if self.node(at).entries.is_empty() {
                // Nothing telling below: its circuits join the others.
                rest.append(&mut ends);
            } else {
                // Read as a whole: one stream for all it feeds.
                let feed = self.leaf_alone(at);
                let extra = say::picture::circuits(ends.len()).to_string();
                streams.push(Stream { extra, ..feed });
            }
        } else if below.len() == 1 {
            // A feed that carries one stream only is that stream.
            streams.append(&mut below);
        } else {
            streams.push(self.trunk(at, below));
        }
    }

    fn ends_below(&self, at: usize, ends: &mut Vec<usize>) {
        if self.terminal(at) {
            ends.push(at);
        } else {
            for &child in &self.children[at] {
                self.ends_below(child, ends);
            }
        }
    }

    fn trunk(&self, at: usize, children: Vec<Stream>) -> Stream {
        let order = children.iter().map(|c| c.order).fold(0.0, f64::max);
        Stream {
            kind: Kind::Trunk,
            children,
            order,
            ..self.leaf_alone(at)
        }
    }

    fn leaf(&self, at: usize) -> Stream {
        let telling = |c: &usize| {
            let node = self.node(*c);
            node.p_fault >= LOAD_APART_P || node.mean_a >= LOAD_APART_SHARE * self.total_a
        };
        let apart: Vec<usize> = self.children[at].iter().copied().filter(telling).collect();
        if apart.len() < 2 {
            return self.leaf_alone(at);
        }
        let mut streams: Vec<Stream> = apart.iter().map(|c| self.leaf_alone(*c)).collect();
        streams.sort_by(|a, b| b.order.total_cmp(&a.order));
        let others: Vec<usize> = self.children[at]
            .iter()
            .copied()
            .filter(|c| !telling(c))
            .collect();
        if let [only] = others[..] {
            streams.push(self.leaf_alone(only));
        } else {
            streams.extend(self.rest(&others));
        }
        self.trunk(at, streams)
    }

    fn leaf_alone(&self, at: usize) -> Stream {
        let node = self.node(at);
        let spec = self.job.nodes.iter().find(|s| s.id == node.id);
        let rating = spec
            .and_then(|s| s.rating_a)
            .filter(|_| node.kind == NodeKind::Fuse);
        let blamed = |id: &NodeId| self.assessment.culprits.iter().any(|c| c.node == *id);
        Stream {
            kind: Kind::Leaf,
            node: Some(node.id.clone()),
            name: self.name(at),
            extra: rating.map(words::about::<Ampere>).unwrap_or_default(),
            mean_a: if node.mean_a.is_finite() {
                node.mean_a.max(0.0)
            } else {
                0.0
            },
            interval: Some(node.draw),
            given: None,
            p_fault: Some(node.p_fault),
            measured: self.measured(at),
            vague: false,
            culprit: blamed(&node.id)
                || self.terminal(at) && self.children[at].iter().any(|c| blamed(&self.node(*c).id)),
            children: Vec::new(),
            order: self.scores[at],
        }
    }

    fn rest(&self, ends: &[usize]) -> Option<Stream> {
        let kind = self.node(*ends.first()?).kind;
        let alike = ends.iter().all(|e| self.node(*e).kind == kind);
        let name = match kind {
            NodeKind::Fuse if alike => say::picture::other_fuses(ends.len()),
            NodeKind::Load if alike => say::picture::other_loads(ends.len()),
            _ => say::picture::other_circuits(ends.len()),
        };
        let mean_a = ends
            .iter()
            .map(|e| self.node(*e).mean_a)
            .filter(|m| m.is_finite())
            .sum::<f64>()
            .max(0.0);
        let width = ends
            .iter()
            .map(|e| (self.node(*e).draw.p95 - self.node(*e).draw.p05).powi(2))
            .sum::<f64>()
            .sqrt();
        Some(Stream {
            kind: Kind::Rest,
            vague: width > (0.5 * mean_a).max(0.002),
            node: None,
            name: name.to_string(),
            extra: String::new(),
            mean_a,
            interval: None,
            given: None,
            p_fault: Some(
                ends.iter()
                    .map(|e| self.node(*e).p_fault)
                    .fold(0.0, f64::max),
            ),
            measured: ends.iter().all(|e| self.measured(*e)),
            culprit: false,
            children: Vec::new(),
            order: 0.0,
        })
    }

    fn name(&self, at: usize) -> String {
        let node = self.node(at);
        let own = words::node_name(&node.id, &node.label, node.kind);
        if node.kind != NodeKind::Fuse || own != node.id.0 || self.children[at].is_empty() {
            return own;
        }
        let below: Vec<String> = self.children[at]
            .iter()
            .map(|c| words::node_name(&self.node(*c).id, &self.node(*c).label, self.node(*c).kind))
            .collect();
        format!("{own} {}", below.join(", "))
    }
}
