//! `nightdraw assess`: everything Nightdraw makes of one job.

use std::fmt::Write;

use ::job::{Assessment, NodeAssessment, Proposal, contract};
use measure::quantity::{Ampere, Ohm};
use picture::words;

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
        let _ = writeln!(
            text,
            "total draw     {}",
            words::plus_minus::<Ampere>(total)
        );
    }
    if let Some(long_run) = assessment.long_run {
        let _ = writeln!(
            text,
            "long run       {}",
            words::plus_minus::<Ampere>(long_run)
        );
    }
    if let Some(unaccounted) = assessment.unaccounted {
        let _ = writeln!(
            text,
            "unaccounted    {}",
            words::plus_minus::<Ampere>(unaccounted)
        );
    }
    battery(&mut text, assessment);
    if let Some(explanation) = &assessment.explanation {
        let _ = writeln!(text, "complaint      {}", explanation.sentence);
    }
    circuits(&mut text, assessment);
    causes(&mut text, assessment);
    fuses(&mut text, assessment);
    for warning in &assessment.warnings {
        let _ = writeln!(text, "\nNote: {}", warning.message);
    }
    if assessment.learned_from > 0 {
        let _ = writeln!(
            text,
            "\nThe chances lean on {} (nightdraw history; --without-history leaves them out).",
            super::history::jobs(assessment.learned_from)
        );
    }
    text
}

fn battery(text: &mut String, assessment: &Assessment) {
    let contradicting = if assessment.battery.contradicting {
        "; its tests contradict each other"
    } else {
        ""
    };
    // Writing to a string cannot fail.
    let _ = writeln!(
        text,
        "battery        {}{contradicting}",
        contract::verdict(assessment.battery.verdict)
    );
    let Some(forecast) = &assessment.forecast else {
        return;
    };
    if let Some(hours) = &forecast.hours_to_no_start {
        let _ = writeln!(
            text,
            "can stand      about {} ({} to {})",
            words::hours(hours.p50),
            words::hours(hours.p05),
            words::hours(hours.p95)
        );
    }
    if let Some(hours) = &forecast.hours_to_freezing {
        let _ = writeln!(
            text,
            "may freeze     after about {} ({} to {})",
            words::hours(hours.p50),
            words::hours(hours.p05),
            words::hours(hours.p95)
        );
    }
}

/// The odds, what speaks for and against the first, and the check that moves most.
fn causes(text: &mut String, assessment: &Assessment) {
    if assessment.cause.is_empty() {
        return;
    }
    let _ = writeln!(text, "\nCause of the complaint");
    for (at, odds) in assessment.cause.iter().enumerate() {
        let _ = writeln!(
            text,
            "  {:>5}  {}",
            words::percent_short(odds.p),
            words::cause(&odds.hypothesis)
        );
        if at == 0 {
            for reason in &odds.speaks_for {
                let _ = writeln!(text, "           for: {reason}");
            }
            for reason in &odds.speaks_against {
                let _ = writeln!(text, "           against: {reason}");
            }
        }
    }
    if let Some(check) = assessment
        .most_worthwhile_check()
        .and_then(|odds| odds.cheap_check.as_deref())
    {
        let _ = writeln!(text, "  moves it most: {check}");
    }
}

/// Fuses whose resistance other readings have taught.
fn fuses(text: &mut String, assessment: &Assessment) {
    for fuse in &assessment.fuses {
        let _ = writeln!(
            text,
            "\nFuse {}: {} from other readings; the table says {}.",
            fuse.node,
            words::plus_minus::<Ohm>(fuse.ohm),
            words::plus_minus::<Ohm>(fuse.table_ohm)
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
    let _ = writeln!(text, "\nCircuits, most suspect first");
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
        let _ = writeln!(text, "        and {} more", ends.len() - MOST_CIRCUITS);
    }
}

fn next_step(assessment: &Assessment) -> String {
    let mut text = String::new();
    match &assessment.next {
        Some(next) => {
            let _ = writeln!(
                text,
                "Next: {} (about {:.0} min)",
                next.headline,
                next.minutes.max(1.0)
            );
            for part in [&next.how, &next.why] {
                if !part.is_empty() {
                    let _ = writeln!(text, "  {part}");
                }
            }
            if let Some(caution) = &next.caution {
                let _ = writeln!(text, "  Caution: {caution}");
            }
            let others: Vec<&str> = assessment
                .alternatives
                .iter()
                .take(3)
                .map(|p: &Proposal| p.headline.as_str())
                .collect();
            if !others.is_empty() {
                let _ = writeln!(text, "  Or: {}", others.join("; "));
            }
        }
        None => {
            let _ = writeln!(text, "{}", assessment.done_because);
        }
    }
    for culprit in &assessment.culprits {
        let _ = writeln!(
            text,
            "Culprit: {} ({})",
            culprit.node,
            words::percent(culprit.p_fault)
        );
    }
    text
}
