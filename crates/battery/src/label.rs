//! What is printed on the battery, and what it means in another standard.

use std::{fmt, str::FromStr};

use measure::Uncertain;
use tongue::{Message, say};

use crate::{curve::Curve, tables as t};

/// Chemistry of the battery.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Chemistry {
    /// Flooded lead-acid.
    #[default]
    Flooded,
    /// Enhanced flooded.
    Efb,
    /// Absorbent glass mat.
    Agm,
    /// Gel.
    Gel,
    /// Lithium iron phosphate, four cells.
    Lifepo4,
}

impl Chemistry {
    /// All of them, in the order of the enum.
    pub const ALL: [Self; 5] = [
        Self::Flooded,
        Self::Efb,
        Self::Agm,
        Self::Gel,
        Self::Lifepo4,
    ];

    /// The word for it in job files and on the command line.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Flooded => "flooded",
            Self::Efb => "efb",
            Self::Agm => "agm",
            Self::Gel => "gel",
            Self::Lifepo4 => "lifepo4",
        }
    }

    /// Whether it is lead and acid, so that electrolyte tables apply.
    pub const fn is_lead_acid(self) -> bool {
        !matches!(self, Self::Lifepo4)
    }

    /// Charge -> rested volt at 25 °C.
    pub(crate) const fn ocv(self) -> Curve {
        match self {
            Self::Flooded => t::OCV_FLOODED,
            Self::Efb => t::OCV_EFB,
            Self::Agm => t::OCV_AGM,
            Self::Gel => t::OCV_GEL,
            Self::Lifepo4 => t::OCV_LIFEPO4,
        }
    }
}

/// Standard of a cranking current.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum CrankingStandard {
    /// EN 50342-1: -18 °C, 10 s to 7.5 V.
    En,
    /// SAE J537: -18 °C, 30 s to 7.2 V.
    Sae,
    /// IEC 60095-1, older: -18 °C, 60 s to 8.4 V.
    Iec,
    /// DIN 43539-2: -18 °C, 30 s to 9.0 V.
    Din,
    /// JIS D 5301: -18 °C, 30 s to 7.2 V.
    Jis,
}

impl CrankingStandard {
    /// All of them, in the order of the enum.
    pub const ALL: [Self; 5] = [Self::En, Self::Sae, Self::Iec, Self::Din, Self::Jis];

    /// The word for it in job files and on the command line.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::En => "en",
            Self::Sae => "sae",
            Self::Iec => "iec",
            Self::Din => "din",
            Self::Jis => "jis",
        }
    }

    /// Current in this standard per SAE ampere, and its relative standard uncertainty.
    const fn per_sae(self) -> (f64, f64) {
        match self {
            Self::En => t::EN_PER_SAE,
            Self::Sae => (1.0, 0.0),
            Self::Iec => t::IEC_PER_SAE,
            Self::Din => t::DIN_PER_SAE,
            Self::Jis => t::JIS_PER_SAE,
        }
    }
}

/// A cranking current with the standard it is stated in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cranking {
    /// Ampere.
    pub current_a: f64,
    /// Standard.
    pub standard: CrankingStandard,
}

impl Cranking {
    /// The same battery's current in another standard, ampere.
    ///
    /// No published conversion exists; the factors are weak (see
    /// [`crate::tables`]) and carry 3 to 18 % of uncertainty. The same standard
    /// on both sides costs nothing. Good for comparing, never for condemning.
    pub fn in_standard(self, standard: CrankingStandard) -> Uncertain {
        if standard == self.standard {
            return Uncertain::exact(self.current_a);
        }
        let ((from, u_from), (to, u_to)) = (self.standard.per_sae(), standard.per_sae());
        let value = self.current_a * to / from;
        Uncertain::new(value, value * u_from.hypot(u_to))
    }
}

/// What the label says.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Label {
    /// Chemistry; flooded when unknown.
    pub chemistry: Chemistry,
    /// 20-hour capacity.
    pub capacity_ah: Option<f64>,
    /// Cranking current.
    pub cranking: Option<Cranking>,
    /// Reserve capacity: minutes at 25 A to 10.5 V.
    pub reserve_min: Option<f64>,
}

/// A word that is not one of those understood.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UnknownWord {
    /// What was read.
    pub word: String,
    /// What it should be, with the words understood.
    pub hint: Message,
}

impl fmt::Display for UnknownWord {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        say::battery::unknown_word(&self.hint, &self.word).fmt(f)
    }
}

impl std::error::Error for UnknownWord {}

/// Finds `text`, without regard to case and blanks around it, among `all`.
pub(crate) fn find_word<T: Copy>(
    text: &str,
    what: Message,
    all: &[T],
    name: impl Fn(T) -> &'static str,
) -> Result<T, UnknownWord> {
    let word = text.trim();
    all.iter()
        .copied()
        .find(|item| name(*item).eq_ignore_ascii_case(word))
        .ok_or_else(|| {
            let names: Vec<_> = all.iter().map(|item| name(*item)).collect();
            UnknownWord {
                word: word.into(),
                hint: say::battery::write_one_of(names.join(", "), what),
            }
        })
}

impl FromStr for Chemistry {
    type Err = UnknownWord;
    fn from_str(text: &str) -> Result<Self, UnknownWord> {
        find_word(
            text,
            say::battery::word_chemistry(),
            &Self::ALL,
            Self::as_str,
        )
    }
}

impl fmt::Display for Chemistry {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.as_str())
    }
}

impl FromStr for CrankingStandard {
    type Err = UnknownWord;
    fn from_str(text: &str) -> Result<Self, UnknownWord> {
        find_word(
            text,
            say::battery::word_standard(),
            &Self::ALL,
            Self::as_str,
        )
    }
}

impl fmt::Display for CrankingStandard {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.as_str())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_read_back() {
        for chemistry in Chemistry::ALL {
            assert_eq!(chemistry.as_str().parse(), Ok(chemistry));
        }
        for standard in CrankingStandard::ALL {
            assert_eq!(standard.as_str().to_uppercase().parse(), Ok(standard));
        }
        let error = "lead".parse::<Chemistry>().unwrap_err();
        assert_eq!(
            error.to_string(),
            "'lead' is not understood; write the chemistry as one of flooded, efb, agm, gel, lifepo4"
        );
    }

    #[test]
    fn conversion_carries_its_spread_and_comes_back() {
        let label = Cranking {
            current_a: 540.0,
            standard: CrankingStandard::En,
        };
        assert_eq!(
            label.in_standard(CrankingStandard::En),
            Uncertain::exact(540.0)
        );
        let sae = label.in_standard(CrankingStandard::Sae);
        // Web calculators, SAE -> EN 0.92, used with ±10 %.
        assert!((sae.value - 540.0 / 0.92).abs() < 1e-9);
        assert!((sae.u / sae.value - 0.10).abs() < 1e-12);
        let back = Cranking {
            current_a: sae.value,
            standard: CrankingStandard::Sae,
        };
        assert!((back.in_standard(CrankingStandard::En).value - 540.0).abs() < 1e-9);
        // The same calculators' EN -> SAE 1.7 is the DIN factor misapplied: not reproduced.
        assert!(sae.value < 1.2 * 540.0);
        // DIN -> SAE 1.7.
        let din = Cranking {
            current_a: 300.0,
            standard: CrankingStandard::Din,
        };
        assert!((din.in_standard(CrankingStandard::Sae).value - 510.0).abs() < 1e-9);
    }
}
