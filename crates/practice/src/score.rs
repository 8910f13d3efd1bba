//! The same vehicle worked by the planner, and where the paths parted.

use harness::{FeedTree, NodeId, NodeKind};
use job::{Assessment, Job, Proposal, assess};
use rehearsal::fleet::{Action, Fault};
use serde_json::{Value, json};
use tongue::{Lang, Message, say, speak};

use crate::{
    PracticeError, Session,
    command::{named, words},
};

/// Most tests the planner is given; no sensible path is as long (from memory).
const MOST_STEPS: usize = 80;
/// Steps of a person that are held against what the planner would have done
/// there; each costs one assessment (from memory: more than anybody reads).
const ADVISED: usize = 30;
/// Where nothing tells more, what is at least this likely at fault is put right.
const LIKELIER_THAN_NOT: f64 = 0.5;

/// One test done.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// As it is typed.
    pub typed: String,
    /// What was seen.
    pub said: Message,
    /// Minutes it took.
    pub minutes: f64,
    /// Minutes on the clock after it.
    pub clock_min: f64,
    /// Whether it woke the vehicle.
    pub woke: bool,
    /// Circuits whose settings were lost by it.
    pub lost: Vec<String>,
}

/// Everything one of the two did.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Path {
    /// In order.
    pub steps: Vec<Step>,
    /// Minutes altogether.
    pub minutes: f64,
    /// Whether everything that was wrong has been put right.
    pub solved: bool,
    /// Repairs where nothing was wrong.
    pub needless: Vec<Message>,
    /// Circuits whose stored settings were lost.
    pub lost: Vec<String>,
    /// How often the vehicle was woken.
    pub woken: usize,
}

/// The first test in which the two differ.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Parted {
    /// Number of the step, from 1.
    pub step: usize,
    /// What the person did; empty when there was nothing more.
    pub yours: String,
    /// What the planner did; empty when there was nothing more.
    pub planner: String,
    /// Why, in the planner's words.
    pub why: Message,
}

/// A rehearsal, scored.
#[derive(Debug, Clone, PartialEq)]
pub struct Score {
    /// The person.
    pub yours: Path,
    /// The planner on the same vehicle.
    pub planner: Path,
    /// Where they parted; `None` when they went the same way.
    pub parted: Option<Parted>,
    /// For each step of the person what the planner would have done there,
    /// where that is something else.
    pub advice: Vec<Option<String>>,
    /// What was wrong, in words.
    pub truth: Vec<Message>,
}

/// What was done so far, without the planner.
///
/// # Errors
/// Only when the vehicle cannot be drawn again.
pub fn done_so_far(session: &Session) -> Result<Path, PracticeError> {
    let mut again = Session::begin(session.setup().clone())?;
    let mut path = Path::default();
    for action in session.actions() {
        step(&mut again, &action, &mut path);
    }
    finish(&again, &mut path);
    Ok(path)
}

/// Scores a rehearsal as it stands.
///
/// # Errors
/// Only when the vehicle cannot be drawn again.
pub fn score(session: &Session) -> Result<Score, PracticeError> {
    let mut again = Session::begin(session.setup().clone())?;
    let mut advice = Vec::new();
    let mut yours = Path::default();
    let mut whys = Vec::new();
    for action in session.actions() {
        if advice.len() < ADVISED {
            let would = next(&again, again.job());
            let other = would.as_ref().filter(|(would, _)| !same(would, &action));
            advice.push(other.map(|(would, _)| words(would, again.tree())));
            whys.push(would.map_or_else(Message::default, |(would, why)| {
                left_out(&action, &would).unwrap_or(why)
            }));
        }
        step(&mut again, &action, &mut yours);
    }
    // Whoever left off is told what came next.
    if whys.len() < ADVISED {
        whys.extend(next(&again, again.job()).map(|(_, why)| why));
    }
    finish(&again, &mut yours);
    let planner = planner(session)?;
    let mut parted = parted(&yours, &planner, &whys);
    if let Some(parted) = &mut parted {
        parted.why = in_both_words(session, parted)?;
    }
    let truth = truth(session);
    Ok(Score {
        yours,
        planner,
        parted,
        advice,
        truth,
    })
}

/// The planner's own way through the same vehicle.
fn planner(session: &Session) -> Result<Path, PracticeError> {
    let mut session = Session::begin(session.setup().clone())?;
    let mut path = Path::default();
    for _ in 0..MOST_STEPS {
        let Some((action, _)) = next(&session, session.job()) else {
            break;
        };
        if !step(&mut session, &action, &mut path) {
            break;
        }
    }
    finish(&session, &mut path);
    Ok(path)
}

/// What the planner does now, and why: the first proposal that the vehicle can
/// answer, or the repair of what it has named. The job is the session's, in whichever words.
fn next(session: &Session, job: &Job) -> Option<(Action, Message)> {
    let assessment = assess(job);
    if assessment.done {
        let repair = to_repair(session, &assessment)?;
        return Some((repair, assessment.done_because));
    }
    if !session.is_asleep() {
        return Some((Action::WaitForSleep, say::practice::why_woken()));
    }
    let again = assessment
        .next
        .as_ref()
        .filter(|next| next.kind == "remeasure");
    if let (Some(again), false) = (again, assessment.culprits.is_empty())
        && let Some(repair) = to_repair(session, &assessment)
    {
        // The total tells of a second fault once the first is put right.
        return Some((repair, again.why.clone()));
    }
    let proposals = assessment.next.iter().chain(&assessment.alternatives);
    let next = proposals
        .filter_map(|proposal| Some((action_for(proposal, session)?, proposal.why.clone())))
        .next();
    let Some((action, why)) = next else {
        // What is left cannot be tested here, so the likeliest is put right.
        let repair = to_repair(session, &assessment)?;
        return Some((repair, assessment.summary));
    };
    let waited = session.actions().last() == Some(&Action::WaitForSleep);
    if action == Action::WaitForSleep && waited {
        // That it sleeps shows in a reading only; the total is the one to take.
        let total = if session.has_clamp() {
            Action::Clamp(FeedTree::ROOT)
        } else {
            Action::InLine
        };
        return Some((total, say::practice::why_asleep_again()));
    }
    Some((action, why))
}

/// What is put right once nothing more can be told: what is named, else what is likelier than
/// not. Each place once, for a repair that was in vain is so the second time, too.
fn to_repair(session: &Session, assessment: &Assessment) -> Option<Action> {
    let tree = session.tree();
    let done = session.actions();
    let open = |action: &Action| !done.contains(action);
    let listed = |id: &NodeId| {
        let node = tree.index(id).filter(|&node| tree.is_leaf(node));
        node.filter(|&node| !session.is_forbidden(node))
            .map(Action::Repair)
    };
    let outside = assessment.outside.map(|outside| outside.p_fault);
    let named = assessment.culprits.iter();
    let mut named: Vec<(f64, Action)> = named
        .filter_map(|culprit| Some((culprit.p_fault, listed(&culprit.node)?)))
        .filter(|(_, action)| open(action))
        .collect();
    if named.is_empty() && assessment.culprits.is_empty() {
        let suspects = assessment.nodes.iter();
        named = suspects
            .filter(|node| node.p_fault >= LIKELIER_THAN_NOT)
            .filter_map(|node| Some((node.p_fault, listed(&node.id)?)))
            .chain(outside.map(|p| (p, Action::RepairOutside)))
            .filter(|(_, action)| open(action))
            .collect();
        named.sort_by(|a, b| b.0.total_cmp(&a.0));
    }
    named.into_iter().next().map(|(_, action)| action)
}

/// Why a fuse that both pull is left out by one of them.
fn left_out(yours: &Action, planners: &Action) -> Option<Message> {
    let (Action::Pull(at_once), Action::TakeOut(stay)) = (yours, planners) else {
        return None;
    };
    same(&Action::Pull(at_once.clone()), &Action::Pull(stay.clone()))
        .then(say::practice::why_left_out)
}

/// Whether two tests are one, in whatever order their fuses were named.
fn same(one: &Action, other: &Action) -> bool {
    sorted(one) == sorted(other)
}

fn sorted(action: &Action) -> Action {
    let mut action = action.clone();
    if let Action::Pull(nodes) | Action::TakeOut(nodes) | Action::PutBack(nodes) = &mut action {
        nodes.sort_unstable();
    }
    action
}

fn action_for(proposal: &Proposal, session: &Session) -> Option<Action> {
    let tree = session.tree();
    let node = || tree.index(proposal.node.as_ref()?);
    // No fuse is bridged on a virtual vehicle: there is a current to read at cables alone.
    let cable = || node().filter(|&node| tree.node(node).kind != NodeKind::Fuse);
    match proposal.kind.as_str() {
        "clamp" | "remeasure" if session.has_clamp() => Some(Action::Clamp(cable()?)),
        "in-line" | "remeasure" => cable().map(|_| Action::InLine),
        "millivolt" => Some(Action::Millivolt(node()?)),
        "pull" | "pull-group" | "put-back" | "detach" => {
            let nodes: Option<Vec<usize>> =
                proposal.nodes.iter().map(|id| tree.index(id)).collect();
            let nodes = nodes.filter(|nodes| !nodes.is_empty())?;
            Some(match proposal.kind.as_str() {
                "put-back" => Action::PutBack(nodes),
                // A cable does not stay off.
                "detach" => Action::Pull(nodes),
                _ => Action::TakeOut(nodes),
            })
        }
        "unplug" => Some(Action::Unplug(node()?)),
        "wait-for-sleep" => Some(Action::WaitForSleep),
        _ => None,
    }
}

/// Does one step; `false` when it cannot be done.
fn step(session: &mut Session, action: &Action, path: &mut Path) -> bool {
    let typed = words(action, session.tree());
    let Ok(done) = session.perform(action) else {
        return false;
    };
    path.minutes += done.minutes;
    path.woken += usize::from(done.woke);
    let lost: Vec<String> = done.lost.iter().map(|id| id.0.clone()).collect();
    path.lost.extend(lost.iter().cloned());
    path.steps.push(Step {
        typed,
        said: done.said,
        minutes: done.minutes,
        clock_min: path.minutes,
        woke: done.woke,
        lost,
    });
    true
}

/// What came of it.
fn finish(session: &Session, path: &mut Path) {
    let (tree, faults) = (session.tree(), session.vehicle().faults());
    // Past the fuses there is no node.
    let repairs: Vec<Option<usize>> = session
        .actions()
        .into_iter()
        .filter_map(|action| match action {
            Action::Repair(node) => Some(Some(node)),
            Action::RepairOutside => Some(None),
            _ => None,
        })
        .collect();
    let ends = |repair: Option<usize>, fault: &Fault| match (fault.node, repair) {
        (Some(node), Some(repair)) => tree.is_at_or_below(node, repair),
        (place, repair) => place == repair,
    };
    path.solved = faults
        .iter()
        .all(|fault| repairs.iter().any(|&repair| ends(repair, fault)));
    path.needless = repairs
        .iter()
        .filter(|&&repair| !faults.iter().any(|fault| ends(repair, fault)))
        .map(|repair| place(session, *repair))
        .collect();
    path.lost.sort();
    path.lost.dedup();
}

fn parted(yours: &Path, planner: &Path, whys: &[Message]) -> Option<Parted> {
    let longest = yours.steps.len().max(planner.steps.len());
    let typed = |path: &Path, at: usize| {
        path.steps
            .get(at)
            .map_or(String::new(), |step| step.typed.clone())
    };
    let places = |path: &Path, at: usize| {
        let typed = typed(path, at);
        let mut words: Vec<String> = typed.split(' ').map(str::to_owned).collect();
        words.sort_unstable();
        words
    };
    let at = (0..longest).find(|&at| places(yours, at) != places(planner, at))?;
    Some(Parted {
        step: at + 1,
        yours: typed(yours, at),
        planner: typed(planner, at),
        why: whys.get(at).cloned().unwrap_or_default(),
    })
}

/// Why the planner would do otherwise at this step, in German with the German labels:
/// those of the session's job are English.
fn in_both_words(session: &Session, parted: &Parted) -> Result<Message, PracticeError> {
    let mut again = Session::begin(session.setup().clone())?;
    let actions = session.actions();
    let (before, from) = actions.split_at(actions.len().min(parted.step - 1));
    for action in before {
        step(&mut again, action, &mut Path::default());
    }
    let german = speak(Lang::De, || {
        let (would, why) = next(&again, &again.job_in_words())?;
        let left_out = from.first().and_then(|action| left_out(action, &would));
        Some(left_out.unwrap_or(why).to_string())
    });
    Ok(match german.filter(|_| !parted.why.is_empty()) {
        Some(german) => Message::both(parted.why.english(), german),
        None => parted.why.clone(),
    })
}

/// A circuit by its name, or what no fuse feeds.
fn place(session: &Session, node: Option<usize>) -> Message {
    node.map_or_else(say::practice::past_the_fuses, |node| named(session, node))
}

fn truth(session: &Session) -> Vec<Message> {
    session
        .vehicle()
        .faults()
        .iter()
        .map(|fault| {
            let place = place(session, fault.node);
            let size = measure::quantity::Ampere(fault.size_a);
            if fault.in_wiring {
                say::practice::truth_in_wiring(fault.words(), place, size)
            } else {
                say::practice::truth(fault.words(), place, size)
            }
        })
        .collect()
}

/// The score for programs.
pub fn score_document(session: &Session, score: &Score) -> Value {
    json!({
        "rehearsal": session.setup().to_string(),
        "vehicle": session.job().vehicle.name,
        "invented": true,
        "yours": path(&score.yours),
        "planner": path(&score.planner),
        "parted": score.parted.as_ref().map(|parted| json!({
            "step": parted.step,
            "yours": parted.yours,
            "planner": parted.planner,
            "why": parted.why.english(),
        })),
        "advice": score.advice,
        "truth": score.truth.iter().map(Message::english).collect::<Vec<_>>(),
    })
}

fn path(path: &Path) -> Value {
    let steps: Vec<Value> = path
        .steps
        .iter()
        .map(|step| {
            json!({
                "test": step.typed, "said": step.said.english(), "minutes": step.minutes,
                "clock_min": step.clock_min, "woke": step.woke, "lost": step.lost,
            })
        })
        .collect();
    json!({
        "minutes": path.minutes, "solved": path.solved, "woken": path.woken,
        "lost": path.lost, "needless": path.needless.iter().map(Message::english).collect::<Vec<_>>(),
        "steps": steps,
    })
}
