//! Cheap checks not made yet, on the scale of expected minutes to a correct repair.
//!
//! Without more knowledge a practitioner goes after the causes in the order of
//! probability per minute of work (the order that minimises the expected time
//! until all is done; Smith 1956, "Various optimizers for single-stage
//! production", Naval Research Logistics Quarterly 3, 59, from memory). A check
//! may change that order. What it saves is the expected time before it less the
//! expected time after it, over what it may show; it is worth its own minutes
//! when it saves more than them. Going after a steady draw *is* the search of
//! the circuits, so circuit tests compete on the same scale.

use battery::{Verdict, charging::ChargingVerdict};

use super::{CauseEvidence, Hypothesis as H, Set, table as t, weights};

/// A check of one cause.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum CheckKind {
    /// Rested voltage, then analyser or load test.
    Battery,
    /// Charging voltage and ripple.
    Charging,
    /// Asking how it is driven.
    Usage,
    /// The settled draw of the sleeping vehicle.
    SettledDraw,
    /// Recording the draw over a night.
    Night,
}

/// A check and what it is worth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Check {
    /// Which.
    pub kind: CheckKind,
    /// Hands-on minutes (common practice).
    pub minutes: f64,
    /// Minutes it is expected to save on the way to a correct repair, its own not counted.
    pub saves_min: f64,
}

impl Check {
    /// What is saved beyond the check's own minutes.
    pub fn net_min(&self) -> f64 {
        self.saves_min - self.minutes
    }
}

impl CheckKind {
    const ALL: [Self; 5] = [
        Self::Battery,
        Self::Charging,
        Self::Usage,
        Self::SettledDraw,
        Self::Night,
    ];

    /// The cause it speaks on.
    pub fn about(self) -> H {
        self.outcomes().0
    }

    fn minutes(self) -> f64 {
        match self {
            Self::Usage => 1.0,
            Self::Battery | Self::Charging | Self::SettledDraw => 5.0,
            Self::Night => 10.0,
        }
    }

    fn made(self, evidence: &CauseEvidence) -> bool {
        match self {
            Self::Battery => !matches!(
                evidence.judgement.verdict,
                Verdict::Unknown | Verdict::RechargeAndRetest
            ),
            Self::Charging => !evidence.charging.is_empty(),
            Self::Usage => evidence.usage.is_some(),
            Self::SettledDraw => evidence.settled_draw.is_some(),
            Self::Night => evidence.wake_ups.is_some(),
        }
    }

    /// Which cause it speaks on, and for each thing it may show the chances
    /// with and without that cause.
    fn outcomes(self) -> (H, Vec<[f64; 2]>) {
        let yes_no = |[with, without]: [f64; 2]| vec![[with, without], [1.0 - with, 1.0 - without]];
        match self {
            Self::Battery => (
                H::WeakBattery,
                [Verdict::Good, Verdict::Weak, Verdict::Replace]
                    .into_iter()
                    .filter_map(t::verdict)
                    .collect(),
            ),
            Self::Charging => (
                H::PoorCharging,
                [
                    ChargingVerdict::Good,
                    ChargingVerdict::Low,
                    ChargingVerdict::High,
                    ChargingVerdict::RippleSuspect,
                ]
                .into_iter()
                .filter_map(t::charging)
                .collect(),
            ),
            Self::Usage => (H::Usage, yes_no(t::SHORT_TRIPS)),
            Self::SettledDraw => (H::SteadyDraw, yes_no(t::SETTLED_ABOVE)),
            Self::Night => (H::IntermittentDraw, yes_no(t::WAKES_ABOVE)),
        }
    }
}

/// The checks not made yet, the most worthwhile (net of their minutes) first.
pub fn checks(evidence: &CauseEvidence) -> Vec<Check> {
    let weighed = weights(evidence);
    let before = expected_min(&weighed);
    let mut checks: Vec<Check> = CheckKind::ALL
        .into_iter()
        .filter(|kind| !kind.made(evidence))
        .map(|kind| Check {
            kind,
            minutes: kind.minutes(),
            saves_min: (before - after(kind, &weighed)).max(0.0),
        })
        .collect();
    checks.sort_by(|a, b| {
        b.net_min()
            .total_cmp(&a.net_min())
            .then(a.kind.cmp(&b.kind))
    });
    checks
}

/// Expected minutes to a correct repair once the check has been made.
fn after(kind: CheckKind, weighed: &[(Set, f64)]) -> f64 {
    let (about, outcomes) = kind.outcomes();
    // Verdicts that tell nothing have no row, so the chances may fall short of one.
    let sum = |pick: usize| outcomes.iter().map(|o| o[pick]).sum::<f64>();
    let (with, without) = (sum(0), sum(1));
    let (mut minutes, mut seen) = (0.0, 0.0);
    for outcome in &outcomes {
        let after: Vec<(Set, f64)> = weighed
            .iter()
            .map(|&(set, w)| {
                let chance = if set.has(about) {
                    outcome[0] / with
                } else {
                    outcome[1] / without
                };
                (set, w * chance)
            })
            .collect();
        let p: f64 = after.iter().map(|(_, w)| w).sum();
        if p > 0.0 {
            minutes += p * expected_min(&after);
            seen += p;
        }
    }
    if seen > 0.0 { minutes / seen } else { 0.0 }
}

/// Expected minutes until the last of the true causes has been gone after, in
/// the order of probability per minute.
fn expected_min(weighed: &[(Set, f64)]) -> f64 {
    let total: f64 = weighed.iter().map(|(_, w)| w).sum();
    let p = |h: H| -> f64 {
        weighed
            .iter()
            .filter(|(set, _)| set.has(h))
            .map(|(_, w)| w)
            .sum()
    };
    let mut order = H::ALL;
    let rate = |h: H| p(h) / t::PURSUE_MIN[h as usize];
    order.sort_by(|a, b| rate(*b).total_cmp(&rate(*a)).then(a.cmp(b)));
    let mut minutes = 0.0;
    for &(set, w) in weighed {
        let mut spent = 0.0;
        let mut until = 0.0;
        for h in order {
            spent += t::PURSUE_MIN[h as usize];
            if set.has(h) {
                until = spent;
            }
        }
        minutes += w * until;
    }
    if total > 0.0 { minutes / total } else { 0.0 }
}
