//! What a column's name says: quantity and unit.

/// Physical quantity of a column.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Quantity {
    Current,
    Voltage,
    Time,
    /// Power, charge, temperature …: known, and not what is looked for.
    Other,
}

/// A unit as written in logs; a value in it times `num / den` is in A, V or s.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Unit {
    pub(super) quantity: Quantity,
    pub(super) symbol: &'static str,
    pub(super) num: f64,
    pub(super) den: f64,
}

/// What a name says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    Current,
    Voltage,
    Time,
    Date,
    /// Sample number.
    Index,
    Other,
    Unknown,
}

/// A column's name, read.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Label {
    pub(super) name: String,
    pub(super) kind: Kind,
    pub(super) unit: Option<Unit>,
    /// The name has a word for its quantity, not a unit alone.
    pub(super) explicit: bool,
    /// The label is nothing but a unit.
    pub(super) bare_unit: bool,
}

// English, German and French, in which loggers commonly write: common practice.
const CURRENT_WORDS: &[&str] = &[
    "current", "curr", "i", "amps", "ampere", "amperes", "draw", "idc", "strom", "courant",
];
const VOLTAGE_WORDS: &[&str] = &[
    "voltage", "volt", "volts", "u", "v", "vdc", "vbat", "vbatt", "spannung", "tension",
];
const TIME_WORDS: &[&str] = &[
    "time",
    "t",
    "timestamp",
    "datetime",
    "elapsed",
    "seconds",
    "sec",
    "secs",
    "uhrzeit",
    "zeit",
    "zeitstempel",
    "temps",
    "heure",
    "clock",
    "uptime",
];
const DATE_WORDS: &[&str] = &["date", "datum", "day"];
const INDEX_WORDS: &[&str] = &[
    "sample", "samples", "index", "no", "nr", "n", "row", "count", "#", "point",
];

const fn unit(quantity: Quantity, symbol: &'static str, num: f64, den: f64) -> Unit {
    Unit {
        quantity,
        symbol,
        num,
        den,
    }
}

/// Reads a unit, `mA` or `milliseconds`; flags such as `DC` may follow it.
pub(super) fn parse_unit(text: &str) -> Option<Unit> {
    let mut words = text.split_whitespace();
    let first = words.next()?;
    if !words.all(|w| {
        [
            "dc", "ac", "rms", "trms", "auto", "hold", "rel", "avg", "ac+dc", "dc+ac", "diode",
        ]
        .contains(&w.to_lowercase().as_str())
    }) {
        return None;
    }
    parse_symbol(first)
}

fn parse_symbol(symbol: &str) -> Option<Unit> {
    use Quantity::{Current, Other, Time, Voltage};
    let found = match symbol {
        "A" | "a" | "amp" | "amps" | "ampere" | "amperes" | "Amp" | "Amps" | "Ampere" | "Adc"
        | "ADC" => unit(Current, "A", 1.0, 1.0),
        "mA" | "ma" | "MA" | "milliamps" | "milliampere" | "milliamperes" | "mAdc" => {
            unit(Current, "mA", 1.0, 1e3)
        }
        "uA" | "ua" | "UA" | "µA" | "\u{3bc}A" | "µa" | "microamps" | "microampere"
        | "microamperes" => unit(Current, "µA", 1.0, 1e6),
        "nA" | "na" => unit(Current, "nA", 1.0, 1e9),
        "kA" => unit(Current, "kA", 1e3, 1.0),
        "V" | "v" | "volt" | "volts" | "Volt" | "Volts" | "Vdc" | "VDC" => {
            unit(Voltage, "V", 1.0, 1.0)
        }
        "mV" | "mv" | "millivolts" | "millivolt" => unit(Voltage, "mV", 1.0, 1e3),
        "uV" | "µV" | "\u{3bc}V" => unit(Voltage, "µV", 1.0, 1e6),
        "kV" => unit(Voltage, "kV", 1e3, 1.0),
        "s" | "S" | "sec" | "secs" | "second" | "seconds" | "Seconds" => unit(Time, "s", 1.0, 1.0),
        "ms" | "msec" | "millis" | "millisecond" | "milliseconds" => unit(Time, "ms", 1.0, 1e3),
        "us" | "usec" | "µs" | "\u{3bc}s" | "microsecond" | "microseconds" => {
            unit(Time, "µs", 1.0, 1e6)
        }
        "ns" | "nanosecond" | "nanoseconds" => unit(Time, "ns", 1.0, 1e9),
        "min" | "minute" | "minutes" => unit(Time, "min", 60.0, 1.0),
        "h" | "hour" | "hours" => unit(Time, "h", 3600.0, 1.0),
        "W" | "mW" | "Wh" | "mWh" | "Ah" | "mAh" | "Ohm" | "ohm" | "Ω" | "°C" | "C" | "degC"
        | "°F" | "K" | "Hz" | "%" | "lx" => unit(Other, "other", 1.0, 1.0),
        _ => return None,
    };
    Some(found)
}

impl Label {
    /// Reads a column's name such as `current_mA`, `I (A)` or `time [ms]`.
    pub(super) fn read(name: &str) -> Self {
        let name = name.trim();
        let lower = name.to_lowercase();
        let words: Vec<&str> = lower
            .split(|c: char| !c.is_alphanumeric() && c != '#')
            .filter(|w| !w.is_empty())
            .collect();
        // A trailing channel number belongs to the word: `current1`, `i2`.
        let has = |list: &[&str]| {
            words.iter().any(|w| {
                list.contains(w) || list.contains(&w.trim_end_matches(|c: char| c.is_ascii_digit()))
            })
        };
        let whole = whole_unit(name);
        let found = whole.or_else(|| unit_in(name, has(TIME_WORDS)));
        let (kind, explicit) = match found.map(|u| u.quantity) {
            Some(Quantity::Current) => (Kind::Current, has(CURRENT_WORDS)),
            Some(Quantity::Voltage) => (Kind::Voltage, has(VOLTAGE_WORDS) && whole.is_none()),
            Some(Quantity::Time) => (Kind::Time, true),
            Some(Quantity::Other) => (Kind::Other, true),
            None => kind_of_words(&has),
        };
        Self {
            name: name.to_owned(),
            kind,
            unit: found.filter(|u| u.quantity != Quantity::Other),
            explicit,
            bare_unit: whole.is_some(),
        }
    }

    /// A column without a name.
    pub(super) fn unnamed(number: usize) -> Self {
        Self {
            name: number.to_string(),
            kind: Kind::Unknown,
            unit: None,
            explicit: false,
            bare_unit: false,
        }
    }
}

fn kind_of_words(has: &dyn Fn(&[&str]) -> bool) -> (Kind, bool) {
    let date = has(DATE_WORDS);
    if has(CURRENT_WORDS) {
        (Kind::Current, true)
    } else if has(VOLTAGE_WORDS) {
        (Kind::Voltage, true)
    } else if has(TIME_WORDS) {
        (Kind::Time, true)
    } else if date {
        (Kind::Date, true)
    } else if has(INDEX_WORDS) {
        (Kind::Index, true)
    } else {
        (Kind::Unknown, false)
    }
}

/// The label as a unit and nothing else. Single small letters are names.
fn whole_unit(name: &str) -> Option<Unit> {
    if name.len() == 1 && name.chars().all(|c| c.is_ascii_lowercase() && c != 's') {
        return None;
    }
    parse_unit(name)
}

/// The unit inside a label, where people put it.
fn unit_in(name: &str, about_time: bool) -> Option<Unit> {
    let bracketed = [('[', ']'), ('(', ')'), ('{', '}'), ('<', '>')]
        .iter()
        .find_map(|(open, close)| {
            let from = name.rfind(*open)? + open.len_utf8();
            let to = from + name[from..].find(*close)?;
            parse_unit(name[from..to].trim())
        });
    if bracketed.is_some() {
        return bracketed;
    }
    let behind = |mark: &str| {
        name.rfind(mark)
            .and_then(|at| parse_unit(name[at + mark.len()..].trim()))
    };
    let spelled = behind("/")
        .or_else(|| behind(" in "))
        .or_else(|| behind(","))
        .or_else(|| behind(":"));
    spelled.or_else(|| {
        let mut tail = name;
        // `Current A DC`: flags stand behind the unit.
        for flag in [" DC", " AC", "_DC", "_AC"] {
            tail = tail.strip_suffix(flag).unwrap_or(tail);
        }
        let at = tail.rfind(['_', ' ', '.', '-'])?;
        let word = &tail[at + 1..];
        let found = parse_symbol(word)?;
        // `I_min` is a minimum and `phase_a` a name, not a unit.
        let doubtful = matches!(word, "a" | "v" | "S" | "C" | "K")
            || (matches!(word, "min" | "h") && !about_time);
        (!doubtful).then_some(found)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_of_many_loggers() {
        let cases: &[(&str, Kind, Option<&str>, bool)] = &[
            ("current_A", Kind::Current, Some("A"), true),
            ("kettle_A", Kind::Current, Some("A"), false),
            ("I (mA)", Kind::Current, Some("mA"), true),
            ("current [µA]", Kind::Current, Some("µA"), true),
            ("Current [\u{3bc}A]", Kind::Current, Some("µA"), true),
            ("A DC", Kind::Current, Some("A"), false),
            ("V DC", Kind::Voltage, Some("V"), false),
            ("Strom/mA", Kind::Current, Some("mA"), true),
            ("current in mA", Kind::Current, Some("mA"), true),
            ("Current", Kind::Current, None, true),
            ("current1", Kind::Current, None, true),
            ("time_s", Kind::Time, Some("s"), true),
            ("time_us", Kind::Time, Some("µs"), true),
            ("t [ms]", Kind::Time, Some("ms"), true),
            ("time (s)", Kind::Time, Some("s"), true),
            ("milliseconds", Kind::Time, Some("ms"), true),
            ("Elapsed min", Kind::Time, Some("min"), true),
            ("samples", Kind::Index, None, true),
            ("Time", Kind::Time, None, true),
            ("Date", Kind::Date, None, true),
            ("voltage_V", Kind::Voltage, Some("V"), true),
            ("charge (mAh)", Kind::Other, None, true),
            ("Battery temperature (°C)", Kind::Other, None, true),
            ("I_min", Kind::Current, None, true),
            ("A0", Kind::Unknown, None, false),
            ("remark", Kind::Unknown, None, false),
        ];
        for (name, kind, symbol, explicit) in cases {
            let label = Label::read(name);
            assert_eq!(
                (label.kind, label.unit.map(|u| u.symbol), label.explicit),
                (*kind, *symbol, *explicit),
                "{name}"
            );
        }
    }
}
