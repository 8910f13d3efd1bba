//! The habits of the house: `cargo xtask check` is what a contributor and the
//! continuous integration run, the same steps in the same order.

#![expect(
    clippy::print_stderr,
    reason = "it talks to the person at the terminal"
)]

mod arrows;
mod hygiene;
mod sentences;
mod system;

use std::{
    env,
    path::{Path, PathBuf},
    process::{Command, ExitCode},
    time::Instant,
};

use anyhow::{Context, Result, bail};

const USAGE: &str = "\
usage: cargo xtask check     install what the checks need, then run them all
       cargo xtask arrows    only the direction between rooms
       cargo xtask hygiene   only the rules on words and file sizes";

fn main() -> ExitCode {
    let root = match root() {
        Ok(root) => root,
        Err(error) => return fail(&error),
    };
    let arguments: Vec<String> = env::args().skip(1).collect();
    let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
    let outcome = match arguments.as_slice() {
        ["check"] => check(&root),
        ["arrows"] => arrows::check(&root),
        ["hygiene"] => hygiene::check(&root),
        _ => {
            eprintln!("{USAGE}");
            return ExitCode::from(2);
        }
    };
    match outcome {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => fail(&error),
    }
}

fn fail(error: &anyhow::Error) -> ExitCode {
    eprintln!("xtask: {error:#}");
    ExitCode::FAILURE
}

fn root() -> Result<PathBuf> {
    let manifest = Path::new(env!("CARGO_MANIFEST_DIR"));
    Ok(manifest
        .parent()
        .context("xtask lies outside a workspace")?
        .to_path_buf())
}

/// Everything, cheapest first, so that a slip shows early.
fn check(root: &Path) -> Result<()> {
    let start = Instant::now();
    step("system packages", system::install)?;
    step("npm packages", || system::npm(root))?;
    step("format", || cargo(root, &["fmt", "--all", "--check"]))?;
    step("words and sizes", || hygiene::check(root))?;
    step("arrows between rooms", || arrows::check(root))?;
    step("clippy", || {
        cargo(
            root,
            &[
                "clippy",
                "--locked",
                "--workspace",
                "--all-targets",
                "--",
                "-D",
                "warnings",
            ],
        )
    })?;
    step("documentation", || {
        run(Command::new(env!("CARGO"))
            .args(["doc", "--locked", "--workspace", "--no-deps"])
            .env("RUSTDOCFLAGS", "-D warnings")
            .current_dir(root))
    })?;
    step("contract", || {
        // The whole workspace, as in the next step: with one package alone the
        // dependencies get other features and are all built twice.
        cargo(
            root,
            &["test", "--locked", "--workspace", "--test", "contract"],
        )
    })?;
    step("Parquet", || {
        // A feature that is off by default; everything else is checked without it.
        let feature = ["--locked", "--workspace", "--features", "nightdraw/parquet"];
        let target = ["--test", "parquet"];
        let lints = ["--", "-D", "warnings"];
        cargo(root, &[&["clippy"], &feature[..], &target, &lints].concat())?;
        cargo(root, &[&["test"], &feature[..], &target].concat())
    })?;
    step("tests", || {
        // Tests skip themselves where no browser or PDF reader is; here they were installed.
        run(Command::new(env!("CARGO"))
            .args(["test", "--locked", "--workspace"])
            .env("NIGHTDRAW_REQUIRE_BROWSER", "1")
            .env("NIGHTDRAW_REQUIRE_READERS", "1")
            .current_dir(root))
    })?;
    eprintln!("check: all steps passed in {} s", start.elapsed().as_secs());
    Ok(())
}

fn step(name: &str, work: impl FnOnce() -> Result<()>) -> Result<()> {
    eprintln!("==> {name}");
    let start = Instant::now();
    work().with_context(|| format!("step '{name}' failed"))?;
    eprintln!("    {name}: {} s", start.elapsed().as_secs());
    Ok(())
}

fn cargo(root: &Path, arguments: &[&str]) -> Result<()> {
    run(Command::new(env!("CARGO"))
        .args(arguments)
        .current_dir(root))
}

fn run(command: &mut Command) -> Result<()> {
    let status = command
        .status()
        .with_context(|| format!("cannot start {command:?}"))?;
    if !status.success() {
        bail!("{command:?} ended with {status}");
    }
    Ok(())
}
