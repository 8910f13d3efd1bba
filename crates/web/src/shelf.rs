//! The store as the pages use it: its errors turned into pages.

use std::sync::Arc;

use jiff::Timestamp;
use job::{Entry, History, Job, Recording};
use store::{JobId, Learned, Store, StoreError, StoreErrorKind};

use crate::{form::sentence, problem::Problem};

/// One line of the job list.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct JobRow {
    pub(crate) id: i64,
    pub(crate) name: String,
    pub(crate) entries: usize,
    pub(crate) changed: Timestamp,
    pub(crate) revision: u64,
    pub(crate) invented: bool,
}

/// The store.
#[derive(Debug)]
pub(crate) struct Shelf(Store);

impl Shelf {
    pub(crate) fn new(store: Store) -> Self {
        Self(store)
    }

    /// The store itself, for what several rooms do together.
    pub(crate) fn store(&self) -> &Store {
        &self.0
    }

    /// All jobs, last changed first.
    pub(crate) fn list(&self) -> Result<Vec<JobRow>, Problem> {
        let rows = self.0.list().map_err(|error| problem(&error))?;
        Ok(rows
            .into_iter()
            .map(|row| JobRow {
                id: row.id.number(),
                name: row.name,
                entries: row.entries,
                changed: row.updated,
                revision: row.revision,
                invented: row.invented,
            })
            .collect())
    }

    pub(crate) fn revision(&self, id: i64) -> Result<u64, Problem> {
        self.0
            .revision(JobId::from_number(id))
            .map_err(|error| problem_of(id, &error))
    }

    /// Number and revision of every job.
    pub(crate) fn revisions(&self) -> Result<Vec<(i64, u64)>, Problem> {
        let rows = self.0.list().map_err(|error| problem(&error))?;
        Ok(rows
            .iter()
            .map(|row| (row.id.number(), row.revision))
            .collect())
    }

    /// A job and a revision that it is not older than: another program may
    /// change it in between, and is then noticed the next time.
    pub(crate) fn load(&self, id: i64) -> Result<(Job, u64), Problem> {
        let revision = self.revision(id)?;
        let job = self
            .0
            .load(JobId::from_number(id))
            .map_err(|error| problem_of(id, &error))?;
        Ok((job, revision))
    }

    pub(crate) fn create(&self, job: &Job) -> Result<i64, Problem> {
        self.0
            .create(job)
            .map(JobId::number)
            .map_err(|error| problem(&error))
    }

    /// Number of the entry, the first one's when the key was used before.
    pub(crate) fn append(&self, id: i64, entry: &Entry, key: &str) -> Result<usize, Problem> {
        let number = self
            .0
            .append(JobId::from_number(id), entry, Some(key))
            .map_err(|error| problem_of(id, &error))?;
        Ok(number.number())
    }

    pub(crate) fn add_recording(
        &self,
        id: i64,
        name: &str,
        recording: &Recording,
    ) -> Result<(), Problem> {
        self.0
            .add_recording(JobId::from_number(id), name, recording)
            .map_err(|error| problem_of(id, &error))
    }

    /// What other finished jobs teach for one job.
    pub(crate) fn history_for(&self, id: i64) -> Result<History, Problem> {
        self.0
            .history_for(JobId::from_number(id))
            .map_err(|error| problem_of(id, &error))
    }

    pub(crate) fn learned(&self) -> Result<Arc<Learned>, Problem> {
        self.0.learned().map_err(|error| problem(&error))
    }

    pub(crate) fn forget(&self, jobs: &[i64], forgotten: bool) -> Result<(), Problem> {
        let jobs: Vec<JobId> = jobs.iter().map(|id| JobId::from_number(*id)).collect();
        self.0
            .forget(&jobs, forgotten)
            .map_err(|error| problem(&error))
    }

    pub(crate) fn leave_history_out(&self, left_out: bool) -> Result<(), Problem> {
        self.0
            .leave_history_out(left_out)
            .map_err(|error| problem(&error))
    }

    pub(crate) fn update_header(&self, id: i64, job: &Job) -> Result<(), Problem> {
        self.0
            .update_header(JobId::from_number(id), job)
            .map_err(|error| problem_of(id, &error))
    }
}

fn problem_of(id: i64, error: &StoreError) -> Problem {
    match error.kind {
        StoreErrorKind::NotFound => Problem::no_job(id),
        _ => problem(error).back_to_job(id),
    }
}

impl From<StoreError> for Problem {
    fn from(error: StoreError) -> Self {
        problem(&error)
    }
}

fn problem(error: &StoreError) -> Problem {
    let message = sentence(&error.to_string());
    match error.kind {
        StoreErrorKind::Refused(_) | StoreErrorKind::NameTaken | StoreErrorKind::File(_) => {
            Problem::refused(tongue::say::web::not_entered(), message)
        }
        _ => Problem::ours(message),
    }
}
