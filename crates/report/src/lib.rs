//! The report for owner and workshop: one self-contained HTML file.
//!
//! The owner's page comes first, in plain words with one picture; the
//! workshop's pages hold everything it rests on. The file needs no network and
//! no script, follows the reader's theme, and prints on A4 and Letter, in grey
//! too. It renders an [`Assessment`] and computes nothing of its own.

mod owner;
mod say;
mod tables;
mod workshop;

use job::{Assessment, EntryKind, Job};
use maud::{DOCTYPE, Markup, PreEscaped, html};
use picture::Style;

/// What goes into a report.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ReportOptions {
    /// Whether owner's name and number plate are printed.
    pub include_owner: bool,
    /// The assessment of [`Job::before_repair`], for before and after.
    pub before: Option<Assessment>,
}

/// Where the job stands, as the report needs to know it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Stand {
    /// Nothing entered.
    Nothing,
    /// Something is known, no culprit.
    Open,
    /// A culprit is named.
    Found,
    /// Repaired, and measured again inside the limit.
    Verified,
    /// Repaired, and not (yet) measured inside the limit.
    Repaired,
}

impl Stand {
    fn of(job: &Job, assessment: &Assessment) -> Self {
        let repaired = job
            .standing()
            .any(|(_, e)| matches!(e.kind, EntryKind::Repair { .. }));
        let inside = assessment.total.is_some() && assessment.exceeds == trace::Exceeds::No;
        match (repaired, inside) {
            (true, true) => Self::Verified,
            (true, false) => Self::Repaired,
            _ if !assessment.culprits.is_empty() => Self::Found,
            _ if job.standing().next().is_none() && assessment.total.is_none() => Self::Nothing,
            _ => Self::Open,
        }
    }
}

/// The report as one HTML file.
pub fn html(job: &Job, assessment: &Assessment, options: &ReportOptions) -> String {
    let stand = Stand::of(job, assessment);
    let name = match job.vehicle.name.trim() {
        "" => "the vehicle",
        name => name,
    };
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { "Report: " (name) }
                style { (PreEscaped(sheet())) }
            }
            body {
                main {
                    @if job.invented {
                        p.invented { "Invented: this job, its vehicle and its figures are made up to show what a report looks like." }
                    }
                    (owner::page(job, assessment, options, stand, name))
                    (workshop::pages(job, assessment, options))
                }
            }
        }
    };
    page.into_string()
}

/// Colours by day, by night, on paper; then the layout.
fn sheet() -> String {
    let (day, night) = (picture::day_theme(), picture::night_theme());
    format!(
        ":root{{color-scheme:light dark;{day}}}\n\
         @media screen and (prefers-color-scheme:dark){{:root{{{night}}}}}\n{}{}",
        include_str!("report.css"),
        picture::style_sheet()
    )
}

/// A picture in both widths, of which the reader's page shows one.
fn figure(ids: &str, caption: &str, draw: impl Fn(&Style) -> String) -> Markup {
    // 680 px fit between the margins of A4 and of Letter, so texts keep their size on paper.
    let wide = Style {
        width: 680.0,
        ..Style::wide()
    }
    .with_ids(&format!("{ids}-w"));
    let narrow = Style {
        width: 328.0,
        ..Style::narrow()
    }
    .with_ids(&format!("{ids}-n"));
    html! {
        figure {
            div.nd-wide { (PreEscaped(draw(&wide))) }
            div.nd-narrow { (PreEscaped(draw(&narrow))) }
            @if !caption.is_empty() { figcaption { (caption) } }
        }
    }
}
