//! The report on paper, opened by two readers that other people wrote.

#![allow(
    clippy::panic,
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "helpers of tests may fail loudly and may speak, as tests do"
)]

#[path = "../../picture/tests/support/sample.rs"]
mod sample;

use std::{collections::BTreeMap, path::Path, process::Command};

use job::{Assessment, Job};
use report::{Paper, ReportOptions, html, pdf};
use scraper::{Html, Node};
use tongue::{Lang, speak};

fn all() -> Vec<(&'static str, Job, Assessment, ReportOptions)> {
    let (job, before, after) = sample::repaired60();
    let repaired = ReportOptions {
        before: Some(before),
        ..ReportOptions::default()
    };
    let mut out = vec![("repaired", job, after, repaired)];
    for (name, (job, assessment)) in [
        ("empty", sample::empty()),
        ("open", sample::open60()),
        ("found", sample::found60()),
        ("small", sample::small3()),
    ] {
        out.push((name, job, assessment, ReportOptions::default()));
    }
    out
}

/// What a reader prints, out and error together; `None` where it is not installed.
fn reader(program: &str, arguments: &[&str]) -> Option<(bool, String, String)> {
    match Command::new(program).args(arguments).output() {
        Ok(output) => Some((
            output.status.success(),
            String::from_utf8_lossy(&output.stdout).into_owned(),
            String::from_utf8_lossy(&output.stderr).into_owned(),
        )),
        Err(error) if std::env::var_os("NIGHTDRAW_REQUIRE_READERS").is_some() => {
            panic!("{program}: {error}")
        }
        Err(_) => {
            println!("skipped: {program} is not installed");
            None
        }
    }
}

struct Files {
    folder: tempfile::TempDir,
}

impl Files {
    fn new() -> Self {
        Self {
            folder: tempfile::tempdir().unwrap(),
        }
    }

    fn keep(&self, name: &str, bytes: &[u8]) -> String {
        let path = self.folder.path().join(format!("{name}.pdf"));
        std::fs::write(&path, bytes).unwrap();
        path.display().to_string()
    }
}

#[test]
fn two_readers_open_it_without_complaint() {
    let files = Files::new();
    for (name, job, assessment, options) in all() {
        for (lang, paper) in [(Lang::En, Paper::A4), (Lang::De, Paper::Letter)] {
            let bytes = speak(lang, || pdf(&job, &assessment, &options, paper)).unwrap();
            let path = files.keep(name, &bytes);
            let Some((fine, info, complaints)) = reader("pdfinfo", &[&path]) else {
                return;
            };
            assert!(fine && complaints.is_empty(), "{name}: {complaints}");
            let size = match paper {
                Paper::A4 => "595.276 x 841.89 pts (A4)",
                Paper::Letter => "612 x 792 pts (letter)",
            };
            assert!(info.contains(size), "{name}: {info}");
            assert!(info.contains("Tagged:          yes"), "{name}: {info}");
            let title = match lang {
                Lang::En => "Report: ",
                Lang::De => "Bericht: ",
            };
            assert!(info.contains(title), "{name}: {info}");
            let ppm = files.folder.path().join("page").display().to_string();
            let drawn = reader("pdftoppm", &["-r", "30", "-gray", &path, &ppm]);
            if let Some((fine, _, complaints)) = drawn {
                assert!(fine && complaints.is_empty(), "{name}: {complaints}");
            }
            let Some((fine, _, complaints)) =
                reader("mutool", &["draw", "-q", "-o", "/dev/null", &path])
            else {
                return;
            };
            // A remark on how the reader was built is none on the file.
            let complaints: Vec<&str> = complaints
                .lines()
                .filter(|line| !line.contains("ICC support is not available"))
                .collect();
            assert!(fine && complaints.is_empty(), "{name}: {complaints:?}");
        }
    }
}

#[test]
fn every_face_is_embedded_and_says_its_letters() {
    let files = Files::new();
    let (job, assessment) = sample::found60();
    let bytes = pdf(&job, &assessment, &ReportOptions::default(), Paper::A4).unwrap();
    let path = files.keep("fonts", &bytes);
    let Some((_, fonts, _)) = reader("pdffonts", &[&path]) else {
        return;
    };
    let faces: Vec<&str> = fonts.lines().skip(2).collect();
    assert_eq!(faces.len(), 2, "{fonts}");
    // Columns: embedded, a subset, with a table back to Unicode.
    assert!(
        faces.iter().all(|face| face.contains("yes yes yes")),
        "{fonts}"
    );
}

/// Words of the page that holds the report; pictures aside, for a page of HTML
/// has them in two widths.
fn words_of_html(text: &str) -> String {
    let page = Html::parse_document(text);
    let mut words = String::new();
    for node in page.tree.nodes() {
        let Node::Text(said) = node.value() else {
            continue;
        };
        let hidden = node.ancestors().any(|above| {
            above
                .value()
                .as_element()
                .is_some_and(|e| matches!(e.name(), "svg" | "style" | "title"))
        });
        if !hidden {
            words.push_str(said);
            words.push(' ');
        }
    }
    words
}

/// Every word with a digit in it, and how often it is said.
fn figures(text: &str) -> BTreeMap<String, usize> {
    let mut all = BTreeMap::new();
    for word in text.split(|c: char| c.is_whitespace()) {
        let word = word.trim_matches(|c: char| matches!(c, '.' | ',' | ';' | ':' | '(' | ')'));
        if word.contains(|c: char| c.is_ascii_digit()) {
            *all.entry(word.to_owned()).or_default() += 1;
        }
    }
    all
}

#[test]
fn the_figures_are_those_of_the_html_report() {
    let files = Files::new();
    for (name, job, assessment, options) in all() {
        for lang in [Lang::En, Lang::De] {
            let (page, bytes) = speak(lang, || {
                let bytes = pdf(&job, &assessment, &options, Paper::A4).unwrap();
                (html(&job, &assessment, &options), bytes)
            });
            let path = files.keep(name, &bytes);
            let Some((_, said, _)) = reader("pdftotext", &["-layout", &path, "-"]) else {
                return;
            };
            let on_paper = figures(&said);
            let on_screen = figures(&words_of_html(&page));
            assert!(on_screen.len() > 3, "{name}");
            for (figure, times) in &on_screen {
                let there = on_paper.get(figure).copied().unwrap_or(0);
                assert!(
                    there >= *times,
                    "{name}, {lang:?}: {figure} {there} of {times} times\n{said}"
                );
            }
        }
    }
}

/// Text of one sheet.
fn sheet(path: &str, number: u32) -> Option<String> {
    let number = number.to_string();
    reader(
        "pdftotext",
        &["-layout", "-f", &number, "-l", &number, path, "-"],
    )
    .map(|(_, said, _)| said)
}

#[test]
fn the_owner_has_one_sheet_and_the_workshop_the_rest() {
    let files = Files::new();
    for (name, mut job, assessment, options) in all() {
        job.complaint.text = Some("It was dead again. ".repeat(30));
        for paper in [Paper::A4, Paper::Letter] {
            let bytes = pdf(&job, &assessment, &options, paper).unwrap();
            let path = files.keep(name, &bytes);
            let (Some(first), Some(second)) = (sheet(&path, 1), sheet(&path, 2)) else {
                return;
            };
            assert!(first.contains("What to watch"), "{name}: {first}");
            assert!(!first.contains("For the workshop"), "{name}");
            assert!(second.contains("For the workshop"), "{name}: {second}");
            assert!(!second.contains("What to watch"), "{name}");
            assert!(
                first.contains("page 1 of ") && second.contains("page 2 of "),
                "{name}"
            );
        }
    }
}

#[test]
fn a_table_repeats_its_head_on_each_sheet() {
    let files = Files::new();
    let (job, assessment) = sample::open60();
    let bytes = pdf(&job, &assessment, &ReportOptions::default(), Paper::A4).unwrap();
    let path = files.keep("table", &bytes);
    let mut with_rows = 0;
    for number in 2..20 {
        let Some(said) = sheet(&path, number) else {
            return;
        };
        // A row of the table: a fuse that feeds one load.
        let rows = said.lines().filter(|l| l.contains("fuse + load")).count();
        if rows > 0 {
            with_rows += 1;
            let head = said
                .lines()
                .filter(|l| l.contains("middle") && l.contains("usual"));
            assert_eq!(head.count(), 1, "sheet {number}: {said}");
        }
    }
    assert!(with_rows >= 2, "the table has to break");
}

#[test]
fn owner_and_plate_stay_out_unless_asked_for() {
    let files = Files::new();
    let (job, assessment) = sample::found60();
    for asked in [false, true] {
        let options = ReportOptions {
            include_owner: asked,
            ..ReportOptions::default()
        };
        let bytes = pdf(&job, &assessment, &options, Paper::A4).unwrap();
        let path = files.keep("owner", &bytes);
        let Some((_, said, _)) = reader("pdftotext", &[&path, "-"]) else {
            return;
        };
        for secret in ["Owner Invented", "XX 000"] {
            assert_eq!(said.contains(secret), asked, "{secret}");
        }
    }
}

#[test]
fn names_in_any_letters_do_not_stop_it() {
    let (mut job, assessment) = sample::found60();
    job.vehicle.name = "蓄電池 \u{1f697} \u{0} Größe Ω µ ±\n\u{202e}x".into();
    job.complaint.text = Some("\u{feff}\u{200d}".into());
    job.vehicle.notes = Some("a".repeat(5000));
    let bytes = pdf(&job, &assessment, &ReportOptions::default(), Paper::A4).unwrap();
    assert!(bytes.starts_with(b"%PDF-1.7"));
}

/// What a reader finds in the report on a vehicle of this name.
fn said_of(name: &str) -> Option<String> {
    let files = Files::new();
    let (mut job, assessment) = sample::found60();
    job.vehicle.name = name.into();
    let bytes = pdf(&job, &assessment, &ReportOptions::default(), Paper::A4).unwrap();
    let path = files.keep("letters", &bytes);
    let (_, said, complaints) = reader("pdftotext", &[&path, "-"])?;
    assert_eq!(complaints, "", "{name}");
    // Words of pictures are there whatever the name is.
    assert!(said.contains("near certain"), "{name}: {said}");
    Some(said)
}

/// Polish, Czech, Turkish, Romanian, Vietnamese, Greek, Bulgarian and Ukrainian
/// come from our own faces, on every machine.
#[test]
fn names_of_most_owners_are_printed_as_they_are() {
    for name in [
        "Zażółć gęślą jaźń",
        "Žluťoučký kůň",
        "Çağrı Şükrü İnönü",
        "Ștefan Țăran",
        "Nguyễn Thị Hương",
        "Γιώργος Ωμέγα",
        "Щука Ярославль",
        "Їжак Ґанок",
    ] {
        let Some(said) = said_of(name) else {
            return;
        };
        assert!(said.contains(name), "{name}");
        assert!(!said.contains("its typeface lacks"), "{name}");
    }
}

/// Others come from what is installed here, or the report names them.
#[test]
fn other_letters_come_from_installed_faces_or_are_named() {
    let Some(said) = said_of("蓄電池 bus") else {
        return;
    };
    // 蓄, 電 and 池 by their numbers in Unicode.
    let named = said.contains("??? bus") && said.contains("U+6C60, U+84C4, U+96FB");
    assert!(named != said.contains("蓄電池 bus"), "{said}");
    assert_eq!(said.contains("letters that its typeface lacks"), named);
}

/// Letters of private use are in no face.
#[test]
fn letters_that_no_face_has_are_owned_up_to() {
    let Some(said) = said_of("\u{f0123}\u{f0124} bus") else {
        return;
    };
    assert!(said.contains("letters that its typeface lacks"), "{said}");
    assert!(said.contains("U+F0123, U+F0124"), "{said}");
    assert!(said.contains("?? bus"), "{said}");
}

#[test]
fn same_input_same_bytes() {
    let (job, assessment) = sample::found60();
    let write = || pdf(&job, &assessment, &ReportOptions::default(), Paper::Letter).unwrap();
    assert!(write() == write());
}

#[test]
fn screen_readers_are_told_what_is_what() {
    let files = Files::new();
    let (job, assessment) = sample::found60();
    let bytes = pdf(&job, &assessment, &ReportOptions::default(), Paper::A4).unwrap();
    let path = files.keep("tags", &bytes);
    let Some((_, tree, complaints)) = reader("pdfinfo", &["-struct-text", &path]) else {
        return;
    };
    assert!(complaints.is_empty(), "{complaints}");
    for kind in [
        "Sect", "H1", "H2", "H3", "Figure", "Table", "THead", "TH", "TD", "LBody", "Caption",
    ] {
        assert!(
            tree.lines().any(|l| l.trim_start().starts_with(kind)),
            "{kind}"
        );
    }
    assert!(Path::new(&path).exists());
}
