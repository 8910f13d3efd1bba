//! The running verdict on invented nights.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test that fails should say where"
)]

use live::{Change, Sample, State, Watch};
use measure::Uncertain;
use measure::quantity::Ampere;
use proptest::prelude::*;
use trace::{Exceeds, Source, TimeAxis, Trace};

/// Samples each `interval_s`, from levels in mA with their durations, and a noise of a digit.
fn night(levels: &[(f64, f64)], interval_s: f64) -> Vec<Sample> {
    let mut samples = Vec::new();
    let mut seed = 1u32;
    for (level_ma, duration_s) in levels {
        for _ in 0..(duration_s / interval_s).round() as usize {
            seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            let noise = f64::from(seed >> 24) / 256.0 - 0.5;
            let time_s = samples.len() as f64 * interval_s;
            let current_a = (level_ma * (1.0 + 0.002 * noise) + 0.4 * noise) / 1000.0;
            samples.push(Sample {
                time_s,
                current_a,
                voltage_v: None,
                arrival_s: time_s,
            });
        }
    }
    samples
}

/// The record of the samples so far.
struct Record(Trace);

impl Record {
    fn new() -> Self {
        Self(Trace {
            axis: TimeAxis::Stamps(Vec::new()),
            current_a: Vec::new(),
            voltage_v: None,
            source: Source::default(),
        })
    }

    /// Gives the sample to both, and the record to the watch when it is due.
    fn push(&mut self, watch: &mut Watch, sample: &Sample) {
        watch.push(sample);
        self.0.current_a.push(sample.current_a);
        if let TimeAxis::Stamps(stamps) = &mut self.0.axis {
            stamps.push(sample.time_s);
        }
        if watch.due() {
            watch.look(&self.0, sample.arrival_s);
        }
    }
}

fn watch(samples: &[Sample]) -> (Watch, Vec<Change>) {
    let (mut watch, mut record) = (Watch::new(0.05), Record::new());
    for sample in samples {
        record.push(&mut watch, sample);
    }
    if let Some(last) = samples.last() {
        watch.look(&record.0, last.arrival_s);
    }
    let changes = watch.changes();
    (watch, changes)
}

fn words(changes: &[Change]) -> Vec<tongue::Message> {
    let amount = |x: Uncertain| format!("{}", Ampere(x.value));
    changes.iter().map(|change| change.words(&amount)).collect()
}

#[test]
fn a_vehicle_falls_asleep_and_a_fuse_is_pulled() {
    let samples = night(
        &[
            (3000.0, 300.0),
            (900.0, 300.0),
            (412.0, 2400.0),
            (24.0, 3700.0),
        ],
        0.5,
    );
    let (watch, changes) = watch(&samples);
    let said = words(&changes);
    let steps: Vec<_> = changes
        .iter()
        .filter_map(|change| {
            if let Change::Step(step) = change {
                Some(step)
            } else {
                None
            }
        })
        .collect();
    assert_eq!(steps.len(), 3, "{said:#?}");
    for (step, (at_s, change_a)) in
        steps
            .iter()
            .zip([(300.0, -2.1), (600.0, -0.488), (3000.0, -0.388)])
    {
        assert!((step.at_s - at_s).abs() <= 1.0, "{said:#?}");
        assert!(
            (step.change.value - change_a).abs() < 4.0 * step.change.u + 2e-3,
            "{said:#?}"
        );
    }
    assert!(
        said.iter().any(|line| line.starts_with("asleep at 412 mA")),
        "{said:#?}"
    );
    assert!(
        said.iter().any(|line| line.starts_with("too much")),
        "{said:#?}"
    );
    assert!(
        said.iter()
            .any(|line| line.starts_with("stepped down from 412 mA asleep")),
        "{said:#?}"
    );
    let verdict = watch.verdict(samples.last().unwrap().arrival_s);
    assert_eq!(verdict.exceeds, Exceeds::No, "{said:#?}");
    assert!(
        matches!(verdict.state, State::Asleep { draw, .. } if (draw.value - 0.024).abs() < 1e-3),
        "{said:#?}"
    );
    let level = verdict.level.unwrap();
    assert!((level.value.value - 0.024).abs() < 4.0 * level.value.u + 1e-6);
}

#[test]
fn a_step_is_told_within_seconds() {
    let mut watch = Watch::new(0.05);
    let mut told_s = None;
    for sample in night(&[(412.0, 120.0), (24.0, 30.0)], 0.1) {
        watch.push(&sample);
        if watch
            .changes()
            .iter()
            .any(|change| matches!(change, Change::Step(_)))
        {
            told_s.get_or_insert(sample.time_s);
        }
    }
    assert!((120.0..122.0).contains(&told_s.unwrap()), "{told_s:?}");
}

#[test]
fn a_steady_current_says_little() {
    let (_, changes) = watch(&night(&[(23.0, 4.0 * 3600.0)], 0.5));
    // First sample, asleep, in order.
    assert_eq!(changes.len(), 3, "{:#?}", words(&changes));
}

#[test]
fn waking_up_is_told() {
    let samples = night(
        &[
            (3000.0, 300.0),
            (23.0, 3000.0),
            (2500.0, 60.0),
            (23.0, 600.0),
        ],
        1.0,
    );
    let (_, changes) = watch(&samples);
    let states: Vec<&State> = changes
        .iter()
        .filter_map(|change| {
            if let Change::State { state, .. } = change {
                Some(state)
            } else {
                None
            }
        })
        .collect();
    let woke = states
        .iter()
        .position(|state| matches!(state, State::WokenUp { .. }));
    let asleep = states
        .iter()
        .rposition(|state| matches!(state, State::Asleep { .. }));
    assert!(woke.is_some() && woke < asleep, "{:#?}", words(&changes));
}

#[test]
fn a_stall_is_told_once_and_so_is_its_end() {
    let mut watch = Watch::new(0.05);
    let sample = |at_s: f64| Sample {
        time_s: at_s,
        current_a: 0.02,
        voltage_v: None,
        arrival_s: at_s,
    };
    (0..20).for_each(|i| watch.push(&sample(f64::from(i) * 0.1)));
    watch.changes();
    for now_s in [2.0, 6.0, 6.8] {
        watch.tick(now_s);
        assert!(watch.changes().is_empty(), "too early at {now_s}");
    }
    watch.tick(6.91);
    watch.tick(7.5);
    let told = watch.changes();
    assert_eq!(words(&told), ["no sample for 5 s"]);
    assert!(watch.verdict(7.5).stalled);
    watch.push(&sample(12.0));
    assert!(
        matches!(watch.changes().as_slice(), [Change::Resumed { after_s }] if (after_s - 10.1).abs() < 1e-9)
    );
    assert!(!watch.verdict(12.0).stalled);
}

#[test]
fn a_source_that_never_speaks_is_told() {
    let mut watch = Watch::new(0.05);
    watch.tick(100.0);
    watch.tick(104.9);
    assert!(watch.changes().is_empty());
    watch.tick(105.0);
    assert_eq!(words(&watch.changes()), ["no sample for 5 s"]);
}

#[test]
fn a_slow_source_has_not_stalled() {
    let mut watch = Watch::new(0.05);
    for i in 0..10 {
        let at_s = 60.0 * f64::from(i);
        watch.push(&Sample {
            time_s: at_s,
            current_a: 0.02,
            voltage_v: None,
            arrival_s: at_s,
        });
        if i > 1 {
            watch.tick(at_s + 59.0);
            assert!(!watch.verdict(at_s + 59.0).stalled);
        }
    }
    watch.tick(540.0 + 200.0);
    assert!(watch.verdict(740.0).stalled);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]
    #[test]
    fn any_samples_are_survived(values in prop::collection::vec(prop_oneof![any::<f64>(), -1.0..40.0f64], 0..3000)) {
        let samples: Vec<Sample> = values
            .iter()
            .enumerate()
            .map(|(i, v)| Sample { time_s: i as f64, current_a: *v, voltage_v: None, arrival_s: i as f64 })
            .collect();
        let (watch, changes) = watch(&samples);
        prop_assert_eq!(watch.verdict(1e9).samples, values.len() as u64);
        words(&changes);
    }
}
