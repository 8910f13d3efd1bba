//! What holds for every picture: well-formed, no labels over one another, nothing outside, always the same.

#[path = "../tests/support/sample.rs"]
mod sample;

use job::{Assessment, Job};

use crate::{
    Mark, NightsOptions, Style, TraceView, Zoom, canvas::Canvas, current, flow, nights, odds,
    theme::Tone,
};

fn styles() -> Vec<Style> {
    let mut styles = vec![
        Style::narrow(),
        Style::wide(),
        Style::narrow().with_links(),
        Style::wide().with_links(),
    ];
    for width in [280.0, 320.0, 560.0, 680.0, 1280.0] {
        styles.push(Style {
            width,
            ..Style::wide()
        });
    }
    styles
}

fn jobs() -> Vec<(Job, Assessment)> {
    let (job, before, after) = sample::repaired60();
    let (odd_job, odd) = odd();
    vec![
        sample::empty(),
        sample::guess60(),
        sample::open60(),
        sample::found60(),
        sample::small3(),
        (job.clone(), before),
        (job, after),
        (odd_job, odd),
    ]
}

/// Names and numbers that nobody should send, but somebody will.
fn odd() -> (Job, Assessment) {
    let (mut job, mut assessment) = sample::small3();
    for node in &mut assessment.nodes {
        node.label =
            "A very long label with <tags> & \"quotes\", Größe, 蓄電池 and no end in sight at all"
                .into();
    }
    assessment.nodes[2].mean_a = f64::NAN;
    assessment.nodes[3].mean_a = -0.02;
    assessment.nodes[3].p_fault = f64::NAN;
    assessment.nodes[4].draw.p95 = f64::INFINITY;
    assessment.nodes[4].parent = Some(harness::NodeId("nowhere".into()));
    job.vehicle.name = "<script>alert(1)</script>".into();
    (job, assessment)
}

/// Every canvas that these jobs give, with its height.
fn canvases(style: &Style) -> Vec<(Canvas, f64)> {
    let mut out = Vec::new();
    for (job, assessment) in jobs() {
        out.push(flow::draw(&job, &assessment, style));
        out.push(odds::draw(&assessment, style));
        for (start_hour, complaint_h) in [
            (None, None),
            (Some(18.5), Some(40.0)),
            (Some(3.0), Some(1.0)),
        ] {
            out.push(nights::draw(
                &assessment,
                &NightsOptions {
                    start_hour,
                    complaint_h,
                },
                style,
            ));
        }
    }
    let night = sample::night();
    let analysis = trace::analyse(&night, &trace::AnalyseOptions::default());
    let marks: Vec<Mark> = (0..12)
        .map(|k| Mark {
            at_s: f64::from(k * k) * 260.0,
            label: format!("{k}: F{k} pulled"),
        })
        .collect();
    let zoom = TraceView {
        from_s: 7_500.0,
        to_s: 8_400.0,
    };
    let nothing = TraceView {
        from_s: 5.0,
        to_s: 5.0,
    };
    for (analysis, marks, view) in [
        (Some(&analysis), &marks[..], None),
        (Some(&analysis), &[][..], Some(zoom)),
        (None, &[][..], None),
        (Some(&analysis), &[][..], Some(nothing)),
    ] {
        for cursors in [
            None,
            Some((7_600.0, 8_000.0)),
            Some((8_399.0, 8_398.0)),
            Some((f64::NAN, 1.0)),
        ] {
            let zoom = Zoom {
                view,
                cursors,
                pyramid: None,
            };
            out.push(current::draw(&night, analysis, marks, zoom, style));
        }
    }
    out
}

#[test]
fn labels_never_overlap_and_stay_inside() {
    for (lang, _) in tongue::Lang::ALL {
        tongue::speak(lang, no_label_overlaps);
    }
}

fn no_label_overlaps() {
    for style in styles() {
        for (canvas, height) in canvases(&style) {
            for (at, (label, text)) in canvas.labels.iter().enumerate() {
                // The width estimate is generous, so a hair's breadth at the edge is fine.
                assert!(
                    label.x >= -0.5
                        && label.x + label.w <= canvas.width + 0.5
                        && label.y >= 0.0
                        && label.y + label.h <= height,
                    "'{text}' leaves a picture {} wide and {height} high: {label:?}",
                    canvas.width
                );
                for (other, words) in &canvas.labels[..at] {
                    assert!(
                        !label.overlaps(other),
                        "'{text}' over '{words}' at width {}",
                        canvas.width
                    );
                }
            }
        }
    }
}

#[test]
fn pictures_are_well_formed_named_and_large_enough() {
    for style in styles() {
        for (canvas, height) in canvases(&style) {
            let svg = canvas.finish(height, "A title", "A finding.").svg();
            let document =
                roxmltree::Document::parse(&svg).unwrap_or_else(|e| panic!("{e}: {svg}"));
            let root = document.root_element();
            assert_eq!(
                root.attribute("role"),
                Some(if style.links { "group" } else { "img" })
            );
            for id in root.attribute("aria-labelledby").unwrap().split(' ') {
                assert!(
                    root.children().any(|c| c.attribute("id") == Some(id)),
                    "{id}"
                );
            }
            for text in root.descendants().filter(|n| n.has_tag_name("text")) {
                assert!(text.attribute("font-size").unwrap().parse::<f64>().unwrap() >= 11.0);
            }
            for node in root.descendants() {
                for attribute in node.attributes() {
                    let value = attribute.value();
                    assert!(!value.contains("NaN") && !value.contains("inf"), "{value}");
                    if let Some(id) = value
                        .strip_prefix("url(#")
                        .and_then(|v| v.strip_suffix(')'))
                    {
                        assert!(
                            root.descendants().any(|n| n.attribute("id") == Some(id)),
                            "{id}"
                        );
                    }
                }
            }
        }
    }
}

#[test]
fn same_input_same_bytes() {
    let (job, assessment) = sample::found60();
    for style in styles() {
        assert_eq!(
            crate::flow(&job, &assessment, &style),
            crate::flow(&job, &assessment, &style)
        );
    }
}

#[test]
fn streams_are_as_wide_as_their_current() {
    let (job, assessment) = sample::small3();
    let svg = crate::flow(&job, &assessment, &Style::wide());
    let document = roxmltree::Document::parse(&svg).unwrap();
    // A strand starts "M<right> <top>" and ends "L<left> <top>Z".
    let width = |d: &str| {
        let first: f64 = d[1..].split(' ').next()?.parse().ok()?;
        let last: f64 = d
            .strip_suffix('Z')?
            .rsplit(['L', 'Z'])
            .next()?
            .split(' ')
            .next()?
            .parse()
            .ok()?;
        Some(first - last)
    };
    let class = format!("nd-k-{}", Tone::Edge.name());
    let widths: Vec<f64> = document
        .descendants()
        .filter(|n| {
            n.attribute("class")
                .is_some_and(|c| c.contains(&class) && c.contains("nd-f-"))
        })
        .filter_map(|n| n.attribute("d"))
        .filter(|d| d.contains('A'))
        .filter_map(width)
        .collect();
    // Alarm 62, radio 21.25, clock 3 and 11.9 mA unaccounted for.
    let means: Vec<f64> = assessment.nodes[2..]
        .iter()
        .map(|n| n.mean_a)
        .chain([0.0119])
        .collect();
    assert_eq!(widths.len(), means.len());
    for (w, mean) in widths.iter().zip(&means) {
        let ratio = (w / widths[0]) / (mean / means[0]);
        assert!((ratio - 1.0).abs() < 0.05, "{w} for {mean}: {widths:?}");
    }
}

#[test]
fn small_streams_are_put_together_without_losing_current() {
    for (job, assessment) in [sample::open60(), sample::found60(), sample::guess60()] {
        let svg = crate::flow(&job, &assessment, &Style::narrow());
        let document = roxmltree::Document::parse(&svg).unwrap();
        let texts: Vec<&str> = document
            .descendants()
            .filter(|n| n.has_tag_name("text"))
            .filter_map(|n| n.text())
            .collect();
        // Named fuses and the counts of the others make sixty.
        let named = texts
            .iter()
            .filter(|t| t.starts_with('F') && t[1..].starts_with(|c: char| c.is_ascii_digit()))
            .count();
        let others: usize = texts
            .iter()
            .filter_map(|t| {
                t.strip_prefix("other ")
                    .or_else(|| t.ends_with("circuits").then_some(*t))
            })
            .filter_map(|rest| rest.split(' ').next()?.parse::<usize>().ok())
            .sum();
        assert_eq!(named + others, 60, "{texts:?}");
        assert!(texts.len() < 60, "{}", texts.len());
    }
}

#[test]
fn numbers_shown_come_from_the_assessment() {
    let (job, assessment) = sample::found60();
    let svg = crate::flow(&job, &assessment, &Style::wide());
    for said in [
        "423 ± 8 mA",
        "Above the limit of 50 mA.",
        "381 mA",
        "374 to 388 mA",
        "at fault, &gt; 99 %",
    ] {
        assert!(
            svg.contains(&said.replace(' ', "\u{a0}")) || svg.contains(said),
            "{said}"
        );
    }
    let night = &job.recordings["night.csv"];
    let svg = crate::trace(
        &night.trace,
        Some(&night.analysis()),
        &[],
        None,
        &Style::wide(),
    );
    assert!(
        svg.contains("limit 50 mA")
            && svg.contains("logarithmic above 10 mA")
            && svg.contains(">asleep<")
    );
}

#[test]
fn german_pictures_speak_german() {
    let (job, assessment) = sample::found60();
    let night = &job.recordings["night.csv"];
    tongue::speak(tongue::Lang::De, || {
        let flow = crate::flow(&job, &assessment, &Style::wide());
        assert!(flow.contains("Wohin der Strom fließt") && flow.contains("Über dem Grenzwert"));
        let analysis = night.analysis();
        let trace = crate::trace(&night.trace, Some(&analysis), &[], None, &Style::wide());
        assert!(trace.contains("Ruhestrom 23,11") && trace.contains("schaltet ab"));
        let nights = crate::nights(&assessment, &NightsOptions::default(), &Style::wide());
        assert!(nights.contains("Startet noch") && !nights.contains("Cranks"));
        let told = crate::finding::told(&analysis).join(" ");
        assert!(told.contains("nach Beginn") && !told.contains("after the start"));
    });
}

#[test]
fn links_lead_to_the_node() {
    let (job, assessment) = sample::found60();
    let svg = crate::flow(&job, &assessment, &Style::narrow().with_links());
    let document = roxmltree::Document::parse(&svg).unwrap();
    let link = document
        .descendants()
        .find(|n| n.attribute("data-node") == Some("F34"))
        .unwrap();
    assert_eq!(link.tag_name().name(), "a");
    assert_eq!(link.attribute("href"), Some("#node-F34"));
    let hit = link
        .children()
        .find(|n| n.attribute("class") == Some("nd-hit"))
        .unwrap();
    assert!(hit.attribute("height").unwrap().parse::<f64>().unwrap() >= 44.0);
    assert!(!crate::flow(&job, &assessment, &Style::narrow()).contains("<a "));
    let style = Style::narrow().with_links_to("/jobs/3/reading?a=b&node=");
    let svg = crate::flow(&job, &assessment, &style);
    assert!(svg.contains("href=\"/jobs/3/reading?a=b&amp;node=F34\""));
}

#[test]
fn nothing_known_says_so() {
    let (job, assessment) = sample::empty();
    let style = Style::narrow();
    assert!(crate::flow(&job, &assessment, &style).contains("Total not measured yet"));
    assert!(
        crate::nights(&assessment, &NightsOptions::default(), &style)
            .contains("neither capacity nor cranking current")
    );
    assert!(crate::odds(&assessment, &style).contains("No odds yet"));
    let empty = sample::trace_of(0, 1.0);
    assert!(crate::trace(&empty, None, &[], None, &style).contains("Nothing recorded"));
}

#[test]
fn the_quick_way_draws_the_same() {
    let night = sample::night();
    let pyramid = trace::Pyramid::of(&night);
    let view = Some(TraceView {
        from_s: 100.0,
        to_s: 9_000.0,
    });
    for cursors in [None, Some((500.0, 300.0))] {
        let zoom = |pyramid| Zoom {
            view,
            cursors,
            pyramid,
        };
        let draw = |zoom| crate::trace_closely(&night, None, &[], zoom, &Style::wide());
        assert_eq!(draw(zoom(Some(&pyramid))), draw(zoom(None)));
    }
}

#[test]
fn cursors_stand_where_they_are_and_only_when_seen() {
    let night = sample::night();
    let handles = |cursors: (f64, f64)| {
        let zoom = Zoom {
            view: Some(TraceView {
                from_s: 1_000.0,
                to_s: 2_000.0,
            }),
            cursors: Some(cursors),
            pyramid: None,
        };
        let svg = crate::trace_closely(&night, None, &[], zoom, &Style::wide());
        (svg.contains(">A</text>"), svg.contains(">B</text>"))
    };
    assert_eq!(handles((1_500.0, 1_200.0)), (true, true));
    assert_eq!(handles((1_500.0, 9_000.0)), (true, false));
    assert_eq!(handles((10.0, 20.0)), (false, false));
}

#[test]
fn entries_are_marked_where_the_clock_is_sure() {
    let entry = |at: &str, kind: &str| {
        let text = format!("at = \"{at}\"\n{kind}\n");
        job::file::entry_from_toml(&text).unwrap()
    };
    let mut job = sample::small3().0;
    let pull = "kind = \"pull\"\nnodes = [\"F1\"]\nbefore = \"400 mA\"\nafter = \"20 mA\"";
    job.entries = vec![
        entry(
            "2026-03-02T20:10:00Z",
            "kind = \"note\"\ntext = \"too early\"",
        ),
        entry(
            "2026-03-02T20:20:00Z",
            "kind = \"note\"\ntext = \"bonnet shut\"",
        ),
        entry("2026-03-02T20:25:00Z", pull),
        entry(
            "2026-03-02T20:26:00Z",
            "kind = \"note\"\ntext = \"by mistake\"",
        ),
        entry("2026-03-02T20:27:00Z", "kind = \"strike\"\nentry = 4"),
        entry(
            "2026-03-02T23:00:00Z",
            "kind = \"note\"\ntext = \"too late\"",
        ),
    ];
    let mut night = sample::trace_of(3_600, 1.0);
    night.source.start = Some("2026-03-02T21:15:00+01:00".into());
    let marks = crate::marks(&job, &night);
    let said: Vec<(f64, &str)> = marks.iter().map(|m| (m.at_s, m.label.as_str())).collect();
    assert_eq!(said, [(300.0, "2: bonnet shut"), (600.0, "3: F1 pulled")]);
    // Without a zone the clock may be hours off; without a start there is none.
    for start in [
        Some("2026-03-02T20:15:00".to_owned()),
        Some("20:15".to_owned()),
        None,
    ] {
        night.source.start = start;
        assert!(crate::marks(&job, &night).is_empty());
    }
    assert!(crate::marks(&job, &sample::trace_of(0, 1.0)).is_empty());
}

#[test]
fn names_are_whole_at_the_desk() {
    let (mut job, mut assessment) = sample::small3();
    let long = "Load bay lamps and rear step";
    for node in assessment.nodes.iter_mut().skip(2) {
        node.label = long.into();
    }
    job.vehicle.name = "long names".into();
    let style = Style {
        width: 620.0,
        ..Style::wide().with_links()
    };
    let svg = crate::flow(&job, &assessment, &style);
    let document = roxmltree::Document::parse(&svg).unwrap();
    let said: Vec<&str> = document
        .descendants()
        .filter(|n| n.has_tag_name("text"))
        .filter_map(|n| n.text())
        .collect();
    assert!(!said.iter().any(|text| text.contains('…')), "{said:?}");
    let all = said.join(" ").replace('\u{a0}', " ");
    assert!(all.contains(long), "{all}");
}

/// On the narrowest page too, in either language, a number has its word.
#[test]
fn every_odd_says_its_word() {
    for (lang, _) in tongue::Lang::ALL {
        tongue::speak(lang, || {
            for (_, assessment) in jobs() {
                let svg = crate::odds(&assessment, &Style::narrow());
                for odds in assessment.cause.iter().filter(|odds| odds.p.is_finite()) {
                    let word = crate::words::Suspicion::of(odds.p).word_for_cause();
                    let said = format!("{word}, {}<", crate::words::percent(odds.p));
                    assert!(svg.contains(&said), "{said}: {svg}");
                }
            }
        });
    }
}
