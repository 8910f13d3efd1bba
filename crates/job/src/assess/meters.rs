//! Which instrument a reading was taken with, and what its display means.

use measure::{How, Instrument, InstrumentKind, Uncertain, hookup};

use crate::{Entry, Job};

/// How well a logger without stated instrument is calibrated, share of its
/// reading (common practice).
pub(super) const LOGGER_SHARE: f64 = 0.01;
/// Tolerance of a shunt's resistance, share, half width (common practice: class 0.5 to 1).
pub(super) const SHUNT_SHARE: f64 = 0.01;
/// Relative uncertainty of a current that somebody else worked out from a fuse
/// of unknown rating (from memory: spread of fuse resistances).
const FUSE_SHARE: f64 = 0.2;

/// A reading as a current, ampere, with the floor of such readings.
pub(super) struct Read {
    pub(super) current: Uncertain,
    pub(super) floor_a: Option<f64>,
}

/// A display in ampere, read `how`, across a fuse of `ohm` where that is known.
pub(super) fn shown_as_current(
    value: f64,
    how: How,
    ohm: Option<Uncertain>,
    instrument: &Instrument,
) -> Read {
    match how {
        How::Clamp | How::InLine => Read {
            current: instrument.reading(how, value).value,
            floor_a: instrument.floor_a(how, None),
        },
        How::Shunt => {
            // Shown as a current by a logger: its own last digit and the shunt's tolerance.
            let plain = Instrument::generic(InstrumentKind::InLine)
                .reading(How::InLine, value)
                .value;
            Read {
                current: plain.widened(Uncertain::rectangular(0.0, value * SHUNT_SHARE).u),
                floor_a: None,
            }
        }
        How::Millivolt => {
            // Worked out from a fuse by the person: back to the voltage, and on as usual.
            let current = match ohm {
                Some(ohm) => {
                    let drop = instrument.reading(how, value * ohm.value).value;
                    hookup::current_a(drop, ohm)
                }
                None => Uncertain::new(value, value * FUSE_SHARE),
            };
            Read {
                current,
                floor_a: ohm.and_then(|ohm| instrument.floor_a(how, Some(ohm.value))),
            }
        }
    }
}

/// A log knows its scatter only; where no meter is stated, a logger's usual accuracy is added.
pub(super) fn with_meter(job: &Job, entry: &Entry, draw: Uncertain) -> Uncertain {
    let stated = job.instrument_of(entry);
    match stated.map(|stated| stated.kind) {
        // Read with the meter's accuracy already (`logged.rs`).
        Some(InstrumentKind::Clamp | InstrumentKind::InLine) => draw,
        _ => draw.widened((draw.value * LOGGER_SHARE).abs()),
    }
}

/// The instrument of a reading: the one it names, else the first of its kind
/// in the job, else the ordinary class of its kind.
pub(super) fn instrument(job: &Job, entry: &Entry, how: How) -> Instrument {
    let fitting = || job.instruments.iter().find(|known| known.suits(how));
    job.instrument_of(entry)
        .filter(|stated| stated.suits(how))
        .or_else(fitting)
        .cloned()
        .unwrap_or_else(|| Instrument::generic(how.instrument()))
}

/// The instrument that read a total, and how.
pub(super) fn total_instrument(job: &Job, entry: &Entry) -> (Instrument, How) {
    let how_of = |instrument: &Instrument| match instrument.kind {
        InstrumentKind::InLine => Some(How::InLine),
        InstrumentKind::Clamp => Some(How::Clamp),
        _ => None,
    };
    job.instrument_of(entry)
        .into_iter()
        .chain(job.instruments.iter())
        .find_map(|known| Some((known.clone(), how_of(known)?)))
        .unwrap_or_else(|| (Instrument::generic(InstrumentKind::Clamp), How::Clamp))
}
