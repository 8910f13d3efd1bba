//! Figures as SVG text, drawn from an assessment: where the current goes, the
//! trace, the nights ahead, the odds, the steps of a hook-up.
//!
//! Each picture carries a title, a one-sentence finding as its description, and
//! colours that follow the page's custom properties (`--nd-ink`, `--nd-paper`,
//! …; see [`style_sheet`], [`day_theme`], [`night_theme`]) with the day colours
//! as plain attributes, so that it also stands alone and prints. Colour never
//! speaks alone: suspicion is shade, number and word; states are shade,
//! hatching and word. Texts are 12 px and larger at the width of the [`Style`].
//!
//! A pure function of what it is given: same input, same bytes. No number is
//! computed here but widths, sums of small streams and the remainder of the total.

mod axis;
mod canvas;
mod current;
mod drawing;
mod flow;
mod hookup;
mod marks;
mod nights;
mod odds;
mod style;
mod svg;
#[cfg(test)]
mod tests;
mod theme;
mod told;
mod week;
pub mod words;

use job::{Assessment, Job};
use trace::{Analysis, Pyramid, Trace};

pub use drawing::{Anchor, Drawing, Fill, Hatch, Line, Piece, Text};
pub use marks::marks;
pub use style::Style;
pub use theme::{Tone, contrast, day_theme, luminance, night_theme, style_sheet};

/// Part of a recording to show, seconds from its start.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TraceView {
    /// From.
    pub from_s: f64,
    /// To.
    pub to_s: f64,
}

/// How closely a recording is looked at.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Zoom<'a> {
    /// The stretch shown; `None` shows all.
    pub view: Option<TraceView>,
    /// Two moments to measure between, seconds from the start, in either order.
    pub cursors: Option<(f64, f64)>,
    /// The recording's extremes, so that a long one is drawn in milliseconds.
    pub pyramid: Option<&'a Pyramid>,
}

/// Something that happened during a recording.
#[derive(Debug, Clone, PartialEq)]
pub struct Mark {
    /// Seconds from the start of the recording.
    pub at_s: f64,
    /// A few words.
    pub label: String,
}

/// What the picture of the nights ahead may know beside the assessment.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct NightsOptions {
    /// Hour of the day at which the parking starts (0 up to 24), for night shading.
    pub start_hour: Option<f64>,
    /// Hours after which the owner found it dead.
    pub complaint_h: Option<f64>,
}

/// Where the current goes: a loom of strands from the battery to the circuits.
/// Width is the mean draw, shade the suspicion, hatching a guess; small streams
/// are put together. Each stream carries its node's name in `data-node`, and
/// links to `#node-<id>` where the style asks for links.
pub fn flow(job: &Job, assessment: &Assessment, style: &Style) -> String {
    drawn::flow(job, assessment, style).svg()
}

/// The trace: least and greatest current per pixel, levels, states, marks, limit.
/// `view` cuts a stretch out; `None` shows all.
pub fn trace(
    trace: &Trace,
    analysis: Option<&Analysis>,
    marks: &[Mark],
    view: Option<TraceView>,
    style: &Style,
) -> String {
    drawn::trace(trace, analysis, marks, view, style).svg()
}

/// As [`trace`](fn@trace), looked at closely: with cursors, and in a time that hardly depends on its length.
pub fn trace_closely(
    trace: &Trace,
    analysis: Option<&Analysis>,
    marks: &[Mark],
    zoom: Zoom<'_>,
    style: &Style,
) -> String {
    current::current(trace, analysis, marks, zoom, style).svg()
}

/// Where the time axis of a trace lies in a picture so many pixels wide: left and right edge.
pub fn trace_axis(width: f64) -> (f64, f64) {
    (current::PLOT.0, width - current::PLOT.1)
}

/// The nights ahead: charge against time with its 90 % band, the no-start
/// line, half charge; nights shaded where the start hour is known, else days.
pub fn nights(assessment: &Assessment, options: &NightsOptions, style: &Style) -> String {
    drawn::nights(assessment, options, style).svg()
}

/// The odds of each cause of the complaint.
pub fn odds(assessment: &Assessment, style: &Style) -> String {
    drawn::odds(assessment, style).svg()
}

/// The same figures as plain pieces, for paper.
pub mod drawn {
    use job::{Assessment, Job};
    use trace::{Analysis, Trace};

    use crate::{Drawing, Mark, NightsOptions, Style, TraceView, Zoom};

    /// As [`flow`](crate::flow()).
    pub fn flow(job: &Job, assessment: &Assessment, style: &Style) -> Drawing {
        crate::flow::flow(job, assessment, style)
    }

    /// As [`trace`](crate::trace()).
    pub fn trace(
        trace: &Trace,
        analysis: Option<&Analysis>,
        marks: &[Mark],
        view: Option<TraceView>,
        style: &Style,
    ) -> Drawing {
        let zoom = Zoom {
            view,
            ..Zoom::default()
        };
        crate::current::current(trace, analysis, marks, zoom, style)
    }

    /// As [`nights`](crate::nights()).
    pub fn nights(assessment: &Assessment, options: &NightsOptions, style: &Style) -> Drawing {
        crate::nights::nights(assessment, options, style)
    }

    /// As [`odds`](crate::odds()).
    pub fn odds(assessment: &Assessment, style: &Style) -> Drawing {
        crate::odds::odds(assessment, style)
    }
}

/// A week of driving against a week of standing, and where the charge settles.
pub fn week(balance: &battery::balance::Balance, style: &Style) -> String {
    week::week(balance, style).svg()
}

/// A step of a hook-up once it is done: battery post, cable, bypass, instrument,
/// and what feeds the vehicle, which is drawn thick.
pub fn hook_up(step: &harness::hookup::Step, style: &Style) -> String {
    hookup::hook_up(step, style).svg()
}

/// The one-sentence findings that the pictures carry as descriptions, for
/// captions and for pages without pictures.
pub mod finding {
    use job::Assessment;
    use trace::Analysis;

    /// Of [`flow`](crate::flow()).
    pub fn flow(assessment: &Assessment) -> String {
        crate::flow::finding(assessment)
    }

    /// Of [`trace`](crate::trace()).
    pub fn trace(analysis: Option<&Analysis>) -> String {
        crate::current::finding(analysis)
    }

    /// What a recording says beyond that, one sentence each: when it fell asleep, how regularly it woke, what pulled fuses
    /// changed, what current and voltage say together.
    pub fn told(analysis: &Analysis) -> Vec<String> {
        crate::told::sentences(analysis)
    }

    /// Of [`nights`](crate::nights()).
    pub fn nights(assessment: &Assessment) -> String {
        crate::nights::finding(assessment)
    }

    /// Of [`week`](crate::week()).
    pub fn week(balance: &battery::balance::Balance) -> String {
        crate::week::finding(balance)
    }

    /// Of [`hook_up`](crate::hook_up()).
    pub fn hook_up(step: &harness::hookup::Step) -> String {
        crate::hookup::finding(step)
    }

    /// Of [`odds`](crate::odds()).
    pub fn odds(assessment: &Assessment) -> String {
        crate::odds::finding(assessment)
    }
}
