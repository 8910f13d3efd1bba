//! What a hook-up will be worth, before anything is connected.
//!
//! Everything follows from the instrument's specification and from resistances
//! in series and beside one another (see [`hookup`]).

use tongue::{Message, say};

use crate::{
    How, Instrument, InstrumentKind, Uncertain,
    conductor::{CLAMP_ON_POST, CLIP, Lead},
    hookup::{self, MeterFuse},
    instrument::Class,
};

/// Half width of an input's resistance about that of its class, relative
/// (from memory: leads and fuses of one class differ by about a third).
const BURDEN_SPREAD: f64 = 0.3;

/// Voltage of a rested 12 V battery, volt (common practice), to say what share
/// of it a burden takes.
const BATTERY_V: f64 = 12.6;

/// An instrument about to be connected.
#[derive(Debug, Clone, PartialEq)]
pub struct HookUp {
    /// How it is to be read.
    pub how: How,
    /// The instrument.
    pub instrument: Instrument,
    /// Cables that are clamped one after the other and summed; 1 for all in one.
    pub cables: u32,
    /// Resistance of the fuse or shunt whose voltage is read, ohm.
    pub resistance: Option<Uncertain>,
    /// The bypass lead that keeps the supply up while fitting.
    pub bypass: Lead,
    /// The meter's own fuse; `None` for that of its class.
    pub fuse: Option<InputFuse>,
    /// The fuse in the bypass lead.
    pub bypass_fuse: InputFuse,
}

/// Fuse in a bypass lead as made up in a workshop: 15 A, more than an ordinary
/// wake-up and less than 2.5 mm² of copper carries (common practice).
pub const BYPASS_FUSE: InputFuse = InputFuse {
    rating_a: 15.0,
    melting_a2s: None,
};

/// The fuse inside a meter, or in a bypass lead.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InputFuse {
    /// Rating, ampere.
    pub rating_a: f64,
    /// Melting integral, A²s, when its maker states it.
    pub melting_a2s: Option<f64>,
}

/// One part of the expected error.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// Where it comes from, in a few words.
    pub what: Message,
    /// The error lies within ± this, ampere.
    pub half_width_a: f64,
}

/// What an in-line meter or a shunt does to the circuit it is put into.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InSeries {
    /// Resistance put in series, contacts included, ohm.
    pub ohm: Uncertain,
    /// Voltage the vehicle loses at the draw, volt.
    pub burden_v: Uncertain,
    /// The same when the vehicle wakes, volt.
    pub wake_burden_v: Uncertain,
    /// Share of the draw that is still shown while the bypass is forgotten.
    pub shown_beside_bypass: Uncertain,
    /// Share still shown when the clamp touches the post: the check of the hook-up.
    pub shown_clamp_on_post: Uncertain,
}

/// What a fuse that carries the vehicle's current stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FuseAnswer {
    /// Rating, ampere: any longer wake-up above it blows the fuse.
    pub rating_a: f64,
    /// Surge that melts it within one second, ampere, when the melting integral is known.
    pub one_second_a: Option<f64>,
    /// What the wake-up asked about does to it.
    pub at_wake: MeterFuse,
}

/// What to expect of a hook-up.
#[derive(Debug, Clone, PartialEq)]
pub struct Estimate {
    /// The draw with the standard uncertainty of one reading of it, ampere.
    pub reading: Uncertain,
    /// What that is made of, largest first.
    pub parts: Vec<Part>,
    /// Smallest draw told from none, ampere; `None` without the resistance it needs.
    pub floor_a: Option<f64>,
    /// Largest current the range shows, ampere, when that is known.
    pub range_a: Option<f64>,
    /// Effects of what is put in series; `None` when nothing is.
    pub in_series: Option<InSeries>,
    /// The meter's own fuse, when current goes through it.
    pub fuse: Option<FuseAnswer>,
    /// The bypass lead's fuse, when a bypass is fitted: it carries all while the clamp is off.
    pub bypass_fuse: Option<FuseAnswer>,
}

/// Why there is no estimate.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoEstimate {
    /// The instrument cannot be read that way.
    Unsuited,
    /// A voltage is read, and the resistance it is across is not known or not positive.
    NoResistance,
}

impl HookUp {
    /// The ordinary instrument of its kind, all cables in one, the usual bypass.
    pub fn ordinary(how: How) -> Self {
        Self {
            how,
            instrument: Instrument::generic(how.instrument()),
            cables: 1,
            resistance: None,
            bypass: Lead::BYPASS,
            fuse: None,
            bypass_fuse: BYPASS_FUSE,
        }
    }

    /// What to expect of it at a draw, and when the vehicle wakes (both ampere).
    ///
    /// # Errors
    /// When the instrument does not suit, or a resistance is missing.
    pub fn estimate(&self, draw_a: f64, wake_a: f64) -> Result<Estimate, NoEstimate> {
        if !self.instrument.suits(self.how) {
            return Err(NoEstimate::Unsuited);
        }
        let resistance = self.resistance.filter(|r| r.value > 0.0 && r.is_finite());
        if self.how.shows_volt() && resistance.is_none() {
            return Err(NoEstimate::NoResistance);
        }
        let in_series = self.in_series(draw_a, wake_a, resistance);
        let parts = self.parts(draw_a, resistance, in_series);
        let u = parts
            .iter()
            .map(|part| (part.half_width_a / 3.0_f64.sqrt()).powi(2))
            .sum::<f64>()
            .sqrt();
        let floor = self
            .instrument
            .floor_a(self.how, resistance.map(|r| r.value));
        // Each further cable brings its own zero and last digits.
        let floor_a = floor.map(|floor| floor * f64::from(self.cables.max(1)).sqrt());
        let range = self.class().range;
        Ok(Estimate {
            reading: Uncertain::new(draw_a, u),
            parts,
            floor_a,
            range_a: match resistance.filter(|_| self.how.shows_volt()) {
                Some(ohm) => Some(range / ohm.value),
                None => Some(range),
            },
            in_series,
            fuse: self.fuse_answer(wake_a),
            bypass_fuse: matches!(self.how, How::InLine | How::Shunt)
                .then(|| self.bypass_fuse.answer(wake_a)),
        })
    }

    /// The class that stands in for what the specification leaves open.
    fn class(&self) -> &'static Class {
        Class::like(self.instrument.kind, self.instrument.resolution)
    }

    fn in_series(&self, draw_a: f64, wake_a: f64, shunt: Option<Uncertain>) -> Option<InSeries> {
        let ohm = match self.how {
            How::InLine => {
                let input = self.class().burden_ohm;
                // The class holds leads and fuse; the two clips come on top.
                Uncertain::rectangular(input, BURDEN_SPREAD * input)
                    .plus(CLIP)
                    .plus(CLIP)
            }
            // A shunt is bolted between post and clamp.
            How::Shunt => shunt?.plus(CLAMP_ON_POST).plus(CLAMP_ON_POST),
            How::Clamp | How::Millivolt => return None,
        };
        Some(InSeries {
            ohm,
            burden_v: hookup::burden_v(Uncertain::exact(draw_a), ohm),
            wake_burden_v: hookup::burden_v(Uncertain::exact(wake_a), ohm),
            shown_beside_bypass: hookup::share(ohm, self.bypass.ohm()),
            shown_clamp_on_post: hookup::share(ohm, CLAMP_ON_POST),
        })
    }

    fn parts(
        &self,
        draw_a: f64,
        resistance: Option<Uncertain>,
        in_series: Option<InSeries>,
    ) -> Vec<Part> {
        let cables = f64::from(self.cables.max(1));
        let ohm = resistance
            .filter(|_| self.how.shows_volt())
            .map_or(1.0, |r| r.value);
        let reading = self.instrument.reading(self.how, draw_a / cables * ohm);
        let mut parts: Vec<Part> = reading
            .components
            .iter()
            .map(|one| {
                use crate::instrument::Source;
                // One scale serves all cables, so its error adds up; zero and last
                // digit are fresh for each (JCGM 100:2008, 5.2.2).
                let times = match one.source {
                    Source::Accuracy | Source::ClampPosition => cables,
                    _ => cables.sqrt(),
                };
                Part {
                    what: one.source.words(),
                    half_width_a: one.half_width * times / ohm,
                }
            })
            .collect();
        if let Some(resistance) = resistance.filter(|_| self.how.shows_volt()) {
            parts.push(Part {
                what: say::measure::part_resistance(),
                half_width_a: (draw_a * resistance.u * 3.0_f64.sqrt() / resistance.value).abs(),
            });
        }
        if let Some(series) = in_series {
            // A resistive load takes less, a regulated one more, in proportion.
            parts.push(Part {
                what: say::measure::part_less_voltage(),
                half_width_a: (draw_a * series.burden_v.value / BATTERY_V).abs(),
            });
        }
        parts.retain(|part| part.half_width_a > 0.0);
        parts.sort_by(|a, b| b.half_width_a.total_cmp(&a.half_width_a));
        parts
    }

    fn fuse_answer(&self, wake_a: f64) -> Option<FuseAnswer> {
        if self.how != How::InLine || self.instrument.kind != InstrumentKind::InLine {
            return None;
        }
        // Inputs are fused at their range or just above (from memory).
        let fuse = self.fuse.unwrap_or(InputFuse {
            rating_a: self.class().range,
            melting_a2s: None,
        });
        Some(fuse.answer(wake_a))
    }
}

impl InputFuse {
    /// What a wake-up of `wake_a` ampere does to it.
    fn answer(self, wake_a: f64) -> FuseAnswer {
        FuseAnswer {
            rating_a: self.rating_a,
            one_second_a: self
                .melting_a2s
                .filter(|i2t| *i2t > 0.0)
                .map(|i2t| i2t.sqrt().max(self.rating_a)),
            at_wake: hookup::meter_fuse(wake_a, self.rating_a, self.melting_a2s),
        }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn estimate(how: How, draw_a: f64) -> Estimate {
        let resistance = how
            .shows_volt()
            .then(|| Uncertain::rectangular(4.58e-3, 0.15 * 4.58e-3));
        HookUp {
            resistance,
            ..HookUp::ordinary(how)
        }
        .estimate(draw_a, 5.0)
        .unwrap()
    }

    #[test]
    fn a_forgotten_bypass_and_the_clamp_on_its_post_come_out_of_one_arithmetic() {
        let series = estimate(How::InLine, 0.412).in_series.unwrap();
        let ohm = series.ohm.value;
        let bypass = Lead::BYPASS.ohm().value;
        assert!((series.shown_beside_bypass.value - bypass / (ohm + bypass)).abs() < 1e-12);
        assert!(series.shown_beside_bypass.value < 0.5);
        assert!(series.shown_clamp_on_post.value < 0.05);
        assert!(series.shown_clamp_on_post.value < series.shown_beside_bypass.value);
        assert!((series.burden_v.value - 0.412 * ohm).abs() < 1e-12);
    }

    #[test]
    fn published_millivolts_across_a_fuse() {
        // Published pairs of millivolts and milliampere (reference set, 15 A miniature
        // blade: 1.0 mV is 218 mA): 400 mA are 1.83 mV, and a step of 0.1 mV is 22 mA.
        let seen = estimate(How::Millivolt, 0.4);
        assert!(seen.in_series.is_none() && seen.fuse.is_none());
        let last = seen
            .parts
            .iter()
            .find(|p| p.what == "last digit shown")
            .unwrap();
        assert!((last.half_width_a - 0.022 / 2.0).abs() < 0.0005, "{last:?}");
        let fuse = seen
            .parts
            .iter()
            .find(|p| p.what.starts_with("resistance"))
            .unwrap();
        assert!((fuse.half_width_a - 0.15 * 0.4).abs() < 1e-9);
    }

    #[test]
    fn the_milliampere_input_blows_and_the_clamp_has_nothing_to_blow() {
        let fine = HookUp {
            instrument: Class::like(InstrumentKind::InLine, Some(1e-4)).instrument(),
            ..HookUp::ordinary(How::InLine)
        };
        let seen = fine.estimate(0.05, 5.0).unwrap();
        assert!(matches!(
            seen.fuse.unwrap().at_wake,
            MeterFuse::Blows { .. }
        ));
        assert!(seen.in_series.unwrap().wake_burden_v.value > 9.0);
        let fused = HookUp {
            fuse: Some(InputFuse {
                rating_a: 10.0,
                melting_a2s: Some(400.0),
            }),
            ..HookUp::ordinary(How::InLine)
        };
        let fuse = fused.estimate(0.05, 20.0).unwrap().fuse.unwrap();
        assert_eq!(fuse.one_second_a, Some(20.0));
        assert_eq!(
            fuse.at_wake,
            MeterFuse::Blows {
                within_s: Some(1.0)
            }
        );
        let clamp = estimate(How::Clamp, 0.4);
        assert!(clamp.fuse.is_none() && clamp.in_series.is_none());
    }

    #[test]
    fn the_bypass_needs_a_fuse_that_carries_a_wake_up() {
        let small = HookUp {
            bypass_fuse: InputFuse {
                rating_a: 3.0,
                melting_a2s: None,
            },
            ..HookUp::ordinary(How::InLine)
        };
        let blown = small.estimate(0.4, 5.0).unwrap().bypass_fuse.unwrap();
        assert_eq!(blown.at_wake, MeterFuse::Blows { within_s: None });
        let usual = estimate(How::Shunt, 0.4).bypass_fuse.unwrap();
        assert_eq!(usual.at_wake, MeterFuse::Holds);
        // Nothing is bypassed where nothing is put in.
        assert!(estimate(How::Millivolt, 0.4).bypass_fuse.is_none());
    }

    #[test]
    fn what_does_not_fit_is_refused() {
        let voltmeter = HookUp::ordinary(How::Millivolt);
        assert_eq!(voltmeter.estimate(0.4, 5.0), Err(NoEstimate::NoResistance));
        let mixed = HookUp {
            how: How::Clamp,
            ..HookUp::ordinary(How::InLine)
        };
        assert_eq!(mixed.estimate(0.4, 5.0), Err(NoEstimate::Unsuited));
    }

    proptest! {
        /// The parts make up the whole, and more draw is never better known.
        #[test]
        fn parts_make_the_whole(draw in 0.0..5.0_f64, more in 0.0..5.0_f64) {
            for how in [How::Clamp, How::InLine, How::Millivolt, How::Shunt] {
                let (less, greater) = (estimate(how, draw), estimate(how, draw + more));
                let sum: f64 = less.parts.iter().map(|p| p.half_width_a.powi(2) / 3.0).sum();
                prop_assert!((less.reading.u - sum.sqrt()).abs() < 1e-12);
                prop_assert!(greater.reading.u >= less.reading.u - 1e-12);
                prop_assert!(less.floor_a.is_some_and(|floor| floor > 0.0));
            }
        }

        /// Clamping the cables one by one is never better than all at once.
        #[test]
        fn one_by_one_costs_accuracy(draw in 0.0..4.0_f64, cables in 2..6_u32) {
            let all = HookUp::ordinary(How::Clamp);
            let each = HookUp { cables, ..all.clone() };
            let (all, each) = (all.estimate(draw, 5.0).unwrap(), each.estimate(draw, 5.0).unwrap());
            prop_assert!(each.reading.u >= all.reading.u && each.floor_a > all.floor_a);
        }
    }
}
