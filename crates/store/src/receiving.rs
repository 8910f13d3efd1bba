//! Streams that are being received: their bytes as they came, and what can be said of them now.
//!
//! A file of its own beside the jobs. Many small pieces come in, so a commit does not wait for the disk, only the file
//! system: it survives the end of the program, however sudden. Every [`FLUSH`] a commit does wait, so that no more than
//! that is lost when the power goes.

use std::{
    path::Path,
    time::{Duration, Instant},
};

use jiff::Timestamp;
use job::{Entry, EntryId, Recording};
use rusqlite::{Connection, Transaction, TransactionBehavior, params};

use crate::{JobId, Store, StoreError, schema};

/// Longest time that what was received may not have reached the disk itself.
pub const FLUSH: Duration = Duration::from_millis(1500);
/// Name of the file in the data folder.
const FILE: &str = "receiving.db";
const TABLES: &str = include_str!("receiving.sql");

/// A stream that is being received, or was cut off.
#[derive(Debug, Clone, PartialEq)]
pub struct Session {
    /// Its number, never used again.
    pub id: i64,
    /// The job it is for.
    pub job: JobId,
    /// Where it is measured.
    pub node: String,
    /// What its recording will be called.
    pub name: String,
    /// How its lines are to be read, in the words of whoever began it.
    pub options: String,
    /// When it began.
    pub started: Timestamp,
    /// Its last sign of life.
    pub seen: Timestamp,
    /// Grows with each change of `tip`.
    pub beat: u64,
    /// What can be said of it now, in the words of whoever receives it.
    pub tip: String,
}

/// Bytes that arrived together.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// Seconds on the clock of whoever received it.
    pub arrival_s: f64,
    /// As they came.
    pub bytes: Vec<u8>,
}

/// The streams that are being received.
pub struct Receiving {
    connection: Connection,
    flushed: Option<Instant>,
}

impl std::fmt::Debug for Receiving {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Receiving").finish_non_exhaustive()
    }
}

impl Receiving {
    /// Opens the file in a folder, making both when missing.
    ///
    /// # Errors
    /// When the folder or the file cannot be used.
    pub fn open(dir: &Path) -> Result<Self, StoreError> {
        std::fs::create_dir_all(dir).map_err(|error| StoreError::opening(dir, &error))?;
        Self::over(Connection::open(dir.join(FILE))?)
    }

    /// One that is forgotten when dropped.
    ///
    /// # Errors
    /// When SQLite cannot start.
    pub fn in_memory() -> Result<Self, StoreError> {
        Self::over(Connection::open_in_memory()?)
    }

    fn over(connection: Connection) -> Result<Self, StoreError> {
        schema::prepare(&connection)?;
        connection.execute_batch(TABLES)?;
        Ok(Self {
            connection,
            flushed: None,
        })
    }

    /// Begins a stream; gives its number.
    ///
    /// # Errors
    /// When writing fails.
    pub fn begin(&mut self, job: JobId, node: &str, options: &str) -> Result<i64, StoreError> {
        let now = Timestamp::now();
        let change = self.change()?;
        change.execute(
            "INSERT INTO sessions (job, node, name, options, started, seen, beat, tip)
             VALUES (?1, ?2, '', ?3, ?4, ?4, 1, '')",
            params![job.number(), node, options, now.to_string()],
        )?;
        let id = change.last_insert_rowid();
        // Streams that begin in the same second are told apart by their number.
        let name = format!("live-{}-{id}.csv", now.strftime("%Y%m%d-%H%M%S"));
        change.execute(
            "UPDATE sessions SET name = ?2 WHERE id = ?1",
            params![id, name],
        )?;
        change.commit()?;
        Ok(id)
    }

    /// Keeps pieces and what can be said now. `at` is the number of the first piece, counted from 0.
    ///
    /// # Errors
    /// When writing fails; then nothing of it is kept.
    pub fn receive(
        &mut self,
        session: i64,
        at: u64,
        pieces: &[Piece],
        tip: &str,
    ) -> Result<(), StoreError> {
        let due = self
            .flushed
            .is_none_or(|flushed| flushed.elapsed() >= FLUSH);
        // In WAL a commit waits for the disk with FULL only (SQLite documentation, "PRAGMA synchronous").
        let wait = if due { "FULL" } else { "NORMAL" };
        self.connection.pragma_update(None, "synchronous", wait)?;
        let change = self.change()?;
        {
            let mut insert = change.prepare_cached(
                "INSERT OR IGNORE INTO pieces (session, number, arrival, bytes) VALUES (?1, ?2, ?3, ?4)",
            )?;
            for (number, piece) in (at..).zip(pieces) {
                let number = i64::try_from(number).unwrap_or(i64::MAX);
                insert.execute(params![session, number, piece.arrival_s, piece.bytes])?;
            }
        }
        change.execute(
            "UPDATE sessions SET tip = ?2, seen = ?3, beat = beat + 1 WHERE id = ?1",
            params![session, tip, Timestamp::now().to_string()],
        )?;
        change.commit()?;
        if due {
            self.flushed = Some(Instant::now());
        }
        Ok(())
    }

    /// All streams, newest first.
    ///
    /// # Errors
    /// When reading fails.
    pub fn sessions(&self) -> Result<Vec<Session>, StoreError> {
        let mut query = self.connection.prepare_cached(
            "SELECT id, job, node, name, options, started, seen, beat, tip FROM sessions ORDER BY id DESC",
        )?;
        let mut rows = query.query([])?;
        let mut sessions = Vec::new();
        while let Some(row) = rows.next()? {
            sessions.push(Session {
                id: row.get(0)?,
                job: JobId::from_number(row.get(1)?),
                node: row.get(2)?,
                name: row.get(3)?,
                options: row.get(4)?,
                started: crate::rows::moment(&row.get::<_, String>(5)?)?,
                seen: crate::rows::moment(&row.get::<_, String>(6)?)?,
                beat: row.get::<_, i64>(7)?.unsigned_abs(),
                tip: row.get(8)?,
            });
        }
        Ok(sessions)
    }

    /// A number that changes when another connection has written, of whatever program; cheap to ask for.
    ///
    /// # Errors
    /// When reading fails.
    pub fn version(&self) -> Result<i64, StoreError> {
        let mut query = self.connection.prepare_cached("PRAGMA data_version")?;
        Ok(query.query_row([], |row| row.get(0))?)
    }

    /// Gives every piece of a stream, in order, to `take`.
    ///
    /// # Errors
    /// When reading fails.
    pub fn replay(&self, session: i64, mut take: impl FnMut(Piece)) -> Result<(), StoreError> {
        let mut query = self.connection.prepare_cached(
            "SELECT arrival, bytes FROM pieces WHERE session = ?1 ORDER BY number",
        )?;
        let mut rows = query.query([session])?;
        while let Some(row) = rows.next()? {
            take(Piece {
                arrival_s: row.get(0)?,
                bytes: row.get(1)?,
            });
        }
        Ok(())
    }

    /// Forgets a stream; for one that has become an entry of its job.
    ///
    /// # Errors
    /// When writing fails.
    pub fn forget(&mut self, session: i64) -> Result<(), StoreError> {
        let change = self.change()?;
        change.execute("DELETE FROM pieces WHERE session = ?1", [session])?;
        change.execute("DELETE FROM sessions WHERE id = ?1", [session])?;
        change.commit()?;
        Ok(())
    }

    /// Makes a stream, read as `recording`, an `entry` of its job that names it, and forgets its pieces; gives the entry's number.
    /// Done again after it was cut off half way, it makes no second entry.
    ///
    /// # Errors
    /// When the job or the place in it is gone, or writing fails; the pieces then stay.
    pub fn hand_over(
        &mut self,
        store: &Store,
        session: &Session,
        entry: &Entry,
        recording: &Recording,
    ) -> Result<EntryId, StoreError> {
        store.add_recording(session.job, &session.name, recording)?;
        let key = format!("received-{}-{}", session.id, session.started);
        let number = store.append(session.job, entry, Some(&key))?;
        self.forget(session.id)?;
        Ok(number)
    }

    fn change(&self) -> Result<Transaction<'_>, StoreError> {
        Ok(Transaction::new_unchecked(
            &self.connection,
            TransactionBehavior::Immediate,
        )?)
    }
}

/// Writes one stream down as it comes, a few times a second.
#[derive(Debug)]
pub struct Keeper {
    receiving: Receiving,
    session: Session,
    at: u64,
    waiting: Vec<Piece>,
    written: Option<Instant>,
}

impl Keeper {
    /// Pause between two commits: short enough for a page that follows the stream, long enough for slow disks.
    const PAUSE: Duration = Duration::from_millis(40);

    /// Begins a stream for a job.
    ///
    /// # Errors
    /// When the file cannot be written.
    pub fn begin(
        mut receiving: Receiving,
        job: JobId,
        node: &str,
        options: &str,
    ) -> Result<Self, StoreError> {
        let id = receiving.begin(job, node, options)?;
        let session = receiving.sessions()?.into_iter().find(|each| each.id == id);
        let session = session.ok_or_else(|| {
            StoreError::new(
                crate::StoreErrorKind::NotFound,
                "the stream that was just begun is gone",
                "start listening again",
            )
        })?;
        Ok(Self {
            receiving,
            session,
            at: 0,
            waiting: Vec::new(),
            written: None,
        })
    }

    /// Takes bytes in; they are written with the next [`write`](Self::write).
    pub fn take(&mut self, arrival_s: f64, bytes: &[u8]) {
        self.waiting.push(Piece {
            arrival_s,
            bytes: bytes.to_vec(),
        });
    }

    /// Whether it is time to write: something waits, or half a second has passed.
    pub fn due(&self) -> bool {
        let since = self
            .written
            .map_or(Duration::MAX, |written| written.elapsed());
        since >= FLUSH / 3 || (!self.waiting.is_empty() && since >= Self::PAUSE)
    }

    /// Writes what has come, and what can be said now.
    ///
    /// # Errors
    /// When writing fails; what has come is kept for another try.
    pub fn write(&mut self, tip: &str) -> Result<(), StoreError> {
        self.receiving
            .receive(self.session.id, self.at, &self.waiting, tip)?;
        self.at += self.waiting.len() as u64;
        self.waiting.clear();
        self.written = Some(Instant::now());
        Ok(())
    }

    /// Makes the stream an `entry` of its job that names it, and forgets its pieces; gives the entry's number.
    ///
    /// # Errors
    /// As [`Receiving::hand_over`].
    pub fn hand_over(
        mut self,
        store: &Store,
        entry: &Entry,
        recording: &Recording,
    ) -> Result<EntryId, StoreError> {
        self.receiving
            .hand_over(store, &self.session, entry, recording)
    }

    /// What is being written.
    pub fn session(&self) -> &Session {
        &self.session
    }

    /// Forgets a stream from which nothing came.
    ///
    /// # Errors
    /// When writing fails.
    pub fn forget(mut self) -> Result<(), StoreError> {
        self.receiving.forget(self.session.id)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn piece(arrival_s: f64, text: &str) -> Piece {
        Piece {
            arrival_s,
            bytes: text.into(),
        }
    }

    #[test]
    fn what_came_is_there_for_another_program_in_order() {
        let dir = tempfile::tempdir().unwrap();
        let mut here = Receiving::open(dir.path()).unwrap();
        let there = Receiving::open(dir.path()).unwrap();
        let job = JobId::from_number(3);
        let id = here.begin(job, "battery", "unit=A").unwrap();
        here.receive(id, 0, &[piece(0.0, "a\n"), piece(0.1, "b")], "one")
            .unwrap();
        here.receive(id, 2, &[piece(0.2, "\nc\n")], "two").unwrap();
        // The same piece sent again is the same piece.
        here.receive(id, 2, &[piece(0.2, "\nc\n")], "two").unwrap();
        let sessions = there.sessions().unwrap();
        assert_eq!(sessions.len(), 1);
        let session = &sessions[0];
        assert_eq!(
            (session.job, session.tip.as_str(), session.beat),
            (job, "two", 4)
        );
        assert_eq!(
            (session.node.as_str(), session.options.as_str()),
            ("battery", "unit=A")
        );
        assert!(session.name.starts_with("live-") && session.name.ends_with("-1.csv"));
        let mut text = Vec::new();
        there
            .replay(id, |piece| text.extend_from_slice(&piece.bytes))
            .unwrap();
        assert_eq!(text, b"a\nb\nc\n");
        let before = there.version().unwrap();
        assert_eq!(there.version().unwrap(), before, "nothing was written");
        here.receive(id, 3, &[piece(0.3, "d\n")], "three").unwrap();
        assert_ne!(there.version().unwrap(), before);
        here.forget(id).unwrap();
        assert!(there.sessions().unwrap().is_empty());
        // Its number is not used again.
        assert!(here.begin(job, "battery", "").unwrap() > id);
    }
}
