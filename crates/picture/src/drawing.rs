//! A finished figure as plain pieces, for paper; the page gets it as SVG.

use crate::theme::Tone;

/// A figure: its size, its words, and what is drawn in which order.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    /// Width, CSS pixels.
    pub width: f64,
    /// Height, CSS pixels.
    pub height: f64,
    /// What it is called.
    pub title: String,
    /// What it shows, one sentence.
    pub finding: String,
    /// First drawn first.
    pub pieces: Vec<Piece>,
    pub(crate) hatches: Vec<Hatch>,
    pub(crate) setting: Setting,
}

/// How a figure is set into a page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Setting {
    /// Prefix of every id.
    pub(crate) ids: String,
    pub(crate) standalone: bool,
    pub(crate) links: bool,
    pub(crate) link_to: String,
}

/// One thing on the sheet.
#[derive(Debug, Clone, PartialEq)]
pub enum Piece {
    /// A shape or a line. `d` is SVG path data with the commands `MLHVCAZ`,
    /// large or small, in CSS pixels from the top left.
    Path {
        /// Its outline.
        d: String,
        /// What fills it.
        fill: Option<Fill>,
        /// What runs along it.
        line: Option<Line>,
    },
    /// One line of text.
    Text(Text),
    /// A node's shapes and texts begin.
    Open {
        /// The node's id.
        node: String,
        /// What a screen reader says.
        spoken: String,
        /// Where a finger hits it: left, top, width, height.
        hit: [f64; 4],
    },
    /// A node's shapes and texts end.
    Close,
}

/// What fills a shape.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Fill {
    /// One colour.
    Tone(Tone),
    /// Parallel lines; the [`Hatch`] of this number, see [`Drawing::hatch`].
    Hatch(usize),
}

/// What runs along a path.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// Its colour.
    pub tone: Tone,
    /// Its width, CSS pixels.
    pub width: f64,
    /// Lengths of dash and gap; empty for an unbroken line.
    pub dash: Vec<f64>,
    /// Whether its corners are round.
    pub round: bool,
}

/// Parallel lines.
#[derive(Debug, Clone, PartialEq)]
pub struct Hatch {
    pub(crate) name: String,
    /// Their colour.
    pub tone: Tone,
    /// From one line to the next, CSS pixels.
    pub gap: f64,
    /// Turned clockwise from upright, degrees.
    pub angle: f64,
    /// Width of each line's visible half, as SVG draws a line on a tile's edge.
    pub thick: f64,
}

/// One line of text.
#[derive(Debug, Clone, PartialEq)]
pub struct Text {
    /// Where the anchor stands.
    pub x: f64,
    /// Where the baseline stands.
    pub y: f64,
    /// Height of the letters, CSS pixels.
    pub size: f64,
    /// Whether it is heavy.
    pub bold: bool,
    /// Its colour.
    pub tone: Tone,
    /// Which point of it stands at `x`.
    pub anchor: Anchor,
    /// The words.
    pub text: String,
}

/// Which point of a text stands at its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    /// Its left end.
    Start,
    /// Its middle.
    Middle,
    /// Its right end.
    End,
}

impl Drawing {
    /// The lines that [`Fill::Hatch`] means.
    pub fn hatch(&self, number: usize) -> Option<&Hatch> {
        self.hatches.get(number)
    }
}
