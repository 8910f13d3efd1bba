//! Ordinary instruments, for those whose specification nobody stated.

use tongue::{Message, say};

use crate::instrument::{Instrument, InstrumentKind};

/// A class of ordinary instruments. Currents in ampere, voltages in volt by
/// kind. All figures are from memory unless their class says otherwise; they
/// are meant to be typical, and a stated specification always beats them.
#[derive(Debug, Clone, Copy)]
pub struct Class {
    /// Short name.
    pub id: &'static str,
    /// What it is, for people.
    pub what: fn() -> Message,
    /// Kind of instrument.
    pub kind: InstrumentKind,
    /// Largest amount it shows.
    pub range: f64,
    /// Smallest step it shows.
    pub resolution: f64,
    /// Accuracy, percent of reading.
    pub accuracy_percent: f64,
    /// Accuracy, counts of the last digit.
    pub digits: f64,
    /// What it puts into the circuit in series, with its leads and fuse, ohm;
    /// 0 where nothing is in series.
    pub burden_ohm: f64,
    /// Half width within which a clamp's zero wanders in ten minutes, ampere.
    pub zero_drift_a: f64,
    /// Error by the cable's place in a clamp's jaws, ± percent of reading.
    pub position_percent: f64,
    /// Where the figures come from.
    pub source: &'static str,
}

/// A class with nothing particular about it, to spell out the others.
const PLAIN: Class = Class {
    id: "",
    what: || Message::plain(""),
    kind: InstrumentKind::InLine,
    range: 0.0,
    resolution: 0.0,
    accuracy_percent: 0.0,
    digits: 0.0,
    burden_ohm: 0.0,
    zero_drift_a: 0.0,
    position_percent: 0.0,
    source: "from memory",
};

/// The known classes; the first of a kind is the ordinary one.
pub const CLASSES: &[Class] = &[
    Class {
        id: "clamp-low",
        what: say::measure::class_clamp_low,
        kind: InstrumentKind::Clamp,
        range: 4.0,
        resolution: 0.001,
        accuracy_percent: 2.0,
        digits: 5.0,
        zero_drift_a: 0.010,
        position_percent: 1.0,
        source: "from memory; place in the jaws ±1.0 %: general-purpose AC/DC clamp meter manual \
                 (40 A / 1000 A)",
        ..PLAIN
    },
    Class {
        id: "clamp-high",
        what: say::measure::class_clamp_high,
        kind: InstrumentKind::Clamp,
        range: 40.0,
        resolution: 0.01,
        accuracy_percent: 2.5,
        digits: 5.0,
        zero_drift_a: 0.05,
        position_percent: 1.0,
        source: "from memory; place in the jaws ±1.0 %: general-purpose AC/DC clamp meter manual \
                 (40 A / 1000 A)",
        ..PLAIN
    },
    Class {
        id: "dmm-10A-fine",
        what: say::measure::class_ten_a_fine,
        range: 10.0,
        resolution: 0.001,
        accuracy_percent: 0.5,
        digits: 5.0,
        burden_ohm: 0.03,
        ..PLAIN
    },
    Class {
        id: "dmm-10A",
        what: say::measure::class_ten_a,
        range: 10.0,
        resolution: 0.01,
        accuracy_percent: 1.0,
        digits: 3.0,
        burden_ohm: 0.03,
        source: "from memory; 10 mΩ of the burden and 15 s at 10 A: general-purpose handheld \
                 multimeter manual (600 mA / 10 A inputs)",
        ..PLAIN
    },
    Class {
        id: "dmm-400mA",
        what: say::measure::class_ma,
        range: 0.4,
        resolution: 0.0001,
        accuracy_percent: 0.5,
        digits: 3.0,
        burden_ohm: 2.0,
        source: "from memory; 1 Ω of the burden: general-purpose handheld multimeter manual \
                 (600 mA / 10 A inputs)",
        ..PLAIN
    },
    Class {
        id: "dmm-mV",
        what: say::measure::class_mv,
        kind: InstrumentKind::Millivolt,
        range: 0.6,
        resolution: 0.0001,
        accuracy_percent: 0.5,
        digits: 3.0,
        ..PLAIN
    },
    Class {
        id: "dmm-mV-fine",
        what: say::measure::class_mv_fine,
        kind: InstrumentKind::Millivolt,
        range: 0.06,
        resolution: 0.000_01,
        accuracy_percent: 0.1,
        digits: 10.0,
        ..PLAIN
    },
    Class {
        id: "dmm-20V",
        what: say::measure::class_volt,
        kind: InstrumentKind::Voltmeter,
        range: 20.0,
        resolution: 0.01,
        accuracy_percent: 0.5,
        digits: 2.0,
        ..PLAIN
    },
    Class {
        id: "analyser",
        what: say::measure::class_analyser,
        kind: InstrumentKind::Analyser,
        range: 2000.0,
        resolution: 1.0,
        accuracy_percent: 5.0,
        digits: 1.0,
        ..PLAIN
    },
];

impl Class {
    /// The ordinary class of a kind: the first listed.
    pub fn ordinary(kind: InstrumentKind) -> &'static Self {
        Self::like(kind, None)
    }

    /// The class of a kind whose step is nearest to `resolution` by ratio;
    /// the ordinary one when it is not known.
    pub fn like(kind: InstrumentKind, resolution: Option<f64>) -> &'static Self {
        let mut best = &PLAIN;
        let mut distance = f64::INFINITY;
        for class in CLASSES.iter().filter(|class| class.kind == kind) {
            let wanted = resolution
                .filter(|&step| step > 0.0)
                .unwrap_or(class.resolution);
            let ratio = (wanted / class.resolution).ln().abs();
            if ratio < distance {
                (best, distance) = (class, ratio);
            }
        }
        best
    }

    /// An instrument of this class, named after it.
    pub fn instrument(&self) -> Instrument {
        Instrument {
            id: self.id.into(),
            kind: self.kind,
            accuracy_percent: self.accuracy_percent,
            digits: self.digits,
            resolution: Some(self.resolution),
            zero_set: false,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_has_an_ordinary_class_that_passes_its_own_check() {
        for &kind in InstrumentKind::ALL {
            let class = Class::ordinary(kind);
            assert_eq!(class.kind, kind);
            assert!(!class.id.is_empty(), "{kind}");
        }
        for class in CLASSES {
            assert_eq!(class.instrument().check(), Ok(()), "{}", class.id);
            assert!(class.range > class.resolution && !class.source.is_empty());
        }
    }

    #[test]
    fn the_step_picks_the_class() {
        let like = |kind, step| Class::like(kind, Some(step)).id;
        assert_eq!(like(InstrumentKind::InLine, 0.01), "dmm-10A");
        assert_eq!(like(InstrumentKind::InLine, 0.001), "dmm-10A-fine");
        assert_eq!(like(InstrumentKind::InLine, 1e-5), "dmm-400mA");
        assert_eq!(like(InstrumentKind::Millivolt, 1e-5), "dmm-mV-fine");
        assert_eq!(Class::ordinary(InstrumentKind::Clamp).id, "clamp-low");
    }
}
