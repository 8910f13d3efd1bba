//! Jobs kept in one SQLite file: append-only, durable, safe to share between
//! processes.
//!
//! The only room that knows SQL. An entry whose [`Store::append`] has returned
//! is on the disk, whatever happens next. Entries, headers and recordings are
//! never rewritten or deleted; triggers in the database hold that.

mod cache;
mod error;
mod schema;

use std::{cell::RefCell, fmt, path::Path, sync::Arc};

use cache::{Cache, Cached};
use jiff::Timestamp;
use job::{Entry, EntryId, Job, Recording, file};
use rusqlite::{Connection, OptionalExtension, Transaction, TransactionBehavior, params};

pub use error::{StoreError, StoreErrorKind};

/// Number of a job, counted from 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct JobId(i64);

impl JobId {
    /// The job people call `number`.
    pub fn from_number(number: i64) -> Self {
        Self(number)
    }

    /// Its number.
    pub fn number(self) -> i64 {
        self.0
    }
}

impl fmt::Display for JobId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

/// One line of the list of jobs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct JobSummary {
    /// Which.
    pub id: JobId,
    /// The vehicle's name.
    pub name: String,
    /// When it was taken in.
    pub created: Timestamp,
    /// When it last changed.
    pub updated: Timestamp,
    /// How many entries it has, struck ones included.
    pub entries: usize,
    /// Whether it is an invented demonstration.
    pub invented: bool,
    /// Grows with each change.
    pub revision: u64,
}

/// The jobs. One connection; put it behind a mutex to share it between threads.
pub struct Store {
    connection: Connection,
    cache: RefCell<Cache>,
}

impl fmt::Debug for Store {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Store")
            .field("path", &self.connection.path())
            .finish_non_exhaustive()
    }
}

impl Store {
    /// Opens the database `nightdraw.db` in a folder; makes both when missing,
    /// and brings an older database up to date after copying it.
    ///
    /// # Errors
    /// When the folder cannot be used, or the database is newer (it is then
    /// left untouched), damaged, or not ours.
    pub fn open(dir: &Path) -> Result<Self, StoreError> {
        Ok(Self::over(schema::open(dir, schema::STEPS)?))
    }

    /// A store that is forgotten when dropped.
    ///
    /// # Errors
    /// When SQLite cannot start.
    pub fn in_memory() -> Result<Self, StoreError> {
        Ok(Self::over(schema::in_memory()?))
    }

    fn over(connection: Connection) -> Self {
        Self {
            connection,
            cache: RefCell::default(),
        }
    }

    /// Keeps a new job with all its entries and recordings, in one piece.
    ///
    /// # Errors
    /// When an entry does not fit the job, or writing fails; then nothing is kept.
    pub fn create(&self, job: &Job) -> Result<JobId, StoreError> {
        // What could not be read back is refused now, not found out later.
        let mut checked = file::header_from_toml(&file::header_to_toml(job))?;
        for entry in &job.entries {
            checked.add(entry.clone())?;
        }
        let now = Timestamp::now();
        let change = self.change()?;
        change.execute(
            "INSERT INTO jobs (created, updated, revision) VALUES (?1, ?1, 1)",
            [now.to_string()],
        )?;
        let id = JobId(change.last_insert_rowid());
        insert_header(&change, id, 1, job, now)?;
        for (index, entry) in job.entries.iter().enumerate() {
            insert_entry(&change, id, EntryId::from_index(index), entry, None, now)?;
        }
        for (name, recording) in &job.recordings {
            insert_recording(&change, id, name, &recording.to_bytes(), now)?;
        }
        change.commit()?;
        Ok(id)
    }

    /// All jobs, last changed first.
    ///
    /// # Errors
    /// When reading fails.
    pub fn list(&self) -> Result<Vec<JobSummary>, StoreError> {
        let mut query = self.connection.prepare_cached(
            "SELECT j.id, j.created, j.updated, j.revision, h.name, h.invented,
                    (SELECT count(*) FROM entries e WHERE e.job = j.id)
             FROM jobs j JOIN headers h ON h.job = j.id
             WHERE h.version = (SELECT max(version) FROM headers WHERE job = j.id)
             ORDER BY j.updated DESC, j.id DESC",
        )?;
        let mut rows = query.query([])?;
        let mut jobs = Vec::new();
        while let Some(row) = rows.next()? {
            jobs.push(JobSummary {
                id: JobId(row.get(0)?),
                created: moment(&row.get::<_, String>(1)?)?,
                updated: moment(&row.get::<_, String>(2)?)?,
                revision: row.get::<_, i64>(3)?.unsigned_abs(),
                name: row.get(4)?,
                invented: row.get(5)?,
                entries: usize::try_from(row.get::<_, i64>(6)?).unwrap_or(0),
            });
        }
        Ok(jobs)
    }

    /// A job with its entries and recordings. What has been read before is
    /// remembered, the analysis of recordings included.
    ///
    /// # Errors
    /// When there is no such job, or it cannot be read.
    pub fn load(&self, id: JobId) -> Result<Job, StoreError> {
        // One transaction, so that header, entries and recordings belong together.
        let view = Transaction::new_unchecked(&self.connection, TransactionBehavior::Deferred)?;
        self.current(&view, id)
    }

    /// Adds an entry and returns its number once it is safely on the disk.
    ///
    /// With a `key`, an entry sent again under the same key is not entered
    /// again: the number it got the first time is returned.
    ///
    /// # Errors
    /// When the entry does not fit the job as it is now, or writing fails; then
    /// nothing is kept.
    pub fn append(
        &self,
        id: JobId,
        entry: &Entry,
        key: Option<&str>,
    ) -> Result<EntryId, StoreError> {
        let change = self.change()?;
        let now = self.current(&change, id)?;
        if let Some(key) = key
            && let Some(number) = number_of(&change, id, key)?
        {
            return Ok(number);
        }
        now.check(entry)?;
        let number = EntryId::from_index(now.entries.len());
        let at = Timestamp::now();
        insert_entry(&change, id, number, entry, key, at)?;
        touch(&change, id, at)?;
        change.commit()?;
        Ok(number)
    }

    /// Keeps a recording under a name of this job. The same recording under
    /// the same name again is no fault.
    ///
    /// # Errors
    /// When another recording has that name, or writing fails; then nothing is kept.
    pub fn add_recording(
        &self,
        id: JobId,
        name: &str,
        recording: &Recording,
    ) -> Result<(), StoreError> {
        let bytes = recording.to_bytes();
        let change = self.change()?;
        exists(&change, id)?;
        let known: Option<Vec<u8>> = change
            .query_row(
                "SELECT bytes FROM recordings WHERE job = ?1 AND file = ?2",
                params![id.0, name],
                |row| row.get(0),
            )
            .optional()?;
        match known {
            Some(known) if known == bytes => return Ok(()),
            Some(_) => {
                let message = format!("job {id} already has another recording called '{name}'");
                return Err(StoreError::new(
                    StoreErrorKind::NameTaken,
                    message,
                    "give the file another name",
                ));
            }
            None => {}
        }
        let now = Timestamp::now();
        insert_recording(&change, id, name, &bytes, now)?;
        touch(&change, id, now)?;
        change.commit()?;
        Ok(())
    }

    /// Keeps a new version of everything but entries and recordings; older
    /// versions stay.
    ///
    /// # Errors
    /// When standing entries do not fit the new header (a node or instrument
    /// is gone), or writing fails; then nothing is kept.
    pub fn update_header(&self, id: JobId, header: &Job) -> Result<(), StoreError> {
        let change = self.change()?;
        let now = self.current(&change, id)?;
        let mut checked = file::header_from_toml(&file::header_to_toml(header))?;
        for entry in &now.entries {
            checked.add(entry.clone())?;
        }
        let at = Timestamp::now();
        let newest: i64 = change.query_row(
            "SELECT max(version) FROM headers WHERE job = ?1",
            [id.0],
            |row| row.get(0),
        )?;
        insert_header(&change, id, newest + 1, header, at)?;
        touch(&change, id, at)?;
        change.commit()?;
        Ok(())
    }

    /// A number that grows with each change of the job, by whatever process.
    ///
    /// # Errors
    /// When there is no such job, or reading fails.
    pub fn revision(&self, id: JobId) -> Result<u64, StoreError> {
        exists(&self.connection, id).map(i64::unsigned_abs)
    }

    /// Keeps the job of a job file.
    ///
    /// # Errors
    /// When the text is no job file, or writing fails.
    pub fn import(&self, text: &str) -> Result<JobId, StoreError> {
        self.create(&file::parse(text)?)
    }

    /// The job as a job file that stands alone.
    ///
    /// # Errors
    /// As [`load`](Self::load).
    pub fn export(&self, id: JobId) -> Result<String, StoreError> {
        self.load(id).map(|job| file::write(&job))
    }

    /// A transaction that holds the lock from the start, so that what it reads
    /// is still so when it writes.
    fn change(&self) -> Result<Transaction<'_>, StoreError> {
        Ok(Transaction::new_unchecked(
            &self.connection,
            TransactionBehavior::Immediate,
        )?)
    }

    /// The job as the transaction sees it; only what is new since the last time is read.
    fn current(&self, view: &Transaction<'_>, id: JobId) -> Result<Job, StoreError> {
        let revision = exists(view, id)?;
        let mut cache = self.cache.borrow_mut();
        let known = cache.take(id);
        let fresh = match known {
            Some(known) if known.revision == revision => known,
            known => read(view, id, revision, known)?,
        };
        let job = fresh.job.clone();
        cache.put(id, fresh);
        Ok(job)
    }
}

/// Brings a cached job up to a revision, or reads it from the start.
fn read(
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
fn exists(view: &Connection, id: JobId) -> Result<i64, StoreError> {
    let revision = view
        .query_row("SELECT revision FROM jobs WHERE id = ?1", [id.0], |row| {
            row.get(0)
        })
        .optional()?;
    revision.ok_or_else(|| {
        StoreError::new(
            StoreErrorKind::NotFound,
            format!("there is no job {id}"),
            "list the jobs to see their numbers",
        )
    })
}

fn number_of(
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
fn sql(number: EntryId) -> i64 {
    i64::try_from(number.number()).unwrap_or(i64::MAX)
}

fn touch(change: &Transaction<'_>, id: JobId, at: Timestamp) -> Result<(), StoreError> {
    change.execute(
        "UPDATE jobs SET revision = revision + 1, updated = ?2 WHERE id = ?1",
        params![id.0, at.to_string()],
    )?;
    Ok(())
}

fn insert_header(
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

fn insert_entry(
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

fn insert_recording(
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

fn moment(text: &str) -> Result<Timestamp, StoreError> {
    text.parse()
        .map_err(|error| StoreError::damaged("a moment", error))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_step_up_copies_first_and_keeps_what_was_there() {
        let dir = tempfile::tempdir().unwrap();
        let job = file::parse("format = 1\n[vehicle]\nname = \"Bread van\"\n").unwrap();
        let id = Store::open(dir.path()).unwrap().create(&job).unwrap();

        // A second step that this version does not have yet.
        let steps = [schema::STEPS[0], "ALTER TABLE jobs ADD COLUMN colour TEXT"];
        let store = Store::over(schema::open(dir.path(), &steps).unwrap());
        assert_eq!(store.load(id).unwrap(), job);
        let version: i64 = store
            .connection
            .query_row("PRAGMA user_version", [], |row| row.get(0))
            .unwrap();
        assert_eq!(version, 2);
        drop(store);

        // The copy is a whole database of version 1.
        let copy = schema::copy_name(&dir.path().join(schema::FILE), 1);
        let other = tempfile::tempdir().unwrap();
        std::fs::copy(copy, other.path().join(schema::FILE)).unwrap();
        assert_eq!(Store::open(other.path()).unwrap().load(id).unwrap(), job);

        // This version refuses what the newer one wrote and leaves it alone.
        let path = dir.path().join(schema::FILE);
        let before = std::fs::read(&path).unwrap();
        let error = Store::open(dir.path()).unwrap_err();
        assert_eq!(error.kind, StoreErrorKind::Newer);
        assert!(
            error
                .message
                .contains("database version 2, this one knows up to 1"),
            "{error}"
        );
        assert_eq!(std::fs::read(&path).unwrap(), before);
    }

    #[test]
    fn a_step_that_fails_changes_nothing() {
        let dir = tempfile::tempdir().unwrap();
        let id = Store::open(dir.path())
            .unwrap()
            .create(&Job::default())
            .unwrap();
        let steps = [
            schema::STEPS[0],
            "CREATE TABLE half (a); INSERT INTO nowhere VALUES (1)",
        ];
        assert!(schema::open(dir.path(), &steps).is_err());
        let store = Store::open(dir.path()).unwrap();
        assert_eq!(store.load(id).unwrap(), Job::default());
        let half: i64 = store
            .connection
            .query_row(
                "SELECT count(*) FROM sqlite_schema WHERE name = 'half'",
                [],
                |row| row.get(0),
            )
            .unwrap();
        assert_eq!(half, 0);
    }

    #[test]
    fn the_database_itself_refuses_to_rewrite() {
        let store = Store::in_memory().unwrap();
        let id = store.create(&Job::default()).unwrap();
        let note = "at = \"2026-03-02T20:10:00Z\"\nkind = \"note\"\ntext = \"a\"\n";
        store
            .append(id, &file::entry_from_toml(note).unwrap(), None)
            .unwrap();
        for sql in [
            "UPDATE entries SET body = ''",
            "DELETE FROM entries",
            "UPDATE headers SET body = ''",
            "DELETE FROM headers",
            "UPDATE jobs SET revision = 0",
            "DELETE FROM jobs",
        ] {
            assert!(store.connection.execute(sql, []).is_err(), "{sql}");
        }
    }
}
