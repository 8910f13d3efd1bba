//! Documents of the commands that need no job: hook-up and balance.

use battery::{
    balance::Balance,
    keeper::{Hold, KEEPS_V, Keeper},
};
use measure::{
    estimate::{FuseAnswer, InSeries},
    hookup::MeterFuse,
};
use serde_json::{Value, json};

use super::{list, number, quantiles, uncertain};
use crate::HookUpAnswer;

/// The document of `nightdraw hookup --json`.
pub fn hook_up(answer: &HookUpAnswer) -> Value {
    let estimate = &answer.estimate;
    json!({
        "how": answer.hook_up.how.as_str(),
        "instrument": answer.hook_up.instrument.id,
        "reading": uncertain(Some(estimate.reading)),
        "parts": list(&estimate.parts, |part| json!({
            "what": part.what.english(), "half_width_a": number(part.half_width_a),
        })),
        "floor_a": estimate.floor_a.map(number),
        "range_a": estimate.range_a.map(number),
        "in_series": estimate.in_series.map(in_series),
        "meter_fuse": estimate.fuse.map(|fuse| fuse_answer(fuse, answer.wake_a)),
        "bypass_fuse": estimate.bypass_fuse.map(|fuse| fuse_answer(fuse, answer.wake_a)),
        "steps": list(answer.steps, |step| json!({
            "text": step.text.english(),
            "supply": step.supply.as_str(),
            "waking_interrupts": answer.waking_interrupts(step),
            "caution": step.caution().text.english(),
        })),
        "settings": {
            "keep": answer.settings.keep,
            "why": answer.settings.why.english(),
            "source": answer.settings.source,
        },
        "keeper": answer.keeper.map(|(one, hold)| keeper(one, hold)),
        "keepers": list(&answer.keepers, |(one, hold)| keeper(one, *hold)),
    })
}

fn fuse_answer(fuse: FuseAnswer, wake_a: f64) -> Value {
    let (blows, within_s) = match fuse.at_wake {
        MeterFuse::Holds => (false, None),
        MeterFuse::Blows { within_s } => (true, within_s),
    };
    json!({
        "rating_a": number(fuse.rating_a),
        "one_second_a": fuse.one_second_a.map(number),
        "wake_a": number(wake_a),
        "blows": blows,
        "within_s": within_s.map(number),
    })
}

fn keeper(keeper: &Keeper, hold: Hold) -> Value {
    json!({
        "id": keeper.id,
        "what": keeper.what.english(),
        "hours": number(hold.hours),
        "under_draw_v": number(hold.under_draw_v),
        "under_wake_v": number(hold.under_wake_v),
        "most_a": number(hold.most_a),
        "least_v": number(KEEPS_V),
        "survives_waking": hold.survives_waking(),
    })
}

fn in_series(series: InSeries) -> Value {
    json!({
        "resistance_ohm": uncertain(Some(series.ohm)),
        "burden_v": uncertain(Some(series.burden_v)),
        "wake_burden_v": uncertain(Some(series.wake_burden_v)),
        "shown_beside_bypass": uncertain(Some(series.shown_beside_bypass)),
        "shown_clamp_on_post": uncertain(Some(series.shown_clamp_on_post)),
    })
}

/// The document of `nightdraw balance --json`.
pub fn balance(b: &Balance) -> Value {
    json!({
        "loss_ah_per_week": {
            "draw_ah": number(b.loss.draw_ah),
            "self_discharge_ah": number(b.loss.self_discharge_ah),
            "starts_ah": number(b.loss.starts_ah),
            "loads_ah": number(b.loss.loads_ah),
            "total_ah": number(b.loss.total_ah()),
        },
        "gain_ah_per_week": number(b.gain_ah),
        "settles_at": quantiles(b.settles_at),
        "p_holds": number(b.p_holds),
        "weeks_to_half": b.weeks_to_half.map(number),
        "room_a": number(b.room_a),
        "maintainer_a": number(b.maintainer_a),
        "panel_w": number(b.panel_w),
    })
}
