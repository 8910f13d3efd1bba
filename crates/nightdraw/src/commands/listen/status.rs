//! The line at the foot of the terminal.

use std::{
    io::{self, IsTerminal, Write},
    time::{Duration, Instant},
};

/// How often it is renewed at most.
const PAUSE: Duration = Duration::from_millis(200);

/// One line at the foot of a terminal that is written over.
#[derive(Default)]
pub(super) struct Status {
    shown: Option<Instant>,
    there: bool,
}

impl Status {
    /// Longest line that is sure to fit.
    const WIDTH: usize = 79;

    pub(super) fn due(&self) -> bool {
        io::stderr().is_terminal() && self.shown.is_none_or(|at| at.elapsed() >= PAUSE)
    }

    pub(super) fn show(&mut self, text: &str) {
        let text: String = text.chars().take(Self::WIDTH).collect();
        let _ = write!(io::stderr(), "\r\x1b[2K{text}");
        (self.shown, self.there) = (Some(Instant::now()), true);
    }

    pub(super) fn clear(&mut self) {
        if std::mem::take(&mut self.there) {
            let _ = write!(io::stderr(), "\r\x1b[2K");
            self.shown = None;
        }
    }
}
