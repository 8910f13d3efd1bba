//! The battery's part of an assessment: tests, forecast, explanation.

use battery::{
    Cranking, Forecast, HealthTest, Judgement, Parking, capacity,
    charging::{ChargingTest, EngineSpeed},
    drops::{DropJudgement, DropTest, judge_drop},
};
use measure::{
    Instrument, InstrumentKind, Quantiles, Uncertain,
    quantity::{Ampere, Second},
};
use tongue::{Message, fixed, say};

use super::evidence::in_order;
use crate::{Entry, EntryId, EntryKind, Explanation, Job, Speed};

/// Charge of a parked vehicle's battery when nobody has read its voltage:
/// 85 ± 10 % (common practice).
const USUAL_CHARGE: (f64, f64) = (0.85, 0.10);
/// Temperature while parked when nobody says, °C (common practice: a mild night).
const USUAL_C: f64 = 10.0;

/// Repeatability of an analyser's resistance, relative (common practice).
const RESISTANCE_SHARE: f64 = 0.05;

/// What the battery's tests say.
pub(super) fn judgement(job: &Job) -> Judgement {
    battery::judge(&job.battery.label, &tests(job))
}

fn tests(job: &Job) -> Vec<HealthTest> {
    in_order(job)
        .into_iter()
        .filter_map(|(_, entry)| voltage_test(job, entry).or_else(|| other_test(entry)))
        .collect()
}

/// Tests that read the battery's voltage.
fn voltage_test(job: &Job, entry: &Entry) -> Option<HealthTest> {
    let volts = |voltage_v| volts(job, entry, voltage_v);
    Some(match entry.kind {
        EntryKind::RestVoltage {
            voltage_v,
            rested_h,
            temperature_c,
        } => HealthTest::RestVoltage {
            voltage: volts(voltage_v),
            rested_h,
            temperature_c,
        },
        EntryKind::LoadTest {
            voltage_v,
            load_a,
            after_s,
            temperature_c,
        } => HealthTest::LoadTest {
            voltage: volts(voltage_v),
            load_a,
            after_s,
            temperature_c,
        },
        EntryKind::StandAlone {
            before_v,
            after_v,
            hours,
            temperature_c,
        } => HealthTest::StandAlone {
            before: volts(before_v),
            after: volts(after_v),
            hours,
            temperature_c,
        },
        _ => return None,
    })
}

/// Tests that read something else.
fn other_test(entry: &Entry) -> Option<HealthTest> {
    Some(match entry.kind {
        EntryKind::Analyser {
            current_a,
            standard,
        } => HealthTest::Analyser {
            result: Cranking {
                current_a,
                standard,
            },
        },
        EntryKind::Resistance { ohm, temperature_c } => HealthTest::Resistance {
            // An analyser's repeatability; how it differs from the label is the judgement's.
            ohm: Uncertain::new(ohm, RESISTANCE_SHARE * ohm),
            temperature_c,
        },
        EntryKind::Gravity {
            lowest,
            highest,
            temperature_c,
        } => HealthTest::Gravity {
            lowest,
            highest,
            temperature_c,
        },
        _ => return None,
    })
}

/// What the voltage drops say, in the order they were read.
pub(super) fn drops(job: &Job) -> Vec<(EntryId, DropTest, DropJudgement)> {
    in_order(job)
        .into_iter()
        .filter_map(|(id, entry)| match entry.kind {
            EntryKind::Drop {
                place,
                drop_v,
                current_a,
            } => {
                let test = DropTest {
                    place,
                    drop: volts(job, entry, drop_v),
                    current_a,
                };
                Some((id, test, judge_drop(&test)))
            }
            _ => None,
        })
        .collect()
}

/// Readings of the charging system.
pub(super) fn charging(job: &Job) -> Vec<ChargingTest> {
    let test = |entry: &Entry| match entry.kind {
        EntryKind::Charging {
            voltage_v,
            at_speed,
            ripple_v,
            temperature_c,
        } => Some(ChargingTest {
            voltage: volts(job, entry, voltage_v),
            at: match at_speed {
                Speed::Idle => EngineSpeed::Idle,
                Speed::Raised => EngineSpeed::Raised,
                Speed::Loaded => EngineSpeed::Loaded,
            },
            ripple_v,
            temperature_c,
        }),
        _ => None,
    };
    in_order(job)
        .into_iter()
        .filter_map(|(_, entry)| test(entry))
        .collect()
}

fn volts(job: &Job, entry: &Entry, voltage_v: f64) -> Uncertain {
    let voltmeter = |known: &&Instrument| known.kind == InstrumentKind::Voltmeter;
    let stated = job
        .instrument_of(entry)
        .filter(voltmeter)
        .or_else(|| job.instruments.iter().find(voltmeter));
    match stated {
        Some(stated) => stated.plain_reading(voltage_v).value,
        None => {
            Instrument::generic(InstrumentKind::Voltmeter)
                .plain_reading(voltage_v)
                .value
        }
    }
}

/// How this battery stands there with a draw.
fn parking(job: &Job, judgement: &Judgement, charge: Uncertain, draw: Uncertain) -> Parking {
    let health = judgement
        .health
        .unwrap_or_else(|| capacity::expected_health(job.battery.age_years));
    let read_c = in_order(job)
        .into_iter()
        .rev()
        .find_map(|(_, entry)| match entry.kind {
            EntryKind::RestVoltage { temperature_c, .. } => temperature_c,
            _ => None,
        });
    Parking {
        label: job.battery.label,
        health,
        charge,
        draw,
        temperature_c: job.complaint.temperature_c.or(read_c).unwrap_or(USUAL_C),
        engine_needs_a: job.battery.engine_needs_a,
    }
}

/// The same with the charge that its tests tell, or the usual one; a draw that
/// nobody has read counts as none.
pub(super) fn parked(job: &Job, judgement: &Judgement, draw: Option<Uncertain>) -> Parking {
    let charge = judgement.state_of_charge.unwrap_or_else(usual_charge);
    let draw = draw.unwrap_or(Uncertain::exact(0.0));
    parking(job, judgement, charge, draw)
}

fn usual_charge() -> Uncertain {
    Uncertain::new(USUAL_CHARGE.0, USUAL_CHARGE.1)
}

/// How long it can stand, or why that cannot be said.
pub(super) fn forecast(
    job: &Job,
    judgement: &Judgement,
    draw: Option<Uncertain>,
) -> Result<Forecast, Message> {
    let Some(draw) = draw else {
        return Err(say::job::no_forecast_yet());
    };
    battery::forecast(&parked(job, judgement, Some(draw)))
        .map_err(|unknown| say::job::no_forecast_without(unknown.missing))
}

/// The draw that the complaint needs, beside the draw that was measured.
pub(super) fn explanation(
    job: &Job,
    judgement: &Judgement,
    draw: Option<Uncertain>,
) -> Option<Explanation> {
    let hours = job
        .complaint
        .no_start_after_h
        .filter(|&hours| hours > 0.0)?;
    // The charge then is not the charge now, so the usual one is taken.
    let parking = parking(job, judgement, usual_charge(), Uncertain::exact(0.0));
    let needed_a = battery::explain_parking(&parking, hours).ok()?;
    let sentence = explained(hours, parking.temperature_c, needed_a, draw);
    Some(Explanation { needed_a, sentence })
}

/// To two digits: the spread is far wider than a third one.
fn rough(current_a: f64) -> Ampere {
    let step = 10_f64.powf(current_a.abs().log10().floor() - 1.0);
    if step.is_normal() {
        Ampere((current_a / step).round() * step)
    } else {
        Ampere(current_a)
    }
}

fn explained(
    hours: f64,
    temperature_c: f64,
    needed_a: Quantiles,
    draw: Option<Uncertain>,
) -> Message {
    let needs = say::job::needs_draw(
        rough(needed_a.p50),
        rough(needed_a.p95),
        rough(needed_a.p05),
        fixed(temperature_c, 0),
        Second(hours * 3600.0),
    );
    match draw.map(|draw| (draw, Ampere(draw.value))) {
        None => say::job::explained_nothing_measured(needs),
        Some((draw, measured)) if draw.value + 2.0 * draw.u < needed_a.p05 => {
            say::job::explained_too_little(measured, needs)
        }
        Some((draw, measured)) if draw.value >= needed_a.p50 => {
            say::job::explained(measured, needs)
        }
        Some((_, measured)) => say::job::explained_perhaps(measured, needs),
    }
}
