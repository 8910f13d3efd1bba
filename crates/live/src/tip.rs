//! What can be said of a stream now, as one text: it goes from the program that listens to those that show it.

use measure::Uncertain;
use tongue::Message;
use trace::Exceeds;

/// Columns of the recent past.
pub const SPARK_COLUMNS: usize = 120;
/// Seconds in one of them.
pub const SPARK_S: f64 = 5.0;

/// A step that was found, on the clock of the wall.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stepped {
    /// When its first sample arrived, seconds since 1970.
    pub at_unix_s: f64,
    /// Level before it, ampere.
    pub before: Uncertain,
    /// Level after it, ampere.
    pub after: Uncertain,
    /// After minus before, ampere.
    pub change: Uncertain,
}

/// What can be said of a stream now.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Tip {
    /// The last sample, ampere.
    pub last_a: Option<f64>,
    /// When it arrived, seconds since 1970.
    pub last_unix_s: f64,
    /// Whether samples have stopped coming.
    pub stalled: bool,
    /// The level it is at, in words; `None` before there is one.
    pub level: Option<Message>,
    /// What the vehicle is doing, in words.
    pub state: Message,
    /// Whether the draw is too much; `None` while that is not known.
    pub exceeds: Option<bool>,
    /// Samples so far.
    pub samples: u64,
    /// Lines left out so far.
    pub garbled: u64,
    /// Time of the last sample from the first, seconds.
    pub time_s: f64,
    /// Steps so far.
    pub steps: u64,
    /// The last few, oldest first.
    pub stepped: Vec<Stepped>,
    /// The last few things said, oldest first, with their time.
    pub said: Vec<Message>,
    /// Least and greatest current of the recent past, ampere, oldest first; `None` where nothing came.
    pub spark: Vec<Option<(f64, f64)>>,
}

impl Tip {
    /// As text, one line for each thing.
    pub fn write(&self) -> String {
        let mut out = String::new();
        let mut line = |name: &str, value: String| {
            out.push_str(name);
            out.push(' ');
            out.push_str(&value);
            out.push('\n');
        };
        if let Some(last_a) = self.last_a {
            line("last", format!("{last_a} {}", self.last_unix_s));
        }
        line("stalled", self.stalled.to_string());
        if let Some(level) = &self.level {
            line("level", level.to_line());
        }
        line("state", self.state.to_line());
        if let Some(exceeds) = self.exceeds {
            line("exceeds", exceeds.to_string());
        }
        line(
            "counts",
            format!(
                "{} {} {} {}",
                self.samples, self.garbled, self.time_s, self.steps
            ),
        );
        for s in &self.stepped {
            let numbers = [
                s.at_unix_s,
                s.before.value,
                s.before.u,
                s.after.value,
                s.after.u,
                s.change.value,
                s.change.u,
            ];
            line("step", numbers.map(|number| number.to_string()).join(" "));
        }
        for said in &self.said {
            line("said", said.to_line());
        }
        let column = |column: &Option<(f64, f64)>| match column {
            Some((low, high)) => format!("{low}/{high}"),
            None => "-".to_owned(),
        };
        line(
            "spark",
            self.spark.iter().map(column).collect::<Vec<_>>().join(" "),
        );
        out
    }

    /// Reads what [`write`](Self::write) wrote. What cannot be understood, as from another version, is left out.
    pub fn read(text: &str) -> Self {
        let mut tip = Self::default();
        for line in text.lines() {
            let (name, value) = line.split_once(' ').unwrap_or((line, ""));
            let numbers: Vec<f64> = value.split(' ').filter_map(|n| n.parse().ok()).collect();
            match (name, &numbers[..]) {
                ("last", &[last_a, at]) => (tip.last_a, tip.last_unix_s) = (Some(last_a), at),
                ("stalled", _) => tip.stalled = value == "true",
                ("level", _) => tip.level = Message::from_line(value),
                ("state", _) => tip.state = Message::from_line(value).unwrap_or_default(),
                ("exceeds", _) => tip.exceeds = value.parse().ok(),
                // Counts fit: they were whole numbers below 2^53.
                ("counts", &[samples, garbled, time_s, steps]) => {
                    (tip.samples, tip.garbled) = (samples as u64, garbled as u64);
                    (tip.time_s, tip.steps) = (time_s, steps as u64);
                }
                ("step", &[at_unix_s, before, ub, after, ua, change, uc]) => {
                    tip.stepped.push(Stepped {
                        at_unix_s,
                        before: Uncertain::new(before, ub),
                        after: Uncertain::new(after, ua),
                        change: Uncertain::new(change, uc),
                    });
                }
                ("said", _) => tip.said.extend(Message::from_line(value)),
                ("spark", _) => {
                    let column = |text: &str| {
                        let (low, high) = text.split_once('/')?;
                        Some((low.parse().ok()?, high.parse().ok()?))
                    };
                    let columns = value.split(' ').filter(|text| !text.is_empty());
                    tip.spark = columns.map(column).collect();
                }
                _ => {}
            }
        }
        tip
    }
}

/// Whether a draw is too much, where that is known.
pub(crate) fn known(exceeds: Exceeds) -> Option<bool> {
    match exceeds {
        Exceeds::Yes => Some(true),
        Exceeds::No => Some(false),
        Exceeds::Unsure => None,
    }
}

/// Least and greatest of the recent past, column by column.
#[derive(Debug, Clone, Default)]
pub(crate) struct Spark {
    columns: std::collections::VecDeque<Option<(f64, f64)>>,
    /// Number of the newest column since the first sample.
    at: u64,
}

impl Spark {
    pub(crate) fn push(&mut self, time_s: f64, current_a: f64) {
        if !(current_a.is_finite() && time_s.is_finite()) {
            return;
        }
        let at = (time_s / SPARK_S).max(0.0) as u64;
        if self.columns.is_empty() {
            self.at = at;
            self.columns.push_back(None);
        }
        // A long silence leaves the whole past empty, whatever its length.
        for _ in 0..at.saturating_sub(self.at).min(SPARK_COLUMNS as u64) {
            self.columns.push_back(None);
        }
        self.at = self.at.max(at);
        while self.columns.len() > SPARK_COLUMNS {
            self.columns.pop_front();
        }
        if let Some(last) = self.columns.back_mut() {
            let (low, high) = last.unwrap_or((current_a, current_a));
            *last = Some((low.min(current_a), high.max(current_a)));
        }
    }

    pub(crate) fn columns(&self) -> Vec<Option<(f64, f64)>> {
        self.columns.iter().copied().collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use tongue::say;

    #[test]
    fn nothing_is_a_tip_too() {
        assert_eq!(Tip::read(""), Tip::default());
        assert_eq!(Tip::read("colour blue\nstep 1 2\nlast x\n"), Tip::default());
        assert_eq!(Tip::read(&Tip::default().write()), Tip::default());
    }

    #[test]
    fn the_past_is_bounded_and_hides_no_spike() {
        let mut spark = Spark::default();
        for k in 0..100_000 {
            spark.push(f64::from(k) * 0.01, if k == 99_000 { 8.0 } else { 0.02 });
        }
        let columns = spark.columns();
        assert_eq!(columns.len(), SPARK_COLUMNS);
        assert!(columns.iter().flatten().any(|(_, high)| *high == 8.0));
        spark.push(1e12, 0.5);
        assert_eq!(spark.columns().iter().flatten().count(), 1);
        spark.push(f64::NAN, 0.5);
        spark.push(1e12, f64::NAN);
        assert_eq!(spark.columns().len(), SPARK_COLUMNS);
    }

    proptest! {
        #[test]
        fn what_is_written_is_read(
            last_a in proptest::option::of(-1e3..1e3f64), state in "[a-z ;0-9±−]{0,40}", said in prop::collection::vec("[^\n\r]{1,30}", 0..4),
            exceeds in proptest::option::of(any::<bool>()), low in -1.0..1.0f64, samples in 0u64..1 << 50
        ) {
            let u = Uncertain::new(low, 0.001);
            let at = |text: String| say::live::at_clock("1:02:03", Message::plain(text));
            let tip = Tip {
                last_a, last_unix_s: if last_a.is_some() { 1.5e9 } else { 0.0 }, stalled: samples % 2 == 0, level: Some(say::live::level_since("22:10", state.as_str())), state: state.into(), exceeds, samples,
                garbled: 3, time_s: 2.5, steps: 1, said: said.into_iter().map(at).collect(), spark: vec![None, Some((low, low + 1.0))],
                stepped: vec![Stepped { at_unix_s: 1.5e9, before: u, after: u, change: u }],
            };
            prop_assert_eq!(Tip::read(&tip.write()), tip);
        }
    }
}
