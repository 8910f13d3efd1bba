//! A figure against a limit.

use measure::Uncertain;
use measure::quantity::Ampere;
use tongue::say;

use crate::analysis::{Exceeds, LimitVerdict};
use crate::states::Sleep;

/// 97.5 % quantile of the standard normal (JCGM 100:2008, table G.1).
const SURE: f64 = 1.96;

/// Accuracy of a low-range clamp, relative, half width (reference set of
/// instrument classes, from memory). A log does not say which meter wrote it,
/// so nothing closer to the limit than this is called above or below it.
const METER: f64 = 0.02;

/// Judges the long-run draw, or the settled draw where there is no other.
///
/// `metered` says that the meter's accuracy is in the uncertainties already; otherwise [`METER`] is added.
pub(crate) fn judge(limit_a: f64, sleep: &Sleep, metered: bool) -> LimitVerdict {
    let settled = sleep.settled;
    let Some(draw) = sleep.long_run.or(settled.map(|s| s.draw)) else {
        let why = sleep
            .not_settled
            .as_ref()
            .map_or_else(say::trace::no_settled_draw, |n| n.reason.clone());
        let because = say::trace::cannot_compare(Ampere(limit_a), why);
        return LimitVerdict {
            limit_a,
            exceeds: Exceeds::Unsure,
            because,
        };
    };
    let distance = draw.value - limit_a;
    let with_meter = if metered {
        draw
    } else {
        draw.widened(Uncertain::rectangular(0.0, METER * draw.value).u)
    };
    let exceeds = if distance > SURE * with_meter.u {
        Exceeds::Yes
    } else if distance < -SURE * with_meter.u {
        Exceeds::No
    } else {
        Exceeds::Unsure
    };
    // Wake-ups are worth a word from a twentieth of the draw (from memory).
    let waking =
        settled.is_some_and(|s| (draw.value - s.draw.value).abs() > 0.05 * s.draw.value.abs());
    let made_of = if metered {
        say::trace::by_log_and_meter()
    } else {
        say::trace::by_log()
    };
    let (value, u) = (Ampere(draw.value), Ampere(draw.u));
    let drawn = if waking {
        say::trace::draws_with_wake_ups(value, made_of, u)
    } else {
        say::trace::draws_asleep(value, made_of, u)
    };
    let limit = Ampere(limit_a);
    let because = match exceeds {
        Exceeds::Yes => say::trace::more_than(drawn, limit),
        Exceeds::No => say::trace::less_than(drawn, limit),
        Exceeds::Unsure => say::trace::too_close(drawn, limit),
    };
    LimitVerdict {
        limit_a,
        exceeds,
        because,
    }
}
