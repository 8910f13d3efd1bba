use crate::{Act, AnalyseOptions, Analysis, Meter, Source, TimeAxis, Trace, Way, analyse, step_at};

/// 1 Hz, levels with a scatter between ±1 mA (the golden-ratio sequence) and a zero that creeps by `creep` A per sample.
fn record(parts: &[(usize, f64)], creep: f64) -> Trace {
    let levels = parts
        .iter()
        .flat_map(|&(count, level)| std::iter::repeat_n(level, count));
    let current_a = levels
        .enumerate()
        .map(|(i, level)| {
            level + 0.002 * ((i as f64 * 0.618_033_988_75).fract() - 0.5) + creep * i as f64
        })
        .collect();
    Trace {
        axis: TimeAxis::Regular { interval_s: 1.0 },
        current_a,
        voltage_v: None,
        source: Source {
            interval_s: 1.0,
            ..Source::default()
        },
    }
}

/// A fuse of 0.2 A pulled at 3010 s; the opened door wakes the vehicle for 80 s.
const PULL: [(usize, f64); 4] = [(600, 3.0), (2400, 0.3), (80, 1.5), (3000, 0.1)];

#[test]
fn a_return_from_sleep_is_no_part_of_the_step() {
    let trace = record(&PULL, 0.0);
    let found = analyse(&trace, &AnalyseOptions::default());
    let step = step_at(&trace, &found, 3010.0, 120.0).expect("a step");
    assert_eq!(step.at_s, 3080.0);
    assert!(
        (step.size.value + 0.2).abs() < 4.0 * step.size.u,
        "{step:?}"
    );
    assert!(step.size.u < 1e-3, "{step:?}");
}

#[test]
fn a_creeping_zero_is_taken_out() {
    // 0.6 mA between the middles of the levels, which differ by as much less than they should.
    let trace = record(&PULL, 2e-7);
    let found = analyse(&trace, &AnalyseOptions::default());
    let step = step_at(&trace, &found, 3010.0, 120.0).expect("a step");
    // 80 samples of creep lie between the ends.
    assert!(
        (step.size.value + 0.2).abs() < 80.0 * 2e-7 + 3.0 * step.size.u,
        "{step:?}"
    );
    assert!(step.size.u < 1e-4, "{step:?}");
}

#[test]
fn nothing_near_is_nothing() {
    let trace = record(&PULL, 0.0);
    let found = analyse(&trace, &AnalyseOptions::default());
    assert_eq!(step_at(&trace, &found, 1500.0, 120.0), None);
    // Only the return itself lies within ten seconds, and what it stands on does last.
    assert!(step_at(&trace, &found, 3000.0, 10.0).is_some_and(|s| s.size.value > 1.0));
    let empty = record(&[], 0.0);
    let none = analyse(&empty, &AnalyseOptions::default());
    assert_eq!(step_at(&empty, &none, 0.0, 60.0), None);
}

fn pulled(at_s: f64, way: Way) -> Act {
    Act {
        at_s,
        way,
        what: "F1".into(),
        entry: None,
    }
}

fn with_acts(trace: &Trace, acts: Vec<Act>) -> Analysis {
    let options = AnalyseOptions {
        acts,
        ..AnalyseOptions::default()
    };
    analyse(trace, &options)
}

#[test]
fn a_pull_that_is_told_leaves_the_vehicle_whole() {
    let trace = record(&PULL, 0.0);
    let blind = analyse(&trace, &AnalyseOptions::default());
    // Without the pull it looks like one more stair, which has not held long enough.
    assert_eq!(blind.settled, None);
    let told = with_acts(&trace, vec![pulled(3020.0, Way::Down)]);
    let settled = told.settled.expect("it slept before the pull");
    assert!((settled.draw.value - 0.3).abs() < 1e-3, "{settled:?}");
    assert_eq!(settled.since_s, 600.0);
    // The waking was caused by hand.
    assert_eq!(told.wake_ups.count, 0);
    let long_run = told.long_run.expect("asleep");
    assert!((long_run.value - 0.3).abs() < 1e-3, "{long_run:?}");
    let step = told
        .steps
        .iter()
        .find(|s| s.act.is_some())
        .expect("a matched step");
    assert!((step.size.value + 0.2).abs() < 4.0 * step.size.u);
    assert_eq!((step.from_s, step.at_s), (3000.0, 3080.0));
    // The other lasting change is falling asleep.
    assert_eq!(told.steps.len(), 2);
    assert!(told.steps[0].act.is_none() && told.steps[0].size.value < -2.0);
}

#[test]
fn put_back_again_is_a_step_up() {
    let parts = [
        (600, 3.0),
        (2400, 0.3),
        (80, 1.5),
        (1500, 0.1),
        (40, 1.6),
        (1500, 0.3),
    ];
    let trace = record(&parts, 0.0);
    let acts = vec![pulled(3000.0, Way::Down), pulled(4580.0, Way::Up)];
    let told = with_acts(&trace, acts);
    let sizes: Vec<f64> = told
        .steps
        .iter()
        .filter(|s| s.act.is_some())
        .map(|s| s.size.value)
        .collect();
    assert!(
        matches!(sizes[..], [down, up] if (down + 0.2).abs() < 1e-3 && (up - 0.2).abs() < 1e-3),
        "{sizes:?}"
    );
    assert_eq!(told.wake_ups.count, 0);
}

#[test]
fn a_fuse_that_feeds_nothing_makes_a_step_of_nothing() {
    let trace = record(&[(600, 3.0), (6000, 0.3)], 0.0);
    let told = with_acts(&trace, vec![pulled(3600.0, Way::Down)]);
    let step = told.steps.iter().find(|s| s.act.is_some()).expect("a step");
    assert!(
        step.size.value.abs() <= 3.0 * step.size.u && step.size.u < 1e-3,
        "{step:?}"
    );
}

#[test]
fn still_awake_is_no_step() {
    // The record ends while the door's waking goes on.
    let trace = record(&[(600, 3.0), (2400, 0.3), (700, 1.5)], 0.0);
    let told = with_acts(&trace, vec![pulled(3000.0, Way::Down)]);
    assert!(
        told.steps.iter().all(|s| s.act.is_none()),
        "{:?}",
        told.steps
    );
}

#[test]
fn two_pulls_share_no_change() {
    let parts = [(600, 3.0), (2400, 0.5), (900, 0.3), (2400, 0.1)];
    let trace = record(&parts, 0.0);
    let acts = vec![pulled(3000.0, Way::Down), pulled(3900.0, Way::Down)];
    let told = with_acts(&trace, acts);
    let matched: Vec<f64> = told
        .steps
        .iter()
        .filter(|s| s.act.is_some())
        .map(|s| s.at_s)
        .collect();
    assert_eq!(matched, [3000.0, 3900.0]);
}

#[test]
fn the_meter_widens_what_it_must() {
    let instrument = measure::Instrument {
        id: "logger".into(),
        kind: measure::InstrumentKind::InLine,
        accuracy_percent: 1.0,
        digits: 2.0,
        resolution: Some(0.001),
        zero_set: false,
    };
    let trace = record(&[(600, 3.0), (6000, 0.3)], 0.0);
    let plain = analyse(&trace, &AnalyseOptions::default());
    let options = AnalyseOptions {
        meter: Some(Meter::new(instrument, measure::How::InLine)),
        limit_a: 0.302,
        ..AnalyseOptions::default()
    };
    let metered = analyse(&trace, &options);
    let (plain_u, u) = (
        plain.settled.expect("settled").draw.u,
        metered.settled.expect("settled").draw.u,
    );
    // ±(3 mA + 2 mA), rectangular, beside the scatter.
    let wanted = (0.005_f64.powi(2) / 3.0 + plain_u * plain_u).sqrt();
    assert!((u - wanted).abs() < 1e-5, "{u} {wanted}");
    assert_eq!(metered.verdict.exceeds, crate::Exceeds::Unsure);
    assert!(metered.charge_ah.u > plain.charge_ah.u);
}
