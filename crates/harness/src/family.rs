//! Load families: what a circuit of a kind draws when it is well, how often
//! and by how much it goes wrong, and what interrupting it costs.
//!
//! The figures live in `data/families.toml`, each family with its source and
//! status. A person may add families or replace some in the same format.

use std::{fmt, sync::LazyLock};

use measure::range::{self, Range};
use toml::{Table, Value};
use tongue::{Message, say};

use crate::{
    behaviour::{self, Behaves, Behaviour},
    caution::TestKind,
};

/// A log-normal distribution of a current.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LogNormal {
    /// Median, ampere, above 0.
    pub median_a: f64,
    /// Standard deviation of the natural logarithm, above 0.
    pub log_sd: f64,
}

/// One way of being at fault.
#[derive(Debug, Clone, PartialEq)]
pub struct Fault {
    /// Its share among the family's faults; the shares of a family sum to 1.
    pub weight: f64,
    /// The draw it adds to the normal one.
    pub draw: LogNormal,
    /// Words for people: "5 W lamp left on".
    pub what: String,
}

/// How well a family's figures are founded.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Status {
    /// The normal draw or the main fault's size was read in a publication.
    Read,
    /// From memory.
    Memory,
    /// Common practice.
    CommonPractice,
}

/// A kind of circuit.
#[derive(Debug, Clone, PartialEq)]
pub struct Family {
    /// Its name in job files.
    pub id: String,
    /// Other names for it in job files.
    pub also: Vec<String>,
    /// Its name for people, lower case in English.
    pub name: Message,
    /// Chance that such a circuit is at fault when a flat battery is
    /// complained of, 0 to 1.
    pub prior_fault: f64,
    /// Settled draw when all is well.
    pub normal: LogNormal,
    /// Ways to be at fault; never empty.
    pub faults: Vec<Fault>,
    /// Whether losing its supply loses stored settings.
    pub keeps_settings: bool,
    /// Minutes to reach its fuse and interrupt it.
    pub access_min: f64,
    /// Chance that pulling or refitting its fuse wakes the vehicle, 0 to 1.
    pub wake_chance: f64,
    /// How it shows in a log when it is at fault.
    pub behaves: Behaves,
    /// The caution that a test on it needs beyond that of the test itself.
    pub caution: Option<TestKind>,
    /// Where its figures come from.
    pub source: String,
    /// How well they are founded.
    pub status: Status,
    /// What fuse lists call it, as patterns in folded labels.
    words: Vec<String>,
}

/// Why a text holds no families.
#[derive(Debug, Clone, PartialEq)]
pub struct FamilyError(Message);

impl fmt::Display for FamilyError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

impl std::error::Error for FamilyError {}

/// A set of families; the built-in ones, perhaps extended.
#[derive(Debug, Clone, PartialEq)]
pub struct Families {
    /// `unknown` first, then as given.
    all: Vec<Family>,
}

/// The id of the family for what nobody knows.
const UNKNOWN: &str = "unknown";
/// The id of the family for the wiring between a fuse and what it feeds: nothing that could be unplugged.
pub const WIRING: &str = "wiring";

/// Spread allowed for a log-normal: e^5 is a factor of 150.
const LOG_SD: Range = Range {
    name: "log_sd",
    low: 0.01,
    high: 5.0,
    unit: "",
};
const SHARE_OF_FAULTS: Range = Range {
    name: "share",
    low: 1e-6,
    high: 1e6,
    unit: "",
};
const MEDIAN: Range = Range {
    name: "median_a",
    low: 1e-9,
    high: 1000.0,
    unit: "A",
};
const MINUTES: Range = Range {
    name: "access_min",
    low: 0.0,
    high: 600.0,
    unit: "min",
};

static BUILT_IN: LazyLock<Families> = LazyLock::new(|| {
    let mut families = Families {
        all: vec![Family::bare()],
    };
    // A test holds that the built-in text is sound, so nothing is lost here.
    let _ = families.extend(include_str!("../data/families.toml"));
    families
});

/// The built-in family called `id`.
pub fn family(id: &str) -> Option<&'static Family> {
    BUILT_IN.get(id)
}

/// The built-in family that the words of `label` name best; `unknown` if none.
pub fn guess(label: &str) -> &'static Family {
    BUILT_IN.guess(label)
}

/// All built-in families, `unknown` first.
pub fn all() -> &'static [Family] {
    BUILT_IN.all()
}

impl Families {
    /// The built-in ones.
    pub fn built_in() -> &'static Self {
        &BUILT_IN
    }

    /// Adds the families of a text in the format of `data/families.toml`; one
    /// with a known id replaces it. Nothing changes when the text is refused.
    ///
    /// # Errors
    /// When the text is not TOML, or a family lacks something or has an
    /// impossible number; the message names the line or the family.
    pub fn extend(&mut self, text: &str) -> Result<(), FamilyError> {
        let table: Table = text
            .parse()
            .map_err(|error: toml::de::Error| FamilyError(error.to_string().trim_end().into()))?;
        let Some(Value::Array(entries)) = table.get("family") else {
            return Err(FamilyError(say::harness::family_none()));
        };
        let mut read = Vec::new();
        for (at, entry) in entries.iter().enumerate() {
            let fields = Fields::new(entry, at)?;
            read.push(fields.family()?);
        }
        for family in read {
            match self.all.iter_mut().find(|known| known.id == family.id) {
                Some(known) => *known = family,
                None => self.all.push(family),
            }
        }
        Ok(())
    }

    /// The family called `id`, or that goes by it as another name.
    pub fn get(&self, id: &str) -> Option<&Family> {
        let named = self.all.iter().find(|family| family.id == id);
        named.or_else(|| {
            self.all
                .iter()
                .find(|family| family.also.iter().any(|name| name == id))
        })
    }

    /// The family for what nobody knows.
    pub fn unknown(&self) -> &Family {
        // `all` starts with it from the beginning, and `extend` only replaces or appends.
        &self.all[0]
    }

    /// All of them, `unknown` first.
    pub fn all(&self) -> &[Family] {
        &self.all
    }

    /// The family that the words of `label` name best, English or German: the
    /// longest word or phrase that occurs decides, the earlier family on a
    /// tie. `unknown` if none occurs.
    pub fn guess(&self, label: &str) -> &Family {
        let label = fold(label);
        let mut best = self.unknown();
        let mut length = 0;
        for family in &self.all {
            let longest = family.longest_word_in(&label);
            if longest > length {
                (best, length) = (family, longest);
            }
        }
        best
    }

    /// All families of which a word occurs in `label`: a fuse that feeds
    /// "clock, radio, interior lamp" belongs to three. What is part of a longer
    /// word does not count: the window of "heated rear window" is none that
    /// opens. In order of their definition; empty if none occurs.
    pub fn named_in(&self, label: &str) -> Vec<&Family> {
        let mut left = fold(label);
        let mut words: Vec<&str> = self
            .all
            .iter()
            .flat_map(|family| family.words.iter().map(String::as_str))
            .filter(|word| left.contains(word))
            .collect();
        words.sort_by(|a, b| b.len().cmp(&a.len()).then(a.cmp(b)));
        words.dedup();
        words.retain(|word| {
            let occurs = left.contains(word);
            // As long as the word, and part of none.
            left = left.replace(word, &"\0".repeat(word.len()));
            occurs
        });
        let named = |family: &&Family| family.words.iter().any(|w| words.contains(&w.as_str()));
        self.all.iter().filter(named).collect()
    }
}

impl Family {
    /// The unknown family before any data is read.
    fn bare() -> Self {
        Self {
            id: UNKNOWN.into(),
            also: Vec::new(),
            name: say::harness::unknown_circuit(),
            prior_fault: 0.03,
            normal: LogNormal {
                median_a: 0.001,
                log_sd: 1.2,
            },
            faults: vec![Fault {
                weight: 1.0,
                draw: LogNormal {
                    median_a: 0.2,
                    log_sd: 1.0,
                },
                what: "something left on".into(),
            }],
            keeps_settings: false,
            access_min: 3.0,
            wake_chance: 0.25,
            behaves: Behaves::default(),
            caution: None,
            source: "from memory".into(),
            status: Status::Memory,
            words: Vec::new(),
        }
    }

    /// Length of the longest of its words in a folded label, 0 if none.
    fn longest_word_in(&self, label: &str) -> usize {
        let occurs = |word: &&String| label.contains(word.as_str());
        self.words
            .iter()
            .filter(occurs)
            .map(|word| word.trim().len())
            .max()
            .unwrap_or(0)
    }
}

/// A word as it is looked for in folded labels. Short words count only as
/// whole words, and those of four letters only at the start of one: `can` is
/// no canopy, and a `lock` no clock. Longer ones count anywhere, for German
/// puts words together. `None` for a word without letters and digits.
fn pattern(word: &str) -> Option<String> {
    let folded = fold(word);
    let word = folded.trim();
    match word.len() {
        0 => None,
        1..=3 => Some(format!(" {word} ")),
        4 => Some(format!(" {word}")),
        _ => Some(word.into()),
    }
}

/// A label as two people would write it alike: lower case, umlauts spelled
/// out, words with single blanks between. `"Radio/BT (Ü)"` is `"radio bt ue"`.
pub fn folded(label: &str) -> String {
    fold(label).trim().into()
}

/// Lower case, umlauts and ß spelled out, every other sign a blank, blanks
/// single, one blank at either end: `"Radio/BT (Ü)"` is `" radio bt ue "`.
fn fold(text: &str) -> String {
    let mut folded = String::from(" ");
    for c in text.chars().flat_map(char::to_lowercase) {
        match c {
            'ä' => folded.push_str("ae"),
            'ö' => folded.push_str("oe"),
            'ü' => folded.push_str("ue"),
            'ß' => folded.push_str("ss"),
            c if c.is_alphanumeric() => folded.push(c),
            _ if folded.ends_with(' ') => {}
            _ => folded.push(' '),
        }
    }
    if !folded.ends_with(' ') {
        folded.push(' ');
    }
    folded
}

/// The fields of one `[[family]]`, with its name for messages.
struct Fields<'a> {
    table: &'a Table,
    id: &'a str,
}

impl<'a> Fields<'a> {
    fn new(entry: &'a Value, at: usize) -> Result<Self, FamilyError> {
        let nameless = || FamilyError(say::harness::family_no_id((at + 1).to_string()));
        let table = entry.as_table().ok_or_else(nameless)?;
        let id = table
            .get("id")
            .and_then(Value::as_str)
            .filter(|id| !id.trim().is_empty());
        Ok(Self {
            table,
            id: id.ok_or_else(nameless)?,
        })
    }

    fn family(&self) -> Result<Family, FamilyError> {
        let mut faults = Vec::new();
        for value in self.get("fault", Value::as_array, say::harness::family_faults())? {
            let fault = value
                .as_table()
                .map(|table| Fields { table, id: self.id })
                .ok_or_else(|| {
                    let one = "{ share, median_a, log_sd, what }";
                    self.wrong("fault", say::harness::family_list_of(one))
                })?;
            faults.push(Fault {
                weight: fault.number("share", SHARE_OF_FAULTS)?,
                draw: fault.log_normal()?,
                what: fault.text("what")?,
            });
        }
        let sum: f64 = faults.iter().map(|fault| fault.weight).sum();
        if faults.is_empty() {
            return Err(self.wrong("fault", say::harness::family_one_fault()));
        }
        for fault in &mut faults {
            fault.weight /= sum;
        }
        let normal = self.get("normal", Value::as_table, "{ median_a, log_sd }".into())?;
        Ok(Family {
            id: self.id.into(),
            also: self.texts("also")?,
            name: self.name()?,
            prior_fault: self.number("prior", range::PROBABILITY)?,
            normal: Fields {
                table: normal,
                id: self.id,
            }
            .log_normal()?,
            faults,
            keeps_settings: self.get(
                "settings",
                Value::as_bool,
                say::harness::family_true_false(),
            )?,
            access_min: self.number("access_min", MINUTES)?,
            wake_chance: self.number("wake", range::PROBABILITY)?,
            behaves: self.behaves()?,
            caution: self.caution()?,
            source: self.text("source")?,
            status: self.status()?,
            words: self
                .texts("words")?
                .iter()
                .filter_map(|word| pattern(word))
                .collect(),
        })
    }

    fn name(&self) -> Result<Message, FamilyError> {
        let english = self.text("name")?;
        Ok(if self.table.contains_key("name_de") {
            Message::both(english, self.text("name_de")?)
        } else {
            Message::plain(english)
        })
    }

    fn log_normal(&self) -> Result<LogNormal, FamilyError> {
        Ok(LogNormal {
            median_a: self.number("median_a", MEDIAN)?,
            log_sd: self.number("log_sd", LOG_SD)?,
        })
    }

    /// Absent means that a log says nothing of it.
    fn behaves(&self) -> Result<Behaves, FamilyError> {
        let mut behaves = Behaves::default();
        if !self.table.contains_key("behaves") {
            return Ok(behaves);
        }
        let known = say::harness::family_behaves();
        let table = self.get("behaves", Value::as_table, known.clone())?;
        let fields = Fields { table, id: self.id };
        for word in table.keys() {
            let behaviour = Behaviour::ALL.iter().find(|known| known.as_str() == word);
            let behaviour = behaviour.ok_or_else(|| self.wrong("behaves", known.clone()))?;
            behaves.set(*behaviour, fields.number(word, behaviour::FACTOR)?);
        }
        Ok(behaves)
    }

    fn caution(&self) -> Result<Option<TestKind>, FamilyError> {
        if !self.table.contains_key("caution") {
            return Ok(None);
        }
        let known = || {
            TestKind::ALL
                .iter()
                .map(|kind| kind.as_str())
                .collect::<Vec<_>>()
                .join(", ")
        };
        let word = self.text("caution")?;
        let kind = TestKind::ALL.iter().find(|kind| kind.as_str() == word);
        kind.map(|kind| Some(*kind))
            .ok_or_else(|| self.wrong("caution", known().into()))
    }

    fn status(&self) -> Result<Status, FamilyError> {
        match self.text("status")?.as_str() {
            "read" => Ok(Status::Read),
            "memory" => Ok(Status::Memory),
            "common practice" => Ok(Status::CommonPractice),
            _ => Err(self.wrong("status", say::harness::family_status())),
        }
    }

    fn text(&self, key: &str) -> Result<String, FamilyError> {
        self.get(key, Value::as_str, say::harness::family_text())
            .map(Into::into)
    }

    /// A list of texts; absent means empty.
    fn texts(&self, key: &str) -> Result<Vec<String>, FamilyError> {
        if !self.table.contains_key(key) {
            return Ok(Vec::new());
        }
        let list = self.get(key, Value::as_array, say::harness::family_texts())?;
        let texts = list.iter().map(|value| value.as_str().map(Into::into));
        texts
            .collect::<Option<_>>()
            .ok_or_else(|| self.wrong(key, say::harness::family_texts()))
    }

    fn number(&self, key: &str, range: Range) -> Result<f64, FamilyError> {
        let any = |value: &Value| value.as_float().or(value.as_integer().map(|n| n as f64));
        let number = self.get(key, any, say::harness::family_number())?;
        range.check(number).map_err(|problem| {
            FamilyError(say::harness::family_problem(self.id, problem.message()))
        })
    }

    fn get<T>(
        &self,
        key: &str,
        read: impl Fn(&'a Value) -> Option<T>,
        wanted: Message,
    ) -> Result<T, FamilyError> {
        self.table
            .get(key)
            .and_then(read)
            .ok_or_else(|| self.wrong(key, wanted))
    }

    fn wrong(&self, key: &str, wanted: Message) -> FamilyError {
        FamilyError(say::harness::family_wrong(self.id, key, wanted))
    }
}
