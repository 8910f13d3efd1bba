//! `nightdraw job`: the kept jobs.

use std::{
    collections::BTreeMap,
    fmt::Write,
    fs,
    io::{self, Read},
    path::Path,
    sync::Arc,
};

use ::job::{
    BatteryCard, Complaint, Entry, EntryId, EntryKind, Job, Recording, Usage, Vehicle, file,
};
use jiff::Timestamp;
use measure::{quantity::Quantity, range};
use serde_json::json;
use store::{JobId, Store};
use tongue::{Message, say};
use trace::readers::ReadOptions;

use crate::{
    cli::{JobArguments, JobCommand, NewJobArguments},
    commands::{
        assess,
        battery::{checked, label, within},
        open_store, read_job_file, read_log, store_failure,
    },
    failure::{Deed, Failure, file_failure},
    output::{print, print_json, remark},
};

pub(crate) fn run(arguments: JobArguments) -> Result<(), Failure> {
    let data = arguments.data.as_deref();
    let answer = match arguments.command {
        JobCommand::New(new) => create(&open_store(data)?, &new_job(&new)?)?,
        JobCommand::Import { file } => create(&open_store(data)?, &read_job_file(&file)?)?,
        JobCommand::List => list(&open_store(data)?)?,
        JobCommand::Show { job } => show(&open_store(data)?, JobId::from_number(job))?,
        JobCommand::Add {
            job,
            kind,
            fields,
            at,
        } => add(
            &open_store(data)?,
            JobId::from_number(job),
            &kind,
            &fields,
            at,
        )?,
        JobCommand::Strike { job, entry } => {
            strike(&open_store(data)?, JobId::from_number(job), entry)?
        }
        JobCommand::Fuses { job, file } => {
            refine(&open_store(data)?, JobId::from_number(job), &file)?
        }
        JobCommand::Copy { job, name } => {
            let store = open_store(data)?;
            let old = store.load(JobId::from_number(job)).map_err(store_failure)?;
            let mut new = old.another();
            if let Some(name) = name {
                new.vehicle.name = name;
            }
            create(&store, &new)?
        }
        JobCommand::Export { job, output } => {
            return export(
                &open_store(data)?,
                JobId::from_number(job),
                output.as_deref(),
            );
        }
    };
    if arguments.json {
        print_json(&answer.document)
    } else {
        print(&answer.text)
    }
}

/// What a subcommand says, for people and for programs.
struct Answer {
    text: String,
    document: serde_json::Value,
}

fn line(message: &Message) -> String {
    format!("{message}\n")
}

fn create(store: &Store, job: &Job) -> Result<Answer, Failure> {
    let id = store.create(job).map_err(store_failure)?;
    Ok(Answer {
        text: line(&say::cli::job_kept(
            id.number().to_string(),
            &job.vehicle.name,
        )),
        document: json!({ "job": id.number() }),
    })
}

fn new_job(arguments: &NewJobArguments) -> Result<Job, Failure> {
    let parked_s = checked(range::PARKED, arguments.no_start_after.map(Quantity::base))?;
    Ok(Job {
        vehicle: Vehicle {
            name: arguments.name.clone(),
            ..Vehicle::default()
        },
        battery: BatteryCard {
            label: label(&arguments.label)?,
            age_years: checked(range::AGE, arguments.age)?,
            ..BatteryCard::default()
        },
        usage: usage(arguments)?,
        complaint: Complaint {
            text: arguments.complaint.clone(),
            no_start_after_h: parked_s.map(|parked_s| parked_s / 3600.0),
            temperature_c: checked(
                range::TEMPERATURE,
                arguments.temperature.map(Quantity::base),
            )?,
        },
        limit_a: checked(range::LIMIT, arguments.limit.map(Quantity::base))?,
        nodes: arguments
            .fuses
            .as_deref()
            .map(fuses)
            .transpose()?
            .unwrap_or_default(),
        ..Job::default()
    })
}

fn usage(arguments: &NewJobArguments) -> Result<Option<Usage>, Failure> {
    let (Some(trips), Some(trip)) = (arguments.trips, arguments.trip) else {
        return Ok(None);
    };
    Ok(Some(Usage {
        trips_per_week: within(range::TRIPS, trips)?,
        minutes_per_trip: within(range::TRIP, trip.0 / 60.0)?,
    }))
}

fn fuses(name: &str) -> Result<Vec<harness::NodeSpec>, Failure> {
    let list = harness::fuse_list::read(&fuse_text(name)?);
    for problem in &list.problems {
        remark(format!("nightdraw: {name}, {problem}"));
    }
    some(&list.nodes, name)?;
    Ok(list.nodes)
}

/// Refuses a list without a single fuse.
fn some(nodes: &[harness::NodeSpec], name: &str) -> Result<(), Failure> {
    if nodes.is_empty() {
        return Err(Failure::input(
            "fuse-list",
            say::cli::no_fuses(name),
            say::cli::no_fuses_hint(),
        ));
    }
    Ok(())
}

/// Takes a list into the circuits of a job that is there.
fn refine(store: &Store, id: JobId, name: &str) -> Result<Answer, Failure> {
    let mut job = store.load(id).map_err(store_failure)?;
    let text = fuse_text(name)?;
    let refined = harness::refine::refine(&job.nodes, &text);
    for problem in &refined.problems {
        remark(format!("nightdraw: {name}, {problem}"));
    }
    some(&harness::fuse_list::read(&text).nodes, name)?;
    job.nodes = refined.nodes;
    store.update_header(id, &job).map_err(store_failure)?;
    let names = |ids: &[harness::NodeId]| ids.iter().map(|id| id.0.clone()).collect::<Vec<_>>();
    Ok(Answer {
        text: line(&say::cli::job_refined(
            refined.added.len().to_string(),
            refined.filled.len().to_string(),
            id.number().to_string(),
        )),
        document: json!({
            "job": id.number(), "added": names(&refined.added), "filled": names(&refined.filled),
        }),
    })
}

/// A fuse list by its name; `-` is standard input.
fn fuse_text(name: &str) -> Result<String, Failure> {
    if name == "-" {
        let mut text = String::new();
        io::stdin()
            .read_to_string(&mut text)
            .map_err(|error| file_failure(Deed::Read, say::cli::standard_input(), &error))?;
        Ok(text)
    } else {
        fs::read_to_string(name).map_err(|error| file_failure(Deed::Read, name, &error))
    }
}

fn list(store: &Store) -> Result<Answer, Failure> {
    let jobs = store.list().map_err(store_failure)?;
    let mut text = String::new();
    for job in &jobs {
        // Writing to a string cannot fail.
        let _ = writeln!(
            text,
            "{:>4}  {:<32} {:>4} {:<7}  {}{}",
            job.id.number(),
            job.name,
            job.entries,
            if job.entries == 1 {
                say::cli::job_entry()
            } else {
                say::cli::job_entries()
            },
            job.updated,
            if job.invented {
                format!("  {}", say::cli::job_invented())
            } else {
                String::new()
            }
        );
    }
    if jobs.is_empty() {
        text = line(&say::cli::job_none());
    }
    let document = jobs
        .iter()
        .map(|job| {
            json!({
                "job": job.id.number(), "name": job.name, "entries": job.entries,
                "updated": job.updated.to_string(), "invented": job.invented,
            })
        })
        .collect::<Vec<_>>();
    Ok(Answer {
        text,
        document: json!({ "jobs": document }),
    })
}

fn show(store: &Store, id: JobId) -> Result<Answer, Failure> {
    let job = store.load(id).map_err(store_failure)?;
    let history = store.history_for(id).map_err(store_failure)?;
    let assessment = ::job::assess_with(&job, &history);
    let mut text = format!(
        "{}\n\n{}\n{}\n",
        say::cli::job(id.number().to_string(), &job.vehicle.name),
        assess::page(&assessment),
        say::cli::entries()
    );
    for (index, (entry, struck)) in job.entries.iter().zip(job.struck()).enumerate() {
        let _ = writeln!(
            text,
            "{:>4}  {}  {}{}",
            index + 1,
            entry.at,
            ::job::describe(entry),
            if struck {
                format!("  {}", say::cli::struck())
            } else {
                String::new()
            }
        );
    }
    Ok(Answer {
        text,
        document: ::job::contract::assessment(&assessment),
    })
}

fn add(
    store: &Store,
    id: JobId,
    kind: &str,
    fields: &[String],
    at: Option<Timestamp>,
) -> Result<Answer, Failure> {
    let job = store.load(id).map_err(store_failure)?;
    let mut named = BTreeMap::new();
    for field in fields {
        let (name, value) = field
            .split_once('=')
            .ok_or_else(|| Failure::usage(say::cli::no_field(field), say::cli::no_field_hint()))?;
        named.insert(name.to_owned(), value.to_owned());
    }
    let at = at.unwrap_or_else(Timestamp::now);
    let mut entry = file::entry_from_fields(kind, &named, at, &job)
        .map_err(|errors| field_failure(kind, &errors))?;
    keep_recording(store, id, &mut entry)?;
    let number = store.append(id, &entry, None).map_err(store_failure)?;
    Ok(Answer {
        text: line(&say::cli::job_entry_kept(
            number.to_string(),
            id.number().to_string(),
            ::job::describe(&entry),
        )),
        document: json!({ "job": id.number(), "entry": number.number() }),
    })
}

fn field_failure(kind: &str, errors: &file::FieldErrors) -> Failure {
    let message = errors.0.iter().map(|error| error.message.clone()).collect();
    let message = Message::joined(message, ", ");
    let hint = errors
        .0
        .iter()
        .map(|error| error.hint.clone())
        .find(|hint| !hint.is_empty());
    Failure::input(
        "entry",
        Message::joined(vec![Message::plain(kind), message], ": "),
        hint.unwrap_or_default(),
    )
}

/// A log named on the command line is kept with the job, under its bare name.
fn keep_recording(store: &Store, id: JobId, entry: &mut Entry) -> Result<(), Failure> {
    let EntryKind::Trace { file, .. } = &mut entry.kind else {
        return Ok(());
    };
    let trace = read_log(file, &ReadOptions::default())?;
    if let Some(name) = Path::new(file.as_str()).file_name() {
        *file = name.to_string_lossy().into_owned();
    }
    store
        .add_recording(id, file, &Arc::new(Recording::new(trace)))
        .map_err(store_failure)
}

fn strike(store: &Store, id: JobId, number: usize) -> Result<Answer, Failure> {
    let entry = EntryId::from_number(number).ok_or_else(|| {
        Failure::usage(
            say::cli::entries_from_one(),
            say::cli::entries_from_one_hint(),
        )
    })?;
    let strike = Entry {
        at: Timestamp::now(),
        instrument: None,
        kind: EntryKind::Strike { entry },
    };
    let kept = store.append(id, &strike, None).map_err(store_failure)?;
    Ok(Answer {
        text: line(&say::cli::job_struck(
            kept.to_string(),
            entry.to_string(),
            id.number().to_string(),
        )),
        document: json!({ "job": id.number(), "entry": kept.number() }),
    })
}

fn export(store: &Store, id: JobId, output: Option<&Path>) -> Result<(), Failure> {
    let text = file::write(&store.load(id).map_err(store_failure)?);
    match output {
        None => print(&text),
        Some(path) => {
            let name = path.display().to_string();
            fs::write(path, text).map_err(|error| file_failure(Deed::Write, &*name, &error))?;
            remark(format!(
                "nightdraw: {}",
                say::cli::job_written(id.number().to_string(), name)
            ));
            Ok(())
        }
    }
}
