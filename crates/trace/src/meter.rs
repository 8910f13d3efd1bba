//! The meter that wrote a log: what its accuracy adds to what the samples say.
//!
//! Scatter averages out over a night; a scale that reads 2 % high stays 2 % high. Rounding is not counted here: the samples
//! show it (see [`crate::noise`]).

use measure::{How, Instrument, Uncertain, instrument::Source};

/// An instrument and how it was connected.
#[derive(Debug, Clone, PartialEq)]
pub struct Meter {
    /// Which.
    pub instrument: Instrument,
    /// How; of use for [`How::Clamp`] and [`How::InLine`], which show ampere.
    pub how: How,
    /// Whether the clamp's zero was taken out by readings off the cable; its wandering is then counted there.
    pub zeroed: bool,
}

impl Meter {
    /// A meter as it is, its zero as it stands.
    pub fn new(instrument: Instrument, how: How) -> Self {
        Self {
            instrument,
            how,
            zeroed: false,
        }
    }

    /// Standard uncertainty, ampere, that the meter adds to a mean of `current_a`.
    pub fn u_of(&self, current_a: f64) -> f64 {
        self.combine(self.instrument.reading(self.how, current_a).components)
    }

    /// Standard uncertainty, ampere, that the meter adds to a change from one mean to another, `minutes` apart: what both
    /// have in common cancels ([`Instrument::difference`]).
    pub fn u_of_change(&self, from_a: f64, to_a: f64, minutes: f64) -> f64 {
        let difference = self.instrument.difference(self.how, from_a, to_a, minutes);
        self.combine(difference.components)
    }

    /// `mean` with what the meter adds.
    pub fn widen(&self, mean: Uncertain) -> Uncertain {
        mean.widened(self.u_of(mean.value))
    }

    fn combine(&self, components: Vec<measure::instrument::Component>) -> f64 {
        components
            .into_iter()
            .filter(|part| match part.source {
                Source::Resolution => false,
                Source::ClampZero => !self.zeroed,
                _ => true,
            })
            .map(|part| part.u().powi(2))
            .sum::<f64>()
            .sqrt()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use measure::InstrumentKind;

    #[test]
    fn accuracy_stays_and_the_last_digit_is_left_to_the_samples() {
        let instrument = Instrument {
            id: "logger".into(),
            kind: InstrumentKind::InLine,
            accuracy_percent: 1.0,
            digits: 3.0,
            resolution: Some(0.001),
            zero_set: false,
        };
        let meter = Meter::new(instrument, How::InLine);
        // ±(1 % of 400 mA + 3 mA) = ±7 mA, rectangular (JCGM 100:2008, 4.3.7).
        assert!((meter.u_of(0.4) - 0.007 / 3.0_f64.sqrt()).abs() < 1e-12);
        // A step of 100 mA: ±(1 mA + 3 mA), wherever it stands.
        assert!((meter.u_of_change(0.4, 0.3, 2.0) - 0.004 / 3.0_f64.sqrt()).abs() < 1e-12);
    }

    #[test]
    fn a_zero_that_was_taken_out_counts_no_more() {
        let clamp = Instrument::generic(InstrumentKind::Clamp);
        let plain = Meter::new(clamp, How::Clamp);
        let zeroed = Meter {
            zeroed: true,
            ..plain.clone()
        };
        // The ordinary clamp's zero wanders by ±10 mA.
        let lost = plain.u_of(0.05).powi(2) - zeroed.u_of(0.05).powi(2);
        assert!((lost - 0.01_f64.powi(2) / 3.0).abs() < 1e-12);
    }
}
