//! What an instrument's maker promises, and what a reading is therefore worth.
//!
//! A specification ±(percent of reading + digits) is a rectangular
//! distribution of that half width (JCGM 100:2008, 4.3.7), the last digit
//! shown another of half a step (F.2.2.1), and the zero of a clamp, which
//! wanders with place and temperature, a third of its own. The components stay
//! listed in a [`Reading`], so that whoever uses it can say where its width
//! comes from and leave out what two readings have in common.

use std::{fmt, str::FromStr};
use tongue::{Message, say};

use crate::{
    Uncertain,
    range::{self, OutOfRange},
};

pub use crate::generic::{CLASSES, Class};

/// What kind of instrument it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum InstrumentKind {
    /// Direct-current clamp around a cable.
    Clamp,
    /// Ammeter in the circuit, its input in series.
    InLine,
    /// Voltmeter on its millivolt range, across a fuse.
    Millivolt,
    /// Voltmeter on the battery.
    Voltmeter,
    /// Battery analyser (conductance or pulse load).
    Analyser,
}

/// How a current reading was taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum How {
    /// Clamp around the cable; shows ampere.
    Clamp,
    /// Ammeter in series; shows ampere.
    InLine,
    /// Voltage across the fuse, to be divided by its resistance; shows volt.
    Millivolt,
    /// Voltage across a known shunt, to be divided by its resistance; shows volt.
    Shunt,
}

/// A word that names none of the known things.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UnknownWord {
    /// What it should have named: "kind of instrument".
    pub what: &'static str,
    /// The word as written.
    pub word: String,
    /// The words that would do.
    pub known: Vec<&'static str>,
}

impl fmt::Display for UnknownWord {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        say::measure::unknown_word(
            self.known.join(", "),
            crate::names::name(self.what),
            &self.word,
        )
        .fmt(f)
    }
}

impl std::error::Error for UnknownWord {}

macro_rules! words {
    ($type:ident, $what:literal, $($variant:ident = $word:literal),+) => {
        impl $type {
            /// All of them, in the order of their definition.
            pub const ALL: &'static [Self] = &[$(Self::$variant),+];

            /// The word for it in job files.
            pub fn as_str(self) -> &'static str {
                match self { $(Self::$variant => $word),+ }
            }
        }

        impl FromStr for $type {
            type Err = UnknownWord;
            fn from_str(word: &str) -> Result<Self, UnknownWord> {
                Self::ALL.iter().copied().find(|known| known.as_str() == word).ok_or_else(|| {
                    UnknownWord {
                        what: $what,
                        word: word.into(),
                        known: Self::ALL.iter().map(|known| known.as_str()).collect(),
                    }
                })
            }
        }

        impl fmt::Display for $type {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.pad(self.as_str())
            }
        }
    };
}

words!(
    InstrumentKind,
    "kind of instrument",
    Clamp = "clamp",
    InLine = "in-line",
    Millivolt = "millivolt",
    Voltmeter = "voltmeter",
    Analyser = "analyser"
);
words!(
    How,
    "way to read a current",
    Clamp = "clamp",
    InLine = "in-line",
    Millivolt = "millivolt",
    Shunt = "shunt"
);

impl How {
    /// The kind of instrument that reads this way.
    pub fn instrument(self) -> InstrumentKind {
        match self {
            Self::Clamp => InstrumentKind::Clamp,
            Self::InLine => InstrumentKind::InLine,
            Self::Millivolt | Self::Shunt => InstrumentKind::Millivolt,
        }
    }

    /// Whether the instrument shows a voltage, not a current.
    pub fn shows_volt(self) -> bool {
        matches!(self, Self::Millivolt | Self::Shunt)
    }
}

/// One instrument's specification. Currents in ampere, voltages in volt.
#[derive(Debug, Clone, PartialEq)]
pub struct Instrument {
    /// The person's own name for it.
    pub id: String,
    /// What it is.
    pub kind: InstrumentKind,
    /// Accuracy, percent of reading.
    pub accuracy_percent: f64,
    /// Accuracy, counts of the last digit.
    pub digits: f64,
    /// Smallest step shown, ampere or volt by kind; `None` if not stated, and
    /// then that of the generic class of its kind.
    pub resolution: Option<f64>,
    /// Whether its zero is set just before each reading, with nothing to read: a clamp's beside
    /// the cable, a voltmeter's (its relative key, or in the head) with both probes on one contact.
    pub zero_set: bool,
}

/// What makes a reading uncertain.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Source {
    /// The maker's ±(percent of reading + digits).
    Accuracy,
    /// The last digit shown.
    Resolution,
    /// The clamp's zero, which wanders.
    ClampZero,
    /// Where the cable lies in the clamp's jaws.
    ClampPosition,
    /// Voltages at the probe tips, where unlike metals are not equally warm.
    ThermalVoltage,
}

impl Source {
    /// A few words for people.
    pub const fn words(self) -> Message {
        match self {
            Self::Accuracy => say::measure::part_accuracy(),
            Self::Resolution => say::measure::part_resolution(),
            Self::ClampZero => say::measure::part_clamp_zero(),
            Self::ClampPosition => say::measure::part_clamp_position(),
            Self::ThermalVoltage => say::measure::part_thermal_voltage(),
        }
    }
}

/// One component of uncertainty, rectangular, in the unit shown.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Component {
    /// Where it comes from.
    pub source: Source,
    /// Half width: the error lies within ± this.
    pub half_width: f64,
}

impl Component {
    /// Standard uncertainty, half width / √3 (JCGM 100:2008, 4.3.7).
    pub fn u(self) -> f64 {
        self.half_width / 3.0_f64.sqrt()
    }
}

/// What an instrument showed and what that is worth, in the unit it shows
/// (see [`How`]).
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// The amount shown with its combined standard uncertainty.
    pub value: Uncertain,
    /// What the uncertainty is made of, largest first.
    pub components: Vec<Component>,
}

impl Reading {
    fn combine(shown: f64, mut components: Vec<Component>) -> Self {
        components.retain(|part| part.half_width > 0.0);
        components.sort_by(|a, b| b.half_width.total_cmp(&a.half_width));
        let u = components
            .iter()
            .map(|part| part.u().powi(2))
            .sum::<f64>()
            .sqrt();
        Self {
            value: Uncertain::new(shown, u),
            components,
        }
    }
}

/// Time in which a clamp's zero wanders by its stated amount, minutes
/// (from memory: 5 to 20 mA in 10 minutes for a low-range clamp).
const ZERO_DRIFT_MINUTES: f64 = 10.0;

/// Minutes since the zero was set, where it is set before each reading (common practice).
const ZERO_AGE_MINUTES: f64 = 1.0;

/// Counts of a specification that stay once the zero was set: they stand for offset,
/// flicker and unevenness of the scale, and near zero the offset is most of them (from memory;
/// the last digit of the zero itself counts separately).
const COUNTS_AFTER_ZERO: f64 = 1.0;

/// Half width of thermal voltages at two probe tips on fuse contacts, volt
/// (from memory: a few µV/K between copper and plated brass, a few kelvin).
const THERMAL_V: f64 = 10e-6;

/// Detection limit in standard uncertainties of a reading of nothing: what is
/// there is then noticed with 95 % probability, while nothing is taken for
/// something with 5 % (Currie 1968, "Limits for qualitative detection and
/// quantitative determination", Analytical Chemistry 40, 586: L_D = 3.29 σ;
/// the minimum detectable value of ISO 11843-1; both from memory).
pub const DETECTION: f64 = 3.29;

impl Instrument {
    /// An instrument of which only the kind is known, with the specification
    /// of the ordinary class of its kind (see [`CLASSES`]).
    pub fn generic(kind: InstrumentKind) -> Self {
        Class::ordinary(kind).instrument()
    }

    /// Refuses impossible specifications.
    ///
    /// # Errors
    /// The first number outside its limits.
    pub fn check(&self) -> Result<(), OutOfRange> {
        range::ACCURACY.check(self.accuracy_percent)?;
        range::DIGITS.check(self.digits)?;
        self.resolution
            .map_or(Ok(0.0), |step| range::RESOLUTION.check(step))?;
        Ok(())
    }

    /// Whether a reading can be taken that way with this instrument.
    pub fn suits(&self, how: How) -> bool {
        let voltmeter = matches!(
            self.kind,
            InstrumentKind::Millivolt | InstrumentKind::Voltmeter
        );
        self.kind == how.instrument() || (voltmeter && how.shows_volt())
    }

    /// Smallest step shown, stated or that of the generic class.
    pub fn step(&self) -> f64 {
        self.resolution
            .unwrap_or(Class::ordinary(self.kind).resolution)
    }

    /// What a current reading is worth; `shown` in ampere or volt, as
    /// [`How`] says. Unusable numbers give an unusable reading, not a panic.
    pub fn reading(&self, how: How, shown: f64) -> Reading {
        let mut components = self.display(shown);
        match how {
            How::Clamp => {
                let class = self.class();
                let apart = if self.zero_set {
                    ZERO_AGE_MINUTES / ZERO_DRIFT_MINUTES
                } else {
                    1.0
                };
                components.push(part(Source::ClampZero, class.zero_drift_a * apart));
                let position = shown.abs() * class.position_percent / 100.0;
                components.push(part(Source::ClampPosition, position));
            }
            How::Millivolt | How::Shunt => components.push(part(Source::ThermalVoltage, THERMAL_V)),
            How::InLine => {}
        }
        Reading::combine(shown, components)
    }

    /// What a reading of a voltmeter or an analyser is worth: accuracy and
    /// last digit alone.
    pub fn plain_reading(&self, shown: f64) -> Reading {
        Reading::combine(shown, self.display(shown))
    }

    /// What the difference `after` − `before` of two readings of the same
    /// instrument is worth, taken `minutes` apart without moving it.
    ///
    /// What both have in common cancels (JCGM 100:2008, 5.2.2): the percentage
    /// acts on the difference alone, and a clamp's zero only wanders for as
    /// long as the readings are apart, at most by its full amount. Both last
    /// digits count. The counts of accuracy are kept once: they may be
    /// unevenness of the scale, which does not cancel.
    pub fn difference(&self, how: How, before: f64, after: f64, minutes: f64) -> Reading {
        let shown = after - before;
        let mut reading = self.reading(how, shown);
        let apart = (minutes.abs() / ZERO_DRIFT_MINUTES).min(1.0);
        for component in &mut reading.components {
            match component.source {
                // Both readings have the digit of the same zero, if one was set.
                Source::Resolution => component.half_width = self.step() / 2.0_f64.sqrt(),
                Source::ClampZero => {
                    component.half_width = self.class().zero_drift_a * apart;
                }
                Source::Accuracy | Source::ClampPosition | Source::ThermalVoltage => {}
            }
        }
        Reading::combine(shown, reading.components)
    }

    /// Detection floor in ampere: the smallest draw that this instrument,
    /// used this way, tells from none with 95 % probability while calling
    /// nothing a draw in 5 % of cases ([`DETECTION`] standard uncertainties of
    /// a reading of zero).
    ///
    /// `resistance_ohm` is that of the fuse or shunt; `None` comes back when a
    /// voltage reading lacks it or it is not positive.
    pub fn floor_a(&self, how: How, resistance_ohm: Option<f64>) -> Option<f64> {
        let floor = DETECTION * self.reading(how, 0.0).value.u;
        if !how.shows_volt() {
            return Some(floor);
        }
        resistance_ohm
            .filter(|&ohm| ohm > 0.0)
            .map(|ohm| floor / ohm)
    }

    fn display(&self, shown: f64) -> Vec<Component> {
        let step = self.step();
        let (digits, last) = if self.zero_set {
            // What is read is a difference, that of the zero the other end.
            (self.digits.min(COUNTS_AFTER_ZERO), step / 2.0_f64.sqrt())
        } else {
            (self.digits, step / 2.0)
        };
        let accuracy = shown.abs() * self.accuracy_percent / 100.0 + digits * step;
        vec![
            part(Source::Accuracy, accuracy),
            part(Source::Resolution, last),
        ]
    }

    /// The class of clamps that show about as fine a step: it stands in for
    /// what the specification does not say.
    fn class(&self) -> &'static Class {
        Class::like(InstrumentKind::Clamp, self.resolution)
    }
}

fn part(source: Source, half_width: f64) -> Component {
    Component { source, half_width }
}

#[cfg(test)]
mod tests;
