//! The pictures of one job, drawn for the phone and for the desk.

use job::{Assessment, Job};
use maud::{Markup, PreEscaped, html};
use picture::{NightsOptions, Style};

/// Width of a column on the desk, CSS pixels; below about 42 rem the narrow one is shown.
const DESK: f64 = 620.0;

/// Pictures as SVG text, each in two widths; the style sheet shows the one that fits.
#[derive(Debug, Clone)]
pub(crate) struct Figures {
    pub(crate) flow: Pair,
    pub(crate) nights: Option<Pair>,
    pub(crate) odds: Pair,
}

/// One picture for narrow and wide screens.
#[derive(Debug, Clone)]
pub(crate) struct Pair {
    narrow: String,
    wide: String,
}

impl Figures {
    /// Draws them all.
    pub(crate) fn draw(id: i64, job: &Job, assessment: &Assessment) -> Self {
        // A stream leads to the place where a reading of it is entered.
        let entry = format!("/jobs/{id}/reading?node=");
        Self {
            flow: Pair::of("flow", |style| {
                picture::flow(job, assessment, &style.clone().with_links_to(&entry))
            }),
            nights: assessment.forecast.as_ref().map(|_| {
                let options = NightsOptions {
                    start_hour: None,
                    complaint_h: job.complaint.no_start_after_h,
                };
                Pair::of("nights", |style| {
                    picture::nights(assessment, &options, style)
                })
            }),
            odds: Pair::of("odds", |style| picture::odds(assessment, style)),
        }
    }
}

impl Pair {
    pub(crate) fn of(name: &str, draw: impl Fn(&Style) -> String) -> Self {
        Self {
            narrow: draw(&Style::narrow().with_ids(&format!("{name}-n"))),
            wide: draw(
                &Style {
                    width: DESK,
                    ..Style::wide()
                }
                .with_ids(&format!("{name}-w")),
            ),
        }
    }

    /// Both widths.
    pub(crate) fn markup(&self) -> Markup {
        // SVG comes from `picture`, which escapes every text it draws.
        html! {
            div class="for-hand" { (PreEscaped(&self.narrow)) }
            div class="for-desk" { (PreEscaped(&self.wide)) }
        }
    }
}
