//! How a circuit at fault shows in a log of the whole draw.

use measure::range::Range;

/// Bound of what one behaviour may say, and of what all of them may say together.
/// From memory: a log of one night must not outvote a reading.
pub const MOST: f64 = 10.0;

/// Bounds of a factor in a data file.
pub(crate) const FACTOR: Range = Range {
    name: "behaves",
    low: 1.0 / MOST,
    high: MOST,
    unit: "",
};

/// Something that a log of the whole draw may show.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Behaviour {
    /// Wake-ups at equal distances.
    Wakes,
    /// Sleep does not come, or does not last.
    KeepsAwake,
    /// The draw falls step by step and stops above the limit.
    Stalls,
}

impl Behaviour {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Wakes, Self::KeepsAwake, Self::Stalls];

    /// Its word in a data file.
    pub fn as_str(self) -> &'static str {
        match self {
            Self::Wakes => "wakes",
            Self::KeepsAwake => "keeps-awake",
            Self::Stalls => "stalls",
        }
    }
}

/// By behaviour: P(shown | such a circuit at fault) / P(shown | it is well),
/// 1/[`MOST`] to [`MOST`]; 1 says nothing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Behaves([f64; 3]);

impl Default for Behaves {
    fn default() -> Self {
        Self([1.0; 3])
    }
}

impl Behaves {
    /// The factor of one behaviour.
    pub fn factor(&self, behaviour: Behaviour) -> f64 {
        self.0[behaviour as usize]
    }

    pub(crate) fn set(&mut self, behaviour: Behaviour, factor: f64) {
        self.0[behaviour as usize] = factor;
    }
}
