//! `nightdraw report`: one self-contained file.

use std::fs;

use crate::{
    cli::ReportArguments,
    commands::find_job,
    failure::{Failure, file_failure},
    output::{print, remark},
};

pub(crate) fn run(arguments: &ReportArguments) -> Result<(), Failure> {
    let job = find_job(&arguments.job, arguments.data.as_deref())?;
    let assessment = job::assess(&job);
    let options = report::ReportOptions {
        include_owner: arguments.with_owner,
        before: job.before_repair().map(|before| job::assess(&before)),
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
