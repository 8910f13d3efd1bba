//! The nights ahead: charge against time with its band and the no-start line.

use battery::{Forecast, Moment};
use job::Assessment;
use measure::{Quantiles, quantity::Share};
use tongue::{Message, number, say};

use crate::{
    Drawing, NightsOptions, Style,
    axis::time_ticks,
    canvas::{Canvas, Rect, Type, box_path, n, wrap},
    theme::Tone,
    words,
};

/// Night on the picture: from 20 h to 6 h (our choice; no almanac is asked).
const NIGHT: (f64, f64) = (20.0, 6.0);
/// More nights than this are not shaded one by one.
const MOST_NIGHTS: f64 = 16.0;

/// The nights ahead.
pub(crate) fn nights(assessment: &Assessment, options: &NightsOptions, style: &Style) -> Drawing {
    let (canvas, height) = draw(assessment, options, style);
    canvas.finish(
        height,
        &say::picture::nights().to_string(),
        &finding(assessment),
    )
}

/// The picture's finding in one sentence.
pub(crate) fn finding(assessment: &Assessment) -> String {
    let Some(forecast) = &assessment.forecast else {
        return match &assessment.forecast_missing {
            Some(why) => {
                say::picture::no_forecast_why(why.to_string().trim_end_matches('.')).to_string()
            }
            None => format!("{}.", say::picture::no_forecast()),
        };
    };
    let mut text = headline(forecast);
    if let Some(half) = &forecast.hours_to_half {
        let half = say::picture::half_after(words::stands(half));
        text.push_str(&format!("; {half}"));
    }
    text.push('.');
    text
}

fn headline(forecast: &Forecast) -> String {
    match &forecast.hours_to_no_start {
        Some(q) if q.p95 <= 0.0 => say::picture::no_crank_now(),
        Some(q) => say::picture::cranks_for(words::stands(q)),
        None => say::picture::cranks_long(),
    }
    .to_string()
}

struct Frame {
    plot: Rect,
    end_h: f64,
}

impl Frame {
    fn x(&self, h: f64) -> f64 {
        self.plot.x + (h / self.end_h).clamp(0.0, 1.0) * self.plot.w
    }

    fn y(&self, charge: f64) -> f64 {
        self.plot.y + (1.0 - charge.clamp(0.0, 1.0)) * self.plot.h
    }
}

pub(crate) fn draw(
    assessment: &Assessment,
    options: &NightsOptions,
    style: &Style,
) -> (Canvas, f64) {
    let mut canvas = Canvas::new(style);
    canvas.define_hatch("dead", Tone::Limit, 7.0, -45.0, 1.0);
    let Some(forecast) = assessment.forecast.as_ref().filter(|f| f.ahead.len() > 1) else {
        return missing(canvas, assessment);
    };
    let top = header(&mut canvas, forecast, options);
    let width = canvas.width - 48.0 - 12.0;
    let height = if canvas.narrow() { 190.0 } else { 210.0 };
    let frame = Frame {
        plot: Rect {
            x: 48.0,
            y: top + 32.0,
            w: width,
            h: height,
        },
        end_h: end(forecast, options),
    };
    nights_and_days(&mut canvas, &frame, options);
    charge_axis(&mut canvas, &frame);
    no_start_zone(&mut canvas, &frame, &forecast.no_start_charge);
    band(&mut canvas, &frame, &forecast.ahead);
    let y = time_axis(&mut canvas, &frame, options);
    zone_label(&mut canvas, &frame, &forecast.no_start_charge);
    if let Some(q) = &forecast.hours_to_no_start {
        let label = say::picture::no_start(words::stands(q)).to_string();
        whisker(
            &mut canvas,
            &frame,
            q,
            forecast.no_start_charge.p50,
            &label,
            Tone::Limit,
        );
    }
    if let Some(q) = &forecast.hours_to_half {
        let label = say::picture::half_charge(words::stands(q)).to_string();
        whisker(&mut canvas, &frame, q, 0.5, &label, Tone::Ink);
    }
    complaint(&mut canvas, &frame, options);
    let height = legend(&mut canvas, y + 22.0);
    (canvas, height)
}

fn missing(mut canvas: Canvas, assessment: &Assessment) -> (Canvas, f64) {
    canvas.headline(8.0, 24.0, 20.0, &say::picture::no_forecast().to_string());
    let why = match &assessment.forecast_missing {
        Some(why) => why.to_string(),
        None => say::picture::nothing_to_forecast().to_string(),
    };
    let kind = Type::plain(14.0);
    let mut y = 24.0;
    for line in wrap(&why, kind, canvas.width - 16.0) {
        y += 20.0;
        canvas.text(8.0, y, kind, &line);
    }
    (canvas, y + 14.0)
}

fn header(canvas: &mut Canvas, forecast: &Forecast, options: &NightsOptions) -> f64 {
    let mut y = 24.0;
    canvas.headline(8.0, y, 20.0, &headline(forecast));
    let mut parts = Vec::new();
    if let Some(half) = &forecast.hours_to_half {
        parts.push(say::picture::half_after(words::stands(half)).to_string());
    }
    if let Some(h) = options.complaint_h {
        parts.push(say::picture::owner_found_dead(words::hours(h)).to_string());
    }
    let kind = Type::plain(13.0).tone(Tone::Soft);
    for line in wrap(&parts.join(" · "), kind, canvas.width - 16.0) {
        y += 18.0;
        canvas.text(8.0, y, kind, &line);
    }
    y
}

/// How far ahead to look: a little past the latest no-start and the complaint.
fn end(forecast: &Forecast, options: &NightsOptions) -> f64 {
    let last = forecast.ahead.last().map_or(24.0, |m| m.hours);
    let wanted = forecast.hours_to_no_start.map_or(last, |q| q.p95 * 1.12);
    let wanted = wanted.max(options.complaint_h.unwrap_or(0.0) * 1.12);
    let end = if wanted > 0.0 && wanted.is_finite() {
        wanted.min(last)
    } else {
        last
    };
    if end > 0.0 && end.is_finite() {
        end
    } else {
        24.0
    }
}

fn nights_and_days(canvas: &mut Canvas, frame: &Frame, options: &NightsOptions) {
    let days = frame.end_h / 24.0;
    let kind = Type::plain(12.0).tone(Tone::Soft);
    let strip = frame.plot.y - 6.0;
    if days > MOST_NIGHTS {
        return;
    }
    let Some(start) = options.start_hour.filter(|h| (0.0..24.0).contains(h)) else {
        for day in 0..days.ceil() as usize {
            let (a, b) = (
                frame.x(day as f64 * 24.0),
                frame.x(day as f64 * 24.0 + 24.0),
            );
            if day % 2 == 1 {
                canvas.rect(
                    Rect {
                        x: a,
                        w: b - a,
                        ..frame.plot
                    },
                    Tone::Panel,
                );
            }
            named(canvas, a, b, strip, kind, say::picture::day, day + 1);
        }
        return;
    };
    // The night that may already be running counts as the first.
    let length = (NIGHT.1 - NIGHT.0).rem_euclid(24.0);
    let mut dusk = (NIGHT.0 - start).rem_euclid(24.0);
    if dusk > 24.0 - length {
        dusk -= 24.0;
    }
    let mut number = 1;
    while dusk < frame.end_h {
        let (a, b) = (frame.x(dusk), frame.x(dusk + length));
        if b - a > 0.5 {
            canvas.rect(
                Rect {
                    x: a,
                    y: frame.plot.y - 22.0,
                    w: b - a,
                    h: frame.plot.h + 22.0,
                },
                Tone::Night,
            );
            named(canvas, a, b, strip, kind, say::picture::night, number);
        }
        number += 1;
        dusk += 24.0;
    }
}

fn named(
    canvas: &mut Canvas,
    a: f64,
    b: f64,
    y: f64,
    kind: Type,
    word: fn(String) -> Message,
    number: usize,
) {
    let long = word(number.to_string()).to_string();
    let short = number.to_string();
    let text = if kind.width(&long) + 6.0 < b - a {
        long
    } else {
        short
    };
    if kind.width(&text) + 4.0 < b - a {
        canvas.text(f64::midpoint(a, b), y, kind.middle(), &text);
    }
}

fn charge_axis(canvas: &mut Canvas, frame: &Frame) {
    let kind = Type::plain(12.0).tone(Tone::Soft).end();
    for quarter in 0..5 {
        let charge = f64::from(quarter) / 4.0;
        let y = frame.y(charge);
        let tone = if quarter == 0 {
            Tone::Edge
        } else {
            Tone::Faint
        };
        canvas.stroke(
            &format!("M{} {}h{}", n(frame.plot.x), n(y), n(frame.plot.w)),
            tone,
            1.0,
            None,
        );
        canvas.text(
            frame.plot.x - 6.0,
            y + 4.0,
            kind,
            &format!("{:.0} %", charge * 100.0),
        );
    }
}

/// Below the line it will not crank; the line itself is not sharp.
fn no_start_zone(canvas: &mut Canvas, frame: &Frame, charge: &Quantiles) {
    let (high, middle) = (frame.y(charge.p95), frame.y(charge.p50));
    let bottom = frame.y(0.0);
    canvas.hatched(
        &box_path(Rect {
            y: high,
            h: bottom - high,
            ..frame.plot
        }),
        "dead",
    );
    let line = format!("M{} {}h{}", n(frame.plot.x), n(middle), n(frame.plot.w));
    canvas.stroke(&line, Tone::Limit, 2.0, Some(&[8.0, 4.0]));
}

fn zone_label(canvas: &mut Canvas, frame: &Frame, charge: &Quantiles) {
    let share = |c: f64| measure::quantity::significant(c * 100.0, 2);
    let kind = Type::plain(12.0).bold().tone(Tone::Limit);
    let (low, high) = (number(&share(charge.p05)), number(&share(charge.p95)));
    let text = say::picture::no_crank_between(high, low).to_string();
    let text = if share(charge.p05) == share(charge.p95) {
        say::picture::no_crank_below(words::about::<Share>(charge.p50)).to_string()
    } else {
        text
    };
    let below = frame.y(charge.p50) + 17.0;
    let y = if below + 4.0 < frame.y(0.0) {
        below
    } else {
        frame.y(charge.p95) - 6.0
    };
    canvas.text_on(frame.plot.x + 8.0, y, kind, &text, Tone::Paper);
}

fn band(canvas: &mut Canvas, frame: &Frame, ahead: &[Moment]) {
    let upto = ahead
        .iter()
        .position(|m| m.hours >= frame.end_h)
        .map_or(ahead.len(), |at| at + 1);
    let shown = ahead.get(..upto).unwrap_or(ahead);
    let mut area = String::new();
    let mut line = String::new();
    for (k, m) in shown.iter().enumerate() {
        let step = if k == 0 { 'M' } else { 'L' };
        area.push_str(&format!(
            "{step}{} {}",
            n(frame.x(m.hours)),
            n(frame.y(m.charge.p95))
        ));
        line.push_str(&format!(
            "{step}{} {}",
            n(frame.x(m.hours)),
            n(frame.y(m.charge.p50))
        ));
    }
    for m in shown.iter().rev() {
        area.push_str(&format!(
            "L{} {}",
            n(frame.x(m.hours)),
            n(frame.y(m.charge.p05))
        ));
    }
    area.push('Z');
    canvas.shape(&area, Tone::Band, Tone::Core, 1.0);
    canvas.stroke(&line, Tone::Level, 2.6, None);
}

/// A span of hours with its median, and its words where there is room.
fn whisker(
    canvas: &mut Canvas,
    frame: &Frame,
    hours: &Quantiles,
    charge: f64,
    label: &str,
    tone: Tone,
) {
    if !(hours.p50.is_finite() && hours.p50 >= 0.0 && hours.p05 <= frame.end_h) {
        return;
    }
    let y = frame.y(charge);
    let (a, x, b) = (frame.x(hours.p05), frame.x(hours.p50), frame.x(hours.p95));
    let d = format!(
        "M{} {y}H{}M{} {c}v10M{} {c}v10",
        n(a),
        n(b),
        n(a),
        n(b),
        y = n(y),
        c = n(y - 5.0)
    );
    canvas.stroke(&d, tone, 2.0, None);
    canvas.fill(&format!("M{} {}a5 5 0 1 0 .1 0z", n(x), n(y - 5.0)), tone);
    let kind = Type::plain(13.0).bold().tone(tone);
    let w = kind.width(label) + 6.0;
    let (left, right) = (frame.plot.x + 2.0, frame.plot.x + frame.plot.w);
    let spots = [
        ((b + 8.0).min(right - w), y - 9.0),
        ((x - w / 2.0).clamp(left, (right - w).max(left)), y - 12.0),
        ((x - w / 2.0).clamp(left, (right - w).max(left)), y + 24.0),
        ((right - w).max(left), y - 12.0),
        ((right - w).max(left), frame.plot.y + 18.0),
        ((right - w).max(left), frame.plot.y + 38.0),
    ];
    let free = |canvas: &Canvas, (x, y): (f64, f64)| {
        canvas.is_free(&Rect {
            x: x - 2.0,
            y: y - 14.0,
            w: w + 4.0,
            h: 19.0,
        })
    };
    // Where nothing is free the headline still says it.
    if let Some((x, y)) = spots.into_iter().find(|spot| free(canvas, *spot)) {
        canvas.text_on(x + 3.0, y, kind, label, Tone::Paper);
    }
}

fn complaint(canvas: &mut Canvas, frame: &Frame, options: &NightsOptions) {
    let Some(h) = options
        .complaint_h
        .filter(|h| *h > 0.0 && *h <= frame.end_h)
    else {
        return;
    };
    let x = frame.x(h);
    canvas.stroke(
        &format!("M{} {}v{}", n(x), n(frame.plot.y), n(frame.plot.h)),
        Tone::Ink,
        1.6,
        Some(&[2.0, 4.0]),
    );
    let kind = Type::plain(12.0);
    let text = &say::picture::found_dead().to_string();
    let w = kind.width(text) + 6.0;
    let spots = [
        (x + 5.0, 16.0),
        (x - w - 5.0, 16.0),
        (x + 5.0, 34.0),
        (x - w - 5.0, 34.0),
    ];
    let spot = spots
        .into_iter()
        .map(|(x, dy)| (x, frame.plot.y + dy))
        .find(|(x, y)| {
            *x + w < canvas.width
                && canvas.is_free(&Rect {
                    x: *x,
                    y: y - 12.0,
                    w,
                    h: 16.0,
                })
        });
    if let Some((x, y)) = spot {
        canvas.text_on(x + 3.0, y, kind, text, Tone::Paper);
    }
}

fn time_axis(canvas: &mut Canvas, frame: &Frame, options: &NightsOptions) -> f64 {
    let kind = Type::plain(12.0).tone(Tone::Soft);
    let bottom = frame.plot.y + frame.plot.h;
    let most = (frame.plot.w / 58.0) as usize;
    for tick in time_ticks(0.0, frame.end_h * 3600.0, most, None) {
        let x = frame.x(tick.at_s / 3600.0);
        canvas.stroke(&format!("M{} {}v5", n(x), n(bottom)), Tone::Edge, 1.2, None);
        let half = kind.width(&tick.label) / 2.0;
        let at = x.min(canvas.width - half - 1.0);
        if canvas.is_free(&Rect {
            x: at - half - 3.0,
            y: bottom + 8.0,
            w: 2.0 * half + 6.0,
            h: 14.0,
        }) {
            canvas.text(at, bottom + 19.0, kind.middle(), &tick.label);
        }
    }
    let shaded = match options.start_hour {
        Some(_) if frame.end_h / 24.0 <= MOST_NIGHTS => say::picture::charge_left_nights(),
        _ => say::picture::charge_left(),
    };
    let mut y = bottom + 19.0;
    for line in wrap(&shaded.to_string(), kind, canvas.width - 16.0) {
        y += 18.0;
        canvas.text(8.0, y, kind, &line);
    }
    y
}

fn legend(canvas: &mut Canvas, y: f64) -> f64 {
    let kind = Type::plain(12.0).tone(Tone::Soft);
    canvas.rect(
        Rect {
            x: 8.0,
            y: y - 10.0,
            w: 18.0,
            h: 11.0,
        },
        Tone::Band,
    );
    canvas.stroke(&format!("M8 {}h18", n(y - 4.5)), Tone::Level, 2.6, None);
    canvas.text(32.0, y, kind, &say::picture::middle_and_band().to_string());
    y + 12.0
}
