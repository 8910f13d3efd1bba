//! What went wrong, in the three parts that terminal, JSON and page share.

use std::{
    fmt,
    io::{self, ErrorKind},
    process::ExitCode,
};

use tongue::{Lang, Message, say};

/// Whose mistake decides the exit code.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Blame {
    /// The input was understood but is bad or insufficient: exit code 1.
    Input,
    /// The command line is wrong: exit code 2.
    Usage,
}

/// A failure a person can act on.
#[derive(Debug)]
pub(crate) struct Failure {
    pub(crate) blame: Blame,
    /// Stable word for programs.
    pub(crate) kind: String,
    /// One sentence: what, where.
    pub(crate) message: Message,
    /// What to do; may be empty.
    pub(crate) hint: Message,
}

impl Failure {
    /// Bad or insufficient input.
    pub(crate) fn input(
        kind: impl Into<String>,
        message: impl Into<Message>,
        hint: impl Into<Message>,
    ) -> Self {
        Self {
            blame: Blame::Input,
            kind: kind.into(),
            message: message.into(),
            hint: hint.into(),
        }
    }

    /// A wrong command line.
    pub(crate) fn usage(message: impl Into<Message>, hint: impl Into<Message>) -> Self {
        Self {
            blame: Blame::Usage,
            kind: "usage".into(),
            message: message.into(),
            hint: hint.into(),
        }
    }

    /// The same failure, found in the file called `name`.
    pub(crate) fn in_file(mut self, name: &Message) -> Self {
        let between = if self.message.starts_with("line ") {
            ", "
        } else {
            ": "
        };
        self.message = Message::joined(vec![name.clone(), self.message], between);
        self
    }

    pub(crate) fn exit_code(&self) -> ExitCode {
        match self.blame {
            Blame::Input => ExitCode::from(1),
            Blame::Usage => ExitCode::from(2),
        }
    }
}

impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        // One line, whatever the parts hold.
        let line = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
        f.write_str(&line(&self.message.to_string()))?;
        if !self.hint.is_empty() {
            write!(f, "; {}", line(&self.hint.to_string()))?;
        }
        Ok(())
    }
}

/// What is done to a file.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Deed {
    /// It is read.
    Read,
    /// It is written as a whole.
    Write,
    /// More is written to it.
    WriteTo,
}

/// A file that cannot be opened, read or written.
pub(crate) fn file_failure(deed: Deed, name: impl Into<Message>, error: &io::Error) -> Failure {
    let (kind, why, hint) = match error.kind() {
        ErrorKind::NotFound => (
            "no-such-file",
            Some(say::cli::no_such_file()),
            say::cli::no_such_file_hint(),
        ),
        ErrorKind::PermissionDenied => (
            "no-permission",
            Some(say::cli::no_permission()),
            say::cli::no_permission_hint(),
        ),
        ErrorKind::StorageFull => (
            "disk-full",
            Some(say::cli::disk_full()),
            say::cli::disk_full_hint(),
        ),
        ErrorKind::IsADirectory => (
            "is-a-folder",
            Some(say::cli::it_is_a_folder()),
            say::cli::it_is_a_folder_hint(),
        ),
        _ => ("file", None, Message::default()),
    };
    let (name, why) = (name.into(), in_other_words(error, why));
    let message = match deed {
        Deed::Read => say::cli::cannot_read(name, why),
        Deed::Write => say::cli::cannot_write(name, why),
        Deed::WriteTo => say::cli::cannot_write_to(name, why),
    };
    Failure::input(kind, message, hint)
}

/// The system speaks English with its own number; where we have words for it,
/// other languages get these.
fn in_other_words(error: &io::Error, why: Option<Message>) -> Message {
    let own = error.to_string();
    match why {
        Some(why) => Message::both(own, tongue::speak(Lang::De, || why.to_string())),
        None => Message::plain(own),
    }
}
