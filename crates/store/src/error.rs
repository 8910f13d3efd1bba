//! What can go wrong with the store, in words a person can act on.

use std::{fmt, path::Path};

use job::file::{FieldErrors, FileError};
use rusqlite::ErrorCode;

/// What kind of trouble it is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum StoreErrorKind {
    /// The database was written by a newer version; it has not been touched.
    Newer,
    /// The file is a database of something else, or none.
    NotOurs,
    /// Folder or file cannot be written or opened.
    ReadOnly,
    /// The disk is full.
    DiskFull,
    /// Another process kept the database busy for too long.
    Locked,
    /// There is no such job.
    NotFound,
    /// The entry does not fit the job; the faults are by field.
    Refused(FieldErrors),
    /// A recording of that name is there already, with other content.
    NameTaken,
    /// A job file cannot be read.
    File(FileError),
    /// What is stored cannot be read back.
    Damaged,
    /// Reading or writing failed otherwise.
    Other,
}

impl StoreErrorKind {
    /// A stable word for programs.
    pub fn word(&self) -> &'static str {
        match self {
            Self::Newer => "newer-database",
            Self::NotOurs => "not-a-database",
            Self::ReadOnly => "read-only",
            Self::DiskFull => "disk-full",
            Self::Locked => "locked",
            Self::NotFound => "not-found",
            Self::Refused(_) => "refused",
            Self::NameTaken => "name-taken",
            Self::File(_) => "job-file",
            Self::Damaged => "damaged",
            Self::Other => "store",
        }
    }
}

/// Trouble with the store. Nothing has been changed when a call returns one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StoreError {
    /// What kind.
    pub kind: StoreErrorKind,
    /// One sentence.
    pub message: String,
    /// What to do.
    pub hint: String,
}

impl fmt::Display for StoreError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}; {}", self.message, self.hint)
    }
}

impl std::error::Error for StoreError {}

impl StoreError {
    pub(crate) fn new(
        kind: StoreErrorKind,
        message: impl Into<String>,
        hint: impl Into<String>,
    ) -> Self {
        Self {
            kind,
            message: message.into(),
            hint: hint.into(),
        }
    }

    pub(crate) fn damaged(what: &str, why: impl fmt::Display) -> Self {
        let hint = "export the other jobs and restore the data folder from a copy";
        Self::new(
            StoreErrorKind::Damaged,
            format!("{what} cannot be read back: {why}"),
            hint,
        )
    }

    /// Of opening a folder or file for the first time.
    pub(crate) fn opening(path: &Path, error: &std::io::Error) -> Self {
        let kind = match error.kind() {
            std::io::ErrorKind::StorageFull => StoreErrorKind::DiskFull,
            _ => StoreErrorKind::ReadOnly,
        };
        let message = format!("cannot use the data folder {}: {error}", path.display());
        Self::new(
            kind,
            message,
            "name a folder that can be written to with --data",
        )
    }
}

impl From<FieldErrors> for StoreError {
    fn from(errors: FieldErrors) -> Self {
        let message = errors
            .0
            .iter()
            .map(|fault| fault.message.as_str())
            .collect::<Vec<_>>()
            .join("; ");
        let hint = errors
            .0
            .first()
            .map(|fault| fault.hint.clone())
            .unwrap_or_default();
        Self::new(StoreErrorKind::Refused(errors), message, hint)
    }
}

impl From<FileError> for StoreError {
    fn from(error: FileError) -> Self {
        let message = match error.line {
            Some(line) => format!("line {line}: {}", error.message),
            None => error.message.clone(),
        };
        let hint = error.hint.clone();
        Self::new(StoreErrorKind::File(error), message, hint)
    }
}

impl From<rusqlite::Error> for StoreError {
    fn from(error: rusqlite::Error) -> Self {
        let new = |kind, message: &str, hint: &str| Self::new(kind, message, hint);
        match error.sqlite_error_code() {
            Some(ErrorCode::DiskFull) => new(
                StoreErrorKind::DiskFull,
                "the disk is full, and nothing was stored",
                "make room and try again",
            ),
            Some(ErrorCode::ReadOnly | ErrorCode::PermissionDenied | ErrorCode::CannotOpen) => new(
                StoreErrorKind::ReadOnly,
                "the database cannot be written to",
                "check the rights of the data folder, or name another with --data",
            ),
            Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => new(
                StoreErrorKind::Locked,
                "another program has kept the database busy for five seconds",
                "close it and try again",
            ),
            Some(ErrorCode::DatabaseCorrupt) => new(
                StoreErrorKind::Damaged,
                "the database is damaged",
                "restore the data folder from a copy",
            ),
            Some(ErrorCode::NotADatabase) => new(
                StoreErrorKind::NotOurs,
                "nightdraw.db is no database",
                "move the file away, or name another folder with --data",
            ),
            Some(ErrorCode::SystemIoFailure) => new(
                StoreErrorKind::Other,
                &format!(
                    "reading or writing the database failed, and nothing was stored ({error})"
                ),
                "check the disk and the room left on it",
            ),
            _ => new(
                StoreErrorKind::Other,
                &format!("the database refused: {error}"),
                "please report this",
            ),
        }
    }
}
