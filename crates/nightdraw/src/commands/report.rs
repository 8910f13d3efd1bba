//! `nightdraw report`: one self-contained file.

use std::fs;

use crate::{
    cli::ReportArguments,
    commands::find_job_and_history,
    failure::{Failure, file_failure},
    output::{print, remark},
};

pub(crate) fn run(arguments: &ReportArguments) -> Result<(), Failure> {
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
    };
    let html = report::html(&job, &assessment, &options);
    match &arguments.output {
        None => print(&html),
        Some(path) => {
            let name = path.display().to_string();
            fs::write(path, html).map_err(|error| file_failure("write", &name, &error))?;
            remark(&format!("nightdraw: report written to {name}"));
            Ok(())
        }
    }
}
