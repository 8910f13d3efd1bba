//! What a person reads follows the language of the terminal or `--lang`; what
//! programs read does not.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::process::{Command, Output};

fn nightdraw(arguments: &[&str], locale: &str) -> Output {
    let root = concat!(env!("CARGO_MANIFEST_DIR"), "/../..");
    Command::new(env!("CARGO_BIN_EXE_nightdraw"))
        .args(arguments)
        .current_dir(root)
        .env("LC_ALL", locale)
        .output()
        .unwrap()
}

fn text(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

const ASSESS: [&str; 2] = ["assess", "demo/bread-van.toml"];
const READ: [&str; 2] = ["read", "demo/night.csv"];

#[test]
fn people_read_their_language() {
    let german = nightdraw(&ASSESS, "de_DE.UTF-8");
    assert!(
        text(&german).starts_with("Im Ruhezustand zieht es"),
        "{german:?}"
    );
    assert!(text(&german).contains("Nächster Schritt: "), "{german:?}");
    let asked = [ASSESS[0], ASSESS[1], "--lang", "de"];
    assert_eq!(text(&nightdraw(&asked, "C")), text(&german));
    let english = nightdraw(&ASSESS, "C");
    assert!(text(&english).starts_with("Asleep it draws"), "{english:?}");
    let read = text(&nightdraw(&READ, "de_AT"));
    assert!(read.starts_with("ZU VIEL: im Ruhezustand"), "{read}");
    for said in [text(&german), read] {
        assert_eq!(tongue::english_in(&said), None, "{said}");
    }
}

#[test]
fn programs_read_english() {
    for arguments in [ASSESS, READ] {
        let [command, file] = arguments;
        let json = [command, file, "--json"];
        let english = nightdraw(&json, "C");
        assert!(english.status.success());
        assert_eq!(text(&english), text(&nightdraw(&json, "de_DE.UTF-8")));
    }
}
