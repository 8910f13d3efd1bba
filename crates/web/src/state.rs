//! What the pages share: the store, and each job as last assessed.

use std::{
    collections::{BTreeMap, VecDeque},
    fs::File,
    sync::{Arc, Mutex, MutexGuard, OnceLock, PoisonError},
};

use job::{Assessment, Entry, History, Job, Recording};
use tokio::sync::{broadcast, watch};
use tongue::{Lang, say};

use crate::{
    access::Access,
    figures::Figures,
    problem::Problem,
    pump::{News, Pump},
    receiving::Streams,
    shelf::{JobRow, Shelf},
};

/// Jobs kept assessed in memory. Common practice: more than a workshop has open in a day.
const KEPT: usize = 32;
/// Logs waiting for someone to say which column is meant.
const WAITING: usize = 4;
/// Keys of new jobs remembered, so that a double tap opens one job.
const NEW_KEYS: usize = 64;

/// Everything behind the pages; cheap to clone.
#[derive(Clone)]
pub struct AppState(Arc<Inner>);

struct Inner {
    shelf: Mutex<Shelf>,
    assess: fn(&Job, &History) -> Assessment,
    known: Mutex<VecDeque<(i64, Arc<Known>)>>,
    waiting: Mutex<VecDeque<WaitingLog>>,
    new_keys: Mutex<VecDeque<(String, i64)>>,
    pump: Pump,
    streams: Streams,
    closing: watch::Sender<bool>,
    access: Access,
}

/// A job at one revision, with what it comes to.
pub(crate) struct Known {
    pub(crate) id: i64,
    pub(crate) revision: u64,
    pub(crate) job: Job,
    pub(crate) assessment: Assessment,
    /// What other finished jobs taught when it was assessed.
    history: History,
    /// Drawn once in each language.
    figures: [OnceLock<Figures>; Lang::ALL.len()],
}

/// An uploaded log that could not be read without a question.
pub(crate) struct WaitingLog {
    pub(crate) token: String,
    pub(crate) job: i64,
    pub(crate) name: String,
    pub(crate) node: String,
    /// Times with the clamp off the cable.
    pub(crate) zero: Vec<String>,
    pub(crate) file: File,
}

impl std::fmt::Debug for AppState {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("AppState").finish_non_exhaustive()
    }
}

impl Known {
    /// What the vehicle is called, or the job's number where a job file gave no name.
    pub(crate) fn name(&self) -> String {
        match self.job.vehicle.name.trim() {
            "" => say::web::unnamed(self.id.to_string()).to_string(),
            name => name.into(),
        }
    }

    /// A job with what it comes to.
    pub(crate) fn of(id: i64, revision: u64, job: Job, assessment: Assessment) -> Self {
        Self {
            id,
            revision,
            job,
            assessment,
            history: History::default(),
            figures: std::array::from_fn(|_| OnceLock::new()),
        }
    }

    /// The pictures of this revision in the language spoken, drawn once.
    pub(crate) fn figures(&self) -> &Figures {
        let [english, german] = &self.figures;
        let figures = match tongue::speaking() {
            Lang::En => english,
            Lang::De => german,
        };
        figures.get_or_init(|| Figures::draw(self.id, &self.job, &self.assessment))
    }
}

impl AppState {
    /// Pages over a store, for this machine alone.
    pub fn new(store: store::Store) -> Self {
        Self::build(
            Shelf::new(store),
            Access::this_machine(None),
            job::assess_with,
        )
    }

    /// Pages over an empty store that is gone with the program; for tests and benchmarks.
    ///
    /// # Errors
    /// When not even memory can hold a database.
    pub fn in_memory() -> Result<Self, store::StoreError> {
        Ok(Self::new(store::Store::in_memory()?))
    }

    pub(crate) fn build(
        shelf: Shelf,
        access: Access,
        assess: fn(&Job, &History) -> Assessment,
    ) -> Self {
        Self::with_streams(shelf, Streams::in_memory(), access, assess)
    }

    /// The same over the streams that are kept in a folder.
    pub(crate) fn with_streams(
        shelf: Shelf,
        streams: Streams,
        access: Access,
        assess: fn(&Job, &History) -> Assessment,
    ) -> Self {
        Self(Arc::new(Inner {
            shelf: Mutex::new(shelf),
            assess,
            known: Mutex::default(),
            waiting: Mutex::default(),
            new_keys: Mutex::default(),
            pump: Pump::new(),
            streams,
            closing: watch::channel(false).0,
            access,
        }))
    }

    /// Who may ask.
    pub(crate) fn access(&self) -> &Access {
        &self.0.access
    }

    /// Runs work that touches the disk or computes, away from the threads that serve.
    pub(crate) async fn run<T: Send + 'static>(
        &self,
        work: impl FnOnce(&Self) -> Result<T, Problem> + Send + 'static,
    ) -> Result<T, Problem> {
        let state = self.clone();
        let lang = tongue::speaking();
        tokio::task::spawn_blocking(move || tongue::speak(lang, || work(&state)))
            .await
            .unwrap_or_else(|_| Err(Problem::ours(tongue::say::web::stumbled())))
    }

    fn shelf(&self) -> MutexGuard<'_, Shelf> {
        lock(&self.0.shelf)
    }

    /// All jobs, last changed first.
    pub(crate) fn list(&self) -> Result<Vec<JobRow>, Problem> {
        self.shelf().list()
    }

    /// The revision of a job as the store has it.
    pub(crate) fn revision(&self, id: i64) -> Result<u64, Problem> {
        self.shelf().revision(id)
    }

    /// A job and its assessment at its present revision.
    pub(crate) fn known(&self, id: i64) -> Result<Arc<Known>, Problem> {
        let revision = self.revision(id)?;
        let history = self.shelf().history_for(id)?;
        if let Some(known) = self
            .remembered(id)
            .filter(|known| known.revision == revision && known.history == history)
        {
            return Ok(known);
        }
        let (job, revision) = self.shelf().load(id)?;
        // Outside every lock: other jobs must not wait for this one.
        let assessment = (self.0.assess)(&job, &history);
        let known = Arc::new(Known {
            history,
            ..Known::of(id, revision, job, assessment)
        });
        let mut all = lock(&self.0.known);
        all.retain(|(other, _)| *other != id);
        all.push_front((id, known.clone()));
        all.truncate(KEPT);
        Ok(known)
    }

    /// A job as last assessed, whatever its revision; computes nothing.
    pub(crate) fn remembered(&self, id: i64) -> Option<Arc<Known>> {
        lock(&self.0.known)
            .iter()
            .find(|(other, _)| *other == id)
            .map(|(_, known)| known.clone())
    }

    /// A new job; the same key gives the same job.
    pub(crate) fn create(&self, job: &Job, key: &str) -> Result<i64, Problem> {
        // Held throughout, so that two taps at once make one job.
        let mut keys = lock(&self.0.new_keys);
        if let Some((_, id)) = keys.iter().find(|(used, _)| used == key) {
            return Ok(*id);
        }
        let id = self.shelf().create(job)?;
        keys.push_front((key.into(), id));
        keys.truncate(NEW_KEYS);
        Ok(id)
    }

    /// Appends an entry and tells the other screens.
    pub(crate) fn append(&self, id: i64, entry: &Entry, key: &str) -> Result<usize, Problem> {
        let number = self.shelf().append(id, entry, key)?;
        self.announce(id)?;
        Ok(number)
    }

    /// What a job comes to that is an earlier state of `known`.
    pub(crate) fn assess_earlier(&self, job: &Job, known: &Known) -> Assessment {
        (self.0.assess)(job, &known.history)
    }

    /// What finished jobs taught.
    pub(crate) fn learned(&self) -> Result<Arc<store::Learned>, Problem> {
        self.shelf().learned()
    }

    /// Leaves the lessons of jobs out, or counts them again.
    pub(crate) fn forget(&self, jobs: &[i64], forgotten: bool) -> Result<(), Problem> {
        self.shelf().forget(jobs, forgotten)
    }

    /// Switches the use of the history off or on.
    pub(crate) fn leave_history_out(&self, left_out: bool) -> Result<(), Problem> {
        self.shelf().leave_history_out(left_out)
    }

    /// Keeps a recording under `name`.
    pub(crate) fn add_recording(
        &self,
        id: i64,
        name: &str,
        recording: &Recording,
    ) -> Result<(), Problem> {
        self.shelf().add_recording(id, name, recording)
    }

    /// Changes what is known of vehicle, battery and complaint.
    pub(crate) fn update_header(&self, id: i64, job: &Job) -> Result<(), Problem> {
        self.shelf().update_header(id, job)?;
        self.announce(id)
    }

    /// Tells the other screens that a job has changed.
    pub(crate) fn announce(&self, id: i64) -> Result<(), Problem> {
        self.0.pump.revision(id, self.revision(id)?);
        Ok(())
    }

    /// Number and revision of every job, as the store has them.
    pub(crate) fn revisions(&self) -> Result<Vec<(i64, u64)>, Problem> {
        self.shelf().revisions()
    }

    /// Everything new from now on, whoever changed it.
    pub(crate) fn listen(&self) -> broadcast::Receiver<News> {
        self.0.pump.listen(self)
    }

    /// What is being received.
    pub(crate) fn streams(&self) -> &Streams {
        &self.0.streams
    }

    /// Does something with the store itself.
    pub(crate) fn with_store<T>(&self, work: impl FnOnce(&store::Store) -> T) -> T {
        work(self.shelf().store())
    }

    /// The one who looks for news.
    pub(crate) fn pump(&self) -> &Pump {
        &self.0.pump
    }

    /// Puts an uploaded log aside until its question is answered.
    pub(crate) fn put_aside(&self, log: WaitingLog) {
        let mut waiting = lock(&self.0.waiting);
        waiting.push_front(log);
        waiting.truncate(WAITING);
    }

    /// Takes a log back.
    pub(crate) fn take_back(&self, job: i64, token: &str) -> Option<WaitingLog> {
        let mut waiting = lock(&self.0.waiting);
        let at = waiting
            .iter()
            .position(|log| log.job == job && log.token == token)?;
        waiting.remove(at)
    }

    /// Ends the streams, so that the program can end.
    pub(crate) fn close(&self) {
        // Without a stream nobody waits for it.
        let _ = self.0.closing.send(true);
    }

    /// Turns true when the program ends.
    pub(crate) fn closing(&self) -> watch::Receiver<bool> {
        self.0.closing.subscribe()
    }
}

/// The value behind a lock. A thread that panicked while holding it left
/// plain values behind, so they are used as they are.
pub(crate) fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

/// One sentence for each job of a list, from memory where the job is known.
pub(crate) fn summaries(
    state: &AppState,
    rows: &[JobRow],
    budget: std::time::Duration,
) -> BTreeMap<i64, String> {
    let started = std::time::Instant::now();
    let mut all = BTreeMap::new();
    for row in rows {
        let known = match state
            .remembered(row.id)
            .filter(|known| known.revision == row.revision)
        {
            Some(known) => Some(known),
            None if started.elapsed() < budget => state.known(row.id).ok(),
            None => None,
        };
        if let Some(known) = known {
            all.insert(row.id, known.assessment.summary.to_string());
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pages::kit_sample;

    #[test]
    fn a_job_without_a_name_is_called_by_its_number() {
        let mut job = kit_sample::job();
        let named = Known::of(2, 1, job.clone(), kit_sample::assessment());
        assert_eq!(named.name(), "Kit van");
        job.vehicle.name = " ".into();
        let unnamed = Known::of(2, 1, job, kit_sample::assessment());
        assert_eq!(unnamed.name(), "job 2");
    }
}
