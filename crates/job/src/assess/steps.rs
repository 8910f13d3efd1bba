//! What to do next: the plan's tests in words, and the steps before and beside
//! the isolation.

use diagnosis::{
    Plan, TestKind,
    cause::{Check, CheckKind},
};
use harness::{
    FeedTree, NodeId, NodeKind, caution,
    fuse::{self, FuseFamily},
};
use measure::{How, Instrument, InstrumentKind, quantity::Ampere};
use tongue::{Message, amount, fixed, say};
use trace::Exceeds;

use super::{away::PAUSE_MIN, evidence::Gathered};
use crate::{EntryKind, Excluded, Job, Outcome, Proposal};

/// Most alternatives shown.
const ALTERNATIVES: usize = 8;
/// Minutes to wait for sleep when no recording tells (common practice: modules
/// take some minutes to an hour).
pub(super) const WAIT_MIN: f64 = 30.0;

/// The next step and the best others.
pub(super) struct Steps {
    pub(super) next: Option<Proposal>,
    pub(super) alternatives: Vec<Proposal>,
    pub(super) excluded: Vec<Excluded>,
}

/// Puts the plan's tests and the checks of the cause in one order, by the
/// expected minutes to a correct repair.
///
/// Testing circuits is going after a steady draw. A check whose saving exceeds
/// its minutes therefore comes before them, unless the draw is known to exceed
/// its limit: then it has to be found whatever else is wrong.
pub(super) fn steps(
    job: &Job,
    tree: &FeedTree,
    gathered: &Gathered,
    plan: Plan,
    checks: &[Check],
    exceeds: Exceeds,
) -> Steps {
    let excluded = plan
        .excluded
        .iter()
        .map(|left| Excluded {
            kind: left.kind.as_str().into(),
            node: left.node.map(|node| tree.node(node).id.clone()),
            reason: left.reason.clone(),
        })
        .collect();
    let (queue, done) = if gathered.total_read {
        let done = plan.done;
        let mut queue = search(job, tree, plan, checks, exceeds);
        if let Some(current_a) = gathered.away_a.filter(|_| !done) {
            queue.insert(0, wait_until_back(job, gathered, current_a));
        }
        (queue, done)
    } else {
        let planned = plan.next.filter(|next| next.nodes == [FeedTree::ROOT]);
        let outcomes = planned.map_or_else(Vec::new, |next| {
            outcomes(tree, next.kind, next.node, next.outcomes)
        });
        (opening(job, gathered, checks, outcomes), false)
    };
    let mut queue = each_once(queue).into_iter();
    Steps {
        // Nothing left to isolate: what remains is beside the point, not next.
        next: if done { None } else { queue.next() },
        alternatives: queue.take(ALTERNATIVES).collect(),
        excluded,
    }
}

/// What stands in front for another reason than its rank does not come again.
fn each_once(queue: Vec<Proposal>) -> Vec<Proposal> {
    let mut once: Vec<Proposal> = Vec::new();
    for proposal in queue {
        let same = |other: &Proposal| other.kind == proposal.kind && other.nodes == proposal.nodes;
        if !once.iter().any(same) {
            once.push(proposal);
        }
    }
    once
}

/// The plan's tests among the checks of the cause, once the total is known.
fn search(
    job: &Job,
    tree: &FeedTree,
    plan: Plan,
    checks: &[Check],
    exceeds: Exceeds,
) -> Vec<Proposal> {
    let (first, later): (Vec<&Check>, Vec<&Check>) = checks
        .iter()
        .partition(|check| check.net_min() > 0.0 && exceeds != Exceeds::Yes);
    let words = |list: Vec<&Check>| -> Vec<Proposal> {
        list.into_iter()
            .flat_map(|check| check_in_words(job, *check))
            .collect()
    };
    let planned = plan.next.into_iter().chain(plan.alternatives);
    let mut queue = words(first);
    queue.extend(planned.map(|p| {
        let stays = job.pulled_stay_out && matches!(p.kind, TestKind::Pull | TestKind::PullGroup);
        let mut step = in_words(tree, p);
        if stays {
            step.how = say::job::stays_out(step.how);
        }
        step
    }));
    queue.extend(words(later));
    queue
}

/// The battery, the total and the checks that pay, before any total is known.
fn opening(
    job: &Job,
    gathered: &Gathered,
    checks: &[Check],
    outcomes: Vec<Outcome>,
) -> Vec<Proposal> {
    let total = if gathered.asleep_now == Some(false) {
        wait_for_sleep(gathered)
    } else {
        Proposal {
            outcomes,
            ..total(job, gathered)
        }
    };
    let mut queue = battery_tests(job);
    // The cheap test of the battery comes first, and disturbs nothing.
    let nothing_yet = job.standing().next().is_none();
    let at = if nothing_yet { queue.len() } else { 0 };
    queue.insert(at, total);
    let others = checks.iter().filter(|check| {
        check.net_min() > 0.0 && !matches!(check.kind, CheckKind::Battery | CheckKind::SettledDraw)
    });
    queue.extend(others.flat_map(|check| check_in_words(job, *check)));
    queue
}

/// Tests of the battery that have not been made.
fn battery_tests(job: &Job) -> Vec<Proposal> {
    let made = |which: fn(&EntryKind) -> bool| job.standing().any(|(_, entry)| which(&entry.kind));
    let mut tests = Vec::new();
    if !made(|kind| matches!(kind, EntryKind::RestVoltage { .. })) {
        tests.push(Proposal {
            kind: "rest-voltage".into(),
            headline: say::job::rest_headline(),
            how: say::job::rest_how(),
            minutes: 2.0,
            why: say::job::rest_why(),
            caution: Some(caution::for_test(caution::TestKind::Battery).text.clone()),
            ..blank()
        });
    }
    let tested = made(|kind| {
        matches!(
            kind,
            EntryKind::Analyser { .. } | EntryKind::LoadTest { .. }
        )
    });
    if !tested && job.battery.label.cranking.is_some() {
        tests.push(Proposal {
            kind: "analyser".into(),
            headline: say::job::analyser_headline(),
            how: say::job::analyser_how(),
            minutes: 3.0,
            why: say::job::analyser_why(),
            caution: Some(caution::for_test(caution::TestKind::Battery).text.clone()),
            ..blank()
        });
    }
    tests
}

/// A check of the cause, in words.
fn check_in_words(job: &Job, check: Check) -> Vec<Proposal> {
    let mut proposals = match check.kind {
        CheckKind::Battery => battery_tests(job),
        CheckKind::Charging => vec![Proposal {
            kind: "charging".into(),
            headline: say::job::charging_headline(),
            how: say::job::charging_how(),
            why: say::job::charging_why(),
            caution: Some(caution::for_test(caution::TestKind::Charging).text.clone()),
            ..blank()
        }],
        CheckKind::Usage => vec![Proposal {
            kind: "usage".into(),
            headline: say::job::usage_headline(),
            how: say::job::usage_how(),
            why: say::job::usage_why(),
            ..blank()
        }],
        CheckKind::SettledDraw => Vec::new(),
        CheckKind::Night => vec![record_night(job)],
    };
    if let [only] = proposals.as_mut_slice() {
        only.minutes = check.minutes;
    }
    if check.net_min() > 0.0 {
        for proposal in &mut proposals {
            let saved = say::job::saves(fixed(check.saves_min.max(1.0), 0));
            let why = std::mem::take(&mut proposal.why);
            proposal.why = Message::joined(vec![why, saved], " ");
        }
    }
    proposals
}

/// The total of the sleeping vehicle.
fn total(job: &Job, gathered: &Gathered) -> Proposal {
    let has = |kind| job.instruments.iter().any(|known| known.kind == kind);
    let in_line = has(InstrumentKind::InLine) && !has(InstrumentKind::Clamp);
    let (kind, how, tool) = if in_line {
        ("in-line", How::InLine, InstrumentKind::InLine)
    } else {
        ("clamp", How::Clamp, InstrumentKind::Clamp)
    };
    let instrument = job
        .instrument_for(tool)
        .cloned()
        .unwrap_or_else(|| Instrument::generic(tool));
    let (headline, manner, kind_of_caution) = if in_line {
        (
            say::job::total_in_line_headline(),
            say::job::total_in_line_how(),
            caution::TestKind::InLine,
        )
    } else {
        (
            say::job::total_clamp_headline(),
            say::job::total_clamp_how(),
            caution::TestKind::Clamp,
        )
    };
    let why = if gathered.repaired {
        say::job::total_why_repaired()
    } else {
        say::job::total_why()
    };
    Proposal {
        kind: kind.into(),
        node: Some(NodeId::battery()),
        nodes: vec![NodeId::battery()],
        headline,
        how: manner,
        minutes: 5.0,
        floor_a: instrument.floor_a(how, None),
        why,
        caution: Some(caution::for_test(kind_of_caution).text.clone()),
        ..blank()
    }
}

/// The draw has gone by itself.
fn wait_until_back(job: &Job, gathered: &Gathered, current_a: f64) -> Proposal {
    Proposal {
        kind: "remeasure".into(),
        headline: say::job::back_headline(),
        how: say::job::back_how(),
        minutes: PAUSE_MIN,
        why: say::job::back_why(Ampere(current_a)),
        ..total(job, gathered)
    }
}

fn wait_for_sleep(gathered: &Gathered) -> Proposal {
    Proposal {
        kind: "wait-for-sleep".into(),
        headline: say::job::sleep_headline(),
        how: say::job::sleep_how(),
        minutes: gathered.settle_min.unwrap_or(WAIT_MIN),
        why: say::job::sleep_why(),
        caution: Some(
            caution::for_test(caution::TestKind::WaitForSleep)
                .text
                .clone(),
        ),
        ..blank()
    }
}

fn record_night(job: &Job) -> Proposal {
    let tool = if job.instrument_for(InstrumentKind::Clamp).is_some() {
        How::Clamp
    } else {
        How::InLine
    };
    Proposal {
        kind: "trace".into(),
        node: Some(NodeId::battery()),
        nodes: vec![NodeId::battery()],
        headline: say::job::night_headline(),
        how: match tool {
            How::Clamp => say::job::night_how_clamp(),
            _ => say::job::night_how_in_line(),
        },
        // Minutes of work; the night passes by itself.
        minutes: 10.0,
        why: say::job::night_why(),
        caution: Some(
            caution::for_test(if tool == How::Clamp {
                caution::TestKind::Clamp
            } else {
                caution::TestKind::InLine
            })
            .text
            .clone(),
        ),
        ..blank()
    }
}

/// A test of the plan, in words.
fn in_words(tree: &FeedTree, p: diagnosis::Proposal) -> Proposal {
    let name = |node: usize| {
        let spec = tree.node(node);
        match &spec.label {
            Some(label) if *label != spec.id.0 => say::job::named(&spec.id.0, label),
            _ => Message::plain(&spec.id.0),
        }
    };
    let one = p
        .node
        .or(p.nodes.first().copied())
        .map_or_else(say::job::the_battery, name);
    let several = p
        .nodes
        .iter()
        .map(|&node| tree.node(node).id.to_string())
        .collect::<Vec<_>>()
        .join(", ");
    let fuse = p
        .node
        .is_some_and(|node| tree.node(node).kind == NodeKind::Fuse);
    let reads = matches!(p.kind, TestKind::Clamp | TestKind::InLine);
    let kind = match p.node {
        Some(FeedTree::ROOT) if reads => TestKind::Remeasure,
        _ => p.kind,
    };
    let (headline, how) = if reads && fuse {
        bypassed(kind, one)
    } else {
        wording(kind, one, &several, fuse)
    };
    let id = |node: usize| tree.node(node).id.clone();
    Proposal {
        kind: p.kind.as_str().into(),
        node: p.node.map(id),
        nodes: p.nodes.iter().map(|&node| id(node)).collect(),
        headline,
        how,
        minutes: p.minutes,
        wake_chance: p.wake_chance,
        floor_a: p.floor_a,
        why: p.why,
        caution: p.caution,
        outcomes: outcomes(tree, p.kind, p.node, p.outcomes),
    }
}

fn outcomes(
    tree: &FeedTree,
    kind: TestKind,
    node: Option<usize>,
    planned: Vec<diagnosis::Outcome>,
) -> Vec<Outcome> {
    planned
        .into_iter()
        .map(|o| Outcome {
            seen: on_the_meter(tree, kind, node, o.seen_a).unwrap_or(o.seen),
            seen_a: o.seen_a,
            p: o.p,
            p_fault: o.p_fault,
            means: o.means,
        })
        .collect()
}

/// Headline of a test of `one` place, or of `several`, and how it is done.
fn wording(kind: TestKind, one: Message, several: &str, fuse: bool) -> (Message, Message) {
    match kind {
        TestKind::Clamp => (say::job::clamp_headline(one), say::job::clamp_how()),
        TestKind::InLine => (say::job::in_line_headline(one), say::job::in_line_how()),
        TestKind::Millivolt => (say::job::millivolt_headline(one), say::job::millivolt_how()),
        TestKind::Pull => (say::job::pull_headline(one), say::job::pull_how()),
        TestKind::PullGroup => (
            say::job::pull_group_headline(several),
            say::job::pull_group_how(),
        ),
        TestKind::Detach => (say::job::detach_headline(one), say::job::detach_how()),
        TestKind::Unplug => (
            say::job::unplug_headline(one),
            if fuse {
                say::job::unplug_fuse_how()
            } else {
                say::job::unplug_how()
            },
        ),
        TestKind::WaitForSleep => (say::job::sleep_headline(), say::job::sleep_how()),
        TestKind::PutBack => (
            say::job::put_back_headline(several),
            say::job::put_back_how(),
        ),
        TestKind::Remeasure => (say::job::again_headline(), say::job::again_how()),
    }
}

/// The current of a fuse whose circuit must not lose its supply.
fn bypassed(kind: TestKind, fuse: Message) -> (Message, Message) {
    match kind {
        TestKind::Clamp => (
            say::job::bridged_clamp_headline(fuse),
            say::job::bridged_clamp_how(),
        ),
        _ => (
            say::job::bridged_in_line_headline(fuse),
            say::job::bridged_in_line_how(),
        ),
    }
}

/// Across a fuse the meter shows millivolts, so that is what to look out for.
fn on_the_meter(
    tree: &FeedTree,
    kind: TestKind,
    node: Option<usize>,
    current_a: Option<f64>,
) -> Option<Message> {
    if kind != TestKind::Millivolt {
        return None;
    }
    let spec = tree.node(node?);
    let family: Option<FuseFamily> = spec.fuse.as_deref().and_then(|word| word.parse().ok());
    let ohm = fuse::resistance(family, spec.rating_a?, None)?.ohm.value;
    // A tenth of a millivolt is what an ordinary meter's last digit shows.
    let shown_mv = (current_a? * ohm * 1e4).round() / 10.0;
    Some(say::job::about_millivolt(amount(shown_mv.to_string())))
}

fn blank() -> Proposal {
    Proposal {
        kind: String::new(),
        node: None,
        nodes: Vec::new(),
        headline: Message::default(),
        how: Message::default(),
        minutes: 0.0,
        wake_chance: 0.0,
        floor_a: None,
        why: Message::default(),
        caution: None,
        outcomes: Vec::new(),
    }
}
