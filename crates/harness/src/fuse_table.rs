//! A fuse list as a table with a header: `name,rating,circuit,keeps-settings,location,reachable`.

/// What a column holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Column {
    /// Position, such as `F12`.
    Position,
    /// Rating, ampere.
    Rating,
    /// What it feeds.
    Circuit,
    /// Whether stored settings hang on it.
    KeepsSettings,
    /// Box or cable.
    Location,
    /// Whether it can be probed in its place.
    Reachable,
    /// Fuse family.
    Shape,
}

/// The words of headers, English and German, folded.
const WORDS: &[(Column, &[&str])] = &[
    (
        Column::Position,
        &[
            "name",
            "fuse",
            "position",
            "pos",
            "no",
            "nr",
            "number",
            "id",
            "sicherung",
            "platz",
        ],
    ),
    (
        Column::Rating,
        &[
            "rating",
            "amp",
            "amps",
            "ampere",
            "a",
            "nennstrom",
            "staerke",
            "strom",
            "current",
        ],
    ),
    (
        Column::Circuit,
        &[
            "circuit",
            "label",
            "function",
            "description",
            "verbraucher",
            "funktion",
            "bezeichnung",
            "stromkreis",
            "feeds",
            "what",
            "was",
            "versorgt",
        ],
    ),
    (
        Column::KeepsSettings,
        &[
            "keeps settings",
            "settings",
            "memory",
            "keeps memory",
            "speicher",
        ],
    ),
    (
        Column::Location,
        &["location", "box", "place", "fed from", "ort", "kasten"],
    ),
    (
        Column::Reachable,
        &["reachable", "in place", "test points", "erreichbar"],
    ),
    (Column::Shape, &["type", "shape", "fuse family", "bauform"]),
];

/// A header: its delimiter, and what each column holds.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Header {
    delimiter: char,
    columns: Vec<Option<Column>>,
}

/// One row, cell by cell.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Row {
    cells: Vec<(Column, String)>,
}

impl Header {
    /// The header that a line is, if it names positions and something that a
    /// plain list does not tell.
    pub(crate) fn read(line: &str) -> Option<Self> {
        let delimiter = [';', '\t', ','].into_iter().find(|d| line.contains(*d))?;
        let columns: Vec<Option<Column>> = cells(line, delimiter)
            .iter()
            .map(|cell| column(cell))
            .collect();
        let has = |column| columns.contains(&Some(column));
        let more = [
            Column::KeepsSettings,
            Column::Location,
            Column::Reachable,
            Column::Shape,
        ];
        (has(Column::Position) && more.into_iter().any(has)).then_some(Self { delimiter, columns })
    }

    /// Headings that say nothing known.
    pub(crate) fn unknown(&self, line: &str) -> Vec<String> {
        let headings = cells(line, self.delimiter).into_iter().zip(&self.columns);
        let unknown = headings.filter(|(text, column)| column.is_none() && !text.is_empty());
        unknown.map(|(text, _)| text).collect()
    }

    /// The cells of a line that are not empty.
    pub(crate) fn row(&self, line: &str) -> Row {
        let cells = cells(line, self.delimiter);
        let known = self.columns.iter().zip(cells);
        Row {
            cells: known
                .filter_map(|(column, cell)| Some(((*column)?, cell)))
                .filter(|(_, cell)| !cell.is_empty())
                .collect(),
        }
    }
}

impl Row {
    /// A cell; empty when there is none.
    pub(crate) fn get(&self, column: Column) -> &str {
        self.cells
            .iter()
            .find(|(known, _)| *known == column)
            .map_or("", |(_, cell)| cell.as_str())
    }

    /// A cell that says yes or no: `Ok(None)` when it is empty.
    ///
    /// # Errors
    /// What it says instead.
    pub(crate) fn yes(&self, column: Column) -> Result<Option<bool>, String> {
        match self.get(column).to_lowercase().as_str() {
            "" => Ok(None),
            "yes" | "y" | "true" | "1" | "x" | "ja" | "j" => Ok(Some(true)),
            "no" | "n" | "false" | "0" | "-" | "nein" => Ok(Some(false)),
            other => Err(other.into()),
        }
    }
}

fn column(cell: &str) -> Option<Column> {
    let folded = crate::family::folded(cell);
    WORDS
        .iter()
        .find(|(_, words)| words.contains(&folded.as_str()))
        .map(|(column, _)| *column)
}

/// The cells of a line; quotes may hold a delimiter, and two of them are one (RFC 4180, section 2).
fn cells(line: &str, delimiter: char) -> Vec<String> {
    let mut cells = vec![String::new()];
    let mut quoted = false;
    let mut chars = line.trim_start_matches('\u{feff}').chars().peekable();
    while let Some(c) = chars.next() {
        let fresh = cells.last().is_some_and(|cell| cell.trim().is_empty());
        if c == '"' && quoted && chars.peek() == Some(&'"') {
            chars.next();
            push(&mut cells, '"');
        } else if c == '"' && (quoted || fresh) {
            quoted = !quoted;
        } else if c == delimiter && !quoted {
            cells.push(String::new());
        } else {
            push(&mut cells, c);
        }
    }
    cells.iter().map(|cell| cell.trim().to_owned()).collect()
}

fn push(cells: &mut [String], c: char) {
    if let Some(cell) = cells.last_mut() {
        cell.push(c);
    }
}
