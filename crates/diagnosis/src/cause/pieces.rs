//! What each piece of evidence says: for which causes, how strongly, in which words.

use battery::{
    Judgement, Verdict,
    charging::{ALTERNATOR_LEAK_A, ChargingJudgement, ChargingVerdict},
    drops::judge_drop,
};
use measure::{Uncertain, quantity::Ampere};
use statrs::function::erf::erfc;
use tongue::{Message, fixed, percent, say};

use super::{CauseEvidence, Hypothesis as H, Set, Usage, table as t};

/// Evidence that tells sets with a cause from sets without.
pub(super) struct Piece {
    /// Any of these.
    about: &'static [H],
    with: f64,
    without: f64,
    sentence: Message,
}

impl Piece {
    pub(super) fn likelihood(&self, set: Set) -> f64 {
        if self.about.iter().any(|h| set.has(*h)) {
            self.with
        } else {
            self.without
        }
    }

    pub(super) fn speak(&self, hypothesis: H, pro: &mut Vec<Message>, contra: &mut Vec<Message>) {
        if self.about.contains(&hypothesis) {
            push_by_ratio(self.with / self.without, self.sentence.clone(), pro, contra);
        }
    }
}

/// A ratio worth mentioning is a quarter off one, either way.
pub(super) fn push_by_ratio(
    ratio: f64,
    sentence: Message,
    pro: &mut Vec<Message>,
    contra: &mut Vec<Message>,
) {
    if ratio >= 1.25 {
        pro.push(sentence);
    } else if ratio <= 0.8 {
        contra.push(sentence);
    }
}

/// Everything that speaks, except the complaint.
pub(super) fn pieces(evidence: &CauseEvidence, charging: &ChargingJudgement) -> Vec<Piece> {
    let mut pieces = Pieces(Vec::new());
    pieces.battery(evidence);
    pieces.charging(evidence, charging);
    pieces.draws(evidence);
    pieces.0
}

struct Pieces(Vec<Piece>);

impl Pieces {
    fn add(&mut self, about: &'static [H], [with, without]: [f64; 2], sentence: Message) {
        self.0.push(Piece {
            about,
            with,
            without,
            sentence,
        });
    }

    /// What the battery's tests and age say.
    fn battery(&mut self, evidence: &CauseEvidence) {
        let judgement = &evidence.judgement;
        let chances = t::verdict(judgement.verdict).map(|chances| {
            judgement
                .health
                .map_or(chances, |h| of_health(h, judgement.contradicting))
        });
        if let Some(chances) = chances {
            self.add(&[H::WeakBattery], chances, verdict_sentence(judgement));
        }
        if let Some(age) = evidence
            .battery_age_years
            .filter(|a| a.is_finite() && *a >= 0.0)
        {
            let (even, slope, most) = t::AGE;
            let ratio = ((age - even) * slope).exp().clamp(1.0 / most, most);
            self.add(
                &[H::WeakBattery],
                [ratio, 1.0],
                say::diagnosis::age(fixed(age, 0)),
            );
        }
        if let Some(charge) = evidence.judgement.state_of_charge {
            let chance = p_above(t::LOW_CHARGE, charge);
            let sentence = say::diagnosis::stands_at(percent(charge.value));
            self.add(
                &[
                    H::PoorCharging,
                    H::Usage,
                    H::SteadyDraw,
                    H::IntermittentDraw,
                ],
                mixed(t::LOW_CHARGE_WITH, chance),
                sentence,
            );
        }
    }

    /// What the charging system and its cables say.
    fn charging(&mut self, evidence: &CauseEvidence, charging: &ChargingJudgement) {
        if let Some(chances) = t::charging(charging.verdict) {
            let sentence = Message::joined(charging.because.clone(), " ");
            self.add(&[H::PoorCharging], chances, sentence.clone());
            // A leaking diode shows by day as ripple and by night as a draw. Once the
            // alternator's own cable has been read at night, that reading decides.
            if charging.verdict == ChargingVerdict::RippleSuspect
                && evidence.alternator_off.is_none()
            {
                self.add(&[H::SteadyDraw], t::RIPPLE_WITH_STEADY, sentence);
            }
        }
        if let Some(leak) = evidence.alternator_off {
            let leaks = 1.0 - p_above(ALTERNATOR_LEAK_A, leak);
            let (current, limit) = (Ampere(leak.value), Ampere(ALTERNATOR_LEAK_A));
            let sentence = match (leaks > 0.5, charging.p_diode > 0.5) {
                (true, true) => say::diagnosis::leak_above_ripple(current, limit),
                (true, false) => say::diagnosis::leak_above(current, limit),
                (false, true) => say::diagnosis::leak_below_ripple(current, limit),
                (false, false) => say::diagnosis::leak_below(current, limit),
            };
            self.add(
                &[H::SteadyDraw],
                mixed(t::LEAK_WITH_STEADY, leaks),
                sentence.clone(),
            );
            // By day the same diode lowers the charging; ripple and leak confirm each other.
            let both = leaks * charging.p_diode;
            self.add(
                &[H::PoorCharging],
                mixed(t::DIODE_WITH_POOR, both),
                sentence,
            );
        }
        let lost = evidence
            .drops
            .iter()
            .filter(|test| test.place.is_charging());
        let judged = lost
            .map(judge_drop)
            .max_by(|a, b| a.p_over.total_cmp(&b.p_over));
        if let Some(worst) = judged {
            self.add(
                &[H::PoorCharging],
                mixed(t::DROP_WITH_POOR, worst.p_over),
                worst.because,
            );
        }
    }

    /// What was drawn, what woke, and how it is driven.
    fn draws(&mut self, evidence: &CauseEvidence) {
        if let Some(draw) = evidence.settled_draw {
            let above = p_above(draw.value, Uncertain::new(evidence.limit_a, draw.u));
            let (drawn, limit) = (Ampere(draw.value), Ampere(evidence.limit_a));
            let sentence = if draw.value > evidence.limit_a {
                say::diagnosis::settled_above(drawn, limit)
            } else {
                say::diagnosis::settled_not_above(drawn, limit)
            };
            // What comes and goes is above the limit while it is there.
            let about: &'static [H] = if evidence.gone_a.is_some() {
                &[H::SteadyDraw, H::IntermittentDraw]
            } else {
                &[H::SteadyDraw]
            };
            self.add(about, mixed(t::SETTLED_ABOVE, above), sentence);
        }
        if let Some(gone_a) = evidence.gone_a {
            let sentence = say::diagnosis::gone_by_itself(Ampere(gone_a));
            self.add(&[H::IntermittentDraw], t::GONE_BY_ITSELF, sentence);
        }
        if let Some(wakes) = evidence.wake_ups {
            let position = (wakes.extra_average_a / (0.5 * evidence.limit_a).max(1e-6))
                .max(1e-6)
                .ln();
            let above = 1.0 / (1.0 + (-4.0 * position).exp());
            let sentence = if wakes.count == 0 {
                say::diagnosis::no_wake_ups()
            } else {
                say::diagnosis::wake_ups(wakes.count, Ampere(wakes.extra_average_a))
            };
            self.add(
                &[H::IntermittentDraw],
                mixed(t::WAKES_ABOVE, above),
                sentence,
            );
        }
        if let Some(usage) = evidence.usage {
            let short = p_too_little_driving(usage);
            let (minutes, trips) = (usage.minutes_per_trip, usage.trips_per_week);
            let sentence = say::diagnosis::usage(fixed(minutes, 0), fixed(trips, 0));
            self.add(&[H::Usage], mixed(t::SHORT_TRIPS, short), sentence);
        }
    }
}

/// Likelihoods of a measured health with a weak battery and with a sound one.
fn of_health(health: Uncertain, contradicting: bool) -> [f64; 2] {
    let test_u = if contradicting {
        t::TEST_SPREAD.1
    } else {
        t::TEST_SPREAD.0
    };
    [t::WEAK_HEALTH, t::SOUND_HEALTH].map(|(value, spread)| {
        let u = spread.hypot(health.u).hypot(test_u);
        let z = (health.value - value) / u;
        let density = (-0.5 * z * z).exp() / (u * (2.0 * std::f64::consts::PI).sqrt());
        // A misleading test shows any health from 0 to 1 alike.
        (1.0 - t::MISLEADING) * density + t::MISLEADING
    })
}

/// Likelihoods of evidence that is itself only probable: Jeffrey's rule.
fn mixed([with, without]: [f64; 2], p: f64) -> [f64; 2] {
    [
        p * with + (1.0 - p) * (1.0 - with),
        p * without + (1.0 - p) * (1.0 - without),
    ]
}

/// P(x > value of a normal variable).
fn p_above(x: f64, of: Uncertain) -> f64 {
    let z = (x - of.value) / of.u.max(1e-9);
    if z.is_nan() {
        0.5
    } else {
        0.5 * erfc(-z / std::f64::consts::SQRT_2)
    }
}

/// Steepness at which the logistic curve is nearest to the normal one of the same
/// width (textbook approximation, from memory: 1.702 at its closest).
const LOGISTIC: f64 = 1.7;

fn p_too_little_driving(usage: Usage) -> f64 {
    let fall =
        |x: f64, (middle, width): (f64, f64)| 1.0 / (1.0 + ((x - middle) / width * LOGISTIC).exp());
    let short = fall(usage.minutes_per_trip, t::REPLACES_START_MIN);
    let rare = fall(
        usage.trips_per_week * usage.minutes_per_trip / 60.0,
        t::WEEKLY_DRIVING_H,
    );
    1.0 - (1.0 - short) * (1.0 - rare)
}

fn verdict_sentence(judgement: &Judgement) -> Message {
    let verdict = match judgement.verdict {
        Verdict::Good => say::diagnosis::battery_good(),
        Verdict::Weak => say::diagnosis::battery_weak(),
        Verdict::Replace => say::diagnosis::battery_fails(),
        Verdict::RechargeAndRetest => say::diagnosis::battery_too_empty(),
        Verdict::Unknown => say::diagnosis::battery_not_tested(),
    };
    match judgement.health {
        Some(health) => say::diagnosis::verdict_with_health(percent(health.value), verdict),
        None => say::diagnosis::verdict(verdict),
    }
}
