//! How a picture is to be drawn: its width, its names, its colours.

/// Where a picture goes and how wide it is there.
#[derive(Debug, Clone, PartialEq)]
pub struct Style {
    /// Width in CSS pixels at which it will be shown; texts keep their size.
    /// Clamped to 280 ..= 1600.
    pub width: f64,
    /// Prefix of every id inside, so that several pictures fit on one page.
    pub ids: String,
    /// Whether streams link to `#node-<id>`, where the page takes a reading.
    pub links: bool,
    /// What stands before the node's name in those links; `#node-` at first.
    pub link_to: String,
    /// Whether the picture brings its own style sheet and paper, to stand alone as a file.
    pub standalone: bool,
}

impl Style {
    /// For a phone in the hand: 340 px.
    pub fn narrow() -> Self {
        Self {
            width: 340.0,
            ids: "n".into(),
            links: false,
            link_to: "#node-".into(),
            standalone: false,
        }
    }

    /// For a desk, or for paper: 760 px.
    pub fn wide() -> Self {
        Self {
            width: 760.0,
            ids: "w".into(),
            links: false,
            link_to: "#node-".into(),
            standalone: false,
        }
    }

    /// The same with ids that start with `prefix`.
    #[must_use]
    pub fn with_ids(mut self, prefix: &str) -> Self {
        self.ids = prefix.into();
        self
    }

    /// The same with streams that link to `#node-<id>`.
    #[must_use]
    pub fn with_links(mut self) -> Self {
        self.links = true;
        self
    }

    /// The same with streams that link to `before` followed by the node's name.
    #[must_use]
    pub fn with_links_to(mut self, before: &str) -> Self {
        self.link_to = before.into();
        self.with_links()
    }

    /// The same as a file of its own.
    #[must_use]
    pub fn alone(mut self) -> Self {
        self.standalone = true;
        self
    }
}
