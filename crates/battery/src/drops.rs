//! Voltage drops in starter and charging cables.

use std::{fmt, str::FromStr};

use measure::{Uncertain, quantity::Volt};
use tongue::{Message, say};

use crate::{
    chance::normal_cdf,
    charging::starter_drop_limit_v,
    label::{UnknownWord, find_word},
};

/// Where a drop was read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum DropPlace {
    /// Battery positive to the starter's stud, cranking.
    StarterPositive,
    /// Starter housing to battery negative, cranking.
    StarterGround,
    /// Alternator's stud to battery positive, charging with the loads on.
    ChargingPositive,
    /// Alternator housing to battery negative, charging with the loads on.
    ChargingGround,
    /// Battery post to its clamp, cranking or loaded.
    Connection,
}

impl DropPlace {
    /// All of them, in the order of the enum.
    pub const ALL: [Self; 5] = [
        Self::StarterPositive,
        Self::StarterGround,
        Self::ChargingPositive,
        Self::ChargingGround,
        Self::Connection,
    ];

    /// The word for it in job files.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::StarterPositive => "starter-positive",
            Self::StarterGround => "starter-ground",
            Self::ChargingPositive => "charging-positive",
            Self::ChargingGround => "charging-ground",
            Self::Connection => "connection",
        }
    }

    /// A few words for people.
    pub const fn words(self) -> Message {
        match self {
            Self::StarterPositive => say::battery::place_starter_positive(),
            Self::StarterGround => say::battery::place_starter_ground(),
            Self::ChargingPositive => say::battery::place_charging_positive(),
            Self::ChargingGround => say::battery::place_charging_ground(),
            Self::Connection => say::battery::place_connection(),
        }
    }

    /// Whether it lies in the charging circuit.
    pub const fn is_charging(self) -> bool {
        matches!(self, Self::ChargingPositive | Self::ChargingGround)
    }

    /// Largest drop, volt; `current_a` is what flowed, where it was read.
    ///
    /// Starter: 0.2 V per 100 A where the current was read (TM 10-3930-671-24, US
    /// Army, starter circuit volt drop tests), else 0.5 V per leg (a vehicle
    /// maker's manual on cables). Charging: ground leg 0.2 V (training text on
    /// charging), positive leg 0.5 V and post to clamp 0.05 V (common practice).
    pub fn limit_v(self, current_a: Option<f64>) -> f64 {
        match self {
            Self::StarterPositive | Self::StarterGround => current_a
                .filter(|a| a.is_finite() && *a > 0.0)
                .map_or(0.5, starter_drop_limit_v),
            Self::ChargingPositive => 0.5,
            Self::ChargingGround => 0.2,
            Self::Connection => 0.05,
        }
    }
}

impl FromStr for DropPlace {
    type Err = UnknownWord;
    fn from_str(text: &str) -> Result<Self, UnknownWord> {
        find_word(text, say::battery::word_place(), &Self::ALL, Self::as_str)
    }
}

impl fmt::Display for DropPlace {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.as_str())
    }
}

/// One reading of a drop.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DropTest {
    /// Where.
    pub place: DropPlace,
    /// Volt, with the meter's uncertainty.
    pub drop: Uncertain,
    /// Current that flowed, ampere, where it was read.
    pub current_a: Option<f64>,
}

/// What a drop says.
#[derive(Debug, Clone, PartialEq)]
pub struct DropJudgement {
    /// Largest drop there, volt.
    pub limit_v: f64,
    /// Probability that it is too large, by the meter's uncertainty.
    pub p_over: f64,
    /// One sentence.
    pub because: Message,
}

/// Judges one drop. The sign of the reading does not count: it says only how
/// the leads were held.
pub fn judge_drop(test: &DropTest) -> DropJudgement {
    let limit_v = test.place.limit_v(test.current_a);
    let drop_v = test.drop.value.abs();
    // 1 mV: no meter is exact.
    let p_over = normal_cdf((drop_v - limit_v) / test.drop.u.max(0.001));
    let (drop, limit, place) = (Volt(drop_v), Volt(limit_v), test.place.words());
    let because = match p_over {
        p if p > 0.75 => say::battery::drop_too_much(drop, limit, place),
        p if p < 0.25 => say::battery::drop_in_order(drop, limit, place),
        _ => say::battery::drop_too_close(drop, limit, place),
    };
    DropJudgement {
        limit_v,
        p_over,
        because,
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn judged(place: DropPlace, volt: f64, current_a: Option<f64>) -> DropJudgement {
        judge_drop(&DropTest {
            place,
            drop: Uncertain::new(volt, 0.01),
            current_a,
        })
    }

    #[test]
    fn published_limits() {
        // TM 10-3930-671-24 (US Army): 0.2 V for 100 A, so 0.4 V at 200 A.
        assert_eq!(DropPlace::StarterPositive.limit_v(Some(200.0)), 0.4);
        assert!(judged(DropPlace::StarterPositive, 0.55, Some(200.0)).p_over > 0.99);
        // Without the current 0.5 V per leg.
        assert!(judged(DropPlace::StarterGround, 0.3, None).p_over < 0.01);
        assert!(judged(DropPlace::ChargingGround, 0.31, None).p_over > 0.99);
        assert!(judged(DropPlace::Connection, -0.2, None).p_over > 0.99);
        let close = judged(DropPlace::ChargingGround, 0.2, None);
        assert!(close.because.contains("too close"), "{close:?}");
        for place in DropPlace::ALL {
            assert_eq!(place.as_str().parse(), Ok(place));
        }
    }

    proptest! {
        #[test]
        fn a_larger_drop_is_never_less_suspect(a in 0.0..2.0_f64, b in 0.0..2.0_f64) {
            for place in DropPlace::ALL {
                let p = |volt| judged(place, volt, None).p_over;
                prop_assert!(p(a.max(b)) >= p(a.min(b)));
            }
        }
    }
}
