//! Recordings: a trace kept with a job, and its compact lossless form.

mod codec;

use std::sync::{Arc, OnceLock};

use trace::{AnalyseOptions, Analysis, Pyramid, Trace};

pub use codec::{MAX_SAMPLES, RecordingError};

/// A trace and, once asked for, its analysis.
///
/// The analysis depends on the trace alone, so remembering it keeps `assess`
/// a pure function of the job.
#[derive(Debug)]
pub struct Recording {
    /// The samples.
    pub trace: Trace,
    analysis: OnceLock<Arc<Analysis>>,
    pyramid: OnceLock<Pyramid>,
}

impl PartialEq for Recording {
    fn eq(&self, other: &Self) -> bool {
        self.trace == other.trace
    }
}

impl Recording {
    /// A recording of `trace`.
    pub fn new(trace: Trace) -> Self {
        Self {
            trace,
            analysis: OnceLock::new(),
            pyramid: OnceLock::new(),
        }
    }

    /// What the trace says, against the common limit.
    pub fn analysis(&self) -> Arc<Analysis> {
        self.analysis
            .get_or_init(|| Arc::new(trace::analyse(&self.trace, &AnalyseOptions::default())))
            .clone()
    }

    /// Its extremes at every zoom, for drawing it again and again.
    pub fn pyramid(&self) -> &Pyramid {
        self.pyramid.get_or_init(|| Pyramid::of(&self.trace))
    }

    /// The recording as bytes: samples, stamps and all that is known of their
    /// source, without loss. The same recording gives the same bytes.
    pub fn to_bytes(&self) -> Vec<u8> {
        codec::encode(&self.trace)
    }

    /// Reads what [`to_bytes`](Self::to_bytes) wrote.
    ///
    /// # Errors
    /// When the bytes are damaged, cut short, of a newer version, or hold more
    /// than [`MAX_SAMPLES`] samples. Nothing larger than that is ever allocated.
    pub fn from_bytes(bytes: &[u8]) -> Result<Self, RecordingError> {
        codec::decode(bytes).map(Self::new)
    }
}
