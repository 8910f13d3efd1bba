//! Single rows: what each statement reads and writes.

use std::sync::Arc;

use jiff::Timestamp;
use job::{Entry, EntryId, Job, Recording, file};
use rusqlite::{Connection, OptionalExtension, Transaction, params};
use tongue::say;

use crate::{JobId, StoreError, StoreErrorKind, cache::Cached};

/// Brings a cached job up to a revision, or reads it from the start.
pub(crate) fn read(
    view: &Connection,
    id: JobId,
    revision: i64,
    known: Option<Cached>,
) -> Result<Cached, StoreError> {
    add_recordings(view, id, read_entries(view, id, revision, known)?)
}

/// The same without looking for new recordings, which take long and much memory.
pub(crate) fn read_entries(
    view: &Connection,
    id: JobId,
    revision: i64,
    known: Option<Cached>,
) -> Result<Cached, StoreError> {
    let known = known.unwrap_or(Cached {
        revision: 0,
        header: 0,
        recording: 0,
        job: Job::default(),
    });
    let (header, body): (i64, String) = view.query_row(
        "SELECT version, body FROM headers WHERE job = ?1 ORDER BY version DESC LIMIT 1",
        [id.0],
        |row| Ok((row.get(0)?, row.get(1)?)),
    )?;
    let mut fresh = Cached {
        revision,
        header,
        ..known
    };
    if header != known.header {
        let job = file::header_from_toml(&body)
            .map_err(|error| StoreError::damaged(&format!("the header of job {id}"), error))?;
        fresh.job = Job {
            entries: fresh.job.entries,
            recordings: fresh.job.recordings,
            ..job
        };
    }
    let mut query = view.prepare_cached(
        "SELECT number, body FROM entries WHERE job = ?1 AND number >= ?2 ORDER BY number",
    )?;
    let mut rows = query.query(params![
        id.0,
        sql(EntryId::from_index(fresh.job.entries.len()))
    ])?;
    while let Some(row) = rows.next()? {
        let (number, body): (i64, String) = (row.get(0)?, row.get(1)?);
        let entry = file::entry_from_toml(&body)
            .map_err(|error| StoreError::damaged(&format!("entry {number} of job {id}"), error))?;
        fresh.job.entries.push(entry);
    }
    Ok(fresh)
}

/// Adds to `fresh` the recordings that it does not hold yet.
fn add_recordings(view: &Connection, id: JobId, mut fresh: Cached) -> Result<Cached, StoreError> {
    let mut query = view.prepare_cached(
        "SELECT id, file, bytes FROM recordings WHERE job = ?1 AND id > ?2 ORDER BY id",
    )?;
    let mut rows = query.query([id.0, fresh.recording])?;
    while let Some(row) = rows.next()? {
        let name: String = row.get(1)?;
        let recording = Recording::from_bytes(row.get_ref(2)?.as_blob().unwrap_or_default())
            .map_err(|error| {
                StoreError::damaged(&format!("recording '{name}' of job {id}"), error)
            })?;
        fresh.recording = row.get(0)?;
        fresh.job.recordings.insert(name, Arc::new(recording));
    }
    Ok(fresh)
}

/// The revision of a job.
pub(crate) fn exists(view: &Connection, id: JobId) -> Result<i64, StoreError> {
    let revision = view
        .query_row("SELECT revision FROM jobs WHERE id = ?1", [id.0], |row| {
            row.get(0)
        })
        .optional()?;
    revision.ok_or_else(|| {
        StoreError::new(
            StoreErrorKind::NotFound,
            say::store::no_job(id.to_string()),
            say::store::no_job_hint(),
        )
    })
}

pub(crate) fn number_of(
    change: &Transaction<'_>,
    id: JobId,
    key: &str,
) -> Result<Option<EntryId>, StoreError> {
    let number: Option<i64> = change
        .query_row(
            "SELECT number FROM entries WHERE job = ?1 AND once = ?2",
            params![id.0, key],
            |row| row.get(0),
        )
        .optional()?;
    Ok(number.and_then(|number| EntryId::from_number(usize::try_from(number).ok()?)))
}

/// A number as SQLite keeps it. No list is longer than `i64::MAX`.
pub(crate) fn sql(number: EntryId) -> i64 {
    i64::try_from(number.number()).unwrap_or(i64::MAX)
}

pub(crate) fn touch(change: &Transaction<'_>, id: JobId, at: Timestamp) -> Result<(), StoreError> {
    change.execute(
        "UPDATE jobs SET revision = revision + 1, updated = ?2 WHERE id = ?1",
        params![id.0, at.to_string()],
    )?;
    Ok(())
}

pub(crate) fn insert_header(
    change: &Transaction<'_>,
    id: JobId,
    version: i64,
    job: &Job,
    at: Timestamp,
) -> Result<(), StoreError> {
    change.execute(
        "INSERT INTO headers (job, version, at, name, invented, body) VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
        params![id.0, version, at.to_string(), job.vehicle.name, job.invented, file::header_to_toml(job)],
    )?;
    Ok(())
}

pub(crate) fn insert_entry(
    change: &Transaction<'_>,
    id: JobId,
    number: EntryId,
    entry: &Entry,
    key: Option<&str>,
    at: Timestamp,
) -> Result<(), StoreError> {
    change.execute(
        "INSERT INTO entries (job, number, stored, body, once) VALUES (?1, ?2, ?3, ?4, ?5)",
        params![
            id.0,
            sql(number),
            at.to_string(),
            file::entry_to_toml(entry),
            key
        ],
    )?;
    Ok(())
}

pub(crate) fn insert_recording(
    change: &Transaction<'_>,
    id: JobId,
    name: &str,
    bytes: &[u8],
    at: Timestamp,
) -> Result<(), StoreError> {
    change.execute(
        "INSERT INTO recordings (job, file, stored, bytes) VALUES (?1, ?2, ?3, ?4)",
        params![id.0, name, at.to_string(), bytes],
    )?;
    Ok(())
}

pub(crate) fn moment(text: &str) -> Result<Timestamp, StoreError> {
    text.parse()
        .map_err(|error| StoreError::damaged("a moment", error))
}
