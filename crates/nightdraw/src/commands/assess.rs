//! `nightdraw assess`: everything Nightdraw makes of one job.

use std::fmt::{Display, Write};

use ::job::{Assessment, NodeAssessment, Proposal, contract};
use battery::Verdict;
use measure::quantity::{Ampere, Ohm};
use picture::words;
use tongue::{Message, fixed, say};

use crate::{
    cli::AssessArguments,
    commands::find_job_and_history,
    failure::Failure,
    output::{print, print_json},
};

/// Circuits shown on the terminal; the rest are only counted.
const MOST_CIRCUITS: usize = 8;

pub(crate) fn run(arguments: &AssessArguments) -> Result<(), Failure> {
    let (job, history) = find_job_and_history(
        &arguments.job,
        arguments.data.as_deref(),
        arguments.without_history,
    )?;
    let assessment = ::job::assess_with(&job, &history);
    if arguments.json {
        let document = if arguments.next_only {
            contract::next_only(&assessment)
        } else {
            contract::assessment(&assessment)
        };
        return print_json(&document);
    }
    let text = if arguments.next_only {
        next_step(&assessment)
    } else {
        page(&assessment)
    };
    print(&text)
}

/// The assessment as a person reads it: where it stands and the next step first.
pub(crate) fn page(assessment: &Assessment) -> String {
    let mut text = String::new();
    // Writing to a string cannot fail.
    let _ = writeln!(text, "{}\n", assessment.summary);
    let _ = writeln!(text, "{}", next_step(assessment));
    if let Some(total) = assessment.total {
        let draw = words::plus_minus::<Ampere>(total);
        line(&mut text, &say::cli::total_draw(), &draw);
    }
    if let Some(long_run) = assessment.long_run {
        let draw = words::plus_minus::<Ampere>(long_run);
        line(&mut text, &say::cli::long_run(), &draw);
    }
    if let Some(unaccounted) = assessment.unaccounted {
        let draw = words::plus_minus::<Ampere>(unaccounted);
        line(&mut text, &say::cli::unaccounted(), &draw);
    }
    battery(&mut text, assessment);
    if let Some(explanation) = &assessment.explanation {
        line(&mut text, &say::cli::complaint(), &explanation.sentence);
    }
    circuits(&mut text, assessment);
    causes(&mut text, assessment);
    fuses(&mut text, assessment);
    for warning in &assessment.warnings {
        let _ = writeln!(text, "\n{}", say::cli::note(&warning.message));
    }
    if assessment.learned_from > 0 {
        let _ = writeln!(
            text,
            "\n{}",
            say::cli::leans_on(say::cli::finished_jobs(assessment.learned_from))
        );
    }
    text
}

/// What something is, in a column, and what it comes to.
fn line(text: &mut String, name: &Message, value: &dyn Display) {
    // Writing to a string cannot fail.
    let _ = writeln!(text, "{name:<14} {value}");
}

fn verdict(verdict: Verdict) -> Message {
    match verdict {
        Verdict::Good => say::cli::battery_good(),
        Verdict::RechargeAndRetest => say::cli::battery_recharge(),
        Verdict::Weak => say::cli::battery_weak(),
        Verdict::Replace => say::cli::battery_replace(),
        Verdict::Unknown => say::cli::battery_unknown(),
    }
}

fn battery(text: &mut String, assessment: &Assessment) {
    let mut tested = verdict(assessment.battery.verdict);
    if assessment.battery.contradicting {
        tested = say::cli::contradicting(tested);
    }
    line(text, &say::cli::battery(), &tested);
    let Some(forecast) = &assessment.forecast else {
        return;
    };
    if let Some(hours) = &forecast.hours_to_no_start {
        let [low, middle, high] = [hours.p05, hours.p50, hours.p95].map(words::hours);
        line(
            text,
            &say::cli::can_stand(),
            &say::cli::about(high, low, middle),
        );
    }
    if let Some(hours) = &forecast.hours_to_freezing {
        let [low, middle, high] = [hours.p05, hours.p50, hours.p95].map(words::hours);
        let after = say::cli::after_about(high, low, middle);
        line(text, &say::cli::may_freeze(), &after);
    }
}

/// The odds, what speaks for and against the first, and the check that moves most.
fn causes(text: &mut String, assessment: &Assessment) {
    if assessment.cause.is_empty() {
        return;
    }
    let _ = writeln!(text, "\n{}", say::cli::cause());
    for (at, odds) in assessment.cause.iter().enumerate() {
        let _ = writeln!(
            text,
            "  {:>5}  {}",
            words::percent_short(odds.p),
            words::cause(&odds.hypothesis)
        );
        if at == 0 {
            for reason in &odds.speaks_for {
                let _ = writeln!(text, "           {}", say::cli::speaks_for(reason));
            }
            for reason in &odds.speaks_against {
                let _ = writeln!(text, "           {}", say::cli::speaks_against(reason));
            }
        }
    }
    if let Some(check) = assessment
        .most_worthwhile_check()
        .and_then(|odds| odds.cheap_check.as_ref())
    {
        let _ = writeln!(text, "  {}", say::cli::moves_most(check));
    }
}

/// Fuses whose resistance other readings have taught.
fn fuses(text: &mut String, assessment: &Assessment) {
    for fuse in &assessment.fuses {
        let _ = writeln!(
            text,
            "\n{}",
            say::cli::fuse(
                &fuse.node.0,
                words::plus_minus::<Ohm>(fuse.ohm),
                words::plus_minus::<Ohm>(fuse.table_ohm)
            )
        );
    }
}

fn circuits(text: &mut String, assessment: &Assessment) {
    let mut ends: Vec<&NodeAssessment> = assessment
        .nodes
        .iter()
        .filter(|node| {
            !assessment
                .nodes
                .iter()
                .any(|other| other.parent.as_ref() == Some(&node.id))
        })
        .filter(|node| node.parent.is_some())
        .collect();
    if ends.is_empty() {
        return;
    }
    ends.sort_by(|a, b| {
        b.p_fault
            .total_cmp(&a.p_fault)
            .then_with(|| b.mean_a.total_cmp(&a.mean_a))
    });
    let _ = writeln!(text, "\n{}", say::cli::circuits());
    for node in ends.iter().take(MOST_CIRCUITS) {
        let _ = writeln!(
            text,
            "  {:>5}  {:<16} {:<28} {}",
            words::percent_short(node.p_fault),
            node.id.to_string(),
            node.label,
            words::current_interval(&node.draw)
        );
    }
    if ends.len() > MOST_CIRCUITS {
        let more = (ends.len() - MOST_CIRCUITS).to_string();
        let _ = writeln!(text, "        {}", say::cli::and_more(more));
    }
}

fn next_step(assessment: &Assessment) -> String {
    let mut text = String::new();
    match &assessment.next {
        Some(next) => {
            let _ = writeln!(
                text,
                "{}",
                say::cli::next(&next.headline, fixed(next.minutes.max(1.0), 0))
            );
            for part in [&next.how, &next.why] {
                if !part.is_empty() {
                    let _ = writeln!(text, "  {part}");
                }
            }
            if let Some(caution) = &next.caution {
                let _ = writeln!(text, "  {}", say::cli::caution(caution));
            }
            let others: Vec<Message> = assessment
                .alternatives
                .iter()
                .take(3)
                .map(|p: &Proposal| p.headline.clone())
                .collect();
            if !others.is_empty() {
                let _ = writeln!(text, "  {}", say::cli::or(Message::joined(others, "; ")));
            }
        }
        None => {
            let _ = writeln!(text, "{}", assessment.done_because);
        }
    }
    for culprit in &assessment.culprits {
        let _ = writeln!(
            text,
            "{}",
            say::cli::culprit(
                words::percent(culprit.p_fault),
                culprit.place(culprit.node.to_string())
            )
        );
    }
    if let Some(found) = assessment.outside_named() {
        let place = say::job::outside_the_list();
        let found = say::cli::culprit(words::percent(found.p_fault), place);
        let _ = writeln!(text, "{found}");
    }
    text
}
