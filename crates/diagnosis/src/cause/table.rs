//! Prior frequencies and likelihoods of causes: the one place for them.
//!
//! No statistics of workshops were found. **Every figure here is from memory or
//! common practice**, meant to be sharpened by finished jobs. Order of rows and
//! columns: weak battery, poor charging, usage, steady draw, intermittent draw.

use battery::{Verdict, charging::ChargingVerdict};

/// How often each is (part of) the cause of a flat battery. From memory.
pub(super) const PRIOR: [f64; 5] = [0.38, 0.12, 0.13, 0.26, 0.11];
/// A pair is as frequent as the product of its two, times this. From memory:
/// complaints are looked into once one fault suffices, so pairs show less often.
pub(super) const PAIR_FACTOR: f64 = 0.6;

/// Chance of a battery verdict when the battery is weak, and when it is not,
/// used where no health was measured. Common practice. `None` for verdicts that tell nothing.
pub(super) const fn verdict(verdict: Verdict) -> Option<[f64; 2]> {
    match verdict {
        Verdict::Good => Some([0.08, 0.75]),
        Verdict::Weak => Some([0.35, 0.12]),
        Verdict::Replace => Some([0.45, 0.03]),
        Verdict::RechargeAndRetest | Verdict::Unknown => None,
    }
}

/// Chance of a charging verdict when charging is poor, and when it is not.
/// Common practice.
pub(super) const fn charging(verdict: ChargingVerdict) -> Option<[f64; 2]> {
    match verdict {
        ChargingVerdict::Good => Some([0.10, 0.85]),
        ChargingVerdict::Low => Some([0.65, 0.04]),
        ChargingVerdict::High => Some([0.08, 0.03]),
        ChargingVerdict::RippleSuspect => Some([0.12, 0.04]),
        ChargingVerdict::Unsure | ChargingVerdict::Unknown => None,
    }
}

/// Chance of suspect ripple with a steady draw (a leaking diode is one) and
/// without. From memory.
pub(super) const RIPPLE_WITH_STEADY: [f64; 2] = [0.08, 0.04];

/// Chance that the alternator leaks at night with a steady draw as the cause (a
/// few of them are diodes) and without. From memory.
pub(super) const LEAK_WITH_STEADY: [f64; 2] = [0.08, 0.003];
/// Chance that ripple and leak both point to a diode with poor charging and
/// without. From memory.
pub(super) const DIODE_WITH_POOR: [f64; 2] = [0.10, 0.01];
/// Chance of too large a drop in the charging cables with poor charging and
/// without. From memory.
pub(super) const DROP_WITH_POOR: [f64; 2] = [0.30, 0.04];

/// Chance that a settled draw is above the limit with a steady draw as the
/// cause, and without. Common practice.
pub(super) const SETTLED_ABOVE: [f64; 2] = [0.93, 0.06];
/// Chance that a recorded night shows wake-ups that cost more than half the
/// limit, with an intermittent draw as the cause (it need not come every night)
/// and without. Common practice.
pub(super) const WAKES_ABOVE: [f64; 2] = [0.70, 0.06];

/// Chance that a draw is seen to go by itself with an intermittent draw as the cause, and without (a total read
/// before the vehicle slept). From memory.
pub(super) const GONE_BY_ITSELF: [f64; 2] = [0.40, 0.03];

/// Chance of trips too short to replace the start, with usage as the cause and
/// without. Common practice.
pub(super) const SHORT_TRIPS: [f64; 2] = [0.92, 0.25];
/// Minutes of driving that replace one start: the middle of the 20 to 30 of TM
/// 9-6140-200-14, Lead-Acid Storage Batteries (US Army, 1998), and its half width.
pub(super) const REPLACES_START_MIN: (f64, f64) = (25.0, 5.0);
/// Least hours of driving per week that keep a battery up. Common practice.
pub(super) const WEEKLY_DRIVING_H: (f64, f64) = (2.0, 0.7);

/// Minutes of going after one cause until it is repaired or ruled out: another
/// battery fitted and tested; alternator, belt and cables; a talk and a charge;
/// the search of the circuits; the same over nights. From memory.
pub(super) const PURSUE_MIN: [f64; 5] = [25.0, 50.0, 20.0, 60.0, 90.0];

/// Age in years at which a battery is as likely weak as its prior says, slope of
/// the logarithm per year, and the largest ratio either way. From memory.
pub(super) const AGE: (f64, f64, f64) = (4.5, 0.35, 4.0);

/// Charge measured below this speaks for something that empties the battery.
/// Common practice.
pub(super) const LOW_CHARGE: f64 = 0.6;
/// Chance of finding it so low with a cause that empties it, and without. Common practice.
pub(super) const LOW_CHARGE_WITH: [f64; 2] = [0.65, 0.45];

/// Settled draw of a vehicle in order, ampere. From memory.
pub(super) const USUAL_DRAW_A: (f64, f64) = (0.025, 0.010);
/// Median of a faulty steady draw, ampere, and spread of its logarithm. From memory.
pub(super) const STEADY_DRAW_A: (f64, f64) = (0.35, 1.0);
/// The same for the average that an intermittent draw adds. From memory.
pub(super) const INTERMITTENT_DRAW_A: (f64, f64) = (0.30, 1.0);
/// Health of a weak battery, and least health of one that is not. From memory.
pub(super) const WEAK_HEALTH: (f64, f64) = (0.50, 0.12);
pub(super) const SOUND_HEALTH_LEAST: f64 = 0.70;
/// Health of batteries in use that are not weak. From memory.
pub(super) const SOUND_HEALTH: (f64, f64) = (0.88, 0.10);
/// Spread of a health test beyond its own uncertainty, alone and when tests
/// contradict each other; chance that a test misleads altogether. Common practice.
pub(super) const TEST_SPREAD: (f64, f64) = (0.08, 0.25);
pub(super) const MISLEADING: f64 = 0.05;
/// Charge when parked: charged properly, and not. From memory.
pub(super) const CHARGED: (f64, f64) = (0.88, 0.07);
pub(super) const POORLY_CHARGED: (f64, f64) = (0.55, 0.12);
/// Chance that a complaint came about in a way no model knows. Common practice.
pub(super) const UNFORESEEN: f64 = 0.02;
/// Temperature taken when none is given, °C. Common practice.
pub(super) const TEMPERATURE_C: f64 = 10.0;
