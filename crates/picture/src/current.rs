//! The trace: current against time with its states.
//!
//! The scale is straight up to the decade of the settled level and logarithmic
//! above, so that a sleep of 23 mA and a wake-up of 8 A both show; the picture
//! says so. States are shade, hatching and word at once.

mod notes;

use measure::quantity::Ampere;
use tongue::say;
use trace::{Analysis, Envelope, State, Trace};

use crate::{
    Drawing, Mark, Style, Zoom,
    axis::{Scale, second_of_day},
    canvas::{Canvas, Rect, Type, box_path, n, tied, wrap},
    theme::Tone,
    words,
};

/// Most wake-ups that get a mark of their own.
const MOST_WAKE_MARKS: usize = 200;

/// Left edge of the plot, and what stays free at its right.
pub(crate) const PLOT: (f64, f64) = (58.0, 10.0);

/// The trace.
pub(crate) fn current(
    trace: &Trace,
    analysis: Option<&Analysis>,
    marks: &[Mark],
    zoom: Zoom<'_>,
    style: &Style,
) -> Drawing {
    let (canvas, height) = draw(trace, analysis, marks, zoom, style);
    canvas.finish(
        height,
        &say::picture::trace().to_string(),
        &finding(analysis),
    )
}

/// The picture's finding in one sentence.
pub(crate) fn finding(analysis: Option<&Analysis>) -> String {
    let Some(analysis) = analysis else {
        return say::picture::not_interpreted().to_string();
    };
    let length = words::duration(analysis.duration_s);
    let head = headline(analysis);
    let mut text = match &analysis.settled {
        Some(settled) => {
            say::picture::settled_after(head, length, words::duration(settled.since_s))
        }
        None => say::picture::in_recording(head, length),
    }
    .to_string();
    if analysis.wake_ups.count > 0 {
        text.push_str(&format!("; {}", wake_ups(analysis)));
    }
    text.push('.');
    text
}

fn headline(analysis: &Analysis) -> String {
    match (&analysis.settled, analysis.duration_s > 0.0) {
        (Some(settled), _) => say::picture::asleep_at(words::plus_minus::<Ampere>(settled.draw)),
        (None, true) => say::picture::not_settled(),
        (None, false) => say::picture::too_short(),
    }
    .to_string()
}

fn wake_ups(analysis: &Analysis) -> String {
    let mut text = say::picture::wake_ups(analysis.wake_ups.count).to_string();
    if let Some(period) = analysis.wake_ups.period_s {
        let every = say::picture::every(words::duration(period.value));
        text.push_str(&format!(", {every}"));
    }
    if let Some(mean) = analysis.wake_ups.mean_duration_s {
        let each = say::picture::each(words::duration(mean));
        text.push_str(&format!(", {each}"));
    }
    text
}

/// Where things are on the sheet.
struct Frame {
    plot: Rect,
    from_s: f64,
    to_s: f64,
    scale: Scale,
    clock_s: Option<f64>,
}

impl Frame {
    fn x(&self, t: f64) -> f64 {
        self.plot.x + ((t - self.from_s) / (self.to_s - self.from_s)).clamp(0.0, 1.0) * self.plot.w
    }

    fn y(&self, a: f64) -> f64 {
        self.plot.y + self.plot.h * (1.0 - self.scale.place(a))
    }

    fn holds(&self, t: f64) -> bool {
        (self.from_s..=self.to_s).contains(&t)
    }

    fn bottom(&self) -> f64 {
        self.plot.y + self.plot.h
    }
}

pub(crate) fn draw(
    trace: &Trace,
    analysis: Option<&Analysis>,
    marks: &[Mark],
    zoom: Zoom<'_>,
    style: &Style,
) -> (Canvas, f64) {
    let mut canvas = Canvas::new(style);
    canvas.define_hatch("awake", Tone::Edge, 7.0, 45.0, 1.0);
    canvas.define_hatch("settling", Tone::Edge, 9.0, -45.0, 0.8);
    canvas.define_hatch("wake", Tone::Limit, 4.0, 0.0, 1.2);
    canvas.define_hatch("unknown", Tone::Edge, 5.0, 90.0, 0.8);
    canvas.define_hatch("between", Tone::Ink, 4.0, 45.0, 1.6);
    let top = header(&mut canvas, analysis);
    let end = if trace.is_empty() {
        0.0
    } else {
        trace.time_s(trace.len() - 1)
    };
    let (from_s, to_s) = match zoom.view {
        Some(v) if v.from_s < v.to_s => (v.from_s.max(0.0), v.to_s.min(end)),
        _ => (0.0, end),
    };
    let something = to_s > from_s;
    if !something {
        canvas.text(
            8.0,
            top + 20.0,
            Type::plain(13.0),
            &say::picture::nothing_recorded().to_string(),
        );
        return (canvas, top + 34.0);
    }
    let plot_x = PLOT.0;
    let width = canvas.width - plot_x - PLOT.1;
    let columns = columns(&match zoom.pyramid {
        Some(pyramid) => pyramid.envelope(trace, from_s, to_s, width as usize),
        None => Envelope::of(trace, from_s, to_s, width as usize),
    });
    let frame = Frame {
        plot: Rect {
            x: plot_x,
            y: top + if marks.is_empty() { 34.0 } else { 56.0 },
            w: width,
            h: if canvas.narrow() { 190.0 } else { 230.0 },
        },
        from_s,
        to_s,
        scale: scale(&columns, analysis),
        clock_s: trace.source.start.as_deref().and_then(second_of_day),
    };
    let seen = states(&mut canvas, &frame, analysis);
    grid(&mut canvas, &frame);
    gaps(&mut canvas, &frame, trace);
    samples(&mut canvas, &frame, &columns);
    levels(&mut canvas, &frame, analysis);
    cursors(&mut canvas, &frame, zoom.cursors);
    notes::flags(&mut canvas, &frame, marks);
    notes::limit(&mut canvas, &frame, analysis);
    let y = notes::time_axis(&mut canvas, &frame);
    let height = notes::legend(&mut canvas, &seen, analysis.is_some(), y);
    (canvas, height)
}

/// A column that holds samples.
struct Column {
    at: usize,
    low: f64,
    high: f64,
}

fn columns(envelope: &Envelope) -> Vec<Column> {
    let full = envelope.columns.iter().enumerate();
    full.filter_map(|(at, c)| {
        c.map(|c| Column {
            at,
            low: c.low_a,
            high: c.high_a,
        })
    })
    .collect()
}

fn header(canvas: &mut Canvas, analysis: Option<&Analysis>) -> f64 {
    let mut y = 24.0;
    let Some(analysis) = analysis else {
        canvas.headline(8.0, y, 20.0, &say::picture::recorded().to_string());
        return y;
    };
    canvas.headline(8.0, y, 20.0, &headline(analysis));
    let mut parts = Vec::new();
    if let Some(not) = &analysis.not_settled {
        parts.push(not.reason.to_string().trim_end_matches('.').to_owned());
    }
    if analysis.wake_ups.count > 0 {
        parts.push(wake_ups(analysis));
    }
    if let Some(long_run) = analysis.long_run.filter(|_| analysis.wake_ups.count > 0) {
        let draw = tied(&words::plus_minus::<Ampere>(long_run));
        parts.push(say::picture::long_run(draw).to_string());
    } else if analysis.settled.is_none() {
        let draw = tied(&words::plus_minus::<Ampere>(analysis.average));
        parts.push(say::picture::mean_so_far(draw).to_string());
    }
    let kind = Type::plain(13.0).tone(Tone::Soft);
    for line in wrap(&parts.join(" · "), kind, canvas.width - 16.0) {
        y += 18.0;
        canvas.text(8.0, y, kind, &line);
    }
    y
}

fn scale(columns: &[Column], analysis: Option<&Analysis>) -> Scale {
    let low = columns.iter().map(|c| c.low).fold(f64::INFINITY, f64::min);
    let mut high = columns
        .iter()
        .map(|c| c.high)
        .fold(f64::NEG_INFINITY, f64::max);
    let least_high = columns.iter().map(|c| c.high).fold(f64::INFINITY, f64::min);
    let mut detail = least_high;
    if let Some(analysis) = analysis {
        high = high.max(analysis.verdict.limit_a);
        detail = analysis
            .settled
            .map_or(detail, |s| s.draw.value)
            .min(analysis.verdict.limit_a);
    }
    Scale::choose(low, high, detail)
}

/// Two lines with handles that tell them apart, and the stretch between them.
fn cursors(canvas: &mut Canvas, frame: &Frame, cursors: Option<(f64, f64)>) {
    let Some((a, b)) = cursors.filter(|(a, b)| a.is_finite() && b.is_finite()) else {
        return;
    };
    let (top, bottom) = (frame.plot.y, frame.bottom());
    if frame.holds(a) || frame.holds(b) || (a < frame.from_s) != (b < frame.from_s) {
        let (x, to) = (frame.x(a.min(b)), frame.x(a.max(b)));
        canvas.hatched(
            &box_path(Rect {
                x,
                y: bottom - 8.0,
                w: to - x,
                h: 8.0,
            }),
            "between",
        );
    }
    let mut before: Option<Rect> = None;
    for (at, name) in [(a.min(b), "A"), (a.max(b), "B")] {
        if !frame.holds(at) {
            continue;
        }
        let x = frame.x(at);
        canvas.stroke(
            &format!("M{} {}V{}", n(x), n(top), n(bottom)),
            Tone::Ink,
            2.4,
            None,
        );
        // The handle keeps within the plot, so that both can be told at its edges.
        let left = if name == "A" { x - 17.0 } else { x };
        let mut handle = Rect {
            x: left.clamp(frame.plot.x, frame.plot.x + frame.plot.w - 17.0),
            y: bottom - 27.0,
            w: 17.0,
            h: 17.0,
        };
        if before.is_some_and(|before| before.overlaps(&handle)) {
            handle.y -= 20.0;
        }
        before = Some(handle);
        canvas.rect(handle, Tone::Ink);
        canvas.text(
            handle.x + 8.5,
            handle.y + 13.0,
            Type::plain(12.0).bold().middle().tone(Tone::Paper),
            name,
        );
    }
}

/// A stretch of one state.
struct Stretch {
    state: State,
    from_s: f64,
    to_s: f64,
}

fn stretches(analysis: &Analysis, frame: &Frame) -> Vec<Stretch> {
    let mut out: Vec<Stretch> = Vec::new();
    for segment in &analysis.segments {
        if segment.end_s < frame.from_s || segment.start_s > frame.to_s {
            continue;
        }
        match out.last_mut() {
            Some(last) if last.state == segment.state => last.to_s = segment.end_s,
            _ => out.push(Stretch {
                state: segment.state,
                from_s: segment.start_s,
                to_s: segment.end_s,
            }),
        }
    }
    out
}

fn state_look(state: State) -> (Tone, Option<&'static str>, String) {
    let (tone, hatch, word) = match state {
        State::Awake => (Tone::Awake, Some("awake"), say::picture::awake()),
        State::Settling => (Tone::Settling, Some("settling"), say::picture::settling()),
        State::Asleep => (Tone::Asleep, None, say::picture::asleep()),
        State::WakeUp => (Tone::WakeUp, Some("wake"), say::picture::wake_up()),
        State::Unknown => (Tone::Panel, Some("unknown"), say::picture::unclear()),
    };
    (tone, hatch, word.to_string())
}

/// Shades the states; returns those that appear, in order of appearance.
fn states(canvas: &mut Canvas, frame: &Frame, analysis: Option<&Analysis>) -> Vec<State> {
    let mut seen = Vec::new();
    let Some(analysis) = analysis else {
        return seen;
    };
    let mut names = Vec::new();
    let strip = Rect {
        y: frame.plot.y - 20.0,
        h: 20.0,
        ..frame.plot
    };
    for stretch in stretches(analysis, frame) {
        let (a, b) = (frame.x(stretch.from_s), frame.x(stretch.to_s));
        // A short wake-up is still seen.
        let w = (b - a).max(if stretch.state == State::WakeUp {
            1.6
        } else {
            0.0
        });
        if w < 0.2 {
            continue;
        }
        if !seen.contains(&stretch.state) {
            seen.push(stretch.state);
        }
        let (tone, hatch, word) = state_look(stretch.state);
        canvas.rect(
            Rect {
                x: a,
                y: strip.y,
                w,
                h: strip.h + frame.plot.h,
            },
            tone,
        );
        if let Some(hatch) = hatch.filter(|_| w > 3.0) {
            canvas.hatched(
                &box_path(Rect {
                    x: a,
                    y: frame.plot.y,
                    w,
                    h: frame.plot.h,
                }),
                hatch,
            );
        }
        names.push((a + w / 2.0, w, stretch.state, word));
    }
    let kind = Type::plain(12.0);
    let mut wakes = 0;
    // After all shades, so that no neighbour covers them.
    for (x, w, state, word) in names {
        if kind.width(&word) + 8.0 <= w {
            canvas.text(x, strip.y + 14.5, kind.middle(), &word);
        } else if state == State::WakeUp && wakes < MOST_WAKE_MARKS {
            canvas.fill(
                &format!("M{} {}l4.5 8h-9z", n(x), n(strip.y + 6.0)),
                Tone::Limit,
            );
            wakes += 1;
        }
    }
    seen
}

fn grid(canvas: &mut Canvas, frame: &Frame) {
    let kind = Type::plain(12.0).tone(Tone::Soft).end();
    let mut taken: Vec<f64> = Vec::new();
    for a in frame.scale.ticks() {
        let y = frame.y(a);
        if taken.iter().any(|t| (t - y).abs() < 22.0) {
            continue;
        }
        taken.push(y);
        let d = format!("M{} {}h{}", n(frame.plot.x), n(y), n(frame.plot.w));
        canvas.stroke(
            &d,
            if a == 0.0 { Tone::Edge } else { Tone::Faint },
            1.0,
            None,
        );
        canvas.text(frame.plot.x - 6.0, y + 4.0, kind, &words::current(a));
    }
}

fn gaps(canvas: &mut Canvas, frame: &Frame, trace: &Trace) {
    for gap in &trace.source.gaps {
        if gap.end_s <= frame.from_s || gap.start_s >= frame.to_s {
            continue;
        }
        let (a, b) = (frame.x(gap.start_s), frame.x(gap.end_s));
        if b - a < 1.0 {
            continue;
        }
        let r = Rect {
            x: a,
            w: b - a,
            ..frame.plot
        };
        canvas.rect(r, Tone::Paper);
        canvas.hatched(&box_path(r), "unknown");
        let kind = Type::plain(12.0).middle();
        let said = say::picture::no_samples().to_string();
        if kind.width(&said) + 10.0 < r.w {
            canvas.text_on(
                a + r.w / 2.0,
                frame.plot.y + frame.plot.h / 2.0,
                kind,
                &said,
                Tone::Paper,
            );
        }
    }
}

/// The envelope, broken where columns are missing because of a gap.
fn samples(canvas: &mut Canvas, frame: &Frame, columns: &[Column]) {
    let x = |c: &Column| frame.plot.x + c.at as f64 + 0.5;
    let typical = columns
        .windows(2)
        .map(|w| w[1].at - w[0].at)
        .min()
        .unwrap_or(1);
    for run in columns.chunk_by(|a, b| b.at - a.at <= 3 * typical.max(2)) {
        let mut d = String::with_capacity(run.len() * 24);
        for (k, c) in run.iter().enumerate() {
            d.push(if k == 0 { 'M' } else { 'L' });
            d.push_str(&format!("{} {}", n(x(c)), n(frame.y(c.high))));
        }
        for c in run.iter().rev() {
            d.push_str(&format!("L{} {}", n(x(c)), n(frame.y(c.low))));
        }
        d.push('Z');
        canvas.shape(&d, Tone::Core, Tone::Core, 1.2);
    }
}

fn levels(canvas: &mut Canvas, frame: &Frame, analysis: Option<&Analysis>) {
    let Some(analysis) = analysis else { return };
    let mut d = String::new();
    let mut last_x = f64::NEG_INFINITY;
    for segment in &analysis.segments {
        if segment.end_s < frame.from_s || segment.start_s > frame.to_s {
            continue;
        }
        let (a, b) = (frame.x(segment.start_s), frame.x(segment.end_s));
        // Levels too short to be told apart would only blacken the picture.
        if b - a < 0.7 && a - last_x < 1.5 {
            continue;
        }
        let y = n(frame.y(segment.level.value));
        d.push_str(&format!("M{} {y}H{}", n(a), n(b.max(a + 1.0))));
        last_x = b;
    }
    canvas.stroke(&d, Tone::Level, 2.2, None);
}
