//! One module per command, and what they share: finding a job.

pub(crate) mod assess;
pub(crate) mod balance;
pub(crate) mod battery;
pub(crate) mod history;
pub(crate) mod hookup;
pub(crate) mod job;
pub(crate) mod listen;
pub(crate) mod manual;
pub(crate) mod open;
pub(crate) mod park;
pub(crate) mod read;
pub(crate) mod rehearse;
pub(crate) mod report;

use std::{
    fs::{self, File},
    path::{Path, PathBuf},
    sync::Arc,
};

use ::job::{EntryKind, History, Job, Recording};
use store::{JobId, Store};
use tongue::{Message, say};
use trace::{
    Trace,
    readers::{ReadError, ReadOptions},
};

use crate::{
    failure::{Deed, Failure, file_failure},
    output::remark,
};

/// A job file is text; anything longer than this is not one.
const LONGEST_JOB_FILE: u64 = 256 << 20;

/// The job in the file called `name`, or the kept job of that number.
pub(crate) fn find_job(name: &str, data: Option<&Path>) -> Result<Job, Failure> {
    let path = Path::new(name);
    if path.exists() {
        return read_job_file(path);
    }
    match name.parse() {
        Ok(number) => open_store(data)?
            .load(JobId::from_number(number))
            .map_err(store_failure),
        Err(_) => Err(Failure::input(
            "no-such-job",
            say::cli::no_job_file(name),
            say::cli::no_job_file_hint(),
        )),
    }
}

/// The same with what other finished jobs taught. A job file is answered alike
/// on every machine, so it gets a history only where its folder is named.
pub(crate) fn find_job_and_history(
    name: &str,
    data: Option<&Path>,
    without: bool,
) -> Result<(Job, History), Failure> {
    let job = find_job(name, data)?;
    let history = if without || job.invented {
        History::default()
    } else if !Path::new(name).exists()
        && let Ok(number) = name.parse()
    {
        open_store(data)?
            .history_for(JobId::from_number(number))
            .map_err(store_failure)?
    } else if data.is_some() {
        open_store(data)?.history().map_err(store_failure)?
    } else {
        History::default()
    };
    Ok((job, history))
}

/// Reads a job file and the recordings it names, which lie beside it.
pub(crate) fn read_job_file(path: &Path) -> Result<Job, Failure> {
    let name = path.display().to_string();
    let length = fs::metadata(path)
        .map_err(|error| file_failure(Deed::Read, &*name, &error))?
        .len();
    if length > LONGEST_JOB_FILE {
        return Err(Failure::input(
            "not-a-job-file",
            say::cli::too_long(name, (length >> 20).to_string()),
            say::cli::too_long_hint(),
        ));
    }
    let bytes = fs::read(path).map_err(|error| file_failure(Deed::Read, &*name, &error))?;
    let text = String::from_utf8(bytes).map_err(|_| {
        Failure::input(
            "not-a-job-file",
            say::cli::not_text(&name),
            say::cli::not_text_hint(),
        )
    })?;
    let mut job = ::job::file::parse(&text).map_err(|error| {
        let place = error.line.map_or_else(
            || Message::plain(&*name),
            |line| say::cli::file_line(line.to_string(), &name),
        );
        Failure::input(
            "job-file",
            Message::joined(vec![place, error.message], ": "),
            error.hint,
        )
    })?;
    let folder = path.parent().unwrap_or(Path::new("."));
    load_recordings(&mut job, folder)?;
    Ok(job)
}

/// Reads the logs that trace entries name and that the job does not hold yet.
/// A missing log is left to the assessment, which warns about it.
fn load_recordings(job: &mut Job, folder: &Path) -> Result<(), Failure> {
    let missing: Vec<String> = job
        .entries
        .iter()
        .filter_map(|entry| match &entry.kind {
            EntryKind::Trace { file, .. } if !job.recordings.contains_key(file) => {
                Some(file.clone())
            }
            _ => None,
        })
        .collect();
    for file in missing {
        let path = folder.join(&file);
        if path.exists() {
            let trace = read_log(&path.display().to_string(), &ReadOptions::default())?;
            job.recordings.insert(file, Arc::new(Recording::new(trace)));
        }
    }
    Ok(())
}

/// Reads a log; `-` is standard input. What was assumed goes to stderr.
pub(crate) fn read_log(name: &str, options: &ReadOptions) -> Result<Trace, Failure> {
    read_column(name, options, "current")
}

/// [`read_log`], where it was `option` that asked for the current column.
pub(crate) fn read_column(
    name: &str,
    options: &ReadOptions,
    option: &'static str,
) -> Result<Trace, Failure> {
    let outcome = if name == "-" {
        trace::readers::read(std::io::stdin().lock(), options)
    } else {
        let metadata =
            fs::metadata(name).map_err(|error| file_failure(Deed::Read, name, &error))?;
        if metadata.is_dir() {
            return Err(Failure::input(
                "is-a-folder",
                say::cli::is_a_folder(name),
                say::cli::is_a_folder_hint(),
            ));
        }
        let file = File::open(name).map_err(|error| file_failure(Deed::Read, name, &error))?;
        trace::readers::read(file, options)
    };
    let name = if name == "-" {
        say::cli::standard_input()
    } else {
        name.into()
    };
    let asked = |error: ReadError| match error {
        ReadError::NoSuchColumn {
            option: "current",
            name,
            columns,
        } => ReadError::NoSuchColumn {
            option,
            name,
            columns,
        },
        other => other,
    };
    let trace = outcome.map_err(|error| read_failure(&asked(error)).in_file(&name))?;
    for assumption in &trace.source.assumptions {
        let assumption = trace::readers::told(assumption);
        remark(format!("nightdraw: {name}: {assumption}"));
    }
    Ok(trace)
}

/// Refuses a file that cannot be written, before the work for it is done; leaves what is there as it is.
pub(crate) fn writable(path: &Path) -> Result<(), Failure> {
    let was_there = path.exists();
    let failed = |error| file_failure(Deed::Write, path.display().to_string(), &error);
    fs::OpenOptions::new()
        .append(true)
        .create(true)
        .open(path)
        .map_err(failed)?;
    if was_there {
        Ok(())
    } else {
        fs::remove_file(path).map_err(failed)
    }
}

pub(crate) fn read_failure(error: &ReadError) -> Failure {
    Failure::input(error.kind(), error.message(), error.hint())
}

/// Opens the database in `data`, or in the platform's data folder.
pub(crate) fn open_store(data: Option<&Path>) -> Result<Store, Failure> {
    Store::open(&data_folder(data)?).map_err(store_failure)
}

/// The folder of the database.
pub(crate) fn data_folder(data: Option<&Path>) -> Result<PathBuf, Failure> {
    if let Some(data) = data {
        return Ok(data.to_path_buf());
    }
    let folders = directories::ProjectDirs::from("", "", "nightdraw").ok_or_else(|| {
        Failure::input(
            "no-data-folder",
            say::cli::no_home(),
            say::cli::no_home_hint(),
        )
    })?;
    Ok(folders.data_dir().to_path_buf())
}

pub(crate) fn store_failure(error: store::StoreError) -> Failure {
    Failure::input(error.kind.word(), error.message, error.hint)
}
