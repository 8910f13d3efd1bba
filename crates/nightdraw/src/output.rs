//! Standard output that survives a closed pipe.

use std::io::{self, Write};

use crate::failure::{Failure, file_failure};

/// Writes to standard output. A reader that went away is not our failure.
///
/// # Errors
/// When the output cannot be written for another reason.
pub(crate) fn print(text: &str) -> Result<(), Failure> {
    let mut out = io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => {
            Err(file_failure("write to", "standard output", &error))
        }
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
pub(crate) fn remark(text: &str) {
    let _ = writeln!(io::stderr(), "{text}");
}
