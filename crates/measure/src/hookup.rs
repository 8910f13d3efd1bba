//! How a connection distorts what an instrument shows: burden, the current
//! that a forgotten bypass steals, shunts, and the meter's own fuse.
//!
//! Plain arithmetic of series and parallel resistances (Ohm's and Kirchhoff's
//! laws); uncertainties to first order (JCGM 100:2008, 5.1.2).

use crate::Uncertain;

/// Voltage lost across whatever is in series, volt: the vehicle gets that
/// much less.
pub fn burden_v(current: Uncertain, series_ohm: Uncertain) -> Uncertain {
    current.product(series_ohm)
}

/// The share of the current (0 to 1) that takes the `branch` rather than the
/// `other` path beside it: other / (branch + other).
///
/// Both resistances in ohm and not negative; the result is not a number when
/// both are exactly 0, since nothing then decides.
pub fn share(branch: Uncertain, other: Uncertain) -> Uncertain {
    let sum = branch.value + other.value;
    let by_branch = branch.u * other.value / (sum * sum);
    let by_other = other.u * branch.value / (sum * sum);
    Uncertain::new(other.value / sum, by_branch.hypot(by_other))
}

/// Resistance of two paths beside one another, ohm.
pub fn parallel_ohm(one: f64, other: f64) -> f64 {
    // A dead short wins, whatever lies beside it.
    if one == 0.0 || other == 0.0 {
        0.0
    } else {
        one * other / (one + other)
    }
}

/// What an in-line meter of `meter_ohm` (with its leads) shows of a `true_a`
/// ampere while a bypass of `bypass_ohm` is still beside it.
///
/// The same arithmetic answers the check on the hook-up: touch the battery
/// clamp to its post ([`CLAMP_ON_POST`](crate::conductor::CLAMP_ON_POST)) while
/// the meter bridges the two, and the reading falls to nearly nothing. If it
/// does not, the meter was not carrying the vehicle's current.
pub fn shown_beside_bypass(
    true_a: Uncertain,
    meter_ohm: Uncertain,
    bypass_ohm: Uncertain,
) -> Uncertain {
    true_a.product(share(meter_ohm, bypass_ohm))
}

/// Current through a shunt or a fuse from the voltage across it, ampere. Not
/// finite when the resistance is 0.
pub fn current_a(drop_v: Uncertain, ohm: Uncertain) -> Uncertain {
    drop_v.quotient(ohm)
}

/// The shunt that lets a movement of `meter_ohm`, full scale `meter_a`, read
/// up to `full_a`, ohm; `None` unless `full_a` exceeds `meter_a`.
pub fn shunt_ohm(meter_a: f64, meter_ohm: f64, full_a: f64) -> Option<f64> {
    (full_a > meter_a).then(|| meter_a * meter_ohm / (full_a - meter_a))
}

/// What a current does to the meter's own fuse.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum MeterFuse {
    /// It carries the current for good.
    Holds,
    /// It melts, sooner than this many seconds if its melting integral is known.
    Blows {
        /// Time to melt, second; `None` without a melting integral.
        within_s: Option<f64>,
    },
}

/// Whether `current_a` blows a fuse rated `rating_a` whose melting integral is
/// `i2t_a2s` (A²s, from its maker).
///
/// A current above the rating counts as blowing it, since a person cannot wait
/// to see; the time I²t/I² holds for short strong surges, where no heat
/// escapes, and is an estimate otherwise (from memory).
pub fn meter_fuse(current_a: f64, rating_a: f64, i2t_a2s: Option<f64>) -> MeterFuse {
    if current_a.abs() <= rating_a {
        return MeterFuse::Holds;
    }
    MeterFuse::Blows {
        within_s: i2t_a2s.map(|i2t| i2t / (current_a * current_a)),
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::{
        conductor::{CLAMP_ON_POST, Lead},
        instrument::Class,
    };

    /// The ordinary 10 A input with its leads' contacts.
    fn meter() -> Uncertain {
        let class = Class::ordinary(crate::InstrumentKind::InLine);
        Uncertain::exact(class.burden_ohm).plus(Lead::TEST.ohm())
    }

    #[test]
    fn a_forgotten_bypass_steals_most_of_the_current() {
        let shown = shown_beside_bypass(Uncertain::exact(0.412), meter(), Lead::BYPASS.ohm());
        assert!(shown.value < 0.5 * 0.412, "{shown:?}");
        assert!(shown.value > 0.0 && shown.u > 0.0);
    }

    #[test]
    fn the_clamp_on_its_post_leaves_nearly_nothing() {
        let share_10a = share(meter(), CLAMP_ON_POST);
        assert!(share_10a.value < 0.05, "{share_10a:?}");
        // On the milliampere input even less is left.
        let fine = share(Uncertain::exact(2.0), CLAMP_ON_POST);
        assert!(fine.value < 0.001);
    }

    #[test]
    fn the_milliampere_input_starves_a_vehicle_that_wakes() {
        // 2 Ω in series with a waking vehicle of 5 A would take 10 V of its 12 V.
        let lost = burden_v(Uncertain::exact(5.0), Uncertain::exact(2.0));
        assert_eq!(lost.value, 10.0);
        assert_eq!(
            meter_fuse(5.0, 0.44, None),
            MeterFuse::Blows { within_s: None }
        );
        assert_eq!(meter_fuse(0.3, 0.44, None), MeterFuse::Holds);
        let MeterFuse::Blows {
            within_s: Some(time),
        } = meter_fuse(20.0, 10.0, Some(100.0))
        else {
            panic!("20 A through 10 A")
        };
        assert_eq!(time, 0.25);
    }

    #[test]
    fn published_burden_of_a_multimeter() {
        // General-purpose handheld multimeter manual (600 mA / 10 A inputs): 100 mV at
        // full range of the 10 A input is 10 mΩ; the class adds leads and fuse to it.
        let shunt = current_a(Uncertain::exact(0.1), Uncertain::exact(0.01));
        assert!((shunt.value - 10.0).abs() < 1e-12);
        assert!(Class::ordinary(crate::InstrumentKind::InLine).burden_ohm > 0.1 / 10.0);
    }

    #[test]
    fn shunts_of_the_textbooks() {
        // Grob's Basic Electronics, 11th ed., example 8-2 (read through a companion
        // file): 50 µA and 1000 Ω for 0.5 mA take 111.1 Ω.
        assert!((shunt_ohm(50e-6, 1000.0, 0.5e-3).unwrap() - 111.1).abs() < 0.05);
        // Trade notes on shunts: 1 mA and 25 Ω for 2 A take 0.012506 Ω; 100 A at 75 mV
        // is 0.75 mΩ.
        assert!((shunt_ohm(1e-3, 25.0, 2.0).unwrap() - 0.012_506).abs() < 1e-5);
        let ampere = current_a(Uncertain::exact(0.075), Uncertain::exact(0.75e-3));
        assert!((ampere.value - 100.0).abs() < 1e-9);
        assert_eq!(shunt_ohm(1.0, 1.0, 1.0), None);
    }

    proptest! {
        /// The two branches share the whole, the lesser resistance takes more,
        /// and the voltage across both is the same.
        #[test]
        fn kirchhoff(one in 1e-4..100.0_f64, other in 1e-4..100.0_f64, ampere in 0.0..20.0_f64) {
            let (a, b) = (Uncertain::exact(one), Uncertain::exact(other));
            let (first, second) = (share(a, b).value, share(b, a).value);
            prop_assert!((first + second - 1.0).abs() <= 4.0 * f64::EPSILON);
            prop_assert!((one <= other) == (first >= second) || one == other);
            let across = ampere * first * one;
            prop_assert!((across - ampere * second * other).abs() <= 1e-12 * (1.0 + across));
            prop_assert!((across - ampere * parallel_ohm(one, other)).abs() <= 1e-12 * (1.0 + across));
        }

        /// A better bypass always steals more.
        #[test]
        fn a_better_bypass_steals_more(
            meter in 1e-3..3.0_f64, bypass in 1e-4..1.0_f64, better in 0.01..1.0_f64,
        ) {
            let meter = Uncertain::exact(meter);
            let before = share(meter, Uncertain::exact(bypass)).value;
            let after = share(meter, Uncertain::exact(bypass * better)).value;
            prop_assert!(after <= before && (0.0..=1.0).contains(&after));
        }

        /// The first-order width of a share matches a finite difference.
        #[test]
        fn the_width_of_a_share_is_its_slope(branch in 0.01..3.0_f64, other in 0.01..3.0_f64) {
            let h = 1e-6;
            let slope = |b: f64, o: f64| share(Uncertain::exact(b), Uncertain::exact(o)).value;
            let by_branch = (slope(branch + h, other) - slope(branch - h, other)) / 2.0;
            let by_other = (slope(branch, other + h) - slope(branch, other - h)) / 2.0;
            let u = share(Uncertain::new(branch, h), Uncertain::new(other, h)).u;
            // Rounding of the difference quotient, 1e-16 against steps of 1e-6 and above 1e-9.
            prop_assert!((u - by_branch.hypot(by_other)).abs() < 1e-6 * u + 1e-15);
        }
    }
}
