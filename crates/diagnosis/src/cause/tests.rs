use battery::{Cranking, CrankingStandard, charging::EngineSpeed};
use proptest::prelude::*;

use super::*;

fn untested() -> Judgement {
    Judgement {
        verdict: Verdict::Unknown,
        state_of_charge: None,
        health: None,
        because: Vec::new(),
        contradicting: false,
    }
}

fn tested(verdict: Verdict, health: f64) -> Judgement {
    Judgement {
        verdict,
        health: Some(Uncertain::new(health, 0.05)),
        ..untested()
    }
}

fn evidence() -> CauseEvidence {
    CauseEvidence {
        label: Label {
            capacity_ah: Some(60.0),
            cranking: Some(Cranking {
                current_a: 540.0,
                standard: CrankingStandard::En,
            }),
            ..Label::default()
        },
        engine_needs_a: None,
        battery_age_years: None,
        judgement: untested(),
        charging: Vec::new(),
        drops: Vec::new(),
        alternator_off: None,
        settled_draw: None,
        long_run_draw: None,
        wake_ups: None,
        gone_a: None,
        limit_a: 0.05,
        no_start_after_h: Some(14.0),
        temperature_c: Some(3.0),
        usage: None,
    }
}

fn charging(volt: f64) -> Vec<ChargingTest> {
    vec![ChargingTest {
        voltage: Uncertain::new(volt, 0.02),
        at: EngineSpeed::Raised,
        ripple_v: Some(0.03),
        temperature_c: Some(15.0),
    }]
}

fn good_usage() -> Option<Usage> {
    Some(Usage {
        trips_per_week: 10.0,
        minutes_per_trip: 45.0,
    })
}

fn p(odds: &[Odds], hypothesis: Hypothesis) -> f64 {
    odds.iter()
        .find(|o| o.hypothesis == hypothesis)
        .map_or(f64::NAN, |o| o.p)
}

#[test]
fn without_evidence_the_priors_stand() {
    let nothing = CauseEvidence {
        no_start_after_h: None,
        ..evidence()
    };
    let odds = causes(&nothing);
    let sum: f64 = odds.iter().map(|o| o.p).sum();
    assert!((sum - 1.0).abs() < 1e-12);
    let order: Vec<_> = odds.iter().map(|o| o.hypothesis).collect();
    assert_eq!(order[0], Hypothesis::WeakBattery);
    assert_eq!(order[1], Hypothesis::SteadyDraw);
    // Folding half of each pair moves each by less than 0.05.
    for hypothesis in Hypothesis::ALL {
        assert!((p(&odds, hypothesis) - t::PRIOR[hypothesis as usize]).abs() < 0.05);
    }
    assert!(
        odds.iter()
            .all(|o| o.cheap_check.is_some() && o.speaks_for.is_empty())
    );
}

#[test]
fn forty_milliampere_with_a_good_battery_explain_nothing() {
    let odds = causes(&CauseEvidence {
        judgement: tested(Verdict::Good, 0.97),
        charging: charging(14.3),
        settled_draw: Some(Uncertain::new(0.040, 0.002)),
        usage: good_usage(),
        ..evidence()
    });
    assert!(p(&odds, Hypothesis::SteadyDraw) < 0.05, "{odds:#?}");
    // What is left is a draw that was not there when it was measured.
    assert_eq!(
        odds[0].hypothesis,
        Hypothesis::IntermittentDraw,
        "{odds:#?}"
    );
    assert_eq!(
        odds[0].cheap_check.as_deref(),
        Some("Record the draw over a night.")
    );
    let steady = odds
        .iter()
        .find(|o| o.hypothesis == Hypothesis::SteadyDraw)
        .unwrap();
    assert!(
        steady.speaks_against.iter().any(|s| s.contains("40 mA")),
        "{steady:?}"
    );
}

#[test]
fn four_hundred_twenty_do_for_an_aged_battery() {
    let odds = causes(&CauseEvidence {
        judgement: tested(Verdict::Weak, 0.68),
        battery_age_years: Some(6.0),
        charging: charging(14.3),
        settled_draw: Some(Uncertain::new(0.42, 0.01)),
        usage: good_usage(),
        ..evidence()
    });
    let both = p(&odds, Hypothesis::SteadyDraw) + p(&odds, Hypothesis::WeakBattery);
    assert!(both > 0.9, "{odds:#?}");
    assert!(p(&odds, Hypothesis::SteadyDraw) > 0.4, "{odds:#?}");
}

#[test]
fn four_hundred_twenty_with_a_good_battery_is_the_steady_draw() {
    let odds = causes(&CauseEvidence {
        judgement: tested(Verdict::Good, 0.92),
        charging: charging(14.3),
        settled_draw: Some(Uncertain::new(0.42, 0.01)),
        usage: good_usage(),
        no_start_after_h: Some(60.0),
        ..evidence()
    });
    assert_eq!(odds[0].hypothesis, Hypothesis::SteadyDraw);
    assert!(odds[0].p > 0.75, "{odds:#?}");
    assert!(
        odds[0]
            .speaks_for
            .iter()
            .any(|s| s.contains("420 mA is above the limit"))
    );
}

#[test]
fn each_cause_wins_on_its_own_evidence() {
    let sound = CauseEvidence {
        judgement: tested(Verdict::Good, 0.95),
        charging: charging(14.3),
        settled_draw: Some(Uncertain::new(0.02, 0.001)),
        wake_ups: Some(WakeUps {
            count: 0,
            extra_average_a: 0.0,
        }),
        usage: good_usage(),
        ..evidence()
    };
    let top = |e: &CauseEvidence| causes(e)[0].hypothesis;
    let weak = CauseEvidence {
        judgement: tested(Verdict::Replace, 0.4),
        ..sound.clone()
    };
    assert_eq!(top(&weak), Hypothesis::WeakBattery);
    let uncharged = CauseEvidence {
        charging: charging(12.4),
        ..sound.clone()
    };
    assert_eq!(top(&uncharged), Hypothesis::PoorCharging);
    let short = Some(Usage {
        trips_per_week: 6.0,
        minutes_per_trip: 7.0,
    });
    assert_eq!(
        top(&CauseEvidence {
            usage: short,
            ..sound.clone()
        }),
        Hypothesis::Usage
    );
    let waking = CauseEvidence {
        wake_ups: Some(WakeUps {
            count: 31,
            extra_average_a: 0.5,
        }),
        long_run_draw: Some(Uncertain::new(0.52, 0.02)),
        no_start_after_h: Some(48.0),
        ..sound.clone()
    };
    assert_eq!(top(&waking), Hypothesis::IntermittentDraw);
}

#[test]
fn suspect_ripple_speaks_for_a_draw_by_night_too() {
    let rippling = |ripple| CauseEvidence {
        charging: vec![ChargingTest {
            ripple_v: Some(ripple),
            ..charging(14.3)[0]
        }],
        ..evidence()
    };
    let steady = |e: &CauseEvidence| p(&causes(e), Hypothesis::SteadyDraw);
    assert!(steady(&rippling(0.8)) > steady(&rippling(0.03)));
}

#[test]
fn checks_that_cannot_change_the_order_save_nothing() {
    // Nothing known: asking costs a minute and all five stand.
    let open = checks(&CauseEvidence {
        no_start_after_h: None,
        ..evidence()
    });
    assert_eq!(open.len(), 5);
    assert!(open.windows(2).all(|w| w[0].net_min() >= w[1].net_min()));
    assert!(open.iter().any(|check| check.net_min() > 0.0), "{open:?}");
    // A settled draw of two ampere and a sound battery: the circuits come first, and
    // neither a charging test nor a night is worth its minutes before them.
    let plain = CauseEvidence {
        judgement: tested(Verdict::Good, 0.95),
        settled_draw: Some(Uncertain::new(2.0, 0.02)),
        ..evidence()
    };
    let left = checks(&plain);
    let kinds: Vec<_> = left.iter().map(|check| check.kind).collect();
    assert!(!kinds.contains(&CheckKind::Battery) && !kinds.contains(&CheckKind::SettledDraw));
    for check in left.iter().filter(|check| check.kind != CheckKind::Usage) {
        assert!(check.net_min() < 0.0, "{left:?}");
    }
    // With a draw in order and the battery untested, testing it leads.
    let quiet = CauseEvidence {
        settled_draw: Some(Uncertain::new(0.02, 0.002)),
        ..evidence()
    };
    let left = checks(&quiet);
    assert!(left[0].net_min() > 0.0, "{left:?}");
    let net = |kind| left.iter().find(|c| c.kind == kind).map(Check::net_min);
    assert!(net(CheckKind::Battery) > net(CheckKind::Night), "{left:?}");
}

#[test]
fn the_alternators_cable_couples_day_and_night() {
    let seen = |ripple, leak: Option<f64>| {
        causes(&CauseEvidence {
            charging: vec![ChargingTest {
                ripple_v: Some(ripple),
                ..charging(14.3)[0]
            }],
            alternator_off: leak.map(|a| Uncertain::new(a, 0.003)),
            ..evidence()
        })
    };
    let steady = |ripple, leak| p(&seen(ripple, leak), Hypothesis::SteadyDraw);
    // Ripple alone speaks a little for a draw by night; the cable's own reading decides.
    assert!(steady(0.8, Some(0.3)) > steady(0.8, None));
    assert!(steady(0.8, None) > steady(0.8, Some(0.001)));
    // Leak and ripple together blame the alternator by day as well.
    let poor = |ripple, leak| p(&seen(ripple, leak), Hypothesis::PoorCharging);
    let shift = |ripple| poor(ripple, Some(0.3)) / poor(ripple, Some(0.001));
    assert!(shift(0.8) > shift(0.03), "{} {}", shift(0.8), shift(0.03));
    let odds = seen(0.8, Some(0.3));
    let steady = odds
        .iter()
        .find(|o| o.hypothesis == Hypothesis::SteadyDraw)
        .unwrap();
    assert!(
        steady
            .speaks_for
            .iter()
            .any(|s| s.contains("300 mA") && s.contains("diodes")),
        "{steady:?}"
    );
}

#[test]
fn a_charging_cable_that_loses_voltage_speaks_for_poor_charging() {
    let poor = |drop_v: Option<f64>, place| {
        let drops = drop_v.map(|volt| DropTest {
            place,
            drop: Uncertain::new(volt, 0.01),
            current_a: None,
        });
        p(
            &causes(&CauseEvidence {
                drops: drops.into_iter().collect(),
                ..evidence()
            }),
            Hypothesis::PoorCharging,
        )
    };
    use battery::drops::DropPlace as D;
    assert!(poor(Some(0.9), D::ChargingPositive) > 1.5 * poor(None, D::ChargingPositive));
    assert!(poor(Some(0.1), D::ChargingPositive) < poor(None, D::ChargingPositive));
    // The starter's cable is no charging cable.
    assert_eq!(
        poor(Some(0.9), D::StarterPositive),
        poor(None, D::StarterPositive)
    );
}

fn maybe<T: std::fmt::Debug + Clone>(
    s: impl Strategy<Value = T>,
) -> impl Strategy<Value = Option<T>> {
    prop::option::of(s)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn five_that_add_up_to_one(
        age in maybe(0.0..15.0_f64),
        settled in maybe(0.0..3.0_f64),
        extra in maybe(0.0..1.0_f64),
        hours in maybe(0.5..500.0_f64),
        volt in maybe(11.0..16.0_f64),
        trips in maybe((0.0..30.0_f64, 0.0..120.0_f64)),
        celsius in maybe(-30.0..40.0_f64),
    ) {
        let e = CauseEvidence {
            battery_age_years: age,
            settled_draw: settled.map(|a| Uncertain::new(a, 0.01)),
            wake_ups: extra.map(|extra_average_a| WakeUps { count: 3, extra_average_a }),
            no_start_after_h: hours,
            charging: volt.map(charging).unwrap_or_default(),
            usage: trips.map(|(trips_per_week, minutes_per_trip)| Usage { trips_per_week, minutes_per_trip }),
            temperature_c: celsius,
            ..evidence()
        };
        let odds = causes(&e);
        prop_assert_eq!(odds.len(), 5);
        prop_assert!((odds.iter().map(|o| o.p).sum::<f64>() - 1.0).abs() < 1e-9);
        prop_assert!(odds.windows(2).all(|w| w[0].p >= w[1].p));
        prop_assert_eq!(&odds, &causes(&e));
    }

    /// Knowledge never costs: no check is expected to lengthen the way, and
    /// none saves more than the longest way there is.
    #[test]
    fn checks_never_lengthen_the_way(
        settled in maybe(0.0..3.0_f64),
        hours in maybe(0.5..500.0_f64),
        age in maybe(0.0..15.0_f64),
    ) {
        let e = CauseEvidence {
            settled_draw: settled.map(|a| Uncertain::new(a, 0.01)),
            no_start_after_h: hours,
            battery_age_years: age,
            ..evidence()
        };
        for check in checks(&e) {
            prop_assert!((0.0..=245.0).contains(&check.saves_min), "{:?}", check);
        }
    }

    /// Up to twice the limit. Beyond, the draw explains the complaint under every
    /// cause alike (it is there, whoever is to blame), and pairs gain on it.
    #[test]
    fn more_settled_draw_never_speaks_less_for_it(a in 0.0..0.1_f64, b in 0.0..0.1_f64) {
        let steady = |ampere: f64| p(&causes(&CauseEvidence {
            judgement: tested(Verdict::Good, 0.95),
            settled_draw: Some(Uncertain::new(ampere, 0.005)),
            ..evidence()
        }), Hypothesis::SteadyDraw);
        prop_assert!(steady(a.max(b)) >= steady(a.min(b)) - 1e-9);
    }

    #[test]
    fn an_older_battery_is_never_less_suspect(age in 0.0..12.0_f64, more in 0.0..5.0_f64) {
        let weak = |age| p(&causes(&CauseEvidence {
            battery_age_years: Some(age),
            judgement: tested(Verdict::Weak, 0.75),
            ..evidence()
        }), Hypothesis::WeakBattery);
        prop_assert!(weak(age + more) >= weak(age) - 1e-9);
    }
}
