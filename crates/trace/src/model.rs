//! A recorded trace and where it came from.

/// When samples were taken, in seconds from the first sample of the file.
#[derive(Debug, Clone, PartialEq)]
pub enum TimeAxis {
    /// One sample each `interval_s`, the first at 0.
    Regular {
        /// Sampling interval.
        interval_s: f64,
    },
    /// One stamp per sample, never decreasing.
    Stamps(Vec<f64>),
}

/// A stretch without samples that is longer than the sampling allows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gap {
    /// Time of the last sample before it.
    pub start_s: f64,
    /// Time of the first sample after it.
    pub end_s: f64,
}

/// A row that was left out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SkippedRow {
    /// Line in the file, counted from 1.
    pub line: u64,
    /// Why, as a lowercase fragment.
    pub reason: String,
}

/// Where a trace came from and what the reader took for granted.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Source {
    /// Rows taken.
    pub rows: u64,
    /// Rows left out.
    pub skipped_rows: u64,
    /// The first few of them, with reasons.
    pub skipped: Vec<SkippedRow>,
    /// Name or number of the time column; `None` when rows were counted.
    pub time_column: Option<String>,
    /// Name or number of the current column.
    pub current_column: String,
    /// Name or number of the voltage column, if one was read.
    pub voltage_column: Option<String>,
    /// Unit of the current in the file: "A", "mA", "µA".
    pub unit: String,
    /// Median interval between samples.
    pub interval_s: f64,
    /// Stretches without samples.
    pub gaps: Vec<Gap>,
    /// Time of the first sample as the file gives it (ISO 8601), when it gives one.
    pub start: Option<String>,
    /// What was assumed, one sentence each.
    pub assumptions: Vec<String>,
}

/// A recorded trace.
#[derive(Debug, Clone, PartialEq)]
pub struct Trace {
    /// When.
    pub axis: TimeAxis,
    /// Current in ampere; positive is discharge.
    pub current_a: Vec<f64>,
    /// Voltage in volt beside it, where the file has it.
    pub voltage_v: Option<Vec<f64>>,
    /// Where from.
    pub source: Source,
}

impl Trace {
    /// Time of sample `index` in seconds from the start. `index` must be in range.
    pub fn time_s(&self, index: usize) -> f64 {
        match &self.axis {
            TimeAxis::Regular { interval_s } => index as f64 * interval_s,
            TimeAxis::Stamps(stamps) => stamps[index],
        }
    }

    /// Number of samples.
    pub fn len(&self) -> usize {
        self.current_a.len()
    }

    /// Whether there is no sample at all.
    pub fn is_empty(&self) -> bool {
        self.current_a.is_empty()
    }
}
