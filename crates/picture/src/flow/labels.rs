//! Names, numbers and words of the loom's rows, and what shade and width mean.

use measure::quantity::Ampere;
use tongue::say;

use super::{
    LEFT, Row,
    streams::{Kind, Stream},
};
use crate::{
    canvas::{Canvas, Rect, Type, box_path, fit, n, tied, wrap},
    theme::Tone,
    words::{self, Suspicion},
};

/// Distance of a name's lines.
const LINE: f64 = 16.0;
/// Height of a row's words and of what belongs above and below them, by lines of the name beside the numbers.
const BESIDE: f64 = 10.0;

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
        wide_label(canvas, row.stream, &said, (label_x, middle + 4.5));
    }
    if row.stream.node.is_some() {
        canvas.close_node();
    }
}

/// Height that a row needs for all its words, where one line of each needs `least`.
pub(super) fn height(canvas: &Canvas, stream: &Stream, label_x: f64, least: f64) -> f64 {
    let said = said(stream);
    if canvas.narrow() {
        let narrow = Narrow::of(canvas, stream, &said, label_x);
        let more = narrow.names.len() + narrow.seconds.len();
        least + LINE * more.saturating_sub(2) as f64
    } else {
        let (name, room) = wide_name(canvas, stream, &said, label_x);
        let names = wrap(&stream.name, name, room).len();
        let (_, suspicions) = wide_suspicion(canvas, stream, &said, label_x);
        let intervals = wide_interval(canvas, &said, label_x).len();
        let lines = names.max(suspicions.len()).max(intervals);
        least.max(LINE * lines as f64 + BESIDE)
    }
}

/// The name in as many lines as it needs, and a word more where there is room
/// after the last. The first line's foot is at `y`.
fn name_and_extra(
    canvas: &mut Canvas,
    (x, y): (f64, f64),
    room: f64,
    name: Type,
    (lines, extra): (&[String], &str),
) {
    for (at, line) in lines.iter().enumerate() {
        // Only a single word can still be too long.
        canvas.text(x, y + LINE * at as f64, name, &fit(line, name, room));
    }
    let Some(last) = lines.last() else { return };
    let soft = Type::plain(12.0).tone(Tone::Soft);
    let after = x + name.width(last) + 8.0;
    if after + soft.width(extra) < x + room {
        let y = y + LINE * (lines.len() - 1) as f64;
        canvas.text(after, y, soft, extra);
    }
}

/// The words of a row on a narrow drawing: the name above what is known.
struct Narrow {
    room: f64,
    name: Type,
    names: Vec<String>,
    second: Type,
    seconds: Vec<String>,
}

impl Narrow {
    fn of(canvas: &Canvas, stream: &Stream, said: &Said, x: f64) -> Self {
        let room = canvas.width - x - 4.0;
        let name = Type {
            bold: said.strong || stream.kind == Kind::Trunk,
            ..Type::plain(14.0)
        };
        let second = Type {
            bold: said.strong,
            ..Type::plain(12.5)
        };
        let amount = if stream.uncertain() && !said.interval.is_empty() {
            &said.interval
        } else {
            &said.amount
        };
        let amount = tied(amount);
        // A feed is read by its current; how suspect it is shows in what it feeds.
        let words = match stream.kind {
            Kind::Trunk => amount,
            Kind::Unaccounted => say::picture::unexplained(&amount).to_string(),
            Kind::Rest | Kind::Leaf => format!("{amount} · {}", said.suspicion),
        };
        Self {
            room,
            names: wrap(&stream.name, name, room),
            name,
            seconds: wrap(&words, second, room),
            second,
        }
    }
}

fn narrow_label(canvas: &mut Canvas, stream: &Stream, said: &Said, x: f64, middle: f64) {
    let narrow = Narrow::of(canvas, stream, said, x);
    let more = (narrow.names.len() + narrow.seconds.len()).saturating_sub(2);
    let top = middle - 3.0 - LINE / 2.0 * more as f64;
    let lines = (narrow.names.as_slice(), stream.extra.as_str());
    name_and_extra(canvas, (x, top), narrow.room, narrow.name, lines);
    let below = top + 16.5 + LINE * narrow.names.len().saturating_sub(1) as f64;
    for (at, line) in narrow.seconds.iter().enumerate() {
        let line = fit(line, narrow.second, narrow.room);
        canvas.text(x, below + LINE * at as f64, narrow.second, &line);
    }
}

/// Type and room of a name beside its numbers.
fn wide_name(canvas: &Canvas, stream: &Stream, said: &Said, x: f64) -> (Type, f64) {
    let amount = Type {
        bold: said.strong,
        ..Type::plain(14.0)
    };
    let name = Type {
        bold: said.strong || stream.kind == Kind::Trunk,
        ..Type::plain(14.0)
    };
    let room = columns(canvas, x).amount_end - amount.width(&said.amount) - 12.0 - x;
    if name.width(&stream.name) > room {
        (Type { size: 13.0, ..name }, room)
    } else {
        (name, room)
    }
}

fn wide_label(canvas: &mut Canvas, stream: &Stream, said: &Said, (x, y): (f64, f64)) {
    let c = columns(canvas, x);
    let amount = Type {
        bold: said.strong,
        ..Type::plain(14.0)
    }
    .end();
    let (name, room) = wide_name(canvas, stream, said, x);
    let lines = wrap(&stream.name, name, room);
    let top = y - LINE / 2.0 * lines.len().saturating_sub(1) as f64;
    let lines = (lines.as_slice(), stream.extra.as_str());
    name_and_extra(canvas, (x, top), room, name, lines);
    canvas.text(c.amount_end, y, amount, &said.amount);
    let interval = wide_interval(canvas, said, x);
    put_lines(canvas, (c.interval, y), Type::plain(13.0), &interval);
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
    let (kind, lines) = wide_suspicion(canvas, stream, said, x);
    put_lines(canvas, (c.suspicion + 17.0, y), kind, &lines);
}

/// Lines around a middle foot.
fn put_lines(canvas: &mut Canvas, (x, y): (f64, f64), kind: Type, lines: &[String]) {
    let top = y - LINE / 2.0 * lines.len().saturating_sub(1) as f64;
    for (at, line) in lines.iter().enumerate() {
        canvas.text(x, top + LINE * at as f64, kind, line);
    }
}

/// The interval, in as many lines as it needs.
fn wide_interval(canvas: &Canvas, said: &Said, x: f64) -> Vec<String> {
    let c = columns(canvas, x);
    let kind = Type::plain(13.0);
    let room = c.suspicion - c.interval - 6.0;
    let lines = wrap(&said.interval, kind, room).into_iter();
    lines.map(|line| fit(&line, kind, room)).collect()
}

/// How suspect it is, in as many lines as that needs.
fn wide_suspicion(canvas: &Canvas, stream: &Stream, said: &Said, x: f64) -> (Type, Vec<String>) {
    let kind = Type {
        bold: said.strong,
        ..Type::plain(13.0)
    };
    let room = canvas.width - columns(canvas, x).suspicion - 18.0;
    let words = match stream.kind {
        Kind::Unaccounted if kind.width(&said.suspicion) > room => {
            say::picture::unexplained_short().to_string()
        }
        _ => said.suspicion.clone(),
    };
    let lines = wrap(&words, kind, room).into_iter();
    (kind, lines.map(|line| fit(&line, kind, room)).collect())
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
