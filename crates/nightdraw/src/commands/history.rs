//! `nightdraw history`: what finished jobs taught.

use std::{fmt::Write, fs, path::Path};

use ::job::History;
use harness::family::Families;
use picture::words;
use store::{JobId, Learned, Store};

use crate::{
    cli::{HistoryArguments, HistoryCommand},
    commands::{open_store, store_failure},
    failure::{Failure, file_failure},
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
            fs::write(path, document).map_err(|error| file_failure("write", &name, &error))?;
            remark(&format!("nightdraw: history written to {name}"));
            Ok(())
        }
    }
}

fn page(learned: &Learned) -> String {
    let mut text = String::new();
    let history = &learned.history;
    let begin = match history.jobs {
        0 => "No finished job has taught anything yet.".to_owned(),
        1 => "1 finished job sharpens the chances of the next one.".into(),
        count => format!("{count} finished jobs sharpen the chances of the next one."),
    };
    // Writing to a string cannot fail.
    let _ = writeln!(text, "{begin}");
    if learned.left_out {
        let _ = writeln!(
            text,
            "They are switched off; nightdraw history on uses them again."
        );
    }
    if history.jobs > 0 {
        circuits(&mut text, history);
    }
    if !learned.lessons.is_empty() {
        let _ = writeln!(text, "\nJobs");
    }
    for lesson in &learned.lessons {
        let what = match &lesson.taught {
            _ if lesson.forgotten => "forgotten".to_owned(),
            Ok(history) => history
                .at_fault()
                .iter()
                .map(|id| name(id))
                .collect::<Vec<_>>()
                .join(", "),
            Err(why) => format!("nothing: {}", why.sentence()),
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
        "\nKind of circuit               jobs   chance before -> now"
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
