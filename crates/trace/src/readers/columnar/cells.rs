//! Columns of a Parquet file and their cells.

use parquet::basic::{ConvertedType, LogicalType, TimeUnit, Type};
use parquet::column::reader::{ColumnReader, ColumnReaderImpl};
use parquet::data_type::DataType;
use parquet::errors::ParquetError;
use parquet::schema::types::ColumnDescriptor;

use crate::readers::clock;
use crate::readers::number::Digits;

/// Decimals that are looked for in stamps that are floating-point numbers; powers of ten up to 10^22 are exact in binary.
const MOST_DECIMALS: u32 = 9;
const DAY_S: i64 = 86_400;

/// One value.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Cell {
    Missing,
    Number(f64),
    /// Seconds since 1970, whole and fraction, and whether in coordinated universal time.
    Stamp(i64, f64, bool),
    /// Days since 1970.
    Date(i64),
    /// Seconds of the day, whole and fraction.
    Clock(i64, f64),
    Text(String),
}

impl Cell {
    /// As a finite number; stamps in seconds since `base`.
    pub(super) fn number(&self, base: i64) -> Option<f64> {
        match self {
            Self::Number(value) => Some(*value).filter(|v| v.is_finite()),
            Self::Stamp(whole, fraction, _) => Some(whole.checked_sub(base)? as f64 + fraction),
            _ => None,
        }
    }

    /// As a logger would write it; without quotes and line ends.
    pub(super) fn text(&self) -> String {
        match self {
            Self::Missing => String::new(),
            Self::Number(value) => value.to_string(),
            Self::Stamp(whole, fraction, utc) => {
                clock::iso(*whole, *fraction, true, utc.then_some(0))
            }
            Self::Date(days) => {
                let text = clock::iso(days.saturating_mul(DAY_S), 0.0, true, None);
                text.split('T').next().unwrap_or_default().to_owned()
            }
            Self::Clock(whole, fraction) => clock::iso(*whole, *fraction, false, None),
            Self::Text(text) => text
                .chars()
                .map(|c| match c {
                    '"' => '\'',
                    c if c.is_control() => ' ',
                    c => c,
                })
                .collect(),
        }
    }
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Kind {
    /// Whole numbers over a power of ten.
    Whole {
        power: f64,
        decimals: u32,
        signed: bool,
    },
    Single,
    Double,
    Stamp {
        per_s: i64,
        utc: bool,
    },
    Clock {
        per_s: i64,
    },
    Date,
    Text,
    /// Lists, truth values and whatever else is no measurement.
    Other,
}

/// A column.
#[derive(Debug)]
pub(super) struct Column {
    pub(super) name: String,
    kind: Kind,
    /// Definition level of a value that is there.
    there: i16,
}

impl Column {
    pub(super) fn of(column: &ColumnDescriptor) -> Self {
        let kind = if column.max_rep_level() > 0 {
            Kind::Other
        } else {
            kind(column)
        };
        Self {
            name: column.path().string(),
            kind,
            there: column.max_def_level(),
        }
    }

    pub(super) fn is_number(&self) -> bool {
        matches!(self.kind, Kind::Whole { .. } | Kind::Single | Kind::Double)
    }

    pub(super) fn is_stamp(&self) -> bool {
        matches!(self.kind, Kind::Stamp { .. })
    }

    pub(super) fn is_readable(&self) -> bool {
        self.kind != Kind::Other
    }

    /// Digits with which stamps of this column are told.
    pub(super) fn digits(&self, stamps: &[f64]) -> Digits {
        let decimals = match self.kind {
            Kind::Whole { decimals, .. } => decimals,
            Kind::Stamp { per_s, .. } => per_s.checked_ilog10().unwrap_or(0),
            _ => (0..=MOST_DECIMALS)
                .find(|decimals| {
                    let power = 10.0_f64.powi(*decimals as i32);
                    stamps.iter().all(|t| (t * power).round() / power == *t)
                })
                .unwrap_or(17),
        };
        let mantissa = match self.kind {
            // Seven digits are what single precision tells.
            Kind::Single => 9_999_999,
            _ => u64::MAX,
        };
        Digits { mantissa, decimals }
    }

    /// The next cells, at most `count`.
    pub(super) fn take(
        &self,
        reader: &mut ColumnReader,
        count: usize,
    ) -> Result<Vec<Cell>, ParquetError> {
        match reader {
            ColumnReader::Int32ColumnReader(reader) => self.cells(reader, count, |v| {
                let unsigned = matches!(self.kind, Kind::Whole { signed: false, .. });
                self.whole(if unsigned {
                    i64::from(*v as u32)
                } else {
                    i64::from(*v)
                })
            }),
            ColumnReader::Int64ColumnReader(reader) => {
                self.cells(reader, count, |v| match self.kind {
                    Kind::Whole {
                        power,
                        signed: false,
                        ..
                    } => Cell::Number(*v as u64 as f64 / power),
                    _ => self.whole(*v),
                })
            }
            ColumnReader::Int96ColumnReader(reader) => {
                self.cells(reader, count, |v| self.whole(v.to_nanos()))
            }
            ColumnReader::FloatColumnReader(reader) => {
                self.cells(reader, count, |v| Cell::Number(f64::from(*v)))
            }
            ColumnReader::DoubleColumnReader(reader) => {
                self.cells(reader, count, |v| Cell::Number(*v))
            }
            ColumnReader::ByteArrayColumnReader(reader) => self.cells(reader, count, |v| {
                Cell::Text(String::from_utf8_lossy(v.data()).into_owned())
            }),
            ColumnReader::BoolColumnReader(_) | ColumnReader::FixedLenByteArrayColumnReader(_) => {
                Ok(Vec::new())
            }
        }
    }

    fn whole(&self, value: i64) -> Cell {
        let parts = |per_s: i64| {
            let rest = value.rem_euclid(per_s) as f64;
            (value.div_euclid(per_s), rest / per_s as f64)
        };
        match self.kind {
            Kind::Whole { power, .. } => Cell::Number(value as f64 / power),
            Kind::Stamp { per_s, utc } => {
                let (whole, fraction) = parts(per_s);
                Cell::Stamp(whole, fraction, utc)
            }
            Kind::Clock { per_s } => {
                let (whole, fraction) = parts(per_s);
                Cell::Clock(whole, fraction)
            }
            Kind::Date => Cell::Date(value),
            Kind::Single | Kind::Double | Kind::Text | Kind::Other => Cell::Missing,
        }
    }

    fn cells<T: DataType>(
        &self,
        reader: &mut ColumnReaderImpl<T>,
        count: usize,
        of: impl Fn(&T::T) -> Cell,
    ) -> Result<Vec<Cell>, ParquetError> {
        let (mut values, mut levels) = (Vec::new(), Vec::new());
        let mut taken = 0;
        while taken < count {
            let (rows, ..) =
                reader.read_records(count - taken, Some(&mut levels), None, &mut values)?;
            if rows == 0 {
                break;
            }
            taken += rows;
        }
        if self.there == 0 {
            return Ok(values.iter().map(of).collect());
        }
        let mut values = values.iter();
        let cell = |level: &i16| {
            if *level == self.there {
                values.next().map_or(Cell::Missing, &of)
            } else {
                Cell::Missing
            }
        };
        Ok(levels.iter().map(cell).collect())
    }
}

fn per_second(unit: &TimeUnit) -> i64 {
    match unit {
        TimeUnit::MILLIS => 1_000,
        TimeUnit::MICROS => 1_000_000,
        TimeUnit::NANOS => 1_000_000_000,
    }
}

/// What a column that is no list holds: by its logical type, else by the older converted type, else by how it is stored
/// (Apache Parquet, "Logical Types": LogicalTypes.md of the format's specification).
fn kind(column: &ColumnDescriptor) -> Kind {
    let whole = |decimals: i32, signed: bool| Kind::Whole {
        power: 10.0_f64.powi(decimals),
        decimals: decimals.unsigned_abs(),
        signed,
    };
    let stored = column.physical_type();
    match (stored, column.logical_type_ref(), column.converted_type()) {
        (Type::INT64, Some(LogicalType::Timestamp(stamp)), _) => Kind::Stamp {
            per_s: per_second(&stamp.unit),
            utc: stamp.is_adjusted_to_u_t_c,
        },
        (Type::INT64, None, ConvertedType::TIMESTAMP_MILLIS) => Kind::Stamp {
            per_s: 1_000,
            utc: true,
        },
        (Type::INT64, None, ConvertedType::TIMESTAMP_MICROS) => Kind::Stamp {
            per_s: 1_000_000,
            utc: true,
        },
        (Type::INT32 | Type::INT64, Some(LogicalType::Time(time)), _) => Kind::Clock {
            per_s: per_second(&time.unit),
        },
        (Type::INT32, _, ConvertedType::TIME_MILLIS) => Kind::Clock { per_s: 1_000 },
        (Type::INT64, _, ConvertedType::TIME_MICROS) => Kind::Clock { per_s: 1_000_000 },
        (Type::INT32, Some(LogicalType::Date), _) | (Type::INT32, _, ConvertedType::DATE) => {
            Kind::Date
        }
        (Type::INT32 | Type::INT64, Some(LogicalType::Decimal(decimal)), _) => {
            whole(decimal.scale, true)
        }
        (Type::INT32 | Type::INT64, _, ConvertedType::DECIMAL) => whole(column.type_scale(), true),
        (Type::INT32 | Type::INT64, Some(LogicalType::Integer(int)), _) => whole(0, int.is_signed),
        (Type::INT32 | Type::INT64, _, converted) => {
            let unsigned = matches!(
                converted,
                ConvertedType::UINT_8
                    | ConvertedType::UINT_16
                    | ConvertedType::UINT_32
                    | ConvertedType::UINT_64
            );
            whole(0, !unsigned)
        }
        // Spark and Impala of old wrote stamps so, in coordinated universal time.
        (Type::INT96, ..) => Kind::Stamp {
            per_s: 1_000_000_000,
            utc: true,
        },
        (Type::FLOAT, ..) => Kind::Single,
        (Type::DOUBLE, ..) => Kind::Double,
        (Type::BYTE_ARRAY, Some(LogicalType::Decimal(_)), _)
        | (Type::BYTE_ARRAY, _, ConvertedType::DECIMAL) => Kind::Other,
        (Type::BYTE_ARRAY, ..) => Kind::Text,
        (Type::BOOLEAN | Type::FIXED_LEN_BYTE_ARRAY, ..) => Kind::Other,
    }
}
