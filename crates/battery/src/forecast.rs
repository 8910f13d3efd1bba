//! How long a parked battery can stand.

use std::fmt;

use measure::{Quantiles, Uncertain, spoken};
use tongue::{Message, fixed, say};

use crate::{
    Chemistry, Label, capacity,
    chance::{DIMENSIONS, normal_cdf, points, quantiles},
    crank::{self, Strength},
    electrolyte,
    health::health_within,
    outlook::{Coming, NIGHTS, Night, coming, usual_nights},
    recharge, self_discharge, tables as t,
};

/// A battery left standing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Parking {
    /// Label.
    pub label: Label,
    /// Share of the rated capacity that is left (1 = as new).
    pub health: Uncertain,
    /// Charge at the start, fraction of what it holds.
    pub charge: Uncertain,
    /// Draw, ampere, long-run average; negative when a charger or panel gives more than is drawn.
    pub draw: Uncertain,
    /// Temperature while parked.
    pub temperature_c: f64,
    /// Current this engine needs to crank at 27 °C; `None` for the common-practice share of the label.
    pub engine_needs_a: Option<f64>,
}

/// Charge and risk at one moment of the time ahead.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Moment {
    /// Hours from now.
    pub hours: f64,
    /// Charge left, fraction.
    pub charge: Quantiles,
    /// Probability that the engine will not crank.
    pub p_no_start: f64,
}

/// How long it can stand.
#[derive(Debug, Clone, PartialEq)]
pub struct Forecast {
    /// Hours until it will not crank; `None` when that is beyond ten years for half the
    /// possibilities. A later 95 % end is cut at ten years.
    pub hours_to_no_start: Option<Quantiles>,
    /// Hours until half charge; `None` as above. 0 when it is there already.
    pub hours_to_half: Option<Quantiles>,
    /// Charge at which this engine no longer cranks, fraction; 1 when not even a full battery would.
    pub no_start_charge: Quantiles,
    /// Self-discharge, ampere.
    pub self_discharge_a: f64,
    /// One sentence when the electrolyte may freeze on the way.
    pub freezing_risk: Option<Message>,
    /// Hours until the electrolyte may freeze, at the coldest of the nights given: 0 when it
    /// may now; `None` when even an empty battery would not, or not within ten years.
    pub hours_to_freezing: Option<Quantiles>,
    /// Hours on a charger of a tenth of the capacity to refill what is missing now.
    pub recharge_h: Option<f64>,
    /// The time ahead, about a hundred moments, from now to past the no-start.
    pub ahead: Vec<Moment>,
    /// What each of the coming nights does to the start after it.
    pub nights: Vec<Coming>,
}

/// Why a forecast or judgement cannot be made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unknown {
    /// What is missing.
    pub missing: Message,
}

impl fmt::Display for Unknown {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        say::battery::no_forecast(&self.missing).fmt(f)
    }
}

impl std::error::Error for Unknown {}

/// Ten years, the end of any forecast, hours.
pub(crate) const LATEST_H: f64 = 87_660.0;
const MOMENTS: usize = 100;

/// Forecast of the time this battery can stand.
///
/// Capacity, health, charge, draw and self-discharge are spread over 256 evenly
/// placed points (the same every time); the engine's need and the model's own
/// uncertainty are integrated exactly at each of them, so results are smooth in
/// the inputs. Against 2^15 points, probabilities differ by less than 0.01, and
/// the 5/50/95 % hours are met with probabilities within 0.01 of these (tested).
///
/// Charge falls in a straight line with draw and self-discharge; a draw above the
/// 20-hour current is weighed by Peukert's law, a smaller one counts as it is.
/// More draw never parks longer, colder never cranks better, better health never
/// parks shorter (tested).
///
/// # Errors
/// When neither capacity, reserve minutes nor cranking current is known, or a
/// number is not finite.
pub fn forecast(parking: &Parking) -> Result<Forecast, Unknown> {
    forecast_over(parking, &usual_nights(&[parking.temperature_c; NIGHTS]))
}

/// The same with the coming nights given, each with its own temperature.
///
/// The parking's temperature should be the mean of the time ahead: self-discharge
/// and the hours to no start are taken at it, the start after each night and the
/// freezing at the night's own.
///
/// # Errors
/// As [`forecast`], and when a night is not finite.
pub fn forecast_over(parking: &Parking, nights: &[Night]) -> Result<Forecast, Unknown> {
    let mut futures = Futures::new(parking, points())?;
    let hours_to_no_start = futures.hours_to_no_start();
    let hours_to_half = futures.hours_to_half();
    let horizon = horizon_h(hours_to_no_start, hours_to_half);
    let coldest_c = nights
        .iter()
        .map(|night| night.temperature_c)
        .fold(parking.temperature_c, f64::min);
    let freezing = freezing(parking, coldest_c, &futures);
    Ok(Forecast {
        hours_to_no_start,
        hours_to_half,
        no_start_charge: futures.no_start_charge(),
        self_discharge_a: futures.self_discharge_a,
        freezing_risk: freezing.map(|(at, hours)| freezing_sentence(coldest_c, at, hours)),
        hours_to_freezing: freezing.map(|(_, hours)| hours),
        recharge_h: recharge::charger_hours(
            parking.label.chemistry,
            futures.capacity_ah,
            parking.charge.value,
            recharge::usual_charger_a(futures.capacity_ah),
        ),
        ahead: (0..=MOMENTS)
            .map(|i| futures.moment(horizon * i as f64 / MOMENTS as f64))
            .collect(),
        nights: coming(&mut futures, parking.label.chemistry, nights)?,
    })
}

/// Past the no-start, without letting a far 95 % end squeeze what matters; at least a day.
fn horizon_h(no_start: Option<Quantiles>, half: Option<Quantiles>) -> f64 {
    let end = |q: Quantiles| (1.25 * q.p95).min(4.0 * q.p50.max(q.p95 / 10.0));
    no_start
        .or(half)
        .map_or(t::MONTH_H, end)
        .clamp(24.0, LATEST_H)
}

/// Charge at and below which the electrolyte may freeze at a temperature, and the
/// hours until then; `None` when it does not come to that within ten years.
fn freezing(parking: &Parking, coldest_c: f64, futures: &Futures) -> Option<(f64, Quantiles)> {
    if !parking.label.chemistry.is_lead_acid() {
        return None;
    }
    let at = electrolyte::freezing_charge(coldest_c)?;
    Some((at, futures.hours_to_charge(at)?))
}

fn freezing_sentence(coldest_c: f64, at: f64, hours: Quantiles) -> Message {
    let charge = fixed((at * 100.0).round(), 0);
    let temperature = fixed(coldest_c, 0);
    // One chance in twenty is enough to say so.
    if hours.p05 <= 0.0 {
        return say::battery::frozen_already(charge, temperature);
    }
    say::battery::may_freeze(
        charge,
        spoken::hours(hours.p05),
        temperature,
        spoken::hours(hours.p50),
    )
}

/// One possible battery.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Possible {
    /// Charge now.
    pub(crate) charge: f64,
    /// Charge lost per hour, fraction; negative while charging.
    pub(crate) per_h: f64,
    /// Natural logarithm of health.
    pub(crate) ln_health: f64,
    /// Health.
    pub(crate) health: f64,
    /// Capacity held, Ah, health included.
    pub(crate) holds_ah: f64,
    /// Self-discharge, ampere.
    pub(crate) self_a: f64,
    /// Standard normal of the engine's need (used where need is not integrated).
    pub(crate) need_z: f64,
}

impl Possible {
    pub(crate) fn charge_at(self, hours: f64) -> f64 {
        (self.charge - self.per_h * hours).clamp(0.0, 1.0)
    }
}

/// All the possible batteries, and the engine against them.
#[derive(Debug)]
pub(crate) struct Futures {
    pub(crate) possible: Vec<Possible>,
    pub(crate) strength: Strength,
    /// Logarithm of the engine's median need, and its spread.
    pub(crate) ln_need: f64,
    pub(crate) need_spread: f64,
    pub(crate) capacity_ah: f64,
    pub(crate) self_discharge_a: f64,
    pub(crate) exponent: f64,
}

impl Futures {
    pub(crate) fn new(parking: &Parking, points: &[[f64; DIMENSIONS]]) -> Result<Self, Unknown> {
        let missing = |missing: Message| Unknown { missing };
        let label = &parking.label;
        for (name, number) in [
            (
                say::battery::missing_health(),
                parking.health.value + parking.health.u,
            ),
            (
                say::battery::missing_charge(),
                parking.charge.value + parking.charge.u,
            ),
            (
                say::battery::missing_draw(),
                parking.draw.value + parking.draw.u,
            ),
            (say::battery::missing_temperature(), parking.temperature_c),
        ] {
            if !number.is_finite() {
                return Err(missing(name));
            }
        }
        let capacity = capacity::rated_ah(label)
            .ok_or_else(|| missing(say::battery::missing_capacity_reserve_or_cranking()))?;
        let (need, need_spread) = crank::need(label, parking.engine_needs_a)
            .ok_or_else(|| missing(say::battery::missing_capacity_or_cranking()))?;
        let own =
            self_discharge::current_a(label.chemistry, capacity.value, parking.temperature_c, None);
        let exponent = capacity::peukert_exponent(label.chemistry);
        Ok(Self {
            possible: points
                .iter()
                .map(|z| possible(parking, capacity, own, exponent, z))
                .collect(),
            strength: Strength::against_need(label.chemistry, parking.temperature_c),
            ln_need: need.ln(),
            need_spread,
            capacity_ah: capacity.value,
            self_discharge_a: own.value,
            exponent,
        })
    }

    /// Moves the attempt to start, not the parking, to another temperature.
    pub(crate) fn at_temperature(&mut self, chemistry: Chemistry, temperature_c: f64) {
        self.strength = Strength::against_need(chemistry, temperature_c);
    }

    /// Probability that a battery of this charge and health does not crank.
    fn p_fails(&self, charge: f64, ln_health: f64) -> f64 {
        // ln 0 = -∞ gives a certain failure.
        let strength = self.strength.share(charge).ln() + ln_health;
        normal_cdf((self.ln_need - strength) / self.need_spread)
    }

    /// Probability of no start after `hours`.
    pub(crate) fn p_no_start(&self, hours: f64) -> f64 {
        self.mean(|b| self.p_fails(b.charge_at(hours), b.ln_health))
    }

    /// Probability of having met a no-start by `hours`; never falls with time.
    fn p_no_start_by(&self, hours: f64) -> f64 {
        self.mean(|b| self.p_fails(b.charge_at(hours).min(b.charge), b.ln_health))
    }

    fn mean(&self, f: impl Fn(&Possible) -> f64) -> f64 {
        self.possible.iter().map(f).sum::<f64>() / self.possible.len() as f64
    }

    pub(crate) fn hours_to_no_start(&self) -> Option<Quantiles> {
        let last = self.p_no_start_by(LATEST_H);
        if last < 0.5 {
            return None;
        }
        let p05 = self.hour_of(0.05, 0.0, LATEST_H);
        let p50 = self.hour_of(0.5, p05, LATEST_H);
        let p95 = if last < 0.95 {
            LATEST_H
        } else {
            self.hour_of(0.95, p50, LATEST_H)
        };
        Some(Quantiles { p05, p50, p95 })
    }

    /// Hour at which the probability passes `p`, between two hours; 0 when it has now.
    fn hour_of(&self, p: f64, from: f64, to: f64) -> f64 {
        // On a logarithmic clock, where the probability is near a straight line.
        let clock = |h: f64| (h + 1.0).ln();
        let excess = |x: f64| self.p_no_start_by(x.exp() - 1.0) - p;
        root(clock(from), clock(to), excess).exp() - 1.0
    }

    /// Charge at which the engine no longer cranks.
    fn no_start_charge(&self) -> Quantiles {
        let fails_at = |charge: f64| self.mean(|b| self.p_fails(charge, b.ln_health));
        // P(no-start charge > s) = P(fails at s), which falls with s.
        let quantile = |q: f64| {
            if fails_at(1.0) > 1.0 - q {
                1.0
            } else {
                root(0.0, 1.0, |s| 1.0 - q - fails_at(s))
            }
        };
        Quantiles {
            p05: quantile(0.05),
            p50: quantile(0.5),
            p95: quantile(0.95),
        }
    }

    fn hours_to_half(&self) -> Option<Quantiles> {
        self.hours_to_charge(0.5)
    }

    /// Hours until the charge has fallen to `level`.
    fn hours_to_charge(&self, level: f64) -> Option<Quantiles> {
        let mut hours: Vec<f64> = self
            .possible
            .iter()
            .map(|b| match b.charge - level {
                above if above <= 0.0 => 0.0,
                above if b.per_h > 0.0 => (above / b.per_h).min(LATEST_H),
                _ => LATEST_H,
            })
            .collect();
        let hours = quantiles(&mut hours);
        (hours.p50 < LATEST_H).then_some(hours)
    }

    pub(crate) fn moment(&self, hours: f64) -> Moment {
        let mut charges: Vec<f64> = self.possible.iter().map(|b| b.charge_at(hours)).collect();
        Moment {
            hours,
            charge: quantiles(&mut charges),
            p_no_start: self.p_no_start(hours),
        }
    }
}

fn possible(
    parking: &Parking,
    capacity: Uncertain,
    own: Uncertain,
    exponent: f64,
    z: &[f64; DIMENSIONS],
) -> Possible {
    let spread = |v: Uncertain, z: f64| v.value * (z * v.u / v.value).exp();
    let rated_ah = spread(capacity, z[0]);
    let health = health_within(parking.health.value + parking.health.u * z[1]);
    let holds_ah = rated_ah * health;
    let self_a = spread(own, z[4]);
    let drawn = parking.draw.value + parking.draw.u * z[3];
    // What is drawn cannot turn into charging by the meter's uncertainty alone.
    let drawn = if parking.draw.value >= 0.0 {
        drawn.max(0.0)
    } else {
        drawn
    };
    Possible {
        charge: (parking.charge.value + parking.charge.u * z[2]).clamp(0.0, 1.0),
        per_h: effective_a(drawn + self_a, holds_ah, exponent) / holds_ah,
        ln_health: health.ln(),
        health,
        holds_ah,
        self_a,
        need_z: z[5],
    }
}

/// The current that counts against the capacity: itself up to the 20-hour
/// current, more above it (Peukert).
pub(crate) fn effective_a(current_a: f64, capacity_ah: f64, exponent: f64) -> f64 {
    current_a / capacity::peukert_share(capacity_ah, 20.0, current_a, exponent)
}

/// Where a rising function passes zero between `low` and `high`, to 1e-7 of
/// the span; the near end when it has no zero inside. Illinois variant of
/// regula falsi (Dowell & Jarratt 1971).
pub(crate) fn root(low: f64, high: f64, f: impl Fn(f64) -> f64) -> f64 {
    let (mut a, mut b) = (low, high);
    let (mut fa, mut fb) = (f(a), f(b));
    if fa >= 0.0 {
        return a;
    }
    if fb <= 0.0 {
        return b;
    }
    let mut kept = 0;
    for step in 0..60 {
        // Every third step halves, so that a flat function cannot stall it.
        let x = if step % 3 == 2 {
            0.5 * (a + b)
        } else {
            (a * fb - b * fa) / (fb - fa)
        };
        let fx = f(x);
        if fx.abs() < 1e-7 || b - a < 1e-7 * (high - low) {
            return x;
        }
        if fx < 0.0 {
            (a, fa) = (x, fx);
            if kept == -1 {
                fb *= 0.5;
            }
            kept = -1;
        } else {
            (b, fb) = (x, fx);
            if kept == 1 {
                fa *= 0.5;
            }
            kept = 1;
        }
    }
    0.5 * (a + b)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::chance::{VERY_DENSE, spread};

    /// The error stated for [`forecast`], against 128 times as many points.
    #[test]
    fn few_points_are_enough() {
        for (health, charge, draw, celsius) in [
            ((0.85, 0.1), (0.85, 0.08), (0.42, 0.01), 5.0),
            ((0.7, 0.15), (0.7, 0.15), (0.05, 0.03), -10.0),
            ((0.95, 0.05), (1.0, 0.03), (0.02, 0.001), 25.0),
            ((0.9, 0.1), (0.9, 0.1), (4.0, 0.5), 15.0),
        ] {
            let parking = Parking {
                label: Label {
                    capacity_ah: Some(60.0),
                    ..Label::default()
                },
                health: Uncertain::new(health.0, health.1),
                charge: Uncertain::new(charge.0, charge.1),
                draw: Uncertain::new(draw.0, draw.1),
                temperature_c: celsius,
                engine_needs_a: None,
            };
            let few = Futures::new(&parking, points()).unwrap();
            let many = Futures::new(&parking, &spread(VERY_DENSE)).unwrap();
            let a = few.hours_to_no_start().unwrap();
            let b = many.hours_to_no_start().unwrap();
            for (hours, p) in [(a.p05, 0.05), (a.p50, 0.5), (a.p95, 0.95)] {
                if hours > 0.0 {
                    let truly = many.p_no_start_by(hours);
                    assert!((truly - p).abs() < 0.01, "{hours} h is {truly}, not {p}");
                }
            }
            for share in [0.0, 0.3, 0.7, 1.0, 1.5] {
                let (p, q) = (
                    few.p_no_start(share * b.p50),
                    many.p_no_start(share * b.p50),
                );
                assert!((p - q).abs() < 0.01, "{p} against {q}");
            }
        }
    }
}
