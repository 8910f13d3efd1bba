//! The workshop's pages: everything the owner's page rests on.

use std::collections::BTreeSet;

use job::{Assessment, Job, Proposal};
use measure::quantity::{Ampere, AmpereHour, Celsius, Ohm, Share};
use picture::{NightsOptions, words};
use tongue::{Message, number, say};

use crate::{
    ReportOptions,
    doc::{Block, Figure, Line, Manner, Row, Table, heading, lead, para},
    names, tables,
};

pub(crate) fn pages(job: &Job, assessment: &Assessment, options: &ReportOptions) -> Vec<Block> {
    let mut page = vec![
        Block::Heading {
            level: 2,
            id: Some("workshop"),
            text: say::report::for_workshop().to_string(),
        },
        para(&assessment.summary),
        heading(say::report::started_from()),
        vehicle(job, options),
    ];
    if let Some(next) = &assessment.next {
        page.push(heading(say::report::next_step()));
        page.extend(step(next));
    }
    page.push(heading(say::report::verdicts()));
    page.push(verdicts(assessment));
    page.extend(figures(job, assessment, options));
    if assessment.nodes.len() > 1 {
        page.push(heading(say::report::circuits()));
        page.push(tables::nodes(assessment));
    }
    page.push(heading(say::report::entries()));
    page.push(tables::entries(job, assessment));
    if !job.instruments.is_empty() {
        page.push(heading(say::report::instruments()));
        page.push(tables::instruments(job));
    }
    page.extend(remarks(assessment));
    page.push(heading(say::report::how_made()));
    page.push(methods());
    page
}

/// The pictures with what is said to them.
fn figures(job: &Job, assessment: &Assessment, options: &ReportOptions) -> Vec<Block> {
    let mut page = Vec::new();
    if options.before.is_some() && assessment.total.is_some() {
        page.push(heading(say::report::where_now()));
        let said = picture::finding::flow(assessment);
        page.push(Block::Figure(Figure::new("work-flow", said, &|style| {
            picture::drawn::flow(job, assessment, style)
        })));
    }
    page.extend(trace_picture(job, assessment));
    if !assessment.cause.is_empty() {
        page.push(heading(say::report::behind()));
        let said = picture::finding::odds(assessment);
        page.push(Block::Figure(Figure::new("odds", said, &|style| {
            picture::drawn::odds(assessment, style)
        })));
        page.push(reasons(assessment));
    }
    page.push(heading(say::report::nights()));
    let nights = NightsOptions {
        start_hour: None,
        complaint_h: job.complaint.no_start_after_h,
    };
    let said = picture::finding::nights(assessment);
    page.push(Block::Figure(Figure::new("nights", said, &|style| {
        picture::drawn::nights(assessment, &nights, style)
    })));
    page
}

fn remarks(assessment: &Assessment) -> Vec<Block> {
    let mut page = Vec::new();
    if !assessment.warnings.is_empty() {
        page.push(heading(say::report::warnings()));
        page.push(warnings(assessment));
    }
    if !assessment.excluded.is_empty() {
        page.push(heading(say::report::left_out()));
        page.push(excluded(assessment));
    }
    page.push(heading(say::report::cautions()));
    page.extend(cautions(assessment));
    page
}

fn vehicle(job: &Job, options: &ReportOptions) -> Block {
    let mut rows: Vec<(Message, String)> = Vec::new();
    if !job.vehicle.name.trim().is_empty() {
        rows.push((say::report::row_vehicle(), job.vehicle.name.clone()));
    }
    if options.include_owner {
        let vehicle = &job.vehicle;
        rows.extend(
            vehicle
                .plate
                .iter()
                .map(|p| (say::report::row_plate(), p.clone())),
        );
        rows.extend(
            vehicle
                .owner
                .iter()
                .map(|o| (say::report::row_owner(), o.clone())),
        );
    }
    let notes = job.vehicle.notes.iter();
    rows.extend(notes.map(|n| (say::report::row_notes(), n.clone())));
    rows.push((say::report::row_battery(), battery(job)));
    let needs = job.battery.engine_needs_a;
    rows.extend(needs.map(|a| (say::report::row_engine(), number(&Ampere(a).to_string()))));
    let complaint = &job.complaint;
    rows.extend(
        complaint
            .text
            .iter()
            .map(|t| (say::report::row_complaint(), t.clone())),
    );
    let no_start = complaint.no_start_after_h;
    rows.extend(no_start.map(|h| (say::report::row_no_start(), words::hours(h))));
    let parked = complaint.temperature_c;
    rows.extend(parked.map(|t| {
        (
            say::report::row_parked_at(),
            number(&Celsius(t).to_string()),
        )
    }));
    let limit = words::current(job.limit_in_force_a());
    rows.push((say::report::row_limit_for_draw(), limit));
    Block::Table(Table {
        caption: say::report::job_started_from().to_string(),
        rows: rows
            .into_iter()
            .map(|(name, value)| Row {
                cells: vec![name.into(), value.into()],
                ..Row::default()
            })
            .collect(),
        ..Table::default()
    })
}

fn battery(job: &Job) -> String {
    let label = &job.battery.label;
    let mut battery = vec![names::chemistry(label.chemistry).to_string()];
    let capacity = label.capacity_ah;
    battery.extend(capacity.map(|c| number(&AmpereHour(c).to_string())));
    battery.extend(label.cranking.map(|c| {
        let current = number(&Ampere(c.current_a).to_string());
        format!("{current} {}", names::standard(c.standard))
    }));
    let age = job.battery.age_years;
    battery.extend(age.map(|y| say::report::old(words::hours(y * 8766.0)).to_string()));
    battery.join(", ")
}

fn step(next: &Proposal) -> Vec<Block> {
    let mut head = Line::default();
    head.push(&next.headline.to_string(), true);
    let minutes = say::report::step_head("", minutes(next.minutes)).to_string();
    head.push(minutes.trim_start_matches("<b></b>"), false);
    let mut inside = vec![lead(head), para(&next.how), para(&next.why)];
    if let Some(floor) = next.floor_a {
        inside.push(para(say::report::floor(words::current(floor))));
    }
    if !next.outcomes.is_empty() {
        let outcomes = next.outcomes.iter();
        inside.push(Block::List(
            outcomes
                .map(|o| {
                    say::report::outcome(
                        o.means.to_string(),
                        words::percent(o.p),
                        o.seen.to_string(),
                    )
                    .into()
                })
                .collect(),
        ));
    }
    let mut out = vec![Block::Step(inside)];
    if let Some(caution) = &next.caution {
        let mut line = Line::rich(&say::report::caution(""));
        line.push(&caution.to_string(), false);
        out.push(Block::Para(Manner::Caution, line));
    }
    out
}

fn minutes(minutes: f64) -> String {
    match minutes {
        m if m < 0.75 => say::report::minute_at_most().to_string(),
        m if m < 1.5 => "1 min".into(),
        m => words::duration(m.max(2.0) * 60.0),
    }
}

fn verdicts(assessment: &Assessment) -> Block {
    let mut list: Vec<Line> = Vec::new();
    let draw = |x| words::plus_minus::<Ampere>(x);
    list.extend(
        assessment
            .total
            .map(|x| say::report::settled(draw(x)).into()),
    );
    list.extend(
        assessment
            .long_run
            .map(|x| say::report::long_run(draw(x)).into()),
    );
    list.extend(
        assessment
            .unaccounted
            .map(|x| say::report::unaccounted(draw(x)).into()),
    );
    for c in &assessment.culprits {
        let name = c.place(names::node_and_feed(assessment, &c.node));
        list.push(say::report::at_fault(name, words::percent(c.p_fault)).into());
    }
    if let Some(found) = assessment.outside_named() {
        let name = say::job::outside_the_list();
        list.push(say::report::at_fault(name, words::percent(found.p_fault)).into());
    }
    if !assessment.done_because.is_empty() {
        list.push(crate::owner::sentence(&assessment.done_because.to_string()).into());
    }
    let battery = &assessment.battery;
    let mut line = Line::from(names::verdict(battery.verdict));
    if battery.contradicting {
        line = line.and(say::report::contradicting());
    }
    if let Some(charge) = battery.state_of_charge {
        line = line.and(say::report::charge(words::plus_minus::<Share>(charge)));
    }
    if let Some(health) = battery.health {
        line = line.and(say::report::health(words::plus_minus::<Share>(health)));
    }
    list.push(line);
    list.extend(battery.because.iter().map(Line::from));
    list.extend(assessment.fuses.iter().map(|fuse| {
        say::report::fuse_calibrated(
            names::node(assessment, &fuse.node),
            words::plus_minus::<Ohm>(fuse.ohm),
            tables::numbers(&fuse.entries),
            words::plus_minus::<Ohm>(fuse.table_ohm),
        )
        .into()
    }));
    if let Some(e) = &assessment.explanation {
        let needed = say::report::needed(words::current_interval(&e.needed_a));
        list.push(Line::from(&e.sentence).and(needed));
    }
    Block::List(list)
}

fn trace_picture(job: &Job, assessment: &Assessment) -> Vec<Block> {
    let Some(finding) = &assessment.trace else {
        return Vec::new();
    };
    let recording = job.recording_of(finding.entry).map(|known| known.0);
    let said = picture::finding::trace(Some(&finding.analysis));
    let shown = match recording {
        Some(recording) => {
            let marks = picture::marks(job, &recording.trace);
            Block::Figure(Figure::new("trace", said, &|style| {
                let analysis = Some(&*finding.analysis);
                picture::drawn::trace(&recording.trace, analysis, &marks, None, style)
            }))
        }
        None => para(said),
    };
    let mut page = vec![
        heading(say::report::recording()),
        shown,
        para(crate::owner::sentence(
            &finding.analysis.verdict.because.to_string(),
        )),
    ];
    let told = picture::finding::told(&finding.analysis);
    if !told.is_empty() {
        page.push(Block::List(told.iter().map(Line::from).collect()));
    }
    page
}

fn reasons(assessment: &Assessment) -> Block {
    let bare = |why: &dyn ToString| why.to_string().trim_end_matches('.').to_owned();
    let told = assessment
        .cause
        .iter()
        .filter(|o| !o.speaks_for.is_empty() || !o.speaks_against.is_empty());
    let lines = told.map(|o| {
        let head = say::report::cause(words::cause(&o.hypothesis), words::percent(o.p));
        let mut line = Line::rich(&head);
        let for_it = o
            .speaks_for
            .iter()
            .map(|why| say::report::for_it(bare(why)));
        let against = o
            .speaks_against
            .iter()
            .map(|why| say::report::against_it(bare(why)));
        let check = o
            .cheap_check
            .iter()
            .map(|c| say::report::cheap_check(bare(c)));
        for part in for_it.chain(against).chain(check) {
            line.push(&format!("; {part}"), false);
        }
        line.push(".", false);
        line
    });
    Block::List(lines.collect())
}

fn warnings(assessment: &Assessment) -> Block {
    let lines = assessment.warnings.iter().map(|w| {
        let line = Line::from(&w.message);
        if w.entries.is_empty() {
            return line;
        }
        line.and(format!("({})", tables::numbers(&w.entries)))
    });
    Block::List(lines.collect())
}

fn excluded(assessment: &Assessment) -> Block {
    let lines = assessment.excluded.iter().map(|e| {
        let why = e.reason.to_string();
        match &e.node {
            Some(node) => say::bench::left_out_at(names::node(assessment, node), e.test(), why),
            None => say::bench::left_out_test(e.test(), why),
        }
        .into()
    });
    Block::List(lines.collect())
}

/// The cautions of the steps that this report proposes, each once.
fn cautions(assessment: &Assessment) -> Vec<Block> {
    let mut seen = BTreeSet::new();
    let steps = assessment.next.iter().chain(&assessment.alternatives);
    let lines: Vec<Line> = steps
        .filter_map(|p| p.caution.as_ref().map(ToString::to_string))
        .filter(|c| seen.insert(c.clone()))
        .map(Line::from)
        .collect();
    let mut out = Vec::new();
    if !lines.is_empty() {
        out.push(Block::List(lines));
    }
    out.push(para(say::report::maker_first()));
    out
}

fn methods() -> Block {
    Block::List(vec![
        say::report::method_uncertainty().into(),
        say::report::method_levels().into(),
        say::report::method_draws().into(),
        say::report::method_middle().into(),
    ])
}
