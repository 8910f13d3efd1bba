//! Standard output that survives a closed pipe.

use std::{
    fmt::Display,
    io::{self, Write},
};

use tongue::say;

use crate::failure::{Deed, Failure, file_failure};

/// Writes to standard output. A reader that went away is not our failure.
///
/// # Errors
/// When the output cannot be written for another reason.
pub(crate) fn print(text: &str) -> Result<(), Failure> {
    let mut out = io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => Err(file_failure(
            Deed::WriteTo,
            say::cli::standard_output(),
            &error,
        )),
        _ => Ok(()),
    }
}

/// Writes one JSON document.
///
/// # Errors
/// As [`print()`].
pub(crate) fn print_json(document: &serde_json::Value) -> Result<(), Failure> {
    print(&format!("{document:#}\n"))
}

/// Progress, assumptions and warnings go to standard error; if that is gone,
/// nobody is listening.
pub(crate) fn remark(text: impl Display) {
    let _ = writeln!(io::stderr(), "{text}");
}
