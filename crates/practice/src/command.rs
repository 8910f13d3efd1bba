//! Tests as people type them.

use harness::{
    FeedTree, NodeId, NodeKind,
    caution::{self, TestKind},
};
use rehearsal::fleet::Action;
use tongue::{Message, say};

use crate::Session;

/// Why a text is no test.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{message}; {hint}")]
pub struct CommandError {
    /// What is the matter.
    pub message: Message,
    /// What to do.
    pub hint: Message,
}

/// One test that can be chosen.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Test {
    /// The test.
    pub action: Action,
    /// How it is typed.
    pub typed: String,
    /// What it is, for people.
    pub label: Message,
    /// Name of the cable it hangs on, to group by; empty at the battery.
    pub group: String,
}

/// How the repair of what is wired past the fuses is typed.
pub const REPAIR_OUTSIDE: &str = "repair outside";

/// Longest wait that can be typed, minutes: a night.
const LONGEST_WAIT: u32 = 720;

/// Reads a test such as `clamp cabin-box`, `mv F12`, `pull F3 F4` (and back in at once), `out F3 F4`
/// (they stay out), `back F3`, `back all` (without a look at the meter), `unplug radio`, `in-line`, `sleep`, `wait 10`, `repair F12` or `repair outside` (past the fuses).
///
/// # Errors
/// When there is no such test or no such place.
pub fn command(text: &str, tree: &FeedTree) -> Result<Action, CommandError> {
    let mut parts = text.split([' ', ',', '\t']).filter(|part| !part.is_empty());
    let verb = parts.next().unwrap_or_default().to_lowercase();
    let names: Vec<&str> = parts.collect();
    let nodes = || -> Result<Vec<usize>, CommandError> {
        names.iter().map(|name| place(name, tree)).collect()
    };
    let one = || match nodes()?[..] {
        [node] => Ok(node),
        _ => Err(error(
            say::practice::one_place(&verb),
            say::practice::one_place_hint(&verb),
        )),
    };
    match verb.as_str() {
        "clamp" if names.is_empty() => Ok(Action::Clamp(FeedTree::ROOT)),
        "clamp" => Ok(Action::Clamp(one()?)),
        "in-line" | "inline" => Ok(Action::InLine),
        "mv" | "millivolt" | "millivolts" => Ok(Action::Millivolt(one()?)),
        "pull" | "detach" if !names.is_empty() => Ok(Action::Pull(nodes()?)),
        "out" if !names.is_empty() => Ok(Action::TakeOut(nodes()?)),
        "back" if matches!(names[..], ["all"]) => Ok(Action::Restore),
        "back" if !names.is_empty() => Ok(Action::PutBack(nodes()?)),
        "unplug" => Ok(Action::Unplug(one()?)),
        "sleep" => Ok(Action::WaitForSleep),
        "wait" => {
            let minutes = names.first().and_then(|text| text.parse().ok());
            minutes
                .filter(|minutes| (1..=LONGEST_WAIT).contains(minutes))
                .map(Action::Wait)
                .ok_or_else(|| {
                    error(
                        say::practice::no_wait(),
                        say::practice::no_wait_hint(LONGEST_WAIT.to_string()),
                    )
                })
        }
        "repair" if matches!(names[..], ["outside"]) => Ok(Action::RepairOutside),
        "repair" => Ok(Action::Repair(one()?)),
        _ => Err(error(
            say::practice::no_test(text.trim()),
            say::practice::no_test_hint(),
        )),
    }
}

fn error(message: Message, hint: Message) -> CommandError {
    CommandError { message, hint }
}

/// The node a person means, whatever its case.
fn place(name: &str, tree: &FeedTree) -> Result<usize, CommandError> {
    let ids = || tree.nodes().map(|(node, spec)| (spec.id.0.as_str(), node));
    let same = ids().find(|(id, _)| id.eq_ignore_ascii_case(name));
    same.map(|(_, node)| node).ok_or_else(|| {
        let hint = match harness::closest(name, ids().map(|(id, _)| (id, id))) {
            Some(near) => say::practice::no_place_near(near),
            None => say::practice::no_place_hint(),
        };
        error(say::practice::no_place(name), hint)
    })
}

/// A test as it is typed; reads back as the same.
pub fn words(action: &Action, tree: &FeedTree) -> String {
    let name = |node: &usize| tree.node(*node).id.0.clone();
    let names = |nodes: &[usize]| nodes.iter().map(name).collect::<Vec<_>>().join(" ");
    match action {
        Action::Clamp(node) => format!("clamp {}", name(node)),
        Action::InLine => "in-line".into(),
        Action::Millivolt(node) => format!("mv {}", name(node)),
        Action::Pull(nodes) => format!("pull {}", names(nodes)),
        Action::TakeOut(nodes) => format!("out {}", names(nodes)),
        Action::PutBack(nodes) => format!("back {}", names(nodes)),
        Action::Restore => "back all".into(),
        Action::Unplug(node) => format!("unplug {}", name(node)),
        Action::WaitForSleep => "sleep".into(),
        Action::Wait(minutes) => format!("wait {minutes}"),
        Action::Repair(node) => format!("repair {}", name(node)),
        Action::RepairOutside => REPAIR_OUTSIDE.into(),
    }
}

/// A typed test in the words of the trade: "millivolts across F12".
pub fn spoken(typed: &str) -> Message {
    let (verb, place) = typed.split_once(' ').unwrap_or((typed, ""));
    match (verb, place) {
        ("clamp", "battery") => say::practice::clamp_total(),
        ("repair", "outside") => say::practice::repair_outside(),
        ("in-line", _) => say::practice::in_line_total(),
        ("mv", place) => say::practice::millivolts_across(place),
        ("sleep", _) => say::practice::wait_until_asleep(),
        ("wait", minutes) => say::practice::wait_minutes(minutes),
        ("pull", places) => {
            let places = places.split(' ').map(Message::plain);
            say::practice::pull_places(Message::listed(places))
        }
        ("out", places) => {
            let places = places.split(' ').map(Message::plain);
            say::practice::out_places(Message::listed(places))
        }
        ("back", "all") => say::practice::back_all(),
        ("back", places) => {
            let places = places.split(' ').map(Message::plain);
            say::practice::back_places(Message::listed(places))
        }
        ("clamp", place) => say::practice::clamp_place(place),
        ("unplug", place) => say::practice::unplug_place(place),
        ("repair", place) => say::practice::repair_place(place),
        _ => Message::plain(typed),
    }
}

/// The caution that a test needs on a real vehicle.
pub fn caution_for(action: &Action) -> Option<&'static Message> {
    let kind = match action {
        Action::Clamp(_) => TestKind::Clamp,
        Action::InLine => TestKind::InLine,
        Action::Millivolt(_) => TestKind::Millivolt,
        Action::Pull(_) | Action::TakeOut(_) | Action::PutBack(_) | Action::Restore => {
            TestKind::Pull
        }
        Action::Unplug(_) => TestKind::Detach,
        Action::WaitForSleep => TestKind::WaitForSleep,
        Action::Wait(_) | Action::Repair(_) | Action::RepairOutside => return None,
    };
    Some(&caution::for_test(kind).text)
}

/// The usual test of every place: the total, a clamp around each cable,
/// millivolts across each fuse that can be reached, else its pull.
pub fn tests(session: &Session) -> Vec<Test> {
    let (tree, with_clamp) = (session.tree(), session.has_clamp());
    let named = |node| named(session, node);
    let mut tests = Vec::new();
    let mut add = |action: Action, label: Message, group: &NodeId| {
        tests.push(Test {
            typed: words(&action, tree),
            action,
            label,
            group: group.0.clone(),
        });
    };
    let top = NodeId(String::new());
    let total = say::practice::label_total();
    if with_clamp {
        add(Action::Clamp(FeedTree::ROOT), total, &top);
    } else {
        add(Action::InLine, total, &top);
    }
    for (node, spec) in tree.nodes() {
        let group = &spec.from;
        match spec.kind {
            NodeKind::Cable if with_clamp => {
                add(
                    Action::Clamp(node),
                    say::practice::label_clamp(named(node)),
                    &top,
                );
            }
            NodeKind::Fuse if spec.in_place && spec.rating_a.is_some() => {
                add(
                    Action::Millivolt(node),
                    say::practice::label_millivolts(named(node)),
                    group,
                );
            }
            NodeKind::Fuse => add(
                Action::Pull(vec![node]),
                say::practice::label_pull(named(node)),
                group,
            ),
            _ => {}
        }
    }
    tests
}

/// "F12 (Radio)".
pub(crate) fn named(session: &Session, node: usize) -> Message {
    let id = &session.tree().node(node).id;
    let with = |label: &str| {
        if label == id.0 {
            id.to_string()
        } else {
            format!("{id} ({label})")
        }
    };
    let label = session.label(node);
    let german = label.in_german().unwrap_or_default();
    Message::both(with(label.english()), with(german))
}
