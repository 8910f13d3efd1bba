//! Headings, paragraphs, lists, steps and figures.

use std::{num::NonZeroU16, rc::Rc};

use krilla::tagging::{ListNumbering, Tag};
use picture::Tone;

use super::{
    flow::{Flow, Item, PX, Rule},
    font::Look,
    tags::At,
};
use crate::doc::{Block, Figure, Line, Manner};

/// Sizes in points, those of the HTML report's print style.
pub(super) const BODY: f32 = 10.0;
const LEAD: f32 = 12.0;
const HEADINGS: [f32; 3] = [18.0, 13.0, 11.0];
/// Room that a heading wants below itself before a sheet ends.
const FOLLOWS: f32 = 46.0;
/// How far a list's lines are moved in.
const INDENT: f32 = 12.0;
/// Space inside a ground, and its bar at the left.
const PAD: f32 = 7.0;
const BAR: f32 = 3.5;

impl<'a> Flow<'a, '_> {
    pub(super) fn blocks(&mut self, blocks: &'a [Block], parent: At) {
        for (at, block) in blocks.iter().enumerate() {
            match block {
                Block::Title(text) => self.heading(1, text, blocks.get(at + 1), parent),
                Block::Heading { level, text, .. } => {
                    self.heading(*level, text, blocks.get(at + 1), parent);
                }
                Block::Para(manner, line) => self.para(*manner, line, parent),
                Block::List(lines) => self.list(lines, parent),
                Block::Step(inside) => {
                    let tag = self.tag(parent, Tag::Div);
                    self.on_ground(Tone::Ink, |flow| flow.blocks(inside, tag));
                }
                Block::Table(table) => self.table(table, parent),
                Block::Figure(figure) => self.figure(figure, parent),
            }
        }
    }

    fn heading(&mut self, level: u8, text: &str, next: Option<&Block>, parent: At) {
        let level = level.clamp(1, 3);
        let size = HEADINGS[usize::from(level) - 1] * self.scale;
        let gap = [2.0, 12.0, 10.0][usize::from(level) - 1];
        let look = Look {
            leading: 1.25,
            ..Look::of(size).bold()
        };
        let set = self.fonts.plain(text, look, Some(self.width()));
        let follows = match next {
            // A figure brings all it needs, or goes to the next sheet with its heading.
            Some(Block::Figure(figure)) => {
                let (w, h) = self.figure_size(figure);
                let _ = w;
                h.min(self.whole() - set.height() - 20.0)
            }
            _ => FOLLOWS * self.scale,
        };
        self.gap(gap);
        self.ensure(set.height() + follows);
        self.note(level, text);
        let number = NonZeroU16::new(level.into()).unwrap_or(NonZeroU16::MIN);
        let tag = self.tag(parent, Tag::Hn(number, Some(text.to_owned())));
        self.text(set, self.left, tag);
        self.gap(2.0);
    }

    fn para(&mut self, manner: Manner, line: &Line, parent: At) {
        match manner {
            Manner::Plain => self.words(line, Look::of(BODY * self.scale), parent),
            Manner::Lead => self.words(line, Look::of(LEAD * self.scale), parent),
            Manner::Kicker => {
                let look = Look::of(BODY * self.scale).tone(Tone::Soft);
                self.words(line, look, parent);
            }
            Manner::Caution => {
                let look = Look::of(BODY * self.scale);
                self.on_ground(Tone::Limit, |flow| flow.words(line, look, parent));
            }
            Manner::Invented => {
                let look = Look::of(BODY * self.scale).bold();
                self.on_ground(Tone::Edge, |flow| flow.words(line, look, parent));
            }
        }
    }

    fn words(&mut self, line: &Line, look: Look, parent: At) {
        let set = self.fonts.set(line, look, Some(self.width()));
        let tag = self.tag(parent, Tag::P);
        self.text(set, self.left, tag);
        self.gap(3.5);
    }

    fn list(&mut self, lines: &[Line], parent: At) {
        let look = Look::of(BODY * self.scale);
        let list = self.tag(parent, Tag::L(ListNumbering::Disc));
        for line in lines {
            let width = self.width() - INDENT;
            let set = self.fonts.set(line, look, Some(width));
            let mark = Rc::new(self.fonts.plain("•", look, None));
            self.ensure(set.lines().iter().take(2).sum());
            let item = self.tag(list, Tag::LI);
            let label = self.tag(item, Tag::Lbl);
            let body = self.tag(item, Tag::LBody);
            let leaf = self.leaf(label);
            self.line(&mark, 0, (self.left + 2.0, self.y), Some(leaf));
            self.text(set, self.left + INDENT, body);
            self.gap(1.5);
        }
        self.gap(3.0);
    }

    /// What `inside` lays out, on a ground with a bar at its left.
    fn on_ground(&mut self, bar: Tone, inside: impl FnOnce(&mut Self)) {
        self.gap(3.0);
        self.ensure(FOLLOWS * self.scale);
        let (left, right) = (self.left, self.right);
        let (first, from) = (self.at_sheet(), self.y);
        self.y += PAD * 0.6;
        self.left += BAR + PAD;
        self.right -= PAD;
        inside(self);
        self.left = left;
        self.right = right;
        self.y += PAD * 0.4;
        let (top, foot) = self.span();
        let last = self.at_sheet();
        for sheet in first..=last {
            let a = if sheet == first { from } else { top };
            let b = if sheet == last { self.y } else { foot };
            let ground = |x: f32, w: f32, tone: Tone| Rule {
                x,
                y: a,
                w,
                h: b - a,
                tone,
            };
            self.rule(sheet, ground(left, right - left, Tone::Panel));
            self.rule(sheet, ground(left, BAR, bar));
        }
        self.gap(6.0);
    }

    /// Width and height of a figure with its caption.
    fn figure_size(&mut self, figure: &Figure) -> (f32, f32) {
        let drawing = figure.wide();
        let (w, h) = (drawing.width as f32 * PX, drawing.height as f32 * PX);
        // A tall picture shrinks rather than leaving its sheet.
        let most = self.whole() * 0.9;
        let shrink = (self.width() / w).min(most / h).min(1.0) * self.scale;
        let caption = if figure.caption.is_empty() {
            0.0
        } else {
            let look = Look::of(9.0 * self.scale);
            let set = self.fonts.plain(&figure.caption, look, Some(self.width()));
            set.height() + 3.0
        };
        (w * shrink, h * shrink + caption)
    }

    fn figure(&mut self, figure: &'a Figure, parent: At) {
        let drawing = figure.wide();
        let (width, height) = self.figure_size(figure);
        self.gap(2.0);
        self.ensure(height);
        let scale = width / drawing.width as f32;
        let alt = format!("{}. {}", drawing.title, drawing.finding);
        let tag = self.tag(parent, Tag::Figure(Some(alt)));
        let leaf = self.leaf(tag);
        self.push(Item::Figure {
            drawing,
            x: self.left,
            y: self.y,
            scale,
            leaf,
        });
        self.y += drawing.height as f32 * scale;
        if !figure.caption.is_empty() {
            self.y += 2.0;
            let look = Look::of(9.0 * self.scale).tone(Tone::Soft);
            let set = self.fonts.plain(&figure.caption, look, Some(self.width()));
            let caption = self.tag(parent, Tag::P);
            self.text(set, self.left, caption);
        }
        self.gap(5.0);
    }
}
