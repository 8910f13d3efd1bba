//! Opening the database and bringing it up to date.
//!
//! Versions are numbered from 1 in `user_version`. Each step runs in a
//! transaction of its own together with its number, after a copy of a database
//! that holds something. Steps are only ever added at the end.

use std::{
    path::{Path, PathBuf},
    time::Duration,
};

use rusqlite::{Connection, ErrorCode, OpenFlags, Transaction, TransactionBehavior};
use tongue::Message;

use crate::{StoreError, StoreErrorKind};

/// The steps; the first makes version 1.
pub(crate) const STEPS: &[&str] = &[
    include_str!("schema/1.sql"),
    include_str!("schema/2.sql"),
    include_str!("schema/3.sql"),
];

/// Name of the database in the data folder.
pub(crate) const FILE: &str = "nightdraw.db";

/// "NDRW", so that a database of something else is not mistaken for ours.
const APPLICATION_ID: i32 = 0x4E44_5257;

/// How long to wait for another process. Common practice: longer than any of
/// our own transactions, shorter than a person's patience.
const BUSY: Duration = Duration::from_secs(5);

/// Opens the database in `dir`, making both when they are missing.
pub(crate) fn open(dir: &Path, steps: &[&str]) -> Result<Connection, StoreError> {
    std::fs::create_dir_all(dir).map_err(|error| StoreError::opening(dir, &error))?;
    let path = dir.join(FILE);
    let known = existing_version(&path, steps.len())?;
    let connection = Connection::open(&path).map_err(|error| in_folder(error.into(), dir))?;
    prepare(&connection).map_err(|error| in_folder(error, dir))?;
    if known.is_some_and(|version| version > 0 && version < steps.len()) {
        keep_copy(&connection, &path, known.unwrap_or(0))?;
    }
    migrate(&connection, steps).map_err(|error| in_folder(error, dir))?;
    Ok(connection)
}

/// A database that lives and dies with the connection.
pub(crate) fn in_memory() -> Result<Connection, StoreError> {
    let connection = Connection::open_in_memory()?;
    prepare(&connection)?;
    migrate(&connection, STEPS)?;
    Ok(connection)
}

/// Looks at an existing database without changing it: its version, or `None`
/// when there is no file yet.
fn existing_version(path: &Path, newest: usize) -> Result<Option<usize>, StoreError> {
    match std::fs::metadata(path) {
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Ok(None),
        Err(error) => return Err(StoreError::opening(path, &error)),
        // A process killed right after making the file leaves it empty.
        Ok(about) if about.len() == 0 => return Ok(None),
        Ok(_) => {}
    }
    let (version, ours, empty) = match look(path, OpenFlags::SQLITE_OPEN_READ_ONLY) {
        // A process killed in the middle of a change left it half done, and
        // taking that back needs more than reading. Nothing else is changed.
        Err(error)
            if matches!(
                error.sqlite_error_code(),
                Some(ErrorCode::ReadOnly | ErrorCode::CannotOpen)
            ) =>
        {
            look(path, OpenFlags::SQLITE_OPEN_READ_WRITE)?
        }
        seen => seen?,
    };
    if !ours && !empty {
        let message = format!("{} is the database of another program", path.display());
        return Err(StoreError::new(
            StoreErrorKind::NotOurs,
            message,
            "name another folder with --data",
        ));
    }
    match usize::try_from(version) {
        Ok(version) if version <= newest => Ok(Some(version)),
        _ => {
            let message = format!(
                "{} was written by a newer Nightdraw (database version {version}, this one knows up to {newest}) and was left as it is",
                path.display()
            );
            Err(StoreError::new(
                StoreErrorKind::Newer,
                message,
                "use that newer version, or name another folder with --data",
            ))
        }
    }
}

/// Version, whether it is ours, and whether it is empty.
fn look(path: &Path, how: OpenFlags) -> Result<(i64, bool, bool), rusqlite::Error> {
    let connection = Connection::open_with_flags(path, how | OpenFlags::SQLITE_OPEN_NO_MUTEX)?;
    connection.busy_timeout(BUSY)?;
    let number = |pragma: &str| connection.query_row(pragma, [], |row| row.get::<_, i64>(0));
    Ok((
        number("PRAGMA user_version")?,
        number("PRAGMA application_id")? == i64::from(APPLICATION_ID),
        number("SELECT count(*) FROM sqlite_schema")? == 0,
    ))
}

/// Settings of every connection.
pub(crate) fn prepare(connection: &Connection) -> Result<(), StoreError> {
    connection.busy_timeout(BUSY)?;
    // Changing into WAL is not covered by the busy timeout, and a process that
    // opens a new database at the same moment holds the lock for milliseconds.
    let mut tries = 0;
    while let Err(error) = connection.pragma_update(None, "journal_mode", "WAL") {
        tries += 1;
        if tries > 100 || error.sqlite_error_code() != Some(rusqlite::ErrorCode::DatabaseBusy) {
            return Err(error.into());
        }
        std::thread::sleep(Duration::from_millis(20));
    }
    // FULL: each commit reaches the disk before it is acknowledged.
    connection.pragma_update(None, "synchronous", "FULL")?;
    connection.pragma_update(None, "foreign_keys", true)?;
    Ok(())
}

/// Runs the steps that are missing.
fn migrate(connection: &Connection, steps: &[&str]) -> Result<(), StoreError> {
    loop {
        // The lock is taken before the version is read, so two processes
        // cannot run the same step.
        let step = Transaction::new_unchecked(connection, TransactionBehavior::Immediate)?;
        let version: i64 = step.query_row("PRAGMA user_version", [], |row| row.get(0))?;
        let Some(sql) = usize::try_from(version)
            .ok()
            .and_then(|version| steps.get(version))
        else {
            return Ok(());
        };
        step.execute_batch(sql)?;
        step.pragma_update(None, "application_id", APPLICATION_ID)?;
        step.pragma_update(None, "user_version", version + 1)?;
        step.commit()?;
    }
}

/// Copies the database beside itself before its first step up.
fn keep_copy(connection: &Connection, path: &Path, version: usize) -> Result<(), StoreError> {
    let copy = copy_name(path, version);
    if copy.exists() {
        return Ok(());
    }
    // Under another name first, so that a copy cut short is never taken for one.
    let half = path.with_extension("copying");
    let remove = |result: std::io::Result<()>| match result {
        Err(error) if error.kind() != std::io::ErrorKind::NotFound => {
            Err(StoreError::opening(&half, &error))
        }
        _ => Ok(()),
    };
    remove(std::fs::remove_file(&half))?;
    connection.execute("VACUUM INTO ?1", [half.to_string_lossy()])?;
    std::fs::rename(&half, &copy).map_err(|error| StoreError::opening(&copy, &error))
}

/// Where the copy of a database of `version` is kept.
pub(crate) fn copy_name(path: &Path, version: usize) -> PathBuf {
    path.with_extension(format!("version-{version}.db"))
}

/// Names the folder in errors that are about it.
fn in_folder(mut error: StoreError, dir: &Path) -> StoreError {
    if matches!(
        error.kind,
        StoreErrorKind::ReadOnly | StoreErrorKind::DiskFull
    ) {
        let place = Message::plain(format!("({})", dir.display()));
        error.message = Message::joined(vec![error.message, place], " ");
    }
    error
}
