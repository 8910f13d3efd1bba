//! How well a set of causes explains the complaint, by the battery's forecast.

use battery::{Parking, p_no_start_within};
use measure::{Uncertain, quantity::Ampere};
use tongue::{Message, fixed, percent, say};

use super::{CauseEvidence, Hypothesis, Set, table as t};

/// How probable the complaint is for this battery if the set is the cause;
/// `None` without a complaint, or when the label tells nothing.
pub(super) fn complaint_likelihood(evidence: &CauseEvidence, set: Set) -> Option<f64> {
    let hours = evidence
        .no_start_after_h
        .filter(|h| h.is_finite() && *h > 0.0)?;
    let uncertain = |(value, u): (f64, f64)| Uncertain::new(value, u);
    let poorly = set.has(Hypothesis::PoorCharging) || set.has(Hypothesis::Usage);
    let parking = Parking {
        label: evidence.label,
        health: health(evidence, set.has(Hypothesis::WeakBattery)),
        charge: uncertain(if poorly {
            t::POORLY_CHARGED
        } else {
            t::CHARGED
        }),
        draw: Uncertain::exact(0.0),
        temperature_c: evidence.temperature_c.unwrap_or(t::TEMPERATURE_C),
        engine_needs_a: evidence.engine_needs_a,
    };
    let mut p = 0.0;
    for (draw, weight) in draws(evidence, set) {
        p += weight * p_no_start_within(&Parking { draw, ..parking }, hours).ok()?;
    }
    Some(t::UNFORESEEN + (1.0 - t::UNFORESEEN) * p)
}

fn health(evidence: &CauseEvidence, weak: bool) -> Uncertain {
    let tested = evidence.judgement.health;
    if weak {
        // A test that confirms weakness gives its degree.
        let (value, u) = t::WEAK_HEALTH;
        tested
            .filter(|h| h.value < t::SOUND_HEALTH_LEAST)
            .unwrap_or(Uncertain::new(value, u))
    } else {
        let expected = battery::capacity::expected_health(evidence.battery_age_years);
        let sound = tested.unwrap_or(expected);
        Uncertain::new(sound.value.clamp(t::SOUND_HEALTH_LEAST, 1.1), sound.u)
    }
}

/// The average draws possible under a set, with their weights: what was
/// measured, or the spread of such faults where it was not.
fn draws(evidence: &CauseEvidence, set: Set) -> Vec<(Uncertain, f64)> {
    let steady = set.has(Hypothesis::SteadyDraw);
    let comes_and_goes = set.has(Hypothesis::IntermittentDraw);
    let recorded_extra = evidence.wake_ups.map(|w| w.extra_average_a.max(0.0));
    // A recording that shows costly wake-ups has caught the intermittent draw.
    let caught = recorded_extra.is_some_and(|extra| extra > 0.5 * evidence.limit_a);
    let seen = evidence.long_run_draw.or_else(|| {
        let settled = evidence.settled_draw?;
        Some(Uncertain::new(
            settled.value + recorded_extra.unwrap_or(0.0),
            settled.u,
        ))
    });
    let base = match seen {
        Some(seen) => vec![(seen, 1.0)],
        None if steady => log_normal(t::STEADY_DRAW_A),
        None => vec![(Uncertain::new(t::USUAL_DRAW_A.0, t::USUAL_DRAW_A.1), 1.0)],
    };
    if !comes_and_goes || caught {
        return base;
    }
    let extra = log_normal(t::INTERMITTENT_DRAW_A);
    base.iter()
        .flat_map(|(b, wb)| extra.iter().map(move |(e, we)| (b.plus(*e), wb * we)))
        .collect()
}

/// Five-point Gauss-Hermite quadrature of a log-normal (Abramowitz & Stegun
/// 1964, table 25.10, scaled to the standard normal).
fn log_normal((median, spread): (f64, f64)) -> Vec<(Uncertain, f64)> {
    const NODES: [(f64, f64); 5] = [
        (-2.856_970_0, 0.011_257_4),
        (-1.355_626_2, 0.222_075_9),
        (0.0, 0.533_333_4),
        (1.355_626_2, 0.222_075_9),
        (2.856_970_0, 0.011_257_4),
    ];
    NODES
        .map(|(z, weight)| (Uncertain::exact(median * (spread * z).exp()), weight))
        .into()
}

/// The likelihood of one cause alone, as a sentence.
pub(super) fn complaint_sentence(
    evidence: &CauseEvidence,
    hypothesis: Hypothesis,
    p: f64,
) -> Message {
    let hours = evidence.no_start_after_h.unwrap_or_default();
    let celsius = evidence.temperature_c.unwrap_or(t::TEMPERATURE_C);
    let what = match (hypothesis, evidence.long_run_draw.or(evidence.settled_draw)) {
        (Hypothesis::SteadyDraw, Some(draw)) => say::diagnosis::with_draw(Ampere(draw.value)),
        (Hypothesis::SteadyDraw, None) => say::diagnosis::with_steady_draw(),
        (Hypothesis::IntermittentDraw, _) => say::diagnosis::with_intermittent_draw(),
        (Hypothesis::WeakBattery, _) => say::diagnosis::with_weak_battery(),
        (Hypothesis::PoorCharging, _) => say::diagnosis::with_poor_charge(),
        (Hypothesis::Usage, _) => say::diagnosis::with_usage(),
    };
    say::diagnosis::complaint(what, fixed(hours, 0), percent(p), fixed(celsius, 0))
}
