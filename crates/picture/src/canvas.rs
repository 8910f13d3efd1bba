//! A sheet to draw on: collects pieces and remembers where its texts stand.

use crate::{
    Style,
    drawing::{Anchor, Drawing, Fill, Hatch, Line, Piece, Setting, Text},
    theme::Tone,
};

/// Widest and narrowest picture, CSS pixels.
const WIDTHS: (f64, f64) = (280.0, 1600.0);

/// A rectangle, top left and size.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Rect {
    pub(crate) x: f64,
    pub(crate) y: f64,
    pub(crate) w: f64,
    pub(crate) h: f64,
}

impl Rect {
    pub(crate) fn overlaps(&self, other: &Self) -> bool {
        self.x < other.x + other.w
            && other.x < self.x + self.w
            && self.y < other.y + other.h
            && other.y < self.y + self.h
    }
}

/// How a text looks.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Type {
    pub(crate) size: f64,
    pub(crate) bold: bool,
    pub(crate) tone: Tone,
    pub(crate) anchor: Anchor,
}

impl Type {
    pub(crate) fn plain(size: f64) -> Self {
        Self {
            size,
            bold: false,
            tone: Tone::Ink,
            anchor: Anchor::Start,
        }
    }

    pub(crate) fn bold(self) -> Self {
        Self { bold: true, ..self }
    }

    pub(crate) fn tone(self, tone: Tone) -> Self {
        Self { tone, ..self }
    }

    pub(crate) fn end(self) -> Self {
        Self {
            anchor: Anchor::End,
            ..self
        }
    }

    pub(crate) fn middle(self) -> Self {
        Self {
            anchor: Anchor::Middle,
            ..self
        }
    }

    /// Width of `text`, a little generous.
    pub(crate) fn width(self, text: &str) -> f64 {
        text_width(text, self.size, self.bold)
    }
}

/// A picture in the making.
#[derive(Debug)]
pub(crate) struct Canvas {
    pub(crate) width: f64,
    pub(crate) labels: Vec<(Rect, String)>,
    pieces: Vec<Piece>,
    hatches: Vec<Hatch>,
    setting: Setting,
}

impl Canvas {
    pub(crate) fn new(style: &Style) -> Self {
        let width = if style.width.is_finite() {
            style.width.clamp(WIDTHS.0, WIDTHS.1)
        } else {
            WIDTHS.0
        };
        // Ids are taken from the caller's word, cut to what an id may hold.
        let ids = style
            .ids
            .chars()
            .filter(|c| c.is_ascii_alphanumeric() || *c == '-')
            .collect();
        Self {
            width: width.round(),
            labels: Vec::new(),
            pieces: Vec::new(),
            hatches: Vec::new(),
            setting: Setting {
                ids,
                standalone: style.standalone,
                links: style.links,
                link_to: style.link_to.clone(),
            },
        }
    }

    /// Whether this is the narrow drawing.
    pub(crate) fn narrow(&self) -> bool {
        self.width < 560.0
    }

    /// Lines across, for uncertain things; used by [`hatched`](Self::hatched).
    pub(crate) fn define_hatch(
        &mut self,
        name: &str,
        tone: Tone,
        gap: f64,
        angle: f64,
        thick: f64,
    ) {
        self.hatches.push(Hatch {
            name: name.into(),
            tone,
            gap,
            angle,
            thick,
        });
    }

    pub(crate) fn hatched(&mut self, d: &str, pattern: &str) {
        if let Some(number) = self.hatches.iter().position(|h| h.name == pattern) {
            self.path(d, Some(Fill::Hatch(number)), None);
        }
    }

    pub(crate) fn fill(&mut self, d: &str, tone: Tone) {
        self.path(d, Some(Fill::Tone(tone)), None);
    }

    pub(crate) fn stroke(&mut self, d: &str, tone: Tone, width: f64, dash: Option<&[f64]>) {
        let line = Line {
            tone,
            width,
            dash: dash.unwrap_or_default().to_vec(),
            round: true,
        };
        self.path(d, None, Some(line));
    }

    pub(crate) fn shape(&mut self, d: &str, fill: Tone, edge: Tone, width: f64) {
        let line = Line {
            tone: edge,
            width,
            dash: Vec::new(),
            round: false,
        };
        self.path(d, Some(Fill::Tone(fill)), Some(line));
    }

    pub(crate) fn rect(&mut self, r: Rect, tone: Tone) {
        self.fill(&box_path(r), tone);
    }

    fn path(&mut self, d: &str, fill: Option<Fill>, line: Option<Line>) {
        let d = d.to_owned();
        self.pieces.push(Piece::Path { d, fill, line });
    }

    /// Writes `text` with its baseline at `y`, and remembers where it stands.
    pub(crate) fn text(&mut self, x: f64, y: f64, kind: Type, text: &str) {
        if text.is_empty() {
            return;
        }
        let w = kind.width(text);
        let left = match kind.anchor {
            Anchor::Start => x,
            Anchor::Middle => x - w / 2.0,
            Anchor::End => x - w,
        };
        self.labels.push((
            Rect {
                x: left,
                y: y - kind.size * 0.78,
                w,
                h: kind.size,
            },
            text.to_owned(),
        ));
        self.pieces.push(Piece::Text(Text {
            x,
            y,
            size: kind.size,
            bold: kind.bold,
            tone: kind.tone,
            anchor: kind.anchor,
            text: text.to_owned(),
        }));
    }

    /// The picture's own headline, smaller where the sheet is narrow. Returns its width.
    pub(crate) fn headline(&mut self, x: f64, y: f64, size: f64, text: &str) -> f64 {
        let room = self.width - 2.0 * x;
        let full = Type::plain(size).bold().width(text);
        let size = if full > room {
            (size * room / full * 10.0).floor() / 10.0
        } else {
            size
        };
        let kind = Type::plain(size.max(13.0)).bold();
        self.text(x, y, kind, &fit(text, kind, room));
        kind.width(text)
    }

    /// A text that stands on lines or shades: the same with a rim of paper.
    pub(crate) fn text_on(&mut self, x: f64, y: f64, kind: Type, text: &str, ground: Tone) {
        let w = kind.width(text);
        let left = match kind.anchor {
            Anchor::Start => x,
            Anchor::Middle => x - w / 2.0,
            Anchor::End => x - w,
        };
        self.rect(
            Rect {
                x: left - 3.0,
                y: y - kind.size * 0.92,
                w: w + 6.0,
                h: kind.size * 1.22,
            },
            ground,
        );
        self.text(x, y, kind, text);
    }

    /// Whether a text could stand there without touching another.
    pub(crate) fn is_free(&self, r: &Rect) -> bool {
        r.x >= 0.0 && r.x + r.w <= self.width && !self.labels.iter().any(|(l, _)| l.overlaps(r))
    }

    /// Opens a group: a link to the node's form where links are wanted.
    pub(crate) fn open_node(&mut self, node: &str, spoken: &str, hit: Rect) {
        self.pieces.push(Piece::Open {
            node: node.into(),
            spoken: spoken.into(),
            hit: [hit.x, hit.y, hit.w, hit.h],
        });
    }

    pub(crate) fn close_node(&mut self) {
        self.pieces.push(Piece::Close);
    }

    /// The whole picture. `title` names it, `finding` is its one sentence.
    pub(crate) fn finish(self, height: f64, title: &str, finding: &str) -> Drawing {
        Drawing {
            width: self.width,
            height: height.ceil(),
            title: title.into(),
            finding: finding.into(),
            pieces: self.pieces,
            hatches: self.hatches,
            setting: self.setting,
        }
    }
}

/// A box as a path.
pub(crate) fn box_path(r: Rect) -> String {
    format!("M{} {}h{}v{}h{}Z", n(r.x), n(r.y), n(r.w), n(r.h), n(-r.w))
}

/// A coordinate with at most one decimal; no more shows on any screen.
pub(crate) fn n(x: f64) -> String {
    let x = if x.is_finite() {
        (x * 10.0).round() / 10.0
    } else {
        0.0
    };
    // Avoids "-0".
    format!("{}", x + 0.0)
}

/// Cuts `text` so that it fits, with an ellipsis.
pub(crate) fn fit(text: &str, kind: Type, room: f64) -> String {
    if kind.width(text) <= room {
        return text.to_owned();
    }
    let mut out = String::new();
    for c in text.chars() {
        out.push(c);
        if kind.width(&format!("{out}…")) > room {
            out.pop();
            break;
        }
    }
    format!("{}…", out.trim_end_matches([' ', ',', '/', '·']))
}

/// The same with its parts tied together for [`wrap`].
pub(crate) fn tied(text: &str) -> String {
    text.replace(' ', "\u{a0}")
}

/// The words of a text, a number together with its unit.
fn glued(text: &str) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    for word in text.split(' ').filter(|w| !w.is_empty()) {
        let unit = ["%", "mA", "A", "Ah", "V", "h", "min"]
            .contains(&word.trim_end_matches([',', '.', ';', ')']));
        match words.last_mut() {
            Some(last)
                if unit && last.ends_with(|c: char| c.is_ascii_digit())
                    || last.ends_with(['≤', '<', '>', '±']) =>
            {
                last.push(' ');
                last.push_str(word);
            }
            _ => words.push(word.to_owned()),
        }
    }
    words
}

/// Lines of at most `room` width, broken between words.
pub(crate) fn wrap(text: &str, kind: Type, room: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in glued(text) {
        let word = word.as_str();
        match lines.last_mut() {
            Some(line) if kind.width(&format!("{line} {word}")) <= room => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

/// Width of a text. Advances, in 1/1000 of the size, are those of a wide sans
/// serif (DejaVu Sans, from memory, rounded up), so that narrower faces fit too.
fn text_width(text: &str, size: f64, bold: bool) -> f64 {
    let units: u32 = text
        .chars()
        .map(|c| match c {
            ' ' | '\u{a0}' => 320,
            'i' | 'j' | 'l' | 'I' | '|' | '.' | ',' | ':' | ';' | '\'' => 320,
            'f' | 't' | 'r' | '(' | ')' | '/' | '-' | '·' => 415,
            'm' | 'w' | 'M' | 'W' | '%' | '…' | '▲' => 990,
            '±' | '→' | '›' | '≥' | '−' => 840,
            c if c.is_ascii_uppercase() => 700,
            c if c.is_ascii() => 640,
            // Letters with accents are no wider; ideographs are as wide as high.
            c if (c as u32) < 0x2000 => 700,
            _ => 1000,
        })
        .sum();
    f64::from(units) / 1000.0 * size * if bold { 1.09 } else { 1.0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fit_keeps_within_its_room() {
        let kind = Type::plain(13.0);
        let cut = fit("Rear body control module, left", kind, 100.0);
        assert!(cut.ends_with('…') && kind.width(&cut) <= 100.0, "{cut}");
        assert_eq!(fit("Radio", kind, 100.0), "Radio");
        assert!(
            wrap("the quick brown fox jumps", kind, 80.0)
                .iter()
                .all(|l| kind.width(l) <= 80.0)
        );
    }

    #[test]
    fn coordinates_are_short() {
        assert_eq!(n(-0.01), "0");
        assert_eq!(n(12.345), "12.3");
        assert_eq!(n(f64::NAN), "0");
    }
}
