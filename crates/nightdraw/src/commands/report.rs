//! `nightdraw report`: one self-contained file, HTML or PDF.

use std::{fs, path::Path};

use report::Paper;
use tongue::say;

use crate::{
    cli::{PaperArgument, ReportArguments},
    commands::{find_job_and_history, writable},
    failure::{Deed, Failure, file_failure},
    output::{print, remark},
};

pub(crate) fn run(arguments: &ReportArguments) -> Result<(), Failure> {
    for path in [&arguments.pdf, &arguments.output].into_iter().flatten() {
        writable(path)?;
    }
    let (job, history) = find_job_and_history(
        &arguments.job,
        arguments.data.as_deref(),
        arguments.without_history,
    )?;
    let assessment = job::assess_with(&job, &history);
    let options = report::ReportOptions {
        include_owner: arguments.with_owner,
        before: job
            .before_repair()
            .map(|before| job::assess_with(&before, &history)),
        take_along: None,
    };
    if let Some(path) = &arguments.pdf {
        let paper = match arguments.paper {
            PaperArgument::A4 => Paper::A4,
            PaperArgument::Letter => Paper::Letter,
        };
        let pdf = report::pdf(&job, &assessment, &options, paper)
            .map_err(|error| Failure::input("pdf", error.to_string(), say::cli::pdf_hint()))?;
        keep(path, &pdf)?;
    }
    match (&arguments.output, &arguments.pdf) {
        (Some(path), _) => keep(path, report::html(&job, &assessment, &options).as_bytes()),
        (None, Some(_)) => Ok(()),
        (None, None) => print(&report::html(&job, &assessment, &options)),
    }
}

fn keep(path: &Path, bytes: &[u8]) -> Result<(), Failure> {
    let name = path.display().to_string();
    fs::write(path, bytes).map_err(|error| file_failure(Deed::Write, &*name, &error))?;
    remark(format!("nightdraw: {}", say::cli::report_written(name)));
    Ok(())
}
