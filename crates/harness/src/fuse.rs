//! Fuses as shunts: what the millivolts across one say about its current.
//!
//! Resistances are typical values from memory with a wide tolerance, each fuse
//! of a family sharing part of it; they suit an estimate, and a suspect
//! circuit wants a second method.

use std::{fmt, str::FromStr, sync::LazyLock};

use measure::{Uncertain, hookup, range};
use tongue::say;

use crate::closest;

/// Shape of a fuse.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum FuseFamily {
    /// Regular blade (ISO 8820-3, type C).
    Blade,
    /// Miniature blade (ISO 8820-3, type F).
    Mini,
    /// Miniature blade of low profile.
    LowProfileMini,
    /// Micro blade with two legs.
    Micro2,
    /// Micro blade with three legs, two fuses in one.
    Micro3,
    /// Large blade (ISO 8820-3, type E).
    Maxi,
    /// Cartridge with sockets.
    Cartridge,
}

/// A word that names no fuse family.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UnknownFuse {
    /// The word as written.
    pub word: String,
}

impl fmt::Display for UnknownFuse {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let known = FuseFamily::ALL.map(FuseFamily::as_str);
        match closest(&self.word, known.iter().map(|name| (*name, *name))) {
            Some(near) => say::harness::no_fuse_family(near, &self.word),
            None => say::harness::no_fuse_family_known(known.join(", "), &self.word),
        }
        .fmt(f)
    }
}

impl std::error::Error for UnknownFuse {}

impl FuseFamily {
    /// All of them.
    pub const ALL: [Self; 7] = [
        Self::Blade,
        Self::Mini,
        Self::LowProfileMini,
        Self::Micro2,
        Self::Micro3,
        Self::Maxi,
        Self::Cartridge,
    ];

    /// The word for it in job files.
    pub fn as_str(self) -> &'static str {
        match self {
            Self::Blade => "blade",
            Self::Mini => "mini",
            Self::LowProfileMini => "low-profile-mini",
            Self::Micro2 => "micro2",
            Self::Micro3 => "micro3",
            Self::Maxi => "maxi",
            Self::Cartridge => "cartridge",
        }
    }
}

impl fmt::Display for FuseFamily {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.as_str())
    }
}

impl FromStr for FuseFamily {
    type Err = UnknownFuse;

    fn from_str(word: &str) -> Result<Self, UnknownFuse> {
        match word {
            "regular" => return Ok(Self::Blade),
            "micro" => return Ok(Self::Micro2),
            _ => {}
        }
        let known = Self::ALL.into_iter().find(|family| family.as_str() == word);
        known.ok_or_else(|| UnknownFuse { word: word.into() })
    }
}

/// Where a fuse's resistance was taken from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Basis {
    /// The row of its family and rating.
    Table,
    /// A curve through the regular blades, since its family or rating is not known.
    Fit,
}

/// What is known of a fuse's resistance when cold.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Resistance {
    /// Ohm at the temperature asked for, tolerance and temperature in its uncertainty.
    pub ohm: Uncertain,
    /// Half width of the rectangular tolerance, relative, without temperature.
    pub tolerance: f64,
    /// Where it comes from.
    pub basis: Basis,
}

/// Curve through the regular blades, ohm at 1 A and its exponent (reference
/// set, computed from the remembered table, within 5 %).
const FIT: (f64, f64) = (122.7e-3, -1.208);

/// Half width of the curve for a family or rating that nobody knows, relative
/// (from memory: families of one rating differ by up to a fifth, ratings
/// outside 1 to 40 A are extrapolated).
const FIT_TOLERANCE: f64 = 0.35;

/// Temperature at which the table holds, °C (from memory).
const TABLE_C: f64 = 25.0;

/// Temperature coefficient of the fuse metal, zinc, per kelvin (from memory).
const PER_KELVIN: f64 = 0.0038;

/// How far a fuse may be from [`TABLE_C`] when nobody says, kelvin, half width
/// (common practice).
const UNKNOWN_K: f64 = 15.0;

/// Resistance at rated current over the cold one (reference set: 1.3 to 1.5,
/// from memory).
const HOT: f64 = 1.4;

/// The cold resistance of a fuse of a rating in ampere, of a family or of
/// none known, at a temperature in °C or at a workshop's.
///
/// `None` for an impossible rating.
pub fn resistance(
    family: Option<FuseFamily>,
    rating_a: f64,
    temperature_c: Option<f64>,
) -> Option<Resistance> {
    let rating_a = range::FUSE_RATING.check(rating_a).ok()?;
    let row = family.and_then(|family| {
        // Ratings are written to one decimal, so a hundredth tells them apart.
        TABLE
            .iter()
            .find(|row| row.family == family && (row.rating_a - rating_a).abs() < 0.01)
    });
    let (cold, tolerance, basis) = match row {
        Some(row) => (row.ohm, row.half_width, Basis::Table),
        None => (FIT.0 * rating_a.powf(FIT.1), FIT_TOLERANCE, Basis::Fit),
    };
    let (factor, spread) = match temperature_c {
        Some(celsius) => (1.0 + PER_KELVIN * (celsius - TABLE_C), 0.0),
        None => (1.0, PER_KELVIN * UNKNOWN_K),
    };
    let ohm = cold * factor;
    let warm = Uncertain::rectangular(ohm, ohm * spread);
    let ohm = warm.widened(Uncertain::rectangular(0.0, ohm * tolerance).u);
    Some(Resistance {
        ohm,
        tolerance,
        basis,
    })
}

/// The current in ampere that a voltage across a fuse stands for.
///
/// At a fifth of its rating and below, a fuse is as good as cold; above, its
/// element warms, and the resistance grows with the square of the current to
/// 1.4 times at the rating (from memory). `None` for an impossible rating.
pub fn current_from_drop(
    drop_v: Uncertain,
    family: Option<FuseFamily>,
    rating_a: f64,
) -> Option<Uncertain> {
    let cold = resistance(family, rating_a, None)?.ohm;
    Some(current_through(drop_v, cold, rating_a))
}

/// The same for a fuse whose cold resistance is known otherwise (see
/// [`Calibration`](crate::calibrate::Calibration)), ohm.
pub fn current_through(drop_v: Uncertain, cold: Uncertain, rating_a: f64) -> Uncertain {
    let current = hookup::current_a(drop_v, cold);
    let heating = heating_at(current.value / rating_a);
    current.times(heating.recip())
}

/// The factor by which a fuse's resistance has grown at a current, 1 or more.
pub(crate) fn heating(current_a: f64, rating_a: f64) -> f64 {
    1.0 + (HOT - 1.0) * (current_a / rating_a).powi(2)
}

/// The current of one step of a voltmeter across a fuse, ampere: below that
/// its display does not move. `None` for an impossible rating.
pub fn step_a(resolution_v: f64, family: Option<FuseFamily>, rating_a: f64) -> Option<f64> {
    Some(resolution_v / resistance(family, rating_a, None)?.ohm.value)
}

/// The factor h ≥ 1 by which a fuse has warmed when the cold resistance alone
/// would make its current `x` ratings: h = 1 + (HOT − 1)(x/h)².
fn heating_at(x: f64) -> f64 {
    // The left side rises and the right side falls in h, so there is one root,
    // between 1 and the right side at 1. Bisection to the last bit.
    let (mut low, mut high) = (1.0, 1.0 + (HOT - 1.0) * x * x);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if middle < 1.0 + (HOT - 1.0) * (x / middle).powi(2) {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

struct Row {
    family: FuseFamily,
    rating_a: f64,
    ohm: f64,
    #[cfg_attr(not(test), expect(dead_code, reason = "checks the warming"))]
    drop_v: Option<f64>,
    half_width: f64,
}

// A row that cannot be read is left out; a test counts them.
static TABLE: LazyLock<Vec<Row>> = LazyLock::new(|| {
    include_str!("../data/fuses.csv")
        .lines()
        .filter_map(row)
        .collect()
});

fn row(line: &str) -> Option<Row> {
    let mut fields = line.split(',');
    let family = fields.next()?.parse().ok()?;
    let rating_a = fields.next()?.parse().ok()?;
    let ohm = fields.next()?.parse::<f64>().ok()? * 1e-3;
    let drop_v = fields.next()?.parse::<f64>().ok().map(|mv| mv * 1e-3);
    let half_width = fields.next()?.parse().ok()?;
    Some(Row {
        family,
        rating_a,
        ohm,
        drop_v,
        half_width,
    })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn current(millivolt: f64, family: FuseFamily, rating_a: f64) -> f64 {
        let drop = Uncertain::exact(millivolt * 1e-3);
        current_from_drop(drop, Some(family), rating_a)
            .unwrap()
            .value
    }

    #[test]
    fn every_row_of_the_table_is_read() {
        let text = include_str!("../data/fuses.csv");
        let rows = text.lines().filter(|line| !line.starts_with('#')).count() - 1;
        assert_eq!(TABLE.len(), rows);
        assert_eq!(rows, 54);
        for family in FuseFamily::ALL {
            let mut rows: Vec<_> = TABLE.iter().filter(|row| row.family == family).collect();
            rows.sort_by(|a, b| a.rating_a.total_cmp(&b.rating_a));
            assert!(rows.len() >= 4, "{family}");
            // A bigger fuse always has the lesser resistance.
            assert!(
                rows.windows(2).all(|pair| pair[1].ohm < pair[0].ohm),
                "{family}"
            );
        }
    }

    #[test]
    fn published_cross_checks() {
        // MVW Autotechniek, 'Voltage drop over fuses', numeric example: 1 mV across a
        // regular 10 A fuse is 130 mA.
        assert!((current(1.0, FuseFamily::Blade, 10.0) / 0.130 - 1.0).abs() < 0.01);
        // MACS Service Reports, June 2017, article on fuses, figure 13: across a 15 A mini
        // fuse 0.1 mV is 22 mA and 1 mV is 218 mA.
        assert!((current(0.1, FuseFamily::Mini, 15.0) / 0.022 - 1.0).abs() < 0.01);
        assert!((current(1.0, FuseFamily::Mini, 15.0) / 0.218 - 1.0).abs() < 0.01);
    }

    #[test]
    fn one_step_of_a_tenth_of_a_millivolt() {
        // Reference set, fuse-resolution-floor (computed).
        for (rating, milliampere) in [(5.0, 5.602), (10.0, 12.99), (30.0, 50.76)] {
            let step = step_a(1e-4, Some(FuseFamily::Blade), rating).unwrap();
            assert!((step * 1e3 - milliampere).abs() < 0.01, "{rating}: {step}");
        }
    }

    #[test]
    fn warm_fuses_agree_with_the_drop_at_their_rating() {
        // The table's own drop at rated current, from memory like the rest: it implies 1.3 to
        // 1.55 where we take 1.4, so the currents agree to about a seventh.
        for row in TABLE.iter() {
            let Some(drop_v) = row.drop_v else { continue };
            let drop = Uncertain::exact(drop_v);
            let ampere = current_from_drop(drop, Some(row.family), row.rating_a)
                .unwrap()
                .value;
            let ratio = ampere / row.rating_a;
            assert!(
                (ratio - 1.0).abs() < 0.15,
                "{} {} A: {ratio}",
                row.family,
                row.rating_a
            );
        }
    }

    #[test]
    fn an_unknown_fuse_gets_the_curve_and_a_wide_band() {
        let known = resistance(Some(FuseFamily::Blade), 15.0, None).unwrap();
        let unknown = resistance(None, 15.0, None).unwrap();
        assert_eq!((known.basis, unknown.basis), (Basis::Table, Basis::Fit));
        assert!(unknown.ohm.u > 2.0 * known.ohm.u);
        // The curve stays within its own tolerance of every row of every family.
        for row in TABLE.iter() {
            let fit = resistance(None, row.rating_a, None).unwrap();
            assert!((row.ohm / fit.ohm.value - 1.0).abs() < fit.tolerance);
            // And within the 5 % that the reference set claims for regular blades.
            if row.family == FuseFamily::Blade {
                assert!(
                    (row.ohm / fit.ohm.value - 1.0).abs() < 0.055,
                    "{}",
                    row.rating_a
                );
            }
        }
        assert!(resistance(None, -15.0, None).is_none());
        assert!(resistance(None, f64::NAN, None).is_none());
    }

    #[test]
    fn a_known_temperature_narrows_the_band() {
        let family = Some(FuseFamily::Mini);
        let guessed = resistance(family, 10.0, None).unwrap().ohm;
        let cold = resistance(family, 10.0, Some(-5.0)).unwrap().ohm;
        assert!(cold.u < guessed.u && cold.value < guessed.value);
    }

    #[test]
    fn words_read_back_and_slips_get_a_hint() {
        for family in FuseFamily::ALL {
            assert_eq!(family.as_str().parse(), Ok(family));
        }
        assert_eq!("regular".parse(), Ok(FuseFamily::Blade));
        let error = "bladde".parse::<FuseFamily>().unwrap_err().to_string();
        assert_eq!(
            error,
            "'bladde' is not a fuse family; did you mean 'blade'?"
        );
    }

    proptest! {
        /// More millivolts are more current, a bigger fuse hides more of it, and a
        /// worse voltmeter never narrows the band.
        #[test]
        fn the_arithmetic_is_monotone(
            millivolt in 0.01..200.0_f64, more in 1.01..3.0_f64,
            rating in 1.0..100.0_f64, u in 0.0..1e-3_f64,
        ) {
            let at = |mv: f64, rating: f64, u: f64| {
                current_from_drop(Uncertain::new(mv * 1e-3, u), None, rating).unwrap()
            };
            let base = at(millivolt, rating, u);
            prop_assert!(at(millivolt * more, rating, u).value > base.value);
            prop_assert!(at(millivolt, rating * more, u).value > base.value);
            prop_assert!(at(millivolt, rating, u * more).u >= base.u);
            // Backwards gives the mirror image.
            prop_assert!((at(-millivolt, rating, u).value + base.value).abs() < 1e-12 * base.value);
        }

        #[test]
        fn nothing_panics(v in any::<f64>(), u in any::<f64>(), rating in any::<f64>()) {
            let _ = current_from_drop(Uncertain::new(v, u), Some(FuseFamily::Maxi), rating);
        }
    }
}
