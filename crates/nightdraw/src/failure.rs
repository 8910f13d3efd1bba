//! What went wrong, in the three parts that terminal, JSON and page share.

use std::{fmt, process::ExitCode};

use tongue::Message;

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
    pub(crate) fn in_file(mut self, name: &str) -> Self {
        let between = if self.message.starts_with("line ") {
            ", "
        } else {
            ": "
        };
        self.message = Message::joined(vec![Message::plain(name), self.message], between);
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

/// A file that cannot be opened, read or written.
pub(crate) fn file_failure(what: &str, name: &str, error: &std::io::Error) -> Failure {
    use std::io::ErrorKind;
    let (kind, hint) = match error.kind() {
        ErrorKind::NotFound => ("no-such-file", "check the name and the folder"),
        ErrorKind::PermissionDenied => ("no-permission", "check who may read or write it"),
        ErrorKind::StorageFull => ("disk-full", "free some space and try again"),
        ErrorKind::IsADirectory => ("is-a-folder", "name a file in it"),
        _ => ("file", ""),
    };
    Failure::input(kind, format!("cannot {what} {name}: {error}"), hint)
}
