//! Draws the sheets.

use krilla::{
    Document as File, SerializeSettings,
    configure::{Accessibility, ConfigurationBuilder},
    destination::XyzDestination,
    geom::{Path, PathBuilder, Point, Rect, Transform},
    metadata::Metadata,
    num::NormalizedF32,
    outline::{Outline, OutlineNode},
    page::PageSettings,
    paint::{Fill, FillRule, LineJoin, Stroke, StrokeDash},
    surface::Surface,
    tagging::{Artifact, ArtifactType, ContentTag, Identifier, SpanTag, TagTree},
};
use kurbo::{BezPath, PathEl, Shape};
use parley::Alignment;
use picture::{Anchor, Drawing, Hatch, Piece, Tone};
use tongue::say;

use super::{
    Paper, PdfError,
    flow::{Entry, Item, MARGIN, Pages, Rule, Sheet},
    font::{Fonts, Look, Text},
};
use crate::doc::Document;

/// Words of figures and feet, set before drawing so that drawing needs no scratch space.
struct Foot {
    left: Text,
    right: Text,
}

/// The whole file.
pub(super) fn write(
    document: &Document,
    paper: Paper,
    fonts: &Fonts,
    parts: Vec<Pages<'_>>,
) -> Result<Vec<u8>, PdfError> {
    let configuration = ConfigurationBuilder::new()
        .with_accessibility_validator(Accessibility::UA1)
        .finish()
        .map_err(|error| PdfError::new(format!("{error:?}")))?;
    let mut file = File::new_with(SerializeSettings {
        configuration,
        ..SerializeSettings::default()
    });
    let mut setter = Fonts::new()?;
    let all: usize = parts.iter().map(|part| part.sheets.len()).sum();
    let lang = tongue::speaking().tag().to_owned();
    let mut tags = TagTree::new().with_lang(Some(lang.clone()));
    let mut contents = Vec::new();
    let mut number = 0;
    for part in parts {
        let first = number;
        let mut drawn: Vec<Option<Identifier>> = vec![None; part.leaves];
        for sheet in &part.sheets {
            number += 1;
            let foot = foot(&mut setter, document, number, all);
            let mut painter = Painter {
                fonts,
                setter: &mut setter,
                drawn: &mut drawn,
            };
            painter.sheet(&mut file, paper, sheet, &foot)?;
        }
        part.tree.finish(part.top, &drawn, &mut tags);
        contents.extend(part.outline.into_iter().map(|entry| Entry {
            sheet: entry.sheet + first,
            ..entry
        }));
    }
    file.set_outline(outline(&contents));
    file.set_tag_tree(tags);
    file.set_metadata(
        Metadata::new()
            .title(document.title.clone())
            .language(lang)
            .creator("Nightdraw".into()),
    );
    file.finish()
        .map(without_suspects)
        .map_err(|error| PdfError::new(format!("{error:?}")))
}

/// Blanks out `/Suspects false`, which is the default (ISO 32000-1, table 321):
/// poppler takes the word `false` there for a wrong type and complains. The
/// length stays, and with it every offset.
fn without_suspects(mut file: Vec<u8>) -> Vec<u8> {
    const SAID: &[u8] = b"/Suspects false";
    if let Some(at) = file.windows(SAID.len()).position(|part| part == SAID) {
        file[at..at + SAID.len()].fill(b' ');
    }
    file
}

fn foot(fonts: &mut Fonts, document: &Document, number: usize, all: usize) -> Foot {
    let look = Look::of(8.0).tone(Tone::Soft);
    let page = say::report::page(all, number).to_string();
    let right = Look {
        align: Alignment::End,
        ..look
    };
    Foot {
        left: fonts.plain(&document.title, look, Some(360.0)),
        right: fonts.plain(&page, right, Some(120.0)),
    }
}

/// The reader's table of contents: sections with their headings below.
fn outline(entries: &[Entry]) -> Outline {
    let mut outline = Outline::new();
    let node = |entry: &Entry| {
        let place = XyzDestination::new(entry.sheet, Point::from_xy(0.0, entry.y));
        OutlineNode::new(entry.text.clone(), place)
    };
    let mut open: Option<OutlineNode> = None;
    for entry in entries {
        match (&mut open, entry.level) {
            (Some(section), 3) => section.push_child(node(entry)),
            _ => {
                if let Some(done) = open.replace(node(entry)) {
                    outline.push_child(done);
                }
            }
        }
    }
    if let Some(done) = open {
        outline.push_child(done);
    }
    outline
}

struct Painter<'p> {
    fonts: &'p Fonts,
    setter: &'p mut Fonts,
    drawn: &'p mut [Option<Identifier>],
}

impl Painter<'_> {
    fn sheet(
        &mut self,
        file: &mut File,
        paper: Paper,
        sheet: &Sheet<'_>,
        foot: &Foot,
    ) -> Result<(), PdfError> {
        let (width, height) = paper.size();
        let settings = PageSettings::from_wh(width, height)
            .ok_or_else(|| PdfError::new("the sheet has no size"))?;
        let mut page = file.start_page_with(settings);
        let mut surface = page.surface();
        for rule in &sheet.under {
            artifact(&mut surface, ArtifactType::Layout, |s| fill_rule(s, rule));
        }
        for item in &sheet.items {
            self.item(&mut surface, item);
        }
        let y = height - MARGIN - 8.0;
        let fonts = &*self.setter;
        artifact(&mut surface, ArtifactType::Footer, |s| {
            s.set_fill(Some(paint(Tone::Soft)));
            foot.left.draw(s, fonts, 0, (MARGIN, y));
            foot.right.draw(s, fonts, 0, (width - MARGIN - 120.0, y));
        });
        surface.finish();
        page.finish();
        Ok(())
    }

    fn item(&mut self, surface: &mut Surface<'_>, item: &Item<'_>) {
        match item {
            Item::Line {
                text,
                at,
                x,
                y,
                leaf,
            } => {
                let tag = match leaf {
                    Some(_) => ContentTag::Span(SpanTag::empty()),
                    None => {
                        ContentTag::Artifact(Artifact::with_kind(ArtifactType::PaginationOther))
                    }
                };
                let identifier = surface.start_tagged(tag);
                surface.set_stroke(None);
                surface.set_fill(Some(paint(text.look.tone)));
                let reach = text.draw(surface, self.fonts, *at, (*x, *y));
                surface.end_tagged();
                if let Some(leaf) = leaf {
                    self.remember(leaf.0, identifier);
                }
                if let Some((from, to, baseline)) = reach.filter(|_| text.look.struck) {
                    let rule = Rule {
                        x: from,
                        y: baseline - text.look.size * 0.3,
                        w: to - from,
                        h: 0.5,
                        tone: text.look.tone,
                    };
                    artifact(surface, ArtifactType::Layout, |s| fill_rule(s, &rule));
                }
            }
            Item::Figure {
                drawing,
                x,
                y,
                scale,
                leaf,
            } => {
                let identifier = surface.start_tagged(ContentTag::Other);
                surface.push_transform(&Transform::from_row(*scale, 0.0, 0.0, *scale, *x, *y));
                for piece in &drawing.pieces {
                    self.piece(surface, drawing, piece);
                }
                surface.pop();
                surface.end_tagged();
                self.remember(leaf.0, identifier);
            }
        }
    }

    fn remember(&mut self, leaf: usize, identifier: Identifier) {
        if let Some(place) = self.drawn.get_mut(leaf) {
            *place = Some(identifier);
        }
    }

    fn piece(&mut self, surface: &mut Surface<'_>, drawing: &Drawing, piece: &Piece) {
        match piece {
            Piece::Path { d, fill, line } => {
                let Ok(outline) = BezPath::from_svg(d) else {
                    return;
                };
                let Some(path) = path(&outline) else { return };
                let tone = match fill {
                    Some(picture::Fill::Tone(tone)) => Some(*tone),
                    _ => None,
                };
                if tone.is_some() || line.is_some() {
                    surface.set_fill(tone.map(paint));
                    surface.set_stroke(line.as_ref().map(stroke));
                    surface.draw_path(&path);
                    surface.set_stroke(None);
                }
                if let Some(picture::Fill::Hatch(number)) = fill
                    && let Some(hatch) = drawing.hatch(*number)
                {
                    hatched(surface, &path, &outline, hatch);
                }
            }
            Piece::Text(words) => {
                let mut look = Look::of(words.size as f32).tone(words.tone);
                look.leading = 1.0;
                look.bold = words.bold;
                let text = self.setter.plain(&words.text, look, None);
                let shift = match words.anchor {
                    Anchor::Start => 0.0,
                    Anchor::Middle => text.width() / 2.0,
                    Anchor::End => text.width(),
                };
                let top = words.y as f32 - text.baseline();
                surface.set_fill(Some(paint(words.tone)));
                text.draw(surface, self.setter, 0, (words.x as f32 - shift, top));
            }
            Piece::Open { .. } | Piece::Close => {}
        }
    }
}

fn artifact(surface: &mut Surface<'_>, kind: ArtifactType, draw: impl FnOnce(&mut Surface<'_>)) {
    surface.start_tagged(ContentTag::Artifact(Artifact::with_kind(kind)));
    surface.set_stroke(None);
    draw(surface);
    surface.end_tagged();
}

fn fill_rule(surface: &mut Surface<'_>, rule: &Rule) {
    let Some(rect) = Rect::from_xywh(rule.x, rule.y, rule.w.max(0.01), rule.h.max(0.01)) else {
        return;
    };
    let mut builder = PathBuilder::new();
    builder.push_rect(rect);
    if let Some(path) = builder.finish() {
        surface.set_fill(Some(paint(rule.tone)));
        surface.draw_path(&path);
    }
}

fn colour(tone: Tone) -> krilla::color::rgb::Color {
    let [r, g, b] = tone.day_rgb();
    krilla::color::rgb::Color::new(r, g, b)
}

fn paint(tone: Tone) -> Fill {
    Fill {
        paint: colour(tone).into(),
        opacity: NormalizedF32::ONE,
        rule: FillRule::NonZero,
    }
}

fn stroke(line: &picture::Line) -> Stroke {
    Stroke {
        paint: colour(line.tone).into(),
        width: line.width as f32,
        line_join: if line.round {
            LineJoin::Round
        } else {
            LineJoin::Miter
        },
        dash: (!line.dash.is_empty()).then(|| StrokeDash {
            array: line.dash.iter().map(|d| *d as f32).collect(),
            offset: 0.0,
        }),
        ..Stroke::default()
    }
}

/// Parallel lines inside a path.
fn hatched(surface: &mut Surface<'_>, clip: &Path, outline: &BezPath, hatch: &Hatch) {
    let bounds = outline.bounding_box();
    let mut lines = PathBuilder::new();
    // SVG turns clockwise, with y downward; lines run along `(-sin, cos)`.
    let (sin, cos) = hatch.angle.to_radians().sin_cos();
    let corners = [
        (bounds.x0, bounds.y0),
        (bounds.x1, bounds.y0),
        (bounds.x0, bounds.y1),
        (bounds.x1, bounds.y1),
    ];
    let across = corners.map(|(x, y)| x * cos + y * sin);
    let along = corners.map(|(x, y)| -x * sin + y * cos);
    let ends = |v: [f64; 4]| {
        let low = v.into_iter().fold(f64::INFINITY, f64::min);
        (low, v.into_iter().fold(f64::NEG_INFINITY, f64::max))
    };
    let ((low, high), (start, end)) = (ends(across), ends(along));
    if !(low.is_finite() && high.is_finite() && hatch.gap > 0.0) {
        return;
    }
    let (first, last) = (
        (low / hatch.gap).floor() as i64,
        (high / hatch.gap).ceil() as i64,
    );
    for k in first..=last.min(first + 2000) {
        // The tile shows the right half of the line on its left edge.
        let at = k as f64 * hatch.gap + hatch.thick / 4.0;
        let point = |t: f64| ((at * cos - t * sin) as f32, (at * sin + t * cos) as f32);
        let (a, b) = (point(start), point(end));
        lines.move_to(a.0, a.1);
        lines.line_to(b.0, b.1);
    }
    let Some(lines) = lines.finish() else { return };
    surface.push_clip_path(clip, &FillRule::NonZero);
    surface.set_fill(None);
    surface.set_stroke(Some(Stroke {
        paint: colour(hatch.tone).into(),
        width: (hatch.thick / 2.0) as f32,
        ..Stroke::default()
    }));
    surface.draw_path(&lines);
    surface.set_stroke(None);
    surface.pop();
}

/// An outline as the PDF writer has it; `None` when there is nothing to draw.
fn path(outline: &BezPath) -> Option<Path> {
    let mut builder = PathBuilder::new();
    for element in outline.elements() {
        match *element {
            PathEl::MoveTo(p) => builder.move_to(p.x as f32, p.y as f32),
            PathEl::LineTo(p) => builder.line_to(p.x as f32, p.y as f32),
            PathEl::QuadTo(a, p) => {
                builder.quad_to(a.x as f32, a.y as f32, p.x as f32, p.y as f32);
            }
            PathEl::CurveTo(a, b, p) => builder.cubic_to(
                a.x as f32, a.y as f32, b.x as f32, b.y as f32, p.x as f32, p.y as f32,
            ),
            PathEl::ClosePath => builder.close(),
        }
    }
    builder.finish()
}
