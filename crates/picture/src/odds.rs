//! The odds: what may be behind the complaint, as bars with numbers and words.

use job::Assessment;
use tongue::say;

use crate::{
    Drawing, Style,
    canvas::{Canvas, Rect, Type, fit, n},
    theme::Tone,
    words::{self, Suspicion},
};

/// The odds.
pub(crate) fn odds(assessment: &Assessment, style: &Style) -> Drawing {
    let (canvas, height) = draw(assessment, style);
    canvas.finish(
        height,
        &say::picture::odds().to_string(),
        &finding(assessment),
    )
}

/// The picture's finding in one sentence.
pub(crate) fn finding(assessment: &Assessment) -> String {
    match assessment.cause.iter().max_by(|a, b| a.p.total_cmp(&b.p)) {
        Some(first) => say::picture::most_probable(
            words::cause(&first.hypothesis),
            words::percent(first.p),
            Suspicion::of(first.p).word_for_cause(),
        ),
        None => say::picture::no_cause(),
    }
    .to_string()
}

/// Letters of a number that has little room.
const SMALL: f64 = 13.0;

/// From one line of text to the next.
const LINE: f64 = 20.0;

pub(crate) fn draw(assessment: &Assessment, style: &Style) -> (Canvas, f64) {
    let mut canvas = Canvas::new(style);
    if assessment.cause.is_empty() {
        canvas.text(
            8.0,
            24.0,
            Type::plain(14.0),
            &say::picture::no_odds().to_string(),
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
        let cause = words::cause(&odds.hypothesis);
        let said = format!(
            "{}, {}",
            Suspicion::of(p).word_for_cause(),
            words::percent(p)
        );
        // Where both do not fit, the number is set smaller; at last it has a line of its own.
        let fits = |kind: Type| name.width(&cause) + 12.0 + kind.width(&said) <= w;
        let small = Type {
            size: SMALL,
            ..name
        };
        let beside = fits(name) || fits(small);
        let kind = if fits(name) || !beside { name } else { small };
        let room = if beside {
            w - kind.width(&said) - 12.0
        } else {
            w
        };
        canvas.text(x, y + 19.0, name, &fit(&cause, name, room));
        if !beside {
            y += LINE;
        }
        canvas.text(x + w, y + 19.0, kind.end(), &said);
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
