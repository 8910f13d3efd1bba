//! Two faces of our own, those installed here for letters that they lack, and
//! texts set in them.

use std::{
    borrow::Cow,
    collections::{BTreeMap, BTreeSet},
    ops::Range,
    sync::Arc,
};

use krilla::{
    geom::Point,
    surface::Surface,
    text::{Font, GlyphId, KrillaGlyph},
};
use parley::{
    Alignment, AlignmentOptions, FontContext, FontFamily, FontFamilyName, FontWeight, Layout,
    LayoutContext, LineHeight, StyleProperty,
    fontique::{Blob, Collection, CollectionOptions, SourceCache},
    layout::Run,
};
use picture::Tone;

use super::{PdfError, installed};
use crate::doc::Line;

/// Name of the family in its own font files.
const FAMILY: &str = "Noto Sans";
/// Stands for a letter that the faces do not have.
const UNKNOWN_LETTER: char = '?';

/// The faces, ready to set text with.
pub(super) struct Fonts {
    /// Our own: Latin, Greek and Cyrillic letters.
    own: FontContext,
    /// Our own and those installed here; made when a letter is lacking.
    wider: Option<FontContext>,
    blobs: [Blob<u8>; 2],
    scratch: LayoutContext<()>,
    /// Faces to draw with, seen so far; `None` for one that may not go into a file.
    faces: BTreeMap<FaceKey, Option<Font>>,
    /// Letters that no face has, seen so far.
    replaced: BTreeSet<char>,
}

/// A face: its file, its place in there, and where on the axes of a variable one.
type FaceKey = (u64, u32, Vec<([u8; 4], u32)>);

/// How a text is to look.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Look {
    /// Height of the letters, in the unit of the sheet.
    pub(super) size: f32,
    /// Distance of lines in letter heights.
    pub(super) leading: f32,
    pub(super) bold: bool,
    pub(super) tone: Tone,
    pub(super) align: Alignment,
    pub(super) struck: bool,
}

impl Look {
    pub(super) fn of(size: f32) -> Self {
        Self {
            size,
            leading: 1.35,
            bold: false,
            tone: Tone::Ink,
            align: Alignment::Start,
            struck: false,
        }
    }

    pub(super) fn bold(self) -> Self {
        Self { bold: true, ..self }
    }

    pub(super) fn tone(self, tone: Tone) -> Self {
        Self { tone, ..self }
    }
}

/// A text broken into lines.
pub(super) struct Text {
    layout: Layout<()>,
    words: String,
    room: f32,
    pub(super) look: Look,
}

impl Fonts {
    pub(super) fn new() -> Result<Self, PdfError> {
        let files = [notosans::REGULAR_TTF, notosans::BOLD_TTF];
        let blobs = files.map(|file| Blob::new(Arc::new(file)));
        let mut faces = BTreeMap::new();
        for (file, blob) in files.into_iter().zip(&blobs) {
            let face = Font::new(file.into(), 0);
            let face = face.ok_or_else(|| PdfError::new("a face cannot be read"))?;
            faces.insert((blob.id(), 0, Vec::new()), Some(face));
        }
        Ok(Self {
            own: context(&blobs, false),
            wider: None,
            blobs,
            scratch: LayoutContext::new(),
            faces,
            replaced: BTreeSet::new(),
        })
    }

    /// Letters that came out as a question mark so far, as Unicode numbers them; no face can show them.
    pub(super) fn replaced(&self) -> Vec<String> {
        let number = |letter: &char| format!("U+{:04X}", u32::from(*letter));
        self.replaced.iter().map(number).collect()
    }

    /// Sets a line of words, broken at `width`.
    pub(super) fn set(&mut self, line: &Line, look: Look, width: Option<f32>) -> Text {
        let mut words = String::new();
        let mut heavy = Vec::new();
        for span in &line.0 {
            let from = words.len();
            words.extend(span.text.chars().map(legible));
            if span.strong {
                heavy.push(from..words.len());
            }
        }
        self.lay(words, &heavy, look, width)
    }

    /// Sets plain words.
    pub(super) fn plain(&mut self, text: &str, look: Look, width: Option<f32>) -> Text {
        let words = text.chars().map(legible).collect();
        self.lay(words, &[], look, width)
    }

    fn lay(
        &mut self,
        words: String,
        heavy: &[Range<usize>],
        look: Look,
        width: Option<f32>,
    ) -> Text {
        let text = |layout, words| Text {
            layout,
            words,
            room: width.unwrap_or_default(),
            look,
        };
        let layout = self.layout(&words, heavy, look, width);
        if lacking(&layout).is_empty() {
            return text(layout, words);
        }
        // Only now, for what is installed differs from machine to machine.
        if self.wider.is_none() {
            self.wider = Some(context(&self.blobs, true));
        }
        let layout = self.layout_wider(&words, heavy, look, width);
        let bad = self.not_to_show(&layout);
        if bad.is_empty() {
            return text(layout, words);
        }
        let (mended, moved) = self.mend(&words, heavy, &bad);
        let layout = self.layout_wider(&mended, &moved, look, width);
        text(layout, mended)
    }

    /// The words with a question mark for each letter in `bad`, and where the heavy ones are then.
    fn mend(
        &mut self,
        words: &str,
        heavy: &[Range<usize>],
        bad: &[Range<usize>],
    ) -> (String, Vec<Range<usize>>) {
        let mut mended = String::with_capacity(words.len());
        let mut moved = heavy.to_vec();
        for (at, letter) in words.char_indices() {
            let bad = bad.iter().any(|range| range.contains(&at));
            if bad {
                self.replaced.insert(letter);
            }
            let put = if bad { UNKNOWN_LETTER } else { letter };
            let shrunk = letter.len_utf8() - put.len_utf8().min(letter.len_utf8());
            for (range, was) in moved.iter_mut().zip(heavy) {
                if at < was.start {
                    range.start -= shrunk;
                }
                if at < was.end {
                    range.end -= shrunk;
                }
            }
            mended.push(put);
        }
        (mended, moved)
    }

    /// What of a layout cannot be shown: no glyph, or a face that may not be embedded.
    fn not_to_show(&mut self, layout: &Layout<()>) -> Vec<Range<usize>> {
        let mut bad = lacking(layout);
        for line in layout.lines() {
            for run in line.runs() {
                let key = key(&run);
                let face = self
                    .faces
                    .entry(key)
                    .or_insert_with(|| installed::face(&run));
                if face.is_none() {
                    bad.push(run.text_range());
                }
            }
        }
        bad
    }

    fn layout_wider(
        &mut self,
        words: &str,
        heavy: &[Range<usize>],
        look: Look,
        width: Option<f32>,
    ) -> Layout<()> {
        let wider = self.wider.as_mut().unwrap_or(&mut self.own);
        laid_out(&mut self.scratch, wider, words, heavy, look, width)
    }

    fn layout(
        &mut self,
        words: &str,
        heavy: &[Range<usize>],
        look: Look,
        width: Option<f32>,
    ) -> Layout<()> {
        laid_out(&mut self.scratch, &mut self.own, words, heavy, look, width)
    }

    fn face(&self, run: &Run<'_, ()>) -> Option<Font> {
        self.faces.get(&key(run)).cloned().flatten()
    }
}

/// Our own faces, with those installed here behind them where `installed`.
fn context(own: &[Blob<u8>], installed: bool) -> FontContext {
    let mut collection = Collection::new(CollectionOptions {
        shared: false,
        system_fonts: installed,
    });
    for blob in own {
        collection.register_fonts(blob.clone(), None);
    }
    FontContext {
        collection,
        source_cache: SourceCache::default(),
    }
}

fn key(run: &Run<'_, ()>) -> FaceKey {
    let font = run.font();
    let place = installed::place(run);
    let place = place.into_iter().map(|(tag, value)| (tag, value.to_bits()));
    (font.data.id(), font.index, place.collect())
}

fn laid_out(
    scratch: &mut LayoutContext<()>,
    faces: &mut FontContext,
    words: &str,
    heavy: &[Range<usize>],
    look: Look,
    width: Option<f32>,
) -> Layout<()> {
    let mut builder = scratch.ranged_builder(faces, words, 1.0, false);
    let family = FontFamilyName::Named(Cow::Borrowed(FAMILY));
    builder.push_default(StyleProperty::FontFamily(FontFamily::Single(family)));
    builder.push_default(StyleProperty::FontSize(look.size));
    builder.push_default(StyleProperty::LineHeight(LineHeight::FontSizeRelative(
        look.leading,
    )));
    if look.bold {
        builder.push_default(StyleProperty::FontWeight(FontWeight::BOLD));
    }
    for range in heavy {
        builder.push(StyleProperty::FontWeight(FontWeight::BOLD), range.clone());
    }
    let mut layout = builder.build(words);
    layout.break_all_lines(width);
    layout.align(look.align, AlignmentOptions::default());
    layout
}

/// A blank for what has no shape of its own; everything else as it is.
fn legible(letter: char) -> char {
    match letter {
        '\n' | '\t' | '\r' => ' ',
        // The face has no narrow unbroken space; the wide one keeps a number together too.
        '\u{202f}' => '\u{a0}',
        letter if letter.is_control() => ' ',
        letter => letter,
    }
}

/// Where glyphs are missing.
fn lacking(layout: &Layout<()>) -> Vec<Range<usize>> {
    let mut lacking = Vec::new();
    for line in layout.lines() {
        for run in line.runs() {
            for cluster in run.clusters() {
                if cluster.glyphs().any(|glyph| glyph.id == 0) {
                    lacking.push(cluster.text_range());
                }
            }
        }
    }
    lacking
}

impl Text {
    /// Height of each line.
    pub(super) fn lines(&self) -> Vec<f32> {
        self.layout
            .lines()
            .map(|line| line.metrics().line_height)
            .collect()
    }

    pub(super) fn height(&self) -> f32 {
        self.lines().iter().sum()
    }

    /// Width of the longest line.
    pub(super) fn width(&self) -> f32 {
        self.layout
            .lines()
            .map(|line| line.metrics().advance)
            .fold(0.0, f32::max)
    }

    /// Width of the longest word, and of all on one line.
    pub(super) fn least_and_most(&self) -> (f32, f32) {
        let widths = self.layout.calculate_content_widths();
        (widths.min, widths.max)
    }

    /// Width it was broken at.
    pub(super) fn room(&self) -> f32 {
        self.room
    }

    /// From the top of the text to its first baseline.
    pub(super) fn baseline(&self) -> f32 {
        self.layout.first_baseline().unwrap_or_default()
    }

    /// Whether there are no letters to draw.
    pub(super) fn is_blank(&self) -> bool {
        self.words.trim().is_empty()
    }

    /// Draws line number `at` with the top of the line at `y`. Returns from
    /// where to where it reaches, and its baseline.
    pub(super) fn draw(
        &self,
        surface: &mut Surface<'_>,
        fonts: &Fonts,
        at: usize,
        (x, y): (f32, f32),
    ) -> Option<(f32, f32, f32)> {
        let line = self.layout.get(at)?;
        let above: f32 = self.lines().iter().take(at).sum();
        let metrics = line.metrics();
        let baseline = y + metrics.baseline - above;
        let start = x + metrics.offset;
        let mut pen = start;
        for run in line.runs() {
            let size = run.font_size();
            let mut glyphs: Vec<KrillaGlyph> = Vec::new();
            let from = pen;
            for cluster in run.visual_clusters() {
                if cluster.is_ligature_continuation() {
                    if let Some(glyph) = glyphs.last_mut() {
                        glyph.text_range.end = cluster.text_range().end;
                    }
                    continue;
                }
                for glyph in cluster.glyphs() {
                    glyphs.push(KrillaGlyph::new(
                        GlyphId::new(glyph.id),
                        glyph.advance / size,
                        glyph.x / size,
                        glyph.y / size,
                        0.0,
                        cluster.text_range(),
                        None,
                    ));
                    pen += glyph.advance;
                }
            }
            if let Some(face) = fonts.face(&run).filter(|_| !glyphs.is_empty()) {
                let point = Point::from_xy(from, baseline);
                surface.draw_glyphs(point, &glyphs, face, &self.words, size, false);
            }
        }
        Some((start, pen, baseline))
    }
}
