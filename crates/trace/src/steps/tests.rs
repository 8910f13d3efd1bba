use crate::{AnalyseOptions, Source, TimeAxis, Trace, analyse, step_at};

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
