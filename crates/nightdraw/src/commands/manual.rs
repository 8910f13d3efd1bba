//! `nightdraw completions` and `nightdraw manual`: made from the same
//! definitions as the help.

use clap::CommandFactory;
use clap_complete::Shell;
use tongue::say;

use crate::{cli::Cli, failure::Failure, output::print};

pub(crate) fn completions(shell: Shell) -> Result<(), Failure> {
    let mut script = Vec::new();
    clap_complete::generate(shell, &mut Cli::command(), "nightdraw", &mut script);
    print(&String::from_utf8_lossy(&script))
}

pub(crate) fn manual() -> Result<(), Failure> {
    let mut command = Cli::command();
    command.build();
    let mut pages = Vec::new();
    render(&command, &mut pages)?;
    for subcommand in command.get_subcommands() {
        render(subcommand, &mut pages)?;
    }
    print(&String::from_utf8_lossy(&pages))
}

fn render(command: &clap::Command, pages: &mut Vec<u8>) -> Result<(), Failure> {
    clap_mangen::Man::new(command.clone())
        .render(pages)
        .map_err(|error| Failure::input("manual", say::cli::no_manual(error.to_string()), ""))
}
