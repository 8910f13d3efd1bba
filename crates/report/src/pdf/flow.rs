//! Where things stand: a cursor that walks down sheet after sheet.

use std::rc::Rc;

use krilla::tagging::Tag;
use picture::{Drawing, Tone};

use super::{
    Paper,
    font::{Fonts, Text},
    tags::{At, Leaf, Tree},
};
use crate::doc::Block;

/// Margin on all sides: 14 mm, in points, as in the print style of the HTML report.
pub(super) const MARGIN: f32 = 39.69;
/// Room below the text for the page number.
const FOOT: f32 = 14.0;
/// CSS pixels to points.
pub(super) const PX: f32 = 0.75;

/// One sheet.
#[derive(Default)]
pub(super) struct Sheet<'a> {
    /// Drawn first: grounds and rules.
    pub(super) under: Vec<Rule>,
    /// In reading order.
    pub(super) items: Vec<Item<'a>>,
}

/// A filled box that says nothing.
#[derive(Debug, Clone, Copy)]
pub(super) struct Rule {
    pub(super) x: f32,
    pub(super) y: f32,
    pub(super) w: f32,
    pub(super) h: f32,
    pub(super) tone: Tone,
}

/// Something with words.
pub(super) enum Item<'a> {
    Line {
        text: Rc<Text>,
        at: usize,
        x: f32,
        y: f32,
        /// `None` for what only repeats, such as a table's head on its next sheet.
        leaf: Option<Leaf>,
    },
    Figure {
        drawing: &'a Drawing,
        x: f32,
        y: f32,
        scale: f32,
        leaf: Leaf,
    },
}

/// Sheets and what they mean.
pub(super) struct Pages<'a> {
    pub(super) sheets: Vec<Sheet<'a>>,
    pub(super) tree: Tree,
    pub(super) top: At,
    pub(super) leaves: usize,
    pub(super) outline: Vec<Entry>,
}

/// A line of the reader's table of contents.
#[derive(Debug, Clone)]
pub(super) struct Entry {
    pub(super) level: u8,
    pub(super) text: String,
    pub(super) sheet: usize,
    pub(super) y: f32,
}

/// The cursor.
pub(super) struct Flow<'a, 'f> {
    pub(super) fonts: &'f mut Fonts,
    pub(super) scale: f32,
    pub(super) y: f32,
    pub(super) left: f32,
    pub(super) right: f32,
    bottom: f32,
    pages: Pages<'a>,
}

impl<'a, 'f> Flow<'a, 'f> {
    pub(super) fn new(fonts: &'f mut Fonts, paper: Paper, scale: f32) -> Self {
        let (width, height) = paper.size();
        let mut tree = Tree::default();
        let top = tree.root(Tag::Section);
        Self {
            fonts,
            scale,
            y: MARGIN,
            left: MARGIN,
            right: width - MARGIN,
            bottom: height - MARGIN - FOOT,
            pages: Pages {
                sheets: vec![Sheet::default()],
                tree,
                top,
                leaves: 0,
                outline: Vec::new(),
            },
        }
    }

    /// Lays out a whole part of the document.
    pub(super) fn section(&mut self, blocks: &'a [Block]) {
        self.blocks(blocks, self.pages.top);
    }

    pub(super) fn finish(self) -> Pages<'a> {
        self.pages
    }

    pub(super) fn width(&self) -> f32 {
        self.right - self.left
    }

    /// Room left on this sheet.
    pub(super) fn room(&self) -> f32 {
        self.bottom - self.y
    }

    /// Room on an empty sheet.
    pub(super) fn whole(&self) -> f32 {
        self.bottom - MARGIN
    }

    /// Which sheet the cursor is on, counted from 0.
    pub(super) fn at_sheet(&self) -> usize {
        self.pages.sheets.len() - 1
    }

    /// Begins a new sheet if less than `height` is left. Returns whether it did.
    pub(super) fn ensure(&mut self, height: f32) -> bool {
        let fresh = self.y <= MARGIN + 0.01;
        if height <= self.room() + 0.01 || fresh {
            return false;
        }
        self.pages.sheets.push(Sheet::default());
        self.y = MARGIN;
        true
    }

    /// Leaves a gap, unless at the top of a sheet.
    pub(super) fn gap(&mut self, height: f32) {
        if self.y > MARGIN + 0.01 {
            self.y += height * self.scale;
        }
    }

    pub(super) fn tag(&mut self, parent: At, tag: impl Into<krilla::tagging::TagKind>) -> At {
        self.pages.tree.under(parent, tag)
    }

    /// A new leaf below `parent`.
    pub(super) fn leaf(&mut self, parent: At) -> Leaf {
        let leaf = Leaf(self.pages.leaves);
        self.pages.leaves += 1;
        self.pages.tree.leaf(parent, leaf);
        leaf
    }

    pub(super) fn note(&mut self, level: u8, text: &str) {
        let entry = Entry {
            level,
            text: text.into(),
            sheet: self.at_sheet(),
            y: self.y,
        };
        self.pages.outline.push(entry);
    }

    /// Sets a text at the cursor, breaking between sheets where it must.
    pub(super) fn text(&mut self, text: Text, x: f32, parent: At) {
        let text = Rc::new(text);
        let heights = text.lines();
        for (at, height) in heights.iter().enumerate() {
            // No single line is left alone at the foot or at the head.
            let together = match heights.len() - at {
                _ if at == 0 && heights.len() <= 3 => heights.iter().sum(),
                _ if at == 0 => height * 2.0,
                2 => height * 2.0,
                _ => *height,
            };
            self.ensure(together);
            let leaf = self.leaf(parent);
            self.line(&text, at, (x, self.y), Some(leaf));
            self.y += height;
        }
    }

    /// Puts one line of a text somewhere on this sheet.
    pub(super) fn line(
        &mut self,
        text: &Rc<Text>,
        at: usize,
        (x, y): (f32, f32),
        leaf: Option<Leaf>,
    ) {
        let text = Rc::clone(text);
        self.push(Item::Line {
            text,
            at,
            x,
            y,
            leaf,
        });
    }

    pub(super) fn push(&mut self, item: Item<'a>) {
        if let Some(sheet) = self.pages.sheets.last_mut() {
            sheet.items.push(item);
        }
    }

    /// A ground or a rule on a given sheet.
    pub(super) fn rule(&mut self, sheet: usize, rule: Rule) {
        if let Some(sheet) = self.pages.sheets.get_mut(sheet) {
            sheet.under.push(rule);
        }
    }

    /// From the top of sheet to its foot.
    pub(super) fn span(&self) -> (f32, f32) {
        (MARGIN, self.bottom)
    }
}
