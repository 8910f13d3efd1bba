//! Pasted fuse lists and the invented layouts.

#![allow(clippy::unwrap_used, reason = "a test may panic")]

use harness::{FeedTree, NodeKind, NodeSpec, family, fuse_list, refine::refine, template};
use proptest::prelude::*;

/// One line per node, then the problems.
fn summary(text: &str) -> String {
    let list = fuse_list::read(text);
    let mut out = String::new();
    for node in &list.nodes {
        let rating = node.rating_a.map(|a| format!(" {a}A")).unwrap_or_default();
        let family = node
            .family
            .as_deref()
            .map(|f| format!(" {f}"))
            .unwrap_or_default();
        let keeps = if node.keeps_settings { "!" } else { "" };
        out += &format!("{} < {}{rating}{family}{keeps}\n", node.id, node.from);
    }
    for problem in &list.problems {
        out += &format!("{problem}\n");
    }
    out
}

#[track_caller]
fn check(text: &str, expected: &str) {
    assert_eq!(summary(text), expected);
}

#[test]
fn a_mixed_paste_becomes_one_tree() {
    check(
        "Fuse  Rating  Circuit\n\
         F12 15A radio\n\
         13) 7,5 A – Innenlicht\n\
         F14;20A;Zentralverriegelung\n\
         \n\
         # the rest is not readable\n\
         F15\t10\tClock, radio, interior lamp\r\n\
         F16-F17 30A frei\n",
        "main < battery\n\
         F12 < main 15A audio!\n\
         F13 < main 7.5A lamp\n\
         F14 < main 20A central-locking\n\
         F15 < main 10A lamp!\n\
         F16 < main 30A spare\n\
         F17 < main 30A spare\n",
    );
}

#[test]
fn boxes_are_cables_and_may_count_from_one_each() {
    check(
        "[Engine bay]\nF1 10A horn\nCabin:\nF1 15A radio\nF2 5A tracker\n[Engine bay]\nF2 5A alarm",
        "engine-bay-feed < battery\n\
         F1 < engine-bay-feed 10A horn\n\
         cabin-feed < battery\n\
         F1-cabin < cabin-feed 15A audio!\n\
         F2 < cabin-feed 5A tracker\n\
         F2-engine-bay < engine-bay-feed 5A alarm!\n",
    );
}

#[test]
fn what_cannot_be_used_is_told_by_line() {
    check(
        "F1 10A horn\nsee the sticker\nF1 15A radio\n20A pump\nF3 900A welder",
        "main < battery\n\
         F1 < main 10A horn\n\
         fuse-4 < main 20A pump\n\
         F3 < main unknown\n\
         line 2: 'see the sticker' left out; write it such as 'F12 15A radio', or with a colon at its end if it is the name of a box\n\
         line 3: 'F1' left out, for line 1 has it already; give one of them another number\n\
         line 4: no position, so it is called 'fuse-4'; put its number in front\n\
         line 5: 'F3' kept without rating, for fuse rating 900 A is outside 0.1 to 600 A\n",
    );
    let many: String = (1..=900).map(|n| format!("F{n} 10A x\n")).collect();
    let list = fuse_list::read(&many);
    assert_eq!(list.nodes.len(), 501);
    assert_eq!(list.problems.len(), 1);
    assert!(
        list.problems[0]
            .to_string()
            .starts_with("line 501: more than 500 positions")
    );
}

#[test]
fn nothing_pasted_gives_nothing() {
    check("", "");
    check("\n\n# nothing\n", "");
}

#[test]
fn large_fuses_have_no_test_points() {
    let list = fuse_list::read("F1 10A horn\nF2 80A maxi feed\nF3 30A cartridge fan");
    let in_place: Vec<bool> = list
        .nodes
        .iter()
        .skip(1)
        .map(|node| node.in_place)
        .collect();
    assert_eq!(in_place, [true, false, false]);
    let shapes: Vec<_> = list
        .nodes
        .iter()
        .skip(1)
        .map(|node| node.fuse.as_deref())
        .collect();
    assert_eq!(shapes, [None, Some("maxi"), Some("cartridge")]);
}

#[test]
fn the_invented_layouts_are_sound_and_say_so() {
    for (template, fuses) in template::ALL.iter().zip([12, 24, 51]) {
        assert!(template.name.contains("invented") && template.fuse_list().contains("Invented"));
        assert_eq!(fuse_list::read(template.fuse_list()).problems, []);
        let nodes = template.nodes();
        assert_eq!(
            nodes.iter().filter(|n| n.kind == NodeKind::Fuse).count(),
            fuses
        );
        for node in nodes.iter().filter(|n| n.kind == NodeKind::Fuse) {
            let family = family::family(node.family.as_deref().unwrap()).unwrap();
            assert_ne!(family.id, "unknown", "{}: {:?}", node.id, node.label);
            assert!(node.rating_a.is_some());
        }
        let tree = FeedTree::build(nodes).unwrap();
        assert_eq!(tree.leaves().len(), fuses + 1);
        assert_eq!(template::find(template.id), Some(template));
    }
    assert_eq!(template::find("lorry"), None);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]

    /// Whatever is pasted, what comes out is fit for a tree.
    #[test]
    fn any_paste_makes_a_tree(
        text in "([F#S\\[(]{0,2}[0-9]{0,4}[a-zA]?[-–/.,:;)\\]\t| ]{0,3}[0-9]{0,3}[,.]?[0-9]? ?[Aa]?m?p? ?[A-Za-zäß/:=#]{0,12}\n?){0,12}|\\PC{0,80}",
    ) {
        let list = fuse_list::read(&text);
        let built = FeedTree::build(list.nodes);
        prop_assert!(built.is_ok(), "{:?}", built);
        for problem in list.problems {
            prop_assert!((1..=text.lines().count()).contains(&problem.line));
            prop_assert!(!problem.to_string().contains('\n'));
        }
    }

    /// A tidy list in any of its usual hands is read back exactly.
    #[test]
    fn a_tidy_list_reads_back(
        fuses in prop::collection::btree_map(1u32..200, prop::sample::select(&[5.0, 7.5, 10.0, 15.0, 30.0][..]), 1..40),
        hand in 0usize..4,
    ) {
        let text: String = fuses.iter().map(|(n, a)| match hand {
            0 => format!("F{n} {a}A circuit x\n"),
            1 => format!("{n}) {} A – circuit x\n", a.to_string().replace('.', ",")),
            2 => format!("F{n};{};circuit x\n", a.to_string().replace('.', ",")),
            _ => format!("{n}\t{a}\tcircuit x\n"),
        }).collect();
        let list = fuse_list::read(&text);
        prop_assert_eq!(&list.problems, &vec![]);
        let got: Vec<_> = list.nodes.iter().skip(1)
            .map(|node| (node.id.0.clone(), node.rating_a, node.label.clone())).collect();
        let expected: Vec<_> = fuses.iter()
            .map(|(n, a)| (format!("F{n}"), Some(*a), Some("circuit x".to_owned()))).collect();
        prop_assert_eq!(got, expected);
    }
}

#[test]
fn a_table_with_a_header_tells_more_than_a_list() {
    let list = fuse_list::read(
        "name,rating,circuit,keeps-settings,location,reachable\n\
         F1,15A,\"Radio, BT\",yes,Cabin box,no\n\
         F2,7.5,Interior light,no,Cabin box,yes\n\
         \n\
         F3,60A,Blower,,Engine box,perhaps\n",
    );
    let node = |id: &str| list.nodes.iter().find(|node| node.id.0 == id).unwrap();
    assert_eq!(node("F1").label.as_deref(), Some("Radio, BT"));
    assert_eq!(
        (node("F1").keeps_settings, node("F1").in_place),
        (true, false)
    );
    assert_eq!(
        (node("F2").rating_a, node("F2").in_place),
        (Some(7.5), true)
    );
    assert_eq!(node("F1").from, node("F2").from);
    assert_ne!(node("F3").from, node("F2").from);
    assert_eq!(list.problems.len(), 1);
    assert!(
        list.problems[0]
            .to_string()
            .starts_with("line 5: 'perhaps' is neither yes nor no")
    );
    FeedTree::build(list.nodes).unwrap();
}

#[test]
fn a_coarse_box_gets_its_fuses_later() {
    let coarse = [
        NodeSpec::new("engine-box", "battery", NodeKind::Cable),
        NodeSpec {
            label: Some("Interior box".into()),
            ..NodeSpec::new("interior", "battery", NodeKind::Load)
        },
        NodeSpec::new("F40", "battery", NodeKind::Fuse),
    ];
    let refined = refine(
        &coarse,
        "Interior box:\nF21-F32\nF33 10A radio\n[Engine-Box]\nF1 15A horn\n",
    );
    assert_eq!(refined.problems, []);
    assert_eq!(refined.added.len(), 14);
    let node = |id: &str| refined.nodes.iter().find(|node| node.id.0 == id).unwrap();
    assert_eq!(node("F25").from.0, "interior");
    assert_eq!(node("F1").from.0, "engine-box");
    assert_eq!(node("interior").kind, NodeKind::Cable);
    FeedTree::build(refined.nodes.clone()).unwrap();
    // Names alone at first; what they feed, later still.
    let again = refine(&refined.nodes, "F22 5A clock\nf40 20A trailer socket\n");
    assert_eq!((again.added.len(), again.filled.len()), (0, 2));
    let node = |id: &str| again.nodes.iter().find(|node| node.id.0 == id).unwrap();
    assert_eq!(
        (node("F22").rating_a, node("F22").from.0.as_str()),
        (Some(5.0), "interior")
    );
    assert!(node("F22").keeps_settings && node("F40").label.is_some());
    assert_eq!(again.nodes.len(), refined.nodes.len());
    // The same again changes nothing.
    let same = refine(&again.nodes, "F22 5A clock\n");
    assert_eq!((same.filled, same.nodes), (Vec::new(), again.nodes.clone()));
}

proptest! {
    #[test]
    fn refining_loses_no_node_and_keeps_a_tree(first in "[ -~\n;äß]{0,200}", second in "[ -~\n;äß]{0,200}") {
        let before = fuse_list::read(&first).nodes;
        let refined = refine(&before, &second);
        prop_assert!(FeedTree::build(refined.nodes.clone()).is_ok());
        for node in &before {
            let after = refined.nodes.iter().find(|each| each.id == node.id);
            prop_assert_eq!(after.map(|after| &after.from), Some(&node.from));
        }
    }
}

#[test]
fn lists_in_five_more_hands() {
    // Several on a line.
    check(
        "F1 5A cluster, F2 7.5A interior lamps; F3 15A lighter, socket, F4 10A alarm siren",
        "main < battery\n\
         F1 < main 5A instrument-cluster!\n\
         F2 < main 7.5A lamp\n\
         F3 < main 15A socket\n\
         F4 < main 10A alarm!\n",
    );
    // The rating first, the position called by its name.
    check(
        "* [10A mini] fuse 21: horn\n* [7.5] fuse 23 alarm\n- 20 A Sicherung 24 Heckscheibe",
        "main < battery\n\
         F21 < main 10A horn\n\
         F23 < main 7.5A alarm!\n\
         F24 < main 20A window-heater\n",
    );
    // Doubts of whoever wrote it, and what only sounds like a window that opens.
    check(
        "6: 30A?? blower fan\n4 20A heated rear window (relay R3)\n8 = 10 airbag",
        "main < battery\n\
         F6 < main 30A blower\n\
         F4 < main 20A window-heater\n\
         F8 < main 10A airbag!\n",
    );
    // A table with headings of one's own.
    check(
        "nr;strom;was;speicher;farbe\n12;15;Radio;ja;blau\n13;10;Alarmanlage;nein;rot",
        "main < battery\n\
         F12 < main 15A audio!\n\
         F13 < main 10A alarm\n\
         line 1: the column 'farbe' is left out; name it rating, circuit, location, reachable or keeps-settings if it is one of these\n",
    );
    // A heading without its mark is told how to be one.
    let list = fuse_list::read("under bonnet\nF7 40A ABS pump");
    assert!(
        list.problems[0].message().contains("colon at its end"),
        "{:?}",
        list.problems
    );
}
