//! A drawing as SVG text.

use std::fmt::Write;

use crate::{
    canvas::n,
    drawing::{Anchor, Drawing, Fill, Hatch, Line, Piece, Text},
    theme::{self, Tone},
};

impl Drawing {
    /// The drawing as SVG, with classes that follow the page's theme.
    pub fn svg(&self) -> String {
        let (w, h) = (n(self.width), n(self.height));
        let (title_id, desc_id) = (self.id("title"), self.id("desc"));
        // A picture with links inside is a group: an image would hide them from a screen reader.
        let role = if self.setting.links { "group" } else { "img" };
        let mut out = String::with_capacity(self.pieces.len() * 120 + 4096);
        // Writing to a String cannot fail, here and below.
        let _ = write!(
            out,
            "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"nd-pic\" viewBox=\"0 0 {w} {h}\" width=\"{w}\" \
             height=\"{h}\" role=\"{role}\" aria-labelledby=\"{title_id} {desc_id}\" \
             font-family=\"system-ui, 'Noto Sans', 'DejaVu Sans', sans-serif\">\
             <title id=\"{title_id}\">{}</title><desc id=\"{desc_id}\">{}</desc>",
            escape(&self.title),
            escape(&self.finding)
        );
        if self.setting.standalone {
            let _ = write!(out, "<style>{}</style>", theme::style_sheet());
        }
        if !self.hatches.is_empty() {
            out.push_str("<defs>");
            for hatch in &self.hatches {
                pattern(&mut out, &self.id(&hatch.name), hatch);
            }
            out.push_str("</defs>");
        }
        if self.setting.standalone {
            let paper = Tone::Paper;
            let _ = write!(
                out,
                "<path d=\"M0 0H{w}V{h}H0Z\" class=\"nd-f-{}\" fill=\"{}\"/>",
                paper.name(),
                paper.day()
            );
        }
        let mut open = Vec::new();
        for piece in &self.pieces {
            self.piece(&mut out, piece, &mut open);
        }
        out.push_str("</svg>");
        out
    }

    fn id(&self, name: &str) -> String {
        format!("{}-{name}", self.setting.ids)
    }

    fn piece<'a>(&'a self, out: &mut String, piece: &'a Piece, open: &mut Vec<&'a Piece>) {
        match piece {
            Piece::Path { d, fill, line } => self.path(out, d, *fill, line.as_ref()),
            Piece::Text(words) => text(out, words),
            Piece::Open { node, spoken, .. } => {
                let _ = if self.setting.links {
                    write!(out, "<g>")
                } else {
                    let (node, spoken) = (escape(node), escape(spoken));
                    write!(out, "<g data-node=\"{node}\"><title>{spoken}</title>")
                };
                open.push(piece);
            }
            Piece::Close => {
                if let Some(Piece::Open { node, spoken, hit }) = open.pop() {
                    self.link(out, node, spoken, *hit);
                }
                out.push_str("</g>");
            }
        }
    }

    fn path(&self, out: &mut String, d: &str, fill: Option<Fill>, line: Option<&Line>) {
        let filled = match fill {
            Some(Fill::Tone(tone)) => Some(tone),
            _ => None,
        };
        let classes: Vec<String> = filled
            .map(|tone| format!("nd-f-{}", tone.name()))
            .into_iter()
            .chain(line.map(|line| format!("nd-k-{}", line.tone.name())))
            .collect();
        let _ = write!(out, "<path d=\"{d}\"");
        if !classes.is_empty() {
            let _ = write!(out, " class=\"{}\"", classes.join(" "));
        }
        let _ = match fill {
            Some(Fill::Tone(tone)) => write!(out, " fill=\"{}\"", tone.day()),
            Some(Fill::Hatch(number)) => match self.hatch(number) {
                Some(hatch) => write!(out, " fill=\"url(#{})\"", self.id(&hatch.name)),
                None => write!(out, " fill=\"none\""),
            },
            None => write!(out, " fill=\"none\""),
        };
        if let Some(line) = line {
            let _ = write!(
                out,
                " stroke=\"{}\" stroke-width=\"{}\"",
                line.tone.day(),
                line.width
            );
            if line.round {
                out.push_str(" stroke-linejoin=\"round\"");
            }
            if !line.dash.is_empty() {
                let dash: Vec<String> = line.dash.iter().map(ToString::to_string).collect();
                let _ = write!(out, " stroke-dasharray=\"{}\"", dash.join(" "));
            }
        }
        out.push_str("/>");
    }

    /// The link lies over its row's words, so that what it is called is one sentence and not the row's scattered pieces.
    fn link(&self, out: &mut String, node: &str, spoken: &str, hit: [f64; 4]) {
        if !self.setting.links {
            return;
        }
        let _ = write!(
            out,
            "<a href=\"{}{}\" data-node=\"{}\" aria-label=\"{spoken}\"><title>{spoken}</title>\
             <rect class=\"nd-hit\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" rx=\"6\" fill=\"none\" pointer-events=\"all\"/></a>",
            escape(&self.setting.link_to),
            fragment(node),
            escape(node),
            n(hit[0]),
            n(hit[1]),
            n(hit[2]),
            n(hit[3]),
            spoken = escape(spoken),
        );
    }
}

fn pattern(out: &mut String, id: &str, hatch: &Hatch) {
    let gap = hatch.gap;
    let _ = write!(
        out,
        "<pattern id=\"{id}\" width=\"{gap}\" height=\"{gap}\" patternUnits=\"userSpaceOnUse\" \
         patternTransform=\"rotate({})\"><path d=\"M0 0V{gap}\" class=\"nd-k-{}\" stroke=\"{}\" \
         stroke-width=\"{}\"/></pattern>",
        hatch.angle,
        hatch.tone.name(),
        hatch.tone.day(),
        hatch.thick
    );
}

fn text(out: &mut String, words: &Text) {
    let _ = write!(
        out,
        "<text x=\"{}\" y=\"{}\" class=\"nd-f-{}\" fill=\"{}\" font-size=\"{}\"",
        n(words.x),
        n(words.y),
        words.tone.name(),
        words.tone.day(),
        words.size
    );
    if words.bold {
        out.push_str(" font-weight=\"600\"");
    }
    match words.anchor {
        Anchor::Start => {}
        Anchor::Middle => out.push_str(" text-anchor=\"middle\""),
        Anchor::End => out.push_str(" text-anchor=\"end\""),
    }
    let _ = write!(out, ">{}</text>", escape(&words.text));
}

/// Text for XML, without the characters that XML 1.0 forbids.
fn escape(text: &str) -> String {
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_is_safe_in_xml() {
        assert_eq!(escape("a<b>&\"c\"\u{0}\n"), "a&lt;b&gt;&amp;&quot;c&quot; ");
        assert_eq!(fragment("F 12/é"), "F%2012%2F%C3%A9");
    }
}
