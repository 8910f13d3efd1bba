//! A small picture of a trace for the terminal.

use textplots::{Chart, LabelBuilder, LabelFormat, Plot, Shape};
use trace::Trace;

/// Braille dots: 140 × 40 are 70 characters on 10 lines.
const DOTS_WIDE: u32 = 140;
const DOTS_HIGH: u32 = 40;

/// Current against time. The vertical axis is logarithmic where all currents
/// are above zero, so that a sleep of 20 mA shows beside 8 A awake. `None`
/// when there is nothing to draw.
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
        let current_a = if logarithmic {
            10.0_f64.powf(value)
        } else {
            value
        };
        picture::words::current(current_a)
    };
    let shape = Shape::Lines(&points);
    let mut chart = Chart::new(DOTS_WIDE, DOTS_HIGH, 0.0, (end_s / 3600.0) as f32);
    let chart = chart
        .x_label_format(LabelFormat::Custom(Box::new(hours)))
        .y_label_format(LabelFormat::Custom(Box::new(unplace)))
        .lineplot(&shape);
    chart.figures();
    let text = chart.to_string();
    // Blank cells at the ends of lines only make a narrow terminal wrap.
    let lines: Vec<&str> = text
        .lines()
        .map(|line| line.trim_end_matches(['\u{2800}', ' ']))
        .collect();
    Some(lines.join("\n"))
}

fn hours(shown: f32) -> String {
    picture::words::duration(f64::from(shown) * 3600.0)
}

/// Least and greatest current of each dot column, in the order of time, so that no spike is lost.
fn envelope(trace: &Trace, end_s: f64) -> Vec<(f64, f64)> {
    let columns = DOTS_WIDE as usize;
    let width_s = end_s / columns as f64;
    trace::Envelope::of(trace, 0.0, end_s, columns)
        .columns
        .iter()
        .enumerate()
        .filter_map(|(column, extremes)| Some((column, (*extremes)?)))
        .flat_map(|(column, extremes)| {
            let start_s = column as f64 * width_s;
            [
                (start_s, extremes.high_a),
                (start_s + 0.5 * width_s, extremes.low_a),
            ]
        })
        .collect()
}
