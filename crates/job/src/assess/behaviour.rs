//! What the newest recording that counts shows beside its level: wake-ups by the clock, a
//! sleep that does not come or last, a staircase that stops above the limit.

use diagnosis::{Belief, TraceBehaviour, model::family_of};
use harness::{FeedTree, NodeId, behaviour::Behaviour, family::Families};
use measure::quantity::Second;
use tongue::{Message, say};
use trace::{Analysis, State};

use super::{evidence::Gathered, steps::Steps};

/// Scatter of the times between wake-ups, relative to their mean, from which on they are no
/// clock's (from memory; 1 is chance).
const NO_CLOCK: f64 = 0.5;
/// Modules take some minutes to an hour to fall asleep (common practice).
const ASLEEP_BY_S: f64 = 3600.0;
/// Shares of the time awake after sleep first came, from which on sleep does not last, and from
/// which on plainly so (from memory).
const AWAKE_SHARE: [f64; 2] = [0.25, 0.75];
/// A stair that lasts longer is where it stopped (common practice: wait twenty minutes).
const STALLED_S: f64 = 1200.0;
/// Factor from which on a circuit is said to behave so (from memory).
const TOLD_FROM: f64 = 1.25;

/// What a log shows of each behaviour, against the limit.
pub(super) fn of(analysis: &Analysis, limit_a: f64) -> TraceBehaviour {
    TraceBehaviour {
        wakes: wakes(analysis),
        keeps_awake: keeps_awake(analysis),
        stalls: stalls(analysis, limit_a),
    }
}

/// What the newest recording at the battery since the last repair shows; nothing without one.
pub(super) fn of_job(gathered: &Gathered, limit_a: f64) -> TraceBehaviour {
    analysis(gathered).map_or(TraceBehaviour::default(), |seen| of(seen, limit_a))
}

fn analysis(gathered: &Gathered) -> Option<&Analysis> {
    let (entry, _) = gathered.recording?;
    gathered.logged.analysis(entry).map(AsRef::as_ref)
}

/// (1 − scatter/[`NO_CLOCK`])·(1 − 2/count): regular, and often enough not to be chance.
fn wakes(analysis: &Analysis) -> f64 {
    let seen = &analysis.wake_ups;
    let Some(scatter) = seen.period_scatter else {
        return 0.0;
    };
    (1.0 - scatter / NO_CLOCK).max(0.0) * (1.0 - 2.0 / seen.count.max(2) as f64)
}

fn time_s(analysis: &Analysis, from_s: f64, of: impl Fn(State) -> bool) -> f64 {
    let segments = analysis.segments.iter();
    let those = segments.filter(|s| s.start_s >= from_s && of(s.state));
    those.map(|s| s.end_s - s.start_s).sum()
}

fn keeps_awake(analysis: &Analysis) -> f64 {
    let awake = |state| matches!(state, State::Awake | State::WakeUp);
    let Some(settled) = &analysis.settled else {
        // A record that is no parked vehicle's has no such state at all.
        let seen = time_s(analysis, f64::NEG_INFINITY, |state| {
            matches!(state, State::Awake | State::Settling)
        });
        return if seen > ASLEEP_BY_S && !ends_on_a_stair(analysis) {
            1.0
        } else {
            0.0
        };
    };
    let after_s = time_s(analysis, settled.since_s, |_| true);
    if after_s < ASLEEP_BY_S {
        return 0.0;
    }
    let share = time_s(analysis, settled.since_s, awake) / after_s;
    let [from, plainly] = AWAKE_SHARE;
    ((share - from) / (plainly - from)).clamp(0.0, 1.0)
}

/// Whether a record that did not settle stayed on one level for long at its end.
fn ends_on_a_stair(analysis: &Analysis) -> bool {
    let last = analysis.segments.last();
    last.is_some_and(|s| s.state == State::Settling && s.end_s - s.start_s >= STALLED_S)
}

/// One where stairs led down to a level surely above the limit, and it held.
fn stalls(analysis: &Analysis, limit_a: f64) -> f64 {
    let stairs = analysis
        .segments
        .iter()
        .filter(|s| s.state == State::Settling);
    let (count, last) = (stairs.clone().count(), analysis.segments.last());
    let level = match (&analysis.settled, last) {
        // The stairs, and the level that counts as sleep.
        (Some(settled), _) if count >= 1 => settled.draw,
        (None, Some(last)) if count >= 2 && ends_on_a_stair(analysis) => last.level,
        _ => return 0.0,
    };
    if level.value - super::SURE * level.u > limit_a {
        1.0
    } else {
        0.0
    }
}

/// Adds to each proposal what the recording shows that the most suspect circuit there does.
pub(super) fn tell(
    steps: &mut Steps,
    tree: &FeedTree,
    belief: &Belief,
    gathered: &Gathered,
    shown: &TraceBehaviour,
) {
    let Some(analysis) = analysis(gathered) else {
        return;
    };
    for proposal in steps.next.iter_mut().chain(&mut steps.alternatives) {
        let of_node = |id: &NodeId| match tree.index(id) {
            // Of the whole vehicle there is nothing to tell.
            Some(FeedTree::ROOT) | None => Vec::new(),
            Some(node) => tree.leaves_below(node).to_vec(),
        };
        let told = proposal
            .nodes
            .iter()
            .flat_map(of_node)
            .filter_map(|leaf| Some((belief.nodes.get(leaf)?.p_fault, leaf)))
            .filter_map(|(p, leaf)| Some((p, words(tree, leaf, analysis, shown)?)))
            .max_by(|a, b| a.0.total_cmp(&b.0));
        if let Some((_, words)) = told {
            let why = std::mem::take(&mut proposal.why);
            proposal.why = Message::joined(vec![why.open(), words], "; ");
        }
    }
}

/// "the recording shows a wake-up every 30 min, as a tracker at fault makes them".
fn words(
    tree: &FeedTree,
    leaf: usize,
    analysis: &Analysis,
    shown: &TraceBehaviour,
) -> Option<Message> {
    let family = family_of(tree.node(leaf), Families::built_in());
    let factor = |b: Behaviour| family.behaves.factor(b).powf(shown.shown(b));
    let strongest = Behaviour::ALL
        .into_iter()
        .max_by(|a, b| factor(*a).total_cmp(&factor(*b)))?;
    if factor(strongest) < TOLD_FROM {
        return None;
    }
    let seen = match strongest {
        Behaviour::Wakes => {
            let period = analysis.wake_ups.period_s?;
            say::job::shows_wake_ups(Second(period.value))
        }
        Behaviour::KeepsAwake => say::job::shows_no_sleep(),
        Behaviour::Stalls => say::job::shows_stairs(),
    };
    Some(say::job::as_with_kind(&family.name, seen))
}
