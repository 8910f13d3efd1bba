//! The report for owner and workshop: one self-contained HTML file.

use job::{Assessment, Job};

/// What goes into a report.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ReportOptions {
    /// Whether owner's name and number plate are printed.
    pub include_owner: bool,
    /// The assessment of [`job_before_repair`], for before and after.
    pub before: Option<Assessment>,
}

/// The job as it stood before its first standing repair; `None` without one.
pub fn job_before_repair(_job: &Job) -> Option<Job> {
    None
}

/// The report as one HTML file.
pub fn html(_job: &Job, _assessment: &Assessment, _options: &ReportOptions) -> String {
    String::new()
}
