//! Recordings: a trace kept with a job, and its compact lossless form.

use std::sync::{Arc, OnceLock};

use trace::{AnalyseOptions, Analysis, Trace};

/// A trace and, once asked for, its analysis.
///
/// The analysis depends on the trace alone, so remembering it keeps `assess`
/// a pure function of the job.
#[derive(Debug)]
pub struct Recording {
    /// The samples.
    pub trace: Trace,
    analysis: OnceLock<Arc<Analysis>>,
}

impl PartialEq for Recording {
    fn eq(&self, other: &Self) -> bool {
        self.trace == other.trace
    }
}

impl Recording {
    /// A recording of `trace`.
    pub fn new(trace: Trace) -> Self {
        Self { trace, analysis: OnceLock::new() }
    }

    /// What the trace says, against the common limit.
    pub fn analysis(&self) -> Arc<Analysis> {
        self.analysis.get_or_init(|| Arc::new(trace::analyse(&self.trace, &AnalyseOptions::default()))).clone()
    }
}
