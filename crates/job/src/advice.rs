//! Advice that needs no entries, the same for command line and page: how to
//! connect an instrument, and a week of driving against a week of standing.

use battery::{
    balance::{Household, SPARE_A, Week},
    keeper::{Hold, KEEPERS, Keeper},
};
use harness::{
    FeedTree, NodeId, NodeSpec,
    fuse::{self, FuseFamily},
    hookup::{self, Settings, Step, Supply},
};
use measure::{
    How, Instrument, Uncertain,
    conductor::Lead,
    estimate::{BYPASS_FUSE, Estimate, HookUp, InputFuse, NoEstimate},
    hookup::MeterFuse,
};
use tongue::{Message, say};

use crate::{Assessment, Entry, EntryKind, Job, Shown, assess};

/// Tolerance of a shunt nobody has stated, relative (common practice).
const SHUNT_SHARE: f64 = 0.01;

/// What a waking vehicle draws when nobody says, ampere (from memory: door
/// lamps and modules 3 to 10 A, for minutes).
pub const USUAL_WAKE_A: f64 = 5.0;

/// Draw expected when nothing has been measured, ampere (from memory: the
/// middle of the faulty draws that workshops report).
pub const USUAL_DRAW_A: f64 = 0.4;

/// An instrument about to be connected to a vehicle.
#[derive(Debug, Clone, PartialEq)]
pub struct HookUpQuestion {
    /// How it is to be read.
    pub how: How,
    /// The instrument.
    pub instrument: Instrument,
    /// The draw expected, ampere.
    pub draw_a: f64,
    /// What the vehicle draws when something wakes it, ampere.
    pub wake_a: f64,
    /// Rating in ampere and family of the fuse whose millivolts are read.
    pub fuse: Option<(f64, Option<FuseFamily>)>,
    /// Resistance of the shunt, ohm.
    pub shunt_ohm: Option<f64>,
    /// Cables that are clamped one after the other.
    pub cables: u32,
    /// The meter's own fuse; `None` for that of its class.
    pub meter_fuse: Option<InputFuse>,
    /// Rating of the fuse in the bypass lead, ampere; `None` for the usual one.
    pub bypass_fuse_a: Option<f64>,
    /// Whether the work is on airbag circuits.
    pub airbag_work: bool,
}

/// How to connect it, and what that is worth.
#[derive(Debug, Clone, PartialEq)]
pub struct HookUpAnswer {
    /// What is connected.
    pub hook_up: HookUp,
    /// Wake-up current asked about, ampere.
    pub wake_a: f64,
    /// What to expect.
    pub estimate: Estimate,
    /// The steps; none for airbag work, where nothing is to be put in.
    pub steps: &'static [Step],
    /// Whether settings may be kept alive.
    pub settings: Settings,
    /// Every known memory-keeping supply with what it does at this draw; none
    /// for airbag work.
    pub keepers: Vec<(&'static Keeper, Hold)>,
    /// The supply asked about, among those.
    pub keeper: Option<(&'static Keeper, Hold)>,
}

impl HookUpQuestion {
    /// The ordinary instrument of its kind on an ordinary vehicle.
    pub fn ordinary(how: How) -> Self {
        Self {
            how,
            instrument: Instrument::generic(how.instrument()),
            draw_a: USUAL_DRAW_A,
            wake_a: USUAL_WAKE_A,
            fuse: None,
            shunt_ohm: None,
            cables: 1,
            meter_fuse: None,
            bypass_fuse_a: None,
            airbag_work: false,
        }
    }

    /// The answer.
    ///
    /// # Errors
    /// When the instrument does not suit, or a voltage is read across something
    /// whose resistance is not known.
    pub fn answer(&self) -> Result<HookUpAnswer, NoEstimate> {
        let hook_up = HookUp {
            how: self.how,
            instrument: self.instrument.clone(),
            cables: self.cables,
            resistance: self.resistance(),
            bypass: Lead::BYPASS,
            fuse: self.meter_fuse,
            bypass_fuse: self
                .bypass_fuse_a
                .map_or(BYPASS_FUSE, |rating_a| InputFuse {
                    rating_a,
                    melting_a2s: None,
                }),
        };
        let estimate = hook_up.estimate(self.draw_a, self.wake_a)?;
        Ok(HookUpAnswer {
            hook_up,
            wake_a: self.wake_a,
            estimate,
            steps: if self.airbag_work {
                &[]
            } else {
                hookup::steps(self.how)
            },
            settings: hookup::settings(self.airbag_work),
            keepers: if self.airbag_work {
                Vec::new()
            } else {
                KEEPERS
                    .iter()
                    .map(|keeper| (keeper, keeper.hold(self.draw_a, self.wake_a)))
                    .collect()
            },
            keeper: None,
        })
    }

    /// Resistance of the fuse or shunt whose voltage is read.
    fn resistance(&self) -> Option<Uncertain> {
        match self.how {
            How::Millivolt => {
                let (rating_a, family) = self.fuse?;
                fuse::resistance(family, rating_a, None).map(|known| known.ohm)
            }
            How::Shunt => {
                let ohm = self.shunt_ohm?;
                Some(Uncertain::rectangular(ohm, SHUNT_SHARE * ohm))
            }
            How::Clamp | How::InLine => None,
        }
    }
}

impl HookUpAnswer {
    /// Whether a waking vehicle alone can interrupt the supply after this step:
    /// through a meter always, through the bypass when its fuse does not carry the wake-up.
    pub fn waking_interrupts(&self, step: &Step) -> bool {
        let bypass = self.estimate.bypass_fuse.map(|fuse| fuse.at_wake);
        step.supply.waking_interrupts()
            || step.supply == Supply::Bypass && bypass.is_some_and(|at| at != MeterFuse::Holds)
    }

    /// The same with a word on one supply.
    #[must_use]
    pub fn with_keeper(mut self, id: &str) -> Self {
        self.keeper = self
            .keepers
            .iter()
            .find(|(keeper, _)| keeper.id.eq_ignore_ascii_case(id.trim()))
            .copied();
        self
    }
}

/// The vehicle of a job in its usual week: battery as tested, draw as measured.
/// Without a draw or without words on the use, these are left at nothing and
/// are the caller's to fill in.
pub fn household(job: &Job, assessment: &Assessment) -> Household {
    let parking = assess::parked(job, assessment);
    Household {
        label: parking.label,
        health: parking.health,
        draw: parking.draw,
        temperature_c: parking.temperature_c,
        week: Week {
            trips: job.usage.map_or(0.0, |usage| usage.trips_per_week),
            minutes_per_trip: job.usage.map_or(0.0, |usage| usage.minutes_per_trip),
            spare_a: SPARE_A,
            loads_ah: 0.0,
        },
    }
}

/// Where the current of the alternator's own cable is read: the node that
/// feeds it and nothing else, nearest to the battery.
pub fn alternator_cable(job: &Job) -> Option<&NodeSpec> {
    let tree = FeedTree::build(job.nodes.clone()).ok()?;
    let node = (0..tree.len())
        .find(|&node| node != FeedTree::ROOT && assess::is_alternator_alone(&tree, node))?;
    job.nodes.iter().find(|spec| spec.id == tree.node(node).id)
}

/// How many times apart two currents of one place in one state are before the
/// second is asked about. Common practice: a slipped decimal point is a factor of ten.
const ODD: f64 = 8.0;

/// The last current read at the same place in the same state, ampere, when the
/// one in `entry` is oddly far from it. A repair is there to change it, so
/// only readings since the last one count.
pub fn oddly_far_from(entry: &Entry, job: &Job) -> Option<f64> {
    let (place, current_a, state) = current_of(entry)?;
    let standing: Vec<_> = job.standing().map(|(_, earlier)| earlier).collect();
    let repaired = standing
        .iter()
        .rposition(|earlier| matches!(earlier.kind, EntryKind::Repair { .. }));
    let last_a = standing
        .get(repaired.unwrap_or(0)..)?
        .iter()
        .filter_map(|earlier| current_of(earlier))
        .rfind(|earlier| earlier.0 == place && earlier.2 == state)?
        .1;
    let ratio = current_a.abs() / last_a.abs();
    (ratio > ODD || ratio < ODD.recip()).then_some(last_a)
}

/// Place, ampere and whether asleep of an entry that shows a current other than none.
pub fn current_of(entry: &Entry) -> Option<(&NodeId, f64, bool)> {
    match &entry.kind {
        EntryKind::Draw {
            node,
            shown: Shown::Current(current_a),
            asleep,
            ..
        } if *current_a != 0.0 => Some((node, *current_a, *asleep)),
        _ => None,
    }
}

/// The forecast of a job for coming nights whose temperatures are given, each
/// at the end of the night; without any, the job's own forecast.
///
/// # Errors
/// One sentence on what is missing.
pub fn forecast_for(
    job: &Job,
    assessment: &Assessment,
    lows_c: &[f64],
) -> Result<battery::Forecast, Message> {
    if lows_c.is_empty() || assessment.forecast.is_none() {
        return assessment.forecast.clone().ok_or_else(|| {
            assessment
                .forecast_missing
                .clone()
                .unwrap_or_else(say::job::no_forecast)
        });
    }
    let parking = assess::parked(job, assessment);
    battery::forecast_over(&parking, &battery::usual_nights(lows_c))
        .map_err(|unknown| say::job::no_forecast_without(unknown.missing))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn airbag_work_gets_no_steps_and_no_supply() {
        let question = HookUpQuestion {
            airbag_work: true,
            ..HookUpQuestion::ordinary(How::InLine)
        };
        let answer = question.answer().unwrap();
        assert!(answer.steps.is_empty() && answer.keepers.is_empty());
        assert!(!answer.settings.keep);
        assert_eq!(answer.with_keeper("dry-9v").keeper, None);
    }

    #[test]
    fn every_supply_is_judged_at_the_draw_asked_about() {
        let answer = HookUpQuestion::ordinary(How::Clamp).answer().unwrap();
        assert_eq!(answer.keepers.len(), KEEPERS.len());
        let (keeper, hold) = answer.with_keeper("DRY-9V").keeper.unwrap();
        assert_eq!(hold, keeper.hold(USUAL_DRAW_A, USUAL_WAKE_A));
    }

    #[test]
    fn a_voltage_needs_its_resistance() {
        let millivolt = HookUpQuestion::ordinary(How::Millivolt);
        assert_eq!(millivolt.answer(), Err(NoEstimate::NoResistance));
        let known = HookUpQuestion {
            fuse: Some((15.0, None)),
            ..millivolt
        };
        assert!(known.answer().is_ok());
    }
}
