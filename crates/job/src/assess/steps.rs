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
use measure::{How, Instrument, InstrumentKind};
use trace::Exceeds;

use super::evidence::Gathered;
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
        (search(job, tree, plan, checks, exceeds), done)
    } else {
        (opening(job, gathered, checks), false)
    };
    let mut queue = queue.into_iter();
    Steps {
        // Nothing left to isolate: what remains is beside the point, not next.
        next: if done { None } else { queue.next() },
        alternatives: queue.take(ALTERNATIVES).collect(),
        excluded,
    }
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
    queue.extend(planned.map(|p| in_words(tree, p)));
    queue.extend(words(later));
    queue
}

/// The battery, the total and the checks that pay, before any total is known.
fn opening(job: &Job, gathered: &Gathered, checks: &[Check]) -> Vec<Proposal> {
    let total = if gathered.asleep_now == Some(false) {
        wait_for_sleep(gathered)
    } else {
        total(job, gathered)
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
            headline: "Read the voltage of the rested battery".into(),
            how: "Voltmeter across the battery posts, everything off and untouched; note how long it has rested and how cold it is.".into(),
            minutes: 2.0,
            why: "Two minutes tell the charge, disturb nothing, and every other test of the battery needs it.".into(),
            caution: Some(caution::for_test(caution::TestKind::Battery).text.into()),
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
            headline: "Test the battery with an analyser".into(),
            how: "Clip it to the posts, not the bolts; set it to the standard on the label and note what it shows.".into(),
            minutes: 3.0,
            why: "A weak battery goes flat with a healthy draw; this rules it in or out without disconnecting anything.".into(),
            caution: Some(caution::for_test(caution::TestKind::Battery).text.into()),
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
            headline: "Read the charging voltage and its ripple".into(),
            how: "Voltmeter across the battery posts, engine at raised speed with lamps, blower and rear window on; then the alternating voltage in the same place.".into(),
            why: "A battery that is never filled goes flat with a healthy draw.".into(),
            caution: Some(caution::for_test(caution::TestKind::Charging).text.into()),
            ..blank()
        }],
        CheckKind::Usage => vec![Proposal {
            kind: "usage".into(),
            headline: "Ask how it is driven".into(),
            how: "Trips in a usual week and minutes of a usual trip; enter both with the job.".into(),
            why: "Trips too short to replace their starts empty a sound battery.".into(),
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
            let saved = format!(
                " Likely to save {:.0} min on the way to the right repair.",
                check.saves_min.max(1.0)
            );
            proposal.why.push_str(&saved);
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
            "Measure the total in line, asleep",
            "Bridge the battery's negative lead with a bypass, loosen the clamp, put the meter in series on its 10 A range, then take the bypass off.",
            caution::TestKind::InLine,
        )
    } else {
        (
            "Clamp the battery cable and read the total, asleep",
            "Set the clamp's zero beside the cable, close it around every lead of one post, and read once the vehicle sleeps.",
            caution::TestKind::Clamp,
        )
    };
    let why = if gathered.repaired {
        "After the repair the same reading on the same terms shows what it has changed."
    } else {
        "Every verdict starts from the total of the sleeping vehicle."
    };
    Proposal {
        kind: kind.into(),
        node: Some(NodeId::battery()),
        nodes: vec![NodeId::battery()],
        headline: headline.into(),
        how: manner.into(),
        minutes: 5.0,
        floor_a: instrument.floor_a(how, None),
        why: why.into(),
        caution: Some(caution::for_test(kind_of_caution).text.into()),
        ..blank()
    }
}

fn wait_for_sleep(gathered: &Gathered) -> Proposal {
    Proposal {
        kind: "wait-for-sleep".into(),
        headline: "Let the vehicle fall asleep".into(),
        how: "Close and lock it, keep the key away, latch an open door or bonnet by hand, and do not touch it.".into(),
        minutes: gathered.settle_min.unwrap_or(WAIT_MIN),
        why: "The last reading was taken awake; only the settled draw can be judged.".into(),
        caution: Some(caution::for_test(caution::TestKind::WaitForSleep).text.into()),
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
        headline: "Record the draw over a night".into(),
        how: match tool {
            How::Clamp => "Leave a logging clamp on the battery cable and read the file in the morning.",
            _ => "Leave a logging meter or shunt in line, with a fuse that carries a wake-up, and read the file in the morning.",
        }
        .into(),
        // Minutes of work; the night passes by itself.
        minutes: 10.0,
        why: "A single reading cannot see what wakes at night; a recording gives the long-run average.".into(),
        caution: Some(caution::for_test(if tool == How::Clamp { caution::TestKind::Clamp } else { caution::TestKind::InLine }).text.into()),
        ..blank()
    }
}

/// A test of the plan, in words.
fn in_words(tree: &FeedTree, p: diagnosis::Proposal) -> Proposal {
    let name = |node: usize| {
        let spec = tree.node(node);
        match &spec.label {
            Some(label) if *label != spec.id.0 => format!("{} ({label})", spec.id),
            _ => spec.id.to_string(),
        }
    };
    let one = p
        .node
        .or(p.nodes.first().copied())
        .map_or_else(|| "the battery".into(), name);
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
        bypassed(kind, &one)
    } else {
        wording(kind, &one, &several, fuse)
    };
    let id = |node: usize| tree.node(node).id.clone();
    Proposal {
        kind: p.kind.as_str().into(),
        node: p.node.map(id),
        nodes: p.nodes.iter().map(|&node| id(node)).collect(),
        headline,
        how: how.into(),
        minutes: p.minutes,
        wake_chance: p.wake_chance,
        floor_a: p.floor_a,
        why: p.why,
        caution: p.caution,
        outcomes: p
            .outcomes
            .into_iter()
            .map(|o| Outcome {
                seen: on_the_meter(tree, p.kind, p.node, o.seen_a).unwrap_or(o.seen),
                p: o.p,
                means: o.means,
            })
            .collect(),
    }
}

/// Headline of a test of `one` place, or of `several`, and how it is done.
fn wording(kind: TestKind, one: &str, several: &str, fuse: bool) -> (String, &'static str) {
    match kind {
        TestKind::Clamp => (
            format!("Clamp {one} and read the current"),
            "Set the clamp's zero beside the cable, close it around this lead alone, and read without waking anything.",
        ),
        TestKind::InLine => (
            format!("Measure the current of {one} in line"),
            "Bridge the gap with a bypass first, put the meter in series on its 10 A range, then take the bypass off.",
        ),
        TestKind::Millivolt => (
            format!("Measure millivolts across {one}"),
            "Meter on its millivolt range, one tip on each test point of the fuse in its place; nothing is pulled.",
        ),
        TestKind::Pull => (
            format!("Pull {one} and watch the total"),
            "Read the total, pull the fuse, wait until it has settled again, and read the total once more.",
        ),
        TestKind::PullGroup => (
            format!("Pull {several} together and watch the total"),
            "Read the total, pull these fuses one after another, wait until it has settled again, and read the total once more.",
        ),
        TestKind::Detach => (
            format!("Take {one} off and watch the total"),
            "Read the total, detach the lead and insulate it, wait until it has settled again, and read the total once more.",
        ),
        TestKind::Unplug => (
            format!("Unplug {one} and watch the total"),
            if fuse {
                "Read the total, pull its fuse, wait until it has settled again, and read the total once more."
            } else {
                "Read the total, unplug it, wait until it has settled again, and read the total once more."
            },
        ),
        TestKind::WaitForSleep => (
            "Let the vehicle fall asleep".to_owned(),
            "Close and lock it, keep the key away, latch an open door or bonnet by hand, and do not touch it.",
        ),
        TestKind::Remeasure => (
            "Measure the total again".to_owned(),
            "Read it on the same terms as before: same instrument, same place, asleep.",
        ),
    }
}

/// The current of a fuse whose circuit must not lose its supply.
fn bypassed(kind: TestKind, fuse: &str) -> (String, &'static str) {
    match kind {
        TestKind::Clamp => (
            format!("Bridge {fuse} with a fused lead and clamp the lead"),
            "Bridge the fuse's two contacts with a lead that carries a fuse of the same rating, take the fuse out, close the clamp around the lead alone and read; put the fuse back before the lead comes off. Nothing loses its supply.",
        ),
        _ => (
            format!("Bridge {fuse} with a fused lead and measure its current in line"),
            "Bridge the fuse's two contacts with a lead that carries a fuse of the same rating, take the fuse out, put the meter on its 10 A range across its contacts, take the lead off and read; lead on again first, then meter off and fuse back. Nothing loses its supply.",
        ),
    }
}

/// Across a fuse the meter shows millivolts, so that is what to look out for.
fn on_the_meter(
    tree: &FeedTree,
    kind: TestKind,
    node: Option<usize>,
    current_a: Option<f64>,
) -> Option<String> {
    if kind != TestKind::Millivolt {
        return None;
    }
    let spec = tree.node(node?);
    let family: Option<FuseFamily> = spec.fuse.as_deref().and_then(|word| word.parse().ok());
    let ohm = fuse::resistance(family, spec.rating_a?, None)?.ohm.value;
    // A tenth of a millivolt is what an ordinary meter's last digit shows.
    let shown_mv = (current_a? * ohm * 1e4).round() / 10.0;
    Some(format!("about {shown_mv} mV"))
}

fn blank() -> Proposal {
    Proposal {
        kind: String::new(),
        node: None,
        nodes: Vec::new(),
        headline: String::new(),
        how: String::new(),
        minutes: 0.0,
        wake_chance: 0.0,
        floor_a: None,
        why: String::new(),
        caution: None,
        outcomes: Vec::new(),
    }
}
