//! A week of driving against a week of standing: whether the battery holds its
//! charge, where it settles, and what would hold it.

use measure::{Quantiles, Uncertain};
use tongue::say;

use crate::{
    Label, Unknown, capacity,
    chance::{points, quantiles},
    forecast::root,
    health::health_within,
    recharge, self_discharge,
};

/// How the vehicle is used in a usual week.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Week {
    /// Trips.
    pub trips: f64,
    /// Minutes of a usual trip.
    pub minutes_per_trip: f64,
    /// Current left over for the battery while driving, ampere (see [`SPARE_A`]).
    pub spare_a: f64,
    /// Charge used with the engine off, Ah per week: lamps, radio, heater.
    pub loads_ah: f64,
}

impl Week {
    /// Whether the trips fit into a week at all.
    pub fn fits_a_week(&self) -> bool {
        self.trips * self.minutes_per_trip <= WEEK_H * 60.0
    }
}

/// A vehicle in its usual week.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Household {
    /// Label of the battery.
    pub label: Label,
    /// Share of the rated capacity that is left (1 = as new).
    pub health: Uncertain,
    /// Draw while parked, long-run average, ampere.
    pub draw: Uncertain,
    /// Usual temperature, °C.
    pub temperature_c: f64,
    /// The week.
    pub week: Week,
}

impl Household {
    /// The same with something that draws `added_a` ampere more while parked.
    #[must_use]
    pub fn with_added(&self, added_a: f64) -> Self {
        Self {
            draw: self.draw.plus(Uncertain::exact(added_a)),
            ..*self
        }
    }
}

impl Balance {
    /// Whether something that draws `added_a` ampere while parked leaves the charge kept.
    pub fn fits(&self, added_a: f64) -> bool {
        added_a <= self.room_a
    }
}

/// Charge lost in a week, Ah.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Loss {
    /// By the draw while parked.
    pub draw_ah: f64,
    /// By itself.
    pub self_discharge_ah: f64,
    /// By starting the engine.
    pub starts_ah: f64,
    /// By what is used with the engine off.
    pub loads_ah: f64,
}

impl Loss {
    /// All of it.
    pub fn total_ah(self) -> f64 {
        self.draw_ah + self.self_discharge_ah + self.starts_ah + self.loads_ah
    }
}

/// Where a week leads.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Balance {
    /// What a week takes.
    pub loss: Loss,
    /// What a week of driving gives back at [`KEPT`] charge, Ah.
    pub gain_ah: f64,
    /// Charge at which giving and taking meet, fraction; 0 when it runs empty.
    pub settles_at: Quantiles,
    /// Probability that it settles at half charge or above.
    pub p_holds: f64,
    /// Weeks from full to half charge, when it does not hold.
    pub weeks_to_half: Option<f64>,
    /// Draw that may be added so that it still settles at [`KEPT`] charge, ampere;
    /// negative when there is already too much.
    pub room_a: f64,
    /// Current of a maintainer, on whenever it is parked, that keeps it at [`KEPT`]; 0 when none is needed.
    pub maintainer_a: f64,
    /// Rated power of a solar panel that does the same in winter, watt; 0 when none is needed.
    pub panel_w: f64,
}

/// Charge that counts as kept. Common practice: a lead-acid battery should not
/// stand below three quarters for long, since it sulphates.
pub const KEPT: f64 = 0.75;

/// Current left over for the battery while driving, ampere, when nobody says.
/// From memory: an alternator gives 40 to 70 A in traffic, the loads take half.
pub const SPARE_A: f64 = 25.0;

/// Charge of one start, Ah. From memory: 200 A for some seconds with what runs
/// before and after. Set so that replacing it takes the 20 to 30 minutes of
/// driving of TM 9-6140-200-14, Lead-Acid Storage Batteries (US Army, 1998), on
/// a battery at 95 % charge (tested).
const START_AH: f64 = 0.5;

/// Spread (of the logarithm) of what a battery accepts about the table. From memory.
const ACCEPTANCE_SPREAD: f64 = 0.3;

/// Hours of full sun a day on a panel lying flat in a northern winter, and the
/// share of the rated power that arrives (cell temperature, dirt, glass, plain
/// regulator). From memory.
const WINTER_SUN_H: f64 = 1.0;
const PANEL_SHARE: f64 = 0.6;
/// Voltage at which a panel charges, volt. Common practice.
const PANEL_V: f64 = 14.0;

const WEEK_H: f64 = 168.0;

/// Where the battery settles in a usual week.
///
/// What it accepts falls towards full ([`recharge::accepted_a`]), so giving and
/// taking meet at one level. Capacity, health, draw, self-discharge and
/// acceptance are spread over 256 evenly placed points. The week counts as a
/// whole: a day without driving dips below the level, a long trip lifts above it.
/// More draw never settles higher, more driving never lower, as long as a trip
/// returns what its start took (tested).
///
/// # Errors
/// When the label says nothing of the capacity, or a number is not finite.
pub fn balance(household: &Household) -> Result<Balance, Unknown> {
    let rated = capacity::rated_ah(&household.label).ok_or_else(|| Unknown {
        missing: say::battery::missing_capacity_reserve_or_cranking(),
    })?;
    let week = &household.week;
    let numbers = [
        household.health.value + household.health.u,
        household.draw.value + household.draw.u,
        household.temperature_c,
        week.trips + week.minutes_per_trip + week.spare_a + week.loads_ah,
    ];
    if numbers.iter().any(|n| !n.is_finite()) {
        return Err(Unknown {
            missing: say::battery::missing_use(),
        });
    }
    let best = One::at(household, rated, &[0.0; 6]);
    let ones: Vec<One> = points()
        .iter()
        .map(|z| One::at(household, rated, z))
        .collect();
    let mut levels: Vec<f64> = ones.iter().map(One::settles_at).collect();
    let holding = levels.iter().filter(|level| **level >= 0.5).count();
    let p_holds = holding as f64 / levels.len() as f64;
    let net = best.net_ah(KEPT);
    let parked_h = best.parked_h;
    let missing_a = (-net).max(0.0) * recharge::factor(household.label.chemistry) / parked_h;
    Ok(Balance {
        loss: best.loss,
        gain_ah: best.gain_ah(KEPT),
        settles_at: quantiles(&mut levels),
        p_holds,
        weeks_to_half: best.weeks_to_half(),
        room_a: net / parked_h,
        maintainer_a: missing_a,
        panel_w: missing_a * parked_h * PANEL_V / (7.0 * WINTER_SUN_H * PANEL_SHARE),
    })
}

/// One possible vehicle.
struct One {
    label: Label,
    holds_ah: f64,
    loss: Loss,
    driven_h: f64,
    parked_h: f64,
    spare_a: f64,
    acceptance: f64,
    temperature_c: f64,
}

impl One {
    fn at(household: &Household, rated: Uncertain, z: &[f64; 6]) -> Self {
        let Household {
            label,
            health,
            draw,
            temperature_c,
            week,
        } = *household;
        let rated_ah = rated.value * (z[0] * rated.u / rated.value).exp();
        let holds_ah = rated_ah * health_within(health.value + health.u * z[1]);
        let own = self_discharge::current_a(label.chemistry, rated.value, temperature_c, None);
        let own_a = own.value * (z[4] * own.u / own.value).exp();
        let driven_h = (week.trips * week.minutes_per_trip / 60.0).clamp(0.0, WEEK_H - 1.0);
        let parked_h = WEEK_H - driven_h;
        Self {
            label,
            holds_ah,
            loss: Loss {
                draw_ah: (draw.value + draw.u * z[3]).max(0.0) * parked_h,
                self_discharge_ah: own_a * WEEK_H,
                starts_ah: START_AH * week.trips,
                loads_ah: week.loads_ah,
            },
            driven_h,
            parked_h,
            spare_a: week.spare_a.max(0.0),
            acceptance: (z[5] * ACCEPTANCE_SPREAD).exp(),
            temperature_c,
        }
    }

    /// Charge that a week of driving puts in at a level, Ah; falls with the level.
    fn gain_ah(&self, level: f64) -> f64 {
        let chemistry = self.label.chemistry;
        let accepted = self.acceptance
            * recharge::accepted_a(chemistry, self.holds_ah, level, self.temperature_c);
        self.driven_h * accepted.min(self.spare_a) / recharge::factor(chemistry)
    }

    fn net_ah(&self, level: f64) -> f64 {
        self.gain_ah(level) - self.loss.total_ah()
    }

    fn settles_at(&self) -> f64 {
        if self.net_ah(0.0) < 0.0 {
            0.0
        } else {
            root(0.0, 1.0, |level| -self.net_ah(level))
        }
    }

    fn weeks_to_half(&self) -> Option<f64> {
        const STEPS: u32 = 50;
        let step = 0.5 / f64::from(STEPS);
        (0..STEPS)
            .map(|i| 1.0 - (f64::from(i) + 0.5) * step)
            .map(|level| {
                let net = self.net_ah(level);
                (net < 0.0).then(|| step * self.holds_ah / -net)
            })
            .sum()
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn household(draw_a: f64, trips: f64, minutes: f64) -> Household {
        Household {
            label: Label {
                capacity_ah: Some(60.0),
                ..Label::default()
            },
            health: Uncertain::new(0.85, 0.08),
            draw: Uncertain::exact(draw_a),
            temperature_c: 10.0,
            week: Week {
                trips,
                minutes_per_trip: minutes,
                spare_a: SPARE_A,
                loads_ah: 0.0,
            },
        }
    }

    #[test]
    fn one_start_takes_the_published_minutes_to_replace() {
        // TM 9-6140-200-14 (US Army, 1998): 20 to 30 minutes of driving.
        let chemistry = crate::Chemistry::Flooded;
        let accepted = recharge::accepted_a(chemistry, 50.0, 0.95, 10.0);
        let minutes = 60.0 * START_AH * recharge::factor(chemistry) / accepted.min(SPARE_A);
        assert!((20.0..=30.0).contains(&minutes), "{minutes}");
    }

    #[test]
    fn a_commuter_holds_and_a_shopper_with_a_camera_does_not() {
        let commuter = balance(&household(0.025, 10.0, 45.0)).unwrap();
        assert!(commuter.settles_at.p50 > 0.9, "{commuter:?}");
        assert!(commuter.p_holds > 0.99 && commuter.weeks_to_half.is_none());
        assert_eq!((commuter.maintainer_a, commuter.panel_w), (0.0, 0.0));
        assert!(commuter.room_a > 0.05);
        let shopper = balance(&household(0.250, 3.0, 10.0)).unwrap();
        assert!(
            shopper.settles_at.p50 < 0.1 && shopper.p_holds < 0.05,
            "{shopper:?}"
        );
        assert!(shopper.weeks_to_half.is_some_and(|w| w < 2.0));
        assert!(shopper.room_a < 0.0 && shopper.maintainer_a > 0.2 && shopper.panel_w > 50.0);
        // What is proposed does hold it.
        let held = Household {
            draw: Uncertain::exact(
                0.250 - shopper.maintainer_a / recharge::factor(crate::Chemistry::Flooded),
            ),
            ..household(0.0, 3.0, 10.0)
        };
        assert!(balance(&held).unwrap().room_a.abs() < 1e-9);
    }

    #[test]
    fn nothing_known_is_no_balance() {
        let mut nothing = household(0.025, 10.0, 45.0);
        nothing.label = Label::default();
        assert!(
            balance(&nothing)
                .unwrap_err()
                .to_string()
                .contains("capacity")
        );
        let mut odd = household(f64::NAN, 10.0, 45.0);
        assert!(balance(&odd).is_err());
        odd = household(0.0, 0.0, 0.0);
        odd.week.spare_a = f64::INFINITY;
        assert!(balance(&odd).is_err());
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]

        /// More draw never settles higher; more minutes of each trip never lower.
        #[test]
        fn physics_is_monotone(
            draw in 0.0..0.5_f64, more in 0.0..0.5_f64,
            trips in 0.0..20.0_f64, minutes in 0.0..90.0_f64, longer in 0.0..60.0_f64,
        ) {
            let at = |d, m| balance(&household(d, trips, m)).unwrap();
            let base = at(draw, minutes);
            let (greedy, driven) = (at(draw + more, minutes), at(draw, minutes + longer));
            prop_assert!(greedy.settles_at.p50 <= base.settles_at.p50 + 1e-6);
            prop_assert!(driven.settles_at.p50 >= base.settles_at.p50 - 1e-6);
            prop_assert!(greedy.room_a <= base.room_a && greedy.p_holds <= base.p_holds + 1e-12);
            prop_assert!((0.0..=1.0).contains(&base.settles_at.p05) && base.settles_at.p95 <= 1.0);
            // Room and need exclude each other.
            prop_assert!(base.room_a.max(0.0) * base.maintainer_a == 0.0);
        }
    }
}
