//! Which dialect of delimited text a file is written in, from its first lines.

use super::ReadError;
use super::cells::{self, CellKind, Delimiter};
use super::clock::{self, DateOrder};
use super::label::{Kind, Label, parse_unit};
use super::number::{Decimal, NumberFormat};
use super::preamble::Preamble;

/// Rows looked at; enough to see the shape, few enough to cost nothing.
pub(super) const SAMPLE_ROWS: usize = 400;

/// What the first lines show.
#[derive(Debug, Clone)]
pub(super) struct Dialect {
    pub(super) delimiter: Delimiter,
    pub(super) format: NumberFormat,
    pub(super) order: DateOrder,
    pub(super) quotes: bool,
    /// Names, one for each of `fields` columns, where there is a header.
    pub(super) header: Option<Vec<String>>,
    pub(super) fields: usize,
    /// First row: bytes before it, and its line.
    pub(super) skip_bytes: usize,
    pub(super) first_line: u64,
    /// Cells of the first rows.
    pub(super) rows: Vec<Vec<String>>,
    pub(super) preamble: Preamble,
    pub(super) notes: Vec<String>,
}

struct Line<'a> {
    number: u64,
    offset: usize,
    bytes: &'a [u8],
}

struct Shape {
    delimiter: Delimiter,
    fields: usize,
    score: f64,
}

/// Reads the dialect off a sample that ends with a whole line (or the file).
pub(super) fn detect(sample: &[u8]) -> Result<Dialect, ReadError> {
    let (lines, preamble, last_line) = candidate_lines(sample);
    if lines.is_empty() {
        return Err(if preamble.comments == 0 {
            ReadError::Empty
        } else {
            ReadError::HeaderOnly { line: last_line }
        });
    }
    let shape = best_shape(&lines, &preamble);
    let Some(shape) = shape else {
        return Err(no_table(&lines, last_line));
    };
    let table: Vec<(Vec<String>, usize, usize)> = lines
        .iter()
        .map(|l| describe(l.bytes, shape.delimiter))
        .collect();
    let (header, first) = find_header(&table, &shape, &preamble);
    let rows: Vec<Vec<String>> = table[first..]
        .iter()
        .filter(|(cells, ..)| cells.len() == shape.fields)
        .map(|(cells, ..)| cells.clone())
        .collect();
    let mut notes = Vec::new();
    if header.as_ref().is_some_and(|h| h.len() != shape.fields) {
        clashing_comma(
            header.as_deref().unwrap_or_default(),
            &rows,
            &shape,
            lines[first].number,
        )?;
    }
    let header = header.map(|h| fit(h, shape.fields, rows.first()));
    let passed_over = first.saturating_sub(usize::from(header.is_some()));
    if passed_over > 0 {
        notes.push(format!(
            "{passed_over} lines before the table were passed over"
        ));
    }
    let format = number_format(&rows, shape.delimiter, &mut notes);
    let order = date_order(&rows, &mut notes);
    Ok(Dialect {
        delimiter: shape.delimiter,
        format,
        order,
        quotes: memchr::memchr(b'"', sample).is_some(),
        header,
        fields: shape.fields,
        skip_bytes: lines[first].offset,
        first_line: lines[first].number,
        rows,
        preamble,
        notes,
    })
}

/// Why lines without a common shape are no table.
fn no_table(lines: &[Line<'_>], last_line: u64) -> ReadError {
    let header_like = lines.len() <= 2
        && names(lines[0].bytes)
            .iter()
            .any(|n| Label::read(n).kind != Kind::Unknown);
    if header_like || lines.len() == 1 {
        ReadError::HeaderOnly { line: last_line }
    } else {
        ReadError::NotATable {
            line: lines[0].number,
        }
    }
}

/// Lines that are neither blank nor comment, and what the comments say.
fn candidate_lines(sample: &[u8]) -> (Vec<Line<'_>>, Preamble, u64) {
    let mut lines = Vec::new();
    let mut preamble = Preamble::default();
    let (mut number, mut offset) = (0, 0);
    for raw in sample.split_inclusive(|b| *b == b'\n') {
        number += 1;
        let bytes = raw.trim_ascii();
        if cells::is_comment(bytes) {
            if lines.is_empty() {
                preamble.take(bytes);
            }
        } else if !bytes.is_empty() {
            lines.push(Line {
                number,
                offset,
                bytes: trim_end(raw),
            });
            if lines.len() == SAMPLE_ROWS {
                break;
            }
        }
        offset += raw.len();
    }
    (lines, preamble, number)
}

fn trim_end(raw: &[u8]) -> &[u8] {
    let raw = raw.strip_suffix(b"\n").unwrap_or(raw);
    raw.strip_suffix(b"\r").unwrap_or(raw)
}

fn names(line: &[u8]) -> Vec<String> {
    String::from_utf8_lossy(line)
        .split([',', ';', '\t'])
        .map(str::to_owned)
        .collect()
}

/// Cells as text, how many are values (numbers or stamps), how many are text.
fn describe(line: &[u8], delimiter: Delimiter) -> (Vec<String>, usize, usize) {
    let mut parts = Vec::new();
    cells::split(line, delimiter, &mut parts);
    let (mut values, mut texts) = (0, 0);
    for part in &parts {
        match cells::kind(part) {
            CellKind::Number | CellKind::Stamp => values += 1,
            CellKind::Text => texts += 1,
            CellKind::Missing => {}
        }
    }
    (parts.iter().map(|p| text(p)).collect(), values, texts)
}

/// UTF-8, or Latin-1 where it is not (a lone 0xB5 is µ there).
fn text(bytes: &[u8]) -> String {
    match std::str::from_utf8(bytes) {
        Ok(text) => text.to_owned(),
        Err(_) => bytes.iter().map(|b| char::from(*b)).collect(),
    }
}

fn best_shape(lines: &[Line<'_>], preamble: &Preamble) -> Option<Shape> {
    let order = [
        Delimiter::Byte(b'\t'),
        Delimiter::Byte(b';'),
        Delimiter::Byte(b','),
        Delimiter::Blanks,
        Delimiter::None,
    ];
    let mut best: Option<Shape> = None;
    for delimiter in order {
        let Some(shape) = score(lines, delimiter) else {
            continue;
        };
        let wins = match &best {
            None => true,
            Some(b)
                if shape.delimiter == Delimiter::None
                    && b.delimiter == Delimiter::Byte(b',')
                    && shape.score + 1e-9 >= b.score =>
            {
                decimal_comma_alone(lines, preamble)
            }
            Some(b) => shape.score > b.score + 1e-9,
        };
        if wins {
            best = Some(shape);
        }
    }
    best
}

/// How well the lines fall into equal rows of values.
fn score(lines: &[Line<'_>], delimiter: Delimiter) -> Option<Shape> {
    let described: Vec<(usize, usize, usize)> = lines
        .iter()
        .map(|l| {
            let (cells, values, texts) = describe(l.bytes, delimiter);
            (cells.len(), values, texts)
        })
        .collect();
    let mut counts = std::collections::BTreeMap::new();
    for (fields, values, _) in &described {
        if *values > 0 {
            *counts.entry(*fields).or_insert(0usize) += 1;
        }
    }
    let (fields, _) = counts.into_iter().max_by_key(|(fields, n)| (*n, *fields))?;
    // A mark that divides nothing is no delimiter.
    if fields < 2 && delimiter != Delimiter::None {
        return None;
    }
    let score = described
        .iter()
        .filter(|(n, values, _)| *n == fields && *values > 0)
        .map(|(n, _, texts)| (n - texts) as f64 / *n as f64)
        .sum::<f64>();
    Some(Shape {
        delimiter,
        fields,
        score,
    })
}

/// `1,5` alone on a line: one number or two? The header tells; else two if the first part counts up.
fn decimal_comma_alone(lines: &[Line<'_>], preamble: &Preamble) -> bool {
    let header = lines
        .iter()
        .map(|l| text(l.bytes))
        .find(|l| !l.bytes().any(|b| b.is_ascii_digit()) || l.contains(char::is_alphabetic));
    if let Some(header) = header.or_else(|| preamble.last.clone()) {
        return !header.contains(',');
    }
    let firsts: Vec<f64> = lines
        .iter()
        .filter_map(|l| {
            text(l.bytes)
                .split(',')
                .next()
                .and_then(|c| c.trim().parse().ok())
        })
        .collect();
    firsts.len() < 2 || !firsts.windows(2).all(|w| w[1] > w[0])
}

/// The names, and the index of the first row.
fn find_header(
    table: &[(Vec<String>, usize, usize)],
    shape: &Shape,
    preamble: &Preamble,
) -> (Option<Vec<String>>, usize) {
    let is_row = |row: &(Vec<String>, usize, usize)| row.0.len() == shape.fields && row.1 > 0;
    let mut texts: Vec<usize> = table.iter().filter(|r| is_row(r)).map(|r| r.2).collect();
    texts.sort_unstable();
    let usual = texts.get(texts.len() / 2).copied().unwrap_or(0);
    let typical = table
        .iter()
        .position(|r| is_row(r) && r.2 <= usual)
        .unwrap_or(0);
    let named = table[..typical].iter().rposition(|r| {
        r.1 == 0 && (r.0.len() == shape.fields || r.0.len() > 1 || shape.fields == 1)
    });
    let Some(at) = named else {
        let first = table.iter().position(is_row).unwrap_or(0);
        return (comment_header(preamble, shape), first);
    };
    let names = table[at].0.clone();
    // A second header line that holds only units belongs to the names above it.
    let units_only = names.iter().any(|c| !c.is_empty())
        && names
            .iter()
            .all(|c| c.is_empty() || parse_unit(c.trim_matches(['[', ']', '(', ')'])).is_some());
    if units_only && at > 0 && table[at - 1].1 == 0 && table[at - 1].0.len() == names.len() {
        let joined = table[at - 1].0.iter().zip(&names).map(|(n, u)| {
            if u.is_empty() {
                n.clone()
            } else {
                format!("{n} [{}]", u.trim_matches(['[', ']', '(', ')']))
            }
        });
        return (Some(joined.collect()), at + 1);
    }
    (Some(names), at + 1)
}

/// The last comment before the rows, if it names as many columns as there are.
fn comment_header(preamble: &Preamble, shape: &Shape) -> Option<Vec<String>> {
    let last = preamble.last.as_ref()?;
    let (cells, values, _) = describe(last.as_bytes(), shape.delimiter);
    let known = cells.iter().any(|c| Label::read(c).kind != Kind::Unknown);
    (values == 0 && known && cells.len() == shape.fields).then_some(cells)
}

/// Names for exactly `fields` columns.
fn fit(mut header: Vec<String>, fields: usize, row: Option<&Vec<String>>) -> Vec<String> {
    if header.len() + 1 == fields {
        // Blanks cut `2026-11-25 22:10:05` in two under one name.
        let date =
            |cell: &String| clock::parse_date(cell.as_bytes(), DateOrder::DayFirst).is_some();
        if let Some(at) = row
            .and_then(|r| r.iter().position(date))
            .filter(|at| *at < header.len())
        {
            header.insert(at + 1, String::new());
        }
    }
    if header.len() > fields {
        // Blanks inside names: a bracketed or unit word belongs to the name before it.
        let mut joined: Vec<String> = Vec::new();
        for word in header {
            match joined.last_mut() {
                Some(last)
                    if word.starts_with(['(', '[', '/'])
                        || parse_unit(&word).is_some()
                        || word == "DC" =>
                {
                    last.push(' ');
                    last.push_str(&word);
                }
                _ => joined.push(word),
            }
        }
        header = joined;
    }
    header.resize(fields, String::new());
    header
}

/// More cells than names in a file with commas and no point: the comma does double duty.
fn clashing_comma(
    header: &[String],
    rows: &[Vec<String>],
    shape: &Shape,
    line: u64,
) -> Result<(), ReadError> {
    let extra_filled = rows.iter().any(|r| {
        r.get(header.len()..)
            .is_some_and(|more| more.iter().any(|c| !c.is_empty()))
    });
    let point = rows.iter().flatten().any(|c| c.contains('.'));
    if shape.delimiter == Delimiter::Byte(b',') && extra_filled && !point {
        return Err(ReadError::DecimalComma {
            line,
            names: header.len(),
            cells: shape.fields,
        });
    }
    Ok(())
}

/// How numbers are marked in the rows.
#[derive(Default)]
struct Marks {
    point: bool,
    comma: bool,
    groups_comma: bool,
    groups_point: bool,
    /// A comma that may be either.
    unsure_comma: bool,
}

fn marks(rows: &[Vec<String>]) -> Marks {
    let mut seen = Marks::default();
    for cell in rows
        .iter()
        .flatten()
        .filter(|c| cells::kind(c.as_bytes()) == CellKind::Number)
    {
        let mantissa = cell
            .split(['e', 'E'])
            .next()
            .unwrap_or_default()
            .trim_end_matches(|c: char| !c.is_ascii_digit());
        match (mantissa.matches('.').count(), mantissa.matches(',').count()) {
            (0, 0) => {}
            (1, 0) => seen.point |= decides(mantissa, '.'),
            (0, 1) if decides(mantissa, ',') => seen.comma = true,
            (0, 1) => seen.unsure_comma = true,
            (0, _) => seen.groups_comma = true,
            (_, 0) => seen.groups_point = true,
            _ if mantissa.rfind('.') > mantissa.rfind(',') => {
                (seen.point, seen.groups_comma) = (true, true)
            }
            _ => (seen.comma, seen.groups_point) = (true, true),
        }
    }
    seen
}

/// Decimal mark and thousands separator from the evidence of the rows.
fn number_format(
    rows: &[Vec<String>],
    delimiter: Delimiter,
    notes: &mut Vec<String>,
) -> NumberFormat {
    let Marks {
        point,
        comma,
        groups_comma,
        groups_point,
        unsure_comma,
    } = marks(rows);
    let comma_file = delimiter == Delimiter::Byte(b',');
    let (decimal, thousands) = match (point, comma) {
        (true, false) => (
            Decimal::Point,
            (groups_comma || unsure_comma).then_some(b','),
        ),
        (false, true) => (Decimal::Comma, groups_point.then_some(b'.')),
        (true, true) => (Decimal::Either, None),
        (false, false) if groups_comma || (unsure_comma && comma_file) => {
            (Decimal::Point, Some(b','))
        }
        (false, false) if groups_point => (Decimal::Comma, Some(b'.')),
        (false, false) if unsure_comma => {
            notes.push(
                "commas such as in 1,234 were taken for decimal marks, not for thousands"
                    .to_owned(),
            );
            (Decimal::Comma, None)
        }
        (false, false) => (
            if comma_file {
                Decimal::Point
            } else {
                Decimal::Either
            },
            None,
        ),
    };
    if decimal == Decimal::Comma {
        notes.push("numbers are written with a decimal comma".to_owned());
    }
    if let Some(mark) = thousands {
        notes.push(format!("`{}` separates thousands", char::from(mark)));
    }
    NumberFormat { decimal, thousands }
}

/// Whether a single mark can only be a decimal mark: not three digits behind, or not one to three before.
fn decides(mantissa: &str, mark: char) -> bool {
    let (before, after) = mantissa.split_once(mark).unwrap_or((mantissa, ""));
    let before = before.trim_start_matches(['+', '-', '\u{2212}']);
    after.len() != 3 || before.is_empty() || before.len() > 3 || before.starts_with('0')
}

fn date_order(rows: &[Vec<String>], notes: &mut Vec<String>) -> DateOrder {
    let stamps: Vec<&[u8]> = rows
        .iter()
        .flatten()
        .map(String::as_bytes)
        .filter(|c| cells::kind(c) == CellKind::Stamp)
        .collect();
    if let Some(order) = stamps.iter().find_map(|c| clock::order_evidence(c)) {
        return order;
    }
    let year_last = stamps.iter().find(|c| {
        clock::parse_date(c, DateOrder::DayFirst).is_some()
            && !c.iter().take(4).all(u8::is_ascii_digit)
    });
    if let Some(stamp) = year_last {
        notes.push(format!(
            "dates such as {} were read as day, month, year",
            String::from_utf8_lossy(stamp)
        ));
    }
    DateOrder::DayFirst
}
