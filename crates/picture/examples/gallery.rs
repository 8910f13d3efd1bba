//! Draws every picture of the invented samples into a folder, as one page per
//! width and theme.
//!
//! `cargo run -p picture --example gallery -- FOLDER`

#[path = "../tests/support/sample.rs"]
mod sample;

use picture::{Mark, NightsOptions, Style, TraceView};

fn main() -> std::io::Result<()> {
    let folder = std::env::args().nth(1).unwrap_or_else(|| ".".into());
    for (width, style) in [("narrow", Style::narrow()), ("wide", Style::wide())] {
        for (theme, vars) in [
            ("day", picture::day_theme()),
            ("night", picture::night_theme()),
        ] {
            for (part, pictures) in pictures(&style) {
                let mut page = format!(
                    "<!doctype html><meta charset=utf-8><style>{}:root{{{vars}}}body{{margin:8px;\
                     background:var(--nd-paper);color:var(--nd-ink)}}hr{{margin:14px 0}}</style>",
                    picture::style_sheet()
                );
                page.push_str(&pictures.join("<hr>"));
                std::fs::write(format!("{folder}/{part}-{width}-{theme}.html"), page)?;
            }
        }
    }
    let (job, assessment) = sample::found60();
    std::fs::write(
        format!("{folder}/alone.svg"),
        picture::flow(&job, &assessment, &Style::wide().alone()),
    )
}

fn pictures(style: &Style) -> Vec<(&'static str, Vec<String>)> {
    let (open, found, small) = (sample::open60(), sample::found60(), sample::small3());
    let (guess, empty, repaired) = (sample::guess60(), sample::empty(), sample::repaired60());
    let flow = |(job, assessment): &(job::Job, job::Assessment), k: usize| {
        picture::flow(job, assessment, &style.clone().with_ids(&format!("f{k}")))
    };
    let night = &found.0.recordings["night.csv"];
    let analysis = night.analysis();
    let marks = [
        Mark {
            at_s: 1900.0,
            label: "locked".into(),
        },
        Mark {
            at_s: 16_000.0,
            label: "8: F34 pulled".into(),
        },
        Mark {
            at_s: 16_900.0,
            label: "9: F34 back in".into(),
        },
    ];
    let mut started = picture::trace(
        &night.trace,
        Some(&analysis),
        &marks,
        None,
        &style.clone().with_ids("t1"),
    );
    started.push_str("<hr>");
    let view = TraceView {
        from_s: 7_500.0,
        to_s: 8_400.0,
    };
    started.push_str(&picture::trace(
        &night.trace,
        Some(&analysis),
        &[],
        Some(view),
        &style.clone().with_ids("t2"),
    ));
    let short = sample::trace_of(1500, 1.0);
    let short_analysis = trace::analyse(&short, &trace::AnalyseOptions::default());
    let nights = |a: &job::Assessment, start_hour, complaint_h, k: usize| {
        picture::nights(
            a,
            &NightsOptions {
                start_hour,
                complaint_h,
            },
            &style.clone().with_ids(&format!("n{k}")),
        )
    };
    vec![
        ("flow-open", vec![flow(&open, 1)]),
        (
            "flow-link",
            vec![picture::flow(
                &found.0,
                &found.1,
                &style.clone().with_links(),
            )],
        ),
        (
            "flow-small",
            vec![flow(&small, 2), flow(&guess, 3), flow(&empty, 4)],
        ),
        (
            "trace",
            vec![
                started,
                picture::trace(
                    &short,
                    Some(&short_analysis),
                    &[],
                    None,
                    &style.clone().with_ids("t3"),
                ),
            ],
        ),
        (
            "nights",
            vec![
                nights(&open.1, Some(18.5), Some(40.0), 1),
                nights(&repaired.2, None, None, 2),
                nights(&small.1, None, None, 3),
                nights(&empty.1, None, None, 4),
            ],
        ),
        (
            "odds",
            vec![
                picture::odds(&open.1, &style.clone().with_ids("o1")),
                picture::odds(&repaired.2, &style.clone().with_ids("o2")),
            ],
        ),
    ]
}
