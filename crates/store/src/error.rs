//! What can go wrong with the store, in words a person can act on.

use std::{fmt, path::Path};

use job::file::{FieldErrors, FileError};
use rusqlite::ErrorCode;
use tongue::{Message, say};

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
    pub message: Message,
    /// What to do.
    pub hint: Message,
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
        message: impl Into<Message>,
        hint: impl Into<Message>,
    ) -> Self {
        Self {
            kind,
            message: message.into(),
            hint: hint.into(),
        }
    }

    pub(crate) fn damaged(what: &str, why: impl fmt::Display) -> Self {
        let hint = say::store::unreadable_hint();
        Self::new(
            StoreErrorKind::Damaged,
            say::store::unreadable(what, why.to_string()),
            hint,
        )
    }

    /// Of opening a folder or file for the first time.
    pub(crate) fn opening(path: &Path, error: &std::io::Error) -> Self {
        let kind = match error.kind() {
            std::io::ErrorKind::StorageFull => StoreErrorKind::DiskFull,
            _ => StoreErrorKind::ReadOnly,
        };
        let message = say::store::no_folder(error.to_string(), path.display().to_string());
        Self::new(kind, message, say::store::no_folder_hint())
    }
}

impl From<FieldErrors> for StoreError {
    fn from(errors: FieldErrors) -> Self {
        let message = errors.0.iter().map(|fault| fault.message.clone()).collect();
        let message = Message::joined(message, "; ");
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
            Some(line) => say::store::in_line(line.to_string(), &error.message),
            None => error.message.clone(),
        };
        let hint = error.hint.clone();
        Self::new(StoreErrorKind::File(error), message, hint)
    }
}

impl From<rusqlite::Error> for StoreError {
    fn from(error: rusqlite::Error) -> Self {
        let new = |kind, message: Message, hint: Message| Self::new(kind, message, hint);
        match error.sqlite_error_code() {
            Some(ErrorCode::DiskFull) => new(
                StoreErrorKind::DiskFull,
                say::store::disk_full(),
                say::store::disk_full_hint(),
            ),
            Some(ErrorCode::ReadOnly | ErrorCode::PermissionDenied | ErrorCode::CannotOpen) => new(
                StoreErrorKind::ReadOnly,
                say::store::not_writable(),
                say::store::not_writable_hint(),
            ),
            Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => new(
                StoreErrorKind::Locked,
                say::store::busy(),
                say::store::busy_hint(),
            ),
            Some(ErrorCode::DatabaseCorrupt) => new(
                StoreErrorKind::Damaged,
                say::store::damaged(),
                say::store::damaged_hint(),
            ),
            Some(ErrorCode::NotADatabase) => new(
                StoreErrorKind::NotOurs,
                say::store::no_database(),
                say::store::no_database_hint(),
            ),
            Some(ErrorCode::SystemIoFailure) => new(
                StoreErrorKind::Other,
                say::store::io_failed(error.to_string()),
                say::store::io_failed_hint(),
            ),
            _ => new(
                StoreErrorKind::Other,
                say::store::refused(error.to_string()),
                say::store::refused_hint(),
            ),
        }
    }
}
