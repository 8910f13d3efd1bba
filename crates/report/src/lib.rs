//! The report for owner and workshop: one self-contained HTML file, or a PDF.
//!
//! The owner's page comes first, in plain words with one picture; the
//! workshop's pages hold everything it rests on. The file needs no network and
//! no script, follows the reader's theme, and prints on A4 and Letter, in grey
//! too. It renders an [`Assessment`] and computes nothing of its own.

mod doc;
mod html;
mod names;
mod owner;
mod pdf;
mod tables;
mod workshop;

use job::{Assessment, EntryKind, Job};
use tongue::say;

use doc::Document;
pub use pdf::{Paper, PdfError};

/// What goes into a report.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ReportOptions {
    /// Whether owner's name and number plate are printed.
    pub include_owner: bool,
    /// The assessment of [`Job::before_repair`], for before and after.
    pub before: Option<Assessment>,
    /// Address of this report on a bench; with it the HTML report has links,
    /// on the screen only, to its PDF (`ADDRESS.pdf`) and to the report with
    /// or without the owner's name.
    pub take_along: Option<String>,
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
            _ if !assessment.culprits.is_empty() || assessment.outside_named().is_some() => {
                Self::Found
            }
            _ if job.standing().next().is_none() && assessment.total.is_none() => Self::Nothing,
            _ => Self::Open,
        }
    }
}

/// The report as one HTML file, in the language that is [spoken](tongue::speak).
pub fn html(job: &Job, assessment: &Assessment, options: &ReportOptions) -> String {
    html::page(&document(job, assessment, options), options)
}

/// The same report as a PDF file: figures and words are those of [`html`],
/// fonts are embedded, it is tagged after PDF/UA-1. The owner's page is one
/// sheet; it is drawn smaller when it would be longer, down to seven tenths.
/// Latin, Greek and Cyrillic letters are in its own faces; for others those
/// installed on this machine are used, where they may be embedded. A letter
/// that none has shows as a question mark, and the last page names it.
///
/// # Errors
/// When the file would break a rule of PDF/UA-1 that a machine can check;
/// nothing that can be entered in a job should lead there.
pub fn pdf(
    job: &Job,
    assessment: &Assessment,
    options: &ReportOptions,
    paper: Paper,
) -> Result<Vec<u8>, PdfError> {
    pdf::write(&document(job, assessment, options), paper)
}

fn document(job: &Job, assessment: &Assessment, options: &ReportOptions) -> Document {
    let stand = Stand::of(job, assessment);
    let name = match job.vehicle.name.trim() {
        "" => say::report::no_name().to_string(),
        name => name.to_owned(),
    };
    Document {
        title: say::report::title(name.as_str()).to_string(),
        owner: owner::page(job, assessment, options, stand, &name),
        workshop: workshop::pages(job, assessment, options),
    }
}
