//! From lines to numbers: a quick way for plain rows, a patient one for the rest.

use super::ReadError;
use super::cells::{self, Delimiter};
use super::clock;
use super::columns::{Plan, TimeFrom};
use super::dialect::Dialect;
use super::label::Unit;
use super::number::{self, Digits};

/// Skipped rows that are kept with their reason.
pub(super) const KEPT_SKIPS: usize = 10;

/// Numbers of a run of lines, still in the units of the file.
#[derive(Debug, Clone, Default)]
pub(super) struct Chunk {
    pub(super) time: Vec<f64>,
    pub(super) current: Vec<f64>,
    pub(super) voltage: Vec<f64>,
    /// Sample and its line, wherever samples and lines stop running in step.
    pub(super) marks: Vec<(usize, u64)>,
    pub(super) lines: u64,
    pub(super) skipped: u64,
    /// Those of them that hold no value or say so (`nan`): no sign of a wrong column.
    pub(super) missing: u64,
    pub(super) reasons: Vec<(u64, String)>,
    pub(super) last_skip: Option<u64>,
    pub(super) digits: Digits,
    pub(super) fatal: Option<ReadError>,
}

pub(super) const NO_VALUE: &str = "there is no value";

/// What rows need to know.
#[derive(Debug)]
pub(super) struct RowReader<'a> {
    dialect: &'a Dialect,
    plan: &'a Plan,
    quick: Option<&'a Quick>,
}

/// Columns of the quick way in the order in which they stand.
#[derive(Debug, Clone)]
pub(super) struct Quick {
    delimiter: u8,
    /// Decimal mark.
    mark: u8,
    wanted: Vec<(usize, Role)>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Role {
    Time,
    Current,
    Voltage,
}

enum Row {
    Values {
        time: f64,
        current: f64,
        voltage: f64,
        digits: Digits,
    },
    Nothing,
    Skip {
        reason: String,
        missing: bool,
    },
    Fatal(ReadError),
}

impl<'a> RowReader<'a> {
    /// `quick` comes from [`quick`] of the same dialect and plan.
    pub(super) fn new(dialect: &'a Dialect, plan: &'a Plan, quick: Option<&'a Quick>) -> Self {
        Self {
            dialect,
            plan,
            quick,
        }
    }

    fn timed(&self) -> bool {
        !matches!(self.plan.time, TimeFrom::Count { .. })
    }

    /// Reads whole lines; the last may lack its end.
    pub(super) fn read(&self, bytes: &[u8], chunk: &mut Chunk) {
        match self.quick {
            Some(q) if matches!(q.wanted.as_slice(), [(0, Role::Time), (1, Role::Current)]) => {
                self.drive(bytes, chunk, |b, at, d| {
                    pair(b, at, (q.delimiter, q.mark), d)
                });
            }
            Some(q) => self.drive(bytes, chunk, |b, at, d| several(b, at, q, d)),
            None => self.drive(bytes, chunk, |_, _, _| None),
        }
    }

    #[inline(always)]
    fn drive(
        &self,
        bytes: &[u8],
        chunk: &mut Chunk,
        quick: impl Fn(&[u8], usize, &mut Digits) -> Option<([f64; 3], usize)>,
    ) {
        let (timed, volted) = (self.timed(), self.plan.voltage.is_some());
        let mut parts = Vec::new();
        let mut at = 0;
        let mut expected = u64::MAX;
        let mut digits = Digits::default();
        while at < bytes.len() {
            let (values, next) = match quick(bytes, at, &mut digits) {
                Some(found) => found,
                None => {
                    let end = memchr::memchr(b'\n', &bytes[at..]).map_or(bytes.len(), |n| at + n);
                    let row = self.patient(&bytes[at..end], &mut parts, chunk.lines);
                    match row {
                        Row::Values {
                            time,
                            current,
                            voltage,
                            digits: seen,
                        } => {
                            digits.merge(seen);
                            ([time, current, voltage], end + 1)
                        }
                        other => {
                            if chunk.absorb(other) {
                                return;
                            }
                            at = end + 1;
                            chunk.lines += 1;
                            continue;
                        }
                    }
                }
            };
            if expected != chunk.lines {
                chunk.marks.push((chunk.current.len(), chunk.lines));
            }
            chunk.current.push(values[1]);
            if timed {
                chunk.time.push(values[0]);
            }
            if volted {
                chunk.voltage.push(values[2]);
            }
            at = next;
            chunk.lines += 1;
            expected = chunk.lines;
        }
        chunk.digits.merge(digits);
    }

    /// One line by the long way.
    fn patient<'b>(&self, line: &'b [u8], parts: &mut Vec<&'b [u8]>, number: u64) -> Row {
        let line = line.strip_suffix(b"\r").unwrap_or(line);
        if line.trim_ascii().is_empty() || cells::is_comment(line) {
            return Row::Nothing;
        }
        cells::split(line, self.dialect.delimiter, parts);
        match self.values(parts) {
            Ok(row) => row,
            Err(_) if super::analog::is_analog_line(line) => Row::Fatal(ReadError::SpoiltRow {
                line: number,
                text: shorten(line),
            }),
            Err(reason) => Row::Skip {
                missing: reason.starts_with(NO_VALUE),
                reason,
            },
        }
    }

    fn values(&self, parts: &[&[u8]]) -> Result<Row, String> {
        let mut digits = Digits::default();
        let time = self.time(parts, &mut digits)?;
        let current = self
            .cell(parts, self.plan.current, &self.plan.current_unit)?
            .0;
        let voltage = match &self.plan.voltage {
            Some((column, unit)) => self.cell(parts, *column, unit)?.0,
            None => 0.0,
        };
        Ok(Row::Values {
            time,
            current,
            voltage,
            digits,
        })
    }

    fn time(&self, parts: &[&[u8]], digits: &mut Digits) -> Result<f64, String> {
        let order = self.dialect.order;
        let cut = |column: usize| parts.get(column).copied().ok_or_else(|| too_short(column));
        let stamp = |text: &[u8]| {
            clock::parse(text, order).ok_or_else(|| format!("`{}` is not a time", shorten(text)))
        };
        let keep = |digits: &mut Digits, s: &clock::Stamp| {
            digits.merge(Digits {
                mantissa: u64::MAX,
                decimals: s.decimals,
            })
        };
        match self.plan.time {
            TimeFrom::Count { .. } => Ok(0.0),
            TimeFrom::Index { column, .. } | TimeFrom::Number { column, .. } => {
                let cell = cut(column)?;
                let (value, seen) =
                    number::parse(cell, self.dialect.format).ok_or_else(|| not_a_number(cell))?;
                digits.merge(seen);
                Ok(value)
            }
            TimeFrom::Stamp {
                column,
                dated,
                zoned,
            } => {
                let s = stamp(cut(column)?)?;
                keep(digits, &s);
                if s.day.is_some() != dated || s.zone.is_some() != zoned {
                    return Err(format!(
                        "`{}` is a time of another form than in the rows before",
                        shorten(parts[column])
                    ));
                }
                Ok(s.since(self.plan.base))
            }
            TimeFrom::DateAndClock { date, clock, .. } => {
                let (day, of_day) = (stamp(cut(date)?)?, stamp(cut(clock)?)?);
                keep(digits, &of_day);
                Ok(day.since(self.plan.base) + of_day.since(0))
            }
        }
    }

    fn cell(&self, parts: &[&[u8]], column: usize, unit: &Unit) -> Result<(f64, Digits), String> {
        let cell = parts
            .get(column)
            .copied()
            .ok_or_else(|| too_short(column))?;
        if let Some(found) = number::parse(cell, self.dialect.format) {
            return Ok(found);
        }
        // `412 mA` and `0.4 A` in one column: brought to the column's unit.
        let other = cells::with_unit(cell).filter(|(_, u)| u.quantity == unit.quantity);
        if let Some((text, own)) = other
            && let Some((value, seen)) = number::parse(text, self.dialect.format)
        {
            let value = if own == *unit {
                value
            } else {
                value * own.num / own.den * unit.den / unit.num
            };
            return Ok((value, seen));
        }
        Err(not_a_number(cell))
    }
}

impl Chunk {
    /// Takes in a line without values; says whether to stop.
    fn absorb(&mut self, row: Row) -> bool {
        match row {
            Row::Skip { reason, missing } => {
                self.leave_out(reason, missing);
                false
            }
            Row::Fatal(error) => {
                self.fatal = Some(error);
                true
            }
            Row::Nothing | Row::Values { .. } => false,
        }
    }

    /// Counts a line that was skipped.
    pub(super) fn leave_out(&mut self, reason: String, missing: bool) {
        self.skipped += 1;
        self.missing += u64::from(missing);
        self.last_skip = Some(self.lines);
        if self.reasons.len() < KEPT_SKIPS {
            self.reasons.push((self.lines, reason));
        }
    }

    /// Empties it for other lines; the room is kept.
    pub(super) fn clear(&mut self) {
        self.time.clear();
        self.current.clear();
        self.voltage.clear();
        self.marks.clear();
        self.reasons.clear();
        *self = Self {
            time: std::mem::take(&mut self.time),
            current: std::mem::take(&mut self.current),
            voltage: std::mem::take(&mut self.voltage),
            marks: std::mem::take(&mut self.marks),
            reasons: std::mem::take(&mut self.reasons),
            ..Self::default()
        };
    }

    /// Line (counted from the chunk's first, 0) of a sample.
    pub(super) fn line_of(&self, sample: usize) -> u64 {
        let at = self.marks.partition_point(|(s, _)| *s <= sample);
        at.checked_sub(1)
            .and_then(|i| self.marks.get(i))
            .map_or(sample as u64, |(s, line)| line + (sample - s) as u64)
    }
}

/// The quick way, where there is one.
pub(super) fn quick(dialect: &Dialect, plan: &Plan) -> Option<Quick> {
    use super::number::Decimal;
    let delimiter = match dialect.delimiter {
        Delimiter::Byte(mark) => mark,
        // Never met in a number, so it stands for "no delimiter".
        Delimiter::None => b'\0',
        Delimiter::Blanks => return None,
    };
    let plain = dialect.format.thousands.is_none() && !dialect.quotes;
    let mark = if dialect.format.decimal == Decimal::Comma {
        b','
    } else {
        b'.'
    };
    if !plain || delimiter == mark {
        return None;
    }
    let mut wanted = vec![(plan.current, Role::Current)];
    match plan.time {
        TimeFrom::Count { .. } => {}
        TimeFrom::Index { column, .. } | TimeFrom::Number { column, .. } => {
            wanted.push((column, Role::Time))
        }
        TimeFrom::Stamp { .. } | TimeFrom::DateAndClock { .. } => return None,
    }
    wanted.extend(plan.voltage.map(|(column, _)| (column, Role::Voltage)));
    wanted.sort_by_key(|(column, _)| *column);
    // One column in two roles is for the long way.
    let distinct = wanted.windows(2).all(|w| w[0].0 != w[1].0);
    distinct.then_some(Quick {
        delimiter,
        mark,
        wanted,
    })
}

/// `time,current` and nothing in the way; `None` for any surprise.
#[inline(always)]
fn pair(
    bytes: &[u8],
    at: usize,
    (delimiter, mark): (u8, u8),
    digits: &mut Digits,
) -> Option<([f64; 3], usize)> {
    let (time, at, seen) = number::scan(bytes, at, mark)?;
    if bytes.get(at) != Some(&delimiter) {
        return None;
    }
    let (current, at, _) = number::scan(bytes, at + 1, mark)?;
    let next = row_end(bytes, at, delimiter)?;
    if !(time.is_finite() && current.is_finite()) {
        return None;
    }
    digits.merge(seen);
    Some(([time, current, 0.0], next))
}

#[inline(always)]
fn several(
    bytes: &[u8],
    mut at: usize,
    quick: &Quick,
    digits: &mut Digits,
) -> Option<([f64; 3], usize)> {
    let mut values = [0.0; 3];
    let mut column = 0;
    if matches!(bytes.get(at), Some(b'#' | b';' | b'%' | b'/')) {
        return None;
    }
    for (wanted, role) in &quick.wanted {
        while column < *wanted {
            let found = bytes[at..]
                .iter()
                .position(|b| *b == quick.delimiter || matches!(b, b'\n' | b'"'))?;
            at += found;
            if bytes[at] != quick.delimiter {
                return None;
            }
            at += 1;
            column += 1;
        }
        while bytes.get(at) == Some(&b' ') {
            at += 1;
        }
        let (value, end, seen) = number::scan(bytes, at, quick.mark)?;
        if !value.is_finite() {
            return None;
        }
        match bytes.get(end) {
            None | Some(b'\n' | b'\r') => {}
            Some(b) if *b == quick.delimiter => {}
            _ => return None,
        }
        at = end;
        if *role == Role::Time {
            digits.merge(seen);
        }
        values[match role {
            Role::Time => 0,
            Role::Current => 1,
            Role::Voltage => 2,
        }] = value;
    }
    Some((values, row_end(bytes, at, quick.delimiter)?))
}

/// Place of the next row, if the cell ends here.
#[inline(always)]
fn row_end(bytes: &[u8], at: usize, delimiter: u8) -> Option<usize> {
    match bytes.get(at) {
        Some(b'\n') => Some(at + 1),
        None => Some(at),
        Some(b'\r') if bytes.get(at + 1) == Some(&b'\n') => Some(at + 2),
        Some(b) if *b == delimiter => memchr::memchr(b'\n', &bytes[at..]).map(|n| at + n + 1),
        _ => None,
    }
}

fn too_short(column: usize) -> String {
    format!("there is no column {}", column + 1)
}

fn not_a_number(cell: &[u8]) -> String {
    if number::is_missing(cell) {
        format!("{NO_VALUE} (`{}`)", shorten(cell))
    } else {
        format!("`{}` is not a number", shorten(cell))
    }
}

/// A piece of the file fit for a message.
pub(super) fn shorten(text: &[u8]) -> String {
    shorten_to(text, 40)
}

/// The same, of `most` characters.
pub(super) fn shorten_to(text: &[u8], most: usize) -> String {
    let whole = String::from_utf8_lossy(text.trim_ascii());
    let mut out: String = whole
        .chars()
        .take(most)
        .map(|c| if c.is_control() { '\u{b7}' } else { c })
        .collect();
    if whole.chars().count() > most {
        out.push('…');
    }
    out
}
