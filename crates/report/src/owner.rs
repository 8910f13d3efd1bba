//! The owner's page: what was wrong, how we know, what it means.

use battery::Verdict;
use job::{Assessment, EntryKind, Job};
use measure::quantity::Ampere;
use picture::words;
use tongue::say;
use trace::Exceeds;

use crate::{
    ReportOptions, Stand,
    doc::{Block, Column, Figure, Line, Manner, Row, Size, Table, heading, lead, para},
    names,
};

pub(crate) fn page(
    job: &Job,
    assessment: &Assessment,
    options: &ReportOptions,
    stand: Stand,
    name: &str,
) -> Vec<Block> {
    let before = options
        .before
        .as_ref()
        .filter(|_| matches!(stand, Stand::Verified | Stand::Repaired));
    let mut page = head(job, options, stand, name);
    page.push(heading(say::report::what_was_wrong()));
    page.extend(wrong(job, assessment, before, stand));
    if stand != Stand::Nothing {
        page.push(heading(say::report::how_we_know()));
        page.push(evidence(
            job,
            before.unwrap_or(assessment),
            before.is_some(),
        ));
    }
    let shown = before.unwrap_or(assessment);
    if shown.total.is_some() {
        let caption = match before {
            Some(_) => say::report::strands_before(),
            None => say::report::strands(),
        };
        page.push(Block::Figure(Figure::new(
            "owner-flow",
            caption,
            &|style| picture::drawn::flow(job, shown, style),
        )));
    }
    if let Some(before) = before {
        page.push(heading(say::report::before_and_after()));
        page.push(before_and_after(before, assessment));
    }
    if stand != Stand::Nothing {
        page.push(heading(say::report::what_for_parking()));
        page.extend(parking(assessment));
    }
    page.push(heading(say::report::what_to_watch()));
    page.push(watch(assessment, stand));
    page
}

fn head(job: &Job, options: &ReportOptions, stand: Stand, name: &str) -> Vec<Block> {
    let kicker = |text: tongue::Message| Block::Para(Manner::Kicker, text.into());
    let mut head = Vec::new();
    if job.invented {
        head.push(Block::Para(
            Manner::Invented,
            say::report::invented().into(),
        ));
    }
    head.push(kicker(say::report::kicker()));
    head.push(Block::Title(
        say::report::headline(name, headline(stand)).to_string(),
    ));
    if let Some(text) = &job.complaint.text {
        head.push(kicker(say::report::complaint(text)));
    }
    if let Some(owner) = job.vehicle.owner.as_ref().filter(|_| options.include_owner) {
        head.push(kicker(say::report::owner(owner)));
    }
    head.push(Block::Heading {
        level: 2,
        id: None,
        text: say::report::for_owner().to_string(),
    });
    head
}

fn headline(stand: Stand) -> tongue::Message {
    match stand {
        Stand::Nothing => say::report::stand_nothing(),
        Stand::Open => say::report::stand_open(),
        Stand::Found => say::report::stand_found(),
        Stand::Verified => say::report::stand_verified(),
        Stand::Repaired => say::report::stand_repaired(),
    }
}

/// The culprits with their draws: "Dash camera (fuse F34) draws about 381 mA while the vehicle is parked."
fn culprits(assessment: &Assessment, past: bool) -> Vec<String> {
    let draw = |id: &harness::NodeId| {
        assessment
            .nodes
            .iter()
            .find(|n| n.id == *id)
            .map(|n| words::current(n.mean_a))
    };
    assessment
        .culprits
        .iter()
        .map(|c| {
            let name = c.place(names::node_and_feed(assessment, &c.node));
            match (draw(&c.node), past) {
                (Some(current), true) => say::report::drew(current, name),
                (Some(current), false) => say::report::draws(current, name),
                (None, true) => say::report::was_at_fault(name),
                (None, false) => say::report::is_at_fault(name),
            }
            .to_string()
        })
        .chain(outside(assessment, past))
        .collect()
}

/// The same of what no listed circuit feeds.
fn outside(assessment: &Assessment, past: bool) -> Option<String> {
    let found = assessment.outside_named()?;
    let (name, current) = (
        say::report::outside_the_list(),
        words::current(found.mean_a),
    );
    let said = if past {
        say::report::drew(current, name)
    } else {
        say::report::draws(current, name)
    };
    Some(said.to_string())
}

fn wrong(
    job: &Job,
    assessment: &Assessment,
    before: Option<&Assessment>,
    stand: Stand,
) -> Vec<Block> {
    match stand {
        Stand::Nothing => return vec![lead(say::report::nothing_measured())],
        Stand::Open => {
            return vec![lead(say::report::cause_open()), para(&assessment.summary)];
        }
        Stand::Found | Stand::Verified | Stand::Repaired => {}
    }
    let found = culprits(before.unwrap_or(assessment), before.is_some());
    let mut out: Vec<Block> = found.into_iter().map(lead).collect();
    if out.is_empty() {
        out.push(lead(&assessment.summary));
    }
    for (_, entry) in job.standing() {
        if let EntryKind::Repair { text, .. } = &entry.kind {
            out.push(para(say::report::done(text)));
        }
    }
    if stand == Stand::Repaired {
        out.push(para(say::report::not_shown()));
    } else if !assessment.done_because.is_empty() {
        out.push(para(sentence(&assessment.done_because.to_string())));
    }
    out
}

fn evidence(job: &Job, assessment: &Assessment, before: bool) -> Block {
    let mut list = Vec::new();
    if let Some(total) = assessment.total {
        let draw = words::plus_minus::<Ampere>(total);
        let limit = words::current(assessment.limit_a);
        list.push(Line::rich(&if before {
            say::report::vehicle_drew_before(draw, limit)
        } else {
            say::report::vehicle_drew(draw, limit)
        }));
    }
    list.extend(
        assessment
            .explanation
            .iter()
            .map(|why| (&why.sentence).into()),
    );
    for culprit in &assessment.culprits {
        let name = culprit.place(names::node(assessment, &culprit.node));
        list.push(say::report::certain(name, words::percent(culprit.p_fault)).into());
    }
    if let Some(found) = assessment.outside_named() {
        let name = say::job::outside_the_list();
        list.push(say::report::certain(name, words::percent(found.p_fault)).into());
    }
    if let Some(finding) = &assessment.trace {
        let found = picture::finding::trace(Some(&finding.analysis));
        list.push(say::report::recorded(found).into());
    }
    list.push(names::verdict(assessment.battery.verdict).into());
    let readings = job
        .standing()
        .filter(|(_, e)| {
            matches!(
                e.kind,
                EntryKind::Draw { .. } | EntryKind::Pull { .. } | EntryKind::Unplug { .. }
            )
        })
        .count();
    if readings > 0 {
        list.push(say::report::rests_on(readings).into());
    }
    Block::List(list)
}

fn before_and_after(before: &Assessment, after: &Assessment) -> Block {
    let total = |a: &Assessment| {
        a.total
            .map_or_else(words::unknown, words::plus_minus::<Ampere>)
    };
    let limit = |a: &Assessment| match a.exceeds {
        Exceeds::Yes => say::report::above_limit(),
        Exceeds::No => say::report::inside_limit(),
        Exceeds::Unsure => say::report::not_certain(),
    };
    let stands = |a: &Assessment| match &a.forecast {
        Some(f) => f
            .hours_to_no_start
            .as_ref()
            .map_or_else(|| say::report::longer().to_string(), words::stands),
        None => words::unknown(),
    };
    let row = |name: tongue::Message, before: String, after: String, strong: bool| {
        let mut last = Line::default();
        last.push(&after, strong);
        Row {
            cells: vec![name.into(), before.into(), last],
            ..Row::default()
        }
    };
    let limit_row = say::report::row_limit(words::current(after.limit_a));
    Block::Table(Table {
        caption: say::report::parked_asleep().to_string(),
        columns: vec![
            Column::words(""),
            Column::words(say::report::before()),
            Column::words(say::report::after()),
        ],
        rows: vec![
            row(say::report::row_draws(), total(before), total(after), true),
            row(limit_row, limit(before).into(), limit(after).into(), false),
            row(
                say::report::row_parked(),
                stands(before),
                stands(after),
                true,
            ),
        ],
        size: Size::Big,
        region: None,
    })
}

fn parking(assessment: &Assessment) -> Vec<Block> {
    let Some(forecast) = &assessment.forecast else {
        return vec![para(picture::finding::nights(assessment))];
    };
    let mut out = vec![para(Line::rich(&match &forecast.hours_to_no_start {
        Some(q) => say::report::still_starts(words::stands(q)),
        None => say::report::starts_long(),
    }))];
    if let Some(q) = &forecast.hours_to_half {
        out.push(para(say::report::half(words::stands(q))));
    }
    out.extend(forecast.freezing_risk.iter().map(para));
    out
}

fn watch(assessment: &Assessment, stand: Stand) -> Block {
    let mut list: Vec<Line> = vec![
        match stand {
            Stand::Nothing => say::report::watch_nothing(),
            Stand::Open => say::report::watch_open(),
            Stand::Found => say::report::watch_found(),
            Stand::Repaired => say::report::watch_repaired(),
            Stand::Verified => say::report::watch_verified(),
        }
        .into(),
    ];
    match assessment.battery.verdict {
        Verdict::Weak | Verdict::Replace => list.push(say::report::watch_weak().into()),
        Verdict::RechargeAndRetest | Verdict::Unknown => {
            list.push(say::report::watch_untested().into());
        }
        Verdict::Good => {}
    }
    if let Some(h) = assessment.forecast.as_ref().and_then(|f| f.recharge_h) {
        list.push(say::report::watch_recharge(words::hours(h)).into());
    }
    Block::List(list)
}

/// A fragment as a sentence: capital first, full stop last.
pub(crate) fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    let first = letters.next().into_iter().flat_map(char::to_uppercase);
    let mut whole: String = first.chain(letters).collect();
    if !whole.ends_with(['.', '?', '!']) {
        whole.push('.');
    }
    whole
}
