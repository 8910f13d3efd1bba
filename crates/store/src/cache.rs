//! Jobs read lately, so that a page need not read a job again for each look.

use job::Job;

use crate::JobId;

/// Most samples kept in memory: 160 MB. Common practice.
const SAMPLES: usize = 20_000_000;
/// Most jobs kept in memory. Common practice: more than a workshop has open.
const JOBS: usize = 32;

/// One job as it was at a revision.
#[derive(Debug, Clone)]
pub(crate) struct Cached {
    pub(crate) revision: i64,
    pub(crate) header: i64,
    /// The newest recording it holds.
    pub(crate) recording: i64,
    pub(crate) job: Job,
}

/// The jobs read lately, last used last.
#[derive(Debug, Default)]
pub(crate) struct Cache(Vec<(JobId, Cached)>);

impl Cache {
    /// Takes a job out; it is put back once it is up to date.
    pub(crate) fn take(&mut self, id: JobId) -> Option<Cached> {
        let at = self.0.iter().position(|(known, _)| *known == id)?;
        Some(self.0.remove(at).1)
    }

    /// Puts a job in and lets go of the longest unused when it gets too much.
    pub(crate) fn put(&mut self, id: JobId, cached: Cached) {
        self.0.push((id, cached));
        while self.0.len() > 1 && (self.0.len() > JOBS || self.samples() > SAMPLES) {
            self.0.remove(0);
        }
    }

    fn samples(&self) -> usize {
        self.0
            .iter()
            .flat_map(|(_, cached)| cached.job.recordings.values())
            .map(|r| r.trace.len())
            .sum()
    }
}
