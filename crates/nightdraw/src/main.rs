//! The command line.

mod cli;
mod commands;
mod failure;
mod output;
mod plot;
mod usage;

use std::{env, process::ExitCode};

use clap::Parser;
use tongue::Lang;

use crate::{
    cli::{Cli, Command, LangArgument},
    failure::Failure,
};

fn main() -> ExitCode {
    let cli = match Cli::try_parse() {
        Ok(cli) => cli,
        Err(error) => return usage(&error),
    };
    let json = cli.wants_json();
    let asked = cli.lang.map(|asked| match asked {
        LangArgument::En => Lang::En,
        LangArgument::De => Lang::De,
    });
    tongue::speak(lang(asked), || match run(cli) {
        Ok(()) => ExitCode::SUCCESS,
        Err(failure) => fail(&failure, json),
    })
}

/// The language asked for, else that of the terminal (POSIX.1-2017, section
/// 8.2: `LC_ALL` before `LC_MESSAGES` before `LANG`).
fn lang(asked: Option<Lang>) -> Lang {
    asked.unwrap_or_else(|| {
        ["LC_ALL", "LC_MESSAGES", "LANG"]
            .iter()
            .find_map(|name| env::var(name).ok().filter(|value| !value.is_empty()))
            .and_then(|tag| Lang::from_tag(&tag))
            .unwrap_or_default()
    })
}

fn run(cli: Cli) -> Result<(), Failure> {
    match cli.command.unwrap_or_default() {
        Command::Read(arguments) => commands::read::run(&arguments),
        Command::Listen(arguments) => commands::listen::run(&arguments),
        Command::Assess(arguments) => commands::assess::run(&arguments),
        Command::Park(arguments) => commands::park::run(&arguments),
        Command::Balance(arguments) => commands::balance::run(&arguments),
        Command::Hookup(arguments) => commands::hookup::run(&arguments),
        Command::Job(arguments) => commands::job::run(arguments),
        Command::History(arguments) => commands::history::run(arguments),
        Command::Rehearse(arguments) => commands::rehearse::run(&arguments),
        Command::Report(arguments) => commands::report::run(&arguments),
        Command::Open(arguments) => commands::open::run(&arguments),
        Command::Completions { shell } => commands::manual::completions(shell),
        Command::Manual => commands::manual::manual(),
    }
}

fn fail(failure: &Failure, json: bool) -> ExitCode {
    output::remark(format!("nightdraw: {failure}"));
    if json {
        let document = job::contract::error(&failure.kind, &failure.message, &failure.hint);
        // Nothing is left to tell if this fails too.
        let _ = output::print_json(&document);
    }
    failure.exit_code()
}

/// Help and version are answers; anything else is wrong usage.
fn usage(error: &clap::Error) -> ExitCode {
    if !error.use_stderr() {
        return match output::print(&error.render().ansi().to_string()) {
            Ok(()) => ExitCode::SUCCESS,
            Err(failure) => failure.exit_code(),
        };
    }
    let english = error.render().to_string();
    let told = match lang(usage::asked()) {
        Lang::En => None,
        other => tongue::speak(other, || usage::told(error).map(|told| told.to_string())),
    };
    match told {
        Some(told) => output::remark(format!("nightdraw: {told}")),
        None => output::remark(english.trim_end()),
    }
    if env::args().any(|argument| argument == "--json") {
        let message = english
            .lines()
            .next()
            .unwrap_or_default()
            .trim_start_matches("error: ");
        let document = job::contract::error("usage", message, &tongue::say::cli::usage_help());
        let _ = output::print_json(&document);
    }
    ExitCode::from(2)
}
