//! Debian packages that the checks need.

use std::{path::Path, process::Command};

use anyhow::{Result, bail};

/// A package and a file that shows it is there.
const NEEDED: &[(&str, &str)] = &[
    ("chromium", "/usr/bin/chromium"),
    ("chromium-driver", "/usr/bin/chromedriver"),
    (
        "fonts-dejavu-core",
        "/usr/share/fonts/truetype/dejavu/DejaVuSans.ttf",
    ),
    // Its demonstration device is a stream to listen to.
    ("sigrok-cli", "/usr/bin/sigrok-cli"),
    // Two readers that open the report on paper, written by different people.
    ("poppler-utils", "/usr/bin/pdftotext"),
    ("mupdf-tools", "/usr/bin/mutool"),
    // The bundled SQLite is C.
    ("gcc", "/usr/bin/cc"),
    ("libc6-dev", "/usr/include/stdio.h"),
];

/// Installs what is missing; does nothing when all is there.
pub(crate) fn install() -> Result<()> {
    let missing: Vec<&str> = NEEDED
        .iter()
        .filter(|(_, file)| !Path::new(file).exists())
        .map(|(name, _)| *name)
        .collect();
    if missing.is_empty() {
        return Ok(());
    }
    if !Path::new("/usr/bin/apt-get").exists() {
        bail!(
            "please install {} with your package manager",
            missing.join(", ")
        );
    }
    eprintln!("    installing {}", missing.join(", "));
    super::run(apt().args(["update", "-qq"]))?;
    super::run(
        apt()
            .args(["install", "-y", "-qq", "--no-install-recommends"])
            .args(&missing),
    )
}

/// `apt-get`, through `sudo` for those who are not root.
fn apt() -> Command {
    let root = Command::new("id")
        .arg("-u")
        .output()
        .is_ok_and(|output| output.stdout.trim_ascii() == b"0");
    let mut command = if root {
        Command::new("apt-get")
    } else {
        let mut command = Command::new("sudo");
        command.args(["--preserve-env=DEBIAN_FRONTEND", "apt-get"]);
        command
    };
    command.env("DEBIAN_FRONTEND", "noninteractive");
    command
}
