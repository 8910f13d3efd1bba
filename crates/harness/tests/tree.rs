//! The feed tree: order, queries and refusals.

#![allow(clippy::unwrap_used, reason = "a test may panic")]

use std::collections::BTreeSet;

use harness::{FeedTree, NodeId, NodeKind, NodeSpec, TreeError};
use proptest::prelude::*;

/// `"main<battery cable; F1<main fuse; radio<F1 load!"`; `!` keeps settings.
fn specs(text: &str) -> Vec<NodeSpec> {
    text.split(';')
        .map(|part| {
            let (id, rest) = part.trim().split_once('<').unwrap();
            let (from, kind) = rest.split_once(' ').unwrap();
            let mut spec = NodeSpec::new(
                id,
                from,
                match kind.trim_end_matches('!') {
                    "cable" => NodeKind::Cable,
                    "fuse" => NodeKind::Fuse,
                    "battery" => NodeKind::Battery,
                    _ => NodeKind::Load,
                },
            );
            spec.keeps_settings = kind.ends_with('!');
            spec
        })
        .collect()
}

fn tree(text: &str) -> FeedTree {
    FeedTree::build(specs(text)).unwrap()
}

fn refusal(text: &str) -> String {
    FeedTree::build(specs(text)).unwrap_err().to_string()
}

fn at(tree: &FeedTree, id: &str) -> usize {
    tree.index(&NodeId(id.into())).unwrap()
}

#[test]
fn parents_come_first_and_the_order_is_kept() {
    let tree = tree(
        "radio<F1 load!; F1<main fuse; lamp<F2 load; main<battery cable; F2<main fuse; F3<main fuse",
    );
    let names: Vec<_> = tree.nodes().map(|(_, spec)| spec.id.0.as_str()).collect();
    assert_eq!(
        names,
        ["battery", "main", "F1", "radio", "F2", "lamp", "F3"]
    );
    let ids = |list: &[usize]| -> Vec<String> {
        list.iter().map(|&i| tree.node(i).id.0.clone()).collect()
    };
    assert_eq!(ids(tree.leaves()), ["radio", "lamp", "F3"]);
    assert_eq!(ids(tree.children(at(&tree, "main"))), ["F1", "F2", "F3"]);
    assert_eq!(ids(tree.leaves_below(at(&tree, "F1"))), ["radio"]);
    assert_eq!(ids(tree.leaves_below(at(&tree, "F3"))), ["F3"]);
    assert_eq!(
        ids(&tree.path(at(&tree, "lamp"))),
        ["battery", "main", "F2", "lamp"]
    );
    assert_eq!(
        tree.supplying_fuse(at(&tree, "lamp")),
        Some(at(&tree, "F2"))
    );
    assert_eq!(tree.supplying_fuse(at(&tree, "F2")), Some(at(&tree, "F2")));
    assert_eq!(tree.supplying_fuse(at(&tree, "main")), None);
    assert!(tree.keeps_settings_below(at(&tree, "F1")));
    assert!(tree.keeps_settings_below(FeedTree::ROOT));
    assert!(!tree.keeps_settings_below(at(&tree, "F2")));
    assert!(tree.is_leaf(at(&tree, "F3")) && !tree.is_leaf(at(&tree, "F2")));
}

#[test]
fn no_nodes_leave_the_battery_alone() {
    let tree = FeedTree::build(Vec::new()).unwrap();
    assert_eq!(tree, FeedTree::battery_alone());
    assert_eq!((tree.len(), tree.leaves()), (1, &[0_usize][..]));
    assert_eq!(tree.node(0).kind, NodeKind::Battery);
    assert_eq!(tree.parent(0), None);
}

#[test]
fn refusals_are_one_clear_sentence() {
    assert_eq!(
        refusal("x<battery cable; a<b cable; b<c cable; c<a cable"),
        "the feed tree has a loop: 'a' is fed from 'b' is fed from 'c' is fed from 'a'; \
         give one of them a feed that leads to 'battery'"
    );
    assert_eq!(
        refusal("a<a fuse"),
        "the feed tree has a loop: 'a' is fed from 'a'; \
         give one of them a feed that leads to 'battery'"
    );
    assert_eq!(
        refusal("main<battery cable; F1<mian fuse"),
        "node 'F1' is fed from 'mian', which does not exist; did you mean 'main'?"
    );
    assert_eq!(
        refusal("main<batery cable"),
        "node 'main' is fed from 'batery', which does not exist; did you mean 'battery'?"
    );
    assert_eq!(
        refusal("main<generator cable"),
        "node 'main' is fed from 'generator', which does not exist; \
         add a node 'generator' or name an existing one"
    );
    assert_eq!(
        refusal("F1<battery fuse; F1<battery fuse"),
        "two nodes are called 'F1'; give each its own id"
    );
    assert_eq!(
        refusal("battery<battery cable"),
        "the node 'battery' is implied; leave it out and name it only as a feed"
    );
    assert_eq!(
        refusal(" <battery fuse"),
        "node number 1 has no id; give it a short name"
    );
    assert!(refusal("b2<battery battery").contains("one root"));
    assert!(refusal("r<battery load; x<r load").contains("'r', which is a load"));
}

#[test]
fn impossible_numbers_are_refused() {
    let check = |change: fn(&mut NodeSpec), expected: &str| {
        let mut all = specs("F1<battery fuse");
        change(&mut all[0]);
        assert_eq!(FeedTree::build(all).unwrap_err().to_string(), expected);
    };
    check(
        |spec| spec.rating_a = Some(-15.0),
        "node 'F1': fuse rating -15 A is outside 0.1 to 600 A",
    );
    check(
        |spec| spec.prior = Some(f64::NAN),
        "node 'F1': probability NaN (a fraction) is outside 0 to 1 (a fraction)",
    );
    check(
        |spec| spec.normal_a = Some(-0.1),
        "node 'F1': normal draw -0.1 A is outside 0 to 100 A",
    );
}

#[test]
fn a_chain_beyond_any_vehicle_is_refused_not_overflowed() {
    let mut all = vec![NodeSpec::new("n0", "battery", NodeKind::Cable)];
    for i in 1..100_000 {
        all.push(NodeSpec::new(
            &format!("n{i}"),
            &format!("n{}", i - 1),
            NodeKind::Cable,
        ));
    }
    all.reverse();
    assert!(matches!(FeedTree::build(all), Err(TreeError::TooDeep(_))));
}

/// Random trees: node k is fed from an earlier one, then everything is shuffled.
fn any_tree() -> impl Strategy<Value = Vec<NodeSpec>> {
    prop::collection::vec(any::<prop::sample::Index>(), 0..40)
        .prop_map(|feeds| {
            let mut all = Vec::new();
            for (k, feed) in feeds.iter().enumerate() {
                let feed = feed.index(k + 1);
                let from = if feed == 0 {
                    "battery".into()
                } else {
                    format!("n{feed}")
                };
                all.push(NodeSpec::new(&format!("n{}", k + 1), &from, NodeKind::Fuse));
            }
            all
        })
        .prop_shuffle()
}

proptest! {
    #[test]
    fn every_tree_holds_together(all in any_tree()) {
        let given = all.clone();
        let tree = FeedTree::build(all).unwrap();
        prop_assert_eq!(tree.len(), given.len() + 1);
        for i in 1..tree.len() {
            let parent = tree.parent(i).unwrap();
            prop_assert!(parent < i);
            prop_assert!(tree.children(parent).contains(&i));
            prop_assert_eq!(&tree.node(parent).id, &tree.node(i).from);
            prop_assert_eq!(tree.index(&tree.node(i).id), Some(i));
        }
        // The leaves below a node are the disjoint union of those of its children.
        for i in 0..tree.len() {
            let below = tree.leaves_below(i);
            prop_assert!(below.windows(2).all(|pair| pair[0] < pair[1]));
            prop_assert!(below.iter().all(|&leaf| tree.is_leaf(leaf) && tree.is_at_or_below(leaf, i)));
            if !tree.is_leaf(i) {
                let parts: Vec<usize> = tree.children(i).iter()
                    .flat_map(|&child| tree.leaves_below(child).iter().copied()).collect();
                prop_assert_eq!(parts.len(), below.len());
                prop_assert_eq!(parts.into_iter().collect::<BTreeSet<_>>(), below.iter().copied().collect());
            }
        }
    }

    /// A description that already has feeds first is taken as it stands.
    #[test]
    fn a_sorted_description_keeps_its_order(all in any_tree()) {
        let once = FeedTree::build(all).unwrap();
        let sorted: Vec<_> = once.nodes().skip(1).map(|(_, spec)| spec.clone()).collect();
        let twice = FeedTree::build(sorted).unwrap();
        prop_assert_eq!(once, twice);
    }

    #[test]
    fn any_feeds_at_all_give_a_tree_or_a_reason(feeds in prop::collection::vec(0usize..12, 0..12)) {
        let all: Vec<_> = feeds.iter().enumerate()
            .map(|(k, feed)| NodeSpec::new(&format!("n{k}"),
                &if *feed == 11 { "battery".into() } else { format!("n{feed}") }, NodeKind::Cable))
            .collect();
        match FeedTree::build(all) {
            Ok(tree) => prop_assert_eq!(tree.len(), feeds.len() + 1),
            Err(TreeError::Loop { ids }) => {
                // Each is really fed from the next.
                for (k, id) in ids.iter().enumerate() {
                    let at: usize = id.0[1..].parse().unwrap();
                    let next = &ids[(k + 1) % ids.len()];
                    prop_assert_eq!(format!("n{}", feeds[at]), next.0.clone());
                }
                prop_assert!(!ids.is_empty());
            }
            Err(other) => prop_assert!(matches!(other, TreeError::UnknownFrom { .. }), "{}", other),
        }
    }
}
