//! Which column is the time, which the current.

use super::cells::{self, CellKind};
use super::clock;
use super::dialect::Dialect;
use super::label::{Kind, Label, Quantity, Unit};
use super::number;
use super::{ReadError, ReadOptions};

/// How a row's time is found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum TimeFrom {
    /// Rows are counted.
    Count { interval_s: f64 },
    /// A sample number.
    Index { column: usize, interval_s: f64 },
    /// A number in a unit: times `num / den` is seconds.
    Number { column: usize, num: f64, den: f64 },
    /// A date, a time of day, or both in one cell.
    Stamp {
        column: usize,
        dated: bool,
        zoned: bool,
    },
    /// A date in one cell, a time of day in another.
    DateAndClock {
        date: usize,
        clock: usize,
        zoned: bool,
    },
}

/// What to take from each row.
#[derive(Debug, Clone)]
pub(super) struct Plan {
    pub(super) time: TimeFrom,
    pub(super) current: usize,
    pub(super) current_unit: Unit,
    pub(super) voltage: Option<(usize, Unit)>,
    pub(super) labels: Vec<Label>,
    pub(super) notes: Vec<String>,
    /// Whole seconds that stamps count from.
    pub(super) base: i64,
    /// Zone of the first stamp, as an offset in seconds.
    pub(super) zone: Option<i64>,
    /// POSIX seconds or a text stamp of the first row, where the file says it.
    pub(super) absolute: bool,
}

impl Plan {
    /// Name of a column for people: its label, or its number.
    pub(super) fn name(&self, column: usize) -> String {
        self.labels
            .get(column)
            .map_or_else(|| (column + 1).to_string(), |l| l.name.clone())
    }
}

/// Decides from names, units and the first rows; options override.
pub(super) fn plan(dialect: &Dialect, options: &ReadOptions) -> Result<Plan, ReadError> {
    let table = Table::new(dialect);
    let mut notes = Vec::new();
    let time = table.time(options, &mut notes)?;
    let time_columns = columns_of(time, &table);
    let current = table.current(options, &time_columns, &mut notes)?;
    let current_unit = table.unit(current, options, &mut notes)?;
    let voltage = table.voltage(options, current, &time_columns)?;
    let (base, absolute) = table.base(time);
    let zone = table.zone(time);
    Ok(Plan {
        time,
        current,
        current_unit,
        voltage,
        labels: table.labels,
        notes,
        base,
        zone,
        absolute,
    })
}

fn columns_of(time: TimeFrom, table: &Table<'_>) -> Vec<usize> {
    match time {
        // Counted rows may have stamps beside them all the same.
        TimeFrom::Count { .. } => {
            let named =
                |i: &usize| matches!(table.labels[*i].kind, Kind::Time | Kind::Date | Kind::Index);
            (0..table.labels.len())
                .filter(named)
                .chain(table.first_rising())
                .collect()
        }
        TimeFrom::Index { column, .. }
        | TimeFrom::Number { column, .. }
        | TimeFrom::Stamp { column, .. } => vec![column],
        TimeFrom::DateAndClock { date, clock, .. } => vec![date, clock],
    }
}

/// The sample, column by column.
pub(super) struct Table<'a> {
    pub(super) dialect: &'a Dialect,
    pub(super) labels: Vec<Label>,
    /// Most common kind of cell in each column.
    pub(super) content: Vec<CellKind>,
}

impl<'a> Table<'a> {
    fn new(dialect: &'a Dialect) -> Self {
        let labels = (0..dialect.fields)
            .map(|i| {
                match dialect
                    .header
                    .as_ref()
                    .and_then(|h| h.get(i))
                    .filter(|n| !n.is_empty())
                {
                    Some(name) => Label::read(name),
                    None => Label::unnamed(i + 1),
                }
            })
            .collect();
        let content = (0..dialect.fields)
            .map(|i| {
                let mut counts = [0usize; 3];
                for row in &dialect.rows {
                    match row
                        .get(i)
                        .map_or(CellKind::Missing, |c| cells::kind(c.as_bytes()))
                    {
                        CellKind::Number => counts[0] += 1,
                        CellKind::Stamp => counts[1] += 1,
                        CellKind::Text => counts[2] += 1,
                        CellKind::Missing => {}
                    }
                }
                match counts {
                    [0, 0, 0] => CellKind::Missing,
                    [n, s, t] if n >= s && n >= t => CellKind::Number,
                    [_, s, t] if s >= t => CellKind::Stamp,
                    _ => CellKind::Text,
                }
            })
            .collect();
        Self {
            dialect,
            labels,
            content,
        }
    }

    pub(super) fn names(&self) -> Vec<String> {
        self.labels.iter().map(|l| l.name.clone()).collect()
    }

    /// The column that an option names: by label, by label without its unit, or by number.
    pub(super) fn find(&self, option: &'static str, wanted: &str) -> Result<usize, ReadError> {
        let wanted = wanted.trim();
        let lower = wanted.to_lowercase();
        let exact = self.labels.iter().position(|l| l.name == wanted);
        let loose = || {
            self.labels
                .iter()
                .position(|l| l.name.to_lowercase() == lower)
        };
        let number = || {
            wanted
                .parse::<usize>()
                .ok()
                .filter(|n| (1..=self.labels.len()).contains(n))
                .map(|n| n - 1)
        };
        let stem = || {
            let mut hits = self.labels.iter().enumerate().filter(|(_, l)| {
                let name = l.name.to_lowercase();
                name.strip_prefix(&lower)
                    .is_some_and(|rest| rest.starts_with([' ', '_', '(', '[', '/', ',']))
            });
            hits.next()
                .filter(|_| hits.next().is_none())
                .map(|(i, _)| i)
        };
        exact
            .or_else(loose)
            .or_else(number)
            .or_else(stem)
            .ok_or_else(|| ReadError::NoSuchColumn {
                option,
                name: wanted.to_owned(),
                columns: self.names(),
            })
    }

    fn first_stamp(&self, column: usize) -> Option<clock::Stamp> {
        self.dialect
            .rows
            .iter()
            .find_map(|r| clock::parse(r.get(column)?.as_bytes(), self.dialect.order))
    }

    fn numbers(&self, column: usize) -> Vec<f64> {
        self.dialect
            .rows
            .iter()
            .filter_map(|r| Some(number::parse(r.get(column)?.as_bytes(), self.dialect.format)?.0))
            .collect()
    }

    fn time(&self, options: &ReadOptions, notes: &mut Vec<String>) -> Result<TimeFrom, ReadError> {
        if let Some(hz) = self
            .dialect
            .preamble
            .rate_hz
            .filter(|_| options.time.is_none() && options.interval_s.is_none())
        {
            notes.push(format!("the rate was taken from the line `Samplerate:` ({hz} Hz) and rows were counted, because time columns beside it are cut to whole units"));
            return Ok(TimeFrom::Count {
                interval_s: 1.0 / hz,
            });
        }
        let named = options
            .time
            .as_deref()
            .map(|name| self.find("time", name))
            .transpose()?;
        if let Some(interval_s) = options.interval_s {
            return Ok(self.with_interval(named, interval_s, notes));
        }
        let column = named.or_else(|| self.guess_time(notes));
        let Some(column) = column else {
            return Err(ReadError::NoTime {
                columns: self.names(),
            });
        };
        if self.content[column] == CellKind::Stamp {
            return Ok(self.stamp_time(column, notes));
        }
        let label = &self.labels[column];
        if named.is_none() && label.kind == Kind::Index {
            return Err(ReadError::NoTime {
                columns: self.names(),
            });
        }
        let unit = label.unit.filter(|u| u.quantity == Quantity::Time);
        let (num, den) = match unit {
            Some(u) => (u.num, u.den),
            None => self.unsaid_time_unit(column, notes),
        };
        if let Some(u) = unit {
            notes.push(format!(
                "time was taken from column {} in {}",
                label.name, u.symbol
            ));
        }
        Ok(TimeFrom::Number { column, num, den })
    }

    fn with_interval(
        &self,
        named: Option<usize>,
        interval_s: f64,
        notes: &mut Vec<String>,
    ) -> TimeFrom {
        let counter = named
            .or_else(|| self.labels.iter().position(|l| l.kind == Kind::Index))
            .or_else(|| self.first_rising());
        let whole_steps = |column: &usize| {
            let numbers = self.numbers(*column);
            numbers.len() > 1
                && numbers
                    .windows(2)
                    .all(|w| w[0].fract() == 0.0 && w[1] > w[0])
                && numbers[1] - numbers[0] == 1.0
        };
        if let Some(column) = counter.filter(whole_steps) {
            notes.push(format!(
                "column {} was taken for the sample number, one each {interval_s} s",
                self.labels[column].name
            ));
            return TimeFrom::Index { column, interval_s };
        }
        notes.push(format!(
            "rows were counted, one each {interval_s} s, as asked; stamps in the file were not used"
        ));
        TimeFrom::Count { interval_s }
    }

    /// A column named as time or holding stamps; else, beside other numbers, the first that only rises.
    fn guess_time(&self, notes: &mut Vec<String>) -> Option<usize> {
        let of_kind = |kind: Kind, content: CellKind| {
            (0..self.labels.len())
                .find(|i| self.labels[*i].kind == kind && self.content[*i] == content)
        };
        let stamp =
            of_kind(Kind::Time, CellKind::Stamp).or_else(|| of_kind(Kind::Date, CellKind::Stamp));
        let stamp = stamp.or_else(|| self.content.iter().position(|c| *c == CellKind::Stamp));
        if let Some(column) = stamp
            .or_else(|| of_kind(Kind::Time, CellKind::Number))
            .or_else(|| of_kind(Kind::Index, CellKind::Number))
        {
            return Some(column);
        }
        let column = self.first_rising()?;
        notes.push(format!(
            "column {} only rises, so it was taken for the time",
            self.labels[column].name
        ));
        Some(column)
    }

    fn first_rising(&self) -> Option<usize> {
        let numeric: Vec<usize> = (0..self.content.len())
            .filter(|i| self.content[*i] == CellKind::Number)
            .collect();
        let first = *numeric.first().filter(|_| numeric.len() > 1)?;
        let numbers = self.numbers(first);
        let rises = numbers.windows(2).all(|w| w[1] >= w[0])
            && (numbers.len() < 2 || numbers.last() > numbers.first());
        (rises && self.labels[first].kind == Kind::Unknown).then_some(first)
    }

    fn stamp_time(&self, column: usize, notes: &mut Vec<String>) -> TimeFrom {
        let stamp = self.first_stamp(column);
        let dated = stamp.is_some_and(|s| s.day.is_some());
        let date_only = |i: &usize| {
            self.content[*i] == CellKind::Stamp
                && self.dialect.rows.iter().all(|r| {
                    r.get(*i).is_some_and(|c| {
                        c.is_empty()
                            || clock::parse_date(c.as_bytes(), self.dialect.order)
                                .is_some_and(|(_, used)| used == c.len())
                    })
                })
        };
        let clock_only = |i: &usize| {
            self.content[*i] == CellKind::Stamp
                && self.first_stamp(*i).is_some_and(|s| s.day.is_none())
        };
        let all = 0..self.labels.len();
        if date_only(&column) {
            if let Some(clock) = all.clone().find(clock_only) {
                return self.date_and_clock(column, clock, notes);
            }
        } else if !dated && let Some(date) = all.clone().find(date_only) {
            return self.date_and_clock(date, column, notes);
        }
        let zoned = stamp.is_some_and(|s| s.zone.is_some());
        let what = match (dated, zoned) {
            (true, true) => "date and time with zone",
            (true, false) => "local date and time, no zone",
            _ => "time of day; a step back by more than half a day is midnight",
        };
        notes.push(format!(
            "time was taken from column {} ({what})",
            self.labels[column].name
        ));
        TimeFrom::Stamp {
            column,
            dated,
            zoned,
        }
    }

    fn date_and_clock(&self, date: usize, clock: usize, notes: &mut Vec<String>) -> TimeFrom {
        notes.push(format!(
            "time was taken from columns {} (date) and {} (time of day)",
            self.labels[date].name, self.labels[clock].name
        ));
        let zoned = self.first_stamp(clock).is_some_and(|s| s.zone.is_some());
        TimeFrom::DateAndClock { date, clock, zoned }
    }

    /// Seconds, unless the numbers can only be POSIX milliseconds.
    fn unsaid_time_unit(&self, column: usize, notes: &mut Vec<String>) -> (f64, f64) {
        let name = &self.labels[column].name;
        let first = self.numbers(column).first().copied().unwrap_or(0.0);
        if (1e11..1e14).contains(&first) {
            notes.push(format!(
                "column {name} was taken for milliseconds since 1970 (UTC)"
            ));
            return (1.0, 1e3);
        }
        if (1e8..1e11).contains(&first) {
            notes.push(format!(
                "column {name} was taken for seconds since 1970 (UTC)"
            ));
        } else {
            notes.push(format!(
                "column {name} gives no unit of time; seconds were assumed"
            ));
        }
        (1.0, 1.0)
    }

    fn zone(&self, time: TimeFrom) -> Option<i64> {
        match time {
            TimeFrom::Stamp { column, .. } | TimeFrom::DateAndClock { clock: column, .. } => {
                self.first_stamp(column)?.zone
            }
            _ => None,
        }
    }

    fn base(&self, time: TimeFrom) -> (i64, bool) {
        match time {
            TimeFrom::Stamp { column, .. } => {
                (self.first_stamp(column).map_or(0, |s| s.whole()), true)
            }
            TimeFrom::DateAndClock { date, .. } => {
                (self.first_stamp(date).map_or(0, |s| s.whole()), true)
            }
            TimeFrom::Number { column, num, den } => (
                0,
                self.numbers(column)
                    .first()
                    .is_some_and(|v| v * num / den >= 1e8),
            ),
            TimeFrom::Count { .. } | TimeFrom::Index { .. } => (0, false),
        }
    }
}
