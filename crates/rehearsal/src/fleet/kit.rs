//! The meters of whoever comes to a virtual vehicle, as they really are.

use measure::{How, Instrument, InstrumentKind, instrument::Class};
use rand::RngExt;
use rand_distr::{Distribution, StandardNormal};
use rand_pcg::Pcg64Mcg;

/// A meter with the errors that its maker allows. Ampere; volt for one on its
/// millivolt range.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Meter {
    /// Largest amount shown; more is over range.
    pub range: f64,
    /// Smallest step shown.
    pub step: f64,
    /// Scale error: 0.01 reads 1 % too high. Within the accuracy of its class.
    pub scale_error: f64,
    /// Zero error that stays.
    pub zero: f64,
    /// Half width within which the zero wanders in ten minutes.
    pub wander: f64,
    /// Half width of the error by the cable's place in a clamp's jaws, relative.
    pub place_error: f64,
    /// Standard deviation of one reading.
    pub noise: f64,
    /// Time constant of the display, seconds.
    pub lag_s: f64,
    /// What it puts in series, ohm.
    pub burden_ohm: f64,
    /// Its input's fuse, ampere.
    pub fuse_a: Option<f64>,
}

impl Meter {
    /// A meter of a class, its errors drawn within what the class allows: scale and
    /// digits evenly within half the accuracy (most meters are better than promised;
    /// from memory), one step of noise at most.
    pub(super) fn of(class: &Class, random: &mut Pcg64Mcg) -> Self {
        let within = |half: f64, random: &mut Pcg64Mcg| half * (2.0 * random.random::<f64>() - 1.0);
        Self {
            range: class.range,
            step: class.resolution,
            scale_error: within(class.accuracy_percent / 200.0, random),
            zero: within(class.digits * class.resolution / 2.0, random),
            wander: class.zero_drift_a,
            place_error: class.position_percent / 100.0,
            noise: class.resolution / 2.0,
            // From memory: displays follow within a second or two.
            lag_s: 0.3 + 0.7 * random.random::<f64>(),
            burden_ohm: class.burden_ohm,
            // The 10 A input of a handheld meter has a fuse of about its range (common practice).
            fuse_a: (class.kind == InstrumentKind::InLine).then_some(class.range * 1.1),
        }
    }

    /// What it shows; `None` over range. A clamp or a voltmeter is set to zero just before,
    /// with nothing to read; its flicker and its last digit are in that zero too.
    pub fn show(&self, true_amount: f64, random: &mut Pcg64Mcg) -> Option<f64> {
        let place = self.even(self.place_error, random);
        // The zero set by hand is some seconds old: a tenth of what it wanders in ten minutes.
        let zero = self.even(self.wander / 10.0, random);
        let shown = self.display(true_amount, place, zero, random)?;
        if self.fuse_a.is_some() {
            // An ammeter in the circuit has nothing to be set to zero with.
            return Some(shown);
        }
        Some(shown - self.display(0.0, 0.0, 0.0, random)?)
    }

    /// What it shows before and after a change, untouched in between for `minutes`.
    pub fn show_both(
        &self,
        before: f64,
        after: f64,
        minutes: f64,
        random: &mut Pcg64Mcg,
    ) -> (Option<f64>, Option<f64>) {
        let place = self.even(self.place_error, random);
        let zero = self.even(self.wander / 10.0, random);
        let drift = self.even(self.wander * (minutes / 10.0).min(1.0), random);
        (
            self.display(before, place, zero, random),
            self.display(after, place, zero + drift, random),
        )
    }

    /// Rounds to its steps, within its range.
    pub(super) fn display(
        &self,
        true_amount: f64,
        place: f64,
        zero: f64,
        random: &mut Pcg64Mcg,
    ) -> Option<f64> {
        let noise: f64 = StandardNormal.sample(random);
        let raw =
            true_amount * (1.0 + self.scale_error + place) + self.zero + zero + self.noise * noise;
        (raw.abs() <= self.range).then(|| (raw / self.step).round() * self.step)
    }

    fn even(&self, half: f64, random: &mut Pcg64Mcg) -> f64 {
        half * (2.0 * random.random::<f64>() - 1.0)
    }
}

/// The meters at hand.
#[derive(Debug, Clone, PartialEq)]
pub struct Kit {
    /// What their makers promise: all that whoever uses them knows.
    pub tools: Vec<Instrument>,
    /// A clamp, unless the total is read in line.
    pub clamp: Option<Meter>,
    /// An ammeter for the total.
    pub in_line: Meter,
    /// A meter on its millivolt range, in volt.
    pub millivolt: Meter,
}

/// Chance that there is a low-range clamp, and that the millivolt range shows 10 µV (from memory).
const CLAMP: f64 = 0.85;
const FINE: f64 = 0.5;

impl Kit {
    /// Meters of ordinary classes, with errors of their own.
    pub(super) fn draw(random: &mut Pcg64Mcg) -> Self {
        let with_clamp = random.random_bool(CLAMP);
        let fine = random.random_bool(FINE);
        let class = |kind, step| Class::like(kind, Some(step));
        let clamp = class(InstrumentKind::Clamp, 0.001);
        let in_line = class(InstrumentKind::InLine, 0.001);
        let millivolt = class(InstrumentKind::Millivolt, if fine { 1e-5 } else { 1e-4 });
        let set = |class: &Class| Instrument {
            zero_set: true,
            ..class.instrument()
        };
        let mut tools = vec![in_line.instrument(), set(millivolt)];
        if with_clamp {
            tools.insert(0, set(clamp));
        }
        Self {
            tools,
            clamp: with_clamp.then(|| Meter::of(clamp, random)),
            in_line: Meter::of(in_line, random),
            millivolt: Meter::of(millivolt, random),
        }
    }

    /// The meter for a total of about `total_a`: the clamp, unless that is over its range.
    pub fn for_total(&self, total_a: f64) -> &Meter {
        match &self.clamp {
            Some(clamp) if total_a <= clamp.range => clamp,
            _ => &self.in_line,
        }
    }

    /// The meter that reads the total, and how.
    pub fn total(&self) -> (&Meter, How) {
        match &self.clamp {
            Some(clamp) => (clamp, How::Clamp),
            None => (&self.in_line, How::InLine),
        }
    }
}

#[cfg(test)]
mod tests {
    use rand::SeedableRng;

    use super::*;

    #[test]
    fn a_meter_keeps_what_its_class_promises() {
        let class = Class::ordinary(InstrumentKind::Clamp);
        for seed in 0..200 {
            let mut random = Pcg64Mcg::seed_from_u64(seed);
            let meter = Meter::of(class, &mut random);
            let shown = meter.show(0.5, &mut random).unwrap();
            let allowed = Instrument {
                zero_set: true,
                ..class.instrument()
            }
            .reading(How::Clamp, 0.5);
            let half: f64 = allowed.components.iter().map(|c| c.half_width).sum();
            assert!((shown - 0.5).abs() <= half + 4.0 * meter.noise, "{shown}");
            assert_eq!(meter.show(9.0, &mut random), None, "over range");
        }
    }

    #[test]
    fn what_two_readings_share_cancels() {
        let mut random = Pcg64Mcg::seed_from_u64(3);
        let meter = Meter::of(Class::ordinary(InstrumentKind::Clamp), &mut random);
        let (before, after) = meter.show_both(0.5, 0.1, 0.5, &mut random);
        let step = before.unwrap() - after.unwrap();
        assert!((step - 0.4).abs() < 0.4 * 0.02 + 0.004, "{step}");
    }
}
