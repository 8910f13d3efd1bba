//! The report as a plain document: what is said, in which order. HTML and PDF
//! both render this, so that they cannot say different things.

use picture::{Drawing, Style};
use tongue::Message;

/// The whole report.
pub(crate) struct Document {
    /// What the file is called by a reader.
    pub(crate) title: String,
    /// The owner's page.
    pub(crate) owner: Vec<Block>,
    /// The workshop's pages.
    pub(crate) workshop: Vec<Block>,
}

/// One thing below another.
pub(crate) enum Block {
    /// The report's own headline.
    Title(String),
    /// Level 2 or 3; `id` where something refers to it.
    Heading {
        level: u8,
        id: Option<&'static str>,
        text: String,
    },
    Para(Manner, Line),
    List(Vec<Line>),
    /// A step proposed, set apart.
    Step(Vec<Self>),
    Table(Table),
    Figure(Box<Figure>),
}

/// How a paragraph looks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Manner {
    Plain,
    /// The sentence that matters.
    Lead,
    /// A small line beside the headline.
    Kicker,
    Caution,
    /// That the job is invented.
    Invented,
}

/// Words, some of them heavy.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Line(pub(crate) Vec<Span>);

/// Words of one weight.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Span {
    pub(crate) text: String,
    pub(crate) strong: bool,
}

impl Line {
    /// A message whose `<b>` marks heavy words. Not for what people typed.
    pub(crate) fn rich(message: &Message) -> Self {
        let text = message.to_string();
        let mut line = Self::default();
        for (at, part) in text.split("<b>").enumerate() {
            let (heavy, rest) = match part.split_once("</b>") {
                Some((heavy, rest)) if at > 0 => (heavy, rest),
                _ => ("", part),
            };
            line.push(heavy, true);
            line.push(rest, false);
        }
        line
    }

    /// The same line with more words after a blank.
    pub(crate) fn and(mut self, text: impl ToString) -> Self {
        self.push(&format!(" {}", text.to_string()), false);
        self
    }

    pub(crate) fn push(&mut self, text: &str, strong: bool) {
        if !text.is_empty() {
            self.0.push(Span {
                text: text.to_owned(),
                strong,
            });
        }
    }
}

impl<T: ToString> From<T> for Line {
    fn from(text: T) -> Self {
        let mut line = Self::default();
        line.push(&text.to_string(), false);
        line
    }
}

/// Rows and columns.
#[derive(Default)]
pub(crate) struct Table {
    pub(crate) caption: String,
    /// Empty for a table of facts, which has no head.
    pub(crate) columns: Vec<Column>,
    pub(crate) rows: Vec<Row>,
    pub(crate) size: Size,
    /// Name of the region that scrolls on a narrow page.
    pub(crate) region: Option<String>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) enum Size {
    /// Many rows of small print.
    #[default]
    Small,
    /// The owner's comparison.
    Big,
}

/// A column: its head, and how its cells stand.
pub(crate) struct Column {
    pub(crate) head: String,
    pub(crate) kind: Cells,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Cells {
    /// Words that may break.
    Words,
    /// Words that stay together.
    Tied,
    /// Numbers, on the right.
    Numbers,
}

impl Column {
    pub(crate) fn words(head: impl ToString) -> Self {
        Self::of(head, Cells::Words)
    }

    pub(crate) fn of(head: impl ToString, kind: Cells) -> Self {
        Self {
            head: head.to_string(),
            kind,
        }
    }
}

/// A row; its first cell names it.
#[derive(Default)]
pub(crate) struct Row {
    pub(crate) cells: Vec<Line>,
    /// Set heavy: most suspect.
    pub(crate) hot: bool,
    /// Struck out, with the word that says so.
    pub(crate) struck: Option<String>,
    /// How far the first cell is moved in.
    pub(crate) depth: usize,
}

/// How a figure is drawn for a given style.
type Draw<'a> = dyn Fn(&Style) -> Drawing + 'a;

/// A figure and its words.
pub(crate) struct Figure {
    pub(crate) caption: String,
    wide: Drawing,
    narrow: Drawing,
}

impl Figure {
    /// Both widths; 680 px fit between the margins of A4 and of Letter, so
    /// texts keep their size on paper.
    pub(crate) fn new(ids: &str, caption: impl ToString, draw: &Draw<'_>) -> Box<Self> {
        let wide = Style {
            width: 680.0,
            ..Style::wide()
        };
        let narrow = Style {
            width: 328.0,
            ..Style::narrow()
        };
        Box::new(Self {
            caption: caption.to_string(),
            wide: draw(&wide.with_ids(&format!("{ids}-w"))),
            narrow: draw(&narrow.with_ids(&format!("{ids}-n"))),
        })
    }

    /// For a desk and for paper.
    pub(crate) fn wide(&self) -> &Drawing {
        &self.wide
    }

    /// For a phone.
    pub(crate) fn narrow(&self) -> &Drawing {
        &self.narrow
    }
}

/// A heading of a section inside a page.
pub(crate) fn heading(text: impl ToString) -> Block {
    Block::Heading {
        level: 3,
        id: None,
        text: text.to_string(),
    }
}

/// A plain paragraph.
pub(crate) fn para(line: impl Into<Line>) -> Block {
    Block::Para(Manner::Plain, line.into())
}

/// The sentence that matters.
pub(crate) fn lead(line: impl Into<Line>) -> Block {
    Block::Para(Manner::Lead, line.into())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn heavy_words_are_marked() {
        let line = Line::rich(&Message::plain("drew <b>3 mA</b> from <b>it</b>"));
        let heavy: Vec<(&str, bool)> = line.0.iter().map(|s| (s.text.as_str(), s.strong)).collect();
        assert_eq!(
            heavy,
            [
                ("drew ", false),
                ("3 mA", true),
                (" from ", false),
                ("it", true)
            ]
        );
        let odd = Line::rich(&Message::plain("plain</b>"));
        assert_eq!(odd.0[0].text, "plain</b>");
    }
}
