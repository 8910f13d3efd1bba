//! A supply that keeps a vehicle's settings while its battery is off: how long
//! it holds, and why a small dry battery may not.

use tongue::{Message, say};

/// A memory-keeping supply.
///
/// The known ones ([`KEEPERS`]) carry typical figures **from memory**.
#[derive(Debug, Clone, PartialEq)]
pub struct Keeper {
    /// Short name.
    pub id: &'static str,
    /// What it is, for people.
    pub what: Message,
    /// Voltage with nothing drawn, volt.
    pub open_v: f64,
    /// Resistance inside with its leads, ohm.
    pub ohm: f64,
    /// Charge it gives at a slow rate, Ah.
    pub capacity_ah: f64,
    /// Hours of that slow rate.
    pub rate_h: f64,
    /// Peukert exponent for faster rates (see [`crate::capacity::peukert_share`]).
    pub exponent: f64,
}

/// The known supplies. All figures from memory.
pub static KEEPERS: &[Keeper] = &ALL;

static ALL: [Keeper; 4] = [
    Keeper {
        id: "dry-9v",
        what: say::battery::keeper_dry_block(),
        open_v: 9.0,
        ohm: 2.0,
        capacity_ah: 0.55,
        rate_h: 50.0,
        exponent: 1.3,
    },
    Keeper {
        id: "dry-12v",
        what: say::battery::keeper_dry_cells(),
        open_v: 12.4,
        ohm: 1.6,
        capacity_ah: 2.5,
        rate_h: 50.0,
        exponent: 1.2,
    },
    Keeper {
        id: "gel-7ah",
        what: say::battery::keeper_gel(),
        open_v: 12.8,
        ohm: 0.06,
        capacity_ah: 7.0,
        rate_h: 20.0,
        exponent: 1.12,
    },
    Keeper {
        id: "car-battery",
        what: say::battery::keeper_car(),
        open_v: 12.6,
        ohm: 0.03,
        capacity_ah: 45.0,
        rate_h: 20.0,
        exponent: 1.25,
    },
];

/// Least voltage at which control units keep their settings, volt. From memory:
/// memories hold to 6 V and less, units restart between 6 and 8 V.
pub const KEEPS_V: f64 = 8.0;

/// Share of the capacity that is out by the time the voltage under a light
/// load is too low. From memory: nine tenths for lead, less for dry cells at a
/// third of their open voltage lost; one figure serves both.
const USABLE: f64 = 0.8;

/// What a supply does for a vehicle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hold {
    /// Hours it holds at the draw; 0 when it cannot carry the draw at all.
    pub hours: f64,
    /// Voltage at the vehicle under the draw, volt.
    pub under_draw_v: f64,
    /// Voltage when the vehicle wakes, volt, never below 0.
    pub under_wake_v: f64,
    /// Most current it gives while keeping [`KEEPS_V`], ampere.
    pub most_a: f64,
}

impl Hold {
    /// Whether settings survive a wake-up: a door, a remote key, a light.
    pub fn survives_waking(&self) -> bool {
        self.under_wake_v >= KEEPS_V
    }
}

impl Keeper {
    /// The supply called `id`.
    pub fn find(id: &str) -> Option<&'static Self> {
        KEEPERS
            .iter()
            .find(|one| one.id.eq_ignore_ascii_case(id.trim()))
    }

    /// What it does at a draw and when the vehicle wakes (both ampere; what is
    /// not positive counts as nothing drawn, and holds for ten years).
    pub fn hold(&self, draw_a: f64, wake_a: f64) -> Hold {
        let under = |current_a: f64| (self.open_v - current_a.max(0.0) * self.ohm).max(0.0);
        let most_a = (self.open_v - KEEPS_V).max(0.0) / self.ohm;
        let hours = if draw_a > most_a {
            0.0
        } else if draw_a > 0.0 {
            let hours = crate::capacity::peukert_hours(
                self.capacity_ah,
                self.rate_h,
                draw_a,
                self.exponent,
            );
            // A fresh supply also loses voltage as it empties; the rest is lost to the vehicle.
            (USABLE * hours).min(crate::forecast::LATEST_H)
        } else {
            crate::forecast::LATEST_H
        };
        Hold {
            hours,
            under_draw_v: under(draw_a),
            under_wake_v: under(wake_a),
            most_a,
        }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn a_small_dry_battery_keeps_a_clock_and_no_waking_vehicle() {
        let dry = Keeper::find("dry-9v").unwrap();
        let clock = dry.hold(0.010, 5.0);
        assert!(clock.hours > 40.0 && clock.under_draw_v > KEEPS_V);
        assert!(!clock.survives_waking() && clock.under_wake_v == 0.0);
        // 420 mA: an hour at best.
        let drawn = dry.hold(0.42, 5.0);
        assert!(drawn.hours < 1.0, "{drawn:?}");
        // One ampere is more than it gives at 8 V.
        assert_eq!(dry.hold(1.0, 5.0).hours, 0.0);
        let lead = Keeper::find("GEL-7Ah").unwrap().hold(0.42, 5.0);
        assert!(lead.survives_waking() && lead.hours > 10.0, "{lead:?}");
        assert!(Keeper::find("coin").is_none());
    }

    proptest! {
        /// More draw never holds longer, nor at a higher voltage.
        #[test]
        fn more_draw_never_holds_longer(a in 0.0..5.0_f64, b in 0.0..5.0_f64) {
            for keeper in KEEPERS {
                let (less, more) = (keeper.hold(a.min(b), 5.0), keeper.hold(a.max(b), 5.0));
                prop_assert!(more.hours <= less.hours && more.under_draw_v <= less.under_draw_v);
                // Never more charge than is in it.
                prop_assert!(less.hours * a.min(b) <= keeper.capacity_ah);
            }
        }
    }
}
