//! Single questions to the same forecast: the chance at one hour, the draw that
//! would explain a complaint, the coming nights.

use measure::{Quantiles, Uncertain};
use tongue::say;

use crate::{
    Chemistry, Label, Parking, Unknown,
    chance::{dense_points, points, quantiles},
    forecast::Futures,
};

/// Probability that the engine does not crank after standing `hours`.
///
/// # Errors
/// As [`crate::forecast()`].
pub fn p_no_start_within(parking: &Parking, hours: f64) -> Result<f64, Unknown> {
    Ok(Futures::new(parking, points())?.p_no_start(hours.max(0.0)))
}

/// The reverse question: which average draw (ampere) leaves this battery just
/// unable to crank after standing `no_start_after_h` hours.
///
/// 5/50/95 % over what is not known of battery and engine. 0 means that the
/// battery would not have cranked even without any draw. A larger draw explains
/// the complaint too, so read it as "at least". The engine's need is the
/// common-practice share of the label; [`explain_parking`] takes it stated.
///
/// # Errors
/// As [`crate::forecast()`], or when the time is not above zero.
pub fn explain(
    label: &Label,
    health: Uncertain,
    charge: Uncertain,
    temperature_c: f64,
    no_start_after_h: f64,
) -> Result<Quantiles, Unknown> {
    let parking = Parking {
        label: *label,
        health,
        charge,
        draw: Uncertain::exact(0.0),
        temperature_c,
        engine_needs_a: None,
    };
    explain_parking(&parking, no_start_after_h)
}

/// [`explain`] for a parking; its own draw is not used.
///
/// # Errors
/// As [`explain`].
pub fn explain_parking(parking: &Parking, no_start_after_h: f64) -> Result<Quantiles, Unknown> {
    if !(no_start_after_h > 0.0 && no_start_after_h.is_finite()) {
        return Err(Unknown {
            missing: say::battery::missing_parked_time(),
        });
    }
    // The engine's need is sampled here, not integrated: more points.
    let futures = Futures::new(parking, dense_points())?;
    let mut draws: Vec<f64> = futures
        .possible
        .iter()
        .map(|battery| {
            let need = (futures.ln_need + futures.need_spread * battery.need_z).exp();
            let stops_at = lowest_cranking_charge(&futures, need / battery.health);
            let usable_ah = (battery.charge - stops_at).max(0.0) * battery.holds_ah;
            let counted_a = usable_ah / no_start_after_h;
            (plain_a(counted_a, battery.holds_ah, futures.exponent) - battery.self_a).max(0.0)
        })
        .collect();
    Ok(quantiles(&mut draws))
}

/// Charge below which a share of the new battery's current is no longer given; 1 if never given.
fn lowest_cranking_charge(futures: &Futures, share: f64) -> f64 {
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..24 {
        let middle = 0.5 * (low + high);
        if futures.strength.share(middle) < share {
            low = middle
        } else {
            high = middle
        }
    }
    high
}

/// Inverse of the rate effect: the current that counts as `counted_a`.
fn plain_a(counted_a: f64, capacity_ah: f64, exponent: f64) -> f64 {
    let rated_a = capacity_ah / 20.0;
    if counted_a <= rated_a {
        counted_a
    } else {
        rated_a * (counted_a / rated_a).powf(exponent.recip())
    }
}

/// One of the coming nights.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Night {
    /// Hours from now at which someone tries to start.
    pub hours: f64,
    /// Temperature of the battery then, °C.
    pub temperature_c: f64,
}

/// What a night does to the start after it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Coming {
    /// The night.
    pub night: Night,
    /// Charge left then, fraction.
    pub charge: Quantiles,
    /// Probability that the engine does not crank then.
    pub p_no_start: f64,
}

/// Nights looked ahead when nobody names them.
pub const NIGHTS: usize = 7;

/// Hours from parking in the evening to the start in the morning. Common
/// practice: parked at six, started at eight.
pub const NIGHT_H: f64 = 14.0;

/// The coming nights of a vehicle parked this evening, from the temperature at
/// the end of each: the first start is tried after [`NIGHT_H`], the others a day apart.
pub fn usual_nights(temperatures_c: &[f64]) -> Vec<Night> {
    temperatures_c
        .iter()
        .enumerate()
        .map(|(at, &temperature_c)| Night {
            hours: NIGHT_H + 24.0 * at as f64,
            temperature_c,
        })
        .collect()
}

/// Probability of no start at each of the coming nights (or mornings), each with
/// its own temperature. Self-discharge is taken at the parking's temperature,
/// which should be the mean of the time ahead.
///
/// # Errors
/// As [`crate::forecast()`], and when a night is not finite.
pub fn nights(parking: &Parking, nights: &[Night]) -> Result<Vec<f64>, Unknown> {
    let mut futures = Futures::new(parking, points())?;
    let coming = coming(&mut futures, parking.label.chemistry, nights)?;
    Ok(coming.iter().map(|one| one.p_no_start).collect())
}

/// Charge and no-start after each night; leaves the last night's temperature behind.
pub(crate) fn coming(
    futures: &mut Futures,
    chemistry: Chemistry,
    nights: &[Night],
) -> Result<Vec<Coming>, Unknown> {
    nights
        .iter()
        .map(|night| {
            if !(night.temperature_c + night.hours).is_finite() {
                return Err(Unknown {
                    missing: say::battery::missing_night(),
                });
            }
            futures.at_temperature(chemistry, night.temperature_c);
            let moment = futures.moment(night.hours.max(0.0));
            Ok(Coming {
                night: *night,
                charge: moment.charge,
                p_no_start: moment.p_no_start,
            })
        })
        .collect()
}
