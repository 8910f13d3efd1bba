//! Debian and npm packages that the checks need.

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
    // They fetch axe-core, which looks at every page in that browser.
    ("nodejs", "/usr/bin/node"),
    ("npm", "/usr/bin/npm"),
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

/// Where the page's tests say what they need from npm.
const FROM_NPM: &str = "crates/web/tests/axe";

/// Fetches what the page's tests need from npm, exactly as locked; does nothing
/// when that is there.
pub(crate) fn npm(root: &Path) -> Result<()> {
    let folder = root.join(FROM_NPM);
    // npm writes this last, so it is older than a lock that has changed since.
    let written = |name: &str| {
        let about = std::fs::metadata(folder.join(name));
        about.and_then(|about| about.modified()).ok()
    };
    let installed = written("node_modules/.package-lock.json");
    if installed.is_some() && installed >= written("package-lock.json") {
        return Ok(());
    }
    super::run(
        Command::new("npm")
            .args(["ci", "--ignore-scripts", "--no-audit", "--no-fund"])
            .current_dir(folder),
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
