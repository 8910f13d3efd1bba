//! A week of driving against a week of standing: what is taken, what is given,
//! and the charge at which the two meet.

use battery::balance::{Balance, KEPT};
use measure::quantity::AmpereHour;
use tongue::say;

use crate::{
    Drawing, Style,
    canvas::{Canvas, Rect, Type, n},
    theme::Tone,
    words::{self, rough},
};

/// The week.
pub(crate) fn week(balance: &Balance, style: &Style) -> Drawing {
    let mut canvas = Canvas::new(style);
    let (x, w) = (8.0, canvas.width - 16.0);
    let taken = balance.loss.total_ah();
    let most = taken.max(balance.gain_ah).max(1e-9);
    let mut y = taken_bar(&mut canvas, balance, x, w / most);
    y = given_bar(&mut canvas, balance, (x, y), w / most);
    let height = level(&mut canvas, balance, Rect { x, y, w, h: 26.0 });
    canvas.finish(height, &say::picture::week().to_string(), &finding(balance))
}

/// The picture's finding in one sentence.
pub(crate) fn finding(balance: &Balance) -> String {
    say::picture::week_finding(
        rough::<AmpereHour>(balance.gain_ah),
        words::percent(balance.settles_at.p95),
        words::percent(balance.settles_at.p50),
        words::percent(balance.settles_at.p05),
        rough::<AmpereHour>(balance.loss.total_ah()),
    )
    .to_string()
}

/// What is taken, part by part; gives where to go on.
fn taken_bar(canvas: &mut Canvas, balance: &Balance, x: f64, scale: f64) -> f64 {
    let kind = Type::plain(14.0);
    let total = rough::<AmpereHour>(balance.loss.total_ah());
    canvas.text(
        x,
        18.0,
        kind.bold(),
        &say::picture::week_takes(total).to_string(),
    );
    let loss = balance.loss;
    let parts = [
        (say::picture::week_parked(), loss.draw_ah, Tone::Likely),
        (
            say::picture::week_self_discharge(),
            loss.self_discharge_ah,
            Tone::Clear,
        ),
        (say::picture::week_starts(), loss.starts_ah, Tone::Possible),
        (
            say::picture::week_engine_off(),
            loss.loads_ah,
            Tone::Unlikely,
        ),
    ];
    let mut at = x;
    for (_, ah, tone) in &parts {
        bar(canvas, (at, 28.0), ah * scale, *tone);
        at += ah * scale;
    }
    // A key in rows: names stand beside their shade, never in the bar alone.
    let small = Type::plain(13.0);
    let (mut left, mut y) = (x, 72.0);
    for (name, ah, tone) in parts.into_iter().filter(|(_, ah, _)| *ah > 0.0) {
        let text = format!("{name} {}", rough::<AmpereHour>(ah));
        let room = 24.0 + small.width(&text) + 14.0;
        if left + room > canvas.width && left > x {
            left = x;
            y += 20.0;
        }
        bar_of(
            canvas,
            Rect {
                x: left,
                y: y - 11.0,
                w: 14.0,
                h: 13.0,
            },
            tone,
        );
        canvas.text(left + 20.0, y, small, &text);
        left += room;
    }
    y + 30.0
}

fn given_bar(canvas: &mut Canvas, balance: &Balance, (x, y): (f64, f64), scale: f64) -> f64 {
    let given = rough::<AmpereHour>(balance.gain_ah);
    let kind = Type::plain(14.0).bold();
    canvas.text(x, y, kind, &say::picture::week_gives(given).to_string());
    bar(canvas, (x, y + 10.0), balance.gain_ah * scale, Tone::Core);
    y + 74.0
}

fn bar(canvas: &mut Canvas, (x, y): (f64, f64), w: f64, tone: Tone) {
    if w > 0.2 {
        bar_of(canvas, Rect { x, y, w, h: 24.0 }, tone);
    }
}

fn bar_of(canvas: &mut Canvas, r: Rect, tone: Tone) {
    canvas.shape(&crate::canvas::box_path(r), tone, Tone::Edge, 1.0);
}

/// The level at which it settles, on a scale of charge, with its band.
fn level(canvas: &mut Canvas, balance: &Balance, r: Rect) -> f64 {
    let q = balance.settles_at;
    let at = |charge: f64| r.x + charge.clamp(0.0, 1.0) * r.w;
    let said = if q.p50 > 0.0 {
        say::picture::week_settles(words::percent(q.p50))
    } else {
        say::picture::week_runs_empty()
    };
    let said = said.to_string();
    canvas.text(r.x, r.y - 10.0, Type::plain(14.0).bold(), &said);
    canvas.shape(&crate::canvas::box_path(r), Tone::Panel, Tone::Edge, 1.0);
    let band = Rect {
        x: at(q.p05),
        w: (at(q.p95) - at(q.p05)).max(2.0),
        ..r
    };
    canvas.rect(band, Tone::Band);
    canvas.stroke(
        &format!("M{} {}v{}", n(at(KEPT)), n(r.y - 4.0), n(r.h + 8.0)),
        Tone::Limit,
        2.0,
        Some(&[5.0, 3.0]),
    );
    canvas.stroke(
        &format!("M{} {}v{}", n(at(q.p50)), n(r.y), n(r.h)),
        Tone::Level,
        4.0,
        None,
    );
    let y = r.y + r.h + 18.0;
    let kind = Type::plain(12.0).tone(Tone::Soft);
    canvas.text(r.x, y, kind, &say::picture::week_empty().to_string());
    canvas.text(
        at(KEPT),
        y,
        kind.middle(),
        &say::picture::week_keep_above().to_string(),
    );
    canvas.text(
        r.x + r.w,
        y,
        kind.end(),
        &say::picture::week_full().to_string(),
    );
    let y = y + 22.0;
    let band = say::picture::week_band(words::percent_short(q.p95), words::percent_short(q.p05));
    canvas.text(r.x, y, kind, &band.to_string());
    y + 10.0
}
