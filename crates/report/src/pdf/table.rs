//! Tables that break between rows and repeat their head.

use std::rc::Rc;

use krilla::tagging::{TableHeaderScope, Tag};
use parley::Alignment;
use picture::Tone;

use super::{
    blocks::BODY,
    flow::{Flow, Rule},
    font::{Look, Text},
    tags::At,
};
use crate::{
    doc::{Cells, Line, Row, Size, Table},
    tables::SAID,
};

/// Between columns.
const GUTTER: f32 = 7.0;
/// Above and below the words of a row.
const PAD: f32 = 1.8;
/// How far one level of the feed tree is moved in.
const STEP: f32 = 8.0;

/// A table's columns: left edges and widths.
struct Grid {
    places: Vec<(f32, f32)>,
    size: f32,
}

impl<'a> Flow<'a, '_> {
    pub(super) fn table(&mut self, table: &'a Table, parent: At) {
        let size = match table.size {
            Size::Small => 8.6,
            Size::Big => 11.0,
        } * self.scale;
        let grid = self.grid(table, size);
        let tag = self.tag(parent, Tag::Table.with_summary(Some(table.caption.clone())));
        self.caption(table, tag);
        let head = self.head(table, &grid);
        if let Some(head) = &head {
            let thead = self.tag(tag, Tag::THead);
            let row = self.tag(thead, Tag::TR);
            let tags = head
                .iter()
                .map(|_| self.tag(row, Tag::TH(TableHeaderScope::Column)))
                .collect::<Vec<_>>();
            self.row(head, &grid, Some(&tags), Tone::Edge);
        }
        let body = self.tag(tag, Tag::TBody);
        for row in &table.rows {
            let cells = self.cells(row, table, &grid);
            let tr = self.tag(body, Tag::TR);
            let tags: Vec<At> = (0..cells.len())
                .map(|at| match at {
                    0 => self.tag(tr, Tag::TH(TableHeaderScope::Row)),
                    _ => self.tag(tr, Tag::TD),
                })
                .collect();
            if self.ensure(height(&cells))
                && let Some(head) = &head
            {
                self.row(head, &grid, None, Tone::Edge);
            }
            self.row(&cells, &grid, Some(&tags), Tone::Faint);
        }
        self.gap(8.0);
    }

    fn caption(&mut self, table: &Table, tag: At) {
        let look = Look::of((BODY - 1.0) * self.scale).bold();
        let set = self.fonts.plain(&table.caption, look, Some(self.width()));
        // The caption stays with the head and two rows.
        self.ensure(set.height() + 48.0 * self.scale);
        let caption = self.tag(tag, Tag::Caption);
        self.text(set, self.left, caption);
        self.gap(2.0);
    }

    fn head(&mut self, table: &Table, grid: &Grid) -> Option<Vec<Rc<Text>>> {
        if table.columns.is_empty() {
            return None;
        }
        let head = table
            .columns
            .iter()
            .zip(&grid.places)
            .map(|(column, place)| {
                let mut look = Look {
                    leading: 1.2,
                    ..Look::of(grid.size * 0.95).bold()
                };
                if column.kind == Cells::Numbers {
                    look.align = Alignment::End;
                }
                Rc::new(self.fonts.plain(&column.head, look, Some(place.1)))
            });
        Some(head.collect())
    }

    /// A row's cells, set in their columns.
    fn cells(&mut self, row: &Row, table: &Table, grid: &Grid) -> Vec<Rc<Text>> {
        let mut set = Vec::with_capacity(row.cells.len());
        for (at, (cell, place)) in row.cells.iter().zip(&grid.places).enumerate() {
            let kind = table.columns.get(at).map_or(Cells::Words, |c| c.kind);
            let mut look = look(grid.size, kind, row);
            let indent = if at == 0 { indent(row) } else { 0.0 };
            let mut line = cell.clone();
            if let Some(struck) = row.struck.as_ref().filter(|_| at == SAID) {
                let mut marked = Line::default();
                marked.push(&format!("{struck} "), true);
                marked.0.extend(line.0);
                line = marked;
            }
            look.struck = row.struck.is_some();
            let width = (place.1 - indent).max(10.0);
            set.push(Rc::new(self.fonts.set(&line, look, Some(width))));
        }
        set
    }

    /// Puts a row at the cursor, with a rule below.
    fn row(&mut self, cells: &[Rc<Text>], grid: &Grid, tags: Option<&[At]>, rule: Tone) {
        let height = height(cells);
        for (at, (cell, (x, w))) in cells.iter().zip(&grid.places).enumerate() {
            // A cell that was moved in is narrower than its column.
            let moved = match cell.look.align {
                Alignment::Start if at == 0 => (w - cell.room()).max(0.0),
                _ => 0.0,
            };
            let mut y = self.y + PAD;
            for (line, h) in cell.lines().iter().enumerate() {
                if !cell.is_blank() {
                    let leaf = tags
                        .and_then(|tags| tags.get(at))
                        .map(|tag| self.leaf(*tag));
                    self.line(cell, line, (x + moved, y), leaf);
                }
                y += h;
            }
        }
        self.y += height;
        let h = if rule == Tone::Edge { 1.0 } else { 0.5 };
        let rule = Rule {
            x: self.left,
            y: self.y - h,
            w: self.width(),
            h,
            tone: rule,
        };
        self.rule(self.at_sheet(), rule);
    }

    /// Widths: every column at least its longest word; what is left goes to
    /// those that want more, in proportion.
    fn grid(&mut self, table: &Table, size: f32) -> Grid {
        let count = table.rows.iter().map(|row| row.cells.len()).max();
        let count = count.unwrap_or(0).max(table.columns.len()).max(1);
        let mut least = vec![0.0f32; count];
        let mut most = vec![0.0f32; count];
        for (at, column) in table.columns.iter().enumerate() {
            let set = self
                .fonts
                .plain(&column.head, Look::of(size * 0.95).bold(), None);
            let (low, high) = set.least_and_most();
            (least[at], most[at]) = (low, high);
        }
        for row in &table.rows {
            for (at, cell) in row.cells.iter().enumerate() {
                let kind = table.columns.get(at).map_or(Cells::Words, |c| c.kind);
                let set = self.fonts.set(cell, look(size, kind, row), None);
                let (mut low, high) = set.least_and_most();
                if kind != Cells::Words {
                    low = high;
                }
                let indent = if at == 0 { indent(row) } else { 0.0 };
                least[at] = least[at].max(low + indent);
                most[at] = most[at].max(high + indent);
            }
        }
        let room = self.width() - GUTTER * (count - 1) as f32;
        let widths = share(&least, &most, room);
        let mut x = self.left;
        let places = widths
            .into_iter()
            .map(|w| {
                let place = (x, w);
                x += w + GUTTER;
                place
            })
            .collect();
        Grid { places, size }
    }
}

fn look(size: f32, kind: Cells, row: &Row) -> Look {
    let mut look = Look::of(size);
    look.leading = 1.3;
    if row.hot {
        look = look.bold();
    }
    if row.struck.is_some() {
        look = look.tone(Tone::Soft);
    }
    if kind == Cells::Numbers {
        look.align = Alignment::End;
    }
    look
}

fn indent(row: &Row) -> f32 {
    row.depth.min(3) as f32 * STEP
}

fn height(cells: &[Rc<Text>]) -> f32 {
    let tallest = cells.iter().map(|cell| cell.height()).fold(0.0, f32::max);
    tallest + 2.0 * PAD
}

/// Widths between `least` and `most` that fill `room` as well as they can.
fn share(least: &[f32], most: &[f32], room: f32) -> Vec<f32> {
    // A hair more than measured, so that rounding does not break a word.
    let most: Vec<f32> = most.iter().map(|w| w + 0.5).collect();
    let least: Vec<f32> = least.iter().map(|w| w + 0.5).collect();
    let (low, high): (f32, f32) = (least.iter().sum(), most.iter().sum());
    if high <= room {
        // The rest goes to the right, not between the columns, up to a point.
        let spare = ((room - high) / most.len() as f32).min(14.0);
        return most.iter().map(|w| w + spare).collect();
    }
    if low >= room {
        return least.iter().map(|w| w * room / low).collect();
    }
    let part = (room - low) / (high - low);
    least
        .iter()
        .zip(&most)
        .map(|(low, high)| low + (high - low) * part)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::share;

    #[test]
    fn columns_share_what_there_is() {
        for (least, most) in [
            (vec![10.0, 20.0], vec![10.0, 30.0]),
            (vec![50.0, 60.0, 10.0], vec![300.0, 60.0, 10.0]),
            (vec![500.0, 600.0], vec![900.0, 900.0]),
        ] {
            let widths = share(&least, &most, 400.0);
            assert!(widths.iter().sum::<f32>() <= 400.01, "{widths:?}");
            let room = least.iter().sum::<f32>() < 390.0;
            assert!(!room || widths.iter().zip(&least).all(|(w, l)| w >= l));
        }
    }
}
