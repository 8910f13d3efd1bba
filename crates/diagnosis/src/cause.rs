//! The cause of the complaint: weak battery, poor charging, usage, a steady
//! draw, one that comes and goes, and pairs of these.
//!
//! Fifteen sets (five single, ten pairs) get a prior and a likelihood from
//! every piece of evidence. Most pieces speak on one cause alone, through the
//! chances in `table`; the complaint itself is weighed by the battery's own
//! forecast: how probable "would not start after 14 h at 3 °C" is for this
//! battery under this set. A pair's probability is shared equally between its
//! two members, so that the five shown add up to one.

mod checks;
mod complaint;
mod pieces;
mod table;

use battery::{
    Judgement, Label, Verdict,
    charging::{ChargingJudgement, ChargingTest, ChargingVerdict, judge_charging},
    drops::DropTest,
};
use measure::Uncertain;
use tongue::{Message, say};

pub use checks::{Check, CheckKind, checks};
use complaint::{complaint_likelihood, complaint_sentence};
use pieces::{Piece, pieces, push_by_ratio};
use table as t;

/// What can be behind a battery that goes flat.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Hypothesis {
    /// The battery holds too little.
    WeakBattery,
    /// The charging system gives too little.
    PoorCharging,
    /// Too little driving, or trips too short.
    Usage,
    /// A draw that is always there.
    SteadyDraw,
    /// A draw that comes and goes.
    IntermittentDraw,
}

impl Hypothesis {
    /// All five.
    pub const ALL: [Self; 5] = [
        Self::WeakBattery,
        Self::PoorCharging,
        Self::Usage,
        Self::SteadyDraw,
        Self::IntermittentDraw,
    ];

    /// The word for it in output for programs.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::WeakBattery => "weak-battery",
            Self::PoorCharging => "poor-charging",
            Self::Usage => "usage",
            Self::SteadyDraw => "steady-draw",
            Self::IntermittentDraw => "intermittent-draw",
        }
    }
}

/// How the vehicle is driven.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Usage {
    /// Trips per week.
    pub trips_per_week: f64,
    /// Minutes of a usual trip.
    pub minutes_per_trip: f64,
}

/// Wake-ups in a recording of the parked vehicle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WakeUps {
    /// How many.
    pub count: usize,
    /// What they add to the settled draw, averaged over the recording, ampere.
    pub extra_average_a: f64,
}

/// Everything that speaks on the cause, as plain values.
#[derive(Debug, Clone, PartialEq)]
pub struct CauseEvidence {
    /// The battery's label.
    pub label: Label,
    /// Current this engine needs to crank at 27 °C.
    pub engine_needs_a: Option<f64>,
    /// Age of the battery.
    pub battery_age_years: Option<f64>,
    /// What the battery's tests say.
    pub judgement: Judgement,
    /// Readings of the charging system.
    pub charging: Vec<ChargingTest>,
    /// Voltage drops in cables.
    pub drops: Vec<DropTest>,
    /// Current in the alternator's main cable with everything off, ampere.
    pub alternator_off: Option<Uncertain>,
    /// Settled draw, ampere.
    pub settled_draw: Option<Uncertain>,
    /// Long-run average with wake-ups, ampere.
    pub long_run_draw: Option<Uncertain>,
    /// Wake-ups, when the parked vehicle was recorded.
    pub wake_ups: Option<WakeUps>,
    /// A settled draw above the limit that was gone at a later reading, though nothing was done about it, ampere.
    pub gone_a: Option<f64>,
    /// Limit for the settled draw, ampere.
    pub limit_a: f64,
    /// Parked hours after which it would not start.
    pub no_start_after_h: Option<f64>,
    /// Temperature then, °C.
    pub temperature_c: Option<f64>,
    /// How it is driven.
    pub usage: Option<Usage>,
}

/// How probable one cause is, and why.
#[derive(Debug, Clone, PartialEq)]
pub struct Odds {
    /// The cause.
    pub hypothesis: Hypothesis,
    /// Its probability, half of every pair's included.
    pub p: f64,
    /// What speaks for it, one sentence each.
    pub speaks_for: Vec<Message>,
    /// What speaks against it.
    pub speaks_against: Vec<Message>,
    /// A cheap check not made yet that would move it most.
    pub cheap_check: Option<Message>,
}

/// Odds of the five causes, the most probable first; they add up to one.
pub fn causes(evidence: &CauseEvidence) -> Vec<Odds> {
    let charging = judge_charging(&evidence.charging);
    let pieces = pieces(evidence, &charging);
    let sets = sets();
    let complaint = complaint_of(evidence, &sets);
    let weights = weigh(&sets, &pieces, complaint.as_deref());
    let total: f64 = weights.iter().sum();
    let mut odds: Vec<Odds> = Hypothesis::ALL
        .iter()
        .map(|&hypothesis| {
            let shared = sets
                .iter()
                .zip(&weights)
                .filter(|(set, _)| set.has(hypothesis));
            let p: f64 = shared.map(|(set, w)| w / set.size()).sum::<f64>() / total;
            let (mut speaks_for, mut speaks_against) = (Vec::new(), Vec::new());
            for piece in &pieces {
                piece.speak(hypothesis, &mut speaks_for, &mut speaks_against);
            }
            if let Some(complaint) = &complaint {
                let sentence =
                    complaint_sentence(evidence, hypothesis, complaint[hypothesis as usize]);
                // The five singles stand first in `sets`.
                let mean = complaint[..5].iter().sum::<f64>() / 5.0;
                push_by_ratio(
                    complaint[hypothesis as usize] / mean,
                    sentence,
                    &mut speaks_for,
                    &mut speaks_against,
                );
            }
            let cheap_check = cheap_check(evidence, &charging, hypothesis);
            Odds {
                hypothesis,
                p,
                speaks_for,
                speaks_against,
                cheap_check,
            }
        })
        .collect();
    odds.sort_by(|a, b| b.p.total_cmp(&a.p).then(a.hypothesis.cmp(&b.hypothesis)));
    odds
}

/// Every set with its weight after all evidence, not scaled to one.
fn weights(evidence: &CauseEvidence) -> Vec<(Set, f64)> {
    let charging = judge_charging(&evidence.charging);
    let sets = sets();
    let complaint = complaint_of(evidence, &sets);
    let weights = weigh(&sets, &pieces(evidence, &charging), complaint.as_deref());
    sets.into_iter().zip(weights).collect()
}

/// How probable the complaint is under each set; `None` when there is none.
fn complaint_of(evidence: &CauseEvidence, sets: &[Set]) -> Option<Vec<f64>> {
    sets.iter()
        .map(|set| complaint_likelihood(evidence, *set))
        .collect()
}

fn weigh(sets: &[Set], pieces: &[Piece], complaint: Option<&[f64]>) -> Vec<f64> {
    sets.iter()
        .enumerate()
        .map(|(at, set)| {
            let before = complaint.map_or(1.0, |likelihoods| likelihoods[at]);
            pieces
                .iter()
                .fold(set.prior() * before, |w, piece| w * piece.likelihood(*set))
        })
        .collect()
}

/// One or two causes together, as bits.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Set(u8);

impl Set {
    fn has(self, hypothesis: Hypothesis) -> bool {
        self.0 & (1 << hypothesis as u8) != 0
    }

    fn size(self) -> f64 {
        f64::from(self.0.count_ones())
    }

    fn prior(self) -> f64 {
        let product: f64 = Hypothesis::ALL
            .iter()
            .filter(|h| self.has(**h))
            .map(|h| t::PRIOR[*h as usize])
            .product();
        if self.0.count_ones() == 1 {
            product
        } else {
            product * t::PAIR_FACTOR
        }
    }
}

/// The five singles in order, then the ten pairs.
fn sets() -> Vec<Set> {
    let singles = (0..5).map(|i| Set(1 << i));
    let pairs = (0..5).flat_map(|i| (i + 1..5).map(move |j| Set(1 << i | 1 << j)));
    singles.chain(pairs).collect()
}

/// The check not made yet that speaks on this cause.
fn cheap_check(
    evidence: &CauseEvidence,
    charging: &ChargingJudgement,
    hypothesis: Hypothesis,
) -> Option<Message> {
    Some(match hypothesis {
        Hypothesis::WeakBattery => match evidence.judgement.verdict {
            Verdict::Unknown => say::diagnosis::check_battery(),
            Verdict::RechargeAndRetest => say::diagnosis::check_recharge(),
            _ => return None,
        },
        Hypothesis::PoorCharging => match charging.verdict {
            ChargingVerdict::Unknown => say::diagnosis::check_charging(),
            ChargingVerdict::Unsure | ChargingVerdict::Low => {
                say::diagnosis::check_charging_again()
            }
            _ if evidence.charging.iter().all(|c| c.ripple_v.is_none()) => {
                say::diagnosis::check_ripple()
            }
            _ => return None,
        },
        Hypothesis::Usage if evidence.usage.is_none() => say::diagnosis::check_usage(),
        Hypothesis::SteadyDraw if evidence.settled_draw.is_none() => say::diagnosis::check_draw(),
        Hypothesis::IntermittentDraw if evidence.wake_ups.is_none() => {
            say::diagnosis::check_night()
        }
        _ => return None,
    })
}

#[cfg(test)]
mod complaints_tests;
#[cfg(test)]
mod tests;
