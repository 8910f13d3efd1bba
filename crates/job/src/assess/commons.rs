//! Errors that readings have in common: the scale of one meter, the zero of one clamp, the
//! resistance of fuses of one kind.
//!
//! They are parts of the readings' uncertainties, told apart so that the belief knows what
//! cancels between readings and what does not.

use std::collections::BTreeMap;

use diagnosis::SharedError;
use harness::{
    NodeSpec,
    fuse::{self, FuseFamily},
};
use jiff::{SignedDuration, Timestamp};
use measure::{How, Instrument, instrument::Source};

/// A clamp's zero is the same one for readings no further apart than this; then it has
/// wandered by its stated amount (from memory: 5 to 20 mA in 10 minutes).
const SAME_ZERO: SignedDuration = SignedDuration::from_mins(10);

/// The part of the variance of a fuse's resistance, tolerance alone, that fuses of its family
/// in one vehicle share, being of one make (from memory).
const FAMILY_PART: f64 = 0.5;

/// What readings have in common.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
enum Common {
    /// The percentage of an instrument's accuracy.
    Scale(String),
    /// A clamp's zero, numbered by spells of use.
    Zero(String, usize),
    /// How far the resistance of a family's fuses lies from its table.
    Fuses(Option<FuseFamily>),
    /// How far the fuses are from the table's temperature.
    FuseTemperature,
}

/// Parts of one reading's uncertainty that others may share, ampere.
#[derive(Debug, Clone, Default)]
pub(super) struct Parts(Vec<(Common, f64)>);

/// All that has been read so far.
#[derive(Debug, Default)]
pub(super) struct Commons {
    found: BTreeMap<Common, Vec<(usize, f64)>>,
    /// By clamp: its last use, and the number of its zero.
    zeros: BTreeMap<String, (Timestamp, usize)>,
}

impl Commons {
    /// What a reading of `current_a` through a node has in common with others.
    pub(super) fn of_reading(
        &mut self,
        instrument: &Instrument,
        how: How,
        current_a: f64,
        spec: &NodeSpec,
        at: Timestamp,
    ) -> Parts {
        let mut parts = of_scale(instrument, current_a);
        // A zero that is set before each reading is nobody else's.
        if how == How::Clamp && !instrument.zero_set {
            let zero = instrument.reading(how, current_a).components;
            let zero = zero.iter().find(|part| part.source == Source::ClampZero);
            let spell = self.spell(&instrument.id, at);
            let zero_a = zero.map_or(0.0, |part| part.u());
            parts
                .0
                .push((Common::Zero(instrument.id.clone(), spell), zero_a));
        }
        if how == How::Millivolt {
            parts.0.extend(of_fuse(spec, current_a));
        }
        parts
    }

    /// Notes what the reading at this place of the list of evidence has in common.
    pub(super) fn note(&mut self, reading: usize, parts: Parts) {
        for (common, u_a) in parts.0.into_iter().filter(|part| part.1 != 0.0) {
            self.found.entry(common).or_default().push((reading, u_a));
        }
    }

    /// Those that more than one reading has.
    pub(super) fn shared(self) -> Vec<SharedError> {
        let found = self.found.into_values().filter(|parts| parts.len() > 1);
        found.map(|parts| SharedError { parts }).collect()
    }

    fn spell(&mut self, id: &str, at: Timestamp) -> usize {
        let (last, spell) = self.zeros.entry(id.into()).or_insert((at, 0));
        if at.duration_since(*last).abs() > SAME_ZERO {
            *spell += 1;
        }
        *last = at;
        *spell
    }
}

/// The scale of an instrument that shows a current or its change.
pub(super) fn of_scale(instrument: &Instrument, current_a: f64) -> Parts {
    // Half width of a rectangle, as everywhere in a maker's accuracy.
    let share = instrument.accuracy_percent / 100.0 / 3.0_f64.sqrt();
    Parts(vec![(
        Common::Scale(instrument.id.clone()),
        share * current_a,
    )])
}

fn of_fuse(spec: &NodeSpec, current_a: f64) -> Vec<(Common, f64)> {
    let family = spec.fuse.as_deref().and_then(|word| word.parse().ok());
    let known = |temperature_c| {
        let rating_a = spec.rating_a?;
        fuse::resistance(family, rating_a, temperature_c)
    };
    // With and without an unknown temperature: what it adds is what it does.
    let (Some(warm), Some(cold)) = (known(None), known(Some(TABLE_C))) else {
        return Vec::new();
    };
    let relative = |r: fuse::Resistance| r.ohm.u / r.ohm.value;
    let temperature = (relative(warm).powi(2) - relative(cold).powi(2)).max(0.0);
    vec![
        (
            Common::Fuses(family),
            FAMILY_PART.sqrt() * relative(cold) * current_a,
        ),
        (Common::FuseTemperature, temperature.sqrt() * current_a),
    ]
}

/// Any temperature that is stated tells the tolerance alone.
const TABLE_C: f64 = 25.0;

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "tests may stop")]

    use harness::NodeKind;
    use measure::InstrumentKind;

    use super::*;

    fn at(minute: i64) -> Timestamp {
        Timestamp::from_second(60 * minute).unwrap()
    }

    fn blade(rating_a: f64) -> NodeSpec {
        let mut spec = NodeSpec::new("F1", "battery", NodeKind::Fuse);
        spec.rating_a = Some(rating_a);
        spec.fuse = Some("blade".into());
        spec
    }

    #[test]
    fn parts_do_not_exceed_the_whole() {
        for (kind, how) in [
            (InstrumentKind::Clamp, How::Clamp),
            (InstrumentKind::Millivolt, How::Millivolt),
        ] {
            let meter = Instrument::generic(kind);
            let (current_a, spec) = (0.4, blade(15.0));
            let parts = Commons::default().of_reading(&meter, how, current_a, &spec, at(0));
            let shared: f64 = parts.0.iter().map(|part| part.1.powi(2)).sum();
            let whole = match how {
                How::Millivolt => {
                    let ohm = fuse::resistance(Some(FuseFamily::Blade), 15.0, None)
                        .unwrap()
                        .ohm;
                    let drop = meter.reading(how, current_a * ohm.value).value;
                    fuse::current_from_drop(drop, Some(FuseFamily::Blade), 15.0)
                        .unwrap()
                        .u
                }
                _ => meter.reading(how, current_a).value.u,
            };
            assert!(shared > 0.0 && shared.sqrt() < whole, "{shared} {whole}");
        }
    }

    #[test]
    fn a_clamp_keeps_its_zero_for_ten_minutes() {
        let clamp = Instrument::generic(InstrumentKind::Clamp);
        let mut commons = Commons::default();
        for (reading, minute) in [0, 5, 14, 40].into_iter().enumerate() {
            let parts = commons.of_reading(&clamp, How::Clamp, 0.1, &blade(15.0), at(minute));
            commons.note(reading, parts);
        }
        let zeros: Vec<usize> = commons
            .found
            .iter()
            .filter(|(common, _)| matches!(common, Common::Zero(..)))
            .map(|(_, parts)| parts.len())
            .collect();
        assert_eq!(zeros, [3, 1]);
        // The scale, and the first zero.
        assert_eq!(commons.shared().len(), 2);
    }
}
