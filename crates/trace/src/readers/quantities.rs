//! Which column is the current, in what unit, and which the voltage beside it.

use tongue::say;

use super::cells::{self, CellKind, Delimiter};
use super::columns::Table;
use super::label::{Kind, Quantity, Unit, parse_unit};
use super::{ReadError, ReadOptions};

impl Table<'_> {
    pub(super) fn current(
        &self,
        options: &ReadOptions,
        time: &[usize],
        notes: &mut Vec<String>,
    ) -> Result<usize, ReadError> {
        if let Some(name) = &options.current {
            return self.named_current(name, options, notes);
        }
        let of = |kind: Kind| -> Vec<usize> {
            let all: Vec<usize> = (0..self.labels.len())
                .filter(|i| !time.contains(i) && self.labels[*i].kind == kind)
                .collect();
            let filled: Vec<usize> = all
                .iter()
                .copied()
                .filter(|i| self.content[*i] != CellKind::Missing)
                .collect();
            if filled.is_empty() { all } else { filled }
        };
        let currents = of(Kind::Current);
        if let [only] = currents.as_slice() {
            return Ok(*only);
        }
        if !currents.is_empty() {
            return self.explicit_current(&currents, notes);
        }
        let voltages = of(Kind::Voltage);
        let unknown: Vec<usize> = of(Kind::Unknown)
            .into_iter()
            .filter(|i| self.content[*i] == CellKind::Number)
            .collect();
        match unknown.as_slice() {
            [only] => Ok(*only),
            [] => match voltages.as_slice() {
                [only] if self.labels[*only].bare_unit && options.unit.is_some() => {
                    notes.push(format!("column {} says volt; its numbers were taken as current because a unit was given", self.labels[*only].name));
                    Ok(*only)
                }
                [] => Err(ReadError::NoCurrent {
                    columns: self.names(),
                }),
                _ => Err(ReadError::VoltageOnly {
                    columns: self.pick_names(&voltages),
                }),
            },
            _ => Err(ReadError::TwoCurrents {
                columns: self.pick_names(&unknown),
            }),
        }
    }

    /// The one of several currents that is named so.
    fn explicit_current(
        &self,
        currents: &[usize],
        notes: &mut Vec<String>,
    ) -> Result<usize, ReadError> {
        let explicit: Vec<usize> = currents
            .iter()
            .copied()
            .filter(|i| self.labels[*i].explicit)
            .collect();
        let [best] = explicit.as_slice() else {
            return Err(ReadError::TwoCurrents {
                columns: self.pick_names(if explicit.is_empty() {
                    currents
                } else {
                    &explicit
                }),
            });
        };
        let others: Vec<usize> = currents.iter().copied().filter(|i| i != best).collect();
        notes.push(format!(
            "column {} is named the current; {} were left aside",
            self.labels[*best].name,
            self.pick_names(&others).join(", ")
        ));
        Ok(*best)
    }

    fn named_current(
        &self,
        name: &str,
        options: &ReadOptions,
        notes: &mut Vec<String>,
    ) -> Result<usize, ReadError> {
        let column = self.find("current", name)?;
        let label = &self.labels[column];
        if label.kind == Kind::Voltage {
            if options.unit.is_none() {
                return Err(ReadError::VoltageOnly {
                    columns: vec![label.name.clone()],
                });
            }
            notes.push(format!(
                "column {} says volt; its numbers were taken as current because a unit was given",
                label.name
            ));
        }
        Ok(column)
    }

    fn pick_names(&self, columns: &[usize]) -> Vec<String> {
        columns
            .iter()
            .map(|i| self.labels[*i].name.clone())
            .collect()
    }

    pub(super) fn unit(
        &self,
        column: usize,
        options: &ReadOptions,
        notes: &mut Vec<String>,
    ) -> Result<Unit, ReadError> {
        let label = &self.labels[column];
        let said = label.unit.or_else(|| self.unit_in_cells(column));
        if let Some(text) = &options.unit {
            let unit = current_unit(text)?;
            if let Some(said) =
                said.filter(|s| s.symbol != unit.symbol && s.quantity == Quantity::Current)
            {
                notes.push(format!(
                    "column {} says {}, but {} was asked for and taken",
                    label.name, said.symbol, unit.symbol
                ));
            }
            return Ok(unit);
        }
        let unit = said
            .filter(|u| u.quantity == Quantity::Current)
            .ok_or_else(|| ReadError::NoUnit {
                column: label.name.clone(),
            })?;
        notes.push(format!(
            "current was taken from column {} in {}",
            label.name, unit.symbol
        ));
        Ok(unit)
    }

    /// `412 mA` in the cells, or `mA` in the cell beside.
    fn unit_in_cells(&self, column: usize) -> Option<Unit> {
        let row = self.dialect.rows.first()?;
        let cell = row.get(column)?;
        if let Some((_, unit)) = cells::with_unit(cell.as_bytes()) {
            return Some(unit);
        }
        let beside = |row: &Vec<String>| row.get(column + 1).and_then(|c| parse_unit(c));
        let first = beside(row)?;
        // A unit that changes from row to row would need its own arithmetic.
        let steady = self.dialect.delimiter != Delimiter::None
            && self.dialect.rows.iter().all(|r| beside(r) == Some(first));
        steady.then_some(first)
    }

    pub(super) fn voltage(
        &self,
        options: &ReadOptions,
        current: usize,
        time: &[usize],
    ) -> Result<Option<(usize, Unit)>, ReadError> {
        let volt = || {
            parse_unit("V").ok_or(ReadError::BadOption {
                option: "voltage",
                reason: say::trace::option_no_unit(),
            })
        };
        if let Some(name) = &options.voltage {
            let column = self.find("voltage", name)?;
            let unit = self.labels[column]
                .unit
                .filter(|u| u.quantity == Quantity::Voltage);
            return Ok(Some((column, unit.map_or_else(volt, Ok)?)));
        }
        let mut found = (0..self.labels.len()).filter(|i| {
            *i != current
                && !time.contains(i)
                && self.labels[*i].kind == Kind::Voltage
                && self.content[*i] == CellKind::Number
        });
        match (found.next(), found.next()) {
            (Some(column), None) => Ok(Some((
                column,
                self.labels[column].unit.map_or_else(volt, Ok)?,
            ))),
            _ => Ok(None),
        }
    }
}

/// The unit that an option names; only units of current will do.
pub(super) fn current_unit(text: &str) -> Result<Unit, ReadError> {
    parse_unit(text.trim())
        .filter(|u| u.quantity == Quantity::Current)
        .ok_or_else(|| ReadError::BadOption {
            option: "unit",
            reason: say::trace::option_unit(text),
        })
}
