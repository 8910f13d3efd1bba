//! A small picture of a trace for the terminal.

use textplots::{Chart, LabelBuilder, LabelFormat, Plot, Shape};
use trace::Trace;

/// Braille cells: 120 × 40 dots are 60 columns of 10 lines.
const DOTS_WIDE: u32 = 120;
const DOTS_HIGH: u32 = 40;

/// Current against time; the vertical axis is logarithmic, so that a sleep of
/// 20 mA shows beside 8 A awake. `None` when there is nothing to draw.
pub(crate) fn plot(trace: &Trace) -> Option<String> {
    let end_s = trace.time_s(trace.len().checked_sub(1)?);
    if end_s <= 0.0 {
        return None;
    }
    let lowest = trace
        .current_a
        .iter()
        .copied()
        .fold(f64::INFINITY, f64::min);
    let logarithmic = lowest > 0.0;
    let place = |current_a: f64| {
        if logarithmic {
            current_a.log10()
        } else {
            current_a
        }
    };
    let points: Vec<(f32, f32)> = envelope(trace, end_s)
        .into_iter()
        .map(|(time_s, current_a)| ((time_s / 3600.0) as f32, place(current_a) as f32))
        .collect();
    let unplace = move |shown: f32| {
        let value = f64::from(shown);
        measure::quantity::Ampere(if logarithmic {
            10.0_f64.powf(value)
        } else {
            value
        })
        .to_string()
    };
    Some(
        Chart::new(DOTS_WIDE, DOTS_HIGH, 0.0, (end_s / 3600.0) as f32)
            .x_label_format(LabelFormat::Custom(Box::new(|hours| {
                format!("{hours:.2} h")
            })))
            .y_label_format(LabelFormat::Custom(Box::new(unplace)))
            .lineplot(&Shape::Lines(&points))
            .to_string(),
    )
}

/// Least and greatest current of each dot column, in the order of time, so that no spike is lost.
fn envelope(trace: &Trace, end_s: f64) -> Vec<(f64, f64)> {
    let columns = DOTS_WIDE as usize;
    let mut extremes = vec![(f64::INFINITY, f64::NEG_INFINITY); columns];
    for (sample, current_a) in trace.current_a.iter().enumerate() {
        let column = ((trace.time_s(sample) / end_s * columns as f64) as usize).min(columns - 1);
        let (low, high) = &mut extremes[column];
        *low = low.min(*current_a);
        *high = high.max(*current_a);
    }
    let width_s = end_s / columns as f64;
    extremes
        .into_iter()
        .enumerate()
        .filter(|(_, (low, high))| low <= high)
        .flat_map(|(column, (low, high))| {
            let start_s = column as f64 * width_s;
            [(start_s, high), (start_s + 0.5 * width_s, low)]
        })
        .collect()
}
