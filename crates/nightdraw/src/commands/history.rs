//! `nightdraw history`: what finished jobs taught.

use std::{fmt::Write, fs, path::Path};

use ::job::History;
use harness::family::Families;
use picture::words;
use store::{JobId, Learned, Store};
use tongue::say;

use crate::{
    cli::{HistoryArguments, HistoryCommand},
    commands::{open_store, store_failure},
    failure::{Deed, Failure, file_failure},
    output::{print, remark},
};

pub(crate) fn run(arguments: HistoryArguments) -> Result<(), Failure> {
    let store = open_store(arguments.data.as_deref())?;
    match arguments.command.unwrap_or(HistoryCommand::Show) {
        HistoryCommand::Show => {}
        HistoryCommand::Export { output } => return export(&store, output.as_deref()),
        HistoryCommand::Forget { jobs, all } => mark(&store, jobs, all, true)?,
        HistoryCommand::Remember { jobs, all } => mark(&store, jobs, all, false)?,
        HistoryCommand::Off => store.leave_history_out(true).map_err(store_failure)?,
        HistoryCommand::On => store.leave_history_out(false).map_err(store_failure)?,
    }
    let learned = store.learned().map_err(store_failure)?;
    if arguments.json {
        print(&learned.document())
    } else {
        print(&page(&learned))
    }
}

/// Forgets jobs, or remembers them.
fn mark(store: &Store, jobs: Vec<i64>, all: bool, forgotten: bool) -> Result<(), Failure> {
    let jobs: Vec<JobId> = if all {
        let learned = store.learned().map_err(store_failure)?;
        let concerned = learned
            .lessons
            .iter()
            .filter(|lesson| lesson.taught.is_ok() && lesson.forgotten != forgotten);
        concerned.map(|lesson| lesson.job).collect()
    } else {
        jobs.into_iter().map(JobId::from_number).collect()
    };
    store.forget(&jobs, forgotten).map_err(store_failure)
}

fn export(store: &Store, output: Option<&Path>) -> Result<(), Failure> {
    let learned = store.learned().map_err(store_failure)?;
    let document = learned.document();
    match output {
        None => print(&document),
        Some(path) => {
            let name = path.display().to_string();
            fs::write(path, document).map_err(|error| file_failure(Deed::Write, &*name, &error))?;
            remark(format!("nightdraw: {}", say::cli::history_written(name)));
            Ok(())
        }
    }
}

fn page(learned: &Learned) -> String {
    let mut text = String::new();
    let history = &learned.history;
    let begin = match history.jobs {
        0 => say::cli::history_none(),
        count => say::cli::history_sharpens(count),
    };
    // Writing to a string cannot fail.
    let _ = writeln!(text, "{begin}");
    if learned.left_out {
        let _ = writeln!(text, "{}", say::cli::history_off());
    }
    if history.jobs > 0 {
        circuits(&mut text, history);
    }
    if !learned.lessons.is_empty() {
        let _ = writeln!(text, "\n{}", say::cli::history_jobs());
    }
    for lesson in &learned.lessons {
        let what = match &lesson.taught {
            _ if lesson.forgotten => say::cli::history_forgotten().to_string(),
            Ok(history) => history
                .at_fault()
                .iter()
                .map(|id| name(id))
                .collect::<Vec<_>>()
                .join(", "),
            Err(why) => say::cli::history_nothing(why.sentence()).to_string(),
        };
        let _ = writeln!(
            text,
            "{:>4}  {:<28}  {what}",
            lesson.job.number(),
            lesson.name
        );
    }
    text
}

/// Kinds of circuit that were at fault, most often first, with their labels.
fn circuits(text: &mut String, history: &History) {
    let mut found: Vec<_> = history
        .families
        .iter()
        .filter(|(_, tally)| tally.at_fault > 0)
        .collect();
    found.sort_by_key(|(_, tally)| std::cmp::Reverse(tally.jobs));
    let _ = writeln!(
        text,
        "\n{:<28}  {:>4}   {}",
        say::cli::history_kind(),
        say::cli::history_count(),
        say::cli::history_chance()
    );
    for (id, tally) in found {
        if let Some(family) = Families::built_in().get(id) {
            let _ = writeln!(
                text,
                "  {:<26}  {:>4}   {:>6} -> {}",
                family.name,
                tally.jobs,
                words::percent_short(family.prior_fault),
                words::percent_short(history.chance(family, None))
            );
        }
        let of_kind = history
            .circuits
            .iter()
            .filter(|((family, _), tally)| family == id && tally.at_fault > 0);
        for ((_, circuit), tally) in of_kind {
            let _ = writeln!(text, "    {:<24}  {:>4}", circuit, tally.jobs);
        }
    }
}

fn name(family: &str) -> String {
    Families::built_in()
        .get(family)
        .map_or_else(|| family.to_owned(), |family| family.name.to_string())
}
