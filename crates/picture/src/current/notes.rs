//! What is written around the trace: limit, entries, time, legend.

use trace::{Analysis, State};

use super::{Frame, state_look};
use tongue::say;

use crate::{
    Mark,
    axis::{clock_time, time_ticks},
    canvas::{Canvas, Rect, Type, box_path, fit, n, wrap},
    theme::Tone,
    words,
};

pub(super) fn limit(canvas: &mut Canvas, frame: &Frame, analysis: Option<&Analysis>) {
    let Some(analysis) = analysis else { return };
    let y = frame.y(analysis.verdict.limit_a);
    canvas.stroke(
        &format!("M{} {}h{}", n(frame.plot.x), n(y), n(frame.plot.w)),
        Tone::Limit,
        1.6,
        Some(&[7.0, 4.0]),
    );
    let text = say::picture::limit(words::current(analysis.verdict.limit_a)).to_string();
    let kind = Type::plain(12.0).bold().tone(Tone::Limit);
    let w = kind.width(&text) + 6.0;
    let right = frame.plot.x + frame.plot.w - 6.0;
    // Where the trace leaves most room: beside the line, right or left, above or below.
    let spots = [
        (right - w, y - 6.0),
        (frame.plot.x + 8.0, y - 6.0),
        (right - w, y + 16.0),
    ];
    let spot = spots
        .into_iter()
        .find(|(x, y)| {
            canvas.is_free(&Rect {
                x: *x,
                y: y - 12.0,
                w,
                h: 15.0,
            })
        })
        .unwrap_or(spots[0]);
    canvas.text_on(spot.0 + 3.0, spot.1, kind, &text, Tone::Paper);
}

/// Entries: a flag each, with words where they fit in two rows.
pub(super) fn flags(canvas: &mut Canvas, frame: &Frame, marks: &[Mark]) {
    let kind = Type::plain(12.0);
    for mark in marks
        .iter()
        .filter(|m| m.at_s >= frame.from_s && m.at_s <= frame.to_s)
    {
        let x = frame.x(mark.at_s);
        let top = frame.plot.y - 20.0;
        canvas.stroke(
            &format!("M{} {}V{}", n(x), n(top), n(frame.bottom())),
            Tone::Ink,
            1.2,
            Some(&[2.0, 3.0]),
        );
        let text = fit(&mark.label, kind, 150.0);
        let w = kind.width(&text);
        let left = (x - w / 2.0).clamp(frame.plot.x, frame.plot.x + frame.plot.w - w);
        let free = [top - 5.0, top - 19.0].into_iter().find(|y| {
            canvas.is_free(&Rect {
                x: left - 4.0,
                y: y - 11.0,
                w: w + 8.0,
                h: 13.0,
            })
        });
        if let Some(y) = free {
            canvas.text(left, y, kind, &text);
        }
    }
}

pub(super) fn time_axis(canvas: &mut Canvas, frame: &Frame) -> f64 {
    let bottom = frame.bottom();
    let spacing = if frame.clock_s.is_some() { 56.0 } else { 74.0 };
    let most = (frame.plot.w / spacing) as usize;
    let kind = Type::plain(12.0).tone(Tone::Soft);
    canvas.stroke(
        &format!("M{} {}h{}", n(frame.plot.x), n(bottom), n(frame.plot.w)),
        Tone::Edge,
        1.2,
        None,
    );
    for tick in time_ticks(frame.from_s, frame.to_s, most, frame.clock_s) {
        let x = frame.x(tick.at_s);
        canvas.stroke(&format!("M{} {}v5", n(x), n(bottom)), Tone::Edge, 1.2, None);
        let half = kind.width(&tick.label) / 2.0;
        let at = x.clamp(half, canvas.width - half - 1.0);
        let r = Rect {
            x: at - half - 3.0,
            y: bottom + 8.0,
            w: 2.0 * half + 6.0,
            h: 14.0,
        };
        if r.x < 0.0 || canvas.is_free(&r) {
            canvas.text(at, bottom + 19.0, kind.middle(), &tick.label);
        }
    }
    let from = match frame.clock_s {
        Some(clock) => say::picture::clock_from(clock_time(clock + frame.from_s, 60.0)),
        None => say::picture::from_start(),
    };
    let text = format!("{from} · {}", frame.scale.says());
    let mut y = bottom + 19.0;
    for line in wrap(&text, kind, canvas.width - 16.0) {
        y += 18.0;
        canvas.text(8.0, y, kind, &line);
    }
    y
}

pub(super) fn legend(canvas: &mut Canvas, seen: &[State], levels: bool, y: f64) -> f64 {
    let kind = Type::plain(12.0).tone(Tone::Soft);
    let (mut x, mut y) = (8.0, y + 22.0);
    let right = canvas.width - 8.0;
    let mut place = |width: f64| {
        if x + width > right && x > 8.0 {
            x = 8.0;
            y += 20.0;
        }
        let at = (x, y);
        x += width + 14.0;
        at
    };
    let (range, level) = (
        say::picture::least_to_greatest().to_string(),
        say::picture::level().to_string(),
    );
    let (at, base) = place(20.0 + kind.width(&range));
    canvas.rect(
        Rect {
            x: at,
            y: base - 9.0,
            w: 14.0,
            h: 9.0,
        },
        Tone::Core,
    );
    canvas.text(at + 20.0, base, kind, &range);
    if levels {
        let (at, base) = place(20.0 + kind.width(&level));
        canvas.stroke(
            &format!("M{} {}h14", n(at), n(base - 4.0)),
            Tone::Level,
            2.2,
            None,
        );
        canvas.text(at + 20.0, base, kind, &level);
    }
    let mut bottom = base;
    for state in seen {
        let (tone, hatch, word) = state_look(*state);
        let (at, base) = place(20.0 + kind.width(&word));
        let swatch = box_path(Rect {
            x: at,
            y: base - 10.0,
            w: 14.0,
            h: 11.0,
        });
        canvas.shape(&swatch, tone, Tone::Edge, 0.8);
        if let Some(hatch) = hatch {
            canvas.hatched(&swatch, hatch);
        }
        canvas.text(at + 20.0, base, kind, &word);
        bottom = base;
    }
    bottom + 12.0
}
