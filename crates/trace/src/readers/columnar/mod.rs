//! Parquet: the same table, column by column.
//!
//! Names and the first rows, as text, decide what is time and current, by the rules for delimited text (`columns.rs`).
//! Then numbers go straight to the collector of rows; only where a chosen column is text, or a date or time of day in a
//! column of its own, are rows written out and read as text.

mod cells;

use std::io::Read;
use std::panic::{AssertUnwindSafe, catch_unwind};

use bytes::Bytes;
use parquet::column::reader::ColumnReader;
use parquet::errors::ParquetError;
use parquet::file::reader::{FileReader, SerializedFileReader};
use tongue::say;

use self::cells::{Cell, Column};
use super::cells::Delimiter;
use super::clock::DateOrder;
use super::columns::{self, Plan, TimeFrom};
use super::dialect::{Dialect, SAMPLE_ROWS};
use super::number::{Decimal, NumberFormat};
use super::preamble::Preamble;
use super::rows::{Chunk, NO_VALUE, RowReader};
use super::table::Collector;
use super::{ReadError, ReadOptions};
use crate::model::Trace;

/// Rows taken at a time.
const BATCH: usize = 1 << 14;

/// Reads a whole file. Its bytes are held in memory meanwhile.
pub(super) fn read(mut input: impl Read, options: &ReadOptions) -> Result<Trace, ReadError> {
    let mut bytes = Vec::new();
    input
        .read_to_end(&mut bytes)
        .map_err(|error| ReadError::Io {
            message: error.to_string(),
        })?;
    let bytes = Bytes::from(bytes);
    // A damaged file must not end the program, whatever the decoder makes of it.
    let outcome = catch_unwind(AssertUnwindSafe(|| {
        Table::open(bytes)?.read(options).map_err(in_rows)
    }));
    outcome.unwrap_or_else(|_| {
        Err(ReadError::Parquet {
            message: say::trace::pages_damaged(),
        })
    })
}

/// There are no lines in such a file.
fn in_rows(error: ReadError) -> ReadError {
    if error.line().is_some() {
        ReadError::InRows(Box::new(error))
    } else {
        error
    }
}

fn failed(error: ParquetError) -> ReadError {
    let text = error.to_string();
    let text = text.trim_start_matches("Parquet error: ").trim();
    let line = text.lines().next().unwrap_or_default();
    ReadError::Parquet {
        message: super::rows::shorten_to(line.as_bytes(), 120).into(),
    }
}

struct Table {
    file: SerializedFileReader<Bytes>,
    columns: Vec<Column>,
}

impl Table {
    fn open(bytes: Bytes) -> Result<Self, ReadError> {
        let file = SerializedFileReader::new(bytes).map_err(failed)?;
        let schema = file.metadata().file_metadata().schema_descr_ptr();
        let columns = schema.columns().iter().map(|c| Column::of(c)).collect();
        Ok(Self { file, columns })
    }

    fn read(&self, options: &ReadOptions) -> Result<Trace, ReadError> {
        let dialect = self.dialect()?;
        let plan = columns::plan(&dialect, options)?;
        let mut all = Collector::new(1, plan.clone(), options);
        let wanted = wanted(&plan);
        let direct = self.is_direct(&plan);
        let rows = RowReader::new(&dialect, &plan, None);
        let mut chunk = Chunk::default();
        self.each_batch(&wanted, usize::MAX, |batch| {
            chunk.clear();
            if direct {
                direct_rows(&self.columns, &plan, &wanted, batch, &mut chunk);
            } else {
                rows.read(&as_text(dialect.fields, &wanted, batch), &mut chunk);
            }
            all.add(&mut chunk)
        })?;
        all.refuse_many_skips()?;
        let mut trace = all.finish(&dialect, Vec::new())?;
        let groups = self.file.num_row_groups();
        let said = &mut trace.source.assumptions;
        said.retain(|note| !note.starts_with("columns are separated by"));
        let groups = if groups == 1 {
            "one group".to_owned()
        } else {
            format!("{groups} groups")
        };
        said.insert(0, format!("it is a Parquet file with rows in {groups}"));
        Ok(trace)
    }

    /// Names and first rows as those of a text.
    fn dialect(&self) -> Result<Dialect, ReadError> {
        let every: Vec<usize> = (0..self.columns.len()).collect();
        let mut rows = Vec::new();
        self.each_batch(&every, SAMPLE_ROWS, |batch| {
            let count = batch.first().map_or(0, Vec::len);
            rows.extend((0..count).map(|row| {
                let cell = |column: &Vec<Cell>| column.get(row).map_or(String::new(), Cell::text);
                batch.iter().map(cell).collect::<Vec<String>>()
            }));
            Ok(())
        })?;
        if rows.is_empty() {
            return Err(ReadError::InRows(Box::new(ReadError::HeaderOnly {
                line: 0,
            })));
        }
        Ok(Dialect {
            delimiter: Delimiter::Byte(b','),
            format: NumberFormat {
                decimal: Decimal::Either,
                thousands: None,
            },
            order: DateOrder::DayFirst,
            quotes: true,
            header: Some(self.columns.iter().map(|c| c.name.clone()).collect()),
            fields: self.columns.len(),
            skip_bytes: 0,
            first_line: 1,
            rows,
            preamble: Preamble::default(),
            notes: Vec::new(),
        })
    }

    /// Whether all that is wanted comes as numbers and full stamps.
    fn is_direct(&self, plan: &Plan) -> bool {
        let number = |column: usize| self.columns.get(column).is_some_and(Column::is_number);
        let time = match plan.time {
            TimeFrom::Count { .. } => true,
            TimeFrom::Index { column, .. } | TimeFrom::Number { column, .. } => number(column),
            TimeFrom::Stamp { column, .. } => {
                self.columns.get(column).is_some_and(Column::is_stamp)
            }
            TimeFrom::DateAndClock { .. } => false,
        };
        time && number(plan.current) && plan.voltage.is_none_or(|(column, _)| number(column))
    }

    /// Gives the cells of `wanted` columns, in their order, some rows at a time and at most `most` of them (in whole batches).
    fn each_batch(
        &self,
        wanted: &[usize],
        most: usize,
        mut take: impl FnMut(&[Vec<Cell>]) -> Result<(), ReadError>,
    ) -> Result<(), ReadError> {
        let batch = BATCH.min(most);
        let mut left = most;
        for group in 0..self.file.num_row_groups() {
            let group = self.file.get_row_group(group).map_err(failed)?;
            let readable = |column: &&usize| self.columns[**column].is_readable();
            let mut readers: Vec<(usize, ColumnReader)> = wanted
                .iter()
                .filter(readable)
                .map(|column| Ok((*column, group.get_column_reader(*column).map_err(failed)?)))
                .collect::<Result<_, _>>()?;
            loop {
                let mut cells: Vec<Vec<Cell>> = vec![Vec::new(); wanted.len()];
                for (column, reader) in &mut readers {
                    let taken = self.columns[*column].take(reader, batch).map_err(failed)?;
                    if let Some(at) = wanted.iter().position(|w| w == column) {
                        cells[at] = taken;
                    }
                }
                let count = cells.iter().map(Vec::len).max().unwrap_or(0);
                if count == 0 {
                    break;
                }
                for (cells, column) in cells.iter_mut().zip(wanted) {
                    if !self.columns[*column].is_readable() {
                        cells.resize(count, Cell::Missing);
                    }
                }
                if cells.iter().any(|column| column.len() != count) {
                    return Err(ReadError::Parquet {
                        message: say::trace::rows_differ(),
                    });
                }
                take(&cells)?;
                left = left.saturating_sub(count);
                if left == 0 {
                    return Ok(());
                }
            }
        }
        Ok(())
    }
}

/// Columns that a plan needs, in order.
fn wanted(plan: &Plan) -> Vec<usize> {
    let mut out = vec![plan.current];
    match plan.time {
        TimeFrom::Count { .. } => {}
        TimeFrom::Index { column, .. }
        | TimeFrom::Number { column, .. }
        | TimeFrom::Stamp { column, .. } => out.push(column),
        TimeFrom::DateAndClock { date, clock, .. } => out.extend([date, clock]),
    }
    out.extend(plan.voltage.map(|(column, _)| column));
    out.sort_unstable();
    out.dedup();
    out
}

/// Rows as text, only the wanted cells filled in.
fn as_text(fields: usize, wanted: &[usize], batch: &[Vec<Cell>]) -> Vec<u8> {
    let mut out = String::new();
    for row in 0..batch.first().map_or(0, Vec::len) {
        for column in 0..fields {
            if column > 0 {
                out.push(',');
            }
            let place = wanted.iter().position(|w| *w == column);
            if let Some(cell) = place.and_then(|at| batch.get(at)?.get(row)) {
                // Quoted, so that a decimal comma separates nothing.
                out.push('"');
                out.push_str(&cell.text());
                out.push('"');
            }
        }
        out.push('\n');
    }
    out.into_bytes()
}

/// Rows of numbers.
fn direct_rows(
    columns: &[Column],
    plan: &Plan,
    wanted: &[usize],
    batch: &[Vec<Cell>],
    chunk: &mut Chunk,
) {
    let find = |column: usize| {
        let at = wanted.iter().position(|w| *w == column)?;
        Some((columns.get(column)?, batch.get(at)?))
    };
    let time = match plan.time {
        TimeFrom::Index { column, .. }
        | TimeFrom::Number { column, .. }
        | TimeFrom::Stamp { column, .. } => find(column),
        TimeFrom::Count { .. } | TimeFrom::DateAndClock { .. } => None,
    };
    let voltage = plan.voltage.as_ref().and_then(|(column, _)| find(*column));
    let Some((_, current)) = find(plan.current) else {
        return;
    };
    // `None` for a cell without a value; nothing inside for a column that is not there.
    let number = |from: Option<(&Column, &Vec<Cell>)>, row: usize| match from {
        Some((_, cells)) => cells.get(row)?.number(plan.base).map(Some),
        None => Some(None),
    };
    let mut expected = u64::MAX;
    for (row, current) in current.iter().enumerate() {
        let all = (
            number(time, row),
            current.number(plan.base),
            number(voltage, row),
        );
        if let (Some(time), Some(current), Some(voltage)) = all {
            if expected != chunk.lines {
                chunk.marks.push((chunk.current.len(), chunk.lines));
            }
            chunk.current.push(current);
            chunk.time.extend(time);
            chunk.voltage.extend(voltage);
            expected = chunk.lines + 1;
        } else {
            chunk.leave_out(NO_VALUE.to_owned(), true);
        }
        chunk.lines += 1;
    }
    if let Some((column, _)) = time {
        chunk.digits.merge(column.digits(&chunk.time));
    }
}
