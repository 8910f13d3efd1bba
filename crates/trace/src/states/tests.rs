use crate::{AnalyseOptions, Analysis, Exceeds, Source, State, TimeAxis, Trace, analyse};

/// A trace at 1 Hz from (seconds, ampere), with a little regular scatter.
pub(super) fn night(parts: &[(usize, f64)]) -> Trace {
    let mut current_a = Vec::new();
    for &(seconds, level) in parts {
        for _ in 0..seconds {
            let i = current_a.len();
            // A cheap scatter between ±1 mA that looks like noise: the golden-ratio sequence.
            current_a.push(level + 0.002 * ((i as f64 * 0.618_033_988_75).fract() - 0.5));
        }
    }
    let source = Source {
        interval_s: 1.0,
        ..Source::default()
    };
    Trace {
        axis: TimeAxis::Regular { interval_s: 1.0 },
        current_a,
        voltage_v: None,
        source,
    }
}

fn read(parts: &[(usize, f64)]) -> Analysis {
    analyse(&night(parts), &AnalyseOptions::default())
}

fn states(analysis: &Analysis) -> Vec<State> {
    analysis.segments.iter().map(|s| s.state).collect()
}

#[test]
fn falls_asleep_by_steps() {
    use State::{Asleep, Awake, Settling};
    let night = read(&[(600, 5.0), (300, 1.2), (300, 0.4), (3600, 0.03)]);
    assert_eq!(states(&night), [Awake, Settling, Settling, Asleep]);
    let settled = night.settled.expect("settled");
    assert_eq!(settled.since_s, 1200.0);
    assert!(
        (settled.draw.value - 0.03).abs() < 4.0 * settled.draw.u,
        "{settled:?}"
    );
    assert_eq!(night.verdict.exceeds, Exceeds::No);
    assert_eq!(night.not_settled, None);
}

#[test]
fn one_more_step_may_come() {
    let night = read(&[(600, 5.0), (1200, 1.2), (400, 0.4)]);
    assert_eq!(night.settled, None);
    let why = night.not_settled.expect("a reason");
    assert_eq!(why.expected_at_s, Some(1800.0 + 1800.0));
    assert_eq!(night.verdict.exceeds, Exceeds::Unsure);
}

#[test]
fn wakes_every_ten_minutes() {
    let mut parts = vec![(600, 4.0)];
    for _ in 0..6 {
        parts.extend([(570, 0.02), (30, 2.02)]);
    }
    parts.push((600, 0.02));
    let night = read(&parts);
    assert_eq!(night.wake_ups.count, 6);
    let period = night.wake_ups.period_s.expect("six wake-ups");
    assert!((period.value - 600.0).abs() < 0.5, "{period:?}");
    assert_eq!(night.wake_ups.mean_duration_s, Some(30.0));
    // 6 × 30 s × 2 A = 0.1 Ah.
    assert!((night.wake_ups.extra_charge_ah - 0.1).abs() < 0.001);
    // 20 mA + 2 A × 30/600 = 120 mA.
    let long_run = night.long_run.expect("asleep");
    assert!((long_run.value - 0.12).abs() < 0.002, "{long_run:?}");
    assert_eq!(night.verdict.exceeds, Exceeds::Yes);
}

#[test]
fn what_is_no_vehicle_stays_unknown() {
    for parts in [
        &[(60, 0.0), (100, 8.0), (100, 0.0)][..],
        &[(3000, 0.001), (3000, -0.001), (3000, 0.0)],
        &[(1, 0.5)],
    ] {
        let record = read(parts);
        assert!(
            states(&record).iter().all(|s| *s == State::Unknown),
            "{parts:?}"
        );
        assert!(record.settled.is_none() && record.not_settled.is_some());
        assert_eq!(record.verdict.exceeds, Exceeds::Unsure);
    }
}

#[test]
fn empty_and_constant() {
    let empty = read(&[]);
    assert!(empty.segments.is_empty() && empty.settled.is_none());
    let mut flat = night(&[(4000, 0.0)]);
    flat.current_a.fill(0.021);
    let flat = analyse(&flat, &AnalyseOptions::default());
    assert_eq!(flat.segments.len(), 1);
    assert_eq!(flat.settled.map(|s| s.draw.value), Some(0.021));
    // 4000 equal terms are summed.
    assert!((flat.average.value - 0.021).abs() < 4000.0 * f64::EPSILON * 0.021);
}

#[test]
fn the_moment_of_falling_asleep_lies_between_two_samples() {
    let night = read(&[(600, 5.0), (300, 1.2), (300, 0.4), (3600, 0.03)]);
    let moment = night.time_to_sleep.expect("it fell asleep");
    // The last sample of the stair is at 1199 s, the first of sleep at 1200 s.
    assert!((moment.at_s - 1199.5).abs() < 1e-6, "{moment:?}");
    assert!((moment.low_s - 1199.025).abs() < 1e-6, "{moment:?}");
    assert!((moment.high_s - 1199.975).abs() < 1e-6, "{moment:?}");
    assert_eq!(read(&[(4000, 0.03)]).time_to_sleep, None);
}

#[test]
fn a_clock_wakes_regularly_and_chance_does_not() {
    let wakes = |rests: [usize; 8]| {
        let mut parts = vec![(600, 4.0)];
        for rest in rests {
            parts.extend([(rest, 0.02), (30, 2.02)]);
        }
        parts.push((600, 0.02));
        read(&parts).wake_ups
    };
    let clock = wakes([570; 8]);
    assert_eq!(clock.period_scatter, Some(0.0));
    let chance = wakes([570, 200, 900, 400, 1200, 300, 700, 650]);
    let scatter = chance.period_scatter.expect("eight wake-ups");
    // Periods 230 … 1230: mean 651.4, standard deviation 353.4.
    assert!((scatter - 0.5425).abs() < 1e-3, "{scatter}");
    let (wide, narrow) = (
        chance.period_s.expect("period"),
        clock.period_s.expect("period"),
    );
    assert!(wide.u > 100.0 && narrow.u < 0.1, "{wide:?} {narrow:?}");
}
