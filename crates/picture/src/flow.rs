//! Where the current goes: a loom that leaves the battery and splits.
//!
//! Each circuit is one strand of the bundle, as wide as its mean draw, shaded
//! by suspicion, hatched where it is a guess. The strand runs down with its
//! bundle and turns out to the right at its own row, where name, number and
//! word stand; a cable takes its strands aside together. Rows never share
//! height and strands never cross, so labels cannot overlap at any width.

mod labels;
mod streams;

use job::{Assessment, Job, NodeAssessment};
use measure::quantity::Ampere;
use tongue::say;
use trace::Exceeds;

use crate::{
    Drawing, Style,
    canvas::{Canvas, Rect, Type, n, tied, wrap},
    theme::Tone,
    words::{self, Suspicion},
};
use labels::{headings, label, legend};
use streams::{Kind, Loom, Stream, gather};

/// Left edge.
const LEFT: f64 = 8.0;
/// Radius at which a strand turns out.
const TURN: f64 = 7.0;
/// Thinnest strand that can be seen.
const THIN: f64 = 1.6;

/// Where the current goes.
pub(crate) fn flow(job: &Job, assessment: &Assessment, style: &Style) -> Drawing {
    let (canvas, height) = draw(job, assessment, style);
    canvas.finish(
        height,
        &say::picture::flow().to_string(),
        &finding(assessment),
    )
}

/// The picture's finding in one sentence.
pub(crate) fn finding(assessment: &Assessment) -> String {
    let total = assessment.total.map(words::plus_minus::<Ampere>);
    let ends = || {
        let fed = |node: &NodeAssessment| {
            assessment
                .nodes
                .iter()
                .any(|n| n.parent.as_ref() == Some(&node.id))
        };
        assessment
            .nodes
            .iter()
            .skip(1)
            .filter(move |node| !fed(node))
    };
    let best = ends().max_by(|a, b| a.p_fault.total_cmp(&b.p_fault));
    let Some(total) = total else {
        return match best {
            Some(_) => say::picture::total_unmeasured().to_string(),
            None => say::picture::nothing_known().to_string(),
        };
    };
    let largest = ends().max_by(|a, b| a.mean_a.total_cmp(&b.mean_a));
    let mut text = match (best, largest) {
        (Some(node), _) if Suspicion::of(node.p_fault) >= Suspicion::Possible => {
            say::picture::of_total(
                words::current(node.mean_a),
                words::node_name(&node.id, &node.label, node.kind),
                words::percent(node.p_fault),
                total,
                Suspicion::of(node.p_fault).word(),
            )
        }
        (_, Some(node)) => say::picture::none_stands_out(
            words::rough_current(node.mean_a),
            words::node_name(&node.id, &node.label, node.kind),
            total,
        ),
        _ => say::picture::none_listed(total),
    }
    .to_string();
    if let Some(rest) = assessment.unaccounted
        && assessment.exceeds != Exceeds::No
    {
        let rest = say::picture::rest_unread(words::plus_minus::<Ampere>(rest));
        text.push_str(&format!("; {rest}"));
    }
    text.push('.');
    text
}

/// Sizes that depend on the width.
struct Metrics {
    bundle: f64,
    step: f64,
    row: f64,
    narrow: bool,
}

/// One row: a stream and where it stands.
struct Row<'a> {
    stream: &'a Stream,
    /// Rows of the feeds above it.
    above: Vec<usize>,
    y: f64,
    h: f64,
    /// Width of its strands together.
    width: f64,
    /// Left edge of its strands where they leave the battery.
    x: f64,
}

pub(crate) fn draw(job: &Job, assessment: &Assessment, style: &Style) -> (Canvas, f64) {
    let mut canvas = Canvas::new(style);
    canvas.define_hatch("guess", Tone::Paper, 6.0, 45.0, 2.2);
    let metrics = metrics(&canvas, style);
    let loom = gather(job, assessment, if metrics.narrow { 9 } else { 12 });
    let top = header(&mut canvas, assessment, &loom);
    if loom.streams.is_empty() {
        return nothing_listed(canvas, top);
    }
    let mut rows = lay(&loom, &metrics);
    let depth = rows.iter().map(|r| r.above.len()).max().unwrap_or(0) as f64;
    let bundle: f64 = rows
        .iter()
        .filter(|r| r.above.is_empty())
        .map(|r| r.width)
        .sum();
    let label_x = LEFT + bundle + metrics.step * depth + TURN + 24.0;
    place(&mut rows, &canvas, &metrics, (label_x, top + 18.0));
    battery(&mut canvas, top, bundle);
    if !metrics.narrow {
        headings(&mut canvas, top + 8.0, label_x);
    }
    for row in &rows {
        match row.stream.kind {
            Kind::Trunk => leader(&mut canvas, row, &metrics, label_x),
            _ => strand(&mut canvas, row, &rows, top + 12.0, &metrics, label_x - 9.0),
        }
        label(&mut canvas, row, label_x);
    }
    let bottom = rows.last().map_or(top, |r| r.y + r.h);
    let height = legend(&mut canvas, bottom + 10.0, metrics.bundle, loom.sum_a);
    (canvas, height)
}

fn metrics(canvas: &Canvas, style: &Style) -> Metrics {
    let narrow = canvas.narrow();
    let row = match (narrow, style.links) {
        (_, true) => 48.0,
        (true, false) => 42.0,
        (false, false) => 28.0,
    };
    Metrics {
        bundle: if narrow {
            78.0
        } else {
            (canvas.width * 0.145).min(120.0)
        },
        step: if narrow { 9.0 } else { 13.0 },
        row,
        narrow,
    }
}

/// Total, limit and what is still to be traced. Returns where the battery is drawn.
fn header(canvas: &mut Canvas, assessment: &Assessment, loom: &Loom) -> f64 {
    let small = Type::plain(13.0);
    let mut y = 24.0;
    let limit = words::current(assessment.limit_a);
    let (total, tail) = match assessment.total {
        Some(total) => (
            words::plus_minus::<Ampere>(total),
            say::picture::leave().to_string(),
        ),
        None => (say::picture::unmeasured().to_string(), String::new()),
    };
    let after = LEFT + canvas.headline(LEFT, y, 22.0, &total) + 6.0;
    let mut lines = Vec::new();
    if after + Type::plain(14.0).width(&tail) <= canvas.width - LEFT {
        canvas.text(after, y, Type::plain(14.0), &tail);
    }
    if assessment.total.is_some() {
        let verdict = match assessment.exceeds {
            Exceeds::Yes => say::picture::above(limit),
            Exceeds::No => say::picture::below(limit),
            Exceeds::Unsure => say::picture::too_close(limit),
        };
        lines.push(verdict.to_string());
        if loom.untraced
            && assessment.exceeds != Exceeds::No
            && let Some(rest) = assessment.unaccounted
        {
            let rest = tied(&words::plus_minus::<Ampere>(rest));
            lines.push(say::picture::not_yet_accounted(rest).to_string());
        }
    } else if !loom.streams.is_empty() {
        let usual = words::rough_current(loom.sum_a);
        lines.push(say::picture::usual_here(usual).to_string());
    }
    for line in wrap(&lines.join(" "), small, canvas.width - 2.0 * LEFT) {
        y += 19.0;
        canvas.text(LEFT, y, small.tone(Tone::Soft), &line);
    }
    y + 20.0
}

fn nothing_listed(mut canvas: Canvas, top: f64) -> (Canvas, f64) {
    let kind = Type::plain(14.0);
    let mut y = top + 8.0;
    for line in wrap(
        &say::picture::no_circuits().to_string(),
        kind,
        canvas.width - 16.0,
    ) {
        canvas.text(LEFT, y, kind, &line);
        y += 20.0;
    }
    (canvas, y)
}

/// The battery: a case with two posts, as wide as what leaves it.
fn battery(canvas: &mut Canvas, y: f64, bundle: f64) {
    let w = bundle.max(24.0);
    canvas.rect(
        Rect {
            x: LEFT,
            y,
            w,
            h: 12.0,
        },
        Tone::Ink,
    );
    for x in [LEFT + w * 0.14, LEFT + w * 0.86 - 6.0] {
        canvas.rect(
            Rect {
                x,
                y: y - 4.0,
                w: 6.0,
                h: 4.0,
            },
            Tone::Ink,
        );
    }
}

/// Rows with their strands from right to left.
fn lay<'a>(loom: &'a Loom, metrics: &Metrics) -> Vec<Row<'a>> {
    let scale = if loom.sum_a > 0.0 {
        metrics.bundle / loom.sum_a
    } else {
        0.0
    };
    let mut rows = Vec::new();
    for stream in &loom.streams {
        flatten(stream, Vec::new(), scale, &mut rows);
    }
    let bundle: f64 = rows
        .iter()
        .filter(|r| r.above.is_empty())
        .map(|r| r.width)
        .sum();
    let mut right = LEFT + bundle;
    for row in &mut rows {
        row.x = right - row.width;
        if row.stream.kind != Kind::Trunk {
            right -= row.width;
        }
    }
    rows
}

/// Rows from top to bottom, each as high as its strands and its words need.
fn place(rows: &mut [Row<'_>], canvas: &Canvas, metrics: &Metrics, (x, top): (f64, f64)) {
    let mut y = top;
    for row in rows {
        let words = labels::height(canvas, row.stream, x, metrics.row);
        row.y = y;
        row.h = match row.stream.kind {
            Kind::Trunk => words,
            _ => words.max(row.width + 2.0 * TURN),
        };
        y += row.h;
    }
}

/// Adds a stream and all below it; returns the width of its strands.
fn flatten<'a>(stream: &'a Stream, above: Vec<usize>, scale: f64, rows: &mut Vec<Row<'a>>) -> f64 {
    let at = rows.len();
    let mut below = above.clone();
    below.push(at);
    rows.push(Row {
        stream,
        above,
        y: 0.0,
        h: 0.0,
        width: 0.0,
        x: 0.0,
    });
    let width = if stream.children.is_empty() {
        (stream.mean_a * scale).max(THIN)
    } else {
        stream
            .children
            .iter()
            .map(|c| flatten(c, below.clone(), scale, rows))
            .sum()
    };
    rows[at].width = width;
    width
}

/// One strand from the battery to its row.
fn strand(
    canvas: &mut Canvas,
    row: &Row<'_>,
    rows: &[Row<'_>],
    from: f64,
    metrics: &Metrics,
    end: f64,
) {
    let (w, middle) = (row.width, row.y + row.h / 2.0);
    let mut x = row.x;
    let (mut left, mut right) = (
        vec![format!("{} {}", n(x), n(from))],
        format!("M{} {}", n(x + w), n(from)),
    );
    for feed in row.above.iter().filter_map(|at| rows.get(*at)) {
        let (a, b) = (feed.y + 2.0, feed.y + feed.h - 2.0);
        let half = f64::midpoint(a, b);
        let next = x + metrics.step;
        right.push_str(&format!(
            "V{}C{} {} {} {} {} {}",
            n(a),
            n(x + w),
            n(half),
            n(next + w),
            n(half),
            n(next + w),
            n(b)
        ));
        left.push(format!(
            "{} {}C{} {} {} {} {} {}L",
            n(next),
            n(b),
            n(next),
            n(half),
            n(x),
            n(half),
            n(x),
            n(a)
        ));
        x = next;
    }
    let tip = (w / 2.0).clamp(2.5, 8.0);
    let turn_y = middle - w / 2.0 - TURN;
    right.push_str(&format!(
        "V{}A{TURN} {TURN} 0 0 0 {} {}H{}L{} {}L{} {}H{}A{r} {r} 0 0 1 {} {}L",
        n(turn_y),
        n(x + w + TURN),
        n(middle - w / 2.0),
        n(end - tip),
        n(end),
        n(middle),
        n(end - tip),
        n(middle + w / 2.0),
        n(x + w + TURN),
        n(x),
        n(turn_y),
        r = n(TURN + w),
    ));
    let back: String = left.iter().rev().map(String::as_str).collect();
    let d = format!("{right}{back}Z");
    let shade = match row.stream.kind {
        Kind::Unaccounted => Tone::Edge,
        _ => Tone::of(Suspicion::of(row.stream.p_fault.unwrap_or(0.0))),
    };
    canvas.shape(&d, shade, Tone::Edge, 0.8);
    if row.stream.uncertain() && w > 3.0 {
        canvas.hatched(&d, "guess");
        canvas.stroke(&d, Tone::Edge, 0.8, None);
    }
}

/// A dotted line from a bundle to its words.
fn leader(canvas: &mut Canvas, row: &Row<'_>, metrics: &Metrics, label_x: f64) {
    let from = row.x + row.width + metrics.step * (row.above.len() as f64 + 1.0);
    let y = n(row.y + row.h / 2.0);
    canvas.stroke(
        &format!("M{} {y}H{}", n(from + 4.0), n(label_x - 5.0)),
        Tone::Edge,
        1.2,
        Some(&[1.5, 3.5]),
    );
}
