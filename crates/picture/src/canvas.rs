//! A sheet to draw on: writes SVG and remembers where its texts stand.

use std::fmt::Write;

use crate::{
    Style,
    theme::{self, Tone},
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

/// Where a text's given point lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Anchor {
    Start,
    Middle,
    End,
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
    ids: String,
    standalone: bool,
    links: bool,
    body: String,
    defs: String,
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
            ids,
            standalone: style.standalone,
            links: style.links,
            body: String::new(),
            defs: String::new(),
        }
    }

    pub(crate) fn id(&self, name: &str) -> String {
        format!("{}-{name}", self.ids)
    }

    /// Whether this is the narrow drawing.
    pub(crate) fn narrow(&self) -> bool {
        self.width < 560.0
    }

    /// Lines across, for uncertain things; use as `url(#…)` by [`hatched`](Self::hatched).
    pub(crate) fn define_hatch(
        &mut self,
        name: &str,
        tone: Tone,
        gap: f64,
        angle: f64,
        thick: f64,
    ) {
        let id = self.id(name);
        let _ = write!(
            self.defs,
            "<pattern id=\"{id}\" width=\"{gap}\" height=\"{gap}\" patternUnits=\"userSpaceOnUse\" \
             patternTransform=\"rotate({angle})\"><path d=\"M0 0V{gap}\" class=\"nd-k-{}\" stroke=\"{}\" \
             stroke-width=\"{thick}\"/></pattern>",
            tone.name(),
            tone.day(),
        );
    }

    pub(crate) fn hatched(&mut self, d: &str, pattern: &str) {
        let id = self.id(pattern);
        let _ = write!(self.body, "<path d=\"{d}\" fill=\"url(#{id})\"/>");
    }

    pub(crate) fn fill(&mut self, d: &str, tone: Tone) {
        let _ = write!(
            self.body,
            "<path d=\"{d}\" class=\"nd-f-{}\" fill=\"{}\"/>",
            tone.name(),
            tone.day()
        );
    }

    pub(crate) fn stroke(&mut self, d: &str, tone: Tone, width: f64, dash: Option<&str>) {
        let _ = write!(
            self.body,
            "<path d=\"{d}\" fill=\"none\" class=\"nd-k-{}\" stroke=\"{}\" stroke-width=\"{width}\" \
             stroke-linejoin=\"round\"",
            tone.name(),
            tone.day()
        );
        if let Some(dash) = dash {
            let _ = write!(self.body, " stroke-dasharray=\"{dash}\"");
        }
        self.body.push_str("/>");
    }

    pub(crate) fn shape(&mut self, d: &str, fill: Tone, edge: Tone, width: f64) {
        let _ = write!(
            self.body,
            "<path d=\"{d}\" class=\"nd-f-{} nd-k-{}\" fill=\"{}\" stroke=\"{}\" stroke-width=\"{width}\"/>",
            fill.name(),
            edge.name(),
            fill.day(),
            edge.day()
        );
    }

    pub(crate) fn rect(&mut self, r: Rect, tone: Tone) {
        self.fill(&box_path(r), tone);
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
        let _ = write!(
            self.body,
            "<text x=\"{}\" y=\"{}\" class=\"nd-f-{}\" fill=\"{}\" font-size=\"{}\"",
            n(x),
            n(y),
            kind.tone.name(),
            kind.tone.day(),
            kind.size
        );
        if kind.bold {
            self.body.push_str(" font-weight=\"600\"");
        }
        match kind.anchor {
            Anchor::Start => {}
            Anchor::Middle => self.body.push_str(" text-anchor=\"middle\""),
            Anchor::End => self.body.push_str(" text-anchor=\"end\""),
        }
        let _ = write!(self.body, ">{}</text>", escape(text));
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
        let _ = if self.links {
            write!(
                self.body,
                "<a href=\"#node-{}\" data-node=\"{}\" aria-label=\"{}\">",
                fragment(node),
                escape(node),
                escape(spoken)
            )
        } else {
            write!(self.body, "<g data-node=\"{}\">", escape(node))
        };
        let _ = write!(self.body, "<title>{}</title>", escape(spoken));
        if self.links {
            let _ = write!(
                self.body,
                "<rect class=\"nd-hit\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" rx=\"6\" fill=\"none\" pointer-events=\"all\"/>",
                n(hit.x),
                n(hit.y),
                n(hit.w),
                n(hit.h)
            );
        }
    }

    pub(crate) fn close_node(&mut self) {
        self.body.push_str(if self.links { "</a>" } else { "</g>" });
    }

    /// The whole picture. `title` names it, `finding` is its one sentence.
    pub(crate) fn finish(self, height: f64, title: &str, finding: &str) -> String {
        let (w, h) = (n(self.width), n(height.ceil()));
        let (title_id, desc_id) = (self.id("title"), self.id("desc"));
        // A picture with links inside is a group: an image would hide them from a screen reader.
        let role = if self.links { "group" } else { "img" };
        let mut out = String::with_capacity(self.body.len() + self.defs.len() + 4096);
        let _ = write!(
            out,
            "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"nd-pic\" viewBox=\"0 0 {w} {h}\" width=\"{w}\" \
             height=\"{h}\" role=\"{role}\" aria-labelledby=\"{title_id} {desc_id}\" \
             font-family=\"system-ui, 'Noto Sans', 'DejaVu Sans', sans-serif\">\
             <title id=\"{title_id}\">{}</title><desc id=\"{desc_id}\">{}</desc>",
            escape(title),
            escape(finding)
        );
        if self.standalone {
            let _ = write!(out, "<style>{}</style>", theme::style_sheet());
        }
        if !self.defs.is_empty() {
            let _ = write!(out, "<defs>{}</defs>", self.defs);
        }
        if self.standalone {
            let paper = Tone::Paper;
            let _ = write!(
                out,
                "<path d=\"M0 0H{w}V{h}H0Z\" class=\"nd-f-{}\" fill=\"{}\"/>",
                paper.name(),
                paper.day()
            );
        }
        out.push_str(&self.body);
        out.push_str("</svg>");
        out
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

/// Text for XML, without the characters that XML 1.0 forbids.
pub(crate) fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\n' | '\t' | '\r' => out.push(' '),
            c if c.is_control() || matches!(c, '\u{fffe}' | '\u{ffff}') => {}
            c => out.push(c),
        }
    }
    out
}

/// A node's name as part of a link to it.
fn fragment(id: &str) -> String {
    let mut out = String::with_capacity(id.len());
    for byte in id.bytes() {
        if byte.is_ascii_alphanumeric() || matches!(byte, b'-' | b'_' | b'.') {
            out.push(byte as char);
        } else {
            let _ = write!(out, "%{byte:02X}");
        }
    }
    out
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

/// Lines of at most `room` width, broken between words.
pub(crate) fn wrap(text: &str, kind: Type, room: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split(' ').filter(|w| !w.is_empty()) {
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
    fn text_is_safe_in_xml() {
        assert_eq!(escape("a<b>&\"c\"\u{0}\n"), "a&lt;b&gt;&amp;&quot;c&quot; ");
        assert_eq!(fragment("F 12/é"), "F%2012%2F%C3%A9");
    }

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
