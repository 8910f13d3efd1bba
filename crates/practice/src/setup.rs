//! Which vehicle, and what the rehearsal allows.

use std::{fmt, str::FromStr};

use rehearsal::{
    VehicleError,
    fleet::{self, Reach, Settings, Vehicle},
};
use tongue::{Message, say};

/// How nasty the faults are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Level {
    /// One fault that draws all the time.
    #[default]
    Plain,
    /// Sometimes two, in the wiring, coming and going, waking the network.
    Full,
}

/// One rehearsal, by which it can be had again.
#[derive(Debug, Clone, PartialEq)]
pub struct Setup {
    /// Seed of the vehicle.
    pub seed: u64,
    /// Kind of vehicle; drawn by the seed when `None`.
    pub kind: Option<String>,
    /// Fuses that can be read in place.
    pub reach: Reach,
    /// How nasty.
    pub level: Level,
    /// Whether stored settings may be lost.
    pub settings_may_be_lost: bool,
}

/// Why a text is no setup.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{0}")]
pub struct SetupError(pub Message);

impl Default for Setup {
    fn default() -> Self {
        Self {
            seed: 1,
            kind: None,
            reach: Reach::Half,
            level: Level::Plain,
            settings_may_be_lost: false,
        }
    }
}

impl Level {
    /// Both, with their words.
    pub const ALL: [(Self, &'static str); 2] = [(Self::Plain, "plain"), (Self::Full, "full")];

    /// Its word.
    pub fn as_str(self) -> &'static str {
        match self {
            Self::Plain => "plain",
            Self::Full => "full",
        }
    }
}

/// The word for how many fuses can be read in place.
pub fn reach_word(reach: Reach) -> &'static str {
    match reach {
        Reach::All => "all",
        Reach::Half => "half",
        Reach::None => "none",
    }
}

impl Setup {
    /// The vehicle it names.
    ///
    /// # Errors
    /// Never for the generator's own tables.
    pub fn vehicle(&self) -> Result<Vehicle, VehicleError> {
        let full = Settings {
            kind: self.kind.clone(),
            reach: self.reach,
            ..Settings::default()
        };
        let settings = match self.level {
            Level::Full => full,
            Level::Plain => Settings {
                two_faults: 0.0,
                wiring: 0.0,
                comes_and_goes: false,
                wakes: false,
                ..full
            },
        };
        Vehicle::draw(self.seed, &settings)
    }
}

impl fmt::Display for Setup {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "seed={}", self.seed)?;
        if let Some(kind) = &self.kind {
            write!(f, " kind={kind}")?;
        }
        let settings = if self.settings_may_be_lost {
            "may-be-lost"
        } else {
            "keep"
        };
        write!(
            f,
            " reach={} level={} settings={settings}",
            reach_word(self.reach),
            self.level.as_str()
        )
    }
}

impl FromStr for Setup {
    type Err = SetupError;

    fn from_str(text: &str) -> Result<Self, SetupError> {
        let mut setup = Self::default();
        for part in text.split_whitespace() {
            let (name, value) = part
                .split_once('=')
                .ok_or_else(|| SetupError(say::practice::setup_no_value(part)))?;
            let unknown =
                |known: Message| SetupError(say::practice::setup_unknown(known, name, value));
            match name {
                "seed" => {
                    setup.seed = value
                        .parse()
                        .map_err(|_| unknown(say::practice::setup_seed()))?
                }
                "kind" => setup.kind = Some(kind(value)?),
                "reach" => {
                    setup.reach = [Reach::All, Reach::Half, Reach::None]
                        .into_iter()
                        .find(|reach| reach_word(*reach) == value)
                        .ok_or_else(|| unknown(say::practice::setup_reach()))?;
                }
                "level" => {
                    setup.level = Level::ALL
                        .into_iter()
                        .find(|(_, word)| *word == value)
                        .ok_or_else(|| unknown(say::practice::setup_level()))?
                        .0;
                }
                "settings" => {
                    setup.settings_may_be_lost = match value {
                        "keep" => false,
                        "may-be-lost" => true,
                        _ => return Err(unknown(say::practice::setup_settings())),
                    };
                }
                _ => return Err(SetupError(say::practice::setup_no_name(name))),
            }
        }
        Ok(setup)
    }
}

/// A kind of vehicle that there is.
fn kind(value: &str) -> Result<String, SetupError> {
    let kinds: Vec<&str> = fleet::kinds().collect();
    if kinds.contains(&value) {
        return Ok(value.to_owned());
    }
    Err(SetupError(say::practice::setup_no_kind(
        value,
        kinds.join(", "),
    )))
}
