//! Vehicles drawn by seed, and work on them.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "helpers of tests may stop the test"
)]

use harness::NodeKind;
use rehearsal::fleet::{
    Action, Behaviour, Place, Reach, Refusal, Settings, Shown, State, Vehicle, Visit, kinds,
};
use trace::{AnalyseOptions, readers::ReadOptions};

fn draw(seed: u64, settings: &Settings) -> Vehicle {
    Vehicle::draw(seed, settings).unwrap()
}

fn steady() -> Settings {
    Settings {
        comes_and_goes: false,
        wakes: false,
        two_faults: 0.0,
        ..Settings::default()
    }
}

fn fleet(count: u64, settings: &Settings) -> Vec<Vehicle> {
    (0..count).map(|seed| draw(seed, settings)).collect()
}

#[test]
fn a_seed_is_a_vehicle() {
    let settings = Settings::default();
    for seed in 0..20 {
        assert_eq!(draw(seed, &settings), draw(seed, &settings));
    }
    assert_ne!(draw(1, &settings).tree(), draw(2, &settings).tree());
}

#[test]
fn vehicles_are_as_their_kind_says() {
    let bounds = [
        ("small", 20, 38),
        ("car", 32, 60),
        ("large", 60, 120),
        ("van", 24, 80),
    ];
    assert_eq!(kinds().collect::<Vec<_>>(), bounds.map(|b| b.0));
    for (kind, fewest, most) in bounds {
        let settings = Settings {
            kind: Some(kind.into()),
            ..Settings::default()
        };
        let mut counts = Vec::new();
        for vehicle in fleet(40, &settings) {
            assert_eq!(vehicle.kind(), kind);
            let fuses = vehicle.box_order().len();
            // A main fuse comes on top.
            assert!((fewest..=most + 1).contains(&fuses), "{kind}: {fuses}");
            counts.push(fuses);
        }
        assert!(counts.iter().max() > counts.iter().min());
    }
    let vans = Settings {
        kind: Some("van".into()),
        ..Settings::default()
    };
    let second = |vehicle: &Vehicle| {
        let nodes = 0..vehicle.tree().len();
        nodes.clone().any(|n| vehicle.place(n) == Place::Second)
    };
    let with = fleet(40, &vans).iter().filter(|v| second(v)).count();
    assert!((5..36).contains(&with), "{with} of 40 vans");
}

#[test]
fn a_vehicle_is_bad_enough_to_complain_of_and_sound_when_repaired() {
    let mut two = 0;
    for vehicle in fleet(200, &Settings::default()) {
        assert!(vehicle.settled_a(|_| false) > 0.065);
        assert!(vehicle.settled_a(|_| true) <= 0.0451);
        two += usize::from(vehicle.faults().len() == 2);
        let order = vehicle.box_order();
        assert!(
            order
                .windows(2)
                .all(|w| vehicle.place(w[0]) <= vehicle.place(w[1]))
        );
    }
    assert!((10..45).contains(&two), "{two} of 200 with two faults");
}

#[test]
fn every_kind_of_fault_comes() {
    let vehicles = fleet(600, &Settings::default());
    let faults = || vehicles.iter().flat_map(Vehicle::faults);
    assert!(faults().any(|f| f.in_wiring));
    assert!(faults().any(|f| f.node.is_none()));
    assert!(faults().any(|f| f.what == "leaking diode"));
    assert!(faults().any(|f| matches!(f.behaviour, Behaviour::ComesAndGoes { .. })));
    assert!(faults().any(|f| matches!(f.behaviour, Behaviour::Wakes { .. })));
    let mut what: Vec<&str> = faults().map(|f| f.what).collect();
    what.sort_unstable();
    what.dedup();
    assert!(what.len() > 50, "{}", what.len());
}

#[test]
fn reach_says_which_fuses_can_be_probed() {
    let share = |reach| {
        let settings = Settings {
            reach,
            ..Settings::default()
        };
        let (mut reachable, mut all) = (0u32, 0u32);
        for vehicle in fleet(30, &settings) {
            for fuse in vehicle.box_order() {
                all += 1;
                reachable += u32::from(vehicle.tree().node(fuse).in_place);
            }
        }
        f64::from(reachable) / f64::from(all)
    };
    assert_eq!(share(Reach::All), 1.0);
    assert_eq!(share(Reach::None), 0.0);
    assert!((share(Reach::Half) - 0.5).abs() < 0.05);
}

#[test]
fn the_faulty_fuse_shows_its_fault_and_repair_ends_it() {
    for vehicle in fleet(100, &steady()) {
        // A unit that reports may do so at any moment.
        if vehicle.loads().iter().any(|load| load.reports.is_some()) {
            continue;
        }
        let fault = &vehicle.faults()[0];
        let mut visit = Visit::asleep(&vehicle);
        assert!(visit.is_asleep());
        let before = visit.true_total_a();
        if let Some(node) = fault
            .node
            .filter(|&n| vehicle.tree().node(n).kind == NodeKind::Fuse)
        {
            let answer = visit.perform(&Action::Pull(vec![node])).unwrap();
            let Shown::Pull(before, after) = answer.shown else {
                assert_eq!(answer.shown, Shown::OverRange);
                continue;
            };
            assert!(before - after > 0.7 * fault.size_a - 0.03, "{fault:?}");
            assert!(answer.minutes > 2.0);
        }
        let repair = fault.node.map_or(Action::RepairOutside, Action::Repair);
        visit.perform(&repair).unwrap();
        visit.perform(&Action::WaitForSleep).unwrap();
        let fell = before - visit.true_total_a();
        assert!((fell - fault.size_a).abs() < 1e-9, "{fell} {fault:?}");
    }
}

#[test]
fn unplugging_tells_the_load_from_its_wiring() {
    let settings = Settings {
        wiring: 0.5,
        ..steady()
    };
    let mut seen = [0, 0];
    for vehicle in fleet(60, &settings) {
        let fault = &vehicle.faults()[0];
        let Some(node) = fault.node.filter(|_| fault.size_a < 2.0) else {
            continue;
        };
        let mut visit = Visit::asleep(&vehicle);
        let Shown::Pull(before, after) = visit.perform(&Action::Unplug(node)).unwrap().shown else {
            panic!("a small fault is in range");
        };
        let falls = before - after > fault.size_a / 2.0;
        assert_eq!(falls, !fault.in_wiring, "{fault:?}");
        seen[usize::from(fault.in_wiring)] += 1;
    }
    assert!(seen.iter().all(|&n| n > 5), "{seen:?}");
}

#[test]
fn pulling_wakes_some_and_loses_settings_where_they_hang() {
    let (mut pulls, mut woke) = (0, 0);
    for vehicle in fleet(20, &steady()) {
        let mut visit = Visit::asleep(&vehicle);
        for fuse in vehicle.box_order() {
            let answer = visit.perform(&Action::Pull(vec![fuse])).unwrap();
            let loses = !answer.lost_settings.is_empty();
            assert_eq!(loses, vehicle.keeps_settings(fuse));
            pulls += 1;
            if answer.woke {
                woke += 1;
            }
            if !visit.is_asleep() {
                let waited = visit.perform(&Action::WaitForSleep).unwrap().minutes;
                assert!(waited <= vehicle.resleep_min() + 0.02);
                assert!(visit.is_asleep());
            }
        }
        assert!(visit.minutes() > 60.0);
    }
    let share = f64::from(woke) / f64::from(pulls);
    assert!((0.08..0.5).contains(&share), "{share}");
}

#[test]
fn what_happens_does_not_depend_on_the_order() {
    let vehicle = draw(11, &steady());
    let tree = vehicle.tree();
    let cables: Vec<Action> = (0..tree.len())
        .filter(|&node| matches!(tree.node(node).kind, NodeKind::Cable | NodeKind::Battery))
        .map(Action::Clamp)
        .collect();
    let run = |order: &[usize]| {
        let mut visit = Visit::asleep(&vehicle);
        let mut shown = [Shown::Nothing; 3];
        for &at in order {
            shown[at] = visit.perform(&cables[at]).unwrap().shown;
        }
        shown
    };
    if vehicle.kit().clamp.is_some() {
        assert_eq!(run(&[0, 1, 2]), run(&[2, 1, 0]));
    }
}

#[test]
fn nonsense_is_refused_and_costs_nothing() {
    let vehicle = draw(
        5,
        &Settings {
            reach: Reach::None,
            ..steady()
        },
    );
    let mut visit = Visit::asleep(&vehicle);
    let fuse = vehicle.box_order()[0];
    for (action, refusal) in [
        (Action::Millivolt(fuse), Refusal::OutOfReach),
        (Action::Millivolt(9_999), Refusal::NoSuchNode),
        (Action::Pull(vec![0]), Refusal::NotToPull),
        (Action::Pull(vec![]), Refusal::NotToPull),
        (Action::Unplug(0), Refusal::NotALoad),
        (Action::Repair(9_999), Refusal::NoSuchNode),
    ] {
        assert_eq!(visit.perform(&action), Err(refusal), "{action:?}");
    }
    assert_eq!((visit.minutes(), visit.done().len()), (0.0, 0));
}

#[test]
fn the_vehicle_falls_asleep_in_steps_and_a_visit_waits_for_it() {
    for vehicle in fleet(10, &steady()) {
        let mut visit = Visit::at_locking(&vehicle);
        assert!(!visit.is_asleep());
        let awake = visit.true_total_a();
        let minutes = visit.perform(&Action::WaitForSleep).unwrap().minutes;
        assert!((2.0..120.0).contains(&minutes), "{minutes}");
        assert!(visit.is_asleep() && visit.true_total_a() < awake);
        assert!((vehicle.asleep_from_s(&State::locked()) / 60.0 - minutes).abs() < 0.02);
    }
}

#[test]
fn a_log_is_read_like_a_real_one() {
    let (mut settled, mut all) = (0, 0);
    for vehicle in fleet(8, &steady()) {
        let visit = Visit::at_locking(&vehicle);
        let csv = visit.night(2.0, 4.0).to_csv("invented: a virtual vehicle");
        let trace = trace::readers::read(csv.as_bytes(), &ReadOptions::default()).unwrap();
        assert_eq!(trace.source.skipped_rows, 0);
        let analysis = trace::analyse(&trace, &AnalyseOptions::default());
        let Some(found) = analysis.settled else {
            continue;
        };
        let true_a = vehicle.settled_a(|_| false);
        // Over the clamp's range nothing can be read.
        if true_a < 3.5 {
            all += 1;
            let off = (found.draw.value - true_a).abs();
            settled += usize::from(off < 0.03 * true_a + 0.012);
        }
    }
    assert!(all >= 4 && settled == all, "{settled} of {all}");
}

#[test]
fn pulls_show_in_the_log_of_the_visit() {
    let vehicle = draw(3, &steady());
    let fault = vehicle.faults()[0].clone();
    let node = fault.node.unwrap();
    let mut visit = Visit::asleep(&vehicle);
    let from = visit.now_s();
    visit.perform(&Action::Wait(5)).unwrap();
    visit.perform(&Action::Pull(vec![node])).unwrap();
    visit.perform(&Action::Wait(5)).unwrap();
    let log = visit.log(from, 1.0);
    let least = log.shown_a.iter().copied().fold(f64::INFINITY, f64::min);
    assert!(log.shown_a[0] - least > 0.7 * fault.size_a);
}

#[test]
fn what_is_taken_out_stays_out_until_it_is_put_back() {
    for vehicle in fleet(12, &steady()) {
        let Some(fuse) = vehicle.faults()[0]
            .node
            .and_then(|node| vehicle.tree().supplying_fuse(node))
        else {
            continue;
        };
        let mut visit = Visit::asleep(&vehicle);
        let full_a = visit.true_total_a();
        assert_eq!(
            visit.perform(&Action::PutBack(vec![fuse])).unwrap_err(),
            Refusal::NotOut
        );
        visit.perform(&Action::TakeOut(vec![fuse])).unwrap();
        for again in [Action::TakeOut(vec![fuse]), Action::Pull(vec![fuse])] {
            assert_eq!(visit.perform(&again).unwrap_err(), Refusal::IsOut);
        }
        visit.perform(&Action::WaitForSleep).unwrap();
        let without_a = visit.true_total_a();
        assert!(without_a < full_a, "{without_a} {full_a}");
        // As it is before the fuse is back, and with it.
        let Shown::Pull(before, after) = visit.perform(&Action::PutBack(vec![fuse])).unwrap().shown
        else {
            continue;
        };
        assert!((before - without_a).abs() < 0.02 + 0.03 * without_a);
        assert!(after > before, "{before} {after}");
        visit.perform(&Action::TakeOut(vec![fuse])).unwrap();
        visit.perform(&Action::Restore).unwrap();
        visit.perform(&Action::WaitForSleep).unwrap();
        assert!((visit.true_total_a() - full_a).abs() < 0.02 * full_a + 0.005);
    }
}
