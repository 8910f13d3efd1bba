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
use tongue::Message;
use trace::{
    Trace,
    readers::{ReadError, ReadOptions},
};

use crate::{
    failure::{Failure, file_failure},
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
            format!("there is no job file {name}"),
            "name a job file, or the number of a kept job (nightdraw job list)",
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
        .map_err(|error| file_failure("read", &name, &error))?
        .len();
    if length > LONGEST_JOB_FILE {
        return Err(Failure::input(
            "not-a-job-file",
            format!(
                "{name} is {} MB long, too long for a job file",
                length >> 20
            ),
            "name a job file; a log is read by nightdraw read",
        ));
    }
    let bytes = fs::read(path).map_err(|error| file_failure("read", &name, &error))?;
    let text = String::from_utf8(bytes).map_err(|_| {
        Failure::input(
            "not-a-job-file",
            format!("{name} is not text"),
            "name a job file in TOML; a log is read by nightdraw read",
        )
    })?;
    let mut job = ::job::file::parse(&text).map_err(|error| {
        let place = error
            .line
            .map_or(name.clone(), |line| format!("{name}, line {line}"));
        Failure::input(
            "job-file",
            Message::joined(vec![Message::plain(place), error.message], ": "),
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
        let metadata = fs::metadata(name).map_err(|error| file_failure("read", name, &error))?;
        if metadata.is_dir() {
            return Err(Failure::input(
                "is-a-folder",
                format!("{name} is a folder"),
                "name a log file in it",
            ));
        }
        let file = File::open(name).map_err(|error| file_failure("read", name, &error))?;
        trace::readers::read(file, options)
    };
    let name = if name == "-" { "standard input" } else { name };
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
    let trace = outcome.map_err(|error| read_failure(&asked(error)).in_file(name))?;
    for assumption in &trace.source.assumptions {
        let assumption = trace::readers::told(assumption);
        remark(&format!("nightdraw: {name}: {assumption}"));
    }
    Ok(trace)
}

/// Refuses a file that cannot be written, before the work for it is done; leaves what is there as it is.
pub(crate) fn writable(path: &Path) -> Result<(), Failure> {
    let was_there = path.exists();
    let failed = |error| file_failure("write", &path.display().to_string(), &error);
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
            "this account has no home folder to keep jobs in",
            "name one with --data DIR",
        )
    })?;
    Ok(folders.data_dir().to_path_buf())
}

pub(crate) fn store_failure(error: store::StoreError) -> Failure {
    Failure::input(error.kind.word(), error.message, error.hint)
}
