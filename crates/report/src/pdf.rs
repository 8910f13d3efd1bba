//! The document as a PDF file: the same words and figures as the HTML page.
//!
//! Laid out in two passes: first every text, line and figure gets its place on
//! a page ([`flow`]), then the pages are drawn ([`paint`]), for only then it is
//! known how many there are. The file is tagged after PDF/UA-1 (ISO 14289-1),
//! whose machine-checkable rules the writer holds or refuses; fonts are
//! embedded; it carries no date, so that the same job gives the same bytes.

mod blocks;
mod flow;
mod font;
mod installed;
mod paint;
mod table;
mod tags;

use crate::doc::{Block, Document, Line, Manner};
use flow::Flow;
use font::Fonts;
use tongue::say;

/// Sheet of paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Paper {
    /// 210 mm × 297 mm (ISO 216).
    #[default]
    A4,
    /// 8.5 in × 11 in (ANSI/ASME Y14.1).
    Letter,
}

impl Paper {
    /// Width and height in points.
    pub(crate) fn size(self) -> (f32, f32) {
        match self {
            Self::A4 => (595.276, 841.89),
            Self::Letter => (612.0, 792.0),
        }
    }
}

/// Why a report could not be written as PDF.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PdfError(String);

impl std::fmt::Display for PdfError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "the report could not be written as PDF: {}", self.0)
    }
}

impl std::error::Error for PdfError {}

impl PdfError {
    pub(crate) fn new(why: impl std::fmt::Display) -> Self {
        Self(why.to_string())
    }
}

/// Letters named in the note on those that were replaced.
const LETTERS_SHOWN: usize = 24;

/// Steps in which the owner's page is drawn smaller until it fits on one sheet.
const SCALES: [f32; 8] = [1.0, 0.96, 0.92, 0.88, 0.84, 0.8, 0.75, 0.7];

/// The file's bytes.
pub(crate) fn write(document: &Document, paper: Paper) -> Result<Vec<u8>, PdfError> {
    let mut fonts = Fonts::new()?;
    let owner = SCALES
        .into_iter()
        .map(|scale| {
            let mut flow = Flow::new(&mut fonts, paper, scale);
            flow.section(&document.owner);
            flow.finish()
        })
        // The last, smallest one stays where even that is too long.
        .reduce_until(|pages| pages.sheets.len() == 1);
    let note;
    let mut flow = Flow::new(&mut fonts, paper, 1.0);
    flow.section(&document.workshop);
    let replaced = flow.fonts.replaced();
    if !replaced.is_empty() {
        note = [Block::Para(Manner::Plain, letters(&replaced))];
        flow.section(&note);
    }
    let workshop = flow.finish();
    let parts = owner.into_iter().chain([workshop]).collect();
    paint::write(document, paper, &fonts, parts)
}

/// Which letters had to be replaced.
fn letters(replaced: &[String]) -> Line {
    let shown = replaced.iter().take(LETTERS_SHOWN);
    let shown = shown.map(String::as_str).collect::<Vec<_>>().join(", ");
    Line::from(say::report::letters_replaced(replaced.len(), shown))
}

/// The first that fits, else the last.
trait ReduceUntil: Iterator + Sized {
    fn reduce_until(mut self, fits: impl Fn(&Self::Item) -> bool) -> Option<Self::Item> {
        let mut last = self.next()?;
        while !fits(&last) {
            match self.next() {
                Some(next) => last = next,
                None => break,
            }
        }
        Some(last)
    }
}

impl<I: Iterator> ReduceUntil for I {}
