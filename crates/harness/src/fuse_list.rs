//! Fuse lists as people paste them: `F12 15A radio`, `12) 15 A – Radio / BT`,
//! `F3;7,5A;Innenlicht`, tables copied from anywhere.
//!
//! Each position becomes a fuse without a load below it, which stands for
//! whatever it feeds; its family and whether it keeps settings are guessed
//! from its words. Headings such as `Engine bay:` become a cable of their own.
//! A table whose header names more than a list can tell (whether settings hang
//! on a fuse, where it is, whether it can be probed) is read column by column.
//! What cannot be used is reported by line and never stops the rest.

use std::{collections::BTreeMap, fmt};

use measure::range;
use tongue::{Message, say};

use crate::{
    NodeId, NodeKind, NodeSpec,
    family::Families,
    fuse_line::{self, Line},
    fuse_split,
    fuse_table::{Column, Header, Row},
};

/// What a pasted list came to.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct FuseList {
    /// Cables and fuses; always fit for [`FeedTree::build`](crate::FeedTree::build).
    pub nodes: Vec<NodeSpec>,
    /// What could not be used as it stands, by line.
    pub problems: Vec<LineProblem>,
}

/// Something about one line.
#[derive(Debug, Clone, PartialEq)]
pub struct LineProblem {
    /// Line of the pasted text, counted from 1.
    pub line: usize,
    /// What is the matter.
    pub problem: Problem,
}

/// What can be the matter with a line.
#[derive(Debug, Clone, PartialEq)]
pub enum Problem {
    /// Neither position nor rating: left out.
    NotAFuse {
        /// The line, shortened.
        text: String,
    },
    /// A rating and words but no position: kept under a made-up name.
    NoPosition {
        /// The name given.
        called: NodeId,
    },
    /// A position that an earlier line has: left out.
    Duplicate {
        /// The position.
        id: NodeId,
        /// The earlier line.
        first_line: usize,
    },
    /// An impossible rating: kept without one.
    Rating {
        /// The position.
        id: NodeId,
        /// What is impossible about it.
        problem: range::OutOfRange,
    },
    /// A cell that should say yes or no: taken as the list would guess.
    YesNo {
        /// What it says.
        text: String,
    },
    /// A column of a table whose heading says nothing known: left out.
    Column {
        /// Its heading.
        text: String,
    },
    /// More positions than any vehicle has: the rest is left out.
    TooMany,
}

impl LineProblem {
    /// One sentence.
    pub fn message(&self) -> Message {
        let problem = match &self.problem {
            Problem::NotAFuse { text } => say::harness::line_not_a_fuse(text),
            Problem::NoPosition { called } => say::harness::line_no_position(&called.0),
            Problem::Duplicate { id, first_line } => {
                say::harness::line_duplicate(first_line.to_string(), &id.0)
            }
            Problem::Rating { id, problem } => say::harness::line_rating(&id.0, problem.message()),
            Problem::YesNo { text } => say::harness::line_yes_no(text),
            Problem::Column { text } => say::harness::line_column(text),
            Problem::TooMany => say::harness::line_too_many(MOST.to_string()),
        };
        say::harness::line(self.line.to_string(), problem)
    }
}

impl fmt::Display for LineProblem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.message().fmt(f)
    }
}

/// More fuses than any vehicle has (common practice).
const MOST: usize = 500;

/// Ratings up to which fuses are usually blades with test points on their
/// backs, ampere (common practice).
const TEST_POINTS_TO_A: f64 = 40.0;

/// The cable that feeds everything when no heading says otherwise.
pub(crate) const MAIN: &str = "main";

/// Reads a pasted list with the built-in families.
pub fn read(text: &str) -> FuseList {
    read_with(text, Families::built_in())
}

/// Reads a pasted list, guessing from the given families.
pub fn read_with(text: &str, families: &Families) -> FuseList {
    let mut reader = Reader {
        families,
        list: FuseList::default(),
        taken: BTreeMap::new(),
        feed: None,
        fuses: 0,
        header: None,
    };
    for (at, line) in text.lines().enumerate() {
        if !reader.line(at + 1, line) {
            break;
        }
    }
    reader.list
}

struct Reader<'a> {
    families: &'a Families,
    list: FuseList,
    /// Names in use, with the line each came from.
    taken: BTreeMap<NodeId, usize>,
    /// The cable of the last heading; `None` before the first one.
    feed: Option<NodeId>,
    fuses: usize,
    /// The header of the table that the list is, if it is one.
    header: Option<Header>,
}

impl Reader<'_> {
    /// Takes one line; `false` when nothing after it will be taken.
    fn line(&mut self, number: usize, text: &str) -> bool {
        if let Some(header) = Header::read(text) {
            for text in header.unknown(text) {
                self.report(number, Problem::Column { text });
            }
            self.header = Some(header);
            return true;
        }
        if let Some(header) = &self.header {
            let row = header.row(text);
            // A row without a position may be a heading or a comment.
            if !row.get(Column::Position).is_empty() {
                return self.row(number, &row);
            }
        }
        self.plain(number, text)
    }

    /// One row of a table; `false` when nothing after it will be taken.
    fn row(&mut self, number: usize, row: &Row) -> bool {
        let location = row.get(Column::Location);
        if !location.is_empty() {
            self.heading(number, location);
        }
        let first = self.list.nodes.len();
        let line = format!(
            "{}; {} A",
            row.get(Column::Position),
            row.get(Column::Rating).trim_end_matches(['A', 'a', ' '])
        );
        let rating = !row.get(Column::Rating).is_empty();
        let parsed = fuse_line::parse(if rating {
            &line
        } else {
            row.get(Column::Position)
        });
        let Line::Fuse(mut fuse) = parsed else {
            self.report(number, Problem::NotAFuse { text: line });
            return true;
        };
        let circuit = row.get(Column::Circuit);
        fuse.label = (!circuit.is_empty()).then(|| circuit.into());
        fuse.shape = fuse_line::shape(row.get(Column::Shape)).or(fuse.shape);
        let goes_on = self.fuses_of(number, &fuse);
        for column in [Column::KeepsSettings, Column::Reachable] {
            match row.yes(column) {
                Ok(Some(yes)) => {
                    let fuses = self.list.nodes.iter_mut().skip(first);
                    for spec in fuses.filter(|spec| spec.kind == NodeKind::Fuse) {
                        match column {
                            Column::KeepsSettings => spec.keeps_settings = yes,
                            _ => spec.in_place = yes,
                        }
                    }
                }
                Ok(None) => {}
                Err(text) => self.report(number, Problem::YesNo { text }),
            }
        }
        goes_on
    }

    fn plain(&mut self, number: usize, text: &str) -> bool {
        let mut pieces = fuse_split::pieces(text).into_iter();
        pieces.all(|piece| self.piece(number, piece))
    }

    fn piece(&mut self, number: usize, text: &str) -> bool {
        match fuse_line::parse(text) {
            Line::Nothing => {}
            Line::Heading(words) => self.heading(number, &words),
            Line::Other(text) => self.report(number, Problem::NotAFuse { text }),
            Line::Fuse(fuse) => return self.fuses_of(number, &fuse),
        }
        true
    }

    /// The fuses of one line; `false` when there are too many.
    fn fuses_of(&mut self, number: usize, fuse: &fuse_line::Fuse) -> bool {
        let mut positions = fuse.positions.clone();
        if positions.is_empty() {
            let called = format!("fuse-{number}");
            let problem = Problem::NoPosition {
                called: NodeId(called.clone()),
            };
            self.report(number, problem);
            positions.push(called);
        }
        for position in positions {
            if self.fuses == MOST {
                self.report(number, Problem::TooMany);
                return false;
            }
            self.fuse(number, &position, fuse);
        }
        true
    }

    fn heading(&mut self, number: usize, words: &str) {
        let slug = slug(words);
        // A heading named like the root or like the implied cable keeps out of their way.
        let id = match slug.as_str() {
            "" | "battery" | MAIN => format!("box-{number}"),
            _ => format!("{slug}-feed"),
        };
        let id = NodeId(id);
        if !self.taken.contains_key(&id) {
            self.cable(number, &id, words);
        }
        self.feed = Some(id);
    }

    fn cable(&mut self, number: usize, id: &NodeId, words: &str) {
        let mut cable = NodeSpec::new(&id.0, &NodeId::battery().0, NodeKind::Cable);
        cable.label = Some(words.into());
        self.taken.insert(id.clone(), number);
        self.list.nodes.push(cable);
    }

    fn fuse(&mut self, number: usize, position: &str, line: &fuse_line::Fuse) {
        let mut id = NodeId(position.into());
        // Boxes count their positions from 1 each: under a later heading the number gets its name.
        if let (Some(_), Some(feed)) = (self.taken.get(&id), &self.feed) {
            let elsewhere = self
                .list
                .nodes
                .iter()
                .any(|node| node.id == id && node.from != *feed);
            if elsewhere {
                id = NodeId(format!("{position}-{}", feed.0.trim_end_matches("-feed")));
            }
        }
        if let Some(&first_line) = self.taken.get(&id) {
            self.report(number, Problem::Duplicate { id, first_line });
            return;
        }
        let feed = self.feed.clone().unwrap_or_else(|| {
            let main = NodeId(MAIN.into());
            if !self.taken.contains_key(&main) {
                self.cable(number, &main, "Main cable");
            }
            main
        });
        let mut spec = NodeSpec::new(&id.0, &feed.0, NodeKind::Fuse);
        spec.rating_a = line
            .rating_a
            .and_then(|rating| match range::FUSE_RATING.check(rating) {
                Ok(rating) => Some(rating),
                Err(problem) => {
                    self.report(
                        number,
                        Problem::Rating {
                            id: id.clone(),
                            problem,
                        },
                    );
                    None
                }
            });
        spec.fuse = line.shape.map(Into::into);
        spec.in_place = line.shape != Some("cartridge")
            && spec
                .rating_a
                .is_none_or(|rating| rating <= TEST_POINTS_TO_A);
        if let Some(label) = &line.label {
            spec.family = Some(self.families.guess(label).id.clone());
            // One fuse may feed several circuits; whichever keeps settings decides.
            let named = self.families.named_in(label);
            spec.keeps_settings = named.iter().any(|family| family.keeps_settings);
        }
        spec.label.clone_from(&line.label);
        self.taken.insert(id, number);
        self.list.nodes.push(spec);
        self.fuses += 1;
    }

    fn report(&mut self, line: usize, problem: Problem) {
        self.list.problems.push(LineProblem { line, problem });
    }
}

/// Words as a name: lower case, letters and digits, hyphens between.
fn slug(words: &str) -> String {
    let mut slug = String::new();
    for c in words.chars().flat_map(char::to_lowercase).take(40) {
        if c.is_alphanumeric() {
            slug.push(c);
        } else if !slug.is_empty() && !slug.ends_with('-') {
            slug.push('-');
        }
    }
    slug.trim_end_matches('-').into()
}
