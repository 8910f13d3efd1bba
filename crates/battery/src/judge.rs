//! What all health tests together say of the battery.

use measure::Uncertain;
use tongue::{Arg, Message, amount, fixed, percent, say};

use crate::{
    Chemistry, HealthTest, Label, chance::normal_cdf, electrolyte, health, self_discharge, soc,
};

/// What the tests say of the battery.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Verdict {
    /// In order.
    Good,
    /// Too empty to judge.
    RechargeAndRetest,
    /// Still usable, below its rating.
    Weak,
    /// To be replaced.
    Replace,
    /// Not tested.
    Unknown,
}

impl Verdict {
    /// The word for it in reports for programs.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Good => "good",
            Self::RechargeAndRetest => "recharge-and-retest",
            Self::Weak => "weak",
            Self::Replace => "replace",
            Self::Unknown => "unknown",
        }
    }
}

/// Verdict with its reasons.
#[derive(Debug, Clone, PartialEq)]
pub struct Judgement {
    /// The verdict.
    pub verdict: Verdict,
    /// State of charge as a fraction, if a rested voltage tells it.
    pub state_of_charge: Option<Uncertain>,
    /// Share of the rated cranking current or capacity that is left, if a test tells it.
    pub health: Option<Uncertain>,
    /// Reasons, one sentence each.
    pub because: Vec<Message>,
    /// Whether tests contradict each other.
    pub contradicting: bool,
}

/// Charge below which a load or analyser test does not count against the
/// battery. Workshop manuals of 1997-2017: at least 75 %.
const ENOUGH_CHARGE: f64 = 0.75;
/// Charge short of that which is still let pass. Common practice.
const CHARGE_SLACK: f64 = 0.02;
/// Least standard uncertainty of the charge lost between two rested voltages.
/// From memory.
const LEAST_LOSS_U: f64 = 0.005;
/// Share of the rated cranking current from which a battery is in order, and
/// below which it is to be replaced. Common practice.
const GOOD_SHARE: f64 = 0.80;
const REPLACE_SHARE: f64 = 0.60;
/// Rested voltage below which a lead-acid battery has likely lost a cell: 10.5 V
/// is five full cells. Common practice; chargers' "do not discharge below 10.5 V".
const LOST_CELL_V: f64 = 10.8;
/// Difference between the cells of a charged battery above which it is weak or
/// to be replaced: 0.025 unserviceable in TM 9-6140-200-14, Lead-Acid Storage
/// Batteries (US Army, 1998), p. 4-13 f.; other manuals allow 0.050.
const CELLS_WEAK: f64 = 0.025;
const CELLS_REPLACE: f64 = 0.050;
/// Chance from which a statement is made. Common practice.
const SURE: f64 = 0.75;

/// What the tests, in the order they were made, say of the battery.
///
/// A load or analyser test counts against the battery only when the rested
/// voltage before it shows at least 75 % charge; otherwise "recharge and retest".
/// Currents of different standards are compared with the conversion's
/// uncertainty and never condemn. Of several tests of one kind the last counts;
/// two kinds (or two of one kind at the same charge) that say opposite things
/// contradict, and the verdict is then "recharge and retest".
pub fn judge(label: &Label, tests: &[HealthTest]) -> Judgement {
    let mut reading = Reading::default();
    for test in tests {
        reading.take(label, test);
    }
    reading.conclude()
}

/// One test's say.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Say {
    Good,
    Weak,
    Replace,
}

#[derive(Debug, Default)]
struct Reading {
    charge: Option<Uncertain>,
    lost_cell: bool,
    low_charge_failure: bool,
    unknown_charge_failure: bool,
    analyser: Option<Say>,
    load: Option<Say>,
    alone: Option<Say>,
    cells: Option<Say>,
    resistance: Option<Uncertain>,
    health_analyser: Option<Uncertain>,
    health_load: Option<Uncertain>,
    because: Vec<Message>,
    contradicting: bool,
}

impl Reading {
    fn take(&mut self, label: &Label, test: &HealthTest) {
        match *test {
            HealthTest::RestVoltage {
                voltage,
                rested_h,
                temperature_c,
            } => {
                self.rest(label, voltage, rested_h, temperature_c);
            }
            HealthTest::Analyser { result } => self.analysed(label, result),
            HealthTest::LoadTest {
                voltage,
                load_a,
                after_s,
                temperature_c,
            } => {
                let charge = self.charge.map_or(1.0, |c| c.value);
                match health::load_test(label, voltage, load_a, after_s, temperature_c, charge) {
                    Some(outcome) => self.loaded(outcome, temperature_c),
                    None => self
                        .because
                        .push(say::battery::load_not_counted(fixed(voltage.value, 2))),
                }
            }
            HealthTest::StandAlone {
                before,
                after,
                hours,
                temperature_c,
            } => {
                self.stood_alone(label, before, after, hours, temperature_c);
            }
            HealthTest::Resistance { ohm, temperature_c } => {
                self.resisted(label, ohm, temperature_c);
            }
            HealthTest::Gravity {
                lowest,
                highest,
                temperature_c,
            } => {
                self.weighed(label, lowest, highest, temperature_c);
            }
        }
    }

    fn rest(
        &mut self,
        label: &Label,
        voltage: Uncertain,
        rested_h: Option<f64>,
        temperature_c: Option<f64>,
    ) {
        if !voltage.value.is_finite() {
            return;
        }
        let charge = soc::from_rested_voltage(label.chemistry, voltage, rested_h, temperature_c);
        let had_enough = self.charge.is_some_and(enough);
        if enough(charge) && !had_enough {
            // Recharged since: what failed for want of charge is to be done again.
            self.low_charge_failure = false;
        }
        self.charge = Some(charge);
        self.lost_cell = label.chemistry.is_lead_acid() && voltage.value < LOST_CELL_V;
        let rest = match rested_h {
            Some(hours) => say::battery::rest_after(fixed(hours, 0)),
            None => say::battery::rest_unknown(),
        };
        let value = fixed(voltage.value, 2);
        self.because.push(if self.lost_cell {
            say::battery::lost_cell(rest, value)
        } else {
            say::battery::rest_means(percent_pm(charge), rest, value)
        });
    }

    fn analysed(&mut self, label: &Label, result: crate::Cranking) {
        let Some((share, same)) = health::analyser_share(label, result) else {
            self.because
                .push(say::battery::analyser_no_rating(fixed(result.current_a, 0)));
            return;
        };
        self.because.push(analysed(label, result, share, same));
        let mut say = by_share(share);
        if say == Say::Replace && !same {
            say = Say::Weak;
            self.because.push(say::battery::converted_too_uncertain());
        }
        let previous = self.analyser;
        if let Some(counted) = self.weigh(say, say::battery::test_analyser()) {
            self.analyser = Some(counted);
            self.health_analyser = Some(share);
            self.contradicting |= opposite(previous, self.analyser);
        }
    }

    fn loaded(&mut self, outcome: health::LoadOutcome, temperature_c: Option<f64>) {
        let (value, shown) = (outcome.voltage.value, fixed(outcome.voltage.value, 2));
        let (Some(least), Some(p_holds)) = (outcome.least_v, outcome.p_holds()) else {
            self.because
                .push(say::battery::load_needs_temperature(shown));
            return;
        };
        let at = temperature_c.map_or_else(say::battery::at_any_temperature, |c| {
            say::battery::at_temperature(fixed(c, 0))
        });
        self.because.push(if value >= least {
            say::battery::load_holds(at, fixed(least, 1), shown)
        } else {
            say::battery::load_falls_below(at, fixed(least, 1), shown)
        });
        let say = if p_holds >= SURE {
            Say::Good
        } else if p_holds <= 1.0 - SURE {
            Say::Replace
        } else {
            Say::Weak
        };
        let previous = self.load;
        if let Some(counted) = self.weigh(say, say::battery::test_load()) {
            self.load = Some(counted);
            self.health_load = outcome.health;
            self.contradicting |= opposite(previous, self.load);
        }
    }

    fn stood_alone(
        &mut self,
        label: &Label,
        before: Uncertain,
        after: Uncertain,
        hours: f64,
        temperature_c: Option<f64>,
    ) {
        if hours <= 0.0 || !(before.value - after.value).is_finite() {
            return;
        }
        // Both voltages share table and meter, so only the slope matters.
        let slope =
            1.0 / (label.chemistry.ocv().clamped(1.0) - label.chemistry.ocv().clamped(0.5)) * 0.5;
        let lost = (before.value - after.value) * slope;
        let u = before.u.hypot(after.u) * slope;
        let usual = self_discharge::per_month(
            label.chemistry,
            temperature_c.unwrap_or(crate::tables::TEMPERATURE_UNKNOWN_C),
            None,
        );
        let expected = usual.value * hours / crate::tables::MONTH_H;
        // Twice the usual 95 % end is too much (common practice), at least 2 % of charge.
        let limit =
            (2.0 * (usual.value + 2.0 * usual.u) * hours / crate::tables::MONTH_H).max(0.02);
        self.because.push(say::battery::stood_alone(
            fixed(hours, 0),
            fixed(lost * 100.0, 1),
            fixed(expected * 100.0, 1),
        ));
        let p_too_much = normal_cdf((lost - limit) / u.max(LEAST_LOSS_U));
        self.alone = match p_too_much {
            p if p >= SURE => Some(Say::Replace),
            p if p <= 1.0 - SURE => Some(Say::Good),
            _ => Some(Say::Weak),
        };
    }

    fn resisted(&mut self, label: &Label, ohm: Uncertain, temperature_c: Option<f64>) {
        let charge = self.charge.map_or(1.0, |c| c.value);
        let Some(share) = health::resistance_share(label, ohm, temperature_c, charge) else {
            self.because.push(say::battery::resistance_not_comparable());
            return;
        };
        self.because.push(say::battery::resistance(
            fixed(ohm.value * 1000.0, 1),
            percent_pm(share),
        ));
        self.resistance = Some(share);
    }

    fn weighed(&mut self, label: &Label, lowest: f64, highest: f64, temperature_c: Option<f64>) {
        let plausible = 1.0..=1.4;
        if label.chemistry != Chemistry::Flooded && label.chemistry != Chemistry::Efb
            || !plausible.contains(&lowest)
            || !plausible.contains(&highest)
        {
            self.because.push(say::battery::gravity_not_counted());
            return;
        }
        let at = |reading| electrolyte::corrected_gravity(reading, temperature_c.unwrap_or(26.7));
        let charge = electrolyte::charge_from_gravity(at(0.5 * (lowest + highest)), None);
        let spread = (highest - lowest).abs();
        self.because.push(say::battery::gravity(
            percent_pm(charge),
            fixed(highest, 3),
            fixed(lowest, 3),
            fixed(spread, 3),
        ));
        self.charge = Some(match self.charge {
            Some(known) => Uncertain::weighted_mean(&[known, charge]).unwrap_or(charge),
            None => charge,
        });
        let say = match spread {
            s if s > CELLS_REPLACE => Say::Replace,
            s if s > CELLS_WEAK => Say::Weak,
            _ => return,
        };
        self.cells = self.weigh(say, say::battery::test_cells());
    }

    /// Whether a test counts at this charge: good results always do, bad ones
    /// only with enough charge known.
    fn weigh(&mut self, say: Say, test: Message) -> Option<Say> {
        match self.charge {
            _ if say == Say::Good => Some(say),
            Some(charge) if enough(charge) => Some(say),
            Some(charge) => {
                self.low_charge_failure = true;
                let charge = percent(charge.value);
                self.because
                    .push(say::battery::counts_not_so_low(charge, test));
                None
            }
            None => {
                self.unknown_charge_failure = true;
                self.because.push(say::battery::counts_once_charged(test));
                None
            }
        }
    }

    fn conclude(mut self) -> Judgement {
        let says: Vec<Say> = [self.analyser, self.load, self.alone, self.cells]
            .into_iter()
            .flatten()
            .collect();
        let good = says.contains(&Say::Good);
        let bad = says.contains(&Say::Replace);
        // Losing charge while standing alone does not contradict good cranking.
        let cranks = opposite(self.analyser, self.load);
        if cranks || self.contradicting {
            self.contradicting = true;
            self.because.push(say::battery::contradicting());
        }
        let low = self
            .charge
            .is_some_and(|c| c.value < ENOUGH_CHARGE - CHARGE_SLACK);
        let verdict = if self.contradicting
            || self.lost_cell
            || self.low_charge_failure
            || self.unknown_charge_failure && !bad
        {
            Verdict::RechargeAndRetest
        } else if bad {
            Verdict::Replace
        } else if says.contains(&Say::Weak) {
            Verdict::Weak
        } else if low {
            self.because.push(say::battery::too_empty());
            Verdict::RechargeAndRetest
        } else if good {
            Verdict::Good
        } else {
            Verdict::Unknown
        };
        if verdict == Verdict::Unknown {
            self.because.push(if self.charge.is_some() {
                say::battery::health_not_shown()
            } else {
                say::battery::not_tested()
            });
        }
        Judgement {
            verdict,
            state_of_charge: self.charge,
            health: combined_health(self.health_analyser, self.health_load).or(self.resistance),
            because: self.because,
            contradicting: self.contradicting,
        }
    }
}

/// "72 ± 6", in percent.
fn percent_pm(share: Uncertain) -> Arg {
    amount(format!(
        "{:.0} ± {:.0}",
        share.value * 100.0,
        share.u * 100.0
    ))
}

/// The analyser's result beside the label; `same` when both are in one standard.
fn analysed(label: &Label, result: crate::Cranking, share: Uncertain, same: bool) -> Message {
    let standard = |of: crate::CrankingStandard| of.as_str().to_uppercase();
    let (current, found) = (fixed(result.current_a, 0), percent(share.value));
    // There is no share without a rating.
    let rating = label.cranking.unwrap_or(result);
    let (own, its) = (standard(result.standard), standard(rating.standard));
    let rated = fixed(rating.current_a, 0);
    if same {
        say::battery::analyser(current, found, rated, its, own)
    } else {
        say::battery::analyser_converted(current, found, rated, its, percent(share.u), own)
    }
}

fn enough(charge: Uncertain) -> bool {
    // Two percent of grace: 75 % is itself a round figure.
    charge.value >= ENOUGH_CHARGE - 0.02
}

fn opposite(a: Option<Say>, b: Option<Say>) -> bool {
    matches!(
        (a, b),
        (Some(Say::Good), Some(Say::Replace)) | (Some(Say::Replace), Some(Say::Good))
    )
}

fn by_share(share: Uncertain) -> Say {
    if share.value >= GOOD_SHARE {
        Say::Good
    } else if share.value >= REPLACE_SHARE {
        Say::Weak
    } else {
        Say::Replace
    }
}

/// Weighted mean; widened to cover both when they disagree.
fn combined_health(a: Option<Uncertain>, b: Option<Uncertain>) -> Option<Uncertain> {
    match (a, b) {
        (Some(a), Some(b)) => Uncertain::weighted_mean(&[a, b])
            .map(|mean| mean.widened((a.value - b.value).abs() / 4.0)),
        (one, other) => one.or(other),
    }
}
