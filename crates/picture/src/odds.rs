//! The odds: what may be behind the complaint, as bars with numbers and words.

use job::Assessment;

use crate::{
    Drawing, Style,
    canvas::{Canvas, Rect, Type, fit, n},
    theme::Tone,
    words::{self, Suspicion},
};

/// The odds.
pub(crate) fn odds(assessment: &Assessment, style: &Style) -> Drawing {
    let (canvas, height) = draw(assessment, style);
    canvas.finish(height, "The odds of each cause", &finding(assessment))
}

/// The picture's finding in one sentence.
pub(crate) fn finding(assessment: &Assessment) -> String {
    match assessment.cause.iter().max_by(|a, b| a.p.total_cmp(&b.p)) {
        Some(first) => format!(
            "Most probable cause of the complaint: {} ({}, {}).",
            words::cause(&first.hypothesis),
            Suspicion::of(first.p).word_for_cause(),
            words::percent(first.p)
        ),
        None => "Nothing can be said about the cause yet.".into(),
    }
}

pub(crate) fn draw(assessment: &Assessment, style: &Style) -> (Canvas, f64) {
    let mut canvas = Canvas::new(style);
    if assessment.cause.is_empty() {
        canvas.text(
            8.0,
            24.0,
            Type::plain(14.0),
            "No odds yet: nothing is entered.",
        );
        return (canvas, 38.0);
    }
    let (x, w) = (8.0, canvas.width - 16.0);
    let name = Type::plain(15.0);
    let mut y = 0.0;
    let greatest = |a: &usize, b: &usize| assessment.cause[*a].p.total_cmp(&assessment.cause[*b].p);
    let first = (0..assessment.cause.len())
        .rev()
        .max_by(greatest)
        .unwrap_or(0);
    for (at, odds) in assessment.cause.iter().enumerate() {
        let p = if odds.p.is_finite() {
            odds.p.clamp(0.0, 1.0)
        } else {
            0.0
        };
        let name = if at == first { name.bold() } else { name };
        let said = format!(
            "{}, {}",
            Suspicion::of(p).word_for_cause(),
            words::percent(p)
        );
        let room = w - name.width(&said) - 12.0;
        canvas.text(
            x,
            y + 19.0,
            name,
            &fit(&words::cause(&odds.hypothesis), name, room),
        );
        canvas.text(x + w, y + 19.0, name.end(), &said);
        canvas.rect(
            Rect {
                x,
                y: y + 26.0,
                w,
                h: 9.0,
            },
            Tone::Panel,
        );
        if p > 0.0 {
            canvas.rect(
                Rect {
                    x,
                    y: y + 26.0,
                    w: (w * p).max(1.5),
                    h: 9.0,
                },
                Tone::of(Suspicion::of(p)),
            );
        }
        let d = format!(
            "M{} {}h{}v9h{}z",
            n(x),
            n(y + 26.0),
            n((w * p).max(1.5)),
            n(-(w * p).max(1.5))
        );
        canvas.stroke(&d, Tone::Edge, 1.0, None);
        y += 46.0;
    }
    (canvas, y)
}
