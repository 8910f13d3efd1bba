//! Recordings: a trace kept with a job, and its compact lossless form.

mod codec;

use std::sync::{Arc, Mutex, OnceLock, PoisonError};

use trace::{AnalyseOptions, Analysis, Levels, Pyramid, Trace, Zero, ZeroError};

pub use codec::{MAX_SAMPLES, RecordingError};

/// Analyses remembered per recording: as it stands and as it stood before a repair, and the ones before the last entry.
const REMEMBERED: usize = 4;

/// A trace and, once asked for, its levels and analyses.
///
/// These depend on the trace and on what is asked alone, so remembering them keeps `assess`
/// a pure function of the job.
#[derive(Debug)]
pub struct Recording {
    /// The samples.
    pub trace: Trace,
    levels: OnceLock<Levels>,
    analyses: Mutex<Vec<(AnalyseOptions, Arc<Analysis>)>>,
    pyramid: OnceLock<Pyramid>,
    /// The same without the clamp's zero.
    zeroed: Mutex<Vec<Arc<Zeroed>>>,
}

/// A recording without the clamp's zero, and what was taken out.
#[derive(Debug)]
pub(crate) struct Zeroed {
    /// When the clamp was off the cable.
    spans: Vec<(f64, f64)>,
    pub(crate) recording: Arc<Recording>,
    pub(crate) zero: Zero,
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
            levels: OnceLock::new(),
            analyses: Mutex::default(),
            pyramid: OnceLock::new(),
            zeroed: Mutex::default(),
        }
    }

    /// What the trace says, against the common limit.
    pub fn analysis(&self) -> Arc<Analysis> {
        self.analysis_with(&AnalyseOptions::default())
    }

    /// What the trace says with a limit, acts and a meter; the levels are the default ones, found once.
    pub fn analysis_with(&self, options: &AnalyseOptions) -> Arc<Analysis> {
        let options = AnalyseOptions {
            penalty: None,
            plain: false,
            ..options.clone()
        };
        let remembered = || self.analyses.lock().unwrap_or_else(PoisonError::into_inner);
        let known = remembered()
            .iter()
            .find(|(asked, _)| *asked == options)
            .map(|(_, analysis)| analysis.clone());
        known.unwrap_or_else(|| {
            let levels = self
                .levels
                .get_or_init(|| trace::segment_only(&self.trace, &options))
                .clone();
            let analysis = Arc::new(trace::interpret(&self.trace, levels, &options));
            let mut analyses = remembered();
            if analyses.len() >= REMEMBERED {
                analyses.remove(0);
            }
            analyses.push((options, analysis.clone()));
            analysis
        })
    }

    /// The recording without the clamp's zero, where `spans` say when it was held off the cable; why not, in words.
    pub(crate) fn without_zero(&self, spans: &[String]) -> Result<Option<Arc<Zeroed>>, String> {
        if spans.is_empty() {
            return Ok(None);
        }
        let spans = spans.iter().map(|text| self.trace.span("zero", text));
        let spans: Vec<(f64, f64)> = spans
            .collect::<Result<_, _>>()
            .map_err(|error| error.to_string())?;
        let zeroed = self.zeroed(&spans);
        zeroed.map(Some).map_err(|error| error.to_string())
    }

    /// The recording without the clamp's zero, which was held off the cable in `spans` (seconds as in the samples); worked out once.
    fn zeroed(&self, spans: &[(f64, f64)]) -> Result<Arc<Zeroed>, ZeroError> {
        let remembered = || self.zeroed.lock().unwrap_or_else(PoisonError::into_inner);
        let known = remembered()
            .iter()
            .find(|known| known.spans == spans)
            .cloned();
        if let Some(known) = known {
            return Ok(known);
        }
        let (trace, zero) = self.trace.without_zero(spans)?;
        let zeroed = Arc::new(Zeroed {
            spans: spans.to_vec(),
            recording: Arc::new(Self::new(trace)),
            zero,
        });
        let mut all = remembered();
        if all.len() >= REMEMBERED {
            all.remove(0);
        }
        all.push(zeroed.clone());
        Ok(zeroed)
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
