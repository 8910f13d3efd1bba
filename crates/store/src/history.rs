//! What finished jobs taught, derived from the jobs themselves.
//!
//! Nothing is counted when a job is finished; the lesson of each job is derived
//! from its entries as they stand, and kept beside it until it changes. A job
//! that is reopened therefore takes its lesson back by itself, and none counts
//! twice.

use std::{collections::BTreeMap, sync::Arc};

use jiff::Timestamp;
use job::{History, NothingLearned, contract};
use rusqlite::{OptionalExtension, params};

use crate::{JobId, Store, StoreError};

/// Version of the rules by which lessons are derived. To be raised whenever
/// `job::lesson` or the load families change, so that kept ones are derived anew.
const RULES: i64 = 1;

/// Name of the setting that leaves the history out.
const LEFT_OUT: &str = "history-left-out";

/// One job and what it teaches.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Lesson {
    /// The job.
    pub job: JobId,
    /// Its vehicle's name.
    pub name: String,
    /// Its counts, or why it has none.
    pub taught: Result<History, NothingLearned>,
    /// Whether the person wants it left out.
    pub forgotten: bool,
}

/// Everything learned.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Learned {
    /// Every job that is not invented, first taken in first.
    pub lessons: Vec<Lesson>,
    /// The sum of those that count.
    pub history: History,
    /// Whether the person has switched the whole of it off.
    pub left_out: bool,
}

impl Learned {
    /// The lessons, as the contract writes them.
    pub fn lines(&self) -> impl Iterator<Item = contract::LessonLine<'_>> {
        self.lessons.iter().map(|lesson| contract::LessonLine {
            job: lesson.job.number(),
            taught: lesson.taught.as_ref().map_err(|why| *why),
            forgotten: lesson.forgotten,
        })
    }

    /// Everything as a document that names no vehicle and no owner.
    pub fn document(&self) -> String {
        let document = contract::learned(&self.history, self.left_out, self.lines());
        format!("{document:#}\n")
    }
}

/// Lessons in memory, with the revisions they were derived at, and their sum.
#[derive(Debug, Default)]
pub(crate) struct Known {
    lessons: BTreeMap<JobId, (i64, Result<History, NothingLearned>)>,
    sum: Option<(Vec<Row>, Arc<Learned>)>,
}

/// A job as far as its lesson is concerned.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Row {
    id: JobId,
    name: String,
    revision: i64,
    forgotten: bool,
}

impl Store {
    /// What other finished jobs teach for one job. Empty for an invented job,
    /// which neither teaches nor is judged by real ones, and where the history
    /// is switched off.
    ///
    /// # Errors
    /// When reading fails.
    pub fn history_for(&self, id: JobId) -> Result<History, StoreError> {
        let learned = self.learned()?;
        let Some(own) = learned.lessons.iter().find(|lesson| lesson.job == id) else {
            return Ok(History::default());
        };
        if learned.left_out {
            return Ok(History::default());
        }
        let mut history = learned.history.clone();
        if let (Ok(taught), false) = (&own.taught, own.forgotten) {
            history.take(taught);
        }
        Ok(history)
    }

    /// What finished jobs teach altogether; empty where it is switched off.
    ///
    /// # Errors
    /// When reading fails.
    pub fn history(&self) -> Result<History, StoreError> {
        let learned = self.learned()?;
        Ok(if learned.left_out {
            History::default()
        } else {
            learned.history.clone()
        })
    }

    /// Every lesson and their sum. A job that cannot be read back teaches
    /// nothing and is not among them; opening it says what is wrong.
    ///
    /// # Errors
    /// When reading fails.
    pub fn learned(&self) -> Result<Arc<Learned>, StoreError> {
        let rows = self.real_jobs()?;
        let left_out = self.setting(LEFT_OUT)?.is_some();
        if let Some((known, learned)) = &self.learned.borrow().sum
            && (known, learned.left_out) == (&rows, left_out)
        {
            return Ok(learned.clone());
        }
        let mut learned = Learned {
            left_out,
            ..Learned::default()
        };
        for row in &rows {
            let Ok(taught) = self.lesson(row.id, row.revision) else {
                continue;
            };
            if let (Ok(history), false) = (&taught, row.forgotten) {
                learned.history.add(history);
            }
            learned.lessons.push(Lesson {
                job: row.id,
                name: row.name.clone(),
                taught,
                forgotten: row.forgotten,
            });
        }
        let learned = Arc::new(learned);
        self.learned.borrow_mut().sum = Some((rows, learned.clone()));
        Ok(learned)
    }

    /// Leaves the lessons of these jobs out from now on, or counts them again.
    ///
    /// # Errors
    /// When there is no such job, or writing fails; then nothing is changed.
    pub fn forget(&self, jobs: &[JobId], forgotten: bool) -> Result<(), StoreError> {
        let change = self.change()?;
        for &id in jobs {
            crate::rows::exists(&change, id)?;
            if forgotten {
                change.execute(
                    "INSERT OR IGNORE INTO forgotten (job, at) VALUES (?1, ?2)",
                    params![id.0, Timestamp::now().to_string()],
                )?;
            } else {
                change.execute("DELETE FROM forgotten WHERE job = ?1", [id.0])?;
            }
        }
        change.commit()?;
        Ok(())
    }

    /// Switches the use of the history off or on, for every screen of this bench.
    ///
    /// # Errors
    /// When writing fails.
    pub fn leave_history_out(&self, left_out: bool) -> Result<(), StoreError> {
        if left_out {
            self.connection.execute(
                "INSERT OR REPLACE INTO settings (name, value) VALUES (?1, 'true')",
                [LEFT_OUT],
            )?;
        } else {
            self.connection
                .execute("DELETE FROM settings WHERE name = ?1", [LEFT_OUT])?;
        }
        Ok(())
    }

    fn setting(&self, name: &str) -> Result<Option<String>, StoreError> {
        Ok(self
            .connection
            .prepare_cached("SELECT value FROM settings WHERE name = ?1")?
            .query_row([name], |row| row.get(0))
            .optional()?)
    }

    /// Jobs that are not invented, first taken in first.
    fn real_jobs(&self) -> Result<Vec<Row>, StoreError> {
        let mut query = self.connection.prepare_cached(
            "SELECT j.id, h.name, j.revision, f.job IS NOT NULL
             FROM jobs j JOIN headers h ON h.job = j.id
             LEFT JOIN forgotten f ON f.job = j.id
             WHERE h.version = (SELECT max(version) FROM headers WHERE job = j.id)
               AND NOT h.invented
             ORDER BY j.id",
        )?;
        let rows = query.query_map([], |row| {
            Ok(Row {
                id: JobId(row.get(0)?),
                name: row.get(1)?,
                revision: row.get(2)?,
                forgotten: row.get(3)?,
            })
        })?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    /// The lesson of a job at a revision: from memory, from the table, or derived.
    fn lesson(
        &self,
        id: JobId,
        revision: i64,
    ) -> Result<Result<History, NothingLearned>, StoreError> {
        if let Some((known, taught)) = self.learned.borrow().lessons.get(&id)
            && *known == revision
        {
            return Ok(taught.clone());
        }
        let taught = match self.kept_lesson(id, revision)? {
            Some(taught) => taught,
            None => {
                let taught = job::lesson(&self.load(id)?);
                self.keep_lesson(id, revision, &taught);
                taught
            }
        };
        let entry = (revision, taught.clone());
        self.learned.borrow_mut().lessons.insert(id, entry);
        Ok(taught)
    }

    /// A lesson that was derived before; `None` when it has to be derived (again).
    fn kept_lesson(
        &self,
        id: JobId,
        revision: i64,
    ) -> Result<Option<Result<History, NothingLearned>>, StoreError> {
        let mut query = self.connection.prepare_cached(
            "SELECT counts, why FROM lessons WHERE job = ?1 AND revision = ?2 AND rules = ?3",
        )?;
        let kept: Option<(Option<String>, Option<String>)> = query
            .query_row([id.0, revision, RULES], |row| {
                Ok((row.get(0)?, row.get(1)?))
            })
            .optional()?;
        let Some((counts, why)) = kept else {
            return Ok(None);
        };
        let why = why.and_then(|word| {
            NothingLearned::ALL
                .into_iter()
                .find(|reason| reason.as_str() == word)
        });
        let taught = match (counts, why) {
            (Some(counts), _) => contract::history_from(&counts).map(Ok),
            (None, Some(why)) => Some(Err(why)),
            (None, None) => None,
        };
        Ok(taught)
    }

    /// Keeps a lesson for the next time. It can be derived again at any time,
    /// so a bench that cannot be written to is no fault here.
    fn keep_lesson(&self, id: JobId, revision: i64, taught: &Result<History, NothingLearned>) {
        let counts = taught
            .as_ref()
            .ok()
            .map(|history| contract::history(history).to_string());
        let why = taught.as_ref().err().map(|why| why.as_str());
        let _ = self.connection.execute(
            "INSERT OR REPLACE INTO lessons (job, revision, rules, counts, why)
             VALUES (?1, ?2, ?3, ?4, ?5)",
            params![id.0, revision, RULES, counts, why],
        );
    }
}
