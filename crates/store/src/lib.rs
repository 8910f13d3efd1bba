//! Jobs kept in one SQLite file: append-only, durable, safe to share between
//! processes.
//!
//! The only room that knows SQL. An entry whose [`Store::append`] has returned
//! is on the disk, whatever happens next. Entries, headers and recordings are
//! never rewritten or deleted; triggers in the database hold that.

mod cache;
mod devices;
mod error;
mod history;
mod receiving;
mod rows;
mod schema;
mod summary;

use std::{cell::RefCell, fmt, path::Path};

use cache::{Cache, Cached};
use history::Known;
use jiff::Timestamp;
use job::{Entry, EntryId, Job, Recording, file};
use rows::{
    exists, insert_entry, insert_header, insert_recording, moment, number_of, read, read_entries,
    touch,
};
use rusqlite::{Connection, OptionalExtension, Transaction, TransactionBehavior, params};
use tongue::say;

pub use devices::Device;
pub use error::{StoreError, StoreErrorKind};
pub use history::{Learned, Lesson};
pub use receiving::{FLUSH, Keeper, Piece, Receiving, Session};
pub use summary::{JobId, JobSummary};

/// The jobs. One connection; put it behind a mutex to share it between threads.
pub struct Store {
    connection: Connection,
    cache: RefCell<Cache>,
    learned: RefCell<Known>,
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
            learned: RefCell::default(),
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
        let now = self.standing(&change, id)?;
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
                    say::store::other_name(),
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

    /// Header and entries as they are now, for checks that look at no recording.
    fn standing(&self, view: &Transaction<'_>, id: JobId) -> Result<Job, StoreError> {
        let revision = exists(view, id)?;
        let mut cache = self.cache.borrow_mut();
        let known = cache.take(id);
        // Remembered under the revision it was complete at, or none, so that the next look at the whole job reads the rest.
        let complete = known.as_ref().map_or(-1, |known| known.revision);
        let fresh = read_entries(view, id, revision, known)?;
        let job = fresh.job.clone();
        cache.put(
            id,
            Cached {
                revision: complete,
                ..fresh
            },
        );
        Ok(job)
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

#[cfg(test)]
mod tests;
