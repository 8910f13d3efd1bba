//! Names, numbers and words of the loom's rows, and what shade and width mean.

use measure::quantity::Ampere;
use tongue::say;

use super::{
    LEFT, Row,
    streams::{Kind, Stream},
};
use crate::{
    canvas::{Canvas, Rect, Type, box_path, fit, n, wrap},
    theme::Tone,
    words::{self, Suspicion},
};

/// Rows this high hold a name of three lines.
const THREE_LINES: f64 = 46.0;

/// Columns of the wide drawing, from the label's left edge.
struct Columns {
    amount_end: f64,
    interval: f64,
    suspicion: f64,
}

fn columns(canvas: &Canvas, label_x: f64) -> Columns {
    // At the desk's column the names need the room more.
    let (for_suspicion, for_interval) = if canvas.width < 700.0 {
        (154.0, 98.0)
    } else {
        (186.0, 106.0)
    };
    // "bis" is wider than "to", and "wahrscheinlich" than "likely".
    let (wider, wider_still) = match tongue::speaking() {
        tongue::Lang::En => (0.0, 0.0),
        tongue::Lang::De => (10.0, 12.0),
    };
    let suspicion = canvas.width - for_suspicion - wider;
    let interval = suspicion - for_interval - wider_still;
    Columns {
        amount_end: (interval - 9.0).max(label_x),
        interval,
        suspicion,
    }
}

pub(super) fn headings(canvas: &mut Canvas, y: f64, label_x: f64) {
    let kind = Type::plain(12.0).tone(Tone::Soft);
    let c = columns(canvas, label_x);
    canvas.text(label_x, y, kind, &say::picture::col_circuit().to_string());
    canvas.text(
        c.amount_end,
        y,
        kind.end(),
        &say::picture::col_draws().to_string(),
    );
    canvas.text(c.interval, y, kind, &say::picture::col_range().to_string());
    canvas.text(
        c.suspicion,
        y,
        kind,
        &say::picture::col_suspected().to_string(),
    );
}

/// What a row says.
struct Said {
    name: String,
    amount: String,
    interval: String,
    suspicion: String,
    strong: bool,
}

fn said(stream: &Stream) -> Said {
    let amount = match stream.given {
        Some(given) => words::plus_minus::<Ampere>(given),
        None if stream.uncertain() || stream.interval.is_none() => {
            words::rough_current(stream.mean_a)
        }
        None => words::current(stream.mean_a),
    };
    let interval = stream
        .interval
        .as_ref()
        .map(words::current_interval)
        .unwrap_or_default();
    let p = stream.p_fault.unwrap_or(0.0);
    let step = Suspicion::of(p);
    let suspicion = match (stream.kind, stream.culprit) {
        (Kind::Unaccounted, _) => say::picture::no_reading_explains().to_string(),
        (Kind::Rest, _) if p >= 0.02 => {
            say::picture::each_below(words::percent_short(p), step.word()).to_string()
        }
        (Kind::Rest, _) => say::picture::clear_each().to_string(),
        (_, true) => say::picture::at_fault(words::percent_short(p)).to_string(),
        _ => format!("{}, {}", step.word(), words::percent_short(p)),
    };
    let strong = stream.kind == Kind::Leaf && (stream.culprit || step >= Suspicion::Likely);
    Said {
        name: stream.name.clone(),
        amount,
        interval,
        suspicion,
        strong,
    }
}

pub(super) fn label(canvas: &mut Canvas, row: &Row<'_>, label_x: f64) {
    let said = said(row.stream);
    let hit = Rect {
        x: 2.0,
        y: row.y + 1.0,
        w: canvas.width - 4.0,
        h: row.h - 2.0,
    };
    if let Some(node) = &row.stream.node {
        let write = match row.stream.measured {
            true => say::picture::spoken_measured,
            false => say::picture::spoken_unmeasured,
        };
        let spoken = write(&said.amount, &said.name, &said.interval, &said.suspicion);
        canvas.open_node(&node.0, &spoken.to_string(), hit);
    }
    let middle = row.y + row.h / 2.0;
    if canvas.narrow() {
        narrow_label(canvas, row.stream, &said, label_x, middle);
    } else {
        let lines = if row.h >= THREE_LINES { 3 } else { 1 };
        wide_label(canvas, row.stream, &said, (label_x, middle + 4.5), lines);
    }
    if row.stream.node.is_some() {
        canvas.close_node();
    }
}

/// The name, cut where it must be, and a word more where there is room.
fn name_and_extra(canvas: &mut Canvas, (x, y): (f64, f64), room: f64, name: Type, stream: &Stream) {
    let soft = Type::plain(12.0).tone(Tone::Soft);
    canvas.text(x, y, name, &fit(&stream.name, name, room));
    let after = x + name.width(&stream.name) + 8.0;
    if after + soft.width(&stream.extra) < x + room {
        canvas.text(after, y, soft, &stream.extra);
    }
}

fn narrow_label(canvas: &mut Canvas, stream: &Stream, said: &Said, x: f64, middle: f64) {
    let room = canvas.width - x - 4.0;
    let name = Type {
        bold: said.strong || stream.kind == Kind::Trunk,
        ..Type::plain(14.0)
    };
    name_and_extra(canvas, (x, middle - 3.0), room, name, stream);
    let kind = Type {
        bold: said.strong,
        ..Type::plain(12.5)
    };
    let amount = if stream.uncertain() && !said.interval.is_empty() {
        &said.interval
    } else {
        &said.amount
    };
    // A feed is read by its current; how suspect it is shows in what it feeds.
    let second = match stream.kind {
        Kind::Trunk => amount.clone(),
        Kind::Unaccounted => say::picture::unexplained(amount).to_string(),
        Kind::Rest | Kind::Leaf => format!("{amount} · {}", said.suspicion),
    };
    canvas.text(x, middle + 13.5, kind, &fit(&second, kind, room));
}

/// The name in as many lines as it needs, where the row has room for them.
fn whole_name(canvas: &mut Canvas, (x, y): (f64, f64), room: f64, name: Type, stream: &Stream) {
    let small = Type { size: 13.0, ..name };
    let mut words = wrap(&stream.name, small, room);
    if words.len() > 3 {
        let rest = words.split_off(2).join(" ");
        words.push(rest);
    }
    let top = y - 7.5 * (words.len() - 1) as f64;
    for (at, line) in words.iter().enumerate() {
        canvas.text(x, top + 15.0 * at as f64, small, &fit(line, small, room));
    }
}

fn wide_label(canvas: &mut Canvas, stream: &Stream, said: &Said, (x, y): (f64, f64), lines: usize) {
    let c = columns(canvas, x);
    let amount = Type {
        bold: said.strong,
        ..Type::plain(14.0)
    }
    .end();
    let name = Type {
        bold: said.strong || stream.kind == Kind::Trunk,
        ..Type::plain(14.0)
    };
    let room = c.amount_end - amount.width(&said.amount) - 12.0 - x;
    if lines > 1 && name.width(&stream.name) > room {
        whole_name(canvas, (x, y), room, name, stream);
    } else {
        name_and_extra(canvas, (x, y), room, name, stream);
    }
    canvas.text(c.amount_end, y, amount, &said.amount);
    let interval = Type::plain(13.0);
    canvas.text(
        c.interval,
        y,
        interval,
        &fit(&said.interval, interval, c.suspicion - c.interval - 6.0),
    );
    let tone = match stream.kind {
        Kind::Unaccounted => Tone::Edge,
        _ => Tone::of(Suspicion::of(stream.p_fault.unwrap_or(0.0))),
    };
    canvas.shape(
        &box_path(Rect {
            x: c.suspicion,
            y: y - 10.5,
            w: 11.0,
            h: 11.0,
        }),
        tone,
        Tone::Edge,
        1.0,
    );
    let kind = Type {
        bold: said.strong,
        ..Type::plain(13.0)
    };
    let room = canvas.width - c.suspicion - 18.0;
    let suspicion = match stream.kind {
        Kind::Unaccounted if kind.width(&said.suspicion) > room => {
            say::picture::unexplained_short().to_string()
        }
        _ => said.suspicion.clone(),
    };
    canvas.text(c.suspicion + 17.0, y, kind, &fit(&suspicion, kind, room));
}

/// What width, shade and hatching mean. Returns the height of the whole picture.
pub(super) fn legend(canvas: &mut Canvas, top: f64, bundle: f64, sum_a: f64) -> f64 {
    let kind = Type::plain(12.0).tone(Tone::Soft);
    let right = canvas.width - 6.0;
    canvas.stroke(
        &format!("M{LEFT} {}H{}", n(top), n(right)),
        Tone::Faint,
        1.0,
        None,
    );
    let (mut x, mut y) = (LEFT, top + 18.0);
    let mut put = |canvas: &mut Canvas, tone: Tone, hatch: bool, w: f64, text: &str| {
        let all = w + 6.0 + kind.width(text) + 14.0;
        if x + all > right && x > LEFT {
            x = LEFT;
            y += 20.0;
        }
        let swatch = box_path(Rect {
            x,
            y: y - 10.0,
            w,
            h: 11.0,
        });
        canvas.shape(&swatch, tone, Tone::Edge, 1.0);
        if hatch {
            canvas.hatched(&swatch, "guess");
        }
        canvas.text(x + w + 6.0, y, kind, text);
        x += all;
    };
    for step in Suspicion::ALL {
        put(
            canvas,
            Tone::of(step),
            false,
            11.0,
            &format!("{} {}", step.word(), step.span()),
        );
    }
    put(
        canvas,
        Tone::Edge,
        true,
        18.0,
        &say::picture::guess().to_string(),
    );
    if let Some((length, a)) = scale_bar(bundle, sum_a) {
        put(
            canvas,
            Tone::Ink,
            false,
            length,
            &say::picture::this_wide(words::current(a)).to_string(),
        );
    }
    y + 12.0
}

/// A round current and its width: between an eighth and a third of the bundle.
fn scale_bar(bundle: f64, sum_a: f64) -> Option<(f64, f64)> {
    if sum_a <= 0.0 || !sum_a.is_finite() {
        return None;
    }
    let decade = 10f64.powf((sum_a / 3.0).log10().floor());
    let a = [5.0, 2.0, 1.0]
        .iter()
        .map(|k| k * decade)
        .find(|a| *a <= sum_a / 3.0)?;
    Some((a / sum_a * bundle, a))
}
