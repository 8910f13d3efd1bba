//! Whether the parting that a score names is real, for a simple person who pulls in box order.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stderr,
    reason = "helpers of tests"
)]

use std::collections::BTreeSet;

use harness::{FeedTree, NodeKind};
use job::EntryKind;
use practice::{Session, Setup, score, spoken};
use rehearsal::fleet::Action;
use tongue::{Lang, Message, english_in, speak};

/// The total before and after the last pull, ampere.
fn last_pull(session: &Session) -> Option<(f64, f64)> {
    session
        .job()
        .entries
        .iter()
        .rev()
        .find_map(|entry| match entry.kind {
            EntryKind::Pull {
                before_a: Some(before_a),
                after_a: Some(after_a),
                ..
            } => Some((before_a, after_a)),
            _ => None,
        })
}

/// The total, then one fuse after the other until the total falls below the limit; that one is
/// repaired.
fn worked(seed: u64, verb: &str) -> Session {
    let setup: Setup = format!("seed={seed} reach=half level=plain settings=may-be-lost")
        .parse()
        .unwrap();
    let mut session = Session::begin(setup).unwrap();
    let total = if session.has_clamp() {
        "clamp"
    } else {
        "in-line"
    };
    session.type_in(total).unwrap();
    let fuses: Vec<String> = {
        let tree = session.tree();
        let fuses = (1..tree.len()).filter(|&node| tree.node(node).kind == NodeKind::Fuse);
        let open = fuses.filter(|&node| {
            let below = tree.leaves_below(node);
            !below.iter().any(|&leaf| session.is_forbidden(leaf))
        });
        open.map(|node| tree.node(node).id.0.clone()).collect()
    };
    for fuse in fuses {
        if !session.is_asleep() {
            session.type_in("sleep").unwrap();
        }
        session.type_in(&format!("{verb} {fuse}")).unwrap();
        let fell = last_pull(&session).is_some_and(|(before, after)| before - after > 0.05);
        if fell {
            let _ = session.type_in(&format!("repair {fuse}"));
            break;
        }
    }
    session
}

/// A test as typed, its places in any order.
fn test_of(typed: &str) -> BTreeSet<&str> {
    typed.split(' ').collect()
}

fn in_both_languages(message: &Message) {
    assert!(!message.english().is_empty());
    let german = speak(Lang::De, || message.to_string());
    assert_eq!(english_in(&german), None, "{german}");
    // No placeholder is left, no doubled mark.
    for text in [message.english(), german.as_str()] {
        assert!(!text.contains(['{', '}']) && !text.contains(".."), "{text}");
    }
}

fn parted_where_it_says(seed: u64, verb: &str) -> (bool, usize) {
    let session = worked(seed, verb);
    let scored = score(&session).unwrap();
    let (yours, planner) = (&scored.yours.steps, &scored.planner.steps);
    assert_eq!(yours.len(), session.actions().len());
    let Some(parted) = &scored.parted else {
        panic!("seed {seed}: nobody pulls as the planner does")
    };
    let at = parted.step - 1;
    for (yours, planner) in yours.iter().zip(planner).take(at) {
        assert_eq!(
            test_of(&yours.typed),
            test_of(&planner.typed),
            "seed {seed}"
        );
        assert_eq!(yours.minutes, planner.minutes, "the same vehicle answers");
    }
    let typed = |steps: &[practice::Step]| {
        steps
            .get(at)
            .map_or(String::new(), |step| step.typed.clone())
    };
    assert_eq!(parted.yours, typed(yours), "seed {seed}");
    assert_eq!(parted.planner, typed(planner), "seed {seed}");
    assert_ne!(
        test_of(&parted.yours),
        test_of(&parted.planner),
        "seed {seed}"
    );
    // Up to there both know the same, so the planner would do there what it did.
    let advised = scored.advice[at].as_deref().unwrap();
    assert_eq!(test_of(advised), test_of(&parted.planner), "seed {seed}");
    in_both_languages(&parted.why);
    for typed in [&parted.yours, &parted.planner] {
        in_both_languages(&spoken(typed));
    }
    for step in yours.iter().chain(planner) {
        in_both_languages(&step.said);
    }
    for truth in &scored.truth {
        in_both_languages(truth);
    }
    // Why that test: where it is one of places, the sentence names one of them.
    let places = parted.planner.split(' ').skip(1);
    let named = places.clone().any(|place| parted.why.contains(place));
    let of_total = matches!(
        parted.planner.split(' ').next(),
        Some("clamp" | "in-line" | "sleep")
    );
    let stays = parted.why.id() == Some("practice-why-left-out");
    if stays {
        let same = |typed: &str| typed.split_once(' ').map(|(_, places)| places.to_owned());
        assert_eq!(same(&parted.yours), same(&parted.planner), "seed {seed}");
    }
    assert!(
        named || of_total || stays,
        "seed {seed}: {} {}",
        parted.planner,
        parted.why
    );
    let solved = scored.yours.solved;
    assert!(
        !solved
            || scored
                .yours
                .steps
                .iter()
                .any(|s| s.typed.starts_with("repair"))
    );
    (solved, parted.step)
}

#[test]
fn the_parting_of_twenty_rehearsals_is_real() {
    let (mut solved, mut late) = (0, 0);
    for seed in 0..20 {
        let (ok, step) = parted_where_it_says(seed, if seed % 2 == 0 { "out" } else { "pull" });
        solved += usize::from(ok);
        late += usize::from(step > 1);
    }
    eprintln!("{solved} of 20 solved by pulling in turn, {late} parted after the first step");
    assert!(solved > 8 && late > 15, "{solved} {late}");
}

#[test]
fn the_order_in_which_fuses_are_named_is_no_parting() {
    let setup: Setup = "seed=3 reach=none".parse().unwrap();
    let planner = score(&Session::begin(setup.clone()).unwrap())
        .unwrap()
        .planner;
    let group = planner
        .steps
        .iter()
        .position(|step| step.typed.starts_with("out ") && step.typed.split(' ').count() > 2)
        .expect("the planner pulls a group");
    let mut session = Session::begin(setup).unwrap();
    for (at, step) in planner.steps.iter().enumerate() {
        let mut words: Vec<&str> = step.typed.split(' ').collect();
        if at == group {
            words[1..].reverse();
        }
        session.type_in(&words.join(" ")).unwrap();
    }
    let scored = score(&session).unwrap();
    assert!(
        scored
            .parted
            .as_ref()
            .is_none_or(|parted| parted.step > group + 1),
        "{:?}",
        scored.parted
    );
    assert_eq!(scored.advice[group], None);
}

#[test]
fn who_leaves_off_is_told_what_came_next() {
    let setup: Setup = "seed=2 kind=small reach=all".parse().unwrap();
    let mut session = Session::begin(setup).unwrap();
    let planner = score(&session).unwrap().planner;
    session.type_in(&planner.steps[0].typed).unwrap();
    let parted = score(&session).unwrap().parted.unwrap();
    assert_eq!((parted.step, parted.yours.as_str()), (2, ""));
    assert!(!parted.why.is_empty());
    assert_eq!(session.actions().len(), 1);
    assert!(!matches!(
        session.actions()[0],
        Action::Repair(FeedTree::ROOT)
    ));
}
