//! The file that keeps what is received.

use std::{
    fs::{File, OpenOptions},
    io::{ErrorKind, Write},
    path::Path,
    time::{Duration, Instant},
};

use tongue::say;

use crate::failure::{Deed, Failure, file_failure};

/// How often what is saved goes down to the disk itself; it survives the end of this program at once.
const SYNC: Duration = Duration::from_millis(1500);

/// The file that keeps what is received.
pub(super) struct Save {
    file: File,
    name: String,
    synced: Instant,
    unsynced: bool,
}

impl Save {
    /// A log that is there already is not written over.
    pub(super) fn create(path: &Path) -> Result<Self, Failure> {
        let name = path.display().to_string();
        match OpenOptions::new().write(true).create_new(true).open(path) {
            Ok(file) => Ok(Self {
                file,
                name,
                synced: Instant::now(),
                unsynced: false,
            }),
            Err(error) if error.kind() == ErrorKind::AlreadyExists => Err(Failure::input(
                "file-exists",
                say::cli::file_exists(name),
                say::cli::file_exists_hint(),
            )),
            Err(error) => Err(file_failure(Deed::Write, name, &error)),
        }
    }

    pub(super) fn write(&mut self, bytes: &[u8]) -> Result<(), Failure> {
        self.file
            .write_all(bytes)
            .map_err(|error| file_failure(Deed::Write, &*self.name, &error))?;
        self.unsynced = true;
        Ok(())
    }

    /// Lets what was written reach the disk, now and then; also while nothing comes.
    pub(super) fn sync_if_due(&mut self) -> Result<(), Failure> {
        if self.unsynced && self.synced.elapsed() >= SYNC {
            self.sync()
        } else {
            Ok(())
        }
    }

    pub(super) fn sync(&mut self) -> Result<(), Failure> {
        (self.synced, self.unsynced) = (Instant::now(), false);
        match self.file.sync_data() {
            // A pipe or terminal has no disk below it.
            Err(error) if error.kind() != ErrorKind::InvalidInput => {
                Err(file_failure(Deed::Write, &*self.name, &error))
            }
            _ => Ok(()),
        }
    }
}
